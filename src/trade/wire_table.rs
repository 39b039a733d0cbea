//! Copper wire by gauge: resistance, ampacity, area; and what finished hook-up wire typically measures.
//!
//! FAA AC 43.13-1B CHG 1 Table 11-9 (page 11-23) for tinned stranded copper, sizes 24 to 0000. Its basis: 70 °C
//! ambient, 33 or more wires in the bundle for sizes 24 to 10 and 9 for size 8 and larger, not more than 20 percent
//! of the harness capacity used, 60,000 ft. Between its rows an ampacity is interpolated by copper area.
//!
//! Harness wire is stranded and tinned and resists more than the bare gauge law says: AWG sizes have the resistance of
//! the table, metric sizes that of IEC 60228 class 5. What neither has gets solid annealed copper by IEC 60028 and the
//! diameter law of ASTM B258, to which stranded wire may come a few percent on top.

use super::limit::{Limit, Reading};
use super::wire_metric::flexible_at_20;
use crate::quantity::{Area, Current, Gauge, Length, LinearMass, LinearResistance, Resistance, Temperature};

/// Ambient temperature for which Table 11-9 holds (its note 1), °C.
pub(super) const TABLE_AMBIENT: f64 = 70.0;

/// One line of Table 11-9: gauge, amperes of 105, 150 and 200 °C wire, ohms per 1000 ft, circular mils.
type Row = (i8, [f64; 3], f64, f64);

const TABLE_11_9: [Row; 17] = [
    (24, [2.5, 4.0, 5.0], 28.40, 475.0),
    (22, [3.0, 5.0, 6.0], 16.20, 755.0),
    (20, [4.0, 7.0, 9.0], 9.88, 1_216.0),
    (18, [6.0, 9.0, 12.0], 6.23, 1_900.0),
    (16, [7.0, 11.0, 14.0], 4.81, 2_426.0),
    (14, [10.0, 14.0, 18.0], 3.06, 3_831.0),
    (12, [13.0, 19.0, 25.0], 2.02, 5_874.0),
    (10, [17.0, 26.0, 32.0], 1.26, 9_354.0),
    (8, [38.0, 57.0, 71.0], 0.70, 16_983.0),
    (6, [50.0, 76.0, 97.0], 0.44, 26_818.0),
    (4, [68.0, 103.0, 133.0], 0.28, 42_615.0),
    (2, [95.0, 141.0, 179.0], 0.18, 66_500.0),
    (1, [113.0, 166.0, 210.0], 0.15, 81_700.0),
    (0, [128.0, 192.0, 243.0], 0.12, 104_500.0),
    (-1, [147.0, 222.0, 285.0], 0.09, 133_000.0),
    (-2, [172.0, 262.0, 335.0], 0.07, 166_500.0),
    (-3, [204.0, 310.0, 395.0], 0.06, 210_900.0),
];

fn row(gauge: Gauge) -> Option<&'static Row> {
    match gauge {
        Gauge::Awg(n) => TABLE_11_9.iter().find(|r| r.0 == n),
        Gauge::Metric(_) => None,
    }
}

/// The sizes of Table 11-9, thinnest first: 24 AWG to 4/0.
pub fn table_gauges() -> impl Iterator<Item = Gauge> {
    TABLE_11_9.iter().map(|row| Gauge::Awg(row.0))
}

/// Temperature class of the insulation, as Table 11-9 has its columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum InsulationClass {
    /// Conductor up to 105 °C.
    C105,
    /// Conductor up to 150 °C.
    C150,
    /// Conductor up to 200 °C.
    C200,
}

impl InsulationClass {
    /// The hottest class that wire rated `rated` fulfils; None below 105 °C, where the table has no column.
    pub fn of_rating(rated: Temperature) -> Option<InsulationClass> {
        [InsulationClass::C200, InsulationClass::C150, InsulationClass::C105]
            .into_iter()
            .find(|class| class.conductor_limit() <= rated)
    }

    /// Highest conductor temperature of the class.
    pub fn conductor_limit(self) -> Temperature {
        Temperature::from_celsius(match self {
            InsulationClass::C105 => 105.0,
            InsulationClass::C150 => 150.0,
            InsulationClass::C200 => 200.0,
        })
    }
}

