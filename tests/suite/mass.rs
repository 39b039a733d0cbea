//! Mass and balance: the sums of the list are worked out once more from the other papers, with figures of the library
//! that are read here and nowhere else.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::command_line::run;
use crate::loom::Loom;
use crate::published::near;
use fairlead::graph::Bundles;
use fairlead::packet::FileSet;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::plan::Plan;
use fairlead::plan::clamping::Clamping;
use fairlead::plan::mass::{Balance, balance};
use fairlead::plan::parts_list::parts_list;

type Record = BTreeMap<String, String>;

fn packet(path: &str) -> FileSet {
    let resolved = pipeline::read(Path::new(path)).unwrap().resolve().unwrap();
    let report = resolved.judge(None);
    resolved.packet(&report).unwrap().0
}

fn records(set: &FileSet, file: &str) -> Vec<Record> {
    let bytes = set.get(file).unwrap_or_else(|| panic!("no {file}"));
    csv::Reader::from_reader(bytes).deserialize().map(|r| r.unwrap()).collect()
}

#[track_caller]
fn number(record: &Record, column: &str) -> f64 {
    record[column].parse().unwrap_or_else(|_| panic!("{column} of {record:?}"))
}

/// From the lists alone: wire by cut length, one piece a cable; moments by mass and arm.
#[test]
fn the_sums_of_the_four_cylinder_follow_from_its_other_papers() {
    let set = packet("harness-specs/four-cylinder.yaml");
    let rows = records(&set, "mass-and-balance.csv");
    let (totals, lumps): (Vec<_>, Vec<_>) = rows.iter().partition(|r| r["kind"] == "total");
    let total = totals[0];
    let sum = |column: &str| lumps.iter().map(|r| number(r, column)).sum::<f64>();
    // Each cell is rounded to a hundredth.
    let rounding = 0.005 * (lumps.len() + 1) as f64;
    for column in ["wire (g)", "other parts (g)", "mass (g)", "moment (kg·mm)"] {
        near(sum(column), number(total, column), rounding, column);
    }
    for row in &lumps {
        let moment = number(row, "mass (g)") / 1000.0 * number(row, "arm (mm)");
        near(moment, number(row, "moment (kg·mm)"), 0.02, &row["where"]);
    }
    near(
        number(total, "moment (kg·mm)") / number(total, "mass (g)") * 1000.0,
        number(total, "arm (mm)"),
        0.1,
        "arm",
    );

    let mut cables = BTreeSet::new();
    let mut wire = 0.0;
    for cut in records(&set, "cut-list.csv") {
        let cable = cut["cut as one with cable"].clone();
        if cable.is_empty() || cables.insert(cable) {
            let (_, part) = Library::supplied().wires.look_up(&cut["wire type"]).unwrap();
            wire += part.mass.unwrap().grams_per_metre() * number(&cut, "cut length (mm)") / 1000.0;
        }
    }
    near(wire, number(total, "wire (g)"), 0.01, "wire");

    // The parts list counts the same things another way. Its masses are shown to a tenth of a gram.
    let parts = loom_parts(&set);
    let grams =
        |r: &Record| r["mass"].strip_suffix(" g").unwrap_or_else(|| panic!("{r:?}")).parse::<f64>().unwrap();
    near(parts.iter().map(grams).sum(), number(total, "mass (g)"), 0.05 * parts.len() as f64, "parts list");
}

/// Rows of the parts list without the tools, which are no part of the loom.
fn loom_parts(set: &FileSet) -> Vec<Record> {
    records(set, "parts-list.csv").into_iter().filter(|row| row["sort"] != "tool").collect()
}

