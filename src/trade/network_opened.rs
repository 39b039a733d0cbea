//! A solved network and a resistance that comes loose in; voltages and currents of its ring afterwards, out.
//!
//! Everything outside the ring pushes on what it pushed before (currents, not voltages, are given), so only the ring
//! changes. What is pushed from one end of the lost resistance to the other may be taken to be more or less than before:
//! voltages and currents are straight in it, so what one ampere does tells all.
//!
//! One ampere through the whole ring is enough (Sherman and Morrison, from memory): with w its volts, R what lies between
//! the ends and r the lost resistance, the ring without r answers with w / (1 − R / r), and what r carried before takes
//! that way too. Where r carried nearly all, that difference would be told by the last figures of large numbers; the ring
//! is then made ready anew without it. A mesh of n straps costs n times what it takes to go through the ring once.

use super::network::{Branch, Node, Solution};
use super::network_alone::{Alone, Member, stars};
use crate::quantity::{Current, Resistance, Voltage};

/// Share that the ways around must take of a current from end to end, for the difference to be trusted: of sixteen
/// figures twelve are left.
const LEAST_AROUND: f64 = 1e-4;

/// A ring with one of its resistances open.
#[derive(Clone, Debug)]
pub struct Opened<'a, 'r, 'n> {
    alone: &'a Alone<'r, 'n>,
    branch: Branch,
    /// Places of the ends that came apart.
    ends: [usize; 2],
    /// Volts with everything pushed as before.
    before: Vec<f64>,
    /// Volts of one ampere taken out of the first end and put into the second.
    ampere: Vec<f64>,
}

impl<'a, 'r, 'n> Opened<'a, 'r, 'n> {
    pub(super) fn of(
        alone: &'a Alone<'r, 'n>,
        branch: Branch,
        solved: &Solution<'_, '_>,
    ) -> Option<Opened<'a, 'r, 'n>> {
        let Member { ends, ohms, .. } = *alone.member(branch)?;
        let [a, b] = ends;
        let one = || {
            let mut one = vec![0.0; alone.size()];
            one[a] -= 1.0;
            one[b] += 1.0;
            one
        };
        let mut ampere = alone.stars.volts(one());
        let around = 1.0 - (ampere[b] - ampere[a]) / ohms;
        let before = if around < LEAST_AROUND {
            let left = stars(alone.size(), alone.members.iter().filter(|m| m.branch != branch));
            ampere = left.volts(one());
            left.volts(alone.pushed(solved))
        } else {
            ampere.iter_mut().for_each(|v| *v /= around);
            let lost = solved.amps(branch);
            alone.volts(solved).iter().zip(&ampere).map(|(v, w)| v - lost * w).collect()
        };
        Some(Opened { alone, branch, ends, before, ampere })
    }

    /// Resistance of all ways around, from one end to the other.
    pub fn around(&self) -> Resistance {
        let [a, b] = self.ends;
        Resistance::from_ohms((self.ampere[b] - self.ampere[a]).max(0.0))
    }

    /// How far the second end lies above the first, with everything pushed as before.
    pub fn gap(&self) -> Voltage {
        let [a, b] = self.ends;
        Voltage::from_volts(self.before[b] - self.before[a])
    }

    fn volts(&self, place: usize, more: Current) -> f64 {
        self.before[place] + more.amps() * self.ampere[place]
    }

    /// How far `a` lies above `b` where `more` than before is taken out of the first end and put into the second. None
    /// where one of them is no node of the ring.
    pub fn between(&self, a: Node, b: Node, more: Current) -> Option<Voltage> {
        let place = |n: Node| self.alone.place(n);
        Some(Voltage::from_volts(self.volts(place(a)?, more) - self.volts(place(b)?, more)))
    }

    /// Current through each resistance that is left, from its first end to its second, in order.
    pub fn currents(&self, more: Current) -> impl Iterator<Item = (Branch, Current)> + '_ {
        let left = self.alone.members.iter().filter(|m| m.branch != self.branch);
        left.map(move |m| {
            let [a, b] = m.ends;
            (m.branch, Current::from_amps((self.volts(a, more) - self.volts(b, more)) / m.ohms))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::network::{Network, Source};
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
        assert_eq!(opened.around(), ohms(0.024));
        assert_eq!(opened.gap(), Voltage::from_volts(-1.248));
        let currents: Vec<_> = opened.currents(Current::ZERO).collect();
        assert_eq!(currents, [(wire, amps(31.2)), (screen, amps(20.8))]);
        // With half of the 50 A there are 27 A left.
        let halved = opened.between(n[0], n[2], amps(25.0)).unwrap();
        assert_eq!(halved, Voltage::from_volts(27.0 * 0.024));
        assert_eq!(opened.between(n[0], n[3], Current::ZERO), None);
        let [only] = reduced.crossings(n[0], n[3]).unwrap()[..] else { panic!() };
        assert_eq!((only.enters, only.leaves), (n[0], n[1]));
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
            // Any two nodes: what lies in the ring anew, the rest of the way as before.
            for b in 1..8 {
                let Some(expected) = again.between(n[0], n[b]) else { continue };
                let mut found = solved.between(n[0], n[b]).unwrap();
                for c in reduced.crossings(n[0], n[b]).unwrap() {
                    if Some(c.ring) == reduced.ring_of(branches[open]) {
                        found = found - solved.between(c.enters, c.leaves).unwrap();
                        found += opened.between(c.enters, c.leaves, Current::ZERO).unwrap();
                    }
                }
                let off = (found.volts() - expected.volts()).abs();
                prop_assert!(off < 1e-8 + 1e-8 * expected.volts().abs(), "{found} {expected}");
            }
        }
    }
}
