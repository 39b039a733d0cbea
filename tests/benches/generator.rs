//! A seed and a number of conductors in, a spec of just that size out: a test stand with one engine after the other,
//! each with its own indicator, wall and holes. Invented, like everything in it.
//!
//! The same seed and number give the same text on every machine. The specs check clean.

use std::fmt::Write;

/// A small generator of random numbers: Marsaglia's xorshift64 ("Xorshift RNGs", Journal of Statistical Software 8/14,
/// 2003, shifts 13, 7, 17).
pub struct Dice(u64);

impl Dice {
    /// From a seed; every seed has a sequence of its own.
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// A number from `low` to `high`, both included.
    pub fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.roll() % (high - low + 1)
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            let other = usize::try_from(self.between(0, i as u64)).unwrap_or(0);
            items.swap(i, other);
        }
    }
}

/// Something that may be fitted to an engine: what is declared for it, and how many conductors it costs.
struct Fitting {
    section: &'static str,
    device: String,
    connector: Option<String>,
    circuit: String,
    conductors: usize,
}

/// The sections of a spec under construction.
#[derive(Default)]
struct Sections {
    zones: String,
    barriers: String,
    places: String,
    route: String,
    bodies: String,
    bonds: String,
    buses: String,
    grounds: String,
    supplies: String,
    equipment: String,
    sensors: String,
    connectors: String,
    circuits: String,
}

/// A spec of exactly `conductors` conductors; at least two, since an indicator has power and ground.
pub fn spec(seed: u64, conductors: usize) -> String {
    let mut dice = Dice::new(seed);
    let mut made = Sections { bodies: "  frame: structure\n".to_owned(), ..Sections::default() };
    let mut left = conductors.max(2);
    let mut engine = 0;
    while left > 0 {
        engine += 1;
        left = add_engine(&mut made, &mut dice, engine, left);
    }
    let mut text = format!(
        "# Made by a generator: seed {seed}, {conductors} conductors. Invented; no such test stand exists.\n\
         fairlead: 1\n\
         harness: {{title: Test stand, drawing: GEN-{seed}-{conductors}, supply: 14 V, thermocouple-colours: ansi, \
         default-wire: etfe-22}}\n"
    );
    for (name, body) in [
        ("zones", &made.zones),
        ("barriers", &made.barriers),
        ("places", &made.places),
        ("route", &made.route),
        ("bodies", &made.bodies),
        ("bonds", &made.bonds),
        ("buses", &made.buses),
        ("grounds", &made.grounds),
        ("supplies", &made.supplies),
        ("equipment", &made.equipment),
        ("sensors", &made.sensors),
        ("connectors", &made.connectors),
        ("circuits", &made.circuits),
    ] {
        if !body.is_empty() {
            let _ = write!(text, "{name}:\n{body}");
        }
    }
    text
}

/// Adds an engine with as many conductors as are left for it; what is left after it.
fn add_engine(made: &mut Sections, dice: &mut Dice, e: usize, left: usize) -> usize {
    let _ = writeln!(made.zones, "  desk-{e}: {{ambient: 40 °C}}");
    let _ = writeln!(
        made.zones,
        "  cell-{e}: {{ambient: {} °C, hazards: [fuel, oil, exhaust]}}",
        dice.between(70, 110)
    );
    let _ = writeln!(
        made.barriers,
        "  wall-{e}: {{between: [desk-{e}, cell-{e}], holes: {{H{e}a: {{bore: 25 mm, max-conductors: 60}}, \
         H{e}b: {{bore: 25 mm, max-conductors: 60}}}}}}"
    );
    for (from, to, zone, low, high) in [
        ("panel", "Ha", "desk", 600, 1500),
        ("panel", "Hb", "desk", 700, 1600),
        ("Ha", "top", "cell", 200, 600),
        ("top", "cyl1", "cell", 300, 700),
        ("cyl1", "cyl3", "cell", 180, 260),
        ("top", "cyl2", "cell", 300, 700),
        ("cyl2", "cyl4", "cell", 180, 260),
        ("Hb", "shelf", "cell", 150, 400),
        ("shelf", "case", "cell", 200, 500),
        ("shelf", "pump", "cell", 200, 500),
    ] {
        let place = |name: &str| match name {
            "Ha" => format!("H{e}a"),
            "Hb" => format!("H{e}b"),
            other => format!("{other}-{e}"),
        };
        let _ = writeln!(
            made.route,
            "  - {{from: {}, to: {}, zone: {zone}-{e}, length: {} mm{}}}",
            place(from),
            place(to),
            dice.between(low, high),
            installation(dice, zone)
        );
    }
    for (place, station) in [("panel", 0), ("top", 1400), ("shelf", 1500), ("cyl1", 1900), ("cyl3", 2200)] {
        let _ = writeln!(made.places, "  {place}-{e}: {{station: {} mm}}", station + dice.between(0, 90));
    }
    let _ = writeln!(made.bodies, "  engine-{e}: engine");
    let _ = writeln!(
        made.bonds,
        "  - {{from: engine-{e}, to: frame, resistance: 0.{} mΩ, carries: {} A, cranking: {} A}}",
        dice.between(2, 6),
        dice.between(15, 35),
        dice.between(90, 160)
    );
    let _ = writeln!(
        made.buses,
        "  bus-{e}: {{source: 20 A, others: {{start: {} A, run: {} A}}}}",
        dice.between(1, 3),
        dice.between(3, 9)
    );
    let _ = writeln!(made.grounds, "  ENG{e}: {{body: engine-{e}, at: case-{e}, stud: M6}}");
    let _ = writeln!(made.supplies, "  CB{e}: {{breaker: 2 A, at: panel-{e}, bus: bus-{e}, stud: \"#8\"}}");
    let _ = writeln!(made.equipment, "  G{e}: {{part: engine-gauge-4, at: panel-{e}, off-centre: 300 mm}}");
    let _ = writeln!(made.circuits, "  POWER{e}: {{from: CB{e}, to: G{e}.power, gauge: 20 AWG}}");
    if left == 1 {
        let _ = writeln!(made.circuits, "  VOLTS{e}: {{from: CB{e}, to: G{e}.volts}}");
        return 0;
    }
    let _ = writeln!(
        made.circuits,
        "  GND{e}: {{from: G{e}.ground, to: ENG{e}, gauge: 20 AWG, through: [H{e}b]}}"
    );
    let mut left = left - 2;
    let mut fittings = fittings(dice, e);
    dice.shuffle(&mut fittings);
    for fitting in fittings {
        if fitting.conductors > left {
            continue;
        }
        left -= fitting.conductors;
        match fitting.section {
            "equipment" => made.equipment.push_str(&fitting.device),
            _ => made.sensors.push_str(&fitting.device),
        }
        if let Some(connector) = &fitting.connector {
            made.connectors.push_str(connector);
        }
        made.circuits.push_str(&fitting.circuit);
    }
    // One conductor may be left over that nothing takes: the sense line of the bus.
    if left > 0 {
        let _ = writeln!(made.circuits, "  VOLTS{e}: {{from: CB{e}, to: G{e}.volts}}");
        left -= 1;
    }
    left
}

