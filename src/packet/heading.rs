//! What stands at the head of every paper, taken from the harness.

use crate::harness::Header;

/// Title and particulars of the harness, as text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heading {
    /// Title.
    pub title: String,
    /// Drawing number.
    pub drawing: String,
    /// Revision index; None where the spec has none.
    pub revision: Option<String>,
    /// Names and values of the other particulars that the spec gives.
    pub particulars: Vec<(&'static str, String)>,
    /// Remark for every paper; None where the spec has none.
    pub remark: Option<String>,
}

impl Heading {
    /// From the header of a harness.
    pub fn of(header: &Header) -> Heading {
        let given = [
            ("for", header.machine.clone()),
            ("owner", header.owner.clone()),
            ("issued", header.issued.map(|day| day.to_string())),
            ("supply", header.supply.map(|volts| volts.value.to_string())),
        ];
        Heading {
            title: header.title.clone(),
            drawing: header.drawing.clone(),
            revision: header.revision.clone(),
            particulars: given.into_iter().filter_map(|(name, value)| Some((name, value?))).collect(),
            remark: header.remark.clone(),
        }
    }

    /// One of the other particulars; None where the spec does not give it.
    pub fn particular(&self, name: &str) -> Option<&str> {
        self.particulars.iter().find(|(n, _)| *n == name).map(|(_, value)| value.as_str())
    }

    /// Title, number and revision in one line: `Engine gauge loom, T2-77-10 revision B`.
    pub fn line(&self) -> String {
        let revision = self.revision.as_ref().map(|r| format!(" revision {r}")).unwrap_or_default();
        format!("{}, {}{revision}", self.title, self.drawing)
    }
}
