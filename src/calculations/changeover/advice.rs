//! One change after looking at the ground, in the order in which each rests on the one before: whether
//! the next lot had all fallen, when it is let in, when a boost starts, how long it lasts, the sweep, then
//! the width. One thing at a time: common practice, no source.

use crate::calculations::Common;
use crate::calculations::alley::width_scatter;
use crate::outcome::cautions::{CHANGEOVER, CHANGEOVER_AT_THE_DRIVE};
use crate::outcome::setting::on_step;
use crate::outcome::warning::{ALLEY_NOT_REACHED, MODEL_OFF, NO_SWEEP, ONLY_LAST_RUN};
use crate::outcome::{Calculation, Next, Outcome, Part, Timed, Verdict};
use crate::quantity::{Decimal, Length, Unit, at_most, brief, shown};
use crate::statistics;
use crate::working::Value;

use super::actions::{Action, Work};
use super::ground::clean_out_figures;
use super::inputs::{Inputs, Observed};
use super::knobs::{Knob, Machine};
use super::motion::numbers;
use super::prediction::predict;
use super::steps::up_to_step;
use super::timer_settings::timer_result;

/// The advice, which stands beside the prediction of the same actions.
pub const ADVICE: Calculation =
    Calculation { key: "changeover-advice", title: "Changeover, after looking" };

/// A share of a second or of a length that counts as none: what rounding leaves of equal ones.
const HAIR: f64 = 1e-9;

/// The change that comes first.
struct Change {
    knob: Knob,
    exact: Value,
    /// Below which it would leave the fault or bring another.
    least: f64,
    why: String,
    look_for: &'static str,
}

/// What a fault asks for.
enum Asked {
    /// A change of one setting.
    Change(Change),
    /// A step that changes none.
    Step(Next),
}

/// The one change that what was seen asks for; an outcome without a next step where nothing is
/// wrong with the changeover.
#[must_use]
pub fn advise(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(ADVICE);
    outcome.cautions = CHANGEOVER.to_vec();
    let Some(machine) = Machine::of(inputs, common) else { return outcome };
    if inputs.runs.len() > 1 {
        outcome.warnings.push(ONLY_LAST_RUN.with(
            "several [[changeover-run]] tables: the last one tells what the present timers do",
        ));
    }
    let seen = inputs.runs.last().cloned().unwrap_or_default();
    let asked = hand_over(&machine, &seen)
        .or_else(|| clean_out(&machine, &seen))
        .or_else(|| run_out(&machine, &seen, &mut outcome))
        .or_else(|| fill(&machine, &seen, &mut outcome))
        .or_else(|| sweep(&machine, &seen, &mut outcome))
        .or_else(|| width(&machine, &seen, &mut outcome));
    let (change, step) = match asked {
        Some(Asked::Change(change)) => (Some(change), None),
        Some(Asked::Step(next)) => (None, Some(next)),
        None => (None, None),
    };
    let unfinished = seen.hand_over_unfinished && change.is_none();
    if step.is_some() && unfinished {
        outcome.next = step;
        return outcome;
    }
    keep_or_change(&machine, change, &mut outcome);
    outcome.next = outcome.next.or(step);
    outcome
}

/// The settings that the plate's motion and the two lots hang on, as far as they may be changed.
fn settings(machine: &Machine<'_>) -> Vec<Knob> {
    let mut all = vec![];
    for (place, action) in machine.inputs.actions.iter().enumerate() {
        let parts: &[Part] = match action.work {
            Work::CleanOut { .. } | Work::Boost { .. } => &Part::BOTH,
            Work::HandOver { .. } => &[Part::Wait],
            Work::Sweep { .. } => &[],
        };
        all.extend(parts.iter().filter_map(|part| machine.knob(place, *part)));
    }
    all
}

