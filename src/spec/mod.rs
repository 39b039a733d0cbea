//! Spec text in, typed spec out, every value with its line and column.
pub mod model;
pub mod words;
