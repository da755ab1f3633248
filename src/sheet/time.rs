//! `[time]`: what the hours of the field rest on.

use std::ops::Range;

use crate::quantity::bounds::{self, Bounds};
use crate::quantity::{Decimal, Duration, Share};

use super::reader::{Key, Keys, Needed, Reader, Section, counted, measure};

pub(super) static KEYS: Keys = Keys {
    name: "time",
    meaning: "What the hours of the field rest on.",
    needed: Needed::Where("for the hours and seed to bring"),
    notes: "Ranges, passes and plots stand in [trial], borders in [layout], seed and `test-plots` in [packets].",
    list: &[&TURN, &LOAD, &LOST, &DAY, &CREW],
    ..Keys::ONCE
};

/// Hours worked in a day.
static DAY_OF_WORK: Bounds = Bounds {
    least: 3600.0,
    most: 86400.0,
    least_text: "1 h",
    most_text: "24 h",
    what: "Hours worked in a day.",
};

static TURN: Key<Duration> = Key {
    name: "turn",
    takes: &measure(&bounds::COURSE_TIME),
    needed: Needed::Where("without a `[[time-run]]`"),
    example: "\"40 s\"",
    meaning: "From the end of one pass to the start of the next, the planter standing not counted; a \
              `[[time-run]]` goes before it.",
};
static LOAD: Key<Duration> = Key {
    name: "load",
    takes: &measure(&bounds::COURSE_TIME),
    needed: Needed::No,
    example: "\"6 s\"",
    meaning: "To load one plot with the planter standing: packets that are loaded while it drives take \
              no time. Without it: none.",
};
static LOST: Key<Share> = Key {
    name: "lost",
    takes: &measure(&bounds::SKID),
    needed: Needed::No,
    example: "\"20 %\"",
    meaning: "Share of the time that goes into all else: repairs, rest, talk, rain. Without it: none.",
};
static DAY: Key<Duration> = Key {
    name: "day",
    takes: &measure(&DAY_OF_WORK),
    needed: Needed::No,
    example: "\"8 h\"",
    meaning: "Hours worked in a day, for the days.",
};
static CREW: Key<Decimal> = Key {
    name: "crew",
    takes: &counted(&bounds::ROWS),
    needed: Needed::No,
    example: "3",
    meaning: "People who are there, for the hours of the crew.",
};
/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) turn: Option<Duration>,
    pub(super) load: Option<Duration>,
    pub(super) lost: Option<Share>,
    pub(super) day: Option<Duration>,
    pub(super) crew: Option<Decimal>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        turn: table.read(reader, &TURN),
        load: table.read(reader, &LOAD),
        lost: table.read(reader, &LOST),
        day: table.read(reader, &DAY),
        crew: table.read(reader, &CREW),
    }
}
