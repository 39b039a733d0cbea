//! A placed scene in; one self-contained SVG text out. Places nothing, measures nothing.
//!
//! Presentation attributes only, no style sheet, so that browsers, print shops and PDF converters agree.
//! Every tag of the scene is found again as `data-KIND`, and the first group of a thing carries `id`.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::{self, Write as _};

use indexmap::IndexMap;
use svg::Node as _;
use svg::node::Text as Words;
use svg::node::element::Element;

use super::geometry::{Mm, Point};
use super::mark::{Layer, Mark, Tag};
use super::scene::{Anchor, Item, Scene, Shape, Step, Text, Turn};
use super::stroke::{Dash, Paint, Stroke};
use super::typeface::{self, Weight};
use crate::workers;

/// What is lettered in where a viewer does not take the typeface out of the file: families that run narrower, so that words
/// keep clear of each other.
pub(super) const NARROWER: &str = "Arial, Liberation Sans, Helvetica, sans-serif";

/// Choices of the file, none of which moves a line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SvgOptions {
    /// Written before each `id`, so that several drawings can stand in one page.
    pub id_prefix: String,
    /// Carry the letters that are used inside the file: for files that travel alone.
    pub embed_typeface: bool,
}

/// Writes scenes that belong to different files, in their order.
pub fn write_each(scenes: &[&Scene], options: &SvgOptions) -> Vec<String> {
    workers::each(scenes.len(), |n| write(scenes[n], options))
}

/// Writes the scene.
pub fn write(scene: &Scene, options: &SvgOptions) -> String {
    let (width, height) = (scene.size.width, scene.size.height);
    let mut root = Element::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("width", format!("{width}mm"));
    root.assign("height", format!("{height}mm"));
    root.assign("viewBox", format!("0 0 {width} {height}"));
    root.assign("font-family", format!("{}, {NARROWER}", typeface::FAMILY));
    root.assign("fill", "none");
    root.assign("role", "img");
    root.assign("lang", legal(&scene.language));
    for (name, text) in [("title", &scene.title), ("desc", &scene.caution)] {
        if !text.is_empty() {
            root.append(worded(Element::new(name), text));
        }
    }
    if options.embed_typeface {
        root.append(worded(Element::new("style"), &font_faces(scene)));
    }
    if let Some(window) = scene.clip {
        let mut path = element("clipPath", [("id", clip_id(options))]);
        path.append(shape_element(&Shape::Rect { area: window, corner: Mm::ZERO }));
        root.append(path);
    }
    let mut named = BTreeSet::new();
    for (mark, items) in gathered(scene) {
        let mut group = group(mark, &items, options, &mut named);
        if scene.clip.is_some() && mark.layer.is_of_drawing() {
            group.assign("clip-path", format!("url(#{})", clip_id(options)));
        }
        root.append(group);
    }
    format!("{root}\n")
}

fn clip_id(options: &SvgOptions) -> String {
    format!("{}window", options.id_prefix)
}

/// Items of one layer and the same tags stand together, where the first of them stood.
fn gathered(scene: &Scene) -> Vec<(&Mark, Vec<&Item>)> {
    let mut groups: IndexMap<&Mark, Vec<&Item>> = IndexMap::new();
    for item in scene.in_paint_order() {
        groups.entry(&item.mark).or_default().push(item);
    }
    groups.into_iter().collect()
}

