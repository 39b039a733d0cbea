//! The drawing book, read back by a general-purpose library: pages, text, typefaces, scale, outline, links.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use fairlead::draw::{Paper, Scene, Shape, Turn, audit};
use fairlead::packet::book::{Book, file_name};
use fairlead::packet::{FileSet, Papers};
use fairlead::pipeline::{self, Resolved};
use fairlead::rules::Report;

use crate::command_line::changed_starter;
use crate::faces::shipped;
use crate::generator;
use crate::pdf::{Mark, Page, Pdf, Piece, Run};

/// Half of what a reader rounds to: coordinates of a page are single precision.
pub const ROUNDING: f64 = 0.001;

/// A spec, judged, with the papers made of it and its books.
pub struct Case {
    pub name: String,
    resolved: &'static Resolved,
    report: &'static Report,
    pub papers: Papers<'static>,
    pub books: Vec<(Paper, Book, Pdf)>,
}

impl Case {
    /// What a test case needs lives as long as the tests.
    fn of(name: &str, resolved: Resolved) -> Case {
        let resolved: &'static Resolved = Box::leak(Box::new(resolved));
        let report: &'static Report = Box::leak(Box::new(resolved.judge(None)));
        let papers = resolved.papers(report);
        let book = |paper| {
            let book = Book::of(&papers, paper);
            let pdf = Pdf::read(&book.write().unwrap());
            (paper, book, pdf)
        };
        let books = Paper::ALL.map(book).into();
        Case { name: name.to_owned(), resolved, report, papers, books }
    }

    fn a4(&self) -> &Pdf {
        &self.books[0].2
    }
}

fn made(seed: u64, size: usize) -> Resolved {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("spec.yaml");
    std::fs::write(&path, generator::spec(seed, size)).unwrap();
    pipeline::read(&path).unwrap().resolve().unwrap_or_else(|u| panic!("{:?}", u.findings))
}

/// Everything shipped, and some that nobody wrote; made once.
pub fn cases() -> &'static [Case] {
    static CASES: OnceLock<Vec<Case>> = OnceLock::new();
    CASES.get_or_init(|| {
        let generated = [(1, 3), (2, 40)].map(|(seed, size)| (format!("generated-{size}"), made(seed, size)));
        let specs = shipped().into_iter().chain(generated);
        std::thread::scope(|scope| {
            let working: Vec<_> =
                specs.map(|(name, resolved)| scope.spawn(move || Case::of(&name, resolved))).collect();
            working.into_iter().map(|case| case.join().unwrap()).collect()
        })
    })
}

fn case(name: &str) -> &'static Case {
    cases().iter().find(|c| c.name == name).unwrap()
}

pub fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < ROUNDING
}

fn is_paper(page: &Page, paper: Paper) -> bool {
    let size = paper.upright().size;
    let sides = [size.width.as_f64(), size.height.as_f64()];
    let lies = near(page.width, sides[1]) && near(page.height, sides[0]);
    (near(page.width, sides[0]) && near(page.height, sides[1])) || lies
}

#[test]
fn nothing_overlaps_on_any_page() {
    for Case { name, books, .. } in cases() {
        for (paper, book, _) in books {
            for (i, scene) in book.scenes().iter().enumerate() {
                let measured = audit(scene);
                assert_eq!(measured.defects, [], "{name} {} page {}: {measured}", paper.word(), i + 1);
            }
        }
    }
}

