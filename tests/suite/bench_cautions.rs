//! What keeps a person at the bench or in the machine from harm, and the loom from coming out wrong: the lists of the
//! examples and of small specs, read as papers.

use std::path::Path;
use std::sync::OnceLock;

use fairlead::packet::lists;
use fairlead::packet::table::{Row, Table};
use fairlead::pipeline::{self, Resolved};
use fairlead::plan::Plan;
use fairlead::plan::clamping::Clamping;
use fairlead::plan::crimp_list::crimp_list;
use fairlead::plan::cut_list::cut_list;
use fairlead::plan::install::{Job, Task, Visit, install_sheet};
use fairlead::plan::parts_list::{PartRow, Sort, parts_list};

struct Papers {
    cut: Table,
    crimp: Table,
    parts: Vec<PartRow>,
    install: Vec<Visit>,
}

impl Papers {
    fn of(resolved: &Resolved) -> Papers {
        let Resolved { harness: h, library, routing, bundles, .. } = resolved;
        let plan = Plan::of(h, library, routing);
        let units = h.header.units;
        let (dressed, crimps) = crimp_list(h, library, routing, &plan);
        let clamping = Clamping::of(h, library, routing, bundles);
        Papers {
            cut: lists::cut(&cut_list(h, library, routing, &plan), &plan.lengths, units),
            crimp: lists::crimp(&dressed, &crimps, units),
            parts: parts_list(h, library, &plan, &clamping),
            install: install_sheet(&Job { h, library, routing, bundles, plan: &plan }),
        }
    }

    /// An example as it is: made once, because packing its bundles takes long.
    fn example(name: &str) -> &'static Papers {
        static FOUR: OnceLock<Papers> = OnceLock::new();
        static SIX: OnceLock<Papers> = OnceLock::new();
        let kept = if name == "four-cylinder" { &FOUR } else { &SIX };
        let path = format!("harness-specs/{name}.yaml");
        kept.get_or_init(|| Papers::of(&pipeline::read(Path::new(&path)).unwrap().resolve().unwrap()))
    }

    /// An example with words of its spec exchanged.
    fn changed(name: &str, changes: &[(&str, &str)]) -> Papers {
        let mut text = std::fs::read_to_string(format!("harness-specs/{name}.yaml")).unwrap();
        for (from, to) in changes {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("spec.yaml");
        std::fs::write(&path, text).unwrap();
        Papers::of(&pipeline::read(&path).unwrap().resolve().unwrap())
    }

    fn part(&self, name: &str) -> &PartRow {
        self.parts
            .iter()
            .find(|row| row.part == name)
            .unwrap_or_else(|| panic!("no {name}: {:?}", self.parts))
    }

    #[track_caller]
    fn visit(&self, name: &str) -> &Visit {
        self.install.iter().find(|visit| visit.name == name).unwrap_or_else(|| panic!("no {name}"))
    }

    #[track_caller]
    fn task(&self, name: &str, kind: &str) -> &Task {
        let visits = self.install.iter().filter(|visit| visit.name == name);
        let mut tasks = visits.flat_map(|visit| &visit.tasks);
        tasks.find(|task| task.kind == kind).unwrap_or_else(|| panic!("no {kind} at {name}"))
    }
}

/// The rows about a thing: those that name it in a cell.
fn naming<'a>(table: &'a Table, name: &str) -> Vec<&'a Row> {
    table.rows.iter().filter(|row| row.cells.iter().any(|cell| cell.text == name)).collect()
}

fn words(row: &Row) -> String {
    let cells = row.cells.iter().flat_map(|cell| [Some(cell.text.as_str()), cell.under.as_deref()]);
    cells.flatten().collect::<Vec<_>>().join(" | ")
}

fn warned(row: &Row) -> String {
    row.group.as_ref().map_or_else(String::new, |group| group.cautions.join(" | "))
}

fn details(row: &Row) -> String {
    let group = row.group.as_ref().unwrap();
    group.details.iter().map(|(name, text)| format!("{name}: {text}")).collect::<Vec<_>>().join(" | ")
}

