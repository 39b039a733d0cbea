//! How much voltage a circuit's wire may take, and which wire keeps to it: bus, duty, run and current in, volts,
//! gauge or length out.
//!
//! FAA AC 43.13-1B CHG 1 Table 11-6 (allowable voltage drop between bus and utilization equipment ground) for the
//! limit, Table 11-9 for the resistance of the wire, page 11-22 for its temperature. The run counts every conductor of
//! the circuit, the ground wire included (page 11-26).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::limit::Reading;
use super::wire_table::{copper_factor, resistance, resistance_at_20, table_gauges};
use crate::quantity::{Current, Gauge, Length, Temperature, Voltage};

// A word of the spec language too: what a designer reads stands in the doc comments. The table draws no line in seconds;
// AC 43.13-1B page 11-22 sends continuous loads to figure 11-2 and intermittent ones to figure 11-3.
/// How long a current flows.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Duty {
    /// As long as the machine runs.
    #[default]
    Continuous,
    /// Two minutes at most.
    Intermittent,
}

/// What a circuit may drop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AllowedDrop {
    /// Largest drop between bus and the ground of the equipment.
    pub drop: Voltage,
    /// The row of Table 11-6 that was used.
    pub row: Voltage,
    /// `Text` for the continuous column at the voltages of the table (its figures stand in Table 11-7 and on page
    /// 11-26), `Memory` for the intermittent column, `Extended` for a bus of another voltage.
    pub reading: Reading,
}

impl AllowedDrop {
    /// Source as printed.
    pub fn source(self) -> &'static str {
        match self.reading {
            Reading::Text => "AC 43.13-1B CHG 1 Table 11-6",
            Reading::Extended => "AC 43.13-1B CHG 1 Table 11-6, by share of the bus voltage",
            _ => "AC 43.13-1B CHG 1 Table 11-6 (from memory)",
        }
    }
}

/// Nominal system voltage, drop in continuous and in intermittent operation, all in volts.
const TABLE_11_6: [[f64; 3]; 4] = [[14.0, 0.5, 1.0], [28.0, 1.0, 2.0], [115.0, 4.0, 8.0], [200.0, 7.0, 14.0]];

/// Largest drop between a bus of `nominal` voltage and its load's ground, AC 43.13-1B Table 11-6.
///
/// The table knows buses of 14, 28, 115 and 200 V. A bus of another voltage may drop the same share as the row next to
/// it, of two rows the one that allows the smaller share: 3.57 percent up to 28 V, 3.48 percent from there to 200 V
/// (continuous). That is this program's choice, and `reading` says so. None where the voltage is not above zero.
pub fn allowed_drop(nominal: Voltage, duty: Duty) -> Option<AllowedDrop> {
    let volts = nominal.volts();
    let column = |row: &[f64; 3]| match duty {
        Duty::Continuous => row[1],
        Duty::Intermittent => row[2],
    };
    if let Some(row) = TABLE_11_6.iter().find(|row| Voltage::from_volts(row[0]) == nominal) {
        let reading = if duty == Duty::Continuous { Reading::Text } else { Reading::Memory };
        return Some(AllowedDrop { drop: Voltage::from_volts(column(row)), row: nominal, reading });
    }
    if nominal <= Voltage::ZERO {
        return None;
    }
    let below = TABLE_11_6.iter().rfind(|row| row[0] < volts);
    let above = TABLE_11_6.iter().find(|row| row[0] > volts);
    let share = |row: &[f64; 3]| column(row) / row[0];
    let row = below.into_iter().chain(above).min_by(|a, b| share(a).total_cmp(&share(b)))?;
    Some(AllowedDrop {
        drop: nominal * share(row),
        row: Voltage::from_volts(row[0]),
        reading: Reading::Extended,
    })
}

/// Drop along `run` of wire whose conductor is at `conductor`: resistance per length, times length, times current
/// (AC 43.13-1B page 11-22).
pub fn drop_along(gauge: Gauge, run: Length, current: Current, conductor: Temperature) -> Voltage {
    current.abs() * resistance(gauge, run, conductor)
}

