//! Ground floor: where a thing stands in a source file, and what is found there.
//!
//! Spans are byte ranges into a [`Sources`] store; lines and columns are computed when a finding is shown.
//! A [`Finding`] is data: renderers (terminal text, JSON, SARIF) read it and never change it.

mod finding;
pub mod json;
mod nearest;
pub mod sarif;
mod shown;
mod source;
pub mod text;

pub use finding::{Finding, Label, Severity, Sink};
pub use nearest::nearest;
pub use shown::{is_active, shown};
pub use source::{FileId, Position, Sources, Span};
