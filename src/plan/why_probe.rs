//! A thermocouple whose junction touches the engine in; what ground currents add to it, in microvolts and degrees, out.

use super::why::{Asked, Derivation, Line};
use super::why_ground::{KIRCHHOFF, between, left_open, not_counted, unsure, volts_words};
use crate::graph::ground_network::{ProbeShift, Shift};
use crate::harness::DeviceId;
use crate::quantity::Voltage;

/// What ground currents add to a thermocouple whose junction touches the engine.
pub(super) fn of_probe(asked: &Asked, id: DeviceId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    for probe in asked.loading.ground.probes.iter().filter(|probe| probe.sensor == id) {
        let gauge = &h.device(probe.gauge).name;
        let by = match &probe.shift {
            Shift::None => {
                let words = format!("nothing: {gauge} measures between the two pins");
                told.figure("added by grounds", words, Vec::new());
                continue;
            }
            Shift::Unsaid => {
                let words = format!("not known: how {gauge} measures is not said");
                told.figure("added by grounds", words, Vec::new());
                continue;
            }
            Shift::NoBody => {
                told.figure("added by grounds", "not known: the body of its case is not given", Vec::new());
                continue;
            }
            Shift::NoGround => {
                told.figure("added by grounds", format!("not known: {gauge} has no ground"), Vec::new());
                continue;
            }
            Shift::Unread(why) => {
                told.figure("added by grounds", format!("not known: {}", why.words(h)), Vec::new());
                continue;
            }
            Shift::Added { by, .. } => by,
        };
        for (phase, range) in by {
            let name = format!("added by grounds {}", phase.words());
            match range {
                Ok(range) => {
                    let degrees = |shift: &ProbeShift| {
                        shift.error.map_or("off its range".to_owned(), |e| e.show(units))
                    };
                    let volts = between(range, |shift| microvolts(asked, shift.volts));
                    let words = format!("junction above the ground of {gauge}");
                    let mut lines = vec![Line::of(words, volts).by(KIRCHHOFF)];
                    lines.extend(left_open(asked, range));
                    lines.push(not_counted());
                    let at = probe.at.show(units);
                    told.figure(&name, format!("{} with the probe at {at}", between(range, degrees)), lines);
                }
                Err(why) => told.figure(&name, format!("not known: {}", unsure(asked, *why)), Vec::new()),
            }
        }
    }
}

fn microvolts(asked: &Asked, volts: Voltage) -> String {
    match volts.abs().millivolts() {
        few if few < 10.0 => format!("{:.1} µV", volts.millivolts() * 1e3),
        _ => volts_words(asked, volts),
    }
}
