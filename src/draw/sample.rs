//! A sheet with one of everything, for eyes and for the tests: written to tests/draw/sample_sheet.svg, and
//! compared with it byte for byte. All names on it are invented.

use super::geometry::{Area, Extent, Mm, Point, mm};
use super::insulation::{self, Insulation};
use super::legend::Legend;
use super::lettering::Lettering;
use super::mark::{Layer, Mark, TagKind};
use super::palette::Ink;
use super::scene::{Anchor, Scene, Turn};
use super::sheet::{Format, Sheet};
use super::stroke::{Dash, Stroke};
use super::symbols::{self, Facing};
use super::title_block::{CAUTION, TitleBlock};
use super::{svg_out, typeface};
use crate::trade::colour::{Colour, GREEN_AND_YELLOW, Hue};

type Drawer = fn(&mut Scene, &Mark, Point);

const SYMBOLS: [(&str, Drawer); 16] = [
    ("junction", |s, m, p| symbols::junction(s, m, p)),
    ("terminal", |s, m, p| symbols::terminal(s, m, p)),
    ("stud, several terminals", |s, m, p| symbols::stud(s, m, p)),
    ("splice", |s, m, p| symbols::splice(s, m, p, Facing::Right)),
    ("earth", |s, m, p| symbols::earth(s, m, p.by(mm(0.0), mm(-2.5)), Facing::Down)),
    ("protective earth", |s, m, p| symbols::protective_earth(s, m, p.by(mm(0.0), mm(-4.0)), Facing::Down)),
    ("frame, chassis", |s, m, p| symbols::chassis(s, m, p.by(mm(0.0), mm(-2.5)), Facing::Down)),
    ("fuse", |s, m, p| drop_end(symbols::fuse(s, m, p.by(mm(-5.0), mm(0.0)), Facing::Right))),
    ("circuit breaker", |s, m, p| drop_end(symbols::breaker(s, m, p.by(mm(-5.0), mm(0.0)), Facing::Right))),
    ("resistor", |s, m, p| drop_end(symbols::resistor(s, m, p.by(mm(-5.0), mm(0.0)), Facing::Right))),
    ("lamp", |s, m, p| drop_end(symbols::lamp(s, m, p.by(mm(-5.0), mm(0.0)), Facing::Right))),
    ("plug and socket", |s, m, p| drop_end(symbols::mated(s, m, p.by(mm(-2.0), mm(0.0)), Facing::Right))),
    ("thermocouple, negative thick", |s, m, p| {
        let (plus, minus) = (p.by(mm(-3.0), mm(-2.0)), p.by(mm(-3.0), mm(2.0)));
        drop_end(symbols::thermocouple(s, m, plus, minus, Facing::Right));
    }),
    ("screen", |s, m, p| drop_end(symbols::screen(s, m, p, Facing::Right, mm(4.0)))),
    ("twisted conductors", |s, m, p| {
        for across in [-1.5, 1.5] {
            s.line(m, p.by(mm(-6.0), mm(across)), p.by(mm(6.0), mm(across)), Stroke::WIDE);
        }
        symbols::twist(s, m, p, Facing::Right, mm(3.0));
    }),
    ("coaxial pair", |s, m, p| symbols::coaxial(s, m, p, Facing::Right)),
];

fn drop_end(_: Point) {}

/// The sheet's title block.
fn block() -> TitleBlock {
    TitleBlock {
        owner: "Invented Workshop, Example Field".into(),
        title: "Engine gauge loom, left engine".into(),
        supplementary: "Wiring, engine side of the firewall".into(),
        number: "X2-77-10".into(),
        revision: "B".into(),
        sheet: 2,
        sheets: 5,
        document_type: "Wiring diagram".into(),
        cautions: vec![CAUTION.into(), "Invented example: build nothing from it.".into()],
        ..TitleBlock::default()
    }
}

