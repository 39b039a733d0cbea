//! Title, style and script of one HTML file in; its whole text out, closed against everything outside.
//!
//! The content policy lets nothing load and nothing run but what stands in the file, by its digest. The typeface is
//! inside, so a paper looks the same everywhere: all of it where one may type, else the letters that are used.

use std::collections::BTreeSet;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use crate::draw::{Weight, base64, typeface};

/// Wraps `body` into a whole file.
pub(super) fn document(title: &str, style: &str, script: Option<&str>, body: &Markup) -> String {
    // A page with a script is searched: whoever types may type any letter.
    let letters = script.is_none().then(|| letters(&[style, &body.0]));
    let face = |weight| match &letters {
        Some(letters) => typeface::face_rule(weight, &typeface::cut(weight, letters)),
        None => typeface::face_rule(weight, typeface::file(weight)),
    };
    let faces = Weight::ALL.map(face).concat();
    let digests = format!("{} {}", digest(&faces), digest(style));
    let scripts = script.map_or_else(|| "'none'".to_owned(), digest);
    let policy = format!(
        "default-src 'none'; style-src {digests}; script-src {scripts}; font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
    );
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { (title) }
                // An empty icon, so that no browser asks for one.
                link rel="icon" href="data:,";
                style { (PreEscaped(&faces)) }
                style { (PreEscaped(style)) }
            }
            body {
                (body)
                @if let Some(script) = script {
                    script { (PreEscaped(script)) }
                }
            }
        }
    };
    let mut text = page.into_string();
    text.push('\n');
    text
}

/// What may be shown of these texts: their letters, and all of ASCII, of which some stand for others in markup.
fn letters(texts: &[&str]) -> BTreeSet<char> {
    (' '..='~').chain(texts.iter().flat_map(|text| text.chars())).collect()
}

/// A source expression that allows exactly this text (W3C Content Security Policy Level 3, section 2.3.1).
fn digest(text: &str) -> String {
    format!("'sha256-{}'", base64::encode(&Sha256::digest(text.as_bytes())))
}
