//! Where a place in the book leads, before anybody knows what page that is.

use std::collections::BTreeMap;

use crate::draw::pdf_out::Target;
use crate::draw::{Layer, Mm, Point, Scene, mm};
use crate::packet::table::Reference;

/// Where something leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Lead {
    /// To the first page of a part of the book, by its number from 0.
    Part(usize),
    /// To a page.
    To(Target),
}

/// From the thing itself to the upper left corner of what is shown when a reader is led to it.
const MARGIN: Mm = mm(30.0);

/// Where the things of the spec are drawn.
#[derive(Clone, Debug, Default)]
pub(super) struct Drawn {
    first: BTreeMap<(&'static str, String), Target>,
}

impl Drawn {
    /// Enters what a drawing names, as far as no drawing before it does. `page`: where the drawing is in the book, from 0.
    pub fn enter(&mut self, scene: &Scene, page: usize) {
        let labels = scene
            .items()
            .iter()
            .filter(|i| matches!(i.mark.layer, Layer::Label | Layer::Conductor | Layer::Device));
        for item in labels {
            let (Some(own), Some(area)) = (item.mark.tags().first(), item.bounds()) else { continue };
            let at = |place: Mm| (place - MARGIN).max(Mm::ZERO);
            self.first
                .entry((own.kind.word(), own.id.to_string()))
                .or_insert_with(|| Target { page, at: Point::new(at(area.min.x), at(area.min.y)) });
        }
    }

    /// Where a thing is drawn; None where no drawing of the book names it.
    pub fn of(&self, thing: &Reference) -> Option<Target> {
        self.first.get(&(thing.kind, thing.id.clone())).copied()
    }
}
