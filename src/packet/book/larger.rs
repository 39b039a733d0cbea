//! The drawings in, and the paper that a book is for; which sheets are larger than that paper and how those are printed, out.

use crate::draw::sheet::Format;
use crate::draw::{Extent, Paper};
use crate::packet::papers::Papers;

/// `Larger than A4 are Wiring 1/2, 2/2 (A3); Board (610 mm × 2420 mm).` and what to do; None where none is.
pub(super) fn words(papers: &Papers<'_>, paper: Paper) -> Option<String> {
    let holds = |size: Extent| paper.upright().size.holds(size) || paper.lying().size.holds(size);
    let mut sizes: Vec<(String, Vec<&str>)> = Vec::new();
    for drawing in papers.drawings.iter().filter(|drawing| !holds(drawing.scene.size)) {
        let name = size(drawing.scene.size);
        match sizes.iter_mut().find(|(known, _)| *known == name) {
            Some((_, titles)) => titles.push(&drawing.title),
            None => sizes.push((name, vec![&drawing.title])),
        }
    }
    if sizes.is_empty() {
        return None;
    }
    let told: Vec<String> =
        sizes.iter().map(|(size, titles)| format!("{} ({size})", listed(titles))).collect();
    let boards = papers.prints.iter().any(|print| print.paper == paper);
    let pages = if boards { " The boards are cut to pages of this paper besides, at full size." } else { "" };
    Some(format!(
        "Larger than {} are {}. Print them on paper of their own size, on a roll or at a print shop, at 100 %. A sheet that is \
         shrunk to this paper is for reading only: nothing on it can be measured, and its smallest letters may be lost.{pages}",
        paper.word(),
        told.join("; ")
    ))
}

/// The name of a format, or its sides.
pub(super) fn size(size: Extent) -> String {
    let name = Format::series().into_iter().find(|f| f.size == size).map(|f| f.name);
    name.unwrap_or_else(|| format!("{} × {} mm", size.height, size.width))
}

/// `Wiring 1/2, 2/2, Board`: the word before a number is said once.
fn listed(titles: &[&str]) -> String {
    let mut out: Vec<&str> = Vec::new();
    let mut before = None;
    for title in titles {
        let (stem, number) = title.rsplit_once(' ').unwrap_or((title, ""));
        let follows = before == Some(stem) && number.contains('/');
        out.push(if follows { number } else { title });
        before = Some(stem);
    }
    out.join(", ")
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn a_word_before_numbers_is_said_once() {
        assert_eq!(listed(&["Wiring 1/2", "Wiring 2/2", "Board", "Faces"]), "Wiring 1/2, 2/2, Board, Faces");
    }
}
