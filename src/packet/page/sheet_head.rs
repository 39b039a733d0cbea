//! Title, style and script of one HTML file in; its whole text out, closed against everything outside.
//!
//! The content policy lets nothing load and nothing run but what stands in the file, by its digest. The typeface is
//! inside, so a paper looks the same everywhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use crate::draw::{Weight, base64, typeface};

/// Wraps `body` into a whole file.
pub(super) fn document(title: &str, style: &str, script: Option<&str>, body: &Markup) -> String {
    let faces = [(Weight::Regular, "normal"), (Weight::Bold, "bold")].map(|(weight, name)| {
        let data = base64::encode(typeface::file(weight));
        format!(
            "@font-face{{font-family:{};font-weight:{name};src:url(data:font/otf;base64,{data})}}\n",
            typeface::FAMILY
        )
    });
    let faces = faces.concat();
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

/// A source expression that allows exactly this text (W3C Content Security Policy Level 3, section 2.3.1).
fn digest(text: &str) -> String {
    format!("'sha256-{}'", base64::encode(&Sha256::digest(text.as_bytes())))
}
