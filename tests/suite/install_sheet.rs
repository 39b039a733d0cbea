//! The install sheet: what hands do in the machine stands there once, in order, with its measure and its source.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::loom::Loom;
use fairlead::graph::Bundles;
use fairlead::packet::lists;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::plan::Plan;
use fairlead::plan::install::{Job, Said, Subject, Task, Visit, install_sheet};

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {ambient: 40 °C}, engine: {ambient: 100 °C, hazards: [fuel, water]}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 19 mm, seal: putty}, FH2: {bore: 19 mm, lining: grommet-19}}}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 1300 mm, clamps: 300 mm, slack: 14 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm, beside: [fuel], apart: {fuel: 60 mm}, rigid: true, bend: 70 mm}
  - {from: shelf, to: cyl-1, zone: engine, length: 700 mm, beside: [oil], cover: fire-sleeve-6}
places: {cyl-1: {bend: 30 mm}}
bodies: {engine: engine}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors:
  CHT1: {part: cht-bayonet-k, at: cyl-1}
  OILP: {part: oil-pressure-3wire, at: shelf, drip-loop: true}
circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1}
  OILP: {from: OILP, to: GAUGE.oil-pressure}
";

fn sheet(text: &str) -> Vec<Visit> {
    let loom = Loom::sound(text);
    let (h, routing, library) = (&loom.harness, &loom.routing, Library::supplied());
    let bundles = Bundles::of(h, library, routing);
    let plan = Plan::of(h, library, routing);
    install_sheet(&Job { h, library, routing, bundles: &bundles, plan: &plan })
}

#[track_caller]
fn task<'a>(visits: &'a [Visit], name: &str, kind: &str) -> &'a Task {
    let tasks = visits.iter().filter(|v| v.name == name).flat_map(|v| &v.tasks);
    tasks
        .clone()
        .find(|t| t.kind == kind)
        .unwrap_or_else(|| panic!("no {kind} at {name}: {:?}", tasks.collect::<Vec<_>>()))
}

#[test]
fn what_is_declared_was_checked_and_what_is_open_is_an_instruction() {
    let visits = sheet(SPEC);
    let on = |run: &str, kind: &str| task(&visits, run, kind);
    // 1300 mm by 300 mm: four between, so that the five spans are 260 mm.
    let clamps = on("panel-FH1", "clamps");
    assert_eq!(
        (clamps.measure.as_str(), &clamps.said),
        ("at most 300 mm apart", &Said::Kept("300 mm".into()))
    );
    assert!(clamps.work.contains("4 times between"), "{clamps:?}");
    assert_eq!(on("panel-FH1", "slack").said, Said::Broken("14 mm".into()));
    // Five strands of 3.4 mm and less; the pair sets the radius: 20 times 3.4 mm (AC 43.13-1B par. 11-96, from memory).
    let bend = on("FH1-shelf", "bend");
    assert_eq!((bend.measure.as_str(), &bend.said), ("radius 68 mm or more", &Said::Kept("70 mm".into())));
    assert_eq!((bend.more.as_str(), bend.source.contains("from memory")), ("20 × 3.4 mm of CHT1", true));
    assert_eq!(task(&visits, "cyl-1", "bend").said, Said::Broken("30 mm".into()));
    // 6 in and 2 in of AC 43.13-1B par. 11-96 (w), rounded up.
    let fuel = on("FH1-shelf", "apart fuel");
    assert_eq!((fuel.measure.as_str(), &fuel.said), ("at least 51 mm (2 in)", &Said::Kept("60 mm".into())));
    let oil = on("shelf-cyl-1", "apart oil");
    assert_eq!((oil.measure.as_str(), &oil.said), ("at least 153 mm (6 in)", &Said::Nothing));
    // 24 in of par. 11-96a, rounded down: 700 mm need one clamp between.
    let open = on("shelf-cyl-1", "clamps");
    assert_eq!((open.measure.as_str(), &open.said), ("at most 609 mm (24 in) apart", &Said::Nothing));
    assert!(open.work.contains("once between"), "{open:?}");
}

