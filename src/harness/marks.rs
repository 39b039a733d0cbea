//! Wire marks: by the aircraft scheme, or by the pattern of the spec.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::conductors::{Read, Wiring};
use super::devices::Devices;
use super::names::suggestion;
use super::origin::{Origin, Spot};
use super::{Conductor, DeviceClass};
use crate::diag::{Severity, Sink};
use crate::parts::words::Measure;
use crate::quantity::Gauge;
use crate::spec::model::HarnessSpec;
use crate::spec::words::CircuitKind;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::wire_mark::{FunctionLetter, Segment, WireMark};

const WORDS: [&str; 7] = ["unit", "letter", "number", "segment", "gauge", "ground", "circuit"];

/// Gives every conductor its mark.
pub(super) fn mark(
    spec: &HarnessSpec,
    origin: &Origin,
    spot: Spot,
    read: &[Read],
    devices: &Devices,
    made: &mut Wiring,
    sink: &mut Sink,
) {
    let inner = origin.inner(spot, "wire-marks");
    let unit = spec.wire_marks.unit.and_then(|unit| match u8::try_from(unit) {
        Ok(unit @ 1..=99) => Some(unit),
        _ => {
            let span = origin.field(inner, "unit");
            sink.unreadable(span, format!("unit number {unit} cannot be marked"), "write 1 to 99");
            None
        }
    });
    let pattern = spec.wire_marks.pattern.as_deref().and_then(|text| {
        let read = Pattern::read(text);
        if let Err((message, remedy)) = &read {
            sink.unreadable(origin.field(inner, "pattern"), message.clone(), remedy.clone());
        }
        read.ok()
    });
    let by_letter = pattern.as_ref().is_none_or(|p| p.has("letter"));
    let mut numbers = Numbers::default();
    let mut letters = Vec::with_capacity(read.len());
    for circuit in read {
        let letter = letter_of(circuit, origin, sink);
        letters.push(letter);
        if let Some(first) = circuit.spec.number {
            let span = origin.field(circuit.spot, "number");
            if !(1..=9_000).contains(&first) {
                sink.unreadable(span, format!("wire number {first} cannot be marked"), "write 1 to 9000");
                continue;
            }
            let count = if circuit.legs.joint.is_some() { 1 } else { circuit.legs.legs.len() };
            for number in first..first.saturating_add(u32::try_from(count).unwrap_or(0)) {
                if !numbers.pinned.insert((by_letter.then_some(letter), number)) {
                    let message = format!("wire number {number} is given twice");
                    sink.unreadable(
                        span,
                        message,
                        "leave room for a number for each leg of the circuits before",
                    );
                }
            }
        }
    }
    // Segments of one number: several conductors of a circuit that share it.
    let mut segments: BTreeMap<(u32, u32), usize> = BTreeMap::new();
    let mut told_numbers = false;
    let mut first_number: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for at in 0..made.conductors.len() {
        let Some(conductor) = made.conductors.get(at) else { continue };
        let c = conductor.circuit;
        let Some((circuit, letter)) = read.get(c.index()).zip(letters.get(c.index()).copied()) else {
            continue;
        };
        let key = by_letter.then_some(letter);
        // All conductors that meet in a joint are one electrical point and share a number.
        let leg = if conductor.drain {
            u32::MAX
        } else if circuit.legs.joint.is_some() {
            0
        } else {
            conductor.leg
        };
        let known = first_number.entry(c.0).or_default();
        let number = if leg == u32::MAX {
            numbers.next(key)
        } else {
            while known.len() <= leg as usize {
                let after = u32::try_from(known.len()).unwrap_or(0);
                let given = circuit.spec.number.map(|n| n.saturating_add(after));
                let number = given.unwrap_or_else(|| numbers.next(key));
                known.push(number);
            }
            known.get(leg as usize).copied().unwrap_or(0)
        };
        let place = segments.entry((c.0, number)).or_default();
        let segment = Segment::nth(*place).unwrap_or_else(|| {
            // Told of the first wire too many, not of each.
            if Segment::nth(place.saturating_sub(1)).is_some() {
                let message = format!(
                    "circuit `{}` has more than {place} wires of one number, and a mark no segment letters for more",
                    circuit.name
                );
                sink.unreadable(conductor.span, message, "part it into several circuits");
            }
            Segment::A
        });
        *place += 1;
        let ground =
            conductor.drain || circuit.kind == CircuitKind::Ground || ends_on_ground(conductor, devices);
        if pattern.is_none() && number > u32::from(u16::MAX) && circuit.spec.number.is_none() && !told_numbers
        {
            told_numbers = true;
            let message = format!(
                "there are more wires of letter `{}` than a mark has numbers for: {}",
                letter.letter(),
                u16::MAX
            );
            let remedy =
                "give circuits another letter (`letter:`), or mark them by a pattern (`wire-marks:`)";
            sink.unreadable(conductor.span, message, remedy);
        }
        let text = match &pattern {
            Some(pattern) => pattern.fill(&|word| match word {
                "unit" => unit.map(|u| u.to_string()).unwrap_or_default(),
                "letter" => letter.letter().to_string(),
                "number" => number.to_string(),
                "segment" => segment.to_string(),
                "gauge" => gauge_digits(conductor.gauge),
                "ground" => if ground { "N" } else { "" }.to_owned(),
                _ => circuit.name.to_owned(),
            }),
            None => WireMark {
                unit,
                function: letter,
                number: u16::try_from(number).unwrap_or(u16::MAX),
                segment,
                gauge: conductor.gauge,
                ground,
                material: Some(conductor.alloy).filter(|a| *a != Alloy::Copper),
            }
            .to_string(),
        };
        if let Some(conductor) = made.conductors.get_mut(at) {
            conductor.mark = text;
        }
    }
    // A pattern such as `{number}{gauge}` can run two figures together: 1 and 22, 12 and 2.
    let mut seen = HashSet::with_capacity(made.conductors.len());
    let twin = made.conductors.iter().find(|c| !seen.insert(c.mark.as_str()));
    if let Some(twin) = twin.filter(|_| sink.findings().iter().all(|f| f.severity < Severity::Stop)) {
        sink.unreadable(
            origin.given(inner, "pattern").unwrap_or(twin.span),
            format!("two wires would be marked `{}`", twin.mark),
            "put a hyphen between the words of the pattern, or number the circuits apart",
        );
    }
}

