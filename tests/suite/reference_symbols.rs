//! Graphic symbols against the elements of IEC 60617, one row each: what is drawn is what the row's description says.
//!
//! Names of the elements were read, most numbers and shapes are from memory (the table says which); the standard's own
//! drawings are copyrighted and not here.

use crate::published::rows;
use fairlead::draw::symbols::{self, Facing};
use fairlead::draw::{Ink, Item, Layer, LineWidth, Mark, Mm, Point, Scene, Shape, Stroke, mm};

/// The shapes of a drawn symbol in words, in alphabetical order.
fn words<R>(draw: impl Fn(&mut Scene, &Mark) -> R) -> Vec<&'static str> {
    let mut scene = Scene::default();
    draw(&mut scene, &Mark::new(Layer::Symbol));
    let mut words: Vec<&str> = scene.items().iter().map(word).collect();
    words.sort_unstable();
    words
}

fn word(item: &Item) -> &'static str {
    let black = item.paint.fill == Some(Ink::BLACK);
    let stroke = item.paint.stroke;
    match &item.shape {
        Shape::Line { .. } if stroke.is_some_and(|s| s.width == LineWidth::Bar) => "thick line",
        Shape::Line { .. } => "line",
        Shape::Circle { .. } if black => "dot",
        Shape::Circle { .. } => "circle",
        Shape::Arc { .. } => "arc",
        Shape::Rect { corner, .. } if *corner > Mm::ZERO => match stroke.map(|s| s.dash) {
            Some(fairlead::draw::Dash::Solid) => "oval",
            _ => "dashed oval",
        },
        Shape::Rect { .. } if black => "bar",
        Shape::Rect { .. } => "rectangle",
        other => panic!("{other:?}"),
    }
}

/// What is drawn for an element, and what its description asks for. None for an element that no drawing uses.
fn element(meaning: &str, shape: &str) -> Option<(Vec<&'static str>, Vec<&'static str>)> {
    let at = Point::default();
    let (right, down) = (Facing::Right, Facing::Down);
    Some(match (meaning, shape) {
        ("conductor, connection (general)", "line") => {
            (words(|s, m| s.line(m, at, at.by(mm(5.0), Mm::ZERO), Stroke::MEDIUM)), vec!["line"])
        }
        ("screened conductor", "line with dashed oval or loop around it") => {
            (words(|s, m| symbols::screen(s, m, at, right, mm(3.0))), vec!["dashed oval"])
        }
        ("twisted conductors", "slanted stroke across the pair") => {
            (words(|s, m| symbols::twist(s, m, at, right, mm(3.0))), vec!["line"])
        }
        ("conductors in a cable", "oval round the conductors") => {
            (words(|s, m| symbols::cable(s, m, at, right, mm(3.0))), vec!["oval"])
        }
        ("coaxial pair", "circle with tangent on the line") => {
            (words(|s, m| symbols::coaxial(s, m, at, right)), vec!["circle", "line"])
        }
        // A T-connection is drawn with its dot.
        ("junction", "filled dot") | ("T-connection", "three-way join, with or without dot") => {
            (words(|s, m| symbols::junction(s, m, at)), vec!["dot"])
        }
        ("terminal", "open circle") => (words(|s, m| symbols::terminal(s, m, at)), vec!["circle"]),
        ("terminal strip", "row of boxes") => {
            (words(|s, m| symbols::terminal_strip(s, m, at, 3, mm(5.0), mm(8.0))), vec!["rectangle"; 3])
        }
        ("contact, female (socket)", "open arc") => {
            (words(|s, m| symbols::female(s, m, at, right)), vec!["arc"])
        }
        ("contact, male (plug)", "filled bar") => (words(|s, m| symbols::male(s, m, at, right)), vec!["bar"]),
        ("plug and socket", "bar in arc") => {
            (words(|s, m| symbols::mated(s, m, at, right)), vec!["arc", "bar"])
        }
        // Each with the conductor that leads to it.
        ("earth, ground (general)", "three shortening bars") => {
            (words(|s, m| symbols::earth(s, m, at, down)), vec!["line"; 4])
        }
        ("protective earth", "same inside a circle") => (
            words(|s, m| symbols::protective_earth(s, m, at, down)),
            vec!["circle", "line", "line", "line", "line"],
        ),
        ("frame, chassis", "bar with slanted strokes") => {
            (words(|s, m| symbols::chassis(s, m, at, down)), vec!["line"; 5])
        }
        ("resistor", "rectangle") => {
            (words(|s, m| symbols::resistor(s, m, at, right)), vec!["line", "line", "rectangle"])
        }
        ("fuse", "rectangle with the line through") => {
            (words(|s, m| symbols::fuse(s, m, at, right)), vec!["line", "rectangle"])
        }
        // Two ends, the blade, and the cross of two strokes.
        ("circuit breaker", "switch blade with cross") => {
            (words(|s, m| symbols::breaker(s, m, at, right)), vec!["line"; 5])
        }
        ("thermocouple", "V of two lines, negative thick") => (
            words(|s, m| symbols::thermocouple(s, m, at, at.by(Mm::ZERO, mm(5.0)), right)),
            vec!["line", "thick line"],
        ),
        ("equipotentiality", _) => return None,
        other => panic!("no symbol for {other:?}"),
    })
}

