//! Splices: where they lie, how they are staggered, what that does to the wires, and what the choice saves.

use crate::loom::Loom;
use fairlead::graph::{splice_choice, splice_places, splices_abreast};
use fairlead::harness::{ConductorId, DeviceClass, DeviceId, RunId, Shift};
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::length::Term;
use fairlead::quantity::Length;
use proptest::prelude::*;

/// Three ends at the panel and three at the shelf, a tray between them that has a spur.
const STRUCTURE: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {ambient: 40 °C}}
route:
  - {from: panel, to: tray, zone: cabin, length: 500 mm}
  - {from: tray, to: shelf, zone: cabin, length: 400 mm}
  - {from: tray, to: spur, zone: cabin, length: 300 mm}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors:
  OILP: {part: oil-pressure-3wire, at: shelf}
  OILT: {part: oil-temperature-2wire, at: spur}
";
/// A solder sleeve of 40 mm is chosen for three 22 AWG wires (`src/parts/library/splices.yaml`).
const JOINS: &str = "circuits:
  A: {join: [GAUGE.A.25, OILP.return, OILT.return], kind: ground}
  B: {join: [GAUGE.A.24, OILP.excitation, OILT.signal], kind: signal}
  C: {join: [GAUGE.A.23, GAUGE.A.22, OILP.signal], kind: signal, joined-at: tray}
";

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn splice(loom: &Loom, circuit: usize) -> DeviceId {
    loom.harness.circuits[circuit].joint.expect("a splice")
}

fn shift_of(loom: &Loom, circuit: usize) -> Option<(&str, f64)> {
    let Shift { run, by } = loom.routing.shift_of[splice(loom, circuit).index()]?;
    Some((loom.harness.run(run).name.as_str(), by.mm()))
}

/// FAA-H-8083-32 ch. 4, spliced connections in wire bundles: staggered, so that the bundle is not enlarged. Of the three
/// splices that lie at the tray one stays; the next lies a sleeve and a gap (40 + 10 mm) along a run that its wires
/// leave over.
#[test]
fn splices_of_one_place_are_staggered_along_the_bundle() {
    let loom = Loom::sound(&format!("{STRUCTURE}{JOINS}"));
    let at: Vec<_> = (0..3).map(|c| loom.routing.place_of[splice(&loom, c).index()]).collect();
    assert_eq!(at, [Some(loom.place("tray")); 3]);
    // One wire of A and B leaves over each run; the panel's run carries most. Two of C leave towards the panel.
    assert_eq!(shift_of(&loom, 0), None);
    assert_eq!(shift_of(&loom, 1), Some(("panel-tray", 50.0)));
    assert_eq!(shift_of(&loom, 2), Some(("panel-tray", 100.0)));
    assert_eq!(splices_abreast(&loom.harness, &loom.routing), Vec::<[DeviceId; 2]>::new());
}

/// What lies on the way of a wire makes it shorter, all others longer.
#[test]
fn cut_lengths_follow_the_shift() {
    let loom = Loom::sound(&format!("{STRUCTURE}{JOINS}"));
    let h = &loom.harness;
    let plan = Plan::of(h, Library::supplied(), &loom.routing);
    let shifts = |id: ConductorId| -> Vec<f64> {
        let items = &plan.lengths[id.index()].items;
        items.iter().filter(|i| i.term == Term::Shift).map(|i| i.length.mm()).collect()
    };
    let of = |c: u32| h.conductors_of(fairlead::harness::CircuitId(c)).map(shifts).collect::<Vec<_>>();
    assert!(of(0).iter().all(Vec::is_empty));
    // Towards the panel, away from shelf and spur.
    assert_eq!(of(1), [vec![-50.0], vec![50.0], vec![50.0]]);
    assert_eq!(of(2), [vec![-100.0], vec![-100.0], vec![100.0]]);
    let words = fairlead::plan::end_words::words(
        h,
        Library::supplied(),
        &loom.routing,
        &plan.terminations.of[loom.wire("GAUGE.A.24").index()][1],
    );
    assert_eq!(words.place, "tray, 50 mm towards panel");
}

