//! The install sheet: what hands do in the machine stands there once, in order, with its measure and its source.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::loom::Loom;
use fairlead::graph::Bundles;
use fairlead::packet::lists;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::plan::Plan;
use fairlead::plan::clamping::Clamping;
use fairlead::plan::install::{Job, Said, Subject, Task, Visit, install_sheet};
use fairlead::plan::parts_list::{Sort, parts_list};

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

/// A sender outlives the gauge that it served: unless the spec says what became of that, hands look.
#[test]
fn a_resistive_sender_is_looked_at_for_the_wire_of_an_old_gauge() {
    let with = |said: &str| {
        let float = format!("  TANK: {{part: tank-float-2wire, at: panel{said}}}\ncircuits:\n");
        let spec = SPEC.replace("circuits:\n", &float) + "  TANK: {from: TANK, to: GAUGE.tank-left}\n";
        sheet(&spec)
    };
    let visits = with("");
    let open = task(&visits, "TANK", "old gauge");
    assert_eq!((&open.said, open.source.as_str()), (&Said::Nothing, "Ohm's law"));
    assert!(
        open.work.contains("no wire of another gauge") && open.more.contains("both read wrong"),
        "{open:?}"
    );
    let removed = with(", old-gauge: removed");
    assert_eq!(task(&removed, "TANK", "old gauge").said, Said::Kept("old gauge removed".into()));
    let connected = with(", old-gauge: connected");
    assert!(matches!(task(&connected, "TANK", "old gauge").said, Said::Broken(_)));
    // Where there never was one nothing is to be looked for; a pressure sender of three wires is not read by resistance.
    let rows =
        |visits: &[Visit]| visits.iter().flat_map(|v| &v.tasks).filter(|t| t.kind == "old gauge").count();
    assert_eq!((rows(&visits), rows(&with(", old-gauge: none"))), (1, 0));
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
    assert_eq!((open.measure.as_str(), &open.said), ("", &Said::Everywhere));
    assert!(open.work.contains("once between"), "{open:?}");
    let every = on("", "clamps");
    assert_eq!((every.measure.as_str(), &every.said), ("at most 609 mm (24 in) apart", &Said::Nothing));
    // The bends of the other two runs, once for both.
    let every = on("", "bend 68 mm");
    assert_eq!((every.measure.as_str(), &every.said), ("radius 68 mm or more", &Said::Nothing));
    assert!(visits.iter().flat_map(|v| &v.tasks).filter(|t| t.kind.starts_with("bend")).count() == 3);
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
            Subject::EveryRun,
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
    // 1300 mm by 300 mm take four clamps between its ends, and 700 mm under the sleeve one. There is one at the panel, one
    // on each side of the firewall, one at the probe, and on the shelf one for the bundle and one for the sleeve.
    assert_eq!(task(&visits, "", "lay out").measure, format!("{} clamps, 2 bands", 4 + 1 + 1 + 2 + 1 + 2));
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
        let told: Vec<&str> = visits
            .iter()
            .filter(|v| v.subject == Subject::Run)
            .flat_map(|v| v.tasks.iter().filter(|t| t.kind == "clamps").map(|_| v.name.as_str()))
            .collect();
        assert_eq!(told.len(), laid.len(), "{name}");
        assert_eq!(told.into_iter().collect::<BTreeSet<_>>(), laid, "{name}");
        // What holds for every run is said once: its limit stands in no line of a run that declares nothing.
        for visit in visits.iter().filter(|v| v.subject == Subject::Run) {
            for task in visit.tasks.iter().filter(|t| t.kind == "clamps" || t.kind == "bend") {
                let declares = !matches!(task.said, Said::Everywhere);
                assert!(declares || task.measure.is_empty(), "{name} {}: {task:?}", visit.name);
            }
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

/// What the rules pass because the spec does not say it, the sheet asks for; and the rules say that it does.
#[test]
fn what_a_rule_leaves_open_is_an_instruction() {
    for name in ["near-fluid-line", "far-clamps", "loose-run", "tight-bend", "no-drip-loop"] {
        let rule = fairlead::rules::all().find(|rule| rule.name == name).unwrap();
        assert!(rule.limit.contains("the install sheet"), "{name}: {}", rule.limit);
    }
    let silent = SPEC
        .replace(", clamps: 300 mm, slack: 14 mm", "")
        .replace(", apart: {fuel: 60 mm}, rigid: true, bend: 70 mm", "")
        .replace("beside: [oil]", "beside: [oil, oxygen]")
        .replace("places: {cyl-1: {bend: 30 mm}}\n", "")
        .replace(", drip-loop: true", "");
    let visits = sheet(&silent);
    for (run, kind) in
        [("FH1-shelf", "apart fuel"), ("shelf-cyl-1", "apart oil"), ("shelf-cyl-1", "apart oxygen")]
    {
        let task = task(&visits, run, kind);
        assert_eq!((task.measure.as_str(), &task.said), ("at least 153 mm (6 in)", &Said::Nothing), "{kind}");
    }
    for (kind, measure) in [
        ("clamps", "at most 609 mm (24 in) apart"),
        ("bend 68 mm", "radius 68 mm or more"),
        ("slack", "at most 12 mm (0.5 in)"),
        ("drip loops", ""),
        ("fluid lines", "at least 153 mm (6 in)"),
    ] {
        assert_eq!(task(&visits, "", kind).measure, measure, "{kind}");
    }
}

/// No word takes a hole off the sheet: the one who closes it out is told what the designer wrote.
#[test]
fn every_hole_is_closed_out_whatever_is_said_of_its_seal() {
    for said in ["putty", "none", "none needed", "None required", "n/a"] {
        let visits = sheet(&SPEC.replace("seal: putty", &format!("seal: {said}")));
        let closing: Vec<&Visit> = visits.iter().filter(|v| v.subject == Subject::Closing).collect();
        let [visit] = closing[..] else { panic!("{said}: {closing:?}") };
        let [seal] = &visit.tasks[..] else { panic!("{said}: {visit:?}") };
        assert_eq!((visit.name.as_str(), &seal.said), ("FH1", &Said::Given(said.into())));
        assert_eq!(seal.work, format!("Close out the hole; its seal, as the spec says: {said}"));
        assert!(seal.more.contains("keeps fire or fumes out"), "{seal:?}");
    }
}

/// The same clamps stand on the sheet and on the parts list, which says by which spacing they are counted.
#[test]
fn the_parts_list_has_the_clamps_of_the_sheet() {
    let loom = Loom::sound(SPEC);
    let (h, routing, library) = (&loom.harness, &loom.routing, Library::supplied());
    let bundles = Bundles::of(h, library, routing);
    let plan = Plan::of(h, library, routing);
    let clamping = Clamping::of(h, library, routing, &bundles);
    let parts = parts_list(h, library, &plan, &clamping);
    let listed: BTreeMap<&str, usize> =
        parts.iter().filter(|r| r.sort == Sort::Clamp).map(|r| (r.part.as_str(), r.pieces)).collect();
    let bands = listed["fire-sleeve-clamp"];
    let clamps = listed.values().sum::<usize>() - bands;
    let told = sheet(SPEC);
    assert_eq!(task(&told, "", "lay out").measure, format!("{clamps} clamps, {bands} bands"));
    // The trunk declares its spacing, the sleeved run does not.
    let remark = |part: &str| parts.iter().find(|r| r.part == part).unwrap().remark.as_str();
    assert!(parts.iter().any(|r| r.remark.contains("by the designer's declared spacing")), "{parts:?}");
    assert_eq!(remark("fire-sleeve-clamp"), "for bundles of 6 mm to 32 mm");
    assert!(parts.iter().any(|r| r.remark.contains("for no spacing is declared")), "{parts:?}");
}

/// Who says no ceiling is told on the sheet that the wires were held against sea level.
#[test]
fn sea_level_is_a_default_of_the_sheet() {
    let fed = SPEC.replace("circuits:", "supplies: {CB: {at: panel, breaker: 2 A, stud: '#8'}}\ncircuits:\n  POWER: {from: CB, to: GAUGE.power}");
    let asked = |text: &str| {
        let visits = sheet(text);
        let tasks = visits.iter().flat_map(|v| &v.tasks);
        tasks.filter(|t| t.kind == "altitude").map(|t| t.said.words()).collect::<Vec<_>>()
    };
    assert_eq!(asked(&fed), ["sea level *"]);
    assert!(asked(&fed.replace("etfe-22}", "etfe-22, ceiling: 12000 ft}")).is_empty());
    // Without a feed nothing warms a wire.
    assert!(asked(SPEC).is_empty());
}

/// A covering without a wire of the harness holds what a device brings, or nothing that anybody knows of.
#[test]
fn a_covered_run_in_which_nothing_lies_is_not_laid() {
    let beyond =
        "fire-sleeve-6}\n  - {from: cyl-1, to: cyl-2, zone: engine, length: 300 mm, cover: fire-sleeve-6}\n";
    let text = SPEC.replace("fire-sleeve-6}\n", beyond);
    let lead_in = |text: &str| {
        let visits = sheet(text);
        let about: Vec<&Visit> = visits.iter().filter(|visit| visit.name == "cyl-1-cyl-2").collect();
        about
            .iter()
            .flat_map(|visit| &visit.tasks)
            .map(|task| task.work.clone())
            .collect::<Vec<_>>()
            .join(" | ")
    };
    assert_eq!(lead_in(&text), "");
    let brought = text.replace("cht-bayonet-k, at: cyl-1", "cht-bayonet-k, at: cyl-2, lead-ends-at: cyl-1");
    assert!(lead_in(&brought).contains("Lay the lead of CHT1 in its covering"), "{}", lead_in(&brought));
    let bands = |text: &str| {
        let loom = Loom::sound(text);
        let bundles = Bundles::of(&loom.harness, Library::supplied(), &loom.routing);
        Clamping::of(&loom.harness, Library::supplied(), &loom.routing, &bundles).bands.len()
    };
    // The wire lies under one covering, the lead under the other.
    assert_eq!([bands(&text), bands(&brought)], [1, 2]);
}

#[test]
fn of_many_plugs_of_one_shape_a_few_are_named() {
    let (mut devices, mut circuits) = (String::new(), String::new());
    for i in 1..=5 {
        devices += &format!("  P{i}: {{part: oil-pressure-3wire, at: shelf, drip-loop: true}}\n");
        circuits += &format!("  P{i}: {{from: P{i}, to: G{i}.oil-pressure}}\n");
    }
    let gauges: Vec<String> = (1..=5).map(|i| format!("G{i}: {{part: engine-gauge-4, at: panel}}")).collect();
    let alike = |count: usize| {
        let cut = |text: &str, name: &str| -> String {
            let kept = |line: &&str| !(count + 1..=5).any(|i| line.contains(&format!("{name}{i}:")));
            text.lines().filter(kept).map(|line| format!("{line}\n")).collect()
        };
        let text = SPEC
            .replace(
                "GAUGE: {part: engine-gauge-4, at: panel}",
                &format!("GAUGE: {{part: engine-gauge-4, at: panel}}, {}", gauges.join(", ")),
            )
            .replace("circuits:\n", &format!("{}circuits:\n", cut(&devices, "P")))
            .replace("  OILP: {from", &format!("{}  OILP: {{from", cut(&circuits, "P")));
        let visits = sheet(&text);
        let visit = visits.iter().find(|visit| visit.name == "P1").unwrap();
        assert!(visit.tasks.iter().any(|task| task.kind == "label A"));
        visit.cautions.join(" | ")
    };
    // One at the shelf is OILP. Whether their wires differ is not compared, so it is not said that they do.
    assert!(
        alike(1).contains("same shape as OILP.A at this place, and their wires and colours may mean"),
        "{}",
        alike(1)
    );
    assert!(alike(3).contains("same shape as OILP.A, P2.A, P3.A at this place"), "{}", alike(3));
    assert!(alike(4).contains("same shape as OILP.A and 3 others at this place"), "{}", alike(4));
    assert!(alike(5).contains("same shape as OILP.A and 4 others at this place"), "{}", alike(5));
}
