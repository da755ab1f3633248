//! What every run of measurements has: its place in the sheet, its date, its speed.

use std::ops::Range;

use crate::quantity::bounds;
use crate::quantity::{Decimal, Length, Speed, SpeedUnit};

use super::reader::{Reader, Section, date, measure, text};
use super::{Placed, codes};

/// The keys that all runs share.
#[derive(Debug)]
pub(super) struct Run {
    /// Where the run starts.
    pub(super) span: Range<usize>,
    /// The speed it was planted at, where it is not the trial's.
    pub(super) speed: Option<Placed<Speed>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Run {
    table.optional(reader, "date", date);
    table.optional(reader, "note", text);
    Run {
        span: table.span(),
        speed: table.placed(reader, "speed", measure::<SpeedUnit>(&bounds::SPEED)),
    }
}

/// Travel per turn that no drive wheel has: a slip in the turns or in the unit of the course.
pub(super) fn check_travel(
    reader: &mut Reader<'_>,
    course: &Length,
    turns: &Decimal,
    place: Range<usize>,
) {
    let bounds = &bounds::TRAVEL_PER_TURN;
    if !bounds.hold(course.base() / turns.value()) {
        let message = format!("{turns} turns over {course} can't be");
        let advice = "check the turns and the unit of the course";
        reader.say(&codes::OUT_OF_RANGE, place, message, advice).allowed =
            Some(format!("{} a turn", bounds.text()));
    }
}