/// The six-cylinder gives no stations: what it weighs is told all the same, and that no arm is known.
#[test]
fn a_harness_without_stations_has_its_total() {
    let set = packet("harness-specs/six-cylinder.yaml");
    let rows = records(&set, "mass-and-balance.csv");
    let (totals, lumps): (Vec<_>, Vec<_>) = rows.iter().partition(|r| r["kind"] == "total");
    let [total] = totals[..] else { panic!("{totals:?}") };
    assert!(
        lumps.len() > 20 && lumps.iter().all(|r| r["arm (in)"].is_empty() && r["moment (lb·in)"].is_empty())
    );
    assert_eq!((&*total["arm (in)"], &*total["moment (lb·in)"]), ("", ""));
    let sum: f64 = lumps.iter().map(|r| number(r, "mass (lb)")).sum();
    near(sum, number(total, "mass (lb)"), 0.00005 * (lumps.len() + 1) as f64, "mass");
    let parts = loom_parts(&set);
    let pounds =
        |r: &Record| r["mass"].strip_suffix(" lb").unwrap_or_else(|| panic!("{r:?}")).parse::<f64>().unwrap();
    near(
        parts.iter().map(pounds).sum(),
        number(total, "mass (lb)"),
        0.0005 * parts.len() as f64,
        "parts list",
    );
    let paper = String::from_utf8(set.get("mass-and-balance.html").unwrap().to_vec()).unwrap();
    assert!(paper.contains("Mass of the loom") && paper.contains("Arm and moment are not known"));
    assert!(!paper.contains("<th scope=\"col\">arm"));
}

/// The last number before `unit` in what stands behind `figure:`.
fn told(text: &str, figure: &str, unit: &str) -> f64 {
    let value = text.lines().find_map(|line| line.strip_prefix(&format!("  {figure}: "))).unwrap();
    value.strip_suffix(unit).unwrap_or_else(|| panic!("{value}")).parse().unwrap()
}

#[test]
fn the_total_can_be_asked_for_and_its_terms_add_up() {
    let spec = "harness-specs/four-cylinder.yaml";
    let ran = run(&["why", spec]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert_eq!(run(&["why", spec, "mass"]).out, ran.out);
    let rows = records(&packet(spec), "mass-and-balance.csv");
    let total = rows.iter().find(|r| r["kind"] == "total").unwrap();
    near(told(&ran.out, "mass", " kg") * 1000.0, number(total, "mass (g)"), 0.6, "mass");
    near(told(&ran.out, "arm", " mm"), number(total, "arm (mm)"), 0.6, "arm");
    near(told(&ran.out, "moment", " kg·mm"), number(total, "moment (kg·mm)"), 0.06, "moment");
    // Terms of the first figure end with their formula; what is not counted has no mass.
    let terms = ran.out.lines().skip_while(|l| !l.starts_with("  mass:")).skip(1);
    let terms: Vec<&str> = terms.take_while(|l| l.starts_with("    ")).collect();
    let grams = |line: &&str| {
        let at = line.find(" g  ").or_else(|| line.strip_suffix(" g").map(str::len))?;
        line[..at].rsplit(' ').next()?.parse::<f64>().ok()
    };
    near(terms.iter().filter_map(grams).sum(), number(total, "mass (g)"), 0.05 * terms.len() as f64, "terms");
    assert!(terms.iter().any(|l| l.contains("wire etfe-22") && l.contains("m × ")), "{terms:?}");
    assert!(terms.last().is_some_and(|l| l.contains("not counted")), "{terms:?}");
    let without = run(&["why", "harness-specs/six-cylinder.yaml"]).out;
    assert!(without.contains("arm: not known: no `station:`") && !without.contains("moment"), "{without}");
}

/// A thing of the spec called `mass` is told too, and first.
#[test]
fn the_word_for_the_total_hides_no_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("spec.yaml");
    std::fs::write(&path, SPEC.replace("{S: {", "{mass: {").replace("from: S", "from: mass")).unwrap();
    let ran = run(&["why", path.to_str().unwrap(), "mass"]);
    let heads: Vec<&str> =
        ran.out.lines().filter(|l| !l.starts_with(' ')).filter(|l| l.starts_with("mass: ")).collect();
    assert!(heads.len() == 2 && heads[1] == "mass: all of the harness", "{}", ran.out);
}

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, default-wire: etfe-22}
shop: {cut-step: 10 mm, tail: 100 mm, reterminations: 0}
zones: {cabin: {}}
route:
  - {from: a, to: b, zone: cabin, length: 1000 mm, cover: braid-sleeve-6}
  - {from: b, to: c, zone: cabin, length: 500 mm}
places: {a: {station: 100 mm}, b: {station: 900 mm}}
studs: {S: {size: M5, at: a}, T: {size: M5, at: c}, U: {size: M5, at: b}}
circuits:
  ONE: {from: S, to: U, kind: signal}
  TWO: {from: S, to: T, kind: signal}
