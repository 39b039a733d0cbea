//! A spec text in, its [`Tree`] out, or findings: what passes here is safe for every reader that follows.
//!
//! YAML can do more than a netlist needs, and some of it is dangerous (aliases that unfold to gigabytes, nesting that
//! overflows readers) or loses data quietly (the same name twice). All of that is refused here, with line and column.
//! Reading goes on past what is refused, so that one run shows every fault.

use std::borrow::Cow;

use granit_parser::{Event, Marker, Parser, ScalarStyle};

use super::decode;
use super::syntax;
use super::tree::{Kind, Node, NodeId, Shape, Text, Tree};
use crate::diag::{FileId, Finding, Label, Severity, Sink, Sources, Span};

/// Deepest nesting of maps and lists. A spec needs about six.
pub const MAX_DEPTH: usize = 64;

/// After so many findings the gate stops reading the file.
const MAX_FINDINGS: usize = 100;

/// Reads the shape of `file`. None where it cannot be read to its end; a tree with [`Tree::is_refused`] where it can,
/// but holds something that is not allowed. Either way the findings are in `sink`.
pub fn read(sources: &Sources, file: FileId, sink: &mut Sink) -> Option<Tree> {
    let text = sources.shared_text(file);
    let tree = Tree {
        file,
        text: text.clone(),
        nodes: Vec::with_capacity(text.len() / 16),
        children: Vec::with_capacity(text.len() / 16),
        ordered: Vec::new(),
        kept: Vec::new(),
        root: NodeId(0),
        refused: false,
    };
    Gate { text: &text, tree, open: Vec::new(), waiting: Vec::new(), root: None, found: 0, sink }.run()
}

/// Why reading ends before the end of the file; the finding is already in the sink.
pub(super) struct Stop;

/// What an open map does with the next node.
#[derive(Clone, Copy)]
enum Slot {
    /// Take it as an item of a list.
    Item,
    /// Take it as a key.
    Key,
    /// Take it as the value of this key.
    Value(NodeId),
    /// Leave it out: its key was refused.
    Drop,
}

/// A map or list whose end has not been read.
struct Open {
    node: NodeId,
    slot: Slot,
    /// Where its children begin among those that wait.
    mark: usize,
    is_map: bool,
}

pub(super) struct Gate<'a> {
    pub text: &'a str,
    pub tree: Tree,
    open: Vec<Open>,
    pub waiting: Vec<NodeId>,
    root: Option<NodeId>,
    found: usize,
    sink: &'a mut Sink,
}

