//! Starting values: timers for a speed and an alley, and what the machine cannot do.
//!
//! Common practice, no source: clean-out 1.5 s or more, 1.0 s at the very least; the plate runs
//! out at ground rate until every old seed has been released; the fill ends no later than the
//! first new seed is released, so that none is bunched.

use std::iter::successors;

use thiserror::Error;

use crate::quantity::bounds::TIMER;

use super::motion::{Motion, Sweep, Timers, predict, run_out_needed};
use super::timer_settings::{LEAST_CLEAN_OUT, USUAL_CLEAN_OUT};

/// What is wished.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Rates and times of the machine; its timers are not looked at.
    pub machine: Timers<f64>,
    /// The alley that is wanted.
    pub alley: f64,
    /// The timers' step, in seconds.
    pub step: f64,
    /// Cells from the sweep to release, where the planter has a sweep to take off the last old
    /// seeds.
    pub sweep_cells: Option<f64>,
}

/// Timers to start with.
#[derive(Clone, Debug)]
pub struct Start {
    /// The timers, on the controller's step.
    pub timers: Timers<f64>,
    /// The alley they give.
    pub alley: f64,
    /// Whether the clean-out had to go below usual practice.
    pub clean_out_cut: bool,
}

/// What stands in the way of an alley, and what would give.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("the least alley at this speed is {least}")]
pub struct StartError {
    /// Least alley at this speed and boost.
    pub least: f64,
    /// Top speed for the alley wanted, where there is one.
    pub top_speed: Option<f64>,
    /// Boost rate that would reach it at this speed, where there is one.
    pub boost: Option<f64>,
}

/// A time on the step at or above it.
pub(super) fn up_to_step(time: f64, step: f64) -> f64 {
    crate::quantity::clean((time / step - 1e-9).ceil().max(0.0) * step)
}

/// Timers with this clean-out whose run-out lets every old seed fall at ground rate:
/// [`run_out_needed`], on the step above.
fn running_out(machine: &Timers<f64>, clean_out: f64, step: Option<f64>) -> Timers<f64> {
    let timers = Timers { clean_out, fill: 0.0, sweep: None, ..machine.clone() };
    let run_out = run_out_needed(&timers).max(0.0);
    let run_out = step.map_or(run_out, |step| up_to_step(run_out, step));
    Timers { run_out, ..timers }
}

/// The longest fill that bunches no new seed: the boost ends just when the first one is
/// released, q(T_b + T_f) = q(T_c + t_p) + k.
fn full_fill(timers: &Timers<f64>) -> f64 {
    let motion = Motion::of(timers);
    let start = motion.boost_starts;
    let arrives = timers.clean_out + timers.new_seed_at_pick_up;
    let before = (arrives - start).max(0.0);
    // Cells still to go when new seed is at pick-up and the boost has started.
    let cells = timers.carry + motion.ground * (arrives - start).min(0.0);
    (before + cells / motion.boost).max(0.0)
}

/// The least alley at the machine's speed with a clean-out: every old seed at ground rate, the
/// longest fill that bunches nothing.
///
/// ```
/// use alleytrue::calculations::changeover::{Timers, least_alley};
/// let machine = Timers {
///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 0.0, run_out: 0.0,
///     fill: 0.0, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
/// };
/// // Old seed gone at cell 25, released at cell 40 = 1.6 s, when the boost starts. New seed at
/// // 1.8 s = cell 40 + 50 x 0.2 = 50: 25 empty cells, passed under boost in 0.5 s: 25, and half
/// // a spacing at ground rate at either edge.
/// assert!((least_alley(&machine, 1.5) - 27.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn least_alley(machine: &Timers<f64>, clean_out: f64) -> f64 {
    let clean_out = clean_out.max(machine.old_seed_gone);
    let mut timers = running_out(machine, clean_out, None);
    timers.fill = full_fill(&timers);
    predict(&timers).width
}

/// The highest speed at which the alley can be made with usual clean-out; `None` where even
/// standing almost still would not do.
#[must_use]
pub fn top_speed(machine: &Timers<f64>, alley: f64) -> Option<f64> {
    let fits =
        |speed: f64| least_alley(&Timers { speed, ..machine.clone() }, USUAL_CLEAN_OUT) <= alley;
    last_true(machine.speed * 1e-3, machine.speed * 20.0, fits)
}

