//! What holds a wire end: a wire and where it shall go in; the contact, lug or splice that takes it, or why none does.
//!
//! Of several parts that fit, the first in the order of the shell or of the library is taken, so that every list and
//! every check names the same one.

use super::library::{ContactPartId, Library, LugPartId, ShellPartId, SplicePartId, WirePartId};
use crate::quantity::{Bounds, Gauge, Length};
use crate::trade::stud::StudSize;
use crate::trade::thermocouple_colour::Alloy;

/// The end of a single wire, or of a core of a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WireEnd {
    /// Conductor size.
    pub gauge: Gauge,
    /// Diameter over the insulation; `None` where the part of the cable does not say its cores'.
    pub outside: Option<Length>,
    /// Material that the part must carry on, where a thermocouple depends on it; `None` where any will do.
    pub alloy: Option<Alloy>,
}

impl WireEnd {
    /// The end of a wire of the library; `core` where it is a core of a pair or cable.
    pub fn of(library: &Library, wire: WirePartId, core: Option<u32>) -> WireEnd {
        let part = library.wires.get(wire);
        let outside = if core.is_some() { part.core_outside } else { Some(part.outside) };
        WireEnd { gauge: part.gauge, outside, alloy: None }
    }

    /// The same end, where the part must be of this material.
    pub fn carrying(mut self, alloy: Alloy) -> WireEnd {
        self.alloy = Some(alloy);
        self
    }
}

/// Why no part takes a wire end.
#[derive(Clone, Debug, PartialEq)]
pub enum Misfit {
    /// There is no part at all for this place: what was looked for.
    NoPart(String),
    /// The wire is too thin or too thick: a part that is offered, and what it is made for.
    Gauge {
        /// Name of the part that comes nearest.
        part: String,
        /// Wire it is made for.
        made_for: Bounds<Gauge>,
    },
    /// The wire would do, its insulation is too thin or too thick.
    Insulation {
        /// Name of the part that comes nearest.
        part: String,
        /// Diameters over the insulation that it takes.
        takes: Bounds<Length>,
    },
    /// A splice takes fewer ends.
    Ends {
        /// Name of the part that takes most.
        part: String,
        /// How many it takes.
        most: u32,
    },
}

/// A part that holds one wire end.
struct Holder<'l, Id> {
    id: Id,
    name: &'l str,
    wire: Bounds<Gauge>,
    insulation: Bounds<Length>,
    alloy: Alloy,
}

/// The contact for a cavity.
pub fn contact(
    library: &Library,
    shell: ShellPartId,
    cavity: &str,
    end: WireEnd,
) -> Result<ContactPartId, Misfit> {
    let part = library.shells.get(shell);
    let only = part.only.iter().find(|(mark, _)| mark.0 == cavity).map(|(_, contact)| contact);
    let offered = match only {
        Some(contact) => std::slice::from_ref(contact),
        None => part.contacts.as_slice(),
    };
    let holders = offered.iter().filter_map(|name| {
        let (id, c) = library.contacts.look_up(name)?;
        let alloy = c.alloy.unwrap_or(Alloy::Copper);
        Some(Holder { id, name: library.contacts.name(id), wire: c.wire, insulation: c.insulation, alloy })
    });
    choose(holders, end, || format!("a contact for cavity {cavity} of `{}`", library.shells.name(shell)))
}

/// The ring lug for a stud.
pub fn lug(library: &Library, stud: StudSize, end: WireEnd) -> Result<LugPartId, Misfit> {
    lugs(library, end, |l| l.stud == Some(stud), || format!("a ring lug for a {stud} stud"))
}

/// The push-on terminal for a blade of this width.
pub fn push_on(library: &Library, width: Length, end: WireEnd) -> Result<LugPartId, Misfit> {
    lugs(library, end, |l| l.tab == Some(width), || format!("a push-on terminal for a {width} blade"))
}

fn lugs(
    library: &Library,
    end: WireEnd,
    wanted: impl Fn(&super::model::LugPart) -> bool,
    what: impl FnOnce() -> String,
) -> Result<LugPartId, Misfit> {
    let holders = library.lugs.iter().filter(|(_, _, l)| wanted(l)).map(|(id, name, l)| Holder {
        id,
        name,
        wire: l.wire,
        insulation: l.insulation,
        alloy: l.alloy.unwrap_or(Alloy::Copper),
    });
    choose(holders, end, what)
}

