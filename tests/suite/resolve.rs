//! Spec texts in, resolved harnesses out: what is joined to what, in which wire, under which mark.

use fairlead::diag::{Finding, Sink, Sources};
use fairlead::harness::resolve::{Input, resolve};
use fairlead::harness::{DeviceClass, Harness, PinId};
use fairlead::parts::library::Library;
use fairlead::spec::gate;
use fairlead::spec::load::load;
use fairlead::spec::model::Spec;

pub(crate) fn read(text: &str) -> (Harness, Vec<Finding>, Sources) {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let file = sources.add("test.yaml", text);
    let tree = gate::read(&sources, file, &mut sink).expect("a tree");
    let loaded = load::<Spec>(&tree, &mut sink);
    let spec = loaded.value.clone().unwrap_or_else(|| panic!("{:?}", sink.findings()));
    let lost = |name: &str| loaded.lost(name);
    let input = Input { spec: &spec, tree: &tree, library: Library::supplied(), lost: &lost };
    let harness = resolve(input, &mut sink);
    (harness, sink.into_sorted(), sources)
}

/// A bench with an indicator and a few senders, to which circuits are added.
fn bench(more: &str) -> String {
    format!(
        "fairlead: 1
harness: {{title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}}
zones: {{cabin: {{}}, engine: {{}}}}
barriers: {{firewall: {{between: [cabin, engine], holes: {{FH1: {{bore: 20 mm}}}}}}}}
route:
  - {{from: panel, to: FH1, zone: cabin, length: 900 mm}}
  - {{from: FH1, to: shelf, zone: engine, length: 300 mm}}
  - {{from: shelf, to: cyl-1, zone: engine, length: 350 mm}}
bodies: {{engine: engine}}
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
sensors:
  CHT1: {{part: cht-bayonet-k, at: cyl-1}}
  OILP: {{part: oil-pressure-3wire, at: shelf}}
  OILT: {{part: oil-temperature-1wire, at: cyl-1, body: engine}}
grounds: {{ENG: {{body: engine, at: shelf, stud: M6}}}}
supplies: {{CB: {{at: panel, breaker: 2 A, stud: '#8'}}}}
{more}"
    )
}

fn rows(h: &Harness) -> Vec<String> {
    let pin = |p: PinId| h.pin(p).name.as_str();
    h.conductors
        .iter()
        .map(|c| format!("{} {} {} {}", c.mark, pin(c.from), pin(c.to), c.colour.value))
        .collect()
}

fn complaints(findings: &[Finding], sources: &Sources) -> Vec<String> {
    findings
        .iter()
        .map(|f| {
            let at = sources.position(f.labels[0].span);
            format!("{}:{} {}; {}", at.line, at.column, f.message, f.remedy)
        })
        .collect()
}

#[test]
fn ports_expand_by_role() {
    let (h, findings, _) = read(&bench(
        "circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1}
  OILP: {from: OILP, to: GAUGE.oil-pressure}
  POWER: {from: CB, to: GAUGE.power, gauge: 20 AWG}
  GND: {join: [GAUGE.ground, ENG], gauge: 20 AWG}
",
    ));
    assert_eq!(findings, []);
    assert_eq!(
        rows(&h),
        [
            "E1A20-CHROM CHT1.plus GAUGE.A.1 YE",
            "E2A20-ALML CHT1.minus GAUGE.A.14 RD",
            "E3A22 OILP.A.1 GAUGE.B.2 OG",
            "E4A22 OILP.A.2 GAUGE.B.21 BK",
            "E5A22 OILP.A.3 GAUGE.B.3 WH",
            "P1A20 CB GAUGE.B.19 RD",
            "P2A20N GAUGE.B.37 ENG BK",
        ]
    );
    assert_eq!(h.lays.len(), 4, "the legs of a circuit lie together");
}