fn group(mark: &Mark, items: &[&Item], options: &SvgOptions, named: &mut BTreeSet<Tag>) -> Element {
    let mut group = Element::new("g");
    group.assign("class", mark.layer.word());
    let mut kinds: IndexMap<&'static str, Vec<&str>> = IndexMap::new();
    for tag in mark.tags() {
        kinds.entry(tag.kind.word()).or_default().push(&tag.id);
    }
    for (kind, ids) in kinds {
        let words: Vec<String> = ids.iter().map(|id| word(id)).collect();
        group.assign(format!("data-{kind}"), legal(&words.join(" ")));
    }
    if let Some(own) = mark.tags().first()
        && named.insert(own.clone())
    {
        group.assign("id", format!("{}{}-{}", options.id_prefix, own.kind.word(), id_text(&own.id)));
    }
    for item in items {
        match &item.shape {
            Shape::Text(text) => group.append(text_element(text)),
            shape => {
                let mut drawn = shape_element(shape);
                paint(&mut drawn, item.paint, mark.layer);
                group.append(drawn);
            }
        }
    }
    group
}

/// A name as one word of a list of names: its spaces are written as no-break spaces.
pub fn word(name: &str) -> String {
    name.replace(' ', "\u{a0}")
}

fn shape_element(shape: &Shape) -> Element {
    match shape {
        Shape::Line { from, to } => {
            let mut d = format!("M{} {}", from.x, from.y);
            straight(&mut d, *from, *to);
            element("path", [("d", d)])
        }
        Shape::Polyline { points, closed } => {
            let mut d = String::new();
            for (i, point) in points.iter().enumerate() {
                match i.checked_sub(1).and_then(|before| points.get(before)) {
                    None => add(&mut d, format_args!("M{} {}", point.x, point.y)),
                    Some(before) => straight(&mut d, *before, *point),
                }
            }
            if *closed {
                d.push('Z');
            }
            element("path", [("d", d)])
        }
        Shape::Rect { area, corner } => {
            let (at, size) = (area.min, area.extent());
            let measures = [("x", at.x), ("y", at.y), ("width", size.width), ("height", size.height)];
            let mut rect = element("rect", measures.map(|(name, mm)| (name, mm.to_string())));
            if *corner > Mm::ZERO {
                rect.assign("rx", corner.to_string());
            }
            rect
        }
        Shape::Circle { centre, radius } => {
            let measures = [("cx", centre.x), ("cy", centre.y), ("r", *radius)];
            element("circle", measures.map(|(name, mm)| (name, mm.to_string())))
        }
        Shape::Arc { from, to, radius, long } => {
            let long = u8::from(*long);
            let d = format!("M{} {}A{radius} {radius} 0 {long} 1 {} {}", from.x, from.y, to.x, to.y);
            element("path", [("d", d)])
        }
        Shape::Path(steps) => element("path", [("d", outline(steps))]),
        Shape::Text(text) => text_element(text),
    }
}

/// The shortest way to write a straight piece.
fn straight(d: &mut String, from: Point, to: Point) {
    if from.y == to.y {
        add(d, format_args!("H{}", to.x));
    } else if from.x == to.x {
        add(d, format_args!("V{}", to.y));
    } else {
        add(d, format_args!("L{} {}", to.x, to.y));
    }
}

fn outline(steps: &[Step]) -> String {
    let mut d = String::new();
    for step in steps {
        match step {
            Step::Move(p) => add(&mut d, format_args!("M{} {}", p.x, p.y)),
            Step::Line(p) => add(&mut d, format_args!("L{} {}", p.x, p.y)),
            Step::Curve(a, b, c) => {
                add(&mut d, format_args!("C{} {} {} {} {} {}", a.x, a.y, b.x, b.y, c.x, c.y));
            }
            Step::Close => d.push('Z'),
        }
    }
    d
}

fn add(to: &mut String, what: fmt::Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = to.write_fmt(what);
}

fn paint(drawn: &mut Element, paint: Paint, layer: Layer) {
    if let Some(fill) = paint.fill {
        drawn.assign("fill", fill.to_string());
    }
    if let Some(Stroke { width, dash, ink }) = paint.stroke {
        drawn.assign("stroke", ink.to_string());
        drawn.assign("stroke-width", width.width().to_string());
        if dash != Dash::Solid {
            let pattern: Vec<String> = dash.pattern(width).iter().map(Mm::to_string).collect();
            drawn.assign("stroke-dasharray", pattern.join(" "));
        }
        if layer == Layer::Conductor {
            drawn.assign("stroke-linejoin", "round");
        }
    }
}

