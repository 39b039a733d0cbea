//! Where a device that several sheets share goes on; the flag that says so on the scene out.
//!
//! A flag names a sheet and the zone of its grid (ISO 5457) in which the device's name stands there: `3/C4`.

use super::share::Share;
use crate::draw::geometry::{Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::Mark;
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::Stroke;
use crate::harness::DeviceId;
use std::collections::BTreeMap;

/// Most flags at one device: to all other sheets, or to the one before and the one behind.
pub(super) const MOST: usize = 9;
/// Most of them side by side.
pub(super) const ABREAST: usize = 3;
/// Half the height of a flag.
const HALF: Mm = mm(2.2);
/// Length of its tip.
const TIP: Mm = mm(1.8);
/// From its edge to its words.
const PAD: Mm = mm(0.8);
/// Between two flags.
const GAP: Mm = mm(1.2);
const WORDS: Lettering = Lettering::SMALL;

/// Where a device's name stands, and where its flags go.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    /// The device.
    pub device: DeviceId,
    /// Its mark.
    pub mark: Mark,
    /// Middle of its name.
    pub name: Point,
    /// Left end of the first flag, on the baseline of its words.
    pub flags: Option<Point>,
}

/// Width of the name of a sheet with a zone, so that every number of a sheet up to `sheets` and every zone fits.
pub(super) fn widest(sheets: usize) -> Mm {
    let widest = format!("{}/M00", "0".repeat(sheets.max(10).to_string().len()));
    lettering::width(&widest, WORDS)
}

/// What a flag takes along its line.
pub(super) fn step(sheets: usize) -> Mm {
    widest(sheets) + PAD * 2 + TIP + GAP
}

/// The sheets to which the flags of a device point, of all those that draw it: all others, or where they are many the
/// one before and the one behind, the last one being before the first.
pub(super) fn targets(on: &[usize], here: usize) -> Vec<usize> {
    let others: Vec<usize> = on.iter().copied().filter(|s| *s != here).collect();
    if others.len() <= MOST {
        return others;
    }
    let before = others.iter().copied().rfind(|s| *s < here).or(others.last().copied());
    let behind = others.iter().copied().find(|s| *s > here).or(others.first().copied());
    let mut both: Vec<usize> = before.into_iter().chain(behind).collect();
    both.sort_unstable();
    both
}

/// Sheets that draw each device, counted from 0, for the devices that more than one draws.
pub(super) fn shared(shares: &[Share]) -> BTreeMap<DeviceId, Vec<usize>> {
    let mut on: BTreeMap<DeviceId, Vec<usize>> = BTreeMap::new();
    for (sheet, share) in shares.iter().enumerate() {
        for device in &share.devices {
            on.entry(*device).or_default().push(sheet);
        }
    }
    on.retain(|_, sheets| sheets.len() > 1);
    on
}

/// Draws a flag with its left end at `at`; `mark` is that of its outline, `label` that of its words.
pub(super) fn draw(scene: &mut Scene, mark: &Mark, label: &Mark, at: Point, words: &str, step: Mm) {
    let middle = at.y - WORDS.height.capital() / 2;
    let (shoulder, tip) = (at.x + step - GAP - TIP, at.x + step - GAP);
    let outline = vec![
        Point::new(at.x, middle - HALF),
        Point::new(shoulder, middle - HALF),
        Point::new(tip, middle),
        Point::new(shoulder, middle + HALF),
        Point::new(at.x, middle + HALF),
    ];
    scene.polygon(mark, outline, Stroke::MEDIUM.filled(Ink::WHITE));
    let centre = Point::new((at.x + shoulder) / 2 + PAD / 2, at.y);
    scene.text_at(label, centre, words, WORDS, Anchor::Middle, Turn::Level);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_sheets_are_all_named_and_of_many_the_neighbours() {
        assert_eq!(targets(&[1, 4], 1), [4]);
        assert_eq!(targets(&[0, 1, 2, 3], 1), [0, 2, 3]);
        let many: Vec<usize> = (0..=MOST).map(|n| 2 * n).collect();
        assert_eq!(targets(&many, 6).len(), MOST);
        let more: Vec<usize> = (0..=MOST + 1).map(|n| 2 * n).collect();
        assert_eq!(targets(&more, 6), [4, 8]);
        assert_eq!(targets(&more, 0), [2, 2 * MOST + 2]);
        assert_eq!(targets(&more, 2 * MOST + 2), [0, 2 * MOST]);
    }
}
