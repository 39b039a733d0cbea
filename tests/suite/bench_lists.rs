//! What a person at the bench must find on the lists without asking: the examples and small specs read as papers.

use std::fs;

use crate::loom::Loom;
use fairlead::packet::Table;
use fairlead::packet::lists;
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::clamping::Clamping;
use fairlead::plan::crimp_list::{CrimpRow, DressRow, crimp_list};
use fairlead::plan::cut_list::{CutRow, cut_list};
use fairlead::plan::parts_list::parts_list;
use fairlead::quantity::{Length, Units};

struct Papers {
    loom: Loom,
    plan: Plan,
    crimps: Vec<CrimpRow>,
    dressed: Vec<DressRow>,
    cuts: Vec<CutRow>,
}

impl Papers {
    fn of(text: &str) -> Papers {
        let loom = Loom::read(text);
        let library = Library::supplied();
        let plan = Plan::of(&loom.harness, library, &loom.routing);
        let (dressed, crimps) = crimp_list(&loom.harness, library, &loom.routing, &plan);
        let cuts = cut_list(&loom.harness, library, &loom.routing, &plan);
        Papers { loom, plan, crimps, dressed, cuts }
    }

    fn crimp_table(&self, units: Units) -> Table {
        lists::crimp(&self.dressed, &self.crimps, units)
    }

    fn example(name: &str) -> Papers {
        let path = format!("{}/harness-specs/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
        Papers::of(&fs::read_to_string(path).unwrap())
    }
}

const EXAMPLES: [&str; 4] = ["four-cylinder", "six-cylinder", "workboat", "as-found"];

/// Field of a record under a head.
fn field<'a>(table: &'a Table, row: usize, head: &str) -> &'a str {
    let at = table.record_heads.iter().position(|h| h == head).unwrap_or_else(|| panic!("no {head}"));
    &table.rows[row].record[at]
}

#[test]
fn a_declared_length_is_the_one_to_cut_and_the_computed_one_has_its_own_column() {
    let text = "fairlead: 1
harness: {title: Test loom, drawing: T-1}
route: [{from: panel, to: shelf, zone: cabin, length: 300 mm}]
zones: {cabin: {}}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors: {OILP: {part: oil-pressure-3wire, at: shelf}}
circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, length: 700 mm}}";
    let papers = Papers::of(text);
    let table = lists::cut(&papers.cuts, &papers.plan.lengths, Units::Metric);
    // 300 + 2 × 100 + 150 + 20 + 18 = 688, up to 690 mm.
    let heads = [
        "cut length (mm)",
        "computed length (mm)",
        "of it: route (mm)",
        "of it: tails and loop (mm)",
        "of it: reach (mm)",
        "of it: reserves (mm)",
        "of it: twist, evening, rounding (mm)",
        "through",
    ];
    let values = heads.map(|head| field(&table, 0, head));
    assert_eq!(values, ["700", "690", "300", "350", "0", "38", "2", "none"]);
}

#[test]
fn every_row_has_a_field_for_every_head_and_terms_add_up() {
    for name in EXAMPLES {
        let papers = Papers::example(name);
        let tables =
            [lists::cut(&papers.cuts, &papers.plan.lengths, Units::Inch), papers.crimp_table(Units::Metric)];
        for table in tables {
            // A cable that is cut as one piece has a row for reading; its cores have the records.
            let records = table.rows.iter().filter(|r| !r.record.is_empty());
            assert!(records.clone().all(|r| r.record.len() == table.record_heads.len()), "{name}");
            assert!(table.rows.iter().all(|r| r.cells.len() == table.columns.len()), "{name}");
            let tick = |text: &str| text.contains('`');
            assert!(!table.rows.iter().any(|r| r.record.iter().any(|f| tick(f))), "{name}: {}", table.title);
            assert!(!table.notes.iter().any(|n| tick(n)), "{name}: {}", table.title);
        }
        for row in &papers.cuts {
            let t = row.terms;
            let sum: Length = [t.route, t.tails, t.reach, t.reserves, t.rest].into_iter().sum();
            assert_eq!(Some(sum), row.computed_length, "{} in {name}", row.mark);
        }
    }
}

#[test]
fn an_end_is_written_as_on_its_label() {
    for name in EXAMPLES {
        for row in Papers::example(name).crimps {
            let at_connector = !row.end.connector.is_empty();
            // A sleeve that is too short for both carries the mark alone.
            let whole = row.end.label.ends_with(&format!(" {}", row.end.pin)) || row.end.label == row.mark;
            assert!(!at_connector || whole, "{} at {}", row.end.label, row.end.pin);
        }
    }
}

#[test]
fn the_colour_of_the_lead_that_a_wire_is_joined_to_is_told() {
    for name in EXAMPLES {
        let papers = Papers::example(name);
        let h = &papers.loom.harness;
        for pin in &h.pins {
            let Some(colour) = &pin.colour else { continue };
            let Some(row) = papers.crimps.iter().find(|row| row.end.pin == pin.name) else { continue };
            if !row.end.connector.is_empty() {
                continue;
            }
            let words = format!("onto device lead {}", colour.code());
            assert!(row.end.function.ends_with(&words), "{}: {}", pin.name, row.end.function);
        }
    }
}

