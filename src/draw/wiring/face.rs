//! A device in; how it is drawn out: its words, measured, and the room it takes around its rows.

use crate::draw::geometry::{Mm, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::palette::Ink;
use crate::harness::{DeviceClass, DeviceId, Harness, PinId};
use crate::quantity::Current;

use super::flag;
use super::seat::Side;
use super::share::Site;
use super::words;

/// Room between a box's edge and what stands in it.
pub(super) const PAD: Mm = mm(1.75);
/// Length of a splice's sleeve.
pub(super) const SLEEVE: Mm = mm(5.0);
/// Between the halves of an in-line connector: length of the mated contacts.
pub(super) const MATED: Mm = mm(7.0);
/// Room for the graphic symbol in a box.
const GLYPH: Mm = mm(12.5);
/// Widest rating that has room beside its symbol.
const RATING: Mm = mm(9.0);

/// The halves of an in-line connector.
pub(super) const HALVES: [&str; 2] = ["plug", "receptacle"];

/// Widest line over an in-line connector.
const IN_LINE: Mm = mm(44.0);
/// How far words over an in-line connector may reach beyond it: less than any label beside it.
const OVERHANG: Mm = mm(16.0);

/// How a device is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// Name above, connectors below.
    Head,
    /// Name beside the pins.
    Plate,
    /// Two halves, mated.
    InLine,
    /// A sleeve, its name above.
    Sleeve,
}

/// The graphic symbol in a device's box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Glyph {
    /// Where plus and minus of a probe meet.
    Thermocouple,
    /// With its rating.
    Breaker(Current),
    /// With its rating.
    Fuse(Current),
    /// A terminal on a bus, without protection.
    Bus,
    /// A point on a body.
    Ground,
    /// A post that several lugs share.
    Stud,
}

impl Glyph {
    /// What stands beside it: a rating as it is printed on breakers and fuses, in amperes, however small.
    pub fn rating(self) -> Option<String> {
        match self {
            Glyph::Breaker(rating) | Glyph::Fuse(rating) => Some(format!("{} A", rating.amps())),
            _ => None,
        }
    }

    /// By how much its lead is longer, for the sake of a long rating.
    pub fn lead(self) -> Mm {
        let wide = self.rating().map_or(Mm::ZERO, |words| lettering::width(&words, Lettering::SMALL));
        (wide - RATING).max(Mm::ZERO)
    }

    /// Room for it in a box.
    pub fn room(self) -> Mm {
        GLYPH + self.lead()
    }
}

/// A device's look.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// How it is drawn.
    pub shape: Shape,
    /// Least width of its box.
    pub width: Mm,
    /// Name, title and notes.
    pub text: Vec<Line>,
    /// Width of the cells at its left and right edge.
    pub cells: [Mm; 2],
    /// Width of the notes beside them.
    pub notes: [Mm; 2],
    /// Its symbol.
    pub glyph: Option<Glyph>,
    /// Room above its first row.
    pub before: Mm,
    /// Room below its last row.
    pub after: Mm,
}

/// What the drawing knows of a device's pins.
pub(super) struct Pins<'a> {
    /// Pins drawn at the left and the right edge.
    pub at: &'a [Vec<PinId>; 2],
    /// Number of rows.
    pub rows: usize,
    /// Distance of rows.
    pub pitch: Mm,
    /// For each pin of the harness, whether a conductor ends at it.
    pub used: &'a [bool],
    /// True for an indicator of the first zone.
    pub head: bool,
    /// True where a conductor leaves it on the right.
    pub leaves_right: bool,
}

/// A line of lettering; what is said aside stands behind it in small grey letters.
#[derive(Clone, Debug)]
pub(super) struct Line {
    /// What it says.
    pub words: String,
    /// Its lettering.
    pub lettering: Lettering,
    /// What stands behind it.
    pub aside: String,
    /// Instead of words: flags that point to other sheets.
    pub flags: usize,
}

/// From a baseline to that of the flags below it.
pub(super) const FLAG_STEP: Mm = mm(5.5);

/// Lettering of what is said aside.
pub(super) const GREY: Lettering = Lettering::SMALL.inked(Ink::SLATE);
/// Room before it.
pub(super) const ASIDE: Mm = mm(2.5);

impl Line {
    /// From the baseline above it to its own.
    pub fn step(&self) -> Mm {
        if self.flags > 0 { FLAG_STEP } else { self.lettering.height.pitch() }
    }