/// Hot air and fuel vapour: common practice, no source; FAA AC 43.13-1B names fuel as a hazard beside wires.
#[test]
fn an_end_that_needs_heat_beside_fuel_says_so_on_its_line() {
    let papers = Papers::example("four-cylinder");
    for pin in ["FLOW.pulse", "OAT.signal", "MAP.signal", "CHT1.plus"] {
        let rows = naming(&papers.crimp, pin);
        let [row] = rows[..] else { panic!("{pin}: {rows:?}") };
        assert!(words(row).contains("NO HEAT HERE: fuel"), "{pin}: {}", words(row));
        assert!(warned(row).contains("no hot air, flame or spark"), "{pin}: {}", warned(row));
        assert!(warned(row).contains("on the bench"), "{pin}: {}", warned(row));
    }
    // What is made on the bench is made beside no fuel.
    for row in papers.crimp.rows.iter().filter(|row| details(row).contains("made: bench")) {
        assert!(!words(row).contains("HEAT"), "{}", words(row));
    }
    // Where the spec names no fuel there is still heat in the machine.
    let dry = Papers::changed("four-cylinder", &[("hazards: [fuel]}\n  right", "hazards: []}\n  right")]);
    let rows = naming(&dry.crimp, "OAT.signal");
    assert!(words(rows[0]).contains("heat in the machine"), "{}", words(rows[0]));
    assert!(warned(rows[0]).contains("only where no fuel"), "{}", warned(rows[0]));
}

#[test]
fn each_end_of_a_screened_cable_says_what_comes_off_and_how_it_is_closed() {
    let papers = Papers::example("four-cylinder");
    let rows: Vec<String> =
        papers.crimp.rows.iter().filter(|row| row.key.starts_with("cable ")).map(words).collect();
    // OILP, RPML and RPMR, two ends each.
    assert_eq!(rows.len(), 6, "{rows:?}");
    let tied = rows.iter().find(|row| row.contains("OILP GAUGE")).unwrap();
    assert!(tied.contains("take 100 mm of jacket off") && tied.contains("leave 20 mm of braid"), "{tied}");
    let floating = rows.iter().find(|row| row.contains("OILP OILP")).unwrap();
    assert!(floating.contains("cut the braid off with the jacket, close its edge"), "{floating}");
    assert!(floating.contains("heat-shrink-6"), "{floating}");
    // A sleeve for each floating end is on the parts list, and a label for each end of each cable.
    let sealed = papers.part("heat-shrink-6");
    assert_eq!((sealed.pieces, sealed.remark.as_str()), (2, "each 45 mm"));
    // The thinner cable takes a narrower one.
    assert!(papers.part("heat-shrink-4-hot").used_at.contains(&"RPML".to_owned()));
    // The drain lead is not stripped as far as the jacket is cut back.
    let drains: Vec<&Row> =
        papers.crimp.rows.iter().filter(|row| words(row).contains("screen-sleeve")).collect();
    assert_eq!(drains.len(), 3);
    for row in drains {
        assert!(row.cells.iter().all(|cell| cell.text != "20"), "{}", words(row));
        assert!(words(row).contains("strip it as the maker of the sleeve says"), "{}", words(row));
    }
    // A pair with a jacket and no screen says it with its cores.
    let pair = naming(&papers.crimp, "CHT1.plus");
    assert!(details(pair[0]).contains("jacket: take 100 mm of it off each cable"), "{}", details(pair[0]));
}

#[test]
fn a_screen_of_which_the_spec_says_nothing_is_asked_about() {
    let papers = Papers::changed(
        "four-cylinder",
        &[(
            "wire: screened-3-22, screen: [SCREENS], through: [FH2]}\n  FUELP",
            "wire: screened-3-22, through: [FH2]}\n  FUELP",
        )],
    );
    let rows: Vec<String> =
        papers.crimp.rows.iter().filter(|row| row.key.starts_with("cable OILP")).map(words).collect();
    assert!(rows.len() == 2 && rows.iter().all(|row| row.contains("ask: the spec does not say")), "{rows:?}");
}

