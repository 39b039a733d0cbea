//! Protectors and crimp pull forces against their published tables.

use crate::published::{maybe, near, number, rows};
use fairlead::quantity::{Current, Force, Gauge, Length};
use fairlead::trade::contact_pull::{PullClass, least_pull};
use fairlead::trade::limit::Reading;
use fairlead::trade::protection::{bare_to_protector, covered_to_protector, largest_protector};

fn gauge(size: &str) -> Gauge {
    format!("{size} AWG").parse().unwrap()
}

#[test]
fn ac4313_table_11_3_every_row() {
    for row in rows("ac4313_table_11_3.csv") {
        let place = format!("AC 43.13-1B Table 11-3, No. {}", row["awg"]);
        let protection = largest_protector(gauge(&row["awg"])).unwrap();
        assert_eq!(protection.row, gauge(&row["awg"]), "{place}");
        assert_eq!(protection.breaker, maybe(&row, "breaker_amps").map(Current::from_amps), "{place}");
        assert_eq!(protection.fuse, Current::from_amps(number(&row, "fuse_amps")), "{place}");
    }
}

#[test]
fn cfr_33_183_455_every_row() {
    let rows = rows("protector_distance.csv");
    assert_eq!(rows.len(), 2);
    for (row, limit) in rows.iter().zip([bare_to_protector(), covered_to_protector()]) {
        assert_eq!((row["place"].as_str(), "33 CFR 183.455"), (limit.place, limit.document));
        assert_eq!(
            limit.value,
            Length::from_inches(number(row, "inches")),
            "33 CFR 183.455 {}",
            row["place"]
        );
        // Read in a copy, as the file says.
        assert_eq!(limit.reading, Reading::Secondary);
    }
}

#[test]
fn crimp_pull_force_every_row() {
    for row in rows("crimp_pull_force.csv") {
        for (class, newtons, pounds) in [
            (PullClass::Commercial, "commercial_N", "commercial_lbf"),
            (PullClass::Military, "military_N", "military_lbf"),
            (PullClass::Nasa, "nasa_8739_4_N", "nasa_8739_4_lbf"),
        ] {
            let place = format!("{}, {} AWG", class.source(), row["awg"]);
            let pull = least_pull(gauge(&row["awg"]), class);
            assert_eq!(pull, maybe(&row, newtons).map(Force::from_newtons), "{place}");
            if let (Some(pull), Some(lbf)) = (pull, maybe(&row, pounds)) {
                near(
                    pull.newtons(),
                    Force::from_pounds_force(lbf).newtons(),
                    0.01 * pull.newtons() + 0.5,
                    &place,
                );
            }
        }
    }
}