#[test]
fn iec_60617_every_element() {
    for row in rows("iec60617_elements.csv") {
        let place = format!("IEC 60617, {} {}", row["number_1996"], row["meaning"]);
        if let Some((drawn, described)) = element(&row["meaning"], &row["shape"]) {
            assert_eq!(drawn, described, "{place}");
        }
    }
}

// Bars shorten away from the conductor: half lengths 3, 1.9 and 0.8 mm as drawn downwards.
#[test]
fn iec_60617_earth_bars_shorten() {
    let mut scene = Scene::default();
    symbols::earth(&mut scene, &Mark::new(Layer::Symbol), Point::default(), Facing::Down);
    let mut bars: Vec<(Mm, Mm)> = scene
        .items()
        .iter()
        .filter_map(|item| match item.shape {
            Shape::Line { from, to } if from.y == to.y => Some((from.y, (to.x - from.x).abs())),
            _ => None,
        })
        .collect();
    bars.sort();
    assert_eq!(bars.len(), 3);
    assert!(bars.windows(2).all(|pair| pair[1].1 < pair[0].1), "{bars:?}");
}

/// The numbers that the symbols' own remarks name stand in the table, beside a word of their meaning; one that does not
/// says it is from memory.
#[test]
fn iec_60617_numbers_in_the_sources() {
    let source = include_str!("../../src/draw/symbols.rs");
    let table = rows("iec60617_elements.csv");
    let mut found = 0;
    for line in source.lines().filter(|line| line.starts_with("///")) {
        let Some(number) = line.split(['(', ')', ',', ' ']).find(|word| is_number(word)) else { continue };
        found += 1;
        let Some(row) = table.iter().find(|row| row["number_1996"] == number) else {
            assert!(line.contains("from memory"), "{line}");
            continue;
        };
        let meaning = row["meaning"].split([' ', ',', '(']).next().unwrap();
        let said = line.to_lowercase();
        let screen = meaning == "screened" && said.contains("screen");
        let contact = meaning == "contact" && said.contains("contact");
        assert!(screen || contact || said.contains(meaning), "{line} is not `{}`", row["meaning"]);
    }
    assert!(found > 12, "{found}");
}

/// `03-02-01`.
fn is_number(word: &str) -> bool {
    let parts: Vec<&str> = word.split('-').collect();
    parts.len() == 3 && parts.iter().all(|p| p.len() == 2 && p.chars().all(|c| c.is_ascii_digit()))
}
