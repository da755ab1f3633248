//! One change after looking at the ground, in the order in which each rests on the one before:
//! hand-over, clean-out, run-out, fill, sweep, then width. One thing at a time: common practice,
//! no source.

use crate::calculations::Common;
use crate::calculations::alley::width_scatter;
use crate::outcome::cautions::{CHANGEOVER, CHANGEOVER_AT_THE_DRIVE};
use crate::outcome::setting::{Setting, on_step};
use crate::outcome::warning::{ALLEY_NOT_REACHED, MODEL_OFF, NO_SWEEP, ONLY_LAST_RUN};
use crate::outcome::{Calculation, Next, Outcome, Verdict};
use crate::quantity::{Duration, Length, at_most, brief, shown};
use crate::statistics;
use crate::working::Value;

use super::ground::clean_out_figures;
use super::inputs::{Inputs, Observed};
use super::motion::Motion;
use super::prediction::predict;
use super::steps::up_to_step;
use super::timer_settings::{
    CLEAN_OUT, FILL, HAND_OVER, RUN_OUT, SWEEP_FOR, second, time, timer_result,
};
use super::timers::{Timers, plain_numbers, run_out_needed};

/// The advice, which stands beside the prediction of the same timers.
pub const ADVICE: Calculation =
    Calculation { key: "changeover-advice", title: "Changeover, after looking" };

/// Seconds that count as none: what rounding leaves of equal times.
const HAIR: f64 = 1e-9;

/// The change that comes first.
struct Change {
    setting: &'static Setting,
    now: Value,
    exact: Value,
    /// Seconds below which it would leave the fault or bring another.
    least: f64,
    why: String,
    look_for: &'static str,
}

/// The one change that what was seen asks for; an outcome without a next step where nothing is
/// wrong with the changeover.
#[must_use]
pub fn advise(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(ADVICE);
    outcome.cautions = CHANGEOVER.to_vec();
    let Some(timers) = inputs.timers(common) else { return outcome };
    if inputs.runs.len() > 1 {
        outcome.warnings.push(ONLY_LAST_RUN.with(
            "several [[changeover-run]] tables: the last one tells what the present timers do",
        ));
    }
    let seen = inputs.runs.last().cloned().unwrap_or_default();
    if seen.hand_over_unfinished && timed_hand_over(inputs).is_none() {
        outcome.next = Some(Next {
            calculation: ADVICE,
            setting: Some(HAND_OVER.name.into()),
            now: None,
            set: None,
            by_hand: vec![],
            instruction: "lengthen the hand-over until the holder is empty when it closes, \
                          nothing else; put it in the sheet as `hand-over` and plant again"
                .into(),
        });
        return outcome;
    }
    let change = hand_over(inputs, &seen)
        .or_else(|| clean_out(common, &timers, &seen))
        .or_else(|| run_out(common, &timers, &seen))
        .or_else(|| fill(common, &timers, &seen, &mut outcome))
        .or_else(|| sweep(&timers, &seen, &mut outcome))
        .or_else(|| width(inputs, common, &timers, &seen, &mut outcome));
    keep_or_change(inputs, &timers, change, &mut outcome);
    outcome
}

fn keep_or_change(
    inputs: &Inputs,
    timers: &Timers<Value>,
    change: Option<Change>,
    outcome: &mut Outcome,
) {
    let changed = change.as_ref().map(|change| change.setting.key);
    for (setting, now) in
        [(&CLEAN_OUT, &timers.clean_out), (&RUN_OUT, &timers.run_out), (&FILL, &timers.fill)]
    {
        if changed == Some(setting.key) {
            continue;
        }
        let verdict = match changed {
            Some(_) => Verdict::Wait("one thing at a time".into()),
            None => Verdict::Keep("nothing seen that it would mend".into()),
        };
        outcome.settings.push(timer_result(setting, Some(now.clone()), now.clone(), verdict));
    }
    let Some(change) = change else { return };
    let set = rounded(inputs, &change);
    let difference = set.number() - change.now.number();
    let verb = if difference > 0.0 { "raise" } else { "lower" };
    let verdict =
        Verdict::Change(format!("{verb} it by {} s: {}", shown(difference.abs()), change.why));
    outcome.next = Some(Next {
        calculation: ADVICE,
        setting: Some(change.setting.name.into()),
        now: Some(change.now.clone()),
        set: Some(set.clone()),
        by_hand: vec![],
        instruction: format!(
            "set the {} to {} s (now {}), nothing else; plant again and {}",
            change.setting.name,
            shown(set.number()),
            change.now.typed_text().unwrap_or_default(),
            change.look_for
        ),
    });
    let mut result = timer_result(change.setting, Some(change.now), set, verdict);
    result.exact = change.exact;
    outcome.settings.insert(0, result);
}

