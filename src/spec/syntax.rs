//! A parser's complaint in; words for a mechanic out.

use granit_parser::ErrorKind;

use crate::diag::Span;

/// Place, message and remedy for text that is no YAML. `at` is where the parser noticed it.
pub(super) fn words(kind: &ErrorKind, at: Span, text: &str) -> (Span, String, String) {
    use ErrorKind as E;
    let (message, remedy): (String, &str) = match kind {
        E::TabNotAllowed | E::TabInBlockIndentation | E::TabInIndentation | E::TabInPlainScalar => {
            ("a tab stands where only spaces may".into(), "indent with spaces")
        }
        E::TabAtBlockScalarStart => ("a text block begins with a tab".into(), "indent with spaces"),
        E::UnclosedQuotedScalar | E::DocumentIndicatorInQuotedScalar => {
            ("a quote is opened here and never closed".into(), "close the quote")
        }
        E::InvalidTrailingSingleQuotedScalar | E::InvalidTrailingDoubleQuotedScalar => (
            "something follows the closing quote".into(),
            "put the whole value inside the quotes; an inch sign needs single quotes around it",
        ),
        E::UnclosedFlowCollection { open } => {
            (format!("`{open}` is opened and never closed"), "close the bracket")
        }
        E::MismatchedFlowCollectionEnd { open, close } => {
            (format!("`{open}` is closed by `{close}`"), "close each bracket by its own kind")
        }
        E::MisplacedFlowCollectionEnd => {
            ("a bracket is closed that was never opened".into(), "remove the bracket")
        }
        E::ExpectedFlowMappingSeparator => (
            "a `,` or `}` is missing in a map in braces".into(),
            "put a `,` between entries and a space after each `:`; quote a value that holds `,` `{` `}` `[` or `]`",
        ),
        E::ExpectedFlowSequenceSeparator => (
            "a `,` or `]` is missing in a list in brackets".into(),
            "put a `,` between items; quote an item that holds `,` `{` `}` `[` or `]`",
        ),
        E::UnexpectedEofFlowSequence
        | E::UnexpectedEofFlowMapping
        | E::UnexpectedEofImplicitFlowMapping
        | E::UnexpectedEofBlockSequence
        | E::UnexpectedEofBlockMapping
        | E::UnexpectedEof => ("the file ends in the middle of an entry".into(), "finish the entry"),
        E::MappingValueNotAllowed | E::MappingKeyNotAllowed => (
            "a second `:` stands on the line, or the line is indented wrongly".into(),
            "quote a value that holds `: `, or indent the line like its neighbours",
        ),
        E::ExpectedBlockMappingKey | E::SimpleKeyExpected | E::InvalidSimpleKey => (
            "an entry `name: value` is expected here".into(),
            "put a `:` and a space after the name, and indent the line like its neighbours",
        ),
        E::ExpectedBlockSequenceEntry | E::BlockSequenceEntryNotAllowed | E::BlockEntryInFlowCollection => (
            "a `- ` item stands where none is expected, or the line is indented wrongly".into(),
            "indent the items of one list alike, and give the list a name on the line above",
        ),
        E::InvalidIndentation
        | E::InvalidQuotedScalarIndent
        | E::InvalidFlowScalarIndent
        | E::InvalidBlockScalarIndent => {
            ("the line is indented wrongly".into(), "indent the line like its neighbours")
        }
        E::InvalidMappingValueWhitespace
        | E::InvalidColonPlacement
        | E::FlowMappingValueAdjacentCollection => (
            "a `:` stands where none is expected".into(),
            "close a bracket or quote left open above, put one space after the `:`, or quote the value",
        ),
        E::UnexpectedCharacter { character } => {
            (format!("a value cannot begin with `{}`", character.escape_default()), "put the value in quotes")
        }
        E::CommentNotSeparated | E::CommentInterceptedScalar => (
            "a remark cuts into a value".into(),
            "put a space before the `#`, or quote a value that holds `#`",
        ),
        E::UnknownQuotedScalarEscape
        | E::InvalidQuotedScalarHexEscape
        | E::InvalidUnicodeEscape
        | E::InvalidLowSurrogateHexEscape
        | E::InvalidLowSurrogate
        | E::MissingLowSurrogate
        | E::UnpairedLowSurrogate => (
            "a `\\` in double quotes begins no known sign".into(),
            "use single quotes, or write `\\\\` for a `\\`",
        ),
        E::DirectiveDisallowed | E::MissingDocumentEndBeforeDirective => {
            ("a line that begins with `%` sets up the reader, and a spec has none".into(), "remove the line")
        }
        E::RecursionLimitExceeded => {
            ("maps and lists are nested too deep here".into(), "close the brackets that were left open")
        }
        other => {
            (format!("this is not YAML: {other}"), "look for a missing quote, bracket or `:` here or above")
        }
    };
    let in_brackets = matches!(
        kind,
        E::UnclosedFlowCollection { .. }
            | E::MismatchedFlowCollectionEnd { .. }
            | E::ExpectedFlowMappingSeparator
            | E::ExpectedFlowSequenceSeparator
            | E::InvalidColonPlacement
    );
    if let Some((at, word)) = remark_near(at, text).filter(|_| in_brackets) {
        let message = "a bracket is never closed, because what follows `#` is a remark to YAML".to_owned();
        return (at, message, format!("write `'{word}'` in quotes"));
    }
    let is_tab = remedy == "indent with spaces";
    (if is_tab { tab_before(at, text) } else { visible(at, text) }, message, remedy.to_owned())
}

