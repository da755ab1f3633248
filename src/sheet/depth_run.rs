//! `[[depth-run]]`: how deep seeds were found.

use crate::calculations::depth::DepthRun;
use crate::quantity::bounds;

use super::Placed;
use super::reader::{Reader, Section, length, list, whole};
use super::run::{self, Run};

/// One run; the depths are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) row: Option<Placed<u32>>,
    pub(super) depths: Option<DepthRun>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let row = table.placed(reader, "row", whole(&bounds::ROWS));
    let unread = table.has("row") && row.is_none();
    let example = "[\"1 1/2 in\", \"1 3/8 in\"]";
    let depths = table.required(reader, "depth", example, list(length(&bounds::DEPTH)));
    let number = row.as_ref().map(|row| row.value);
    let depths = depths.filter(|_| !unread).map(|depths| DepthRun { row: number, depths });
    Table { run, row, depths }
}