fn keep_or_change(machine: &Machine<'_>, change: Option<Change>, outcome: &mut Outcome) {
    let changed = change.as_ref().map(|change| change.knob.timed);
    for knob in settings(machine) {
        if changed == Some(knob.timed) {
            continue;
        }
        let verdict = match changed {
            Some(_) => Verdict::Wait("one thing at a time".into()),
            None => Verdict::Keep("nothing seen that it would mend".into()),
        };
        let (now, set) = (Some(knob.now.clone()), knob.now.clone());
        outcome.settings.push(timer_result(&knob.timed, now, set, verdict));
    }
    let Some(change) = change else { return };
    let set = rounded(&change);
    let Change { knob, exact, why, look_for, .. } = change;
    let (name, unit) = (knob.timed.name(), knob.now.unit_text());
    let difference = set.number() - knob.now.number();
    let verb = if difference > 0.0 { "raise" } else { "lower" };
    let verdict =
        Verdict::Change(format!("{verb} it by {} {unit}: {why}", shown(difference.abs())));
    outcome.next = Some(Next {
        calculation: ADVICE,
        setting: Some(name.clone()),
        now: Some(knob.now.clone()),
        set: Some(set.clone()),
        by_hand: vec![],
        instruction: format!(
            "set the {name} to {} {unit} (now {}), nothing else; plant again and {look_for}",
            shown(set.number()),
            knob.now.typed_text().unwrap_or_default(),
        ),
    });
    let mut result = timer_result(&knob.timed, Some(knob.now), set, verdict);
    result.exact = exact;
    outcome.settings.insert(0, result);
}

/// The new number on its step: never below the least that will do, and moved from what it was, the way
/// it has to go.
fn rounded(change: &Change) -> Value {
    let Some(step) = &change.knob.step else { return change.exact.clone() };
    let name = change.knob.timed.name();
    let set = on_step(&name, &change.exact, step);
    let (number, now) = (set.number(), change.knob.now.number());
    if number < change.least - HAIR {
        (set + step).named(format!("{name} to set, one step up"))
    } else if change.exact.number() < now && number > now - HAIR {
        (set - step).named(format!("{name} to set, one step down"))
    } else {
        set
    }
}

/// Whether a setting can be lowered and still be as long as it has to be, on its step.
fn has_room(knob: &Knob, least: f64) -> bool {
    let step = knob.step.as_ref().map(Value::number);
    let least = step.map_or(least, |step| up_to_step(least, step));
    least < knob.now.number() - HAIR
}

/// Where nothing that may be changed mends a fault.
fn by_no_setting(fault: &str, mend: &str) -> Asked {
    Asked::Step(Next::only(
        ADVICE,
        format!(
            "{fault}, and by the sheet no setting of the actions may be changed for it: {mend}"
        ),
    ))
}

/// A number that a setting is raised by.
fn raised(knob: Knob, by: &Value, why: String, look_for: &'static str) -> Asked {
    let exact = (&knob.now + by).named(format!("exact {}", knob.timed.name()));
    Asked::Change(Change { least: exact.number(), exact, knob, why, look_for })
}

fn hand_over(machine: &Machine<'_>, seen: &Observed) -> Option<Asked> {
    if !seen.hand_over_unfinished {
        return None;
    }
    let lets_in = |action: &Action| matches!(action.work, Work::HandOver { .. });
    let timed = machine.places(lets_in).find_map(|place| machine.knob(place, Part::For));
    let Some(knob) = timed else {
        let place = machine.places(lets_in).next()?;
        let name = machine.inputs.actions[place].name;
        return Some(Asked::Step(Next {
            setting: Some(Timed { action: name, part: Part::For }.name()),
            ..Next::only(
                ADVICE,
                format!(
                    "lengthen {name} until the holder is empty when it closes, nothing else; put its \
                     length in the sheet as `for` and plant again"
                ),
            )
        }));
    };
    let quarter = &knob.now / Value::constant(4.0);
    let why = "seed had not all fallen; a quarter more".into();
    Some(raised(knob, &quarter, why, "see that the holder is empty when it closes"))
}

