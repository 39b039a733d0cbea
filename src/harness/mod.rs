//! Typed spec and parts in, resolved model out: see [`model`] for what it guarantees.
pub mod ids;
pub mod model;

pub use ids::*;
pub use model::*;
