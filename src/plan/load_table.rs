//! Loads by bus and phase: feeds in; what each bus gives in each phase, load by load, with the margin to its source, out.
//!
//! One section for each phase that the spec names for a bus (`others:`), or one for all the time where it names none;
//! supplies without a bus stand in a section of their own, which has no source.

use super::load_words::{said_by, served_pin};
use crate::graph::{BusLoad, Fed, Feed, Load, bus_loads};
use crate::harness::{BusId, DeviceClass, DeviceId, Harness, PhaseId, PinId};
use crate::quantity::{Current, Fraction};
use crate::trade::voltage_drop::Duty;

/// What a bus gives in a phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Bus; empty for supplies that name none.
    pub bus: String,
    /// Phase; empty where the spec names none.
    pub phase: String,
    /// Its loads, supply by supply.
    pub loads: Vec<LoadRow>,
    /// What the rest of the machine draws; `None` where the spec does not say.
    pub others: Option<Current>,
    /// All that is known to be drawn continuously, the rest of the machine included.
    pub continuous: Current,
    /// What is drawn for two minutes at most, besides.
    pub intermittent: Current,
    /// What the source gives; `None` where the spec does not say.
    pub source: Option<Current>,
    /// Names of what draws and does not say how much: the margin is less by that.
    pub unknown: Vec<String>,
}

impl Section {
    /// What is left of the source while only the continuous loads draw; less than zero where it is not enough.
    pub fn margin(&self) -> Option<Current> {
        Some(self.source? - self.continuous)
    }

    /// What is left of it while the intermittent loads draw too.
    pub fn least_margin(&self) -> Option<Current> {
        Some(self.margin()? - self.intermittent)
    }

    /// Share of the source that the continuous loads take; `None` without a source, or for one that gives nothing.
    pub fn share(&self) -> Option<Fraction> {
        let source = self.source.filter(|s| *s > Current::ZERO)?;
        Fraction::try_from_ratio(self.continuous.amps() / source.amps())
    }
}

/// One load.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadRow {
    /// Supply.
    pub supply: String,
    /// Its protector: `breaker 2 A`; empty where it has none.
    pub protector: String,
    /// Pin that draws.
    pub pin: String,
    /// Its device.
    pub device: String,
    /// Its circuit; empty where it has none.
    pub circuit: String,
    /// How much; `None` where nobody says.
    pub current: Option<Current>,
    /// How long.
    pub duty: Duty,
    /// Who says how much.
    pub said_by: String,
}

/// The load table of a harness; empty where it has no supplies.
pub fn load_table(h: &Harness, feeds: &[Feed]) -> Vec<Section> {
    let mut sections: Vec<Section> = Vec::new();
    for sum in bus_loads(h, feeds) {
        if feeds.iter().any(|f| f.bus == Some(sum.bus)) {
            sections.push(section(h, feeds, &sum));
        }
    }
    let loose: Vec<&Feed> = feeds.iter().filter(|f| f.bus.is_none()).collect();
    if !loose.is_empty() {
        let fed = || loose.iter().flat_map(|f| &f.loads);
        let sum =
            |duty| fed().filter(|f| f.duty == duty).filter_map(|f| f.load.current).map(Current::abs).sum();
        sections.push(Section {
            bus: String::new(),
            phase: String::new(),
            loads: rows(h, loose.iter().copied(), None),
            others: None,
            continuous: sum(Duty::Continuous),
            intermittent: sum(Duty::Intermittent),
            source: None,
            unknown: unknown(h, fed().map(|f| &f.load)),
        });
    }
    sections
}

fn section(h: &Harness, feeds: &[Feed], sum: &BusLoad) -> Section {
    let bus = h.bus(sum.bus);
    Section {
        bus: bus.name.clone(),
        phase: sum.phase.and_then(|p| h.phases.get(p.index())).cloned().unwrap_or_default(),
        loads: rows(h, of_bus(feeds, sum.bus), sum.phase),
        others: sum.others.map(|o| o.value),
        continuous: sum.known(),
        intermittent: sum.intermittent,
        source: bus.source.map(|s| s.value),
        unknown: unknown(h, &sum.unknown),
    }
}

fn of_bus(feeds: &[Feed], bus: BusId) -> impl Iterator<Item = &Feed> {
    feeds.iter().filter(move |f| f.bus == Some(bus))
}

fn unknown<'a>(h: &Harness, loads: impl IntoIterator<Item = &'a Load>) -> Vec<String> {
    let silent = loads.into_iter().filter(|load| load.current.is_none());
    silent.map(|load| served_pin(h, load)).collect()
}

fn rows<'a>(h: &Harness, feeds: impl Iterator<Item = &'a Feed>, phase: Option<PhaseId>) -> Vec<LoadRow> {
    let mut rows = Vec::new();
    for feed in feeds {
        let draws = |fed: &&Fed| fed.during.is_empty() || phase.is_none_or(|p| fed.during.contains(&p));
        for fed in feed.loads.iter().filter(draws) {
            rows.push(LoadRow {
                pin: served_pin(h, &fed.load),
                device: h.device(fed.load.device).name.clone(),
                circuit: fed.circuit.map_or_else(String::new, |c| h.circuit(c).name.clone()),
                current: fed.load.current.map(Current::abs),
                duty: fed.duty,
                said_by: said_by(h, &fed.load),
                ..of_supply(h, feed.supply)
            });
        }
        rows.extend(feed.measured_at.iter().map(|pin| measuring(h, feed.supply, *pin)));
    }
    rows
}

/// What only measures draws next to nothing, and depends on the supply all the same.
fn measuring(h: &Harness, supply: DeviceId, pin: PinId) -> LoadRow {
    let of = h.conductors.iter().find(|c| c.from == pin || c.to == pin);
    LoadRow {
        pin: h.pin(pin).name.clone(),
        device: h.device(h.pin(pin).device).name.clone(),
        circuit: of.map_or_else(String::new, |c| h.circuit(c.circuit).name.clone()),
        current: Some(Current::ZERO),
        said_by: "measures only".to_owned(),
        ..of_supply(h, supply)
    }
}

fn of_supply(h: &Harness, id: DeviceId) -> LoadRow {
    let supply = h.device(id);
    let units = h.header.units;
    let protector = match supply.class {
        DeviceClass::Supply { breaker: Some(rating), .. } => format!("breaker {}", rating.value.show(units)),
        DeviceClass::Supply { fuse: Some(rating), .. } => format!("fuse {}", rating.value.show(units)),
        _ => String::new(),
    };
    LoadRow {
        supply: supply.name.clone(),
        protector,
        pin: String::new(),
        device: String::new(),
        circuit: String::new(),
        current: None,
        duty: Duty::Continuous,
        said_by: String::new(),
    }
}
