//! The whole design in; its atoms, in the order of the indicators' pins, out: conductors that are drawn on one sheet.
//!
//! Cores of one cable with its drain leads and conductors laid together are never parted. What is joined further (both
//! sides of a mated contact, a circuit, everything at one sensor, splice, connector, stud, supply or ground) stays
//! together where that is not too much for a sheet. Cost: O(n log n). Ties go to what the spec names first.

use std::collections::{BTreeMap, BTreeSet};

use super::share::Design;
use super::way::half_of;
use crate::harness::{CableId, ConductorId, DeviceClass, DeviceId, Harness, LayId, PinId, PinSite};
use crate::parts::words::Style;

/// Most conductors that are kept together because they make one circuit or end at one sensor or splice.
const CLOSE: usize = 22;
/// Most that are kept together because they share a connector or a stud.
const SHARED: usize = 16;

/// Where a design is parted best: between indicators, between their connectors, between systems.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Seam {
    /// The indicator; None for what leads to none.
    pub head: Option<DeviceId>,
    /// Its connector.
    pub connector: Option<u32>,
    /// True for what does not leave the indicator's zone.
    pub within: bool,
    /// The system of the circuit that comes to its first pin.
    pub system: String,
}

/// What is drawn on one sheet.
#[derive(Clone, Debug)]
pub(super) struct Atom {
    /// Conductors.
    pub conductors: Vec<ConductorId>,
    /// Devices at which nothing ends.
    pub loose: Vec<DeviceId>,
    /// Where it belongs.
    pub seam: Seam,
}

/// Numbered items in groups.
struct Groups {
    parent: Vec<usize>,
    size: Vec<usize>,
}

impl Groups {
    fn find(&mut self, item: usize) -> usize {
        let mut root = item;
        while self.parent[root] != root {
            root = self.parent[root];
        }
        let mut at = item;
        while self.parent[at] != root {
            at = std::mem::replace(&mut self.parent[at], root);
        }
        root
    }

    /// Makes one group of those that hold these items, unless it would be larger than `most`.
    fn join(&mut self, items: impl IntoIterator<Item = usize>, most: usize) {
        let roots: BTreeSet<usize> = items.into_iter().map(|item| self.find(item)).collect();
        let total: usize = roots.iter().map(|r| self.size[*r]).sum();
        let Some(first) = roots.first().copied().filter(|_| total <= most) else { return };
        for root in roots {
            self.parent[root] = first;
        }
        self.size[first] = total;
    }
}

/// True for an indicator, at which a design is parted and never held together.
fn heads(design: &Design) -> BTreeSet<DeviceId> {
    let h = design.h;
    let shows = |d: &DeviceId| {
        matches!(h.device(*d).style, Some(Style::Indicator | Style::Converter)) && design.ends[d.index()] > 0
    };
    let all = || (0..h.devices.len()).map(DeviceId::at);
    let found: BTreeSet<DeviceId> = all().filter(shows).collect();
    if !found.is_empty() {
        return found;
    }
    let through =
        |d: &DeviceId| matches!(h.device(*d).class, DeviceClass::InLine { .. } | DeviceClass::Splice { .. });
    all().rev().filter(|d| !through(d)).max_by_key(|d| design.ends[d.index()]).into_iter().collect()
}

/// All atoms.
pub(super) fn atoms(design: &Design) -> Vec<Atom> {
    let heads = heads(design);
    let mut groups = join(design, &heads);
    let mut members: BTreeMap<usize, Vec<ConductorId>> = BTreeMap::new();
    for id in design.h.conductor_ids() {
        members.entry(groups.find(id.index())).or_default().push(id);
    }
    let members: Vec<Vec<ConductorId>> = members.into_values().collect();
    let places = places(design, &heads, &members);
    // All atoms of a system stand where its first pin does.
    let mut first: BTreeMap<&Seam, PinId> = BTreeMap::new();
    for (seam, pin) in &places {
        let at = first.entry(seam).or_insert(*pin);
        *at = (*at).min(*pin);
    }
    let key = |(seam, pin): &(Seam, PinId)| {
        (
            seam.head.is_none(),
            seam.head,
            seam.within,
            seam.connector,
            first.get(seam).copied(),
            seam.system.clone(),
            *pin,
        )
    };
    let mut order: Vec<usize> = (0..members.len()).collect();
    order.sort_by_cached_key(|i| (key(&places[*i]), *i));
    let atom =
        |i: usize| Atom { conductors: members[i].clone(), loose: Vec::new(), seam: places[i].0.clone() };
    let mut atoms: Vec<Atom> = order.into_iter().map(atom).collect();
    for (i, _) in design.ends.iter().enumerate().filter(|(_, ends)| **ends == 0) {
        let seam = Seam { head: None, connector: None, within: true, system: "not connected".to_owned() };
        atoms.push(Atom { conductors: Vec::new(), loose: vec![DeviceId::at(i)], seam });
    }
    atoms
}

