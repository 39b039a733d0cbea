//! The harness as found: each fault that was wired into it is found, at the thing that has it.

use std::collections::BTreeSet;

use super::example_specs::judged;

/// The rule, and what its finding must name first.
const WIRED_IN: &[(&str, &str)] = &[
    ("swapped-legs", "CHT1"),
    ("colour-against-polarity", "CHT2"),
    ("reach", "CHT3"),
    ("wrong-port", "CHT4"),
    ("wrong-port", "OILP"),
    ("swapped-twice", "EGT1"),
    ("broken-alloy", "EGT2"),
    ("untwisted-pair", "EGT2"),
    ("probe-distance", "EGT4"),
    ("open-pin", "FLOW"),
    ("shared-sender", "TANK"),
    ("unseen-indicator", "GAUGE"),
    ("unused-part", "TUBE"),
    ("crosses-twice", "TANK"),
    ("hole-count", "FH1"),
    ("crossing-without-hole", "cable-gap"),
    ("contact-range", "POWER"),
    ("unfused-supply", "MAIN"),
    ("avionics-ground", "GND"),
    ("cavity-used-twice", "GND"),
    ("ground-loop", "GND-2"),
    ("strap-open", "GND-2"),
    ("resistive-strap", "Engine strap"),
    ("sender-offset", "OILT"),
    ("split-engine-ground", "GAUGE"),
    ("stud-stack", "ENG"),
    ("waiver-expired", "FH1"),
    ("large-protector", "CB3"),
    ("far-protector", "CB3"),
    ("hot-insulation", "cyl-4-cyl-2"),
    ("far-clamps", "panel-fw-shelf"),
    ("loose-run", "fw-shelf-battery-box"),
    ("tight-bend", "FH1-baffle"),
    ("near-fluid-line", "gascolator-cable-gap"),
    ("few-terminations", "shop"),
    ("no-drip-loop", "OILP"),
];

#[test]
fn every_fault_is_found_at_its_place() {
    let report = judged("harness-specs/as-found.yaml").report;
    let missed: Vec<_> = WIRED_IN
        .iter()
        .filter(|(rule, at)| {
            let names = |f: &fairlead::diag::Finding| f.labels.iter().any(|l| l.id.as_deref() == Some(*at));
            !report.open().any(|f| f.rule == *rule && names(f))
        })
        .collect();
    assert_eq!(missed, Vec::<&(&str, &str)>::new());
    let kinds: BTreeSet<&str> = WIRED_IN.iter().map(|(rule, _)| *rule).collect();
    assert!(kinds.len() >= 12, "{kinds:?}");
}

/// What is wired right is left alone.
#[test]
fn sound_circuits_are_not_accused() {
    let report = judged("harness-specs/as-found.yaml").report;
    for sound in ["EGT3", "RPM", "LAMP-F"] {
        let accused: Vec<&str> = report
            .open()
            .filter(|f| f.labels.first().is_some_and(|l| l.id.as_deref() == Some(sound)))
            .map(|f| f.message.as_str())
            .collect();
        assert_eq!(accused, Vec::<&str>::new());
    }
}

/// The waiver that ran out covers nothing any more.
#[test]
fn no_fault_is_waived() {
    let report = judged("harness-specs/as-found.yaml").report;
    assert!(report.findings.iter().all(|f| f.waived.is_none()));
}
