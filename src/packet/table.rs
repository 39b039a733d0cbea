//! A list of the shop as plain cells, made once: the CSV file, the paper and the page all show this.

/// What kind of thing a row or cell names, and its name: the same words as the `data-` attributes of the drawings.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reference {
    /// `conductor`, `circuit`, `device`…
    pub kind: &'static str,
    /// The name, as the spec writes it.
    pub id: String,
}

impl Reference {
    /// A reference.
    pub fn new(kind: &'static str, id: impl Into<String>) -> Reference {
        Reference { kind, id: id.into() }
    }
}

/// How a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Start,
    /// Figures that are compared down the column.
    End,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What stands over it, without the unit.
    pub head: &'static str,
    /// Unit of all its figures; None where there are none or each carries its own.
    pub unit: Option<&'static str>,
    /// How it stands.
    pub align: Align,
    /// Percent of the sheet's width that it takes; more where a long name needs it.
    pub share: u8,
}

impl Column {
    /// A column of words.
    pub fn words(head: &'static str, share: u8) -> Column {
        Column { head, unit: None, align: Align::Start, share }
    }

    /// A column of figures in `unit`.
    pub fn figures(head: &'static str, unit: Option<&'static str>, share: u8) -> Column {
        Column { head, unit, align: Align::End, share }
    }
}

/// One cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// A second line in smaller letters; None where there is none.
    pub under: Option<String>,
    /// What a figure is made of, term by term; empty for what is not made of terms.
    pub terms: Vec<(String, String)>,
    /// What it names, where it names one thing.
    pub names: Option<Reference>,
    /// True for a box of its own to tick: a second thing that is done to the row, at another time.
    pub tick: bool,
}

impl Cell {
    /// A cell that names a thing by its own text.
    pub fn naming(kind: &'static str, id: &str) -> Cell {
        Cell { text: id.to_owned(), names: Some(Reference::new(kind, id)), ..Cell::default() }
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell { text: text.into(), ..Cell::default() }
    }
}

/// One line of a list: one piece of work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Unlike any other row of the table, and the same in every build of the same work: check-off marks hang on it.
    pub key: String,
    /// The things it is about; pointing at one of them anywhere marks this row.
    pub about: Vec<Reference>,
    /// For reading: one cell for each column.
    pub cells: Vec<Cell>,
    /// For machines: one field for each of the table's `record_heads`; empty for a row whose parts say it all.
    pub record: Vec<String>,
    /// The group that it stands in; rows of one group stand together.
    pub group: Option<Group>,
    /// True for what is a part of the piece of work in the row above: it has no box, and stays with it.
    pub part: bool,
}

/// What holds for several rows, and is said once above them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// Heading.
    pub title: String,
    /// What can hurt somebody or the machine in any of its rows.
    pub cautions: Vec<String>,
    /// What more holds for all its rows, each under its name.
    pub details: Vec<(&'static str, String)>,
}

impl Group {
    /// A heading and nothing more.
    pub fn titled(title: impl Into<String>) -> Group {
        Group { title: title.into(), cautions: vec![], details: vec![] }
    }
}

/// A list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Stem of its files: `cut-list`.
    pub name: &'static str,
    /// Title on paper.
    pub title: &'static str,
    /// What a row is and how the list is worked through, in a sentence.
    pub purpose: &'static str,
    /// What must be read before the first row: totals and what is not in them.
    pub lead: Vec<String>,
    /// True where each row is a piece of work that is ticked off when it is done.
    pub ticked: bool,
    /// Columns for reading.
    pub columns: Vec<Column>,
    /// Heads of the columns for machines, with their units.
    pub record_heads: Vec<String>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Footnotes.
    pub notes: Vec<String>,
}
