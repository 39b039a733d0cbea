//! The parts of the trade: those that come with the tool and those of user part files, looked up by name.
pub mod beside;
pub mod check;
pub mod choose;
pub mod fit;
pub mod library;
pub mod model;
mod sections;
pub mod shelf;
pub mod user;
pub mod words;
