//! Senders and grounded probes in; how far each reads wrong in each state of the grounds, in volts and in its own units,
//! with the worst of them, out.

use std::collections::BTreeSet;

use super::ground_words::{between, degrees, misread, state, taken, unread, unsure, volts};
use super::standing::Standing;
use crate::graph::ground_limit::{Held, offset_held, shift_held};
use crate::graph::ground_network::{GroundedProbe, Offset, ProbeShift, Range, Sender, Shift, Unread};
use crate::graph::ground_volts::beyond;
use crate::graph::{Loading, Scenario, Unsure};
use crate::harness::{DeviceClass, DeviceId, Harness};
use crate::parts::words::PortKind;
use crate::quantity::{Reading, ReadingUnit, Units, Voltage};
use crate::trade::thermocouple_limits::limit_of_error;

/// A sender, or a probe whose junction touches its case, and all that is known of its offset.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetGroup {
    /// The sender.
    pub sender: String,
    /// What it is.
    pub title: String,
    /// Pin or gauge that reads it.
    pub read_at: String,
    /// Senders in series behind it, whose readings are shifted with its own.
    pub with: Vec<String>,
    /// How far it may be off; empty where that is not known.
    pub tolerance: String,
    /// The worst of its states, in words; empty where none is known.
    pub worst: String,
    /// State by state, whole grounds first. One row without a state where nothing can be told.
    pub rows: Vec<OffsetRow>,
}

/// One state of the grounds.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetRow {
    /// The state; empty where nothing can be told in any.
    pub state: String,
    /// How far the zero of the sender lies above that of its indicator; None where it is not known.
    pub volts: Option<Range<Voltage>>,
    /// Where there can be no such voltage, what it is more than; else empty.
    pub beyond: String,
    /// What it does to the reading, in words; empty where that is not known.
    pub reading: String,
    /// Shown less true at both ends, and the true reading at which it is so; None where it is not known, or off the scale.
    pub error: Option<Range<Error>>,
    /// How it stands to the tolerance.
    pub standing: Standing,
    /// True for the worst of the sender's states.
    pub worst: bool,
    /// How what leaves it open was taken; None where nothing does.
    pub taken: Option<&'static str>,
}

/// How far a reading is wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Error {
    /// Shown less true.
    pub error: Reading,
    /// The true reading at which it is so.
    pub at: Reading,
}

/// Offsets of a harness.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Offsets {
    /// Senders, then grounded probes, in the order of the spec.
    pub groups: Vec<OffsetGroup>,
    /// Wired sensors that no offset of grounds reaches.
    pub untouched: Vec<String>,
    /// Wired senders that no indicator reads: of them nothing can be told.
    pub unread: Vec<String>,
}

/// All offsets.
pub fn offset_table(h: &Harness, loading: &Loading) -> Offsets {
    let ground = &loading.ground;
    let mut groups: Vec<OffsetGroup> = ground.senders.iter().map(|sender| of_sender(h, sender)).collect();
    let shifted = |probe: &&GroundedProbe| !matches!(probe.shift, Shift::None);
    groups.extend(ground.probes.iter().filter(shifted).map(|probe| of_probe(h, probe)));
    for row in groups.iter_mut().flat_map(|group| &mut group.rows) {
        row.taken = row.volts.as_ref().and_then(|range| range.open).map(|open| taken(ground, open));
    }
    let told: BTreeSet<DeviceId> = ground
        .senders
        .iter()
        .flat_map(|sender| std::iter::once(sender.device).chain(behind(sender).iter().copied()))
        .chain(ground.probes.iter().filter(shifted).map(|probe| probe.sensor))
        .collect();
    let wired: BTreeSet<DeviceId> =
        h.conductors.iter().flat_map(|c| [c.from, c.to]).map(|pin| h.pin(pin).device).collect();
    let mut offsets = Offsets { groups, ..Offsets::default() };
    for id in wired.difference(&told).copied() {
        let device = h.device(id);
        if !matches!(device.class, DeviceClass::Sensor) {
            continue;
        }
        match device.ports.iter().any(|port| is_against_ground(port.kind)) || device.ports.is_empty() {
            true => offsets.unread.push(device.name.clone()),
            false => offsets.untouched.push(device.name.clone()),
        }
    }
    offsets
}

