//! Every part that this run knows: those that come with the tool, and those of the user's part files.

use super::model::{
    ContactPart, CoveringPart, DevicePart, LiningPart, LugPart, ShellPart, SplicePart, SundryPart, WirePart,
};
use super::shelf::{PartId, Shelf};

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
}
