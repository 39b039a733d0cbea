//! Harness, parts, routing and currents in; what every conductor has to stand and what it may carry, by both methods of
//! AC 43.13-1B chapter 11, out.
//!
//! By the table: Table 11-9 for the insulation, lessened by the hottest ambient passed. By free air: for each run that
//! is passed, the free-air current at the run's ambient times the factor of the bundle as it lies there times the
//! factor of the altitude (`ceiling` of the harness, else sea level). All conductors of the run count as wires, cores
//! singly. The load of a bundle is the smallest share at which what its wires may carry together covers what they do
//! carry; a conductor whose current is not known is taken as carrying all it may, one that is not copper as adding
//! nothing to what the bundle may carry. Where neither its current nor what it may carry is known, the bundle is taken as
//! fully loaded.
//!
//! Costs the length of all paths.

use std::collections::BTreeMap;

use super::current::{Basis, Currents};
use super::ground_network::{GroundNetwork, Phase, Range, Unsure};
use super::routing::Routing;
use crate::harness::{ConductorId, Harness, RunId, ZoneId};
use crate::parts::library::Library;
use crate::quantity::{Current, Fraction, Gauge, Length, Temperature, TemperatureDifference};
use crate::trade::bundled::{Asked, Bundled, Outside, bundled};
use crate::trade::derating::{altitude_factor, bundle_factor};
use crate::trade::free_air::free_air;
use crate::trade::table_rating::{TableRating, table_rating};
use crate::trade::thermocouple_colour::Alloy;

/// The zones a conductor passes, by what is known of their heat.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ambient {
    /// The hottest zone of those of which the ambient is known.
    pub hottest: Option<(ZoneId, Temperature)>,
    /// A zone without `ambient:`.
    pub unsaid: Option<ZoneId>,
}

/// What a run's bundle carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunLoad {
    /// Conductors in it, cores counted singly.
    pub wires: usize,
    /// Sum of the known currents.
    pub carried: Current,
    /// Conductors whose current is not known.
    pub unknown: usize,
    /// Sum of what its copper wires would carry in free air at the altitude.
    pub free_air: Current,
    /// Share of what the bundle may carry that it does carry; 100 percent at most, and never below the 20 percent at
    /// which the curves begin.
    pub load: Fraction,
}

/// What conductors may carry.
#[derive(Clone, Debug)]
pub struct Ratings {
    altitude: Length,
    /// By run; `None` where its zone has no ambient or the altitude is above the curves.
    runs: Vec<Option<RunLoad>>,
}

/// Least load for which there is a curve.
const LEAST_LOAD: f64 = 0.2;

impl Ratings {
    /// Works out the load of every run.
    pub fn of(
        h: &Harness,
        library: &Library,
        routing: &Routing,
        currents: &Currents,
        ground: &GroundNetwork,
    ) -> Ratings {
        let altitude = h.header.ceiling.map_or(Length::ZERO, |c| c.value);
        let steady: Vec<_> = h.conductor_ids().map(|id| steady(h, currents, ground, id)).collect();
        let runs = (0..h.runs.len()).map(RunId::at);
        let runs = runs.map(|run| run_load(h, library, routing, &steady, altitude, run)).collect();
        Ratings { altitude, runs }
    }

    /// The load of a run; `None` where its zone has no ambient, or the altitude is above the curves.
    pub fn run(&self, run: RunId) -> Option<RunLoad> {
        self.runs.get(run.index()).copied().flatten()
    }

    /// The altitude that all is worked out for.
    pub fn altitude(&self) -> Length {
        self.altitude
    }

    /// What a conductor may carry in a run, by the free-air method. `None` where the run's load or the insulation is
    /// not known, or it is not copper.
    ///
    /// # Errors
    ///
    /// What the curves do not cover.
    pub fn in_run(
        &self,
        h: &Harness,
        library: &Library,
        id: ConductorId,
        run: RunId,
    ) -> Option<Result<Bundled, Outside>> {
        let load = self.run(run)?;
        let ambient = h.zone(h.run(run).zone).ambient?.value;
        self.lain(h, library, id, (ambient, load.wires, load.load))
    }

