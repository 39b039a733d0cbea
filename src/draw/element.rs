//! Names and values in; an element of an XML text out, with all that would be markup escaped.
//!
//! Attributes stand in the order of their names, child elements each on a line of its own, words right behind the tag.

use std::borrow::Cow;

/// An element, with child elements or with words.
#[derive(Clone, Debug)]
pub(super) struct Element {
    name: &'static str,
    /// In the order of their names.
    attributes: Vec<(Cow<'static, str>, String)>,
    children: Vec<Element>,
    words: Option<String>,
}

impl Element {
    /// An element of this name. Names are those of a format and are not escaped.
    pub fn new(name: &'static str) -> Element {
        Element { name, attributes: Vec::new(), children: Vec::new(), words: None }
    }

    /// Sets an attribute, in place of what it was before.
    pub fn assign(&mut self, name: impl Into<Cow<'static, str>>, value: impl Into<String>) {
        let (name, value) = (name.into(), value.into());
        match self.attributes.binary_search_by(|(known, _)| known.cmp(&name)) {
            Ok(at) => self.attributes[at].1 = value,
            Err(at) => self.attributes.insert(at, (name, value)),
        }
    }

    /// Puts an element behind those that it has.
    pub fn append(&mut self, child: Element) {
        self.children.push(child);
    }

    /// The same with these words in it.
    pub fn with_words(self, words: String) -> Element {
        Element { words: Some(words), ..self }
    }

    /// As it is written.
    pub fn xml(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        out.push('<');
        out.push_str(self.name);
        for (name, value) in &self.attributes {
            out.push(' ');
            out.push_str(name);
            out.push_str("=\"");
            escape(value, true, out);
            out.push('"');
        }
        if self.children.is_empty() && self.words.is_none() {
            out.push_str("/>");
            return;
        }
        out.push('>');
        for child in &self.children {
            out.push('\n');
            child.write(out);
        }
        match &self.words {
            Some(words) => escape(words, false, out),
            None => out.push('\n'),
        }
        out.push_str("</");
        out.push_str(self.name);
        out.push('>');
    }
}

/// What stands for this byte where it would be markup; within an attribute quotes are, too.
fn escaped(byte: u8, in_attribute: bool) -> Option<&'static str> {
    match byte {
        b'&' => Some("&amp;"),
        b'<' => Some("&lt;"),
        b'>' => Some("&gt;"),
        b'"' if in_attribute => Some("&quot;"),
        b'\'' if in_attribute => Some("&apos;"),
        _ => None,
    }
}

fn escape(text: &str, in_attribute: bool, out: &mut String) {
    let mut plain_from = 0;
    for (at, byte) in text.bytes().enumerate() {
        if let Some(escaped) = escaped(byte, in_attribute) {
            // What is escaped is a whole character, so what lies between is text.
            out.push_str(&text[plain_from..at]);
            out.push_str(escaped);
            plain_from = at + 1;
        }
    }
    out.push_str(&text[plain_from..]);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_are_sorted_and_nothing_becomes_markup() {
        let mut element = Element::new("g");
        for (name, value) in [("id", "µ'\"<é>&"), ("class", "first"), ("class", "label")] {
            element.assign(name, value);
        }
        element.append(Element::new("text").with_words("a 'b' \"<é>& c".into()));
        element.append(Element::new("path"));
        let lines = [
            r#"<g class="label" id="µ&apos;&quot;&lt;é&gt;&amp;">"#,
            r#"<text>a 'b' "&lt;é&gt;&amp; c</text>"#,
            "<path/>",
            "</g>",
        ];
        assert_eq!(element.xml(), lines.join("\n"));
        assert_eq!(Element::new("text").with_words(String::new()).xml(), "<text></text>");
    }
}