/// `textLength` holds the measured width, so that a reader's machine without the typeface cannot draw the
/// line any longer than it was placed.
fn text_element(text: &Text) -> Element {
    let mut drawn = element(
        "text",
        [
            ("x", text.at.x.to_string()),
            ("y", text.at.y.to_string()),
            ("font-size", text.lettering.em().to_string()),
            ("fill", text.lettering.ink.to_string()),
            ("textLength", text.width.to_string()),
        ],
    );
    drawn.assign("lengthAdjust", "spacingAndGlyphs");
    match text.anchor {
        Anchor::Start => {}
        Anchor::Middle => drawn.assign("text-anchor", "middle"),
        Anchor::End => drawn.assign("text-anchor", "end"),
    }
    if text.turn == Turn::Up {
        drawn.assign("transform", format!("rotate(-90 {} {})", text.at.x, text.at.y));
    }
    if text.lettering.weight == Weight::Bold {
        drawn.assign("font-weight", "bold");
    }
    worded(drawn, &text.words)
}

fn element<const N: usize>(name: &'static str, attributes: [(&'static str, String); N]) -> Element {
    let mut element = Element::new(name);
    for (name, value) in attributes {
        element.assign(name, value);
    }
    element
}

/// An element that holds words and nothing else.
fn worded(mut element: Element, words: &str) -> Element {
    element.append(Words::new(legal(words)));
    element
}

/// Style rules that carry what the scene uses of the typeface.
fn font_faces(scene: &Scene) -> String {
    let mut letters: BTreeMap<Weight, BTreeSet<char>> = BTreeMap::new();
    for item in scene.items() {
        if let Shape::Text(text) = &item.shape {
            letters.entry(text.lettering.weight).or_default().extend(text.words.chars());
        }
    }
    letters
        .iter()
        .map(|(weight, letters)| typeface::face_rule(*weight, &typeface::cut(*weight, letters)))
        .collect()
}

/// Without the characters XML 1.0 forbids (production 2, Char): each is shown as U+FFFD. Line breaks and tabs
/// become spaces, as a reader of an attribute would make them anyway.
fn legal(text: &str) -> String {
    let keep = |c: char| match c {
        '\t' | '\n' | '\r' => ' ',
        '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
        c => c,
    };
    text.chars().map(keep).collect()
}