    /// What a conductor that lies in no run may carry: by the free-air method, as a single wire in the hottest zone of
    /// its place. `None` where it does lie in one, or its heat, its place or the insulation is not known, or it is not
    /// copper.
    ///
    /// # Errors
    ///
    /// What the curves do not cover.
    pub fn alone(
        &self,
        h: &Harness,
        library: &Library,
        routing: &Routing,
        id: ConductorId,
    ) -> Option<Result<Bundled, Outside>> {
        routing.path_of(h, id).filter(|path| path.runs.is_empty())?;
        let around = ambient_of(h, routing, id);
        let (_, ambient) = around.hottest.filter(|_| around.unsaid.is_none())?;
        self.lain(h, library, id, (ambient, 1, Fraction::from_ratio(1.0)))
    }

    fn lain(
        &self,
        h: &Harness,
        library: &Library,
        id: ConductorId,
        (ambient, wires, load): (Temperature, usize, Fraction),
    ) -> Option<Result<Bundled, Outside>> {
        let c = h.conductor(id);
        let limit = library.wires.get(c.wire).rated.filter(|_| c.alloy == Alloy::Copper)?;
        Some(bundled(&Asked { gauge: c.gauge, limit, ambient, wires, load, altitude: self.altitude }))
    }
}

/// What flows in a conductor in a phase besides the loads of the harness, where current may divide: the ground network,
/// loads and bonds at work, sends it there. Without its direction. `None` where nothing does: where it may not divide, where
/// no bond lies on its ring and the loads alone bound it, where the spec says its current, and for a drain lead.
///
/// # Errors
/// Where nothing bounds it.
pub fn around(
    h: &Harness,
    currents: &Currents,
    ground: &GroundNetwork,
    id: ConductorId,
    phase: Phase,
) -> Result<Option<Range<Current>>, Unsure> {
    let basis = currents.basis(id);
    let said = matches!(basis, Basis::Declared(_)) || h.conductor(id).drain;
    let comes = basis == Basis::Beside || ground.is_beside_bonds(id);
    if said || !comes || !currents.may_divide(id) {
        return Ok(None);
    }
    let Range { low, high, open } = ground.carried(id, phase)?;
    let least =
        if low <= Current::ZERO && high >= Current::ZERO { Current::ZERO } else { low.abs().min(high.abs()) };
    Ok(Some(Range { low: least, high: low.abs().max(high.abs()), open }))
}

/// What flows in a conductor for good: the larger of what the loads send there and of what the ground network does in
/// cruise. Between what is joined without it only the network knows. `None` where it is not known: where a load does not
/// say what it takes, on its ring or through it, where a bond beside it does not say what it carries, where a resistance of
/// its ring leaves it open.
pub fn steady(h: &Harness, currents: &Currents, ground: &GroundNetwork, id: ConductorId) -> Option<Current> {
    let cruise = around(h, currents, ground, id, Phase::Cruise).ok()?;
    if cruise.is_some() && ground.silent(id).is_some() {
        return None;
    }
    match (currents.in_conductor(id), cruise) {
        (Some(loads), None) => Some(loads),
        (Some(loads), Some(cruise)) if cruise.high <= loads => Some(loads),
        (None, Some(_)) if currents.basis(id) != Basis::Beside => None,
        (_, cruise) => cruise?.exact().copied(),
    }
}

/// True where the harness is used above 60,000 ft, for which the table and the altitude curve are at most: the air is
/// thinner there than any figure allows for.
pub fn above_the_figures(h: &Harness) -> bool {
    h.header.ceiling.is_some_and(|ceiling| altitude_factor(ceiling.value).is_none())
}

/// What a copper conductor may carry by Table 11-9 in the hottest zone that it passes. `None` where its insulation or
/// the ambient of any of them is not known, for other materials, for sizes beside the table and above its altitude.
pub fn by_table(h: &Harness, library: &Library, routing: &Routing, id: ConductorId) -> Option<TableRating> {
    by_table_at(h, library, routing, id, h.conductor(id).gauge)
}

