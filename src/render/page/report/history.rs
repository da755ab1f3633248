//! Every change with what it was before, why, by whom, on what it rests, and whether it took.

use crate::outcome::ChangeSeen;
use crate::quantity::brief;
use crate::record::{Change, Record, Subject};
use crate::render::harmless;
use crate::render::page::blocks::{Block, Grid};
use crate::render::page::in_force::with_label;
use crate::render::page::material::Material;

/// The history of the sheet; a sentence where there is none.
pub(super) fn history(material: &Material<'_>) -> Vec<Block> {
    let heading = Block::Heading("Changes".into());
    let record = &material.sheet.record;
    if record.changes.is_empty() {
        return vec![heading, Block::Words("No change is in the sheet.".into())];
    }
    let rows = record.changes.iter().enumerate();
    let head = |text: &str| (text.to_owned(), String::new());
    let grid = Grid {
        heads: ["date", "setting", "from", "to", "reason", "by", "from runs", "whether it took"]
            .map(head)
            .into(),
        rows: rows.map(|(place, change)| row(material, place, change)).collect(),
        words: (0..8).collect(),
        ..Grid::default()
    };
    vec![heading, Block::Grid(grid)]
}

fn row(material: &Material<'_>, place: usize, change: &Change) -> Vec<String> {
    let or_dash = |text: &Option<String>| text.as_deref().map_or_else(|| "-".into(), harmless);
    let runs = if change.runs.is_empty() { "-".into() } else { harmless(&change.runs.join(", ")) };
    vec![
        change.date.clone(),
        with_label(&change.setting.name(), material.sheet.facts.called(&change.setting.key())),
        harmless(&change.from.text),
        harmless(&change.to.text),
        or_dash(&change.reason),
        or_dash(&change.by),
        runs,
        took(material, place, change),
    ]
}

/// Whether a change did what it should, by the runs before it and those after it.
fn took(material: &Material<'_>, place: usize, change: &Change) -> String {
    let record: &Record = &material.sheet.record;
    if matches!(change.setting, Subject::Direction(_) | Subject::Run { .. } | Subject::Speed) {
        return "-".into();
    }
    let later = record.changes[place + 1..].iter().find(|later| later.setting == change.setting);
    let mut all = material.report.outcomes.iter().flat_map(|outcome| &outcome.seen);
    let seen = all.find(|seen| seen.place == place).map(seen_in_words);
    // Runs are read by the direction that the sheet has now.
    let turned = record.changes[place + 1..].iter().filter(|later| turns(later, change)).count();
    let seen = match turned % 2 {
        0 => seen,
        _ => seen.map(|seen| {
            format!("the wrong way, as the sheet had it then; as it has it now, {seen}")
        }),
    };
    if let Some(later) = later {
        let seen = seen.unwrap_or_else(|| "not to be told from the runs".into());
        return format!("{seen}; changed again on {}", later.date);
    }
    if let Some((_, now)) = record.edited().iter().find(|(edited, _)| std::ptr::eq(*edited, change))
    {
        return format!("the sheet has {} now, without a line here", harmless(&now.text));
    }
    if record.unproven(change.setting).is_some() {
        return "not measured since".into();
    }
    seen.unwrap_or_else(|| "not to be told from the runs".into())
}

/// Whether a later line turns round which way the setting of a change works.
fn turns(later: &Change, change: &Change) -> bool {
    matches!((later.setting, change.setting), (Subject::Direction(own), Subject::Held(held)) if own == held)
}

fn seen_in_words(seen: &ChangeSeen) -> String {
    let [low, high] = seen.interval;
    let size =
        format!("did {} of what it should ({} to {})", brief(seen.ratio), brief(low), brief(high));
    let holds = |number: f64| (low..=high).contains(&number);
    match (holds(0.0), holds(1.0)) {
        (false, true) => format!("it took: {size}"),
        (true, true) => format!("too little to tell: {size}"),
        (_, false) => format!("it did not: {size}"),
    }
}
