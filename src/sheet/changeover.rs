//! `[changeover]`: the timers, the boost, and the times of the machine itself.

use std::ops::Range;

use crate::calculations::changeover::{
    Boost, CLEAN_OUT, FILL, Fall, HAND_OVER, Present, RUN_OUT, SweepSetting,
};
use crate::quantity::bounds;
use crate::quantity::{CellRateUnit, Decimal, Duration, PerTimeUnit, TimeUnit};

use super::reader::{Item, Reader, Section, measure, number};
use super::{Placed, codes};

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
}

fn timer() -> impl super::reader::Read<Duration> {
    measure::<TimeUnit>(&bounds::TIMER)
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let boost = table.required(reader, "boost", "\"40 cells/s\"", boost);
    let old_seed_gone = table.required(reader, "old-seed-gone", "\"0.9 s\"", timer());
    let new_seed_at_pick_up = table.required(reader, "new-seed-at-pick-up", "\"0.2 s\"", timer());
    let hand_over = table.optional(reader, HAND_OVER.key, timer());
    Table {
        span: table.span(),
        hand_over: hand_over.clone(),
        boost,
        old_seed_gone,
        new_seed_at_pick_up,
        present: present(reader, table, hand_over),
        sweep: table.table(reader, "sweep", sweep).flatten(),
        fall: table.optional(reader, "fall-time", timer()).map(Fall::Time),
    }
}

/// The timers: all three or none.
fn present(
    reader: &mut Reader<'_>,
    table: &mut Section<'_>,
    hand_over: Option<Duration>,
) -> Option<Present> {
    let keys = [CLEAN_OUT.key, RUN_OUT.key, FILL.key];
    if keys.iter().all(|key| !table.has(key)) {
        table.know(&keys);
        return None;
    }
    let clean_out = table.required(reader, CLEAN_OUT.key, "\"1.5 s\"", timer());
    let run_out = table.required(reader, RUN_OUT.key, "\"0.2 s\"", timer());
    let fill = table.required(reader, FILL.key, "\"0.5 s\"", timer());
    Some(Present { clean_out: clean_out?, run_out: run_out?, fill: fill?, hand_over })
}

/// The sweep, with the place of its cells before release. Its times may be missing as long as
/// both are.
fn sweep(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Placed<SweepSetting>> {
    let timed = table.has("after") || table.has("for");
    let timing = if timed {
        let after = table.required(reader, "after", "\"1.4 s\"", timer());
        let length = table.required(reader, "for", "\"0.4 s\"", timer());
        Some((after?, length?))
    } else {
        table.know(&["after", "for"]);
        None
    };
    let cells = table.required(reader, "cells-before-release", "3", number(&bounds::CARRY));
    let value = SweepSetting { timing, cells_before_release: cells? };
    Some(Placed { value, span: table.place("cells-before-release") })
}

/// Cells in a time, or plate turns in a time.
pub(super) fn boost(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Boost> {
    let typed = reader.typed(item);
    if typed.contains("turn") {
        return measure::<PerTimeUnit>(&bounds::PLATE_RATE)(reader, item).map(Boost::Turns);
    }
    measure::<CellRateUnit>(&bounds::BOOST_CELLS)(reader, item).map(Boost::Cells)
}

/// Checks that need both the timers and the plate.
pub(super) fn check(reader: &mut Reader<'_>, table: &Table, carry: Option<&Decimal>) {
    let (Some(sweep), Some(carry)) = (&table.sweep, carry) else { return };
    if sweep.value.cells_before_release.value() > carry.value() {
        let message = "the sweep can't lie more cells before release than pick-up does";
        let advice = "count the cells from the sweep to where a seed leaves the plate";
        reader.say(&codes::OUT_OF_RANGE, sweep.span.clone(), message, advice).allowed =
            Some(format!("0 to {carry}, which is `carry` in [planter.plate]"));
    }
}
