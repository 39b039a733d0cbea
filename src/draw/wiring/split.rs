//! The whole design in; what each sheet draws, out.
//!
//! Atoms (see [`super::atom`]) keep their order; where one sheet ends and the next begins is chosen so that few sheets
//! are needed, that they are parted at seams (indicator, connector, system) and that they are filled alike: dynamic
//! programming over the atoms, each of which is measured by itself. Then every sheet is laid out; one that needs more
//! than A3 is parted again, down to a single atom. Cost: near-linear, since a sheet holds a bounded number of atoms.

use std::collections::{BTreeMap, BTreeSet};

use super::align::GRID;
use super::atom::{self, Atom, atoms};
use super::chart::What;
use super::draw_zone::header_height;
use super::flag;
use super::key;
use super::lay::{Laid, lay};
use super::onward;
use super::order::Effort;
use super::plan::rank_of;
use super::seat::is_through;
use super::share::{Design, Limits, Share, Site};
use super::sheet::Framed;
use super::way::Ground;
use crate::draw::geometry::{Extent, Mm, mm};
use crate::draw::sheet::{Format, Sheet};
use crate::draw::title_block::TitleBlock;
use crate::harness::DeviceId;

/// A design of no more conductors than this is tried on one sheet whatever its measures promise.
const SMALL: usize = 40;
/// What another sheet costs.
const SHEET: i64 = 2500;
/// What it costs to part two connectors, two systems, one system.
const PARTED: [i64; 3] = [200, 400, 3000];
/// What an empty sheet would cost.
const EMPTY: i64 = 1000;
/// Most systems that a title names: all, where a sheet has room for them.
const NAMED: usize = 10;

/// One sheet.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// What it draws.
    pub share: Share,
    /// How wide its words may be.
    pub limits: Limits,
    /// The systems on it; empty where it is the only sheet.
    pub title: String,
}

/// Shares the design out.
pub(super) fn split(design: &Design) -> Vec<Part> {
    let atoms = atoms(design);
    let sheets = atoms.len();
    let splitter = Splitter { design, step: flag::step(sheets), sheets, rooms: rooms(design) };
    if atoms.len() < 2 || design.h.conductors.len() <= SMALL {
        let whole = splitter.part(&atoms);
        let (rung, limits) = splitter.try_on(&whole);
        if rung <= A3 || atoms.len() < 2 {
            return vec![Part { limits, title: String::new(), ..whole }];
        }
    }
    let (mut fine, mut measured) = (Vec::new(), Vec::new());
    for atom in atoms {
        let whole = splitter.measure(&atom);
        // Where a connector parts it into pieces that each go on a smaller sheet, it is better parted.
        let pieces = if whole.rung > A3 { atom::apart(design, &atom) } else { Vec::new() };
        let smaller: Vec<Measured> = pieces.iter().map(|piece| splitter.measure(piece)).collect();
        if pieces.len() > 1 && smaller.iter().all(|piece| piece.rung < whole.rung) {
            fine.extend(pieces);
            measured.extend(smaller);
        } else {
            fine.push(atom);
            measured.push(whole);
        }
    }
    // Of what leads to one indicator, that which does not come as far comes last and stands by itself.
    let mut order: Vec<usize> = (0..fine.len()).collect();
    order.sort_by_key(|i| {
        (fine[*i].seam.head.is_none(), fine[*i].seam.head, fine[*i].seam.within, !measured[*i].headed)
    });
    let atoms: Vec<Atom> = order.iter().map(|i| fine[*i].clone()).collect();
    let measured: Vec<Measured> = order.into_iter().map(|i| measured[i].clone()).collect();
    let mut parts = splitter.settle(&atoms, &measured);
    if let [only] = parts.as_mut_slice() {
        only.title.clear();
    }
    parts
}

/// Rung of the series that a shop prints.
const A3: usize = 2;

/// The drawing areas of the series, smallest first.
fn rooms(design: &Design) -> Vec<Extent> {
    let cautions = design.with.cautions.iter().chain(&design.h.header.remark).cloned().collect();
    let block = TitleBlock { title: design.h.header.title.clone(), cautions, ..TitleBlock::default() };
    let room = |format| Sheet::on(format, &block, design.with.banner.as_deref()).drawing.extent();
    Format::series().into_iter().map(room).collect()
}

struct Splitter<'a> {
    design: &'a Design<'a>,
    /// Width of a flag.
    step: Mm,
    /// No more sheets than this.
    sheets: usize,
    /// The drawing areas of the series, smallest first.
    rooms: Vec<Extent>,
}