#[test]
fn a_connector_on_the_way_breaks_each_leg_and_keeps_its_halves_apart() {
    let (h, findings, _) = read(&bench(
        "connectors: {X1: {plug: sealed-4-plug, at: shelf, plug-faces: cyl-1}}
circuits:
  OILT: {from: OILT, to: GAUGE.oil-temperature.signal, via: {X1: [2]}}
  BACK: {from: GAUGE.oil-temperature.return, to: OILT.case, via: {X1: auto}}
",
    ));
    assert_eq!(findings, []);
    // The plug's wires run to the cylinder, whichever end the circuit names first.
    assert_eq!(
        rows(&h),
        [
            "E1A22 OILT.signal X1.plug.2 WH",
            "E1B22 X1.receptacle.2 GAUGE.B.1 WH",
            "E2A22 GAUGE.B.20 X1.receptacle.1 BK",
            "E2B22 X1.plug.1 OILT.case BK",
        ]
    );
    let plug = h.conductors[0].to;
    assert_eq!(h.mate(plug).map(|p| h.pin(p).name.clone()), Some("X1.receptacle.2".to_owned()));
}

#[test]
fn only_the_piece_that_lies_there_passes_a_hole() {
    let (h, findings, _) = read(&bench(
        "connectors: {X1: {plug: sealed-4-plug, at: shelf, plug-faces: cyl-1}}
circuits:
  OILT: {from: OILT, to: GAUGE.oil-temperature.signal, via: {X1: [2]}, through: [FH1]}
  BACK: {from: GAUGE.oil-temperature.return, to: OILT.case, via: {X1: [1]}, through: [FH1, cyl-1]}
",
    ));
    assert_eq!(findings, []);
    let passes = |n: usize| -> Vec<&str> {
        h.lay(h.conductors[n].lay).through.iter().map(|p| h.place(*p).name.as_str()).collect()
    };
    assert_eq!(rows(&h)[1], "E1B22 X1.receptacle.2 GAUGE.B.1 WH");
    // `cyl-1` is where the last piece ends, so that it is passed anyway.
    assert_eq!([0, 1, 2, 3].map(passes), [vec![], vec!["FH1"], vec!["FH1"], vec![]]);
}

#[test]
fn a_join_without_a_stud_gets_a_splice_that_takes_its_wires() {
    let (h, findings, _) = read(&bench(
        "circuits: {RET: {join: [GAUGE.oil-pressure.return, OILP.reading.return, OILT.case]}}\n",
    ));
    assert_eq!(findings, []);
    assert_eq!(
        rows(&h),
        ["E1A22 GAUGE.B.21 RET-joint BK", "E1B22 OILP.A.2 RET-joint BK", "E1C22 OILT.case RET-joint WH",]
    );
    let joint = h.device(h.device_by_name["RET-joint"]);
    assert!(matches!(joint.class, DeviceClass::Splice { part: Some(_), made: true, .. }), "{joint:?}");
    assert_eq!(joint.place, None, "the route graph places it");
}

#[test]
fn a_screen_is_tied_by_a_drain_lead() {
    let (h, findings, _) = read(&bench(
        "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, wire: screened-3-22, screen: [GAUGE.screens]}}\n",
    ));
    assert_eq!(findings, []);
    let drain = h.conductors.last().unwrap();
    assert!(drain.drain);
    assert_eq!(h.pin(drain.to).name, "GAUGE.B.36");
    assert_eq!(h.cables[0].ties.as_ref().map(Vec::len), Some(1));
}

#[test]
fn colours_as_found_decide_which_core_a_leg_is() {
    let (h, _, _) = read(&bench(
        "circuits: {CHT1: {legs: {CHT1.plus: GAUGE.A.1, CHT1.minus: GAUGE.A.14}, wire: thermocouple-k-ansi-20, colours: [RD, YE]}}\n",
    ));
    assert_eq!(
        rows(&h),
        ["E1A20-ALML CHT1.plus GAUGE.A.1 RD", "E2A20-CHROM CHT1.minus GAUGE.A.14 YE"],
        "the red core is alumel, wherever it is connected"
    );
}

