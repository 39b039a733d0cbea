//! Solved network in; how far each sender reads wrong in each state of the grounds, out.
//!
//! An indicator measures between its signal pin and its own ground, or the return of that port where it has one. A sender
//! gives its signal against its own return, or its case. What lies between these two zeros is added to the signal: the
//! drop of returns and grounds under the current of all that share them, and what straps put between bodies. The current
//! of a sender of resistance runs through its signal wire too; into the signal pin of a sender of voltages none flows.
//! Of senders in series each is told its own error with all that is added behind it.
//!
//! Not counted: what the drop of its excitation takes off a sender that gives a share of it (a few millivolts of five
//! volts). Not told, because nothing here shifts it: pulses, of which the number counts; millivolts of a shunt and
//! thermocouples, which are measured between their own two wires. For a thermocouple whose junction touches the engine
//! see [`super::ground_probe`].

use std::collections::BTreeMap;

use super::conductor_ohms::own_lead;
use super::electrical::{Point, Through};
use super::ground_flows::ground_pin;
use super::ground_network::{Phase, Range, Scenario, Solved, Unsure, bond_current};
use super::ground_strap::Case;
use super::ground_sure::At;
use super::sender_reading::{Misread, misread};
use crate::harness::{BodyId, BondId, DeviceClass, DeviceId, PinId, Port};
use crate::parts::words::{PortKind, Role, Style};
use crate::quantity::{Resistance, Voltage};
use crate::trade::network::{Crossing, Ring};

/// A sender that an indicator reads.
#[derive(Clone, Debug)]
pub struct Sender {
    /// The sender.
    pub device: DeviceId,
    /// Index of its port.
    pub port: u32,
    /// Its signal pin.
    pub signal: PinId,
    /// The signal pin of the indicator.
    pub reader: PinId,
    /// What the sender gives its signal against, and the indicator measures against.
    pub zeros: Result<Zeros, Unread>,
    /// Resistance of its signal wire; none counts for a sender of voltages.
    pub wire: Option<Range<Resistance>>,
    /// What is added to its signal, by scenario, those that cannot be told left out; whole grounds first. Where the loss of a
    /// bond parts the two zeros it is [`Unsure::Apart`].
    pub offsets: Vec<(Scenario, Result<Range<Offset>, Unsure>)>,
    /// Conductors and bonds from the sender's zero to the indicator's, each with whether it is passed from its first end to
    /// its second.
    pub way: Vec<(Through, bool)>,
    /// Bonds of which the current comes in, in order.
    pub bonds: Vec<BondId>,
    /// True where a load of unknown size shares its grounds: then the offset is not all.
    pub at_least: bool,
}

/// Between what an offset lies.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zeros {
    /// Return or case of the sender; of senders in series, of the last.
    pub sender: PinId,
    /// The body it is, where it is the case.
    pub body: Option<BodyId>,
    /// Ground or return of the indicator.
    pub reference: PinId,
    /// Senders in series behind it.
    pub behind: Vec<DeviceId>,
}

/// Why nobody can say against what a sender is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unread {
    /// It has no wired return, and no case that touches a body the spec names.
    NoReturn,
    /// The indicator has no ground.
    NoGround,
}

/// What is added to a signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offset {
    /// How far the sender's zero lies above the indicator's.
    pub volts: Voltage,
    /// What that does to the reading, the signal wire with it. None where the part has no scale, or the indicator does not
    /// say how it reads a resistance, or cannot read it any more.
    pub misread: Option<Misread>,
}

impl Sender {
    /// Each bond without which it has no zero any more: its signal wire is then the engine's only way back.
    pub fn hangs_on(&self) -> impl Iterator<Item = BondId> + '_ {
        self.offsets.iter().filter_map(|(scenario, offset)| match (scenario, offset) {
            (Scenario::Open(bond, Phase::Cruise), Err(Unsure::Apart)) => Some(*bond),
            _ => None,
        })
    }

    /// The state of the grounds in which it is furthest off, by volts; of equals the first. Where an unknown resistance leaves
    /// it open, the end that is further off counts. None where none is known. That it has no zero at all
    /// ([`Sender::hangs_on`]) is worse than any.
    pub fn worst(&self) -> Option<(Scenario, Offset)> {
        let known = self.offsets.iter().filter_map(|(scenario, offset)| Some((*scenario, offset.ok()?)));
        let ends = known.flat_map(|(scenario, range)| [(scenario, range.low), (scenario, range.high)]);
        ends.collect::<Vec<_>>().into_iter().rev().max_by_key(|(_, offset)| offset.volts.abs())
    }
}

