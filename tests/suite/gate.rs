//! Files that cannot be trusted: each must end in findings with a place, quickly, and without a crash.

use std::time::{Duration, Instant};

use fairlead::diag::{FileId, Finding, Sink, Sources, Span};
use fairlead::spec::decode::{MAX_BYTES, decode};
use fairlead::spec::gate::{self, MAX_DEPTH};
use fairlead::spec::tree::{Kind, Tree};

fn read(bytes: &[u8]) -> (Sources, Option<Tree>, Vec<Finding>) {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let file = decode("spec.yaml", bytes, &mut sources, &mut sink);
    let tree = file.and_then(|file| gate::read(&sources, file, &mut sink));
    let findings = sink.into_sorted();
    for finding in &findings {
        assert!(!finding.remedy.is_empty(), "{finding:?}");
        assert!(!finding.labels.is_empty(), "{finding:?}");
    }
    (sources, tree, findings)
}

/// `line:column message` of every finding.
fn said(bytes: &[u8]) -> Vec<String> {
    let started = Instant::now();
    let (sources, tree, findings) = read(bytes);
    assert!(started.elapsed() < Duration::from_secs(5), "took {:?}", started.elapsed());
    assert_eq!(findings.is_empty(), tree.is_some_and(|t| !t.is_refused()));
    let line = |f: &Finding| {
        let at = sources.position(f.labels[0].span);
        format!("{}:{} {}", at.line, at.column, f.message)
    };
    findings.iter().map(line).collect()
}

fn said_once(bytes: &[u8]) -> String {
    let said = said(bytes);
    assert_eq!(said.len(), 1, "{said:#?}");
    said[0].clone()
}

#[test]
fn a_clean_text_becomes_a_tree_with_places() {
    let text = "zones:\n  cabin: {ambient: 45 °C}\n  engine:\n    hazards: [fuel, oil]\n\nparts: []\nnote: 'it''s'\n";
    let (sources, tree, findings) = read(text.as_bytes());
    assert!(findings.is_empty(), "{findings:?}");
    let tree = tree.unwrap();
    let root = tree.root();
    let keys: Vec<&str> = tree.entries(root).map(|e| e.key).collect();
    assert_eq!(keys, ["zones", "parts", "note"]);
    let at = |span: Span| {
        (sources.position(span).line, sources.position(span).column, sources.excerpt(span).to_owned())
    };

    let ambient = tree.find(root, &["zones", "cabin", "ambient"]).unwrap();
    assert_eq!(at(tree.span(ambient)), (2, 20, "45 °C".into()));
    assert_eq!(at(tree.key_span(ambient).unwrap()), (2, 11, "ambient".into()));
    assert_eq!(at(tree.label_span(ambient)), (2, 20, "45 °C".into()));

    let engine = tree.find(root, &["zones", "engine"]).unwrap();
    assert_eq!(at(tree.label_span(engine)), (3, 3, "engine".into()));
    assert_eq!(at(tree.span(engine)), (4, 5, "hazards: [fuel, oil]".into()));
    let hazards = tree.get(engine, "hazards").unwrap();
    assert_eq!(tree.kind(hazards), Kind::List);
    let items: Vec<&str> = tree.items(hazards).map(|i| tree.scalar(i).unwrap()).collect();
    assert_eq!(items, ["fuel", "oil"]);
    assert_eq!(tree.scalar(tree.get(root, "note").unwrap()), Some("it's"));
    assert_eq!(tree.get(root, "nothing"), None);
}

#[test]
fn large_maps_are_searched_by_an_index() {
    let text: String = (0..500).rev().map(|i| format!("W{i}: {i}\n")).collect();
    let (_, tree, _) = read(text.as_bytes());
    let tree = tree.unwrap();
    for i in 0..500 {
        let node = tree.get(tree.root(), &format!("W{i}")).unwrap();
        assert_eq!(tree.scalar(node), Some(i.to_string().as_str()));
    }
    assert_eq!(tree.get(tree.root(), "W500"), None);
}

#[test]
fn an_empty_value_is_pointed_at_by_its_key() {
    let (sources, tree, _) = read(b"a:\n  b:\nc: 1\n");
    let tree = tree.unwrap();
    let b = tree.find(tree.root(), &["a", "b"]).unwrap();
    assert_eq!(sources.excerpt(tree.label_span(b)), "b");
    assert_eq!(tree.scalar(b), Some(""));
    assert_eq!(sources.excerpt(tree.span(tree.get(tree.root(), "a").unwrap())), "b");
}

