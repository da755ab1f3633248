//! `[harvest]`: how plots are cut off, and the length that yields are worked out by.

use crate::quantity::Length;
use crate::quantity::bounds;

use super::placed::Placed;
use super::reader::{Key, Keys, Needed, Reader, Section, length};

pub(super) static KEYS: Keys = Keys {
    name: "harvest",
    meaning: "How plots are harvested, and what yields are worked out by.",
    needed: Needed::Where("for `trim` and `entered`"),
    notes: "It may stand empty. The lengths of a plot rest on `plot`, `alley` and the seeds of \
            [trial].",
    list: &[&TRIM, &ENTERED],
    ..Keys::ONCE
};

static TRIM: Key<Length> = Key {
    name: "trim",
    takes: &length(&bounds::MARGIN),
    needed: Needed::Where("for plots taped from cut to cut"),
    example: "\"18 in\"",
    meaning: "What is cut off at each end of a plot before harvest, from its outermost plants. \
              Without it: nothing.",
};
static ENTERED: Key<Length> = Key {
    name: "entered",
    takes: &length(&bounds::PLOT),
    needed: Needed::No,
    example: "\"17 ft 6 in\"",
    meaning: "The plot length that yields are worked out by now, in the combine or in the table; \
              what they are times by each other length is then listed too.",
};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: std::ops::Range<usize>,
    pub(super) trim: Option<Placed<Length>>,
    pub(super) entered: Option<Length>,
    /// Whether something of it could not be read.
    pub(super) unread: bool,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let trim = table.placed(reader, &TRIM);
    let entered = table.read(reader, &ENTERED);
    let unread = (table.has(&TRIM) && trim.is_none()) || (table.has(&ENTERED) && entered.is_none());
    Table { span: table.span(), trim, entered, unread }
}
