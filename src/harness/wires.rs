//! Which wire, pair or cable a circuit is made of, and in which colours.

use super::origin::{Origin, Spot};
use super::structure::unknown_part;
use crate::diag::{Sink, Span};
use crate::parts::library::{Library, WirePartId};
use crate::parts::words::Role;
use crate::quantity::Gauge;
use crate::spec::model::{CircuitSpec, HarnessSpec};
use crate::spec::words::CircuitKind;
use crate::trade::colour::{Colour, Hue};
use crate::trade::thermocouple_colour::{ColourStandard, ThermocoupleType};

/// A wire and the line that chose it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    pub wire: WirePartId,
    /// `None` where the tool chose.
    pub span: Option<Span>,
}

/// Chooses wires.
pub(super) struct Wires<'a> {
    pub library: &'a Library,
    /// What circuits are made of that say nothing.
    default: Option<Choice>,
    /// Extension pairs of the declared colour standard; `None` where none is declared.
    pairs: Option<Vec<(ThermocoupleType, Gauge, WirePartId)>>,
}

/// Gauge of hook-up wire where neither circuit nor harness says one: common practice for instrument wiring, no source.
const INSTRUMENT: Gauge = Gauge::Awg(22);
/// Gauge of thermocouple pairs where the circuit does not say one: common practice, no source.
const PAIR: Gauge = Gauge::Awg(20);

impl<'a> Wires<'a> {
    pub(super) fn new(
        spec: &HarnessSpec,
        origin: &Origin,
        spot: Spot,
        library: &'a Library,
        sink: &mut Sink,
    ) -> Self {
        let named = spec.default_wire.as_deref().and_then(|name| {
            let span = origin.field(spot, "default-wire");
            let found = library.wires.look_up(name);
            match found {
                None => unknown_part(sink, span, name, "a wire", library.wires.names()),
                Some((_, part)) if !part.cores.is_empty() => sink.unreadable(
                    span,
                    format!("`{name}` has {} cores", part.cores.len()),
                    "name a single wire; circuits name their cables themselves",
                ),
                Some((wire, _)) => return Some(Choice { wire, span: Some(span) }),
            }
            None
        });
        let default = named.or_else(|| {
            let single = |gauge: Option<Gauge>| {
                library
                    .wires
                    .iter()
                    .find(|(_, _, p)| p.cores.is_empty() && gauge.is_none_or(|g| g == p.gauge))
                    .map(|(wire, _, _)| Choice { wire, span: None })
            };
            single(Some(INSTRUMENT)).or_else(|| single(None))
        });
        let pairs = spec.thermocouple_colours.map(|standard| extension_pairs(library, standard));
        Wires { library, default, pairs }
    }

    /// The wire of a circuit. `thermocouple` is the type that its ports say. `None` was told.
    pub(super) fn choose(
        &self,
        spec: &CircuitSpec,
        thermocouple: Option<ThermocoupleType>,
        origin: &Origin,
        spot: Spot,
        sink: &mut Sink,
    ) -> Option<Choice> {
        if let Some(name) = &spec.wire {
            let span = origin.field(spot, "wire");
            let Some((wire, part)) = self.library.wires.look_up(name) else {
                unknown_part(sink, span, name, "a wire, pair or cable", self.library.wires.names());
                return None;
            };
            let Some(gauge) = spec.gauge.filter(|g| *g != part.gauge) else {
                return Some(Choice { wire, span: Some(span) });
            };
            return self.sister(wire, gauge, origin.field(spot, "gauge"), sink);
        }
        if let Some(kind) = thermocouple {
            let gauge = spec.gauge.unwrap_or(PAIR);
            let Some(pairs) = &self.pairs else {
                sink.unreadable(
                    spot.name,
                    "nothing says in which colours its thermocouple pair is",
                    "write `thermocouple-colours: ansi` or `iec` under `harness:`, or name the pair with `wire:`",
                );
                return None;
            };
            let pair = pairs.iter().find(|(k, g, _)| (*k, *g) == (kind, gauge)).map(|(_, _, wire)| *wire);
            if pair.is_none() {
                sink.unreadable(
                    origin.field(spot, "gauge"),
                    format!("there is no {} pair in {gauge} in the parts library", kind.letter()),
                    "write another `gauge:`, or name the pair with `wire:`",
                );
            }
            return pair.map(|wire| Choice { wire, span: origin.given(spot, "gauge") });
        }
        let default = self.default?;
        match spec.gauge {
            Some(gauge) => self.sister(default.wire, gauge, origin.field(spot, "gauge"), sink),
            None => Some(default),
        }
    }

    /// A single wire for the drain lead of a screen: of the default wire's family, else any of that gauge.
    pub(super) fn drain(&self, gauge: Gauge) -> Option<Choice> {
        let default = self.default?;
        let family = &self.library.wires.get(default.wire).family;
        let any = || {
            self.library
                .wires
                .iter()
                .find(|(_, _, p)| p.cores.is_empty() && p.gauge == gauge)
                .map(|(wire, _, _)| wire)
        };
        self.of_family(family, gauge).or_else(any).map(|wire| Choice { wire, span: None })
    }

    fn of_family(&self, family: &str, gauge: Gauge) -> Option<WirePartId> {
        self.library
            .wires
            .iter()
            .find(|(_, _, p)| p.family == family && p.gauge == gauge)
            .map(|(wire, _, _)| wire)
    }

    fn sister(&self, wire: WirePartId, gauge: Gauge, span: Span, sink: &mut Sink) -> Option<Choice> {
        let family = &self.library.wires.get(wire).family;
        let found = self.of_family(family, gauge);
        if found.is_none() {
            let has: Vec<String> = self
                .library
                .wires
                .iter()
                .filter(|(_, _, p)| &p.family == family)
                .map(|(_, _, p)| p.gauge.to_string())
                .collect();
            sink.unreadable(
                span,
                format!("wire of the family `{family}` is not made in {gauge}"),
                format!("write one of {}", has.join(", ")),
            );
        }
        found.map(|wire| Choice { wire, span: Some(span) })
    }
}

/// Unscreened two-core pairs of matched alloys in the colours of `standard`, in the order of the library.
fn extension_pairs(
    library: &Library,
    standard: ColourStandard,
) -> Vec<(ThermocoupleType, Gauge, WirePartId)> {
    let types = [ThermocoupleType::K, ThermocoupleType::J];
    library
        .wires
        .iter()
        .filter(|(_, _, p)| p.colour_standard == Some(standard) && p.screen.is_none())
        .filter_map(|(wire, _, p)| {
            let [plus, minus] = p.cores.as_slice() else { return None };
            let alloys = [plus.alloy?, minus.alloy?];
            let kind = types.into_iter().find(|k| alloys == [k.positive(), k.negative()])?;
            Some((kind, p.gauge, wire))
        })
        .collect()
}

/// Insulation colour of a single wire where the spec does not say one, so that drawings can be told apart and papers
/// agree: common practice, no source.
pub(super) fn usual_colour(kind: CircuitKind, role: Option<Role>) -> Colour {
    let hue = match (kind, role) {
        (CircuitKind::Ground, _) | (_, Some(Role::Ground | Role::Return)) => Hue::Black,
        (CircuitKind::Power, _) | (_, Some(Role::Supply)) => Hue::Red,
        (_, Some(Role::Excitation)) => Hue::Orange,
        (_, Some(Role::Pulse)) => Hue::Yellow,
        _ => Hue::White,
    };
    Colour::plain(hue)
}
