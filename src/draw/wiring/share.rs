//! Conductors in; what one sheet draws of the harness out: each of them, and every device at which one ends.

use std::collections::{BTreeMap, BTreeSet};

use super::columns;
use super::onward::{self, Onward};
use super::sheet::WiringSheet;
use super::way::{self, Way, Ways};
use crate::draw::geometry::{Mm, mm};
use crate::graph::Routing;
use crate::harness::{ConductorId, DeviceId, Harness, PinId, ZoneId};
use crate::parts::library::Library;

/// What one sheet draws.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Share {
    /// Conductors, in the order of their ids.
    pub conductors: Vec<ConductorId>,
    /// Devices, in the order of their ids.
    pub devices: Vec<DeviceId>,
    /// The zone that stands first wherever it is drawn.
    pub root: Option<ZoneId>,
}

impl Share {
    /// These conductors with their devices, and `loose` devices at which nothing ends.
    pub fn of(
        ways: &Ways,
        conductors: impl IntoIterator<Item = ConductorId>,
        loose: &[DeviceId],
        root: Option<ZoneId>,
    ) -> Share {
        let mut share = Share { conductors: conductors.into_iter().collect(), root, ..Share::default() };
        share.conductors.sort_unstable();
        let mut devices: BTreeSet<DeviceId> = loose.iter().copied().collect();
        devices.extend(share.ways(ways).flat_map(|(_, way)| [way.from.device, way.to.device]));
        share.devices = devices.into_iter().collect();
        share
    }

    /// The ways of its conductors.
    pub fn ways<'w>(&self, ways: &'w Ways) -> impl Iterator<Item = (ConductorId, &'w Way)> + use<'w, '_> {
        self.conductors.iter().filter_map(move |id| Some((*id, ways.ways.get(id.index())?)))
    }
}

/// Widest lines of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Limits {
    /// Beside the pins of a device.
    pub plate: Mm,
    /// In the head of an indicator.
    pub head: Mm,
    /// Over a splice.
    pub splice: Mm,
}

impl Limits {
    /// From where there is room to where words are wrapped so that a sheet stays one size smaller.
    pub const ALL: [Limits; 3] = [
        Limits { plate: mm(48.0), head: mm(72.0), splice: mm(44.0) },
        Limits { plate: mm(40.0), head: mm(50.0), splice: mm(36.0) },
        Limits { plate: mm(29.0), head: mm(42.0), splice: mm(36.0) },
    ];
}

/// The whole design.
pub(super) struct Design<'a> {
    pub h: &'a Harness,
    pub library: &'a Library,
    pub routing: &'a Routing,
    pub with: &'a WiringSheet,
    pub ways: Ways,
    /// For each pin of the harness, whether a conductor ends at it.
    pub used: Vec<bool>,
    /// For each device of the harness, how many conductors end at it.
    pub ends: Vec<usize>,
    /// Conductors at each pin that has several of them, where sheets may share it.
    pub shared_pins: BTreeMap<PinId, Vec<ConductorId>>,
    /// The zone that stands first.
    pub root: Option<ZoneId>,
}

impl<'a> Design<'a> {
    /// Works out what all sheets need.
    pub fn of(
        h: &'a Harness,
        library: &'a Library,
        routing: &'a Routing,
        with: &'a WiringSheet,
    ) -> Design<'a> {
        let ways = way::ways(h, routing);
        let mut used = vec![false; h.pins.len()];
        for c in &h.conductors {
            used[c.from.index()] = true;
            used[c.to.index()] = true;
        }
        let mut ends = vec![0; h.devices.len()];
        for way in &ways.ways {
            ends[way.from.device.index()] += 1;
            ends[way.to.device.index()] += 1;
        }
        let shared_pins = BTreeMap::new();
        let mut design = Design { h, library, routing, with, ways, used, ends, shared_pins, root: None };
        design.shared_pins = onward::ends(&design);
        let all: Vec<DeviceId> = (0..h.devices.len()).map(DeviceId::at).collect();
        let whole = Share::of(&design.ways, h.conductor_ids(), &all, None);
        design.root = columns::first_zone(h, &design.ways, &whole);
        design
    }

    /// A sheet of it.
    pub fn site<'s>(
        &'s self,
        share: &'s Share,
        limits: Limits,
        flags: &'s BTreeMap<DeviceId, usize>,
        flag: Mm,
        onward: &'s [Onward],
    ) -> Site<'s> {
        Site {
            h: self.h,
            library: self.library,
            routing: self.routing,
            ways: &self.ways,
            used: &self.used,
            share,
            limits,
            flags,
            flag,
            onward,
        }
    }
}

/// The whole design, and the part of it that a sheet draws.
pub(super) struct Site<'a> {
    pub h: &'a Harness,
    pub library: &'a Library,
    pub routing: &'a Routing,
    pub ways: &'a Ways,
    /// For each pin of the harness, whether a conductor ends at it, on whatever sheet.
    pub used: &'a [bool],
    pub share: &'a Share,
    pub limits: Limits,
    /// For each device of the sheet that other sheets draw too: how many flags point to them.
    pub flags: &'a BTreeMap<DeviceId, usize>,
    /// Width of a flag.
    pub flag: Mm,
    /// What other sheets draw at the pins of this one.
    pub onward: &'a [Onward],
}
