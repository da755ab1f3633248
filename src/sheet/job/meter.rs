//! The meter in the shop: places looked at, and seeds caught of a plate with so many cells.

use crate::calculations::meter::{Caught, Counted, Inputs};
use crate::sheet::meter_run::Kind;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;

pub(super) fn meter(tables: &Tables, reader: &mut Reader<'_>) -> Option<Inputs> {
    let runs = &tables.meter_runs;
    let rows = tables.planter.rows.as_ref().and_then(|rows| rows.value.as_whole());
    let cells = tables.planter.plate.as_ref().and_then(|plate| plate.cells);
    let mut inputs =
        Inputs { counted: vec![], caught: vec![], vacuum: tables.conditions.vacuum.clone() };
    for table in runs {
        if let (Some(row), Some(rows)) = (&table.row, rows)
            && row.value > rows
        {
            let message = format!("`row` can't be {} on a planter of {rows} rows", row.value);
            let advice = "rows are numbered from 1; check `row`, or `rows` in [planter]";
            reader.say(&codes::OUT_OF_RANGE, row.span.clone(), message, advice).allowed =
                Some(format!("1 to {rows}"));
        }
        let with = table.with.clone();
        match &table.kind {
            None => {}
            Some(Kind::Counted(positions, repeats)) => {
                let repeats = repeats.clone();
                inputs.counted.push(Counted { with, positions: *positions, repeats });
            }
            Some(Kind::Caught(turns, seeds)) => {
                let Some(cells) = cells else {
                    let need = Need { run: "[[meter-run]]", span: &table.run.span };
                    let what = "`cells` in [planter.plate]";
                    need.missing(reader, "planter.plate.cells", what, "cells = 40");
                    continue;
                };
                let (turns, seeds) = (*turns, seeds.clone());
                inputs.caught.push(Caught { with, turns, cells, seeds });
            }
        }
    }
    (!inputs.counted.is_empty() || !inputs.caught.is_empty()).then_some(inputs)
}
