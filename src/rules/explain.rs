//! Rules in; what `fairlead explain` prints and the reference page out. Nothing is said twice: all of it is the rules'
//! own words.

use std::fmt::Write as _;

use super::{FAMILIES, Rule};

/// Every rule with its weight and title, family by family: plain text.
pub fn list() -> String {
    let width = FAMILIES.iter().flat_map(|f| f.rules).map(|r| r.name.len()).max().unwrap_or(0);
    let mut text = String::new();
    for family in FAMILIES {
        let _ = writeln!(text, "{}", family.title);
        for rule in family.rules {
            let _ = writeln!(text, "  {:width$}  {:5}  {}", rule.name, rule.severity.word(), rule.title);
        }
        text.push('\n');
    }
    text.push_str("`fairlead explain NAME` tells one of them in full.\n");
    text
}

/// One rule in full: plain text.
pub fn explain(rule: &Rule) -> String {
    let mut text = format!("{} ({})\n{}\n\n", rule.name, rule.severity.word(), rule.title);
    for (heading, words) in parts(rule) {
        let _ = writeln!(text, "{heading}:\n{}\n", indent(&words));
    }
    let _ = writeln!(
        text,
        "accept one finding, with a reason:\n  waive:\n    - {{rule: {}, at: NAME, because: \"…\", by: …, until: 2030-12-31}}",
        rule.name
    );
    if super::judge::cannot_be_waived(rule) {
        text.truncate(text.find("accept one finding").unwrap_or(text.len()));
        text.push_str("findings of this rule cannot be waived\n");
    }
    text
}

/// The reference page of all rules: Markdown.
pub fn reference() -> String {
    let mut page = String::from(
        "# Rules\n\nWhat `fairlead check` looks for. This page is made from the rules' own words; change it there.\n\n\
         A finding is a `stop` (do not build it like this), a `doubt` (a person must look) or a `note`. Where the spec \
         leaves out what a rule needs, the rule says `not judged` and why.\n",
    );
    for family in FAMILIES {
        let _ = writeln!(page, "\n## {}\n", family.title);
        for rule in family.rules {
            let _ = writeln!(page, "### {}\n\n{} (`{}`)\n", rule.name, rule.title, rule.severity.word());
            for (heading, words) in parts(rule) {
                let _ = writeln!(page, "- **{heading}:** {words}");
            }
            page.push('\n');
        }
    }
    page.truncate(page.trim_end().len());
    page.push('\n');
    page
}

fn parts(rule: &Rule) -> [(&'static str, String); 4] {
    [
        ("why", rule.why.to_owned()),
        ("limit", rule.limit.to_owned()),
        ("source", rule.source.words()),
        ("remedy", rule.remedy.to_owned()),
    ]
}

/// Wrapped at 78 columns, two spaces in.
fn indent(words: &str) -> String {
    let mut lines = vec![String::from(" ")];
    for word in words.split_whitespace() {
        let fits = lines.last().is_some_and(|l| l.chars().count() + 1 + word.chars().count() <= 78);
        if !fits {
            lines.push(String::from(" "));
        }
        if let Some(line) = lines.last_mut() {
            line.push(' ');
            line.push_str(word);
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::all;

    #[test]
    fn names_are_unique_and_are_trade_words() {
        let mut names: Vec<&str> = all().map(|r| r.name).collect();
        assert!(names.iter().all(|n| n.chars().all(|c| c.is_ascii_lowercase() || c == '-')));
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
    }

    #[test]
    fn remedies_and_limits_are_single_actions_in_lower_case() {
        for rule in all() {
            for words in [rule.limit, rule.remedy] {
                let first = words.chars().next().unwrap();
                assert!(!first.is_uppercase() && !words.ends_with('.'), "{}: {words}", rule.name);
            }
            assert!(
                rule.why.ends_with('.') && rule.title.chars().next().unwrap().is_uppercase(),
                "{}",
                rule.name
            );
        }
    }

    #[test]
    fn explains_within_the_width_of_a_terminal() {
        for rule in all() {
            let text = explain(rule);
            assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
            assert!(text.contains(&rule.source.words().split_whitespace().next().unwrap().to_owned()));
        }
        assert!(list().lines().all(|l| l.chars().count() <= 110));
        assert!(reference().contains("### swapped-legs"));
    }
}
