//! Visits of the install sheet in; its table out, spot by spot in the order of the work.

use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::install::{COMMON, Said, Subject, Task, Visit};

/// The install sheet.
pub fn install(visits: &[Visit]) -> Table {
    let tasks = || visits.iter().flat_map(|visit| &visit.tasks);
    let star = tasks().any(|task| matches!(task.said, Said::Default(_)));
    let mut steps = 1..;
    Table {
        name: "install-sheet",
        title: "Install sheet",
        purpose: "What to do in the machine, in the order of the work. What the spec declares was checked; what it leaves \
                  open is to be kept here. Write down what was measured; who has done a step initials it.",
        lead: Vec::new(),
        ticked: true,
        columns: vec![
            Column::figures("step", None, 4),
            Column::words("do", 44),
            Column::words("keep", 24),
            Column::words("found", 10),
            Column::words("initials", 7),
            Column::words("date", 7),
        ],
        rows: visits
            .iter()
            .flat_map(|visit| visit.tasks.iter().map(move |task| (visit, task)))
            .map(|(visit, task)| line(visit, task, steps.next().unwrap_or(0)))
            .collect(),
        record_heads: [
            "step",
            "subject",
            "name",
            "task",
            "do",
            "measure",
            "more",
            "the spec says",
            "standing",
            "source",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes: [
            "The maker of a wire may ask for a wider bend, and of a clamp for another size: these come first.",
            "Where no source stands, it is common practice, no source.",
        ]
        .into_iter()
            .chain(star.then_some("* A default of the tool, because the spec says nothing."))
            .map(str::to_owned)
            .collect(),
    }
}

fn line(visit: &Visit, task: &Task, step: usize) -> Row {
    let subject = visit.subject;
    let more = (!task.more.is_empty()).then(|| task.more.clone());
    Row {
        key: format!("{} {} {}", subject.word(), visit.name, task.kind),
        about: about(visit),
        cells: vec![
            step.to_string().into(),
            Cell { under: more, ..Cell::from(task.work.clone()) },
            Cell { under: under(task), ..Cell::from(format!("{}{}", task.measure, star(task))) },
            Cell::default(),
            Cell::default(),
            Cell::default(),
        ],
        record: vec![
            step.to_string(),
            subject.word().to_owned(),
            visit.name.clone(),
            task.kind.clone(),
            task.work.clone(),
            task.measure.clone(),
            task.more.clone(),
            task.said.words(),
            task.said.standing().to_owned(),
            task.source.clone(),
        ],
        group: Some(Group {
            title: visit.title.clone(),
            cautions: visit.cautions.clone(),
            details: visit.details.clone(),
        }),
        part: false,
    }
}

/// A default of the tool carries the star of the papers.
fn star(task: &Task) -> &'static str {
    if matches!(task.said, Said::Default(_)) && !task.measure.is_empty() { " *" } else { "" }
}

/// What the spec declares beside a limit, and where the limit stands.
fn under(task: &Task) -> Option<String> {
    let said = match &task.said {
        Said::Kept(value) if *value != task.measure => Some(format!("declared {value}")),
        Said::Broken(_) => Some(task.said.words()),
        _ => None,
    };
    let told = task.source != COMMON && task.said != Said::Everywhere;
    let source = told.then(|| task.source.clone());
    let words: Vec<String> = said.into_iter().chain(source).collect();
    (!words.is_empty()).then(|| words.join("; "))
}

fn about(visit: &Visit) -> Vec<Reference> {
    match visit.subject {
        Subject::AtHand | Subject::EveryRun | Subject::Everywhere => Vec::new(),
        subject => vec![Reference::new(subject.word(), &visit.name)],
    }
}