/// Longest run that drops no more than `allowed`, the conductor being at `conductor`: the length for 20 °C, L1, becomes
/// L2 = 254.5 L1 / (234.5 + T2) (AC 43.13-1B page 11-22). None where no current flows, or at a temperature at which the
/// law knows no resistance.
pub fn longest_run(
    gauge: Gauge,
    current: Current,
    allowed: Voltage,
    conductor: Temperature,
) -> Option<Length> {
    let per_metre = resistance_at_20(gauge).0.ohms_per_metre() * copper_factor(conductor);
    Length::try_from_mm(1000.0 * allowed.abs().volts() / (current.abs().amps() * per_metre))
}

/// Thinnest wire of Table 11-9 that drops no more than `allowed` along `run`; None where its thickest, 4/0, drops more.
/// Whether that wire also carries the current is another question: see page 11-26.
pub fn thinnest_for_drop(
    run: Length,
    current: Current,
    allowed: Voltage,
    conductor: Temperature,
) -> Option<Gauge> {
    table_gauges().find(|gauge| drop_along(*gauge, run.abs(), current, conductor) <= allowed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use Duty::{Continuous, Intermittent};

    fn volts(v: f64) -> Voltage {
        Voltage::from_volts(v)
    }

    #[test]
    fn a_bus_of_another_voltage_keeps_the_smaller_share_of_its_neighbours() {
        let at = |v: f64| allowed_drop(volts(v), Continuous).map(|a| (a.drop, a.row.volts(), a.reading));
        assert_eq!(at(12.0), Some((volts(12.0 / 28.0), 14.0, Reading::Extended)));
        assert_eq!(at(24.0).map(|a| a.0), Some(volts(24.0 / 28.0)));
        // 4 V of 115 V is less than 1 V of 28 V.
        assert_eq!(at(48.0), Some((volts(48.0 * 4.0 / 115.0), 115.0, Reading::Extended)));
        assert_eq!(at(400.0), Some((volts(14.0), 200.0, Reading::Extended)));
        assert_eq!((at(0.0), at(-28.0)), (None, None));
    }

    #[test]
    fn intermittent_loads_may_drop_more() {
        for v in [5.0, 12.0, 14.0, 20.0, 28.0, 60.0, 115.0, 150.0, 200.0, 300.0] {
            let drop = |duty| allowed_drop(volts(v), duty).unwrap().drop;
            assert!(drop(Intermittent) > drop(Continuous), "{v} V");
        }
    }

    #[test]
    fn a_higher_bus_never_allows_fewer_volts() {
        let drops: Vec<Voltage> =
            (1..300).map(|v| allowed_drop(volts(f64::from(v)), Continuous).unwrap().drop).collect();
        assert!(drops.is_sorted());
    }

    #[test]
    fn run_and_drop_are_each_other_turned_round() {
        let (gauge, amps) = (Gauge::Awg(20), Current::from_amps(4.0));
        for celsius in [20.0, 85.0, 150.0] {
            let conductor = Temperature::from_celsius(celsius);
            let run = longest_run(gauge, amps, volts(0.5), conductor).unwrap();
            assert!((drop_along(gauge, run, amps, conductor).volts() - 0.5).abs() < 1e-6);
        }
        let cool = Temperature::from_celsius(20.0);
        assert_eq!(longest_run(gauge, Current::ZERO, volts(0.5), cool), None);
        assert_eq!(longest_run(gauge, amps, volts(0.5), Temperature::from_celsius(-240.0)), None);
        let mile = Length::from_inches(63_360.0);
        assert_eq!(thinnest_for_drop(mile, Current::from_amps(20.0), volts(0.5), cool), None);
        assert_eq!(thinnest_for_drop(Length::ZERO, amps, volts(0.5), cool), Some(Gauge::Awg(24)));
    }
}
