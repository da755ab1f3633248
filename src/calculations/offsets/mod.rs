//! Trip sources and row units: what lies between a mark and the seed besides the settings.
//!
//! A planter trips when a wire's stop, a mark on the ground, a count of a wheel or a place by satellites is
//! reached. What senses it sits some way ahead of where seed falls, a distance, and takes its time, a
//! distance with the speed: shift = latency × speed - sensed ahead. A change of the source moves every
//! alley by the difference, and the setback with it.
//!
//! Row units that sit in two ranks drop seed ahead of and behind one another at one instant. Rows,
//! alleys and leads are read as those of the row that was taped and brought to the middle of all
//! ([`Rank`]); on the ground the rows of passes out and of passes home lie out of line the other way round.

mod formulas;
mod inputs;
mod rank;
mod remarks;
mod sources;
mod units;

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::Outcome;
use crate::outcome::cautions::{BLOCK_RAISED, MANUAL_FIRST, NO_RIDERS, STOP_FIRST};

use remarks::ROWS_OUT_OF_LINE;

pub use formulas::{delay_of_row, shift_by_source};
pub use inputs::{CALCULATION, Inputs, Kind, Source};
pub use rank::Rank;

/// Every trip source and every row unit.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST, &STOP_FIRST, &BLOCK_RAISED, &NO_RIDERS];
    sources::add(inputs, common, &mut outcome);
    units::add(inputs, common, &mut outcome);
    outcome
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "stakes",
    about: "",
    lacks: "[[trip-source]] and no [row-units]",
    advice: "add a [[trip-source]] with `source`, `sensed-ahead` and `latency`, or [row-units] with `rank-offset`",
    has_readings: false,
    runs: &[],
    warnings: &[&ROWS_OUT_OF_LINE],
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
