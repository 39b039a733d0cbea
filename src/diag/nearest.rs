//! A misspelt name in, the known name that was probably meant out.

/// The candidate that differs least from `name`, if it is near enough to be meant: upper and lower case, `_` and
/// spaces count for nothing, and one letter in three may be wrong, missing, added or swapped with its neighbour.
/// Of equally near ones the first wins.
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |text: &str| text.to_lowercase().replace(['_', ' '], "-");
    let wanted = plain(name);
    let length = wanted.chars().count();
    let allowed = (length / 3).max(1);
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let other = plain(candidate);
        // Two texts differ by at least their difference in length.
        if other.chars().count().abs_diff(length) > allowed {
            continue;
        }
        let distance = strsim::osa_distance(&wanted, &other);
        // Of a name of two letters, one in common is no likeness.
        let near = distance <= allowed && distance < length;
        if near && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_what_was_meant_and_nothing_else() {
        let known = ["from", "to", "length", "max-conductors", "trades-with", "CHT1", "CHT2"];
        for (typed, meant) in [
            ("form", Some("from")),
            ("lenght", Some("length")),
            ("max_conductors", Some("max-conductors")),
            ("Trades With", Some("trades-with")),
            ("cht1", Some("CHT1")),
            ("CHT3", Some("CHT1")),
            ("colour", None),
            ("x", None),
            ("", None),
        ] {
            assert_eq!(nearest(typed, known), meant, "{typed}");
        }
    }
}
