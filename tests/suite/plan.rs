//! What the bench is told, against sums done by hand and against the published pull forces.

use crate::loom::Loom;
use crate::published::{number, rows};
use fairlead::graph::Bundles;
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::clamping::Clamping;
use fairlead::plan::crimp_list::{CrimpRow, crimp_list};
use fairlead::plan::cut_list::{CutRow, cut_list};
use fairlead::plan::length::{CutLength, Term};
use fairlead::plan::parts_list::{PartRow, parts_list};
use fairlead::quantity::Length;
use proptest::prelude::*;

fn library() -> &'static Library {
    Library::supplied()
}

struct Bench {
    loom: Loom,
    plan: Plan,
}

impl Bench {
    fn of(text: &str) -> Bench {
        let loom = Loom::sound(text);
        let plan = Plan::of(&loom.harness, library(), &loom.routing);
        Bench { loom, plan }
    }

    fn length(&self, pin: &str) -> &CutLength {
        &self.plan.lengths[self.loom.wire(pin).index()]
    }

    fn terms(&self, pin: &str) -> Vec<(Term, f64)> {
        self.length(pin).items.iter().map(|i| (i.term, i.length.mm())).collect()
    }

    fn cut(&self) -> Vec<CutRow> {
        cut_list(&self.loom.harness, library(), &self.loom.routing, &self.plan)
    }

    fn crimps(&self) -> Vec<CrimpRow> {
        crimp_list(&self.loom.harness, library(), &self.loom.routing, &self.plan).1
    }

    fn parts(&self) -> Vec<PartRow> {
        let bundles = Bundles::of(&self.loom.harness, library(), &self.loom.routing);
        let clamping = Clamping::of(&self.loom.harness, library(), &self.loom.routing, &bundles);
        parts_list(&self.loom.harness, library(), &self.plan, &clamping)
    }
}

fn bench(bore: &str, more: &str) -> Bench {
    Bench::of(&format!(
        "fairlead: 1
harness: {{title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}}
shop: {{cut-step: 10 mm, service-loop: 150 mm, tail: 80 mm, reterminations: 2}}
zones: {{cabin: {{}}, engine: {{}}}}
barriers: {{firewall: {{between: [cabin, engine], holes: {{FH1: {{{bore}lining: grommet-19}}}}}}}}
route:
  - {{from: panel, to: FH1, zone: cabin, length: 900 mm}}
  - {{from: FH1, to: shelf, zone: engine, length: 300 mm}}
  - {{from: shelf, to: cyl-1, zone: engine, length: 350 mm}}
  - {{from: cyl-1, to: cyl-3, zone: engine, length: 210 mm}}
bodies: {{engine: engine}}
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
grounds: {{ENG: {{body: engine, at: shelf, stud: M6}}}}
supplies: {{CB: {{at: panel, breaker: 2 A, stud: '#8'}}}}
sensors:
  CHT1: {{part: cht-bayonet-k, at: cyl-1, trades-with: [CHT3]}}
  CHT3: {{part: cht-bayonet-k, at: cyl-3, trades-with: [CHT1]}}
  OILP: {{part: oil-pressure-3wire, at: shelf, tail: 60 mm}}
  OILT: {{part: oil-temperature-2wire, at: shelf}}
{more}"
    ))
}

/// 900 + 300 to the shelf, tails 60 and 80, loop 150, two new terminations at each end: the sealed contact is stripped
/// 5 mm and costs 10 mm each time, the D-subminiature one 4.5 mm and 9 mm. 1200 + 140 + 150 + 20 + 18 = 1528 mm.
#[test]
fn a_cut_length_is_the_sum_that_is_done_by_hand() {
    let b = bench("bore: 19 mm, ", "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure}}");
    let terms = [
        (Term::Run, 300.0),
        (Term::Run, 900.0),
        (Term::Tail, 60.0),
        (Term::Tail, 80.0),
        (Term::ServiceLoop, 150.0),
        (Term::Reserve, 20.0),
        (Term::Reserve, 18.0),
        (Term::Rounding, 2.0),
    ];
    assert_eq!(b.terms("OILP.A.1"), terms);
    let length = b.length("OILP.A.1");
    assert_eq!(length.need, Some(Length::from_mm(1530.0)));
    // Every term is set by a line of the spec, and nothing by default.
    assert!(length.items.iter().all(|i| !i.spans.is_empty() && !i.by_default));
    let loop_line = b.loom.sources.excerpt(length.items[4].spans[0]);
    assert_eq!(loop_line, "150 mm");
}

