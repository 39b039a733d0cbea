//! The fields of a title block in; its height and its drawing out.
//!
//! Fields and width (180 mm) by ISO 7200:2004 (from memory). Long values go to smaller lettering, then to
//! more lines; then the block grows. Lettering is never under 2.5 mm.

use super::field::{self, Field, PAD, row_height};
use super::geometry::{Area, Mm, Point, mm};
use super::lettering::{self, Fitted, Height, Lettering};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::{Anchor, Scene};
use super::stroke::Stroke;
use crate::harness::Header;
use crate::quantity::Units;

/// Width of the block. Source: ISO 7200:2004 (from memory).
pub const WIDTH: Mm = mm(180.0);

/// What every paper says of itself, on drawings over the title block.
pub const CAUTION: &str = "Not approved data. The makers' instructions, local regulations and a licensed person's \
                           sign-off come first.";

/// In the place of a scale, where nothing is to be measured on the sheet.
pub const NOT_TO_SCALE: &str = "not to scale";

/// What the title block says. Empty fields stay blank, to be filled by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TitleBlock {
    /// Legal owner of the drawing.
    pub owner: String,
    /// Title.
    pub title: String,
    /// Supplementary title: which sheet of the packet this is.
    pub supplementary: String,
    /// Drawing number.
    pub number: String,
    /// Revision index.
    pub revision: String,
    /// Number of this sheet, from 1.
    pub sheet: usize,
    /// Number of sheets.
    pub sheets: usize,
    /// `1:1`, or `none` for a diagram.
    pub scale: String,
    /// Unit of the written measures.
    pub units: String,
    /// Date of issue; blank unless the spec gives one, since no drawing reads the clock.
    pub date: String,
    /// Document type: `Wiring diagram`.
    pub document_type: String,
    /// Language code of the lettering.
    pub language: String,
    /// Who made it.
    pub creator: String,
    /// Who approved it.
    pub approver: String,
    /// Cautions, each on its own line above the block.
    pub cautions: Vec<String>,
}

impl Default for TitleBlock {
    fn default() -> TitleBlock {
        TitleBlock {
            owner: String::new(),
            title: String::new(),
            supplementary: String::new(),
            number: String::new(),
            revision: String::new(),
            sheet: 1,
            sheets: 1,
            scale: NOT_TO_SCALE.into(),
            units: "mm".into(),
            date: String::new(),
            document_type: String::new(),
            language: "en".into(),
            creator: String::new(),
            approver: String::new(),
            cautions: Vec::new(),
        }
    }
}

impl TitleBlock {
    /// What every drawing of a harness says: particulars from its header, `what` before the machine as supplementary
    /// title. Scale and sheet are for the drawing to say.
    pub fn of(header: &Header, what: &str, document_type: &str) -> TitleBlock {
        let told = |text: &Option<String>| text.clone().unwrap_or_default();
        TitleBlock {
            owner: told(&header.owner),
            title: header.title.clone(),
            supplementary: match &header.machine {
                Some(machine) => format!("{what}, {machine}"),
                None => what.to_owned(),
            },
            number: header.drawing.clone(),
            revision: told(&header.revision),
            units: match header.units {
                Units::Metric => "mm".into(),
                Units::Inch => "in".into(),
            },
            date: header.issued.map(|d| d.to_string()).unwrap_or_default(),
            document_type: document_type.to_owned(),
            cautions: std::iter::once(CAUTION.to_owned()).chain(header.remark.clone()).collect(),
            ..TitleBlock::default()
        }
    }

    /// The title by which a file names itself: number, title, supplementary title, sheet.
    pub fn full_title(&self) -> String {
        let sheet = format!("sheet {} of {}", self.sheet, self.sheets);
        let parts = [&self.number, &self.title, &self.supplementary, &sheet];
        let said: Vec<&str> = parts.into_iter().map(|p| p.trim()).filter(|p| !p.is_empty()).collect();
        said.join(", ")
    }

