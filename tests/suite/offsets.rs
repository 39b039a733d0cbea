//! The papers of senders and of drops: every sensor and load is in them, with the figures of `why` and the verdicts of the
//! rules.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::published::near;
use fairlead::graph::Loading;
use fairlead::harness::DeviceClass;
use fairlead::packet::table::Table;
use fairlead::packet::{csv, lists};
use fairlead::pipeline::{self, Resolved};
use fairlead::plan::drop_table::drop_table;
use fairlead::plan::offset_table::offset_table;
use fairlead::plan::why::Figure;
use fairlead::quantity::Voltage;
use fairlead::rules::Report;

type Record = BTreeMap<String, String>;

struct Built {
    resolved: Resolved,
    report: Report,
}

fn build(path: &str) -> Built {
    let Ok(resolved) = pipeline::read(Path::new(path)).unwrap().resolve() else { panic!("{path}") };
    let report = resolved.judge(None);
    Built { resolved, report }
}

/// What the file for machines holds.
fn records(table: &Table) -> Vec<Record> {
    let bytes = csv::write(table, None);
    ::csv::Reader::from_reader(&*bytes).deserialize().map(|r| r.unwrap()).collect()
}

impl Built {
    fn loading(&self) -> Loading {
        let Resolved { harness, library, routing, .. } = &self.resolved;
        Loading::of(harness, library, routing)
    }

    fn senders(&self) -> Vec<Record> {
        records(&lists::offsets(&offset_table(&self.resolved.harness, &self.loading())))
    }

    fn drops(&self) -> Vec<Record> {
        let h = &self.resolved.harness;
        let bus = h.header.supply.map(|supply| supply.value);
        records(&lists::drops(&drop_table(h, &self.loading()), bus, h.header.units))
    }

    /// What `why` tells of each of these names.
    fn figures<'r>(&self, names: impl Iterator<Item = &'r String>) -> BTreeMap<&'r str, Vec<Figure>> {
        let why =
            |name: &str| self.resolved.why(name, None).unwrap().into_iter().flat_map(|d| d.figures).collect();
        names.collect::<BTreeSet<_>>().into_iter().map(|name| (name.as_str(), why(name))).collect()
    }

    /// What the rules found, by the names of their first labels.
    fn found(&self, rules: &[&str]) -> BTreeSet<String> {
        let found = self.report.findings.iter().filter(|f| rules.contains(&f.rule));
        found.filter_map(|f| f.labels[0].id.clone()).collect()
    }
}

/// A packet holds both papers, for machines, for reading and in the page; a load behind a switch is told to be so.
#[test]
fn a_packet_holds_both_papers() {
    let built = build("tests/rules/drop-over-limit/unjudged-switches.yaml");
    let set = built.resolved.packet(&built.report).unwrap().0;
    let paper =
        |name: &str| String::from_utf8(set.get(name).unwrap_or_else(|| panic!("{name}")).to_vec()).unwrap();
    assert!(
        paper("drop-table.html").contains("Fed over a switch")
            && paper("index.html").contains("Voltage drops")
    );
    assert!(paper("drop-table.csv").contains("\"not judged\""));
    // Nothing here is read by an indicator: a paper without a row is not made.
    assert_eq!(set.get("sender-offsets.csv"), None);
    let built = build("tests/rules/sender-offset/fail-only-strap.yaml");
    let set = built.resolved.packet(&built.report).unwrap().0;
    let paper =
        |name: &str| String::from_utf8(set.get(name).unwrap_or_else(|| panic!("{name}")).to_vec()).unwrap();
    let html = paper("sender-offsets.html");
    assert!(["OP", "OT", "CHT1", "no zero to read against"].iter().all(|words| html.contains(words)));
    assert!(
        paper("index.html").contains("Offsets of senders") && paper("sender-offsets.csv").contains("psi")
    );
}

const SENDERS: [&str; 6] = [
    "harness-specs/four-cylinder.yaml",
    "harness-specs/as-found.yaml",
    "harness-specs/workboat.yaml",
    "tests/rules/sender-offset/fail-only-strap.yaml",
    "tests/rules/sender-offset/fail-unknown-strap.yaml",
    "tests/rules/shifted-probe/fail.yaml",
];

