//! The bytes of a PDF in; what stands where on its pages out, read by a general-purpose library that shares no code with the
//! writer. Places are in millimetres from the upper left corner of the page.

use std::collections::BTreeMap;

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId, decode_text_string};

/// Points of 1/72 in for a millimetre (ISO 32000-1, 8.3.2.3).
const POINTS: f64 = 72.0 / 25.4;

/// A matrix as PDF writes it (ISO 32000-1, 8.3.3).
type Matrix = [f64; 6];

/// A line of text as it is shown.
#[derive(Clone, Debug)]
pub struct Run {
    pub words: String,
    pub x: f64,
    pub y: f64,
    /// Direction in which it runs, in degrees against the clock: 0 to the right, 90 up.
    pub angle: f64,
    /// The window that it is seen through: left, upper, right, lower edge.
    pub window: Option<[f64; 4]>,
}

/// A straight piece of a stroked path.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub width: f64,
    pub window: Option<[f64; 4]>,
}

impl Piece {
    pub fn length(&self) -> f64 {
        (self.to.0 - self.from.0).hypot(self.to.1 - self.from.1)
    }
}

/// A link, and the page it leads to, from 0.
#[derive(Clone, Debug)]
pub struct Link {
    pub area: [f64; 4],
    pub page: usize,
}

#[derive(Clone, Debug)]
pub struct Page {
    pub width: f64,
    pub height: f64,
    pub runs: Vec<Run>,
    pub pieces: Vec<Piece>,
    pub links: Vec<Link>,
}

impl Page {
    /// All text, a line a run.
    pub fn text(&self) -> String {
        self.runs.iter().map(|r| format!("{}\n", r.words)).collect()
    }
}

/// An entry of the outline: how deep it lies, what it says, and the page it leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    pub depth: usize,
    pub words: String,
    pub page: usize,
}

pub struct Pdf {
    pub document: Document,
    pub pages: Vec<Page>,
}

impl Pdf {
    pub fn read(bytes: &[u8]) -> Pdf {
        let document = Document::load_mem(bytes).unwrap();
        let ids: Vec<ObjectId> = document.page_iter().collect();
        let pages = ids.iter().map(|id| page(&document, *id, &ids)).collect();
        Pdf { document, pages }
    }

    /// The outline from the top, deeper entries after the one they belong to.
    pub fn outline(&self) -> Vec<Mark> {
        let ids: Vec<ObjectId> = self.document.page_iter().collect();
        let mut marks = Vec::new();
        if let Ok(outline) = self.document.catalog().unwrap().get(b"Outlines") {
            let (_, outline) = self.document.dereference(outline).unwrap();
            self.level(outline.as_dict().unwrap(), 0, &ids, &mut marks);
        }
        marks
    }

    fn level(&self, above: &Dictionary, depth: usize, ids: &[ObjectId], marks: &mut Vec<Mark>) {
        let mut next = above.get(b"First").ok();
        while let Some(item) = next {
            let entry = self.document.dereference(item).unwrap().1.as_dict().unwrap();
            let words = decode_text_string(entry.get(b"Title").unwrap()).unwrap();
            let page = leads_to(&self.document, entry.get(b"Dest").unwrap(), ids);
            marks.push(Mark { depth, words, page });
            self.level(entry, depth + 1, ids, marks);
            next = entry.get(b"Next").ok();
        }
    }

    /// An entry of the document's information; None where there is none.
    pub fn information(&self, key: &str) -> Option<String> {
        let info = self.document.trailer.get(b"Info").ok()?;
        let info = self.document.dereference(info).ok()?.1.as_dict().ok()?;
        decode_text_string(info.get(key.as_bytes()).ok()?).ok()
    }

    /// Nothing in the file acts, loads or turns the reading round.
    #[track_caller]
    pub fn assert_passive(&self, name: &str) {
        for dictionary in self.dictionaries() {
            // ISO 32000-1, 12.6 (actions), 7.11.4 (files inside), 12.7 (forms).
            for key in
                ["JS", "JavaScript", "OpenAction", "AA", "A", "URI", "Launch", "EmbeddedFiles", "AcroForm"]
            {
                assert!(!dictionary.has(key.as_bytes()), "{name}: {key}");
            }
        }
        for page in &self.pages {
            assert!(!page.text().contains('\u{202e}'), "{name}: turns the reading round");
        }
        for mark in self.outline() {
            assert!(!mark.words.contains('\u{202e}'), "{name}: turns the reading round");
        }
    }

    /// Every dictionary of the file.
    pub fn dictionaries(&self) -> impl Iterator<Item = &Dictionary> {
        self.document.objects.values().filter_map(|object| match object {
            Object::Dictionary(dictionary) => Some(dictionary),
            Object::Stream(stream) => Some(&stream.dict),
            _ => None,
        })
    }
}

fn leads_to(document: &Document, target: &Object, ids: &[ObjectId]) -> usize {
    let target = document.dereference(target).unwrap().1.as_array().unwrap();
    let page = target[0].as_reference().unwrap();
    ids.iter().position(|id| *id == page).expect("leads to a page of the document")
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(whole) => *whole as f64,
        other => f64::from(other.as_float().unwrap()),
    }
}

fn numbers(operands: &[Object]) -> Vec<f64> {
    operands.iter().map(number).collect()
}