#[test]
fn a_cable_is_one_piece_with_one_box() {
    let papers = Papers::example("four-cylinder");
    let at = papers.cut.rows.iter().position(|row| row.key == "cable OILP").unwrap();
    let cable = &papers.cut.rows[at];
    assert!(!cable.part && words(cable).contains("cable, 3 cores"), "{}", words(cable));
    assert!(cable.cells[1].text.parse::<u32>().is_ok());
    for core in &papers.cut.rows[at + 1..at + 4] {
        assert!(core.part && core.cells[1].text.is_empty(), "{}", words(core));
        assert!(core.about.iter().any(|thing| thing.kind == "cable" && thing.id == "OILP"));
    }
    assert!(!papers.cut.rows[at + 4].part);
}

#[test]
fn wires_that_are_twisted_say_with_which_and_how_tightly() {
    for (name, turn) in [("four-cylinder", "one turn in 25 mm"), ("six-cylinder", "one turn in 1 in")] {
        let papers = Papers::example(name);
        let rows: Vec<&Row> =
            papers.cut.rows.iter().filter(|row| row.cells.iter().any(|cell| cell.text == "FLOW")).collect();
        assert!(rows.len() >= 3, "{name}");
        for row in &rows {
            let said = words(row);
            assert!(said.contains("TWIST with") && said.contains(turn), "{name}: {said}");
            // The two others of its three.
            let others = rows.iter().filter(|other| other.cells[0].text != row.cells[0].text);
            assert_eq!(
                others.filter(|other| said.contains(&other.cells[0].text)).count(),
                2,
                "{name}: {said}"
            );
        }
    }
}

/// ANSI MC96.1: the negative leg is red.
#[test]
fn red_is_minus_is_said_wherever_a_pair_is_cut_or_terminated() {
    let papers = Papers::example("four-cylinder");
    for table in [&papers.cut, &papers.crimp] {
        let pairs: Vec<&Row> = table.rows.iter().filter(|row| words(row).contains("A20-ALML")).collect();
        assert!(pairs.len() >= 8);
        assert!(pairs.iter().all(|row| warned(row).contains("RED IS MINUS")), "{}", table.name);
        let copper: Vec<&Row> = table.rows.iter().filter(|row| words(row).contains("E17A22")).collect();
        assert!(copper.iter().all(|row| !warned(row).contains("RED IS MINUS")), "{}", table.name);
    }
    // IEC colours have a white minus: nothing is turned round.
    let iec =
        Papers::changed("four-cylinder", &[("thermocouple-colours: ansi ", "thermocouple-colours: iec ")]);
    assert!(iec.crimp.rows.iter().all(|row| !warned(row).contains("RED IS MINUS")));
}

#[test]
fn sense_leads_of_a_shunt_are_said_to_have_no_fuse() {
    for (name, shunt) in [("four-cylinder", "SHUNT"), ("six-cylinder", "SHUNT")] {
        let papers = Papers::example(name);
        let rows: Vec<&Row> =
            papers.crimp.rows.iter().filter(|row| words(row).contains(&format!("{shunt}.plus"))).collect();
        assert!(
            !rows.is_empty() && rows.iter().all(|row| warned(row).contains("no fuse in this spec")),
            "{name}"
        );
        assert!(papers.cut.rows.iter().any(|row| warned(row).contains("no fuse in this spec")), "{name}");
        assert!(
            papers
                .visit(shunt)
                .cautions
                .iter()
                .any(|c| c.contains("unless the shunt lies in the ground lead"))
        );
    }
}

