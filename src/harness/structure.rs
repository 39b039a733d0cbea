//! Zones, barriers, holes, places, runs, bodies and bonds: what the harness lies on.

use std::collections::BTreeMap;

use super::names::{Lost, Names};
use super::origin::{Origin, Spot};
use super::{
    Barrier, BarrierId, Body, BodyId, Bond, Hole, HoleId, Located, Place, PlaceId, Run, Zone, ZoneId,
};
use crate::diag::{Sink, Span};
use crate::parts::library::Library;
use crate::quantity::{Fraction, Length};
use crate::spec::model::{HoleSpec, RunSpec, Spec};
use crate::spec::words::{Hazard, SplicePolicy};

/// More conductors of other harnesses than this are a slip of the pen, and would fill the memory where they are packed.
const MOST_OTHERS: u32 = 10_000;

/// Everything of the structure, and the names by which the rest of the spec refers to it.
pub(super) struct Structure {
    pub zones: Vec<Zone>,
    pub barriers: Vec<Barrier>,
    pub holes: Vec<Hole>,
    pub places: Vec<Place>,
    pub runs: Vec<Run>,
    pub bodies: Vec<Body>,
    pub bonds: Vec<Bond>,
    pub place_names: Names<PlaceId>,
    pub body_names: Names<BodyId>,
}

pub(super) struct Reader<'a, 's> {
    pub spec: &'a Spec,
    pub origin: &'a Origin<'a>,
    pub library: &'a Library,
    pub lost: &'a Lost<'a>,
    pub sink: &'s mut Sink,
}

/// A value with its place, where it is given.
pub(super) fn located<T: Copy>(
    value: Option<T>,
    origin: &Origin,
    spot: Spot,
    key: &str,
) -> Option<Located<T>> {
    value.map(|value| Located { value, span: origin.field(spot, key) })
}

impl Reader<'_, '_> {
    pub(super) fn read(mut self) -> Structure {
        let (zones, zone_names) = self.zones();
        let mut made = Structure {
            zones,
            barriers: Vec::new(),
            holes: Vec::new(),
            places: Vec::new(),
            runs: Vec::new(),
            bodies: Vec::new(),
            bonds: Vec::new(),
            place_names: Names::new("a place", "route"),
            body_names: Names::new("a body", "bodies"),
        };
        self.barriers(&mut made, &zone_names);
        self.runs(&mut made, &zone_names);
        self.particulars(&mut made);
        self.positions(&made);
        self.bodies(&mut made);
        made
    }

    fn zones(&mut self) -> (Vec<Zone>, Names<ZoneId>) {
        let mut names = Names::new("a zone", "zones");
        let spots = self.origin.entries("zones", self.spec.zones.keys());
        let mut zones = Vec::with_capacity(spots.len());
        for ((name, spec), spot) in self.spec.zones.iter().zip(spots) {
            names.add(name, ZoneId::at(zones.len()), spot.name, self.sink);
            zones.push(Zone {
                name: name.clone(),
                title: spec.title.clone(),
                ambient: located(spec.ambient, self.origin, spot, "ambient"),
                hazards: spec.hazards.clone(),
                splices_allowed: spec.splices == SplicePolicy::Allowed,
                span: spot.name,
            });
        }
        (zones, names)
    }