    fn width(&self, flag: Mm) -> Mm {
        if self.flags > 0 {
            return flag.times(self.flags);
        }
        let aside =
            if self.aside.is_empty() { Mm::ZERO } else { ASIDE + lettering::width(&self.aside, GREY) };
        lettering::width(&self.words, self.lettering) + aside
    }
}

/// Height of lines below one another, from the top of the first one's capitals to the last baseline.
pub(super) fn text_height(text: &[Line]) -> Mm {
    let step = |(i, l): (usize, &Line)| {
        if i == 0 { l.lettering.height.capital() } else { l.step() }
    };
    text.iter().enumerate().map(step).sum()
}

fn text_width(text: &[Line], flag: Mm) -> Mm {
    text.iter().map(|line| line.width(flag)).max().unwrap_or_default()
}

/// Measures a device.
pub(super) fn face(site: &Site, id: DeviceId, pins: &Pins) -> Face {
    let h = site.h;
    let device = h.device(id);
    let shape = match device.class {
        DeviceClass::InLine { .. } => Shape::InLine,
        DeviceClass::Splice { .. } => Shape::Sleeve,
        _ if pins.head => Shape::Head,
        _ => Shape::Plate,
    };
    let cell = |side: usize| {
        let widest =
            pins.at[side].iter().map(|p| lettering::width(&words::pin_sign(h, *p), Lettering::SMALL));
        widest.max().map_or(Mm::ZERO, |w| (w + mm(2.4)).max(mm(7.0)))
    };
    let note = |side: usize| {
        let said = pins.at[side].iter().map(|p| words::pin_note(h, *p, pins.head));
        said.map(|w| lettering::width(&w, Lettering::SMALL)).max().unwrap_or_default()
    };
    let (cells, notes) = ([cell(0), cell(1)], [note(0), note(1)]);
    let glyph = glyph(h, id, pins);
    let text = text(site, id, shape, pins);
    let (high, wide) = (text_height(&text), text_width(&text, site.flag));
    let pad = |w: Mm| if w > Mm::ZERO { w + PAD } else { w };
    let edges = cells[0] + cells[1] + pad(notes[0]) + pad(notes[1]);
    let (width, before, after) = match shape {
        Shape::Head => {
            let titles = (0..device.connectors.len())
                .flat_map(|c| words::connector(site, id, u32::try_from(c).unwrap_or(u32::MAX)));
            let titles = titles.map(|t| lettering::width(&t, Lettering::SMALL)).max().unwrap_or_default();
            (wide.max(titles).max(edges + PAD * 2).max(mm(44.0)) + PAD * 2, high + PAD * 3, PAD)
        }
        Shape::Plate => {
            let symbol = glyph.map_or(Mm::ZERO, Glyph::room);
            let rows = pins.pitch.times(pins.rows);
            // A rating stands above or below its symbol, which is level with the pin.
            let least = match glyph {
                Some(Glyph::Breaker(_) | Glyph::Fuse(_)) => mm(4.25),
                Some(Glyph::Ground | Glyph::Bus) => mm(2.0),
                _ => mm(1.25),
            };
            let room = ((high + PAD * 2 - rows) / 2).max(least);
            (edges + symbol + wide + PAD * 3, room, room)
        }
        Shape::InLine => {
            let halves = HALVES.map(|w| lettering::width(w, Lettering::SMALL) + mm(2.0));
            let inner = (cells[0] + cells[1] + MATED).max(halves[0] + halves[1]);
            // Beside it there are labels, which are lower than these words.
            let aside = if pins.leaves_right { OVERHANG } else { Mm::ZERO };
            ((wide + PAD - aside).max(inner), high + Lettering::SMALL.height.pitch() + PAD * 2, mm(1.25))
        }
        Shape::Sleeve => (wide.max(SLEEVE) + PAD, high + mm(3.0), mm(1.0)),
    };
    Face { shape, width, text, cells, notes, glyph, before, after }
}

