//! The board: a resolved harness and where it lies in; every loom of it laid flat on the bench at full size, out.
//!
//! ```text
//! ends ─ loom (trees; rings broken) ─ words ─ bench( fold ─ lay( known, arrange( fan, branch ) ) ) ─ drawn ─ sheet ─ tiles
//! ```
//!
//! Guarantees: every leg and every tail is as long on the sheet as it is, bent no tighter than its wires may be; a
//! conductor's way can be followed from stop to stop, over letters where it is broken off; nothing overlaps; what does
//! not fit the bench says so and is not made smaller.

mod arrange;
mod bench;
mod branch;
mod card;
mod crowd;
mod drawn;
mod ends;
mod fan;
mod fold;
mod frame;
mod hold;
mod job;
mod known;
mod laid;
#[cfg(test)]
mod laid_anew;
mod lay;
mod loom;
mod price;
mod sheet;
mod tile_join;
mod tile_page;
mod tile_plan;
mod tiles;
mod turn;
mod way;
mod words;

use super::geometry::{Area, Extent, Mm};
use super::scene::Scene;
use super::title_block::TitleBlock;
use crate::graph::{Bundles, Routing};
use crate::harness::{Harness, HoleId};
use crate::parts::library::Library;
use crate::quantity::Length;
use crate::workers;
use job::Job;
pub use tiles::{OVERLAP, Tile, tiles, window};
use words::Texts;

/// What an end of a conductor has beyond its place, as the cut list reckons it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Beyond {
    /// From the place to the pin.
    pub tail: Length,
    /// Loop behind an indicator.
    pub service_loop: Length,
    /// To the place of a device that this one trades places with.
    pub reach: Length,
    /// What is cut longer: to terminate anew, and folded back.
    pub reserve: Length,
}

impl Beyond {
    /// From the place to where the wire ends on the bench.
    pub fn laid(self) -> Length {
        self.tail + self.service_loop + self.reach
    }
}

/// One loom on its sheet.
#[derive(Clone, Debug)]
pub struct Board {
    /// The sheet, at 1:1.
    pub scene: Scene,
    /// Where on the sheet the loom lies.
    pub area: Area,
    /// False where it takes more than the bench of the shop.
    pub fits_bench: bool,
}

/// A board for each loom, in the order of their first conductors; none where nothing is laid. `beyond` says by
/// conductor id what its ends, `from` first, have beyond their places, `fed_into` by run id through which hole wires are
/// fed before they lie there. `banner` stands across each head, where the
/// harness must not be built yet.
pub fn boards(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    beyond: &[[Beyond; 2]],
    fed_into: &[Option<HoleId>],
    banner: Option<&str>,
) -> Vec<Board> {
    let job = Job::new(h, library, routing, bundles, fed_into);
    let ends = ends::ends(h, library, routing, bundles, beyond);
    let looms = loom::looms(h, library, routing, bundles, ends);
    let shop = h.shop.bench;
    let bench = Extent::new(Mm::from(shop.width.value), Mm::from(shop.depth.value));
    let sheet = |i: usize| {
        let loom = &looms[i];
        let texts = Texts::of(&job, loom);
        let placed = bench::on_bench(&job, loom, &texts, bench);
        let (drawing, shown) = drawn::draw(&job, loom, &texts, &placed);
        let classes = loom.knots.iter().flat_map(|knot| &knot.ends).map(|end| &h.device(end.device).class);
        let told = sheet::Told {
            kinds: sheet::Kinds::of(classes),
            fits: placed.fits(bench),
            folds: placed.legs.iter().map(|leg| leg.folds.len()).sum(),
            letters: loom.letters > 0 || !placed.starts.is_empty(),
            shown,
            splices: loom.knots.iter().any(|knot| !knot.splices.is_empty()),
            holes: loom.knots.iter().any(|knot| h.place(knot.place).hole.is_some()),
            fed: placed
                .legs
                .iter()
                .any(|leg| loom.knots[leg.knot].up.is_some_and(|(_, leg)| job.fed_into(leg.run).is_some())),
        };
        let block = TitleBlock {
            sheet: i + 1,
            sheets: looms.len(),
            scale: "1:1".into(),
            ..TitleBlock::of(&h.header, "Board", "Board, full size")
        };
        sheet::on_sheet(&job, &drawing, &told, &block, banner)
    };
    workers::each(looms.len(), sheet)
}
