//! The section `splices`, and the joins that need one, in; splices as devices out, with what is known of their parts.

use std::collections::BTreeMap;

use super::devices::{Devices, Draft, Reader, lone_pin};
use super::origin::Spot;
use super::structure::unknown_part;
use super::{Chosen, Conductor, DeviceClass, DeviceId, Located, PinId, PinSite, PlaceId, RunId};
use crate::diag::Span;
use crate::parts::fit;
use crate::parts::library::{Library, SplicePartId};
use crate::parts::model::SplicePart;
use crate::quantity::{Gauge, Length, Temperature, Units};
use crate::spec::model::SpliceSpec;
use crate::trade::thermocouple_colour::Alloy;

/// What the part of a splice says of where it may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpliceBuild {
    /// Length when finished.
    pub length: Length,
    /// Highest temperature; `None` where the part does not say.
    pub rated: Option<Temperature>,
}

/// How far the middle of a splice lies from its place, and on which run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shift {
    /// A run that meets the place.
    pub run: RunId,
    /// Distance from the place, more than nothing.
    pub by: Length,
}

const NOTHING: Chosen<Length> = Chosen { value: Length::ZERO, span: None };

fn build(part: &SplicePart) -> SpliceBuild {
    SpliceBuild { length: part.length, rated: part.rated }
}

impl Devices {
    /// Adds a splice that the tool makes for a join, and returns its pin. Its place is found later where the designer
    /// does not say it.
    pub(super) fn make_splice(
        &mut self,
        name: &str,
        title: String,
        at: Option<Located<PlaceId>>,
        name_span: Span,
    ) -> PinId {
        let id = DeviceId::at(self.devices.len());
        let class = DeviceClass::Splice { part: None, made: true, build: None, shift: None };
        let (place, at_span) = (at.map(|at| at.value), at.map(|at| at.span));
        let device = self.put(name, Draft { title, class, place, name_span, at_span }, NOTHING);
        device.pin_count = 1;
        let pin = device.first_pin;
        self.pins.push(lone_pin(name, id, PinSite::Splice));
        pin
    }

    /// Gives each splice that the tool made the first part of the library that takes its wires.
    pub(super) fn choose_splices(&mut self, library: &Library, conductors: &[Conductor]) {
        let mut in_splice: BTreeMap<DeviceId, Vec<&Conductor>> = BTreeMap::new();
        for conductor in conductors {
            for pin in [conductor.from, conductor.to] {
                let Some(pin) = self.pins.get(pin.index()) else { continue };
                let class = self.devices.get(pin.device.index()).map(|d| &d.class);
                if matches!(class, Some(DeviceClass::Splice { made: true, .. })) {
                    in_splice.entry(pin.device).or_default().push(conductor);
                }
            }
        }
        for (id, wires) in in_splice {
            let gauges: Vec<Gauge> = wires.iter().map(|c| c.gauge).collect();
            let found = fit::splice(library, &gauges, wires.first().map(|c| c.alloy)).ok();
            if let (Some(part), Some(device)) = (found, self.devices.get_mut(id.index())) {
                device.part = Some(library.splices.name(part).to_owned());
                let build = Some(build(library.splices.get(part)));
                device.class = DeviceClass::Splice { part: Some(part), made: true, build, shift: None };
            }
        }
    }
}

impl Reader<'_, '_> {
    pub(super) fn splices(&mut self, made: &mut Devices) {
        let spots = self.origin.entries("splices", self.spec.splices.keys());
        for ((name, spec), spot) in self.spec.splices.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            let found: Option<(SplicePartId, &SplicePart)> = self.library.splices.look_up(&spec.part);
            if found.is_none() {
                let span = self.origin.field(spot, "part");
                unknown_part(self.sink, span, &spec.part, "a splice", self.library.splices.names());
            }
            let of_part = || found.map_or_else(String::new, |(_, part)| part.title.clone());
            let title = spec.title.clone().unwrap_or_else(of_part);
            let class = DeviceClass::Splice {
                part: found.map(|(id, _)| id),
                made: false,
                build: found.map(|(_, part)| build(part)),
                shift: place.and_then(|at| self.shift(name, spec, spot, at)),
            };
            let at_span = Some(self.origin.field(spot, "at"));
            let draft = Draft { title, class, place, name_span: spot.name, at_span };
            let id = self.lone(made, name, draft, PinSite::Splice);
            if let Some(device) = id.and_then(|id| made.devices.get_mut(id.index())) {
                device.part = Some(spec.part.clone());
                device.tail = NOTHING;
                if let (Some(pin), Some((_, part))) = (made.pins.last_mut(), found) {
                    pin.alloy = part.alloy.unwrap_or(Alloy::Copper);
                }
            }
        }
    }

    /// How far along which run the designer wants the splice. Of several runs to the same place the first.
    fn shift(&mut self, name: &str, spec: &SpliceSpec, spot: Spot, at: PlaceId) -> Option<Located<Shift>> {
        let (by, towards) = match (spec.shift, &spec.towards) {
            (Some(by), Some(towards)) => (by, towards),
            (None, None) => return None,
            (Some(_), None) => {
                let span = self.origin.field(spot, "shift");
                let message = format!("`{name}` is shifted, but not said towards which place");
                self.sink.unreadable(
                    span,
                    message,
                    "add `towards:` with the place at the other end of the run",
                );
                return None;
            }
            (None, Some(_)) => {
                let span = self.origin.field(spot, "towards");
                let message = format!("`{name}` lies towards a place, but not said how far");
                self.sink.unreadable(span, message, "add `shift:` with the distance from its place");
                return None;
            }
        };
        let towards = self.place(towards, spot, "towards")?;
        let (span, to) = (self.origin.field(spot, "shift"), self.origin.field(spot, "towards"));
        self.neighbours(name, at, towards, to, "that it is shifted towards");
        let joins = |ends: [PlaceId; 2]| ends == [at, towards] || ends == [towards, at];
        let run = self.structure.runs.iter().position(|r| joins(r.ends))?;
        let length = self.structure.runs.get(run)?.length.value;
        if by <= Length::ZERO || by >= length {
            let units = Units::Metric;
            let message =
                format!("`{name}` is shifted by {} on a run of {}", by.show(units), length.show(units));
            self.sink.unreadable(
                span,
                message,
                "write a distance that lies on the run, or put it at the other place",
            );
            return None;
        }
        Some(Located { value: Shift { run: RunId::at(run), by }, span })
    }
}
