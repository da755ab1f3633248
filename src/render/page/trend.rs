//! What sheets of one planter found over the years, on a page: what to measure again, a picture of each
//! number, and the tables.

use crate::outcome::Outcome;
use crate::render::drawing::Scene;
use crate::render::harmless;

use super::blocks::{Block, Document, Grid, Leaf, cautions};
use super::kind::Kind;
use super::paper::Paper;

/// Columns of the summary that a page has no room for.
const FOR_PROGRAMS: [&str; 2] = ["tolerance", "half_width"];

/// The pages of a trend; `title` is the planter, `file` what it was made from.
#[must_use]
pub fn document(outcome: &Outcome, title: &str, file: &str, date: &str, paper: Paper) -> Document {
    let mut blocks = vec![];
    blocks.extend(
        outcome.next.iter().map(|next| Block::Next(format!("{}.", harmless(&next.instruction)))),
    );
    for table in outcome.tables.iter().filter(|table| table.key == "trend") {
        let mut table = table.clone();
        for key in FOR_PROGRAMS {
            let Some(place) = table.columns.iter().position(|one| one.key == key) else { continue };
            table.columns.remove(place);
            for row in &mut table.rows {
                row.remove(place);
            }
        }
        blocks.push(Block::Grid(Grid::from(&table)));
    }
    blocks.extend(outcome.pictures.iter().map(|picture| Block::Picture(Scene::of(picture))));
    let rest = outcome.tables.iter().filter(|table| table.key != "trend");
    blocks.extend(rest.map(|table| Block::Grid(Grid::from(table))));
    blocks.extend(cautions(std::iter::once(outcome), &[]));
    Document {
        title: harmless(title),
        file: harmless(file),
        date: harmless(date),
        point: "that of each sheet".into(),
        paper,
        leaves: vec![Leaf { kind: Kind::Trend, half: false, blocks }],
    }
}
