//! `why` of what the ground network says: values, and terms that add up to them.

use std::path::Path;

use fairlead::pipeline;
use fairlead::plan::why::{Derivation, Figure, Line};
use fairlead::quantity::{Resistance, Voltage};

fn why(spec: &str, name: &str) -> Vec<Derivation> {
    let Ok(resolved) = pipeline::read(Path::new(spec)).unwrap().resolve() else { panic!("{spec}") };
    resolved.why(name, None).unwrap()
}

const FOUND: &str = "harness-specs/as-found.yaml";

/// A figure's terms without what is said to be not counted.
fn counted(terms: &[Line]) -> impl Iterator<Item = &Line> {
    terms.iter().filter(|t| t.value != "not counted")
}

fn figure(found: &[Derivation], name: &str) -> Figure {
    let figures = found.iter().flat_map(|d| &d.figures);
    figures.clone().find(|f| f.name == name).unwrap_or_else(|| panic!("{name}: {found:?}")).clone()
}

#[test]
fn a_wire_adds_up_its_resistance() {
    let told = figure(&why(FOUND, "P3A20N"), "resistance");
    let sum: Resistance = told.terms.iter().map(|t| t.value.parse::<Resistance>().unwrap()).sum();
    let whole: Resistance = told.value.parse().unwrap();
    assert!((sum.ohms() - whole.ohms()).abs() < 5e-5, "{told:?}");
    assert!(told.terms.iter().all(|t| t.source.contains("Table 11-9") && !t.spans.is_empty()));
}

#[test]
fn a_drop_adds_up_and_names_its_limit() {
    let told = figure(&why("harness-specs/four-cylinder.yaml", "POWER"), "drop at GAUGE.B.19");
    let (limit, terms) = told.terms.split_last().unwrap();
    let sum: Voltage = counted(terms).map(|t| t.value.parse::<Voltage>().unwrap()).sum();
    assert!((sum.volts() - told.value.parse::<Voltage>().unwrap().volts()).abs() < 1e-5, "{told:?}");
    assert_eq!((limit.value.as_str(), limit.source.as_str()), ("500 mV", "AC 43.13-1B CHG 1 Table 11-6"));
}

#[test]
fn an_offset_adds_up_over_wires_and_bonds() {
    let found = why(FOUND, "OILT");
    let told = figure(&found, "offset in cruise");
    let (whole, terms) = told.terms.split_first().unwrap();
    let sum: Voltage = counted(terms).map(|t| t.value.parse::<Voltage>().unwrap()).sum();
    assert!((sum.volts() - whole.value.parse::<Voltage>().unwrap().volts()).abs() < 1e-5, "{told:?}");
    assert_eq!(figure(&found, "offset in cruise, Engine strap open").value, "off its scale, high");
    assert_eq!(figure(&found, "read at").value, "GAUGE.B.1");
    assert_eq!(figure(&found, "worst offset").terms[0].words, "while cranking, Engine strap open");
}

#[test]
fn a_strap_tells_what_its_loss_does() {
    let found = why(FOUND, "Engine strap");
    assert_eq!(figure(&found, "resistance").value, "6 mΩ");
    let told = figure(&found, "if it opens in cruise");
    let words: Vec<&str> = told.terms.iter().map(|t| t.words.as_str()).collect();
    assert!(words.contains(&"P3A20N of GND-2, 20 AWG"), "{words:?}");
    let sound = why("harness-specs/four-cylinder.yaml", "Engine strap");
    assert!(figure(&sound, "if it opens").value.contains("its current stops"));
    let abreast = why("tests/rules/resistive-strap/pass-abreast.yaml", "left strap");
    let goes = figure(&abreast, "if it opens").value;
    assert_eq!(goes, "no wire of the harness leads around it: its current takes the bond `right strap`");
}

/// Without the only strap a sender grounded on the engine has no zero at its indicator on the airframe: no figure of whole
/// grounds is worse.
#[test]
fn a_sender_can_lose_its_zero() {
    let spec = "tests/rules/sender-offset/fail-only-strap.yaml";
    let found = why(spec, "OP");
    let worst = figure(&found, "worst offset");
    assert_eq!(worst.value, "no zero to read against: strap open");
    assert_eq!(worst.terms[0].value, "up to the 14 V of the supply");
    assert_eq!(figure(&found, "offset in cruise, strap open").value, "no zero to read against");
    let goes = figure(&why(spec, "strap"), "if it opens").value;
    assert!(
        goes.ends_with("what is left of its current takes the signal wire of OP, which loses its zero"),
        "{goes}"
    );
    // The oil temperature comes back over a wire of its own and keeps it.
    assert!(!figure(&why(spec, "OT"), "worst offset").value.contains("zero"));
}

/// What is given as nothing is said so, and what would take more than the supply is no figure.
#[test]
fn bonds_at_both_ends_of_what_can_be_written() {
    let none = why("tests/rules/unbonded-engine/edge.yaml", "engine-airframe");
    assert_eq!(figure(&none, "resistance").value, "0 Ω as given");
    assert_eq!(figure(&none, "voltage while cranking").value, "0 mV");
    let insulates = why("tests/rules/insulating-bond/fail.yaml", "engine-airframe");
    let voltage = figure(&insulates, "voltage in cruise").value;
    assert_eq!(voltage, "more than the 14 V of the supply: such a current does not flow");
}

/// Of a strap that nobody measured, both ends are told and the bond that leaves them open is named.
#[test]
fn an_unknown_strap_is_told_by_both_ends() {
    let found = why("tests/rules/sender-offset/fail-unknown-strap.yaml", "TANK");
    let told = figure(&found, "offset in cruise");
    assert!(told.value.starts_with("between "), "{told:?}");
    let words: Vec<&str> = told.terms.iter().map(|t| t.words.as_str()).collect();
    assert!(
        words.iter().any(|w| w.contains("engine-mount is not given: taken as none and as open")),
        "{words:?}"
    );
}

/// A grounded junction is told in microvolts and degrees, or that nothing is added; contacts are said not to be counted.
#[test]
fn a_grounded_junction_is_told_in_microvolts() {
    let found = why("tests/rules/shifted-probe/fail.yaml", "CHT1");
    let told = figure(&found, "added by grounds in cruise");
    assert!(told.value.ends_with("°C low with the probe at 200 °C"), "{told:?}");
    assert!(told.terms[0].value.starts_with("-2066") && told.terms[0].value.ends_with("µV"), "{told:?}");
    assert!(told.terms.iter().any(|t| t.value == "not counted"), "{told:?}");
    let between = why("tests/rules/shifted-probe/pass.yaml", "CHT1");
    assert_eq!(figure(&between, "added by grounds").value, "nothing: GAUGE measures between the two pins");
}

/// Where a zone does not say how hot it gets, an open strap is told by the least that it does, without a formula that holds at
/// one end only.
#[test]
fn an_open_strap_in_a_zone_that_says_nothing_is_told_at_least() {
    let told =
        figure(&why("tests/rules/strap-open/fail-ambient.yaml", "engine-airframe"), "if it opens in cruise");
    assert!(told.value.starts_with("at least "), "{told:?}");
    assert!(told.terms[0].value.starts_with("at most "), "{told:?}");
    let others =
        told.terms.iter().filter(|t| t.source.contains("Table 11-9") || t.words == "from body to body");
    assert!(
        others.clone().count() > 1 && others.clone().all(|t| t.value.starts_with("at least ")),
        "{told:?}"
    );
    assert!(told.terms.iter().all(|t| t.words != "still flows"), "{told:?}");
    assert!(told.terms.iter().any(|t| t.words.contains("says no ambient")), "{told:?}");
}
