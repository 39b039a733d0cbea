//! A device part laid out as pins, once for all devices of that part.

use std::collections::HashMap;
use std::sync::Arc;

use super::{PinSite, Port, PortBuild};
use crate::parts::library::{Library, ShellPartId};
use crate::parts::model::{DevicePart, ShellPart};
use crate::parts::words::Role;
use crate::trade::colour::Colour;
use crate::trade::thermocouple_colour::Alloy;

/// A pin of a part; its number in the part is its place in [`Template::pins`].
pub(super) struct TemplatePin {
    /// Reference within the device: `A.7`, `plus`.
    pub name: String,
    pub site: PinSite,
    pub alloy: Alloy,
    pub colour: Option<Colour>,
    pub port: Option<(u32, Role)>,
}

/// A part laid out.
pub(super) struct Template {
    pub pins: Vec<TemplatePin>,
    /// Ports, with numbers of pins.
    pub ports: Vec<Port<u32>>,
    /// Name, shell on the device, shell of the harness.
    pub connectors: Vec<(String, ShellPartId, ShellPartId)>,
    pub links: Vec<Vec<u32>>,
    /// Pins that are the case, or are joined to it inside.
    pub on_case: Vec<u32>,
    /// Number of a pin by its name.
    pub pin_by_name: HashMap<String, u32>,
    /// Index of a port by its name.
    pub port_by_name: HashMap<String, u32>,
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Cavity marks of a shell in counting order: numbers by value, then letters.
pub(super) fn cavities(shell: &ShellPart) -> Vec<String> {
    let mut marks: Vec<String> = shell.face.rows.iter().flatten().map(|label| label.0.clone()).collect();
    marks.sort_by(|a, b| {
        let key = |s: &String| (s.parse::<u32>().map_or((1, 0), |n| (0, n)), s.clone());
        key(a).cmp(&key(b))
    });
    marks
}

impl Template {
    /// Lays `part` out. What the part file's own check would object to is left out.
    pub(super) fn of(part: &DevicePart, library: &Library) -> Template {
        let mut made = Template {
            pins: Vec::new(),
            ports: Vec::new(),
            connectors: Vec::new(),
            links: Vec::new(),
            on_case: Vec::new(),
            pin_by_name: HashMap::new(),
            port_by_name: HashMap::new(),
        };
        for (name, connector) in &part.connectors {
            let Some((device_shell, shell)) = library.shells.look_up(&connector.shell) else { continue };
            let Some(harness_shell) = library.shells.find(&shell.mate) else { continue };
            let index = count(made.connectors.len());
            made.connectors.push((name.clone(), device_shell, harness_shell));
            for cavity in cavities(shell) {
                let alloy = connector.alloys.iter().find(|(mark, _)| mark.0 == cavity).map(|(_, a)| *a);
                let site = PinSite::Cavity { connector: index, cavity: cavity.clone() };
                made.pin(format!("{name}.{cavity}"), site, alloy, None);
            }
        }
        for (name, terminal) in &part.terminals {
            let site = match (terminal.stud, terminal.tab, terminal.bare_lead, terminal.case) {
                (Some(size), ..) => PinSite::Stud(Some(size)),
                (_, Some(width), ..) => PinSite::Tab(width),
                (_, _, Some(gauge), _) => PinSite::BareLead(gauge),
                (_, _, _, Some(size)) => PinSite::Case(size),
                _ => PinSite::Stud(None),
            };
            made.pin(name.clone(), site, terminal.alloy, terminal.colour);
        }
        for (name, port) in &part.ports {
            let index = count(made.ports.len());
            let mut pins = Vec::with_capacity(port.pins.len());
            for (role, reference) in &port.pins {
                let Some(number) = made.pin_by_name.get(reference).copied() else { continue };
                pins.push((*role, number));
                if let Some(pin) = made.pins.get_mut(number as usize) {
                    pin.port = Some((index, *role));
                }
            }
            made.port_by_name.insert(name.clone(), index);
            let build = PortBuild {
                name: name.clone(),
                kind: port.kind,
                also: port.also.clone(),
                measures: port.measures,
                may_float: port.may_float.clone(),
                required: port.required,
                current: port.current,
                scale: port.scale.clone(),
                tolerance: port.tolerance,
                bias: port.bias,
                single_ended: port.single_ended,
            };
            made.ports.push(Port { pins, build: Arc::new(build) });
        }
        let cases = made.pins.iter().zip(0_u32..).filter(|(p, _)| matches!(p.site, PinSite::Case(_)));
        made.on_case = cases.map(|(_, number)| number).collect();
        for group in &part.links {
            let pins: Vec<u32> = group.iter().filter_map(|r| made.pin_by_name.get(r).copied()).collect();
            if group.iter().any(|r| r == DevicePart::CASE) {
                made.on_case.extend(&pins);
            }
            made.links.push(pins);
        }
        made.on_case.sort_unstable();
        made.on_case.dedup();
        made
    }

    fn pin(&mut self, name: String, site: PinSite, alloy: Option<Alloy>, colour: Option<Colour>) {
        self.pin_by_name.insert(name.clone(), count(self.pins.len()));
        self.pins.push(TemplatePin { name, site, alloy: alloy.unwrap_or(Alloy::Copper), colour, port: None });
    }
}
