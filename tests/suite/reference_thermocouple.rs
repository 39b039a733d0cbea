//! Type K and J against NIST ITS-90: check values, coefficients, and NIST's own approximate inverse.

use crate::published::{Row, maybe, near, number, rows};
use fairlead::quantity::{Temperature, Voltage};
use fairlead::trade::thermocouple::{Shown, emf, inverse_error, range, temperature};
use fairlead::trade::thermocouple_chain::{Section, indicated};
use fairlead::trade::thermocouple_colour::{Alloy, ThermocoupleType};
use fairlead::trade::thermocouple_limits::limit_of_error;

fn kind(row: &Row) -> ThermocoupleType {
    if row["type"] == "K" { ThermocoupleType::K } else { ThermocoupleType::J }
}

#[test]
fn nist_srd60_check_values() {
    for row in rows("thermocouple_check_values.csv") {
        let place = format!("NIST SRD 60, type {} at {} °C", row["type"], row["T_C"]);
        let t = Temperature::from_celsius(number(&row, "T_C"));
        let e = emf(kind(&row), t).unwrap();
        near(e.millivolts(), number(&row, "computed_mV"), 0.000_000_6, &place);
        near(e.millivolts(), number(&row, "rounded_3"), 0.000_51, &place);
        if let Some(printed) = maybe(&row, "printed_mV") {
            near(e.millivolts(), printed, 0.000_51, &place);
        }
        near(temperature(kind(&row), e).unwrap().celsius(), t.celsius(), 1e-6, &place);
    }
}

/// NIST's reference function read from the published coefficients, independent of the library's arrays.
fn published_millivolts(table: &[Row], t: f64) -> f64 {
    // At a joint the lower range applies, as the table prints it.
    let end =
        table.iter().map(|r| number(r, "t_max_C")).filter(|end| t <= *end).fold(f64::INFINITY, f64::min);
    let of = |name: &str| {
        table.iter().find(|r| number(r, "t_max_C") == end && r["coef"] == name).map(|r| number(r, "value"))
    };
    let sum: f64 = (0..16).filter_map(|i| of(&format!("c{i}")).map(|c| c * t.powi(i))).sum();
    match (of("a0"), of("a1"), of("a2")) {
        (Some(a0), Some(a1), Some(a2)) => sum + a0 * (a1 * (t - a2).powi(2)).exp(),
        _ => sum,
    }
}

#[test]
fn nist_srd60_coefficients_over_the_whole_range() {
    for (file, kind) in [
        ("thermocouple_K_its90_coefficients.csv", ThermocoupleType::K),
        ("thermocouple_J_its90_coefficients.csv", ThermocoupleType::J),
    ] {
        let table = rows(file);
        let ends = table.iter().flat_map(|r| [number(r, "t_min_C"), number(r, "t_max_C")]);
        let (low, high) = ends.fold((f64::MAX, f64::MIN), |(a, b), t| (a.min(t), b.max(t)));
        assert_eq!((range(kind).low().celsius(), range(kind).high().celsius()), (low, high), "{file}");
        for step in 0..=((high - low) as i32) {
            let t = low + f64::from(step);
            let e = emf(kind, Temperature::from_celsius(t)).unwrap();
            near(e.millivolts(), published_millivolts(&table, t), 1e-8, &format!("{file} at {t} °C"));
        }
    }
}

/// `-0.05..0.03` and `-5.891..0.0 mV`.
fn ends(text: &str) -> (f64, f64) {
    let (low, high) = text.split_once("..").unwrap();
    (low.trim().parse().unwrap(), high.split(' ').next().unwrap().parse().unwrap())
}

// NIST SRD 60 prints an error bound, in hundredths of a degree, beside each of its approximate inverse polynomials: at
// every whole degree of its range the polynomial must meet the temperature that gave the emf, and our inverse, within
// that bound and the half of a hundredth to which it is rounded.
#[test]
fn nist_srd60_inverse_every_degree_within_its_printed_bound() {
    let table = rows("thermocouple_inverse_coefficients.csv");
    let (mut pieces, mut checked) = (0, 0);
    for piece in table.chunk_by(|a, b| a["type"] == b["type"] && a["e_range"] == b["e_range"]) {
        let head = &piece[0];
        let (low, high) = ends(&head["t_range"]);
        let (under, over) = ends(&head["error_C"]);
        let (e_low, e_high) = ends(&head["e_range"]);
        let place = |t: f64| format!("NIST inverse, type {}, {t} °C", head["type"]);
        let at = |t: f64| emf(kind(head), Temperature::from_celsius(t)).unwrap().millivolts();
        // The ranges of emf and of temperature are one.
        near(at(low), e_low, 0.000_51, &place(low));
        near(at(high), e_high, 0.000_51, &place(high));
        for step in 0..=((high - low) as i32) {
            let t = low + f64::from(step);
            let e = at(t);
            let nist: f64 =
                piece.iter().enumerate().map(|(i, r)| number(r, "value") * e.powi(i as i32)).sum();
            let ours = temperature(kind(head), Voltage::from_millivolts(e)).unwrap().celsius();
            for off in [nist - t, nist - ours] {
                assert!(off >= under - 0.005 && off <= over + 0.005, "{}: off by {off}", place(t));
            }
            checked += 1;
        }
        pieces += 1;
    }
    // J from -210 to 1200, K from -200 to 1372 °C, the joints twice.
    assert_eq!((pieces, checked), (6, 1411 + 2 + 1573 + 2));
}

