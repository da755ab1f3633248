//! `[[speed-run]]`: drives over a timed course.

use crate::calibration::speed::SpeedRun;
use crate::quantity::bounds;
use crate::quantity::{Duration, TimeUnit};

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
    Some(SpeedRun { course: course?, times: times? })
}
