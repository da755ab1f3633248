//! Every run as it was typed, those that were left out with the reason, and what departs from the
//! plan.

use crate::record::{Run, made_before_change, made_for_other};
use crate::render::harmless;
use crate::render::page::blocks::{Block, Grid};
use crate::render::page::material::Material;
use crate::sheet::WrittenRun;

/// Keys that stand over the readings of a run.
const OVER: [&str; 2] = ["date", "by"];

/// All raw readings, run by run.
pub(super) fn readings(material: &Material<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Raw readings, as typed".into())];
    if material.written.is_empty() {
        blocks.push(Block::Words("No run is in the sheet.".into()));
    }
    blocks.extend(material.written.iter().map(|run| Block::Grid(run_table(material, run))));
    blocks
}

fn run_table(material: &Material<'_>, run: &WrittenRun) -> Grid {
    let said = |key: &str| run.said(key).map_or_else(|| "________".into(), harmless);
    let mut title = format!("{} {}: {}, by {}", run.table, run.number, said("date"), said("by"));
    let runs = &material.sheet.record.runs;
    let own = runs.iter().find(|own| own.table == run.table && own.number == run.number);
    if let Some(why) = own.and_then(left_out) {
        title = format!("{title}; {}", harmless(&why));
    }
    let row = |(key, values): &(String, Vec<String>)| {
        let count = match values.len() {
            0 | 1 => String::new(),
            count => count.to_string(),
        };
        vec![harmless(key), count, harmless(&values.join(", "))]
    };
    let head = |text: &str| (text.to_owned(), String::new());
    let rows = run.keys.iter().filter(|(key, _)| !OVER.contains(&key.as_str()));
    Grid {
        title,
        heads: ["key", "count", "as typed"].map(head).into(),
        rows: rows.map(row).collect(),
        words: vec![0, 2],
        ..Grid::default()
    }
}

/// Why a run does not count, where it does not.
fn left_out(run: &Run) -> Option<String> {
    match (&run.dropped, &run.aside) {
        (Some(why), _) => Some(format!("dropped: {why}")),
        (None, Some(with)) => Some(format!("left out, made with {with}")),
        (None, None) => None,
    }
}

/// What departs from plan and record, as far as the sheet tells; the rest is written in by hand.
pub(super) fn deviations(material: &Material<'_>) -> Vec<Block> {
    let record = &material.sheet.record;
    let named = |place: usize| record.runs.get(place).map_or_else(String::new, |run| run.name());
    let mut lines = vec![];
    for run in record.runs.iter().filter(|run| run.aside.is_some()) {
        lines.extend(left_out(run).map(|why| format!("{} is {why}", run.name())));
    }
    for (calculation, places) in &material.sheet.job.common.left_out {
        let places: Vec<String> = places.iter().map(ToString::to_string).collect();
        let places = places.join(", ");
        lines.push(format!(
            "{calculation}: reading {places} left out, as asked when this was printed"
        ));
    }
    for (place, words) in made_before_change(record) {
        lines.push(format!("{}: {words}, counts as made with what is set now", named(place)));
    }
    for (place, words) in made_for_other(record) {
        lines.push(format!("{}: {}", named(place), words.join("; ")));
    }
    for (change, now) in record.edited() {
        lines.push(crate::record::edited_words(change, now));
    }
    let mut blocks = vec![Block::Heading("Deviations".into())];
    if lines.is_empty() {
        blocks.push(Block::Words("The sheet tells of none.".into()));
    }
    blocks.extend(lines.iter().map(|line| Block::Words(format!("- {}", harmless(line)))));
    blocks.push(Block::Room("Further, with the reason, date and initials".into(), 4));
    blocks
}

/// What the rules on studies ask of entries and corrections, and where it is.
pub(super) fn entries() -> Vec<Block> {
    let words = [
        "40 CFR 160.130(e) and 21 CFR 58.130(e) ask that data are recorded directly, promptly, \
         legibly and in ink, dated and signed or initialled by who enters them: that is done on the \
         run forms, which are kept with this report. Who measured and when stands over each run, who \
         typed them in on the first page.",
        "They ask that a change leaves the first entry readable and says why, when and by whom. On \
         the forms it is struck out once, with reason, date and initials beside it. Of settings the \
         list of changes keeps the old value, the reason, the day and the person.",
        "A reading that is corrected in the sheet by an editor leaves no trace in it: keep the sheet \
         as it was, or its forms. The SHA-256 on the first page tells this state of the sheet from \
         any other. Whether a study is under these rules, and meets them, is for its quality \
         assurance to say.",
    ];
    let heading = Block::Heading("Entries and corrections".into());
    std::iter::once(heading).chain(words.map(|text| Block::Words(text.into()))).collect()
}
