//! Loads in; what is pushed into the network of a harness where, so that every current comes back, out.
//!
//! A load takes current at one pin and gives it at another. Where it gives it into something that touches a body, the
//! current leaves the harness there; of several bodies that one net touches, at the structure. A feed brings in what is
//! taken behind it. A sender takes its current from the indicator it is wired to, and the indicator gives that much more
//! at its own ground; a lamp that an indicator switches gives its current to the indicator, and so to its ground.
//!
//! What the machine sends from body to body flows there already (`carries`), and what this harness takes and gives is not
//! added to it.

use std::collections::{BTreeMap, BTreeSet};

use super::electrical::Electrical;
use super::ground_points::Points;
use super::load::{Load, Site};
use crate::harness::{BodyId, DeviceClass, DeviceId, Harness, PinId};
use crate::parts::words::{PortKind, Role};
use crate::quantity::Current;
use crate::spec::words::BodyKind;
use crate::trade::network::{Node, Source};

/// Who takes in and lets out the current of each net. Nets are known by their numbers: see [`Points::local`].
#[derive(Debug, Default)]
pub(super) struct Outlets {
    /// A feed that brings current into the net.
    pub feed: BTreeMap<usize, PinId>,
    /// The body that takes the current of the net.
    pub body: BTreeMap<usize, BodyId>,
    /// A pin of a powered device that passes the current on to the ground pin of that device.
    pub passes: BTreeMap<usize, (PinId, PinId)>,
}

/// What is pushed where.
#[derive(Debug, Default)]
pub(super) struct Flows {
    pub sources: Vec<Source>,
    /// Nets from which current has no way back.
    pub stuck: BTreeSet<usize>,
    /// Nets that a load of unknown size lies on.
    pub unknown: BTreeSet<usize>,
    /// The ways that currents of unknown size take, each with the pin that the load is known by.
    pub silent: Vec<([Node; 2], PinId)>,
}

/// The pin against which a powered device measures: its wired ground, else any ground, else its case. None where it has
/// none of them.
pub(super) fn ground_pin(h: &Harness, electrical: &Electrical, id: DeviceId) -> Option<PinId> {
    let d = h.device(id);
    let ports = || d.ports.iter().filter(|p| p.kind == PortKind::Ground);
    let pins = || ports().flat_map(|p| p.pins.iter().map(|(_, pin)| *pin));
    let wired = pins().find(|pin| !electrical.conductors_at(*pin).is_empty());
    wired.or(pins().next()).or(d.on_case.first().copied().filter(|_| d.case_grounds))
}

impl Outlets {
    pub(super) fn of(h: &Harness, electrical: &Electrical, points: &Points) -> Outlets {
        let mut made = Outlets::default();
        for net in electrical.nets() {
            for contact in &net.contacts {
                let structure = |b: BodyId| h.body(b).kind == BodyKind::Structure;
                let body = made.body.entry(points.local(contact.pin)).or_insert(contact.body);
                if structure(contact.body) && !structure(*body) {
                    *body = contact.body;
                }
            }
        }
        for (i, d) in h.devices.iter().enumerate() {
            let id = DeviceId::at(i);
            if let DeviceClass::Supply { .. } = d.class {
                made.feed.entry(points.local(d.first_pin)).or_insert(d.first_pin);
            }
            let powered = d.ports.iter().any(|p| matches!(p.kind, PortKind::PowerIn | PortKind::Ground));
            let Some(ground) = ground_pin(h, electrical, id).filter(|_| powered) else { continue };
            for port in d.ports.iter().filter(|p| p.kind != PortKind::PowerIn) {
                for (role, pin) in &port.pins {
                    let passes = matches!(
                        role,
                        Role::Signal | Role::Excitation | Role::Supply | Role::Drive | Role::Return
                    );
                    if passes && points.local(*pin) != points.local(ground) {
                        made.passes.entry(points.local(*pin)).or_insert((*pin, ground));
                    }
                }
            }
        }
        made
    }
}

