//! `[[spacing-run]]`: seeds or plants along a row, by their places on a tape or by their gaps.

use crate::calculations::evenness::{SpacingRun, Taped};
use crate::quantity::bounds;
use crate::quantity::{Length, MeasureUnit};

use super::Placed;
use super::codes;
use super::reader::{Reader, Section, length, list, whole};
use super::run::{self, Run};

/// One run; what was taped is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) row: Option<Placed<u32>>,
    pub(super) taped: Option<SpacingRun>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let row = table.placed(reader, "row", whole(&bounds::ROWS));
    let positions = table.optional(reader, "positions", list(length(&bounds::TAPE)));
    let gaps = table.optional(reader, "gaps", list(length(&bounds::GAP)));
    match (table.has("positions"), table.has("gaps")) {
        (true, true) => {
            let message = "`positions` and `gaps` both say where the seeds are";
            reader.say(&codes::CONFLICT, table.place("gaps"), message, "keep one of them");
        }
        (false, false) => {
            let message = "this [[spacing-run]] has no measurements";
            let advice = "add `positions = [...]`, the places of the seeds along a tape that lies \
                          still, or `gaps = [...]`, from each seed to the next";
            reader.say(&codes::MISSING_KEY, table.span(), message, advice);
        }
        _ => {}
    }
    let rising = positions.as_ref().is_none_or(|positions| rising(reader, table, positions));
    let unread = (table.has("row") && row.is_none()) || !rising;
    let taped = positions.map(Taped::Positions).or(gaps.map(Taped::Gaps));
    let number = row.as_ref().map(|row| row.value);
    let taped = taped.filter(|_| !unread).map(|taped| SpacingRun { row: number, taped });
    Table { run, row, taped }
}

/// Whether every place lies beyond the one before, and there are two at least.
fn rising(reader: &mut Reader<'_>, table: &Section<'_>, positions: &[Length]) -> bool {
    if let [alone] = positions {
        let message = format!("one place, {alone}, makes no gap");
        let advice = "list the places of two seeds or more, in the order of the tape";
        reader.say(&codes::NOT_RISING, table.place("positions"), message, advice).allowed =
            Some("two places or more, each beyond the one before".into());
        return false;
    }
    let mut all = true;
    for (index, pair) in positions.windows(2).enumerate() {
        let [before, here] = pair else { continue };
        let slack = 1e-9 * crate::quantity::LengthUnit::Millimetre.base();
        if here.base() <= before.base() + slack {
            let message = format!("a seed at {here} comes after one at {before}");
            let advice = "list the places in the order of the tape; look for a slipped digit; \
                          where two seeds lie in one place, list `gaps` with a 0 instead; a tape \
                          that was laid anew starts a [[spacing-run]] of its own";
            let place = table.entry_place("positions", index + 1);
            reader.say(&codes::NOT_RISING, place, message, advice).allowed =
                Some(format!("more than {before}"));
            all = false;
        }
    }
    all
}