#[test]
fn a_good_crimp_is_told_by_its_barrel_and_pulled_on_test_pieces() {
    let papers = Papers::example("four-cylinder");
    let then = |pin: &str| details(naming(&papers.crimp, pin)[0]);
    let turned = then("GAUGE.B.1");
    // NASA-STD-8739.4 chapter 6 par. 10.1b: 0.25 mm to 0.75 mm at 22 AWG; Table 13-1: 57 N.
    assert!(turned.contains("0.25 mm to 0.75 mm off the barrel (NASA-STD-8739.4)"), "{turned}");
    assert!(turned.contains("hold 57 N (NASA-STD-8739.4"), "{turned}");
    let open = then("OILP.A.1");
    assert!(open.contains("wings") && !open.contains("inspection hole"), "{open}");
    let ring = then("ENG 1/4 in stud");
    assert!(ring.contains("MIL-T-7928") && !ring.contains("inspection hole"), "{ring}");
    assert!(papers.crimp.rows.iter().all(|row| !details(row).contains("sample")));
    // Two of every kind of crimp: the contact goes on one kind of wire here, the ring for #8 on two.
    assert_eq!(papers.part("sealed-socket-small").tests % 2, 0);
    assert!(papers.part("ring-no8-22-18").tests >= 4);
    assert!(papers.part("etfe-22").tests > 0);
    assert_eq!(papers.part("grommet-19").tests, 0);
}

#[test]
fn a_contact_that_waits_for_its_shell_has_two_boxes() {
    let papers = Papers::example("four-cylinder");
    let box_of = |pin: &str| naming(&papers.crimp, pin)[0].cells.last().unwrap().tick;
    assert_eq!(papers.crimp.columns.last().unwrap().head, "in cavity");
    assert!(box_of("OILP.A.1") && box_of("GAUGE.B.1"));
    assert!(!box_of("ENG 1/4 in stud") && !box_of("CHT1.plus"));
    let insert = papers.task("OILP", "insert A");
    assert_eq!(insert.measure, "3 contacts");
    assert!(insert.more.contains("does not come out again"), "{insert:?}");
}

/// FAA-H-8083-32 chapter 4: splices of a bundle are staggered.
#[test]
fn splices_onto_the_leads_of_one_device_do_not_lie_abreast() {
    let papers = Papers::example("four-cylinder");
    let plus = words(naming(&papers.crimp, "CHT1.plus")[0]);
    let minus = words(naming(&papers.crimp, "CHT1.minus")[0]);
    // 14 mm of splice and a gap of 10 mm.
    assert!(plus.contains("stagger: first cut 24 mm off the wire"), "{plus}");
    assert!(minus.contains("stagger: first cut 24 mm off the device's lead"), "{minus}");
    let at = |table: &Table, head: &str| table.record_heads.iter().position(|h| h == head).unwrap();
    let made_of = at(&papers.cut, "made of");
    let row =
        papers.cut.rows.iter().find(|row| row.record.first().is_some_and(|m| m == "E1A20-CHROM")).unwrap();
    assert!(
        row.record[made_of].contains("staggering of the splices at CHT1 24 mm"),
        "{}",
        row.record[made_of]
    );
}

#[test]
fn the_sheet_asks_for_the_strap_before_anything_is_connected() {
    for name in ["four-cylinder", "six-cylinder"] {
        let papers = Papers::example(name);
        let strap = papers.task("", "strap");
        assert!(
            strap.work.contains("before anything is connected") && strap.work.contains("cranked"),
            "{strap:?}"
        );
        assert!(strap.more.contains("starter's current comes back through"), "{strap:?}");
        assert!(!strap.measure.is_empty(), "{name}: the strap of the spec is named");
    }
}

#[test]
fn plugs_lugs_and_blades_are_put_on_by_the_sheet() {
    let papers = Papers::example("four-cylinder");
    let stack = papers.task("SCREENS", "stud SCREENS");
    assert_eq!(stack.measure, "4 lugs");
    assert!(stack.work.contains("from the bottom") && stack.more.contains("torque"), "{stack:?}");
    assert!(papers.task("GAUGE", "mate A").more.contains("both screw-locks tight"));
    assert_eq!(papers.task("ALERT", "blades").measure, "2 terminals");
    assert_eq!(papers.task("OILT", "lugs").measure, "2 lugs");
    assert_eq!(papers.task("MAP", "ends").more, "NO HEAT HERE: fuel");
    // Three plugs of one shape on one shelf.
    for device in ["OILP", "FUELP"] {
        let cautions = papers.visit(device).cautions.join(" | ");
        assert!(cautions.contains("same shape"), "{device}: {cautions}");
        assert!(papers.task(device, "label A").work.contains(&format!("{device}.A")));
    }
    assert!(papers.visit("RPMR").cautions.is_empty());
}