/// Old seed in the new plot over a length L: it went on coming for L / v longer than was allowed for,
/// and the next lot is let in so much later.
fn clean_out(machine: &Machine<'_>, seen: &Observed) -> Option<Asked> {
    let length = seen.old_seed_in_new_plot.as_ref().filter(|length| length.base() > 0.0)?;
    let why = format!("old seed was found {length} into the new plot");
    let Some(knob) = machine.opening() else {
        return Some(by_no_setting(&why, "let the next lot in later"));
    };
    let over = machine.common.units.length("old seed found into the new plot", length);
    let by = machine.in_its_unit(&knob, over / &machine.schedule.speed);
    Some(raised(knob, &by, why, "look for seed of the old lot in the new plot"))
}

/// Seeds bunched at the plot's end over a length L: L r_b / v of them, which ground rate would
/// have dropped in L r_b / (v r_g).
fn run_out(machine: &Machine<'_>, seen: &Observed, outcome: &mut Outcome) -> Option<Asked> {
    let length = seen.bunched_at_end.as_ref().filter(|length| length.base() > 0.0)?;
    let why = format!("seeds stood bunched over {length} at the plot's end");
    let Some(boost) = machine.boost_at(true).filter(|boost| boost.lasts) else {
        return unexplained(&why, "end", outcome);
    };
    let Some(knob) = machine.knob(boost.place, Part::Wait) else {
        return Some(by_no_setting(&why, &format!("let {} start later", boost.name)));
    };
    let bunched = machine.common.units.length("bunched at the plot's end", length);
    let ground = &machine.schedule.speed / &machine.schedule.spacing;
    let longer = bunched * &boost.rate / (&machine.schedule.speed * ground);
    let by = machine.in_its_unit(&knob, longer);
    Some(raised(knob, &by, why, "look at the spacing of the last seeds of the plot"))
}

/// Seeds that no boost of the list can have bunched: that is looked into, unless what follows asks for
/// a change.
fn unexplained(why: &str, place: &str, outcome: &mut Outcome) -> Option<Asked> {
    outcome
        .warnings
        .push(MODEL_OFF.with(format!("{why}, and the list has no boost that could bunch them")));
    outcome.cautions = CHANGEOVER_AT_THE_DRIVE.to_vec();
    outcome.next = Some(Next::only(
        ADVICE,
        format!(
            "find out what bunches seeds at the plot's {place}, where there is no boost: with the \
             engine off look at meter, chain and seed tube, and time the machine again"
        ),
    ));
    None
}

/// Seeds bunched at the plot's start over a length L were dropped under boost for L / v.
fn fill(machine: &Machine<'_>, seen: &Observed, outcome: &mut Outcome) -> Option<Asked> {
    let length = seen.bunched_at_start.as_ref().filter(|length| length.base() > 0.0)?;
    let why = format!("seeds stood bunched over {length} at the plot's start");
    let Some(boost) = machine.boost_at(false).filter(|boost| boost.lasts) else {
        return unexplained(&why, "start", outcome);
    };
    let Some(knob) = machine.knob(boost.place, Part::For) else {
        return Some(by_no_setting(&why, &format!("let {} end sooner", boost.name)));
    };
    let bunched = machine.common.units.length("bunched at the plot's start", length);
    let by = machine.in_its_unit(&knob, bunched / &machine.schedule.speed);
    let exact = (&knob.now - by).named(format!("exact {}", knob.timed.name()));
    Some(Asked::Change(Change {
        exact: not_below_zero(exact),
        least: 0.0,
        knob,
        why,
        look_for: "look at the spacing of the first seeds of the plot",
    }))
}