/// One of everything on an A3 sheet.
pub fn scene() -> Scene {
    let [_, a3, ..] = Format::series();
    let sheet =
        Sheet::on(a3, &block(), Some("BUILT DESPITE FINDINGS: 2 stop, 1 doubt. See the findings sheet."));
    let mut scene = sheet.scene();
    let origin = sheet.drawing.min;
    draw_devices(&mut scene, origin);
    draw_symbols(&mut scene, origin.by(mm(240.0), mm(4.0)));
    draw_colours(&mut scene, origin.by(mm(0.0), mm(96.0)));
    if let Some(free) = sheet.beside_block {
        let legend = legend();
        let height = legend.measure(free.width()).height;
        legend.draw(&mut scene, Point::new(free.min.x, free.max.y - height), free.width());
    }
    scene
}

fn draw_devices(scene: &mut Scene, origin: Point) {
    let zone = Mark::new(Layer::Underlay).with(TagKind::Zone, "engine");
    scene.rect(&zone, Area::at(origin, Extent::new(mm(225.0), mm(86.0))), Ink::SAND);
    let words = origin.by(mm(3.0), mm(6.0));
    scene.text(&zone.on(Layer::Label), words, "zone engine, 120 °C", Lettering::PLAIN.inked(Ink::SLATE));
    let bulkhead = Mark::new(Layer::Structure).with(TagKind::Barrier, "firewall");
    let x = origin.x + mm(112.0);
    let (top, bottom) = (Point::new(x, origin.y + mm(8.0)), Point::new(x, origin.y + mm(84.0)));
    for (from, to) in
        [(top, Point::new(x, origin.y + mm(22.0))), (Point::new(x, origin.y + mm(74.0)), bottom)]
    {
        scene.line(&bulkhead, from, to, Stroke::BAR.dashed(Dash::Chain));
    }
    let at = Point::new(x - mm(2.0), origin.y + mm(84.0));
    scene.text_at(&bulkhead.on(Layer::Label), at, "firewall", Lettering::SMALL, Anchor::Start, Turn::Up);

    let gauge = Mark::new(Layer::Device).with(TagKind::Device, "GAUGE");
    let left = Area::at(origin.by(mm(8.0), mm(14.0)), Extent::new(mm(46.0), mm(66.0)));
    let right = Area::at(origin.by(mm(176.0), mm(14.0)), Extent::new(mm(46.0), mm(66.0)));
    scene.rect(&gauge, left, Stroke::MEDIUM.filled(Ink::BONE));
    let probe = Mark::new(Layer::Device).with(TagKind::Device, "CHT1");
    scene.rect(&probe, right, Stroke::MEDIUM.filled(Ink::BONE));
    for (mark, area, name, what) in
        [(&gauge, left, "GAUGE", "engine gauge"), (&probe, right, "CHT1", "cylinder head, type K")]
    {
        let at = area.min.by(mm(2.0), mm(6.0));
        scene.text(&mark.on(Layer::Label), at, name, Lettering::PLAIN.bold());
        scene.text(&mark.on(Layer::Label), at.by(Mm::ZERO, mm(5.0)), what, Lettering::SMALL);
    }
    let conductors = [
        ("W1", "CHT1", "22 AWG YE", Some(Colour::plain(Hue::Yellow))),
        ("W2", "CHT1", "22 AWG RD", Some(Colour::plain(Hue::Red))),
        ("W3", "OILP", "20 AWG WHBU", Colour::striped(Hue::White, &[Hue::Blue])),
        ("W4", "OILP", "20 AWG GNYE", Some(GREEN_AND_YELLOW)),
        ("W5", "GND", "20 AWG", None),
    ];
    for (i, (id, circuit, kind, colour)) in conductors.into_iter().enumerate() {
        let mark = Mark::new(Layer::Conductor).with(TagKind::Conductor, id).with(TagKind::Circuit, circuit);
        let y = origin.y + mm(32.0) + mm(9.0).times(i);
        let drop = mm(4.0);
        let bend = origin.x + mm(130.0) + mm(4.0).times(i);
        let points = [
            Point::new(left.max.x, y),
            Point::new(bend, y),
            Point::new(bend, y + drop),
            Point::new(right.min.x, y + drop),
        ];
        insulation::conductor(scene, &mark, &points, Insulation::of(colour));
        let label = format!("{id}  {kind}");
        let at = Point::new(left.max.x + mm(4.0), y - mm(1.2));
        scene.text(&mark.on(Layer::Label), at, &label, Lettering::SMALL);
        let pin = |at: Point, name: &str, anchor: Anchor, scene: &mut Scene, device: &Mark| {
            let cavity = device.on(Layer::Symbol).with(TagKind::Cavity, name);
            symbols::terminal(scene, &cavity, at);
            let inside = if anchor == Anchor::End { mm(-2.5) } else { mm(2.5) };
            let at = at.by(inside, mm(1.25));
            scene.text_at(&cavity.on(Layer::Label), at, name, Lettering::SMALL, anchor, Turn::Level);
        };
        let pins = ["A.1", "A.2", "A.3", "A.4", "A.5"];
        let name = pins.get(i).copied().unwrap_or("A");
        pin(points[0], name, Anchor::End, scene, &gauge);
        pin(points[3], name, Anchor::Start, scene, &probe);
    }
    let pair = Mark::new(Layer::Symbol).with(TagKind::Cable, "K1");
    let at = Point::new(origin.x + mm(118.0), origin.y + mm(36.5));
    symbols::twist(scene, &pair, at, Facing::Right, mm(9.0));
    symbols::screen(scene, &pair, at.by(mm(6.0), Mm::ZERO), Facing::Right, mm(9.0));
}