/// The new timer on the controller's step: never below the least that will do, and moved from
/// what it was, the way it has to go.
fn rounded(inputs: &Inputs, change: &Change) -> Value {
    let Some(step) = &inputs.step else { return change.exact.clone() };
    let step = time("timer step", step);
    let set = on_step(change.setting.name, &change.exact, &step);
    let (seconds, now) = (set.number(), change.now.number());
    if seconds < change.least - HAIR {
        (set + &step).named(format!("{} to set, one step up", change.setting.name))
    } else if change.exact.number() < now && seconds > now - HAIR {
        (set - &step).named(format!("{} to set, one step down", change.setting.name))
    } else {
        set
    }
}

/// Whether a timer can be shortened and still be as long as it has to be, on the controller's
/// step.
fn has_room(now: &Value, least: f64, step: Option<f64>) -> bool {
    let least = step.map_or(least, |step| up_to_step(least, step));
    least < now.number() - HAIR
}

fn timed_hand_over(inputs: &Inputs) -> Option<&Duration> {
    inputs.present.as_ref()?.hand_over.as_ref()
}

fn hand_over(inputs: &Inputs, seen: &Observed) -> Option<Change> {
    if !seen.hand_over_unfinished {
        return None;
    }
    let now = time("hand-over", timed_hand_over(inputs)?);
    let exact = (&now + &now / Value::constant(4.0)).named("exact hand-over");
    Some(Change {
        setting: &HAND_OVER,
        least: exact.number(),
        exact,
        now,
        why: "seed had not all fallen; a quarter more".into(),
        look_for: "see that the holder is empty when it closes",
    })
}

/// Old seed in the new plot over a length L: it went on coming for L / v longer than clean-out
/// allowed.
fn clean_out(common: &Common, timers: &Timers<Value>, seen: &Observed) -> Option<Change> {
    let length = seen.old_seed_in_new_plot.as_ref().filter(|length| length.base() > 0.0)?;
    let over = common.units.length("old seed found into the new plot", length);
    let exact = (&timers.clean_out + over / &timers.speed).named("exact clean-out");
    Some(Change {
        setting: &CLEAN_OUT,
        now: timers.clean_out.clone(),
        least: exact.number(),
        exact,
        why: format!("old seed was found {length} into the new plot"),
        look_for: "look for seed of the old lot in the new plot",
    })
}

/// Seeds bunched at the plot's end over a length L: L r_b / v of them, which ground rate would
/// have dropped in L r_b / (v r_g).
fn run_out(common: &Common, timers: &Timers<Value>, seen: &Observed) -> Option<Change> {
    let length = seen.bunched_at_end.as_ref().filter(|length| length.base() > 0.0)?;
    let bunched = common.units.length("bunched at the plot's end", length);
    let motion = Motion::of(&timers.schedule());
    let longer = bunched * timers.fastest() / (&timers.speed * &motion.ground);
    let exact = (&timers.run_out + longer).named("exact run-out");
    Some(Change {
        setting: &RUN_OUT,
        now: timers.run_out.clone(),
        least: exact.number(),
        exact,
        why: format!("seeds stood bunched over {length} at the plot's end"),
        look_for: "look at the spacing of the last seeds of the plot",
    })
}

