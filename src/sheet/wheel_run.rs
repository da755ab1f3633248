//! `[[wheel-run]]`: turns of the drive wheel counted over a course.

use crate::calculations::wheel::WheelRun;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, number,
};
use super::run::{self, Run};
use super::slope::{self, Sloped};
use super::travel::check_travel;

pub(super) static KEYS: Keys = Keys {
    name: "wheel-run",
    meaning: "Wheel turns counted over a course.",
    needed: Needed::Where("for skid"),
    notes: "Wheel runs go before `travel-per-turn` in [planter]: they were made on this ground.",
    list: &[&COURSE, &TURNS, &slope::HEADING, &slope::SLOPE],
    shown: &[&COURSE, &TURNS],
    run: Some(Recording {
        name: "wheel",
        about: "Turns of the drive wheel over a course; values are the turns",
        values: &[Values { list: &TURNS, with: None, many: "turns" }],
        pair: None,
        shared: run::WITHOUT_SPEED,
        blanks: &[Blank {
            fields: &[
                (&COURSE, Hint::Words("length with its unit: \"200 ft\", \"60 m\"")),
                (&slope::SLOPE, slope::ON_THE_FORM),
            ],
            lists: &[&TURNS],
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
static TURNS: Key<Vec<Decimal>> = Key {
    name: "turns",
    takes: &list(number(&bounds::TURNS)),
    needed: Needed::Always,
    example: "[29.5, 29.25]",
    meaning: "Turns of the drive wheel on each drive over it.",
};

/// One run, where it could be read.
pub(super) type Table = Sloped<WheelRun>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, _: Run) -> Table {
    let ground = slope::read(reader, table);
    Sloped::new(wheel_run(reader, table), ground)
}

fn wheel_run(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<WheelRun> {
    let (course, turns) = (table.read(reader, &COURSE), table.read(reader, &TURNS));
    let (course, turns) = (course?, turns?);
    for (index, count) in turns.iter().enumerate() {
        check_travel(reader, &course, count, table.entry_place(&TURNS, index));
    }
    Some(WheelRun { course, turns })
}
