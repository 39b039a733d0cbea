//! A ring and what drives currents through it, none with more than so many volts, in; what is left of these currents, out.
//!
//! Each drive pushes its current as long as it lifts its second node above its first by no more than the limit. Where that
//! is not enough it is a voltage, that of the limit, behind next to no resistance, and pushes what comes of that; nothing
//! where others lift more than that. Who is held so is found by trying: whoever would lift more is held, whoever would push
//! more than its current is let go, whoever would push backwards pushes nothing. This is a linear complementarity problem
//! with a symmetric, positive matrix, which has one solution, and changing the lowest that is wrong, one at a time, ends
//! there (Murty 1974, from memory). All that are wrong are changed together first, which nearly always is enough.
//!
//! Costs nothing where no drive comes to its limit; else as many times what it takes to make the ring ready as there are
//! rounds: a few as a rule, 16 + 8 n of n drives at most. Murty's way may take up to 2ⁿ; where these rounds are not enough
//! nothing is told.

use super::network::{Node, Solution};
use super::network_alone::{Alone, stars};
use crate::quantity::{Current, Voltage};

/// A current that is driven from one node of a ring to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drive {
    /// Taken out of the network here.
    pub from: Node,
    /// Put into the network here.
    pub to: Node,
    /// How much, as long as the voltage is enough.
    pub current: Current,
}

/// What lies behind a drive at its limit: this share of the resistance that draws the largest current from its volts.
pub const NONE: f64 = 1e-6;
/// Rounds in which all that are wrong are changed together, before only one is.
const TOGETHER: usize = 16;
/// Share of the largest current that is no current backwards: what arithmetic leaves of a voltage over so little.
const BACKWARDS: f64 = 1e-7;
/// Share of a limit that arithmetic may be off.
const NEAR: f64 = 1e-9;

impl Alone<'_, '_> {
    /// What is left of each drive, where in `solved` all of them push what they are to. None where a drive is not of this
    /// ring, or the rounds are not enough.
    pub fn limited(
        &self,
        drives: &[Drive],
        solved: &Solution<'_, '_>,
        limit: Voltage,
    ) -> Option<Vec<Current>> {
        let ports: Option<Vec<[usize; 2]>> =
            drives.iter().map(|d| Some([self.place(d.from)?, self.place(d.to)?])).collect();
        let (ports, limit) = (ports?, limit.volts());
        let most = drives.iter().map(|d| d.current.abs()).max().filter(|most| *most > Current::ZERO);
        let Some(most) = most else {
            return Some(drives.iter().map(|d| d.current).collect());
        };
        let own = NONE * limit / most.amps();
        let pushed = self.pushed(solved);
        let mut volts = self.volts(solved);
        let mut states = vec![State::Free; drives.len()];
        let left = |volts: &[f64], k: usize| (limit - (volts[ports[k][1]] - volts[ports[k][0]])) / own;
        let mut settled = false;
        for round in 0..=TOGETHER + 8 * drives.len() {
            let next = |k: usize| {
                let left = left(&volts, k);
                match states[k] {
                    State::Held if left > drives[k].current.amps() * (1.0 + NEAR) => State::Free,
                    State::Held if left < -BACKWARDS * most.amps() => State::Idle,
                    State::Free if left * own < -NEAR * limit => State::Held,
                    State::Idle if left * own > NEAR * limit => State::Held,
                    same => same,
                }
            };
            let all = (0..drives.len()).map(|k| (k, next(k)));
            let mut changed: Vec<(usize, State)> = all.filter(|(k, next)| *next != states[*k]).collect();
            settled = changed.is_empty();
            if settled {
                break;
            }
            if round >= TOGETHER {
                changed.truncate(1);
            }
            changed.into_iter().for_each(|(k, next)| states[k] = next);
            let held = (0..drives.len()).filter(|k| states[*k] == State::Held);
            let behind: Vec<_> = held.map(|k| (ports[k], own, 0.0)).collect();
            let mut amps = pushed.clone();
            for ([a, b], (drive, state)) in ports.iter().zip(drives.iter().zip(&states)) {
                let pushes = match state {
                    State::Free => continue,
                    State::Held => limit / own,
                    State::Idle => 0.0,
                };
                let more = pushes - drive.current.amps();
                amps[*a] -= more;
                amps[*b] += more;
            }
            volts = stars(self.size(), self.members.iter(), &behind).volts(amps);
        }
        if !settled {
            return None;
        }
        let of = |(k, drive): (usize, &Drive)| match states[k] {
            State::Free => drive.current,
            State::Held => Current::from_amps(left(&volts, k).max(0.0)),
            State::Idle => Current::ZERO,
        };
        Some(drives.iter().enumerate().map(of).collect())
    }
}

