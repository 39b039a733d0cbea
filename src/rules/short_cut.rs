//! Declared lengths and the ways of the wires in; wires that do not reach from end to end out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, DeviceClass, Located, PinId};
use crate::parts::words::Style;
use crate::quantity::{Length, lengths_beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "short-cut",
    title: "A wire is shorter than its way",
    severity: Severity::Stop,
    why: "It is found out when it hangs short of its pin, after everything else of the bundle is in; or it is pulled \
          tight across what moves and what is hot.",
    limit: "`length:` of a circuit, against the runs on its way and the tails at both ends; a doubt where it leaves less \
            than the shop's own `service-loop:` at an indicator",
    source: Source::Declared("the spec: lengths of the runs, `tail:` and `service-loop:`"),
    remedy: "cut it anew, or correct `length:` or the runs",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for (i, circuit) in h.circuits.iter().enumerate() {
        let Some(declared) = circuit.length else { continue };
        // The one that needs most stands for all conductors of the circuit.
        let needs = h.conductors_of(CircuitId::at(i)).filter_map(|id| Need::of(facts, id));
        let Some(need) = needs.max_by_key(Need::with_loop) else { continue };
        if declared.value < need.bare() {
            verdict.finds(need.fault(facts, declared, need.bare(), ""));
        } else if declared.value < need.with_loop() {
            let loops = format!(" and {} of service loop", need.service.show(units));
            let mut fault = need.fault(facts, declared, need.with_loop(), &loops).weighs(Severity::Doubt);
            if let Some(span) = h.shop.service_loop.span {
                fault = fault.limit(span, "the loop that the shop leaves");
            }
            verdict.finds(fault.seen("an indicator that cannot be drawn out of the panel with its plugs on"));
        }
    }
}

/// What a conductor needs.
struct Need {
    conductor: ConductorId,
    runs: Length,
    tails: Length,
    /// Loop at an indicator, where the shop says how long it is.
    service: Length,
}

impl Need {
    /// None for a conductor without a way, which another rule tells.
    fn of(facts: &Facts<'_>, conductor: ConductorId) -> Option<Need> {
        let h = facts.harness;
        let c = h.conductor(conductor);
        let path = facts.routing.path_of(h, conductor)?;
        let looped = |pin: &PinId| {
            let style = h.device(h.pin(*pin).device).style;
            h.shop.service_loop.span.is_some() && matches!(style, Some(Style::Indicator | Style::Converter))
        };
        let loops = [c.from, c.to].iter().filter(|pin| looped(pin)).count();
        Some(Need {
            conductor,
            runs: path.length,
            tails: tail(facts, c.from) + tail(facts, c.to),
            service: h.shop.service_loop.value.times(loops),
        })
    }

    /// To come from end to end.
    fn bare(&self) -> Length {
        self.runs + self.tails
    }

    /// To leave the loop as well.
    fn with_loop(&self) -> Length {
        self.bare() + self.service
    }

    fn fault(&self, facts: &Facts<'_>, declared: Located<Length>, needed: Length, loops: &str) -> Fault {
        let units = facts.harness.header.units;
        let c = facts.harness.conductor(self.conductor);
        let (span, name) = facts.spot(self.conductor);
        let [long, need] = lengths_beside(declared.value, needed, units);
        Fault::new(format!(
            "the wires of circuit `{name}` are {long} long; from `{}` to `{}` they need {need}: {} along the route, {} of tails{loops}",
            facts.pin_name(c.from),
            facts.pin_name(c.to),
            self.runs.show(units),
            self.tails.show(units)
        ))
        .at(declared.span, name, format!("{} too short", (needed - declared.value).show(units)))
        .at(span, name, format!("`{}` needs the most", c.mark))
        .seen("a wire that hangs short of its pin, or is pulled tight across the engine")
    }
}

/// Tail at an end; none inside a splice.
fn tail(facts: &Facts<'_>, pin: PinId) -> Length {
    let device = facts.harness.device(facts.harness.pin(pin).device);
    match device.class {
        DeviceClass::Splice { .. } => Length::ZERO,
        _ => device.tail.value,
    }
}
