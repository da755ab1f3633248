//! `[[changeover-run]]`: what the crew saw after one test range.

use crate::calculations::changeover::Observed;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, YesNo, length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "changeover-run",
    meaning: "What was seen on the ground after a changeover.",
    notes: "The last run speaks of the present timers.",
    list: &[
        &HAND_OVER_FINISHED,
        &OLD_SEED_IN_NEW_PLOT,
        &BUNCHED_AT_END,
        &BUNCHED_AT_START,
        &STRAY_SEEDS,
        &ALLEY_WIDTH,
    ],
    run: Some(Recording {
        name: "changeover",
        about: "What was seen of the changeover after a test range",
        values: &[Values { list: &ALLEY_WIDTH, with: None, many: "alley widths" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank {
            fields: &[
                (&run::SPEED, Hint::Speed),
                (&HAND_OVER_FINISHED, Hint::Words("true or false")),
                (&OLD_SEED_IN_NEW_PLOT, Hint::Length("deepest")),
                (&BUNCHED_AT_END, Hint::Length("longest stretch")),
                (&BUNCHED_AT_START, Hint::Length("longest stretch")),
                (&STRAY_SEEDS, Hint::Words("most in one alley")),
            ],
            lists: &[&ALLEY_WIDTH],
        }],
    }),
    ..Keys::MANY
};

static HAND_OVER_FINISHED: Key<bool> = Key {
    name: "hand-over-finished",
    takes: &YesNo,
    needed: Needed::No,
    example: "true",
    meaning: "Whether the new lot had all fallen when the hand-over ended.",
};
static OLD_SEED_IN_NEW_PLOT: Key<Length> = Key {
    name: "old-seed-in-new-plot",
    takes: &length(&bounds::SEEN_LENGTH),
    needed: Needed::No,
    example: "\"6 in\"",
    meaning: "How far into the new plot seed of the old lot was found.",
};
static BUNCHED_AT_END: Key<Length> = Key {
    name: "bunched-at-end",
    takes: &length(&bounds::SEEN_LENGTH),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "Length over which seeds stand bunched at a plot's end.",
};
static BUNCHED_AT_START: Key<Length> = Key {
    name: "bunched-at-start",
    takes: &length(&bounds::SEEN_LENGTH),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "Length over which seeds stand bunched at a plot's start.",
};
static STRAY_SEEDS: Key<u32> = Key {
    name: "stray-seeds",
    takes: &whole(&bounds::STRAY_SEEDS),
    needed: Needed::No,
    example: "2",
    meaning: "Stray seeds counted in an alley.",
};
static ALLEY_WIDTH: Key<Vec<Length>> = Key {
    name: "alley-width",
    takes: &list(length(&bounds::SEEN_LENGTH)),
    needed: Needed::No,
    example: "[\"30 in\", \"31 1/2 in\"]",
    meaning: "Alley widths, last seed to first seed. Without it those of the alley runs count.",
};

/// One run.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) seen: Observed,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let finished = table.read(reader, &HAND_OVER_FINISHED);
    let seen = Observed {
        hand_over_unfinished: finished == Some(false),
        old_seed_in_new_plot: table.read(reader, &OLD_SEED_IN_NEW_PLOT),
        bunched_at_end: table.read(reader, &BUNCHED_AT_END),
        bunched_at_start: table.read(reader, &BUNCHED_AT_START),
        stray_seeds: table.read(reader, &STRAY_SEEDS),
        alley_width: table.read(reader, &ALLEY_WIDTH).unwrap_or_default(),
    };
    Table { run, seen }
}
