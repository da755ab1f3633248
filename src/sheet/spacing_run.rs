//! `[[spacing-run]]`: seeds or plants along a row, by their places on a tape or by their gaps.

use crate::calculations::evenness::{SpacingRun, Taped};
use crate::quantity::bounds;
use crate::quantity::{Length, MeasureUnit};

use super::codes;
use super::placed::Placed;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "spacing-run",
    meaning: "Seeds or plants along a row.",
    needed: Needed::Where("for evenness"),
    notes: "One run is one stretch of one row: either `positions` or `gaps`. Where the tape was \
            laid anew, a new run starts.",
    list: &[&ROW, &POSITIONS, &GAPS],
    shown: &[&ROW, &POSITIONS],
    run: Some(Recording {
        name: "spacing",
        about: "Seeds or plants along one row; values are their places on the tape",
        values: &[Values { list: &POSITIONS, with: None, many: "places" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank {
            fields: &[
                (&run::SPEED, Hint::Speed),
                (&ROW, Hint::Words("the row, where it was always the same")),
            ],
            lists: &[&POSITIONS],
        }],
    }),
    ..Keys::MANY
};

static ROW: Key<u32> = Key {
    name: "row",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "The row.",
};
static POSITIONS: Key<Vec<Length>> = Key {
    name: "positions",
    takes: &list(length(&bounds::TAPE)),
    needed: Needed::Where("one of the two"),
    example: "[\"1/2 in\", \"2 in\", \"3 5/8 in\"]",
    meaning: "Places of the seeds or plants along a tape that lies still, each beyond the one \
              before.",
};
static GAPS: Key<Vec<Length>> = Key {
    name: "gaps",
    takes: &list(length(&bounds::GAP)),
    needed: Needed::Where("one of the two"),
    example: "[\"1 1/2 in\", \"1 5/8 in\"]",
    meaning: "From each seed or plant to the next.",
};

/// One run; what was taped is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) row: Option<Placed<u32>>,
    pub(super) taped: Option<SpacingRun>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let row = table.placed(reader, &ROW);
    let positions = table.read(reader, &POSITIONS);
    let gaps = table.read(reader, &GAPS);
    match (table.has(&POSITIONS), table.has(&GAPS)) {
        (true, true) => {
            let message = "`positions` and `gaps` both say where the seeds are";
            reader.say(&codes::CONFLICT, table.place(&GAPS), message, "keep one of them");
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
    let unread = (table.has(&ROW) && row.is_none()) || !rising;
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
        reader.say(&codes::NOT_RISING, table.place(&POSITIONS), message, advice).allowed =
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
            let place = table.entry_place(&POSITIONS, index + 1);
            reader.say(&codes::NOT_RISING, place, message, advice).allowed =
                Some(format!("more than {before}"));
            all = false;
        }
    }
    all
}