/// A splice lies on neither a bend, a covered run nor one in a zone that forbids it; where no run is left it stays.
#[test]
fn splices_are_shifted_only_where_they_may_lie() {
    let shifted = |change: &[(&str, &str)]| {
        let mut text = format!("{STRUCTURE}{JOINS}");
        for (from, to) in change {
            assert!(text.contains(from));
            text = text.replace(from, to);
        }
        let loom = Loom::sound(&text);
        let runs: Vec<_> =
            (0..3).map(|c| shift_of(&loom, c).map(|(run, by)| format!("{run} {by}"))).collect();
        (runs, splices_abreast(&loom.harness, &loom.routing).len())
    };
    let on = |text: &str| Some(text.to_owned());
    let bent = ("length: 500 mm}", "length: 500 mm, bend: 40 mm}");
    let (runs, abreast) = shifted(&[bent]);
    assert_eq!((runs, abreast), (vec![None, on("tray-shelf 50"), on("tray-shelf 100")], 0));
    let covered = ("length: 400 mm}", "length: 400 mm, cover: fire-sleeve-10}");
    let hot = ("length: 300 mm}", "length: 300 mm, surface: 300 °C}");
    let (runs, abreast) = shifted(&[bent, covered, hot]);
    assert_eq!((runs, abreast), (vec![None, None, None], 2));
    // 70 mm from the place to the far end of the second sleeve, and a gap: 80 mm; the third needs 130.
    let short = ("length: 300 mm}", "length: 90 mm}");
    let (runs, abreast) = shifted(&[bent, covered, short]);
    assert_eq!((runs, abreast), (vec![None, on("tray-spur 50"), None], 1));
}

/// The designer's own shift is kept, and the others keep clear of it.
#[test]
fn a_pinned_shift_is_kept() {
    let pinned = "splices: {P: {part: solder-sleeve-26-20, at: tray, shift: 60 mm, towards: panel}}\n";
    let joins = JOINS.replace("joined-at: tray", "joined-at: P");
    let loom = Loom::sound(&format!("{STRUCTURE}{pinned}{joins}"));
    assert_eq!(shift_of(&loom, 2), Some(("panel-tray", 60.0)));
    // 60 − 26 / 2 leaves room for half a sleeve and a gap at the place; the next comes behind it.
    assert_eq!(shift_of(&loom, 0), None);
    assert_eq!(shift_of(&loom, 1), Some(("panel-tray", 60.0 + 13.0 + 10.0 + 20.0)));
    let wrong = |pin: &str| -> Vec<String> {
        let pin = format!("splices: {{P: {{part: solder-sleeve-26-20, at: tray, {pin}}}}}\n");
        Loom::read(&format!("{STRUCTURE}{pin}{joins}")).findings.into_iter().map(|f| f.message).collect()
    };
    assert_eq!(wrong("shift: 30 mm"), ["`P` is shifted, but not said towards which place"]);
    assert_eq!(wrong("towards: panel"), ["`P` lies towards a place, but not said how far"]);
    assert_eq!(wrong("shift: 500 mm, towards: panel"), ["`P` is shifted by 500 mm on a run of 500 mm"]);
    assert_eq!(wrong("shift: 30 mm, towards: tray"), ["no run leads from `tray`, where `P` is, to `tray`"]);
}

