//! A connector half in; faults of its face, its mate and its contacts out.

use super::Report;
use crate::parts::library::Library;
use crate::parts::model::{ContactPart, Gender, ShellPart};
use crate::quantity::Length;

pub(super) fn check(library: &Library, name: &str, shell: &ShellPart, report: &mut Report<'_>) {
    face(shell, report);
    mate(library, name, shell, report);
    contacts(library, shell, report);
    for (key, sundry) in [("cavity-plug", &shell.cavity_plug), ("backshell", &shell.backshell)] {
        if let Some(sundry) = sundry.as_deref().filter(|name| library.sundries.find(name).is_none()) {
            report.unknown(&[key], "sundry", sundry, library.sundries.names());
        }
    }
}

fn face(shell: &ShellPart, report: &mut Report<'_>) {
    let mut marks: Vec<&str> = shell.cavities().collect();
    if marks.is_empty() || shell.face.rows.iter().any(Vec::is_empty) {
        report.fault(&["face", "rows"], "has a row without cavities", "write the marks of each row");
    }
    for mark in marks.iter().filter(|mark| mark.contains('.') || mark.chars().any(char::is_whitespace)) {
        let what = format!("has a cavity `{mark}` with a dot or blank in its mark");
        report.fault(&["face", "rows"], what, "mark it with a number or letters");
    }
    marks.sort_unstable();
    let repeated = marks.windows(2).find_map(|pair| match pair {
        [a, b] if a == b => Some(*a),
        _ => None,
    });
    if let Some(mark) = repeated {
        let what = format!("has cavity `{mark}` twice");
        report.fault(&["face", "rows"], what, "mark each cavity once");
    }
    for (key, value) in [("pitch", Some(shell.face.pitch)), ("row-pitch", shell.face.row_pitch)] {
        if value.is_some_and(|value| value == Length::ZERO) {
            report.fault(&["face", key], format!("has a `{key}` of nothing"), "write the distance");
        }
    }
    if shell.outline.contains(&Length::ZERO) {
        report.fault(&["outline"], "has an outline of nothing", "write its width and height");
    }
}

fn mate(library: &Library, name: &str, shell: &ShellPart, report: &mut Report<'_>) {
    let Some((_, mate)) = library.shells.look_up(&shell.mate) else {
        report.unknown(&["mate"], "shell", &shell.mate, library.shells.names());
        return;
    };
    if mate.mate != name {
        let what = format!("mates with `{}`, whose mate is `{}`", shell.mate, mate.mate);
        report.fault(&["mate"], what, "let both halves name each other");
        return;
    }
    // Seen from behind, one half is the other in a mirror.
    let mirrored = |a: &ShellPart, b: &ShellPart| {
        a.face.rows.len() == b.face.rows.len()
            && a.face.rows.iter().zip(&b.face.rows).all(|(x, y)| x.iter().eq(y.iter().rev()))
    };
    let marks = |shell: &ShellPart| {
        let mut marks: Vec<String> = shell.cavities().map(str::to_owned).collect();
        marks.sort_unstable();
        marks
    };
    if marks(shell) != marks(mate) {
        let what = format!("has other cavities than its mate `{}`", shell.mate);
        report.fault(&["face", "rows"], what, "give both halves the same marks");
    } else if !mirrored(shell, mate) {
        let what = format!("is not the mirror image of its mate `{}`", shell.mate);
        report.fault(
            &["face", "rows"],
            what,
            "write the rows of both halves as seen from where the wires enter",
        );
    }
    let gender = |shell: &ShellPart| named(library, shell).map(|(_, contact)| contact.gender).next();
    if let (Some(own), Some(other)) = (gender(shell), gender(mate))
        && own == other
    {
        let what = format!("and its mate `{}` both take {}", shell.mate, word(own));
        report.fault(&["contacts"], what, "give pins to one half and sockets to the other");
    }
    for (mark, contact) in &shell.only {
        let alloy = |name: &str| library.contacts.look_up(name).map(|(_, c)| c.alloy);
        let other = mate.only.get(mark).map(|name| alloy(name));
        if other.is_some_and(|other| other.flatten() != alloy(contact).flatten()) {
            let what = format!("has another metal in cavity `{mark}` than its mate `{}`", shell.mate);
            report.fault(&["only", &mark.0], what, "give both halves contacts of one alloy there");
        }
    }
}

/// Its contacts that exist.
fn named<'a>(library: &'a Library, shell: &'a ShellPart) -> impl Iterator<Item = (&'a str, &'a ContactPart)> {
    let names = shell.contacts.iter().chain(shell.only.values());
    names.filter_map(|name| Some((name.as_str(), library.contacts.look_up(name)?.1)))
}