/// Largest continuous current of one wire in a bundle, on the table's basis (see the head of this file).
///
/// A size that is not in the table (odd AWG numbers, metric sizes; see [`in_table`]) lies between its two neighbours by
/// copper area, on double-logarithmic paper, an odd AWG number with the area of the solid wire. Between 10 and 8 AWG,
/// where the basis changes from 33 wires to 9, it is the ampacity of 10 AWG. None for wire with less copper than 24 AWG
/// or more than 4/0.
pub fn ampacity(gauge: Gauge, class: InsulationClass) -> Option<Current> {
    let amps = |row: &Row| match class {
        InsulationClass::C105 => row.1[0],
        InsulationClass::C150 => row.1[1],
        InsulationClass::C200 => row.1[2],
    };
    if let Some(row) = row(gauge) {
        return Some(Current::from_amps(amps(row)));
    }
    let mils = gauge.area().mm2() / MM2_OF_CIRCULAR_MIL;
    let (thin, thick) = TABLE_11_9
        .iter()
        .zip(TABLE_11_9.iter().skip(1))
        .find(|(thin, thick)| thin.3 <= mils && mils <= thick.3)?;
    if thin.0 == LAST_OF_33_WIRES {
        return Some(Current::from_amps(amps(thin)));
    }
    let share = (mils / thin.3).ln() / (thick.3 / thin.3).ln();
    Current::try_from_amps(amps(thin) * (amps(thick) / amps(thin)).powf(share))
}

/// Whether Table 11-9 has a row for the size.
pub fn in_table(gauge: Gauge) -> bool {
    row(gauge).is_some()
}

/// The thickest size for which the table is for 33 or more wires; from 8 AWG on it is for 9 (its note 1).
const LAST_OF_33_WIRES: i8 = 10;

/// One circular mil is the area of a circle of 0.001 in.
const MM2_OF_CIRCULAR_MIL: f64 = std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;

/// Area of the stranded conductor by Table 11-9, or of the solid wire by ASTM B258 or the metric size itself.
pub fn conductor_area(gauge: Gauge) -> Area {
    row(gauge).map_or(gauge.area(), |r| Area::from_mm2(r.3 * MM2_OF_CIRCULAR_MIL))
}

/// Where a resistance comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResistanceBasis {
    /// Maximum for tinned stranded wire, AC 43.13-1B Table 11-9.
    Table,
    /// Maximum for flexible tinned wire of a metric size, IEC 60228 class 5.
    Flexible,
    /// Solid annealed copper of the gauge's area, IEC 60028 and ASTM B258.
    AnnealedCopper,
}

impl ResistanceBasis {
    /// Source as printed.
    pub fn source(self) -> &'static str {
        match self {
            ResistanceBasis::Table => "AC 43.13-1B CHG 1 Table 11-9",
            ResistanceBasis::Flexible => "IEC 60228 class 5 (from a copy of the document)",
            ResistanceBasis::AnnealedCopper => "IEC 60028 (0.017241 Ω mm²/m) and ASTM B258",
        }
    }
}

/// IEC 60028: resistivity of annealed copper at 20 °C, Ω mm²/m.
const ANNEALED_COPPER: f64 = 0.017_241;

/// Resistance at 20 °C of a metre of solid annealed copper wire: IEC 60028, with the area that ASTM B258 gives an AWG
/// size or that a metric size names.
pub fn solid_at_20(gauge: Gauge) -> LinearResistance {
    LinearResistance::from_ohms_per_metre(ANNEALED_COPPER / gauge.area().mm2())
}

/// Resistance at 20 °C of a metre of harness wire, and where the figure comes from.
pub fn resistance_at_20(gauge: Gauge) -> (LinearResistance, ResistanceBasis) {
    if let Some(r) = row(gauge) {
        return (LinearResistance::from_ohms_per_metre(r.2 / 304.8), ResistanceBasis::Table);
    }
    let flexible = match gauge {
        Gauge::Metric(size) => flexible_at_20(size),
        Gauge::Awg(_) => None,
    };
    match flexible {
        Some(flexible) => (flexible, ResistanceBasis::Flexible),
        None => (solid_at_20(gauge), ResistanceBasis::AnnealedCopper),
    }
}

/// Copper's inferred temperature of zero resistance (AC 43.13-1B page 11-22), below 0 °C.
const COPPER_ZERO: f64 = 234.5;

/// Factor from the resistance of copper at 20 °C to that at `conductor`: (234.5 + T) / 254.5, restated from AC
/// 43.13-1B page 11-22. The law is straight; never below zero.
pub fn copper_factor(conductor: Temperature) -> f64 {
    ((COPPER_ZERO + conductor.celsius()) / (COPPER_ZERO + 20.0)).max(0.0)
}

/// Resistance of `length` of copper wire with its conductor at `conductor`.
pub fn resistance(gauge: Gauge, length: Length, conductor: Temperature) -> Resistance {
    resistance_at_20(gauge).0 * length * copper_factor(conductor)
}

