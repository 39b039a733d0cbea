//! A device part in; faults of its connectors, terminals, ports and links out.

use std::collections::BTreeMap;

use super::{Report, scale};
use crate::parts::library::Library;
use crate::parts::model::{DevicePart, Point, Port, Terminal};
use crate::parts::words::{PortKind, Role, Style};
use crate::quantity::Current;
use crate::trade::thermocouple_colour::Alloy;

pub(super) fn check(library: &Library, _: &str, device: &DevicePart, report: &mut Report<'_>) {
    connectors(library, device, report);
    for (name, terminal) in &device.terminals {
        check_terminal(library, device, name, terminal, report);
    }
    ports(library, device, report);
    links(library, device, report);
    let has_leads = device.terminals.values().any(|t| t.bare_lead.is_some());
    if has_leads && device.lead.is_none() {
        report.fault(&["terminals"], "has bare lead ends and no `lead`", "add the length of its leads");
    }
}

fn connectors(library: &Library, device: &DevicePart, report: &mut Report<'_>) {
    for (name, connector) in &device.connectors {
        if name.contains('.') {
            let what = format!("has a connector `{name}` with a dot in its name");
            report.fault(&["connectors", name], what, "leave the dot out: it parts connector and cavity");
        }
        let Some((_, shell)) = library.shells.look_up(&connector.shell) else {
            let path = ["connectors", name.as_str(), "shell"];
            report.unknown(&path, "shell", &connector.shell, library.shells.names());
            continue;
        };
        for mark in connector.alloys.keys().filter(|mark| !shell.has_cavity(&mark.0)) {
            let what =
                format!("gives an alloy for `{name}.{mark}`, and `{}` has no such cavity", connector.shell);
            report.fault(&["connectors", name, "alloys"], what, "name a cavity of the shell");
        }
    }
}

fn check_terminal(
    library: &Library,
    device: &DevicePart,
    name: &str,
    terminal: &Terminal,
    report: &mut Report<'_>,
) {
    let path = ["terminals", name];
    let given = [
        terminal.stud.is_some(),
        terminal.tab.is_some(),
        terminal.bare_lead.is_some(),
        terminal.case.is_some(),
    ];
    let given = given.iter().filter(|is| **is).count();
    if given != 1 {
        let what = format!("says {given} of `stud`, `tab`, `bare-lead` and `case` for terminal `{name}`");
        report.fault(&path, what, "say exactly one");
    }
    if name.contains('.') || device.connectors.contains_key(name) {
        let what = format!("has a terminal `{name}`, which reads like a connector");
        report.fault(&path, what, "name it otherwise");
    }
    if name == DevicePart::CASE && terminal.case.is_none() {
        report.fault(
            &path,
            "has a terminal `case` that is not the case",
            "write `{case: …}`, or name it otherwise",
        );
    }
    let alloy = terminal.alloy.unwrap_or(Alloy::Copper);
    let offered = |stud, tab| {
        let fits = |lug: &crate::parts::model::LugPart| lug.stud == stud && lug.tab == tab;
        library.lugs.iter().any(|(_, _, lug)| fits(lug) && lug.alloy.unwrap_or(Alloy::Copper) == alloy)
    };
    if let Some(stud) = terminal.stud.or(terminal.case).filter(|stud| !offered(Some(*stud), None)) {
        let what =
            format!("needs a {} ring lug for a {stud} stud at `{name}`, and there is none", alloy.name());
        report.fault(&path, what, "define one among `lugs` of a part file");
    }
    if let Some(width) = terminal.tab.filter(|width| !offered(None, Some(*width))) {
        let what =
            format!("needs a {} terminal for a {width} blade at `{name}`, and there is none", alloy.name());
        report.fault(&path, what, "define one among `lugs` of a part file");
    }
}

/// False, and a fault, where the reference leads nowhere.
fn leads_somewhere(
    library: &Library,
    device: &DevicePart,
    reference: &str,
    path: &[&str],
    report: &mut Report<'_>,
) -> bool {
    match device.point(reference) {
        Some(Point::Terminal(_)) => true,
        Some(Point::Cavity { name, connector, cavity }) => {
            // A shell that is not there was told already.
            let there = library.shells.look_up(&connector.shell).is_none_or(|(_, s)| s.has_cavity(cavity));
            if !there {
                let what = format!("names pin `{reference}`, and `{name}` has no cavity `{cavity}`");
                report.fault(path, what, format!("name a cavity of `{}`", connector.shell));
            }
            there
        }
        None => {
            let what = format!("names pin `{reference}`, and it has no such connector or terminal");
            report.fault(path, what, "write `A.7` for cavity 7 of connector A, or the name of a terminal");
            false
        }
    }
}