/// A name as part of an `id`: one to one, without white space or marks that would need quoting.
fn id_text(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        if c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '+') {
            out.push(c);
        } else {
            add(&mut out, format_args!("%{:X}.", u32::from(c)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::geometry::{Extent, mm};
    use crate::draw::lettering::Lettering;
    use crate::draw::mark::TagKind;

    fn sheet() -> Scene {
        Scene::new(Extent::new(mm(100.0), mm(50.0)))
    }

    fn at(x: f64, y: f64) -> Point {
        Point::new(mm(x), mm(y))
    }

    fn plain(scene: &Scene) -> String {
        write(scene, &SvgOptions::default())
    }

    #[test]
    fn sheet_measures_are_millimetres() {
        let out = plain(&sheet());
        assert!(out.contains(r#"width="100mm""#) && out.contains(r#"viewBox="0 0 100 50""#), "{out}");
    }

    #[test]
    fn names_never_become_markup() {
        let nasty = "<script>alert(1)</script> \"'&]]>\u{0}\u{1b}\u{fffe}\nend";
        let mut scene = sheet();
        scene.title = nasty.into();
        scene.caution = nasty.into();
        scene.language = nasty.into();
        let mark = Mark::new(Layer::Label).with(TagKind::Device, nasty).with(TagKind::Circuit, nasty);
        scene.text(&mark, at(1.0, 1.0), nasty, Lettering::SMALL);
        let out = plain(&scene);
        assert!(!out.contains("<script"), "{out}");
        assert!(!out.contains("]]>"), "{out}");
        assert!(!out.chars().any(|c| c.is_control() && c != '\n'), "{out}");
        assert!(!out.contains('\u{fffe}'), "{out}");
        let read: String = out
            .split('>')
            .filter_map(|p| p.split_once("</text").map(|(words, _)| words))
            .map(|w| w.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"))
            .collect();
        assert_eq!(read, "<script>alert(1)</script> \"'&]]>[U+0000][U+001B][U+FFFE] end");
        // No attribute is left early: quotes inside values are all escaped.
        for value in out.split("=\"").skip(1) {
            let (inside, after) = value.split_once('"').unwrap();
            assert!(!inside.contains('<'), "{inside}");
            assert!(after.starts_with([' ', '>', '/']), "{inside:?} then {after:?}");
        }
    }

    #[test]
    fn a_conductor_is_one_group_with_its_names() {
        let mut scene = sheet();
        let w1 = Mark::new(Layer::Conductor).with(TagKind::Conductor, "W1").with(TagKind::Circuit, "CHT 1");
        let w2 = Mark::new(Layer::Conductor).with(TagKind::Conductor, "W2");
        scene.line(&w1, at(0.0, 1.0), at(9.5, 1.0), Stroke::WIDE);
        scene.line(&w2, at(0.0, 2.0), at(9.0, 2.0), Stroke::WIDE);
        scene.line(&w1, at(9.5, 1.0), at(9.5, 4.0), Stroke::WIDE);
        scene.text(&w1.on(Layer::Label), at(1.0, 0.5), "W1", Lettering::SMALL);
        let out = plain(&scene);
        let head = r#"<g class="conductor" data-circuit="CHT 1" data-conductor="W1" id="conductor-W1">"#;
        assert_eq!(out.matches(head).count(), 1, "{out}");
        assert_eq!(out.matches(r#"id="conductor-W1""#).count(), 1);
        assert_eq!(out.matches(r#"data-conductor="W1""#).count(), 2, "once for the line, once for the label");
        assert!(out.contains(r#"d="M0 1H9.5""#) && out.contains(r#"d="M9.5 1V4""#), "{out}");
    }

    #[test]
    fn ids_are_one_to_one_and_take_a_prefix() {
        assert_eq!(id_text("GAUGE.A.7"), "GAUGE.A.7");
        assert_ne!(id_text("a b"), id_text("a_b"));
        assert_ne!(id_text("%20."), id_text(" "));
        let mut scene = sheet();
        scene.line(
            &Mark::new(Layer::Structure).with(TagKind::Hole, "FH 1"),
            at(0.0, 0.0),
            at(1.0, 0.0),
            Stroke::THIN,
        );
        let out = write(&scene, &SvgOptions { id_prefix: "s1-".into(), embed_typeface: false });
        assert!(out.contains(r#"id="s1-hole-FH%20.1""#), "{out}");
    }

    #[test]
    fn carries_only_the_weights_it_uses() {
        let mut scene = sheet();
        scene.text(&Mark::new(Layer::Label), at(1.0, 5.0), "W1", Lettering::SMALL.bold());
        let out = write(&scene, &SvgOptions { embed_typeface: true, ..SvgOptions::default() });
        assert_eq!(out.matches("@font-face").count(), 1);
        assert!(out.contains("font-weight:bold") && !out.contains("font-weight:normal"));
    }

    #[test]
    fn same_scene_same_bytes() {
        let mut scene = sheet();
        for i in 0..40 {
            let mark = Mark::new(Layer::Conductor).with(TagKind::Conductor, &format!("W{}", i % 7));
            scene.line(&mark, at(0.0, f64::from(i)), at(9.0, f64::from(i)), Stroke::WIDE.dashed(Dash::Chain));
        }
        assert_eq!(plain(&scene), plain(&scene.clone()));
    }
}