/// Stray old seeds passed behind the sweep: as many more cells must be swept.
fn sweep(machine: &Machine<'_>, seen: &Observed, outcome: &mut Outcome) -> Option<Asked> {
    let strays = seen.stray_seeds.filter(|strays| *strays > 0)?;
    let Some(place) = machine.last_sweep() else {
        outcome.warnings.push(NO_SWEEP.with(format!(
            "{strays} stray seeds in the alley, and the sheet has no sweep to take them off"
        )));
        return None;
    };
    let why = format!("{strays} stray seeds were found in the alley");
    if let Some((starts, passed)) = machine.sweeps_too_late(place) {
        let name = machine.inputs.actions[place].name;
        let words = format!(
            "{why}, and {name} can't have caught them, however long: it starts {} s after the trip, and \
             the last old seed has passed it at {} s; let it start sooner, by its wait or by what it comes \
             after",
            brief(starts),
            brief(passed)
        );
        return Some(Asked::Step(Next::only(ADVICE, words)));
    }
    let Some(knob) = machine.knob(place, Part::For) else {
        let name = machine.inputs.actions[place].name;
        return Some(by_no_setting(&why, &format!("let {name} work longer")));
    };
    let seeds = Value::typed("stray seeds", Decimal::whole(strays), Unit::ONE);
    let ground = &machine.schedule.speed / &machine.schedule.spacing;
    let by = machine.in_its_unit(&knob, seeds / ground.named("ground-drive rate"));
    Some(raised(knob, &by, why, "look for seeds in the alley"))
}

/// The width against the one wanted. A boost takes width away by v (r_b / r_g - 1) a second, since
/// it covers r_b / r_g as many cells as the ground drive; letting the next lot in later adds v a second.
fn width(machine: &Machine<'_>, seen: &Observed, outcome: &mut Outcome) -> Option<Asked> {
    let (inputs, common) = (machine.inputs, machine.common);
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
    model_off(machine, &widths, &off, outcome);
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
    let words = format!(
        "the alley is {} {} {}",
        brief(off.number().abs()),
        units.length,
        if off.number() > 0.0 { "too wide" } else { "too narrow" }
    );
    let earlier = Earlier::of(&inputs.runs, off.number() > 0.0);
    let fault = WidthOff { off, words, earlier };
    let change = by_fill(machine, &fault)
        .or_else(|| by_opening(machine, &fault, outcome))
        .or_else(|| by_run_out(machine, &fault));
    if change.is_none() {
        let worth_a_step =
            machine.opening().is_some_and(|knob| fault.is_worth(machine, &knob, 1.0));
        let reason = if worth_a_step {
            "and no timer can take it away: drive slower or boost faster"
        } else if machine.opening().is_none() {
            "and no setting that it hangs on may be changed by the sheet"
        } else {
            "nearer than one step of a timer can bring it: widen the tolerance or drive slower"
        };
        outcome.warnings.push(ALLEY_NOT_REACHED.with(format!("{}, {reason}", fault.words)));
    }
    change
}

/// An alley that is too wide or too narrow.
struct WidthOff {
    off: Value,
    words: String,
    earlier: Earlier,
}

impl WidthOff {
    /// Whether it is more than half of what a step of a setting makes; less would only come back with
    /// the other sign.
    fn is_worth(&self, machine: &Machine<'_>, knob: &Knob, a_second: f64) -> bool {
        let step = knob.step.as_ref().map_or(0.0, |step| machine.seconds(knob, step.number()));
        let one = machine.schedule.speed.number() * step * a_second;
        self.off.number().abs() > one / 2.0
    }

    fn is_narrow(&self) -> bool {
        self.off.number() < 0.0
    }
}