/// Senders in series behind one.
fn behind(sender: &Sender) -> &[DeviceId] {
    sender.zeros.as_ref().map_or(&[], |zeros| zeros.behind.as_slice())
}

/// True for what is read against a ground.
fn is_against_ground(kind: PortKind) -> bool {
    matches!(kind, PortKind::Resistance | PortKind::ExcitedVoltage)
}

fn nothing_told(why: String) -> OffsetRow {
    OffsetRow {
        state: String::new(),
        volts: None,
        beyond: String::new(),
        reading: String::new(),
        error: None,
        standing: Standing::NotJudged(why),
        worst: false,
        taken: None,
    }
}

fn of_sender(h: &Harness, sender: &Sender) -> OffsetGroup {
    let device = h.device(sender.device);
    let port = device.ports.get(sender.port as usize);
    let tolerance = port.filter(|port| !port.scale.is_empty()).and_then(|port| port.tolerance);
    let lost = sender.hangs_on().next();
    let worst = sender.worst().filter(|_| lost.is_none());
    let mut rows: Vec<OffsetRow> = Vec::new();
    for (scenario, offset) in &sender.offsets {
        let known = offset.as_ref().ok();
        let opened = matches!(scenario, Scenario::Open(..));
        let apart = opened && matches!(offset, Err(Unsure::Apart));
        let held = known.zip(tolerance).map(|(range, t)| offset_held(range, t, sender.at_least));
        let standing = match (offset, held) {
            (Err(_), _) if apart => Standing::Beyond,
            (Err(why), _) => Standing::NotJudged(unsure(h, *why)),
            (Ok(_), None) => Standing::NotJudged("its part gives no scale with a tolerance".to_owned()),
            (Ok(_), Some(None)) => Standing::NotJudged(
                "how its indicator reads a resistance is not given, or its wire is not known".to_owned(),
            ),
            (Ok(_), Some(Some(Held::Over))) if opened => Standing::Beyond,
            (Ok(_), Some(Some(held))) => Standing::of(h, held),
        };
        rows.push(OffsetRow {
            state: state(h, *scenario),
            volts: known.map(|range| range.map(|o| o.volts)),
            beyond: known.and_then(|range| beyond_words(h, &range.map(|o| o.volts))).unwrap_or_default(),
            reading: match apart {
                true => "no zero to read against".to_owned(),
                false => known.map_or_else(String::new, reading),
            },
            error: known.and_then(error),
            standing,
            worst: match (lost, scenario) {
                (Some(bond), Scenario::Open(open, _)) => bond == *open && apart,
                _ => worst.is_some_and(|(at, _)| at == *scenario),
            },
            taken: None,
        });
    }
    match sender.zeros {
        Ok(_) => {}
        Err(Unread::NoReturn) => {
            rows = vec![nothing_told(
                "its return is not wired, and the body it is grounded on is not given".to_owned(),
            )]
        }
        Err(Unread::NoGround) => {
            let reader = &h.device(h.pin(sender.reader).device).name;
            rows = vec![nothing_told(format!("{reader} has no ground to measure against"))];
        }
    }
    OffsetGroup {
        sender: device.name.clone(),
        title: device.title.clone(),
        read_at: h.pin(sender.reader).name.clone(),
        with: behind(sender).iter().map(|id| h.device(*id).name.clone()).collect(),
        tolerance: tolerance.map_or_else(String::new, Reading::show),
        worst: worst_of(h, &rows),
        rows,
    }
}