#[test]
fn lists_stand_on_the_paper_and_drawings_on_pages_of_their_sheets() {
    for Case { name, papers, books, .. } in cases() {
        for (paper, book, pdf) in books {
            assert_eq!(pdf.pages.len(), book.scenes().len(), "{name}");
            for (page, scene) in pdf.pages.iter().zip(book.scenes()) {
                let (width, height) = (scene.size.width.as_f64(), scene.size.height.as_f64());
                assert!(near(page.width, width) && near(page.height, height), "{name}: {width} by {height}");
            }
            let sheets: Vec<&Scene> = papers.drawings.iter().map(|d| &d.scene).collect();
            let others = book.scenes().iter().zip(&pdf.pages).filter(|(scene, _)| {
                !sheets.iter().any(|sheet| sheet.title == scene.title && sheet.size == scene.size)
            });
            let others: Vec<&Page> = others.map(|(_, page)| page).collect();
            assert_eq!(others.len() + sheets.len(), pdf.pages.len(), "{name}: every drawing is a page");
            assert!(
                others.iter().all(|page| is_paper(page, *paper)),
                "{name}: all else is on {}",
                paper.word()
            );
        }
    }
}

#[test]
fn every_conductor_is_found_by_its_mark_in_drawing_and_lists() {
    for case in cases() {
        let words: Vec<BTreeSet<String>> = case
            .a4()
            .pages
            .iter()
            .map(|page| page.text().split([' ', '\n']).map(str::to_owned).collect())
            .collect();
        for conductor in &case.resolved.harness.conductors {
            let pages = words.iter().filter(|page| page.contains(&conductor.mark)).count();
            // The wiring drawing, the cut list and the crimp list at the least.
            assert!(pages >= 3, "{}: {} is found on {pages} pages", case.name, conductor.mark);
        }
    }
}

#[test]
fn what_runs_up_the_page_is_text_too() {
    let Case { papers, books, .. } = case("four-cylinder");
    let (_, book, pdf) = &books[0];
    let mut seen = 0;
    for (page, scene) in pdf.pages.iter().zip(book.scenes()) {
        let shown = |angle: f64| {
            let runs = page.runs.iter().filter(move |r| (r.angle - angle).abs() < 0.001);
            runs.map(|r| r.words.clone()).collect::<Vec<_>>()
        };
        let placed = |turn| {
            let items = scene.in_paint_order().into_iter().filter_map(|item| match &item.shape {
                Shape::Text(text) if text.turn == turn => Some(text.words.clone()),
                _ => None,
            });
            items.collect::<Vec<_>>()
        };
        assert_eq!(shown(0.0), placed(Turn::Level));
        assert_eq!(shown(90.0), placed(Turn::Up));
        seen += shown(90.0).len();
    }
    assert!(seen >= papers.drawings.len(), "each sheet's graduation has words that run up");
}

#[test]
fn text_stands_where_it_was_placed() {
    let (_, book, pdf) = &case("generated-40").books[1];
    for (page, scene) in pdf.pages.iter().zip(book.scenes()) {
        let mut runs = page.runs.iter();
        for item in scene.in_paint_order() {
            let Shape::Text(text) = &item.shape else { continue };
            let run = runs.next().unwrap();
            assert_eq!(run.words, text.words);
            let area = text.area();
            let start = match text.turn {
                Turn::Level => (area.min.x, text.at.y),
                Turn::Up => (text.at.x, area.max.y),
            };
            let there = (run.x - start.0.as_f64()).hypot(run.y - start.1.as_f64()) < 0.002;
            assert!(there, "{} stands at {} {}, not at {} {}", run.words, run.x, run.y, start.0, start.1);
        }
    }
}

/// Both rulers of a drawing: pieces of half a millimetre that begin on the frame's lower and left edge.
fn graduations(page: &Page) -> [f64; 2] {
    let bottom = page.height - 10.0;
    let of = |on: &dyn Fn(&Piece) -> bool, along: fn(&Piece) -> f64| {
        let marks = page.pieces.iter().filter(|p| near(p.width, 0.5) && p.length() < 5.1 && on(p));
        let marks: Vec<f64> = marks.map(along).collect();
        assert_eq!(marks.len(), 11, "a mark each 10 mm");
        let (low, high) =
            (marks.iter().copied().fold(f64::MAX, f64::min), marks.iter().copied().fold(0.0, f64::max));
        high - low
    };
    let below = |p: &Piece| near(p.from.1, bottom) && p.to.1 > bottom && near(p.from.0, p.to.0);
    let beside = |p: &Piece| near(p.from.0, 20.0) && p.to.0 < 20.0 && near(p.from.1, p.to.1);
    [of(&below, |p| p.from.0), of(&beside, |p| p.from.1)]
}