/// Another length of the boost that brings new seed round.
fn by_fill(machine: &Machine<'_>, fault: &WidthOff) -> Option<Asked> {
    let boost = machine.boost_at(false)?;
    let knob = machine.knob(boost.place, Part::For)?;
    let ground = (&machine.schedule.speed / &machine.schedule.spacing).named("ground-drive rate");
    let faster = &boost.rate / &ground - Value::constant(1.0);
    let worth = faster.number() > 1e-6 && fault.is_worth(machine, &knob, faster.number());
    if !worth || fault.earlier.fill_too_long {
        return None;
    }
    let by = machine.in_its_unit(&knob, &fault.off / (&machine.schedule.speed * faster));
    let exact = (&knob.now + by).named(format!("exact {}", knob.timed.name()));
    let stands = exact.number() >= 0.0;
    (stands && (fault.is_narrow() || !machine.bunches_at_start(&knob, &exact))).then(|| {
        Asked::Change(Change {
            knob,
            exact,
            least: 0.0,
            why: fault.words.clone(),
            look_for: "measure the alley width again",
        })
    })
}

/// The next lot let in later or sooner.
fn by_opening(machine: &Machine<'_>, fault: &WidthOff, outcome: &mut Outcome) -> Option<Asked> {
    let knob = machine.opening()?;
    let by = machine.in_its_unit(&knob, &fault.off / &machine.schedule.speed);
    let exact = (&knob.now - by).named(format!("exact {}", knob.timed.name()));
    let floor = machine.least_opening(&knob);
    let narrow = fault.is_narrow();
    let may_shorten = has_room(&knob, floor) && !fault.earlier.clean_out_too_short;
    if !fault.is_worth(machine, &knob, 1.0) || !narrow && !may_shorten {
        return None;
    }
    if !narrow {
        clean_out_figures(machine.inputs, outcome);
    }
    let least = if narrow { 0.0 } else { floor };
    let short = || {
        let name = format!("exact {}", knob.timed.name());
        Value::found(name, floor, knob.now.unit(), "as short as it may be")
    };
    let exact = if exact.number() < least { short() } else { exact };
    Some(Asked::Change(Change {
        knob,
        exact,
        least,
        why: fault.words.clone(),
        look_for: "measure the alley width again",
    }))
}

/// A boost that starts sooner.
fn by_run_out(machine: &Machine<'_>, fault: &WidthOff) -> Option<Asked> {
    let boost = machine.boost_at(true)?;
    let knob = machine.knob(boost.place, Part::Wait)?;
    let seconds = &fault.off / &machine.schedule.speed;
    let by = machine.in_its_unit(&knob, seconds);
    let shorter = (&knob.now - by).named(format!("exact {}", knob.timed.name()));
    let needed = not_below_zero(machine.wait_needed(&knob, &boost));
    let least = needed.number();
    let earlier = fault.earlier.run_out_too_short;
    if !fault.is_worth(machine, &knob, 1.0) || earlier || !has_room(&knob, least) {
        return None;
    }
    Some(Asked::Change(Change {
        knob,
        exact: if shorter.number() < least { needed } else { shorter },
        least,
        why: format!("{}, and a boost that starts sooner takes from it", fault.words),
        look_for: "look at the last seeds of the plot and measure the alley width again",
    }))
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
fn model_off(machine: &Machine<'_>, widths: &[Value], off: &Value, outcome: &mut Outcome) {
    let (inputs, units) = (machine.inputs, &machine.common.units);
    let measured = inputs.alley.value_in(units.length) + off.number();
    let predicted = predict(&numbers(&machine.schedule)).width;
    let scatter = width_scatter(widths, Some(&inputs.seeds), machine.common.confidence, units);
    let limit = inputs.width_tolerance.as_ref().map_or(0.0, |t| t.value_in(units.length));
    if (measured - predicted).abs() > limit.max(scatter) {
        outcome.warnings.push(MODEL_OFF.with(format!(
            "by the machine times of the sheet the alley would be {} {length}, and {} {length} \
             were measured: old-seed-gone, new-seed-at-pick-up, carry or the rate of a boost are not \
             right",
            brief(predicted),
            brief(measured),
            length = units.length
        )));
    }
}

fn not_below_zero(value: Value) -> Value {
    if value.number() < 0.0 {
        let name = value.name().unwrap_or_default().to_owned();
        Value::found(name, 0.0, value.unit(), "it can't be shorter than nothing")
    } else {
        value
    }
}