    fn rows(&self) -> Vec<Vec<Field>> {
        let heading = Lettering::LARGE.bold();
        let plain = Lettering::PLAIN;
        let sheet = format!("{}/{}", self.sheet, self.sheets);
        vec![
            vec![
                Field::new(mm(78.0), "Legal owner", &self.owner, plain),
                Field::new(mm(62.0), "Document type", &self.document_type, plain),
                Field::new(mm(20.0), "Scale", &self.scale, plain),
                Field::new(mm(20.0), "Units", &self.units, plain),
            ],
            vec![
                Field::new(mm(120.0), "Title", &self.title, heading).and(&self.supplementary, plain),
                Field::new(mm(60.0), "Drawing number", &self.number, heading),
            ],
            vec![
                Field::new(mm(45.0), "Created by", &self.creator, plain),
                Field::new(mm(45.0), "Approved by", &self.approver, plain),
                Field::new(mm(32.0), "Date of issue", &self.date, plain),
                Field::new(mm(18.0), "Rev.", &self.revision, plain.bold()),
                Field::new(mm(18.0), "Lang.", &self.language, plain),
                Field::new(mm(22.0), "Sheet", &sheet, plain),
            ],
        ]
    }

    fn caution_lines(&self) -> Vec<Fitted> {
        let words = |c: &String| {
            lettering::fit(&format!("⚠ {c}"), Lettering::SMALL, WIDTH - PAD * 2, 1, Height::H2_5)
        };
        self.cautions.iter().map(words).collect()
    }
}

fn caution_height(lines: &[Fitted]) -> Mm {
    if lines.is_empty() {
        return Mm::ZERO;
    }
    let pitch = Lettering::SMALL.height.pitch();
    PAD * 2 + pitch.times(lines.iter().map(|f| f.lines.len()).sum::<usize>())
}

/// Height of the whole block.
pub fn height(block: &TitleBlock) -> Mm {
    caution_height(&block.caution_lines()) + block.rows().iter().map(|r| row_height(r)).sum()
}

/// Draws the block into `area`, which has the block's width and height.
pub fn draw(scene: &mut Scene, mark: &Mark, block: &TitleBlock, area: Area) {
    scene.rect(mark, area, Stroke::FRAME.filled(Ink::WHITE));
    let cautions = block.caution_lines();
    let mut y = area.min.y + caution_height(&cautions);
    let pitch = Lettering::SMALL.height.pitch();
    let mut baseline = area.min.y + PAD + Lettering::SMALL.height.capital() + mm(0.6);
    for caution in &cautions {
        let at = Point::new(area.min.x + PAD, baseline);
        baseline = scene.text_lines(mark, at, &caution.lines, caution.lettering, Anchor::Start) + pitch;
    }
    for (i, row) in block.rows().iter().enumerate() {
        if i > 0 || !cautions.is_empty() {
            scene.line(mark, Point::new(area.min.x, y), Point::new(area.max.x, y), Stroke::MEDIUM);
        }
        field::draw_row(scene, mark, row, Point::new(area.min.x, y));
        y += row_height(row);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::field::CAPTION;

    #[test]
    fn every_row_is_as_wide_as_the_block() {
        for row in TitleBlock::default().rows() {
            assert_eq!(row.iter().map(|c| c.width).sum::<Mm>(), WIDTH);
        }
    }

    #[test]
    fn captions_fit_their_cells() {
        for cell in TitleBlock::default().rows().iter().flatten() {
            assert!(lettering::width(cell.caption, CAPTION) <= cell.width - PAD * 2, "{}", cell.caption);
        }
    }

    #[test]
    fn long_values_grow_the_block_and_lose_nothing() {
        let short = TitleBlock::default();
        let name = "An owner with a very long name that goes on and on until no height of lettering takes it";
        let long = TitleBlock { owner: name.into(), creator: name.into(), ..short.clone() };
        assert!(height(&long) > height(&short));
        let said: Vec<String> =
            long.rows().iter().flatten().flat_map(|c| &c.values).flat_map(|v| v.lines.clone()).collect();
        let joined = said.join(" ");
        assert_eq!(joined.matches("takes it").count(), 2, "{joined}");
    }

    #[test]
    fn names_itself_without_empty_parts() {
        let block = TitleBlock { title: "Loom".into(), sheets: 3, ..TitleBlock::default() };
        assert_eq!(block.full_title(), "Loom, sheet 1 of 3");
    }
}
