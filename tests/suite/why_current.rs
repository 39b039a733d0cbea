//! `why` of what a wire may carry: what is not known is said so, how good a figure is stands beside it, and which of two
//! readings is the law.

use crate::loom::Loom;
use fairlead::graph::{Bundles, Loading};
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::why::{Asked, Figure, Line, derive};

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {ambient: 40 °C}, engine: {ambient: 110 °C}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 20 mm, max-fill: 60 %}}}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 900 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm}
bodies: {engine: engine}
buses: {main: {source: 20 A, at: panel}}
supplies: {CB: {breaker: 3 A, at: panel, bus: main, stud: '#8'}}
equipment:
  GAUGE: {part: engine-gauge-4, at: panel}
  SHUNT: {part: current-shunt-60, at: panel}
sensors:
  FLOW: {part: fuel-flow-transducer, at: shelf}
  OILP: {part: oil-pressure-3wire, at: shelf}
grounds: {ENG: {body: engine, at: shelf, stud: M6}}
circuits:
  POWER: {from: CB, to: GAUGE.power, current: 0.75 A}
  GND: {from: GAUGE.ground, to: ENG}
  FLOW: {from: FLOW, to: GAUGE.fuel-flow}
  OILP: {from: OILP, to: GAUGE.oil-pressure}
";

fn figures(spec: &str, id: impl Fn(&Loom) -> String) -> Vec<Figure> {
    let loom = Loom::sound(spec);
    let (h, library, routing) = (&loom.harness, Library::supplied(), &loom.routing);
    let (plan, bundles) = (Plan::of(h, library, routing), Bundles::of(h, library, routing));
    let loading = Loading::of(h, library, routing);
    let (plan, bundles, loading) = (&plan, &bundles, &loading);
    let asked = Asked { h, library, routing, bundles, plan, loading, findings: &[] };
    derive(&asked, &id(&loom)).unwrap().into_iter().flat_map(|told| told.figures).collect()
}

/// Of the ground wire, which passes cabin and engine.
fn of_ground(spec: &str) -> Vec<Figure> {
    figures(spec, |loom| loom.harness.conductor(loom.wire("ENG")).mark.clone())
}

#[track_caller]
fn figure<'f>(figures: &'f [Figure], begins: &str) -> &'f Figure {
    figures.iter().find(|f| f.name.starts_with(begins)).unwrap_or_else(|| panic!("{begins}: {figures:?}"))
}

#[track_caller]
fn term<'f>(figure: &'f Figure, begins: &str) -> &'f Line {
    figure
        .terms
        .iter()
        .find(|t| t.words.starts_with(begins))
        .unwrap_or_else(|| panic!("{begins}: {figure:?}"))
}

#[test]
fn a_zone_that_says_no_ambient_leaves_it_open() {
    let told = of_ground(&SPEC.replace("engine: {ambient: 110 °C}", "engine: {}"));
    let open = "not known: zone `engine` says no ambient";
    for name in ["ampacity by the free-air", "ampacity by the table", "temperature of the conductor"] {
        assert_eq!(figure(&told, name).value, open, "{name}");
    }
    // The cooler of the two is no answer, but not hidden.
    let least = term(figure(&told, "ampacity by the free-air"), "least where it is said");
    assert!(least.words.ends_with("panel-FH1") && least.value.ends_with(" A"), "{least:?}");
    let stands = figure(&told, "insulation stands");
    assert_eq!(term(stands, "how hot it gets in engine").value, "not said");
    assert_eq!(term(stands, "hottest zone that says it, cabin").value, "40 °C");
    assert!(!stands.terms.iter().any(|t| t.words.starts_with("hottest zone it passes")), "{stands:?}");
    // Copper there is as a workshop is at least, and as its insulation stands at most.
    let ohms = figure(&told, "resistance");
    let run = term(ohms, "run FH1-shelf");
    assert!(ohms.value.starts_with("between ") && run.value.contains(" to "), "{ohms:?}");
    assert!(run.formula.ends_with("from 20 °C to the 150 °C that it stands: zone `engine` says no ambient"));
    assert!(!run.by_default && !term(ohms, "run panel-FH1").value.contains(" to "), "{ohms:?}");
    let drop = figures(&SPEC.replace("engine: {ambient: 110 °C}", "engine: {}"), |_| "POWER".to_owned());
    let drop = figure(&drop, "drop at GAUGE");
    assert!(drop.value.starts_with("between ") && term(drop, "how warm ").words.contains(open), "{drop:?}");
    assert!(
        term(drop, "return").formula.ends_with("at 150 °C, the most that its insulation stands"),
        "{drop:?}"
    );
    let told = of_ground(SPEC);
    assert_eq!(term(figure(&told, "insulation stands"), "hottest zone it passes, engine").value, "110 °C");
    assert!(told.iter().all(|f| !f.value.contains("not known")), "{told:?}");
}

