//! Wire ends on studs in; studs with more lugs than they may hold out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::harness::{DeviceClass, PinId, PinSite};

/// Lugs on one stud where the spec sets no other limit: AC 43.13-1B par. 11-174b asks for a bus bar across studs when
/// more than four terminals are joined; ABYC E-11.14.6.9 allows no more than four on any stud.
const MOST_LUGS: usize = 4;

/// The rule.
pub static RULE: Rule = Rule {
    name: "stud-stack",
    title: "Too many lugs are stacked on one stud",
    severity: Severity::Stop,
    why: "A tall stack settles, the nut loses its grip, and the joint gets hot or opens.",
    limit: "`max-lugs:` of the stud, else 4; lugs of other circuits (`others:`) count",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-174b (also ABYC E-11.14.6.9)" },
    remedy: "spread the lugs over two studs joined by a small bus bar",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for i in 0..h.pins.len() {
        let pin = PinId::at(i);
        if !matches!(h.pin(pin).site, PinSite::Stud(_) | PinSite::Case(_)) {
            continue;
        }
        let device = h.device(h.pin(pin).device);
        let (declared, others) = match &device.class {
            DeviceClass::Ground { max_lugs, others, .. } | DeviceClass::Stud { max_lugs, others, .. } => {
                (*max_lugs, *others as usize)
            }
            _ => (None, 0),
        };
        let own = facts.electrical.conductors_at(pin);
        let count = own.len() + others;
        let most = declared.map_or(MOST_LUGS, |m| m.value as usize);
        if own.is_empty() || count <= most {
            continue;
        }
        let of_which =
            if others > 0 { format!(", {others} of them of other circuits") } else { String::new() };
        let mut fault = Fault::new(format!(
            "{count} lugs are stacked on `{}`{of_which}; {most} may be",
            facts.pin_name(pin)
        ))
        .at(device.span, &device.name, format!("{count} lugs"));
        for c in own {
            let (span, circuit): (Span, &str) = facts.spot(*c);
            fault = fault.at(span, circuit, "ends here");
        }
        if let Some(declared) = declared {
            fault = fault.limit(declared.span, format!("at most {most}"));
        }
        verdict
            .finds(fault.seen("a joint that loosens and gets hot; grounds that come and go with vibration"));
    }
}
