//! Where along the bundle splices of one place lie: places of splices and paths of wires in, shifts out.
//!
//! Splices side by side make a lump in the bundle. The first of a place lies at it; each further one is shifted along a
//! run that meets the place, one finished length and a gap behind the last. The run is one that most of its wires leave
//! over, since these get shorter by the shift and all others longer; of equals the one with the fuller bundle, then the
//! first of the spec. A splice for which no run has room stays at its place. What the designer shifted stays as it is
//! and is kept clear of. Cost: for each splice the splices on the runs of its place.

use std::collections::BTreeMap;

use super::routing::Routing;
use super::splice_site::unfit_run;
use crate::harness::{
    ConductorId, DeviceClass, DeviceId, Harness, PinId, PlaceId, RunId, Shift, SpliceBuild,
};
use crate::quantity::Length;
use crate::trade::allowances::STAGGER_GAP;

/// A splice that has a place and a known length.
#[derive(Clone, Copy)]
struct Lying {
    splice: DeviceId,
    place: PlaceId,
    build: SpliceBuild,
    shift: Option<Shift>,
}

impl Lying {
    fn half(&self) -> Length {
        self.build.length * 0.5
    }
}

fn lying(h: &Harness, place_of: &[Option<PlaceId>]) -> Vec<Lying> {
    let one = |(i, place): (usize, &Option<PlaceId>)| {
        let splice = DeviceId::at(i);
        let DeviceClass::Splice { build: Some(build), shift, .. } = h.device(splice).class else {
            return None;
        };
        Some(Lying { splice, place: (*place)?, build, shift: shift.map(|s| s.value) })
    };
    place_of.iter().enumerate().filter_map(one).collect()
}

/// What lies on a run: from where to where, measured from its first end, in order.
#[derive(Default)]
struct Taken {
    on_run: BTreeMap<RunId, Vec<[Length; 2]>>,
    /// How far a splice that lies at the place, or across it, reaches into the runs.
    at_place: BTreeMap<PlaceId, Length>,
}

impl Taken {
    fn put(&mut self, h: &Harness, place: PlaceId, shift: Option<Shift>, half: Length) {
        for (place, reach) in across(h, place, shift, half) {
            let known = self.at_place.entry(place).or_default();
            *known = (*known).max(reach);
        }
        let Some(shift) = shift else { return };
        let middle = from_first_end(h, place, shift);
        let on_run = self.on_run.entry(shift.run).or_default();
        let new = [middle - half, middle + half];
        on_run.insert(on_run.partition_point(|known| *known < new), new);
    }

    /// What lies on a run as seen from a place at one of its ends, nearest first.
    fn seen_from(&self, h: &Harness, place: PlaceId, run: RunId) -> Vec<[Length; 2]> {
        let known = self.on_run.get(&run).map_or(&[][..], Vec::as_slice);
        if h.run(run).ends[0] == place {
            return known.to_vec();
        }
        let length = h.run(run).length.value;
        known.iter().rev().map(|[a, b]| [length - *b, length - *a]).collect()
    }

    /// How far splices at the other end of a run reach into it.
    fn reach_from_far(&self, h: &Harness, place: PlaceId, run: RunId) -> Length {
        let [a, b] = h.run(run).ends;
        self.at_place.get(if a == place { &b } else { &a }).copied().unwrap_or(Length::ZERO)
    }

    /// True where a splice may lie at the place itself.
    fn is_free(&self, h: &Harness, place: PlaceId, runs: &[RunId], half: Length) -> bool {
        let clear = |run: &RunId| {
            let far = self.reach_from_far(h, place, *run);
            let near = self.seen_from(h, place, *run).first().map(|[near, _]| *near);
            let clear = |end: Length| end >= half + STAGGER_GAP;
            near.is_none_or(clear) && (far == Length::ZERO || clear(h.run(*run).length.value - far))
        };
        !self.at_place.contains_key(&place) && runs.iter().all(clear)
    }

    /// The nearest station on a run with room for a splice; None where there is none.
    fn room(&self, h: &Harness, place: PlaceId, run: RunId, half: Length) -> Option<Length> {
        let at_place = self.at_place.get(&place).copied().unwrap_or(Length::ZERO);
        let mut by = at_place + STAGGER_GAP + half;
        for [near, end] in self.seen_from(h, place, run) {
            if by + half + STAGGER_GAP <= near {
                break;
            }
            by = by.max(end + STAGGER_GAP + half);
        }
        let far = self.reach_from_far(h, place, run);
        (by + half + STAGGER_GAP + far <= h.run(run).length.value).then_some(by)
    }
}