fn ports(library: &Library, device: &DevicePart, report: &mut Report<'_>) {
    let mut holder: BTreeMap<&str, &str> = BTreeMap::new();
    for (name, port) in &device.ports {
        let path = ["ports", name.as_str()];
        if name.contains('.') || device.terminals.contains_key(name) || device.connectors.contains_key(name) {
            let what = format!("has a port `{name}`, which reads like a pin or connector of it");
            report.fault(&path, what, "name the port otherwise");
        }
        roles(device, name, port, report);
        for (role, reference) in &port.pins {
            let path = ["ports", name.as_str(), "pins", role.word()];
            if !leads_somewhere(library, device, reference, &path, report) {
                continue;
            }
            if let Some(other) = holder.insert(reference, name) {
                let what = format!("gives pin `{reference}` to `{other}` and to `{name}`");
                report.fault(&path, what, "give each pin to one role of one port");
            }
        }
        alloys(device, name, port, report);
        scale::check(name, port, report);
        if let Some(current) = port.current.filter(|current| *current <= Current::ZERO) {
            let what = format!("has a port `{name}` with a current of {current}");
            report.fault(&["ports", name, "current"], what, "write what flows in service, or leave it out");
        }
    }
}

fn roles(device: &DevicePart, name: &str, port: &Port, report: &mut Report<'_>) {
    let path = ["ports", name, "pins"];
    let kinds: Vec<PortKind> = std::iter::once(port.kind).chain(port.also.iter().copied()).collect();
    for role in port.kind.roles().iter().filter(|role| !port.pins.contains_key(*role)) {
        let what = format!("has no `{}` for port `{name}` ({})", role.word(), port.kind.words());
        report.fault(&path, what, "add the pin, or change the kind");
    }
    let known = |role: &Role| {
        kinds.iter().any(|kind| kind.roles().contains(role) || kind.further_roles().contains(role))
    };
    for role in port.pins.keys().filter(|role| !known(role)) {
        let what = format!("has a `{}` in port `{name}`, and {} has none", role.word(), port.kind.words());
        report.fault(&["ports", name, "pins", role.word()], what, "take it out, or change the kind");
    }
    for role in port.may_float.iter().filter(|role| !port.pins.contains_key(*role)) {
        let what = format!("lets `{}` of port `{name}` float, and the port has no such pin", role.word());
        report.fault(&["ports", name, "may-float"], what, "take it out, or add the pin");
    }
    let repeated = kinds.iter().enumerate().any(|(i, kind)| kinds.iter().skip(i + 1).any(|k| k == kind));
    if repeated {
        report.fault(
            &["ports", name, "also"],
            format!("names a kind twice for port `{name}`"),
            "name each kind once",
        );
    }
    let by_case = matches!(port.kind, PortKind::Resistance | PortKind::Pulse);
    let is_sender = !matches!(device.style, Style::Indicator | Style::Converter);
    if is_sender && by_case && !port.pins.contains_key(&Role::Return) && !device.case_grounds {
        let what = format!("has no return for port `{name}`");
        report.fault(&path, what, "add the pin, or `case-grounds: true` where the case is the return");
    }
}

/// A thermocouple ends in its own alloys at a probe, and in copper at an indicator, where the reference junction is.
/// Everything else is copper.
fn alloys(device: &DevicePart, name: &str, port: &Port, report: &mut Report<'_>) {
    let path = ["ports", name, "pins"];
    let alloy_of = |role: Role| {
        let reference = port.pins.get(&role)?;
        Some(device.point(reference)?.alloy())
    };
    let Some(kind) = port.kind.thermocouple() else {
        for (role, _) in &port.pins {
            if let Some(alloy) = alloy_of(*role).filter(|alloy| *alloy != Alloy::Copper) {
                let what = format!("has `{}` of {} in port `{name}`", role.word(), alloy.name());
                report.fault(&path, what, format!("{} is wired in copper", port.kind.words()));
            }
        }
        return;
    };
    let (Some(plus), Some(minus)) = (alloy_of(Role::Plus), alloy_of(Role::Minus)) else { return };
    let reads = matches!(device.style, Style::Indicator | Style::Converter);
    let reference_junction = (plus, minus) == (Alloy::Copper, Alloy::Copper) && reads;
    if !reference_junction && (plus, minus) != (kind.positive(), kind.negative()) {
        let what = format!(
            "has {} and {} at `plus` and `minus` of port `{name}`, and type {} is {} and {}",
            plus.name(),
            minus.name(),
            kind.letter(),
            kind.positive().name(),
            kind.negative().name()
        );
        report.fault(&path, what, "give `alloy` of the terminals, or `alloys` of the connector");
    }
}