#[derive(Default)]
struct Numbers {
    pinned: BTreeSet<(Option<FunctionLetter>, u32)>,
    last: BTreeMap<Option<FunctionLetter>, u32>,
}

impl Numbers {
    fn next(&mut self, key: Option<FunctionLetter>) -> u32 {
        let last = self.last.entry(key).or_default();
        loop {
            *last += 1;
            if !self.pinned.contains(&(key, *last)) {
                return *last;
            }
        }
    }
}

fn letter_of(circuit: &Read, origin: &Origin, sink: &mut Sink) -> FunctionLetter {
    let usual = match circuit.kind {
        CircuitKind::Thermocouple | CircuitKind::Signal => match circuit.measure {
            Some(Measure::FuelFlow | Measure::TankLevel) => FunctionLetter::FUEL_AND_OIL,
            Some(Measure::OutsideAir | Measure::Voltage | Measure::Current) => FunctionLetter::INSTRUMENT,
            _ => FunctionLetter::ENGINE_INSTRUMENT,
        },
        CircuitKind::Power | CircuitKind::Ground => FunctionLetter::DC_POWER,
        CircuitKind::Warning => FunctionLetter::WARNING,
    };
    let Some(letter) = circuit.spec.letter else { return usual };
    FunctionLetter::of(letter).unwrap_or_else(|| {
        let known: Vec<String> = FunctionLetter::all().map(|l| l.letter().to_string()).collect();
        sink.unreadable(
            origin.field(circuit.spot, "letter"),
            format!("`{letter}` is not a circuit function letter"),
            format!("write one of {}", known.join(", ")),
        );
        usual
    })
}

fn ends_on_ground(conductor: &Conductor, devices: &Devices) -> bool {
    [conductor.from, conductor.to].iter().any(|pin| {
        devices
            .pins
            .get(pin.index())
            .and_then(|p| devices.devices.get(p.device.index()))
            .is_some_and(|d| matches!(d.class, DeviceClass::Ground { .. }))
    })
}

fn gauge_digits(gauge: Gauge) -> String {
    gauge.to_string().split_whitespace().next().unwrap_or_default().to_owned()
}

/// A marking scheme of the spec: text and words in turn.
struct Pattern(Vec<Piece>);

enum Piece {
    Text(String),
    Word(&'static str),
}

impl Pattern {
    fn read(text: &str) -> Result<Pattern, (String, String)> {
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            let Some((word, after)) = after.split_once('}') else {
                return Err((format!("`{text}` opens a brace and does not close it"), "close it".to_owned()));
            };
            let Some(known) = WORDS.iter().find(|w| **w == word) else {
                let remedy =
                    suggestion(word, WORDS).unwrap_or_else(|| format!("use {{{}}}", WORDS.join("}, {")));
                return Err((format!("`{{{word}}}` means nothing in a wire mark"), remedy));
            };
            pieces.push(Piece::Text(before.to_owned()));
            pieces.push(Piece::Word(known));
            rest = after;
        }
        pieces.push(Piece::Text(rest.to_owned()));
        let pattern = Pattern(pieces);
        for word in ["number", "segment"] {
            if !pattern.has(word) {
                return Err((
                    format!("`{text}` lacks {{{word}}}: several wires would be marked alike"),
                    format!("put {{{word}}} into it"),
                ));
            }
        }
        Ok(pattern)
    }

    fn has(&self, word: &str) -> bool {
        self.0.iter().any(|p| matches!(p, Piece::Word(w) if *w == word))
    }

    fn fill(&self, value: &dyn Fn(&str) -> String) -> String {
        self.0
            .iter()
            .map(|piece| match piece {
                Piece::Text(text) => text.clone(),
                Piece::Word(word) => value(word),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_that_cannot_tell_wires_apart_are_refused() {
        for (text, complaint) in [
            ("W{number}", "lacks {segment}"),
            ("{number}{segment", "does not close"),
            ("{nr}", "means nothing"),
        ] {
            let message = Pattern::read(text).err().map(|e| e.0).unwrap_or_default();
            assert!(message.contains(complaint), "{text}: {message}");
        }
        let pattern = Pattern::read("W{number}-{segment}").ok().unwrap();
        assert_eq!(pattern.fill(&|w| w.to_uppercase()), "WNUMBER-SEGMENT");
    }
}
