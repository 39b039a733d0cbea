//! A leg broken at in-line connectors: which half and which cavity each end of it gets, and what each piece passes.

use std::collections::{BTreeMap, BTreeSet};

use super::conductors::{Maker, Read};
use super::legs::Leg;
use super::{DeviceClass, DeviceId, Located, PinId, PinSite, PlaceId};
use crate::diag::Span;
use crate::parts::model::WirePart;
use crate::spec::words::Cavities;
use crate::trade::thermocouple_colour::Alloy;

/// A leg between two in-line connectors, or between one and an end.
#[derive(Clone)]
pub(super) struct Piece {
    pub from: PinId,
    pub to: PinId,
    /// Holes and places that this piece must pass.
    pub through: Vec<PlaceId>,
}

/// An in-line connector on the way of a circuit.
struct Break {
    first_pin: u32,
    /// Pins of one half.
    half: u32,
    place: Option<PlaceId>,
    plug_faces: PlaceId,
    /// The number within a half of each leg's cavity.
    numbers: Vec<u32>,
}

impl Maker<'_, '_> {
    /// Cavities of in-line connectors that circuits name, so that `auto` keeps off them.
    pub(super) fn reserved(&self, read: &[Read]) -> BTreeMap<DeviceId, BTreeSet<String>> {
        let mut taken: BTreeMap<DeviceId, BTreeSet<String>> = BTreeMap::new();
        for circuit in read {
            for (connector, cavities) in &circuit.spec.via {
                if let (Some(id), Cavities::Named(marks)) = (self.devices.names.get(connector), cavities) {
                    taken.entry(id).or_default().extend(marks.iter().map(|m| m.0.clone()));
                }
            }
        }
        taken
    }

    /// For each segment between in-line connectors, the piece of every leg.
    pub(super) fn segments(
        &mut self,
        read: &Read,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
        cores: &[Option<u32>],
        part: &WirePart,
        through: &[Located<PlaceId>],
    ) -> Vec<Vec<Piece>> {
        let legs = &read.legs.legs;
        let mut breaks = Vec::with_capacity(read.spec.via.len());
        for (i, (connector, cavities)) in read.spec.via.iter().enumerate() {
            let (key, span) = self.origin.pair(read.spot, "via", i);
            let Some(id) = self.devices.names.find(connector, key, self.lost, self.sink) else { continue };
            let Some(device) = self.devices.devices.get(id.index()) else { continue };
            let DeviceClass::InLine { plug_faces, .. } = device.class else {
                let message = format!("`{connector}` is not an in-line connector");
                self.sink.unreadable(key, message, "name one that stands under `connectors:`");
                continue;
            };
            let (first_pin, half, place) = (device.first_pin.0, device.pin_count / 2, device.place);
            let numbers = self.cavity_numbers(id, cavities, span, legs, cores, part, taken);
            if numbers.len() == legs.len() {
                breaks.push(Break { first_pin, half, place, plug_faces, numbers });
            }
        }
        let through: Vec<PlaceId> = through.iter().map(|p| p.value).collect();
        let mut segments = vec![Vec::with_capacity(legs.len()); breaks.len() + 1];
        for (l, leg) in legs.iter().enumerate() {
            let mut stops = vec![self.place_of(leg.from)];
            stops.extend(breaks.iter().map(|b| b.place));
            stops.push(self.place_of(leg.to));
            let shares = self.sides.share(&stops, &through);
            let mut at = leg.from;
            for (i, connector) in breaks.iter().enumerate() {
                let Some(number) = connector.numbers.get(l) else { continue };
                let share = |i: usize| shares.get(i).map(Vec::as_slice).unwrap_or_default();
                // What the wires run to on both sides: the nearest place they must pass, else where they end.
                let before = share(i).last().copied().or_else(|| stops.get(i).copied().flatten());
                let after = share(i + 1).first().copied().or_else(|| stops.get(i + 2).copied().flatten());
                let near_plug = self.near_is_plug(before, after, connector);
                let half = connector.half;
                let (near, far) = if near_plug { (0, half) } else { (half, 0) };
                let to = PinId(connector.first_pin + number + near);
                if let Some(segment) = segments.get_mut(i) {
                    segment.push(Piece { from: at, to, through: share(i).to_vec() });
                }
                at = PinId(connector.first_pin + number + far);
            }
            if let Some(segment) = segments.last_mut() {
                let through = shares.last().cloned().unwrap_or_default();
                segment.push(Piece { from: at, to: leg.to, through });
            }
        }
        segments
    }