fn contacts(library: &Library, shell: &ShellPart, report: &mut Report<'_>) {
    if shell.contacts.is_empty() {
        report.fault(&["contacts"], "takes no contact", "name the contacts that fit, preferred one first");
    }
    for contact in shell.contacts.iter().filter(|name| library.contacts.find(name).is_none()) {
        report.unknown(&["contacts"], "contact", contact, library.contacts.names());
    }
    for (mark, contact) in &shell.only {
        if !shell.has_cavity(&mark.0) {
            let what = format!("keeps a contact for cavity `{mark}`, and has no such cavity");
            report.fault(&["only", &mark.0], what, "name one of its cavities");
        }
        if library.contacts.find(contact).is_none() {
            report.unknown(&["only", &mark.0], "contact", contact, library.contacts.names());
        }
    }
    let mut first: Option<(&str, Gender)> = None;
    for (name, contact) in named(library, shell) {
        let (before, gender) = *first.get_or_insert((name, contact.gender));
        if contact.gender != gender {
            let what = format!("takes {} `{before}` and {} `{name}`", word(gender), word(contact.gender));
            report.fault(&["contacts"], what, "give a half pins or sockets, not both");
        }
        if let Some(seal) = shell.seal {
            let apart = contact.insulation.high() < seal.low() || seal.high() < contact.insulation.low();
            if apart {
                let what = format!(
                    "seals on {seal}, and contact `{name}` takes wire of {} over the insulation",
                    contact.insulation
                );
                report.fault(&["seal"], what, "bring the seal and the contact together");
            }
        }
    }
}

fn word(gender: Gender) -> &'static str {
    match gender {
        Gender::Pin => "pins",
        Gender::Socket => "sockets",
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::told;

    /// Two halves with the given keys besides title, outline, pitch and shape.
    fn halves(a: (&str, &str), b: (&str, &str)) -> Vec<String> {
        let half = |name: &str, mate: &str, (rows, rest): (&str, &str)| {
            format!(
                "  {name}: {{title: t, mate: {mate}, outline: [9 mm, 9 mm], \
                face: {{rows: {rows}, pitch: 5 mm, shape: block}}, {rest}}}\n"
            )
        };
        told(&format!("shells:\n{}{}", half("own-a", "own-b", a), half("own-b", "own-a", b)))
    }

    #[test]
    fn halves_mirror_each_other_and_take_opposite_contacts() {
        let pins = "contacts: [sealed-pin-small]";
        let sockets = "contacts: [sealed-socket-small], seal: 1..2 mm";
        assert_eq!(halves(("[[1, 2]]", pins), ("[[2, 1]]", sockets)), [""; 0]);
        assert_eq!(
            halves(("[[1, 2]]", pins), ("[[1, 2]]", pins)),
            [
                "face/rows: `own-a` is not the mirror image of its mate `own-b`",
                "contacts: `own-a` and its mate `own-b` both take pins",
                "face/rows: `own-b` is not the mirror image of its mate `own-a`",
                "contacts: `own-b` and its mate `own-a` both take pins",
            ]
        );
        assert_eq!(
            halves(("[[1, 2, 2]]", pins), ("[[2, 1]]", sockets)),
            [
                "face/rows: `own-a` has cavity `2` twice",
                "face/rows: `own-a` has other cavities than its mate `own-b`",
                "face/rows: `own-b` has other cavities than its mate `own-a`",
            ]
        );
    }

    #[test]
    fn contacts_exist_and_agree() {
        let pins = "contacts: [dsub-pin]";
        assert_eq!(
            halves(
                ("[[1]]", "contacts: [sealed-socket-small, dsub-pin, no-such], only: {9: dsub-socket}"),
                ("[[1]]", pins)
            ),
            [
                "contacts: `own-a` names contact `no-such`, and there is no such contact",
                "only/9: `own-a` keeps a contact for cavity `9`, and has no such cavity",
                "contacts: `own-a` takes sockets `sealed-socket-small` and pins `dsub-pin`",
            ]
        );
        let seal = halves(("[[1]]", "contacts: [dsub-socket], seal: 4..6 mm"), ("[[1]]", pins));
        assert_eq!(
            seal,
            [
                "seal: `own-a` seals on 4..6 mm, and contact `dsub-socket` takes wire of 0.9..2.1 mm over the insulation"
            ]
        );
        let alloys = halves(
            ("[[1]]", "contacts: [thermocouple-blade-iron], only: {1: thermocouple-blade-iron}"),
            ("[[1]]", "contacts: [thermocouple-spring-chromel], only: {1: thermocouple-spring-chromel}"),
        );
        assert_eq!(alloys.len(), 2);
        assert_eq!(alloys[0], "only/1: `own-a` has another metal in cavity `1` than its mate `own-b`");
    }

    #[test]
    fn a_mate_is_mutual() {
        let text = "shells:\n  own: {title: t, mate: dsub-9-pin, outline: [9 mm, 9 mm], \
            face: {rows: [[1]], pitch: 5 mm, shape: block}, contacts: [dsub-socket], backshell: hat}\n";
        assert_eq!(
            told(text),
            [
                "mate: `own` mates with `dsub-9-pin`, whose mate is `dsub-9-socket`",
                "backshell: `own` names sundry `hat`, and there is no such sundry",
            ]
        );
    }
}