/// Every conductor that crosses a hole names it at both ends, lugs and single contacts as well as shells.
#[test]
fn both_ends_of_a_wire_that_crosses_a_hole_name_the_hole() {
    for name in EXAMPLES {
        let papers = Papers::example(name);
        for cut in papers.cuts.iter().filter(|cut| !cut.through.is_empty()) {
            for end in [&cut.from, &cut.to] {
                let named = cut.through.iter().any(|hole| end.when.contains(hole.as_str()));
                assert!(named, "{} at {} in {name}: {}", cut.mark, end.pin, end.when);
            }
        }
    }
    let boat = Papers::example("workboat");
    assert!(boat.cuts.iter().any(|cut| cut.through == ["G1"]));
}

#[test]
fn all_wires_of_a_splice_name_each_other_and_one_brings_the_sleeve() {
    let papers = Papers::example("six-cylinder");
    let pack: Vec<&CrimpRow> = papers.crimps.iter().filter(|row| row.end.pin == "SP-EXC splice").collect();
    assert!(pack.len() > 2);
    let slid = format!("{} (the splice itself)", pack[0].end.terminal);
    for row in &pack {
        assert!(row.end.beside.ends_with(&format!(" in one {}", row.end.terminal)), "{}", row.end.beside);
        for other in pack.iter().filter(|other| other.mark != row.mark) {
            assert!(row.end.beside.contains(&other.mark), "{}: {}", row.mark, row.end.beside);
        }
    }
    let bring = pack.iter().filter(|row| row.end.sleeves.contains(&slid)).count();
    assert_eq!(bring, usize::from(pack[0].end.terminal.starts_with("solder-sleeve")));
}

#[test]
fn what_nothing_fits_starts_with_a_stop() {
    let papers = Papers::example("as-found");
    let table = papers.crimp_table(Units::Metric);
    let stops: Vec<usize> = papers.crimps.iter().filter(|row| row.stop).map(|row| row.step - 1).collect();
    assert!(!stops.is_empty());
    for i in stops {
        assert!(table.rows[i].cells[0].text.starts_with("STOP: "));
        assert!(field(&table, i, "terminal").starts_with("STOP: "));
    }
    assert_eq!(table.rows.iter().filter(|r| r.cells[0].text.starts_with("STOP")).count(), {
        papers.crimps.iter().filter(|r| r.stop).count()
    });
}

/// MIL-T-7928 and UL 486A style tables name AWG sizes only, so that a metric wire has no figure.
#[test]
fn where_no_pull_is_published_the_row_says_so_and_names_the_sample() {
    let boat = Papers::example("workboat");
    let metric = boat.crimps.iter().filter(|row| row.gauge.to_string().contains("mm"));
    let checks: Vec<String> = metric.map(|row| row.end.checks.join("; ")).collect();
    assert!(
        checks
            .iter()
            .any(|c| c.contains("no pull figure known") && c.contains("first and last of the batch"))
    );
}

/// Common practice, no source: what goes over the jacket does not go over finished contacts.
#[test]
fn a_screen_is_dressed_before_the_cores_of_its_cable() {
    let mut seen = 0;
    for name in EXAMPLES {
        let papers = Papers::example(name);
        for (i, row) in papers.crimps.iter().enumerate().filter(|(_, row)| row.end.function == "screen") {
            let cores = papers.cuts.iter().filter(|cut| {
                row.end.cavity == format!("screen of {}", cut.cable)
                    && [&cut.from, &cut.to].iter().any(|end| end.place == row.end.place)
            });
            for cut in cores {
                let here = |r: &CrimpRow| r.mark == cut.mark && r.end.place == row.end.place;
                let at = papers.crimps.iter().position(here).expect("a row for each end");
                assert!(i < at, "{} of {name} comes after {}", row.mark, cut.mark);
                seen += 1;
            }
            assert!(row.end.when.contains("before the cores"), "{}", row.end.when);
        }
    }
    assert!(seen > 3);
}

#[test]
fn the_drain_of_a_screen_gets_a_sleeve_that_is_on_the_parts_list() {
    for name in ["four-cylinder", "workboat"] {
        let papers = Papers::example(name);
        let screens: Vec<_> = papers.crimps.iter().filter(|row| row.end.function == "screen").collect();
        assert!(!screens.is_empty(), "{name}");
        for row in &screens {
            assert!(row.end.terminal.starts_with("screen-sleeve-"), "{name}: {:?}", row.end.terminal);
            assert!(row.end.tool.contains("hot-air"), "{name}: {:?}", row.end.tool);
        }
        let parts = parts_list(&papers.loom.harness, Library::supplied(), &papers.plan, &Clamping::default());
        let counted: usize =
            parts.iter().filter(|r| r.part.starts_with("screen-sleeve-")).map(|r| r.pieces).sum();
        assert_eq!(counted, screens.len(), "{name}");
    }
}