#[test]
fn handles_merges_tags_and_doubles_are_all_told_in_one_run() {
    let text = "a: &x 1\nb: *x\n<<: {c: 1}\nd: !!str 5\nb: 2\n[1, 2]: z\ne: *nowhere\n";
    let said = said(text.as_bytes());
    let starts = [
        "1:4 `&x`",
        "2:4 `*x`",
        "3:1 `<<`",
        "4:4 `!!str`",
        "5:1 `b` stands twice",
        "6:1 a map or list",
        "7:4 `*nowhere`",
    ];
    assert_eq!(said.len(), starts.len(), "{said:#?}");
    for (line, start) in said.iter().zip(starts) {
        assert!(line.starts_with(start), "{line}\n{start}");
    }
}

#[test]
fn a_double_shows_both_places() {
    let (sources, _, findings) = read(b"GND:\n  at: ENG\nOIL: {}\nGND:\n  at: FW\n");
    let places: Vec<usize> = findings[0].labels.iter().map(|l| sources.position(l.span).line).collect();
    assert_eq!(places, [4, 1]);
    let text: String = (0..40).map(|i| format!("W{}: {i}\n", i % 39)).collect();
    assert_eq!(
        said_once(text.as_bytes()),
        "40:1 `W0` stands twice in the same map, and only one of them can be meant"
    );
}

#[test]
fn an_alias_bomb_does_not_unfold() {
    let mut text = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for i in 1..40 {
        let inner = vec![format!("*a{}", i - 1); 9].join(", ");
        text.push_str(&format!("a{i}: &a{i} [{inner}]\n"));
    }
    let said = said(text.as_bytes());
    assert_eq!(said.len(), 101);
    assert!(said[100].contains("reading stops here, after 100 findings"), "{}", said[100]);
}

#[test]
fn bottomless_nesting_is_refused_at_its_depth() {
    for unit in ["[", "{a: ", "- ", "? "] {
        let said = said_once(unit.repeat(100_000).as_bytes());
        assert!(said.starts_with("1:"), "{unit}: {said}");
        assert!(said.contains("nested"), "{unit}: {said}");
    }
    let deep: String = (0..100).map(|i| format!("{}k:\n", " ".repeat(i))).collect();
    assert!(said_once(deep.as_bytes()).contains("nested more than 64 deep"));
    let just = format!("{}{}", "[".repeat(MAX_DEPTH), "]".repeat(MAX_DEPTH));
    assert!(said(just.as_bytes()).is_empty());
}

#[test]
fn encodings_other_than_utf_8_are_named() {
    assert_eq!(said_once(b"a: 1\nb: 45 \xB0C\n"), "2:7 byte 0xB0 is not UTF-8 text");
    assert!(said_once(b"\xFF\xFEa\0:\0 \x001\0").contains("UTF-16"));
    assert!(said_once(b"\xFE\xFF\0a\0:\0 \x001").contains("UTF-16"));
    assert!(said_once(b"a: \xC3").contains("0xC3"));
}

#[test]
fn a_byte_order_mark_is_passed_over_and_refused_inside() {
    assert!(said(b"\xEF\xBB\xBFfairlead: 1\n").is_empty());
    let (sources, ..) = read(b"\xEF\xBB\xBFfairlead: 1\n");
    assert_eq!(sources.text(FileId(0)), "fairlead: 1\n");
    assert!(said_once("a: 1\n\u{FEFF}b: 2\n".as_bytes()).starts_with("2:1 character U+FEFF"));
}