    fn near_is_plug(&mut self, before: Option<PlaceId>, after: Option<PlaceId>, connector: &Break) -> bool {
        let Some(at) = connector.place else { return true };
        let faces = connector.plug_faces;
        let mut side = |place: Option<PlaceId>| place.and_then(|p| self.sides.faces(at, faces, p));
        match side(before) {
            Some(plug) => plug,
            // The near end lies at the connector itself: it is opposite the far end.
            None => side(after).is_none_or(|far_plug| !far_plug),
        }
    }

    /// The number within a half of each leg's cavity.
    #[allow(clippy::too_many_arguments)]
    fn cavity_numbers(
        &mut self,
        id: DeviceId,
        cavities: &Cavities,
        span: Span,
        legs: &[Leg],
        cores: &[Option<u32>],
        part: &WirePart,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
    ) -> Vec<u32> {
        let Some(device) = self.devices.devices.get(id.index()) else { return Vec::new() };
        let pins = self
            .devices
            .pins
            .get(device.first_pin.index()..device.first_pin.index() + device.pin_count as usize / 2)
            .unwrap_or(&[]);
        let marks: Vec<(&str, Alloy)> = pins
            .iter()
            .map(|p| match &p.site {
                PinSite::Cavity { cavity, .. } => (cavity.as_str(), p.alloy),
                _ => ("", p.alloy),
            })
            .collect();
        let number =
            |mark: &str| marks.iter().position(|(m, _)| *m == mark).and_then(|n| u32::try_from(n).ok());
        match cavities {
            Cavities::Named(names) => {
                if names.len() != legs.len() {
                    self.sink.unreadable(
                        span,
                        format!("{} cavities of `{}` for {} legs", names.len(), device.name, legs.len()),
                        "write one for each leg, in order, or `auto`",
                    );
                    return Vec::new();
                }
                let mut numbers = Vec::with_capacity(names.len());
                for mark in names {
                    match number(&mark.0) {
                        Some(n) => numbers.push(n),
                        None => {
                            let known: Vec<&str> = marks.iter().map(|(m, _)| *m).collect();
                            self.sink.unreadable(
                                span,
                                format!("`{}` has no cavity `{mark}`", device.name),
                                format!("its cavities are {}", known.join(", ")),
                            );
                        }
                    }
                }
                numbers
            }
            Cavities::Auto => {
                let used = taken.entry(id).or_default();
                let mut numbers = Vec::with_capacity(legs.len());
                for core in cores {
                    let alloy = core
                        .and_then(|c| part.cores.get(c as usize))
                        .and_then(|c| c.alloy)
                        .unwrap_or(Alloy::Copper);
                    // A cavity of the same material, else the next free one: the rule on alloys then finds it.
                    let free = |wanted: Option<Alloy>| {
                        marks.iter().find(|(m, a)| !used.contains(*m) && wanted.is_none_or(|w| w == *a))
                    };
                    let Some((mark, _)) = free(Some(alloy)).or_else(|| free(None)) else {
                        self.sink.unreadable(
                            span,
                            format!("`{}` has no free cavity left", device.name),
                            "use a larger connector, or lead the circuit through another one",
                        );
                        return Vec::new();
                    };
                    let mark = (*mark).to_owned();
                    numbers.extend(number(&mark));
                    used.insert(mark);
                }
                numbers
            }
        }
    }
}
