//! `[[speed-run]]`: drives over a timed course.

use crate::calculations::speed::SpeedRun;
use crate::quantity::bounds;
use crate::quantity::{Duration, Length};

use super::codes;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, measure,
};
use super::run::{self, Run};
use super::slope::{self, Sloped};

pub(super) static KEYS: Keys = Keys {
    name: "speed-run",
    meaning: "A timed course.",
    needed: Needed::Where("for ground speed"),
    list: &[&COURSE, &TIMES, &slope::HEADING, &slope::SLOPE],
    shown: &[&COURSE, &TIMES],
    run: Some(Recording {
        name: "speed",
        about: "Drives over a timed course; values are the times",
        values: &[Values { list: &TIMES, with: None, many: "times" }],
        pair: None,
        shared: run::WITHOUT_SPEED,
        blanks: &[Blank {
            fields: &[
                (&COURSE, Hint::Words("length with its unit: \"200 ft\", \"60 m\"")),
                (&slope::SLOPE, slope::ON_THE_FORM),
            ],
            lists: &[&TIMES],
        }],
    }),
    ..Keys::MANY
};

static COURSE: Key<Length> = Key {
    name: "course",
    takes: &length(&bounds::COURSE),
    needed: Needed::Always,
    example: "\"200 ft\"",
    meaning: "Length of the course.",
};
static TIMES: Key<Vec<Duration>> = Key {
    name: "times",
    takes: &list(measure(&bounds::COURSE_TIME)),
    needed: Needed::Always,
    example: "[\"48.7 s\", \"49.0 s\"]",
    meaning: "Time of each drive over it.",
};

/// One run, where it could be read.
pub(super) type Table = Sloped<SpeedRun>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, _: Run) -> Table {
    let ground = slope::read(reader, table);
    Sloped::new(speed_run(reader, table), ground)
}

fn speed_run(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<SpeedRun> {
    let (course, times) = (table.read(reader, &COURSE), table.read(reader, &TIMES));
    let (course, times) = (course?, times?);
    for (index, time) in times.iter().enumerate() {
        if !bounds::SPEED.hold(course.base() / time.base()) {
            let message = format!("{course} in {time} can't be");
            let advice = "check the time and the unit of the course";
            let place = table.entry_place(&TIMES, index);
            reader.say(&codes::OUT_OF_RANGE, place, message, advice).allowed =
                Some(format!("a ground speed of {}", bounds::SPEED.text()));
        }
    }
    Some(SpeedRun { course, times })
}