#[test]
fn the_rulers_measure_100_mm_in_the_file() {
    for Case { name, papers, books, .. } in cases() {
        for (_, _, pdf) in books {
            let is_sheet = |p: &&Page| {
                p.text().contains("of the drawing book") && !p.text().contains("must measure 100")
            };
            let sheets: Vec<&Page> = pdf.pages.iter().filter(is_sheet).collect();
            assert_eq!(sheets.len(), papers.drawings.len(), "{name}");
            for sheet in sheets {
                for ruler in graduations(sheet) {
                    assert!(near(ruler, 100.0), "{name}: {ruler} mm");
                }
            }
            let cover = pdf.pages.iter().take(2).flat_map(|p| &p.pieces);
            let ruler =
                cover.filter(|p| near(p.width, 0.5) && near(p.from.1, p.to.1) && near(p.length(), 100.0));
            assert_eq!(ruler.count(), 1, "{name}: the cover's");
        }
    }
}

#[test]
fn typefaces_are_inside_and_only_what_is_used_of_them() {
    let pdf = case("generated-40").a4();
    let is = |d: &lopdf::Dictionary, kind: &[u8]| {
        d.get(b"Type").and_then(|t| t.as_name()).is_ok_and(|t| t == kind)
    };
    let fonts: Vec<_> = pdf.dictionaries().filter(|d| is(d, b"Font") && d.has(b"DescendantFonts")).collect();
    assert_eq!(fonts.len(), 2, "two weights");
    for font in &fonts {
        assert!(font.has(b"ToUnicode"), "text can be found");
        let name = String::from_utf8_lossy(font.get(b"BaseFont").unwrap().as_name().unwrap()).into_owned();
        let (tag, rest) = name.split_once('+').expect("a subset (ISO 32000-1, 9.6.4)");
        assert!(tag.len() == 6 && rest.starts_with("B612-"), "{name}");
    }
    let descriptors: Vec<_> = pdf.dictionaries().filter(|d| is(d, b"FontDescriptor")).collect();
    assert_eq!(descriptors.len(), 2);
    for descriptor in descriptors {
        let file = descriptor.get(b"FontFile3").unwrap().as_reference().unwrap();
        let stream = pdf.document.get_object(file).unwrap().as_stream().unwrap();
        let size = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone()).len();
        assert!((2_000..60_000).contains(&size), "{size} bytes");
    }
    // No font but these is named by any page.
    let simple = pdf.dictionaries().filter(|d| is(d, b"Font") && !d.has(b"DescendantFonts"));
    assert!(
        simple.into_iter().all(|d| d.get(b"Subtype").unwrap().as_name().unwrap().starts_with(b"CIDFontType"))
    );
}