/// Seeds bunched at the plot's start over a length L were dropped under boost for L / v.
fn fill(
    common: &Common,
    timers: &Timers<Value>,
    seen: &Observed,
    outcome: &mut Outcome,
) -> Option<Change> {
    let length = seen.bunched_at_start.as_ref().filter(|length| length.base() > 0.0)?;
    if timers.fill.number() <= 0.0 {
        outcome.warnings.push(MODEL_OFF.with(format!(
            "seeds stood bunched over {length} at the plot's start, and the timers have no fill \
             that could bunch them"
        )));
        outcome.cautions = CHANGEOVER_AT_THE_DRIVE.to_vec();
        outcome.next = Some(Next::only(
            ADVICE,
            "find out what bunches seeds at the plot's start, where there is no fill: with the \
             engine off look at meter, chain and seed tube, and time the machine again",
        ));
        return None;
    }
    let bunched = common.units.length("bunched at the plot's start", length);
    let exact = (&timers.fill - bunched / &timers.speed).named("exact fill");
    Some(Change {
        setting: &FILL,
        now: timers.fill.clone(),
        exact: not_below_zero(exact, "fill"),
        least: 0.0,
        why: format!("seeds stood bunched over {length} at the plot's start"),
        look_for: "look at the spacing of the first seeds of the plot",
    })
}

/// Stray old seeds passed behind the sweep: as many more cells must be swept.
fn sweep(timers: &Timers<Value>, seen: &Observed, outcome: &mut Outcome) -> Option<Change> {
    let strays = seen.stray_seeds.filter(|strays| *strays > 0)?;
    let Some(sweep) = &timers.sweep else {
        outcome.warnings.push(NO_SWEEP.with(format!(
            "{strays} stray seeds in the alley, and the sheet has no sweep to take them off"
        )));
        return None;
    };
    let motion = Motion::of(&timers.schedule());
    let count = crate::quantity::Decimal::whole(strays);
    let seeds = Value::typed("stray seeds", count, crate::quantity::Unit::ONE);
    let exact = (&sweep.length + seeds / &motion.ground).named("exact sweep length");
    Some(Change {
        setting: &SWEEP_FOR,
        now: sweep.length.clone(),
        least: exact.number(),
        exact,
        why: format!("{strays} stray seeds were found in the alley"),
        look_for: "look for seeds in the alley",
    })
}

/// The width against the one wanted. Fill takes width away by v (r_b / r_g - 1) a second, since
/// the boost covers r_b / r_g as many cells as the ground drive; clean-out adds v a second.
fn width(
    inputs: &Inputs,
    common: &Common,
    timers: &Timers<Value>,
    seen: &Observed,
    outcome: &mut Outcome,
) -> Option<Change> {
    let units = &common.units;
    let widths = if seen.alley_width.is_empty() {
        inputs.widths.concat()
    } else {
        units.readings(&seen.alley_width)
    };
    let mean = statistics::mean("alley width", &widths)?;
    let wanted = units.length("alley wanted", &inputs.alley);
    let off = (&mean - &wanted).named("alley width against wanted");
    outcome.values.extend([mean, off.clone()]);
    let limit = inputs.width_tolerance.as_ref().map_or(0.0, |t| t.value_in(units.length));
    if at_most(off.number().abs(), limit) {
        return None;
    }
    model_off(inputs, common, timers, &widths, &off, outcome);
    let scatter = width_scatter(&widths, Some(&inputs.seeds), common.confidence, units);
    if off.number().abs() <= scatter {
        outcome.next = Some(Next::only(
            ADVICE,
            format!(
                "the alley width is {} {} off, give or take {}: measure more widths, up to ten, \
                 before a timer is changed",
                brief(off.number()),
                units.length,
                brief(scatter)
            ),
        ));
        return None;
    }
    let motion = Motion::of(&timers.schedule());
    let faster = timers.fastest() / &motion.ground - Value::constant(1.0);
    let words = format!(
        "the alley is {} {} {}",
        brief(off.number().abs()),
        units.length,
        if off.number() > 0.0 { "too wide" } else { "too narrow" }
    );
    let step = inputs.step.as_ref().map(|step| time("timer step", step).number());
    let travel = timers.speed.number() * step.unwrap_or(0.0);
    // Less than half of what a step makes would only come back with the other sign.
    let worth_a_step = |one: f64| off.number().abs() > one / 2.0;
    let earlier = Earlier::of(&inputs.runs, off.number() > 0.0);
    if faster.number() > 1e-6 && worth_a_step(travel * faster.number()) && !earlier.fill_too_long {
        let exact = (&timers.fill + &off / (&timers.speed * faster)).named("exact fill");
        let shorter = off.number() < 0.0;
        if exact.number() >= 0.0 && (shorter || !bunches(timers, exact.number())) {
            return Some(Change {
                setting: &FILL,
                now: timers.fill.clone(),
                exact,
                least: 0.0,
                why: words,
                look_for: "measure the alley width again",
            });
        }
    }
    let seconds = &off / &timers.speed;
    let exact = (&timers.clean_out - &seconds).named("exact clean-out");
    let floor = timers.old_seed_gone.number().max(inputs.clean_outs().least);
    let narrow = off.number() < 0.0;
    let room = has_room(&timers.clean_out, floor, step);
    if worth_a_step(travel) && (narrow || room && !earlier.clean_out_too_short) {
        if !narrow && inputs.least_clean_out.is_none() {
            clean_out_figures(inputs, outcome);
        }
        let short = Value::found("exact clean-out", floor, second(), "as short as it may be");
        let least = if narrow { 0.0 } else { floor };
        return Some(Change {
            setting: &CLEAN_OUT,
            now: timers.clean_out.clone(),
            exact: if exact.number() < least { short } else { exact },
            least,
            why: words,
            look_for: "measure the alley width again",
        });
    }
    let shorter = (&timers.run_out - seconds).named("exact run-out");
    let needed = not_below_zero(run_out_needed(timers), "run-out");
    let least = needed.number();
    if worth_a_step(travel) && !earlier.run_out_too_short && has_room(&timers.run_out, least, step)
    {
        return Some(Change {
            setting: &RUN_OUT,
            now: timers.run_out.clone(),
            exact: if shorter.number() < least { needed } else { shorter },
            least,
            why: format!("{words}, and a boost that starts sooner takes from it"),
            look_for: "look at the last seeds of the plot and measure the alley width again",
        });
    }
    let reason = if worth_a_step(travel) {
        "and no timer can take it away: drive slower or boost faster"
    } else {
        "nearer than one step of a timer can bring it: widen the tolerance or drive slower"
    };
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!("{words}, {reason}")));
    None
}