";

fn weighed(text: &str) -> (Balance, f64) {
    let loom = Loom::sound(text);
    let (h, library) = (&loom.harness, Library::supplied());
    let plan = Plan::of(h, library, &loom.routing);
    let bundles = Bundles::of(h, library, &loom.routing);
    let clamping = Clamping::of(h, library, &loom.routing, &bundles);
    let counted =
        parts_list(h, library, &plan, &clamping).iter().filter_map(|row| row.mass).map(|m| m.grams()).sum();
    (balance(h, library, &loom.routing, &plan, &clamping), counted)
}

#[test]
fn a_mass_without_a_station_is_known_and_has_no_arm() {
    let (balance, counted) = weighed(SPEC);
    let lump =
        |name: &str| balance.lumps.iter().find(|l| l.name == name).unwrap_or_else(|| panic!("no {name}"));
    // 3.4 lb/1000 ft of 22 AWG are 5.0597 g/m; two wires over 1000 mm.
    let gram_a_metre = 3.4 * 453.592_37 / 304.8;
    near(lump("a-b").wire.grams(), 2.0 * gram_a_metre, 1e-4, "run a-b");
    assert_eq!(lump("a-b").arm.map(|arm| arm.mm()), Some(500.0));
    near(lump("b-c").wire.grams(), 0.5 * gram_a_metre, 1e-4, "run b-c");
    assert_eq!((lump("b-c").arm, lump("c").arm), (None, None));
    // Two tails of 100 mm at a; each wire is a whole step, so nothing is rounded.
    near(lump("a").wire.grams(), 0.2 * gram_a_metre, 1e-4, "tails at a");
    near(balance.mass().grams(), counted, 1e-4, "the parts list");
    let (with_arm, moment) = balance.balanced();
    let by_hand = (lump("a-b").mass().grams() * 500.0
        + lump("a").mass().grams() * 100.0
        + lump("b").mass().grams() * 900.0)
        / 1000.0;
    near(moment.kilogram_mm(), by_hand, 1e-3, "moment");
    near(
        with_arm.grams() + lump("b-c").mass().grams() + lump("c").mass().grams(),
        counted,
        1e-4,
        "with an arm",
    );
}

#[test]
fn a_declared_length_weighs_what_is_cut_and_an_unknown_one_is_told() {
    let declared = SPEC.replace("to: U, kind: signal}", "to: U, kind: signal, length: 2400 mm}");
    let (balance, _) = weighed(&declared);
    let gram_a_metre = 3.4 * 453.592_37 / 304.8;
    let wire: f64 = balance.lumps.iter().map(|l| l.wire.grams()).sum();
    // TWO is 1500 + 2 × 100 mm.
    near(wire, (2.4 + 1.7) * gram_a_metre, 1e-4, "as declared");

    let no_way = SPEC.replace(
        "  - {from: b, to: c, zone: cabin, length: 500 mm}\n",
        "  - {from: c, to: d, zone: cabin, length: 500 mm}\n",
    );
    let (balance, _) = weighed(&no_way);
    let told: Vec<(&str, usize, &str)> =
        balance.unweighed.iter().map(|u| (u.part.as_str(), u.pieces, u.because)).collect();
    assert_eq!(told, [("etfe-22", 1, "its length is not known")]);
    // Where no path is known and the spec says the length, the mass is known and its site is not.
    let (balance, _) = weighed(&no_way.replace("to: T, kind: signal}", "to: T, kind: signal, length: 3 m}"));
    let nowhere = balance.lumps.iter().find(|l| l.name.is_empty()).unwrap();
    near(nowhere.wire.grams(), 3.0 * gram_a_metre, 1e-4, "nowhere");
    assert_eq!(nowhere.arm, None);
}

#[test]
fn every_supplied_part_says_what_it_weighs() {
    let library = Library::supplied();
    let mut silent: Vec<&str> = Vec::new();
    silent.extend(library.wires.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.shells.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.contacts.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.lugs.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.splices.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.coverings.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    silent.extend(library.linings.iter().filter(|(_, _, p)| p.mass.is_none()).map(|(_, name, _)| name));
    assert_eq!(silent, Vec::<&str>::new());
}