/// Temperature of a conductor carrying `current` where `ampacity` would bring it from `ambient` to `limit`:
/// T2 = T1 + (TR − T1) √(I / Imax), AC 43.13-1B page 11-22 (the formula from memory; its symbols, and that it is quite
/// conservative, were read on page 11-23). Zero ampacity gives `limit`.
pub fn conductor_temperature(
    ambient: Temperature,
    limit: Temperature,
    current: Current,
    ampacity: Current,
) -> Temperature {
    let share = current.abs().amps() / ampacity.abs().amps();
    let rise = limit.above(ambient);
    if share.is_finite() { ambient.plus(rise * share.sqrt()) } else { limit }
}

/// Where [`conductor_temperature`] comes from, as printed.
pub fn warming_source() -> String {
    Limit { value: (), document: "AC 43.13-1B CHG 1", place: "page 11-22", reading: Reading::Memory }.source()
}

/// What finished wire measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Typical {
    /// Outside diameter over the insulation.
    pub outside: Length,
    /// Mass for each metre.
    pub mass: LinearMass,
}

/// Typical ETFE-insulated tinned copper hook-up wire, 600 V, 150 °C: gauge, outside diameter in inches, lb/1000 ft.
/// From memory: a default until the maker's figure is entered.
const TYPICAL: [(i8, f64, f64); 8] = [
    (24, 0.045, 2.4),
    (22, 0.050, 3.4),
    (20, 0.058, 5.0),
    (18, 0.068, 7.5),
    (16, 0.075, 9.2),
    (14, 0.090, 14.2),
    (12, 0.108, 21.2),
    (10, 0.134, 33.7),
];

/// Typical size and mass of hook-up wire, from memory and to be marked so wherever it is printed; None outside
/// 24 to 10 AWG.
pub fn typical(gauge: Gauge) -> Option<Typical> {
    let Gauge::Awg(n) = gauge else { return None };
    let (_, inches, pounds) = TYPICAL.iter().find(|t| t.0 == n)?;
    Some(Typical {
        outside: Length::from_inches(*inches),
        mass: LinearMass::from_pounds_per_1000_ft(*pounds),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_at_their_borders() {
        let class = |c: f64| InsulationClass::of_rating(Temperature::from_celsius(c));
        assert_eq!((class(104.9), class(105.0)), (None, Some(InsulationClass::C105)));
        assert_eq!((class(149.9), class(150.0)), (Some(InsulationClass::C105), Some(InsulationClass::C150)));
        assert_eq!((class(200.0), class(260.0)), (Some(InsulationClass::C200), Some(InsulationClass::C200)));
    }

    #[test]
    fn sizes_outside_the_table_have_no_ampacity_but_a_resistance() {
        assert_eq!(ampacity(Gauge::Awg(26), InsulationClass::C150), None);
        assert_eq!(resistance_at_20(Gauge::Awg(26)).1, ResistanceBasis::AnnealedCopper);
        let half = "0.5 mm²".parse().unwrap();
        assert_eq!(
            resistance_at_20(half),
            (LinearResistance::from_ohms_per_metre(0.040_1), ResistanceBasis::Flexible)
        );
        assert_eq!(solid_at_20(half), LinearResistance::from_ohms_per_metre(0.034_482));
        assert_eq!(resistance_at_20("0.1 mm²".parse().unwrap()).1, ResistanceBasis::AnnealedCopper);
    }

    #[test]
    fn copper_grows_from_20_degrees() {
        assert_eq!(copper_factor(Temperature::from_celsius(20.0)), 1.0);
        assert_eq!(copper_factor(Temperature::from_celsius(-250.0)), 0.0);
        // 120 °C: 354.5 / 254.5
        let metre = resistance(Gauge::Awg(22), Length::from_mm(304_800.0), Temperature::from_celsius(120.0));
        assert!((metre.ohms() - 16.2 * 354.5 / 254.5).abs() < 1e-6);
    }

    #[test]
    fn full_ampacity_reaches_the_limit() {
        let (cool, hot) = (Temperature::from_celsius(20.0), Temperature::from_celsius(120.0));
        let amps = Current::from_amps;
        assert_eq!(conductor_temperature(cool, hot, amps(10.0), amps(10.0)), hot);
        assert_eq!(conductor_temperature(cool, hot, amps(2.5), amps(10.0)), Temperature::from_celsius(70.0));
        assert_eq!(conductor_temperature(cool, hot, amps(0.0), amps(0.0)), hot);
    }
}