/// Two splices on either side of one place, and two on one run: what lies between them is their distance.
#[test]
fn a_wire_between_two_shifted_splices_is_as_long_as_their_distance() {
    let between = |p: &str, q: &str| {
        let text = format!(
            "{STRUCTURE}splices:
  P: {{part: solder-sleeve-26-20, {p}}}
  Q: {{part: solder-sleeve-26-20, {q}}}
circuits:
  L: {{legs: {{P: Q, GAUGE.A.25: P, OILP.return: Q}}, kind: ground}}
"
        );
        let loom = Loom::sound(&text);
        let id = ConductorId(0);
        let path = loom.routing.path_of(&loom.harness, id).expect("a path").length;
        let more: Length =
            loom.routing.shifts_of(&loom.harness, id).into_iter().map(|(_, _, more)| more).sum();
        (path + more).mm()
    };
    let at = |shift: u32, towards: &str| format!("at: tray, shift: {shift} mm, towards: {towards}");
    assert_eq!(between(&at(100, "panel"), &at(240, "panel")), 140.0);
    assert_eq!(between(&at(240, "panel"), &at(100, "panel")), 140.0);
    assert_eq!(between(&at(100, "panel"), &at(50, "shelf")), 150.0);
    assert_eq!(between(&at(100, "panel"), "at: tray"), 100.0);
    let from_panel = |shift: u32| format!("at: panel, shift: {shift} mm, towards: tray");
    assert_eq!(between(&from_panel(100), &at(150, "panel")), 250.0);
    // Past each other.
    assert_eq!(between(&from_panel(450), &at(150, "panel")), 100.0);
    assert_eq!(between(&from_panel(100), "at: shelf"), 800.0);
}

