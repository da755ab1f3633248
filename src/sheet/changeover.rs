//! `[changeover]`: the timers, the boost, and the times of the machine itself.

use std::ops::Range;

use crate::calculations::changeover::{self, Boost, Fall, Present, SweepSetting};
use crate::outcome::setting::Setting;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Duration, TimeUnit};

use super::codes;
use super::operating_point::BOOSTS;
use super::placed::Placed;
use super::reader::{InUnits, Key, Keys, Needed, Reader, Section, Text, measure, number};

pub(super) static KEYS: Keys = Keys {
    name: "changeover",
    meaning: "Timers of the changeover, and the times of the machine itself.",
    needed: Needed::Where("for the changeover"),
    notes: "Leave out `clean-out`, `run-out` and `fill` to get values to start with. Else give all \
            three. Times of the machine are found in the shop, with the planter standing.",
    list: &[
        &BOOST,
        &OLD_SEED_GONE,
        &NEW_SEED_AT_PICK_UP,
        &CLEAN_OUT,
        &RUN_OUT,
        &FILL,
        &HAND_OVER,
        &SWEEP,
        &FALL_TIME,
        &LEAST_CLEAN_OUT,
        &USUAL_CLEAN_OUT,
        &CALLED,
    ],
    ..Keys::ONCE
};

pub(super) static BOOST: Key<Boost> = Key {
    name: "boost",
    takes: &BOOSTS,
    needed: Needed::Always,
    example: "\"40 cells/s\"",
    meaning: "How fast the boost turns the plate: cells or plate turns in a time.",
};
static OLD_SEED_GONE: Key<Duration> = Key {
    name: "old-seed-gone",
    takes: &TIMER,
    needed: Needed::Always,
    example: "\"0.9 s\"",
    meaning: "From the trip until the old seed is gone from pick-up.",
};
static NEW_SEED_AT_PICK_UP: Key<Duration> = Key {
    name: "new-seed-at-pick-up",
    takes: &TIMER,
    needed: Needed::Always,
    example: "\"0.2 s\"",
    meaning: "From the end of clean-out until new seed is at pick-up.",
};
static CLEAN_OUT: Key<Duration> = Key {
    name: changeover::CLEAN_OUT.key,
    takes: &TIMER,
    needed: WITH_THE_OTHERS,
    example: "\"1.5 s\"",
    meaning: "Timer: old seed is removed from the meter.",
};
static RUN_OUT: Key<Duration> = Key {
    name: changeover::RUN_OUT.key,
    takes: &TIMER,
    needed: WITH_THE_OTHERS,
    example: "\"0.2 s\"",
    meaning: "Timer, from the end of clean-out: the plate goes on at ground rate, so that seeds \
              already on it finish the plot.",
};
static FILL: Key<Duration> = Key {
    name: changeover::FILL.key,
    takes: &TIMER,
    needed: WITH_THE_OTHERS,
    example: "\"0.5 s\"",
    meaning: "Timer, from the end of run-out: the boost brings new seed round to the release point.",
};
static HAND_OVER: Key<Duration> = Key {
    name: changeover::HAND_OVER.key,
    takes: &TIMER,
    needed: Needed::No,
    example: "\"0.8 s\"",
    meaning: "Timer: the new lot falls from its holder to the waiting place above the meter. \
              Without the other timers: how long the largest lot took to fall when it was timed in \
              the shop.",
};
static FALL_TIME: Key<Duration> = Key {
    name: "fall-time",
    takes: &TIMER,
    needed: Needed::No,
    example: "\"0.25 s\"",
    meaning: "How long a seed falls. Goes before `drop-height`.",
};

static LEAST_CLEAN_OUT: Key<Duration> = Key {
    name: "least-clean-out",
    takes: &TIMER,
    needed: Needed::No,
    example: "\"1.0 s\"",
    meaning: "Shortest clean-out at all, by the machine's manual or by a count of the seeds that \
              clean-outs of several lengths leave over. At most `usual-clean-out`.",
};
static USUAL_CLEAN_OUT: Key<Duration> = Key {
    name: "usual-clean-out",
    takes: &TIMER,
    needed: Needed::No,
    example: "\"1.5 s\"",
    meaning: "Clean-out after which no seed is left over, by the manual or by count. Starting values \
              go below it only for an alley that can't be made with it.",
};

/// `[changeover.sweep]`.
static SWEEP: Keys = Keys {
    name: "sweep",
    meaning: "The sweep that knocks stray seeds off the plate, where there is one.",
    list: &[&AFTER, &FOR, &CELLS_BEFORE_RELEASE],
    ..Keys::ONCE
};

static AFTER: Key<Duration> = Key {
    name: "after",
    takes: &TIMER,
    needed: Needed::Where("no, or both"),
    example: "\"1.4 s\"",
    meaning: "When it starts after the trip.",
};
static FOR: Key<Duration> = Key {
    name: "for",
    takes: &TIMER,
    needed: Needed::Where("no, or both"),
    example: "\"0.4 s\"",
    meaning: "How long it works.",
};
static CELLS_BEFORE_RELEASE: Key<Decimal> = Key {
    name: "cells-before-release",
    takes: &number(&bounds::CARRY),
    needed: Needed::Always,
    example: "3",
    meaning: "Cells from the sweep to release; at most `carry`.",
};

/// `[changeover.called]`.
static CALLED: Keys = Keys {
    name: "called",
    meaning: "What the crew or the controller's screen calls the timers; printed beside their names.",
    example: "{ clean-out = \"line 5\", run-out = \"line 6\" }",
    list: &[
        &CALLED_CLEAN_OUT,
        &CALLED_RUN_OUT,
        &CALLED_FILL,
        &CALLED_HAND_OVER,
        &CALLED_SWEEP_AFTER,
        &CALLED_SWEEP_FOR,
    ],
    ..Keys::ONCE
};