fn glyph(h: &Harness, id: DeviceId, pins: &Pins) -> Option<Glyph> {
    let device = h.device(id);
    if pins.at.iter().all(Vec::is_empty) {
        return None;
    }
    match device.class {
        DeviceClass::Ground { .. } => Some(Glyph::Ground),
        DeviceClass::Stud { .. } => Some(Glyph::Stud),
        DeviceClass::Supply { breaker: Some(rating), .. } => Some(Glyph::Breaker(rating.value)),
        DeviceClass::Supply { fuse: Some(rating), .. } => Some(Glyph::Fuse(rating.value)),
        DeviceClass::Supply { .. } => Some(Glyph::Bus),
        DeviceClass::Sensor if pins.rows == 2 && !pins.head => {
            let drawn = &pins.at[if pins.at[0].is_empty() { 1 } else { 0 }];
            let pair =
                drawn.iter().all(|p| h.port_of(*p).is_some_and(|(p, _)| p.kind.thermocouple().is_some()));
            (pair && drawn.len() == 2).then_some(Glyph::Thermocouple)
        }
        _ => None,
    }
}

fn text(site: &Site, id: DeviceId, shape: Shape, pins: &Pins) -> Vec<Line> {
    let (h, library, limits) = (site.h, site.library, site.limits);
    let device = h.device(id);
    let place = words::whereabouts(h, site.routing, id);
    let small = Lettering::SMALL;
    let bold = Lettering::PLAIN.bold();
    let mut text = Text(Vec::new());
    match shape {
        Shape::Head => {
            text.add(&device.name, Lettering::LARGE.bold(), limits.head);
            text.aside(&place, limits.head);
            if device.title != device.name {
                text.add(&device.title, Lettering::PLAIN, limits.head);
            }
        }
        Shape::Plate => {
            text.add(&device.name, bold, limits.plate);
            text.aside(&place, limits.plate);
            if device.title != device.name {
                text.add(&device.title, small, limits.plate);
            }
            let mut notes = Vec::new();
            match &device.class {
                DeviceClass::Supply { bus: Some(bus), .. } => {
                    notes.push(format!("bus {}", h.bus(bus.value).name));
                }
                DeviceClass::Ground { others, .. } | DeviceClass::Stud { others, .. } if *others > 0 => {
                    notes.push(match others {
                        1 => "1 lug of another circuit".to_owned(),
                        n => format!("{n} lugs of other circuits"),
                    });
                }
                _ => {}
            }
            notes.extend(words::unused(h, pins.used, id));
            text.add(&notes.join(", "), GREY, limits.plate);
        }
        Shape::InLine => {
            text.add(&device.name, bold, IN_LINE);
            text.aside(&place, IN_LINE);
            if !words::is_part_title(h, library, id) {
                text.add(&device.title, small, IN_LINE);
            }
            if let Some(spare) = spare_couples(h, pins.used, id) {
                text.add(&spare, GREY, IN_LINE);
            }
        }
        Shape::Sleeve => {
            text.add(&device.name, bold, limits.splice);
            if !words::is_part_title(h, library, id) {
                text.add(&device.title, small, limits.splice);
            }
            text.add(&place, GREY, limits.splice);
        }
    }
    let mut left = site.flags.get(&id).copied().unwrap_or(0);
    while left > 0 {
        let flags = left.min(flag::ABREAST);
        text.0.push(Line { words: String::new(), lettering: small, aside: String::new(), flags });
        left -= flags;
    }
    text.0
}

struct Text(Vec<Line>);

impl Text {
    fn add(&mut self, words: &str, lettering: Lettering, limit: Mm) {
        let lines = lettering::wrap(words, lettering, limit);
        self.0.extend(lines.into_iter().map(|words| Line {
            words,
            lettering,
            aside: String::new(),
            flags: 0,
        }));
    }

    /// Behind the last line where there is room, else below it.
    fn aside(&mut self, words: &str, limit: Mm) {
        if let Some(last) = self.0.last_mut() {
            last.aside = words.to_owned();
            if last.width(Mm::ZERO) <= limit {
                return;
            }
            last.aside.clear();
        }
        self.add(words, GREY, limit);
    }
}

/// Couples of an in-line connector with no conductor on either half.
fn spare_couples(h: &Harness, used: &[bool], id: DeviceId) -> Option<String> {
    let half = h.device(id).pin_count / 2;
    let is_used = |p: PinId| used.get(p.index()) == Some(&true);
    let spare = h.pins_of(id).take(half as usize);
    let spare = spare.filter(|p| !is_used(*p) && !h.mate(*p).is_some_and(is_used)).count();
    (spare > 0).then(|| format!("{spare} of {half} unused"))
}

impl Face {
    /// Width of cells and notes at one side.
    pub fn edge(&self, side: Side) -> Mm {
        let i = usize::from(side == Side::Right);
        self.cells[i] + if self.notes[i] > Mm::ZERO { self.notes[i] + PAD } else { Mm::ZERO }
    }
}
