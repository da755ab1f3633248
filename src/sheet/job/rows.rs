//! Rows against the reference row.

use crate::calculations::rows;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes, row_run};

use super::by_hand;
use super::need::Need;
use super::run::{at_trial_speed, seeds};

/// Rows against the reference row.
pub(super) fn rows(tables: &Tables, reader: &mut Reader<'_>) -> Option<rows::Inputs> {
    let first = tables.row_runs.first()?;
    let need = Need { run: "[[row-run]]", span: &first.run.span };
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let plate = tables.planter.plate.as_ref();
    if plate.is_none() {
        need.missing(
            reader,
            "planter.plate",
            "`cells` in [planter.plate]",
            "plate = { cells = 40, meter-teeth = 15 }",
        );
    }
    let reference = tables.row_runs.iter().find_map(|table| table.reference).unwrap_or(1);
    let here: Vec<_> =
        tables.row_runs.iter().filter(|table| at_trial_speed(&table.run, tables, reader)).collect();
    for table in &here {
        let place = table.run.span.clone();
        if table.reference.is_some_and(|own| own != reference) {
            let message =
                format!("the row runs are held against different rows: {reference} before");
            reader.say(&codes::CONFLICT, place, message, "hold all rows against one `reference`");
        } else if table.edges.as_ref().is_some_and(|edges| edges.row == reference) {
            let message =
                format!("row {reference} is the reference row and can't be held against itself");
            reader.say(
                &codes::CONFLICT,
                place,
                message,
                "name another `row`, or another `reference`",
            );
        }
    }
    let at_present = |table: &&row_run::Table| {
        let edges = table.edges.clone()?;
        let jumped = by_hand::jumped(table.run.with.chain, edges.row, tables);
        let unit = |row| tables.row_units.as_ref()?.of_row(row).cloned();
        let units = unit(edges.row).zip(unit(reference)).map(|(own, other)| [own, other]);
        Some(rows::RowEdges { jumped, units, ..edges })
    };
    let runs: Option<Vec<_>> = here.iter().map(at_present).collect();
    let runs = runs.filter(|runs| !runs.is_empty())?;
    Some(rows::Inputs {
        reference,
        rows: runs,
        cells: plate?.cells?,
        meter_teeth: plate?.meter_teeth,
        seeds: seeds?,
    })
}
