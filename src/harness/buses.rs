//! The section `buses` in; buses, phases and their names out.

use super::names::{Lost, Names, suggestion};
use super::origin::{Origin, Spot};
use super::structure::located;
use super::{Bus, BusId, Located, PhaseId, PlaceId};
use crate::diag::{Sink, Span};
use crate::spec::model::{CircuitSpec, Spec};

/// Buses, and the phases that they name.
pub(super) struct Buses {
    pub buses: Vec<Bus>,
    pub phases: Vec<String>,
    names: Names<BusId>,
}

impl Buses {
    /// Reads them. Where the section is not given, the names that supplies use are the buses.
    pub(super) fn read(
        spec: &Spec,
        origin: &Origin,
        lost: &Lost,
        places: &Names<PlaceId>,
        sink: &mut Sink,
    ) -> Buses {
        let mut made =
            Buses { buses: Vec::new(), phases: Vec::new(), names: Names::new("a bus of this spec", "buses") };
        let spots = origin.entries("buses", spec.buses.keys());
        for ((name, bus), spot) in spec.buses.iter().zip(spots) {
            let mut others = Vec::with_capacity(bus.others.len());
            for (i, (phase, current)) in bus.others.iter().enumerate() {
                let (_, span) = origin.pair(spot, "others", i);
                others.push((phase.clone(), Located { value: *current, span }));
                if !made.phases.contains(phase) {
                    made.phases.push(phase.clone());
                }
            }
            let source = located(bus.source, origin, spot, "source");
            let at = bus.at.as_ref().and_then(|place| {
                let span = origin.field(spot, "at");
                Some(Located { value: places.find(place, span, lost, sink)?, span })
            });
            let title = bus.title.clone();
            let bus = Bus { name: name.clone(), title, source, others, at, declared: true, span: spot.name };
            made.put(bus, sink);
        }
        if spec.buses.is_empty() {
            let spots = origin.entries("supplies", spec.supplies.keys());
            for (supply, spot) in spec.supplies.values().zip(spots) {
                let Some(name) = supply.bus.as_ref().filter(|bus| made.names.get(bus).is_none()) else {
                    continue;
                };
                let span = origin.field(spot, "bus");
                let bus = Bus {
                    name: name.clone(),
                    title: None,
                    source: None,
                    others: Vec::new(),
                    at: None,
                    declared: false,
                    span,
                };
                made.put(bus, sink);
            }
        }
        made
    }

    fn put(&mut self, bus: Bus, sink: &mut Sink) {
        if self.names.add(&bus.name, BusId::at(self.buses.len()), bus.span, sink) {
            self.buses.push(bus);
        }
    }

    /// The bus of a name.
    pub(super) fn find(&self, name: &str, span: Span, lost: &Lost, sink: &mut Sink) -> Option<BusId> {
        self.names.find(name, span, lost, sink)
    }

    /// The phases in which a circuit draws current.
    pub(super) fn during(
        &self,
        circuit: &CircuitSpec,
        origin: &Origin,
        spot: Spot,
        sink: &mut Sink,
    ) -> Vec<Located<PhaseId>> {
        let mut phases: Vec<Located<PhaseId>> = Vec::with_capacity(circuit.during.len());
        if let Some(span) = origin.given(spot, "during").filter(|_| circuit.during.is_empty()) {
            let remedy =
                "name the phases in which it draws, or leave `during:` out where it draws in all of them";
            sink.unreadable(span, "it draws in no phase at all", remedy);
        }
        for (i, name) in circuit.during.iter().enumerate() {
            let span = origin.element(spot, "during", i);
            if circuit.during[..i].contains(name) {
                sink.unreadable(
                    span,
                    format!("the phase `{name}` stands there twice"),
                    "leave one of them out",
                );
                continue;
            }
            match self.phases.iter().position(|phase| phase == name) {
                Some(index) => phases.push(Located { value: PhaseId::at(index), span }),
                None => {
                    let remedy = suggestion(name, self.phases.iter().map(String::as_str))
                        .unwrap_or_else(|| "name it under `others:` of its bus".to_owned());
                    sink.unreadable(span, format!("`{name}` is not a phase that a bus names"), remedy);
                }
            }
        }
        phases
    }
}
