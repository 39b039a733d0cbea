//! The harness as two graphs, and the questions asked of them.
pub mod routing;
pub use routing::{Path, Routing};
