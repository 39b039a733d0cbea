//! What a wiring drawing shows in; the legend that explains it, and nothing else, out.

use std::collections::BTreeSet;

use super::build::Built;
use super::chart::{Node, What};
use super::emblem::Kind;
use super::face::{Glyph, Shape};
use super::flag;
use super::lay::Laid;
use super::onward;
use super::share::Site;
use super::way::Via;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::insulation::{self, Insulation};
use crate::draw::legend::Legend;
use crate::draw::lettering::Lettering;
use crate::draw::mark::Mark;
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::{Dash, Stroke};
use crate::draw::symbols::{self, Facing};
use crate::draw::thermocouple_words::thermocouple_colours;
use crate::harness::{Harness, PinSite};
use crate::trade::colour::{Colour, Hue};

/// The legend for what is drawn.
pub(super) fn legend(site: &Site, laid: &Laid) -> Legend {
    let (h, built, emblems) = (site.h, &laid.built, &laid.emblems);
    let mut legend = Legend::new();
    legend.entry(
        "conductor; over it mark, gauge, letters of its colours (IEC 60757), ground colour first",
        |s, m, a| {
            insulation::conductor(
                s,
                m,
                &across(a, Mm::ZERO),
                Insulation::of(Colour::striped(Hue::White, &[Hue::Blue])),
            );
        },
    );
    let kinds: BTreeSet<Kind> = emblems.iter().map(|e| e.kind).collect();
    for kind in kinds {
        let words = match kind {
            Kind::Screen => {
                "in one screen; a conductor that starts at the oval drains it, from a sleeve where its jacket ends"
            }
            Kind::Jacket => "cores of one cable",
            Kind::Twist => "twisted together",
        };
        legend.entry(words, |s, m, a| {
            for dy in [-1.5, 1.5] {
                s.polyline(m, across(a, mm(dy)).to_vec(), Stroke::WIDE);
            }
            match kind {
                Kind::Screen => _ = symbols::screen(s, m, a.centre(), Facing::Right, mm(3.0)),
                Kind::Jacket => _ = symbols::cable(s, m, a.centre(), Facing::Right, mm(3.0)),
                Kind::Twist => symbols::twist(s, m, a.centre(), Facing::Right, mm(3.0)),
            }
        });
    }
    let slot = |s: &mut Scene, m: &Mark, a: Area, stroke: Stroke| {
        let slot = Area::between(a.centre(), a.centre()).grown(mm(2.5));
        s.rect(m, slot, stroke.inked(Ink::SLATE).filled(Ink::WHITE));
        s.polyline(m, across(a, Mm::ZERO).to_vec(), Stroke::WIDE);
    };
    let crossed = |wanted: fn(&Via) -> bool| {
        let is = |n: &Node| matches!(&n.what, What::Gate(_, via) if wanted(via));
        built.chart.nodes.iter().any(is)
    };
    if crossed(|via| matches!(via, Via::Hole(_))) {
        legend.entry(&hole_words(site, built), |s, m, a| slot(s, m, a, Stroke::MEDIUM));
    }
    let dashed = Stroke::MEDIUM.dashed(Dash::Dashed);
    if crossed(|via| matches!(via, Via::Breach(_))) {
        let words = "no hole: a barrier is passed at that place, and the spec has no hole there";
        legend.entry(words, |s, m, a| slot(s, m, a, dashed));
    }
    if crossed(|via| matches!(via, Via::Open(_))) {
        let words = "way into a zone with no barrier before it: the place, how many conductors pass it";
        legend.entry(words, |s, m, a| slot(s, m, a, dashed));
    }
    if crossed(|via| matches!(via, Via::Unknown)) {
        let words = "no way known: the route leads to no place where these conductors could pass";
        legend.entry(words, |s, m, a| slot(s, m, a, dashed));
    }
    glyphs(&mut legend, h, built);
    let pins = built.chart.rows.iter().flat_map(|r| r.pins).flatten().map(|p| h.pin(p));
    let leads = pins.into_iter().any(|p| matches!(p.site, PinSite::BareLead(_)) && p.colour.is_some());
    if leads {
        legend.entry("lead of the device itself, with the letters of its colour", |s, m, a| {
            let cell = Area::between(a.centre(), a.centre()).grown(mm(2.5));
            let cell = Area::between(cell.min.by(mm(-3.0), Mm::ZERO), cell.max.by(mm(3.0), Mm::ZERO));
            s.rect(m, cell, Stroke::THIN.filled(Ink::WHITE));
            let at = a.centre().by(Mm::ZERO, Lettering::SMALL.height.capital() / 2);
            s.text_at(m, at, "+ YE", Lettering::SMALL, Anchor::Middle, Turn::Level);
        });
    }
    if !site.flags.is_empty() {
        legend.entry("the rest of this device stands on that sheet, in that zone of its grid", |s, m, a| {
            let step = flag::step(0);
            flag::draw(s, m, m, a.centre().by(-step / 2, mm(1.25)), "2/C4", step);
        });
    }
    if !site.onward.is_empty() {
        let words = "a conductor that ends at this pin too and is drawn on that sheet, where the pin stands in that zone";
        legend.entry(words, |s, m, a| {
            let (from, tip) = (a.min.by(mm(1.0), mm(6.0)), Point::new(a.max.x - mm(1.0), a.min.y + mm(6.0)));
            onward::arrow(s, m, from, tip);
            s.text(m, from.by(mm(1.0), mm(-1.2)), "P2A20N", Lettering::SMALL.bold());
        });
    }
    legend
}

