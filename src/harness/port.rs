//! A port of a device: a named group of pins with roles, and what its part says of it.

use super::PinId;
use crate::parts::model::{Bias, ScalePoint};
use crate::parts::words::{Measure, PortKind, Role};
use crate::quantity::{Current, Reading};

/// A port of a device, its pins as they are numbered in the harness; or, before it is placed there, of a part laid out.
#[derive(Clone, Debug)]
pub struct Port<P = PinId> {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: PortKind,
    /// Other kinds that it can be set up for.
    pub also: Vec<PortKind>,
    /// What it shows.
    pub measures: Option<Measure>,
    /// Pins by role.
    pub pins: Vec<(Role, P)>,
    /// Roles that may stay open.
    pub may_float: Vec<Role>,
    /// True where the device does not work without it.
    pub required: bool,
    /// Current.
    pub current: Option<Current>,
    /// What a sender gives for what it measures.
    pub scale: Vec<ScalePoint>,
    /// Largest acceptable error of the reading.
    pub tolerance: Option<Reading>,
    /// How an indicator reads a resistance.
    pub bias: Option<Bias>,
    /// True where a thermocouple's plus is measured against the indicator's ground, false where between its pins.
    pub single_ended: Option<bool>,
}

impl<P> Port<P> {
    /// The same port with other numbers for its pins.
    pub(super) fn numbered<Q>(&self, pin: impl Fn(&P) -> Q) -> Port<Q> {
        Port {
            name: self.name.clone(),
            kind: self.kind,
            also: self.also.clone(),
            measures: self.measures,
            pins: self.pins.iter().map(|(role, p)| (*role, pin(p))).collect(),
            may_float: self.may_float.clone(),
            required: self.required,
            current: self.current,
            scale: self.scale.clone(),
            tolerance: self.tolerance,
            bias: self.bias,
            single_ended: self.single_ended,
        }
    }
}