/// The digitised curves are good to 3 percent, the factor of a bundle to 0.01; the law that warms a wire is from memory.
#[test]
fn a_figure_says_how_good_it_is() {
    let told = of_ground(&SPEC.replace("etfe-22}", "etfe-22, ceiling: 10000 ft}"));
    let law = figure(&told, "ampacity by the free-air method (the law)");
    assert_eq!(term(law, "alone in free air").formula, "good to ± 3 %");
    assert!(term(law, "times, for 7 wires").formula.ends_with("; good to ± 0.01"), "{law:?}");
    assert_eq!(term(law, "times, for 10000 ft").formula, "good to ± 0.01");
    let whole = term(law, "good to ± ");
    let percent: f64 = whole.words["good to ± ".len()..].trim_end_matches(" %").parse().unwrap();
    let share = |begins: &str| term(law, begins).value.parse::<f64>().unwrap();
    let sum = 3.0 + 1.0 / share("times, for 7 wires") + 1.0 / share("times, for 10000 ft");
    assert!((percent - sum).abs() < 0.06, "{percent} {sum}");
    figure(&told, "ampacity by the table (cross-check by rule of thumb)");
    let warmed = term(figure(&told, "temperature of the conductor"), "rise by its own current");
    assert_eq!(warmed.source, "AC 43.13-1B CHG 1, page 11-22 (from memory)");
    let told = figures(SPEC, |_| "POWER".to_owned());
    let feed = term(figure(&told, "drop at GAUGE"), "feed");
    assert!(feed.source.ends_with("page 11-22 (from memory)"), "{feed:?}");
}

#[test]
fn sea_level_is_said_to_be_a_default_and_above_the_figures_nothing_is_known() {
    let told = of_ground(SPEC);
    let level = term(figure(&told, "ampacity by the free-air"), "times, for sea level");
    assert!(level.by_default && level.formula.contains("no `ceiling:` is given"), "{level:?}");
    let told = of_ground(&SPEC.replace("etfe-22}", "etfe-22, ceiling: 60001 ft}"));
    for name in ["ampacity by the free-air", "ampacity by the table", "temperature of the conductor"] {
        let found = figure(&told, name);
        let words = format!("{} {:?}", found.value, found.terms);
        assert!(found.value.starts_with("not known") && words.contains("60,000 ft"), "{name}: {words}");
    }
    let told = of_ground(&SPEC.replace("etfe-22}", "etfe-22, ceiling: 60000 ft}"));
    assert!(told.iter().all(|f| !f.value.contains("not known")), "{told:?}");
}

#[test]
fn senders_without_an_offset_say_why() {
    let offset = |id: &str| figure(&figures(SPEC, |_| id.to_owned()), "offset").value.clone();
    assert_eq!(offset("FLOW"), "none told: pulses are counted");
    assert_eq!(offset("SHUNT"), "none told: measured between its own two wires");
    let told = figures(SPEC, |_| "OILP".to_owned());
    assert_eq!(term(figure(&told, "read at"), "what its excitation loses").value, "not counted");
    // What reads them is no sender.
    assert!(figures(SPEC, |_| "GAUGE".to_owned()).iter().all(|f| f.name != "offset"));
}

#[test]
fn of_two_readings_one_is_the_law() {
    let names = |id: &str| figures(SPEC, |_| id.to_owned()).into_iter().map(|f| f.name).collect::<Vec<_>>();
    let hole = names("FH1");
    for name in ["fill by area (cross-check by rule of thumb)", "fit (the law)"] {
        assert!(hole.iter().any(|n| n == name), "{hole:?}");
    }
    let told = figures(SPEC, |_| "main".to_owned());
    let watched = term(figure(&told, "its source gives"), "to be watched above");
    assert!(
        watched.words.ends_with("(cross-check by rule of thumb)") && watched.value == "16 A",
        "{watched:?}"
    );
    assert_eq!(term(figure(&told, "drawn"), "left of the source (the law)").source, "Kirchhoff's first law");
}
