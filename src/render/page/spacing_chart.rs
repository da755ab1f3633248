//! Every sprocket position with the spacing it gives.

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
        Block::Words(
            "Sprockets: driving/driven of each chain, from the wheel to the plate. Swaps: \
             sprockets to change from what is fitted. Error: against the spacing wanted; plus is \
             too far apart. The row between thick lines is fitted now."
                .into(),
        ),
        Block::Caution(&STOP_FIRST),
        Block::Caution(&MANUAL_FIRST),
    ];
    let grid = |table: &Table| {
        let fitted = |row: &Vec<Cell>| matches!(row.get(1), Some(Cell::Count(0)));
        let marked = table.rows.iter().position(fitted);
        Block::Grid(Grid { strong: Some(3), marked, ..Grid::from(table) })
    };
    match material.chart {
        Ok(chart) => blocks.push(grid(chart)),
        Err(why) => {
            blocks.push(Block::Words(format!("No full list: {}.", harmless(why))));
            let best = material.report.outcomes.iter().flat_map(|outcome| &outcome.tables);
            let best = best.filter(|table| table.key == "sprockets");
            blocks.extend(best.map(grid));
        }
    }
    blocks
}