    fn barriers(&mut self, made: &mut Structure, zones: &Names<ZoneId>) {
        let spots = self.origin.entries("barriers", self.spec.barriers.keys());
        for ((name, spec), spot) in self.spec.barriers.iter().zip(spots) {
            let side = |index: usize, sink: &mut Sink| {
                let span = self.origin.element(spot, "between", index);
                spec.between.get(index).and_then(|zone| zones.find(zone, span, self.lost, sink))
            };
            let (Some(a), Some(b)) = (side(0, self.sink), side(1, self.sink)) else { continue };
            if a == b {
                self.sink.unreadable(
                    self.origin.field(spot, "between"),
                    format!("`{name}` has the same zone on both sides"),
                    "name the two zones that it parts",
                );
            }
            let id = BarrierId::at(made.barriers.len());
            let mut barrier = Barrier {
                name: name.clone(),
                title: spec.title.clone(),
                between: [a, b],
                max_holes: located(spec.max_holes, self.origin, spot, "max-holes"),
                holes: Vec::new(),
                span: spot.name,
            };
            let inner = self.origin.inner(spot, "holes");
            let hole_spots = self.origin.within(inner, spec.holes.keys());
            for ((hole_name, hole), hole_spot) in spec.holes.iter().zip(hole_spots) {
                let hole_id = HoleId::at(made.holes.len());
                let place = PlaceId::at(made.places.len());
                if !made.place_names.add(hole_name, place, hole_spot.name, self.sink) {
                    continue;
                }
                let read = self.hole(hole_name, hole, hole_spot, id, place);
                barrier.holes.push(hole_id);
                made.places.push(Place {
                    name: hole_name.clone(),
                    title: None,
                    zones: Vec::new(),
                    hole: Some(hole_id),
                    station: None,
                    position: None,
                    bend: None,
                    magneto: None,
                    span: hole_spot.name,
                });
                made.holes.push(read);
            }
            made.barriers.push(barrier);
        }
    }

    fn hole(&mut self, name: &str, spec: &HoleSpec, spot: Spot, barrier: BarrierId, place: PlaceId) -> Hole {
        let lining = spec.lining.as_deref().and_then(|part| {
            let span = self.origin.field(spot, "lining");
            let found = self.library.linings.find(part);
            if found.is_none() {
                unknown_part(self.sink, span, part, "a lining", self.library.linings.names());
            }
            found
        });
        let max_fill = located(spec.max_fill, self.origin, spot, "max-fill");
        if let Some(fill) = max_fill.filter(|f| f.value > Fraction::from_percent(100.0)) {
            let message = format!("`{name}` cannot be filled to {}", fill.value);
            self.sink.unreadable(
                fill.span,
                message,
                "write the share of the bore that may be taken, as in `40 %`",
            );
        }
        if spec.others > MOST_OTHERS {
            let span = self.origin.field(spot, "others");
            let message = format!("`{name}` cannot hold {} other conductors", spec.others);
            self.sink.unreadable(span, message, format!("write how many there are, at most {MOST_OTHERS}"));
        }
        let others_outside = located(spec.others_outside, self.origin, spot, "others-outside");
        if let Some(outside) = others_outside.filter(|o| o.value <= Length::from_um(0)) {
            let message = format!("the other conductors in `{name}` have no thickness");
            self.sink.unreadable(outside.span, message, "write their outside diameter, as in `2.2 mm`");
        }
        if let Some(outside) = others_outside.filter(|_| spec.others == 0) {
            let message = format!("`{name}` says how thick its other conductors are and has none");
            self.sink.unreadable(
                outside.span,
                message,
                "write how many there are (`others:`), or leave it out",
            );
        }
        let declared = located(spec.bore, self.origin, spot, "bore");
        if let Some(bore) = declared.filter(|b| b.value <= Length::from_um(0)) {
            self.sink.unreadable(bore.span, format!("`{name}` has no bore"), "write its clear diameter");
        }
        // The lining's own bore holds where the spec does not measure it: it is a figure of the part that was chosen.
        let bore = declared.or_else(|| {
            lining.map(|l| Located {
                value: self.library.linings.get(l).bore,
                span: self.origin.field(spot, "lining"),
            })
        });
        Hole {
            name: name.to_owned(),
            barrier,
            place,
            bore,
            lining,
            seal: spec.seal.clone(),
            max_conductors: located(spec.max_conductors, self.origin, spot, "max-conductors"),
            max_fill,
            others: spec.others.min(MOST_OTHERS),
            others_outside,
            feed: located(spec.feed, self.origin, spot, "feed"),
            span: spot.name,
        }
    }

