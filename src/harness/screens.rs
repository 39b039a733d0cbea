//! Screens of cables, and the drain leads that tie them.

use super::conductors::{Maker, Read, Wiring};
use super::ends::{look_up, one_pin};
use super::origin::Spot;
use super::wires::usual_colour;
use super::{CableId, Chosen, CircuitId, Conductor, ConductorId, Lay, LayId, Pin, PinId, PinSite};
use crate::diag::Span;
use crate::parts::words::Role;
use crate::quantity::Gauge;
use crate::spec::words::CircuitKind;
use crate::trade::thermocouple_colour::Alloy;

impl<'a> Maker<'a, '_> {
    /// The screen of a circuit's own cable.
    pub(super) fn own_screen(&mut self, id: CircuitId, read: &Read<'a>, made: &mut Wiring) {
        let Some(ties) = &read.spec.screen else { return };
        let Some(circuit) = made.circuits.get(id.index()) else { return };
        let first = circuit.first_conductor.index();
        let own = made.conductors.get(first..first + circuit.conductor_count as usize).unwrap_or(&[]);
        let mut instances: Vec<CableId> = own.iter().filter_map(|c| c.cable).collect();
        instances.dedup();
        self.screen(&instances, ties, read.spot, made);
    }

    /// Ties the screens of the segments of one cable.
    pub(super) fn screen(&mut self, instances: &[CableId], ties: &[String], spot: Spot, made: &mut Wiring) {
        let span = self.origin.field(spot, "screen");
        let wire = instances.first().and_then(|c| made.cables.get(c.index())).map(|c| c.wire);
        let Some(screen) = wire.and_then(|w| self.wires.library.wires.get(w).screen.as_ref()) else {
            self.sink.unreadable(span, "its wire has no screen", "name a screened cable with `wire:`");
            return;
        };
        for id in instances {
            if let Some(cable) = made.cables.get_mut(id.index()) {
                cable.ties = Some(Vec::new());
            }
        }
        for (i, text) in ties.iter().enumerate() {
            let span = self.origin.element(spot, "screen", i);
            let Some(end) = look_up(text, span, self.devices, self.lost, self.sink) else { continue };
            let Some(tie) = one_pin(end, text, span, self.devices, self.sink) else { continue };
            let Some(id) = self.segment_at(instances, tie, made) else { continue };
            self.drain(id, tie, screen.drain, span, made);
        }
    }

    /// The segment of a cable that has an end at the device of `tie`, else at its place, else the first.
    fn segment_at(&self, instances: &[CableId], tie: PinId, made: &Wiring) -> Option<CableId> {
        let device = self.devices.pins.get(tie.index())?.device;
        let place = self.place_of(tie);
        let ends = |id: &CableId| {
            let cores = made.cables.get(id.index()).map(|c| c.cores.as_slice()).unwrap_or_default();
            cores
                .iter()
                .flatten()
                .filter_map(|c| made.conductors.get(c.index()))
                .flat_map(|c| [c.from, c.to])
                .collect::<Vec<PinId>>()
        };
        let at_device = |id: &&CableId| {
            ends(id).iter().any(|p| self.devices.pins.get(p.index()).is_some_and(|p| p.device == device))
        };
        let at_place = |id: &&CableId| place.is_some() && ends(id).iter().any(|p| self.place_of(*p) == place);
        instances
            .iter()
            .find(at_device)
            .or_else(|| instances.iter().find(at_place))
            .or_else(|| instances.first())
            .copied()
    }

    fn drain(&mut self, id: CableId, tie: PinId, gauge: Gauge, span: Span, made: &mut Wiring) {
        let Some(choice) = self.wires.drain(gauge) else {
            let message =
                format!("no single wire of {gauge}, the drain lead of this screen, is in the parts library");
            self.sink.unreadable(span, message, "add one in a part file of your own");
            return;
        };
        let Some(core) = made.cables.get(id.index()).and_then(|c| c.cores.iter().flatten().next().copied())
        else {
            return;
        };
        let Some(circuit) = made.conductors.get(core.index()).map(|c| c.circuit) else { return };
        let Some(device) = self.devices.pins.get(tie.index()).map(|p| p.device) else { return };
        let name = made.cables.get(id.index()).map(|c| c.name.clone()).unwrap_or_default();
        let conductor = ConductorId::at(made.conductors.len());
        let known = made.cables.get(id.index()).and_then(|c| c.screen);
        let screen = known.unwrap_or_else(|| {
            self.devices.pins.push(Pin {
                name: format!("{name}.screen"),
                device,
                site: PinSite::Screen(id),
                port: None,
                alloy: Alloy::Copper,
                colour: None,
            });
            PinId::at(self.devices.pins.len() - 1)
        });
        if let Some(cable) = made.cables.get_mut(id.index()) {
            cable.screen = Some(screen);
            cable.ties.get_or_insert_default().push(conductor);
        }
        made.lays.push(Lay {
            conductors: vec![conductor],
            twist: None,
            through: Vec::new(),
            keep_off: Vec::new(),
        });
        let part = self.part(choice);
        made.conductors.push(Conductor {
            mark: String::new(),
            circuit,
            leg: 0,
            role: Some(Role::Shield),
            from: screen,
            to: tie,
            wire: choice.wire,
            core: None,
            cable: None,
            gauge: part.gauge,
            alloy: Alloy::Copper,
            colour: Chosen { value: usual_colour(CircuitKind::Ground, None), span: None },
            lay: LayId::at(made.lays.len() - 1),
            drain: true,
            span,
            wire_span: None,
        });
    }
}