static CALLED_CLEAN_OUT: Key<String> = label(changeover::CLEAN_OUT.key, "The clean-out.");
static CALLED_RUN_OUT: Key<String> = label(changeover::RUN_OUT.key, "The run-out.");
static CALLED_FILL: Key<String> = label(changeover::FILL.key, "The fill.");
static CALLED_HAND_OVER: Key<String> = label(changeover::HAND_OVER.key, "The hand-over.");
static CALLED_SWEEP_AFTER: Key<String> = label("sweep-after", "The start of the sweep.");
static CALLED_SWEEP_FOR: Key<String> = label("sweep-for", "The length of the sweep.");

/// A label of a timer.
const fn label(name: &'static str, meaning: &'static str) -> Key<String> {
    Key { name, takes: &Text, needed: Needed::No, example: "\"line 5\"", meaning }
}

const TIMER: InUnits<TimeUnit> = measure(&bounds::TIMER);
const WITH_THE_OTHERS: Needed = Needed::Where("with the other two");

/// The table as read; what is missing was reported.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) boost: Option<Boost>,
    pub(super) old_seed_gone: Option<Duration>,
    pub(super) new_seed_at_pick_up: Option<Duration>,
    pub(super) present: Option<Present>,
    /// The hand-over, which may be known before any timer is set.
    pub(super) hand_over: Option<Duration>,
    pub(super) sweep: Option<Placed<SweepSetting>>,
    pub(super) fall: Option<Fall>,
    pub(super) least_clean_out: Option<Placed<Duration>>,
    pub(super) usual_clean_out: Option<Duration>,
    /// The crew's labels of the timers, by the keys of those.
    pub(super) called: Vec<(&'static str, String)>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let boost = table.read(reader, &BOOST);
    let old_seed_gone = table.read(reader, &OLD_SEED_GONE);
    let new_seed_at_pick_up = table.read(reader, &NEW_SEED_AT_PICK_UP);
    let hand_over = table.read(reader, &HAND_OVER);
    Table {
        span: table.span(),
        hand_over: hand_over.clone(),
        boost,
        old_seed_gone,
        new_seed_at_pick_up,
        present: present(reader, table, hand_over),
        sweep: table.table(reader, &SWEEP, sweep).flatten(),
        fall: table.read(reader, &FALL_TIME).map(Fall::Time),
        least_clean_out: table.placed(reader, &LEAST_CLEAN_OUT),
        usual_clean_out: table.read(reader, &USUAL_CLEAN_OUT),
        called: table.table(reader, &CALLED, called).unwrap_or_default(),
    }
}

/// The crew's labels of the timers.
fn called(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Vec<(&'static str, String)> {
    let all = [
        (&changeover::CLEAN_OUT, &CALLED_CLEAN_OUT),
        (&changeover::RUN_OUT, &CALLED_RUN_OUT),
        (&changeover::FILL, &CALLED_FILL),
        (&changeover::HAND_OVER, &CALLED_HAND_OVER),
        (&changeover::SWEEP_AFTER, &CALLED_SWEEP_AFTER),
        (&changeover::SWEEP_FOR, &CALLED_SWEEP_FOR),
    ];
    let read = |(timer, key): (&'static Setting, &'static Key<String>)| {
        Some((timer.key, table.read(reader, key)?))
    };
    all.into_iter().filter_map(read).collect()
}

/// The timers: all three or none.
fn present(
    reader: &mut Reader<'_>,
    table: &mut Section<'_>,
    hand_over: Option<Duration>,
) -> Option<Present> {
    let keys = [&CLEAN_OUT, &RUN_OUT, &FILL];
    let [clean_out, run_out, fill] = keys.map(|key| table.read(reader, key));
    if keys.iter().any(|key| table.has(*key)) {
        keys.iter().for_each(|key| table.need(*key));
    }
    Some(Present { clean_out: clean_out?, run_out: run_out?, fill: fill?, hand_over })
}

/// The sweep, with the place of its cells before release. Its times may be missing as long as
/// both are.
fn sweep(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Placed<SweepSetting>> {
    let (after, length) = (table.read(reader, &AFTER), table.read(reader, &FOR));
    let timed = table.has(&AFTER) || table.has(&FOR);
    if timed {
        table.need(&AFTER);
        table.need(&FOR);
    }
    let cells = table.read(reader, &CELLS_BEFORE_RELEASE);
    let timing = if timed { Some((after?, length?)) } else { None };
    let value = SweepSetting { timing, cells_before_release: cells? };
    Some(Placed { value, span: table.place(&CELLS_BEFORE_RELEASE) })
}

/// Checks that need more than one key.
pub(super) fn check(reader: &mut Reader<'_>, table: &Table, carry: Option<&Decimal>) {
    if let (Some(least), Some(usual)) = (&table.least_clean_out, &table.usual_clean_out)
        && least.value.base() > usual.base()
    {
        let message = "the least clean-out can't be longer than the usual one";
        let advice = "give the shortest clean-out at all here";
        reader.say(&codes::OUT_OF_RANGE, least.span.clone(), message, advice).allowed =
            Some(format!("0 s to {usual}, which is `usual-clean-out`"));
    }
    let (Some(sweep), Some(carry)) = (&table.sweep, carry) else { return };
    if sweep.value.cells_before_release.value() > carry.value() {
        let message = "the sweep can't lie more cells before release than pick-up does";
        let advice = "count the cells from the sweep to where a seed leaves the plate";
        reader.say(&codes::OUT_OF_RANGE, sweep.span.clone(), message, advice).allowed =
            Some(format!("0 to {carry}, which is `carry` in [planter.plate]"));
    }
}