    fn runs(&mut self, made: &mut Structure, zones: &Names<ZoneId>) {
        let spots = self.origin.items("route", self.spec.route.len());
        for field in ["from", "to"] {
            for name in self.origin.texts_in_items("route", field) {
                made.place_names.excuse(name);
            }
        }
        let mut taken: BTreeMap<[PlaceId; 2], u32> = BTreeMap::new();
        for (spec, spot) in self.spec.route.iter().zip(spots) {
            let zone = zones.find(&spec.zone, self.origin.field(spot, "zone"), self.lost, self.sink);
            let ends = [(&spec.from, "from"), (&spec.to, "to")].map(|(name, key)| {
                made.place_names.get(name).unwrap_or_else(|| {
                    let id = PlaceId::at(made.places.len());
                    let span = self.origin.field(spot, key);
                    made.place_names.add(name, id, span, self.sink);
                    made.places.push(Place {
                        name: name.clone(),
                        title: None,
                        zones: Vec::new(),
                        hole: None,
                        station: None,
                        position: None,
                        bend: None,
                        magneto: None,
                        span,
                    });
                    id
                })
            });
            if ends[0] == ends[1] {
                self.sink.unreadable(
                    self.origin.field(spot, "to"),
                    format!("the run starts and ends at `{}`", spec.from),
                    "name two different places",
                );
                continue;
            }
            if spec.length <= Length::from_um(0) {
                self.sink.unreadable(
                    self.origin.field(spot, "length"),
                    format!("the run from `{}` to `{}` has no length", spec.from, spec.to),
                    "write the length measured along the structure",
                );
            }
            if spec.clamps.is_some_and(|apart| apart <= Length::from_um(0)) {
                self.sink.unreadable(
                    self.origin.field(spot, "clamps"),
                    format!("the clamps from `{}` to `{}` are no distance apart", spec.from, spec.to),
                    "write the longest distance between two of them, or leave it out where it is not known",
                );
            }
            let Some(zone) = zone else { continue };
            for end in ends {
                if let Some(place) = made.places.get_mut(end.index())
                    && let Err(at) = place.zones.binary_search(&zone)
                {
                    place.zones.insert(at, zone);
                }
            }
            let mut sorted = ends;
            sorted.sort_unstable();
            let count = taken.entry(sorted).or_default();
            *count += 1;
            let name = match *count {
                1 => format!("{}-{}", spec.from, spec.to),
                n => format!("{}-{}-{n}", spec.from, spec.to),
            };
            made.runs.push(Run {
                name,
                ends,
                zone,
                length: Located { value: spec.length, span: self.origin.field(spot, "length") },
                surface: located(spec.surface, self.origin, spot, "surface"),
                cover: spec.cover.as_ref().and_then(|part| {
                    let span = self.origin.field(spot, "cover");
                    if self.library.coverings.find(part).is_none() {
                        unknown_part(self.sink, span, part, "a covering", self.library.coverings.names());
                        return None;
                    }
                    Some(Located { value: part.clone(), span })
                }),
                beside: spec.beside.clone(),
                apart: self.apart(spec, spot),
                rigid: spec.rigid,
                clamps: located(spec.clamps, self.origin, spot, "clamps"),
                slack: located(spec.slack, self.origin, spot, "slack"),
                bend: located(spec.bend, self.origin, spot, "bend"),
                span: spot.name,
            });
        }
    }

    /// Distances from what a run passes. A distance from what it does not pass is a slip of the pen.
    fn apart(&mut self, spec: &RunSpec, spot: Spot) -> Vec<(Hazard, Located<Length>)> {
        let mut apart = Vec::with_capacity(spec.apart.len());
        for (i, (hazard, length)) in spec.apart.iter().enumerate() {
            let (key, span) = self.origin.pair(spot, "apart", i);
            if !spec.beside.contains(hazard) {
                let message = format!("the run is kept apart from {} but is not beside it", hazard.words());
                self.sink.unreadable(key, message, "name it in `beside:` of the run too, or leave it out");
            }
            apart.push((*hazard, Located { value: *length, span }));
        }
        apart
    }