#[test]
fn every_wrong_name_is_told_at_its_place_with_the_nearest_known_one() {
    let (_, findings, sources) = read(&bench(
        "circuits:
  A: {from: CHT2, to: GAUGE.cht-1}
  B: {from: CHT1, to: GAUGE.cht1}
  C: {from: OILP, to: GAUGE.oil-pressure, wire: eftee-22}
  D: {from: OILP.sginal, to: GAUGE.B.3}
  E: {from: OILP}
  F: {join: [GAUGE.ground, ENG], through: [FH2]}
  G: {from: GAUGE, to: ENG}
",
    ));
    let told = complaints(&findings, &sources);
    let expected = [
        "18:13 `CHT2` is not a device, ground, supply, connector, splice or stud of this spec; write `CHT1`, if that is meant",
        "19:23 `cht1` is neither a port nor a pin of `GAUGE`; write `cht-1`, if that is meant",
        "20:49 `eftee-22` is not a wire, pair or cable of the parts library; write `etfe-22`, if that is meant",
        "21:13 `sginal` is neither a port nor a pin of `OILP`; write `signal`, if that is meant",
        "22:3 circuit `E` does not say what it joins; add `to:`, its other end",
        "23:44 `FH2` is not a place; write `FH1`, if that is meant",
    ];
    assert_eq!(told[..6], expected, "{told:#?}");
    assert!(
        told[6].starts_with("24:13 `GAUGE` has more than one port; write one of its ports behind it: cht-1")
    );
}

#[test]
fn a_fault_in_an_entry_is_not_told_again_where_it_is_named() {
    let text =
        bench("circuits: {POWER: {from: CB, to: GAUGE.power}}\n").replace("breaker: 2 A", "breaker: two");
    let (_, findings, sources) = read(&text);
    let told = complaints(&findings, &sources);
    assert_eq!(told.len(), 1, "{told:#?}");
    assert!(told[0].contains("two"), "{told:#?}");
}

#[test]
fn marks_follow_the_pattern_of_the_spec() {
    let text = bench("circuits: {POWER: {from: CB, to: GAUGE.power}, GND: {from: GAUGE.ground, to: ENG}}\n")
        .replace(
            "thermocouple-colours: ansi",
            "wire-marks: {pattern: '{circuit}/{number}{segment}{ground}'}",
        );
    let (h, findings, _) = read(&text);
    assert_eq!(findings, []);
    let marks: Vec<&str> = h.conductors.iter().map(|c| c.mark.as_str()).collect();
    assert_eq!(marks, ["POWER/1A", "GND/2AN"]);
}

#[test]
fn pinned_numbers_are_kept_and_a_clash_is_told() {
    let (h, findings, sources) = read(&bench(
        "circuits:
  OILP: {from: OILP, to: GAUGE.oil-pressure, number: 2}
  CHT1: {from: CHT1, to: GAUGE.cht-1}
  OILT: {from: OILT, to: GAUGE.oil-temperature.signal, number: 4}
",
    ));
    let marks: Vec<&str> = h.conductors.iter().map(|c| c.mark.as_str()).collect();
    assert_eq!(marks, ["E2A22", "E3A22", "E4A22", "E1A20-CHROM", "E5A20-ALML", "E4A22"]);
    let told = complaints(&findings, &sources);
    assert!(told.iter().any(|t| t.contains("wire number 4 is given twice")), "{told:#?}");
}

#[test]
fn faults_of_the_spec_stand_where_they_were_made_and_alone() {
    let power = "circuits: {POWER: {from: CB, to: GAUGE.power}}\n";
    for (broken, told) in [
        (
            bench(power).replace("at: cyl-1}", "at: cyl-1, trades-with: [CHT1]}"),
            "`CHT1` trades places with itself",
        ),
        (bench(power).replace("length: 900 mm", "length: 900"), "`900` has no unit"),
        (
            bench(power).replace("bore: 20 mm", "bore: 20 mm, max-fill: 900 %"),
            "`FH1` cannot be filled to 900 %",
        ),
        (
            bench("circuits: {POWER: {from: CB, to: GAUGE.power, length: 0 mm}}\n"),
            "the `length` of `POWER` is nothing",
        ),
        (
            bench("circuits: {POWER: {from: CB, to: GAUGE.power, number: 4294967295}}\n"),
            "wire number 4294967295 cannot be marked",
        ),
        (
            bench(&format!(
                "connectors: {{X1: {{plug: sealed-4-plug, at: shelf, plug-faces: panel}}}}\n{power}"
            )),
            "no run leads from `shelf`, where `X1` is, to `panel`",
        ),
        (bench(""), "the spec joins nothing: it has no circuits"),
    ] {
        let (_, findings, sources) = read(&broken);
        let found = complaints(&findings, &sources);
        assert!(found.len() == 1 && found[0].contains(told), "{told}: {found:#?}");
    }
}