/// First holder of the wanted material that takes the end, else the first of any that does.
fn choose<'l, Id: Copy>(
    holders: impl Iterator<Item = Holder<'l, Id>>,
    end: WireEnd,
    what: impl FnOnce() -> String,
) -> Result<Id, Misfit> {
    let insulated = |h: &Holder<Id>| end.outside.is_none_or(|o| h.insulation.contains(o));
    let wanted = end.alloy.unwrap_or(Alloy::Copper);
    let (mut other, mut thick) = (None, None);
    let mut nearest: Option<Holder<Id>> = None;
    for holder in holders {
        if !holder.wire.contains(end.gauge) {
            if nearest.as_ref().is_none_or(|n| off(holder.wire, end.gauge) < off(n.wire, end.gauge)) {
                nearest = Some(holder);
            }
        } else if !insulated(&holder) {
            thick.get_or_insert(holder);
        } else if holder.alloy == wanted {
            return Ok(holder.id);
        } else {
            other.get_or_insert(holder.id);
        }
    }
    match (other, thick, nearest) {
        (Some(id), ..) => Ok(id),
        (_, Some(h), _) => Err(Misfit::Insulation { part: h.name.to_owned(), takes: h.insulation }),
        (_, _, Some(h)) => Err(Misfit::Gauge { part: h.name.to_owned(), made_for: h.wire }),
        _ => Err(Misfit::NoPart(what())),
    }
}

/// How far a gauge lies outside a range: square millimetres of conductor.
fn off(range: Bounds<Gauge>, gauge: Gauge) -> f64 {
    let (low, high, is) = (range.low().area().mm2(), range.high().area().mm2(), gauge.area().mm2());
    (low - is).max(is - high)
}

/// The splice for these ends together: each must be in its range, and there must be room for all.
pub fn splice(library: &Library, ends: &[Gauge], alloy: Option<Alloy>) -> Result<SplicePartId, Misfit> {
    let wanted = alloy.unwrap_or(Alloy::Copper);
    let takes_gauges = |s: &super::model::SplicePart| ends.iter().all(|g| s.wire.contains(*g));
    let count = u32::try_from(ends.len()).unwrap_or(u32::MAX);
    let fitting = || library.splices.iter().filter(|(_, _, s)| takes_gauges(s) && s.ends >= count);
    let of_alloy = fitting().find(|(_, _, s)| s.alloy.unwrap_or(Alloy::Copper) == wanted);
    if let Some((id, _, _)) = of_alloy.or_else(|| fitting().next()) {
        return Ok(id);
    }
    let roomy = library.splices.iter().filter(|(_, _, s)| takes_gauges(s)).max_by_key(|(_, _, s)| s.ends);
    let some = library.splices.iter().find(|(_, _, s)| s.ends >= count);
    Err(match (roomy, some) {
        (Some((_, name, s)), _) => Misfit::Ends { part: name.to_owned(), most: s.ends },
        (_, Some((_, name, s))) => Misfit::Gauge { part: name.to_owned(), made_for: s.wire },
        _ => Misfit::NoPart(format!("a splice for {count} ends")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::model::{LugPart, PartFile};

    fn library(lugs: &str) -> Library {
        let file: PartFile = serde_yaml::from_str(&format!("lugs:\n{lugs}")).unwrap();
        let mut library = Library::default();
        for (name, lug) in file.lugs {
            library.lugs.put(&name, lug, None);
        }
        library
    }

    fn of(gauge: i8, mm: f64) -> WireEnd {
        WireEnd { gauge: Gauge::Awg(gauge), outside: Some(Length::from_mm(mm)), alloy: None }
    }

    const LUGS: &str = "  thin: {title: t, stud: M4, wire: 26..22 AWG, insulation: 0.8..1.6 mm, strip: 5 mm, tool: t, die: d, width: 8 mm}
  thick: {title: t, stud: M4, wire: 16..14 AWG, insulation: 2..4 mm, strip: 5 mm, tool: t, die: d, width: 8 mm}
  thin-chromel: {title: t, stud: M4, wire: 26..18 AWG, insulation: 0.8..1.6 mm, strip: 5 mm, tool: t, die: d, width: 8 mm, alloy: chromel}
";

    #[test]
    fn takes_the_first_that_fits_and_carries_the_alloy_on() {
        let library = library(LUGS);
        let stud: StudSize = "M4".parse().unwrap();
        let name = |end| lug(&library, stud, end).map(|id| library.lugs.name(id).to_owned());
        assert_eq!(name(of(22, 1.6)), Ok("thin".to_owned()));
        assert_eq!(name(of(22, 1.6).carrying(Alloy::Chromel)), Ok("thin-chromel".to_owned()));
        assert_eq!(
            name(of(20, 1.4)),
            Ok("thin-chromel".to_owned()),
            "better a lug of another metal than none"
        );
    }

    #[test]
    fn says_what_comes_nearest() {
        let library = library(LUGS);
        let (m4, m5): (StudSize, StudSize) = ("M4".parse().unwrap(), "M5".parse().unwrap());
        let misfit = |stud, end| lug(&library, stud, end).unwrap_err();
        assert!(matches!(misfit(m4, of(22, 1.7)), Misfit::Insulation { part, .. } if part == "thin"));
        assert!(matches!(misfit(m4, of(12, 2.7)), Misfit::Gauge { part, .. } if part == "thick"));
        assert!(matches!(misfit(m5, of(22, 1.2)), Misfit::NoPart(_)));
        let part: &LugPart = library.lugs.look_up("thin").unwrap().1;
        assert_eq!(part.wire.to_string(), "26..22 AWG");
    }
}