/// An atom by itself.
#[derive(Clone)]
struct Measured {
    /// True where it comes to the indicator that it belongs to, or belongs to none.
    headed: bool,
    /// With words of each width.
    bulks: [Bulk; Limits::ALL.len()],
    /// The sheet that it needs.
    rung: usize,
}

impl Splitter<'_> {
    fn part(&self, atoms: &[Atom]) -> Part {
        let conductors = atoms.iter().flat_map(|a| a.conductors.iter().copied());
        let loose: Vec<DeviceId> = atoms.iter().flat_map(|a| a.loose.iter().copied()).collect();
        let share = Share::of(&self.design.ways, conductors, &loose, self.design.root);
        // The system that a sheet is parted by, then the others that hang on it.
        let mut systems: Vec<&str> = Vec::new();
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let h = self.design.h;
        for atom in atoms {
            let circuits = atom.conductors.iter().map(|id| h.circuit(h.conductor(*id).circuit));
            let all = std::iter::once(&atom.seam.system).chain(circuits.map(|circuit| &circuit.system));
            systems.extend(all.map(String::as_str).filter(|system| seen.insert(system)));
        }
        let title = match systems.len() {
            n if n > NAMED + 1 => {
                let named = systems.get(..NAMED).unwrap_or_default().join(", ");
                format!("{named} and {} more", n - NAMED)
            }
            _ => systems.join(", "),
        };
        let [limits, ..] = Limits::ALL;
        Part { share, limits, title }
    }

    /// Devices of which other sheets draw a part, each with as many flags as there may well be.
    fn flags(&self, share: &Share) -> BTreeMap<DeviceId, usize> {
        let mut here: BTreeMap<DeviceId, usize> = BTreeMap::new();
        for (_, way) in share.ways(&self.design.ways) {
            *here.entry(way.from.device).or_default() += 1;
            *here.entry(way.to.device).or_default() += 1;
        }
        // A sheet seldom has fewer conductors than this.
        let most = (self.design.h.conductors.len() / 12).clamp(flag::ABREAST, flag::MOST);
        let parted = |(device, ends): (DeviceId, usize)| {
            let elsewhere = self.design.ends[device.index()].saturating_sub(ends);
            (elsewhere > 0).then_some((device, elsewhere.min(most)))
        };
        here.into_iter().filter_map(parted).collect()
    }

    /// The smallest sheet for a part, and the widest words with which it goes there.
    fn try_on(&self, part: &Part) -> (usize, Limits) {
        let flags = self.flags(&part.share);
        let onward = onward::onward(self.design, &part.share, None, self.sheets);
        let [mut best, ..] = Limits::ALL;
        let mut least = usize::MAX;
        for limits in Limits::ALL {
            let site = self.design.site(&part.share, limits, &flags, self.step, &onward);
            let laid = lay(&site, Effort::Trial);
            let rung =
                Framed::of(self.design, &laid, &key::legend(&site, &laid), &part.title, (88, 88)).rung();
            if rung < least {
                (least, best) = (rung, limits);
            }
            if rung <= A3 {
                break;
            }
        }
        (least, best)
    }

    /// The parts, each laid out to see that it goes on its sheet. One that does not is not tried again, nor anything
    /// that holds it, and the rest is shared out anew.
    fn settle(&self, atoms: &[Atom], measured: &[Measured]) -> Vec<Part> {
        // The furthest end of a sheet that begins with an atom.
        let mut furthest: Vec<usize> = vec![atoms.len(); atoms.len()];
        let mut tried: BTreeMap<(usize, usize), Part> = BTreeMap::new();
        loop {
            let runs = runs(atoms, measured, &self.rooms, &furthest);
            let mut failed = false;
            for (start, end) in &runs {
                if tried.contains_key(&(*start, *end)) {
                    continue;
                }
                let mut part = self.part(&atoms[*start..*end]);
                let (rung, limits) = self.try_on(&part);
                part.limits = limits;
                let needed = measured[*start..*end].iter().map(|m| m.rung).max().unwrap_or(A3);
                if rung <= needed.max(A3) || end - start < 2 {
                    tried.insert((*start, *end), part);
                    continue;
                }
                failed = true;
                for limit in furthest.iter_mut().take(start + 1).rev() {
                    if *limit < *end {
                        break;
                    }
                    *limit = end - 1;
                }
            }
            if !failed {
                return runs.iter().filter_map(|run| tried.remove(run)).collect();
            }
        }
    }

    fn measure(&self, atom: &Atom) -> Measured {
        let part = self.part(std::slice::from_ref(atom));
        let flags = self.flags(&part.share);
        let mut rung = usize::MAX;
        let bulks = Limits::ALL.map(|limits| {
            // What other atoms have at the same pins may come onto the same sheet.
            let site = self.design.site(&part.share, limits, &flags, self.step, &[]);
            let laid = lay(&site, Effort::Trial);
            rung = rung.min(self.rooms.iter().take_while(|room| !room.holds(laid.size())).count() + 1);
            Bulk::of(&site, &laid)
        });
        let headed = atom.seam.head.is_none_or(|head| part.share.devices.contains(&head));
        Measured { headed, bulks, rung }
    }
}

