//! How a line or area is drawn: width class, dash class, ink.
//!
//! Widths follow the series of ISO 128 (each a step of root two); dash patterns are multiples of the line
//! width as in ISO 128-20, table of line types (multiples from memory).

use super::geometry::{Mm, mm};
use super::palette::Ink;

/// A line width of the ISO 128 series, or a width that stands for a measured thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineWidth {
    /// 0.18 mm: hatching inside symbols.
    Hair,
    /// 0.25 mm: leaders, dimensions, zone marks.
    Thin,
    /// 0.35 mm: boxes, symbols.
    Medium,
    /// 0.5 mm: conductors.
    Wide,
    /// 0.7 mm: sheet frame, barriers.
    Frame,
    /// 1 mm: bars and studs.
    Bar,
    /// Drawn to the measure of what it stands for (a bundle), at the drawing's scale.
    Measured(Mm),
}

impl LineWidth {
    /// The width on paper.
    pub const fn width(self) -> Mm {
        match self {
            LineWidth::Hair => mm(0.18),
            LineWidth::Thin => mm(0.25),
            LineWidth::Medium => mm(0.35),
            LineWidth::Wide => mm(0.5),
            LineWidth::Frame => mm(0.7),
            LineWidth::Bar => mm(1.0),
            LineWidth::Measured(width) => width,
        }
    }
}

/// A dash class; lengths are multiples of the line width.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Dash and gap: hidden or later-fitted things, screens.
    Dashed,
    /// Long dash and dot: boundaries, zones, mechanical links.
    Chain,
    /// Dots.
    Dotted,
    /// Dash and a longer gap: a tracer colour on a conductor's ground colour.
    Tracer,
}

impl Dash {
    /// Marks and gaps in turn, for a line of this width; empty for an unbroken line.
    pub fn pattern(self, width: LineWidth) -> Vec<Mm> {
        let units: &[f64] = match self {
            Dash::Solid => &[],
            Dash::Dashed => &[12.0, 3.0],
            Dash::Chain => &[24.0, 3.0, 0.5, 3.0],
            Dash::Dotted => &[1.0, 3.0],
            Dash::Tracer => &[6.0, 9.0],
        };
        units.iter().map(|u| width.width().scaled(*u)).collect()
    }
}

/// A drawn line's width, dash and ink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Stroke {
    /// Width class.
    pub width: LineWidth,
    /// Dash class.
    pub dash: Dash,
    /// Ink.
    pub ink: Ink,
}

impl Stroke {
    /// Unbroken black 0.18 mm.
    pub const HAIR: Stroke = Stroke::black(LineWidth::Hair);
    /// Unbroken black 0.25 mm.
    pub const THIN: Stroke = Stroke::black(LineWidth::Thin);
    /// Unbroken black 0.35 mm.
    pub const MEDIUM: Stroke = Stroke::black(LineWidth::Medium);
    /// Unbroken black 0.5 mm.
    pub const WIDE: Stroke = Stroke::black(LineWidth::Wide);
    /// Unbroken black 0.7 mm.
    pub const FRAME: Stroke = Stroke::black(LineWidth::Frame);
    /// Unbroken black 1 mm.
    pub const BAR: Stroke = Stroke::black(LineWidth::Bar);

    const fn black(width: LineWidth) -> Stroke {
        Stroke { width, dash: Dash::Solid, ink: Ink::BLACK }
    }

    /// The same with another dash class.
    pub const fn dashed(self, dash: Dash) -> Stroke {
        Stroke { dash, ..self }
    }

    /// The same in another ink.
    pub const fn inked(self, ink: Ink) -> Stroke {
        Stroke { ink, ..self }
    }

    /// The same at a measured width.
    pub const fn measured(self, width: Mm) -> Stroke {
        Stroke { width: LineWidth::Measured(width), ..self }
    }

    /// This outline around an area of `fill`.
    pub const fn filled(self, fill: Ink) -> Paint {
        Paint { stroke: Some(self), fill: Some(fill) }
    }
}

/// Outline and fill of a shape; at least one should be there for the shape to be seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Paint {
    /// The outline, if any.
    pub stroke: Option<Stroke>,
    /// The area's ink, if any.
    pub fill: Option<Ink>,
}

impl From<Stroke> for Paint {
    fn from(stroke: Stroke) -> Paint {
        Paint { stroke: Some(stroke), fill: None }
    }
}

impl From<Ink> for Paint {
    fn from(fill: Ink) -> Paint {
        Paint { stroke: None, fill: Some(fill) }
    }
}
