//! What holds a wire end: a wire and where it shall go in; the contact, lug or splice that takes it, or why none does.
//!
//! Of several parts that fit, the first in the order of the shell or of the library is taken, so that every list and
//! every check names the same one.

use super::library::{ContactPartId, Library, LugPartId, ShellPartId, SplicePartId, WirePartId};
use super::model::{LugPart, SplicePart};
use crate::quantity::{Area, Bounds, Gauge, Length};
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
    /// The wires would do singly, but together they are too thick for one side of a splice.
    Together {
        /// Name of the part with the largest range.
        part: String,
        /// Copper that a side takes.
        made_for: Bounds<Gauge>,
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
    let offered = match part.only.get(cavity) {
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
    wanted: impl Fn(&LugPart) -> bool,
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

/// The splice for these ends together: each must be in its range, there must be room for all, and the copper on either
/// side must be in its range too.
pub fn splice(library: &Library, ends: &[Gauge], alloy: Option<Alloy>) -> Result<SplicePartId, Misfit> {
    let wanted = alloy.unwrap_or(Alloy::Copper);
    let takes_gauges = |s: &SplicePart| ends.iter().all(|g| s.wire.contains(*g));
    let count = u32::try_from(ends.len()).unwrap_or(u32::MAX);
    let sides = two_sides(ends);
    let takes_sides = |s: &SplicePart| sides.iter().all(|side| *side <= s.wire.high().area());
    let roomy = || library.splices.iter().filter(|(_, _, s)| takes_gauges(s) && s.ends >= count);
    let fitting = || roomy().filter(|(_, _, s)| takes_sides(s));
    let of_alloy = fitting().find(|(_, _, s)| s.alloy.unwrap_or(Alloy::Copper) == wanted);
    if let Some((id, _, _)) = of_alloy.or_else(|| fitting().next()) {
        return Ok(id);
    }
    let largest = roomy().max_by_key(|(_, _, s)| s.wire.high());
    let most = library.splices.iter().filter(|(_, _, s)| takes_gauges(s)).max_by_key(|(_, _, s)| s.ends);
    let some = library.splices.iter().find(|(_, _, s)| s.ends >= count);
    Err(match (largest, most, some) {
        (Some((_, name, s)), ..) => Misfit::Together { part: name.to_owned(), made_for: s.wire },
        (_, Some((_, name, s)), _) => Misfit::Ends { part: name.to_owned(), most: s.ends },
        (_, _, Some((_, name, s))) => Misfit::Gauge { part: name.to_owned(), made_for: s.wire },
        _ => Misfit::NoPart(format!("a splice for {count} ends")),
    })
}

/// Copper on the two sides of a splice. Longest-processing-time dealing: thickest wire first, each to the side with
/// less, the first side on a tie.
fn two_sides(ends: &[Gauge]) -> [Area; 2] {
    let mut areas: Vec<Area> = ends.iter().map(|gauge| gauge.area()).collect();
    areas.sort_unstable_by(|a, b| b.cmp(a));
    areas.into_iter().fold([Area::ZERO; 2], |[left, right], area| {
        if left <= right { [left + area, right] } else { [left, right + area] }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::model::PartFile;

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

    /// The end of a supplied wire, or of its cores.
    fn end_of(wire: &str) -> WireEnd {
        let (id, part) = Library::supplied().wires.look_up(wire).unwrap();
        WireEnd::of(Library::supplied(), id, (!part.cores.is_empty()).then_some(0))
    }

    fn supplied_contact(shell: &str, cavity: &str, end: WireEnd) -> Option<&'static str> {
        let library = Library::supplied();
        let shell = library.shells.find(shell).unwrap();
        contact(library, shell, cavity, end).ok().map(|id| library.contacts.name(id))
    }

    fn supplied_lug(stud: &str, end: WireEnd) -> Option<&'static str> {
        let library = Library::supplied();
        lug(library, stud.parse().unwrap(), end).ok().map(|id| library.lugs.name(id))
    }

    #[test]
    fn supplied_contacts_take_every_wire_that_is_meant_for_them() {
        for wire in [
            "etfe-24",
            "etfe-22",
            "etfe-20",
            "boat-0.5",
            "screened-2-22",
            "screened-3-20",
            "twisted-2-22",
            "thermocouple-k-ansi-20",
            "thermocouple-j-iec-22",
            "thermocouple-k-ansi-24",
        ] {
            assert_eq!(supplied_contact("dsub-37-socket", "7", end_of(wire)), Some("dsub-socket"), "{wire}");
        }
        for wire in ["etfe-18", "boat-1"] {
            assert_eq!(supplied_contact("dsub-37-socket", "7", end_of(wire)), None, "{wire}");
            let contact = supplied_contact("sealed-6-plug", "1", end_of(wire));
            assert_eq!(contact, Some("sealed-socket-large"), "{wire}");
        }
        for wire in ["etfe-24", "boat-0.75", "thermocouple-k-iec-20"] {
            let contact = supplied_contact("sealed-2-plug", "2", end_of(wire));
            assert_eq!(contact, Some("sealed-socket-small"), "{wire}");
        }
    }

    #[test]
    fn supplied_contacts_carry_an_alloy_on_where_one_exists() {
        let alumel = end_of("thermocouple-k-ansi-22").carrying(Alloy::Alumel);
        assert_eq!(supplied_contact("dsub-9-pin", "3", alumel), Some("dsub-pin-alumel"));
        assert_eq!(supplied_contact("sealed-4-plug", "1", alumel), Some("sealed-socket-small"));
        // Swapped legs stay swapped: the cavity decides, not the wire.
        let swapped = supplied_contact("thermocouple-mini-k-jack", "plus", alumel);
        assert_eq!(swapped, Some("thermocouple-spring-chromel"));
    }

    #[test]
    fn every_stud_takes_the_usual_wires() {
        for stud in ["#4", "#6", "#8", "#10", "1/4 in", "5/16 in", "M3", "M3.5", "M4", "M5", "M6", "M8"] {
            for wire in ["etfe-22", "etfe-20", "etfe-18", "boat-0.5", "boat-1", "screened-1-22"] {
                assert!(supplied_lug(stud, end_of(wire)).is_some(), "{stud} {wire}");
            }
        }
        for stud in ["#10", "1/4 in", "5/16 in", "3/8 in", "M5", "M6", "M8"] {
            for wire in ["etfe-16", "etfe-14", "etfe-12", "etfe-10", "etfe-8", "boat-2.5", "boat-6"] {
                assert!(supplied_lug(stud, end_of(wire)).is_some(), "{stud} {wire}");
            }
        }
        assert_eq!(supplied_lug("#4", end_of("etfe-24")), Some("ring-no4-26-24"));
        assert_eq!(supplied_lug("M6", end_of("boat-2.5")), Some("ring-m6-16-14"));
        assert_eq!(supplied_lug("#4", end_of("etfe-8")), None);
        let chromel = end_of("thermocouple-k-ansi-20").carrying(Alloy::Chromel);
        assert_eq!(supplied_lug("#8", chromel), Some("ring-no8-chromel"));
        assert_eq!(supplied_lug("M6", chromel), Some("ring-m6-22-18"));
        let blade = push_on(Library::supplied(), Length::from_mm(6.3), end_of("etfe-20"));
        assert_eq!(blade.map(|id| Library::supplied().lugs.name(id)), Ok("push-on-6-3-22-18"));
    }

    #[test]
    fn supplied_splices_take_their_ends_and_their_alloy() {
        let pick = |ends: &[i8], alloy| {
            let ends: Vec<Gauge> = ends.iter().map(|n| Gauge::Awg(*n)).collect();
            let library = Library::supplied();
            splice(library, &ends, alloy).map(|id| library.splices.name(id))
        };
        assert_eq!(pick(&[22, 22], None), Ok("solder-sleeve-26-20"));
        assert_eq!(pick(&[20; 7], None), Ok("multi-splice-8"));
        assert!(matches!(pick(&[20; 9], None), Err(Misfit::Ends { most: 8, .. })));
        assert_eq!(pick(&[20, 20], Some(Alloy::Alumel)), Ok("thermocouple-splice-alumel"));
        assert_eq!(pick(&[8, 8], None), Ok("butt-8"));
        assert!(matches!(pick(&[24, 8], None), Err(Misfit::Gauge { .. })));
        // Three of 20 AWG: two on one side are 1.04 mm², above the 0.52 mm² of the smallest sleeve.
        assert_eq!(pick(&[20, 20, 20], None), Ok("solder-sleeve-24-16"));
        assert!(matches!(pick(&[10; 4], None), Err(Misfit::Together { .. })));
    }
}