/// What `inner` does first, then `outer`.
fn times(inner: Matrix, outer: Matrix) -> Matrix {
    let [a, b, c, d, e, f] = inner;
    let [g, h, i, j, k, l] = outer;
    [a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l]
}

fn moved([a, b, c, d, e, f]: Matrix, (x, y): (f64, f64)) -> (f64, f64) {
    (a * x + c * y + e, b * x + d * y + f)
}

fn page(document: &Document, id: ObjectId, ids: &[ObjectId]) -> Page {
    let dictionary = document.get_dictionary(id).unwrap();
    let corners =
        numbers(document.dereference(dictionary.get(b"MediaBox").unwrap()).unwrap().1.as_array().unwrap());
    let (width, height) = (corners[2] - corners[0], corners[3] - corners[1]);
    let place = |(x, y): (f64, f64)| (x / POINTS, (height - y) / POINTS);
    let links = document.get_page_annotations(id).unwrap().into_iter().map(|link| {
        assert_eq!(link.get(b"Subtype").unwrap().as_name().unwrap(), b"Link");
        let area = numbers(link.get(b"Rect").unwrap().as_array().unwrap());
        let (low, high) = (place((area[0], area[3])), place((area[2], area[1])));
        let page = leads_to(document, link.get(b"Dest").unwrap(), ids);
        Link { area: [low.0, low.1, high.0, high.1], page }
    });
    let mut reader = Reader { document, id, runs: vec![], pieces: vec![], place: &place };
    reader.read();
    let (runs, pieces) = (reader.runs, reader.pieces);
    Page { width: width / POINTS, height: height / POINTS, runs, pieces, links: links.collect() }
}

struct Reader<'a> {
    document: &'a Document,
    id: ObjectId,
    runs: Vec<Run>,
    pieces: Vec<Piece>,
    place: &'a dyn Fn((f64, f64)) -> (f64, f64),
}

impl Reader<'_> {
    fn read(&mut self) {
        let fonts = self.document.get_page_fonts(self.id).unwrap();
        let encodings: BTreeMap<&[u8], lopdf::Encoding<'_>> = fonts
            .iter()
            .map(|(name, font)| (name.as_slice(), font.get_font_encoding(self.document).unwrap()))
            .collect();
        let content = Content::decode(&self.document.get_page_content(self.id)).unwrap();
        let mut states: Vec<(Matrix, f64, Option<[f64; 4]>)> =
            vec![([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], 1.0, None)];
        let mut clips = false;
        let mut path: Vec<((f64, f64), (f64, f64))> = Vec::new();
        let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
        let mut text: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
        let mut font: Vec<u8> = Vec::new();
        for operation in &content.operations {
            let operands = &operation.operands;
            let (matrix, line, window) = *states.last().unwrap();
            match operation.operator.as_str() {
                "q" => states.push((matrix, line, window)),
                "Q" => drop(states.pop()),
                "cm" => states.last_mut().unwrap().0 = times(numbers(operands).try_into().unwrap(), matrix),
                "w" => states.last_mut().unwrap().1 = number(&operands[0]),
                "m" => {
                    at = (number(&operands[0]), number(&operands[1]));
                    start = at;
                }
                "l" => {
                    let to = (number(&operands[0]), number(&operands[1]));
                    path.push((at, to));
                    at = to;
                }
                "c" => at = (number(&operands[4]), number(&operands[5])),
                "h" => {
                    path.push((at, start));
                    at = start;
                }
                "S" | "B" | "B*" => {
                    // All matrices of these pages scale alike in both directions.
                    let scale = (matrix[0] * matrix[3] - matrix[1] * matrix[2]).abs().sqrt();
                    let piece = |(from, to): ((f64, f64), (f64, f64))| Piece {
                        from: (self.place)(moved(matrix, from)),
                        to: (self.place)(moved(matrix, to)),
                        width: line * scale / POINTS,
                        window,
                    };
                    self.pieces.extend(path.drain(..).map(piece));
                }
                // ISO 32000-1, 8.5.4: what follows until the state is restored is seen inside the path only.
                "W" | "W*" => clips = true,
                "f" | "f*" | "n" => {
                    let corners = path.drain(..).map(|(from, _)| (self.place)(moved(matrix, from)));
                    if std::mem::take(&mut clips) {
                        assert!(window.is_none(), "one window at a time");
                        let none = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
                        let around = corners
                            .fold(none, |[a, b, c, d], (x, y)| [a.min(x), b.min(y), c.max(x), d.max(y)]);
                        states.last_mut().unwrap().2 = Some(around);
                    }
                }
                "Tf" => font = operands[0].as_name().unwrap().to_vec(),
                "Tm" => text = numbers(operands).try_into().unwrap(),
                "Tj" | "TJ" => {
                    let pieces = match &operands[0] {
                        Object::Array(pieces) => pieces.clone(),
                        whole => vec![whole.clone()],
                    };
                    let bytes: Vec<u8> =
                        pieces.iter().filter_map(|p| p.as_str().ok()).flatten().copied().collect();
                    let words = Document::decode_text(&encodings[font.as_slice()], &bytes).unwrap();
                    let whole = times(text, matrix);
                    let (x, y) = (self.place)((whole[4], whole[5]));
                    let angle = whole[1].atan2(whole[0]).to_degrees();
                    self.runs.push(Run { words, x, y, angle, window });
                }
                _ => {}
            }
        }
    }
}
