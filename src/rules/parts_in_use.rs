//! Harness and library in; parts of the user's own part files that the harness does not use out.
//!
//! A contact, backshell or plug counts as used with a shell that names it, the mate of a shell with the shell. Ties,
//! clamps and other sundries that are chosen by size are not looked at.

use std::collections::BTreeSet;

use crate::diag::Span;
use crate::harness::{DeviceClass, Harness, PinSite};
use crate::parts::fit::{self, WireEnd};
use crate::parts::library::Library;
use crate::parts::shelf::Shelf;
use crate::quantity::Gauge;

/// A part of the user's own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Own<'a> {
    /// Section of the part file.
    pub section: &'static str,
    /// Its name.
    pub name: &'a str,
    /// Where it stands.
    pub span: Span,
}

/// Names in use, by section.
#[derive(Default)]
struct Used<'a> {
    devices: BTreeSet<&'a str>,
    shells: BTreeSet<&'a str>,
    contacts: BTreeSet<&'a str>,
    lugs: BTreeSet<&'a str>,
    splices: BTreeSet<&'a str>,
    wires: BTreeSet<&'a str>,
    coverings: BTreeSet<&'a str>,
    linings: BTreeSet<&'a str>,
    sundries: BTreeSet<&'a str>,
}

/// Own parts that nothing uses, in the order of the sections.
pub(super) fn left_over<'a>(h: &'a Harness, library: &'a Library) -> Vec<Own<'a>> {
    let mut own = Vec::new();
    macro_rules! each {
        ($($section:ident),+) => {$( all_own(&library.$section, stringify!($section), &mut own); )+};
    }
    each!(devices, shells, contacts, lugs, splices, wires, coverings, linings, sundries);
    // The usual spec has no part file, and nothing need be looked for.
    if own.is_empty() {
        return own;
    }
    let used = used(h, library);
    own.retain(|part| {
        let names = match part.section {
            "devices" => &used.devices,
            "shells" => &used.shells,
            "contacts" => &used.contacts,
            "lugs" => &used.lugs,
            "splices" => &used.splices,
            "wires" => &used.wires,
            "coverings" => &used.coverings,
            "linings" => &used.linings,
            _ => {
                let by_size = library.sundries.look_up(part.name).is_some_and(|(_, s)| s.over.is_some());
                return !by_size && !used.sundries.contains(part.name);
            }
        };
        !names.contains(part.name)
    });
    own
}

fn all_own<'a, T>(shelf: &'a Shelf<T>, section: &'static str, own: &mut Vec<Own<'a>>) {
    let found = shelf.iter().filter_map(|(id, name, _)| Some(Own { section, name, span: shelf.span(id)? }));
    own.extend(found);
}

fn used<'a>(h: &'a Harness, library: &'a Library) -> Used<'a> {
    let mut used = Used::default();
    for device in &h.devices {
        used.devices.extend(device.part.as_deref());
        let shells = device.connectors.iter().flat_map(|c| [c.device_shell, c.harness_shell]);
        used.shells.extend(shells.map(|id| library.shells.name(id)));
        if let DeviceClass::Splice { part: Some(part), .. } = device.class {
            used.splices.insert(library.splices.name(part));
        }
    }
    for hole in &h.holes {
        used.linings.extend(hole.lining.map(|id| library.linings.name(id)));
    }
    for run in &h.runs {
        used.coverings.extend(run.cover.as_ref().map(|c| c.value.as_str()));
    }
    for cable in &h.cables {
        used.wires.insert(library.wires.name(cable.wire));
    }
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        used.wires.insert(library.wires.name(c.wire));
        let insulation = library.wires.get(c.wire).insulation();
        used.coverings.extend(library.marker_sleeve_for(insulation).map(|id| library.coverings.name(id)));
        for pin in [c.from, c.to] {
            held(h, library, pin, WireEnd::of(library, c.wire, c.core).carrying(c.alloy), &mut used);
            // At the gauge a pair ends in copper.
            held(h, library, pin, WireEnd::of(library, c.wire, c.core), &mut used);
        }
    }
    named_by_others(library, &mut used);
    used
}

/// What holds a wire end that is in no cavity.
fn held<'a>(
    h: &Harness,
    library: &'a Library,
    pin: crate::harness::PinId,
    end: WireEnd,
    used: &mut Used<'a>,
) {
    let lug = match &h.pin(pin).site {
        PinSite::Stud(Some(size)) | PinSite::Case(size) => fit::lug(library, *size, end).ok(),
        PinSite::Tab(width) => fit::push_on(library, *width, end).ok(),
        PinSite::BareLead(lead) => {
            let gauges: [Gauge; 2] = [*lead, end.gauge];
            let splice = fit::splice(library, &gauges, end.alloy).ok();
            used.splices.extend(splice.map(|id| library.splices.name(id)));
            None
        }
        _ => None,
    };
    used.lugs.extend(lug.map(|id| library.lugs.name(id)));
}

/// What comes with a part that is used.
fn named_by_others<'a>(library: &'a Library, used: &mut Used<'a>) {
    let shells: Vec<&str> = used.shells.iter().copied().collect();
    for (_, shell) in shells.iter().filter_map(|name| library.shells.look_up(name)) {
        used.shells.insert(shell.mate.as_str());
        used.contacts.extend(shell.contacts.iter().chain(shell.only.values()).map(String::as_str));
        used.sundries.extend(shell.cavity_plug.iter().chain(&shell.backshell).map(String::as_str));
    }
    for (_, wire) in used.wires.iter().filter_map(|name| library.wires.look_up(name)) {
        used.sundries.extend(wire.screen.as_ref().and_then(|s| s.sleeve.as_deref()));
    }
    for (_, splice) in used.splices.iter().filter_map(|name| library.splices.look_up(name)) {
        used.coverings.extend(splice.covering.as_deref());
    }
}
