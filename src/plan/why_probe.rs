//! A thermocouple whose junction touches the engine in; what ground currents add to it, in microvolts and degrees, out.

use super::ground_words::{self, between};
use super::why::{Asked, Derivation, Line};
use super::why_ground::{KIRCHHOFF, left_open, not_counted, unsure};
use crate::graph::ground_network::{ProbeShift, Shift};
use crate::harness::DeviceId;

/// What ground currents add to a thermocouple whose junction touches the engine.
pub(super) fn of_probe(asked: &Asked, id: DeviceId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    for probe in asked.loading.ground.probes.iter().filter(|probe| probe.sensor == id) {
        let gauge = &h.device(probe.gauge).name;
        if let Some(why) = ground_words::unread(h, probe) {
            told.figure("added by grounds", format!("not known: {why}"), Vec::new());
        }
        let by = match &probe.shift {
            Shift::Added { by, .. } => by,
            Shift::None => {
                let words = format!("nothing: {gauge} measures between the two pins");
                told.figure("added by grounds", words, Vec::new());
                continue;
            }
            _ => continue,
        };
        for (phase, range) in by {
            let name = format!("added by grounds {}", phase.words());
            match range {
                Ok(range) => {
                    let degrees = |shift: &ProbeShift| ground_words::degrees(h, shift);
                    let volts = between(range, |shift| ground_words::microvolts(h, shift.volts));
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
