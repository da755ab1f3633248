//! Travel per turn that can't be.

use std::ops::Range;

use crate::quantity::{Decimal, Length, bounds};

use super::codes;
use super::reader::Reader;

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