/// A stretch of the way from zero to zero that lies in one net of nets.
pub(super) type Segment = [At; 2];

/// What is added in each phase.
pub(super) type ByPhase = Vec<(Phase, Result<Range<Voltage>, Unsure>)>;

/// What is asked of a solved network, and what its straps do when they open.
pub(super) struct Asked<'a, 's, 'r, 'n> {
    s: &'a Solved<'s, 'r, 'n>,
    cases: &'a [Case<'s, 'r, 'n>],
    by_ring: BTreeMap<Ring, Vec<usize>>,
    bonds_of: BTreeMap<Ring, Vec<BondId>>,
}

impl<'a, 's, 'r, 'n> Asked<'a, 's, 'r, 'n> {
    pub(super) fn of(s: &'a Solved<'s, 'r, 'n>, cases: &'a [Case<'s, 'r, 'n>]) -> Self {
        let mut by_ring: BTreeMap<Ring, Vec<usize>> = BTreeMap::new();
        for (i, case) in cases.iter().enumerate() {
            by_ring.entry(case.ring).or_default().push(i);
        }
        Asked { s, cases, by_ring, bonds_of: s.bonds_of_rings() }
    }

    pub(super) fn solved(&self) -> &'a Solved<'s, 'r, 'n> {
        self.s
    }

    /// What lies along these stretches in each phase, the grounds whole; and the bonds of which the current comes in.
    pub(super) fn whole(&self, segments: &[Segment]) -> (ByPhase, Vec<BondId>) {
        let way: Vec<(Through, bool)> = segments.iter().flat_map(|[a, b]| self.way(a.0, b.0)).collect();
        let bonds = self.bonds(&way, &self.crossings(segments));
        let by = Phase::ALL.map(|phase| (phase, self.added(segments, phase, &bonds, None)));
        (by.into(), bonds)
    }

    /// True where a load of unknown size shares the grounds that these stretches lead over.
    pub(super) fn at_least(&self, segments: &[Segment]) -> bool {
        let unknown = |(pin, _): &At| self.s.flows.unknown.contains(&self.s.points.local(*pin));
        let silent = |crossing: &Crossing| self.s.silent.contains_key(&crossing.ring);
        segments.iter().flatten().any(unknown) || self.crossings(segments).iter().any(silent)
    }

    fn crossings(&self, segments: &[Segment]) -> Vec<Crossing> {
        let of = |[a, b]: &Segment| self.s.reduced.crossings(a.1, b.1).unwrap_or_default();
        segments.iter().flat_map(of).collect()
    }

    /// All senders that an indicator reads.
    pub(super) fn senders(&self) -> Vec<Sender> {
        let mut found = Vec::new();
        let h = self.s.h;
        for (i, d) in h.devices.iter().enumerate().filter(|(_, d)| matches!(d.class, DeviceClass::Sensor)) {
            for (index, port) in d.ports.iter().enumerate() {
                if matches!(port.kind, PortKind::Resistance | PortKind::ExcitedVoltage) {
                    found.extend(self.sender(DeviceId::at(i), index, port));
                }
            }
        }
        found
    }
}

pub(super) fn pin_of(port: &Port, role: Role) -> Option<PinId> {
    port.pins.iter().find(|(r, _)| *r == role).map(|(_, pin)| *pin)
}

impl Asked<'_, '_, '_, '_> {
    fn is_wired(&self, pin: PinId) -> bool {
        !self.s.electrical.conductors_at(pin).is_empty()
    }

