//! Every sprocket position with the spacing it gives.

use crate::calculations::spacing;
use crate::outcome::cautions::{MANUAL_FIRST, STOP_FIRST};
use crate::outcome::{Cell, Table};
use crate::render::harmless;

use super::blocks::{Block, Grid};
use super::material::Material;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let facts = &material.sheet.facts;
    let wanted =
        facts.seeds.as_ref().map(|(name, text)| (format!("Wanted {name}"), harmless(text)));
    let fitted = facts.fitted().map(|fitted| ("Fitted now".to_owned(), fitted));
    let cells =
        facts.cells.as_ref().map(|cells| ("Cells of the plate".to_owned(), harmless(cells)));
    let row = facts.row_spacing.as_ref().map(|row| ("Row spacing".to_owned(), harmless(row)));
    let mut blocks = vec![
        Block::Facts([wanted, fitted, cells, row].into_iter().flatten().collect()),
        Block::Words(words(material)),
        Block::Caution(&STOP_FIRST),
        Block::Caution(&MANUAL_FIRST),
    ];
    let listed = |key: &'static str| {
        let tables = material.report.outcomes.iter().flat_map(|outcome| &outcome.tables);
        tables.filter(move |table| table.key == key).map(grid)
    };
    match material.chart {
        Ok(chart) => blocks.push(grid(chart)),
        Err(why) => {
            blocks.push(Block::Words(format!("No full list: {}.", harmless(why))));
            blocks.extend(listed("sprockets"));
        }
    }
    blocks.extend(listed("nearest-sprockets"));
    blocks
}

/// What the columns are, and in which order the rows stand.
fn words(material: &Material<'_>) -> String {
    let job = &material.sheet.job;
    let inputs = job.spacing.as_deref();
    let fit = if inputs.is_some_and(spacing::knows_chains) {
        " Fit: whether the chains that are fitted go round."
    } else {
        ""
    };
    format!(
        "Sprockets: driving/driven of each chain, from the wheel to the plate. Swaps: sprockets \
         to change from what is fitted.{fit} Error: against the spacing wanted; plus is too far \
         apart. {} The row between thick lines is fitted now.",
        inputs.map_or(String::new(), |inputs| harmless(&spacing::order(inputs, &job.common)))
    )
}

fn grid(table: &Table) -> Block {
    let column = |key: &str| table.columns.iter().position(|column| column.key.starts_with(key));
    let swaps = column("swaps");
    let fitted = |row: &Vec<Cell>| matches!(swaps.and_then(|at| row.get(at)), Some(Cell::Count(0)));
    let marked = table.rows.iter().position(fitted);
    Block::Grid(Grid { strong: column("spacing_"), marked, ..Grid::from(table) })
}
