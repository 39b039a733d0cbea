//! The ground of harnesses in zones that do not say how hot they get: what is told must hold whatever they turn out to be.

use crate::ground_network::Ground;
use fairlead::graph::conductor_ohms::NoResistance;
use fairlead::graph::ground_network::{Drop, Range, Strap};
use fairlead::graph::{Loading, Phase, Scenario, Through, Unsure};
use fairlead::harness::BondId;
use fairlead::packet::lists;
use fairlead::parts::library::Library;
use fairlead::plan::drop_table::drop_table;
use fairlead::plan::offset_table::offset_table;
use fairlead::quantity::Voltage;

/// What a bond is said to carry.
const CARRIES: &str = "resistance: 4 mΩ, carries: 45 A, cranking: 200 A";

/// Half of the way to the block lies in a bay; no tails and loops. 22 AWG has 16.2 Ω in 1000 ft (AC 43.13-1B Table 11-9).
fn ground(bay: &str, more: &str, circuits: &str) -> Ground {
    bonded(bay, &format!("{{from: engine, to: airframe, {CARRIES}}}"), more, circuits)
}

fn bonded(bay: &str, bonds: &str, more: &str, circuits: &str) -> Ground {
    let text = format!(
        "fairlead: 1
harness: {{title: Bench, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}}
shop: {{tail: 0 mm, service-loop: 0 mm}}
zones: {{bench: {{ambient: 20 °C}}, bay: {{{bay}}}}}
barriers: {{wall: {{between: [bench, bay], holes: {{H: {{bore: 19 mm, max-conductors: 40}}}}}}}}
route:
  - {{from: panel, to: H, zone: bench, length: 1000 mm}}
  - {{from: H, to: block, zone: bay, length: 1000 mm}}
  - {{from: panel, to: wing, zone: bench, length: 1000 mm}}
bodies: {{engine: engine, airframe: structure, tail: structure}}
bonds: [{bonds}]
grounds: {{ENG: {{body: engine, at: block, stud: M6}}, AF: {{body: airframe, at: panel, stud: M6}}, TAIL: {{body: tail, at: wing, stud: M6}}, FAR: {{body: tail, at: block, stud: M6}}}}
supplies: {{CB: {{breaker: 2 A, at: wing, stud: '#8'}}}}
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
{more}circuits:
  POWER: {{from: CB, to: GAUGE.power}}
{circuits}"
    );
    Ground::of(&text)
}

const R22: f64 = 16.2 / 304.8;
/// Of copper at 150 °C, which etfe-22 stands, and at 110 °C, against 20 °C.
const AT_150: f64 = (234.5 + 150.0) / 254.5;
const AT_110: f64 = (234.5 + 110.0) / 254.5;
const GND: &str = "  GND: {from: GAUGE.ground, to: ENG}\n";
const SENSORS: &str = "sensors:\n  OILP: {part: oil-pressure-3wire, at: block}\n  TANK: {part: tank-float-1wire, at: block, body: engine}\n";
const SENDERS: &str =
    "  OILP: {from: OILP, to: GAUGE.oil-pressure}\n  TANK: {from: TANK, to: GAUGE.tank-left}\n";

#[track_caller]
fn near(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 1e-7 * by_hand.abs().max(1.0), "{found} found, {by_hand} by hand");
}

/// Every bay from 20 °C to what the insulation stands.
fn bays() -> impl Iterator<Item = String> {
    [20, 45, 80, 110, 150].into_iter().map(|t| format!("ambient: {t} °C"))
}

#[track_caller]
fn holds(open: Range<f64>, known: Range<f64>, what: &str) {
    assert!(known.low >= open.low - 1e-9 && known.high <= open.high + 1e-9, "{what}: {known:?} in {open:?}");
}

fn total(drop: &Drop) -> Range<f64> {
    let range = drop.known.as_ref().expect("a drop");
    Range { low: range.low.total().volts(), high: range.high.total().volts(), open: range.open }
}

#[test]
fn a_wire_lies_between_the_workshop_and_what_its_insulation_stands() {
    let g = ground("", "", GND);
    let ohms = g.solved.resistance(g.loom.wire("ENG")).unwrap();
    near(ohms.low.ohms(), 2.0 * R22);
    near(ohms.high.ohms(), R22 * (1.0 + AT_150));
    assert!(ohms.open.is_some());
    // The drop may be all of the wire at what its insulation stands, for its own current warms it.
    let dropped = g.solved.dropped(&g.loom.harness, &g.solved.drops[0]).unwrap();
    near(dropped.high.back[0].drop.volts(), 0.5 * 2.0 * R22 * AT_150);
    let known = ground("ambient: 110 °C", "", GND);
    let ohms = known.solved.resistance(known.loom.wire("ENG")).unwrap();
    near(ohms.exact().unwrap().ohms(), R22 * (1.0 + AT_110));
}

