//! `[[trip-run]]`: readouts between marks, or tape readings of a commanded length.

use crate::calculations::trip::Evidence;
use crate::quantity::{Length, bounds};

use super::codes;
use super::reader::{Reader, Section, length, list};
use super::run::{self, Run};

/// One run; the evidence is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) evidence: Option<Evidence>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table { run: run::read(reader, table), evidence: evidence(reader, table) }
}

fn evidence(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Evidence> {
    let by_readout = ["marks", "readout"].iter().any(|key| table.has(key));
    let by_tape = ["commanded", "taped"].iter().any(|key| table.has(key));
    if by_readout && by_tape {
        // Read all four so that their own mistakes are reported too.
        for key in ["marks", "commanded"] {
            table.optional(reader, key, length(&bounds::TRIP_LENGTH));
        }
        for key in ["readout", "taped"] {
            table.optional(reader, key, list(length(&bounds::TRIP_LENGTH)));
        }
        let message =
            "this run mixes readouts between marks with tape readings of a commanded length";
        let advice = "split it: `marks` and `readout` in one [[trip-run]], `commanded` and `taped` in another";
        let place = if table.has("taped") { "taped" } else { "commanded" };
        reader.say(&codes::MIXED_EVIDENCE, table.place(place), message, advice).allowed =
            Some("`marks` with `readout`, or `commanded` with `taped`".into());
        return None;
    }
    let length_example = "\"20 ft\"";
    if by_tape {
        let commanded =
            table.required(reader, "commanded", length_example, length(&bounds::TRIP_LENGTH));
        let taped = table.required(
            reader,
            "taped",
            "[\"20 ft 1 in\", \"19 ft 11 1/2 in\"]",
            list(length(&bounds::TRIP_LENGTH)),
        );
        table.know(&["marks", "readout"]);
        let (commanded, taped) = (commanded?, taped?);
        comparable(reader, table, "taped", &taped, &commanded)?;
        return Some(Evidence::Tape { commanded, taped });
    }
    let marks = table.required(reader, "marks", length_example, length(&bounds::TRIP_LENGTH));
    let readout = table.required(
        reader,
        "readout",
        "[\"238.1 in\", \"237.4 in\"]",
        list(length(&bounds::TRIP_LENGTH)),
    );
    table.know(&["commanded", "taped"]);
    let (marks, readout) = (marks?, readout?);
    comparable(reader, table, "readout", &readout, &marks)?;
    Some(Evidence::Readout { marks, readout })
}

/// Both lengths of a trip are about the same ground; where one is a multiple of the other, a
/// decimal point has slipped or the unit is wrong.
fn comparable(
    reader: &mut Reader<'_>,
    table: &Section<'_>,
    key: &str,
    entries: &[Length],
    whole: &Length,
) -> Option<()> {
    const MOST_TIMES: f64 = 5.0;
    let mut all = Some(());
    for (index, entry) in entries.iter().enumerate() {
        let times = entry.base() / whole.base();
        if !(1.0 / MOST_TIMES..=MOST_TIMES).contains(&times) {
            let message = format!("`{key}` can't be {entry} for a trip of {whole}");
            let advice = "check the decimal point and the unit";
            reader
                .say(&codes::OUT_OF_RANGE, table.entry_place(key, index), message, advice)
                .allowed = Some(format!("a fifth of {whole} to five times as much"));
            all = None;
        }
    }
    all
}
