//! Which parts of a part file are read entry by entry when a fault is looked for.

use super::model::{
    ContactPart, CoveringPart, DevicePart, LiningPart, LugPart, PartFile, ShellPart, SplicePart, SundryPart,
    WirePart,
};
use crate::spec::load::{Section, Sectioned};

impl Sectioned for PartFile {
    const SECTIONS: &'static [Section] = &[
        Section::of::<DevicePart>("devices"),
        Section::of::<ShellPart>("shells"),
        Section::of::<ContactPart>("contacts"),
        Section::of::<LugPart>("lugs"),
        Section::of::<SplicePart>("splices"),
        Section::of::<WirePart>("wires"),
        Section::of::<CoveringPart>("coverings"),
        Section::of::<LiningPart>("linings"),
        Section::of::<SundryPart>("sundries"),
    ];
}
