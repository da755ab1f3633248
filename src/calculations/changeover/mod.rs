//! The changeover: where the seeds fall for given timers, what timers give the wanted alley,
//! what the machine cannot do, and which one timer to change after looking at the ground.

mod advice;
mod ground;
mod inputs;
mod motion;
mod phase;
mod prediction;
mod proposal;
mod reach;
mod since;
mod start;
mod steps;
#[cfg(test)]
mod tests;
mod timer_settings;
mod timers;
mod what_if;
mod worth;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::cautions::CHANGEOVER;
use crate::outcome::{Calculation, Next, Outcome};
use crate::quantity::brief;
use crate::working::Value;

use ground::{WIDTH_OFF, clean_out_figures, describe};
use worth::worth;

pub use advice::{ADVICE, advise};
pub use inputs::{Boost, Fall, Inputs, Observed, Present, SweepSetting};
pub use motion::{Boosted, Motion, RateChange, Schedule, Sweep, Turning, numbers, strip};
pub use phase::{Phases, Spread};
pub use prediction::{Prediction, predict};
pub use reach::Span;
pub use since::TimersThen;
pub use start::{Start, StartError, least_alley, starting_values};
pub use steps::{CleanOuts, Wish};
pub use timer_settings::{CLEAN_OUT, FILL, HAND_OVER, RUN_OUT, SWEEP_AFTER, SWEEP_FOR};
pub use timers::{Timers, plain_numbers, run_out_needed};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "changeover", title: "Changeover" };

/// The ground that the present timers make, or starting values where there are none, and what
/// speed does to the least alley.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = CHANGEOVER.to_vec();
    clean_out_figures(inputs, &mut outcome);
    let start = proposal::propose(inputs, common);
    match inputs.timers(common) {
        Some(timers) => {
            describe(inputs, common, &timers, &mut outcome);
            worth(inputs, common, &plain_numbers(&timers), &mut outcome);
            proposal::list(inputs, common, &start, &mut outcome);
            if !inputs.was_looked_at() && outcome.next.is_none() {
                outcome.next = Some(look_at_the_ground(common, &outcome));
            }
        }
        None => {
            proposal::set(inputs, common, &start, &mut outcome);
            if let Ok(start) = &start {
                worth(inputs, common, &start.timers, &mut outcome);
            }
        }
    }
    what_if::what_if(inputs, common, &mut outcome);
    outcome
}

/// What to do with timers that nobody has looked at yet.
fn look_at_the_ground(common: &Common, outcome: &Outcome) -> Next {
    let off = outcome.values.iter().find(|value| value.name() == Some(WIDTH_OFF));
    let off = off.map_or(0.0, Value::number);
    let way = if off > 0.0 { "too wide" } else { "too narrow" };
    let length = common.units.length;
    Next::only(
        CALCULATION,
        format!(
            "by the machine times of the sheet the alley comes out {} {length} {way}; plant a \
             test range with these timers, look at it, and type what you see into a \
             [[changeover-run]]",
            brief(off.abs())
        ),
    )
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "changeover",
    about: "Changeover: where the seeds fall for given timers, and timers to start with",
    lacks: "[changeover]",
    advice: "add [changeover] with `boost`, `old-seed-gone` and `new-seed-at-pick-up`; the timers may be left out to get values to start with",
    has_readings: false,
    runs: &["changeover-run"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        let advice = self.was_looked_at().then(|| advise(self, common));
        Ok([calibrate(self, common)].into_iter().chain(advice).collect())
    }

    /// Values to start with where no timer was ever set; advice where one was, and was looked at.
    /// A changeover that was only thought out is worth a page where there is nothing else.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        let is_alone =
            so_far.outcomes.is_empty() && !so_far.has_any(&["rows", "trip", "alley", "passes"]);
        so_far.outcomes.extend(if self.was_looked_at() {
            Some(advise(self, common))
        } else {
            (self.present.is_none() || is_alone).then(|| calibrate(self, common))
        });
        Ok(())
    }
}
