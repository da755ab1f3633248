//! `[[trip-run]]`: readouts between marks, or tape readings of a commanded length.

use crate::calibration::trip::Evidence;
use crate::quantity::bounds;

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
        reader.say(&codes::MIXED_EVIDENCE, table.place(place), message, advice);
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
        return Some(Evidence::Tape { commanded: commanded?, taped: taped? });
    }
    let marks = table.required(reader, "marks", length_example, length(&bounds::TRIP_LENGTH));
    let readout = table.required(
        reader,
        "readout",
        "[\"238.1 in\", \"237.4 in\"]",
        list(length(&bounds::TRIP_LENGTH)),
    );
    table.know(&["commanded", "taped"]);
    Some(Evidence::Readout { marks: marks?, readout: readout? })
}
