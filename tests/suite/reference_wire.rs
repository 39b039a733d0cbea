//! Copper wire against AC 43.13-1B Table 11-9, ASTM B258, IEC 60028 and IEC 60228.

use crate::published::{maybe, near, number, rows};
use fairlead::quantity::{Current, Gauge, Length, Temperature};
use fairlead::trade::wire_table::{
    InsulationClass, ResistanceBasis, ampacity, conductor_area, copper_factor, resistance_at_20, solid_at_20,
    typical,
};

fn gauge(size: &str) -> Gauge {
    format!("{size} AWG").parse().unwrap()
}

fn feet(n: f64) -> Length {
    Length::from_inches(12.0 * n)
}

#[test]
fn ac4313_table_11_9_every_row() {
    for row in rows("ac4313_table_11_9.csv") {
        let size = gauge(&row["awg"]);
        let place = format!("AC 43.13-1B Table 11-9, No. {}", row["awg"]);
        for (class, column) in [
            (InsulationClass::C105, "amps_105C"),
            (InsulationClass::C150, "amps_150C"),
            (InsulationClass::C200, "amps_200C"),
        ] {
            assert_eq!(ampacity(size, class), Some(Current::from_amps(number(&row, column))), "{place}");
        }
        let (per_metre, basis) = resistance_at_20(size);
        assert_eq!(basis, ResistanceBasis::Table, "{place}");
        near((per_metre * feet(1000.0)).ohms(), number(&row, "max_ohm_per_1000ft_20C_tinned"), 1e-6, &place);
        let mils = conductor_area(size).mm2() / (std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254);
        near(mils, number(&row, "area_circ_mils"), 1e-3, &place);
    }
}

// The table's own figures come from the law; those it prints from public wire tables are the outside check, as is the
// standard's fixed point: 0.46 in for 4/0 and 0.005 in for 36.
#[test]
fn astm_b258_every_row() {
    let table = rows("awg_astm_b258.csv");
    assert_eq!(table.len(), 44);
    for row in table {
        let size = gauge(&row["awg"]);
        let place = format!("ASTM B258, {}", row["awg"]);
        // A length is stored in whole micrometres.
        near(size.solid_diameter().inches(), number(&row, "d_in"), 0.000_021, &place);
        near(size.solid_diameter().mm(), number(&row, "d_mm"), 0.000_56, &place);
        near(size.area().mm2(), number(&row, "area_mm2"), 0.000_01, &place);
        let mils = size.area().mm2() / (std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254);
        near(mils, number(&row, "area_circ_mils"), 0.051, &place);
        let ohms = (solid_at_20(size) * feet(1000.0)).ohms();
        // An area is stored in whole steps.
        near(ohms, number(&row, "ohm_per_1000ft_20C_computed"), 0.000_051 + 2e-7 * ohms, &place);
        if let Some(printed) = maybe(&row, "printed_d_in") {
            near(size.solid_diameter().inches(), printed, 0.000_03, &place);
        }
        if let Some(printed) = maybe(&row, "printed_ohm_per_1000ft_20C") {
            near(ohms, printed, 0.000_5 * printed, &place);
        }
        // What the harness is reckoned with is never better than the bare law where the wire is thin.
        if resistance_at_20(size).1 == ResistanceBasis::AnnealedCopper {
            assert_eq!(resistance_at_20(size).0, solid_at_20(size), "{place}");
        }
    }
    near(Gauge::Awg(-3).solid_diameter().inches(), 0.46, 1e-9, "ASTM B258, 0000");
    near(Gauge::Awg(36).solid_diameter().inches(), 0.005, 1e-9, "ASTM B258, 36");
}

#[test]
fn iec_60228_class_5_every_row() {
    for row in rows("iec60228_class5.csv") {
        let place = format!("IEC 60228 class 5, {} mm²", row["mm2"]);
        let size: Gauge = format!("{} mm²", row["mm2"]).parse().unwrap();
        let (per_metre, basis) = resistance_at_20(size);
        assert_eq!(basis, ResistanceBasis::Flexible, "{place}");
        near(per_metre.ohms_per_metre() * 1000.0, number(&row, "tinned_ohm_per_km"), 1e-9, &place);
        assert!(number(&row, "plain_ohm_per_km") < number(&row, "tinned_ohm_per_km"), "{place}");
    }
}

#[test]
fn copper_constants_every_row() {
    let factor = |celsius: f64| copper_factor(Temperature::from_celsius(celsius));
    let one_mm2 = solid_at_20("1 mm²".parse().unwrap()).ohms_per_metre();
    for row in rows("copper_constants.csv") {
        let place = format!("{}, {}", row["name"], row["source"]);
        match row["name"].as_str() {
            "copper resistivity 20 C (100% IACS)" => near(one_mm2, number(&row, "value"), 1e-9, &place),
            "copper conductivity 20 C" => near(1.0 / one_mm2, number(&row, "value"), 0.01, &place),
            // 1/254.5 is 0.003929.
            "copper temperature coefficient at 20 C" => {
                near(factor(21.0) - factor(20.0), number(&row, "value"), 0.000_01, &place);
            }
            "copper inferred zero-resistance constant (IEC/BS)" => {
                near(factor(-number(&row, "value")), 0.0, 1e-12, &place);
            }
            "R(T) law" => {
                for t in [-55.0, 0.0, 20.0, 70.0, 105.0, 150.0, 200.0] {
                    near(factor(t), (234.5 + t) / 254.5, 1e-12, &place);
                }
            }
            // The library has no aluminium wire, and no law of it weighs copper (finished wire is from a table).
            "aluminium constant as used by AC 43.13-1B" | "copper density (IEC 60028)" => {}
            name => panic!("no law for `{name}`"),
        }
    }
}

// The table is from memory, so this holds the copy only; that stranded wire is thicker than its copper is physics.
#[test]
fn typical_wire_is_the_table_and_thicker_than_its_copper() {
    for row in rows("wire_od_weight_from_memory.csv") {
        let size = gauge(&row["awg"]);
        let wire = typical(size).unwrap();
        near(wire.outside.inches(), number(&row, "finished_od_in"), 0.000_03, "from memory");
        near(
            wire.mass.grams_per_metre() * 304.8 / 453.592_37,
            number(&row, "lb_per_1000ft"),
            1e-6,
            "from memory",
        );
        assert!(wire.outside > size.solid_diameter());
    }
}
