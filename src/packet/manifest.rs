//! The files of a packet and what it was made from in; `manifest.json` out, and back.
//!
//! The manifest says which files are the packet's own, so that a later build knows what it may replace. It holds
//! no time and no path of the machine: the same inputs give the same bytes.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::file_set::{FileSet, sha256};

/// Name of the manifest in its packet.
pub const FILE_NAME: &str = "manifest.json";

/// What made the packet, what it was made from, what it holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Manifest {
    /// Name and version of the tool: `fairlead 0.1.0`.
    pub made_by: String,
    /// Title of the harness.
    pub title: String,
    /// Drawing number of the harness.
    pub drawing: String,
    /// Revision index; None where the spec has none.
    pub revision: Option<String>,
    /// True where findings that stop were overruled.
    pub built_despite_findings: bool,
    /// SHA-256 of every spec and part file, by the name relative to the spec's folder.
    pub inputs: BTreeMap<String, String>,
    /// SHA-256 of every file of the packet but this one.
    pub files: BTreeMap<String, String>,
}

impl Manifest {
    /// Enters every file of `set`.
    pub fn enter(&mut self, set: &FileSet) {
        self.files = set.iter().map(|(name, bytes)| (name.to_owned(), sha256(bytes))).collect();
    }

    /// The file's text.
    pub fn to_json(&self) -> String {
        // A map of texts has no value that JSON lacks.
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }

    /// Reads a manifest; None where the bytes are not one that this tool wrote.
    pub fn read(bytes: &[u8]) -> Option<Manifest> {
        let manifest: Manifest = serde_json::from_slice(bytes).ok()?;
        manifest.made_by.starts_with("fairlead ").then_some(manifest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_back_and_refuses_what_others_wrote() {
        let mut set = FileSet::default();
        set.add("index.html", "<p>");
        let mut manifest = Manifest {
            made_by: "fairlead 0.1.0".into(),
            title: "Loom \"A\"".into(),
            drawing: "T-1".into(),
            revision: None,
            built_despite_findings: false,
            inputs: BTreeMap::new(),
            files: BTreeMap::new(),
        };
        manifest.enter(&set);
        assert_eq!(Manifest::read(manifest.to_json().as_bytes()), Some(manifest.clone()));
        assert_eq!(Manifest::read(b"{\"name\": \"other\"}"), None);
        manifest.made_by = "something else".into();
        assert_eq!(Manifest::read(manifest.to_json().as_bytes()), None);
    }
}
