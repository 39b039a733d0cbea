//! What every rule may look at, computed once.

use crate::diag::Span;
use crate::graph::{
    Bundles, Currents, Electrical, Feed, GroundLoop, GroundNetwork, Ratings, Routing, SignalPair,
    ThermocoupleRun, feeds,
};
use crate::harness::{Circuit, ConductorId, Harness, PinId};
use crate::parts::library::Library;
use crate::quantity::Date;
use crate::workers;

/// The facts that are computed from the stages before; [`Facts`] looks into it.
#[derive(Debug)]
pub struct Base<'a> {
    harness: &'a Harness,
    library: &'a Library,
    routing: &'a Routing,
    bundles: &'a Bundles,
    electrical: Electrical,
    currents: Currents,
    ratings: Ratings,
    feeds: Vec<Feed>,
    ground: GroundNetwork,
    ground_loops: Vec<GroundLoop>,
    thermocouples: Vec<ThermocoupleRun>,
    pairs: Vec<SignalPair>,
}

impl<'a> Base<'a> {
    /// Computes them.
    pub fn of(
        harness: &'a Harness,
        library: &'a Library,
        routing: &'a Routing,
        bundles: &'a Bundles,
    ) -> Base<'a> {
        let electrical = Electrical::of(harness);
        let currents = Currents::of(harness, &electrical);
        let grounds = || {
            let ground = GroundNetwork::of(harness, library, routing, &electrical, &currents);
            let ratings = Ratings::of(harness, library, routing, &currents, &ground);
            (ground, ratings)
        };
        let rest = || {
            let feeds = feeds(harness, &electrical, &currents);
            let ground_loops = electrical.ground_loops(harness);
            let thermocouples = electrical.thermocouple_runs(harness);
            (feeds, ground_loops, thermocouples, electrical.signal_pairs(harness))
        };
        let ((ground, ratings), (feeds, ground_loops, thermocouples, pairs)) = workers::both(grounds, rest);
        Base {
            harness,
            library,
            routing,
            bundles,
            electrical,
            currents,
            ratings,
            feeds,
            ground,
            ground_loops,
            thermocouples,
            pairs,
        }
    }

    /// As rules see them on the day `today`; `None`: nobody said what day it is.
    pub fn facts(&self, today: Option<Date>) -> Facts<'_> {
        Facts {
            harness: self.harness,
            library: self.library,
            routing: self.routing,
            bundles: self.bundles,
            electrical: &self.electrical,
            currents: &self.currents,
            ratings: &self.ratings,
            feeds: &self.feeds,
            ground: &self.ground,
            ground_loops: &self.ground_loops,
            thermocouples: &self.thermocouples,
            pairs: &self.pairs,
            today,
            idle_waivers: &[],
            unsigned_waivers: &[],
        }
    }

    /// The electrical graph.
    pub fn electrical(&self) -> &Electrical {
        &self.electrical
    }
}

/// What a rule may look at.
#[derive(Clone, Copy, Debug)]
pub struct Facts<'a> {
    /// The resolved harness.
    pub harness: &'a Harness,
    /// Parts.
    pub library: &'a Library,
    /// Where everything lies.
    pub routing: &'a Routing,
    /// What lies side by side in every run and hole; packed only where a rule asks for it.
    pub bundles: &'a Bundles,
    /// The electrical graph.
    pub electrical: &'a Electrical,
    /// Steady current in every conductor.
    pub currents: &'a Currents,
    /// What every conductor may carry where it lies.
    pub ratings: &'a Ratings,
    /// What each supply feeds.
    pub feeds: &'a [Feed],
    /// The ground as a network of resistances, solved.
    pub ground: &'a GroundNetwork,
    /// Loops in which ground current can flow.
    pub ground_loops: &'a [GroundLoop],
    /// Legs of thermocouples.
    pub thermocouples: &'a [ThermocoupleRun],
    /// Pairs that carry millivolts.
    pub pairs: &'a [SignalPair],
    /// The day of the check; `None` where nobody said it.
    pub today: Option<Date>,
    /// Waivers that covered no finding, by index; empty until all other rules have spoken.
    pub idle_waivers: &'a [usize],
    /// Waivers with a reason and without a name that a finding which says stop asked for, by index; empty likewise.
    pub unsigned_waivers: &'a [usize],
}

impl<'a> Facts<'a> {
    /// The circuit of a conductor.
    pub fn circuit_of(&self, conductor: ConductorId) -> &'a Circuit {
        self.harness.circuit(self.harness.conductor(conductor).circuit)
    }

    /// Where a conductor stands in the spec, and the name of its circuit: what a label points at.
    pub fn spot(&self, conductor: ConductorId) -> (Span, &'a str) {
        (self.harness.conductor(conductor).span, &self.circuit_of(conductor).name)
    }

    /// Name of a pin.
    pub fn pin_name(&self, pin: PinId) -> &'a str {
        &self.harness.pin(pin).name
    }

    /// The name of the device of a pin, and where it stands.
    pub fn device_spot(&self, pin: PinId) -> (Span, &'a str) {
        let device = self.harness.device(self.harness.pin(pin).device);
        (device.span, &device.name)
    }

    /// What is seen at the gauge of a thermocouple as it is wired, with the zones at their ambient temperatures: first
    /// what follows from the law alone, then the figures; why there are none, where none follow.
    pub fn seen_at_gauge(&self, run: &ThermocoupleRun, law: &str) -> String {
        let h = self.harness;
        let probe = run.example(h);
        let seen = run.chain(h, self.routing).and_then(|chain| chain.seen(probe, h.header.units));
        match seen {
            Ok(seen) => format!("{law}: with the zones at their ambient temperatures it {seen}"),
            Err(why) => format!("{law}; by how much is not known: {}", why.words(h)),
        }
    }

    /// True where a conductor is twisted with others, as made or by the shop.
    pub fn is_twisted(&self, conductor: ConductorId) -> bool {
        let h = self.harness;
        let c = h.conductor(conductor);
        let made = c.cable.is_some() && self.library.wires.get(c.wire).lay.is_some();
        let lay = h.lay(c.lay);
        let mates = lay.conductors.iter().filter(|m| !h.conductor(**m).drain).count();
        mates > 1 && (made || lay.twist.is_some())
    }

    /// True where a conductor lies under a screen.
    pub fn is_screened(&self, conductor: ConductorId) -> bool {
        let c = self.harness.conductor(conductor);
        c.cable.is_some() && self.library.wires.get(c.wire).screen.is_some()
    }

    /// True where a wire ends on the pin.
    pub fn is_wired(&self, pin: PinId) -> bool {
        !self.electrical.conductors_at(pin).is_empty()
    }
}
