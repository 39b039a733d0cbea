//! Placed wiring sheets in; what is wrong with the signs at pins that lead to other sheets, and with the legend, out.

use std::collections::BTreeMap;

use fairlead::draw::wiring::Wiring;
use fairlead::draw::{Layer, Shape, TagKind};
use fairlead::harness::{DeviceClass, Harness, PinSite};

use crate::wiring::{cells, sheets_of, zone};

/// Pins at which conductors of several sheets end: on each of these sheets those of the others are named, with sheet and zone.
pub fn lost_ends(h: &Harness, sheets: &[Wiring]) -> Vec<String> {
    let on = sheets_of(sheets);
    let mut at: BTreeMap<&str, Vec<(&str, usize)>> = BTreeMap::new();
    for c in &h.conductors {
        for pin in [c.from, c.to] {
            let class = &h.device(h.pin(pin).device).class;
            let one = matches!(class, DeviceClass::InLine { .. } | DeviceClass::Splice { .. });
            if let (Some([sheet]), false, false) =
                (on.get(&c.mark).map(Vec::as_slice), one, matches!(h.pin(pin).site, PinSite::Screen(_)))
            {
                at.entry(&h.pin(pin).name).or_default().push((&c.mark, *sheet));
            }
        }
    }
    let mut faults = Vec::new();
    let mut named = 0;
    for (i, sheet) in sheets.iter().enumerate() {
        for (pin, ends) in at.iter().filter(|(_, ends)| ends.iter().any(|(_, on)| *on == i)) {
            let said: Vec<&str> = sheet
                .scene
                .items()
                .iter()
                .filter(|item| {
                    let tags = item.mark.tags();
                    item.mark.layer == Layer::Label
                        && tags.len() == 1
                        && item.mark.id(TagKind::Cavity) == Some(pin)
                })
                .filter_map(|item| {
                    if let Shape::Text(text) = &item.shape { Some(text.words.as_str()) } else { None }
                })
                .collect();
            // The marks stand there in order, and the sheets behind all of them.
            let (marks, places) = said.split_at(said.len() / 2);
            let mut told: Vec<(String, usize)> = Vec::new();
            for (mark, place) in marks.iter().zip(places) {
                let Some((number, field)) = place.split_once('/') else {
                    faults.push(format!("sheet {}: {pin} says {said:?}", i + 1));
                    continue;
                };
                let to = number.parse::<usize>().unwrap() - 1;
                let found = sheets.get(to).and_then(|s| {
                    let area = cells(&s.scene).get(*pin)?.first().copied()?;
                    let corners = [area.min, area.max, area.centre()].map(|p| zone(s.scene.size, p));
                    Some(corners.iter().any(|z| z == field))
                });
                if to == i || found != Some(true) {
                    faults.push(format!("sheet {}: {pin} with {mark} is not at {place}", i + 1));
                }
                told.push(((*mark).to_owned(), to));
            }
            let mut missing: Vec<(&str, usize)> = ends.iter().copied().filter(|(_, on)| *on != i).collect();
            named += missing.len();
            for (mark, to) in told {
                match mark.strip_suffix(" more").and_then(|n| n.parse::<usize>().ok()) {
                    Some(n) => {
                        let before = missing.len();
                        missing.retain(|(_, on)| *on != to);
                        if before - missing.len() != n {
                            faults.push(format!("sheet {}: {pin} has {mark} on sheet {}", i + 1, to + 1));
                        }
                    }
                    None => missing.retain(|(m, on)| *m != mark || *on != to),
                }
            }
            if !missing.is_empty() {
                faults.push(format!("sheet {}: {pin} does not name {missing:?}", i + 1));
            }
        }
    }
    let arrows = |w: &Wiring| {
        let own = w.scene.items().iter().filter(|i| {
            i.mark.layer == Layer::Symbol && i.mark.tags().len() == 1 && i.mark.id(TagKind::Cavity).is_some()
        });
        own.filter(|i| matches!(i.shape, Shape::Polyline { closed: true, .. })).count()
    };
    if sheets.iter().map(arrows).sum::<usize>() > named {
        faults.push("an arrow leads nowhere".to_owned());
    }
    faults
}

/// Entries of the legend that explain nothing on their sheet, and signs that none explains.
pub fn unexplained(sheet: &Wiring) -> Vec<String> {
    let items = sheet.scene.items();
    let texts = || {
        items
            .iter()
            .filter_map(|i| if let Shape::Text(t) = &i.shape { Some((i, t.words.as_str())) } else { None })
    };
    let legend: String =
        texts().filter(|(i, _)| i.mark.layer == Layer::Note).map(|(_, t)| t).collect::<Vec<_>>().join(" ");
    let labels =
        |wanted: &dyn Fn(&str) -> bool| texts().any(|(i, t)| i.mark.layer == Layer::Label && wanted(t));
    let gate = |t: &str| t.split_once(": ").map(|(_, count)| count.to_owned()).unwrap_or_default();
    let hole = |i: &fairlead::draw::Item| i.mark.id(TagKind::Hole).is_some();
    let over_holes: Vec<String> = texts().filter(|(i, _)| hole(i)).map(|(_, t)| gate(t)).collect();
    let onward = texts().any(|(i, _)| {
        i.mark.layer == Layer::Label && i.mark.tags().len() == 1 && i.mark.id(TagKind::Cavity).is_some()
    });
    let signs = [
        ("hole in a barrier", !over_holes.is_empty()),
        ("of these are on this sheet", over_holes.iter().any(|t| t.contains(" of "))),
        ("of other harnesses besides", over_holes.iter().any(|t| t.contains(" other"))),
        ("no hole: a barrier is passed", labels(&|t| t.starts_with("no hole, "))),
        ("no way known: the route", labels(&|t| t.starts_with("no way known: "))),
        ("a conductor that ends at this pin too", onward),
        (
            "the rest of this device",
            texts().any(|(i, t)| {
                i.mark.layer == Layer::Label
                    && i.mark.id(TagKind::Device).is_some()
                    && t.split_once('/').is_some_and(|(n, z)| {
                        n.parse::<usize>().is_ok()
                            && z.len() < 4
                            && z.starts_with(|c: char| c.is_ascii_uppercase())
                    })
            }),
        ),
    ];
    let wrong = signs.iter().filter(|(words, drawn)| legend.contains(words) != *drawn);
    wrong.map(|(words, drawn)| format!("{words}: drawn {drawn}")).collect()
}
