//! A scene in; the content of its page out, item by item in the order of drawing.

use krilla::annotation::{LinkAnnotation, Target as Leads};
use krilla::color::rgb;
use krilla::destination::Destination;
use krilla::geom::{Point as Spot, Rect, Transform};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke as Line, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{GlyphId, KrillaGlyph};

use super::{Fonts, POINTS, Page, destination, millimetres, outline, points};
use crate::draw::geometry::Mm;
use crate::draw::mark::Layer;
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Item, Shape, Text, Turn};
use crate::draw::stroke::{Dash, Stroke};
use crate::draw::typeface;

/// What SVG takes where nothing is said (SVG 2, stroke-miterlimit); the exporters shall agree.
const MITER_LIMIT: f32 = 4.0;

/// Adds a page to a document that will have `pages` of them. False where the format cannot hold its size.
pub(super) fn add(out: &mut krilla::Document, page: &Page<'_>, pages: usize, fonts: &Fonts) -> bool {
    let size = page.scene.size;
    let Some(settings) = PageSettings::from_wh(points(size.width), points(size.height)) else { return false };
    let mut drawn = out.start_page_with(settings);
    let mut surface = drawn.surface();
    surface.push_transform(&Transform::from_scale(POINTS as f32, POINTS as f32));
    for items in page.scene.in_paint_order().chunk_by(|a, b| page.scene.window(a) == page.scene.window(b)) {
        let window = items.first().and_then(|item| page.scene.window(item));
        let edge = window.and_then(|area| outline::path(&Shape::Rect { area, corner: Mm::ZERO }));
        if let Some(edge) = &edge {
            surface.push_clip_path(edge, &FillRule::NonZero);
        }
        for item in items {
            draw(&mut surface, item, fonts);
        }
        if edge.is_some() {
            surface.pop();
        }
    }
    surface.pop();
    surface.finish();
    for link in &page.links {
        let (min, max) = (link.area.min, link.area.max);
        let rect = Rect::from_ltrb(points(min.x), points(min.y), points(max.x), points(max.y));
        if let (Some(rect), Some(to)) = (rect, destination(link.to, pages)) {
            drawn.add_annotation(LinkAnnotation::new(rect, Leads::Destination(Destination::Xyz(to))).into());
        }
    }
    drawn.finish();
    true
}

fn draw(surface: &mut Surface<'_>, item: &Item, fonts: &Fonts) {
    if let Shape::Text(text) = &item.shape {
        return letter(surface, text, fonts);
    }
    let (stroke, fill) = (item.paint.stroke, item.paint.fill);
    // Without either the format would take black.
    if stroke.is_none() && fill.is_none() {
        return;
    }
    if let Some(path) = outline::path(&item.shape) {
        surface.set_fill(fill.map(filled));
        surface.set_stroke(stroke.map(|stroke| line(stroke, item.mark.layer)));
        surface.draw_path(&path);
    }
}

fn colour(ink: Ink) -> rgb::Color {
    rgb::Color::new(ink.red, ink.green, ink.blue)
}

fn filled(ink: Ink) -> Fill {
    Fill { paint: colour(ink).into(), ..Fill::default() }
}

fn line(stroke: Stroke, layer: Layer) -> Line {
    let dash = (stroke.dash != Dash::Solid).then(|| StrokeDash {
        array: stroke.dash.pattern(stroke.width).into_iter().map(millimetres).collect(),
        offset: 0.0,
    });
    Line {
        paint: colour(stroke.ink).into(),
        width: millimetres(stroke.width.width()),
        miter_limit: MITER_LIMIT,
        line_join: if layer == Layer::Conductor { LineJoin::Round } else { LineJoin::Miter },
        dash,
        ..Line::default()
    }
}

/// One line of lettering as one run of text, each letter where it was measured to stand.
fn letter(surface: &mut Surface<'_>, text: &Text, fonts: &Fonts) {
    let weight = text.lettering.weight;
    let em = |units: i64| units as f32 / typeface::UNITS_PER_EM as f32;
    let ends = text.words.char_indices().map(|(start, letter)| start..start + letter.len_utf8());
    let set = typeface::set(&text.words, weight).into_iter().zip(ends);
    let glyphs: Vec<KrillaGlyph> = set
        .map(|(letter, range)| {
            let glyph = GlyphId::new(u32::from(letter.glyph));
            KrillaGlyph::new(glyph, em(letter.advance), 0.0, 0.0, 0.0, range, None)
        })
        .collect();
    let before = match text.anchor {
        Anchor::Start => Mm::ZERO,
        Anchor::Middle => text.width / 2,
        Anchor::End => text.width,
    };
    surface.set_stroke(None);
    surface.set_fill(Some(filled(text.lettering.ink)));
    let font = fonts.of(weight).clone();
    let size = millimetres(text.lettering.em());
    match text.turn {
        Turn::Level => {
            let start = Spot::from_xy(millimetres(text.at.x - before), millimetres(text.at.y));
            surface.draw_glyphs(start, &glyphs, font, &text.words, size, false);
        }
        Turn::Up => {
            // A quarter turn against the clock: what ran to the right runs up.
            let (x, y) = (millimetres(text.at.x), millimetres(text.at.y + before));
            surface.push_transform(&Transform::from_row(0.0, -1.0, 1.0, 0.0, x, y));
            surface.draw_glyphs(Spot::from_xy(0.0, 0.0), &glyphs, font, &text.words, size, false);
            surface.pop();
        }
    }
}
