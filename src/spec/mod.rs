//! Spec text in, typed spec out, every value with its line and column.
pub mod decode;
pub mod gate;
#[cfg(any())] // Left out until the quantities it is made of are delivered.
pub mod model;
mod syntax;
pub mod tree;
#[cfg(any())]
pub mod words;