#[test]
fn control_characters_are_refused_raw_and_as_escapes() {
    assert!(said_once(b"a: x\0y\n").starts_with("1:5 character U+0000 (NUL)"));
    assert!(said_once(b"a: x\x1B[31m\n").contains("U+001B (escape)"));
    assert!(said_once("a: \u{202E}x\n".as_bytes()).contains("direction of reading"));
    assert!(said_once("a: x\u{85}b: y\n".as_bytes()).contains("U+0085"));
    assert!(said_once(b"a: 1\rb: 2\n").contains("U+000D (carriage return without a line feed)"));
    assert!(said_once(br#"a: "x\e[31m""#).starts_with("1:4 the escapes spell the character U+001B"));
    assert!(said_once(br#"a: "x\u202Ey""#).contains("U+202E"));
    assert!(said_once(br#""x\ny": 1"#).contains("a name goes over the end of a line"));
    assert_eq!(said(&[0; 4096]).len(), 21);
    assert!(said(b"a: 1\r\nb: |\r\n  x\r\n  y\r\n").is_empty());
}

#[test]
fn a_value_is_not_lost_to_a_remark() {
    // `#10` is a stud size; after a space YAML takes it for a remark and the value would be gone.
    let text = "ENG:\n  stud: #10\n  at: x # seen\nzones: # spaces\n  a: {}\nnext:\n  #old: 1\n  b: 2\n";
    let said_of = said_once(text.as_bytes());
    assert_eq!(said_of, "2:9 `stud` is left empty, because what follows `#` is a remark to YAML");
    let (_, _, findings) = read(text.as_bytes());
    assert!(findings[0].remedy.starts_with("write `'#10'` in quotes"), "{}", findings[0].remedy);
    let said_of = said_once(b"ENG: {stud: #10, at: x}\nb: 1\n");
    assert_eq!(said_of, "1:13 a bracket is never closed, because what follows `#` is a remark to YAML");
    assert!(said(b"stud: '#10'\nother: a#10\n").is_empty());
}

#[test]
fn a_text_without_entries_is_refused() {
    for text in ["hello", "|\n#", "'x'", "---\n"] {
        assert!(said_once(text.as_bytes()).contains("the file is one text"), "{text}");
    }
    assert!(said_once(b"a: [?b, c]\n").contains("begins with `?`"));
}

#[test]
fn a_second_document_and_an_empty_file_are_refused() {
    assert!(said_once(b"a: 1\n---\nb: 2\n").starts_with("2:1 a second document begins here"));
    assert!(said(b"---\na: 1\n...\n").is_empty());
    for empty in ["", "\n\n", "# only a remark\n", "\u{FEFF}"] {
        assert!(said_once(empty.as_bytes()).contains("the file is empty"), "{empty:?}");
    }
    assert!(said_once(b"%YAML 1.1\n---\na: 1\n").contains("begins with `%`"));
}

#[test]
fn a_file_over_the_limit_is_not_read() {
    assert!(said_once(&vec![b' '; MAX_BYTES + 1]).contains("over 64 MiB"));
}

#[test]
fn what_is_no_yaml_is_told_in_words() {
    let indent = "a second `:` stands on the line, or the line is indented wrongly";
    for (text, expected) in [
        ("a:\n\tb: 1\n", "2:1 a tab stands where only spaces may".to_owned()),
        ("a: \"x\nb: 1\n", "1:4 a quote is opened here and never closed".to_owned()),
        ("a: [1, 2\nb: 3\n", "2:2 a `:` stands where none is expected".to_owned()),
        ("a: {b: 1, c: 2\n", "1:4 `{` is opened and never closed".to_owned()),
        ("a: [1, 2}\n", "1:4 `[` is closed by `}`".to_owned()),
        ("a: 1\n   b: 2\n", format!("2:5 {indent}")),
        ("a: b: c\n", format!("1:5 {indent}")),
        ("a: 1/4\" stud\nb: \"x\" y\n", "2:8 something follows the closing quote".to_owned()),
        ("a: 1\nb\nc: 2\n", "2:1 an entry `name: value` is expected here".to_owned()),
        ("a: @x\n", "1:4 a value cannot begin with `@`".to_owned()),
        ("a: \"\\q\"\n", "1:4 a `\\` in double quotes begins no known sign".to_owned()),
        ("a: 1\n- b\n", "2:3 an entry `name: value` is expected here".to_owned()),
    ] {
        assert_eq!(said_once(text.as_bytes()), expected, "{text:?}");
    }
}

#[test]
fn any_bytes_end_in_a_tree_or_in_findings() {
    // Every prefix and every single-byte change of a text that uses most of the language.
    let text =
        "fairlead: 1\nh: {t: \"a b\", 'd': x}\nr:\n  - {l: 900 mm}\n  - |\n   é\nk: >-\n  a\n\n  b # c\n";
    let bytes = text.as_bytes();
    for end in 0..bytes.len() {
        read(&bytes[..end]);
    }
    for at in 0..bytes.len() {
        for byte in
            [0, b'\t', b'\n', b' ', b'"', b'&', b'\'', b'*', b',', b'-', b':', b'?', b'[', b'{', b'}', 0xC2]
        {
            let mut changed = bytes.to_vec();
            changed[at] = byte;
            read(&changed);
        }
    }
}