#[test]
fn defaults_are_told_apart() {
    let text = "fairlead: 1
harness: {title: Test loom, drawing: T-1}
route: [{from: panel, to: shelf, zone: cabin, length: 300 mm}]
zones: {cabin: {}}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors: {OILP: {part: oil-pressure-3wire, at: shelf}}
circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, length: 700 mm}}";
    let b = Bench::of(text);
    let length = b.length("OILP.A.1");
    let by_default: Vec<Term> = length.items.iter().filter(|i| i.by_default).map(|i| i.term).collect();
    use Term::{Reserve, Rounding, ServiceLoop, Tail};
    assert_eq!(by_default, [Tail, Tail, ServiceLoop, Reserve, Reserve, Rounding]);
    // 300 + 200 + 150 + 38 = 688, rounded up to 5 mm; the declared length stands beside it.
    assert_eq!((length.need, length.cut()), (Some(Length::from_mm(690.0)), Some(Length::from_mm(700.0))));
    let row = &b.cut()[0];
    assert_eq!(row.declared_length, Some(Length::from_mm(700.0)));
    assert!(!row.by_default, "no default is in a length that the spec declares");
}

/// The pair to cyl-1 must reach cyl-3, 210 mm on. The pair to cyl-3 reaches cyl-1 with what it has.
#[test]
fn probes_that_trade_places_reach_each_other() {
    let b = bench(
        "bore: 19 mm, ",
        "circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}, CHT3: {from: CHT3, to: GAUGE.cht-3}}",
    );
    let reach = |pin: &str| b.length(pin).items.iter().find(|i| i.term == Term::Reach).map(|i| i.length.mm());
    assert_eq!((reach("CHT1.plus"), reach("CHT3.plus")), (Some(210.0), Some(0.0)));
    let both = [b.length("CHT1.plus").need, b.length("CHT3.plus").need];
    assert_eq!(both[0], both[1]);
}

/// Three wires twisted with one turn in 25 mm: their centres go round a circle of 1.27 mm / sin 60° = 1.4665 mm, so
/// that each is √(1 + (π 1.4665 / 25)²) = 1.016838 times as long. 1200 + 140 + 150 = 1490 mm take up 25.09 mm.
#[test]
fn twist_takes_up_wire_and_all_legs_are_cut_alike() {
    let b = bench("bore: 19 mm, ", "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, twist: 25 mm}}");
    let item = b.length("OILP.A.1").items.iter().find(|i| i.term == Term::Twist).expect("twist");
    assert!((item.length.mm() - 25.09).abs() < 0.02, "{}", item.length);
    let needs: Vec<_> = b.plan.lengths.iter().map(|l| l.need).collect();
    assert!(needs.iter().all(|n| *n == needs[0]));
}

/// The wire of 24 AWG is folded back in the sealed contact, which says so: stripped 10 mm instead of 5 mm.
#[test]
fn thin_wire_is_folded_back() {
    let b = bench("bore: 19 mm, ", "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, wire: etfe-24}}");
    let [from, to] = &b.plan.terminations.of[b.loom.wire("OILP.A.1").index()];
    assert_eq!(from.strip, Some(Length::from_mm(10.0)));
    assert_eq!((from.fold_back, to.fold_back), (Some(Length::from_mm(5.0)), None));
    assert!(b.terms("OILP.A.1").contains(&(Term::FoldBack, 5.0)));
}

/// The 25- and 37-way shells are wider than 19 mm, contacts are not: the gauge's end stays on the bench and the engine's
/// ends are fed. The sealed 3-way shell (23 × 16 mm) goes on afterwards, the lug for M6 (10.9 mm) passes finished.
#[test]
fn what_does_not_pass_the_hole_is_finished_afterwards() {
    let more = "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure}, GND: {from: ENG, to: GAUGE.ground}, CHT1: {from: CHT1, to: GAUGE.cht-1}}";
    let when = |b: &Bench, pin: &str| {
        let row = b.crimps().into_iter().find(|r| r.end.label.ends_with(&format!(" {pin}"))).expect(pin);
        row.end.when
    };
    let b = bench("bore: 19 mm, ", more);
    assert_eq!(when(&b, "OILP.A.1"), "bench; contact passes FH1, into the shell after feeding");
    assert_eq!(when(&b, "ENG"), "bench; lug passes FH1");
    assert_eq!(when(&b, "CHT1.plus"), "in place, onto the device's own lead, after feeding through FH1");
    assert_eq!(when(&b, "GAUGE.B.2"), "bench; the other end is fed through FH1");
    let b = bench("bore: 10 mm, ", more);
    assert_eq!(when(&b, "ENG"), "after feeding through FH1");
    // Fed bare, everything is finished afterwards; the gauge's end stays on the bench all the same.
    let b = bench("bore: 19 mm, feed: bare, ", more);
    assert_eq!(when(&b, "OILP.A.1"), "after feeding through FH1");
    assert_eq!(when(&b, "ENG"), "after feeding through FH1");
    assert_eq!(when(&b, "GAUGE.B.2"), "bench; the other end is fed through FH1");
    // The lining gives the bore that the hole does not.
    let b = bench("", more);
    assert_eq!(when(&b, "OILP.A.1"), "bench; contact passes FH1, into the shell after feeding");
}

