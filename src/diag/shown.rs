//! Text from a spec in, text that cannot drive a terminal or reorder what is read out.

use std::borrow::Cow;

/// `text` on one line, with a visible sign for every character that would move the cursor, start a terminal command or
/// change the direction of reading.
pub fn shown(text: &str) -> Cow<'_, str> {
    if !text.contains(is_active) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(|c| if is_active(c) { sign(c) } else { c }).collect())
}

/// True for a character that would move the cursor, start a terminal command or change the direction of reading.
pub fn is_active(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{2028}' | '\u{2029}' | '\u{202A}'..='\u{202E}'
        )
        || matches!(c, '\u{2066}'..='\u{2069}' | '\u{FEFF}' | '\u{FFFE}' | '\u{FFFF}')
}

/// Unicode has pictures of the first control characters, in the same order.
fn sign(c: char) -> char {
    match u32::from(c) {
        9 => ' ',
        n @ 0..32 => char::from_u32(0x2400 + n).unwrap_or('\u{FFFD}'),
        0x7F => '\u{2421}',
        _ => '\u{FFFD}',
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_active_is_left() {
        assert_eq!(shown("45 °C, Ω"), "45 °C, Ω");
        assert_eq!(shown("a\x1B[31m\nb\tc"), "a␛[31m␊b c");
        assert_eq!(shown("x\u{202E}y\u{9B}z\u{2028}"), "x\u{FFFD}y\u{FFFD}z\u{FFFD}");
    }
}
