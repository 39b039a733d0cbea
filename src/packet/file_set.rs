//! Finished papers in, one named set of bytes out: a packet before it is on any disk.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

/// The files of a packet by name. Names are plain: a letter or digit first, then letters, digits, `-`, `_` and `.`;
/// none comes from the spec, so none can leave the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FileSet {
    files: BTreeMap<String, Vec<u8>>,
}

impl FileSet {
    /// Adds a file; one of the same name is replaced.
    ///
    /// False, and nothing is added, where the name is not plain.
    pub fn add(&mut self, name: &str, bytes: impl Into<Vec<u8>>) -> bool {
        let plain = is_plain(name);
        if plain {
            self.files.insert(name.to_owned(), bytes.into());
        }
        plain
    }

    /// The bytes of a file.
    pub fn get(&self, name: &str) -> Option<&[u8]> {
        self.files.get(name).map(Vec::as_slice)
    }

    /// All files in the order of their names.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (&str, &[u8])> {
        self.files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
    }
}

/// True for a file name that every system takes as a name and nothing else.
pub(super) fn is_plain(name: &str) -> bool {
    let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    name.starts_with(|c: char| c.is_ascii_alphanumeric()) && name.chars().all(fits)
}

/// SHA-256 of the bytes as 64 hexadecimal digits (FIPS 180-4).
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_names_are_taken() {
        let mut set = FileSet::default();
        for bad in ["", "..", ".hidden", "a/b", "/etc/passwd", "a\\b", "C:x", "a b", "ä.svg", "-o", "a\0"] {
            assert!(!set.add(bad, "x"), "{bad:?}");
        }
        assert_eq!(set.iter().len(), 0);
        assert!(set.add("wiring-2.svg", "x"));
        assert_eq!(set.get("wiring-2.svg"), Some(&b"x"[..]));
    }

    #[test]
    fn digest_is_the_one_of_the_standard() {
        // NIST, example values for FIPS 180-4, SHA-256: one-block message sample "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256(b"abc"), abc);
    }
}
