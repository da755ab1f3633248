//! `[[wheel-run]]`: turns of the drive wheel counted over a course.

use crate::calculations::wheel::WheelRun;
use crate::quantity::bounds;

use super::reader::{Reader, Section, date, length, list, number, text};
use super::run;

/// One run, where it could be read.
pub(super) type Table = Option<WheelRun>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    table.optional(reader, "date", date);
    table.optional(reader, "note", text);
    let course = table.required(reader, "course", "\"200 ft\"", length(&bounds::COURSE));
    let turns = table.required(reader, "turns", "[29.5, 29.25]", list(number(&bounds::TURNS)));
    let (course, turns) = (course?, turns?);
    for (index, count) in turns.iter().enumerate() {
        run::check_travel(reader, &course, count, table.entry_place("turns", index));
    }
    Some(WheelRun { course, turns })
}