/// The same harness with every bay that may be: nothing of it lies outside of what is told without one.
#[test]
fn whatever_the_zone_turns_out_to_be_lies_between_the_ends() {
    // A tree, two ways abreast, and a loop over the strap.
    let abreast = format!("{GND}  G2: {{from: GAUGE.screens, to: ENG}}\n");
    let looped = format!("{GND}  G2: {{from: GAUGE.screens, to: AF, length: 1500 mm}}\n");
    for grounds in [GND, &abreast, &looped] {
        let circuits = format!("{grounds}{SENDERS}");
        let open = ground("", SENSORS, &circuits);
        let divides = open.solved.carried(open.loom.wire("ENG"), Phase::Cruise).unwrap().open.is_some();
        assert_eq!(divides, grounds != GND);
        for bay in bays() {
            let known = ground(&bay, SENSORS, &circuits);
            for (a, b) in open.solved.drops.iter().zip(&known.solved.drops) {
                holds(total(a), total(b), &format!("{bay} drop"));
            }
            for (a, b) in open.solved.senders.iter().zip(&known.solved.senders) {
                for ((scenario, a), (_, b)) in a.offsets.iter().zip(&b.offsets) {
                    let what = format!("{bay} {scenario:?}");
                    // What drives current once the bond opens hangs on the wires too: how much, nobody says.
                    if let (Scenario::Open(..), Err(Unsure::Resistance(through))) = (scenario, a) {
                        assert_eq!(
                            (*through, grounds),
                            (Through::Conductor(open.loom.wire("ENG")), &*looped)
                        );
                        continue;
                    }
                    let (Ok(a), Ok(b)) = (a, b) else { panic!("{scenario:?}") };
                    holds(a.map(|o| o.volts.volts()), b.map(|o| o.volts.volts()), &what);
                    let error =
                        |r: &Range<f64>| Range { low: r.low.min(r.high), high: r.low.max(r.high), ..*r };
                    let [a, b] = [a, b].map(|r| r.map(|o| o.misread.expect("a scale").error.value()));
                    let (a, b) = (error(&a), error(&b));
                    assert!(b.low >= a.low - 2e-6 && b.high <= a.high + 2e-6, "{what}: {b:?} in {a:?}");
                }
            }
            for id in open.loom.harness.conductor_ids() {
                for phase in Phase::ALL {
                    let (a, b) = (open.solved.carried(id, phase), known.solved.carried(id, phase));
                    holds(a.unwrap().map(|i| i.amps()), b.unwrap().map(|i| i.amps()), &bay);
                }
            }
            for (a, b) in open.solved.straps.iter().zip(&known.solved.straps) {
                let (Strap::Around(a), Strap::Around(b)) = (a, b) else { continue };
                for (a, b) in a.iter().zip(b) {
                    assert!(a.open.is_some() && a.flows <= b.flows && a.around >= b.around && a.gap <= b.gap);
                    for o in &a.overloads {
                        let same = b.overloads.iter().find(|other| other.conductor == o.conductor).unwrap();
                        assert!(o.current <= same.current, "{o:?} {same:?}");
                    }
                }
            }
        }
    }
}

/// A sender's own lead is as warm as the zone: its return shifts it by the drop of its 10 mA there too.
#[test]
fn a_lead_is_as_warm_as_its_zone() {
    let sensors = "sensors:\n  MAP: {part: manifold-pressure-3wire, at: block}\n";
    let circuits = format!("{GND}  MAP: {{from: MAP, to: GAUGE.manifold-pressure}}\n");
    let offset = |bay: &str| {
        let g = ground(bay, sensors, &circuits);
        let [sender] = &g.solved.senders[..] else { panic!("{:?}", g.solved.senders) };
        let lead = g.loom.harness.device(sender.device).lead.unwrap().value.mm() / 1000.0;
        (lead, sender.offsets[0].1.unwrap().map(|o| o.volts.volts()))
    };
    let (lead, known) = offset("ambient: 110 °C");
    assert!(lead > 0.0);
    near(*known.exact().unwrap(), 0.01 * R22 * (1.0 + AT_110 * (1.0 + lead)));
    // The lead is as warm as its part stands at most.
    let (_, open) = offset("");
    near(open.low, 0.01 * R22 * (2.0 + lead));
    assert!(open.high > known.high && open.open.is_some());
}

/// Four wires on all rings together are tried at both their ends; of more nobody knows.
#[test]
fn too_many_wires_on_rings_are_not_known() {
    let joined = |n: usize| {
        let studs: String = (0..n).map(|i| format!("  B{i}: {{from: POST, to: ENG}}\n")).collect();
        let more = "studs: {POST: {at: panel, size: M6}}\n";
        ground("", more, &format!("  GND: {{from: GAUGE.ground, to: POST, length: 100 mm}}\n{studs}"))
    };
    let four = joined(4);
    assert!(total(&four.solved.drops[0]).open.is_some());
    let five = joined(5);
    let wire = five.loom.wire("ENG");
    assert!(matches!(five.solved.resistance(wire), Err(NoResistance::Open(_))));
    assert!(five.solved.drops[0].known.is_err());
}

