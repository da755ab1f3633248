//! `[[harvest-run]]`: plots taped before harvest.

use crate::calculations::harvest::Between;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::placed::Placed;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, word,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "harvest-run",
    meaning: "Plots taped before harvest.",
    needed: Needed::Where("for the harvest"),
    notes: "One reading is one plot: the mean of its rows, taped along each. Take plots from all \
            passes and ranges by lot, or all of them. The tape lies on the ground, and is not \
            held over the plants.",
    list: &[&BETWEEN, &LENGTHS],
    shown: &[&BETWEEN, &LENGTHS],
    run: Some(Recording {
        name: "harvest",
        about: "Plots taped before harvest; values are their lengths",
        values: &[Values { list: &LENGTHS, with: None, many: "lengths" }],
        pair: None,
        shared: run::WITHOUT_SPEED,
        blanks: &[
            Blank { fields: &[(&BETWEEN, Hint::Filled("\"plants\""))], lists: &[&LENGTHS] },
            Blank { fields: &[(&BETWEEN, Hint::Filled("\"cuts\""))], lists: &[&LENGTHS] },
        ],
    }),
    ..Keys::MANY
};

static BETWEEN: Key<Between> = Key {
    name: "between",
    takes: &word(&[("plants", Between::Plants), ("cuts", Between::Cuts)]),
    needed: Needed::Always,
    example: "\"plants\"",
    meaning: "From where to where: `plants` from the first plant of a plot to its last, before its \
              ends are cut off; `cuts` from cut to cut.",
};
static LENGTHS: Key<Vec<Length>> = Key {
    name: "lengths",
    takes: &list(length(&bounds::PLOT)),
    needed: Needed::Always,
    example: "[\"17 ft 5 in\", \"17 ft 7 in\"]",
    meaning: "Length of each plot.",
};

/// One run; what could not be read is missing.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) between: Option<Between>,
    pub(super) lengths: Option<Placed<Vec<Length>>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    Table { run, between: table.read(reader, &BETWEEN), lengths: table.placed(reader, &LENGTHS) }
}
