//! Everything of a packet and a paper size in; the drawing book out: cover, findings, drawings and lists as one PDF.
//!
//! ```text
//! table, findings, contents ─ strips ─ flow ─ leaves ─┐
//! drawings ───────────────────────────────────────────┴─ scenes ─ draw::pdf_out
//! ```
//!
//! Drawings stand on pages of their sheets' own sizes, everything else on pages of the paper: boards once more, in pages to
//! glue together. Every page is a scene, so what
//! the audit passes is what is printed. Only the page numbers of the contents are known late: the cover is laid out twice.

mod columns;
mod cover;
mod findings;
mod flow;
mod larger;
mod lead;
mod leaf;
mod listing;
mod prose;
mod tiles;

use std::collections::BTreeMap;

use columns::Columns;
use cover::Entry;
use lead::{Drawn, Lead};
use leaf::{Form, Leaf};
use listing::Job;
use prose::QUIET;

use super::bound::Bound;
use super::papers::{Drawing, Papers, Print};
use super::table::Table;
use crate::draw::board::Tile;
use crate::draw::pdf_out::{self, Bookmark, Document, Link, Page, Target, Unwritten};
use crate::draw::{Anchor, Area, Extent, Format, Layer, Mark, Mm, Paper, Point, Scene, Turn, lettering, mm};

/// A book, laid out.
#[derive(Clone, Debug)]
pub struct Book {
    paper: Paper,
    scenes: Vec<Scene>,
    links: Vec<Vec<Link>>,
    bookmarks: Vec<Bookmark>,
    starts: BTreeMap<String, usize>,
    title: String,
    owner: String,
    subject: String,
    made_by: String,
    language: String,
    key: String,
}

/// Name of the book's file for a paper.
pub fn file_name(paper: Paper) -> String {
    format!("book-{}.pdf", paper.word().to_lowercase())
}

/// What the outline puts together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Findings,
    Drawing,
    Tiles,
    List,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Kind::Findings => "findings",
            Kind::Drawing => "drawings",
            Kind::Tiles => "to glue",
            Kind::List => "lists",
        }
    }
}

/// What stands on the pages of a part.
enum Pages<'a> {
    /// One sheet.
    Sheet(&'a Scene),
    /// One sheet that no page of a PDF can hold.
    TooLong,
    /// Paper.
    Leaves(Form<'a>, Vec<Leaf>),
    /// Paper, and after it pages that are glued together.
    Tiles(Form<'a>, Vec<Leaf>, &'a [Tile]),
}

struct Part<'a> {
    kind: Kind,
    /// What its files are called.
    name: String,
    title: String,
    size: String,
    pages: Pages<'a>,
}

impl Part<'_> {
    fn count(&self) -> usize {
        match &self.pages {
            Pages::Sheet(_) => 1,
            Pages::TooLong => 0,
            Pages::Leaves(_, leaves) => leaves.len(),
            Pages::Tiles(_, leaves, tiles) => leaves.len() + tiles.len(),
        }
    }
}

