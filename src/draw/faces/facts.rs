//! A connector half in; what is to be known of it before anything is put in out: shell, mate, key, contacts, seal, plugs.

use super::half::Half;
use super::picture;
use crate::draw::block::words;
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::particulars::Particulars;
use crate::draw::thermocouple_words;
use crate::harness::{DeviceClass, Harness};
use crate::parts::library::{ContactPartId, Library, ShellPartId};

const PLAIN: Lettering = Lettering::SMALL;
const ALARM: Lettering = Lettering::SMALL.bold().inked(Ink::ALARM);

/// What halves have in common that are alike: one shell, wired in the same cavities by the same contacts, so that all
/// facts but the name of the mate are the same.
pub(super) type Alike = (ShellPartId, bool, Vec<Vec<Option<ContactPartId>>>);

/// What `half` has in common with those that are like it.
pub(super) fn alike(half: &Half) -> Alike {
    let contacts = half.cavities().map(|c| c.wires.iter().map(|w| w.contact).collect());
    (half.shell, matches!(half.device.class, DeviceClass::InLine { .. }), contacts.collect())
}

/// What is to be known of halves that are alike before anything is put in; `half` is one of them.
pub(super) fn of(h: &Harness, library: &Library, half: &Half, all: &[&Half]) -> Particulars {
    let mark = match all {
        [] | [_] => half.mark(Layer::Label),
        all => {
            Mark::new(Layer::Label).with_all(TagKind::Connector, all.iter().map(|half| half.name.as_str()))
        }
    };
    let part = half.part;
    let plain = |text: &str| words(text, PLAIN, &mark);
    let mut facts = Particulars::new(&mark);
    // The card of several has the name of the shell at its head.
    let name = (all.len() < 2).then(|| words(library.shells.name(half.shell), PLAIN.bold(), &mark));
    facts.say("shell", name.into_iter().chain([plain(&part.title)]).collect());
    let mate = match half.device.class {
        DeviceClass::InLine { .. } if all.len() > 1 => format!("{}, of the same name", part.mate),
        DeviceClass::InLine { .. } => {
            let own = half.name.strip_prefix(&half.device.name).and_then(|n| n.strip_prefix('.'));
            let other = half.device.connectors.iter().find(|c| Some(c.name.as_str()) != own);
            let other = other.map(|c| format!(", {}.{}", half.device.name, c.name)).unwrap_or_default();
            format!("{}{other}", part.mate)
        }
        _ => format!("{}, on the device", part.mate),
    };
    facts.say("mates with", vec![plain(&mate)]);
    if let Some(key) = &part.key {
        facts.say("key", vec![plain(key)]);
    }
    let (all, wired) = (half.cavities().count(), half.cavities().filter(|c| !c.wires.is_empty()).count());
    facts.say("wired", vec![plain(&format!("{wired} of {all} cavities"))]);
    for (contact, cavities) in contacts(half) {
        let Some(contact) = contact else {
            let none = format!("⚠ none of this shell takes the wire in {}", listed(&cavities));
            facts.say("contact", vec![words(&none, ALARM, &mark)]);
            continue;
        };
        let name = words(library.contacts.name(contact), PLAIN.bold(), &mark);
        let mut is = vec![name, plain(&library.contacts.get(contact).title)];
        if cavities.len() < wired {
            is.insert(0, plain(&format!("{}:", listed(&cavities))));
        }
        facts.say("contact", is);
    }
    if half.cavities().any(|c| picture::is_one_way(library, c)) {
        let stop = "⚠ one-way contacts, in a square: check the cavity before the push";
        facts.say("stop", vec![words(stop, ALARM, &mark)]);
    }
    if let Some(told) = thermocouple_words::of(h, half.wires().map(|wire| h.conductor(wire.id).alloy)) {
        facts.say("polarity", vec![words(&told, ALARM, &mark)]);
    }
    if let Some(seal) = part.seal {
        let units = h.header.units;
        let (low, high) = (seal.low().show(units), seal.high().show(units));
        facts.say("seal", vec![plain(&format!("closes on wires of {low} to {high}"))]);
    }
    if let Some(plug) = part.cavity_plug.as_ref().filter(|_| wired < all) {
        facts.say("plug", vec![plain(&format!("{plug} in each empty cavity"))]);
    }
    if let Some(backshell) = &part.backshell {
        facts.say("backshell", vec![plain(backshell)]);
    }
    facts
}

/// Each contact with the cavities that it goes into, in the order of the face; None: no contact takes the wire.
fn contacts<'a>(half: &'a Half) -> Vec<(Option<ContactPartId>, Vec<&'a str>)> {
    let mut all: Vec<(Option<ContactPartId>, Vec<&str>)> = Vec::new();
    for cavity in half.cavities() {
        for wire in &cavity.wires {
            match all.iter_mut().find(|(contact, _)| *contact == wire.contact) {
                Some((_, cavities)) if cavities.last() == Some(&cavity.name) => {}
                Some((_, cavities)) => cavities.push(cavity.name),
                None => all.push((wire.contact, vec![cavity.name])),
            }
        }
    }
    all
}

/// `3, 7 to 12`; names that are no numbers as they are.
pub(super) fn listed(names: &[&str]) -> String {
    let Ok(mut numbers) = names.iter().map(|n| n.parse::<u32>()).collect::<Result<Vec<_>, _>>() else {
        return names.join(", ");
    };
    numbers.sort_unstable();
    let mut parts: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match parts.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(number) => *last = number,
            _ => parts.push((number, number)),
        }
    }
    let said = |(first, last): &(u32, u32)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    };
    parts.iter().map(said).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn numbers_in_a_row_are_told_as_one() {
        assert_eq!(listed(&["13", "3", "12", "11", "4", "9"]), "3, 4, 9, 11 to 13");
        assert_eq!(listed(&["minus", "plus"]), "minus, plus");
        assert_eq!(listed(&[]), "");
    }
}