    fn particulars(&mut self, made: &mut Structure) {
        let spots = self.origin.entries("places", self.spec.places.keys());
        for ((name, spec), spot) in self.spec.places.iter().zip(spots) {
            let Some(id) = made.place_names.find(name, spot.name, self.lost, self.sink) else { continue };
            if let Some(place) = made.places.get_mut(id.index()) {
                place.title.clone_from(&spec.title);
                place.station = located(spec.station, self.origin, spot, "station");
                place.position = located(spec.position, self.origin, spot, "position");
                place.bend = located(spec.bend, self.origin, spot, "bend");
                place.magneto = spec.magneto.then(|| self.origin.field(spot, "magneto"));
            }
        }
    }

    /// A run is as long as its ends are apart at least, however one looks at them, and no two places are one.
    fn positions(&mut self, made: &Structure) {
        let mut taken: BTreeMap<[Length; 2], &str> = BTreeMap::new();
        for place in &made.places {
            let Some(position) = place.position else { continue };
            if let Some(other) = taken.insert(position.value, &place.name) {
                let message = format!("`{}` lies where `{other}` does", place.name);
                self.sink.unreadable(
                    position.span,
                    message,
                    "give it a position of its own, as much beside the other one as it takes to draw both",
                );
            }
        }
        for run in &made.runs {
            let [a, b] = run.ends.map(|end| made.places.get(end.index()));
            let (Some(a), Some(b)) = (a, b) else { continue };
            let (Some(from), Some(to)) = (a.position, b.position) else { continue };
            let across = |i: usize| i128::from(from.value[i].um()) - i128::from(to.value[i].um());
            let length = i128::from(run.length.value.um());
            if across(0).pow(2) + across(1).pow(2) > length.pow(2) {
                let message = format!(
                    "the run from `{}` to `{}` is {} long, and their positions are further apart",
                    a.name, b.name, run.length.value
                );
                let remedy =
                    "measure the positions or the run again: no run is shorter than the straight line";
                self.sink.unreadable(run.length.span, message, remedy);
            }
        }
    }

    fn bodies(&mut self, made: &mut Structure) {
        let spots = self.origin.entries("bodies", self.spec.bodies.keys());
        for ((name, kind), spot) in self.spec.bodies.iter().zip(spots) {
            made.body_names.add(name, BodyId::at(made.bodies.len()), spot.name, self.sink);
            made.bodies.push(Body { name: name.clone(), kind: *kind, span: spot.name });
        }
        let spots = self.origin.items("bonds", self.spec.bonds.len());
        for (spec, spot) in self.spec.bonds.iter().zip(spots) {
            let mut side = |name: &str, key: &str| {
                made.body_names.find(name, self.origin.field(spot, key), self.lost, self.sink)
            };
            let (Some(a), Some(b)) = (side(&spec.from, "from"), side(&spec.to, "to")) else { continue };
            if a == b {
                self.sink.unreadable(
                    self.origin.field(spot, "to"),
                    format!("the bond joins `{}` to itself", spec.from),
                    "name the two bodies that it joins",
                );
                continue;
            }
            made.bonds.push(Bond {
                name: spec.title.clone().unwrap_or_else(|| format!("{}-{}", spec.from, spec.to)),
                ends: [a, b],
                resistance: located(spec.resistance, self.origin, spot, "resistance"),
                carries: located(spec.carries, self.origin, spot, "carries"),
                cranking: located(spec.cranking, self.origin, spot, "cranking"),
                span: spot.name,
            });
        }
    }
}

/// Tells that no part has this name.
pub(super) fn unknown_part<'a>(
    sink: &mut Sink,
    span: Span,
    name: &str,
    noun: &str,
    known: impl Iterator<Item = &'a str>,
) {
    let remedy = super::names::suggestion(name, known)
        .unwrap_or_else(|| "name one of the parts library, or of a file under `parts:`".to_owned());
    sink.unreadable(span, format!("`{name}` is not {noun} of the parts library"), remedy);
}
