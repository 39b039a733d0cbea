//! The cut list: one row a conductor, with all that a person needs to cut, mark and keep it apart.

use serde::Serialize;

use super::Plan;
use super::end_words::{EndWords, plain, polarity, sense_words, senses_shunt, words};
use super::length::{CutLength, Term};
use crate::graph::Routing;
use crate::harness::{ConductorId, Harness};
use crate::parts::library::Library;
use crate::quantity::{Gauge, Length};

/// A conductor to cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CutRow {
    /// Wire mark.
    pub mark: String,
    /// Circuit.
    pub circuit: String,
    /// System that it belongs to.
    pub system: String,
    /// One end, towards the circuit's `from`.
    pub from: EndWords,
    /// The other end.
    pub to: EndWords,
    /// Name of the wire, pair or cable.
    pub wire: String,
    /// Its trade description.
    pub wire_title: String,
    /// Pair or cable it is a core of: that is cut as one piece. Empty for a single wire.
    pub cable: String,
    /// Gauge.
    pub gauge: Gauge,
    /// Letters of its colour.
    pub colour: String,
    /// Its colour in words.
    pub colour_name: String,
    /// Holes passed, in order.
    pub through: Vec<String>,
    /// Length to cut: the declared one, else the computed one. None where something is missing to know it.
    pub cut_length: Option<Length>,
    /// Length that the route and the shop's allowances come to.
    pub computed_length: Option<Length>,
    /// Terms of the computed length; of what is known, where something is missing.
    pub terms: Terms,
    /// Length that the spec declares, beside the computed one.
    pub declared_length: Option<Length>,
    /// True where a default of the tool is in the length to cut.
    pub by_default: bool,
    /// What is missing to know the length.
    pub missing: Vec<String>,
    /// Marks of the wires that it is twisted with by the shop, before it is laid; empty where it is not.
    pub twist_with: Vec<String>,
    /// Length of one turn of that twist.
    pub turn: Option<Length>,
    /// What can hurt somebody or the loom: colours that mislead, wires that nothing protects.
    pub cautions: Vec<String>,
    /// Remark of the circuit.
    pub note: String,
}

/// One row a conductor, in the order of the harness: circuits as in the spec, drain leads last.
pub fn cut_list(h: &Harness, library: &Library, routing: &Routing, plan: &Plan) -> Vec<CutRow> {
    let ends = h.conductor_ids().zip(&plan.terminations.of).zip(&plan.lengths);
    let row = |((id, [from, to]), length): ((ConductorId, &[_; 2]), &CutLength)| {
        let c = h.conductor(id);
        let circuit = h.circuit(c.circuit);
        let twisted = twisted(h, id);
        let sense = [c.from, c.to].into_iter().find(|pin| senses_shunt(h, *pin));
        let sense = sense.map(|pin| sense_words(&h.device(h.pin(pin).device).name));
        CutRow {
            mark: c.mark.clone(),
            circuit: circuit.name.clone(),
            system: circuit.system.clone(),
            from: words(h, library, routing, from),
            to: words(h, library, routing, to),
            wire: library.wires.name(c.wire).to_owned(),
            wire_title: library.wires.get(c.wire).title.clone(),
            cable: c.cable.map_or_else(String::new, |cable| h.cable(cable).name.clone()),
            gauge: c.gauge,
            colour: c.colour.value.code(),
            colour_name: c.colour.value.name(),
            through: through(h, routing, id),
            cut_length: length.cut(),
            computed_length: length.need,
            terms: Terms::of(length),
            declared_length: length.declared.map(|d| d.value),
            by_default: length.declared.is_none() && length.by_default(),
            missing: length.missing.iter().map(|m| plain(m)).collect(),
            turn: h.lay(c.lay).twist.filter(|_| !twisted.is_empty()).map(|turn| turn.value),
            twist_with: twisted,
            cautions: polarity(library, c.wire).into_iter().chain(sense).collect(),
            note: circuit.note.clone().unwrap_or_default(),
        }
    };
    ends.map(row).collect()
}

/// The wires that the shop twists this one with. A pair or cable is bought twisted, and a drain lead stays in its tail.
fn twisted(h: &Harness, id: ConductorId) -> Vec<String> {
    let c = h.conductor(id);
    let lay = h.lay(c.lay);
    let alone = |id: &ConductorId| h.conductor(*id).cable.is_none() && !h.conductor(*id).drain;
    if lay.twist.is_none() || !alone(&id) {
        return Vec::new();
    }
    let others = lay.conductors.iter().filter(|other| **other != id && alone(other));
    others.map(|other| h.conductor(*other).mark.clone()).collect()
}

/// The terms of a computed length, taken together as the bench measures them. They add up to it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Terms {
    /// Along the runs of the route, to where its splices lie.
    pub route: Length,
    /// Tails at both ends, with the loop behind an indicator.
    pub tails: Length,
    /// To the place of a device that trades places.
    pub reach: Length,
    /// To make the ends anew, to stagger splices, and what is folded back.
    pub reserves: Length,
    /// Twist, evening out with the other cores, rounding.
    pub rest: Length,
}

impl Terms {
    /// Of a length.
    pub fn of(length: &CutLength) -> Terms {
        let mut terms = Terms::default();
        for item in &length.items {
            let sum = match item.term {
                Term::Run | Term::Shift => &mut terms.route,
                Term::Tail | Term::ServiceLoop => &mut terms.tails,
                Term::Reach => &mut terms.reach,
                Term::Reserve | Term::Stagger | Term::FoldBack => &mut terms.reserves,
                Term::Twist | Term::Evened | Term::Rounding => &mut terms.rest,
            };
            *sum += item.length;
        }
        terms
    }
}

/// Holes that a conductor passes, in order from its first end; a drain lead stays in the tail of its end.
fn through(h: &Harness, routing: &Routing, id: ConductorId) -> Vec<String> {
    let path = routing.path_of(h, id).filter(|_| !h.conductor(id).drain);
    path.map_or_else(Vec::new, |p| p.holes.iter().map(|hole| h.hole(*hole).name.clone()).collect())
}
