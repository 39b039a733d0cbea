//! What the harness weighs and where: cut lengths, pieces and stations in; masses with their arms and moments out.
//!
//! The wire along a run weighs at the middle of the run, what is cut for an end at the place of that end, twist and
//! rounding half at each end. A covering weighs at the middle of its run, all other pieces where they sit. An arm is
//! known where the stations are. A mass that is not known is told and never counted as nothing.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Plan;
use super::length::{CutLength, Lies};
use super::pieces::{Spot, pieces};
use crate::graph::Routing;
use crate::harness::{CableId, ConductorId, Harness, PinId, PlaceId, RunId};
use crate::parts::library::Library;
use crate::quantity::{Length, Mass, Moment, Station};

/// Where something weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Site {
    /// At the middle of a run.
    Run(RunId),
    /// At a place.
    Place(PlaceId),
    /// Nobody knows.
    Nowhere,
}

/// What weighs there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Wire.
    Wire,
    /// All other parts: connectors, contacts, lugs, splices, sleeves, coverings, linings.
    Parts,
}

/// What weighs at one site.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lump {
    /// Name of the run or place; empty for what nobody knows the site of.
    pub name: String,
    /// True for a run.
    pub is_run: bool,
    /// Mass of the wire there, as far as it is known.
    pub wire: Mass,
    /// Mass of the other parts there, as far as it is known.
    pub parts: Mass,
    /// Station; None where it is not given. Of a run half way between those of its ends.
    pub arm: Option<Station>,
}

impl Lump {
    /// All that is known to weigh there.
    pub fn mass(&self) -> Mass {
        self.wire + self.parts
    }

    /// Mass times arm; None where the arm is not known.
    pub fn moment(&self) -> Option<Moment> {
        self.arm.map(|arm| self.mass() * arm)
    }
}

/// A part of which the mass is not known.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Unweighed {
    /// Name of the part.
    pub part: String,
    /// Pieces that are not in the sums.
    pub pieces: usize,
    /// Why.
    pub because: &'static str,
}

/// Mass and balance of the harness.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Balance {
    /// By site: runs, places, then what has no site.
    pub lumps: Vec<Lump>,
    /// What is not in the sums.
    pub unweighed: Vec<Unweighed>,
}

impl Balance {
    /// All that is known to weigh.
    pub fn mass(&self) -> Mass {
        self.lumps.iter().map(Lump::mass).sum()
    }

    /// What of it has an arm, and the moment of that.
    pub fn balanced(&self) -> (Mass, Moment) {
        let with_arm = self.lumps.iter().filter_map(|lump| Some((lump.mass(), lump.moment()?)));
        with_arm.fold((Mass::ZERO, Moment::ZERO), |(m, t), (mass, moment)| (m + mass, t + moment))
    }
}

/// Weighs everything.
pub fn balance(h: &Harness, library: &Library, routing: &Routing, plan: &Plan) -> Balance {
    let mut scales = Scales { h, routing, at: BTreeMap::new(), unweighed: BTreeMap::new() };
    wires(&mut scales, library, plan);
    for piece in pieces(h, library, plan) {
        let site = match piece.spot {
            Spot::Pin(pin) => scales.site_of(pin),
            Spot::Run(run) => Site::Run(run),
            Spot::Hole(hole) => Site::Place(h.hole(hole).place),
        };
        match piece.mass {
            Some(mass) => scales.put(site, What::Parts, mass),
            None => scales.lack(piece.part, piece.count, NO_MASS),
        }
    }
    scales.read()
}

const NO_MASS: &str = "the part does not say its mass";
const NO_LENGTH: &str = "its length is not known";

struct Scales<'a> {
    h: &'a Harness,
    routing: &'a Routing,
    at: BTreeMap<Site, BTreeMap<What, Mass>>,
    unweighed: BTreeMap<(String, &'static str), usize>,
}

