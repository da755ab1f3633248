//! Hours and seed to bring: how long the field takes, with turns and loading, and the seed of its
//! lots, fillers, borders and test ranges.

mod formulas;
mod hours;
mod inputs;
mod seed;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::outcome::cautions::{CLEAR_OF_METERS, MANUAL_FIRST, PACKING, SEED_TAG};
use crate::outcome::wording::in_words;
use crate::outcome::{Next, Outcome};
use crate::quantity::shown;

pub use formulas::{field_efficiency, pass_time, work_rate};
pub use inputs::{CALCULATION, Inputs, Planted};

/// What one reading is.
const SUBJECT: &str = "pass";

/// Hours and seed of the field.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST, &CLEAR_OF_METERS, &SEED_TAG, &PACKING];
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), SUBJECT));
    let hours = hours::add(inputs, common, &mut outcome);
    let seed = seed::add(inputs, common, &mut outcome);
    let mut words = vec![];
    if let Some(hours) = &hours {
        let ends = hours.ends.as_ref().map_or(String::new(), |[low, high]| {
            format!(" ({} to {})", in_words(low), in_words(high))
        });
        let days = hours.days.as_ref().map_or(String::new(), |days| {
            let s = if days.number() > 1.0 { "s" } else { "" };
            format!(", {} day{s}", shown(days.number()))
        });
        words.push(format!("plan {}{ends} for the field{days}", in_words(&hours.all)));
    }
    words.extend(seed.map(|seed| format!("bring {} seeds", shown(seed.number()))));
    if !words.is_empty() {
        outcome.next = Some(Next::only(CALCULATION, words.join(", and ")));
    }
    outcome
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "time",
    about: "Hours of the field with turns and loading, and the seed to bring",
    lacks: "[time]",
    advice: "add a table [time] with `turn = \"40 s\"` below it",
    has_readings: true,
    runs: &["time-run"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        readings::leave_out([&mut self.took].into_iter(), places)
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }

    /// It belongs to the office: it takes a turn only where passes were timed, and asks for nothing.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        if !self.took.is_empty() {
            so_far.outcomes.push(Outcome { next: None, ..calibrate(self, common) });
        }
        Ok(())
    }
}
