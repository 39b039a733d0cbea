//! The machine in; what makes it safe to work on, before a hand goes in, out.

use super::{Job, Task};
use crate::harness::{DeviceClass, PinId};
use crate::spec::words::{BodyKind, Hazard};
use crate::trade::thermocouple_colour::Alloy;

/// What is made safe first. All of it common practice, no source; the machine's own manual comes first.
pub(super) fn safe(job: &Job<'_>) -> Vec<Task> {
    let h = job.h;
    let about = |hazard: Hazard| {
        h.zones.iter().any(|zone| zone.hazards.contains(&hazard))
            || h.runs.iter().any(|run| run.beside.contains(&hazard))
    };
    let engine = h.bodies.iter().any(|body| body.kind == BodyKind::Engine);
    let magneto = about(Hazard::Ignition)
        || h.places.iter().any(|place| place.magneto.is_some())
        || h.devices.iter().any(|device| device.taps_magneto);
    let mut tasks = vec![
        Task::new(
            "power off",
            "Disconnect the battery, its ground lead first, and keep it off until all is rung out",
        )
        .more("and any ground power; the machine's own manual comes first"),
    ];
    if engine {
        tasks.push(
            Task::new("engine still", "See that the engine cannot be started or turned by anybody")
                .more("treat a propeller or shaft as if it could turn at any time"),
        );
    }
    tasks.extend(strap(job).filter(|_| engine));
    if magneto {
        tasks.push(
            Task::new("ignition", "Ground the ignition, and treat it as live all the same")
                .more("a magneto whose ground lead is off or broken is live, whatever the switch says"),
        );
    }
    if about(Hazard::Fuel) {
        tasks.push(
            Task::new(
                "fuel",
                "Shut off the fuel; air the space; no flame, spark or heat gun where there may be vapour",
            )
            .more("a heat gun lights fuel vapour"),
        );
    }
    if about(Hazard::Oxygen) {
        tasks.push(
            Task::new("oxygen", "Shut off the oxygen at the bottle, and keep oil and grease off its lines")
                .more("oil burns by itself in oxygen"),
        );
    }
    tasks
}

/// The strap between engine and airframe: where it is off, cranking current looks for a way through thin wires.
fn strap(job: &Job<'_>) -> Option<Task> {
    let h = job.h;
    let is_engine = |body| h.body(body).kind == BodyKind::Engine;
    let straps = h.bonds.iter().filter(|bond| bond.ends.iter().any(|end| is_engine(*end)));
    let mut named = Vec::new();
    for bond in straps {
        let ohms =
            bond.resistance.map_or_else(String::new, |r| format!(", {}", r.value.show(h.header.units)));
        named.push(format!("{}{ohms}", bond.name));
    }
    let on_engine = |pin: PinId| {
        let device = h.device(h.pin(pin).device);
        matches!(device.class, DeviceClass::Ground { .. })
            && device.body.is_some_and(|body| is_engine(body.value))
    };
    let wires =
        h.conductors.iter().filter(|c| c.alloy == Alloy::Copper && (on_engine(c.from) || on_engine(c.to)));
    let wires: Vec<String> = wires.map(|c| format!("{} ({})", c.mark, c.gauge)).collect();
    let risk = match wires.as_slice() {
        [] => "without it the starter's current comes back through thin wires".to_owned(),
        few if few.len() <= 4 => {
            format!("without it the starter's current comes back through {}", few.join(", "))
        }
        [first, rest @ ..] => {
            format!("without it the starter's current comes back through {first} and {} more", rest.len())
        }
    };
    let none = if named.is_empty() { "the spec names no strap: find it; " } else { "" };
    Some(
        Task::new(
            "strap",
            "Check the strap between engine and airframe, tight on bright metal at both ends: before anything is connected, \
             and before the engine is cranked",
        )
        .measure(named.join("; "))
        .more(format!("{none}{risk}")),
    )
}
