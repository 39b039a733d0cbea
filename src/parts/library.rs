//! Every part that this run knows: those that come with the tool, and those of the user's part files.
//!
//! The parts that come with the tool are kept as YAML in the folder `library`, packed into the program when it is
//! built, and read once a run.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::model::{
    ContactPart, CoveringPart, DevicePart, LiningPart, LugPart, PartFile, ShellPart, SplicePart, SundryPart,
    WirePart,
};
use super::shelf::{PartId, Shelf};
use crate::diag::Span;

/// A device part.
pub type DevicePartId = PartId<DevicePart>;
/// A connector shell.
pub type ShellPartId = PartId<ShellPart>;
/// A contact.
pub type ContactPartId = PartId<ContactPart>;
/// A lug.
pub type LugPartId = PartId<LugPart>;
/// A splice.
pub type SplicePartId = PartId<SplicePart>;
/// A wire, pair or cable.
pub type WirePartId = PartId<WirePart>;
/// A covering.
pub type CoveringPartId = PartId<CoveringPart>;
/// A lining.
pub type LiningPartId = PartId<LiningPart>;
/// A sundry.
pub type SundryPartId = PartId<SundryPart>;

/// Every part of a run.
#[derive(Clone, Debug, Default)]
pub struct Library {
    /// Devices.
    pub devices: Shelf<DevicePart>,
    /// Shells.
    pub shells: Shelf<ShellPart>,
    /// Contacts.
    pub contacts: Shelf<ContactPart>,
    /// Lugs.
    pub lugs: Shelf<LugPart>,
    /// Splices.
    pub splices: Shelf<SplicePart>,
    /// Wires.
    pub wires: Shelf<WirePart>,
    /// Coverings.
    pub coverings: Shelf<CoveringPart>,
    /// Linings.
    pub linings: Shelf<LiningPart>,
    /// Sundries.
    pub sundries: Shelf<SundryPart>,
    /// Names in user part files whose parts could not be used; their faults are told already.
    pub lost: BTreeSet<String>,
    /// True where a whole user part file could not be read, so that any name may be one of its.
    pub file_lost: bool,
}

/// The parts of one file of the folder `library`, as the build script packs them.
macro_rules! packed {
    ($($name:literal),+ $(,)?) => {
        [$(($name, include_str!(concat!(env!("OUT_DIR"), "/", $name, ".json")))),+]
    };
}

/// The supplied parts, file by file in the order of the shelves.
const PACKED: [(&str, &str); 13] = packed![
    "indicators",
    "probes",
    "senders",
    "pulse-sources",
    "electrical",
    "shells",
    "contacts",
    "lugs",
    "splices",
    "wires",
    "coverings",
    "linings",
    "sundries",
];

static SUPPLIED: LazyLock<Library> = LazyLock::new(|| {
    let mut library = Library::default();
    for (_, text) in PACKED {
        // A test reads every file; one that could not be read would leave its shelf empty.
        if let Ok(file) = serde_json::from_str::<PartFile>(text) {
            library.take(file, |_, _| None, |_, _| {});
        }
    }
    library
});

impl Library {
    /// The parts that come with the tool.
    pub fn supplied() -> &'static Library {
        &SUPPLIED
    }

    /// True where a part of that name was meant to be here, but its file has faults that are told already.
    pub fn may_be_lost(&self, name: &str) -> bool {
        self.file_lost || self.lost.contains(name)
    }

    /// Puts all parts of a file on the shelves. `place` says where section and name stand in a user's file; `taken` is
    /// told section and name of each part that was not shelved because its name was taken.
    pub(super) fn take(
        &mut self,
        file: PartFile,
        place: impl Fn(&'static str, &str) -> Option<Span>,
        mut taken: impl FnMut(&'static str, &str),
    ) {
        macro_rules! shelve {
            ($($section:ident),+) => {$(
                for (name, part) in file.$section {
                    let section = stringify!($section);
                    let span = place(section, &name);
                    if !self.$section.put(&name, part, span) {
                        taken(section, &name);
                    }
                }
            )+};
        }
        shelve!(devices, shells, contacts, lugs, splices, wires, coverings, linings, sundries);
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::*;
    use crate::diag::{Sink, Sources};
    use crate::spec::decode::decode;
    use crate::spec::gate;
    use crate::spec::load::load;

    #[test]
    fn every_file_reads_alike_before_and_after_packing_and_no_name_comes_twice() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/parts/library");
        let files = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
        assert_eq!(files.filter(|path| path.extension().is_some_and(|e| e == "yaml")).count(), PACKED.len());
        let mut library = Library::default();
        for (name, packed) in PACKED {
            let bytes = fs::read(folder.join(format!("{name}.yaml"))).unwrap();
            let (mut sources, mut sink) = (Sources::default(), Sink::default());
            // The gate refuses the same name twice in one file, which the packing would not see.
            let file = decode(name, &bytes, &mut sources, &mut sink).unwrap();
            let tree = gate::read(&sources, file, &mut sink).unwrap();
            let written = load::<PartFile>(&tree, &mut sink).value.unwrap();
            assert!(sink.is_empty(), "{name}: {sink:?}");
            let packed: PartFile = serde_json::from_str(packed).unwrap();
            assert_eq!(format!("{written:?}"), format!("{packed:?}"), "{name}");
            library.take(packed, |_, _| None, |section, part| panic!("{section} {part} comes twice"));
        }
        assert_eq!(format!("{library:?}"), format!("{:?}", Library::supplied()));
    }
}