    fn sender(&self, device: DeviceId, index: usize, port: &Port) -> Option<Sender> {
        let (s, h) = (self.s, self.s.h);
        let signal = pin_of(port, Role::Signal).filter(|pin| self.is_wired(*pin))?;
        let reads = |pin: &PinId| {
            let style = h.device(h.pin(*pin).device).style;
            matches!(style, Some(Style::Indicator | Style::Converter))
                && matches!(h.port_of(*pin), Some((_, Role::Signal)))
        };
        let reader = *s.electrical.wired(signal).iter().find(|pin| reads(pin))?;
        let (reading_port, _) = h.port_of(reader)?;
        let wire = (port.kind == PortKind::Resistance).then(|| self.wire(signal, reader)).flatten();
        let mut made = Sender {
            device,
            port: u32::try_from(index).unwrap_or(u32::MAX),
            signal,
            reader,
            zeros: Err(Unread::NoGround),
            wire,
            offsets: Vec::new(),
            way: Vec::new(),
            bonds: Vec::new(),
            at_least: false,
        };
        let Some(reference) = self.reference(reader, reading_port) else { return Some(made) };
        let (zeros, segments) = match self.zeros(device, port, reference) {
            Ok(found) => found,
            Err(unread) => {
                made.zeros = Err(unread);
                return Some(made);
            }
        };
        made.at_least = self.at_least(&segments);
        made.zeros = Ok(zeros);
        let wire_known = wire.is_some();
        let counted = wire.unwrap_or(Range::of(Resistance::ZERO));
        let offset = |volts: Voltage, wire: Resistance| Offset {
            volts,
            misread: match (port.kind, wire_known) {
                (PortKind::Resistance, false) => None,
                _ => misread(&port.scale, reading_port.bias, volts, wire),
            },
        };
        // More wire puts the pin higher, as more volts do.
        let offsets = |volts: Range<Voltage>| Range {
            low: offset(volts.low, counted.low),
            high: offset(volts.high, counted.high),
            open: volts.open.or(counted.open),
        };
        let crossings = self.crossings(&segments);
        made.way = segments.iter().flat_map(|[a, b]| self.way(a.0, b.0)).collect();
        made.bonds = self.bonds(&made.way, &crossings);
        let mut found = Vec::new();
        for phase in Phase::ALL {
            let whole = self.added(&segments, phase, &made.bonds, None);
            found.push((Scenario::Whole(phase), whole.map(offsets)));
        }
        let mut rings: Vec<Ring> = crossings.iter().map(|c| c.ring).collect();
        rings.sort_unstable();
        rings.dedup();
        for case in rings.iter().filter_map(|r| self.by_ring.get(r)).flatten().map(|i| &self.cases[*i]) {
            let others = self.added(&segments, case.phase, &made.bonds, Some(case.ring));
            let own = across(&crossings, case);
            let open = others.map(|range| offsets(range.map(|volts| volts + own)));
            found.push((Scenario::Open(case.bond, case.phase), open));
        }
        made.offsets = found;
        for bond in made.way.iter().filter_map(|(through, _)| self.only_way_over(*through)) {
            made.offsets.extend(Phase::ALL.map(|phase| (Scenario::Open(bond, phase), Err(Unsure::Apart))));
        }
        Some(made)
    }

    /// The indicator's zero for a port.
    fn reference(&self, reader: PinId, port: &Port) -> Option<PinId> {
        let (s, h) = (self.s, self.s.h);
        let ground = ground_pin(h, s.electrical, h.pin(reader).device);
        let back = pin_of(port, Role::Return);
        let joined = |pin: &PinId| ground.is_some_and(|g| s.points.local(g) == s.points.local(*pin));
        back.filter(|pin| self.is_wired(*pin) || joined(pin)).or(ground)
    }

    /// The sender's zero, and the stretches from there to the indicator's.
    fn zeros(
        &self,
        device: DeviceId,
        port: &Port,
        reference: PinId,
    ) -> Result<(Zeros, Vec<Segment>), Unread> {
        let (s, h) = (self.s, self.s.h);
        let mut segments = Vec::new();
        let mut behind = Vec::new();
        let (mut device, mut port) = (device, port);
        loop {
            let back = pin_of(port, Role::Return).filter(|pin| self.is_wired(*pin));
            let d = h.device(device);
            let case = d
                .on_case
                .first()
                .copied()
                .filter(|pin| self.is_wired(*pin) || (d.case_grounds && d.body.is_some()));
            let zero = back.or(case).ok_or(Unread::NoReturn)?;
            let next = s.electrical.wired(zero).iter().copied().find(|pin| {
                let sensor = matches!(h.device(h.pin(*pin).device).class, DeviceClass::Sensor);
                let other = h.pin(*pin).device != device && !behind.contains(&h.pin(*pin).device);
                sensor && other && matches!(h.port_of(*pin), Some((_, Role::Signal)))
            });
            let at = (zero, s.points.inside(zero));
            match next.and_then(|pin| Some((pin, h.port_of(pin)?.0))).filter(|_| behind.len() < 16) {
                Some((signal, further)) if s.points.local(zero) != s.points.local(reference) => {
                    segments.push([at, (signal, s.points.inside(signal))]);
                    device = h.pin(signal).device;
                    port = further;
                    behind.push(device);
                }
                _ => {
                    segments.push([at, (reference, s.points.pin(reference))]);
                    let body = d.body.map(|b| b.value).filter(|_| back.is_none() && d.case_grounds);
                    return Ok((Zeros { sender: zero, body, reference, behind }, segments));
                }
            }
        }
    }

