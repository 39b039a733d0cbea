//! What holds for all of the harness in; the last look before the covers go on out.

use std::collections::{BTreeMap, BTreeSet};

use super::measure::{at_least, at_most};
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{DeviceClass, Harness, Zone};
use crate::quantity::{Current, Gauge};
use crate::spec::words::Hazard;
use crate::trade::installation::{
    Requirement, clearance_from_control_cables, least_separation_from_fluid, requirement, sag,
    separation_from_fluid, spare_fuses, spare_terminations, thin_wire,
};

/// Limits that hold on every run and at every end, said once.
pub(super) fn everywhere(job: &Job<'_>) -> Option<Visit> {
    let h = job.h;
    if job.plan.terminations.of.is_empty() {
        return None;
    }
    let units = h.header.units;
    let mut tasks = vec![
        Task::new("slack", "Push the bundle by hand midway between two clamps, on every run")
            .measure(format!("at most {}", at_most(sag(), units)))
            .more("more only where it can touch nothing")
            .by(sag().source()),
    ];
    tasks.extend(fluid_lines(job));
    tasks.push({
        let words = requirement(Requirement::DripLoop);
        let work = "Where wires run down to a connector, terminal block or panel, leave a drip loop";
        Task::new("drip loops", work).by(words.source())
    });
    tasks.extend(thin_wires(job));
    tasks.extend(altitude(h));
    tasks.push(reserve(h));
    tasks.extend(spares(h));
    Some(Visit {
        subject: Subject::Everywhere,
        name: String::new(),
        title: "Everywhere, before the covers go on".to_owned(),
        cautions: Vec::new(),
        details: Vec::new(),
        tasks,
    })
}

/// Zones in which something is laid, in the order of the spec.
fn laid_in<'h>(job: &Job<'h>) -> Vec<&'h Zone> {
    let runs = job.h.runs.iter().zip(&job.routing.in_run).filter(|(_, inside)| !inside.is_empty());
    let zones: BTreeSet<_> = runs.map(|(run, _)| run.zone).collect();
    zones.into_iter().map(|zone| job.h.zone(zone)).collect()
}

fn fluid_lines(job: &Job<'_>) -> Vec<Task> {
    let units = job.h.header.units;
    let zones = laid_in(job);
    let with = |hazards: &[Hazard]| -> Vec<&str> {
        let has = |zone: &&&Zone| zone.hazards.iter().any(|hazard| hazards.contains(hazard));
        zones.iter().filter(has).map(|zone| zone.title.as_deref().unwrap_or(&zone.name)).collect()
    };
    let mut tasks = Vec::new();
    let wet = with(&[Hazard::Fuel, Hazard::Oil, Hazard::Oxygen]);
    if !wet.is_empty() {
        let (full, reduced) = (separation_from_fluid(), least_separation_from_fluid());
        tasks.push(
            Task::new(
                "fluid lines",
                "Keep every run off lines with fuel, oil and oxygen, and off tank walls",
            )
            .measure(format!("at least {}", at_least(full, units)))
            .more(format!(
                "in {}; less, down to {}, only with close clamps on rigid supports",
                wet.join(", "),
                at_least(reduced, units)
            ))
            .by(full.source()),
        );
        let above = requirement(Requirement::AboveFluidLines);
        tasks.push(
            Task::new("above lines", "See that wires run above such lines, not below").by(above.source()),
        );
        let never = requirement(Requirement::NotOnFluidLines);
        tasks.push(
            Task::new(
                "not on lines",
                "See that no line carries the harness; a clamp on it only keeps them apart",
            )
            .by(never.source()),
        );
    }
    let moving = with(&[Hazard::MovingParts]);
    if !moving.is_empty() {
        let limit = clearance_from_control_cables();
        tasks.push(
            Task::new(
                "moving parts",
                "Move every control through its travel: nothing comes near the harness",
            )
            .measure(format!("at least {}", at_least(limit, units)))
            .more(format!("in {}; more commonly 3 in, unless there is a guard", moving.join(", ")))
            .by(limit.source()),
        );
    }
    tasks
}

/// Without `ceiling:` what wires may carry is what they may at sea level, the most that any altitude allows.
fn altitude(h: &Harness) -> Option<Task> {
    let feeds = h.devices.iter().any(|d| matches!(d.class, DeviceClass::Supply { .. }));
    (feeds && h.header.ceiling.is_none()).then(|| {
        let work =
            "Where the machine goes above sea level, have the spec checked again with its `ceiling:` first";
        Task::new("altitude", work)
            .more("what wires may carry was worked out for sea level; thin air cools them less")
            .said(Said::Default("sea level".to_owned()))
            .by("FAA AC 43.13-1B CHG 1 par. 11-69")
    })
}

/// Wire that is thinner than the document likes to see alone.
fn thin_wires(job: &Job<'_>) -> Option<Task> {
    let h = job.h;
    let limit = thin_wire();
    let thin: BTreeSet<Gauge> = h.conductors.iter().map(|c| c.gauge).filter(|g| *g < limit.value).collect();
    if thin.is_empty() {
        return None;
    }
    let thin: Vec<String> = thin.iter().rev().map(Gauge::to_string).collect();
    let work = "See that wire thinner than 20 AWG is held where it is terminated, and lies with 3 other wires or more";
    let few = h.runs.iter().zip(&job.routing.in_run).filter(|(_, inside)| {
        !inside.is_empty() && inside.len() < 4 && inside.iter().any(|id| h.conductor(*id).gauge < limit.value)
    });
    let few: Vec<String> = few.map(|(run, inside)| format!("{} ({})", run.name, inside.len())).collect();
    let more = match few.len() {
        0 => String::new(),
        _ => format!(
            "fewer lie on {}: hold them there with a sleeve over all of it, or tie them to what runs beside (common practice, \
             no source)",
            few.join(", ")
        ),
    };
    let task = Task::new("thin wire", work).measure(thin.join(", ")).more(more);
    Some(task.by(requirement(Requirement::ThinWire).source()))
}

/// Fuses of each rating, and how many spare ones go with them; where they can be reached is not in the spec.
fn spares(h: &Harness) -> Vec<Task> {
    let mut fitted: BTreeMap<Current, usize> = BTreeMap::new();
    for device in &h.devices {
        if let DeviceClass::Supply { fuse: Some(fuse), .. } = device.class {
            *fitted.entry(fuse.value).or_default() += 1;
        }
    }
    let task = |(rating, count): (Current, usize)| {
        let limit = spare_fuses(count);
        let rating = rating.show(h.header.units);
        Task::new(format!("spare fuses {rating}"), format!("See that spare fuses of {rating} are aboard"))
            .measure(format!("at least {}", limit.value))
            .more(format!(
                "for {count} fitted, where they can be replaced under way; the number is that of the law for aircraft"
            ))
            .said(Said::Derived)
            .by(limit.source())
    };
    fitted.into_iter().map(task).collect()
}

fn reserve(h: &Harness) -> Task {
    let limit = spare_terminations();
    let times = h.shop.reterminations;
    let value = times.value.to_string();
    let said = match times.span {
        None => Said::Default(value),
        Some(_) if times.value as usize >= limit.value => Said::Kept(value),
        Some(_) => Said::Broken(value),
    };
    Task::new(
        "reserve",
        "See that each end has slack to be cut back and terminated anew, beside its drip loop",
    )
    .measure(format!("{} times", limit.value))
    .said(said)
    .by(limit.source())
}