#[test]
fn each_core_of_a_shared_cable_is_given_once() {
    let (h, findings, _) = read(&bench(
        "cables: {C1: {wire: screened-3-22, carries: [A, B, C]}}
circuits:
  A: {legs: {OILP.reading.signal: GAUGE.B.3}, colours: [WHBU]}
  B: {legs: {OILP.reading.return: GAUGE.B.21}}
  C: {legs: {OILP.reading.excitation: GAUGE.B.2}}
",
    ));
    assert_eq!(findings, []);
    let cores: Vec<Option<u32>> = h.conductors.iter().map(|c| c.core).collect();
    assert_eq!(cores, [Some(1), Some(0), Some(2)]);
    assert!(h.cables[0].cores.iter().all(Option::is_some), "{:?}", h.cables[0]);
}

/// The bench of the shop: as given, else the usual one, marked so; never nothing.
#[test]
fn the_bench_is_as_given_or_the_usual_one() {
    let more = "circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}\n";
    let (h, findings, _) = read(&bench(more));
    assert_eq!(findings, []);
    let (width, depth) = (h.shop.bench.width, h.shop.bench.depth);
    assert_eq!((width.value.mm(), depth.value.mm()), (2400.0, 1200.0));
    assert!(width.span.is_none() && depth.span.is_none());
    let (h, findings, sources) = read(&bench(&format!("shop: {{bench: {{width: 1.8 m}}}}\n{more}")));
    assert_eq!(findings, []);
    assert_eq!(h.shop.bench.width.value.mm(), 1800.0);
    let given = h.shop.bench.width.span.unwrap();
    assert_eq!(sources.position(given).line, 17);
    assert!(h.shop.bench.depth.span.is_none());
    let (_, findings, sources) = read(&bench(&format!("shop: {{bench: {{depth: 0 mm}}}}\n{more}")));
    assert_eq!(
        complaints(&findings, &sources),
        ["17:23 the depth of the bench is nothing; write what is free on the bench, as in `2400 mm`"]
    );
}

#[test]
fn a_supply_has_one_protector() {
    let spec = bench("").replace("breaker: 2 A, ", "breaker: 2 A, fuse: 10 A, ");
    let (_, findings, sources) = read(&spec);
    let said = complaints(&findings, &sources);
    let both = "`CB` has a breaker and a fuse; a supply has one of them; keep the one that its wire comes from; the other \
                one, before it, belongs to the bus";
    assert!(said.iter().any(|said| said.ends_with(both)), "{said:?}");
}

#[test]
fn positions_of_places_are_read_and_those_that_cannot_be_are_told() {
    let circuits = "circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}";
    let with = |places: &str| read(&bench(&format!("places: {{{places}}}\n{circuits}\n")));
    let (h, findings, _) = with("panel: {position: [0 mm, 1.2 m]}, FH1: {position: [800 mm, 1000 mm]}");
    assert_eq!(findings, []);
    let told = |name: &str| {
        let place = h.places.iter().find(|p| p.name == name).unwrap();
        place.position.map(|p| p.value.map(|length| length.mm()))
    };
    assert_eq!((told("panel"), told("FH1")), (Some([0.0, 1200.0]), Some([800.0, 1000.0])));
    assert_eq!(told("shelf"), None);
    // 3-4-5: the ends of the run of 900 mm are 1000 mm apart, those of the one of 300 mm just as far as it is long.
    let refused = |places: &str| {
        let (_, findings, sources) = with(places);
        complaints(&findings, &sources)
    };
    let apart = "panel: {position: [0 mm, 0 mm]}, FH1: {position: [800 mm, 600 mm]}, shelf: {position: [800 mm, 900 mm]}";
    let told = refused(apart);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].starts_with("6:49 the run from `panel` to `FH1` is 900 mm long, and their positions"),
        "{told:?}"
    );
    let told = refused("panel: {position: [1 mm, 2 mm]}, cyl-1: {position: [1 mm, 2 mm]}");
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("lies where"), "{told:?}");
    for wrong in ["[-5 mm, 0 mm]", "[5 mm]", "[1 mm, 2 mm, 3 mm]", "[1, 2]", "12 mm"] {
        let told = refused(&format!("panel: {{position: {wrong}}}"));
        assert!(!told.is_empty(), "{wrong}");
    }
}
