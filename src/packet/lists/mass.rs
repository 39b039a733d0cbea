//! Mass and balance in; its table out: runs, places, the totals, and what is not in them.

use super::figure::{
    FIGURES, length_unit, mass, mass_to, mass_unit, moment, moment_to, moment_unit, rounded_words, station,
    station_to,
};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::mass::{Balance, Lump, not_in_it};
use crate::quantity::{Mass, Moment, Station, Units};

/// The list of what weighs where.
pub fn mass_and_balance(balance: &Balance, units: Units) -> Table {
    let arms = balance.has_arms();
    let units = Shown { units, figures: FIGURES, arms };
    let mut lead = vec![in_all(balance, units)];
    if !arms {
        lead.push(
            "Arm and moment are not known: the spec gives no station where anything of it weighs.".to_owned(),
        );
    }
    // The total stands first, with what is not in it.
    let mut rows = totals(balance, units);
    rows.extend(balance.lumps.iter().map(|lump| lump_row(lump, units)));
    rows.extend(balance.unweighed.iter().map(|lack| {
        let key = format!("not weighed {} {}", lack.part, lack.because);
        let label = Cell { under: Some(lack.because.to_owned()), ..Cell::naming("part", &lack.part) };
        let pieces = format!("{} not weighed", lack.pieces);
        row(
            key,
            vec![Reference::new("part", &lack.part)],
            label,
            Figures::default(),
            units,
            "Not in the sums",
        )
        .telling(pieces)
    }));
    let mut columns = vec![
        Column::words("where", 34),
        Column::figures("wire", Some(mass_unit(units.units)), 10),
        Column::figures("other parts", Some(mass_unit(units.units)), 12),
        Column::figures("mass", Some(mass_unit(units.units)), 12),
    ];
    if arms {
        columns.push(Column::figures("arm", Some(length_unit(units.units)), 12));
        columns.push(Column::figures("moment", Some(moment_unit(units.units)), 16));
    }
    let arms_from = "Arms are the stations of the spec, aft of the weighing datum positive; a run weighs half way between its ends.";
    Table {
        name: "mass-and-balance",
        title: if arms { "Mass and balance of the loom" } else { "Mass of the loom" },
        purpose: "What weighs where, for the weighing record. Worked out, not weighed: weigh the finished loom.",
        lead,
        ticked: false,
        columns,
        rows,
        record_heads: vec![
            "kind".to_owned(),
            "where".to_owned(),
            format!("wire ({})", mass_unit(units.units)),
            format!("other parts ({})", mass_unit(units.units)),
            format!("mass ({})", mass_unit(units.units)),
            format!("arm ({})", length_unit(units.units)),
            format!("moment ({})", moment_unit(units.units)),
            "remark".to_owned(),
        ],
        notes: arms
            .then_some(arms_from)
            .into_iter()
            .chain([rounded_words(balance.typical)])
            .map(str::to_owned)
            .collect(),
    }
}

/// How figures are told.
#[derive(Clone, Copy)]
struct Shown {
    units: Units,
    /// Figures of a mass and of a moment, for reading.
    figures: usize,
    /// True where arms and moments are told.
    arms: bool,
}

/// What all of it weighs, and what is not in that.
fn in_all(balance: &Balance, shown: Shown) -> String {
    let open: usize = balance.unweighed.iter().map(|lack| lack.pieces).sum();
    let pieces = match open {
        0 => String::new(),
        1 => "; 1 piece whose mass is not known, named at the end".to_owned(),
        n => format!("; {n} pieces whose mass is not known, named at the end"),
    };
    let supports = match balance.unclamped {
        0 => String::new(),
        n => format!("; {n} supports for which no clamp is known"),
    };
    format!(
        "All that is known weighs about {} {}. Not in it: {}{supports}{pieces}.",
        mass_to(balance.mass(), shown.units, shown.figures),
        mass_unit(shown.units),
        not_in_it(),
    )
}

