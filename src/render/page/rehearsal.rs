//! The rehearsal on one page: the answer, plots out of limit by kind, one drawn field, what would help,
//! and what the sheet does not know.

use crate::outcome::warning::{NEVER_MEASURED, NOT_KNOWN};
use crate::outcome::{Outcome, Table};
use crate::render::drawing::Scene;
use crate::render::{harmless, text};

use super::blocks::{Block, Grid};
use super::material::Material;

/// Rows of what would help that a page has room for.
const MOST_HELP: usize = 3;
/// Things that are not known.
const MOST_OPEN: usize = 5;
/// Columns that programs read and paper has no room for.
const FOR_PROGRAMS: &str = "key";

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let Some(outcome) = material.rehearsal else {
        return vec![Block::Words("The sheet has no trial to rehearse.".into())];
    };
    let table = |key: &str| outcome.tables.iter().find(|table| table.key == key);
    let mut blocks = vec![];
    blocks.extend(
        outcome.next.iter().map(|next| Block::Next(format!("{}.", harmless(&next.instruction)))),
    );
    blocks.extend(table("answer").map(|table| Block::Words(words_of_answer(table))));
    blocks.extend(out_by_kind(outcome));
    blocks.extend(outcome.pictures.iter().map(|picture| Block::Picture(Scene::of(picture))));
    blocks.extend(table("help").map(|table| {
        let mut grid = Grid::from(table);
        grid.rows.truncate(MOST_HELP);
        Block::Grid(grid)
    }));
    blocks.extend(open(outcome));
    blocks
}

/// What a rehearsal came to in a sentence, and what to do before the trial is planted, for a page
/// about something else.
pub(super) fn in_short(outcome: &Outcome) -> Option<String> {
    let answer = outcome.tables.iter().find(|table| table.key == "answer").map(words_of_answer)?;
    let of_next = |words: &str| format!(" {}.", text::sentence(&harmless(words)));
    let next = outcome.next.as_ref().map(|next| of_next(&next.instruction));
    Some(answer + &next.unwrap_or_default())
}

/// Plots out of limit by kind.
pub(super) fn out_by_kind(outcome: &Outcome) -> Option<Block> {
    let table = outcome.tables.iter().find(|table| table.key == "out")?;
    Some(Block::Grid(without(table, FOR_PROGRAMS)))
}

/// The one row of the answer as a sentence.
fn words_of_answer(table: &Table) -> String {
    let cell = |key: &str| {
        let place = table.columns.iter().position(|column| column.key == key);
        let row = place.zip(table.rows.first());
        row.and_then(|(place, row)| row.get(place)).map_or(String::new(), text::cell)
    };
    harmless(&format!(
        "{}: {} % of the trials drawn pass, {} % are asked for. Plots out of limit to expect: {} of {}; in \
         one trial of twenty more than {}.",
        table.title,
        cell("pass_percent"),
        cell("wanted_percent"),
        cell("out_to_expect"),
        cell("plots"),
        cell("out_most")
    ))
}

fn without(table: &Table, key: &str) -> Grid {
    let mut table = table.clone();
    if let Some(place) = table.columns.iter().position(|column| column.key == key) {
        table.columns.remove(place);
        for row in &mut table.rows {
            row.remove(place);
        }
    }
    Grid::from(&table)
}

/// What the sheet does not know, in one paragraph, what leaves the answer open first; what each does to
/// the answer stands in the warnings.
fn open(outcome: &Outcome) -> Option<Block> {
    let is_open = |code| code == &NEVER_MEASURED || code == &NOT_KNOWN;
    let all = outcome.warnings.iter().filter(|warning| is_open(warning.kind));
    let what: Vec<&str> =
        all.filter_map(|warning| warning.message.split("; ").next()).take(MOST_OPEN).collect();
    let words = format!(
        "Not known: {}. What that does to the answer: `alleytrue rehearse`.",
        what.join("; ")
    );
    (!what.is_empty()).then(|| Block::Words(harmless(&words)))
}
