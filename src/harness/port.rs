//! A port of a device: a named group of pins with roles, and what its part says of it.

use std::ops::Deref;
use std::sync::Arc;

use super::PinId;
use crate::parts::model::{Bias, ScalePoint};
use crate::parts::words::{Measure, PortKind, Role};
use crate::quantity::{Current, Reading};

/// A port of a device, its pins as they are numbered in the harness; or, before it is placed there, of a part laid out.
///
/// Reads as its [`PortBuild`], which all devices of one part share: a harness has many senders of few parts.
#[derive(Clone, Debug)]
pub struct Port<P = PinId> {
    /// Pins by role.
    pub pins: Vec<(Role, P)>,
    pub(super) build: Arc<PortBuild>,
}

/// What a part says of one of its ports.
#[derive(Clone, Debug)]
pub struct PortBuild {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: PortKind,
    /// Other kinds that it can be set up for.
    pub also: Vec<PortKind>,
    /// What it shows.
    pub measures: Option<Measure>,
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

impl<P> Deref for Port<P> {
    type Target = PortBuild;

    fn deref(&self) -> &PortBuild {
        &self.build
    }
}

impl<P> Port<P> {
    /// The same port with other numbers for its pins.
    pub(super) fn numbered<Q>(&self, pin: impl Fn(&P) -> Q) -> Port<Q> {
        let pins = self.pins.iter().map(|(role, p)| (*role, pin(p))).collect();
        Port { pins, build: Arc::clone(&self.build) }
    }
}
