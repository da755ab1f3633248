//! `[[row-run]]`: one row's edge against the reference row's.

use crate::calculations::rows::RowEdges;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "row-run",
    meaning: "One row's edge against the reference row's.",
    needed: Needed::Where("for rows"),
    list: &[&REFERENCE, &ROW, &AHEAD],
    run: Some(Recording {
        name: "row",
        about: "Edges of one row against the reference row's; values are those",
        values: &[Values { list: &AHEAD, with: None, many: "edges" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank {
            fields: &[
                (&run::SPEED, Hint::Speed),
                (&REFERENCE, Hint::Words("the row the others are held against; 1 without it")),
                (&ROW, Hint::Words("the row that is measured here")),
            ],
            lists: &[&AHEAD],
        }],
    }),
    ..Keys::MANY
};

static REFERENCE: Key<u32> = Key {
    name: "reference",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "1",
    meaning: "The row that the others are held against. Row 1 without it.",
};
static ROW: Key<u32> = Key {
    name: "row",
    takes: &whole(&bounds::ROWS),
    needed: Needed::Always,
    example: "2",
    meaning: "The row.",
};
static AHEAD: Key<Vec<Length>> = Key {
    name: "ahead",
    takes: &list(length(&bounds::ROW_EDGE)),
    needed: Needed::Always,
    example: "[\"1/2 in\", \"3/4 in\"]",
    meaning: "How far its edge lies ahead of the reference row's (behind: negative).",
};

/// One run; the edges are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) reference: Option<u32>,
    pub(super) edges: Option<RowEdges>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let reference = table.read(reader, &REFERENCE);
    let (row, ahead) = (table.read(reader, &ROW), table.read(reader, &AHEAD));
    let edges = |(row, ahead)| RowEdges { row, ahead, jumped: None, units: None };
    Table { run, reference, edges: row.zip(ahead).map(edges) }
}