/// Station of the middle of a splice, from the first end of its run.
fn from_first_end(h: &Harness, place: PlaceId, shift: Shift) -> Length {
    let run = h.run(shift.run);
    if run.ends[0] == place { shift.by } else { run.length.value - shift.by }
}

/// The places that a splice lies across, with how far it reaches beyond each.
fn across(
    h: &Harness,
    place: PlaceId,
    shift: Option<Shift>,
    half: Length,
) -> impl Iterator<Item = (PlaceId, Length)> {
    let at_place = shift.is_none().then_some((place, half));
    let ends = shift.map(|shift| {
        let run = h.run(shift.run);
        let from_first = from_first_end(h, place, shift);
        [(run.ends[0], half - from_first), (run.ends[1], half - (run.length.value - from_first))]
    });
    at_place.into_iter().chain(ends.into_iter().flatten().filter(|(_, reach)| *reach > Length::ZERO))
}

/// The shift of every device, by device id; None for what is no splice and for a splice that lies at its place.
pub(super) fn stagger(h: &Harness, routing: &Routing) -> Vec<Option<Shift>> {
    let mut shifts = vec![None; h.devices.len()];
    let splices = lying(h, &routing.place_of);
    let mut crowd: BTreeMap<PlaceId, usize> = BTreeMap::new();
    for splice in &splices {
        *crowd.entry(splice.place).or_default() += 1;
    }
    let pinned = |splice: &&Lying| splice.shift.is_some();
    if crowd.values().all(|count| *count < 2) && !splices.iter().any(|s| s.shift.is_some()) {
        return shifts;
    }
    let leave = leaving(h, routing, &splices);
    let runs_of = runs_of(h);
    let mut taken = Taken::default();
    for splice in splices.iter().filter(pinned) {
        taken.put(h, splice.place, splice.shift, splice.half());
        shifts[splice.splice.index()] = splice.shift;
    }
    for splice in splices.iter().filter(|s| !pinned(s)) {
        let runs = runs_of.get(&splice.place).map_or(&[][..], Vec::as_slice);
        let half = splice.half();
        let shift = if taken.is_free(h, splice.place, runs, half) {
            None
        } else {
            let mut ways: Vec<RunId> =
                runs.iter().copied().filter(|r| unfit_run(h, *r, splice.build.rated).is_none()).collect();
            let own = |run: &RunId| leave.get(&(splice.splice, *run)).copied().unwrap_or(0);
            let all = |run: &RunId| routing.in_run.get(run.index()).map_or(0, Vec::len);
            ways.sort_by_key(|run| std::cmp::Reverse((own(run), all(run))));
            let room = |run: RunId| Some(Shift { run, by: taken.room(h, splice.place, run, half)? });
            ways.into_iter().find_map(room)
        };
        taken.put(h, splice.place, shift, half);
        shifts[splice.splice.index()] = shift;
    }
    shifts
}

/// Runs that meet each place, in the order of the spec.
fn runs_of(h: &Harness) -> BTreeMap<PlaceId, Vec<RunId>> {
    let mut runs: BTreeMap<PlaceId, Vec<RunId>> = BTreeMap::new();
    for (i, run) in h.runs.iter().enumerate() {
        for end in run.ends {
            runs.entry(end).or_default().push(RunId::at(i));
        }
    }
    runs
}

/// How many wires of each splice leave its place over each run.
fn leaving(h: &Harness, routing: &Routing, splices: &[Lying]) -> BTreeMap<(DeviceId, RunId), usize> {
    let known: std::collections::BTreeSet<DeviceId> = splices.iter().map(|s| s.splice).collect();
    let mut leave = BTreeMap::new();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        let Some(path) = routing.path_of(h, id).filter(|_| !c.drain) else { continue };
        for (pin, run) in [(c.from, path.runs.first()), (c.to, path.runs.last())] {
            let device = h.pin(pin).device;
            if let Some(run) = run.filter(|_| known.contains(&device)) {
                *leave.entry((device, *run)).or_default() += 1;
            }
        }
    }
    leave
}

