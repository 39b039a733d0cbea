//! Which parts of a spec are read entry by entry when a fault is looked for.

use super::load::{Section, Sectioned};
use super::model::{
    BarrierSpec, BondSpec, BusSpec, CableSpec, CircuitSpec, ConnectorSpec, DeviceSpec, GroundSpec, PlaceSpec,
    RunSpec, Spec, SpliceSpec, StudSpec, SupplySpec, WaiverSpec, ZoneSpec,
};

impl Sectioned for Spec {
    const SECTIONS: &'static [Section] = &[
        Section::of::<ZoneSpec>("zones"),
        Section::of::<BarrierSpec>("barriers"),
        Section::of::<PlaceSpec>("places"),
        Section::of::<RunSpec>("route"),
        Section::of::<BondSpec>("bonds"),
        Section::of::<DeviceSpec>("equipment"),
        Section::of::<DeviceSpec>("sensors"),
        Section::of::<GroundSpec>("grounds"),
        Section::of::<SupplySpec>("supplies"),
        Section::of::<BusSpec>("buses"),
        Section::of::<ConnectorSpec>("connectors"),
        Section::of::<SpliceSpec>("splices"),
        Section::of::<StudSpec>("studs"),
        Section::of::<CircuitSpec>("circuits"),
        Section::of::<CableSpec>("cables"),
        Section::of::<WaiverSpec>("waive"),
    ];
}
