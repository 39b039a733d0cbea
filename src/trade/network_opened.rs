//! A solved network and a resistance that comes loose in; voltages and currents of its ring afterwards, out.
//!
//! Everything outside the ring pushes on what it pushed before (currents, not voltages, are given), so only the ring
//! changes. What drives currents through the ring itself may be voltages behind resistances, and push less.
//!
//! One ampere through the whole ring is enough (Sherman and Morrison, from memory): with w its volts, R what lies between
//! the ends and r the lost resistance, the ring without r answers with w / (1 − R / r), and what r carried before takes
//! that way too. Where r carried nearly all, that difference would be told by the last figures of large numbers; the ring
//! is then made ready anew without it. A mesh of n straps costs n times what it takes to go through the ring once.

use super::network::{Branch, Node, Solution};
use super::network_alone::{Alone, Behind, Member, stars};
use super::network_stars::Stars;
use crate::quantity::{Current, Resistance, Voltage};

/// Share that the ways around must take of a current from end to end, for the difference to be trusted: of sixteen
/// figures twelve are left.
const LEAST_AROUND: f64 = 1e-4;

/// Volts that a whole ring may be off from what its drives were told of, for it to be taken as it is.
const SAME: f64 = 1e-9;

/// A ring with one of its resistances open.
#[derive(Clone, Debug)]
pub struct Opened<'a, 'r, 'n> {
    alone: &'a Alone<'r, 'n>,
    branch: Branch,
    /// Places of the ends that came apart.
    ends: [usize; 2],
    /// Volts of each place.
    volts: Vec<f64>,
}

impl<'a, 'r, 'n> Opened<'a, 'r, 'n> {
    pub(super) fn of(
        alone: &'a Alone<'r, 'n>,
        branch: Branch,
        solved: &Solution<'_, '_>,
    ) -> Option<Opened<'a, 'r, 'n>> {
        let Member { ends, ohms, .. } = *alone.member(branch)?;
        let whole = alone.volts(solved);
        let told = |([a, b], _, lift): &([usize; 2], f64, f64)| (whole[*b] - whole[*a] - lift).abs() <= SAME;
        let ampere = ampere(alone, ends);
        let around = 1.0 - (ampere[ends[1]] - ampere[ends[0]]) / ohms;
        let volts = if around < LEAST_AROUND || !alone.behind.iter().all(told) {
            left(alone, branch).volts(alone.pushed(solved))
        } else {
            let lost = solved.amps(branch) / around;
            whole.iter().zip(&ampere).map(|(v, w)| v - lost * w).collect()
        };
        Some(Opened { alone, branch, ends, volts })
    }

    /// How far the second end lies above the first.
    pub fn gap(&self) -> Voltage {
        let [a, b] = self.ends;
        Voltage::from_volts(self.volts[b] - self.volts[a])
    }

    /// How far `a` lies above `b`. None where one of them is no node of the ring.
    pub fn between(&self, a: Node, b: Node) -> Option<Voltage> {
        let volts = |n: Node| Some(self.volts[self.alone.place(n)?]);
        Some(Voltage::from_volts(volts(a)? - volts(b)?))
    }

    /// What one of those that the ring was [driven](Alone::driven) by still pushes. None where it is not of this ring.
    pub fn pushes(&self, by: &Behind) -> Option<Current> {
        let more = self.between(by.drive.to, by.drive.from)? - by.lift;
        Some(by.drive.current - Current::from_amps(more.volts() / by.own.ohms()))
    }

    /// Current through each resistance that is left, from its first end to its second, in order.
    pub fn currents(&self) -> impl Iterator<Item = (Branch, Current)> + '_ {
        let left = self.alone.members.iter().filter(|m| m.branch != self.branch);
        left.map(|m| {
            let [a, b] = m.ends;
            (m.branch, Current::from_amps((self.volts[a] - self.volts[b]) / m.ohms))
        })
    }
}

/// Volts of one ampere taken out of the first of two places and put into the second.
fn ampere(alone: &Alone, ends: [usize; 2]) -> Vec<f64> {
    alone.stars.volts(one(alone, ends))
}

