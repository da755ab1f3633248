//! Plots taped before harvest: how far the planned length is off, what that does to a yield, and how
//! much of the scatter of yields is the scatter of lengths.

use crate::calculations::common::Common;
use crate::calculations::judgement::Evidence;
use crate::calculations::stakes::yield_error;
use crate::outcome::wording::in_words;
use crate::outcome::{Decision, Judgement, Next, Outcome};
use crate::statistics::Summary;
use crate::working::Value;

use super::inputs::{Between, CALCULATION, Inputs};
use super::ways::{Ground, Lengths};

/// What one reading is.
pub(super) fn subject(between: Between) -> &'static str {
    match between {
        Between::Plants => "plot length",
        Between::Cuts => "cut length",
    }
}

/// Takes what was taped last into the outcome, and gives the lengths of the mean plot; of what was
/// taped before that only the mean with its interval.
pub(super) fn add(
    inputs: &Inputs,
    common: &Common,
    ground: &Ground,
    outcome: &mut Outcome,
) -> Option<Lengths> {
    let between = inputs.between();
    if between == Between::Cuts {
        let before = common.units.readings(&inputs.plants);
        let before = Summary::of(subject(Between::Plants), &before, common.confidence);
        if let Some(Summary { mean, spread, .. }) = before {
            outcome.values.push(mean);
            let ends = spread.map(|spread| [spread.interval.low, spread.interval.high]);
            outcome.values.extend(ends.into_iter().flatten());
        }
    }
    judged(inputs, common, ground, between, outcome)
}

fn judged(
    inputs: &Inputs,
    common: &Common,
    ground: &Ground,
    between: Between,
    outcome: &mut Outcome,
) -> Option<Lengths> {
    let lengths = match between {
        Between::Plants => &inputs.plants,
        Between::Cuts => &inputs.cuts,
    };
    let readings = common.units.readings(lengths);
    let subject = subject(between);
    let mean = crate::statistics::mean(subject, &readings)?;
    let planned = ground.planned(between)?;
    let error = (&mean - planned).named("taped less planned");
    let judgement = Judgement::of(&Evidence {
        subject,
        groups: vec![readings],
        of_runs: vec![],
        by_run: false,
        parted: None,
        known: None,
        error: error.clone(),
        to_error: &|spread| spread,
        jitter: None,
        tolerance: inputs
            .tolerance
            .as_ref()
            .map(|length| common.units.length("trip tolerance", length)),
        reach: None,
        apart: None,
        tolerance_key: "trip",
        key: CALCULATION.key,
        confidence: common.confidence,
        in_plot_order: false,
        left_out: common.left_out(CALCULATION),
    })?;
    let off = |mean: &Value, end: &str| {
        yield_error(planned, mean).named(["yield by the planned length off", end].concat())
    };
    outcome.values.extend([error, off(&mean, "")]);
    if let Some(interval) = &judgement.interval {
        outcome.values.push(off(&(planned + &interval.low), ", low"));
        outcome.values.push(off(&(planned + &interval.high), ", high"));
    }
    outcome.values.extend(
        judgement
            .sd
            .as_ref()
            .map(|sd| (sd / &mean).in_percent().named("CV of yields that lengths alone make")),
    );
    outcome.next = next(&judgement, &mean, planned);
    outcome.judge(judgement);
    Some(match between {
        Between::Plants => ground.standing("as taped", ", taped", &mean),
        Between::Cuts => ground.between_cuts("as taped", ", taped", &mean),
    })
}

/// What to do about a length that is not the planned one.
fn next(judgement: &Judgement, mean: &Value, planned: &Value) -> Option<Next> {
    let words = match &judgement.decision {
        Decision::Change => format!(
            "the {}s are {} on average and {} as planned: work yields out by the lengths taped, each \
             plot by its own or all by the mean, and say which of the three lengths it is",
            judgement.subject,
            in_words(mean),
            in_words(planned)
        ),
        Decision::Measure(reason) | Decision::Wait(reason) => {
            format!("{}: {reason}", judgement.subject)
        }
        Decision::Keep(_) => return None,
    };
    Some(Next::about(CALCULATION, planned, words))
}