/// The atoms of one that is too large for a sheet: parted at its in-line connectors.
pub(super) fn apart(design: &Design, atom: &Atom) -> Vec<Atom> {
    let mut groups: BTreeMap<usize, Vec<ConductorId>> = BTreeMap::new();
    let mut number: BTreeMap<ConductorId, usize> = BTreeMap::new();
    // Each conductor has the group of the one it is joined to, or one of its own.
    let mut keys: BTreeMap<Key, Vec<ConductorId>> = BTreeMap::new();
    for id in &atom.conductors {
        number.insert(*id, number.len());
        for key in keys_of(design, *id) {
            keys.entry(key).or_default().push(*id);
        }
    }
    let count = atom.conductors.len();
    let mut joined = Groups { parent: (0..count).collect(), size: vec![1; count] };
    for conductors in keys.into_values() {
        joined.join(conductors.iter().filter_map(|c| number.get(c).copied()), usize::MAX);
    }
    for (i, id) in atom.conductors.iter().enumerate() {
        groups.entry(joined.find(i)).or_default().push(*id);
    }
    let part = |conductors| Atom { conductors, loose: Vec::new(), seam: atom.seam.clone() };
    groups.into_values().map(part).collect()
}

/// What a conductor shares with those that it is drawn with, even where a design is parted at in-line connectors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Cable(CableId),
    Lay(LayId),
    Device(DeviceId),
    Half(DeviceId, usize),
}

fn keys_of(design: &Design, id: ConductorId) -> Vec<Key> {
    let h = design.h;
    let c = h.conductor(id);
    let mut keys = vec![Key::Lay(c.lay)];
    keys.extend(c.cable.map(Key::Cable));
    let Some(way) = design.ways.ways.get(id.index()) else { return keys };
    for foot in [way.from, way.to] {
        keys.extend(foot.screen.map(Key::Cable));
        match h.device(foot.device).class {
            DeviceClass::InLine { .. } => keys.push(Key::Half(foot.device, half_of(h, foot.beside))),
            DeviceClass::Splice { .. } | DeviceClass::Sensor => keys.push(Key::Device(foot.device)),
            _ => {}
        }
    }
    keys
}

/// In which order devices hold their conductors together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Stage {
    Close,
    Equipment,
    Shared,
    Ends,
}

fn stage_of(class: &DeviceClass) -> Stage {
    match class {
        DeviceClass::Splice { .. } | DeviceClass::Sensor => Stage::Close,
        DeviceClass::Equipment => Stage::Equipment,
        DeviceClass::InLine { .. } | DeviceClass::Stud { .. } => Stage::Shared,
        DeviceClass::Supply { .. } | DeviceClass::Ground { .. } => Stage::Ends,
    }
}

