//! References in; an opening tag with their `data-` attributes out, the same words that drawings carry.

use std::fmt::Write as _;

use indexmap::IndexMap;
use maud::{Escaper, PreEscaped};

use crate::draw::svg_out::word;
use crate::packet::table::Reference;

/// An opening tag with fixed `attributes` and one `data-KIND` for every kind among `about`.
pub(super) fn open<'a>(
    name: &'static str,
    attributes: &[(&'static str, &str)],
    about: impl IntoIterator<Item = &'a Reference>,
) -> PreEscaped<String> {
    let mut out = format!("<{name}");
    for (attribute, value) in attributes {
        add(&mut out, attribute, "", value);
    }
    let mut kinds: IndexMap<&'static str, Vec<String>> = IndexMap::new();
    for reference in about {
        let ids = kinds.entry(reference.kind).or_default();
        let id = word(&reference.id);
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    for (kind, ids) in kinds {
        add(&mut out, "data-", kind, &ids.join(" "));
    }
    out.push('>');
    PreEscaped(out)
}

fn add(out: &mut String, prefix: &str, name: &str, value: &str) {
    let _ = write!(out, " {prefix}{name}=\"");
    // Writing to a String cannot fail.
    let _ = Escaper::new(out).write_str(value);
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stay_inside_their_attribute() {
        let about = [Reference::new("device", "A\" onload=\"x"), Reference::new("device", "B<i>")];
        let PreEscaped(tag) = open("tr", &[("class", "row")], &about);
        assert_eq!(tag, "<tr class=\"row\" data-device=\"A&quot;\u{a0}onload=&quot;x B&lt;i&gt;\">");
    }
}