/// What earlier runs say a width that is too large must not be mended by: a fill that was brought
/// down since it bunched new seed would bunch it again, a clean-out or a
/// run-out that was raised for its own fault would bring that back.
struct Earlier {
    fill_too_long: bool,
    clean_out_too_short: bool,
    run_out_too_short: bool,
}

impl Earlier {
    fn of(runs: &[Observed], too_wide: bool) -> Earlier {
        let saw = |pick: fn(&Observed) -> &Option<Length>| {
            too_wide && runs.iter().filter_map(|run| pick(run).as_ref()).any(|l| l.base() > 0.0)
        };
        Earlier {
            fill_too_long: saw(|run| &run.bunched_at_start),
            clean_out_too_short: saw(|run| &run.old_seed_in_new_plot),
            run_out_too_short: saw(|run| &run.bunched_at_end),
        }
    }
}

/// Says so where the machine times of the sheet give another alley than was measured, by more
/// than both tolerance and scatter: what rests on them is then off too.
fn model_off(
    inputs: &Inputs,
    common: &Common,
    timers: &Timers<Value>,
    widths: &[Value],
    off: &Value,
    outcome: &mut Outcome,
) {
    let units = &common.units;
    let measured = inputs.alley.value_in(units.length) + off.number();
    let predicted = predict(&plain_numbers(timers).schedule()).width;
    let scatter = width_scatter(widths, Some(&inputs.seeds), common.confidence, units);
    let limit = inputs.width_tolerance.as_ref().map_or(0.0, |t| t.value_in(units.length));
    if (measured - predicted).abs() > limit.max(scatter) {
        outcome.warnings.push(MODEL_OFF.with(format!(
            "by the machine times of the sheet the alley would be {} {length}, and {} {length} \
             were measured: old-seed-gone, new-seed-at-pick-up, carry or boost are not right",
            brief(predicted),
            brief(measured),
            length = units.length
        )));
    }
}

/// Whether a fill would bunch new seed at the plot's start.
fn bunches(timers: &Timers<Value>, fill: f64) -> bool {
    let timers = Timers { fill, ..plain_numbers(timers) };
    predict(&timers.schedule()).bunched_at_start > 0.5
}

fn not_below_zero(value: Value, name: &'static str) -> Value {
    if value.number() < 0.0 {
        Value::found(name, 0.0, second(), "it can't be shorter than nothing")
    } else {
        value
    }
}