/// State by state: the words and the volts of `why`; past the tolerance where, and only where, a rule finds it.
#[test]
fn the_paper_of_senders_says_what_why_and_the_rules_say() {
    for spec in SENDERS {
        let built = build(spec);
        let records = built.senders();
        let figures = built.figures(records.iter().map(|r| &r["sender"]));
        let mut over: BTreeSet<String> = BTreeSet::new();
        for record in records.iter().filter(|r| !r["grounds"].is_empty()) {
            let state = &record["grounds"];
            let names = [format!("offset {state}"), format!("added by grounds {state}")];
            let figure = figures[&*record["sender"]].iter().find(|f| names.contains(&f.name));
            let figure = figure.unwrap_or_else(|| panic!("{spec}: {record:?}"));
            if !record["in words"].is_empty() {
                let value = figure.value.replace(" with the probe at ", " at ");
                assert_eq!(record["in words"], value, "{spec}: {record:?}");
            }
            let volts = figure.terms.first().and_then(|t| t.value.parse::<Voltage>().ok());
            if let (Some(volts), [low, high]) =
                (volts, ["offset, at least (mV)", "offset, at most (mV)"].map(|c| record[c].parse::<f64>()))
            {
                // `why` tells hundredths from a volt on.
                let step = if volts.abs() < Voltage::from_volts(1.0) { 0.051 } else { 5.1 };
                near(low.unwrap(), volts.millivolts(), step, state);
                near(high.unwrap(), volts.millivolts(), step, state);
            }
            if record["standing"] == "over" && !state.ends_with(" open") {
                over.insert(record["sender"].clone());
            }
        }
        assert_eq!(over, built.found(&["sender-offset", "shifted-probe"]), "{spec}");
        // Each sender has one worst state, and `why` calls the same one so.
        for (sender, told) in &figures {
            let worst = told.iter().find(|f| f.name == "worst offset" && !f.value.starts_with("no zero"));
            let Some(worst) = worst else { continue };
            let rows: Vec<&Record> =
                records.iter().filter(|r| r["sender"] == **sender && r["worst"] == "worst").collect();
            assert_eq!(rows.len(), 1, "{spec} {sender}");
            assert_eq!(rows[0]["grounds"], worst.terms[0].words, "{spec} {sender}");
        }
    }
}

/// No wired sensor is passed over: what is not in the table is named below it.
#[test]
fn every_wired_sensor_is_in_the_table_or_named_below_it() {
    for spec in SENDERS {
        let built = build(spec);
        let h = &built.resolved.harness;
        let offsets = offset_table(h, &built.loading());
        let named: BTreeSet<&str> = offsets
            .groups
            .iter()
            .flat_map(|g| g.with.iter().chain([&g.sender]))
            .chain(&offsets.untouched)
            .map(|n| &**n)
            .collect();
        let wired = h.conductors.iter().flat_map(|c| [c.from, c.to]).map(|pin| h.device(h.pin(pin).device));
        let sensors: BTreeSet<&str> =
            wired.filter(|d| matches!(d.class, DeviceClass::Sensor)).map(|d| d.name.as_str()).collect();
        assert!(named == sensors && offsets.unread.is_empty(), "{spec}: {named:?} {sensors:?}");
    }
}

/// 45 A of the alternator pull the engine below the airframe, 250 A of the starter lift it, by Ohm's law over the strap.
#[test]
fn the_strap_shifts_a_sender_by_its_current() {
    let built = build("tests/rules/sender-offset/fail-only-strap.yaml");
    let records = built.senders();
    let at = |state: &str| {
        let row = records.iter().find(|r| r["sender"] == "OP" && r["grounds"] == state).unwrap();
        row["offset, at least (mV)"].parse::<f64>().unwrap()
    };
    let h = &built.resolved.harness;
    let strap = h.bonds.iter().find(|b| b.resistance.is_some() && b.cranking.is_some()).unwrap();
    let amps = strap.carries.unwrap().value.amps() + strap.cranking.unwrap().value.amps();
    let millivolts = amps * strap.resistance.unwrap().value.ohms() * 1e3;
    near(at("while cranking") - at("in cruise"), millivolts, millivolts * 0.01, "strap");
    let lost =
        records.iter().find(|r| r["sender"] == "OP" && r["grounds"] == "in cruise, strap open").unwrap();
    assert_eq!(
        (&*lost["in words"], &*lost["standing"], &*lost["worst"]),
        ("no zero to read against", "over", "worst")
    );
}

