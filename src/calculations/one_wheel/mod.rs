//! One wheel, two numbers: where the trip's counter and the seed drive turn with one wheel, counts
//! per turn = trip scale × travel per turn.
//!
//! A turn of the wheel makes as many counts as its counter has places, on any ground and with any
//! tyre. On softer ground, or with less air, it covers another ground in a turn, and both numbers move
//! against each other: more counts per length, less travel. Their product stays. So where the product
//! moved, the counter did (a sensor slipped or misses counts), or one of the two was read wrong; where
//! it stands and the travel moved, the wheel rolls otherwise. And where it stands, a few readings of
//! the one number tell the other: after rain, turns over a course say whether the trip scale may be
//! held, trip readings whether the drive may.

mod days;
mod formulas;
mod inputs;
mod last_day;
mod remarks;
mod unsure;
mod walk;

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::Outcome;
use crate::outcome::cautions::{MANUAL_FIRST, NO_RIDERS, STOP_FIRST, TURNING_WHEEL};

use remarks::{ONE_WHEEL_MOVED, WHEEL_ROLLS_OTHER};
use walk::{Sure, Walk};

pub use formulas::{counts_over, moved, one_of, scale_of, travel_of};
pub use inputs::{CALCULATION, Day, Inputs, Known};

/// Both numbers day by day, and what the last day says of what is set.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST, &NO_RIDERS, &TURNING_WHEEL, &STOP_FIRST];
    let plot = units.length("plot", &inputs.plot);
    let spacing = (plot + units.length("alley", &inputs.alley)).named("trip spacing");
    let tolerance = inputs.tolerance.as_ref().map(|length| {
        (units.length("trip tolerance", length) / &spacing)
            .in_percent()
            .named("trip tolerance over the trip spacing")
    });
    let sure = Sure {
        common,
        trips: days::scatter_of_trips(&inputs.days, units),
        turns: days::scatter_of_turns(&inputs.days),
        tolerance,
    };
    let found = days::found(inputs, units);
    let walk = Walk::of(&found, &sure);
    for day in &found {
        let both = [&day.scale, &day.travel, &day.counts];
        outcome.values.extend(both.into_iter().flatten().cloned());
    }
    outcome.tables.push(walk.table(&units.length.to_string()));
    last_day::add(inputs, &sure, &walk, &spacing, &mut outcome);
    outcome
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "one-wheel",
    about: "Trip and drive off one wheel: counts per turn over the days, and readings after rain",
    lacks: "[one-wheel] with trip runs and wheel runs",
    advice: "add a line [one-wheel] where trip and drive turn with one wheel, and measure a [[trip-run]] and a [[wheel-run]] on one day",
    has_readings: false,
    runs: &[],
    warnings: &[&ONE_WHEEL_MOVED, &WHEEL_ROLLS_OTHER],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}