/// Joins what belongs together, the closest first.
fn join(design: &Design, heads: &BTreeSet<DeviceId>) -> Groups {
    let h = design.h;
    let count = h.conductors.len();
    let mut groups = Groups { parent: (0..count).collect(), size: vec![1; count] };
    for cable in &h.cables {
        let ties = cable.ties.iter().flatten();
        groups.join(cable.cores.iter().flatten().chain(ties).map(|c| c.index()), usize::MAX);
    }
    for lay in &h.lays {
        groups.join(lay.conductors.iter().map(|c| c.index()), usize::MAX);
    }
    let mut at_pin: BTreeMap<PinId, Vec<ConductorId>> = BTreeMap::new();
    let mut at_device: Vec<Vec<ConductorId>> = vec![Vec::new(); h.devices.len()];
    for id in h.conductor_ids() {
        let Some(way) = design.ways.ways.get(id.index()) else { continue };
        for foot in [way.from, way.to] {
            at_device[foot.device.index()].push(id);
            at_pin.entry(foot.pin).or_default().push(id);
            if let (PinSite::Screen(cable), Some(_)) = (&h.pin(foot.pin).site, foot.screen) {
                // A drain lead starts at the oval around the cores.
                let cores = h.cable(*cable).cores.iter().flatten();
                groups.join(cores.chain([&id]).map(|c| c.index()), usize::MAX);
            }
        }
    }
    for (pin, conductors) in &at_pin {
        let Some(mate) = h.mate(*pin).filter(|mate| mate > pin) else { continue };
        let others = at_pin.get(&mate).map(Vec::as_slice).unwrap_or_default();
        groups.join(conductors.iter().chain(others).map(|c| c.index()), CLOSE);
    }
    for circuit in &h.circuits {
        let first = circuit.first_conductor.index();
        let own = first..first + circuit.conductor_count as usize;
        groups.join(own, CLOSE);
    }
    for stage in [Stage::Close, Stage::Equipment, Stage::Shared, Stage::Ends] {
        let most = if stage < Stage::Shared { CLOSE } else { SHARED };
        for (i, conductors) in at_device.iter().enumerate() {
            let id = DeviceId::at(i);
            if stage_of(&h.device(id).class) == stage && !heads.contains(&id) {
                groups.join(conductors.iter().map(|c| c.index()), most);
            }
        }
    }
    groups
}

/// Where each group belongs: by its first pin at an indicator. A group that comes to none belongs with the one whose
/// device it shares.
fn places(design: &Design, heads: &BTreeSet<DeviceId>, members: &[Vec<ConductorId>]) -> Vec<(Seam, PinId)> {
    let h = design.h;
    let ways = |i: usize| members[i].iter().filter_map(|c| Some((*c, design.ways.ways.get(c.index())?)));
    let mut found: Vec<Option<(Seam, PinId)>> = Vec::with_capacity(members.len());
    let mut by_device: BTreeMap<DeviceId, Vec<usize>> = BTreeMap::new();
    for i in 0..members.len() {
        let feet = ways(i).flat_map(|(id, way)| [(way.from, id), (way.to, id)]);
        let at_head = feet.filter(|(foot, _)| heads.contains(&foot.device) && foot.screen.is_none());
        let first = at_head.min_by_key(|(foot, id)| (foot.device, connector(h, foot.pin), foot.pin, *id));
        found.push(first.map(|(foot, id)| {
            let system = h.circuit(h.conductor(id).circuit).system.clone();
            let within = ways(i).all(|(_, way)| way.crossings.is_empty());
            (Seam { head: Some(foot.device), connector: connector(h, foot.pin), within, system }, foot.pin)
        }));
        for (_, way) in ways(i) {
            for device in [way.from.device, way.to.device] {
                by_device.entry(device).or_default().push(i);
            }
        }
    }
    let mut queue: Vec<usize> = (0..members.len()).filter(|i| found[*i].is_some()).collect();
    let mut next = 0;
    while let Some(i) = queue.get(next).copied() {
        next += 1;
        let Some(place) = found[i].clone() else { continue };
        for device in ways(i).flat_map(|(_, way)| [way.from.device, way.to.device]) {
            // Each device hands its place on once.
            for other in by_device.remove(&device).unwrap_or_default() {
                if found[other].is_none() {
                    found[other] = Some(place.clone());
                    queue.push(other);
                }
            }
        }
    }
    let alone = |i: usize| {
        let first = members[i].first().map(|c| h.conductor(*c));
        let system = first.map_or(String::new(), |c| h.circuit(c.circuit).system.clone());
        (Seam { head: None, connector: None, within: true, system }, first.map_or(PinId(0), |c| c.from))
    };
    found.into_iter().enumerate().map(|(i, place)| place.unwrap_or_else(|| alone(i))).collect()
}

fn connector(h: &Harness, pin: PinId) -> Option<u32> {
    match h.pin(pin).site {
        PinSite::Cavity { connector, .. } => Some(connector),
        _ => None,
    }
}
