//! Limits of installation and workmanship, each against its row of the collected documents.

use crate::published::{Row, rows};
use fairlead::quantity::{Force, Gauge, Length};
use fairlead::trade::bend::{Bent, Term, bend_radius};
use fairlead::trade::contact_pull::retention_pull_limit;
use fairlead::trade::installation::{self, Requirement, requirement};
use fairlead::trade::limit::{Limit, Reading};
use fairlead::trade::workmanship::{self, HurtStrands, Metal, hurt_strands};

/// A limit as the table writes it: value, unit, and whether it was read.
fn told<T>(limit: Limit<T>, number: impl Fn(&T) -> f64, unit: &str) -> (String, String, Limit<()>) {
    // 0.375 and 24 as the table has them; a length is stored in whole micrometres.
    let value = (number(&limit.value) * 1e4).round() / 1e4;
    let Limit { document, place, reading, .. } = limit;
    (value.to_string(), unit.into(), Limit { value: (), document, place, reading })
}

fn length(limit: Limit<Length>, unit: &str) -> (String, String, Limit<()>) {
    told(limit, |l| if unit.starts_with("mm") { l.mm() } else { l.inches() }, unit)
}

fn count(limit: Limit<usize>, unit: &str) -> (String, String, Limit<()>) {
    told(limit, |n| *n as f64, unit)
}

/// The bend of a wire of 1 mm is its multiple.
fn bend(bent: Bent, term: Term, unit: &str) -> (String, String, Limit<()>) {
    told(bend_radius(bent, term, Length::from_mm(1.0)), |r| r.mm(), unit)
}

fn words(what: Requirement, word: &str) -> (String, String, Limit<()>) {
    let limit = requirement(what);
    assert!(limit.value.contains(word), "`{}` does not say `{word}`", limit.value);
    let Limit { document, place, reading, .. } = limit;
    (word.into(), String::new(), Limit { value: (), document, place, reading })
}

/// What the library has for a row. None for the second row of a topic that is told apart by its condition only.
fn library(row: &Row) -> (String, String, Limit<()>) {
    use installation as i;
    let condition = row["condition"].as_str();
    match row["topic"].as_str() {
        "support spacing" => length(i::support_spacing(), "in max"),
        "continuous lacing pitch" => length(i::lacing_pitch(), "in"),
        "ties needed when supports further apart than" => length(i::ties_beyond(), "in"),
        "single cord lacing bundle diameter" => length(i::single_cord_below(), "in max"),
        "deflection (slack) between supports" => length(i::sag(), "in max"),
        "slack at terminations" => count(i::spare_terminations(), "reterminations"),
        "separation from flammable fluid, fuel or oxygen line, fuel tank wall" => {
            length(i::separation_from_fluid(), "in")
        }
        "separation from same, reduced" => length(i::least_separation_from_fluid(), "in min"),
        "routing relative to fluid lines" => words(Requirement::AboveFluidLines, "above"),
        "support from flammable fluid or oxygen plumbing" => words(Requirement::NotOnFluidLines, "never"),
        "clearance from structure at penetration without clamp" => {
            length(i::clearance_without_grommet(), "in min")
        }
        "drip loop" => words(Requirement::DripLoop, "required"),
        "drain hole" => words(Requirement::DrainHole, "required"),
        "bend radius of wire or cable" => bend(Bent::WireOrCable, Term::Long, "x outside diameter min"),
        "bend radius of bundle (AC)" => {
            bend(Bent::Bundle, Term::Long, "x outside diameter of largest wire or cable")
        }
        "bend radius at terminal strips" => bend(Bent::AtTerminals, Term::Long, "x outside diameter"),
        "bend radius coaxial / RF" => bend(Bent::Coaxial, Term::Long, "x outside diameter"),
        "bend radius thermocouple wire" => bend(Bent::Thermocouple, Term::Long, "x diameter"),
        "multiconductor cable bend, short term" if condition == "polyimide" => {
            bend(Bent::Polyimide, Term::Short, "x outside diameter min")
        }
        "multiconductor cable bend, long term" if condition == "polyimide" => {
            bend(Bent::Polyimide, Term::Long, "x outside diameter")
        }
        "multiconductor cable bend, short term" => {
            bend(Bent::Multiconductor, Term::Short, "x outside diameter min")
        }
        "multiconductor cable bend, long term" => {
            bend(Bent::Multiconductor, Term::Long, "x outside diameter")
        }
        "clearance from control cables" => length(i::clearance_from_control_cables(), "in min"),
        "bundle size" => {
            // The same row names the diameter in its condition and its source.
            assert!(row["source"].contains("or 2 in") && condition.contains("2 in diameter"));
            assert_eq!(i::bundle_diameter().value, Length::from_inches(2.0));
            count(i::wires_in_bundle(), "wires max")
        }
        "ground return path" => told(i::ground_return(), |r| r.ohms(), "ohm"),
        "wire smaller than No. 20" => {
            assert_eq!(i::thin_wire().value, Gauge::Awg(20));
            let limit = words(Requirement::ThinWire, "extra support");
            for number in ["19 strands", "3 other wires"] {
                assert!(
                    condition.contains(number) && requirement(Requirement::ThinWire).value.contains(number)
                );
            }
            limit
        }
        "crimp insulation clearance min" => length(workmanship::least_insulation_gap(), "mm (0.01 in)"),
        "crimp insulation clearance max" if condition == "20 AWG and smaller" => {
            length(workmanship::largest_insulation_gap(Gauge::Awg(20)), "mm (0.03 in)")
        }
        "crimp insulation clearance max" => {
            assert_eq!(condition, "18 AWG and larger");
            length(workmanship::largest_insulation_gap(Gauge::Awg(18)), "mm (0.05 in)")
        }
        "nicked shield strands" => {
            told(workmanship::nicked_screen_strands(), |f| f.ratio() * 100.0, "percent max")
        }
        "contact retention pull limit" => {
            let whole = Force::from_newtons(100.0);
            let limit = Limit {
                value: retention_pull_limit(whole),
                document: "NASA-STD-8739.4",
                place: "par. 13.8.2",
                reading: Reading::Text,
            };
            told(limit, |f| f.newtons(), "percent of minimum crimp tensile")
        }
        "crimp tensile minimum, unlisted size" => {
            let limit = workmanship::crimp_share_of_wire_strength();
            told(limit, |f| f.ratio() * 100.0, "percent of wire tensile strength")
        }
        "thermocouple extension material" => {
            let (_, unit, limit) = words(Requirement::ExtensionMaterial, "as the thermocouple");
            ("same as thermocouple".into(), unit, limit)
        }
        "thermocouple terminals, cool area" => told(i::thermocouple_terminals(), |t| t.celsius(), "C max"),
        "fuse spares" => {
            assert_eq!((i::spare_fuses(1).value, i::spare_fuses(12).value), (1, 6));
            count(i::spare_fuses(1), "per rating or 50 percent")
        }
        topic => panic!("no limit in the library for `{topic}`"),
    }
}