#[test]
fn the_outline_leads_to_every_sheet_and_list() {
    let Case { papers, report, .. } = case("as-found");
    let pdf = case("as-found").a4();
    let outline = pdf.outline();
    let top: Vec<&str> = outline.iter().filter(|m| m.depth == 0).map(|m| m.words.as_str()).collect();
    assert_eq!(top, ["Contents", "Findings", "Drawings", "Board in pages", "Lists"]);
    let under = |title: &str| {
        let after = outline.iter().skip_while(|m| m.words != title).skip(1).take_while(|m| m.depth > 0);
        after.cloned().collect::<Vec<_>>()
    };
    let first = |marks: Vec<Mark>| marks.into_iter().filter(|m| m.depth == 1).collect::<Vec<_>>();
    let drawings: Vec<&str> = papers.drawings.iter().map(|d| d.title.as_str()).collect();
    assert_eq!(first(under("Drawings")).iter().map(|m| m.words.as_str()).collect::<Vec<_>>(), drawings);
    let lists = first(under("Lists"));
    assert_eq!(
        lists.iter().map(|m| m.words.as_str()).collect::<Vec<_>>(),
        papers.tables.iter().map(|t| t.title).collect::<Vec<_>>()
    );
    for mark in &lists {
        let page = &pdf.pages[mark.page];
        assert!(page.text().contains(&format!("{}\n", mark.words)), "{} is on its page", mark.words);
        assert!(!pdf.pages[mark.page - 1].text().contains(&format!("\n{}\n", mark.words)), "its first page");
    }
    // Each finding and each group of a list has an entry on its page.
    assert_eq!(
        under("Findings").iter().filter(|m| m.depth == 1 && m.words != "Not judged").count(),
        report.findings.len()
    );
    for mark in outline.iter().filter(|m| m.depth == 2) {
        let begin: String = mark.words.chars().take(20).collect();
        assert!(pdf.pages[mark.page].text().contains(begin.split(' ').next().unwrap()), "{}", mark.words);
    }
}

#[test]
fn contents_and_names_lead_to_where_they_say() {
    let Case { papers, resolved, .. } = case("four-cylinder");
    let pdf = case("four-cylinder").a4();
    let cover = &pdf.pages[0];
    let told = usize::from(!papers.findings.is_empty() || !papers.score.not_judged.is_empty());
    let glued = papers.prints.iter().filter(|print| print.paper == Paper::A4).count();
    assert_eq!(cover.links.len(), told + papers.drawings.len() + glued + papers.tables.len());
    for link in &cover.links {
        let inside = |run: &&Run| {
            run.x >= link.area[0] - 0.01
                && run.x <= link.area[2]
                && run.y >= link.area[1]
                && run.y <= link.area[3]
        };
        let said: Vec<&str> = cover.runs.iter().filter(inside).map(|r| r.words.as_str()).collect();
        let [title, _, page] = said.as_slice() else { panic!("{said:?}") };
        assert_eq!(page.parse::<usize>().unwrap(), link.page + 1, "{title}");
    }
    // A wire mark in the cut list leads to the wiring drawing.
    let outline = pdf.outline();
    let sheets = outline.iter().filter(|mark| mark.words.starts_with("Wiring"));
    let wiring: Vec<usize> = sheets.map(|mark| mark.page).collect();
    assert!(!wiring.is_empty());
    let cuts = pdf.pages.iter().filter(|p| p.text().contains("\nCut list\n"));
    let leads = cuts.flat_map(|p| &p.links).filter(|l| wiring.contains(&l.page)).count();
    assert!(leads >= resolved.harness.conductors.len(), "{leads}");
    // Every sheet leads back to the contents.
    assert!(wiring.iter().all(|page| pdf.pages[*page].links.iter().any(|l| l.page == 0)));
}

#[test]
fn the_same_papers_give_the_same_bytes_and_nothing_of_the_clock() {
    let resolved = made(4, 40);
    let report = resolved.judge(None);
    let (one, _) = resolved.packet(&report).unwrap();
    let (two, manifest) = made(4, 40).packet(&report).unwrap();
    for paper in Paper::ALL {
        let name = file_name(paper);
        let bytes = |set: &FileSet| set.get(&name).unwrap().to_vec();
        assert!(bytes(&one) == bytes(&two), "{name}");
        assert!(manifest.files.contains_key(&name));
        let pdf = Pdf::read(&bytes(&one));
        assert_eq!(pdf.information("CreationDate"), None);
        assert_eq!(pdf.information("ModDate"), None);
        assert!(!String::from_utf8_lossy(&bytes(&one)).contains("CreateDate"));
        assert!(!pdf.information("Title").unwrap().is_empty());
    }
    let ids: BTreeSet<String> = Paper::ALL
        .map(|p| format!("{:?}", Pdf::read(one.get(&file_name(p)).unwrap()).document.trailer.get(b"ID")))
        .into();
    assert_eq!(ids.len(), 2, "two books are two documents");
}

