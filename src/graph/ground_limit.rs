//! Offsets, shifts and drops in, with what is allowed of each; whether they keep to it, out: rules find by this, and the
//! papers print it.

use std::collections::{BTreeMap, BTreeSet};

use super::electrical::{Electrical, Through};
use super::feed::Feed;
use super::ground_network::{Drop, Lost, Offset, ProbeShift, Range};
use super::load::Load;
use super::switched::Behind;
use crate::harness::{ConductorId, DeviceId, Harness, PinId};
use crate::quantity::{Reading, TemperatureDifference, Voltage};

/// Whether something keeps to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// It does, whatever is not known.
    Within,
    /// It does not, whatever is not known.
    Over,
    /// It does or does not, as this unknown resistance is.
    Open(Through),
    /// It does as far as it is known, and a load of unknown current comes to it.
    AtLeast,
    /// It does as far as it is known, and this wire is warmer by its own current, nobody knows how much.
    Unwarmed(ConductorId),
}

impl Held {
    fn of(over: bool, may_be_over: bool, open: Option<Through>, at_least: bool) -> Held {
        match (over, open) {
            (true, _) => Held::Over,
            (false, Some(through)) if may_be_over => Held::Open(through),
            _ if at_least => Held::AtLeast,
            _ => Held::Within,
        }
    }
}

/// An offset against the tolerance of its sender; None where what it does to the reading is not known. The error at each
/// point of a scale rises or falls with the shift throughout, so what is too high at both ends, or too low at both, is so
/// between them; where it is too high at one and too low at the other, somewhere between it is right.
pub fn offset_held(range: &Range<Offset>, tolerance: Reading, at_least: bool) -> Option<Held> {
    let over = |end: &Offset| end.misread.is_some_and(|m| m.error.abs().value() > tolerance.value());
    let low = |end: &Offset| end.misread.map(|m| m.error.value() < 0.0);
    let [a, b] = range.ends();
    let surely = over(a) && over(b) && low(a) == low(b);
    let held = Held::of(surely, over(a) || over(b), range.open, at_least);
    (held == Held::Over || a.misread.is_some()).then_some(held)
}

/// What is added to the emf of a grounded thermocouple against the limits of error of its wire. What is shown rises with
/// the emf throughout, so what is too high at both ends is so between them.
pub fn shift_held(range: &Range<ProbeShift>, limit: TemperatureDifference, at_least: bool) -> Held {
    let over = |end: &ProbeShift| end.error.is_none_or(|error| error.celsius().abs() > limit.celsius());
    let below = |end: &ProbeShift| end.volts < Voltage::ZERO;
    let [a, b] = range.ends();
    let surely = over(a) && over(b) && below(a) == below(b);
    Held::of(surely, over(a) || over(b), range.open, at_least)
}

/// A drop against what bus and duty allow.
pub fn drop_held(range: &Range<Lost>, allowed: Voltage, drop: &Drop) -> Held {
    let [low, high] = range.ends().map(|end| end.total() > allowed);
    match (Held::of(low, high, range.open, drop.at_least), drop.unwarmed) {
        (Held::Within, Some(wire)) => Held::Unwarmed(wire),
        (held, _) => held,
    }
}

/// The switches of all feeds.
pub fn switches(feeds: &[Feed]) -> BTreeSet<DeviceId> {
    feeds.iter().flat_map(|feed| feed.behind.through.iter().copied()).collect()
}

/// True for a contact of one of these switches: what it passes on is looked at where it goes.
pub fn is_contact(h: &Harness, switches: &BTreeSet<DeviceId>, pin: PinId) -> bool {
    h.pin(pin).port.is_none() && switches.contains(&h.pin(pin).device)
}

/// A load of which no drop can be told, since it is fed over something that the spec says no resistance of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undropped {
    /// Where it takes its current.
    pub pin: PinId,
    /// Switches on the way to it, in order; or the one device from which of whose feeds it takes is not known.
    pub over: Vec<DeviceId>,
    /// False where it is not even known from which feed it takes.
    pub sure: bool,
}

/// All such loads that end on a wire, in the order of `loads`; contacts of switches left out.
pub fn undropped(
    h: &Harness,
    electrical: &Electrical,
    feeds: &[Feed],
    loads: &[Load],
    drops: &[Drop],
) -> Vec<Undropped> {
    let switches = switches(feeds);
    let mut through: BTreeMap<PinId, &Behind> = BTreeMap::new();
    let mut doubtful: BTreeMap<PinId, DeviceId> = BTreeMap::new();
    for behind in feeds.iter().map(|feed| &feed.behind) {
        for pin in behind.after.keys() {
            through.entry(*pin).or_insert(behind);
        }
        for (pin, device) in &behind.doubtful {
            doubtful.entry(*pin).or_insert(*device);
        }
    }
    let told: BTreeSet<PinId> = drops.iter().map(|drop| drop.pin).collect();
    let pins = loads.iter().filter_map(Load::pin);
    let pins =
        pins.filter(|pin| !is_contact(h, &switches, *pin) && !electrical.conductors_at(*pin).is_empty());
    let of = |pin: PinId| {
        if let Some(behind) = through.get(&pin) {
            return Some(Undropped { pin, over: behind.switches_to(pin), sure: true });
        }
        let device = doubtful.get(&pin).filter(|device| **device != h.pin(pin).device)?;
        (!told.contains(&pin)).then(|| Undropped { pin, over: vec![*device], sure: false })
    };
    pins.filter_map(of).collect()
}
