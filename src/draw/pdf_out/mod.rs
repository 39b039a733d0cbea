//! Placed scenes in; one PDF document out, each scene a page of its own size at true scale. Places nothing, measures
//! nothing.
//!
//! Format: ISO 32000-1 (PDF 1.7). A page keeps the scene's millimetres as its coordinates under one scale to points of
//! 1/72 in, so that what measures 100 mm on the sheet says 100 in the file. Lettering is text with its letters placed as
//! they were measured; the typeface is inside, cut down to the letters that are used.

mod outline;
mod page;

use std::error::Error;
use std::fmt;

use krilla::destination::XyzDestination;
use krilla::geom;
use krilla::metadata::{Metadata, PageLayout};
use krilla::outline::{Outline, OutlineNode};
use krilla::text::Font;

use super::geometry::{Area, Extent, Mm, Point};
use super::scene::Scene;
use super::typeface::{self, Weight};

/// Points of 1/72 in for a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// The longest side of a page that readers must be able to show: 14,400 points. Source: ISO 32000-1, annex C.2, table C.1.
pub const LONGEST: Mm = Mm::from_um(5_080_000);

/// True where a page may be as large as this.
pub fn can_hold(size: Extent) -> bool {
    let fits = |side: Mm| side > Mm::ZERO && side <= LONGEST;
    fits(size.width) && fits(size.height)
}

/// A place in the document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// Its page, from 0.
    pub page: usize,
    /// The place on that page which is shown uppermost.
    pub at: Point,
}

/// A part of a page that leads elsewhere when it is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Link {
    /// Where it is.
    pub area: Area,
    /// Where it leads.
    pub to: Target,
}

/// An entry of the outline that a reader shows beside the pages.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bookmark {
    /// What it says: data, in its printable form.
    pub words: String,
    /// Where it leads.
    pub to: Target,
    /// Entries under it.
    pub under: Vec<Bookmark>,
    /// Whether those are shown from the first.
    pub open: bool,
}

/// A page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page<'a> {
    /// What stands on it, and its size.
    pub scene: &'a Scene,
    /// What leads elsewhere.
    pub links: Vec<Link>,
}

/// A document.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Document<'a> {
    /// Its title.
    pub title: String,
    /// What it is about.
    pub subject: String,
    /// Whom it belongs to; empty where nobody says.
    pub owner: String,
    /// Name and version of the program.
    pub made_by: String,
    /// BCP 47 language.
    pub language: String,
    /// What its identity is made of: the same in every build of the same document.
    pub key: String,
    /// Pages in their order.
    pub pages: Vec<Page<'a>>,
    /// Outline.
    pub bookmarks: Vec<Bookmark>,
}

/// Why a document could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unwritten {
    /// A page has no size, or a side longer than [`LONGEST`].
    Size {
        /// The page, from 0.
        page: usize,
        /// Its size.
        size: Extent,
    },
    /// The typeface could not be read or put into the document.
    Format(String),
}

impl fmt::Display for Unwritten {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unwritten::Size { page, size } => {
                write!(f, "page {} cannot be {} mm by {} mm", page + 1, size.width, size.height)
            }
            Unwritten::Format(why) => f.write_str(why),
        }
    }
}

impl Error for Unwritten {}

/// Both weights of the typeface.
struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn read() -> Result<Fonts, Unwritten> {
        let font = |weight| {
            let unread = || Unwritten::Format(format!("the typeface {} cannot be read", typeface::FAMILY));
            Font::new(typeface::file(weight).into(), 0).ok_or_else(unread)
        };
        Ok(Fonts { regular: font(Weight::Regular)?, bold: font(Weight::Bold)? })
    }

    fn of(&self, weight: Weight) -> &Font {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }
}

/// Writes the document. Costs about as much as it has items.
///
/// # Errors
/// Where a page is too long for the format. The typeface is the program's own and can be read.
pub fn write(document: &Document<'_>) -> Result<Vec<u8>, Unwritten> {
    let fonts = Fonts::read()?;
    let mut out = krilla::Document::new();
    for (number, page) in document.pages.iter().enumerate() {
        let size = page.scene.size;
        if !can_hold(size) || !page::add(&mut out, page, document.pages.len(), &fonts) {
            return Err(Unwritten::Size { page: number, size });
        }
    }
    let mut outline = Outline::new();
    for mark in &document.bookmarks {
        if let Some(node) = node(mark, document.pages.len()) {
            outline.push_child(node);
        }
    }
    out.set_outline(outline);
    out.set_metadata(metadata(document));
    out.finish().map_err(|error| Unwritten::Format(error.to_string()))
}

/// Nothing of the clock is in it.
fn metadata(document: &Document<'_>) -> Metadata {
    let language = if document.language.is_empty() { "en" } else { &document.language };
    let owner = Some(document.owner.clone()).filter(|o| !o.is_empty());
    Metadata::new()
        .title(document.title.clone())
        .description(document.subject.clone())
        .authors(owner.into_iter().collect())
        .creator(document.made_by.clone())
        .language(language.to_owned())
        .page_layout(PageLayout::SinglePage)
        .document_id(document.key.clone())
}

/// None where it leads to no page.
fn node(mark: &Bookmark, pages: usize) -> Option<OutlineNode> {
    let mut node = OutlineNode::new(mark.words.clone(), destination(mark.to, pages)?).with_open(mark.open);
    for under in mark.under.iter().filter_map(|m| self::node(m, pages)) {
        node.push_child(under);
    }
    Some(node)
}

/// None where there is no such page.
fn destination(to: Target, pages: usize) -> Option<XyzDestination> {
    let at = geom::Point::from_xy(points(to.at.x), points(to.at.y));
    (to.page < pages).then(|| XyzDestination::new(to.page, at))
}

/// A distance in points.
fn points(distance: Mm) -> f32 {
    (distance.as_f64() * POINTS) as f32
}

/// A distance in millimetres, as the page writes it.
fn millimetres(distance: Mm) -> f32 {
    distance.as_f64() as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::geometry::mm;

    #[test]
    fn a_page_longer_than_the_format_allows_is_refused() {
        let scene = Scene::new(Extent::new(mm(5080.001), mm(100.0)));
        let page = Page { scene: &scene, links: vec![] };
        let document = Document { pages: vec![page], ..Document::default() };
        let error = write(&document).unwrap_err();
        assert_eq!(error.to_string(), "page 1 cannot be 5080.001 mm by 100 mm");
        assert!(can_hold(Extent::new(LONGEST, LONGEST)) && !can_hold(Extent::default()));
    }

    #[test]
    fn a_bookmark_that_leads_nowhere_is_left_out() {
        let lost = Bookmark {
            words: "lost".into(),
            to: Target { page: 3, at: Point::default() },
            under: vec![],
            open: false,
        };
        assert!(node(&lost, 3).is_none() && node(&lost, 4).is_some());
    }
}
