//! Devices and splices in; what is done at each of them when the runs are laid, out.

use std::collections::BTreeSet;

use super::connect_rows::Connect;
use super::{Job, Said, Subject, Task, Visit};
use crate::graph::Fitted;
use crate::harness::{Device, DeviceClass, DeviceId, Harness, PinId};
use crate::parts::words::{PortKind, Style};
use crate::plan::end_words::{sense_words, senses_shunt};
use crate::quantity::Length;
use crate::spec::words::{Hazard, OldGauge};
use crate::trade::allowances::STAGGER_GAP;
use crate::trade::installation::{Requirement, requirement};

/// Loops, old gauges, drip loops, plugs for empty cavities, splices: device by device.
pub(super) fn at_devices(job: &Job<'_>) -> Vec<Visit> {
    let h = job.h;
    let connect = Connect::of(job);
    let wired: BTreeSet<PinId> = h.conductors.iter().flat_map(|c| [c.from, c.to]).collect();
    (0..h.devices.len())
        .map(DeviceId::at)
        .map(|id| {
            let device = h.device(id);
            let mut tasks = Vec::new();
            tasks.extend(splice(job, id));
            tasks.extend(connect.tasks(job, id));
            tasks.extend(connect.shells(id).iter().filter_map(|shell| plugs(job, shell)));
            tasks.extend(service_loop(h, device));
            tasks.extend(old_gauge(device, &wired));
            tasks.extend(drip_loop(job, id));
            tasks.extend(connect.mating(job, id));
            let sense = h.pins_of(id).any(|pin| senses_shunt(h, pin)).then(|| sense_words(&device.name));
            Visit {
                subject: Subject::Device,
                name: device.name.clone(),
                title: format!("{}: {}", device.name, device.title),
                cautions: sense.into_iter().chain(connect.cautions(job, id)).collect(),
                details: at(job, id),
                tasks,
            }
        })
        .collect()
}

fn at(job: &Job<'_>, id: DeviceId) -> Vec<(&'static str, String)> {
    let place = job.routing.place_of.get(id.index()).copied().flatten().map(|p| job.h.place(p));
    place.map_or_else(Vec::new, |p| vec![("at", p.title.as_deref().unwrap_or(&p.name).to_owned())])
}

/// Where it lies along the bundle, and that it lies there alone.
fn splice(job: &Job<'_>, id: DeviceId) -> Option<Task> {
    let h = job.h;
    let DeviceClass::Splice { part, made, shift: pinned, .. } = h.device(id).class else { return None };
    let units = h.header.units;
    let place = job.routing.place_of.get(id.index()).copied().flatten()?;
    let shift = job.routing.shift_of.get(id.index()).copied().flatten();
    let size = part.map(|part| job.library.splices.get(part));
    let measure = match shift.map(|shift| (shift.by, h.run(shift.run).ends)) {
        Some((by, [a, b])) => {
            let towards = if a == place { b } else { a };
            format!("{} from {} towards {}", by.show(units), h.place(place).name, h.place(towards).name)
        }
        // Clamps of the runs that meet there give way to it.
        None => {
            let half = size.map(|part| Length::from_um(part.length.um() / 2) + STAGGER_GAP);
            let clear = half
                .map_or_else(String::new, |half| format!("; clamps there {} off or more", half.show(units)));
            format!("at {}{clear}", h.place(place).name)
        }
    };
    let work = "See that the splice lies straight, under no clamp and in no bend, beside no other splice";
    let task = Task::new("splice", work).measure(measure.clone());
    let more = size.map_or_else(String::new, |p| format!("{}, {} long", p.title, p.length.show(units)));
    let declared = if shift.is_some() { pinned.is_some() } else { !made };
    Some(task.more(more).said(if declared { Said::Given(measure) } else { Said::Derived }))
}

/// An indicator is drawn out of its panel with its plugs on.
fn service_loop(h: &Harness, device: &Device) -> Option<Task> {
    let wired = !device.connectors.is_empty();
    if !matches!(device.style, Some(Style::Indicator | Style::Converter)) || !wired {
        return None;
    }
    let service = h.shop.service_loop;
    let length = service.value.show(h.header.units);
    let said = match service.span {
        Some(_) => Said::Given(length.clone()),
        None => Said::Default(length.clone()),
    };
    let work = "Lay the service loop so that the device can be drawn out with its plugs on, and tie it";
    Some(Task::new("service loop", work).measure(length).said(said))
}

/// A sender that is read by the current which its gauge sends through it serves no second gauge. One that measures
/// otherwise is told only where the spec says that there is another gauge on it.
fn old_gauge(device: &Device, wired: &BTreeSet<PinId>) -> Option<Task> {
    let on = |kind: &dyn Fn(PortKind) -> bool| {
        device.ports.iter().any(|p| kind(p.kind) && p.pins.iter().any(|(_, pin)| wired.contains(pin)))
    };
    let resistive = on(&|kind| kind == PortKind::Resistance);
    let said = match device.mounting.old_gauge.map(|old| old.value) {
        Some(OldGauge::None) => return None,
        Some(OldGauge::Connected) if on(&|_| true) => Said::Broken("old gauge connected".to_owned()),
        Some(OldGauge::Removed) if resistive => Said::Kept("old gauge removed".to_owned()),
        None if resistive && matches!(device.class, DeviceClass::Sensor) => Said::Nothing,
        _ => return None,
    };
    let task = Task::new("old gauge", "See that no wire of another gauge is left on it");
    let why = "each gauge reads by the current it sends through the sender: with two of them both read wrong";
    Some(task.more(if resistive { why } else { "" }).said(said).by("Ohm's law"))
}

/// Where the spec says so, and wherever there is water.
fn drip_loop(job: &Job<'_>, id: DeviceId) -> Option<Task> {
    let h = job.h;
    let device = h.device(id);
    let place = job.routing.place_of.get(id.index()).copied().flatten()?;
    let wet = h.place(place).zones.iter().any(|z| h.zone(*z).hazards.contains(&Hazard::Water));
    let inside = matches!(device.class, DeviceClass::Splice { .. });
    let said = match device.mounting.drip_loop.map(|d| d.value) {
        Some(true) => Said::Kept("drip loop".to_owned()),
        Some(false) => Said::Broken("no drip loop".to_owned()),
        None if wet && !inside => Said::Nothing,
        None => return None,
    };
    let task = Task::new("drip loop", "Let the wires hang in a loop below before they rise to it");
    Some(task.said(said).by(requirement(Requirement::DripLoop).source()))
}

fn plugs(job: &Job<'_>, fitted: &Fitted<'_>) -> Option<Task> {
    let shell = job.library.shells.get(fitted.shell);
    let plug = shell.cavity_plug.as_deref()?;
    let empty: Vec<&str> = shell.cavities().filter(|mark| !fitted.cavities.contains(mark)).collect();
    if empty.is_empty() {
        return None;
    }
    let title = job.library.sundries.look_up(plug).map_or(plug, |(_, part)| part.title.as_str());
    let cavities = format!("{} {}", if empty.len() == 1 { "cavity" } else { "cavities" }, empty.join(", "));
    Some(
        Task::new(
            format!("plugs {}", fitted.connector),
            format!("See that the empty {cavities} of {} are plugged", fitted.connector),
        )
        .measure(empty.len().to_string())
        .more(title)
        .said(Said::Given(plug.to_owned())),
    )
}