#[test]
fn holes_are_lined_and_fed_before_runs_are_laid_and_closed_when_they_are() {
    let visits = sheet(SPEC);
    let order: Vec<Subject> = visits.iter().map(|v| v.subject).collect();
    assert_eq!(
        order,
        [
            Subject::AtHand,
            Subject::Hole,
            Subject::Run,
            Subject::Run,
            Subject::Run,
            Subject::Place,
            Subject::Device,
            Subject::Device,
            Subject::Device,
            Subject::Everywhere,
            Subject::Closing
        ]
    );
    // 1300 mm by 300 mm take six clamps, 300 mm two and 700 mm under the sleeve three.
    let clamps = visits.iter().find(|v| v.subject == Subject::AtHand).unwrap();
    let count: usize = clamps
        .tasks
        .iter()
        .filter(|t| !t.kind.contains("sleeve") && !t.measure.is_empty())
        .map(|t| t.measure.parse::<usize>().unwrap())
        .sum();
    assert_eq!(count, 6 + 2 + 3, "{clamps:?}");
    // Nothing passes FH2.
    assert!(visits.iter().all(|v| v.name != "FH2"));
    assert!(task(&visits, "FH1", "lining").work.contains("No lining is named"));
    assert_eq!(task(&visits, "FH1", "seal").said, Said::Given("putty".into()));
    let cover = task(&visits, "shelf-cyl-1", "cover");
    assert_eq!((cover.measure.as_str(), &cover.said), ("700 mm long", &Said::Given("fire-sleeve-6".into())));
    assert!(task(&visits, "shelf-cyl-1", "drain").source.contains("par. 11-96 (p)"));
    assert_eq!(task(&visits, "OILP", "drip loop").said, Said::Kept("drip loop".into()));
    // There is water where CHT1 is, and the spec says nothing of its wires.
    assert_eq!(task(&visits, "CHT1", "drip loop").said, Said::Nothing);
    assert_eq!(task(&visits, "", "reserve").said, Said::Default("2".into()));
    assert_eq!(task(&visits, "GAUGE", "service loop").said, Said::Default("150 mm".into()));
}

/// What does not keep to a limit is not passed on: the sheet asks for the limit.
#[test]
fn a_spacing_past_the_limit_is_not_what_the_sheet_asks_for() {
    let visits = sheet(&SPEC.replace("clamps: 300 mm", "clamps: 900 mm"));
    let clamps = task(&visits, "panel-FH1", "clamps");
    assert_eq!(clamps.measure, "at most 609 mm (24 in) apart");
    assert_eq!(clamps.said, Said::Broken("900 mm".into()));
    // 1300 mm by 609.6 mm: two between.
    assert!(clamps.work.contains("2 times between"), "{clamps:?}");
}

/// Facts that hold for any harness: checked on the examples.
#[test]
fn every_run_is_clamped_and_every_end_that_is_fed_is_fed_once_a_hole() {
    for name in ["four-cylinder", "six-cylinder", "workboat", "as-found"] {
        let resolved =
            pipeline::read(Path::new(&format!("harness-specs/{name}.yaml"))).unwrap().resolve().unwrap();
        let (h, library, routing, bundles) =
            (&resolved.harness, &resolved.library, &resolved.routing, &resolved.bundles);
        let plan = Plan::of(h, library, routing);
        let visits = install_sheet(&Job { h, library, routing, bundles, plan: &plan });
        let laid: BTreeSet<&str> = h
            .runs
            .iter()
            .zip(&routing.in_run)
            .filter(|(_, i)| !i.is_empty())
            .map(|(r, _)| r.name.as_str())
            .collect();
        for kind in ["clamps", "bend"] {
            let told: Vec<&str> = visits
                .iter()
                .filter(|v| v.subject == Subject::Run)
                .flat_map(|v| v.tasks.iter().filter(|t| t.kind == kind).map(|_| v.name.as_str()))
                .collect();
            assert_eq!(told.len(), laid.len(), "{name} {kind}");
            assert_eq!(told.into_iter().collect::<BTreeSet<_>>(), laid, "{name} {kind}");
        }
        let mut through: BTreeMap<String, usize> = BTreeMap::new();
        for end in plan.terminations.of.iter().flatten() {
            for hole in &end.through {
                *through.entry(h.hole(hole.hole).name.clone()).or_default() += 1;
            }
        }
        let mut fed: BTreeMap<String, usize> = BTreeMap::new();
        for visit in visits.iter().filter(|v| v.subject == Subject::Hole) {
            for task in visit.tasks.iter().filter(|t| t.kind.starts_with("feed ")) {
                let count: usize = task.measure.split(' ').next().unwrap().parse().unwrap();
                *fed.entry(visit.name.clone()).or_default() += count;
            }
        }
        assert_eq!(fed, through, "{name}");
        let table = lists::install(&visits);
        let keys: BTreeSet<&str> = table.rows.iter().map(|r| r.key.as_str()).collect();
        assert_eq!(keys.len(), table.rows.len(), "{name}: keys of rows are unlike");
        assert!(
            visits.iter().flat_map(|v| &v.tasks).all(|t| !t.source.is_empty() && !t.work.is_empty()),
            "{name}"
        );
        // Where the examples check clean nothing of them is broken.
        let broken =
            visits.iter().flat_map(|v| &v.tasks).filter(|t| matches!(t.said, Said::Broken(_))).count();
        assert!(name == "as-found" || broken == 0, "{name}");
    }
}
