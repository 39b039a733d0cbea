//! A ring with resistances of unknown size in; the ends between which its voltages and currents lie, out.
//!
//! Let a resistance r of the ring be unknown, and everything else be given. It adds 1/r to two rows of the conductances
//! (a change of rank one), so by Sherman and Morrison every voltage is
//!
//! ```text
//! V(r) = V(open) + c / (r + R)
//! ```
//!
//! with R ≥ 0 the resistance of all other ways between its ends, and c, neither of which depends on r: a Moebius
//! function. Its pole lies at r = −R, outside of 0 to open, so on that range it only rises or only falls, and its extremes
//! are its values at 0 and open. The same holds for the current in any other resistance, which is a voltage over a fixed
//! resistance.
//!
//! With several unknown: hold all but one, and move that one to whichever of its ends does not make the voltage less;
//! then the next. So the greatest and the least lie where each is 0 or open: at corners. (A voltage is not monotone in the
//! resistances as the resistance between two points is, so no single corner will do.)
//!
//! Where opening several of them makes the ring fall apart, the voltage between its parts has no bound, and is not told.
//! Within one part it has: let all of those go to open together, and take one that then alone joins two parts. What
//! passes it is given by what is pushed, so voltages within a part do not depend on it, and it may as well be 0. So the
//! voltages there lie between those of the other corners, and this one is left out.
//!
//! What drives a current may have no more than so many volts. Where that is enough at every corner it is enough between
//! them, for what it is held back by has its extremes there too. Where it is not, and all that is unknown lies between
//! the two points of the drive itself, it is no more than these volts that lie there, and all else in the ring is straight
//! in them: the ends are those of the corners with what is then left of the drive. Elsewhere nothing is told, nor where the
//! ring falls apart between the points of a drive: it then comes to its limit for sure.

use super::network::{Branch, Node, Solution};
use super::network_alone::{Alone, Member, stars};
use super::network_drive::Drive;
use crate::quantity::{Current, Voltage};

/// A ring at every corner.
#[derive(Clone, Debug)]
pub struct Corners<'a, 'r, 'n> {
    alone: &'a Alone<'r, 'n>,
    unknown: Vec<Branch>,
    /// Volts of each place, corner by corner; those where the ring falls apart left out. None where a drive would need more
    /// than its volts, and nobody can tell what becomes of the ring then.
    volts: Option<Vec<Vec<f64>>>,
    /// True where a drive comes to its limit at a corner.
    limited: bool,
    /// The part of each place, for each corner where the ring falls apart.
    apart: Vec<Vec<usize>>,
}

impl<'a, 'r, 'n> Corners<'a, 'r, 'n> {
    pub(super) fn of(
        alone: &'a Alone<'r, 'n>,
        unknown: &[Branch],
        solved: &Solution<'_, '_>,
        limit: Option<(&[Drive], Voltage)>,
    ) -> Self {
        let mut made =
            Corners { alone, unknown: unknown.to_vec(), volts: None, limited: false, apart: Vec::new() };
        let mut all = Vec::new();
        let drives: Vec<([usize; 2], f64)> = limit
            .into_iter()
            .flat_map(|(drives, most)| drives.iter().map(move |d| (d, most.volts())))
            .filter_map(|(d, most)| Some(([alone.place(d.from)?, alone.place(d.to)?], most)))
            .collect();
        let pushed = alone.pushed(solved);
        for corner in 0..1_usize << unknown.len() {
            let open =
                |m: &&Member| unknown.iter().position(|b| *b == m.branch).map(|i| corner >> i & 1 == 1);
            let kept = || alone.members.iter().filter(move |m| open(m) != Some(true));
            let parts = alone.joined(kept()).into_labeling();
            if parts.iter().any(|part| *part != parts[0]) {
                let short =
                    |([a, b], _): &([usize; 2], f64)| parts[*a] != parts[*b] && !made.all_between([*a, *b]);
                if drives.iter().any(short) {
                    return made;
                }
                made.apart.push(parts);
                continue;
            }
            // A resistance of none makes one place of its two: the lowest of them stands for all.
            let point = alone.joined(kept().filter(|m| open(m) == Some(false))).into_labeling();
            let lines: Vec<Member> = kept()
                .filter(|m| open(m).is_none())
                .map(|m| Member { ends: m.ends.map(|end| point[end]), ..*m })
                .filter(|m| m.ends[0] != m.ends[1])
                .collect();
            let mut at_points = vec![0.0; alone.size()];
            pushed.iter().zip(&point).for_each(|(amps, point)| at_points[*point] += amps);
            let ready = stars(alone.size(), lines.iter(), &[]);
            let mut volts = ready.volts(at_points);
            let over = |volts: &[f64], ([a, b], most): &([usize; 2], f64)| {
                let lift = volts[point[*b]] - volts[point[*a]];
                (lift > *most).then_some(lift - most)
            };
            if let Some((ends, most)) = drives.iter().find(|drive| over(&volts, drive).is_some()) {
                made.limited = true;
                if !made.all_between(*ends) {
                    return made;
                }
                let [a, b] = ends.map(|end| point[end]);
                let mut one = vec![0.0; alone.size()];
                (one[a], one[b]) = (-1.0, 1.0);
                let response = ready.volts(one);
                let off = over(&volts, &(*ends, *most)).unwrap_or_default() / (response[b] - response[a]);
                volts.iter_mut().zip(&response).for_each(|(v, r)| *v -= off * r);
                if drives.iter().any(|drive| over(&volts, drive).is_some_and(|by| by > 1e-9 * most)) {
                    return made;
                }
            }
            all.push(point.iter().map(|point| volts[*point]).collect());
        }
        made.volts = Some(all);
        made
    }

