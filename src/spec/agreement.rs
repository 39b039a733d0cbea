//! Two readers see each spec: `serde_yaml` for the values, the gate's parser for the places and the faults. These
//! properties hold them together: whatever the gate lets pass, both read alike.

use std::fmt::Debug;

use indexmap::IndexMap;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::from_tree::{LeftOut, Reader};
use super::gate;
use crate::diag::{Sink, Sources};

/// The text as a `T` by both readers. None where the gate refuses it.
fn both<T: DeserializeOwned>(text: &str) -> Option<(Result<T, String>, Result<T, String>)> {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let file = super::decode::decode("x.yaml", text.as_bytes(), &mut sources, &mut sink)?;
    let tree = gate::read(&sources, file, &mut sink).filter(|tree| !tree.is_refused())?;
    let left_out = LeftOut::none(&tree);
    let ours = T::deserialize(Reader { tree: &tree, left_out: &left_out, node: tree.root() });
    Some((serde_yaml::from_str(tree.text()).map_err(|e| e.to_string()), ours.map_err(|e| e.to_string())))
}

/// Debug text, because maps compare equal in any order and not-a-number never.
fn agree<T: DeserializeOwned + Debug>(text: &str) -> Result<(), TestCaseError> {
    match both::<T>(text) {
        Some((Ok(first), ours)) => {
            let first = Ok::<T, String>(first);
            prop_assert_eq!(format!("{:?}", first), format!("{:?}", ours), "in {:?}", text);
        }
        Some((Err(_), _)) | None => {}
    }
    Ok(())
}