// The bound that our own inverse states: the temperature that gave the emf comes back to a millionth of a degree, and
// below -250 °C, where a picovolt is the stored step and K has less than a microvolt a degree, to a hundred-thousandth.
#[test]
fn our_inverse_every_degree_within_its_stated_bound() {
    for kind in [ThermocoupleType::K, ThermocoupleType::J] {
        let (low, high) = (range(kind).low().celsius(), range(kind).high().celsius());
        for step in 0..=((high - low) as i32) {
            let t = low + f64::from(step);
            let back = temperature(kind, emf(kind, Temperature::from_celsius(t)).unwrap()).unwrap();
            near(
                back.celsius(),
                t,
                inverse_error(Temperature::from_celsius(t)).celsius(),
                &format!("{kind:?}"),
            );
        }
    }
}

#[test]
fn astm_e230_limits_of_error() {
    for row in rows("thermocouple_limits_of_error.csv") {
        let t = number(&row, "T_C");
        let limit = limit_of_error(kind(&row), Temperature::from_celsius(t)).unwrap();
        // 293 °C is rounded: 0.75 % of it is 2.1975 °C.
        near(
            limit.celsius(),
            number(&row, "limit_C"),
            1e-6,
            &format!("ASTM E230, type {} at {t} °C", row["type"]),
        );
    }
    for (kind, t) in
        [(ThermocoupleType::K, 1261.0), (ThermocoupleType::J, 761.0), (ThermocoupleType::K, -1.0)]
    {
        assert_eq!(limit_of_error(kind, Temperature::from_celsius(t)), None);
    }
}

/// Both ways over the whole range: what comes back differs by less than a millionth of a degree, and below −250 °C,
/// where a degree of type K gives less than 5 µV, by less than a thousandth.
#[test]
fn both_ways_over_the_whole_range() {
    for kind in [ThermocoupleType::K, ThermocoupleType::J] {
        let (low, high) = (range(kind).low().celsius(), range(kind).high().celsius());
        for step in 0..=((high - low) * 4.0) as i32 {
            let t = low + f64::from(step) / 4.0;
            let e = emf(kind, Temperature::from_celsius(t)).unwrap();
            let bound = if t < -250.0 { 1e-3 } else { 1e-6 };
            near(temperature(kind, e).unwrap().celsius(), t, bound, &format!("{kind:?} at {t} °C"));
        }
    }
}

// Worked example of a public thermocouple package's documentation: type K, 4.096 mV, terminals at 25 °C: 124.3 °C.
#[test]
fn cold_junction_worked_example() {
    let probe = Temperature::from_celsius(124.3);
    let legs = Section {
        plus: ThermocoupleType::K.positive(),
        minus: ThermocoupleType::K.negative(),
        to: Temperature::from_celsius(25.0),
    };
    let reading = indicated(ThermocoupleType::K, probe, &[legs]).unwrap();
    near(reading.emf.millivolts(), 4.096, 0.003, "worked example");
    let Shown::At(t) = reading.shown else { panic!("off scale") };
    near(t.celsius(), 124.3, 0.05, "worked example");
    // The other way, as the example goes: 4.096 mV read, the terminals' own emf added, looked up.
    let terminals = emf(ThermocoupleType::K, Temperature::from_celsius(25.0)).unwrap();
    let found = temperature(ThermocoupleType::K, Voltage::from_millivolts(4.096) + terminals).unwrap();
    near(found.celsius(), 124.3, 0.05, "worked example");
}

/// Emf of two materials joined at `t` °C with their other ends at 0 °C, by way of a chain for a type K gauge.
fn joined(plus: Alloy, minus: Alloy, t: f64) -> f64 {
    let section = Section { plus, minus, to: Temperature::from_celsius(0.0) };
    indicated(ThermocoupleType::K, Temperature::from_celsius(t), &[section]).unwrap().emf.millivolts()
}

#[test]
fn chromel_and_copper_against_constantan_are_types_e_and_t() {
    for (file, plus) in [
        ("thermocouple_E_its90_coefficients.csv", Alloy::Chromel),
        ("thermocouple_T_its90_coefficients.csv", Alloy::Copper),
    ] {
        let table = rows(file);
        let high = table.iter().map(|r| number(r, "t_max_C")).fold(0.0, f64::max) as i32;
        for t in (-270..=high).step_by(10).map(f64::from) {
            near(
                joined(plus, Alloy::Constantan, t),
                published_millivolts(&table, t),
                1e-8,
                &format!("{file} at {t} °C"),
            );
        }
    }
    // Printed values of the NIST type E and type T tables, from memory.
    for (plus, t, printed) in [
        (Alloy::Chromel, -100.0, -5.237),
        (Alloy::Chromel, 100.0, 6.319),
        (Alloy::Chromel, 1000.0, 76.373),
        (Alloy::Copper, -100.0, -3.379),
        (Alloy::Copper, 100.0, 4.279),
        (Alloy::Copper, 400.0, 20.872),
    ] {
        near(
            joined(plus, Alloy::Constantan, t),
            printed,
            0.000_51,
            &format!("from memory, {plus:?} at {t} °C"),
        );
    }
}
