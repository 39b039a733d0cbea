//! Looms of real and of generated specs, laid out again and again by one who remembers and by one who does not: both must
//! come to the same, rectangle for rectangle.

use std::collections::BTreeSet;
use std::path::Path;

use super::fold::Sides;
use super::job::Job;
use super::laid::Layout;
use super::lay::Layer;
use super::words::Texts;
use super::{ends, loom};
use crate::draw::generator;
use crate::draw::geometry::mm;
use crate::pipeline::{self, Resolved, beyond};
use crate::plan::Plan;

fn resolved(path: &Path) -> Resolved {
    let read = pipeline::read(path).expect("a file").resolve();
    read.unwrap_or_else(|u| panic!("{}: {:?}", path.display(), u.findings))
}

/// All shapes of a layout: the same where it is laid the same.
fn assert_same(remembered: &Layout, anew: &Layout) {
    for (one, other) in remembered.shapes.iter().flatten().zip(anew.shapes.iter().flatten()) {
        assert_eq!(one.laid, other.laid);
    }
    assert_eq!(remembered.apart, anew.apart);
}

/// Lays every loom out between narrower and narrower sides, whole and with legs cut off; how many shapes of how many were
/// remembered.
fn lay_all(read: &Resolved) -> (usize, usize) {
    let Resolved { harness: h, library, routing, bundles, .. } = read;
    let plan = Plan::of(h, library, routing);
    let job = Job::new(h, library, routing, bundles, &plan.fed_into);
    let ends = ends::ends(h, library, routing, bundles, &beyond(h, &plan));
    let (mut remembered, mut all) = (0, 0);
    for loom in loom::looms(h, library, routing, bundles, ends) {
        let texts = Texts::of(&job, &loom);
        let mut layer = Layer::new(&job, &loom, &texts);
        let mut known = 0;
        for round in 0..5 {
            let sides = Sides { left: mm(-300.0), right: mm(2000.0 - 90.0 * f64::from(round)) };
            let (is, anew) = (layer.whole(sides), Layer::new(&job, &loom, &texts).whole(sides));
            assert_eq!(is.is_some(), anew.is_some());
            let whole = is.zip(anew);
            let cuts: BTreeSet<usize> = (1..loom.knots.len()).step_by(7).take(round as usize).collect();
            let is = layer.broken(sides, &cuts);
            let broken = (is, Layer::new(&job, &loom, &texts).broken(sides, &cuts));
            for (is, anew) in [Some(broken), whole].into_iter().flatten() {
                assert_same(&is, &anew);
                let numbers = || is.shapes.iter().flatten().map(|shape| shape.number).filter(|n| *n > 0);
                all += numbers().count();
                remembered += numbers().filter(|n| *n <= known).count();
                known = numbers().max().unwrap_or(0).max(known);
            }
        }
    }
    (remembered, all)
}

#[test]
fn what_is_remembered_lies_as_if_it_were_laid_anew() {
    let (mut remembered, mut all) = (0, 0);
    for (seed, conductors) in [(1, 30), (2, 60), (3, 90), (5, 45)] {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("spec.yaml");
        std::fs::write(&path, generator::spec(seed, conductors)).expect("a file");
        let (some, of) = lay_all(&resolved(&path));
        (remembered, all) = (remembered + some, all + of);
    }
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("harness-specs/four-cylinder.yaml");
    let (some, of) = lay_all(&resolved(&shipped));
    assert!(some * 2 > of, "{some} of {of} shapes of the shipped loom");
    assert!(remembered * 2 > all, "{remembered} of {all}");
}
