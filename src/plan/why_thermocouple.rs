//! What a gauge shows of a thermocouple: the legs as they are wired in; junctions, temperatures, emf by emf and the
//! readings that follow out.

use super::why::{Asked, Derivation, Line};
use crate::diag::Span;
use crate::graph::thermocouple_seen::{shown_words, whole};
use crate::graph::{Chain, Electrical, GaugeReading, NoReading, Stretch, ThermocoupleRun};
use crate::harness::{DeviceId, Harness};
use crate::parts::words::Role;
use crate::quantity::{Temperature, TemperatureDifference, Units, Voltage};
use crate::trade::thermocouple;
use crate::trade::thermocouple_chain::{LegPiece, piece_emf};
use crate::trade::thermocouple_limits::{DOCUMENT, extension_limit, limit_of_error};

const SOURCE: &str = "NIST SRD 60 / Monograph 175, ITS-90 reference functions";

/// Adds the readings of every thermocouple of a sensor.
pub(super) fn readings(asked: &Asked, sensor: DeviceId, told: &mut Derivation) {
    let h = asked.h;
    let device = h.device(sensor);
    if !device.ports.iter().any(|p| p.kind.thermocouple().is_some()) {
        return;
    }
    let runs = Electrical::of(h).thermocouple_runs(h);
    for run in runs.iter().filter(|run| run.sensor == sensor && run.plus.pieces.len() > 1) {
        of_run(asked, run, told);
    }
}

fn of_run(asked: &Asked, run: &ThermocoupleRun, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let chain = match run.chain(h, asked.routing) {
        Ok(chain) => chain,
        Err(why) => {
            told.figure("what the gauge shows", format!("not known: {}", why.words(h)), Vec::new());
            return;
        }
    };
    let (plus, minus) = (&chain.plus, &chain.minus);
    for (side, leg) in [(Role::Plus, plus), (Role::Minus, minus)] {
        let name = format!("leg to the gauge's {}", side.word());
        let materials: Vec<&str> = leg.iter().map(|s| s.alloy.name()).collect();
        told.figure(&name, materials.join(", then "), junctions(h, leg, units));
    }
    let gauge = chain.gauge.letter();
    let value = match chain.seen(run.example(h), units) {
        _ if chain.is_right() => format!("right at any temperature: type {gauge} all the way"),
        Ok(seen) => seen,
        Err(why) => format!("not known: {}", why.words(h)),
    };
    let rows = chain.table().map(|(t, r)| row(h, &chain, t, r)).collect();
    told.figure("what the gauge shows", value, sourced(rows, SOURCE));
    let example = run.example(h);
    let terms = emf_terms(&chain, example, units);
    if !terms.is_empty() {
        let reading = chain.at(example).ok();
        let value = match reading.and_then(|r| Some((r.shown, r.emf?))) {
            Some((shown, emf)) => {
                format!("{} at the terminals, shown as {}", mv(emf), shown_words(shown, units))
            }
            None => "not known".to_owned(),
        };
        let name = format!("emf with the probe at {}", whole(example, units));
        told.figure(&name, value, sourced(terms, SOURCE));
    }
    tolerance(&chain, example, units, told);
}

/// Where each stretch of a leg ends, and how warm it is there.
fn junctions(h: &Harness, leg: &[Stretch], units: Units) -> Vec<Line> {
    let line = |s: &Stretch| {
        let place = s.place.map_or("a place that is not known", |p| h.place(p).name.as_str());
        let words = format!("{} as far as {} at {place}", s.alloy.name(), h.pin(s.to).name);
        let value = match s.temperature() {
            Ok(t) => whole(t, units),
            Err(why) => format!("not known: {}", why.words(h)),
        };
        Line::of(words, value).at(ambient_span(h, s)).because("highest ambient of the warmer zone there")
    };
    leg.iter().map(line).collect()
}

