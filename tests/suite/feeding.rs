//! Which way the ends of wires are fed through holes: a wire that passes several holes starts somewhere on its way, and
//! each end is fed on from there.

use std::path::Path;

use fairlead::graph::feeding::Passage;
use fairlead::harness::{Harness, HoleId, ZoneId};
use fairlead::pipeline::{self, Resolved};
use fairlead::plan::Plan;
use fairlead::plan::crimp_list::crimp_list;

fn resolved(name: &str) -> Resolved {
    pipeline::read(Path::new(&format!("harness-specs/{name}.yaml"))).unwrap().resolve().unwrap()
}

fn other_side(h: &Harness, hole: HoleId, zone: ZoneId) -> ZoneId {
    let [a, b] = h.barrier(h.hole(hole).barrier).between;
    if zone == a { b } else { a }
}

/// The zone in which an end starts, and the one it comes to; each hole is entered from the zone that the one before it
/// led into.
fn chain(h: &Harness, through: &[Passage]) -> Option<[ZoneId; 2]> {
    let first = through.first()?;
    let start = other_side(h, first.hole, first.towards);
    let mut at = start;
    for passage in through {
        assert_eq!(other_side(h, passage.hole, passage.towards), at);
        at = passage.towards;
    }
    Some([start, at])
}

/// The wires of the tank go out through one hole and in again through another: the end at the tank is fed out, then in.
#[test]
fn a_wire_that_crosses_a_barrier_twice_is_fed_out_and_in_again() {
    let resolved = resolved("as-found");
    let (h, plan) = (&resolved.harness, Plan::of(&resolved.harness, &resolved.library, &resolved.routing));
    let of =
        |pin: &str| plan.terminations.of.iter().flatten().find(|end| h.pin(end.pin).name == pin).unwrap();
    for (tank, gauge) in [("TANK.signal", "GAUGE.B.15"), ("TANK.return", "GAUGE.B.28")] {
        let told: Vec<(&str, &str, bool)> = of(tank)
            .through
            .iter()
            .map(|p| (h.hole(p.hole).name.as_str(), h.zone(p.towards).name.as_str(), p.back))
            .collect();
        assert_eq!(told, [("FH1", "engine", false), ("FH2", "cabin", true)]);
        assert_eq!(of(gauge).through, []);
        let stays: Vec<&str> = of(gauge).stays_at.iter().map(|hole| h.hole(*hole).name.as_str()).collect();
        assert_eq!(stays, ["FH1", "FH2"]);
    }
    let (_, rows) = crimp_list(h, &resolved.library, &resolved.routing, &plan);
    let when = |pin: &str| rows.iter().find(|row| row.end.pin == pin).unwrap().end.when.clone();
    assert_eq!(when("TANK.signal"), "bench; lug passes FH1 towards engine, then FH2 towards cabin");
    assert_eq!(when("GAUGE.B.15"), "bench; the other end is fed through FH1, FH2");
    let back: Vec<(&str, usize)> =
        plan.terminations.feeds.iter().flatten().map(|f| (h.hole(f.hole).name.as_str(), f.back)).collect();
    assert_eq!(back, [("FH1", 0), ("FH2", 2)]);
}

/// For every conductor: both ends start in one zone, each passes its holes in a chain, and together they pass all.
#[test]
fn both_ends_of_a_wire_start_in_one_zone() {
    for name in ["four-cylinder", "six-cylinder", "workboat", "as-found"] {
        let resolved = resolved(name);
        let h = &resolved.harness;
        let plan = Plan::of(h, &resolved.library, &resolved.routing);
        for (id, [from, to]) in h.conductor_ids().zip(&plan.terminations.of) {
            let starts: Vec<ZoneId> =
                [from, to].iter().filter_map(|end| chain(h, &end.through)).map(|[start, _]| start).collect();
            assert!(starts.windows(2).all(|two| two[0] == two[1]), "{name} {}", h.conductor(id).mark);
            let holes = resolved.routing.path_of(h, id).map_or(0, |path| path.holes.len());
            assert_eq!(from.through.len() + to.through.len(), holes, "{name} {}", h.conductor(id).mark);
            for (one, other) in [(from, to), (to, from)] {
                let fed: Vec<HoleId> = other.through.iter().map(|p| p.hole).collect();
                assert_eq!(one.stays_at, fed, "{name} {}", h.conductor(id).mark);
            }
        }
    }
}
