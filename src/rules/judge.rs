//! All rules over one harness: facts in; every finding, waived or not, and how each rule came out.

use super::{FAMILIES, Facts, Rule, Unjudged, Verdict};
use crate::diag::{Finding, Severity};
use crate::harness::Waiver;
use crate::workers;

/// How a rule came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Nothing found.
    Passed,
    /// A finding that nobody waived.
    Failed,
    /// Findings, all of them waived.
    Waived,
    /// Nothing found, and something could not be judged for want of data.
    NotJudged,
}

/// One rule and how it came out.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The rule.
    pub rule: &'static Rule,
    /// How it came out.
    pub outcome: Outcome,
    /// What it could not judge.
    pub unjudged: Vec<Unjudged>,
}

/// How many rules came out how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Rules that found nothing.
    pub passed: usize,
    /// Rules with a finding that stands.
    pub failed: usize,
    /// Rules whose findings are all waived.
    pub waived: usize,
    /// Rules that could not judge.
    pub not_judged: usize,
}

impl Count {
    /// Rules by outcome.
    pub fn of(standings: &[Standing]) -> Count {
        let of = |outcome| standings.iter().filter(|s| s.outcome == outcome).count();
        Count {
            passed: of(Outcome::Passed),
            failed: of(Outcome::Failed),
            waived: of(Outcome::Waived),
            not_judged: of(Outcome::NotJudged),
        }
    }
}

/// What the check of a harness came to.
#[derive(Clone, Debug)]
pub struct Report {
    /// Every finding, the waived ones marked, by the place of their first labels.
    pub findings: Vec<Finding>,
    /// Every rule, in the order of the families.
    pub standings: Vec<Standing>,
}

impl Report {
    /// Findings that nobody waived.
    pub fn open(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| f.waived.is_none())
    }
}

/// Lets every rule look at the facts. Waivers are applied when all but the rules on waivers have spoken: a waiver
/// without a reason or past its day covers nothing, one without a name no stop, and the rules on waivers cannot be waived.
pub fn judge(facts: Facts<'_>) -> Report {
    let mut findings = Vec::new();
    let mut standings = Vec::new();
    let (last, families) = match FAMILIES.split_last() {
        Some((last, families)) => (last.rules, families),
        None => (&[][..], FAMILIES),
    };
    let rules: Vec<&'static Rule> = families.iter().flat_map(|f| f.rules.iter().copied()).collect();
    let asked = workers::each(rules.len(), |n| ask(rules[n], &facts));
    for (rule, (found, unjudged)) in rules.into_iter().zip(asked) {
        findings.extend(found);
        standings.push(Standing { rule, outcome: Outcome::Passed, unjudged });
    }
    let (idle, unsigned) = waive(&facts, &mut findings);
    for rule in last.iter().copied() {
        let (found, unjudged) =
            ask(rule, &Facts { idle_waivers: &idle, unsigned_waivers: &unsigned, ..facts });
        findings.extend(found);
        standings.push(Standing { rule, outcome: Outcome::Passed, unjudged });
    }
    for standing in &mut standings {
        let own: Vec<&Finding> = findings.iter().filter(|f| f.rule == standing.rule.name).collect();
        standing.outcome = match own.as_slice() {
            [] if standing.unjudged.is_empty() => Outcome::Passed,
            [] => Outcome::NotJudged,
            found if found.iter().all(|f| f.waived.is_some()) => Outcome::Waived,
            _ => Outcome::Failed,
        };
    }
    findings.sort_by(|a, b| {
        let key = |f: &Finding| f.labels.first().map(|l| l.span);
        (key(a), a.rule, &a.message).cmp(&(key(b), b.rule, &b.message))
    });
    Report { findings, standings }
}

fn ask(rule: &'static Rule, facts: &Facts<'_>) -> (Vec<Finding>, Vec<Unjudged>) {
    let mut verdict = Verdict::of(rule);
    (rule.check)(facts, &mut verdict);
    verdict.into_parts()
}

/// Marks what is waived; returns the waivers that covered nothing, and those without a name that would cover a stop.
fn waive(facts: &Facts<'_>, findings: &mut [Finding]) -> (Vec<usize>, Vec<usize>) {
    let (mut idle, mut unsigned) = (Vec::new(), Vec::new());
    for (i, waiver) in facts.harness.waivers.iter().enumerate() {
        let (mut matched, mut nobody) = (false, false);
        for finding in findings.iter_mut().filter(|f| covers(waiver, f)) {
            matched = true;
            let Some(reason) = waiver.reason().filter(|_| !waiver.expired(facts.today)) else { continue };
            match waiver.signed() {
                Some(by) => finding.waived = Some(format!("{reason} ({by})")),
                None if finding.severity == Severity::Stop => nobody = true,
                None => finding.waived = Some(reason.to_owned()),
            }
        }
        if !matched {
            idle.push(i);
        }
        if nobody {
            unsigned.push(i);
        }
    }
    (idle, unsigned)
}

/// True where the finding is of the waiver's rule and names the waiver's thing, in a label or in its sentence.
fn covers(waiver: &Waiver, finding: &Finding) -> bool {
    let at = waiver.at.value.as_str();
    let named = || {
        finding.labels.iter().any(|l| l.id.as_deref() == Some(at))
            || finding.message.contains(&format!("`{at}`"))
    };
    waiver.rule.value == finding.rule && named()
}

/// True for the rules on waivers themselves.
pub(super) fn cannot_be_waived(rule: &Rule) -> bool {
    FAMILIES.last().is_some_and(|f| f.rules.iter().any(|r| r.name == rule.name))
}