/// What a drive does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// It pushes its current.
    Free,
    /// It is at its limit.
    Held,
    /// Others lift its second node above its first by more than its limit: it pushes nothing.
    Idle,
}

#[cfg(test)]
mod tests {
    use super::super::network::{Branch, Network, Source};
    use super::*;
    use crate::quantity::Resistance;
    use proptest::prelude::*;

    fn volts(value: f64) -> Voltage {
        Voltage::from_volts(value)
    }

    fn limited((network, first): (&Network, Branch), drives: &[Drive], limit: f64) -> (Vec<f64>, Vec<f64>) {
        let reduced = network.reduced();
        let sources = |currents: &[Current]| -> Vec<Source> {
            let of = |(d, c): (&Drive, &Current)| Source { from: d.from, to: d.to, current: *c };
            drives.iter().zip(currents).map(of).collect()
        };
        let stated: Vec<Current> = drives.iter().map(|d| d.current).collect();
        let solved = reduced.solve(&sources(&stated)).unwrap();
        let ring = reduced.ring_of(first).unwrap();
        let left = reduced.alone(ring).limited(drives, &solved, volts(limit)).unwrap();
        let again = reduced.solve(&sources(&left)).unwrap();
        let lifts = drives.iter().map(|d| again.between(d.to, d.from).unwrap().volts()).collect();
        (left.iter().map(|c| c.amps()).collect(), lifts)
    }

    /// 40 A over 100 Ω beside 25 Ω, from 14 V: 14 / 20 = 0.7 A.
    #[test]
    fn a_supply_drives_no_more_than_it_can() {
        let (mut network, n) = Network::of_nodes(2);
        let first = network.join(n[0], n[1], Resistance::from_ohms(100.0));
        network.join(n[0], n[1], Resistance::from_ohms(25.0));
        let amps = Current::from_amps;
        let drive = Drive { from: n[0], to: n[1], current: amps(40.0) };
        let (left, lifts) = limited((&network, first), &[drive], 14.0);
        assert!((left[0] - 0.7).abs() < 1e-6 && (lifts[0] - 14.0).abs() < 2e-5, "{left:?} {lifts:?}");
        // Two abreast share it somehow; what is not at its limit keeps all it has.
        let (left, lifts) = limited((&network, first), &[drive, drive], 14.0);
        assert!((left[0] + left[1] - 0.7).abs() < 1e-6 && (lifts[0] - 14.0).abs() < 2e-5, "{left:?}");
        let few = Drive { current: amps(0.7), ..drive };
        assert_eq!(limited((&network, first), &[few], 14.0).0, [0.7]);
    }

    proptest! {
        /// The conditions of the problem hold in the whole network solved again.
        #[test]
        fn none_is_over_and_who_is_under_keeps_all(
            ohms in prop::array::uniform5(-3.0..3.0_f64),
            pushed in prop::array::uniform3(0.1..50.0_f64),
        ) {
            // A square with a diagonal: one ring.
            let (mut network, n) = Network::of_nodes(4);
            let lines = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)].into_iter().zip(ohms);
            let joined: Vec<Branch> = lines
                .map(|((a, b), r)| network.join(n[a], n[b], Resistance::from_ohms(10_f64.powf(r))))
                .collect();
            let ends = [(0, 1), (2, 1), (3, 0)];
            let drives: Vec<Drive> = ends.into_iter().zip(pushed)
                .map(|((a, b), i)| Drive { from: n[a], to: n[b], current: Current::from_amps(i) }).collect();
            let (left, lifts) = limited((&network, joined[0]), &drives, 14.0);
            for ((drive, left), lift) in drives.iter().zip(left).zip(lifts) {
                prop_assert!(left >= 0.0 && left <= drive.current.amps());
                prop_assert!(lift < 14.0 + 1e-4 || left == 0.0, "{left} at {lift}");
                prop_assert!(left == drive.current.amps() || lift > 14.0 - 1e-4, "{left} of {} at {lift}", drive.current);
            }
        }
    }
}
