//! What is wrong with the text of a quantity, and what to write instead.

use std::fmt;

/// A text that is not the quantity asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong: lower case, the user's text in backticks.
    pub message: String,
    /// One action that mends it.
    pub remedy: String,
}

/// Stands between message and remedy in `Display`, so that a serde error can be taken apart again.
const BETWEEN: &str = "; ";

impl QuantityError {
    /// An error from its two sentences.
    pub fn new(message: impl Into<String>, remedy: impl Into<String>) -> QuantityError {
        QuantityError { message: message.into(), remedy: remedy.into() }
    }

    /// Takes apart what `Display` printed, as it comes back inside a serde error. A text without a remedy leaves
    /// `remedy` empty.
    pub fn from_text(text: &str) -> QuantityError {
        match text.rsplit_once(BETWEEN) {
            Some((message, remedy)) => QuantityError::new(message, remedy),
            None => QuantityError::new(text, ""),
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{BETWEEN}{}", self.message, self.remedy)
    }
}

impl std::error::Error for QuantityError {}
