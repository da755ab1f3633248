//! `[[pass-run]]`: how far each alley leads its neighbour's.

use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "pass-run",
    meaning: "Leads between neighbouring passes.",
    needed: Needed::Where("for the pass offset"),
    list: &[&LEAD],
    run: Some(Recording {
        name: "pass",
        about: "How far each alley lies ahead of its neighbour's; values are the leads",
        values: &[Values { list: &LEAD, with: None, many: "leads" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank { fields: &[(&run::SPEED, Hint::Speed)], lists: &[&LEAD] }],
    }),
    ..Keys::MANY
};

static LEAD: Key<Vec<Length>> = Key {
    name: "lead",
    takes: &list(length(&bounds::LEAD)),
    needed: Needed::Always,
    example: "[\"4 in\", \"3 1/2 in\"]",
    meaning: "How far each alley lies ahead of its neighbour's, seen in its own travel (behind: \
              negative).",
};

/// One run; the leads are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) leads: Option<Vec<Length>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    Table { run, leads: table.read(reader, &LEAD) }
}
