//! The example specs on the bench: everything on their lists is known, so that nobody has to guess.

use crate::loom::Loom;
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::fitting::Fitting;

fn examples() -> Vec<(String, String)> {
    let folder = format!("{}/harness-specs", env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    files.sort();
    files.iter().map(|p| (p.display().to_string(), std::fs::read_to_string(p).unwrap())).collect()
}

fn plan(loom: &Loom) -> Plan {
    Plan::of(&loom.harness, Library::supplied(), &loom.routing)
}

/// Labels of ends for which no part is known.
fn unknown_ends(plan: &Plan) -> Vec<&str> {
    let ends = plan.terminations.of.iter().flatten();
    ends.filter(|end| matches!(end.fitting, Fitting::Unknown { .. })).map(|end| end.label.as_str()).collect()
}

#[test]
fn every_end_and_every_length_of_the_examples_is_known() {
    let examples = examples();
    assert!(examples.len() >= 4);
    for (name, text) in examples {
        let loom = Loom::read(&text);
        let plan = plan(&loom);
        if !name.ends_with("as-found.yaml") {
            assert_eq!(unknown_ends(&plan), [""; 0], "{name}");
        }
        for (c, length) in loom.harness.conductors.iter().zip(&plan.lengths) {
            assert_eq!(length.missing, [""; 0], "{} in {name}", c.mark);
        }
    }
}

/// The indicators are on the dry side of every wall, so every hole is fed away from them.
#[test]
fn the_examples_are_fed_from_the_indicator_outwards() {
    for (name, text) in examples() {
        let loom = Loom::read(&text);
        let h = &loom.harness;
        for feed in plan(&loom).terminations.feeds.iter().flatten() {
            let towards = h.zone(feed.towards).name.as_str();
            assert!(
                !["cabin", "wheelhouse", "panel"].contains(&towards),
                "{} in {name}",
                h.hole(feed.hole).name
            );
            assert!(feed.ends > 0);
        }
    }
}

/// What the as-found example is full of: wire of 16 AWG that no contact of its shell takes.
#[test]
fn what_does_not_fit_is_told_and_not_guessed() {
    let (_, text) = examples().into_iter().find(|(name, _)| name.ends_with("as-found.yaml")).unwrap();
    let plan = plan(&Loom::read(&text));
    let end =
        plan.terminations.of.iter().flatten().find(|end| matches!(end.fitting, Fitting::Unknown { .. }));
    let Some(Fitting::Unknown { because }) = end.map(|end| &end.fitting) else { panic!("nothing unknown") };
    assert!(because.contains("is made for 24..20 AWG"), "{because}");
}