#[test]
fn a_sleeve_that_is_bought_is_laid_with_its_bands_and_tells_its_rating() {
    let papers = Papers::example("six-cylinder");
    for (run, device) in [("mount-upper-turbo-left", "TITL"), ("mount-upper-turbo-right", "TITR")] {
        let cover = papers.task(run, "cover");
        // 260 °C, to the nearest degree.
        assert!(cover.more.contains("rated 500 °F"), "{cover:?}");
        assert_eq!(papers.task(run, "cover ends").measure, "2 bands");
        assert!(papers.task(run, "lead").work.contains(device), "{run}");
        let cautions = papers.visit(run).cautions.join(" | ");
        assert!(cautions.contains("rated 500 °F") && cautions.contains("600 °F"), "{cautions}");
        assert!(papers.part("fire-sleeve-clamp").used_at.contains(&format!("{run} (2)")));
    }
    assert!(papers.part("fire-sleeve-10").remark.contains("rated 500 °F"));
}

#[test]
fn a_splice_at_a_place_keeps_the_clamps_of_that_place_off() {
    let papers = Papers::example("six-cylinder");
    let splice = papers.task("SP-EXC", "splice");
    assert!(splice.measure.contains("clamps there") && splice.measure.contains("off or more"), "{splice:?}");
    let clamped = papers.install.iter().flat_map(|visit| &visit.tasks);
    assert!(clamped.filter(|task| task.kind == "clamps").any(|task| task.work.contains("clear of SP-EXC")));
}

/// 14 CFR 125.145 (b): openings of a firewall are sealed with fireproof grommets, bushings or fittings.
#[test]
fn a_wall_that_keeps_the_engine_out_defers_to_fireproof_data() {
    let papers = Papers::example("four-cylinder");
    let closing = papers.install.iter().filter(|visit| visit.title.contains("rung out"));
    for visit in closing {
        let said = visit.cautions.join(" ").contains("fireproof");
        assert_eq!(said, visit.name.starts_with("FH"), "{}", visit.name);
    }
}

#[test]
fn what_a_circuit_is_kept_off_stands_on_the_sheet() {
    let papers = Papers::example("four-cylinder");
    let off = papers.task("", "keep off charging and starter cables");
    assert!(off.work.contains("fw-left-shunt-shelf") && off.more.contains("AMPS"), "{off:?}");
    let starter = papers.task("FH2-sender-shelf", "apart charging");
    assert!(starter.work.contains("charging and starter cables"), "{starter:?}");
}

#[test]
fn thin_wires_name_the_runs_where_few_lie_and_clamps_their_range() {
    let papers = Papers::example("four-cylinder");
    let thin = papers.task("", "thin wire");
    assert!(thin.more.contains("panel-bus (1)"), "{thin:?}");
    let clamps = papers.task("panel-fw-left", "clamps");
    assert!(clamps.more.contains("clamp-13 closes on 11.5 mm to 14.5 mm"), "{clamps:?}");
    assert!(clamps.more.contains("have clamp-16 ready too"), "{clamps:?}");
    let clamp = papers.part("clamp-10");
    assert!(clamp.remark.contains("for bundles of 9 mm to 11.5 mm"), "{clamp:?}");
    assert!(clamp.remark.contains("609 mm (24 in)"), "{clamp:?}");
    // Each run with its least radius once, and no word that another is enough.
    let bends: Vec<&Task> =
        papers.install.iter().flat_map(|v| &v.tasks).filter(|t| t.kind.starts_with("bend ")).collect();
    assert!(bends.len() > 2 && bends.iter().all(|task| task.work.starts_with("Minimum bend radius of ")));
}

