//! `[study]`: what a report is filed under, and what was measured with.

use crate::paper::Study;

use super::reader::{Key, Keys, Needed, Reader, Section, Text, list};

pub(super) static KEYS: Keys = Keys {
    name: "study",
    meaning: "What the report is filed under, and what was measured with.",
    notes: "Stands on the first page of the printed report; nothing is reckoned with it.",
    list: &[&NUMBER, &FIELD, &TAPES, &WATCHES],
    ..Keys::ONCE
};

static NUMBER: Key<String> = Key {
    name: "number",
    takes: &Text,
    needed: Needed::No,
    example: "\"27-014\"",
    meaning: "Number of the study.",
};
static FIELD: Key<String> = Key {
    name: "field",
    takes: &Text,
    needed: Needed::No,
    example: "\"north block, field 12\"",
    meaning: "Which field.",
};
static TAPES: Key<Vec<String>> = Key {
    name: "tapes",
    takes: &list(Text),
    needed: Needed::No,
    example: "[\"steel, 100 ft, no. 4\"]",
    meaning: "Tapes that were measured with.",
};
static WATCHES: Key<Vec<String>> = Key {
    name: "watches",
    takes: &list(Text),
    needed: Needed::No,
    example: "[\"stopwatch no. 2\"]",
    meaning: "Watches that were timed with.",
};

/// The table as read.
pub(super) type Table = Study;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Study {
        number: table.read(reader, &NUMBER),
        field: table.read(reader, &FIELD),
        tapes: table.read(reader, &TAPES).unwrap_or_default(),
        watches: table.read(reader, &WATCHES).unwrap_or_default(),
        ..Study::default()
    }
}
