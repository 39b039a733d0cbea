//! Findings as a terminal shows them.

use fairlead::diag::text::{Look, render, summary};
use fairlead::diag::{Finding, Label, Severity, Sources, Span};

fn finding(labels: Vec<Label>) -> Finding {
    Finding {
        rule: "hole-fill",
        severity: Severity::Stop,
        message: "hole `FH1` is 62 % full, and its limit is 40 %".into(),
        labels,
        in_service:
            "a crowded grommet chafes the insulation, and there is no room left to seal the barrier against \
                     fire; the wire shorts to the barrier"
                .into(),
        remedy: "move a circuit to another hole".into(),
        source: "common practice".into(),
        waived: None,
    }
}

fn label(span: Span, text: &str) -> Label {
    Label { span, text: text.into(), id: None }
}

fn of(sources: &Sources, file: u32, part: &str) -> Span {
    let file = fairlead::diag::FileId(file);
    let at = sources.text(file).find(part).unwrap();
    Span::new(file, at, at + part.len())
}

fn two_files() -> (Sources, Finding) {
    let mut sources = Sources::default();
    let far = "# filler\n".repeat(30);
    sources
        .add("loom.yaml", format!("holes:\n  FH1: {{bore: 22 mm}}\n{far}circuits:\n  A: {{through: FH1}}\n"));
    sources.add("shop.yaml", "limits:\n  max-fill: 40 %\n");
    let finding = finding(vec![
        label(of(&sources, 0, "through: FH1"), "the tenth conductor through it"),
        label(of(&sources, 0, "FH1: {bore"), "the hole"),
        label(of(&sources, 1, "40 %"), "the limit is set here"),
    ]);
    (sources, finding)
}

const IN_FULL: &str = "\
stop[hole-fill]: hole `FH1` is 62 % full, and its limit is 40 %
  --> loom.yaml:34:7
   |
34 |   A: {through: FH1}
   |       ^^^^^^^^^^^^ the tenth conductor through it
   |
  ::: loom.yaml:2:3
   |
 2 |   FH1: {bore: 22 mm}
   |   ---------- the hole
   |
  ::: shop.yaml:2:13
   |
 2 |   max-fill: 40 %
   |             ---- the limit is set here
   |
   = in service: a crowded grommet chafes the insulation, and there is no room left to seal the
                 barrier against fire; the wire shorts to the barrier
   = do: move a circuit to another hole
   = source: common practice

";

#[test]
fn the_offender_and_the_limit_are_shown_with_what_to_do() {
    let (sources, finding) = two_files();
    assert_eq!(render(std::slice::from_ref(&finding), &sources, Look::default()), IN_FULL);
    let coloured = render(std::slice::from_ref(&finding), &sources, Look { colour: true, ..Look::default() });
    assert!(coloured.contains("\x1B[1m"));
    let mut plain = String::new();
    for (nth, part) in coloured.split("\x1B[").enumerate() {
        plain.push_str(if nth == 0 { part } else { part.split_once('m').unwrap().1 });
    }
    assert_eq!(plain, IN_FULL);
}

#[test]
fn one_line_and_one_count() {
    let (sources, mut finding) = two_files();
    let look = Look { short: true, ..Look::default() };
    let line = "loom.yaml:34:7: stop: hole-fill: hole `FH1` is 62 % full, and its limit is 40 %\n";
    assert_eq!(render(std::slice::from_ref(&finding), &sources, look), line);
    let mut all = vec![finding.clone()];
    finding.severity = Severity::Doubt;
    all.extend([finding.clone(), finding.clone()]);
    finding.waived = Some("measured on the ground run".into());
    all.push(finding.clone());
    assert_eq!(summary(&all), "1 stop, 2 doubt, 1 waived");
    assert_eq!(summary(&[]), "nothing found");
    let text = render(&[finding], &sources, Look::default());
    assert!(text.starts_with("doubt, waived[hole-fill]: "), "{text}");
    assert!(text.contains("= waived: measured on the ground run\n"), "{text}");
}

