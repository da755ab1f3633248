//! The changeover: where the seeds fall for given timers, what timers give the wanted alley,
//! what the machine cannot do, and which one timer to change after looking at the ground.

mod actions;
mod advice;
mod ground;
mod inputs;
mod knobs;
mod motion;
mod phase;
mod prediction;
mod proposal;
mod reach;
mod shape;
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

pub use actions::{
    Action, Boost, Does, Edge, Extent, Ground, Planned, When, Work, scheduled, when,
};
pub use advice::{ADVICE, advise};
pub use inputs::{Fall, Inputs, Observed};
pub use motion::{Boosted, Motion, RateChange, Schedule, Sweep, Turning, numbers, strip};
pub use phase::{Phases, Spread};
pub use prediction::{Prediction, predict};
pub use reach::Span;
pub use shape::{Base, Free, Lasting, Origin, Shape};
pub use since::TimersThen;
pub use start::{Found, Start, StartError, least_alley, starting_values};
pub use steps::{CleanOuts, Wish};
pub use timers::{Timers, run_out_needed};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "changeover", title: "Changeover" };

/// The ground that the actions make as they are set, or starting values where they are not, and what
/// speed does to the least alley.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = CHANGEOVER.to_vec();
    clean_out_figures(inputs, &mut outcome);
    let proposal = proposal::propose(inputs, common);
    match (inputs.schedule(common), &proposal) {
        (Some(schedule), proposal) => {
            describe(inputs, common, &schedule, &inputs.times(common, &[]), &mut outcome);
            worth(inputs, common, &[], &mut outcome);
            what_if::as_set_over_speed(inputs, common, &mut outcome);
            match proposal {
                Ok(proposal) => proposal::list(inputs, common, proposal, &mut outcome),
                Err(why) => proposal::none(why, &mut outcome),
            }
            if !inputs.was_looked_at() && outcome.next.is_none() {
                outcome.next = Some(look_at_the_ground(common, &outcome));
            }
        }
        (None, Ok(proposal)) => proposal::set(inputs, common, proposal, &mut outcome),
        (None, Err(why)) => {
            proposal::none(why, &mut outcome);
            outcome.next = Some(Next::only(
                CALCULATION,
                format!(
                    "no starting values are worked out for this list of actions: {why}; give its \
                     actions times of your own under `for` and `wait`, plant a test range and look \
                     at it"
                ),
            ));
        }
    }
    if let Ok(proposal) = &proposal {
        what_if::what_if(inputs, common, proposal, &mut outcome);
    }
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
    advice: "add [changeover] and a [[changeover.action]] for each thing that happens, above all a clean-out and a hand-over; their times may be left out to get values to start with",
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
            (!self.is_set() || is_alone).then(|| calibrate(self, common))
        });
        Ok(())
    }
}
