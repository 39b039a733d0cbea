//! A placed scene in; what a drawing office would send back out: overlaps, lettering on lines, wires that
//! cannot be told apart, things outside the frame. Measures, changes nothing.

pub(super) mod meet;
mod survey;

use std::fmt;

use super::geometry::Point;
use super::scene::Scene;

/// What is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DefectKind {
    /// Two lines of lettering share ink.
    TextOnText,
    /// Lettering touches a line, its own included: it belongs beside it.
    TextOnLine,
    /// Lettering stands in the box of a device that it does not belong to.
    TextInForeignBox,
    /// Two conductors lie on one another.
    SharedLane,
    /// Two conductors run side by side too close to be told apart.
    CrowdedLane,
    /// A conductor ends or bends on another one where no symbol says that they are joined.
    FalseJoint,
    /// A conductor runs through a device's box.
    WireThroughBox,
    /// Two devices' boxes overlap.
    BoxOnBox,
    /// Something lies outside the frame, or off the sheet.
    OutsideFrame,
    /// Something lies on the title block or the banner.
    OnReservedPlace,
}

/// One thing wrong, with both items concerned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Defect {
    /// What is wrong.
    pub kind: DefectKind,
    /// The item, by its number in the scene, and what it is.
    pub first: (usize, String),
    /// The other item, where there is one.
    pub second: Option<(usize, String)>,
    /// Where on the sheet.
    pub at: Point,
}

impl fmt::Display for Defect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} at {} mm, {} mm: {}", self.kind, self.at.x, self.at.y, self.first.1)?;
        match &self.second {
            Some((_, other)) => write!(f, " and {other}"),
            None => Ok(()),
        }
    }
}

/// Everything measured.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// What is wrong, in the order of the scene's items.
    pub defects: Vec<Defect>,
    /// How often a conductor crosses another one: no fault, but fewer are better.
    pub crossings: usize,
}

impl Report {
    /// How many defects of this kind.
    pub fn count(&self, kind: DefectKind) -> usize {
        self.defects.iter().filter(|d| d.kind == kind).count()
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for defect in &self.defects {
            writeln!(f, "{defect}")?;
        }
        write!(f, "{} defects, {} crossings", self.defects.len(), self.crossings)
    }
}

/// Measures a scene. What is seen through its window was measured on the sheet that it is a part of, and the signs that join
/// the parts lie on it on purpose; so it is left out here. Costs about as much as the scene has items, on any drawing that is not all overlaps.
pub fn audit(scene: &Scene) -> Report {
    survey::survey(scene)
}

#[cfg(test)]
mod tests;
