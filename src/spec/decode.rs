//! Bytes of a file in; text in the [`Sources`] store out, or findings that say why it is no text.

use crate::diag::{FileId, Sink, Sources, Span, is_active};

/// Largest file that is read, in bytes. A spec of a hundred thousand circuits is a tenth of it.
pub const MAX_BYTES: usize = 64 * 1024 * 1024;

/// After so many bad characters the file is taken for something else than text.
const MAX_BAD_CHARACTERS: usize = 20;

/// Puts the text of `bytes` into `sources` under `name`, without a leading byte-order mark.
///
/// None where it is too large, not UTF-8, or holds characters that have no business in a text; each is a finding in
/// `sink`. The file is in `sources` even then, so that the findings can be shown.
pub fn decode(name: &str, bytes: &[u8], sources: &mut Sources, sink: &mut Sink) -> Option<FileId> {
    let refuse = |sources: &mut Sources, sink: &mut Sink, message: String, remedy: &str| {
        let file = sources.add(name, "");
        sink.unreadable(Span::new(file, 0, 0), message, remedy);
        None
    };
    if bytes.len() > MAX_BYTES {
        let (have, limit) = (bytes.len() / 1_048_576, MAX_BYTES / 1_048_576);
        let message = format!("the file is {have} MiB long, and files over {limit} MiB are not read");
        return refuse(sources, sink, message, "split the harness into several spec files");
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        let message = "the file is UTF-16 text, and only UTF-8 is read".to_owned();
        return refuse(sources, sink, message, "save it as UTF-8");
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => {
            let file = sources.add(name, text);
            bad_characters(text, file, sink).then_some(file)
        }
        Err(error) => {
            // The replacement characters make the line showable; the valid part before it keeps its offsets.
            let file = sources.add(name, String::from_utf8_lossy(bytes).into_owned());
            let at = error.valid_up_to();
            let byte = bytes.get(at).copied().unwrap_or(0);
            let message = format!("byte 0x{byte:02X} is not UTF-8 text");
            let span = Span::new(file, at, at + '\u{FFFD}'.len_utf8());
            sink.unreadable(span, message, "save the file as UTF-8; it may be in an older Latin encoding");
            None
        }
    }
}

/// True where `text` is clean; otherwise the bad characters are in `sink`.
fn bad_characters(text: &str, file: FileId, sink: &mut Sink) -> bool {
    let mut found = 0;
    let mut from = 0;
    // Only these lead bytes can begin a refused character, so most of a file is passed over bytewise.
    let suspicious = |b: &u8| matches!(b, 0..=0x08 | 0x0B..=0x1F | 0x7F | 0xC2 | 0xD8 | 0xE2 | 0xEF);
    while let Some(at) = text.as_bytes().get(from..).and_then(|rest| rest.iter().position(suspicious)) {
        let start = from + at;
        let Some(c) = text.get(start..).and_then(|t| t.chars().next()) else { break };
        from = start + c.len_utf8();
        let lone_return = c == '\r' && text.as_bytes().get(from) != Some(&b'\n');
        if !lone_return && (c == '\r' || !is_refused(c)) {
            continue;
        }
        found += 1;
        if found > MAX_BAD_CHARACTERS {
            let message = "more characters follow that have no business in a text";
            sink.unreadable(
                Span::new(file, start, from),
                message,
                "give the spec file itself, not a packed or binary one",
            );
            break;
        }
        let message = format!("character {} ({}) has no business in a spec", code_point(c), what(c));
        sink.unreadable(Span::new(file, start, from), message, "delete it, or type it anew");
    }
    found == 0
}

/// Characters that can hide or reorder text, end a line unseen or drive a terminal. A tab and the end of a line are
/// not among them.
pub(super) fn is_refused(c: char) -> bool {
    !matches!(c, '\t' | '\n') && is_active(c)
}

/// Marks that change the direction of reading.
fn is_direction(c: char) -> bool {
    matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// `U+202E`.
pub(super) fn code_point(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

/// What kind of refused character it is, in words.
pub(super) fn what(c: char) -> &'static str {
    match c {
        '\0' => "NUL",
        '\r' => "carriage return without a line feed",
        '\u{1B}' => "escape",
        '\u{85}' | '\u{2028}' | '\u{2029}' => "unusual end of line",
        '\u{FEFF}' => "byte-order mark inside the text",
        c if is_direction(c) => "changes the direction of reading",
        _ => "control character",
    }
}
