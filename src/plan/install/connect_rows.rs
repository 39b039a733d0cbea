//! Ends and shells of a device in; how they are put on, out: contacts into shells, joints, lugs on studs, plugs.
//!
//! All of it is common practice, no source; torques are the makers'.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::{Job, Said, Task};
use crate::graph::{Fitted, fitted_shells};
use crate::harness::{DeviceClass, DeviceId, PinId, PinSite, PlaceId};
use crate::parts::library::ShellPartId;
use crate::parts::model::FaceShape;
use crate::plan::fitting::Fitting;
use crate::plan::heat::Heat;
use crate::plan::termination::{Termination, When};
use crate::quantity::Length;

/// What is put on at the devices.
pub(super) struct Connect<'a> {
    ends: BTreeMap<DeviceId, Vec<&'a Termination>>,
    shells: BTreeMap<DeviceId, Vec<Fitted<'a>>>,
    alike: BTreeMap<(PlaceId, ShellPartId), Alike>,
}

/// Shells of one part at one place.
#[derive(Default)]
struct Alike {
    /// How many there are.
    count: usize,
    /// Device and connector of the first of them: one more than a caution names.
    first: Vec<String>,
}

/// A caution names so many shells and counts more.
const NAMED: usize = 3;

impl<'a> Connect<'a> {
    /// Of the whole harness.
    pub fn of(job: &Job<'a>) -> Connect<'a> {
        let h = job.h;
        let mut ends: BTreeMap<DeviceId, Vec<&'a Termination>> = BTreeMap::new();
        for end in job.plan.terminations.of.iter().flatten() {
            ends.entry(h.pin(end.pin).device).or_default().push(end);
        }
        let mut shells: BTreeMap<DeviceId, Vec<Fitted<'a>>> = BTreeMap::new();
        let mut alike: BTreeMap<(PlaceId, ShellPartId), Alike> = BTreeMap::new();
        for shell in fitted_shells(h) {
            if let Some(place) = job.routing.place_of_pin(h, shell.pin) {
                let alike = alike.entry((place, shell.shell)).or_default();
                alike.count += 1;
                if alike.first.len() <= NAMED {
                    alike.first.push(format!("{}.{}", h.device(shell.device).name, shell.connector));
                }
            }
            shells.entry(shell.device).or_default().push(shell);
        }
        Connect { ends, shells, alike }
    }

    /// Shells of a device.
    pub fn shells(&self, id: DeviceId) -> &[Fitted<'a>] {
        self.shells.get(&id).map_or(&[], Vec::as_slice)
    }

    /// Plugs that go on each other's sockets.
    pub fn cautions(&self, job: &Job<'_>, id: DeviceId) -> Vec<String> {
        let caution = |shell: &Fitted<'_>| {
            let name = format!("{}.{}", job.h.device(id).name, shell.connector);
            let alike = self.alike(job, shell)?;
            let others: Vec<&str> =
                alike.first.iter().map(String::as_str).filter(|other| *other != name).collect();
            let named = match others.as_slice() {
                [] => return None,
                few if alike.count <= NAMED + 1 => few.join(", "),
                [first, ..] => format!("{first} and {} others", alike.count - 2),
            };
            Some(format!(
                "shell {name} has the same shape as {named} at this place, and their wires and colours may mean something else: \
                 read its label before it is mated"
            ))
        };
        self.shells(id).iter().filter_map(caution).collect()
    }

    /// It and those like it; None where its place is not known.
    fn alike(&self, job: &Job<'_>, shell: &Fitted<'_>) -> Option<&Alike> {
        self.alike.get(&(job.routing.place_of_pin(job.h, shell.pin)?, shell.shell))
    }

    /// What is done at a device: from the contacts to the plug.
    pub fn tasks(&self, job: &Job<'_>, id: DeviceId) -> Vec<Task> {
        let ends = self.ends.get(&id).map_or(&[][..], Vec::as_slice);
        let mut tasks = Vec::new();
        tasks.extend(self.shells(id).iter().filter_map(|shell| insert(job, shell, ends)));
        tasks.extend(join(ends));
        tasks.extend(lugs(job, ends));
        tasks.extend(blades(job, ends));
        tasks.extend(self.shells(id).iter().filter_map(|shell| self.label(job, shell)));
        tasks
    }

    /// Plugs are mated when all else is done at the device.
    pub fn mating(&self, job: &Job<'_>, id: DeviceId) -> Vec<Task> {
        let device = job.h.device(id);
        let Some(first) = self.shells(id).first() else { return Vec::new() };
        if matches!(device.class, DeviceClass::InLine { .. }) {
            return vec![mate(
                job,
                "mate",
                format!("Mate the halves of {} and lock them", device.name),
                first,
            )];
        }
        let one = |shell: &Fitted<'_>| {
            let work = format!("Mate plug {}.{} and lock it", device.name, shell.connector);
            mate(job, &format!("mate {}", shell.connector), work, shell)
        };
        self.shells(id).iter().map(one).collect()
    }

    /// A label for what can be mistaken for another.
    fn label(&self, job: &Job<'_>, shell: &Fitted<'_>) -> Option<Task> {
        self.alike(job, shell).filter(|alike| alike.count > 1)?;
        let name = format!("{}.{}", job.h.device(shell.device).name, shell.connector);
        let work = format!("Put a label round the bundle right behind the shell: {name}");
        Some(Task::new(format!("label {}", shell.connector), work).said(Said::Derived))
    }
}

