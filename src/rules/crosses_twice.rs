//! Paths in; circuits that go through a barrier and come back out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{BarrierId, Circuit, CircuitId, ConductorId, DeviceClass, HoleId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "crosses-twice",
    title: "A circuit crosses a barrier more than once",
    severity: Severity::Stop,
    why: "Each crossing takes room in a hole and is one more place to chafe and to leak; a second one is seldom meant.",
    limit: "each leg of a circuit passes a barrier once at most",
    source: Source::CommonPractice,
    remedy: "change `through:`, or move the splice or connector to the side where the ends are",
    check,
};

/// Crossings of each barrier by each leg, in the order in which they are met.
type Crossings = BTreeMap<(BarrierId, u32), Vec<(HoleId, ConductorId)>>;

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, circuit) in h.circuits.iter().enumerate() {
        let mut crossed = Crossings::new();
        for c in h.conductors_of(CircuitId::at(i)) {
            for hole in facts.holes_of(c) {
                crossed.entry((h.hole(hole).barrier, h.conductor(c).leg)).or_default().push((hole, c));
            }
        }
        far_splice(facts, circuit, &crossed, verdict);
        let twice = crossed.iter().find(|(_, holes)| holes.len() > 1);
        let Some((&(barrier, _), holes)) = twice else { continue };
        let barrier = h.barrier(barrier);
        let names: Vec<String> = holes.iter().map(|(hole, _)| format!("`{}`", h.hole(*hole).name)).collect();
        let mut fault = Fault::new(format!(
            "circuit `{}` crosses `{}` {}, through {}; once is enough",
            circuit.name,
            barrier.name,
            if holes.len() == 2 { "twice".to_owned() } else { format!("{} times", holes.len()) },
            names.join(" and ")
        ))
        .at(circuit.span, &circuit.name, "this circuit");
        for through in &circuit.through {
            let place = h.place(through.value);
            fault = fault.at(through.span, &place.name, "it is told to pass here");
        }
        for (hole, _) in holes {
            fault = fault.at(h.hole(*hole).span, &h.hole(*hole).name, "passed");
        }
        verdict.finds(fault.seen("wire and holes taken up for nothing, and one more place to chafe"));
    }
}

/// A splice alone on its side of a barrier: all ends that it joins lie on the other.
fn far_splice(facts: &Facts<'_>, circuit: &Circuit, crossed: &Crossings, verdict: &mut Verdict) {
    let h = facts.harness;
    let Some(splice) = circuit.joint.map(|id| h.device(id)) else { return };
    if !matches!(splice.class, DeviceClass::Splice { .. }) {
        return;
    }
    let barriers: BTreeSet<BarrierId> = crossed.keys().map(|(barrier, _)| *barrier).collect();
    for id in barriers {
        let legs = crossed.iter().filter(|((barrier, _), _)| *barrier == id);
        if legs.filter(|(_, holes)| holes.len() % 2 == 1).count() < circuit.conductor_count as usize {
            continue;
        }
        let barrier = h.barrier(id);
        verdict.finds(
            Fault::new(format!(
                "all ends of circuit `{}` lie on one side of `{}` and their splice `{}` on the other: each wire crosses, \
                 and none need",
                circuit.name, barrier.name, splice.name
            ))
            .at(circuit.span, &circuit.name, "this circuit")
            .at(splice.span, &splice.name, "its splice")
            .at(barrier.span, &barrier.name, "crossed by every wire of it")
            .mend("put the splice (`joined-at:`) on the side where the ends are")
            .seen("wire and holes taken up for nothing, and one more place to chafe"),
        );
    }
}

impl Facts<'_> {
    /// Holes that a conductor passes, and the one in which the connector sits that it comes from.
    pub(super) fn holes_of(&self, conductor: ConductorId) -> impl Iterator<Item = HoleId> + '_ {
        let h = self.harness;
        let from = h.pin(h.conductor(conductor).from).device;
        // A leg that is broken by a connector in the hole crosses there: counted with the piece behind it.
        let sits_in = matches!(h.device(from).class, DeviceClass::InLine { .. })
            .then(|| h.device(from).place.and_then(|p| h.place(p).hole))
            .flatten();
        let passed = self.routing.path_of(h, conductor).into_iter().flat_map(|p| p.holes.iter().copied());
        sits_in.into_iter().chain(passed)
    }
}