/// `#10` in `stud: #10, at: x`: the word of a remark that looks like a value, because no space follows the `#`.
pub(super) fn value_like_remark(line: &str) -> Option<&str> {
    let at =
        line.find([' ', '\t']).and_then(|space| line.get(space..)?.find('#').map(|hash| space + hash))?;
    let remark =
        line.get(at..).filter(|_| line.get(..at).is_some_and(|before| before.ends_with([' ', '\t'])))?;
    let end =
        remark.find(|c: char| c.is_whitespace() || matches!(c, ',' | '}' | ']')).unwrap_or(remark.len());
    remark.get(..end).filter(|word| word.chars().nth(1).is_some_and(char::is_alphanumeric))
}

/// The nearest value-like remark on the line of `at` or the one before.
fn remark_near(at: Span, text: &str) -> Option<(Span, &str)> {
    let line_start = |before: usize| text.get(..before).and_then(|t| t.rfind('\n')).map_or(0, |nl| nl + 1);
    let own = line_start((at.start as usize).min(text.len()));
    let starts = [own, line_start(own.saturating_sub(1))];
    starts.into_iter().find_map(|start| {
        let line = text.get(start..)?.lines().next()?;
        let word = value_like_remark(line)?;
        let from = start + line.find(word)?;
        Some((Span::new(at.file, from, from + word.len()), word))
    })
}

/// The last tab up to `at`; the parser notices some only at the next token.
fn tab_before(at: Span, text: &str) -> Span {
    let read = text.get(..(at.start as usize + 1).min(text.len())).or_else(|| text.get(..at.start as usize));
    match read.and_then(|t| t.rfind('\t')) {
        Some(tab) => Span::new(at.file, tab, tab + 1),
        None => visible(at, text),
    }
}

/// One character at `at`; at the end of the text the last character that can be seen.
fn visible(at: Span, text: &str) -> Span {
    let start = at.start as usize;
    match text.get(start..).and_then(|t| t.chars().next()) {
        Some(c) => Span::new(at.file, start, start + c.len_utf8()),
        None => {
            let end = text.trim_end().len();
            let last = text.get(..end).and_then(|t| t.chars().next_back()).map_or(0, char::len_utf8);
            Span::new(at.file, end - last, end)
        }
    }
}
