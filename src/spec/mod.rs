//! Spec text in, typed spec out, every value with its line and column.
pub mod decode;
pub mod gate;
pub mod model;
mod syntax;
pub mod tree;
pub mod words;