/// The same, were it of this gauge.
pub(super) fn by_table_at(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    id: ConductorId,
    gauge: Gauge,
) -> Option<TableRating> {
    let c = h.conductor(id);
    let rated = library.wires.get(c.wire).rated.filter(|_| c.alloy == Alloy::Copper)?;
    let around = ambient_of(h, routing, id);
    let (_, ambient) = around.hottest.filter(|_| around.unsaid.is_none() && !above_the_figures(h))?;
    table_rating(gauge, rated, ambient)
}

/// What is known of the heat along a conductor: in the zones of its runs; where it goes along none, in those of the
/// place it stays at.
pub fn ambient_of(h: &Harness, routing: &Routing, id: ConductorId) -> Ambient {
    let mut ambient = Ambient::default();
    let Some(path) = routing.path_of(h, id) else { return ambient };
    let mut look = |zone: ZoneId| match h.zone(zone).ambient {
        Some(said) if ambient.hottest.is_none_or(|(_, hottest)| hottest < said.value) => {
            ambient.hottest = Some((zone, said.value));
        }
        Some(_) => {}
        None => ambient.unsaid = ambient.unsaid.or(Some(zone)),
    };
    if path.runs.is_empty() {
        path.places.iter().flat_map(|place| &h.place(*place).zones).for_each(|zone| look(*zone));
    }
    path.runs.iter().for_each(|run| look(h.run(*run).zone));
    ambient
}

fn run_load(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    steady: &[Option<Current>],
    altitude: Length,
    run: RunId,
) -> Option<RunLoad> {
    let ambient = h.zone(h.run(run).zone).ambient?.value;
    let thin_air = altitude_factor(altitude)?.share;
    let conductors = routing.in_run.get(run.index())?;
    let mut of_wire = BTreeMap::new();
    // A wire of which neither is known: what it carries nor what it may.
    let mut unbounded = false;
    let (mut carried, mut unknown) = (Current::ZERO, 0);
    let (mut may, mut unknown_may) = (Current::ZERO, Current::ZERO);
    for id in conductors {
        let c = h.conductor(*id);
        let alone = *of_wire.entry((c.wire, c.gauge)).or_insert_with(|| {
            let rated = library.wires.get(c.wire).rated.unwrap_or(ambient);
            let rise = rated.above(ambient).max(TemperatureDifference::ZERO);
            free_air(c.gauge, rise).map_or(Current::ZERO, |found| found.current * thin_air)
        });
        let alone = if c.alloy == Alloy::Copper { alone } else { Current::ZERO };
        may += alone;
        match steady.get(id.index()).copied().flatten() {
            Some(current) => carried += current,
            None => {
                unknown += 1;
                unknown_may += alone;
                unbounded |= alone == Current::ZERO;
            }
        }
    }
    let wires = conductors.len();
    let load = match unbounded {
        true => Fraction::from_ratio(1.0),
        false => share_used(wires, carried, may, unknown_may),
    };
    Some(RunLoad { wires, carried, unknown, free_air: may, load })
}

/// The smallest share at which the wires together may carry what they do: of `may` in free air, `full` belongs to wires
/// taken as fully loaded. Found by halving; both sides rise with the share.
fn share_used(wires: usize, carried: Current, may: Current, full: Current) -> Fraction {
    let enough = |share: f64| {
        let factor = bundle_factor(wires, Fraction::from_ratio(share)).map_or(0.0, |f| f.share.ratio());
        factor * (share * may.amps() - full.amps()) >= carried.amps()
    };
    let (mut low, mut high) = (LEAST_LOAD, 1.0);
    if wires == 0 || enough(low) {
        return Fraction::from_ratio(low);
    }
    // To a hundredth of a percent.
    while high - low > 1e-4 {
        let middle = f64::midpoint(low, high);
        if enough(middle) { high = middle } else { low = middle }
    }
    Fraction::from_ratio(high)
}
