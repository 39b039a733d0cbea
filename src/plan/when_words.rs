//! When an end is made, in the words of the lists: a termination in; what passes which hole, out.

use super::fitting::Fitting;
use super::termination::{Termination, When};
use crate::graph::feeding::Passage;
use crate::harness::{Harness, HoleId};

/// Says when `end` is made and names every hole that its conductor crosses.
pub fn when(h: &Harness, end: &Termination) -> String {
    let names =
        |holes: &[HoleId]| holes.iter().map(|x| h.hole(*x).name.as_str()).collect::<Vec<_>>().join(", ");
    match end.when {
        When::Bench if !end.through.is_empty() => {
            format!("bench; {} passes {}", what(&end.fitting), passed(h, &end.through))
        }
        When::Bench if !end.stays_at.is_empty() => {
            format!("bench; the other end is fed through {}", names(&end.stays_at))
        }
        When::Bench => "bench".to_owned(),
        When::InsertAfterFeeding(_) => {
            format!("bench; contact passes {}, into the shell after feeding", passed(h, &end.through))
        }
        // An end that waits for the other wires of its splice may be fed through no hole itself.
        When::AfterFeeding(hole) if end.through.iter().all(|passage| passage.hole != hole) => {
            format!("after feeding through {}", names(&[hole]))
        }
        When::AfterFeeding(_) => format!("after feeding through {}", passed(h, &end.through)),
        When::InPlace if end.through.is_empty() => "in place, onto the device's own lead".to_owned(),
        When::InPlace => {
            format!("in place, onto the device's own lead, after feeding through {}", passed(h, &end.through))
        }
        When::Look(hole) if h.hole(hole).bore.is_none() => {
            format!("look: bore of {} not known", names(&[hole]))
        }
        When::Look(hole) => format!("look: terminal that must pass {} not known", names(&[hole])),
    }
}

/// The holes in the order in which the end comes to them; with the side it comes out on, where that is not plain.
fn passed(h: &Harness, through: &[Passage]) -> String {
    let tell = through.len() > 1 || through.iter().any(|passage| passage.back);
    let one = |passage: &Passage| {
        let hole = &h.hole(passage.hole).name;
        if tell { format!("{hole} towards {}", h.zone(passage.towards).name) } else { hole.clone() }
    };
    through.iter().map(one).collect::<Vec<_>>().join(", then ")
}

fn what(fitting: &Fitting) -> &'static str {
    match fitting {
        Fitting::Contact { .. } => "contact in its shell",
        Fitting::Lug(_) => "lug",
        Fitting::OwnLead(_) | Fitting::Joint(_) => "splice",
        Fitting::Screen(_) => "screen",
        Fitting::Unknown { .. } => "wire",
    }
}