impl Routing {
    /// `36 mm towards FH1`: how a splice is shifted from its place. None where it lies there.
    pub fn shift_words(&self, h: &Harness, splice: DeviceId) -> Option<String> {
        let shift = self.shift_of.get(splice.index()).copied().flatten()?;
        let [a, b] = h.run(shift.run).ends;
        let place = self.place_of.get(splice.index()).copied().flatten();
        let towards = h.place(if place == Some(a) { b } else { a });
        Some(format!("{} towards {}", shift.by.show(h.header.units), towards.name))
    }

    /// What the shifts of the splices at its ends add to the length of a conductor along its path: for each such end
    /// the splice and the length, below nothing where the wire leaves over the run that the splice lies on.
    pub fn shifts_of(&self, h: &Harness, conductor: ConductorId) -> Vec<(PinId, Shift, Length)> {
        let c = h.conductor(conductor);
        let Some(path) = self.path_of(h, conductor).filter(|_| !c.drain) else { return Vec::new() };
        let shift = |pin: PinId| self.shift_of.get(h.pin(pin).device.index()).copied().flatten();
        let less = |run: Option<&RunId>, shift: Shift| {
            if run == Some(&shift.run) { Length::ZERO - shift.by } else { shift.by }
        };
        let mut ends: Vec<(PinId, Shift, Length)> = Vec::new();
        for (pin, run) in [(c.from, path.runs.first()), (c.to, path.runs.last())] {
            ends.extend(shift(pin).map(|s| (pin, s, less(run, s))));
        }
        if let [(_, a, _), (_, b, last)] = ends.as_mut_slice()
            && a.run == b.run
            && path.runs.len() < 2
        {
            // Both lie on the run, or on either side of the same place: what is between them is all there is.
            let first = less(path.runs.first(), *a);
            let between = match path.runs.first() {
                Some(run) if *run == a.run => path.length - a.by - b.by,
                Some(_) => return ends,
                None => a.by - b.by,
            };
            *last = between.abs() - path.length - first;
        }
        ends
    }
}

/// Splices that lie side by side, as pairs of neighbours: their lengths overlap along the bundle. Splices of unknown
/// length are left out.
pub fn splices_abreast(h: &Harness, routing: &Routing) -> Vec<[DeviceId; 2]> {
    // What lies across each place: how far it reaches, and the run that it lies on.
    let mut over: BTreeMap<PlaceId, Vec<(DeviceId, Length, Option<RunId>)>> = BTreeMap::new();
    let mut on_run: BTreeMap<RunId, Vec<([Length; 2], DeviceId)>> = BTreeMap::new();
    for splice in lying(h, &routing.place_of) {
        let shift = routing.shift_of.get(splice.splice.index()).copied().flatten();
        let half = splice.half();
        for (place, reach) in across(h, splice.place, shift, half) {
            over.entry(place).or_default().push((splice.splice, reach, shift.map(|s| s.run)));
        }
        if let Some(shift) = shift {
            let middle = from_first_end(h, splice.place, shift);
            on_run.entry(shift.run).or_default().push(([middle - half, middle + half], splice.splice));
        }
    }
    let runs_of = runs_of(h);
    let mut abreast: Vec<[DeviceId; 2]> = Vec::new();
    for (place, splices) in &over {
        abreast.extend(splices.iter().zip(splices.iter().skip(1)).map(|((a, ..), (b, ..))| [*a, *b]));
        for run in runs_of.get(place).into_iter().flatten() {
            // Of those that come from elsewhere the one that reaches farthest meets what lies on the run.
            let elsewhere = splices.iter().filter(|(.., own)| *own != Some(*run));
            let Some((reach, splice)) = elsewhere.map(|(id, reach, _)| (*reach, *id)).max() else { continue };
            let length = h.run(*run).length.value;
            let first = h.run(*run).ends[0] == *place;
            let at = if first { [Length::ZERO - reach, reach] } else { [length - reach, length + reach] };
            on_run.entry(*run).or_default().push((at, splice));
        }
    }
    for splices in on_run.values_mut() {
        splices.sort_unstable();
        for pair in splices.windows(2) {
            if let [([_, end], a), ([start, _], b)] = pair
                && start < end
            {
                abreast.push([*a.min(b), *a.max(b)]);
            }
        }
    }
    abreast.sort_unstable();
    abreast.dedup();
    abreast
}