/// The line that sets how warm the end of a stretch is.
fn ambient_span(h: &Harness, s: &Stretch) -> Option<Span> {
    let t = s.temperature().ok()?;
    let zones = s.place.map(|p| h.place(p).zones.iter()).into_iter().flatten();
    zones.filter_map(|z| h.zone(*z).ambient).find(|a| a.value == t).map(|a| a.span)
}

fn row(h: &Harness, chain: &Chain, probe: Temperature, reading: Result<GaugeReading, NoReading>) -> Line {
    let units = h.header.units;
    let words = format!("probe at {}", whole(probe, units));
    match reading {
        Ok(r) => {
            let off = r.off_by(units).unwrap_or_default();
            let made_of = match (r.emf, chain.plus.last().map(Stretch::temperature)) {
                (Some(emf), Some(Ok(terminals))) => {
                    let own = thermocouple::emf(chain.gauge, terminals).unwrap_or_default();
                    let at = whole(terminals, units);
                    format!("{} at the terminals and {} for their {at}", mv(emf), mv(own))
                }
                _ => "the same whatever the temperature of the terminals".to_owned(),
            };
            let because = if off.is_empty() { made_of } else { format!("{off}; {made_of}") };
            Line::of(words, shown_words(r.shown, units)).because(because)
        }
        Err(why) => Line::of(words, "not known").because(why.words(h)),
    }
}

/// The emf of each stretch of each leg against constantan, with the sign it has at the terminals.
fn emf_terms(chain: &Chain, probe: Temperature, units: Units) -> Vec<Line> {
    if chain.is_right() {
        return Vec::new();
    }
    let mut lines = Vec::new();
    for (sign, side, leg) in [(1.0, Role::Plus, &chain.plus), (-1.0, Role::Minus, &chain.minus)] {
        let mut from = probe;
        for s in leg {
            let Ok(to) = s.temperature() else { return Vec::new() };
            let Some(emf) = piece_emf(LegPiece { alloy: s.alloy, to }, from) else {
                return Vec::new();
            };
            let words = format!(
                "{} leg, {} from {} to {}",
                side.word(),
                s.alloy.name(),
                whole(from, units),
                whole(to, units)
            );
            lines.push(Line::of(words, mv(emf * sign)).because("against constantan"));
            from = to;
        }
    }
    lines
}

/// What the wire itself may be off, however well it is connected.
fn tolerance(chain: &Chain, example: Temperature, units: Units, told: &mut Derivation) {
    let of = |t| limit_of_error(chain.probe, t).map(|d| format!("± {}", tenths(d, units)));
    let row = |t| Some(Line::of(format!("probe at {}", whole(t, units)), of(t)?));
    let mut lines: Vec<Line> = chain.table().filter_map(|(t, _)| row(t)).collect();
    let extension = tenths(extension_limit(), units);
    lines.push(
        Line::of("extension wire besides", format!("± {extension}"))
            .because("while both its ends are between 0 and 200 °C"),
    );
    let value = of(example)
        .map_or("not known".to_owned(), |t| format!("{t} with the probe at {}", whole(example, units)));
    let name = format!("limits of error of new type {} wire", chain.probe.letter());
    told.figure(&name, value, sourced(lines, DOCUMENT));
}

/// Rounded up where it lies between two tenths: it is a limit.
fn tenths(d: TemperatureDifference, units: Units) -> String {
    let (value, unit) = match units {
        Units::Metric => (d.celsius(), "°C"),
        Units::Inch => (d.fahrenheit(), "°F"),
    };
    format!("{:.1} {unit}", (value * 10.0 - 1e-6).ceil() / 10.0)
}

/// The source of all these lines, behind the first of them.
fn sourced(mut lines: Vec<Line>, source: &'static str) -> Vec<Line> {
    if let Some(first) = lines.first_mut() {
        first.source = source.to_owned();
    }
    lines
}

fn mv(emf: Voltage) -> String {
    format!("{:.3} mV", emf.millivolts() + 0.0)
}
