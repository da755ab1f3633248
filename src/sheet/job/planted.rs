//! What is looked at after planting: depth, evenness, stand.

use std::ops::Range;

use crate::calculations::{depth, evenness, stand};
use crate::quantity::{Decimal, Length};
use crate::sheet::placed::Placed;
use crate::sheet::reader::Reader;
use crate::sheet::stand_count::{Over, Table};
use crate::sheet::{Tables, codes, depth_run};

use super::by_hand;
use super::need::Need;
use super::run::{at_trial_speed, seeds};

/// Depths of seed dug up.
pub(super) fn depth(tables: &Tables, reader: &mut Reader<'_>) -> Option<depth::Inputs> {
    let first = tables.depth_runs.first()?;
    let need = Need { run: "[[depth-run]]", span: &first.run.span };
    let wanted =
        need.of_trial(reader, tables, tables.trial.depth.as_ref(), "depth", "\"1 1/2 in\"");
    let here: Vec<_> = tables
        .depth_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    for table in &here {
        on_the_planter(table.row.as_ref(), tables, reader);
    }
    let at_present = |table: &&depth_run::Table| {
        let run = table.depths.clone()?;
        let with = &table.run.with;
        let turned = by_hand::turned(with.depth, run.row, tables);
        let turned_alike = by_hand::turned_alike(with.depth_all, tables);
        let number = Some(table.run.number);
        Some(depth::DepthRun { number, turned, turned_alike, ..run })
    };
    let runs: Option<Vec<_>> = here.iter().map(at_present).collect();
    let turns = tables.planter.depth_turns.as_ref();
    if turns.is_some_and(Option::is_none) {
        return None;
    }
    Some(depth::Inputs {
        runs: runs.filter(|runs| !runs.is_empty())?,
        wanted: wanted?,
        tolerance: tables.trial.tolerance.depth.clone(),
        turns: turns.cloned().flatten(),
    })
}

/// Gaps between seeds or plants.
pub(super) fn evenness(tables: &Tables, reader: &mut Reader<'_>) -> Option<evenness::Inputs> {
    let first = tables.spacing_runs.first()?;
    let need = Need { run: "[[spacing-run]]", span: &first.run.span };
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let here: Vec<_> = tables
        .spacing_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    for table in &here {
        on_the_planter(table.row.as_ref(), tables, reader);
    }
    let runs: Option<Vec<_>> = here.iter().map(|table| table.taped.clone()).collect();
    Some(evenness::Inputs { runs: runs.filter(|runs| !runs.is_empty())?, seeds: seeds? })
}

/// Plants counted; without counts, the rows they would be counted on, where those are known.
pub(super) fn stand(tables: &Tables, reader: &mut Reader<'_>) -> Option<stand::Inputs> {
    let row_spacing = tables.planter.row_spacing.as_ref();
    let run = "[[stand-count]]";
    if let (Some(first), None) = (tables.stand_counts.first(), row_spacing) {
        let need = Need { run, span: &first.run.span };
        let what = "`row-spacing` in [planter]";
        need.missing(reader, "planter.row-spacing", what, "row-spacing = \"30 in\"");
    }
    // Stands do not hang on the speed, so every run counts.
    let counts: Vec<Option<stand::StandCount>> = tables
        .stand_counts
        .iter()
        .map(|table| {
            let need = Need { run, span: &table.run.span };
            on_the_planter(table.row.as_ref(), tables, reader);
            stand_count(table, tables, &need, reader)
        })
        .collect();
    let counts: Option<Vec<stand::StandCount>> = counts.into_iter().collect();
    Some(stand::Inputs {
        counts: counts?,
        row_spacing: row_spacing?.value.clone(),
        wanted: tables.trial.stand.as_ref().map(|stand| stand.value.clone()),
        planted: tables.trial.target.clone(),
    })
}

fn stand_count(
    table: &Table,
    tables: &Tables,
    need: &Need<'_>,
    reader: &mut Reader<'_>,
) -> Option<stand::StandCount> {
    let length = match table.over.as_ref()? {
        Over::Row(length) => length.clone(),
        Over::Plots => {
            let plot = tables.trial.plot.as_ref();
            need.of_trial(reader, tables, plot, "plot", "\"17 ft 6 in\"")?
        }
    };
    let row = table.row.as_ref().map(|row| row.value);
    let rows = rows_together(table, tables, need, reader)?;
    if table.unread {
        return None;
    }
    let plants = table.plants.clone()?;
    let skips = table.skips.as_ref();
    let all = skips.map_or(&[][..], |skips| &skips.value);
    if let Some(skips) = skips {
        within(all, &length, rows, plants.len(), &skips.span, reader)?;
    }
    Some(stand::StandCount { row, length, rows, plants, skips: all.to_vec() })
}

/// Rows that one count takes together: as written; else one for a length of row or a row that is
/// named, and all rows of the plot for whole plots.
fn rows_together(
    table: &Table,
    tables: &Tables,
    need: &Need<'_>,
    reader: &mut Reader<'_>,
) -> Option<Decimal> {
    if let Some(rows) = &table.rows {
        return Some(rows.value);
    }
    if table.row.is_some() || matches!(table.over, Some(Over::Row(_))) {
        return Some(Decimal::whole(1));
    }
    let per_plot = tables.trial.rows_per_plot.as_ref().or(tables.planter.rows.as_ref());
    if per_plot.is_none() {
        let what = "`rows` here, or `rows-per-plot` in [trial], for whole plots";
        need.missing(reader, "trial.rows-per-plot", what, "rows-per-plot = 2");
    }
    per_plot.map(|rows| rows.value)
}

/// Skips are no longer than the row that was counted.
fn within(
    skips: &[Length],
    length: &Length,
    rows: Decimal,
    counts: usize,
    place: &Range<usize>,
    reader: &mut Reader<'_>,
) -> Option<()> {
    #[allow(clippy::cast_precision_loss)] // far fewer counts than 2^53
    let row = length.base() * rows.value() * counts as f64;
    let sum: f64 = skips.iter().map(Length::base).sum();
    if sum <= row {
        return Some(());
    }
    let message = "the `skips` are longer than all the row that was counted";
    let advice = "check their unit, and whether they belong to this run";
    let allowed =
        format!("no more than counts ({counts}) times rows ({rows}) times length ({length})");
    reader.say(&codes::OUT_OF_RANGE, place.clone(), message, advice).allowed = Some(allowed);
    None
}

/// A row beyond those of the planter is a slip.
fn on_the_planter(row: Option<&Placed<u32>>, tables: &Tables, reader: &mut Reader<'_>) {
    let rows = tables.planter.rows.as_ref().and_then(|rows| rows.value.as_whole());
    if let (Some(row), Some(rows)) = (row, rows)
        && row.value > rows
    {
        let message = format!("`row` can't be {} on a planter of {rows} rows", row.value);
        let advice = "rows are numbered from 1; check `row`, or `rows` in [planter]";
        reader.say(&codes::OUT_OF_RANGE, row.span.clone(), message, advice).allowed =
            Some(format!("1 to {rows}"));
    }
}