/// What parting two neighbours costs.
fn parting(a: &Atom, b: &Atom) -> i64 {
    let (a, b) = (&a.seam, &b.seam);
    match () {
        () if a.head != b.head => 0,
        () if a.connector != b.connector => PARTED[0],
        () if a.system != b.system => PARTED[1],
        () => PARTED[2],
    }
}

/// Where sheets begin and end, by the least cost.
fn runs(atoms: &[Atom], measured: &[Measured], rooms: &[Extent], furthest: &[usize]) -> Vec<(usize, usize)> {
    let count = atoms.len();
    // Least cost of sharing out all from an atom on, and where its sheet ends.
    let mut best: Vec<(i64, usize)> = vec![(0, count); count + 1];
    for start in (0..count).rev() {
        let mut sums: [Bulk; Limits::ALL.len()] = Default::default();
        let mut rung = A3;
        let mut least = (i64::MAX, start + 1);
        for end in start + 1..=furthest[start].max(start + 1) {
            let atom = &measured[end - 1];
            rung = rung.max(atom.rung);
            let room = rooms.get(rung - 1).or(rooms.last()).copied().unwrap_or_default();
            for (sum, bulk) in sums.iter_mut().zip(&atom.bulks) {
                sum.add(bulk);
            }
            let fitting = sums.iter().map(Bulk::size).find(|size| room.holds(*size));
            let mixed = atom.headed != measured[start].headed;
            if end > start + 1 && (fitting.is_none() || mixed) {
                break;
            }
            let parted = if end < count { parting(&atoms[end - 1], &atoms[end]) } else { 0 };
            let free = fitting.map_or(Mm::ZERO, |size| room.height - size.height).um();
            let share = free * 1000 / room.height.um().max(1);
            let larger = SHEET * i64::try_from(rung - A3).unwrap_or(0) / 2;
            let cost = SHEET + larger + parted + EMPTY * share * share / 1_000_000 + best[end].0;
            if cost < least.0 {
                least = (cost, end);
            }
        }
        best[start] = least;
    }
    let mut out = Vec::new();
    let mut at = 0;
    while at < count {
        let end = best[at].1;
        out.push((at, end));
        at = end;
    }
    out
}

/// What stands below one another on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Slot {
    /// Left of the indicators.
    Beside,
    /// Indicators.
    Head,
    /// In one of the ranks between, counted from the column's first.
    Between(usize),
    /// At the end.
    Plain,
    /// In a wall.
    Gate,
}

/// What takes room once, however many atoms come to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Owner {
    /// Words over a zone.
    Zone(Ground),
    /// Words over or around the pins of a device.
    Device(DeviceId),
}

/// What stands in one slot: what each owner takes once, and what comes together.
type Stack = (BTreeMap<Owner, Mm>, Mm);

/// The room that an atom takes.
#[derive(Clone, Debug, Default)]
struct Bulk {
    /// Heights by column and slot: what each zone and each device takes once, and what comes together in it.
    heights: BTreeMap<(usize, Slot), Stack>,
    /// Widths by column and slot, with the labels on both sides.
    widths: BTreeMap<(usize, Slot), Mm>,
    /// Connectors of indicators.
    connectors: BTreeSet<(DeviceId, u32)>,
}

/// Head of an indicator with its words, and of each of its connectors.
const HEAD: Mm = mm(22.0);
const CONNECTOR: Mm = mm(10.5);
/// Words over the openings of a wall.
const GATES: Mm = mm(22.0);
/// Right of everything.
const EDGE: Mm = mm(4.0);
/// Below a zone.
const ZONE: Mm = mm(10.0);

