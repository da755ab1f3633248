//! `[[pass-run]]`: how far each alley leads its neighbour's.

use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "pass-run",
    meaning: "Leads between neighbouring passes.",
    needed: Needed::Where("for the pass offset"),
    list: &[&LEAD, &ROW_TAPED],
    shown: &[&LEAD],
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

static ROW_TAPED: Key<u32> = Key {
    name: "row-taped",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "1",
    meaning: "The row that was taped on both passes, where `rank-offset` in [row-units] says that units \
              don't sit in one line; after a turn the rows next to each other have one number. Row 1 \
              without it.",
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
    /// The row that was taped, where it says which.
    pub(super) row_taped: Option<u32>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let row_taped = table.read(reader, &ROW_TAPED);
    let leads = table.read(reader, &LEAD);
    let whole = !table.has(&ROW_TAPED) || row_taped.is_some();
    Table { run, leads: leads.filter(|_| whole), row_taped }
}