#[test]
fn text_of_a_spec_stays_text() {
    let nasty = ") Tj ET /JS (app.alert\\(1\\)) >> endobj %<script>&amp; é";
    let yaml = format!("title: '{nasty}'");
    let (_folder, path) = changed_starter(&[("title: Engine gauge harness", &yaml)]);
    let resolved = pipeline::read(&path).unwrap().resolve().unwrap_or_else(|u| panic!("{:?}", u.findings));
    let hostile = Case::of("hostile", resolved);
    let pdf = hostile.a4();
    assert!(pdf.information("Title").unwrap().starts_with(nasty));
    let cover = pdf.pages[0].text().replace('\n', " ");
    assert!(cover.contains("app.alert\\(1\\)) >> endobj"), "{cover}");
    pdf.assert_passive("hostile");
}

/// A title that fills pages is on the cover as a whole and leaves every page its room.
#[test]
fn the_longest_text_finds_its_pages() {
    let long = "long title ".repeat(120);
    let yaml = format!("title: {long}\n  owner: {long}\n  remark: {long}");
    let (_folder, path) = changed_starter(&[
        ("title: Engine gauge harness", &yaml),
        ("  remark: Starter example, invented. Not approved data.\n", ""),
    ]);
    let resolved = pipeline::read(&path).unwrap().resolve().unwrap_or_else(|u| panic!("{:?}", u.findings));
    let case = Case::of("long", resolved);
    let all: String = case.a4().pages.iter().map(Page::text).collect();
    assert!(all.replace('\n', " ").matches("long title").count() > 360);
    for (_, book, _) in &case.books {
        for (i, scene) in book.scenes().iter().enumerate() {
            let measured = audit(scene);
            assert_eq!(measured.defects, [], "page {}: {measured}", i + 1);
        }
    }
}

#[test]
fn a_book_built_despite_findings_says_so_on_every_page() {
    let Case { papers, report, books, .. } = case("as-found");
    assert!(papers.banner.is_some());
    let (_, _, pdf) = &books[1];
    for (i, page) in pdf.pages.iter().enumerate() {
        assert!(page.text().contains("DO NOT BUILD FROM THIS PAPER"), "page {}", i + 1);
        assert!(page.text().contains("Not approved data"), "page {}", i + 1);
    }
    let findings: String = pdf.pages.iter().map(Page::text).collect();
    for finding in &report.findings {
        assert!(findings.contains(finding.rule), "{}", finding.rule);
    }
}

/// The first page says which sheets are larger than the paper that the book is for, and that they are not to be shrunk.
#[test]
fn the_cover_says_which_sheets_are_larger_than_its_paper() {
    let said = |scene: &Scene| -> Vec<String> {
        let texts = scene.items().iter().filter_map(|i| match &i.shape {
            Shape::Text(text) => Some(text.words.clone()),
            _ => None,
        });
        texts.collect()
    };
    for Case { name, papers, books, .. } in cases() {
        for (paper, book, _) in books {
            // The contents may take more than a page.
            let cover = book.scenes().iter().take(3).flat_map(said).collect::<Vec<_>>().join(" ");
            let holds = |scene: &Scene| {
                [paper.upright(), paper.lying()].iter().any(|format| format.size.holds(scene.size))
            };
            let larger: Vec<&str> =
                papers.drawings.iter().filter(|d| !holds(&d.scene)).map(|d| d.title.as_str()).collect();
            let told = cover.split(&format!("Larger than {} are ", paper.word())).nth(1);
            assert_eq!(told.is_some(), !larger.is_empty(), "{name}");
            for title in &larger {
                let told = told.unwrap().split(" Print them on").next().unwrap();
                let number = title.rsplit(' ').next().unwrap();
                assert!(told.contains(number), "{name}: {title} in {told}");
            }
        }
    }
}
