//! Harvest: the lengths that a plot's yield may be worked out by, the factor between the yields, and
//! what a wrong length does.
//!
//! A plot may be said to be as long as from its first seed to its last, longer by the one spacing
//! that its seeds take up, or to reach from the middle of an alley to the middle of the next. Plants
//! beside an alley have more room and light and yield more, so no length is right by itself: the
//! first two give them too little ground, and the third gives the alley as much as the crop. Which
//! one is used has to be the same for all plots, and said beside the yields. All three are printed,
//! and none is chosen.

mod formulas;
mod inputs;
mod tables;
mod taped;
mod ways;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::outcome::cautions::MANUAL_FIRST;
use crate::outcome::{Caution, Outcome};
use crate::quantity::Unit;
use crate::working::Value;

use ways::Ground;

pub use formulas::{cut_to_cut, left_between_cuts, middle_to_middle, with_spacing, yield_factor};
pub use inputs::{Between, CALCULATION, Inputs};

/// Where ends of plots are cut off.
static CUTTING: Caution = Caution {
    text: "Ends of plots are cut off with nobody in front of the cutter or beside it; it is cleared \
           with the engine off, the key out and all blades at rest.",
    source: "29 CFR 1928.57; ISO 4254-1",
};

/// All three lengths, planned, trimmed and taped, with what lies between yields by them.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    let subject = taped::subject(inputs.between());
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), subject));
    let ground = Ground::of(inputs, common);
    if ground.cuts.is_some() {
        outcome.cautions = vec![&MANUAL_FIRST, &CUTTING];
    }
    let mut all = ground.lengths();
    all.extend(taped::add(inputs, common, &ground, &mut outcome));
    all.extend(Ground::others(inputs, common).iter().flat_map(Ground::lengths));
    for one in &all {
        outcome.values.extend(one.ways.iter().cloned());
    }
    let width = inputs.rows_per_plot.map(|rows| {
        let row_spacing = units.length("row spacing", &inputs.seeds.row_spacing);
        (Value::typed("rows per plot", rows, Unit::ONE) * row_spacing).named("plot width")
    });
    let error = match &common.limits.plot {
        Some(limit) => limit.value(units),
        None => Value::exact("an error of one", 1.0, units.length.into()),
    };
    let entered = inputs.entered.as_ref().map(|length| units.length("length entered", length));
    let lengths = tables::lengths(&all, width.as_ref(), &error, units, &mut outcome);
    let factors = tables::factors(&all, entered.as_ref(), &mut outcome);
    outcome.tables.extend([lengths, factors]);
    outcome
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "harvest",
    about: "Lengths that a yield may be worked out by, and the factors between them",
    lacks: "plot, alley and seeds to work out a harvest length by",
    advice: "add `plot`, `alley` and `seed-spacing` under [trial], and `row-spacing` under [planter]",
    has_readings: true,
    runs: &["harvest-run"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    /// What is judged comes first: the cuts, where there are any.
    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        readings::leave_out([&mut self.cuts, &mut self.plants].into_iter(), places)
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }

    /// A sheet that says nothing of the harvest is asked by name only.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        if self.asked {
            so_far.outcomes.push(calibrate(self, common));
        }
        Ok(())
    }
}
