//! How many plots a field has, a trial needs, and what is left or missing.

use crate::outcome::Outcome;
use crate::outcome::warning::TOO_FEW_PLOTS;
use crate::quantity::{Unit, brief};
use crate::working::Value;

use super::inputs::Inputs;

/// Plots that stand side by side in a pass: rows of the planter / rows of a plot.
pub(in crate::calculations) fn plots_abreast(rows: &Value, rows_per_plot: &Value) -> Value {
    (rows / rows_per_plot).named("plots abreast")
}

/// Plots of the field: ranges × passes × plots abreast.
pub(in crate::calculations) fn plots(ranges: &Value, passes: &Value, abreast: &Value) -> Value {
    (ranges * passes * abreast).named("plots")
}

/// Plots of the trial: entries × reps.
pub(in crate::calculations) fn plots_needed(entries: &Value, reps: &Value) -> Value {
    (entries * reps).named("plots needed")
}

/// Plots of the field beyond those of the trial; below zero where some are missing.
pub(in crate::calculations) fn left_to_fill(plots: &Value, needed: &Value) -> Value {
    (plots - needed).named("plots left to fill")
}

/// Plots less entries × reps: what is left for filling, or missing where negative.
pub(super) fn plots_left(inputs: &Inputs, plots: &Value) -> Option<Value> {
    let (entries, reps) = inputs.entries_and_reps?;
    let entries = Value::typed("entries", entries, Unit::ONE);
    let reps = Value::typed("reps", reps, Unit::ONE);
    Some(left_to_fill(plots, &plots_needed(&entries, &reps)))
}

pub(super) fn warn_of_missing(left: &Value, outcome: &mut Outcome) {
    if left.number() < 0.0 {
        let missing = brief(-left.number());
        outcome.warnings.push(TOO_FEW_PLOTS.with(format!(
            "the layout lacks {missing} of the plots that entries × reps need; add a range or a pass"
        )));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calculations::stakes::CALCULATION;

    #[test]
    fn plots_are_missing_only_where_there_are_fewer_than_the_trial_needs() {
        for (plots_there, warned) in [(5.0, true), (6.0, false), (7.0, false)] {
            let left = left_to_fill(&Value::constant(plots_there), &Value::constant(6.0));
            assert_eq!(left.number(), plots_there - 6.0);
            let mut outcome = Outcome::new(CALCULATION);
            warn_of_missing(&left, &mut outcome);
            assert_eq!(!outcome.warnings.is_empty(), warned);
            let words = outcome.warnings.first().map(|warning| warning.message.as_str());
            assert!(words.is_none_or(|words| words.starts_with("the layout lacks 1 of")));
        }
    }
}