impl Scales<'_> {
    fn put(&mut self, site: Site, what: What, mass: Mass) {
        *self.at.entry(site).or_default().entry(what).or_default() += mass;
    }

    fn lack(&mut self, part: &str, pieces: usize, because: &'static str) {
        *self.unweighed.entry((part.to_owned(), because)).or_default() += pieces;
    }

    fn site_of(&self, pin: PinId) -> Site {
        self.routing.place_of_pin(self.h, pin).map_or(Site::Nowhere, Site::Place)
    }

    fn read(self) -> Balance {
        let station = |place: PlaceId| self.h.place(place).station.map(|s| s.value);
        let lump = |(site, masses): (&Site, &BTreeMap<What, Mass>)| {
            let of = |what| masses.get(&what).copied().unwrap_or(Mass::ZERO);
            let (name, is_run, arm) = match *site {
                Site::Run(id) => {
                    let run = self.h.run(id);
                    let ends = station(run.ends[0]).zip(station(run.ends[1]));
                    (run.name.clone(), true, ends.map(|(a, b)| a.half_way_to(b)))
                }
                Site::Place(id) => (self.h.place(id).name.clone(), false, station(id)),
                Site::Nowhere => (String::new(), false, None),
            };
            Lump { name, is_run, wire: of(What::Wire), parts: of(What::Parts), arm }
        };
        let unweighed = self.unweighed.iter().map(|((part, because), pieces)| Unweighed {
            part: part.clone(),
            pieces: *pieces,
            because,
        });
        Balance { lumps: self.at.iter().map(lump).collect(), unweighed: unweighed.collect() }
    }
}

/// One piece of wire or cable: a conductor of it that tells how it lies.
fn wires(scales: &mut Scales<'_>, library: &Library, plan: &Plan) {
    let h = scales.h;
    let cut = |id: &ConductorId| plan.lengths.get(id.index()).and_then(CutLength::cut);
    let single = h.conductor_ids().filter(|id| h.conductor(*id).cable.is_none()).collect::<Vec<_>>();
    let cables = (0..h.cables.len()).map(CableId::at);
    // A cable is cut as long as the longest of its cores, and lies as that does.
    let longest = |id: CableId| {
        h.cable(id).cores.iter().flatten().copied().max_by_key(|c| (cut(c), std::cmp::Reverse(*c)))
    };
    let each = single.iter().map(|id| (*id, h.conductor(*id).wire));
    let each = each.chain(cables.filter_map(|id| Some((longest(id)?, h.cable(id).wire))));
    for (id, wire) in each.collect::<Vec<_>>() {
        let name = library.wires.name(wire);
        match (library.wires.get(wire).mass, plan.lengths.get(id.index())) {
            (None, _) => scales.lack(name, 1, NO_MASS),
            (Some(_), None) => scales.lack(name, 1, NO_LENGTH),
            (Some(mass), Some(length)) => match length.cut() {
                None => scales.lack(name, 1, NO_LENGTH),
                Some(cut) => {
                    for (site, share) in spread(scales, id, length, cut) {
                        scales.put(site, What::Wire, mass * share);
                    }
                }
            },
        }
    }
}

/// Where the length of a conductor lies. A declared length lies as the computed one does, longer or shorter in the same
/// proportion; where none could be computed nobody knows where.
fn spread(scales: &Scales<'_>, id: ConductorId, length: &CutLength, cut: Length) -> Vec<(Site, Length)> {
    let c = scales.h.conductor(id);
    let Some(need) = length.need.filter(|need| *need > Length::ZERO) else {
        return vec![(Site::Nowhere, cut)];
    };
    let ends = [c.from, c.to].map(|pin| scales.site_of(pin));
    let mut shares: Vec<(Site, Length)> = Vec::new();
    for item in &length.items {
        match item.lies {
            Lies::Run(run) => shares.push((Site::Run(run), item.length)),
            Lies::End(pin) => shares.push((scales.site_of(pin), item.length)),
            Lies::Along => {
                let half = Length::from_um(item.length.um() / 2);
                shares.extend([(ends[0], half), (ends[1], item.length - half)]);
            }
        }
    }
    if cut != need {
        let factor = cut.mm() / need.mm();
        for (_, share) in &mut shares {
            *share = *share * factor;
        }
    }
    shares
}
