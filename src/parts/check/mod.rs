//! Parts of a library in, what does not hold together in them out: names that lead nowhere, halves that do not mate,
//! figures that cannot be.
//!
//! The parts that come with the tool pass, which a test holds; those of a user that do not are told and left out. So
//! everything behind may rely on it: references inside parts lead somewhere, mates have the same cavities, a port has
//! the pins of its kind.

mod device;
mod scale;
mod shell;
mod small;
mod wire;

use super::library::Library;
use crate::diag::Span;

/// Something that does not hold in a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Section of the file: `devices`.
    pub section: &'static str,
    /// Name of the part.
    pub part: String,
    /// Keys from the part down to what is at fault.
    pub path: Vec<String>,
    /// What is wrong, the part named first.
    pub message: String,
    /// One action that mends it.
    pub remedy: String,
}

/// Which parts of a library are checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Those that come with the tool.
    Supplied,
    /// Those of user part files.
    User,
}

impl Origin {
    fn includes(self, span: Option<Span>) -> bool {
        span.is_some() == (self == Origin::User)
    }
}

/// Every fault of the parts of that origin, section by section in the order of the library.
pub fn faults(library: &Library, origin: Origin) -> Vec<Fault> {
    let mut all = Vec::new();
    macro_rules! each {
        ($($section:ident: $check:path),+ $(,)?) => {$(
            for (id, name, part) in library.$section.iter() {
                if origin.includes(library.$section.span(id)) {
                    let mut report = Report { section: stringify!($section), part: name, faults: &mut all };
                    report.name();
                    if part.title.trim().is_empty() {
                        report.fault(&["title"], "has no title", "say what it is, in trade words");
                    }
                    $check(library, name, part, &mut report);
                }
            }
        )+};
    }
    each!(
        devices: device::check,
        shells: shell::check,
        contacts: small::contact,
        lugs: small::lug,
        splices: small::splice,
        wires: wire::check,
        coverings: small::covering,
        linings: small::lining,
        sundries: small::sundry,
    );
    wire::families(library, origin, &mut all);
    all
}

/// Takes the faults of one part.
struct Report<'a> {
    section: &'static str,
    part: &'a str,
    faults: &'a mut Vec<Fault>,
}

impl Report<'_> {
    /// `what` goes on after the part's name: `names shell `x`, which is not in the library`.
    fn fault(&mut self, path: &[&str], what: impl AsRef<str>, remedy: impl Into<String>) {
        self.faults.push(Fault {
            section: self.section,
            part: self.part.to_owned(),
            path: path.iter().map(|key| (*key).to_owned()).collect(),
            message: format!("`{}` {}", self.part, what.as_ref()),
            remedy: remedy.into(),
        });
    }

    /// A name that is not on its shelf.
    fn unknown<'n>(
        &mut self,
        path: &[&str],
        kind: &str,
        name: &str,
        known: impl IntoIterator<Item = &'n str>,
    ) {
        let remedy = match crate::diag::nearest(name, known) {
            Some(near) => format!("write `{near}` if that is what is meant"),
            None => format!("define {kind} `{name}` in a part file, or name one of the library"),
        };
        self.fault(path, format!("names {kind} `{name}`, and there is no such {kind}"), remedy);
    }

    /// Something that must be more than nothing.
    fn above_zero<T: PartialOrd + Default>(&mut self, key: &str, value: T) {
        if value <= T::default() {
            self.fault(&[key], format!("has a `{key}` of nothing"), "write its real size");
        }
    }

    /// The part's name goes into file names, marks and links.
    fn name(&mut self) {
        let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '+');
        let name = self.part;
        if name.is_empty() || name.chars().count() > 60 || !name.chars().all(plain) {
            let what = "is not a name for a part";
            self.fault(&[], what, "use letters, digits, `-`, `_`, `.` and `+`, 60 characters at most");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::model::PartFile;

    #[test]
    fn every_supplied_part_holds_together() {
        let faults = faults(Library::supplied(), Origin::Supplied);
        assert!(faults.is_empty(), "{faults:#?}");
    }

    /// Messages about user parts written as `text`, each with the keys it points at.
    pub(super) fn told(text: &str) -> Vec<String> {
        let mut library = Library::supplied().clone();
        let span = Span::new(crate::diag::FileId(0), 0, 0);
        let file: PartFile = serde_yaml::from_str(text).unwrap();
        library.take(file, |_, _| Some(span), |_, name| panic!("{name} is taken"));
        faults(&library, Origin::User)
            .into_iter()
            .map(|f| format!("{}: {}", f.path.join("/"), f.message))
            .collect()
    }

    #[test]
    fn a_user_part_is_told_by_name_and_place() {
        let text = "devices:\n  own gauge: {title: ' ', style: other}\n";
        assert_eq!(told(text), [": `own gauge` is not a name for a part", "title: `own gauge` has no title"]);
    }

    #[test]
    fn a_near_name_is_offered() {
        let mut library = Library::supplied().clone();
        let text = "devices:\n  own: {title: t, style: other, connectors: {A: {shell: dsub-9-pins}}}\n";
        let span = Some(Span::new(crate::diag::FileId(0), 0, 0));
        library.take(serde_yaml::from_str(text).unwrap(), |_, _| span, |_, _| {});
        let faults = faults(&library, Origin::User);
        assert_eq!(faults[0].remedy, "write `dsub-9-pin` if that is what is meant");
        assert_eq!(faults[0].path, ["connectors", "A", "shell"]);
    }
}
