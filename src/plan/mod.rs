//! What the bench is told: cut lengths, terminations and the lists made of them.
//!
//! Guarantees: every conductor is once in the cut list and each of its two ends once in the crimp list; the terms of a
//! cut length add up to it; a figure that rests on a default of the tool says so; what is not known is `None` with the
//! reason beside it.

pub mod feeding;
pub mod fitting;
pub mod length;
pub mod termination;
