//! `[[trip-run]]`: readouts between marks, or tape readings of a commanded length.

use crate::calculations::slope::Ground;
use crate::calculations::trip::Evidence;
use crate::quantity::{Length, bounds};

use super::codes;
use super::reader::{
    Blank, Entry, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list,
};
use super::run::{self, Run};
use super::slope;

pub(super) static KEYS: Keys = Keys {
    name: "trip-run",
    meaning: "Readouts between marks, or taped lengths.",
    needed: Needed::Where("for the trip scale"),
    notes: "One run holds either `marks` and `readout`, or `commanded` and `taped`. List the \
            readings in the order of the plots along the pass, so that drift can be seen.",
    list: &[&MARKS, &COMMANDED, &READOUT, &TAPED, &slope::HEADING, &slope::SLOPE],
    shown: &[&MARKS, &READOUT],
    run: Some(Recording {
        name: "trip",
        about: "Controller readouts between marks, or tape of a commanded length; values are those",
        values: &[
            Values { list: &TAPED, with: Some(&COMMANDED), many: "taped lengths" },
            Values { list: &READOUT, with: None, many: "readouts" },
        ],
        pair: None,
        shared: run::SHARED,
        blanks: &[
            Blank {
                fields: &[
                    (&run::SPEED, Hint::Speed),
                    (&MARKS, Hint::Words("taped from mark to mark, with its unit: \"20 ft\"")),
                    (&slope::SLOPE, slope::ON_THE_FORM),
                ],
                lists: &[&READOUT],
            },
            Blank {
                fields: &[
                    (&run::SPEED, Hint::Speed),
                    (
                        &COMMANDED,
                        Hint::Words("what the controller was told, with its unit: \"20 ft\""),
                    ),
                    (&slope::SLOPE, slope::ON_THE_FORM),
                ],
                lists: &[&TAPED],
            },
        ],
    }),
    ..Keys::MANY
};

pub(super) static MARKS: Key<Length> = Key {
    name: "marks",
    takes: &length(&bounds::TRIP_LENGTH),
    needed: Needed::Where("yes, or `commanded`"),
    example: "\"20 ft\"",
    meaning: "Distance from mark to mark.",
};
static READOUT: Key<Vec<Length>> = Key {
    name: "readout",
    takes: &list(length(&bounds::TRIP_LENGTH)),
    needed: Needed::Where("yes, or `taped`"),
    example: "[\"238.1 in\", \"237.4 in\"]",
    meaning: "What the controller read from mark to mark.",
};
pub(super) static COMMANDED: Key<Length> = Key {
    name: "commanded",
    takes: &length(&bounds::TRIP_LENGTH),
    needed: Needed::Where("with `taped`"),
    example: "\"20 ft\"",
    meaning: "Length the controller was told.",
};
static TAPED: Key<Vec<Length>> = Key {
    name: "taped",
    takes: &list(length(&bounds::TRIP_LENGTH)),
    needed: Needed::Where("with `commanded`"),
    example: "[\"20 ft 1 in\", \"19 ft 11 1/2 in\"]",
    meaning: "What the tape said of the commanded length.",
};

/// One run; the evidence is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) evidence: Option<Evidence>,
    /// Which way it went; missing where it could not be read.
    pub(super) ground: Option<Ground>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let ground = slope::read(reader, table);
    Table { run, evidence: evidence(reader, table), ground }
}

fn evidence(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Evidence> {
    let (marks, readout) = (table.read(reader, &MARKS), table.read(reader, &READOUT));
    let (commanded, taped) = (table.read(reader, &COMMANDED), table.read(reader, &TAPED));
    let by_readout = table.has(&MARKS) || table.has(&READOUT);
    let by_tape = table.has(&COMMANDED) || table.has(&TAPED);
    if by_readout && by_tape {
        let message =
            "this run mixes readouts between marks with tape readings of a commanded length";
        let advice = "split it: `marks` and `readout` in one [[trip-run]], `commanded` and `taped` in another";
        let place = if table.has(&TAPED) { table.place(&TAPED) } else { table.place(&COMMANDED) };
        reader.say(&codes::MIXED_EVIDENCE, place, message, advice).allowed =
            Some("`marks` with `readout`, or `commanded` with `taped`".into());
        return None;
    }
    if by_tape {
        table.need(&COMMANDED);
        table.need(&TAPED);
        let (commanded, taped) = (commanded?, taped?);
        comparable(reader, table, &TAPED, &taped, &commanded)?;
        return Some(Evidence::Tape { commanded, taped });
    }
    table.need(&MARKS);
    table.need(&READOUT);
    let (marks, readout) = (marks?, readout?);
    comparable(reader, table, &READOUT, &readout, &marks)?;
    Some(Evidence::Readout { marks, readout })
}

/// Both lengths of a trip are about the same ground; where one is a multiple of the other, a
/// decimal point has slipped or the unit is wrong.
fn comparable(
    reader: &mut Reader<'_>,
    table: &Section<'_>,
    key: &dyn Entry,
    entries: &[Length],
    whole: &Length,
) -> Option<()> {
    const MOST_TIMES: f64 = 5.0;
    let mut all = Some(());
    for (index, entry) in entries.iter().enumerate() {
        let times = entry.base() / whole.base();
        if !(1.0 / MOST_TIMES..=MOST_TIMES).contains(&times) {
            let message = format!("`{}` can't be {entry} for a trip of {whole}", key.name());
            let advice = "check the decimal point and the unit";
            reader
                .say(&codes::OUT_OF_RANGE, table.entry_place(key, index), message, advice)
                .allowed = Some(format!("a fifth of {whole} to five times as much"));
            all = None;
        }
    }
    all
}