    /// True where every unknown resistance lies between these two places.
    fn all_between(&self, [a, b]: [usize; 2]) -> bool {
        let lies = |m: &Member| m.ends == [a, b] || m.ends == [b, a];
        self.unknown.iter().all(|branch| self.alone.member(*branch).is_some_and(lies))
    }

    /// True where a drive comes to its limit at a corner, so that what the ring does bends between there and the others.
    pub fn is_limited(&self) -> bool {
        self.limited
    }

    /// The least and the most that `a` may lie above `b`. None where there is no bound, or one of them is no node of the
    /// ring.
    pub fn between(&self, a: Node, b: Node) -> Option<[Voltage; 2]> {
        let (a, b) = (self.alone.place(a)?, self.alone.place(b)?);
        let bounded = self.apart.iter().all(|parts| parts[a] == parts[b]);
        let found = self.volts.iter().flatten().map(|volts| volts[a] - volts[b]);
        ends(found).filter(|_| bounded).map(|ends| ends.map(Voltage::from_volts))
    }

    /// The least and the most that may flow through a resistance of the ring, from its first end to its second. None for
    /// one of those that are unknown: with none in its way there is no telling what passes it and what passes beside it.
    pub fn current(&self, branch: Branch) -> Option<[Current; 2]> {
        if self.unknown.contains(&branch) {
            return None;
        }
        let member = self.alone.member(branch)?;
        let [a, b] = member.ends;
        let found = self.volts.iter().flatten().map(|volts| (volts[a] - volts[b]) / member.ohms);
        ends(found).map(|ends| ends.map(Current::from_amps))
    }
}

fn ends(found: impl Iterator<Item = f64>) -> Option<[f64; 2]> {
    found.map(|v| [v, v]).reduce(|known, v| [known[0].min(v[0]), known[1].max(v[1])])
}

#[cfg(test)]
mod tests {
    use super::super::network::{Network, Source};
    use super::*;
    use crate::quantity::Resistance;
    use proptest::prelude::*;

    fn ohms(value: f64) -> Resistance {
        Resistance::from_ohms(value)
    }

    /// 40 A through 2 mΩ with an unknown strap beside it: from nothing to 80 mV.
    #[test]
    fn a_second_strap_can_only_lessen_the_drop() {
        let (mut network, n) = Network::of_nodes(2);
        let known = network.join(n[0], n[1], ohms(0.002));
        let unknown = network.join(n[0], n[1], ohms(1.0));
        let reduced = network.reduced();
        let solved =
            reduced.solve(&[Source { from: n[1], to: n[0], current: Current::from_amps(40.0) }]).unwrap();
        let alone = reduced.alone(reduced.ring_of(known).unwrap());
        let corners = alone.unknown(&[unknown], &solved, None);
        assert_eq!(corners.between(n[0], n[1]), Some([Voltage::ZERO, Voltage::from_volts(0.08)]));
        assert_eq!(corners.current(known), Some([Current::ZERO, Current::from_amps(40.0)]));
        assert_eq!(corners.current(unknown), None);
        // 0.05 V push no more than 25 A through it.
        let drive = Drive { from: n[1], to: n[0], current: Current::from_amps(40.0) };
        let corners = alone.unknown(&[unknown], &solved, Some((&[drive], Voltage::from_volts(0.05))));
        assert_eq!(corners.between(n[0], n[1]), Some([Voltage::ZERO, Voltage::from_volts(0.05)]));
        assert_eq!(corners.current(known), Some([Current::ZERO, Current::from_amps(25.0)]));
        // With both unknown nothing bounds it.
        assert_eq!(alone.unknown(&[known, unknown], &solved, None).between(n[0], n[1]), None);
    }

