//! The machine in; what makes it safe to work on, before a hand goes in, out.

use super::{Job, Task};
use crate::spec::words::{BodyKind, Hazard};

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
