//! Wires by family or pair, and sleeves by diameter: what is needed in, the part of the library that fits it out.
//!
//! Every choice is the same for the same library: parts are weighed in the order of their shelf and a later one wins
//! only where it is better. None means that nothing fits. For contacts, lugs and splices see [`super::fit`].

use super::library::{CoveringPartId, Library, SundryPartId, WirePartId};
use super::model::{CoveringUse, SundryPart, SundryUse, WirePart};
use crate::quantity::{Gauge, Length};
use crate::trade::thermocouple_colour::{ColourStandard, ThermocoupleType};

impl Library {
    /// The wire of a family that has this gauge.
    pub fn wire_by_family(&self, family: &str, gauge: Gauge) -> Option<WirePartId> {
        self.wires.iter().find(|(_, _, w)| w.family == family && w.gauge == gauge).map(|(id, _, _)| id)
    }

    /// The first thermocouple pair of that type, colours and gauge.
    pub fn thermocouple_pair(
        &self,
        kind: ThermocoupleType,
        colours: ColourStandard,
        gauge: Gauge,
    ) -> Option<WirePartId> {
        let is_it = |w: &WirePart| {
            w.colour_standard == Some(colours) && w.gauge == gauge && w.thermocouple() == Some(kind)
        };
        self.wires.iter().find(|(_, _, w)| is_it(w)).map(|(id, _, _)| id)
    }

    /// The marker sleeve that goes over `outside` and closes on it: the narrowest, then the first.
    pub fn marker_sleeve_for(&self, outside: Length) -> Option<CoveringPartId> {
        self.sleeve(CoveringUse::Marker, outside, outside)
    }

    /// The insulating sleeve that goes over `big` (the barrel, the splice) and closes on `small` (the wire): the
    /// narrowest, then the first.
    pub fn insulation_sleeve_for(&self, small: Length, big: Length) -> Option<CoveringPartId> {
        self.sleeve(CoveringUse::Insulation, small, big)
    }

    /// The first tie or clamp of that use that is made for a bundle of this diameter.
    pub fn sundry_for(&self, use_for: SundryUse, bundle: Length) -> Option<SundryPartId> {
        let takes =
            |s: &SundryPart| s.use_for == Some(use_for) && s.over.is_some_and(|over| over.contains(bundle));
        self.sundries.iter().find(|(_, _, s)| takes(s)).map(|(id, _, _)| id)
    }

    fn sleeve(&self, use_for: CoveringUse, small: Length, big: Length) -> Option<CoveringPartId> {
        self.coverings
            .iter()
            .filter(|(_, _, c)| c.use_for == use_for && c.over.low() <= small && big <= c.over.high())
            .min_by_key(|(_, _, c)| c.over.high())
            .map(|(id, _, _)| id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn library() -> &'static Library {
        Library::supplied()
    }

    fn gauge(text: &str) -> Gauge {
        text.parse().unwrap()
    }

    #[test]
    fn sisters_and_pairs_are_found() {
        let name = |id: Option<WirePartId>| id.map(|id| library().wires.name(id));
        assert_eq!(name(library().wire_by_family("etfe", gauge("20 AWG"))), Some("etfe-20"));
        assert_eq!(name(library().wire_by_family("boat", gauge("1.5 mm²"))), Some("boat-1.5"));
        assert_eq!(name(library().wire_by_family("etfe", gauge("1.5 mm²"))), None);
        for kind in [ThermocoupleType::K, ThermocoupleType::J] {
            for colours in [ColourStandard::Ansi, ColourStandard::Iec] {
                for size in ["20 AWG", "22 AWG", "24 AWG"] {
                    assert!(library().thermocouple_pair(kind, colours, gauge(size)).is_some());
                }
            }
        }
    }

    #[test]
    fn every_wire_has_a_marker_sleeve_and_every_bare_splice_a_cover() {
        for (_, name, wire) in library().wires.iter() {
            for outside in [wire.outside, wire.insulation()] {
                assert!(library().marker_sleeve_for(outside).is_some(), "{name}");
            }
        }
        let narrowest = library().marker_sleeve_for(Length::from_mm(1.5)).unwrap();
        assert_eq!(library().coverings.name(narrowest), "marker-sleeve-2");
        assert_eq!(library().marker_sleeve_for(Length::from_mm(0.1)), None);
        let cover = library().insulation_sleeve_for(Length::from_mm(1.27), Length::from_mm(3.0));
        assert_eq!(cover.map(|id| library().coverings.name(id)), Some("heat-shrink-4-hot"));
    }

    #[test]
    fn a_clamp_closes_on_its_bundle() {
        let clamp = |mm| {
            library().sundry_for(SundryUse::Clamp, Length::from_mm(mm)).map(|id| library().sundries.name(id))
        };
        assert_eq!(
            (clamp(8.3), clamp(5.0), clamp(27.0)),
            (Some("clamp-8"), Some("clamp-5"), Some("clamp-25"))
        );
        assert_eq!((clamp(1.9), clamp(27.1)), (None, None));
        assert!(library().sundry_for(SundryUse::SleeveClamp, Length::from_mm(12.0)).is_some());
    }

    // Both tables are typical and from memory, so this says only that they agree.
    #[test]
    fn hook_up_wire_measures_what_the_table_of_the_trade_says() {
        let mut compared = 0;
        for (_, name, wire) in library().wires.iter().filter(|(_, _, w)| w.family == "etfe") {
            assert!(wire.typical, "{name}");
            let Some(typical) = crate::trade::wire_table::typical(wire.gauge) else { continue };
            assert_eq!(wire.outside, typical.outside, "{name}");
            let apart = wire.mass.unwrap().grams_per_metre() - typical.mass.grams_per_metre();
            assert!(apart.abs() < 1e-6, "{name}");
            compared += 1;
        }
        assert_eq!(compared, 8, "24 to 10 AWG");
    }
}