fn links(library: &Library, device: &DevicePart, report: &mut Report<'_>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (group, pins) in device.links.iter().enumerate() {
        if pins.len() < 2 {
            report.fault(
                &["links"],
                "has a link of fewer than two pins",
                "name what is joined, or take it out",
            );
        }
        for reference in pins {
            let is_case = reference == DevicePart::CASE;
            if is_case && !device.case_grounds {
                let what = "joins pins to its case, and its case grounds nothing";
                report.fault(&["links"], what, "add `case-grounds: true`, or take `case` out");
            }
            if !is_case {
                leads_somewhere(library, device, reference, &["links"], report);
            }
            if let Some(first) = seen.insert(reference, group) {
                let what = format!(
                    "joins `{reference}` twice{}",
                    if first == group { "" } else { ", in two links" }
                );
                report.fault(&["links"], what, "write everything that is joined in one link");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::told;

    fn device(rest: &str) -> Vec<String> {
        told(&format!("devices:\n  own: {{title: t, {rest}}}\n"))
    }

    #[test]
    fn a_sound_device_passes() {
        let gauge = "style: indicator, connectors: {A: {shell: dsub-9-pin}}, \
            ports: {cht: {kind: thermocouple-k, pins: {plus: A.1, minus: A.6}}}, links: [[A.1, A.2]]";
        assert_eq!(device(gauge), [""; 0]);
    }

    #[test]
    fn pins_lead_somewhere_and_belong_to_one_port() {
        let ports = "style: indicator, connectors: {A: {shell: dsub-9-pin}}, ports: {\
            a: {kind: resistance, pins: {signal: A.1, return: A.10}}, \
            b: {kind: resistance, pins: {signal: A.1}}, c: {kind: ground, pins: {ground: B.1}}}";
        assert_eq!(
            device(ports),
            [
                "ports/a/pins/return: `own` names pin `A.10`, and `A` has no cavity `10`",
                "ports/b/pins/signal: `own` gives pin `A.1` to `a` and to `b`",
                "ports/c/pins/ground: `own` names pin `B.1`, and it has no such connector or terminal",
            ]
        );
    }

    #[test]
    fn roles_are_those_of_the_kind() {
        let ports = "style: sender, lead: 1 m, terminals: {x: {bare-lead: 22 AWG}, y: {bare-lead: 22 AWG}}, \
            ports: {a: {kind: excited-voltage, may-float: [plus], pins: {signal: x, pulse: y}}}";
        assert_eq!(
            device(ports),
            [
                "ports/a/pins: `own` has no `excitation` for port `a` (excited voltage)",
                "ports/a/pins: `own` has no `return` for port `a` (excited voltage)",
                "ports/a/pins/pulse: `own` has a `pulse` in port `a`, and excited voltage has none",
                "ports/a/may-float: `own` lets `plus` of port `a` float, and the port has no such pin",
            ]
        );
    }

    #[test]
    fn a_probe_says_its_alloys() {
        let probe = |p: &str, m: &str| {
            device(&format!(
                "style: probe, terminals: {{plus: {{stud: '#8'{p}}}, minus: {{stud: '#8'{m}}}}}, \
                ports: {{r: {{kind: thermocouple-k, pins: {{plus: plus, minus: minus}}}}}}"
            ))
        };
        assert_eq!(probe(", alloy: chromel", ", alloy: alumel"), [""; 0]);
        assert_eq!(
            probe("", ", alloy: chromel"),
            [
                "ports/r/pins: `own` has copper and chromel at `plus` and `minus` of port `r`, and type K is chromel and alumel"
            ]
        );
        assert_eq!(probe("", "").len(), 1);
    }

    #[test]
    fn terminals_are_one_thing_that_a_lug_fits() {
        let terminals = "style: other, terminals: {a: {stud: '#8', tab: 6.3 mm}, b: {}, c: {stud: 1/2 in}, \
            d: {tab: 9 mm}, e: {bare-lead: 22 AWG}, case: {stud: '#8'}}";
        assert_eq!(
            device(terminals),
            [
                "terminals/a: `own` says 2 of `stud`, `tab`, `bare-lead` and `case` for terminal `a`",
                "terminals/b: `own` says 0 of `stud`, `tab`, `bare-lead` and `case` for terminal `b`",
                "terminals/c: `own` needs a copper ring lug for a 1/2 in stud at `c`, and there is none",
                "terminals/d: `own` needs a copper terminal for a 9 mm blade at `d`, and there is none",
                "terminals/case: `own` has a terminal `case` that is not the case",
                "terminals: `own` has bare lead ends and no `lead`",
            ]
        );
    }

    #[test]
    fn one_wire_senders_return_by_their_case() {
        let sender = |more: &str| {
            device(&format!(
                "style: sender, terminals: {{s: {{stud: '#8'}}}}{more}, ports: {{r: {{kind: resistance, pins: {{signal: s}}}}}}"
            ))
        };
        assert_eq!(sender(""), ["ports/r/pins: `own` has no return for port `r`"]);
        assert_eq!(sender(", case-grounds: true, links: [[s, case]]"), [""; 0]);
        assert_eq!(
            sender(", links: [[s, case], [s]]").len(),
            4,
            "no case, a link of one, `s` twice, no return"
        );
    }
}