/// Figures of a row; None prints nothing.
#[derive(Clone, Copy, Default)]
struct Figures {
    wire: Option<Mass>,
    parts: Option<Mass>,
    mass: Option<Mass>,
    arm: Option<Station>,
    moment: Option<Moment>,
}

fn lump_row(lump: &Lump, units: Shown) -> Row {
    let figures = Figures {
        wire: Some(lump.wire),
        parts: Some(lump.parts),
        mass: Some(lump.mass()),
        arm: lump.arm,
        moment: lump.moment(),
    };
    let (kind, title) = match (lump.is_run, lump.name.is_empty()) {
        (true, _) => ("run", "Runs"),
        (false, false) => ("place", "Places"),
        (false, true) => ("nowhere", "Without a place"),
    };
    let label =
        if lump.name.is_empty() { Cell::from("not known where") } else { Cell::naming(kind, &lump.name) };
    let about = if lump.name.is_empty() { vec![] } else { vec![Reference::new(kind, &lump.name)] };
    row(format!("{kind} {}", lump.name), about, label, figures, units, title)
}

/// What has an arm, what has none, and all of it.
fn totals(balance: &Balance, units: Shown) -> Vec<Row> {
    let all = balance.mass();
    let (with_arm, moment) = balance.balanced();
    let sum = |of: fn(&Lump) -> Mass| Some(balance.lumps.iter().map(of).sum::<Mass>());
    let mut rows = vec![row(
        "total".to_owned(),
        vec![],
        "all that is known".into(),
        Figures {
            wire: sum(|l| l.wire),
            parts: sum(|l| l.parts),
            mass: Some(all),
            arm: moment.arm_of(with_arm).filter(|_| with_arm == all),
            moment: (units.arms && with_arm == all).then_some(moment),
        },
        units,
        "Total",
    )];
    if units.arms && with_arm != all {
        let some = Figures {
            mass: Some(with_arm),
            arm: moment.arm_of(with_arm),
            moment: Some(moment),
            ..Figures::default()
        };
        rows.push(row("with arm".to_owned(), vec![], "of it: with a station".into(), some, units, "Total"));
        let rest = Figures { mass: Some(all - with_arm), ..Figures::default() };
        rows.push(row(
            "without arm".to_owned(),
            vec![],
            "of it: without a station".into(),
            rest,
            units,
            "Total",
        ));
    }
    rows
}

fn row(
    key: String,
    about: Vec<Reference>,
    label: Cell,
    figures: Figures,
    to: Shown,
    group: &'static str,
) -> Row {
    let Shown { units, figures: count, arms } = to;
    let masses = [figures.wire, figures.parts, figures.mass];
    let line = |masses: [Option<String>; 3], [arm, moment]: [Option<String>; 2]| {
        masses.into_iter().chain([arm, moment]).map(Option::unwrap_or_default)
    };
    let exact = line(
        masses.map(|m| m.map(|m| mass(m, units))),
        [figures.arm.map(|a| station(a, units)), figures.moment.map(|m| moment(m, units))],
    );
    let read = line(
        masses.map(|m| m.map(|m| mass_to(m, units, count))),
        [figures.arm.map(|a| station_to(a, units)), figures.moment.map(|m| moment_to(m, units, count))],
    );
    let kind = group.to_lowercase();
    let record = [kind, label.text.clone()].into_iter().chain(exact).chain([String::new()]).collect();
    let shown = if arms { 5 } else { 3 };
    let cells = [label].into_iter().chain(read.take(shown).map(Cell::from)).collect();
    Row { key, about, cells, record, group: Some(Group::titled(group)), part: false }
}

impl Row {
    /// With a remark in the place of the mass, and as the last field for machines.
    fn telling(mut self, remark: String) -> Row {
        if let Some(last) = self.record.last_mut() {
            last.clone_from(&remark);
        }
        if let Some(cell) = self.cells.get_mut(3) {
            *cell = remark.into();
        }
        self
    }
}
