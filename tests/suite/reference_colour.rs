//! Colour letters, digits, thermocouple colours and function letters against their published tables.

use crate::published::rows;
use fairlead::trade::colour::{Colour, GREEN_AND_YELLOW, Hue};
use fairlead::trade::thermocouple_colour::{ColourStandard, ThermocoupleType};
use fairlead::trade::wire_mark::{FunctionLetter, Standing, WireMark};

#[test]
fn iec_60757_letters_in_table_order() {
    let table = rows("iec60757_colours.csv");
    let single: Vec<(String, String)> = Hue::all().map(|h| (h.code().into(), h.name().into())).collect();
    assert_eq!(single.len() + 1, table.len());
    for (row, (code, name)) in table.iter().zip(&single) {
        assert_eq!(&row["code"], code, "IEC 60757, place {}", row["order"]);
        assert!(row["colour"].starts_with(name.as_str()), "IEC 60757, {code}: {}", row["colour"]);
        let words = row["colour"].split([' ', '(', ')']).filter(|s| !["", "including", "light"].contains(s));
        for spelling in words {
            assert_eq!(&spelling.parse::<Colour>().unwrap().code(), code, "IEC 60757, {spelling}");
        }
    }
    let last = table.last().unwrap();
    assert_eq!(
        (GREEN_AND_YELLOW.code(), GREEN_AND_YELLOW.name()),
        (last["code"].clone(), last["colour"].clone())
    );
    assert_eq!(last["colour"].parse(), Ok(GREEN_AND_YELLOW));
}

// IEC 60757:2021, combination rule: codes in the order of the table, for example RDBU.
#[test]
fn iec_60757_combination_order() {
    for text in ["RDBU", "BURD"] {
        assert_eq!(text.parse::<Colour>().unwrap().table_code(), "RDBU", "IEC 60757");
    }
}

#[test]
fn milstd681_digits() {
    for row in rows("milstd681_colour_digits.csv") {
        let colour: Colour = row["colour"].parse().unwrap();
        assert_eq!(colour.digits().as_ref(), Some(&row["digit"]), "MIL-STD-681 {}", row["colour"]);
    }
}

#[test]
fn thermocouple_colours_by_both_standards() {
    for row in rows("thermocouple_colours.csv") {
        let standard =
            if row["standard"].starts_with("IEC") { ColourStandard::Iec } else { ColourStandard::Ansi };
        assert!(row["standard"].contains(standard.document()), "{}", row["standard"]);
        let kind = if row["type"] == "K" { ThermocoupleType::K } else { ThermocoupleType::J };
        let pair = standard.pair(kind);
        for (colour, column) in [
            (pair.plus, "positive_colour"),
            (pair.minus, "negative_colour"),
            (pair.extension_jacket, "jacket_extension"),
            (pair.thermocouple_jacket, "jacket_thermocouple_grade"),
        ] {
            assert_eq!(colour.name(), row[column], "{} type {}: {column}", row["standard"], row["type"]);
        }
        assert!(row["positive_material"].starts_with(kind.positive().name()));
        assert!(row["negative_material"].starts_with(kind.negative().name()));
    }
}

#[test]
fn circuit_function_letters_of_ac_21_99() {
    let table = rows("circuit_function_letters.csv");
    let mut used = 0;
    for row in table {
        let place = format!("CASA AC 21-99 Table 2-1, letter {}", row["letter"]);
        if row["letter"] == "N (suffix)" {
            let mark: WireMark = "E12A22N".parse().unwrap();
            assert!(mark.ground && row["function"] == "ground" && row["status"] == "memory", "{place}");
            continue;
        }
        let function = FunctionLetter::of(row["letter"].chars().next().unwrap());
        if row["function"].starts_with("unassigned") {
            assert_eq!(function, None, "{place}");
            continue;
        }
        used += 1;
        let function = function.expect(&place);
        assert_eq!(function.function(), row["function"], "{place}");
        assert_eq!(function.standing() == Standing::Read, row["status"] == "text", "{place}");
    }
    assert_eq!(used, FunctionLetter::all().count());
}
