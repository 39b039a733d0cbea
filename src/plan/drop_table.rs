//! Drops of the loads in; what each load loses in feed and return, and what bus and duty allow, load by load, out.

use std::collections::BTreeMap;

use super::ground_words::{no_drop, taken};
use super::standing::Standing;
use crate::graph::ground_limit::{drop_held, is_contact, switches, undropped};
use crate::graph::ground_network::{Drop, Lost, Range};
use crate::graph::{Loading, duty_of, only_circuit_at};
use crate::harness::{CircuitId, Harness, PinId};
use crate::quantity::Voltage;
use crate::trade::voltage_drop::{AllowedDrop, Duty, allowed_drop};

/// What one load loses.
#[derive(Clone, Debug, PartialEq)]
pub struct DropRow {
    /// The pin that takes the current.
    pub pin: String,
    /// Its device.
    pub device: String,
    /// Circuit of the wire at that pin; empty where it has none.
    pub circuit: String,
    /// What feeds it; empty where that is not known.
    pub supply: String,
    /// How long it draws.
    pub duty: Duty,
    /// Lost from the feed to the load; None where it is not known.
    pub feed: Option<Range<Voltage>>,
    /// Lost from the load to the body.
    pub back: Option<Range<Voltage>>,
    /// Lost in all.
    pub total: Option<Range<Voltage>>,
    /// What is allowed; None where the supply voltage is not given.
    pub allowed: Option<AllowedDrop>,
    /// How the two stand.
    pub standing: Standing,
    /// How what leaves it open was taken; None where nothing does.
    pub taken: Option<&'static str>,
}

/// The drops of all loads, supply by supply; of those behind switches, that nothing is known.
pub fn drop_table(h: &Harness, loading: &Loading) -> Vec<DropRow> {
    let electrical = &loading.electrical;
    let switches = switches(&loading.feeds);
    let mut own: BTreeMap<PinId, Option<CircuitId>> = BTreeMap::new();
    let mut rows: Vec<DropRow> = Vec::new();
    for drop in &loading.ground.drops {
        let own = *own.entry(drop.feed).or_insert_with(|| only_circuit_at(h, electrical, drop.feed));
        let duty = duty_of(h, electrical, drop.pin, own);
        let allowed = h.header.supply.and_then(|supply| allowed_drop(supply.value, duty));
        // Each part between its own ends; exact where only the other is open.
        let sum = |of: fn(&Lost) -> Voltage| {
            let range = drop.known.ok()?.map(|lost| of(&lost));
            Some(Range { open: range.open.filter(|_| range.low != range.high), ..range })
        };
        let mut row = row(h, loading, drop.pin, duty);
        row.supply = h.device(h.pin(drop.feed).device).name.clone();
        row.feed = sum(|lost| lost.supply);
        row.back = sum(|lost| lost.back);
        row.total = sum(Lost::total);
        row.allowed = allowed;
        row.taken = drop.known.as_ref().ok().and_then(|r| r.open).map(|open| taken(&loading.ground, open));
        row.standing = if row.circuit.is_empty() {
            Standing::NotJudged("it is fed over no wire of its own".to_owned())
        } else if is_contact(h, &switches, drop.pin) {
            Standing::NotJudged("taken as a contact of a closed switch".to_owned())
        } else {
            standing(h, drop, allowed)
        };
        rows.push(row);
    }
    let loads = loading.currents.loads();
    for open in undropped(h, electrical, &loading.feeds, loads, &loading.ground.drops) {
        let names: Vec<&str> = open.over.iter().map(|id| h.device(*id).name.as_str()).collect();
        let names = names.join(" and ");
        let why = match open.sure {
            true => format!("fed through {names}; what drops over that is not known"),
            false => format!("fed through {names}; from which of its feeds is not known"),
        };
        let duty = duty_of(h, electrical, open.pin, None);
        let mut row = row(h, loading, open.pin, duty);
        row.standing = Standing::NotJudged(why);
        rows.push(row);
    }
    rows
}

fn row(h: &Harness, loading: &Loading, pin: PinId, duty: Duty) -> DropRow {
    let wire = loading.electrical.conductors_at(pin).first();
    DropRow {
        pin: h.pin(pin).name.clone(),
        device: h.device(h.pin(pin).device).name.clone(),
        circuit: wire.map_or_else(String::new, |c| h.circuit(h.conductor(*c).circuit).name.clone()),
        supply: String::new(),
        duty,
        feed: None,
        back: None,
        total: None,
        allowed: None,
        standing: Standing::Within,
        taken: None,
    }
}

fn standing(h: &Harness, drop: &Drop, allowed: Option<AllowedDrop>) -> Standing {
    let range = match &drop.known {
        Err(why) => return Standing::NotJudged(no_drop(h, *why)),
        Ok(range) => range,
    };
    match allowed {
        None => Standing::NotJudged("no supply voltage to hold it against".to_owned()),
        Some(allowed) => Standing::of(h, drop_held(range, allowed.drop, drop)),
    }
}
