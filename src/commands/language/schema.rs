//! The types of the spec language in; their JSON Schema out (draft 2020-12).

use schemars::{Schema, schema_for};

use crate::parts::model::PartFile;
use crate::spec::model::Spec;

/// The two kinds of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Language {
    /// A spec.
    Spec,
    /// A part file.
    Parts,
}

impl Language {
    /// Its schema.
    pub(super) fn schema(self) -> Schema {
        match self {
            Language::Spec => schema_for!(Spec),
            Language::Parts => schema_for!(PartFile),
        }
    }

    /// Its schema as text.
    pub(super) fn json(self) -> String {
        let mut text = serde_json::to_string_pretty(self.schema().as_value()).unwrap_or_default();
        text.push('\n');
        text
    }
}