#[test]
fn an_unknown_bore_is_not_judged() {
    let text = "fairlead: 1
harness: {title: Test loom, drawing: T-1}
zones: {cabin: {}, engine: {}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {}}}}
route: [{from: panel, to: FH1, zone: cabin, length: 300 mm}, {from: FH1, to: shelf, zone: engine, length: 300 mm}]
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors: {OILP: {part: oil-pressure-3wire, at: shelf}}
circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure}}";
    let b = Bench::of(text);
    let fed: Vec<String> =
        b.crimps().into_iter().filter(|r| r.end.device == "OILP").map(|r| r.end.when).collect();
    assert_eq!(fed[0], "look: bore of FH1 not known");
}

/// MIL-T-7928 style values of crimp_pull_force.csv: what the crimp list asks of a sample.
#[test]
fn the_crimp_list_asks_for_the_published_pull() {
    for (gauge, wire) in [(22, "etfe-22"), (20, "etfe-20"), (18, "etfe-18"), (16, "etfe-16")] {
        let row =
            rows("crimp_pull_force.csv").into_iter().find(|r| r["awg"] == gauge.to_string()).expect("row");
        let b = bench("bore: 19 mm, ", &format!("circuits: {{GND: {{legs: {{CB: ENG}}, wire: {wire}}}}}"));
        let crimp = b.crimps().into_iter().find(|r| r.end.device == "ENG").expect("lug");
        let sample = "test pieces of this wire, first and last of the batch, hold";
        let wanted = format!("{sample} {} N (MIL-T-7928", number(&row, "military_N"));
        assert!(crimp.end.checks.iter().any(|c| c.contains(&wanted)), "{wanted}: {:?}", crimp.end.checks);
    }
}

#[test]
fn one_way_contacts_get_a_stop_line_and_sleeves_come_first() {
    let b = bench("bore: 19 mm, ", "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure}}");
    let row = b.crimps().into_iter().find(|r| r.end.device == "OILP").expect("row");
    assert!(row.one_way);
    assert_eq!(
        (row.end.sleeves, row.end.label.as_str()),
        (vec!["marker-sleeve-2".to_owned()], "E1A22 OILP.A.1")
    );
    let order: Vec<bool> = row.end.checks.iter().map(|c| c.starts_with("STOP")).collect();
    assert_eq!(order, [false, false, true, false]);
}

#[test]
fn the_parts_list_counts_what_is_brought() {
    let b = bench(
        "bore: 19 mm, ",
        "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure}, CHT1: {from: CHT1, to: GAUGE.cht-1}}",
    );
    let parts = b.parts();
    let find =
        |part: &str| parts.iter().find(|p| p.part == part).unwrap_or_else(|| panic!("{part}: {parts:?}"));
    assert_eq!(find("sealed-3-plug").pieces, 1);
    assert_eq!((find("sealed-socket-small").pieces, find("dsub-pin").pieces), (3, 2));
    assert_eq!((find("thermocouple-splice-chromel").pieces, find("heat-shrink-4-hot").pieces), (1, 2));
    // The pair is one piece of cable, not two.
    let pair = find("thermocouple-k-ansi-20");
    assert_eq!((pair.pieces, pair.length), (1, b.length("CHT1.plus").need));
    assert!(pair.remark.contains("from memory"));
    let wire = find("etfe-22");
    let sum: Length =
        ["OILP.A.1", "OILP.A.2", "OILP.A.3"].map(|p| b.length(p).need.unwrap()).into_iter().sum();
    assert_eq!((wire.pieces, wire.length), (3, Some(sum)));
}