/// How a run is laid: clamps and slack as measured, sometimes a warm surface beside it.
fn installation(dice: &mut Dice, zone: &str) -> String {
    if zone == "desk" {
        return String::new();
    }
    let clamps = dice.between(150, 500);
    let slack = dice.between(3, 12);
    let surface = match dice.between(0, 3) {
        0 => format!(", surface: {} °C", dice.between(90, 130)),
        _ => String::new(),
    };
    format!(", clamps: {clamps} mm, slack: {slack} mm{surface}")
}

fn fittings(dice: &mut Dice, e: usize) -> Vec<Fitting> {
    let mut list = Vec::new();
    let mut sensor = |name: String, part: &str, at: &str, more: &str, circuit: String, conductors: usize| {
        let device = format!("  {name}: {{part: {part}, at: {at}-{e}{more}}}\n");
        list.push(Fitting { section: "sensors", device, connector: None, circuit, conductors });
    };
    for cylinder in 1..=4 {
        let at = format!("cyl{cylinder}");
        for (kind, part) in [("CHT", "cht-bayonet-k"), ("EGT", "egt-clamp-k")] {
            let name = format!("{kind}{e}-{cylinder}");
            let port = format!("{}-{cylinder}", kind.to_lowercase());
            let circuit = format!("  {name}: {{from: {name}, to: G{e}.{port}, through: [H{e}a]}}\n");
            let flange = if kind == "EGT" {
                format!(", from-flange: {} mm", dice.between(55, 95))
            } else {
                String::new()
            };
            sensor(name, part, &at, &flange, circuit, 2);
        }
    }
    for (kind, part, port, at) in [
        ("OILT", "oil-temperature-3wire", "oil-temperature", "shelf"),
        ("FUELP", "fuel-pressure-3wire", "fuel-pressure", "shelf"),
        ("MAP", "manifold-pressure-3wire", "manifold-pressure", "shelf"),
        ("FLOW", "fuel-flow-transducer", "fuel-flow", "pump"),
    ] {
        let name = format!("{kind}{e}");
        let twist = if dice.between(0, 1) == 0 { ", twist: 25 mm" } else { "" };
        let circuit = format!("  {name}: {{from: {name}, to: G{e}.{port}{twist}, through: [H{e}b]}}\n");
        sensor(name, part, at, "", circuit, 3);
    }
    let oil = format!("OILP{e}");
    let circuit = format!("  {oil}: {{from: {oil}, to: G{e}.oil-pressure.signal, through: [H{e}b]}}\n");
    sensor(oil, "oil-pressure-1wire", "case", &format!(", body: engine-{e}"), circuit, 1);
    let rpm = format!("RPM{e}");
    let circuit = format!(
        "  {rpm}: {{from: {rpm}, to: G{e}.rpm-1, wire: screened-2-22, screen: [G{e}.screens], through: [H{e}b]}}\n"
    );
    // Two cores and the drain lead of the screen.
    sensor(rpm, "rpm-magneto-pickup", "case", "", circuit, 3);
    // Air of the cell, read through a connector at the wall: each of its two legs is two conductors.
    let air = format!("OAT{e}");
    list.push(Fitting {
        section: "sensors",
        device: format!("  {air}: {{part: outside-air-probe, at: pump-{e}}}\n"),
        connector: Some(format!("  X{e}: {{plug: sealed-2-plug, at: shelf-{e}, plug-faces: pump-{e}}}\n")),
        circuit: format!(
            "  {air}: {{from: {air}, to: G{e}.outside-air, via: {{X{e}: auto}}, through: [H{e}b]}}\n"
        ),
        conductors: 4,
    });
    list.push(Fitting {
        section: "equipment",
        device: format!("  LAMP{e}: {{part: alert-lamp, at: panel-{e}, off-centre: 60 mm}}\n"),
        connector: None,
        circuit: format!(
            "  FEED{e}: {{from: CB{e}, to: LAMP{e}.supply, kind: warning}}\n  \
             ALERT{e}: {{from: LAMP{e}.drive, to: G{e}.alert, kind: warning}}\n"
        ),
        conductors: 2,
    });
    list
}
