//! `[[row-run]]`: one row's edge against the reference row's.

use crate::calculations::rows::RowEdges;
use crate::quantity::bounds;

use super::reader::{Reader, Section, length, list, whole};
use super::run::{self, Run};

/// One run; the edges are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) reference: Option<u32>,
    pub(super) edges: Option<RowEdges>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let reference = table.optional(reader, "reference", whole(&bounds::ROWS));
    let row = table.required(reader, "row", "2", whole(&bounds::ROWS));
    let ahead = table.required(
        reader,
        "ahead",
        "[\"1/2 in\", \"3/4 in\"]",
        list(length(&bounds::ROW_EDGE)),
    );
    Table { run, reference, edges: row.zip(ahead).map(|(row, ahead)| RowEdges { row, ahead }) }
}
