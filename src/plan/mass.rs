//! What the harness weighs and where: cut lengths, pieces and stations in; masses with their arms and moments out.
//!
//! The wire along a run weighs at the middle of the run, what is cut for an end at the place of that end, twist and
//! rounding half at each end. A covering weighs at the middle of its run, all other pieces where they sit. An arm is
//! known where the stations are. A mass that is not known is told and never counted as nothing.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Plan;
use super::clamping::Clamping;
use super::length::{CutLength, Lies};
use super::pieces::{Spot, pieces};
use crate::graph::Routing;
use crate::harness::{CableId, ConductorId, Harness, PinId, PlaceId, RunId};
use crate::parts::library::{Library, WirePartId};
use crate::quantity::{Length, LinearMass, Mass, Moment, Station};

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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight<'a> {
    /// Part of a wire, or of a cable by one of its conductors.
    Wire {
        /// The conductor.
        of: ConductorId,
        /// Mass for a length.
        per: LinearMass,
        /// Length that lies there.
        length: Length,
    },
    /// A piece, or several alike.
    Piece {
        /// Name of the part.
        part: &'a str,
        /// How many.
        count: usize,
        /// True where the part comes with the tool.
        supplied: bool,
    },
}

/// Something that weighs at a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share<'a> {
    /// Where.
    pub site: Site,
    /// What.
    pub weight: Weight<'a>,
    /// Mass; None where it is not known.
    pub mass: Option<Mass>,
}

/// What weighs at one site.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lump {
    /// Where.
    #[serde(skip)]
    pub site: Site,
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
    /// True where any of it rests on the mass of a part that comes with the tool: typical, from memory.
    pub typical: bool,
    /// Supports for which no clamp is known; they are not in the sums.
    pub unclamped: usize,
}

impl Balance {
    /// All that is known to weigh.
    pub fn mass(&self) -> Mass {
        self.lumps.iter().map(Lump::mass).sum()
    }

    /// True where any of it has an arm.
    pub fn has_arms(&self) -> bool {
        self.lumps.iter().any(|lump| lump.arm.is_some())
    }

    /// What of it has an arm, and the moment of that.
    pub fn balanced(&self) -> (Mass, Moment) {
        let with_arm = self.lumps.iter().filter_map(|lump| Some((lump.mass(), lump.moment()?)));
        with_arm.fold((Mass::ZERO, Moment::ZERO), |(m, t), (mass, moment)| (m + mass, t + moment))
    }
}

/// Weighs everything, share by share: wires first, then pieces.
pub fn shares<'a>(
    h: &'a Harness,
    library: &'a Library,
    routing: &Routing,
    plan: &'a Plan,
    clamping: &Clamping,
) -> Vec<Share<'a>> {
    let scales = Scales { h, library, routing, plan };
    let mut shares = scales.wires();
    for piece in pieces(h, library, plan, clamping) {
        let site = match piece.spot {
            Spot::Pin(pin) => scales.site_of(pin),
            Spot::Run(run) => Site::Run(run),
            Spot::Hole(hole) => Site::Place(h.hole(hole).place),
            Spot::Place(place) => Site::Place(place),
        };
        let weight = Weight::Piece { part: piece.part, count: piece.count, supplied: piece.supplied };
        shares.push(Share { site, weight, mass: piece.mass });
    }
    shares
}

/// The sums of all shares, site by site.
pub fn balance(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    plan: &Plan,
    clamping: &Clamping,
) -> Balance {
    let mut at: BTreeMap<Site, [Mass; 2]> = BTreeMap::new();
    let mut unweighed: BTreeMap<(&str, &'static str), usize> = BTreeMap::new();
    let mut typical = false;
    for share in shares(h, library, routing, plan, clamping) {
        typical |= share.mass.is_some()
            && match share.weight {
                Weight::Wire { of, .. } => library.wires.get(part_of(h, of)).typical,
                Weight::Piece { supplied, .. } => supplied,
            };
        let slot = usize::from(matches!(share.weight, Weight::Piece { .. }));
        match (share.mass, share.weight) {
            (Some(mass), _) => at.entry(share.site).or_default()[slot] += mass,
            (None, Weight::Piece { part, count, .. }) => {
                *unweighed.entry((part, NO_MASS)).or_default() += count
            }
            (None, Weight::Wire { of, per, .. }) => {
                let because = if per == LinearMass::ZERO { NO_MASS } else { NO_LENGTH };
                *unweighed.entry((library.wires.name(part_of(h, of)), because)).or_default() += 1;
            }
        }
    }
    let lump = |(site, [wire, parts]): (&Site, &[Mass; 2])| {
        let (name, is_run) = match *site {
            Site::Run(id) => (h.run(id).name.clone(), true),
            Site::Place(id) => (h.place(id).name.clone(), false),
            Site::Nowhere => (String::new(), false),
        };
        Lump { site: *site, name, is_run, wire: *wire, parts: *parts, arm: arm(h, *site) }
    };
    let unweighed = unweighed.iter().map(|((part, because), pieces)| Unweighed {
        part: (*part).to_owned(),
        pieces: *pieces,
        because,
    });
    Balance {
        lumps: at.iter().map(lump).collect(),
        unweighed: unweighed.collect(),
        typical,
        unclamped: clamping.unheld(),
    }
}

const NO_MASS: &str = "the part does not say its mass";
const NO_LENGTH: &str = "its length is not known";

/// What no mass of a harness counts.
pub fn not_in_it() -> &'static str {
    "ties, tape, sealant, and the devices themselves"
}

