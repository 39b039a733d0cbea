//! Spec text in, typed spec out, every value with its line and column.
#[cfg(test)]
mod agreement;
pub mod decode;
mod fault;
mod from_tree;
pub mod gate;
mod keys;
pub mod load;
pub mod model;
mod objection;
mod scalar;
mod sections;
mod syntax;
pub mod tree;
pub mod words;