impl Book {
    /// Lays the book out. Costs about as much as its lists have words.
    pub fn of(papers: &Papers<'_>, paper: Paper) -> Book {
        // Where there is nothing to tell, the cover's figures say so.
        let told = !papers.findings.is_empty() || !papers.score.not_judged.is_empty();
        let mut parts: Vec<Part<'_>> = told.then(|| found(papers, paper)).into_iter().collect();
        parts.extend(papers.drawings.iter().map(drawing));
        let prints = papers.prints.iter().filter(|print| print.paper == paper);
        parts.extend(prints.map(|print| in_pages(papers, print)));
        let cover = Form { papers, size: paper.upright().size, title: "", purpose: "" };
        // How many pages the contents take does not depend on the numbers in them.
        let titles = parts.iter().map(|p| p.title.as_str()).chain(papers.tables.iter().map(|t| t.title));
        let trial = |title: &str| Entry {
            title: title.to_owned(),
            size: String::new(),
            page: Some(1),
            part: 0,
            kind: "",
        };
        let trials: Vec<Entry> = titles.map(trial).collect();
        let taken = |gap| cover.fill(&cover::strips(papers, paper, &trials, cover.width(), gap)).len();
        // Closer together where that saves a page.
        let [wide, close] = [cover::WIDE, cover::CLOSE].map(|gap| (taken(gap), gap));
        let (first, gap) = if close.0 < wide.0 { close } else { wide };

        let mut drawn = Drawn::default();
        let mut page = first;
        for part in &parts {
            if let Pages::Sheet(scene) = part.pages {
                drawn.enter(scene, page);
            }
            page += part.count();
        }
        parts.extend(papers.tables.iter().map(|table| list(papers, paper, table, &drawn)));
        let mut starts = Vec::new();
        let mut page = first;
        for part in &parts {
            starts.push(page);
            page += part.count();
        }
        let entries = contents(&parts, &starts);
        let leaves = cover.fill(&cover::strips(papers, paper, &entries, cover.width(), gap));
        let begins = |(part, start): (&Part<'_>, &usize)| (part.name.clone(), start + 1);
        let mut book = Book {
            paper,
            starts: parts.iter().zip(&starts).filter(|(part, _)| part.count() > 0).map(begins).collect(),
            scenes: vec![],
            links: vec![],
            bookmarks: vec![bookmark("Contents", Target { page: 0, at: Point::default() })],
            title: lettering::printable(&papers.heading.line()),
            owner: lettering::printable(papers.heading.particular("owner").unwrap_or_default()),
            subject: super::cautions::RUNNING.to_owned(),
            made_by: papers.made_by(),
            language: papers
                .drawings
                .first()
                .map_or_else(String::new, |d| lettering::printable(&d.scene.language)),
            key: format!("{} {}", papers.key(), paper.word()),
        };
        book.add_leaves(&cover, &leaves, page, &starts);
        for (part, start) in parts.iter().zip(&starts) {
            let under = match &part.pages {
                Pages::TooLong => continue,
                Pages::Sheet(scene) => {
                    book.add_sheet(scene, page);
                    vec![]
                }
                Pages::Leaves(form, leaves) => book.add_leaves(form, leaves, page, &starts),
                Pages::Tiles(form, leaves, tiles) => {
                    book.add_leaves(form, leaves, page, &starts);
                    book.add_tiles(tiles, page)
                }
            };
            let to = Target { page: *start, at: Point::default() };
            book.note(part, Bookmark { under, ..bookmark(&part.title, to) });
        }
        book
    }

    /// The pages in their order.
    pub fn scenes(&self) -> &[Scene] {
        &self.scenes
    }

    /// Its file, and on which of its pages everything begins.
    pub fn bound(&self) -> Bound {
        Bound {
            file: file_name(self.paper),
            paper: self.paper,
            pages: self.scenes.len(),
            starts: self.starts.clone(),
        }
    }

    /// The file.
    ///
    /// # Errors
    /// Where the format or the typeface fails; nothing of a spec can make it so.
    pub fn write(&self) -> Result<Vec<u8>, Unwritten> {
        let pages = self.scenes.iter().zip(&self.links);
        pdf_out::write(&Document {
            title: self.title.clone(),
            subject: self.subject.clone(),
            owner: self.owner.clone(),
            made_by: self.made_by.clone(),
            language: self.language.clone(),
            key: self.key.clone(),
            pages: pages.map(|(scene, links)| Page { scene, links: links.clone() }).collect(),
            bookmarks: self.bookmarks.clone(),
        })
    }

    /// Enters a part into the outline, under its kind where there are several.
    fn note(&mut self, part: &Part<'_>, mark: Bookmark) {
        let title = match part.kind {
            Kind::Findings | Kind::Tiles => return self.bookmarks.push(mark),
            Kind::Drawing => "Drawings",
            Kind::List => "Lists",
        };
        match self.bookmarks.last_mut() {
            Some(last) if last.words == title => last.under.push(mark),
            _ => self.bookmarks.push(Bookmark {
                words: title.to_owned(),
                to: mark.to,
                under: vec![mark],
                open: true,
            }),
        }
    }

    /// Adds pages of paper; returns what the outline names on them.
    fn add_leaves(
        &mut self,
        form: &Form<'_>,
        leaves: &[Leaf],
        pages: usize,
        starts: &[usize],
    ) -> Vec<Bookmark> {
        let mut marks: Vec<Bookmark> = Vec::new();
        for leaf in leaves {
            let page = self.scenes.len();
            self.scenes.push(form.finish(leaf, page + 1, pages));
            let link = |(area, lead): &(Area, Lead)| {
                let to = match lead {
                    Lead::To(to) => *to,
                    Lead::Part(part) => Target { page: *starts.get(*part)?, at: Point::default() },
                };
                Some(Link { area: *area, to })
            };
            self.links.push(leaf.leads.iter().filter_map(link).collect());
            marks.extend(leaf.bookmarks.iter().map(|(words, at)| bookmark(words, Target { page, at: *at })));
        }
        marks
    }

    /// Adds pages that are glued together; returns what the outline names.
    fn add_tiles(&mut self, tiles: &[Tile], pages: usize) -> Vec<Bookmark> {
        let mut marks = Vec::new();
        for tile in tiles {
            let page = self.scenes.len();
            let (scene, links) = tiles::numbered(&tile.scene, self.paper, page + 1, pages);
            self.scenes.push(scene);
            self.links.push(links);
            marks.push(bookmark(&tile.name, Target { page, at: Point::default() }));
        }
        marks
    }

    /// Adds a sheet with its page number in the border, which leads to the contents.
    fn add_sheet(&mut self, sheet: &Scene, pages: usize) {
        let mut scene = sheet.clone();
        let mut links = Vec::new();
        if let Some(frame) = sheet.frame {
            let words = format!("page {} of {pages} of the drawing book", self.scenes.len() + 1);
            let at = Point::new(frame.min.x, sheet.size.height - BORDER_TEXT);
            scene.text_at(&Mark::new(Layer::Frame), at, &words, QUIET, Anchor::Start, Turn::Level);
            let size = Extent::new(lettering::width(&words, QUIET), QUIET.height.capital());
            let to = Target { page: 0, at: Point::default() };
            links.push(Link { area: Area::at(at.by(Mm::ZERO, -size.height), size), to });
        }
        self.scenes.push(scene);
        self.links.push(links);
    }
}

/// From the lower edge of a sheet to the foot of what stands in its border, below the zones.
const BORDER_TEXT: Mm = mm(1.4);

/// Letters of a bookmark; what is longer is no help beside the pages.
const BOOKMARK: usize = 80;

fn bookmark(words: &str, to: Target) -> Bookmark {
    let mut words = lettering::printable(words);
    if let Some((end, _)) = words.char_indices().nth(BOOKMARK) {
        words.truncate(end);
        words.push('…');
    }
    Bookmark { words, to, under: vec![], open: false }
}

fn found<'a>(papers: &'a Papers<'a>, paper: Paper) -> Part<'a> {
    let Format { name, size } = paper.upright();
    let form = Form { papers, size, title: "Findings", purpose: "" };
    let [_, height] = form.room();
    let leaves = form.fill(&findings::strips(papers, form.width(), height));
    Part {
        kind: Kind::Findings,
        name: "findings".to_owned(),
        title: "Findings".to_owned(),
        size: name,
        pages: Pages::Leaves(form, leaves),
    }
}

fn drawing(drawing: &Drawing) -> Part<'_> {
    let size = drawing.scene.size;
    let fits = pdf_out::can_hold(size);
    let name = larger::size(size);
    let title = if fits {
        drawing.title.clone()
    } else {
        format!("{}: too long for a page, see {}.svg", drawing.title, drawing.name)
    };
    let pages = if fits { Pages::Sheet(&drawing.scene) } else { Pages::TooLong };
    Part { kind: Kind::Drawing, name: drawing.name.clone(), title, size: name, pages }
}

