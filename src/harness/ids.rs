//! Small integer ids of the resolved model. An id indexes the vector of its kind in one [`super::Harness`].

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl $name {
            /// The id of the thing at `index`.
            pub fn at(index: usize) -> $name {
                $name(u32::try_from(index).unwrap_or(u32::MAX))
            }

            /// Its index.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }
    )+};
}

ids! {
    /// A zone.
    ZoneId,
    /// A barrier.
    BarrierId,
    /// A hole of a barrier.
    HoleId,
    /// A place of the route; each hole is one.
    PlaceId,
    /// A run of the route.
    RunId,
    /// A conducting body.
    BodyId,
    /// A bond between bodies.
    BondId,
    /// A bus that supplies are fed from.
    BusId,
    /// A phase of use that the buses name: start, cruise, landing.
    PhaseId,
    /// A device: anything with pins.
    DeviceId,
    /// A pin.
    PinId,
    /// A circuit of the spec.
    CircuitId,
    /// A conductor: one piece of wire or one core, from pin to pin.
    ConductorId,
    /// Conductors that are laid together from the same place to the same place.
    LayId,
    /// A pair or cable: cores in one jacket.
    CableId,
}