/// Rows that were read and have nothing to judge here: no wire of a harness is of aluminium, and the wires between
/// battery, generator and bus are not part of it.
const NOT_TAKEN: [&str; 2] = ["main power wire drop", "aluminium wire minimum size"];

#[test]
fn installation_rules_every_row() {
    for row in rows("installation_rules.csv") {
        if NOT_TAKEN.contains(&row["topic"].as_str()) {
            continue;
        }
        let place = format!("{} in {}", row["topic"], row["source"]);
        let (value, unit, limit) = library(&row);
        assert_eq!((value, unit), (row["value"].clone(), row["unit"].clone()), "{place}");
        // Read is read, remembered is remembered.
        assert_eq!(limit.reading == Reading::Text, row["status"] == "text", "{place}");
        // The library names the document as the table does, but for the FAA before its name, and the row that says
        // `same` of the one before.
        let document = limit.document.trim_start_matches("FAA ");
        let named = row["source"] == "same" || row["source"].contains(document);
        assert!(
            named || row["source"].contains(document.trim_end_matches("-31").trim_end_matches("-32")),
            "{place}"
        );
    }
}

#[test]
fn ac4313_table_11_13_every_row() {
    for row in rows("ac4313_table_11_13.csv") {
        let place = format!("AC 43.13-1B Table 11-13, {} {}", row["awg_range"], row["conductor"]);
        let metal = if row["conductor"] == "aluminium" { Metal::Aluminium } else { Metal::Copper };
        let (thin, thick) =
            row["awg_range"].split_once('-').unwrap_or((&row["awg_range"], &row["awg_range"]));
        let counts: Vec<usize> = row["allowed"]
            .split(", ")
            .map(|words| words.split(' ').next().map_or(0, |n| n.parse().unwrap_or(0)))
            .collect();
        let strands = match row["strands"].split_once('-') {
            Some((from, to)) => (from.parse().ok(), to.parse().ok()),
            None => (row["strands"].parse().ok(), row["strands"].parse().ok()),
        };
        for size in [thin, thick] {
            let gauge: Gauge = format!("{size} AWG").parse().unwrap();
            let found = hurt_strands(gauge, metal).unwrap().value;
            assert_eq!(
                found,
                HurtStrands { nicked: counts[0], broken: counts[1], strands },
                "{place}, {gauge}"
            );
        }
    }
}
