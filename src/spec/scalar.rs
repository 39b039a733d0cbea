//! The text of a scalar without quotes in, what it means out. `serde_yaml` decides; this asks it, and does as it does
//! where it cannot be asked.

/// The meaning of a scalar without quotes, by the rules of YAML 1.2's core schema as `serde_yaml` applies them.
pub(super) enum Meaning<'t> {
    Nothing,
    Truth(bool),
    Whole(u64),
    Negative(i64),
    Fraction(f64),
    Text(&'t str),
}

/// What the text means where nothing in particular is asked for.
pub(super) fn meaning(text: &str) -> Meaning<'_> {
    match text {
        "" | "null" | "Null" | "NULL" | "~" => return Meaning::Nothing,
        "true" | "True" | "TRUE" => return Meaning::Truth(true),
        "false" | "False" | "FALSE" => return Meaning::Truth(false),
        _ => {}
    }
    let Ok(number) = text.parse::<serde_yaml::Number>() else { return Meaning::Text(text) };
    match (number.as_u64(), number.as_i64(), number.as_f64()) {
        (Some(n), _, _) => Meaning::Whole(n),
        (None, Some(n), _) => Meaning::Negative(n),
        (None, None, Some(n)) => Meaning::Fraction(n),
        (None, None, None) => Meaning::Text(text),
    }
}

/// What `serde_yaml` takes for a fraction when it is asked for one; unlike a guess it allows leading zeros.
pub(super) fn fraction(text: &str) -> Option<f64> {
    let unsigned = match text.strip_prefix('+') {
        Some(rest) if rest.starts_with(['+', '-']) => return None,
        Some(rest) => rest,
        None => text,
    };
    match (unsigned, text) {
        (".inf" | ".Inf" | ".INF", _) => Some(f64::INFINITY),
        (_, "-.inf" | "-.Inf" | "-.INF") => Some(f64::NEG_INFINITY),
        (_, ".nan" | ".NaN" | ".NAN") => Some(f64::NAN),
        _ => unsigned.parse::<f64>().ok().filter(|n| n.is_finite()),
    }
}

/// A whole number that is not below zero.
pub(super) fn whole(text: &str) -> Option<u64> {
    // `-0` is a number below zero to `serde_yaml`.
    text.strip_prefix('-').is_none().then_some(text)?.parse::<serde_yaml::Number>().ok()?.as_u64()
}

/// A whole number.
pub(super) fn signed(text: &str) -> Option<i64> {
    text.parse::<serde_yaml::Number>().ok()?.as_i64()
}

/// `true` or `false`.
pub(super) fn truth(text: &str) -> Option<bool> {
    match meaning(text) {
        Meaning::Truth(b) => Some(b),
        _ => None,
    }
}