impl Outlets {
    /// The ways that a current takes which a load takes or gives at a pin, through the nets up to a feed or a body.
    fn ways(&self, points: &Points, pin: PinId) -> Vec<[Node; 2]> {
        let mut ways = Vec::new();
        let (mut pin, mut node) = (pin, points.inside(pin));
        for _ in 0..=PASSES {
            let net = points.local(pin);
            let body = self.body.get(&net).map(|b| points.body(*b));
            if let Some(end) = body.or_else(|| self.feed.get(&net).map(|p| points.pin(*p))) {
                ways.push([node, end]);
                break;
            }
            let Some((outlet, ground)) = self.passes.get(&net) else { break };
            ways.push([node, points.pin(*outlet)]);
            (pin, node) = (*ground, points.pin(*ground));
        }
        ways
    }
}

/// Powered devices that a current is followed through.
const PASSES: usize = 4;

/// Builds up what is pushed into each net.
struct Ledger<'p> {
    points: &'p Points,
    pushed: Vec<(Node, usize, Current)>,
    left: BTreeMap<usize, Current>,
}

impl Ledger<'_> {
    fn push(&mut self, pin: PinId, node: Node, current: Current) {
        let net = self.points.local(pin);
        self.pushed.push((node, net, current));
        *self.left.entry(net).or_default() += current;
    }
}

impl Flows {
    pub(super) fn of(
        h: &Harness,
        electrical: &Electrical,
        points: &Points,
        outlets: &Outlets,
        loads: &[Load],
    ) -> Flows {
        let mut ledger = Ledger { points, pushed: Vec::new(), left: BTreeMap::new() };
        let mut flows = Flows::default();
        for load in loads {
            let [from, to] = [load.from, load.to].map(|site| match site {
                Site::Pin(pin) => Some(pin),
                Site::Inside(id) => ground_pin(h, electrical, id),
                Site::Machine => None,
            });
            let Some(current) = load.current else {
                let pins = || [from, to].into_iter().flatten();
                flows.unknown.extend(pins().map(|pin| points.local(pin)));
                let known_by = load.pin().or(from).or(to);
                flows.silent.extend(pins().flat_map(|pin| {
                    outlets.ways(points, pin).into_iter().filter_map(move |way| Some((way, known_by?)))
                }));
                continue;
            };
            for (pin, current) in [(from, -current), (to, current)] {
                if let Some(pin) = pin {
                    ledger.push(pin, points.inside(pin), current);
                }
            }
        }
        flows.pass_on(&mut ledger, outlets);
        flows.close(ledger, outlets);
        flows
    }

    /// Through powered devices to their grounds. One that passes on to another is followed a few times and no more.
    fn pass_on(&mut self, ledger: &mut Ledger, outlets: &Outlets) {
        for _ in 0..PASSES {
            let open = |(net, left): (&usize, &Current)| {
                let closes = outlets.body.contains_key(net) || outlets.feed.contains_key(net);
                let (pin, ground) = outlets.passes.get(net).filter(|_| !closes && *left != Current::ZERO)?;
                Some((*pin, *ground, *left))
            };
            let passing: Vec<(PinId, PinId, Current)> = ledger.left.iter().filter_map(open).collect();
            for (pin, ground, left) in passing {
                let points = ledger.points;
                ledger.push(pin, points.pin(pin), -left);
                ledger.push(ground, points.pin(ground), left);
            }
        }
        let unknown = |net: &usize| outlets.passes.get(net).map(|(_, ground)| ledger.points.local(*ground));
        let more: Vec<usize> = self.unknown.iter().filter_map(unknown).collect();
        self.unknown.extend(more);
    }

    /// Into the bodies and out of the feeds; what is left has no way back.
    fn close(&mut self, ledger: Ledger, outlets: &Outlets) {
        let mut end: BTreeMap<usize, Node> = BTreeMap::new();
        for (node, net, _) in &ledger.pushed {
            let body = outlets.body.get(net).map(|b| ledger.points.body(*b));
            let feed = outlets.feed.get(net).map(|p| ledger.points.pin(*p));
            end.entry(*net).or_insert_with(|| body.or(feed).unwrap_or(*node));
        }
        let closes = |net: &usize| outlets.body.contains_key(net) || outlets.feed.contains_key(net);
        let stuck = ledger.left.iter().filter(|(net, left)| **left != Current::ZERO && !closes(net));
        self.stuck = stuck.map(|(net, _)| *net).collect();
        let of_net = |(node, net, current): (Node, usize, Current)| {
            Some(Source { from: *end.get(&net)?, to: node, current })
        };
        self.sources = ledger.pushed.into_iter().filter_map(of_net).collect();
    }
}