#[test]
fn a_tool_has_one_name_and_stands_on_the_parts_list() {
    let papers = Papers::example("four-cylinder");
    let tools: Vec<&PartRow> = papers.parts.iter().filter(|row| row.sort == Sort::Tool).collect();
    let hot: Vec<&&PartRow> = tools.iter().filter(|row| row.part.contains("hot-air")).collect();
    assert!(hot.len() == 1 && hot[0].title == "curved reflector", "{hot:?}");
    for name in
        ["open-barrel ratchet tool", "size 20 insertion and extraction tool", "pull tester", "wire stripper"]
    {
        assert!(tools.iter().any(|row| row.part == name), "{name}: {tools:?}");
    }
    assert!(tools.iter().all(|row| row.mass.is_none() && row.without_mass == 0));
}

#[test]
fn plugs_of_in_line_connectors_are_made_before_their_other_halves() {
    let papers = Papers::example("six-cylinder");
    let of_half = |half: &str| -> Vec<usize> {
        let rows = papers.crimp.rows.iter().enumerate();
        let here = rows.filter(|(_, row)| {
            details(row).contains("made: bench")
                && row.key.contains(&format!(" {half} "))
                && words(row).contains("thermocouple")
        });
        here.map(|(i, _)| i).collect()
    };
    let (plugs, others) = (of_half("plug"), of_half("receptacle"));
    assert!(plugs.len() > 4 && others.len() > 4);
    // All of these are made in one stage of the work: one change from plugs to the other halves.
    let mut order: Vec<(usize, bool)> =
        plugs.iter().map(|i| (*i, true)).chain(others.iter().map(|i| (*i, false))).collect();
    order.sort_unstable();
    let changes = order.windows(2).filter(|pair| pair[0].1 != pair[1].1).count();
    assert_eq!(changes, 1, "{order:?}");
}

/// A part file of one's own and a spec that names it; the text of the four-cylinder example with these words exchanged.
fn with_own_parts(parts: &str, changes: &[(&str, &str)]) -> Papers {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.yaml"), parts).unwrap();
    let mut text =
        std::fs::read_to_string("harness-specs/four-cylinder.yaml").unwrap() + "\nparts: [own.yaml]\n";
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let path = folder.path().join("spec.yaml");
    std::fs::write(&path, text).unwrap();
    Papers::of(&pipeline::read(&path).unwrap().resolve().unwrap())
}

/// What a part leaves open is asked about, not taken for the harmless case.
#[test]
fn parts_that_leave_barrel_and_jacket_open_are_asked_about() {
    let own = "lugs:\n  own-lug: {title: Ring lug, stud: 3/8 in, wire: 24..18 AWG, insulation: 0.7..3 mm, strip: 5 mm, tool: ratchet tool \
               for uninsulated lugs, die: red, width: 16 mm}\n\
               wires:\n  own-pair: {title: Pair, family: own-pair, gauge: 22 AWG, outside: 1.6 mm, core-outside: 0.8 mm, cores: \
               [{colour: WH}, {colour: WHBU}], lay: 25 mm, rated: 150 °C}\n";
    let papers = with_own_parts(
        own,
        &[("wire: twisted-2-22", "wire: own-pair"), ("stud: 1/4 in, title", "stud: 3/8 in, title")],
    );
    let rows = &papers.crimp.rows;
    let lugs: Vec<&Row> = rows.iter().filter(|row| words(row).contains("own-lug")).collect();
    assert!(!lugs.is_empty());
    for row in lugs {
        assert!(details(row).contains("barrel not known: look at the maker's drawing"), "{}", details(row));
    }
    let pair: Vec<&Row> =
        rows.iter().filter(|row| row.key.starts_with("AMPS") || warned(row).contains("jacket")).collect();
    assert!(pair.iter().any(|row| warned(row).contains("if one does: take 100 mm of it off")), "{pair:?}");
    // The supplied pair has none, and says so.
    let supplied = Papers::example("four-cylinder");
    assert!(supplied.crimp.rows.iter().all(|row| !warned(row).contains("no part says")));
    assert!(supplied.crimp.rows.iter().all(|row| !details(row).contains("barrel not known")));
}
