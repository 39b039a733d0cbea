//! Copper wire against AC 43.13-1B Table 11-9, ASTM B258 and IEC 60028.

use crate::published::{maybe, near, number, rows};
use fairlead::quantity::{Current, Gauge, Length, Temperature};
use fairlead::trade::wire_table::{
    InsulationClass, ResistanceBasis, ampacity, conductor_area, copper_factor, resistance_at_20, typical,
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

#[test]
fn astm_b258_every_size() {
    for row in rows("awg_astm_b258.csv") {
        let size = gauge(&row["awg"]);
        let place = format!("ASTM B258, {}", row["awg"]);
        near(size.solid_diameter().inches(), number(&row, "d_in"), 0.000_03, &place);
        near(size.area().mm2(), number(&row, "area_mm2"), 0.000_01, &place);
        if let Some(printed) = maybe(&row, "printed_d_in") {
            near(size.solid_diameter().inches(), printed, 0.000_03, &place);
        }
        if resistance_at_20(size).1 == ResistanceBasis::AnnealedCopper {
            let ohms = (resistance_at_20(size).0 * feet(1000.0)).ohms();
            near(ohms, number(&row, "ohm_per_1000ft_20C_computed"), 0.000_2 * ohms, &place);
            if let Some(printed) = maybe(&row, "printed_ohm_per_1000ft_20C") {
                near(ohms, printed, 0.000_5 * printed, &place);
            }
        }
    }
}

// Industrial Power Engineering Handbook p. 970: 0.00393 per °C at 20 °C, read in text; the AC 43.13-1B constant 234.5
// gives 1/254.5 = 0.003929.
#[test]
fn copper_coefficient_at_20_degrees() {
    let constants = rows("copper_constants.csv");
    let published =
        constants.iter().find(|r| r["name"].starts_with("copper temperature coefficient")).unwrap();
    let slope =
        copper_factor(Temperature::from_celsius(21.0)) - copper_factor(Temperature::from_celsius(20.0));
    near(slope, number(published, "value"), 0.000_01, "temperature coefficient of copper");
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
