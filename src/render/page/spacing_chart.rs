//! Every sprocket position with the spacing it gives.

use crate::calculations::spacing;
use crate::outcome::cautions::{MANUAL_FIRST, STOP_FIRST};
use crate::outcome::{Cell, Table};
use crate::quantity::{ShareUnit, at_most};
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
        tables.filter(move |table| table.key == key).map(|table| grid(material, table))
    };
    match material.chart {
        Ok(chart) => blocks.push(grid(material, chart)),
        Err(why) => {
            blocks.push(Block::Words(format!("No full list: {}.", harmless(why))));
            blocks.extend(listed("sprockets"));
            blocks.extend(listed("nearest-sprockets"));
        }
    }
    blocks
}

/// What the columns are, and in which order the rows stand.
fn words(material: &Material<'_>) -> String {
    let inputs = material.sheet.job.spacing.as_deref();
    let fit = if inputs.is_some_and(spacing::knows_chains) {
        " Fit: whether the chains that are fitted go round."
    } else {
        ""
    };
    let tolerance = inputs.and_then(|inputs| inputs.tolerance.as_ref());
    let inside = tolerance.map_or(String::new(), |tolerance| {
        format!(" Shaded: inside the tolerance of {}.", harmless(&tolerance.to_string()))
    });
    format!(
        "Sprockets: driving/driven of each chain, from the wheel to the plate. Swaps: sprockets \
         to change from what is fitted.{fit} Error: against the spacing wanted; plus is too far \
         apart. The nearest stand first.{inside} The row between thick lines is fitted now. Which \
         to fit, `Best sprockets` of the report says: a swap less may be worth a little error."
    )
}

/// The table by closeness, what is inside the tolerance shaded, the error to one decimal.
fn grid(material: &Material<'_>, table: &Table) -> Block {
    let mut table = table.clone();
    let column = |key: &str| table.columns.iter().position(|column| column.key.starts_with(key));
    let (swaps, spacing, error) = (column("swaps"), column("spacing_"), column("error_"));
    let off = |row: &Vec<Cell>| match error.and_then(|at| row.get(at)) {
        Some(Cell::Number(error, _)) => error.abs(),
        _ => f64::INFINITY,
    };
    // Of equal ones the order of the list stays.
    table.rows.sort_by(|one, other| off(one).total_cmp(&off(other)));
    let fitted = |row: &Vec<Cell>| matches!(swaps.and_then(|at| row.get(at)), Some(Cell::Count(0)));
    let marked = table.rows.iter().position(fitted);
    let tolerance =
        material.sheet.job.spacing.as_deref().and_then(|inputs| inputs.tolerance.as_ref());
    let percent = tolerance.map(|share| share.value_in(ShareUnit::Percent));
    let inside = |row: &Vec<Cell>| percent.is_some_and(|percent| at_most(off(row), percent));
    let shaded = (0..table.rows.len()).filter(|at| inside(&table.rows[*at])).collect();
    if let Some(at) = error {
        for row in &mut table.rows {
            if let Some(Cell::Number(_, places)) = row.get_mut(at) {
                *places = 1;
            }
        }
    }
    Block::Grid(Grid { strong: spacing, marked, shaded, ..Grid::from(&table) })
}