fn mate(job: &Job<'_>, kind: &str, work: String, shell: &Fitted<'_>) -> Task {
    let part = job.library.shells.get(shell.shell);
    let locked = match part.face.shape {
        FaceShape::Trapezium => "both screw-locks tight",
        FaceShape::Block | FaceShape::Round => "its latch, screw or ring closed as its maker says",
    };
    let backshell = if part.backshell.is_some() { "close its backshell on the bundle first; " } else { "" };
    Task::new(kind, work).more(format!("when it is rung out; {backshell}{locked}")).said(Said::Derived)
}

/// Contacts that went through a hole without their shell.
fn insert(job: &Job<'_>, shell: &Fitted<'_>, ends: &[&Termination]) -> Option<Task> {
    let of_shell = |end: &&&Termination| match &job.h.pin(end.pin).site {
        PinSite::Cavity { connector, .. } => {
            let connectors = &job.h.device(shell.device).connectors;
            connectors.get(*connector as usize).is_some_and(|c| c.name == shell.connector)
        }
        _ => false,
    };
    let later = |end: &&&Termination| matches!(end.when, When::InsertAfterFeeding(_));
    let waiting: Vec<&&Termination> = ends.iter().filter(of_shell).filter(later).collect();
    if waiting.is_empty() {
        return None;
    }
    let one_way = waiting.iter().any(|end| end.hold.as_ref().is_some_and(|hold| hold.one_way));
    let more = if one_way {
        "STOP at each: check the cavity first, it does not come out again"
    } else {
        "feel each lock"
    };
    let work = format!(
        "Put the contacts into shell {}, cavity by cavity, and tick them in the crimp list",
        shell.connector
    );
    let task =
        Task::new(format!("insert {}", shell.connector), work).measure(count(waiting.len(), "contact"));
    Some(task.more(more).said(Said::Derived))
}

/// Ends that are made in the machine.
fn join(ends: &[&Termination]) -> Option<Task> {
    let made = ends.iter().filter(|end| {
        matches!(end.when, When::InPlace | When::AfterFeeding(_))
            && !matches!(end.fitting, Fitting::Screen(_))
    });
    let made: Vec<_> = made.collect();
    if made.is_empty() {
        return None;
    }
    let hot = made.iter().filter_map(|end| end.heat.as_ref());
    let hot = hot.min_by_key(|heat| matches!(heat, Heat::IfShrunk(_))).map_or_else(String::new, Heat::short);
    let work = "Make the ends that are left, as the crimp list says, and tick them there";
    Some(Task::new("ends", work).measure(count(made.len(), "end")).more(hot).said(Said::Derived))
}

fn count(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Lugs, stud by stud; those with one lug in one row.
fn lugs(job: &Job<'_>, ends: &[&Termination]) -> Vec<Task> {
    let h = job.h;
    let mut on: BTreeMap<PinId, Vec<&Termination>> = BTreeMap::new();
    for end in ends {
        if matches!(h.pin(end.pin).site, PinSite::Stud(_) | PinSite::Case(_))
            && matches!(end.fitting, Fitting::Lug(_))
        {
            on.entry(end.pin).or_default().push(end);
        }
    }
    let width = |end: &Termination| match end.fitting {
        Fitting::Lug(part) => job.library.lugs.get(part).width,
        _ => Length::ZERO,
    };
    let torque = "torque as the maker of the stud says";
    let mut single = Vec::new();
    let mut tasks = Vec::new();
    for (pin, mut stack) in on {
        let others = match h.device(h.pin(pin).device).class {
            DeviceClass::Ground { others, .. } | DeviceClass::Stud { others, .. } => others,
            _ => 0,
        };
        let mark = |end: &Termination| h.conductor(end.conductor).mark.clone();
        let name = &h.pin(pin).name;
        if let ([only], 0) = (stack.as_slice(), others) {
            single.push(format!("{} on {name}", mark(only)));
            continue;
        }
        stack.sort_by_key(|end| (Reverse(width(end)), end.conductor));
        let marks: Vec<String> = stack.iter().map(|end| mark(end)).collect();
        let work = format!(
            "Put the lugs on {name}, bright metal to bright metal, from the bottom: {}",
            marks.join(", ")
        );
        let shared = if others > 0 {
            format!("{} of other circuits are on it too; ", count(others as usize, "lug"))
        } else {
            String::new()
        };
        let task = Task::new(format!("stud {name}"), work).measure(count(stack.len(), "lug"));
        tasks.push(
            task.more(format!("{shared}the widest lug lies lowest; washer and locking nut on top; {torque}"))
                .said(Said::Derived),
        );
    }
    if !single.is_empty() {
        let work = format!("Put the lugs on, bright metal to bright metal: {}", single.join(", "));
        let task = Task::new("lugs", work).measure(count(single.len(), "lug"));
        tasks.push(task.more(format!("washer and locking nut on top; {torque}")).said(Said::Derived));
    }
    tasks
}

fn blades(job: &Job<'_>, ends: &[&Termination]) -> Option<Task> {
    let h = job.h;
    let pushed = ends.iter().filter(|end| matches!(h.pin(end.pin).site, PinSite::Tab(_)));
    let pushed: Vec<String> =
        pushed.map(|end| format!("{} on {}", h.conductor(end.conductor).mark, h.pin(end.pin).name)).collect();
    if pushed.is_empty() {
        return None;
    }
    let work = format!("Push the terminals on: {}", pushed.join(", "));
    Some(
        Task::new("blades", work)
            .measure(count(pushed.len(), "terminal"))
            .more("pull each lightly")
            .said(Said::Derived),
    )
}
