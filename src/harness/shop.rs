//! What the spec says of the shop in; its allowances, steps and bench out, each given or the tool's default.

use super::Chosen;
use super::origin::Origin;
use crate::diag::Sink;
use crate::quantity::Length;
use crate::spec::model::Spec;

/// Allowances of the shop.
#[derive(Clone, Copy, Debug)]
pub struct Shop {
    /// Step that cut lengths are rounded up to.
    pub cut_step: Chosen<Length>,
    /// Loop behind an indicator.
    pub service_loop: Chosen<Length>,
    /// From a place to a cavity or stud.
    pub tail: Chosen<Length>,
    /// Times an end may be terminated anew.
    pub reterminations: Chosen<u32>,
    /// Length of a letter of a wire mark on its sleeve.
    pub mark_pitch: Chosen<Length>,
    /// The bench that looms are laid out on.
    pub bench: Bench,
}

/// A bench, free to lay wires on.
#[derive(Clone, Copy, Debug)]
pub struct Bench {
    /// Long side.
    pub width: Chosen<Length>,
    /// Short side.
    pub depth: Chosen<Length>,
}

/// Reads the section `shop:`, with the usual values where nothing is said.
pub(super) fn read(spec: &Spec, origin: &Origin, sink: &mut Sink) -> Shop {
    let spot = origin.top("shop");
    let length = |given: Option<Length>, key: &str, usual: f64| Chosen {
        value: given.unwrap_or(Length::from_mm(usual)),
        span: given.map(|_| origin.field(spot, key)),
    };
    let bench = &spec.shop.bench;
    let at_bench = origin.inner(spot, "bench");
    let side = |given: Option<Length>, key: &str, usual: f64| Chosen {
        value: given.unwrap_or(Length::from_mm(usual)),
        span: given.map(|_| origin.field(at_bench, key)),
    };
    // The usual values are common practice, no source, but for the two terminations anew: AC 43.13-1B par. 11-118.
    let shop = Shop {
        cut_step: length(spec.shop.cut_step, "cut-step", 5.0),
        service_loop: length(spec.shop.service_loop, "service-loop", 150.0),
        tail: length(spec.shop.tail, "tail", 100.0),
        reterminations: Chosen {
            value: spec.shop.reterminations.unwrap_or(2),
            span: spec.shop.reterminations.map(|_| origin.field(spot, "reterminations")),
        },
        mark_pitch: length(spec.shop.mark_pitch, "mark-pitch", 1.8),
        bench: Bench { width: side(bench.width, "width", 2400.0), depth: side(bench.depth, "depth", 1200.0) },
    };
    if shop.cut_step.value <= Length::from_um(0) {
        let span = origin.field(origin.top("shop"), "cut-step");
        sink.unreadable(
            span,
            "the cut step is nothing",
            "write the step that the shop cuts to, as in `5 mm`",
        );
    }
    for (side, key) in [(shop.bench.width, "width"), (shop.bench.depth, "depth")] {
        if side.value <= Length::ZERO {
            let span = origin.field(origin.inner(origin.top("shop"), "bench"), key);
            sink.unreadable(
                span,
                format!("the {key} of the bench is nothing"),
                "write what is free on the bench, as in `2400 mm`",
            );
        }
    }
    shop
}
