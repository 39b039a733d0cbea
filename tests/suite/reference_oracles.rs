//! Our laws against answers of general-purpose libraries, made by tests/reference/oracles/make.py.

use crate::published::{near, number, rows};
use fairlead::quantity::{Temperature, Voltage};
use fairlead::trade::thermocouple::{emf, range, temperature};
use fairlead::trade::thermocouple_colour::ThermocoupleType;

// PyPI thermocouples_reference 0.20 and thermocouple-its90 1.0.2: emf to a nanovolt, temperature to a micro-degree,
// every 10 °C and at both ends of the range.
#[test]
fn two_python_packages_agree_on_thermocouples_both_ways() {
    let table = rows("oracles/thermocouples.csv");
    for (letter, kind) in [("K", ThermocoupleType::K), ("J", ThermocoupleType::J)] {
        let of_kind: Vec<_> = table.iter().filter(|row| row["type"] == letter).collect();
        let ends = [of_kind[0], of_kind[of_kind.len() - 1]].map(|row| number(row, "T_C"));
        assert_eq!(ends, [range(kind).low().celsius(), range(kind).high().celsius()]);
        assert!(of_kind.len() as f64 >= (ends[1] - ends[0]) / 10.0);
        for row in of_kind {
            let t = number(row, "T_C");
            for package in ["reference", "its90"] {
                let place = format!("type {letter} at {t} °C by {package}");
                let theirs = number(row, &format!("emf_{package}_mV"));
                let ours = emf(kind, Temperature::from_celsius(t)).unwrap();
                near(ours.millivolts(), theirs, 1e-6, &place);
                // At the very ends the emf rounded to a picovolt may lie outside.
                let within = emf_within(kind, theirs);
                let back = temperature(kind, within).unwrap().celsius();
                // Near -270 °C the curve of K is so flat (about 1 µV a degree) that a nanovolt is a thousandth of a degree.
                let off = if t < -250.0 { 2e-3 } else { 1e-5 };
                near(back, number(row, &format!("back_{package}_C")), off, &place);
            }
        }
    }
}

/// The emf, held within the range of the type.
fn emf_within(kind: ThermocoupleType, millivolts: f64) -> Voltage {
    let end = |t| emf(kind, t).unwrap();
    Voltage::from_millivolts(millivolts).clamp(end(range(kind).low()), end(range(kind).high()))
}
