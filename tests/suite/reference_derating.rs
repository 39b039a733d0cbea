//! Derating against the digitised MIL-W-5088L curves and the worked example of AC 43.13-1B.

use crate::published::{maybe, near, number, rows};
use fairlead::quantity::{Fraction, Length};
use fairlead::trade::derating::{altitude_factor, bundle_factor};

#[test]
fn milw5088l_bundle_curves() {
    for row in rows("bundle_derating_milw5088l.csv") {
        let wires = number(&row, "wires_in_bundle") as usize;
        for percent in [20, 40, 60, 80, 100] {
            let factor = bundle_factor(wires, Fraction::from_percent(f64::from(percent)));
            let place = format!("MIL-W-5088L, {wires} wires, {percent} percent");
            match (factor, maybe(&row, &format!("load_{percent}pct"))) {
                (Some(factor), Some(published)) => near(factor.ratio(), published, 1e-9, &place),
                // The table's last row has one column only; the library stops one row earlier.
                (None, _) => assert_eq!(wires, 20, "{place}"),
                (Some(_), None) => panic!("{place}: not published"),
            }
        }
    }
}

#[test]
fn ac4313_points_read_in_the_text() {
    let mut checked = 0;
    for row in rows("derating_points.csv").iter().filter(|row| row["status"] == "text") {
        match row["kind"].as_str() {
            "altitude_factor" => {
                let feet: f64 = row["x"].trim_end_matches(" ft").parse().unwrap();
                let factor = altitude_factor(Length::from_inches(12.0 * feet)).unwrap();
                near(factor.ratio(), number(row, "value"), 1e-9, &row["place"]);
            }
            "bundle_factor" => {
                let wires = row["x"].trim_end_matches(" wires").parse().unwrap();
                let load = format!("{} %", row["x2"].trim_end_matches(" percent")).parse().unwrap();
                near(bundle_factor(wires, load).unwrap().ratio(), number(row, "value"), 0.01, &row["place"]);
            }
            _ => continue,
        }
        checked += 1;
    }
    assert_eq!(checked, 2);
}

// AC 43.13-1B page 11-27: No. 14 in free air 47 A; 20,000 ft; 8 wires at 60 percent: 26 A.
#[test]
fn ac4313_page_11_27_worked_example() {
    let altitude = altitude_factor("20000 ft".parse().unwrap()).unwrap();
    let bundle = bundle_factor(8, "60 %".parse().unwrap()).unwrap();
    near(47.0 * altitude.ratio(), 42.77, 0.005, "AC 43.13-1B page 11-27");
    near(47.0 * altitude.ratio() * bundle.ratio(), 26.0, 0.6, "AC 43.13-1B page 11-27");
}