/// A strap and a wire abreast in a zone that says how hot it gets, beside a ring that does not.
fn two_rings(jump: &str) -> Ground {
    let bonds = format!(
        "{{from: engine, to: airframe, {CARRIES}}}, {{from: airframe, to: tail, resistance: 2 mΩ, carries: 10 A, cranking: 10 A}}"
    );
    let grounds = format!("{GND}  G2: {{from: GAUGE.screens, to: AF, length: 1500 mm}}\n");
    bonded("", &bonds, "", &format!("{grounds}  JUMP: {{from: AF, to: {jump}}}\n"))
}

/// What is open in one ring is said of no other, and each names a wire of its own.
#[test]
fn a_ring_without_such_a_wire_is_exact() {
    let opens = |g: &Ground| -> Vec<Vec<Option<Through>>> {
        let of = |strap: &Strap| match strap {
            Strap::Around(opens) => opens.iter().map(|open| open.open).collect(),
            other => panic!("{other:?}"),
        };
        g.solved.straps.iter().map(of).collect()
    };
    let known = two_rings("TAIL");
    let own = Some(Through::Conductor(known.loom.wire("ENG")));
    assert_eq!(opens(&known), [[own; 2], [None; 2]]);
    let jump = known.loom.wire("TAIL");
    assert!(known.solved.carried(jump, Phase::Cruise).unwrap().open.is_none());
    // What drives the strap of the ring that is open is not one figure, that of the other is.
    let driven = [0, 1].map(|bond| known.solved.driven(BondId(bond), Phase::Cruise).is_some());
    assert_eq!(driven, [false, true]);
    let both = two_rings("FAR");
    let names = ["ENG", "FAR"].map(|pin| Some(Through::Conductor(both.loom.wire(pin))));
    assert_eq!(opens(&both), names.map(|name| [name; 2]));
    for (pin, name) in ["ENG", "FAR"].into_iter().zip(names) {
        assert_eq!(both.solved.carried(both.loom.wire(pin), Phase::Cruise).unwrap().open, name);
    }
}

/// 70 A over some 0.2 Ω need the 14 V of the supply at one end and not at the other; 45 A never do, 200 A always.
#[test]
fn a_supply_that_is_enough_at_one_end_only_leaves_the_ring_open() {
    let of = |bay: &str, carries: &str| {
        let bonds = format!("{{from: engine, to: airframe, resistance: 100 Ω, {carries}}}");
        let circuits = format!("{GND}  G2: {{from: GAUGE.screens, to: AF, length: 1500 mm}}\n");
        bonded(bay, &bonds, "", &circuits)
    };
    let bends = of("", "carries: 70 A, cranking: 200 A");
    let wire = bends.loom.wire("ENG");
    assert!(matches!(bends.solved.resistance(wire), Err(NoResistance::Open(_))));
    assert!(bends.solved.carried(wire, Phase::Cruise).is_err());
    let carries = "carries: 45 A, cranking: 200 A";
    let steady = of("", carries);
    let ends = Phase::ALL.map(|phase| steady.solved.carried(wire, phase).unwrap().map(|i| i.amps()));
    for bay in bays() {
        let known = of(&bay, carries);
        for (phase, open) in Phase::ALL.into_iter().zip(ends) {
            holds(open, known.solved.carried(wire, phase).unwrap().map(|i| i.amps()), &bay);
        }
        for (a, b) in steady.solved.straps.iter().zip(&known.solved.straps) {
            let (Strap::Around(a), Strap::Around(b)) = (a, b) else { panic!("{a:?}") };
            for (a, b) in a.iter().zip(b) {
                assert!(a.flows <= b.flows && a.around >= b.around && a.gap <= b.gap, "{a:?} {b:?}");
            }
        }
    }
}

/// The papers say how such figures were come by: not as if a wire could be none or open.
#[test]
fn papers_say_what_is_open() {
    let g = ground("", SENSORS, &format!("{GND}  G2: {{from: GAUGE.screens, to: ENG}}\n{SENDERS}"));
    let h = &g.loom.harness;
    let loading = Loading::of(h, Library::supplied(), &g.loom.routing);
    let rows = drop_table(h, &loading);
    let sum = |end: fn(&Range<Voltage>) -> Voltage| {
        let row = &rows[0];
        let [feed, back, total] =
            [&row.feed, &row.back, &row.total].map(|r| end(r.as_ref().unwrap()).volts());
        near(feed + back, total);
        back
    };
    assert!(sum(|range| range.low) < sum(|range| range.high));
    let drops = lists::drops(&rows, h.header.supply.map(|supply| supply.value), h.header.units);
    let offsets = lists::offsets(&offset_table(h, &loading));
    for notes in [drops.notes, offsets.notes] {
        let between: Vec<&String> = notes.iter().filter(|note| note.starts_with("Between two")).collect();
        let [note] = between[..] else { panic!("{notes:?}") };
        assert!(note.contains("20 °C") && !note.contains("as open"), "{note}");
    }
}
