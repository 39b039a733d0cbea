//! The scale of a sender and volts that do not belong in its signal, in; how far the indicator then reads wrong, out.
//!
//! A sender of voltages: the error is the volts times the steepest stretch of the scale. A sender of resistance is read by
//! a divider: `V` over `R₀` into the signal pin. With `e` volts between the sender's zero and the indicator's, and wire of
//! `Rw` in the signal, the pin lies at `e + I (Rw + R)` with `I = (V − e) / (R₀ + Rw + R)`, and the indicator takes it for
//! a sender of `R₀ v / (V − v)` (voltage divider, exact). Between points of the scale readings lie on straight lines, and
//! beyond its ends on those of the ends.

use crate::parts::model::{Bias, ScalePoint};
use crate::quantity::{Reading, Resistance, Signal, Voltage};

/// How far an indicator reads wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Misread {
    /// Shown less true; below zero it reads low.
    pub error: Reading,
    /// The true reading at which it is worst.
    pub at: Reading,
    /// True where the reading is further off than the whole scale is long: then `error` is that length, and only its sign
    /// means something.
    pub off_scale: bool,
}

/// The largest error over the scale. None where the scale has no two points, or the sender gives a resistance and nobody
/// says how the indicator reads it.
pub(super) fn misread(
    scale: &[ScalePoint],
    bias: Option<Bias>,
    shift: Voltage,
    wire: Resistance,
) -> Option<Misread> {
    let points: Vec<(f64, f64)> = scale.iter().map(|p| (given(p.gives), p.reads.value())).collect();
    let unit = scale.first()?.reads.unit();
    let of_voltage = matches!(scale.first()?.gives, Signal::Voltage(_));
    let mut worst: Option<(f64, f64)> = None;
    for (gives, reads) in points.iter().copied() {
        // From one end of a stretch the shift leads into it, so the steepest stretch is met.
        let seen = match (of_voltage, bias) {
            (true, _) => gives + shift.volts(),
            (false, Some(bias)) => taken_for(gives, bias, shift.volts(), wire.ohms()),
            (false, None) => return None,
        };
        let error = shown(&points, seen)? - reads;
        if worst.is_none_or(|(known, _)| error.abs() > known.abs()) {
            worst = Some((error, reads));
        }
    }
    let (error, at) = worst?;
    let length = points.last()?.1 - points.first()?.1;
    let off_scale = error.abs() > length;
    let error = error.clamp(-length, length);
    Some(Misread { error: Reading::try_new(error, unit)?, at: Reading::try_new(at, unit)?, off_scale })
}

fn given(signal: Signal) -> f64 {
    match signal {
        Signal::Voltage(v) => v.volts(),
        Signal::Resistance(r) => r.ohms(),
    }
}

/// The resistance that the indicator takes the sender for; where its pin lies at or above its own voltage, one that is
/// beyond every scale.
fn taken_for(ohms: f64, bias: Bias, shift: f64, wire: f64) -> f64 {
    let (volts, through) = (bias.volts.volts(), bias.through.ohms());
    let amps = (volts - shift) / (through + wire + ohms);
    let pin = shift + amps * (wire + ohms);
    if pin < volts { through * pin / (volts - pin) } else { f64::MAX.sqrt() }
}

/// What is shown for `seen`: on the stretch that holds it, else on the end stretch that lies nearer, made longer. None for
/// a scale of fewer than two points.
fn shown(points: &[(f64, f64)], seen: f64) -> Option<f64> {
    let span = |pair: &[(f64, f64)]| {
        let [(g0, r0), (g1, r1)] = pair else { return None };
        let away = (g0.min(*g1) - seen).max(seen - g0.max(*g1)).max(0.0);
        Some((away, r0 + (seen - g0) / (g1 - g0) * (r1 - r0)))
    };
    points.windows(2).filter_map(span).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, shown)| shown)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(points: &[(&str, &str)]) -> Vec<ScalePoint> {
        let point = |(reads, gives): &(&str, &str)| ScalePoint {
            reads: reads.parse().unwrap(),
            gives: gives.parse().unwrap(),
        };
        points.iter().map(point).collect()
    }

    fn volts(v: f64) -> Voltage {
        Voltage::from_volts(v)
    }

    /// 150 psi on 4 V: 37.5 psi a volt.
    #[test]
    fn a_sender_of_voltage() {
        let straight = scale(&[("0 psi", "0.5 V"), ("150 psi", "4.5 V")]);
        let found = misread(&straight, None, volts(-0.04), Resistance::ZERO).unwrap();
        assert_eq!(found.error, "-1.5 psi".parse().unwrap());
        let bent = scale(&[("0 psi", "0.5 V"), ("100 psi", "4.5 V"), ("120 psi", "4.7 V")]);
        let found = misread(&bent, None, volts(0.1), Resistance::ZERO).unwrap();
        assert_eq!((found.error, found.at), ("10 psi".parse().unwrap(), "100 psi".parse().unwrap()));
        // Downwards it is the top that leads into the steep stretch.
        let found = misread(&bent, None, volts(-0.1), Resistance::ZERO).unwrap();
        assert_eq!((found.error, found.at), ("-10 psi".parse().unwrap(), "120 psi".parse().unwrap()));
    }

    /// 5 V over 470 Ω, a sender of 30 Ω and 20 Ω of wire: the pin lies at 50 Ω.
    #[test]
    fn wire_adds_to_a_sender_of_resistance() {
        let bias = Bias { volts: volts(5.0), through: Resistance::from_ohms(470.0) };
        let straight = scale(&[("0 %", "30 Ω"), ("100 %", "230 Ω")]);
        let found = misread(&straight, Some(bias), Voltage::ZERO, Resistance::from_ohms(20.0)).unwrap();
        assert_eq!(found.error, "10 %".parse().unwrap());
        assert_eq!(misread(&straight, None, volts(0.1), Resistance::ZERO), None);
    }

    /// By hand: 0.1 V under a sender of 30 Ω: I = 4.9 / 500, pin at 0.394 V, taken for 470 × 0.394 / 4.606 = 40.2041 Ω;
    /// at 230 Ω: I = 4.9 / 700, pin at 1.71 V, taken for 470 × 1.71 / 3.29 = 244.2857 Ω.
    #[test]
    fn ground_shift_under_a_sender_of_resistance() {
        let bias = Bias { volts: volts(5.0), through: Resistance::from_ohms(470.0) };
        let straight = scale(&[("0 %", "30 Ω"), ("100 %", "230 Ω")]);
        let found = misread(&straight, Some(bias), volts(0.1), Resistance::ZERO).unwrap();
        assert_eq!((found.error.show(), found.at.value()), ("7.14 %".to_owned(), 100.0));
        // The indicator's own voltage at its pin: like an open wire.
        let open = misread(&straight, Some(bias), volts(5.0), Resistance::ZERO).unwrap();
        assert_eq!((open.off_scale, open.error.value()), (true, 100.0));
    }
}