    /// The wires of the signal, and the sender's own lead; None where one of them is not known.
    fn wire(&self, signal: PinId, reader: PinId) -> Option<Range<Resistance>> {
        let s = self.s;
        let mut sum = Range::of(Resistance::ZERO);
        if let Some(lead) = own_lead(s.h, s.library, s.routing, signal) {
            (sum.low, sum.high) = (lead.low, lead.high?);
            sum.open = (sum.low != sum.high).then_some(Through::Lead(signal));
        }
        for step in s.ways.way(signal, reader)? {
            if let Through::Conductor(id) = step.through {
                let ohms = (*s.points.ohms.get(id.index())?).ok()?;
                sum.low += ohms.low;
                sum.high += ohms.high;
                sum.open = sum.open.or(ohms.open);
            }
        }
        Some(sum)
    }

    /// What lies between the zeros, but for what lies in one ring.
    fn added(
        &self,
        segments: &[Segment],
        phase: Phase,
        bonds: &[BondId],
        but: Option<Ring>,
    ) -> Result<Range<Voltage>, Unsure> {
        let s = self.s;
        let unsaid = bonds.iter().find(|bond| bond_current(s.h, **bond, phase).is_none());
        let mut sum = Range::of(Voltage::ZERO);
        for segment in segments {
            let part = s.sure.between(s.ways, Some(phase), *segment, but)?;
            if let Some(bond) = unsaid {
                return Err(Unsure::Current(*bond));
            }
            sum.low += part.low;
            sum.high += part.high;
            sum.open = sum.open.or(part.open);
        }
        Ok(sum)
    }

    /// Conductors and bonds between two pins.
    fn way(&self, from: PinId, to: PinId) -> Vec<(Through, bool)> {
        let mut at = Point::Pin(from);
        let mut way = Vec::new();
        for step in self.s.ways.way(from, to).unwrap_or_default() {
            let first = match step.through {
                Through::Conductor(id) => Some(Point::Pin(self.s.h.conductor(id).from)),
                Through::Bond(id) => Some(Point::Body(self.s.h.bond(id).ends[0])),
                _ => None,
            };
            way.extend(first.map(|first| (step.through, first == at)));
            at = step.to;
        }
        way
    }

    /// The bond that this is, where nothing leads around it: without it the two zeros have nothing to do with each other.
    fn only_way_over(&self, through: Through) -> Option<BondId> {
        let Through::Bond(bond) = through else { return None };
        let branch = self.s.points.bonds[bond.index()]?;
        self.s.reduced.ring_of(branch).is_none().then_some(bond)
    }

    /// Bonds on the way, and those of the rings that it passes: what drives current through others stays there.
    fn bonds(&self, way: &[(Through, bool)], crossings: &[Crossing]) -> Vec<BondId> {
        let on_way = way.iter().filter_map(|(through, _)| match through {
            Through::Bond(bond) => Some(*bond),
            _ => None,
        });
        let of_rings = crossings.iter().filter_map(|c| self.bonds_of.get(&c.ring)).flatten().copied();
        let mut bonds: Vec<BondId> = on_way.chain(of_rings).collect();
        bonds.sort_unstable();
        bonds.dedup();
        bonds
    }
}

/// What lies in the ring of a bond that has opened.
fn across(crossings: &[Crossing], case: &Case) -> Voltage {
    let own = crossings.iter().filter(|c| c.ring == case.ring);
    own.filter_map(|c| case.opened.between(c.enters, c.leaves)).sum()
}