impl Bulk {
    fn of(site: &Site, laid: &Laid) -> Bulk {
        let (chart, plan, ranks) = (&laid.built.chart, &laid.plan, &laid.seats.ranks);
        let mut bulk = Bulk::default();
        let column_of = |rank: usize| ranks.column.get(rank).copied().unwrap_or(0);
        let head = laid.seats.heads.iter().map(|d| laid.seats.rank_of(*d)).min();
        // What each rank is for; one without devices has the place of those at the end.
        let mut slots: Vec<Slot> = (0..ranks.count())
            .map(|rank| if ranks.is_gates(rank) { Slot::Gate } else { Slot::Plain })
            .collect();
        for (id, node, _) in laid.built.devices() {
            let rank = rank_of(chart, node);
            let column = column_of(rank);
            let start = if column == 0 { head.unwrap_or(0) } else { ranks.first[column] };
            let slot = match () {
                () if ranks.is_gates(rank) => Slot::Gate,
                () if laid.seats.heads.contains(&id) => Slot::Head,
                () if is_through(site.h, id) => Slot::Between(rank.saturating_sub(start)),
                () if column == 0 && rank < start => Slot::Beside,
                () => Slot::Plain,
            };
            slots[rank] = slot;
            let (top, bottom) = plan.reach(chart, node);
            let ground = site.ways.ground.get(id.index()).copied().flatten();
            let rows = chart.pitch.times(chart.rows_of(node).len());
            let around = bottom - top - rows + mm(2.0) + GRID / 2;
            bulk.once(column, slot, Owner::Zone(ground), header_height(site.h, ground) + ZONE);
            if slot == Slot::Head {
                let mut ports = 0;
                for child in &chart.nodes[node].children {
                    match chart.nodes[*child].what {
                        What::Connector(device, number) => {
                            bulk.connectors.insert((device, number));
                            ports += chart.nodes[*child].children.len();
                        }
                        _ => ports += 1,
                    }
                }
                bulk.once(column, slot, Owner::Device(id), HEAD);
                bulk.put(column, slot, rows + mm(3.0).times(ports));
            } else {
                bulk.once(column, slot, Owner::Device(id), around);
                bulk.put(column, slot, rows);
            }
        }
        for (i, node) in chart.nodes.iter().enumerate() {
            if let What::Gate(border, _) = node.what {
                let column = laid.columns.of.get(&border.high).copied().unwrap_or(0);
                let high = chart.pitch.times(chart.rows_of(i).len()) + mm(3.0);
                bulk.once(column, Slot::Gate, Owner::Zone(border.high), GATES + ZONE);
                bulk.put(column, Slot::Gate, high);
            }
        }
        for ((rank, slot), (left, right)) in slots.into_iter().enumerate().zip(&plan.ranks) {
            let (before, behind) = (&plan.channels[rank], &plan.channels[rank + 1]);
            // Labels stand beside what they belong to; lanes are counted with what is right of them.
            let lanes = before.right - before.left - before.strip(0);
            let wide = *right - *left + lanes + behind.strip(0);
            let own = bulk.widths.entry((column_of(rank), slot)).or_default();
            *own = (*own).max(wide);
        }
        bulk
    }

    fn put(&mut self, column: usize, slot: Slot, high: Mm) {
        self.heights.entry((column, slot)).or_default().1 += high;
    }

    fn once(&mut self, column: usize, slot: Slot, owner: Owner, high: Mm) {
        self.heights.entry((column, slot)).or_default().0.insert(owner, high);
    }

    fn add(&mut self, other: &Bulk) {
        for (key, (once, sum)) in &other.heights {
            let (own, high) = self.heights.entry(*key).or_default();
            own.extend(once);
            *high += *sum;
        }
        self.connectors.extend(&other.connectors);
        for (key, wide) in &other.widths {
            let own = self.widths.entry(*key).or_default();
            *own = (*own).max(*wide);
        }
    }

    fn size(&self) -> Extent {
        let high = |((_, slot), (once, sum)): (&(usize, Slot), &Stack)| {
            let connectors =
                if *slot == Slot::Head { CONNECTOR.times(self.connectors.len()) } else { Mm::ZERO };
            *sum + connectors + once.values().copied().sum::<Mm>()
        };
        let height = self.heights.iter().map(high).max().unwrap_or_default();
        Extent::new(self.widths.values().copied().sum::<Mm>() + EDGE, height)
    }
}
