//! The records of a table in; CSV bytes out, by RFC 4180: UTF-8, comma, CRLF, every field in quotes, one header line.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage return for a formula and may
//! run it. Such a cell gets an apostrophe in front, which spreadsheets show as text (OWASP, "CSV Injection"). The
//! full-width forms of the four signs are treated the same. The header counts as a cell. A plain negative number is left
//! as it is: a figure, that a spreadsheet adds up.

use super::table::Table;

/// Name of the first column while a packet is built despite findings.
const BANNER_HEAD: &str = "caution";

/// Writes `table`. With a `banner` every line begins with it, so that no line can be taken out of the file without it.
pub fn write(table: &Table, banner: Option<&str>) -> Vec<u8> {
    let mut out = String::new();
    let heads = table.record_heads.iter().map(String::as_str);
    line(&mut out, banner.map(|_| BANNER_HEAD).into_iter().chain(heads));
    for row in table.rows.iter().filter(|row| !row.record.is_empty()) {
        line(&mut out, banner.into_iter().chain(row.record.iter().map(String::as_str)));
    }
    out.into_bytes()
}

fn line<'a>(out: &mut String, fields: impl Iterator<Item = &'a str>) {
    for (i, field) in fields.enumerate() {
        if i > 0 {
            out.push(',');
        }
        out.push('"');
        out.push_str(&harmless(field).replace('"', "\"\""));
        out.push('"');
    }
    out.push_str("\r\n");
}

/// The text with an apostrophe before what a spreadsheet would run.
fn harmless(text: &str) -> String {
    let runs = |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠');
    let figure = |text: &str| {
        let digits = |c: char| c.is_ascii_digit() || c == '.';
        text.strip_prefix('-')
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()) && rest.chars().all(digits))
    };
    if text.trim_start_matches(' ').starts_with(runs) && !figure(text) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packet::table::Row;

    fn table(cells: &[&str]) -> Table {
        let row = Row {
            key: "1".into(),
            about: vec![],
            cells: vec![],
            record: cells.iter().map(|c| (*c).to_owned()).collect(),
            group: None,
            part: false,
        };
        Table {
            name: "cut-list",
            title: "Cut list",
            purpose: "",
            lead: Vec::new(),
            ticked: true,
            columns: vec![],
            record_heads: vec!["mark".into(), "cut length (mm)".into()],
            rows: vec![row],
            notes: vec![],
        }
    }

    fn text(cells: &[&str], banner: Option<&str>) -> String {
        String::from_utf8(write(&table(cells), banner)).unwrap()
    }

    #[test]
    fn lines_end_and_quotes_double_as_rfc_4180_says() {
        // RFC 4180, section 2: rule 1 (CRLF), 5 and 7 (quotes).
        let out = text(&["a \"b\", c", "1 035"], None);
        assert_eq!(out, "\"mark\",\"cut length (mm)\"\r\n\"a \"\"b\"\", c\",\"1 035\"\r\n");
    }

    #[test]
    fn nothing_begins_like_a_formula() {
        for nasty in ["=1+1", "+1", "-1+1", "-", "-A1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "\n=1"] {
            let out = text(&[nasty, ""], None);
            let line = out.split_once("\r\n").unwrap().1;
            assert!(line.starts_with("\"'"), "{line:?}");
        }
        assert!(text(&["-480.5", "-3"], None).contains("\"-480.5\",\"-3\""));
        assert!(text(&["E1A20", "1-2"], None).contains("\"E1A20\",\"1-2\""));
    }

    #[test]
    fn a_reader_gets_back_what_was_written() {
        let cells = ["line\r\nbreak, \"quoted\"", "Ω µ ° — ü"];
        let bytes = write(&table(&cells), Some("do not build"));
        let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
        let record = reader.records().next().unwrap().unwrap();
        assert_eq!(record.iter().collect::<Vec<_>>(), ["do not build", cells[0], cells[1]]);
    }
}