fn draw_symbols(scene: &mut Scene, corner: Point) {
    let mark = Mark::new(Layer::Note);
    for (i, (name, draw)) in SYMBOLS.into_iter().enumerate() {
        let (column, row) = (i % 2, i / 2);
        let at = corner.by(mm(10.0) + mm(66.0).times(column), mm(6.0) + mm(12.0).times(row));
        draw(scene, &mark, at);
        scene.text(&mark, at.by(mm(10.0), mm(1.25)), name, Lettering::SMALL);
    }
}

fn draw_colours(scene: &mut Scene, corner: Point) {
    for (i, hue) in Hue::all().enumerate() {
        let mark = Mark::new(Layer::Note);
        let at = corner.by(mm(32.0).times(i % 7), mm(8.0) + mm(10.0).times(i / 7));
        let ends = [at, at.by(mm(20.0), Mm::ZERO)];
        insulation::conductor(scene, &mark, &ends, Insulation::of(Some(Colour::plain(hue))));
        scene.text(&mark, at.by(mm(22.0), mm(1.25)), hue.code(), Lettering::SMALL);
    }
}

fn legend() -> Legend {
    let mut legend = Legend::new();
    let centre = |a: Area| a.centre();
    legend.entry("conductors joined", |s, m, a| symbols::junction(s, m, centre(a)));
    legend.entry("conductors twisted together over their whole length", |s, m, a| {
        symbols::twist(s, m, centre(a), Facing::Right, mm(3.0));
    });
    legend.entry("screen; its drain is joined at one end only", |s, m, a| {
        symbols::screen(s, m, centre(a), Facing::Right, mm(2.0));
    });
    legend.entry("barrier between zones", |s, m, a| {
        s.line(m, Point::new(a.min.x, a.centre().y), Point::new(a.max.x, a.centre().y), Stroke::BAR);
    });
    legend
}

#[test]
fn the_sample_sheet_is_drawn_as_it_was() {
    let drawn = svg_out::write(&scene(), &svg_out::SvgOptions::default());
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/draw/sample_sheet.svg");
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        std::fs::create_dir_all(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/draw")).unwrap();
        std::fs::write(path, &drawn).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap();
    if kept != drawn {
        let diff = similar::TextDiff::from_lines(&kept, &drawn);
        panic!("{}", diff.unified_diff().header("kept", "drawn"));
    }
}

#[test]
fn the_sample_uses_the_typeface_it_measures_with() {
    let drawn = svg_out::write(&scene(), &svg_out::SvgOptions::default());
    assert!(drawn.contains(&format!("font-family=\"{}, {}\"", typeface::FAMILY, svg_out::NARROWER)));
}
