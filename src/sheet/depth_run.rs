//! `[[depth-run]]`: how deep seeds were found.

use crate::calculations::depth::DepthRun;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::placed::Placed;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "depth-run",
    meaning: "How deep seeds were found.",
    needed: Needed::Where("for the depth"),
    list: &[&ROW, &DEPTH],
    run: Some(Recording {
        name: "depth",
        about: "How deep seeds were found; values are the depths",
        values: &[Values { list: &DEPTH, with: None, many: "depths" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank {
            fields: &[
                (&run::SPEED, Hint::Speed),
                (&ROW, Hint::Words("the row, where it was always the same")),
            ],
            lists: &[&DEPTH],
        }],
    }),
    ..Keys::MANY
};

static ROW: Key<u32> = Key {
    name: "row",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "The row.",
};
static DEPTH: Key<Vec<Length>> = Key {
    name: "depth",
    takes: &list(length(&bounds::DEPTH)),
    needed: Needed::Always,
    example: "[\"1 1/2 in\", \"1 3/8 in\"]",
    meaning: "Depth of each seed under the surface.",
};

/// One run; the depths are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) row: Option<Placed<u32>>,
    pub(super) depths: Option<DepthRun>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let row = table.placed(reader, &ROW);
    let unread = table.has(&ROW) && row.is_none();
    let depths = table.read(reader, &DEPTH);
    let number = row.as_ref().map(|row| row.value);
    let depths = depths.filter(|_| !unread).map(|depths| DepthRun {
        number: None,
        row: number,
        depths,
        turned: None,
        turned_alike: None,
    });
    Table { run, row, depths }
}