/// A spec with some cylinders on a branching route, pairs, three-wire senders with and without a cable, and grounds.
fn any_spec() -> impl Strategy<Value = String> {
    let runs = prop::collection::vec((0_usize..100, 10_u32..2000), 2..12);
    let sensors = prop::collection::vec((0_usize..100, 0_usize..4), 1..14);
    (runs, sensors, 1_u32..40, 0_u32..4).prop_map(|(runs, sensors, step, times)| {
        let mut text = format!(
            "fairlead: 1\nharness: {{title: Any loom, drawing: T-1, thermocouple-colours: iec}}
shop: {{cut-step: {step} mm, reterminations: {times}}}
zones: {{cabin: {{}}, engine: {{}}}}
barriers: {{firewall: {{between: [cabin, engine], holes: {{FH1: {{bore: 20 mm}}}}}}}}
bodies: {{engine: engine}}
route:\n  - {{from: panel, to: FH1, zone: cabin, length: 700 mm}}\n  - {{from: FH1, to: p0, zone: engine, length: 5 mm}}\n"
        );
        for (i, (to, length)) in runs.iter().enumerate() {
            text += &format!("  - {{from: p{}, to: p{}, zone: engine, length: {length} mm}}\n", to % (i + 1), i + 1);
        }
        let places = runs.len() + 1;
        text += "equipment: {GAUGE: {part: engine-gauge-4, at: panel}}\ngrounds: {ENG: {body: engine, at: p0, stud: M6}}\nsensors:\n";
        let parts = ["cht-bayonet-k", "oil-pressure-3wire", "oil-temperature-2wire", "rpm-hall-pickup"];
        for (i, (at, part)) in sensors.iter().enumerate() {
            text += &format!("  S{i}: {{part: {}, at: p{}}}\n", parts[*part], at % places);
        }
        text += "circuits:\n";
        for (i, (_, part)) in sensors.iter().enumerate() {
            text += &match part {
                0 => format!("  S{i}: {{from: S{i}, to: GAUGE.cht-{}}}\n", i % 4 + 1),
                1 => format!("  S{i}: {{from: S{i}, to: GAUGE.oil-pressure, wire: screened-3-22, screen: [ENG]}}\n"),
                2 => format!("  S{i}: {{join: [S{i}.signal, S{i}.return, ENG, GAUGE.volts], kind: ground}}\n"),
                _ => format!("  S{i}: {{from: S{i}, to: GAUGE.rpm-1, twist: 30 mm}}\n"),
            };
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn lists_are_complete_and_lengths_add_up(text in any_spec()) {
        let loom = Loom::read(&text);
        let h = &loom.harness;
        let plan = Plan::of(h, library(), &loom.routing);
        let mut cut: Vec<String> =
            cut_list(h, library(), &loom.routing, &plan).into_iter().map(|r| r.mark).collect();
        cut.sort();
        let mut marks: Vec<String> = h.conductors.iter().map(|c| c.mark.clone()).collect();
        marks.sort();
        prop_assert_eq!(cut, marks);
        let (_, crimps) = crimp_list(h, library(), &loom.routing, &plan);
        let mut ends: Vec<(String, String)> = crimps.iter().map(|r| (r.mark.clone(), r.end.device.clone() + &r.end.cavity)).collect();
        prop_assert_eq!(ends.len(), 2 * h.conductors.len());
        ends.sort();
        ends.dedup();
        prop_assert_eq!(ends.len(), 2 * h.conductors.len());
        for (id, length) in h.conductor_ids().zip(&plan.lengths) {
            let c = h.conductor(id);
            let path = loom.routing.path_of(h, id);
            prop_assert_eq!(length.need.is_some(), path.is_some());
            let Some(need) = length.need else { continue };
            let sum: Length = length.items.iter().map(|i| i.length).sum();
            prop_assert_eq!(sum, need);
            prop_assert!(length.items.iter().all(|i| i.length >= Length::ZERO));
            prop_assert_eq!(need.um() % h.shop.cut_step.value.um(), 0);
            if !c.drain {
                let runs: Length = path.unwrap().runs.iter().map(|r| h.run(*r).length.value).sum();
                prop_assert_eq!(runs, path.unwrap().length);
                prop_assert!(runs <= need);
            }
        }
        for cable in &h.cables {
            let needs: Vec<_> = cable.cores.iter().flatten().map(|id| plan.lengths[id.index()].need).collect();
            prop_assert!(needs.iter().all(|n| *n == needs[0]));
        }
        // Loads and paths tell the same story.
        for (i, run) in loom.routing.in_run.iter().enumerate() {
            for id in run {
                let path = loom.routing.path_of(h, *id).unwrap();
                prop_assert!(path.runs.iter().any(|r| r.index() == i));
            }
        }
        // The same text gives the same plan.
        let again = Loom::read(&text);
        let twice = Plan::of(&again.harness, library(), &again.routing);
        prop_assert_eq!(format!("{:?}", plan), format!("{:?}", twice));
    }
}
