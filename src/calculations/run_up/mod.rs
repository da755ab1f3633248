//! Run-up: the ground that a pass needs before its first plot, against the headland, and the first
//! plot of a pass whose plate is empty.
//!
//! A planter that starts from standing is at speed after v² / (2 a). Whatever is set by time counts on
//! the speed, so it is to be there at the first mark. A plate that is empty, as it is when a
//! pass begins, drops its first seed only when it has turned from pick-up to release: after carry ×
//! spacing of ground. Behind the place where it starts the machine itself has to stand.

mod formulas;
mod headlands;
mod inputs;
mod way;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::outcome::Outcome;
use crate::outcome::cautions::{MANUAL_FIRST, NO_RIDERS, ROLL_BAR};
use crate::quantity::Unit;
use crate::working::Value;

use headlands::HEADLAND_SHORT;
use way::{SUBJECT, Ways};

pub use formulas::{speed_allowed, way_to_fill, way_to_speed};
pub use inputs::{CALCULATION, Fills, Inputs};

/// What a pass needs before its first plot, held against both headlands, and what an empty plate does.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST, &ROLL_BAR, &NO_RIDERS];
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), SUBJECT));
    let Some(ways) = Ways::of(inputs, common, &mut outcome) else { return outcome };
    outcome.values.extend([ways.run_up.clone(), ways.fill.clone()]);
    empty_plate(inputs, common, &ways, &mut outcome);
    headlands::add(inputs, common, &ways, &mut outcome);
    outcome
}

/// What the first plot of a pass lacks where its plate is empty when it begins.
fn empty_plate(inputs: &Inputs, common: &Common, ways: &Ways, outcome: &mut Outcome) {
    if let Some(plot) = &inputs.plot {
        let plot = common.units.length("plot", plot);
        let share = (&ways.fill / plot).in_percent();
        outcome.values.push(share.named("of the first plot bare, plate empty at its start"));
    }
    if let Some(count) = inputs.first_plots {
        let name = "first plots of passes";
        let count = f64::from(count);
        outcome.values.push(Value::found(name, count, Unit::ONE, "counted, with borders"));
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "stakes",
    about: "",
    lacks: "run-up",
    advice: "add a table [run-up] with `time-to-speed = \"3 s\"` below it",
    has_readings: true,
    runs: &["run-up-run"],
    warnings: &[&HEADLAND_SHORT],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    /// Ways taped, then times.
    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        let taped = self.distances.len();
        let count = readings::leave_out([&mut self.distances].into_iter(), places);
        let later = places.iter().filter(|place| **place > taped);
        let later: Vec<usize> = later.map(|place| place - taped).collect();
        count + readings::leave_out([&mut self.times].into_iter(), &later)
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }

    /// Like the layout it takes no turn where nothing was measured.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        if !(self.distances.is_empty() && self.times.is_empty()) {
            so_far.outcomes.push(calibrate(self, common));
        }
        Ok(())
    }
}