/// How the words over a hole are read, after one of those on the sheet that say most.
fn hole_words(site: &Site, built: &Built) -> String {
    let mut words = "hole in a barrier: its name, how many conductors it holds".to_owned();
    let mut parted = None;
    let mut others = None;
    for (i, node) in built.chart.nodes.iter().enumerate() {
        let What::Gate(_, Via::Hole(id)) = node.what else { continue };
        let (here, hole) = (built.chart.rows_of(i).len(), site.h.hole(id));
        let count = site.routing.in_hole.get(id.index()).map_or(here, Vec::len);
        if here < count {
            parted = parted.or(Some((here, count)));
        }
        if hole.others > 0 {
            others = others.or(Some(hole.others));
        }
    }
    if let Some((here, count)) = parted {
        words.push_str(&format!("; {here} of {count}: {here} of these are on this sheet"));
    }
    if let Some(others) = others {
        words.push_str(&format!("; + {others} other: so many of other harnesses besides"));
    }
    words
}

fn glyphs(legend: &mut Legend, h: &Harness, built: &Built) {
    let has = |wanted: fn(&Glyph) -> bool| built.faces.values().filter_map(|f| f.glyph.as_ref()).any(wanted);
    let start = |a: Area| Point::new(a.min.x + mm(4.0), a.centre().y);
    if has(|g| *g == Glyph::Thermocouple) {
        let colours = thermocouple_colours(h).map(|told| format!("; {told}")).unwrap_or_default();
        legend.entry(&format!("thermocouple, the thick line is the negative leg{colours}"), |s, m, a| {
            let at = a.centre().by(mm(-3.0), Mm::ZERO);
            let ends = [mm(-2.0), mm(2.0)].map(|dy| at.by(Mm::ZERO, dy));
            _ = symbols::thermocouple(s, m, ends[0], ends[1], Facing::Right);
        });
    }
    if has(|g| matches!(g, Glyph::Breaker(_))) {
        legend.entry("circuit breaker, its rating beside it", |s, m, a| {
            _ = symbols::breaker(s, m, start(a), Facing::Right);
        });
    }
    if has(|g| matches!(g, Glyph::Fuse(_))) {
        legend.entry("fuse, its rating beside it", |s, m, a| {
            _ = symbols::fuse(s, m, start(a), Facing::Right);
        });
    }
    if has(|g| *g == Glyph::Ground) {
        legend.entry("ground point on a body", |s, m, a| {
            symbols::chassis(s, m, a.centre().by(mm(-3.0), Mm::ZERO), Facing::Right);
        });
    }
    if has(|g| *g == Glyph::Stud) {
        legend.entry("stud or post that several lugs share", |s, m, a| symbols::stud(s, m, a.centre()));
    }
    let shown = |shape: Shape| built.faces.values().any(|f| f.shape == shape);
    if shown(Shape::Sleeve) {
        legend.entry("splice", |s, m, a| symbols::splice(s, m, a.centre(), Facing::Right));
    }
    if shown(Shape::InLine) {
        legend.entry("contacts of a mated connector", |s, m, a| {
            _ = symbols::mated(s, m, a.centre().by(mm(-2.0), Mm::ZERO), Facing::Right);
        });
    }
}

fn across(area: Area, dy: Mm) -> [Point; 2] {
    let y = area.centre().y + dy;
    [Point::new(area.min.x, y), Point::new(area.max.x, y)]
}
