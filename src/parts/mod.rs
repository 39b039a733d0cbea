//! The parts of the trade: the embedded library and user part files, looked up by name.
pub mod model;
pub mod words;
