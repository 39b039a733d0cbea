//! The fixed words of part files: sorts of device, kinds of port, roles of pins.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::trade::thermocouple_colour::ThermocoupleType;

/// Sort of device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Style {
    /// Shows readings; the harness has a service loop behind it and its ground decides what senders read.
    Indicator,
    /// Turns readings into data for an indicator; wired like one.
    Converter,
    /// Thermocouple or temperature probe.
    Probe,
    /// Resistive or voltage sender.
    Sender,
    /// Gives pulses for flow or rotation.
    PulseSource,
    /// Measures current: shunt or Hall sensor.
    CurrentSensor,
    /// Lamp or sounder.
    Alert,
    /// Switch, relay, anything else that is wired.
    Other,
}

/// What may be connected to a port.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PortKind {
    /// Type K thermocouple: `plus` chromel, `minus` alumel.
    ThermocoupleK,
    /// Type J thermocouple: `plus` iron, `minus` constantan.
    ThermocoupleJ,
    /// Resistance that changes with what is measured: `signal`, and `return` where it does not ground through its case.
    Resistance,
    /// Voltage with its own excitation: `excitation`, `return`, `signal`.
    ExcitedVoltage,
    /// Pulses with a supplied pick-up: `supply`, `return`, `pulse`.
    SuppliedPulse,
    /// Pulses of a pick-up that needs no supply: `pulse`, `return`.
    Pulse,
    /// Millivolts across a shunt: `plus`, `minus`.
    Millivolt,
    /// Voltage of a bus: `signal`.
    Volts,
    /// Lamp output that switches to ground, or the lamp: `supply`, `drive`.
    Lamp,
    /// Takes power: `supply`.
    PowerIn,
    /// Ground of the device: `ground`.
    Ground,
    /// Ties screens: `shield`.
    Shield,
}

impl PortKind {
    /// The type of thermocouple, for a thermocouple port.
    pub fn thermocouple(self) -> Option<ThermocoupleType> {
        match self {
            PortKind::ThermocoupleK => Some(ThermocoupleType::K),
            PortKind::ThermocoupleJ => Some(ThermocoupleType::J),
            _ => None,
        }
    }

    /// Roles that a port of this kind must have.
    pub fn roles(self) -> &'static [Role] {
        match self {
            PortKind::ThermocoupleK | PortKind::ThermocoupleJ | PortKind::Millivolt => {
                &[Role::Plus, Role::Minus]
            }
            PortKind::Resistance | PortKind::Volts => &[Role::Signal],
            PortKind::ExcitedVoltage => &[Role::Excitation, Role::Return, Role::Signal],
            PortKind::SuppliedPulse => &[Role::Supply, Role::Return, Role::Pulse],
            PortKind::Pulse => &[Role::Pulse],
            PortKind::Lamp => &[Role::Drive],
            PortKind::PowerIn => &[Role::Supply],
            PortKind::Ground => &[Role::Ground],
            PortKind::Shield => &[Role::Shield],
        }
    }

    /// Roles that it may have besides: the return of a sender that does not use its case, the feed of a lamp.
    pub fn further_roles(self) -> &'static [Role] {
        match self {
            PortKind::Resistance | PortKind::Pulse => &[Role::Return],
            PortKind::Lamp => &[Role::Supply],
            _ => &[],
        }
    }

    /// Words for messages.
    pub fn words(self) -> &'static str {
        match self {
            PortKind::ThermocoupleK => "type K thermocouple",
            PortKind::ThermocoupleJ => "type J thermocouple",
            PortKind::Resistance => "resistance",
            PortKind::ExcitedVoltage => "excited voltage",
            PortKind::SuppliedPulse => "supplied pulse",
            PortKind::Pulse => "pulse",
            PortKind::Millivolt => "millivolt",
            PortKind::Volts => "bus voltage",
            PortKind::Lamp => "lamp",
            PortKind::PowerIn => "power",
            PortKind::Ground => "ground",
            PortKind::Shield => "screen",
        }
    }
}

/// What a pin does in its port.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Positive leg.
    Plus,
    /// Negative leg.
    Minus,
    /// Excitation of a sender.
    Excitation,
    /// Return of a sender.
    Return,
    /// Signal.
    Signal,
    /// Pulses.
    Pulse,
    /// Power.
    Supply,
    /// Switched output to a lamp.
    Drive,
    /// Ground.
    Ground,
    /// Screen.
    Shield,
}

impl Role {
    /// The word users write and see.
    pub fn word(self) -> &'static str {
        match self {
            Role::Plus => "plus",
            Role::Minus => "minus",
            Role::Excitation => "excitation",
            Role::Return => "return",
            Role::Signal => "signal",
            Role::Pulse => "pulse",
            Role::Supply => "supply",
            Role::Drive => "drive",
            Role::Ground => "ground",
            Role::Shield => "shield",
        }
    }
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Cylinder-head temperature.
    CylinderHead,
    /// Exhaust-gas temperature.
    ExhaustGas,
    /// Turbine-inlet temperature.
    TurbineInlet,
    /// Oil temperature.
    OilTemperature,
    /// Oil pressure.
    OilPressure,
    /// Fuel pressure.
    FuelPressure,
    /// Manifold pressure.
    ManifoldPressure,
    /// Fuel flow.
    FuelFlow,
    /// Engine speed.
    EngineSpeed,
    /// Level in a tank.
    TankLevel,
    /// Outside-air temperature.
    OutsideAir,
    /// Coolant temperature.
    CoolantTemperature,
    /// Voltage.
    Voltage,
    /// Current.
    Current,
}

impl Measure {
    /// Words for messages and lists.
    pub fn words(self) -> &'static str {
        match self {
            Measure::CylinderHead => "cylinder-head temperature",
            Measure::ExhaustGas => "exhaust-gas temperature",
            Measure::TurbineInlet => "turbine-inlet temperature",
            Measure::OilTemperature => "oil temperature",
            Measure::OilPressure => "oil pressure",
            Measure::FuelPressure => "fuel pressure",
            Measure::ManifoldPressure => "manifold pressure",
            Measure::FuelFlow => "fuel flow",
            Measure::EngineSpeed => "engine speed",
            Measure::TankLevel => "tank level",
            Measure::OutsideAir => "outside-air temperature",
            Measure::CoolantTemperature => "coolant temperature",
            Measure::Voltage => "voltage",
            Measure::Current => "current",
        }
    }
}