fn in_pages<'a>(papers: &'a Papers<'a>, print: &'a Print) -> Part<'a> {
    let Format { name, size } = print.paper.lying();
    let form = Form { papers, size, title: &print.title, purpose: tiles::PURPOSE };
    let leaves = form.fill(&tiles::strips(papers, print, form.width()));
    Part {
        kind: Kind::Tiles,
        name: print.name(),
        title: print.title.clone(),
        size: format!("{name} lying"),
        pages: Pages::Tiles(form, leaves, &print.pages),
    }
}

fn list<'a>(papers: &'a Papers<'a>, paper: Paper, table: &'a Table, drawn: &Drawn) -> Part<'a> {
    let form =
        |format: &Format| Form { papers, size: format.size, title: table.title, purpose: table.purpose };
    let columns = Columns::of(table);
    let ticks = if table.ticked { columns::TICKS } else { Mm::ZERO };
    let room = |form: &Form<'_>| {
        let [_, height] = form.room();
        (form.width() - ticks, height)
    };
    let (upright, lying) = (paper.upright(), paper.lying());
    let lies = columns.lie(room(&form(&upright)), room(&form(&lying)));
    let size = if lies { format!("{} lying", lying.name) } else { upright.name.clone() };
    let form = form(if lies { &lying } else { &upright });
    let [_, height] = form.room();
    let width = form.width();
    let mut strips = listing::lead(&table.lead, width);
    strips.extend(Job { table, columns: &columns, width, height, drawn }.strips());
    listing::add_foot(&mut strips, &table.notes, width, height);
    let leaves = form.fill(&strips);
    let (name, title) = (table.name.to_owned(), table.title.to_owned());
    Part { kind: Kind::List, name, title, size, pages: Pages::Leaves(form, leaves) }
}

fn contents(parts: &[Part<'_>], starts: &[usize]) -> Vec<Entry> {
    let mut before = None;
    let entry = |(i, (part, start)): (usize, (&Part<'_>, &usize))| {
        let kind = if before.replace(part.kind) == Some(part.kind) { "" } else { part.kind.word() };
        let page = (part.count() > 0).then_some(start + 1);
        Entry { title: part.title.clone(), size: part.size.clone(), page, part: i, kind }
    };
    parts.iter().zip(starts).enumerate().map(entry).collect()
}