/// Zones that forbid splices, holes, walls and bends are left out; what is too hot comes last.
#[test]
fn places_that_are_unfit_are_left_out() {
    let places = |structure: &str| {
        let loom = Loom::sound(&format!("{structure}{JOINS}"));
        let places = splice_places(&loom.harness, &loom.routing, splice(&loom, 0));
        places.iter().map(|p| loom.harness.place(p.place).name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(places(STRUCTURE), ["tray", "spur", "shelf", "panel"]);
    let bent = STRUCTURE.replace("equipment:", "places: {tray: {bend: 60 mm}}\nequipment:");
    assert_eq!(places(&bent), ["spur", "shelf", "panel"]);
    // The sleeve is rated 150 °C.
    let hot = STRUCTURE
        .replace("to: shelf, zone: cabin", "to: shelf, zone: hot")
        .replace("zones: {", "zones: {hot: {ambient: 160 °C}, ");
    assert_eq!(places(&hot), ["spur", "panel"]);
    let all_hot = Loom::sound(&format!("{}{JOINS}", STRUCTURE.replace("40 °C", "160 °C")));
    assert_eq!(all_hot.routing.place_of[splice(&all_hot, 0).index()], Some(all_hot.place("tray")));
}

/// By hand: home to the panel 900 + 800, at the tray 500 + 400 + 300, which is already the least.
#[test]
fn the_saving_against_the_naive_choice() {
    let loom = Loom::sound(&format!("{STRUCTURE}{JOINS}"));
    let choice = splice_choice(&loom.harness, &loom.routing, splice(&loom, 0));
    let home = choice.home.expect("an end");
    assert_eq!((home.wire, home.unfit), (mm(1700.0), None));
    assert_eq!(loom.harness.pin(home.end).name, "GAUGE.A.25");
    assert_eq!(choice.built, Some(mm(1200.0)));
    assert_eq!(loom.routing.saved[splice(&loom, 0).index()], Some(mm(500.0)));
    let least = |tree: fairlead::graph::LeastTree| {
        let places = tree.splices.iter().map(|s| loom.harness.place(s.place).name.clone());
        (tree.wire.mm(), places.collect::<Vec<_>>().join(" "), tree.exact)
    };
    assert_eq!(choice.tree.map(least), Some((1200.0, "tray".to_owned(), true)));
    // C has two ends at the panel and one at the shelf, pinned at the tray: 500 + 500 + 400. With the splice at the
    // panel one wire of 900 is enough.
    let choice = splice_choice(&loom.harness, &loom.routing, splice(&loom, 2));
    assert_eq!(choice.built, Some(mm(1400.0)));
    assert_eq!(choice.tree.map(least), Some((900.0, "panel".to_owned(), true)));
    assert_eq!(loom.routing.saved[splice(&loom, 2).index()], None);
}

/// Two ends on either side of a long run: two splices and one wire between them, 4 × 10 + 500, where one splice takes
/// 2 × 10 + 2 × 510. The run between is where one may lie, its ends are not: then every wire runs there itself.
#[test]
fn more_splices_are_weighed_where_they_may_lie() {
    let spec = |left: &str| {
        format!(
            "fairlead: 1
harness: {{title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}}
zones: {{cabin: {{}}, shut: {{splices: forbidden}}}}
route:
  - {{from: a, to: left, zone: {left}, length: 10 mm}}
  - {{from: b, to: left, zone: {left}, length: 10 mm}}
  - {{from: left, to: right, zone: cabin, length: 500 mm}}
  - {{from: right, to: c, zone: cabin, length: 10 mm}}
  - {{from: right, to: d, zone: cabin, length: 10 mm}}
studs: {{S1: {{size: M5, at: a}}, S2: {{size: M5, at: b}}, S3: {{size: M5, at: c}}, S4: {{size: M5, at: d}}}}
splices: {{P: {{part: multi-splice-8, at: right}}}}
circuits: {{J: {{join: [S1, S2, S3, S4], joined-at: P, kind: ground}}}}
"
        )
    };
    let of = |left: &str| {
        let loom = Loom::sound(&spec(left));
        let choice = splice_choice(&loom.harness, &loom.routing, splice(&loom, 0));
        let tree = choice.tree.expect("a tree");
        let h = &loom.harness;
        let mut splices: Vec<String> = tree
            .splices
            .iter()
            .map(|s| {
                let ends = s.ends.iter().map(|end| h.pin(*end).name.as_str());
                format!("{}: {}", h.place(s.place).name, ends.collect::<Vec<_>>().join(" "))
            })
            .collect();
        splices.sort();
        assert!(tree.exact && tree.between.len() + 1 == splices.len());
        (choice.built.expect("a place").mm(), tree.wire.mm(), splices.join(", "))
    };
    assert_eq!(of("cabin"), (1040.0, 540.0, "left: S1 S2, right: S3 S4".to_owned()));
    // Written as `why` says: a pinned splice at each place, a join at each, a wire between them.
    let written = spec("cabin").replace("P: {part: multi-splice-8, at: right}", "P: {part: multi-splice-8, at: right}, Q: {part: multi-splice-8, at: left}").replace(
        "J: {join: [S1, S2, S3, S4], joined-at: P, kind: ground}",
        "J: {join: [S3, S4], joined-at: P, kind: ground}, K: {join: [S1, S2], joined-at: Q, kind: ground}, L: {from: P, to: Q, kind: ground}",
    );
    let loom = Loom::sound(&written);
    let h = &loom.harness;
    let wire: Length = h.conductor_ids().map(|id| loom.routing.path_of(h, id).expect("a path").length).sum();
    assert_eq!(wire.mm(), 540.0);
    // `left` lies in both zones, and one of them forbids it.
    assert_eq!(of("shut"), (1040.0, 1040.0, "right: S1 S2 S3 S4".to_owned()));
}

/// A join of 400 ends along a line is placed by a sample of them: within one in a hundred of the middle, which takes
/// 100 mm × (2 × (1 + … + 199) + 200).
#[test]
fn very_many_ends_are_placed_by_a_sample() {
    let mut text = String::from(
        "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}}
route:\n",
    );
    for i in 1..400 {
        text += &format!("  - {{from: p{}, to: p{i}, zone: cabin, length: 100 mm}}\n", i - 1);
    }
    text += "sensors:\n";
    for i in 0..400 {
        text += &format!("  S{i}: {{part: oil-temperature-2wire, at: p{i}}}\n");
    }
    let ends: Vec<String> = (0..400).map(|i| format!("S{i}.return")).collect();
    text += &format!("circuits: {{J: {{join: [{}], kind: ground}}}}\n", ends.join(", "));
    let loom = Loom::sound(&text);
    let wire: Length = loom.routing.paths.iter().map(|p| p.as_ref().expect("a path").length).sum();
    let least = mm(100.0 * (2.0 * 199.0 * 200.0 / 2.0 + 200.0));
    assert!(wire >= least && wire <= least * 1.01, "{wire:?} and {least:?}");
}

/// Splices at both ends of three runs that meet, some shifted by the designer: whether two overlap, by their stations.
fn overlaps(loom: &Loom) -> bool {
    let h = &loom.harness;
    // Distance from the hub, and on which run; negative beyond none.
    let station = |i: usize| {
        let DeviceClass::Splice { build: Some(build), .. } = h.devices[i].class else { return None };
        let place = h.place(loom.routing.place_of[i]?).name.as_str();
        let half = build.length.mm() / 2.0;
        let at = match (place, loom.routing.shift_of[i]) {
            ("hub", None) => (None, 0.0),
            ("hub", Some(shift)) => (Some(shift.run), shift.by.mm()),
            (_, shift) => {
                let run = h.runs.iter().position(|r| r.ends.iter().any(|e| h.place(*e).name == place))?;
                let length = h.runs[run].length.value.mm();
                (Some(RunId::at(run)), length - shift.map_or(0.0, |s| s.by.mm()))
            }
        };
        Some((at.0, at.1, half))
    };
    let all: Vec<(Option<RunId>, f64, f64)> = (0..h.devices.len()).filter_map(station).collect();
    all.iter().enumerate().any(|(i, (run, by, half))| {
        all.iter().skip(i + 1).any(|(other_run, other, other_half)| {
            let same = run == other_run || run.is_none() || other_run.is_none();
            let apart = if same { (by - other).abs() } else { by + other };
            // On different runs they meet where one of them lies across the hub.
            apart < half + other_half && (same || by < half || other < other_half)
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// The tool itself never puts splices side by side while a run has room, and tells whenever any are.
    #[test]
    fn overlapping_splices_are_told_and_no_others(
        lengths in prop::array::uniform3(30_u32..400),
        pinned in prop::collection::vec((0_usize..4, 0_usize..3, 1_u32..300), 0..5),
        free in 0_usize..6,
    ) {
        let mut text = String::from("fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}}
route:\n");
        for (i, length) in lengths.iter().enumerate() {
            text += &format!("  - {{from: hub, to: p{i}, zone: cabin, length: {length} mm}}\n");
        }
        text += "studs: {S: {size: M5, at: p0}}\nsplices:\n  FIRST: {part: multi-splice-8, at: hub}\n";
        for (n, (at, towards, by)) in pinned.iter().enumerate() {
            let run = if *at < 3 { *at } else { *towards };
            let by = by % (lengths[run] - 1) + 1;
            let (place, to) = if *at < 3 { (format!("p{at}"), "hub".into()) } else { ("hub".into(), format!("p{run}")) };
            let shift = if by % 7 == 0 { String::new() } else { format!(", shift: {by} mm, towards: {to}") };
            text += &format!("  P{n}: {{part: butt-22-18, at: {place}{shift}}}\n");
        }
        for n in 0..free {
            text += &format!("  F{n}: {{part: multi-splice-8, at: hub}}\n");
        }
        text += "circuits: {S: {legs: {S: FIRST}, kind: ground}}\n";
        let loom = Loom::sound(&text);
        let told = splices_abreast(&loom.harness, &loom.routing);
        prop_assert_eq!(!told.is_empty(), overlaps(&loom), "{}", text);
        for (shift, device) in loom.routing.shift_of.iter().zip(&loom.harness.devices) {
            if let (Some(shift), DeviceClass::Splice { shift: None, build: Some(build), .. }) = (shift, &device.class) {
                // Not over the far end.
                prop_assert!(shift.by + build.length * 0.5 <= loom.harness.run(shift.run).length.value);
            }
        }
        // Three runs as long as this take them all.
        if pinned.is_empty() && lengths.iter().all(|l| *l >= 55 * (free as u32 + 1)) {
            prop_assert!(told.is_empty());
        }
    }
}
