//! `[[speed-run]]`: drives over a timed course.

use crate::calculations::speed::SpeedRun;
use crate::quantity::bounds;
use crate::quantity::{Duration, TimeUnit};

use super::codes;
use super::reader::{Reader, Section, date, length, list, measure, text};

/// One run, where it could be read.
pub(super) type Table = Option<SpeedRun>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    table.optional(reader, "date", date);
    table.optional(reader, "note", text);
    let course = table.required(reader, "course", "\"200 ft\"", length(&bounds::COURSE));
    let times: Option<Vec<Duration>> = table.required(
        reader,
        "times",
        "[\"48.7 s\", \"49.0 s\"]",
        list(measure::<TimeUnit>(&bounds::COURSE_TIME)),
    );
    let (course, times) = (course?, times?);
    for (index, time) in times.iter().enumerate() {
        if !bounds::SPEED.hold(course.base() / time.base()) {
            let message = format!("{course} in {time} can't be");
            let advice = "check the time and the unit of the course";
            let place = table.entry_place("times", index);
            reader.say(&codes::OUT_OF_RANGE, place, message, advice).allowed =
                Some(format!("a ground speed of {}", bounds::SPEED.text()));
        }
    }
    Some(SpeedRun { course, times })
}