const LOADS: [&str; 5] = [
    "harness-specs/four-cylinder.yaml",
    "harness-specs/as-found.yaml",
    "harness-specs/workboat.yaml",
    "tests/rules/drop-over-limit/fail.yaml",
    "tests/rules/drop-over-limit/unjudged-switches.yaml",
];

#[test]
fn the_paper_of_drops_says_what_why_and_the_rule_say() {
    for spec in LOADS {
        let built = build(spec);
        let records = built.drops();
        let figures = built.figures(records.iter().map(|r| &r["circuit"]));
        assert!(!records.is_empty(), "{spec}");
        let mut over = BTreeSet::new();
        for record in &records {
            let figure = |what: &str| record[what].parse::<f64>().ok();
            if let (Some(feed), Some(back), Some(drop)) =
                (figure("feed, at most (V)"), figure("return, at most (V)"), figure("drop, at most (V)"))
            {
                near(feed + back, drop, 0.0021, "sum");
                let name = format!("drop at {}", record["load"]);
                let why = figures[&*record["circuit"]]
                    .iter()
                    .find(|f| f.name == name)
                    .unwrap_or_else(|| panic!("{spec}: {record:?}"));
                if let Ok(volts) = why.value.parse::<Voltage>() {
                    near(drop, volts.volts(), 0.0051, &name);
                }
            }
            if record["standing"] == "over" {
                over.insert(record["circuit"].clone());
            }
        }
        assert_eq!(over, built.found(&["drop-over-limit"]), "{spec}");
        let standing = built.report.standings.iter().find(|s| s.rule.name == "drop-over-limit").unwrap();
        let open = records.iter().filter(|r| r["standing"] == "not judged").count();
        assert_eq!(open, standing.unjudged.len(), "{spec}: {:?}", standing.unjudged);
    }
}

/// What a load loses is summed up along a tree, and its wires are told one by one along the way: both are the same, at both
/// ends, in every direction that a way takes.
#[test]
fn what_a_load_loses_is_what_its_wires_drop() {
    let specs = |folder: &str| -> Vec<String> {
        let entries = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
        entries
            .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
            .map(|p| p.display().to_string())
            .collect()
    };
    let folders = ["harness-specs", "tests/rules/drop-over-limit", "tests/rules/sender-offset"];
    let mut told = [0; 3];
    for spec in folders.iter().flat_map(|folder| specs(folder)).filter(|p| !p.ends_with("/parts.yaml")) {
        let built = build(&spec);
        let loading = built.loading();
        for drop in &loading.ground.drops {
            let dropped = loading.ground.dropped(&built.resolved.harness, drop);
            let Ok(lost) = drop.known else {
                assert!(dropped.is_none(), "{spec}");
                continue;
            };
            let dropped = dropped.unwrap();
            for (lost, dropped) in lost.ends().into_iter().zip(dropped.ends()) {
                let sums = [&dropped.supply, &dropped.back].map(|wires| wires.iter().map(|t| t.drop).sum());
                assert_eq!([lost.supply, lost.back], sums, "{spec}: {drop:?}");
            }
            told[0] += 1;
            told[1] += usize::from(lost.open.is_some());
            told[2] += usize::from(dropped.low.back.len() > 1);
        }
    }
    assert!(told.iter().all(|n| *n > 0), "{told:?}");
}

/// A lamp behind a switch draws from the breaker all the same: it is in the table, and nothing is claimed of its drop.
#[test]
fn a_load_behind_a_switch_is_in_the_table() {
    let built = build("tests/rules/drop-over-limit/unjudged-switches.yaml");
    let rows = drop_table(&built.resolved.harness, &built.loading());
    let behind: Vec<_> = rows.iter().filter(|row| row.supply.is_empty()).collect();
    assert!(behind.len() == 2 && behind.iter().all(|row| row.total.is_none()), "{behind:?}");
    assert!(behind.iter().all(|row| row.standing.words().contains("what drops over that is not known")));
}