fn agree_on_faults_too<T: DeserializeOwned + Debug>(text: &str) -> Result<(), TestCaseError> {
    agree::<T>(text)?;
    if let Some((Err(first), ours)) = both::<T>(text)
        && both::<serde_yaml::Value>(text).is_some_and(|(value, _)| value.is_ok())
    {
        prop_assert!(ours.is_err(), "in {:?}: {} but {:?}", text, first, ours);
    }
    Ok(())
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Word {
    Fuel,
    MovingParts,
}

#[allow(dead_code)]
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sample {
    #[serde(default)]
    a: Option<String>,
    #[serde(default)]
    b: u32,
    #[serde(default)]
    c: Vec<f64>,
    #[serde(default)]
    d: IndexMap<String, Option<i64>>,
    #[serde(default)]
    e: Option<[String; 2]>,
    #[serde(default)]
    f: Vec<Word>,
    #[serde(default)]
    g: Option<bool>,
    #[serde(default)]
    h: Option<char>,
    #[serde(default)]
    i: Option<Box<Sample>>,
    #[serde(default)]
    j: serde_yaml::Value,
}

/// Scalars whose reading has gone wrong somewhere before.
const SCALARS: &[&str] = &[
    "no",
    "NO",
    "yes",
    "on",
    "off",
    "y",
    "true",
    "True",
    "TRUE",
    "tRUE",
    "false",
    "null",
    "Null",
    "~",
    "",
    "''",
    "\"\"",
    "010",
    "0",
    "-0",
    "+7",
    "007",
    "0x1F",
    "0X1F",
    "0o17",
    "0b11",
    "-0x1F",
    "1_000",
    "1e3",
    "1E3",
    ".5",
    "5.",
    "1.0",
    "-.5",
    "+.5",
    "+-5",
    ".inf",
    "-.Inf",
    "+.inf",
    ".nan",
    ".NaN",
    "1:30",
    "190:20:30",
    "2026-11-25",
    "12e03",
    "-2e-5",
    "1e999",
    "18446744073709551615",
    "-9223372036854775808",
    "99999999999999999999999999999999999999999",
    "22 mm",
    "45 °C",
    "1/4\"",
    "it's",
    "'it''s'",
    "\"a\\tb\"",
    "\"\\u00e9\"",
    "\"\\\n  b\"",
    "a#b",
    "a #b",
    "a:b",
    "a::b",
    "-a",
    "--",
    "-",
    "?a",
    ":a",
    "a,b",
    "a]b",
    "é漢🎵",
    "=",
    "<<",
    "'<<'",
    "%a",
    "a%b",
    "@",
    "`",
    "!",
    "!a",
    "&a",
    "*a",
    "fuel",
    "moving-parts",
    "\"fuel\"",
    "a\n  b",
    "'a\n  b'",
    "\"a\n\n  b\"",
    "|\n  x\n  y",
    "|-\n  x\n",
    ">\n  x\n  y\n\n  z",
    ">+\n  x\n\n",
    "|2\n   x",
    "a\u{a0}b",
    "# c",
    "a # c",
    "\\n",
    "x ",
    "'x' ",
    "{}",
    "[]",
    "[ a , b ]",
    "{a: 1, b: }",
    "{a, b}",
    "{a: , b: 2}",
    "[a: 1]",
    "[\"a\":1]",
    "{\"a\":1}",
    "[,]",
    "[a,]",
    "[? a : b]",
];

fn scalar() -> impl Strategy<Value = String> {
    proptest::sample::select(SCALARS).prop_map(str::to_owned)
}

fn key() -> impl Strategy<Value = String> {
    const KEYS: &[&str] = &[
        "a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "\"a\"", "'b'", "7", "0x7", "no", "~", "null", "é",
        "a b",
    ];
    proptest::sample::select(KEYS).prop_map(str::to_owned)
}

/// Lines of a block map or list, indented by what they are put under.
fn block(depth: u32) -> BoxedStrategy<Vec<String>> {
    let leaf = scalar().prop_map(|s| s.split('\n').map(str::to_owned).collect::<Vec<String>>());
    if depth == 0 {
        return leaf.boxed();
    }
    let indent = |lines: Vec<String>, by: usize| {
        lines.into_iter().map(move |line| if line.is_empty() { line } else { format!("{:by$}{line}", "") })
    };
    let under = move |head: String, lines: Vec<String>, by: usize, inline: bool| -> Vec<String> {
        let inline = inline || lines.len() == 1;
        if let (true, Some((first, rest))) = (inline, lines.split_first()) {
            let mut all = vec![format!("{head} {first}")];
            all.extend(indent(rest.to_vec(), by));
            all
        } else {
            let mut all = vec![head];
            all.extend(indent(lines, by));
            all
        }
    };
    let map = proptest::collection::vec((key(), block(depth - 1), 0..4usize, any::<bool>()), 1..4).prop_map(
        move |es| {
            es.into_iter()
                .flat_map(|(k, v, by, inline)| under(format!("{k}:"), v, by, inline))
                .collect::<Vec<_>>()
        },
    );
    let list = proptest::collection::vec((block(depth - 1), 1..4usize, any::<bool>()), 1..4).prop_map(
        move |items| {
            items.into_iter().flat_map(|(v, by, inline)| under("-".into(), v, by, inline)).collect::<Vec<_>>()
        },
    );
    let remark = block(depth - 1).prop_map(|mut lines| {
        lines.insert(0, "# remark".into());
        lines
    });
    prop_oneof![2 => leaf, 4 => map, 3 => list, 1 => remark].boxed()
}

fn document() -> impl Strategy<Value = String> {
    (block(3), any::<bool>(), any::<bool>(), any::<bool>()).prop_map(|(lines, crlf, end, start)| {
        let mut text = lines.join("\n");
        if end {
            text.push('\n');
        }
        if start {
            text.insert_str(0, "---\n");
        }
        if crlf { text.replace('\n', "\r\n") } else { text }
    })
}

/// Signs of the language in no order.
const SIGNS: &[&str] = &[
    "a", "b", "a: ", "b:", "- ", "-", "\n", "\n  ", "\n    ", "[", "]", "{", "}", ",", ", ", ": ", ":", "? ",
    "#", " # x", "'", "\"", "|", "|\n", ">-\n", "~", "010", "é", "\t", "---", "---\n", "...\n", "\r\n", " ",
    "  ", "\\", "\n\n", "1",
];

fn soup() -> impl Strategy<Value = String> {
    proptest::collection::vec(proptest::sample::select(SIGNS), 1..24).prop_map(|signs| signs.concat())
}

fn mutated() -> impl Strategy<Value = String> {
    let change = (any::<proptest::sample::Index>(), proptest::sample::select(SIGNS), 0..3usize);
    (document(), proptest::collection::vec(change, 1..4)).prop_map(|(mut text, changes)| {
        for (at, sign, remove) in changes {
            let places: Vec<usize> = text.char_indices().map(|(i, _)| i).chain([text.len()]).collect();
            let at = at.index(places.len());
            let (from, to) = (places[at], places[(at + remove).min(places.len() - 1)]);
            text.replace_range(from..to, sign);
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn generated_texts_have_one_meaning(text in document()) {
        agree::<serde_yaml::Value>(&text)?;
        agree_on_faults_too::<Sample>(&text)?;
    }

    #[test]
    fn mutated_texts_have_one_meaning(text in mutated()) {
        agree::<serde_yaml::Value>(&text)?;
        agree_on_faults_too::<Sample>(&text)?;
    }

    #[test]
    fn signs_in_no_order_have_one_meaning(text in soup()) {
        agree::<serde_yaml::Value>(&text)?;
    }
}

#[test]
fn scalars_mean_the_same_under_every_type() {
    for scalar in SCALARS {
        for text in [
            format!("a: {scalar}\n"),
            format!("- {scalar}\n- x\n"),
            format!("[{scalar}, x]\n"),
            (*scalar).to_owned(),
        ] {
            agree::<serde_yaml::Value>(&text).unwrap();
            agree_on_faults_too::<Vec<String>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, Option<String>>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, f64>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, u64>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, i64>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, bool>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, Word>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, ()>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<String, Vec<u8>>>(&text).unwrap();
            agree_on_faults_too::<IndexMap<char, Option<u8>>>(&text).unwrap();
        }
    }
}

#[test]
fn most_generated_texts_get_through() {
    // A property over texts that are all refused would say nothing.
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut read = 0;
    for _ in 0..300 {
        let text = document().new_tree(&mut runner).unwrap().current();
        read += usize::from(both::<serde_yaml::Value>(&text).is_some_and(|(first, _)| first.is_ok()));
    }
    assert!(read > 60, "{read} of 300");
}