/// The worst state, in words.
fn worst_of(h: &Harness, rows: &[OffsetRow]) -> String {
    let Some(row) = rows.iter().find(|row| row.worst) else { return String::new() };
    let volts = || row.volts.as_ref().map(|range| between(range, |v| volts(h, *v))).unwrap_or_default();
    let what = if row.reading.is_empty() { volts() } else { row.reading.clone() };
    format!("{what}, {}", row.state)
}

/// What is said instead of a voltage that cannot be.
fn beyond_words(h: &Harness, range: &Range<Voltage>) -> Option<String> {
    range.ends().into_iter().any(|end| beyond(h, *end).is_some()).then(|| between(range, |v| volts(h, *v)))
}

/// What an offset does to the reading, or between what.
fn reading(range: &Range<Offset>) -> String {
    match range.ends().into_iter().all(|end| end.misread.is_some()) {
        true => between(range, |end| misread(end).unwrap_or_default()),
        false => String::new(),
    }
}

fn error(range: &Range<Offset>) -> Option<Range<Error>> {
    let of = |end: &Offset| {
        let m = end.misread.filter(|m| !m.off_scale)?;
        Some(Error { error: m.error, at: m.at })
    };
    Some(Range { low: of(&range.low)?, high: of(&range.high)?, open: range.open })
}

fn of_probe(h: &Harness, probe: &GroundedProbe) -> OffsetGroup {
    let units = h.header.units;
    let device = h.device(probe.sensor);
    let limit = limit_of_error(probe.kind, probe.at);
    let mut rows = Vec::new();
    if let Shift::Added { by, at_least, .. } = &probe.shift {
        let size = |range: &Result<Range<ProbeShift>, Unsure>| {
            range.as_ref().ok().map(|r| r.low.volts.abs().max(r.high.volts.abs()))
        };
        // Of equals the first.
        let most = by.iter().filter_map(|(phase, range)| Some((*phase, size(range)?)));
        let most =
            most.collect::<Vec<_>>().into_iter().rev().max_by_key(|(_, size)| *size).map(|(phase, _)| phase);
        for (phase, range) in by {
            let known = range.as_ref().ok();
            let standing = match (range, limit) {
                (Err(why), _) => Standing::NotJudged(unsure(h, *why)),
                (Ok(_), None) => {
                    Standing::NotJudged("how far off new wire may be is in no table here".to_owned())
                }
                (Ok(range), Some(limit)) => Standing::of(h, shift_held(range, limit, *at_least)),
            };
            let at = probe.at.show(units);
            let words = |shift: &ProbeShift| degrees(h, shift);
            let of = |shift: &ProbeShift| {
                let (error, unit) = match units {
                    Units::Metric => (shift.error?.celsius(), ReadingUnit::Celsius),
                    Units::Inch => (shift.error?.fahrenheit(), ReadingUnit::Fahrenheit),
                };
                let true_one = match units {
                    Units::Metric => probe.at.celsius(),
                    Units::Inch => probe.at.fahrenheit(),
                };
                Some(Error { error: Reading::try_new(error, unit)?, at: Reading::try_new(true_one, unit)? })
            };
            rows.push(OffsetRow {
                state: phase.words().to_owned(),
                volts: known.map(|range| range.map(|s| s.volts)),
                beyond: known.and_then(|range| beyond_words(h, &range.map(|s| s.volts))).unwrap_or_default(),
                reading: known.map_or_else(String::new, |range| format!("{} at {at}", between(range, words))),
                error: known.and_then(|r| Some(Range { low: of(&r.low)?, high: of(&r.high)?, open: r.open })),
                standing,
                worst: most == Some(*phase),
                taken: None,
            });
        }
    }
    rows.extend(unread(h, probe).map(nothing_told));
    OffsetGroup {
        sender: device.name.clone(),
        title: format!("{}, junction on its case", device.title),
        read_at: h.device(probe.gauge).name.clone(),
        with: Vec::new(),
        tolerance: limit.map_or_else(String::new, |limit| limit.show(units)),
        worst: worst_of(h, &rows),
        rows,
    }
}
