//! `[run-up]`: what a pass needs before its first plot.

use std::ops::Range;

use crate::calculations::run_up::Fills;
use crate::quantity::bounds;
use crate::quantity::{Duration, Length};

use super::placed::Placed;
use super::reader::{Key, Keys, Needed, Reader, Section, length, measure, word};

pub(super) static KEYS: Keys = Keys {
    name: "run-up",
    meaning: "What a pass needs before its first plot, for `stakes`.",
    needed: Needed::Where("for the run-up"),
    notes: "`speed` and the seeds stand in [trial], `carry` in [planter.plate], the headlands in \
            [layout].",
    list: &[&TIME_TO_SPEED, &MACHINE_LENGTH, &PLATE_FILLS],
    ..Keys::ONCE
};

pub(super) static TIME_TO_SPEED: Key<Duration> = Key {
    name: "time-to-speed",
    takes: &measure(&bounds::COURSE_TIME),
    needed: Needed::Where("without a `[[run-up-run]]`"),
    example: "\"3 s\"",
    meaning: "From standing to the speed of the trial, planter down, in the gear of the trial; a \
              `[[run-up-run]]` goes before it.",
};
static MACHINE_LENGTH: Key<Length> = Key {
    name: "machine-length",
    takes: &length(&bounds::MARGIN),
    needed: Needed::No,
    example: "\"24 ft\"",
    meaning: "What of tractor and planter has to stand in the headland behind the place of the seed \
              tubes at the start: all of its length where it comes out of a turn there and has to be \
              straight first (common practice, no source); what sticks out behind the tubes where \
              it is backed up to the edge. Without it: nothing.",
};
static PLATE_FILLS: Key<Fills> = Key {
    name: "plate-fills",
    takes: &word(&[
        ("at-speed", Fills::AtSpeed),
        ("standing", Fills::Standing),
        ("at-first-mark", Fills::AtFirstMark),
    ]),
    needed: Needed::No,
    example: "\"at-speed\"",
    meaning: "When the first lot of a pass gets onto the empty plate: `at-speed`, so that filling it \
              takes carry x spacing of ground after the run-up; while the planter is `standing`, so \
              that the plate fills on the way; or `at-first-mark`, by the changeover there, up to \
              which it has to be at speed. Without it: at speed.",
};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) time: Option<Placed<Duration>>,
    pub(super) machine: Option<Length>,
    pub(super) fills: Option<Fills>,
    /// Whether something of it could not be read.
    pub(super) unread: bool,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let time = table.placed(reader, &TIME_TO_SPEED);
    let machine = table.read(reader, &MACHINE_LENGTH);
    let fills = table.read(reader, &PLATE_FILLS);
    let unread = (table.has(&TIME_TO_SPEED) && time.is_none())
        || (table.has(&MACHINE_LENGTH) && machine.is_none())
        || (table.has(&PLATE_FILLS) && fills.is_none());
    Table { span: table.span(), time, machine, fills, unread }
}
