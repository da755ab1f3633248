//! `[[time-run]]`: passes that were timed.

use crate::quantity::Duration;
use crate::quantity::bounds;

use super::reader::{Blank, Key, Keys, Needed, Reader, Recording, Section, Values, list, measure};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "time-run",
    meaning: "Passes that were timed.",
    needed: Needed::Where("for the hours, or `turn`"),
    notes: "From the start of one pass to the start of the next, turn and loading and all that holds \
            it up among them: a watch read at every first mark.",
    list: &[&TOOK],
    run: Some(Recording {
        name: "time",
        about: "Passes that were timed; values are the times",
        values: &[Values { list: &TOOK, with: None, many: "times" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank { fields: &[], lists: &[&TOOK] }],
    }),
    ..Keys::MANY
};

static TOOK: Key<Vec<Duration>> = Key {
    name: "took",
    takes: &list(measure(&bounds::COURSE_TIME)),
    needed: Needed::Always,
    example: "[\"4.5 min\", \"5 min\"]",
    meaning: "Time of each pass.",
};

/// One run; what could not be read is missing.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) took: Option<Vec<Duration>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    Table { run, took: table.read(reader, &TOOK) }
}