    /// What is unknown lies in series with the way that the drive is short of volts for: nobody knows how it bends.
    #[test]
    fn a_drive_short_of_volts_elsewhere_is_not_told() {
        let (mut network, n) = Network::of_nodes(3);
        let first = network.join(n[0], n[1], ohms(1.0));
        let unknown = network.join(n[1], n[2], ohms(1.0));
        network.join(n[2], n[0], ohms(1.0));
        let reduced = network.reduced();
        let drive = Drive { from: n[1], to: n[0], current: Current::from_amps(30.0) };
        let solved =
            reduced.solve(&[Source { from: n[1], to: n[0], current: Current::from_amps(30.0) }]).unwrap();
        let alone = reduced.alone(reduced.ring_of(first).unwrap());
        let told = |volts| {
            let corners = alone.unknown(&[unknown], &solved, Some((&[drive], Voltage::from_volts(volts))));
            corners.between(n[0], n[1]).map(|ends| ends.map(Voltage::volts))
        };
        assert_eq!(told(30.0), Some([15.0, 30.0]));
        assert_eq!(told(20.0), None);
    }

    /// Across the bridge of a bridge circuit even the sign hangs on them.
    #[test]
    fn a_voltage_may_turn_its_sign() {
        // 0 to 3 is fed; 1 and 2 lie between; 0-1 and 2-3 unknown.
        let (mut network, n) = Network::of_nodes(4);
        let a = network.join(n[0], n[1], ohms(1.0));
        network.join(n[1], n[3], ohms(2.0));
        network.join(n[0], n[2], ohms(2.0));
        let b = network.join(n[2], n[3], ohms(1.0));
        network.join(n[1], n[2], ohms(100.0));
        let reduced = network.reduced();
        let solved =
            reduced.solve(&[Source { from: n[3], to: n[0], current: Current::from_amps(1.0) }]).unwrap();
        let alone = reduced.alone(reduced.ring_of(a).unwrap());
        let [least, most] = alone.unknown(&[a, b], &solved, None).between(n[1], n[2]).unwrap();
        // Both none: 1 at the feed, 2 at the end, 2 Ω beside 2 Ω beside 100 Ω: 100/101 V. Both open: all of 1 A through
        // 100 Ω the other way.
        assert_eq!((least.volts(), most), (-100.0, Voltage::from_volts(100.0 / 101.0)));
    }

    proptest! {
        /// Whatever the unknown resistances are, voltages and currents lie between the ends.
        #[test]
        fn nothing_lies_outside(
            lines in prop::collection::vec((0_usize..6, 0_usize..6, 0.01..10.0_f64), 3..14),
            (first, second, third) in (0_usize..14, 0_usize..14, 0_usize..14),
            (from, to) in (0_usize..6, 0_usize..6),
            powers in prop::array::uniform3(-4.0..5.0_f64),
        ) {
            let lines: Vec<_> = lines.into_iter().filter(|(a, b, _)| a != b).collect();
            prop_assume!(from != to && !lines.is_empty());
            let (mut network, n) = Network::of_nodes(6);
            let branches: Vec<Branch> = lines.iter().map(|(a, b, r)| network.join(n[*a], n[*b], ohms(*r))).collect();
            let source = [Source { from: n[from], to: n[to], current: Current::from_amps(3.0) }];
            let reduced = network.reduced();
            let Ok(solved) = reduced.solve(&source) else { return Ok(()) };
            let mut picked: Vec<usize> = [first, second, third].map(|i| i % lines.len()).to_vec();
            picked.sort_unstable();
            picked.dedup();
            let (mut other, _) = Network::of_nodes(6);
            for (i, (a, b, r)) in lines.iter().enumerate() {
                let r = picked.iter().position(|p| *p == i).map_or(*r, |k| 10_f64.powf(powers[k]));
                other.join(n[*a], n[*b], ohms(r));
            }
            let other = other.reduced();
            let as_it_is = other.solve(&source).unwrap();
            let mut rings: Vec<_> = branches.iter().filter_map(|b| reduced.ring_of(*b)).collect();
            rings.sort_unstable();
            rings.dedup();
            for ring in rings {
                let of_ring: Vec<Branch> = reduced.members(ring).collect();
                let unknown: Vec<Branch> = picked.iter().map(|i| branches[*i]).filter(|b| of_ring.contains(b)).collect();
                let alone = reduced.alone(ring);
                let corners = alone.unknown(&unknown, &solved, None);
                let near = |value: f64| 1e-7 + 1e-6 * value.abs();
                for a in &n {
                    for b in &n {
                        let Some([least, most]) = corners.between(*a, *b) else { continue };
                        let volts = as_it_is.between(*a, *b).unwrap().volts();
                        prop_assert!(volts > least.volts() - near(volts) && volts < most.volts() + near(volts), "{least} {volts} {most}");
                    }
                }
                for branch in of_ring {
                    let Some([least, most]) = corners.current(branch) else { continue };
                    let amps = as_it_is.current(branch).unwrap().amps();
                    prop_assert!(amps > least.amps() - near(amps) && amps < most.amps() + near(amps), "{least} {amps} {most}");
                }
            }
        }
    }
}