impl Gate<'_> {
    fn run(mut self) -> Option<Tree> {
        self.events().ok()?;
        let Some(root) = self.root else {
            let end = self.text.len();
            let span = Span::new(self.tree.file, end, end);
            self.sink.unreadable(span, "the file is empty", "write a spec; it begins with `fairlead: 1`");
            return None;
        };
        self.tree.root = root;
        if self.tree.kind(root) == Kind::Scalar {
            // Also, the two readers differ over a text block without a name.
            let span = self.tree.label_span(root);
            let message = "the file is one text, and entries `name: value` are expected";
            self.refuse(span, message, "write a spec; it begins with `fairlead: 1`").ok()?;
            return None;
        }
        self.tree.refused = self.found > 0;
        self.tree.ordered.sort_by_key(|(id, _)| *id);
        Some(self.tree)
    }

    fn events(&mut self) -> Result<(), Stop> {
        let options = granit_parser::options! {
            disallow_directives: true,
            // What libyaml does, so that both readers see the same text.
            block_scalar_eof_without_line_feed: true,
            emit_unresolved_aliases: true,
            emit_anchor_events: true,
            emit_comments: false,
        };
        let mut documents = 0;
        for next in Parser::new_from_str_with_options(self.text, options) {
            let (event, place) = match next {
                Ok(next) => next,
                Err(error) => return Err(self.broken(&error)),
            };
            match event {
                Event::DocumentStart(..) => {
                    documents += 1;
                    if documents > 1 {
                        let span = self.span(place.start, place.end);
                        let message = "a second document begins here, and a spec is one document";
                        self.refuse(
                            span,
                            message,
                            "remove the `---` line, or put what follows in a file of its own",
                        )?;
                        return Ok(());
                    }
                }
                Event::Scalar(value, style, _, tag) => {
                    let node = self.scalar(value, style, place.start, place.end)?;
                    if tag.is_some() {
                        self.tag(&place)?;
                    }
                    self.attach(node)?;
                }
                Event::MappingStart(_, _, tag) => self.begin(true, tag.is_some(), &place)?,
                Event::SequenceStart(_, _, tag) => self.begin(false, tag.is_some(), &place)?,
                Event::MappingEnd | Event::SequenceEnd => self.end(place.start, place.end)?,
                Event::Anchor(_, name) => {
                    let span = self.span(place.start, place.end);
                    let message = format!("`&{name}` gives a value a handle, and a spec has no handles");
                    self.refuse(
                        span,
                        message,
                        "write the value out wherever it is wanted, and remove the handle",
                    )?;
                }
                Event::Alias(_) | Event::UnresolvedAlias(_) => {
                    let span = self.span(place.start, place.end);
                    let name = self.text.get(span.start as usize..span.end as usize).unwrap_or("*");
                    let message =
                        format!("`{name}` repeats a value by its handle, and a spec has no handles");
                    self.refuse(span, message, "write the value out; quote it if a text begins with `*`")?;
                    let node =
                        self.add(Shape::Plain(Text::InPlace { start: 0, end: 0 }), span.start, span.end);
                    self.mark_refused(node);
                    self.attach(node)?;
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn span(&self, start: Marker, end: Marker) -> Span {
        let byte = |m: Marker| m.byte_offset().unwrap_or_else(|| m.index()).min(self.text.len());
        Span::new(self.tree.file, byte(start), byte(end).max(byte(start)))
    }

    /// Reports something that is not allowed; Stop after too many.
    pub(super) fn refuse(
        &mut self,
        span: Span,
        message: impl Into<String>,
        remedy: &str,
    ) -> Result<(), Stop> {
        self.refuse_both(span, None, message.into(), remedy)
    }

    pub(super) fn refuse_both(
        &mut self,
        span: Span,
        first: Option<Span>,
        message: String,
        remedy: &str,
    ) -> Result<(), Stop> {
        self.found += 1;
        if self.found > MAX_FINDINGS {
            let message = format!("reading stops here, after {MAX_FINDINGS} findings in this file");
            self.sink.unreadable(span, message, "mend those above and run again");
            return Err(Stop);
        }
        let label = |span, text: &str| Label { span, text: text.to_owned(), id: None };
        let mut labels = vec![label(span, if first.is_some() { "again here" } else { "" })];
        labels.extend(first.map(|span| label(span, "first here")));
        self.sink.push(Finding {
            rule: "spec-language",
            severity: Severity::Stop,
            message,
            labels,
            in_service: String::new(),
            remedy: remedy.to_owned(),
            source: String::new(),
            waived: None,
        });
        Ok(())
    }

    fn tag(&mut self, place: &granit_parser::Span) -> Result<(), Stop> {
        let at =
            place.tag_span().map_or_else(|| self.span(place.start, place.end), |t| self.span(t.start, t.end));
        let name = self.text.get(at.start as usize..at.end as usize).unwrap_or("!").to_owned();
        let message = format!("`{name}` sets the type of a value, and a spec has no such tags");
        self.refuse(at, message, "remove it; quote the value if a text begins with `!`")
    }

    fn add(&mut self, shape: Shape, start: u32, end: u32) -> NodeId {
        let id = NodeId(u32::try_from(self.tree.nodes.len()).unwrap_or(u32::MAX));
        self.tree.nodes.push(Node { shape, start, end, key: None, refused: false });
        id
    }

    fn mark_refused(&mut self, node: NodeId) {
        if let Some(node) = self.tree.nodes.get_mut(node.0 as usize) {
            node.refused = true;
        }
    }

    fn scalar(
        &mut self,
        value: Cow<'_, str>,
        style: ScalarStyle,
        start: Marker,
        end: Marker,
    ) -> Result<NodeId, Stop> {
        let mut span = self.span(start, end);
        let mut bad = None;
        let text = match value {
            // The parser says `~` where nothing is written.
            _ if style == ScalarStyle::Plain && span.start == span.end => {
                Text::InPlace { start: span.start, end: span.start }
            }
            Cow::Borrowed(part) if self.offset_of(part).is_some() => {
                let start = self.offset_of(part).unwrap_or(0);
                Text::InPlace { start, end: start + u32::try_from(part.len()).unwrap_or(0) }
            }
            owned => {
                bad = owned.chars().find(|c| decode::is_refused(*c));
                self.tree.kept.push(owned.into_owned().into_boxed_str());
                Text::Kept(u32::try_from(self.tree.kept.len() - 1).unwrap_or(u32::MAX))
            }
        };
        let shape = match style {
            ScalarStyle::Plain => Shape::Plain(text),
            _ => Shape::Quoted(text),
        };
        if matches!(style, ScalarStyle::Literal | ScalarStyle::Folded) {
            span.end = self.trimmed(span);
        }
        let node = self.add(shape, span.start, span.end);
        if matches!(shape, Shape::Plain(text) if self.tree.text_of(text).starts_with('?')) {
            // In brackets libyaml takes it for the sign of a key, and the parser here for text.
            let span = self.tree.label_span(node);
            self.refuse(
                span,
                "a value begins with `?`, which YAML has two readings of",
                "put the value in quotes",
            )?;
        }
        if let Some(c) = bad {
            let message =
                format!("the escapes spell the character {} ({})", decode::code_point(c), decode::what(c));
            self.refuse(span, message, "leave that character out")?;
        }
        Ok(node)
    }

    /// The end of a text block without the blank lines and indents that follow it.
    fn trimmed(&self, span: Span) -> u32 {
        let covered = self.text.get(span.start as usize..span.end as usize).unwrap_or("");
        span.start + u32::try_from(covered.trim_end().len()).unwrap_or(0)
    }

    /// Where `part` begins in the text, if it is a part of it and not a copy.
    fn offset_of(&self, part: &str) -> Option<u32> {
        let offset = (part.as_ptr() as usize).checked_sub(self.text.as_ptr() as usize)?;
        (offset + part.len() <= self.text.len()).then_some(())?;
        u32::try_from(offset).ok()
    }

    fn begin(&mut self, is_map: bool, tagged: bool, place: &granit_parser::Span) -> Result<(), Stop> {
        let span = self.span(place.start, place.end);
        if self.open.len() >= MAX_DEPTH {
            let message = format!("maps and lists are nested more than {MAX_DEPTH} deep here");
            self.refuse(span, message, "close the brackets that were left open, or flatten the lists")?;
            return Err(Stop);
        }
        if tagged {
            self.tag(place)?;
        }
        let shape =
            if is_map { Shape::Map { first: 0, count: 0 } } else { Shape::List { first: 0, count: 0 } };
        let node = self.add(shape, span.start, span.end);
        let slot = if is_map { Slot::Key } else { Slot::Item };
        self.open.push(Open { node, slot, mark: self.waiting.len(), is_map });
        Ok(())
    }

    fn end(&mut self, start: Marker, end: Marker) -> Result<(), Stop> {
        let Some(open) = self.open.pop() else { return Ok(()) };
        if open.is_map {
            self.drop_duplicates(open.node, open.mark)?;
        }
        let first = u32::try_from(self.tree.children.len()).unwrap_or(u32::MAX);
        let last = self.waiting.last().filter(|_| self.waiting.len() > open.mark).copied();
        self.tree.children.extend(self.waiting.drain(open.mark..));
        let count = u32::try_from(self.tree.children.len()).unwrap_or(u32::MAX) - first;
        let closing = self.span(start, end);
        let last_end = last.and_then(|id| self.tree.nodes.get(id.0 as usize)).map(|n| match n.key {
            // A value left empty has no place of its own.
            Some(key) if n.end == n.start => self.tree.span(key).end,
            _ => n.end,
        });
        if let Some(node) = self.tree.nodes.get_mut(open.node.0 as usize) {
            // A bracket closes at its own place; a block has no closing sign and ends with its last value.
            node.end = if closing.end > closing.start { closing.end } else { last_end.unwrap_or(node.end) };
            node.end = node.end.max(node.start);
            node.shape = if open.is_map { Shape::Map { first, count } } else { Shape::List { first, count } };
        }
        self.attach(open.node)
    }

    /// Gives a finished node to the map or list that is open.
    fn attach(&mut self, node: NodeId) -> Result<(), Stop> {
        let Some(open) = self.open.last().map(|o| o.slot) else {
            self.root = self.root.or(Some(node));
            return Ok(());
        };
        let next = match open {
            Slot::Item => {
                self.waiting.push(node);
                Slot::Item
            }
            Slot::Value(key) => {
                self.lost_to_remark(key, node)?;
                self.waiting.extend([key, node]);
                if let Some(node) = self.tree.nodes.get_mut(node.0 as usize) {
                    node.key = Some(key);
                }
                Slot::Key
            }
            Slot::Drop => Slot::Key,
            Slot::Key => {
                if self.key_is_allowed(node)? {
                    Slot::Value(node)
                } else {
                    Slot::Drop
                }
            }
        };
        if let Some(open) = self.open.last_mut() {
            open.slot = next;
        }
        Ok(())
    }

    /// Reports what is no YAML at all. Nothing can be read beyond it.
    fn broken(&mut self, error: &granit_parser::ScanError) -> Stop {
        let mark = *error.marker();
        let at = self.span(mark, mark);
        let (span, message, remedy) = syntax::words(error.kind(), at, self.text);
        self.sink.unreadable(span, message, remedy);
        Stop
    }
}
