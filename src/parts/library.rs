//! Every part that this run knows: those that come with the tool, and those of the user's part files.
//!
//! The parts that come with the tool are YAML inside the program, read once a run and only when first asked for.

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

/// The files of the parts that come with the tool, in the order of the shelves.
pub(super) const FILES: [(&str, &str); 13] = [
    ("indicators", include_str!("library/indicators.yaml")),
    ("probes", include_str!("library/probes.yaml")),
    ("senders", include_str!("library/senders.yaml")),
    ("pulse-sources", include_str!("library/pulse-sources.yaml")),
    ("electrical", include_str!("library/electrical.yaml")),
    ("shells", include_str!("library/shells.yaml")),
    ("contacts", include_str!("library/contacts.yaml")),
    ("lugs", include_str!("library/lugs.yaml")),
    ("splices", include_str!("library/splices.yaml")),
    ("wires", include_str!("library/wires.yaml")),
    ("coverings", include_str!("library/coverings.yaml")),
    ("linings", include_str!("library/linings.yaml")),
    ("sundries", include_str!("library/sundries.yaml")),
];

static SUPPLIED: LazyLock<Library> = LazyLock::new(|| {
    let mut library = Library::default();
    for (_, text) in FILES {
        // A test reads every file; one that could not be read would leave its shelf empty.
        if let Ok(file) = serde_yaml::from_str::<PartFile>(text) {
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
    use super::*;

    #[test]
    fn every_supplied_file_reads_and_no_name_comes_twice() {
        let mut library = Library::default();
        for (name, text) in FILES {
            let file = serde_yaml::from_str::<PartFile>(text).unwrap_or_else(|e| panic!("{name}: {e}"));
            library.take(file, |_, _| None, |section, part| panic!("{section} {part} comes twice"));
        }
        assert_eq!(library.devices.names().count(), Library::supplied().devices.names().count());
    }
}