/// The lowest boost rate with which the alley can be made at the machine's speed; `None` where
/// none would do.
#[must_use]
pub fn boost_needed(machine: &Timers<f64>, alley: f64) -> Option<f64> {
    let fits = |inverse: f64| {
        let boost = 1.0 / inverse;
        least_alley(&Timers { boost, ..machine.clone() }, USUAL_CLEAN_OUT) <= alley
    };
    last_true(1e-4, 10.0, fits).map(|inverse| 1.0 / inverse)
}

/// The last place where a condition that holds at first still holds, by halving.
fn last_true(low: f64, high: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    if !holds(low) {
        return None;
    }
    if holds(high) {
        return Some(high);
    }
    let (mut low, mut high) = (low, high);
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if holds(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

/// A full set of timers on the controller's step.
///
/// # Errors
///
/// [`StartError`] where the alley is narrower than the machine can make at this speed.
pub fn starting_values(wish: &Wish) -> Result<Start, StartError> {
    if let Some(start) = reached(wish) {
        return Ok(start);
    }
    let least = least_on_step(&wish.machine, wish.step);
    let fits = |machine: &Timers<f64>| least_on_step(machine, wish.step) <= wish.alley;
    let now = &wish.machine;
    let slower = |speed: f64| fits(&Timers { speed, ..now.clone() });
    // Slower than this, the plate takes longer to run out than any timer lasts.
    let slowest = (now.carry * now.spacing / TIMER.most).max(now.speed * 1e-3) * 1.1;
    let top_speed = last_true(slowest.min(now.speed), now.speed, slower).filter(|speed| {
        reached(&Wish { machine: Timers { speed: *speed, ..now.clone() }, ..wish.clone() })
            .is_some()
    });
    Err(StartError { least, top_speed, boost: faster_boost(wish) })
}

/// The lowest boost rate above the machine's with which timers on the step make the alley.
///
/// Rates are gone through from below, a hundredth apart: halving would need an alley that is in
/// reach at the highest rate, where the fill it takes may be less than a step.
fn faster_boost(wish: &Wish) -> Option<f64> {
    let with = |boost: f64| Timers { boost, ..wish.machine.clone() };
    let fits = |boost: f64| least_on_step(&with(boost), wish.step) <= wish.alley;
    let makes = |boost: &f64| reached(&Wish { machine: with(*boost), ..wish.clone() }).is_some();
    let mut rates = successors(Some(wish.machine.boost), |rate| Some(rate * 1.01))
        .take_while(|rate| *rate <= TOP_BOOST);
    let found = rates.find(|rate| fits(*rate) && makes(rate))?;
    let lowest = last_true(1.0 / found, 1.01 / found, |inverse| fits(1.0 / inverse));
    Some(lowest.map(|inverse| 1.0 / inverse).filter(makes).unwrap_or(found))
}

/// Cells a second that no plate turns to, where the search for a boost ends.
const TOP_BOOST: f64 = 10_000.0;

/// Timers with usual clean-out, or with one cut as short as it may be.
fn reached(wish: &Wish) -> Option<Start> {
    let usual = USUAL_CLEAN_OUT.max(wish.machine.old_seed_gone);
    let cut = LEAST_CLEAN_OUT.max(wish.machine.old_seed_gone);
    let with = |clean_out: f64, clean_out_cut: bool| {
        let (timers, alley) = fitted(wish, up_to_step(clean_out, wish.step))?;
        Some(Start { timers, alley, clean_out_cut })
    };
    with(usual, false).or_else(|| if cut < usual { with(cut, true) } else { None })
}

/// The least alley that timers on the controller's step can make with the shortest clean-out.
fn least_on_step(machine: &Timers<f64>, step: f64) -> f64 {
    let clean_out = up_to_step(LEAST_CLEAN_OUT.max(machine.old_seed_gone), step);
    let timers = running_out(machine, clean_out, Some(step));
    let fill = f64::from(whole_steps(full_fill(&timers), step)) * step;
    predict(&Timers { fill, ..timers }).width
}

/// The timers that come nearest to the alley with this clean-out, or with a longer one where
/// even no fill leaves the alley too narrow; `None` where none comes as near as one step's
/// travel, which is as near as timers can come.
///
/// A step of fill is worth r_b / r_g - 1 steps of travel, a step of clean-out with run-out and
/// fill left alone exactly one, so that steps of clean-out make up for what steps of fill are
/// too coarse for.
fn fitted(wish: &Wish, clean_out: f64) -> Option<(Timers<f64>, f64)> {
    let step = wish.step;
    let swept = |timers| match wish.sweep_cells {
        Some(cells) => sweeping(timers, cells, step),
        None => timers,
    };
    let without_fill = swept(running_out(&wish.machine, clean_out, Some(step)));
    let short = wish.alley - predict(&without_fill).width;
    let longer = up_to_step(clean_out + (short / wish.machine.speed).max(0.0), step);
    let (base, usual) = if longer > clean_out { (longer - step, 1) } else { (clean_out, 0) };
    let off = |width: f64| (width - wish.alley).abs();
    let near = |best: &(Timers<f64>, f64)| {
        off(best.1) <= wish.machine.speed * step + 1e-9 && believable(&best.0)
    };
    let nearest = |most: u32, run_out: Option<f64>, worth: f64| {
        let clean_outs = (0..=most).map(|more| base + f64::from(more) * step);
        let tries = clean_outs.flat_map(|clean_out| {
            let clean_out = crate::quantity::clean(clean_out);
            let timers = running_out(&wish.machine, clean_out, Some(step));
            let timers = Timers { run_out: run_out.unwrap_or(timers.run_out), ..timers };
            let steps = whole_steps(full_fill(&timers), step);
            (0..=steps).map(move |steps| {
                let fill = crate::quantity::clean(f64::from(steps) * step);
                let timers = swept(Timers { fill, ..timers.clone() });
                let width = predict(&timers).width;
                (timers, width)
            })
        });
        // A boost must bring what it is worth, and the shorter timers stand where longer ones
        // come no nearer.
        let cost = |one: &(Timers<f64>, f64)| {
            let boost = if one.0.fill > 0.0 { worth } else { 0.0 };
            off(one.1) + boost
        };
        tries.reduce(|best, next| if cost(&next) < cost(&best) - 1e-9 { next } else { best })
    };
    let motion = Motion::of(&wish.machine);
    let finer = whole_steps(motion.boost / motion.ground, 1.0).min(MOST_CLEAN_OUTS) + 1;
    // A boost that brings less than a quarter of a step's travel is left out, if it can be.
    let quarter = wish.machine.speed * step / 4.0;
    let run_out = running_out(&wish.machine, base, Some(step)).run_out;
    nearest(usual, None, quarter)
        .filter(near)
        .or_else(|| nearest(usual, None, 0.0).filter(near))
        .or_else(|| nearest(finer, Some(run_out), 0.0).filter(near))
}

/// Old seeds that run past the plot end and are swept off: one or two. Common practice, no
/// source.
const SWEPT: f64 = 1.5;

/// A sweep that takes off the last one or two old seeds and ends between the lots, on the step.
pub(super) fn sweeping(timers: Timers<f64>, cells_before_release: f64, step: f64) -> Timers<f64> {
    let motion = Motion::of(&timers);
    let old_end = motion.cells_at(timers.old_seed_gone);
    let new_start = motion.cells_at(timers.clean_out + timers.new_seed_at_pick_up);
    let passes = |cell: f64| motion.time_of(cell + timers.carry - cells_before_release);
    let start = f64::from(whole_steps(passes(old_end - SWEPT) + step / 2.0, step)) * step;
    let clear = f64::from(whole_steps(passes(new_start), step)) * step;
    let end = up_to_step(passes(f64::midpoint(old_end, new_start)), step).min(clear);
    let sweep = Sweep {
        start: crate::quantity::clean(start),
        length: crate::quantity::clean((end - start).max(0.0)),
        cells_before_release,
    };
    Timers { sweep: Some(sweep), ..timers }
}

/// Steps of a timer that are tried at the most; a step so fine that this is too few is far finer
/// than any seed falls.
const MOST_STEPS: f64 = 3000.0;
/// Steps of clean-out that are tried at the most to make up for a coarse fill.
const MOST_CLEAN_OUTS: u32 = 40;

/// Whether every timer is one that the sheet takes.
fn believable(timers: &Timers<f64>) -> bool {
    [timers.clean_out, timers.run_out, timers.fill].into_iter().all(|time| TIMER.hold(time))
}

/// Whole steps in a time, at most as many as are tried.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 0 and 3000
pub(super) fn whole_steps(time: f64, step: f64) -> u32 {
    (time / step + 1e-9).floor().clamp(0.0, MOST_STEPS) as u32
}