#[test]
fn nothing_from_a_spec_drives_the_terminal() {
    let evil = "x\x1B[31m\u{202E}y\r\nfake.yaml:1:1: stop\u{9B}31m\u{2028}";
    let mut sources = Sources::default();
    // A text that the gate refused is still shown.
    let file =
        sources.add(format!("a{evil}.yaml"), format!("k: {evil}\nl: \x07\x08\r \u{2066}z\u{61C}\x7F\n"));
    let mut f = finding(vec![
        Label { span: Span::new(file, 3, 6), text: evil.into(), id: Some(evil.into()) },
        label(Span::new(file, sources.text(file).find('z').unwrap(), 200), evil),
    ]);
    f.message = evil.into();
    f.in_service = evil.into();
    f.remedy = evil.into();
    f.source = evil.into();
    f.waived = Some(evil.into());
    for short in [true, false] {
        let text = render(std::slice::from_ref(&f), &sources, Look { short, ..Look::default() });
        let active =
            |c: &char| (c.is_control() && *c != '\n') || matches!(c, '\u{202E}' | '\u{2028}' | '\u{2066}');
        assert_eq!(text.chars().find(active), None, "{text:?}");
        // A line that begins like a finding of its own would be taken for one.
        assert!(!text.lines().any(|line| line.starts_with("fake.yaml")), "{text}");
    }
}

#[test]
fn any_span_can_be_shown() {
    let texts = ["", "\n", "a", "a: °C\r\nb: µ\n\n", "a:\n  b: 1\n  c: 2\nd: 3\n", "\t- x\n"];
    for text in texts {
        let mut sources = Sources::default();
        let file = sources.add("x.yaml", text);
        let ends = || (0..=text.len() + 2).chain([text.len() + 10_000, u32::MAX as usize]);
        for start in ends() {
            for end in ends() {
                for second in [0, text.len() / 2, text.len() + 1] {
                    let labels = vec![
                        label(Span::new(file, start, end), "one"),
                        label(Span::new(file, second, end), ""),
                    ];
                    let shown = render(&[finding(labels)], &sources, Look::default());
                    assert!(shown.contains("--> x.yaml:"), "{shown}");
                }
            }
        }
    }
    let sources = Sources::default();
    let none = render(&[finding(vec![])], &sources, Look::default());
    assert!(none.starts_with("stop[hole-fill]") && !none.contains("-->"), "{none}");
    assert!(
        render(&[finding(vec![])], &sources, Look { short: true, ..Look::default() })
            .starts_with("stop: hole-fill")
    );
}

#[test]
fn a_whole_entry_is_shown_by_its_first_line() {
    let mut sources = Sources::default();
    let file = sources.add("x.yaml", "a:\n  b: 1\n  c: 2\nd: 3\n");
    let text = render(&[finding(vec![label(Span::new(file, 0, 17), "here")])], &sources, Look::default());
    assert!(text.contains("1 | a:\n  | ^^ here\n"), "{text}");
    assert!(!text.contains("c: 2"), "{text}");
}

#[test]
fn a_large_file_costs_only_the_lines_that_are_shown() {
    let mut sources = Sources::default();
    let lines = "  W1: {from: A, to: B}\n".repeat(400_000);
    let file = sources.add("big.yaml", lines);
    let long = sources.add("long.yaml", "x".repeat(5_000_000));
    let started = std::time::Instant::now();
    let all: Vec<Finding> =
        (0..500).map(|i| finding(vec![label(Span::new(file, i * 16_100 + 2, i * 16_100 + 4), "")])).collect();
    let text = render(&all, &sources, Look::default());
    assert!(text.contains("--> big.yaml:349301:3\n"));
    let text =
        render(&[finding(vec![label(Span::new(long, 4_000_000, 4_000_001), "")])], &sources, Look::default());
    assert!(text.contains("--> long.yaml:1:4000001\n") && text.len() < 1000, "{} bytes", text.len());
    assert!(started.elapsed() < std::time::Duration::from_secs(10), "{:?}", started.elapsed());
}
