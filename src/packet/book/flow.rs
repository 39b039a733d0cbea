//! Strips of a height each in; which of them stand on which page out. No strip is cut.

use std::rc::Rc;

use super::lead::Lead;
use crate::draw::{Area, Mm, Point, Scene};

/// A part of a page that goes over its whole width.
#[derive(Clone, Debug, Default)]
pub(super) struct Strip {
    /// What stands in it, from its upper left corner.
    pub scene: Scene,
    /// How much of the page it takes.
    pub height: Mm,
    /// What in it leads elsewhere.
    pub leads: Vec<(Area, Lead)>,
    /// What the outline calls this place; None where it names it not.
    pub bookmark: Option<String>,
    /// Whether the next strip must stand on the same page.
    pub holds_next: bool,
    /// What is said again above it where it begins a page.
    pub again: Vec<Rc<Strip>>,
}

impl Strip {
    /// Nothing but free space.
    pub fn space(height: Mm) -> Strip {
        Strip { height, ..Strip::default() }
    }
}

/// A strip at its place.
#[derive(Clone, Debug)]
pub(super) struct Placed<'a> {
    pub strip: &'a Strip,
    /// Its upper left corner, from that of the page's free area.
    pub corner: Point,
}

/// Deals strips onto pages: `room` is the free height of the first page, and of all others. There is at least one page.
pub(super) fn deal(strips: &[Strip], room: [Mm; 2]) -> Vec<Vec<Placed<'_>>> {
    let [first, others] = room;
    let mut pages: Vec<Vec<Placed<'_>>> = vec![vec![]];
    let mut used = Mm::ZERO;
    let mut rest = strips;
    while !rest.is_empty() {
        let held = rest.iter().position(|s| !s.holds_next).map_or(rest.len(), |last| last + 1);
        let (mut together, _) = rest.split_at(held);
        let free = if pages.len() == 1 { first } else { others } - used;
        let again =
            |strips: &[Strip]| strips.first().map_or(Mm::ZERO, |s| s.again.iter().map(|a| a.height).sum());
        // What is too high to be held together on any page goes strip by strip.
        if height(together) > free && again(together) + height(together) > others {
            together = together.get(..1).unwrap_or(together);
        }
        let begun = pages.last().is_some_and(|page| !page.is_empty());
        if height(together) > free && begun {
            pages.push(vec![]);
            used = Mm::ZERO;
            let said = together.first().map(|s| s.again.as_slice()).unwrap_or_default();
            for strip in said {
                put(&mut pages, strip, &mut used);
            }
        }
        for strip in together {
            // Free space is not carried over to the head of a page.
            if strip.scene.items().is_empty() && used == Mm::ZERO {
                continue;
            }
            put(&mut pages, strip, &mut used);
        }
        rest = rest.get(together.len()..).unwrap_or_default();
    }
    pages
}

fn height(strips: &[Strip]) -> Mm {
    strips.iter().map(|s| s.height).sum()
}

fn put<'a>(pages: &mut [Vec<Placed<'a>>], strip: &'a Strip, used: &mut Mm) {
    if let Some(page) = pages.last_mut() {
        page.push(Placed { strip, corner: Point::new(Mm::ZERO, *used) });
        *used += strip.height;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::{Layer, Lettering, Mark, mm};

    fn strip(words: &str, height: f64) -> Strip {
        let mut scene = Scene::default();
        scene.text(&Mark::new(Layer::Note), Point::default(), words, Lettering::SMALL);
        Strip { scene, height: mm(height), bookmark: Some(words.to_owned()), ..Strip::default() }
    }

    fn said(pages: &[Vec<Placed<'_>>]) -> Vec<Vec<String>> {
        let words = |p: &Placed<'_>| p.strip.bookmark.clone().unwrap_or_default();
        pages.iter().map(|page| page.iter().map(words).collect()).collect()
    }

    #[test]
    fn heads_stay_with_their_rows_and_are_said_again() {
        let head = Strip { holds_next: true, ..strip("head", 10.0) };
        let again = Rc::new(strip("head again", 10.0));
        let row = |n: usize| Strip { again: vec![again.clone()], ..strip(&format!("row {n}"), 30.0) };
        let strips: Vec<Strip> = [strip("text", 75.0), head].into_iter().chain((1..=4).map(row)).collect();
        let pages = deal(&strips, [mm(100.0); 2]);
        assert_eq!(
            said(&pages),
            [vec!["text"], vec!["head", "row 1", "row 2", "row 3"], vec!["head again", "row 4"]]
        );
        assert_eq!(pages[1][2].corner.y, mm(40.0));
    }

    #[test]
    fn what_no_page_holds_together_still_comes_out() {
        let held = |n: usize| Strip { holds_next: true, ..strip(&n.to_string(), 40.0) };
        let strips: Vec<Strip> = (0..6).map(held).chain([strip("giant", 500.0), strip("end", 1.0)]).collect();
        let pages = deal(&strips, [mm(50.0), mm(100.0)]);
        let all: Vec<String> = said(&pages).concat();
        assert_eq!(all, ["0", "1", "2", "3", "4", "5", "giant", "end"]);
        assert_eq!(said(&deal(&[], [mm(50.0); 2])), [Vec::<String>::new()]);
    }
}