fn one(alone: &Alone, [a, b]: [usize; 2]) -> Vec<f64> {
    let mut one = vec![0.0; alone.size()];
    one[a] -= 1.0;
    one[b] += 1.0;
    one
}

/// The ring made ready without a resistance.
fn left(alone: &Alone, branch: Branch) -> Stars {
    stars(alone.size(), alone.members.iter().filter(|m| m.branch != branch), &alone.behind)
}

pub(super) fn around(alone: &Alone, branch: Branch) -> Option<Resistance> {
    let Member { ends, ohms, .. } = *alone.member(branch)?;
    let between = |volts: Vec<f64>| volts[ends[1]] - volts[ends[0]];
    let whole = between(ampere(alone, ends));
    let share = 1.0 - whole / ohms;
    let around = match share < LEAST_AROUND {
        true => between(left(alone, branch).volts(one(alone, ends))),
        false => whole / share,
    };
    Some(Resistance::from_ohms(around.max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::super::network::{Network, Source};
    use super::super::network_drive::Drive;
    use super::*;
    use proptest::prelude::*;

    /// Strap 1 mΩ beside a ground wire of 40 mΩ and a screen of 60 mΩ; behind the wire's end a leaf that takes 2 A.
    #[test]
    fn a_strap_comes_loose() {
        let (mut network, n) = Network::of_nodes(4);
        let ohms = Resistance::from_ohms;
        let strap = network.join(n[0], n[1], ohms(0.001));
        let wire = network.join(n[0], n[2], ohms(0.04));
        let rest = network.join(n[2], n[1], ohms(0.0));
        let screen = network.join(n[0], n[1], ohms(0.06));
        let leaf = network.join(n[2], n[3], ohms(1.0));
        let reduced = network.reduced();
        let amps = Current::from_amps;
        let solved = reduced
            .solve(&[
                Source { from: n[1], to: n[0], current: amps(50.0) },
                Source { from: n[3], to: n[0], current: amps(2.0) },
            ])
            .unwrap();
        assert_eq!((reduced.ring_of(strap), reduced.ring_of(leaf)), (reduced.ring_of(screen), None));
        let alone = reduced.alone(reduced.ring_of(strap).unwrap());
        assert!(alone.opened(leaf, &solved).is_none() && alone.opened(rest, &solved).is_none());
        let opened = alone.opened(strap, &solved).unwrap();
        // 40 mΩ beside 60 mΩ is 24 mΩ; 52 A go through them, 31.2 A and 20.8 A.
        assert_eq!(alone.around(strap), Some(ohms(0.024)));
        assert_eq!(opened.gap(), Voltage::from_volts(-1.248));
        let currents: Vec<_> = opened.currents().collect();
        assert_eq!(currents, [(wire, amps(31.2)), (screen, amps(20.8))]);
        assert_eq!(opened.between(n[0], n[3]), None);
        let [only] = reduced.crossings(n[0], n[3]).unwrap()[..] else { panic!() };
        assert_eq!((only.enters, only.leaves), (n[0], n[1]));
    }

    /// Two of 4 Ω abreast, and 9 V behind 1 Ω, which push 3 A through them; through one they push 9 / 5 A. Where 1 A comes
    /// besides whatever happens, 2 A at 6 V are 9 V behind 1.5 Ω, and through one: (9 - u) / 1.5 + 1 = u / 4, u = 84 / 11 V.
    #[test]
    fn a_voltage_behind_a_resistance_pushes_less() {
        let (mut network, n) = Network::of_nodes(2);
        let strap = network.join(n[0], n[1], Resistance::from_ohms(4.0));
        let wire = network.join(n[0], n[1], Resistance::from_ohms(4.0));
        let reduced = network.reduced();
        let alone = reduced.alone(reduced.ring_of(strap).unwrap());
        let amps = Current::from_amps;
        for (besides, own, gap, pushes) in [(0.0, 1.0, 7.2, 1.8), (1.0, 1.5, 84.0 / 11.0, 10.0 / 11.0)] {
            let drive = Drive { from: n[0], to: n[1], current: amps(3.0 - besides) };
            let source = |current| Source { from: n[0], to: n[1], current };
            let solved = reduced.solve(&[source(drive.current), source(amps(besides))]).unwrap();
            let by = Behind { drive, lift: Voltage::from_volts(6.0), own: Resistance::from_ohms(own) };
            let driven = alone.driven(&[by]);
            let opened = driven.opened(strap, &solved).unwrap();
            assert!((opened.gap().volts() - gap).abs() < 1e-9, "{}", opened.gap());
            assert!((opened.pushes(&by).unwrap().amps() - pushes).abs() < 2e-9);
            let [(left, current)] = opened.currents().collect::<Vec<_>>()[..] else { panic!() };
            assert_eq!((left, current.abs()), (wire, amps(gap / 4.0)));
            // What the whole ring was held back by does not matter, once it is told of wrongly.
            let other =
                Behind { lift: Voltage::ZERO, drive: Drive { current: amps(9.0 / own), ..drive }, ..by };
            let solved = reduced.solve(&[source(amps(9.0 / own)), source(amps(besides))]).unwrap();
            let driven = alone.driven(&[other]);
            assert!((driven.opened(strap, &solved).unwrap().gap().volts() - gap).abs() < 1e-9);
        }
    }

    proptest! {
        /// The ring solved alone is the whole network solved without that resistance.
        #[test]
        fn the_ring_alone_is_enough(
            lines in prop::collection::vec((0_usize..8, 0_usize..8, -6.0..3.0_f64), 1..20),
            (from, to, open) in (0_usize..8, 0_usize..8, 0_usize..20),
        ) {
            let lines: Vec<_> = lines.into_iter().filter(|(a, b, _)| a != b).collect();
            prop_assume!(open < lines.len());
            let build = |without: Option<usize>| {
                let (mut network, n) = Network::of_nodes(8);
                let kept = lines.iter().enumerate().filter(|(i, _)| Some(*i) != without);
                let branches: Vec<Branch> =
                    kept.map(|(_, (a, b, r))| network.join(n[*a], n[*b], Resistance::from_ohms(10_f64.powf(*r)))).collect();
                (network, n, branches)
            };
            let (whole, n, branches) = build(None);
            let (cut, ..) = build(Some(open));
            let (reduced, reduced_cut) = (whole.reduced(), cut.reduced());
            let source = [Source { from: n[from], to: n[to], current: Current::from_amps(10.0) }];
            let Ok(solved) = reduced.solve(&source) else { return Ok(()) };
            let Some(ring) = reduced.ring_of(branches[open]) else {
                let (a, b, _) = lines[open];
                prop_assert!(!reduced_cut.joined(n[a], n[b]));
                return Ok(());
            };
            let alone = reduced.alone(ring);
            let opened = alone.opened(branches[open], &solved).unwrap();
            let again = reduced_cut.solve(&source).unwrap();
            // What is lost to rounding is a share of the largest voltage there is, not of the one asked for.
            let volts = |solution: &Solution, b: usize| solution.between(n[0], n[b]).map_or(0.0, |v| v.volts().abs());
            let most = (1..8).map(|b| volts(&again, b).max(volts(&solved, b))).fold(1.0, f64::max);
            // Any two nodes: what lies in the ring anew, the rest of the way as before.
            for b in 1..8 {
                let Some(expected) = again.between(n[0], n[b]) else { continue };
                let mut found = solved.between(n[0], n[b]).unwrap();
                for c in reduced.crossings(n[0], n[b]).unwrap() {
                    if Some(c.ring) == reduced.ring_of(branches[open]) {
                        found = found - solved.between(c.enters, c.leaves).unwrap();
                        found += opened.between(c.enters, c.leaves).unwrap();
                    }
                }
                let off = (found.volts() - expected.volts()).abs();
                prop_assert!(off < 1e-7 * most, "{found} {expected}");
            }
        }
    }
}
