//! The page of a packet leads to its books, and into them to where they hold what it shows.

use std::collections::BTreeSet;

use fairlead::draw::Paper;
use fairlead::packet::book::file_name;

use crate::book::{Case, cases};
use crate::pdf::Pdf;

/// Every address of the page that leads out of it.
fn addresses(page: &str) -> Vec<&str> {
    let all = page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
    all.filter(|address| !address.starts_with('#') && !address.starts_with("data:")).collect()
}

/// The page, from 0, of a book that the address leads to.
fn page_of(address: &str, book: &str) -> Option<usize> {
    let page = address.strip_prefix(book)?.strip_prefix("#page=")?;
    Some(page.parse::<usize>().unwrap() - 1)
}

#[test]
fn everything_on_the_page_is_found_in_both_books() {
    for Case { name, papers, .. } in cases() {
        let (set, _) = papers.assemble().unwrap();
        let index = String::from_utf8(set.get("index.html").unwrap().to_vec()).unwrap();
        let links = addresses(&index);
        for link in &links {
            let file = link.split('#').next().unwrap();
            assert!(set.get(file).is_some(), "{name}: {link} leads nowhere");
        }
        for paper in Paper::ALL {
            let file = file_name(paper);
            assert!(links.contains(&file.as_str()), "{name}: {file} is not named");
            let pdf = Pdf::read(set.get(&file).unwrap());
            let told = format!("{file}</a> ({} pages, for {} paper)", pdf.pages.len(), paper.word());
            assert!(index.contains(&told), "{name}: {told}");
            let pages: BTreeSet<usize> = links.iter().filter_map(|link| page_of(link, &file)).collect();
            // What the outline names in the two uppermost levels, pages to glue aside, is what the page shows.
            let outline = pdf.outline();
            let glued: BTreeSet<usize> = outline
                .iter()
                .filter(|m| m.depth == 0 && m.words.ends_with("in pages"))
                .map(|m| m.page)
                .collect();
            let titles: Vec<&str> = papers
                .drawings
                .iter()
                .map(|d| d.title.as_str())
                .chain(papers.tables.iter().map(|t| t.title))
                .collect();
            let named = outline.iter().filter(|m| m.depth == 1 && titles.contains(&m.words.as_str()));
            let named: BTreeSet<usize> = named.map(|m| m.page).collect();
            assert_eq!(named.len(), titles.len(), "{name}");
            assert!(glued.is_subset(&pages) && named.is_subset(&pages), "{name}: {pages:?}");
            let findings = outline.iter().filter(|m| m.depth == 0 && m.words == "Findings").map(|m| m.page);
            let all: BTreeSet<usize> = glued.into_iter().chain(named).chain(findings).collect();
            assert_eq!(pages, all, "{name}: nowhere else");
        }
    }
}