/// The wire or cable that a conductor is of.
pub(super) fn part_of(h: &Harness, of: ConductorId) -> WirePartId {
    let c = h.conductor(of);
    c.cable.map_or(c.wire, |cable| h.cable(cable).wire)
}

/// Station of a site: of a run half way between those of its ends. None where it is not given.
pub fn arm(h: &Harness, site: Site) -> Option<Station> {
    let station = |place: PlaceId| h.place(place).station.map(|s| s.value);
    match site {
        Site::Run(id) => {
            let [a, b] = h.run(id).ends;
            Some(station(a)?.half_way_to(station(b)?))
        }
        Site::Place(id) => station(id),
        Site::Nowhere => None,
    }
}

struct Scales<'a, 'r> {
    h: &'a Harness,
    library: &'a Library,
    routing: &'r Routing,
    plan: &'a Plan,
}

impl<'a> Scales<'a, '_> {
    fn site_of(&self, pin: PinId) -> Site {
        self.routing.place_of_pin(self.h, pin).map_or(Site::Nowhere, Site::Place)
    }

    /// Each piece of wire or cable once, by a conductor of it that tells how it lies.
    fn wires(&self) -> Vec<Share<'a>> {
        let h = self.h;
        let cut = |id: &ConductorId| self.plan.lengths.get(id.index()).and_then(CutLength::cut);
        let single = h.conductor_ids().filter(|id| h.conductor(*id).cable.is_none());
        // A cable is cut as long as the longest of its cores, and lies as that does.
        let longest = |id: CableId| {
            h.cable(id).cores.iter().flatten().copied().max_by_key(|c| (cut(c), std::cmp::Reverse(*c)))
        };
        let cables = (0..h.cables.len()).map(CableId::at).filter_map(longest);
        single.chain(cables).flat_map(|of| self.wire(of, cut(&of))).collect()
    }

    fn wire(&self, of: ConductorId, cut: Option<Length>) -> Vec<Share<'a>> {
        let unknown =
            |per, length| Share { site: Site::Nowhere, weight: Weight::Wire { of, per, length }, mass: None };
        let (Some(per), cut) = (self.library.wires.get(part_of(self.h, of)).mass, cut) else {
            return vec![unknown(LinearMass::ZERO, cut.unwrap_or(Length::ZERO))];
        };
        let (Some(cut), Some(length)) = (cut, self.plan.lengths.get(of.index())) else {
            return vec![unknown(per, Length::ZERO)];
        };
        let share = |(site, length): (Site, Length)| Share {
            site,
            weight: Weight::Wire { of, per, length },
            mass: Some(per * length),
        };
        self.spread(of, length, cut).into_iter().map(share).collect()
    }

    /// Where the length of a conductor lies. A declared length lies as the computed one does, longer or shorter in the
    /// same proportion; where none could be computed nobody knows where.
    fn spread(&self, id: ConductorId, length: &CutLength, cut: Length) -> Vec<(Site, Length)> {
        let c = self.h.conductor(id);
        let Some(need) = length.need.filter(|need| *need > Length::ZERO) else {
            return vec![(Site::Nowhere, cut)];
        };
        let ends = [c.from, c.to].map(|pin| self.site_of(pin));
        let mut shares: Vec<(Site, Length)> = Vec::new();
        for item in &length.items {
            match item.lies {
                Lies::Run(run) => shares.push((Site::Run(run), item.length)),
                Lies::End(pin) => shares.push((self.site_of(pin), item.length)),
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
        shares.retain(|(_, length)| *length != Length::ZERO);
        shares
    }
}
