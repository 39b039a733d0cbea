//! Small signals and the runs they take in; those that lie beside ignition or alternator leads out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, DeviceClass, RunId};
use crate::parts::words::{PortKind, Role};
use crate::spec::words::Hazard;

/// The rule.
pub static RULE: Rule = Rule {
    name: "near-ignition",
    title: "A small signal lies beside ignition or alternator leads",
    severity: Severity::Doubt,
    why: "The spark and the ripple of the alternator couple into what lies beside them; a thermocouple or shunt gives \
          millivolts, and the gauge cannot tell the one from the other.",
    limit: "thermocouples and shunts take no run `beside: [ignition]` or `[charging]`; a note where they are screened, \
            or twisted and no way leads round it, nothing where they are all three; senders of other \
            kinds, where neither twisted nor screened, a note",
    source: Source::CommonPractice,
    remedy: "let the circuit `keep-off:` it, or move the run; where there is no other way, a screened pair",
    check,
};

/// Wires of one circuit beside one hazard.
#[derive(Default)]
struct Near {
    wires: BTreeSet<ConductorId>,
    runs: BTreeSet<RunId>,
    millivolts: bool,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut near: BTreeMap<(CircuitId, Hazard), Near> = BTreeMap::new();
    for (c, millivolts) in signals(facts) {
        let Some(path) = facts.routing.path_of(h, c) else { continue };
        for run in &path.runs {
            let loud = |x: &&Hazard| matches!(x, Hazard::Ignition | Hazard::Charging);
            for hazard in h.run(*run).beside.iter().filter(loud) {
                let entry = near.entry((h.conductor(c).circuit, *hazard)).or_default();
                entry.wires.insert(c);
                entry.runs.insert(*run);
                entry.millivolts |= millivolts;
            }
        }
    }
    let mut only: BTreeMap<Hazard, BTreeSet<RunId>> = BTreeMap::new();
    for (_, hazard) in near.keys() {
        only.entry(*hazard).or_insert_with(|| facts.routing.route.only_ways_beside(*hazard));
    }
    for ((circuit, hazard), near) in &near {
        let twisted = near.wires.iter().all(|c| facts.is_twisted(*c));
        let screened = near.wires.iter().all(|c| facts.is_screened(*c));
        let no_other_way = h.circuit(*circuit).keep_off.contains(hazard)
            || only
                .get(hazard)
                .is_some_and(|only| near.runs.iter().all(|r| is_only_way(facts, only, near, *r)));
        let is_kept_quiet =
            if near.millivolts { twisted && screened && no_other_way } else { twisted || screened };
        if is_kept_quiet {
            continue;
        }
        let fault = fault(facts, *circuit, *hazard, near);
        let fault = if no_other_way {
            fault.mend("move the run away from it, or name a screened pair (`wire:`)")
        } else {
            fault.mend(format!(
                "let the circuit avoid it (`keep-off: [{}]`), or lead it another way (`through:`)",
                hazard.words()
            ))
        };
        let light = !near.millivolts || screened || (no_other_way && twisted);
        verdict.finds(if light { fault.weighs(Severity::Note) } else { fault });
    }
}

/// Conductors of small signals; true for millivolts.
fn signals<'a>(facts: &Facts<'a>) -> impl Iterator<Item = (ConductorId, bool)> + 'a {
    let (h, electrical, pairs) = (facts.harness, facts.electrical, facts.pairs);
    let pairs = pairs.iter().flat_map(|pair| pair.conductors()).map(|c| (c, true));
    let sensors = h.devices.iter().filter(|d| matches!(d.class, DeviceClass::Sensor));
    let ports = sensors.flat_map(|d| &d.ports);
    let senders = ports.filter(|p| matches!(p.kind, PortKind::Resistance | PortKind::ExcitedVoltage));
    let signal = senders.flat_map(|p| p.pins.iter().filter(|(role, _)| *role == Role::Signal));
    pairs.chain(signal.flat_map(move |(_, pin)| electrical.conductors_over(h, *pin)).map(|c| (c, false)))
}

/// True where every wire of the circuit that takes the run ends on both sides of it, and no quiet way leads round it.
fn is_only_way(facts: &Facts<'_>, only: &BTreeSet<RunId>, near: &Near, run: RunId) -> bool {
    let passes = |c: &ConductorId| {
        let path = facts.routing.path_of(facts.harness, *c);
        path.map_or(0, |path| path.runs.iter().filter(|r| **r == run).count())
    };
    // A wire that comes back over the run was led there by `through:` and need not go there.
    only.contains(&run) && near.wires.iter().map(passes).all(|times| times == 0 || times % 2 == 1)
}

fn fault(facts: &Facts<'_>, circuit: CircuitId, hazard: Hazard, near: &Near) -> Fault {
    let h = facts.harness;
    let name = &h.circuit(circuit).name;
    let runs: Vec<String> = near.runs.iter().map(|run| format!("`{}`", h.run(*run).name)).collect();
    let mut fault = Fault::new(format!(
        "circuit `{name}` carries {} beside {} in {}",
        if near.millivolts { "millivolts" } else { "the signal of a sender" },
        match hazard {
            Hazard::Ignition => "ignition leads",
            _ => "alternator or starter cables",
        },
        runs.join(", ")
    ));
    for c in &near.wires {
        let (span, circuit) = facts.spot(*c);
        fault = fault.at(span, circuit, "lies there");
    }
    for run in &near.runs {
        let run = h.run(*run);
        let apart = run.apart.iter().find(|(x, _)| *x == hazard);
        let text = match apart {
            Some((_, apart)) => {
                format!("beside {}, kept {} from it", hazard.words(), apart.value.show(h.header.units))
            }
            None => format!("beside {}", hazard.words()),
        };
        fault = fault.at(run.span, &run.name, text);
    }
    fault.seen(match hazard {
        Hazard::Ignition => "a reading that jumps with the engine's speed",
        _ => "a reading that moves with what the alternator gives",
    })
}
