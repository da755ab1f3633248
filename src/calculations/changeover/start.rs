//! Starting values: timers for a speed and an alley, and what the machine cannot do.
//!
//! Common practice, no source: the plate runs out at ground rate until every old seed has been
//! released; the fill ends no later than the first new seed is released, so that none is bunched;
//! the clean-out is a usual one wherever the alley can be made with it.

use thiserror::Error;

use crate::quantity::bounds::TIMER;

use super::motion::{Motion, Sweep};
use super::prediction::predict;
use super::reach::{Span, boosts, speeds, up_from};
use super::steps::{Plan, Stepped, Wish, seconds, steps_down, steps_up};
use super::timers::{Timers, run_out_needed};

/// Timers to start with.
#[derive(Clone, Debug)]
pub struct Start {
    /// The timers, on the controller's step.
    pub timers: Timers<f64>,
    /// The alley they give.
    pub alley: f64,
    /// Whether the clean-out had to be shorter than usual.
    pub clean_out_cut: bool,
    /// Whether the sweep had to leave the last old seeds of the plot alone.
    pub sweep_put_off: bool,
}

/// What stands in the way of an alley, and what would give. All that is named works from end to
/// end.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("the alley can't be made at this speed")]
pub struct StartError {
    /// Alleys that can be made at this speed and boost; `None` where no timer lasts long enough.
    pub alleys: Option<Span>,
    /// Whether the least of them takes a clean-out shorter than usual.
    pub clean_out_cut: bool,
    /// Speeds at which the alley wanted can be made.
    pub speeds: Option<Span>,
    /// Boost rates with which it can be made at this speed.
    pub boosts: Option<Span>,
}

/// The least alley at the machine's speed with a clean-out, with timers that have no step: every
/// old seed at ground rate, the longest fill that bunches nothing.
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
    let timers = Timers { clean_out, fill: 0.0, sweep: None, ..machine.clone() };
    let timers = Timers { run_out: run_out_needed(&timers).max(0.0), ..timers };
    let arrives = timers.new_seed_at_pick_up - timers.run_out;
    // The boost ends just when the first new seed is released: q(T_b + T_f) = q(T_c + t_p) + k.
    let cells = timers.carry + timers.speed / timers.spacing * arrives.min(0.0);
    let fill = (arrives.max(0.0) + cells / timers.fastest()).max(0.0);
    predict(&Timers { fill, ..timers }.schedule()).width
}

/// A full set of timers on the controller's step.
///
/// # Errors
///
/// [`StartError`] where the alley is narrower than the machine can make at this speed, or wider
/// than its timers last.
pub fn starting_values(wish: &Wish) -> Result<Start, StartError> {
    reached(wish).ok_or_else(|| {
        let stepped = Stepped::of(wish);
        let least = stepped.clean_outs().map(|(shortest, usual)| {
            let plan = stepped.least_plan(shortest, usual);
            (plan.clean_out < usual, stepped.width(plan))
        });
        StartError {
            alleys: least.map(|(_, from)| Span { from, to: stepped.widest() }),
            clean_out_cut: least.is_some_and(|(cut, _)| cut),
            // Only an alley that is too wide asks for a higher speed.
            speeds: speeds(wish, false)
                .filter(|span| span.to < wish.machine.speed || stepped.widest() < wish.alley),
            boosts: boosts(wish),
        }
    })
}

/// Timers with a clean-out that is usual, or with one cut as little as will do.
pub(super) fn reached(wish: &Wish) -> Option<Start> {
    let stepped = Stepped::of(wish);
    if !stepped.makes(false) {
        return None;
    }
    let clean_out = stepped.longest_clean_out()?;
    let found = |limit: f64| {
        sweeps(wish, &stepped, clean_out).into_iter().filter_map(move |sweep| {
            let fitting = Fitting { wish, stepped, sweep: sweep.first, limit };
            let (timers, alley) = fitting.fitted(clean_out)?;
            Some(Start {
                clean_out_cut: timers.clean_out < seconds(stepped.usual, wish.step),
                timers,
                alley,
                sweep_put_off: sweep.put_off,
            })
        })
    };
    // Rather an alley inside the tolerance than one with a sweep that takes off the last seeds;
    // where none is inside, the one that comes nearest.
    let off = |start: &Start| (start.alley - wish.alley).abs();
    let hair = 1e-9 * wish.alley;
    let nearer = |best: Start, next| if off(&next) < off(&best) - hair { next } else { best };
    let near = wish.tolerance_or_spacing().min(stepped.travel());
    found(near).next().or_else(|| found(stepped.slack()).reduce(nearer))
}

/// The narrowest alley with usual clean-out, on the step of the timers; `None` where no timer
/// lasts long enough.
pub(super) fn least_usual(wish: &Wish) -> Option<f64> {
    let stepped = Stepped::of(wish);
    let (_, usual) = stepped.clean_outs()?;
    Some(stepped.width(stepped.tightest(usual)))
}

/// The highest speed up to which the alley can be made with usual clean-out: from the present one
/// on where that will do, else from the slowest on.
pub(super) fn top_speed(wish: &Wish) -> Option<f64> {
    if Stepped::of(wish).makes(true) {
        return Some(up_from(wish, wish.machine.speed, true));
    }
    speeds(wish, true).map(|span| span.to)
}

/// When a sweep starts.
#[derive(Clone, Copy)]
struct SweepStart {
    /// Steps after the trip.
    first: Option<i64>,
    put_off: bool,
}

/// Starts of the sweep, the one of common practice first; then later ones, where the alley has no
/// room for seeds that are swept off the plot's end.
fn sweeps(wish: &Wish, stepped: &Stepped, clean_out: i64) -> Vec<SweepStart> {
    let Some(cells) = wish.sweep_cells else {
        return vec![SweepStart { first: None, put_off: false }];
    };
    let first = first_swept(&wish.machine, cells, wish.step);
    let none = none_swept(&wish.machine, cells, wish.step);
    let over = stepped.width(stepped.tightest(clean_out)) - stepped.alley;
    // A step later is a step's travel of the plot more.
    let room = steps_down((stepped.travel() - over).max(0.0), stepped.travel());
    let later = (none - room).max(first);
    let start = |steps, put_off| SweepStart { first: Some(steps), put_off };
    vec![start(first, false), start(later, later > first), start(none, none > first)]
}

/// Old seeds that run past the plot end and are swept off: one or two. Common practice, no
/// source.
const SWEPT: f64 = 1.5;

/// Old seeds of the plot that a sweep takes off where it starts then.
pub(super) fn swept_off(machine: &Timers<f64>, cells_before_release: f64, start: f64) -> f64 {
    let ground = machine.speed / machine.spacing;
    ground * (passes(machine, cells_before_release, 0.0) - start)
}

/// When a cell passes the sweep at ground rate, as every old one does.
fn passes(machine: &Timers<f64>, cells_before_release: f64, before_gone: f64) -> f64 {
    let ground = machine.speed / machine.spacing;
    machine.old_seed_gone + (machine.carry - cells_before_release - before_gone) / ground
}

/// Steps after which a sweep takes off the last one or two old seeds.
pub(super) fn first_swept(machine: &Timers<f64>, cells_before_release: f64, step: f64) -> i64 {
    steps_down(passes(machine, cells_before_release, SWEPT) + step / 2.0, step)
}

/// Steps after which a sweep takes off no old seed of the plot.
fn none_swept(machine: &Timers<f64>, cells_before_release: f64, step: f64) -> i64 {
    steps_up(passes(machine, cells_before_release, 0.0), step)
}

/// A sweep that starts then and ends between the lots, on the step.
pub(super) fn sweeping(
    timers: Timers<f64>,
    cells_before_release: f64,
    start: i64,
    step: f64,
) -> Timers<f64> {
    let motion = Motion::of(&timers.schedule());
    let old_end = motion.cells_at(timers.old_seed_gone);
    let new_start = motion.cells_at(timers.clean_out + timers.new_seed_at_pick_up);
    let passes = |cell: f64| motion.time_of(cell + timers.carry - cells_before_release);
    let clear = steps_down(passes(new_start), step);
    let end = steps_up(passes(f64::midpoint(old_end, new_start)), step).min(clear);
    let sweep = Sweep {
        start: seconds(start, step),
        length: seconds((end - start).max(0), step),
        cells_before_release,
    };
    Timers { sweep: Some(sweep), ..timers }
}

/// A search for the timers that come nearest to an alley.
#[derive(Clone, Copy)]
struct Fitting<'a> {
    wish: &'a Wish,
    stepped: Stepped,
    /// Steps after which the sweep starts, where there is one.
    sweep: Option<i64>,
    /// How far the alley may be off.
    limit: f64,
}

type Fit = (Timers<f64>, f64);

impl Fitting<'_> {
    /// The timers that come nearest to the alley with this clean-out, or with a longer one where
    /// even no fill leaves the alley too narrow.
    ///
    /// A step of fill is worth r_b / r_g - 1 steps of travel, a step of clean-out with run-out and
    /// fill left alone exactly one, so that steps of clean-out make up for what steps of fill are
    /// too coarse for.
    fn fitted(&self, clean_out: i64) -> Option<Fit> {
        let travel = self.stepped.travel();
        let bare = self.width_without_fill(clean_out, self.stepped.run_out(clean_out));
        let short = (self.wish.alley - bare).max(0.0);
        let longer = clean_out + steps_up(short, travel);
        let clean_outs =
            if longer > clean_out { longer - 1..=longer } else { clean_out..=clean_out };
        let even: Vec<Plan> = clean_outs
            .flat_map(|clean_out| self.fills(clean_out, self.stepped.run_out(clean_out)))
            .collect();
        let run_outs = [self.stepped.run_out(clean_out), self.stepped.waiting_run_out(clean_out)];
        // A boost that brings less than a quarter of a step's travel is left out, if it can be.
        self.nearest(&even, travel / 4.0).or_else(|| self.nearest(&even, 0.0)).or_else(|| {
            run_outs.into_iter().find_map(|run_out| {
                let fills = self.fills(clean_out, run_out);
                let made_up: Vec<Plan> =
                    fills.into_iter().flat_map(|plan| self.made_up(plan)).collect();
                self.nearest(&made_up, 0.0)
            })
        })
    }

    /// No fill, and the two that come nearest.
    fn fills(&self, clean_out: i64, run_out: i64) -> Vec<Plan> {
        let stepped = &self.stepped;
        let plan = |fill| Plan { clean_out, run_out, fill };
        let gain = stepped.spacing * stepped.boost - stepped.speed;
        let over = self.width_without_fill(clean_out, run_out) - self.wish.alley;
        if gain <= 0.0 || over <= 0.0 {
            return vec![plan(0)];
        }
        let most = stepped.most_fill(run_out);
        let below = steps_down(over / gain + stepped.idle(run_out), stepped.step).min(most);
        vec![plan(0), plan(below), plan((below + 1).min(most))]
    }

    /// The same plan, and with as many steps more of clean-out as it is too narrow by.
    fn made_up(&self, plan: Plan) -> [Plan; 2] {
        let travel = self.stepped.travel();
        let short = self.width(plan).map_or(0.0, |(_, width)| self.wish.alley - width);
        let more = steps_down((short + travel / 2.0).max(0.0), travel);
        [plan, Plan { clean_out: plan.clean_out + more, ..plan }]
    }

    fn width_without_fill(&self, clean_out: i64, run_out: i64) -> f64 {
        let plan = Plan { clean_out, run_out, fill: 0 };
        self.width(plan).map_or_else(|| self.stepped.width(plan), |(_, width)| width)
    }

    /// The timers of a plan and the alley they make; `None` where one lasts longer than a timer
    /// may.
    fn width(&self, plan: Plan) -> Option<Fit> {
        let step = self.stepped.step;
        let timers = Timers {
            clean_out: seconds(plan.clean_out, step),
            run_out: seconds(plan.run_out, step),
            fill: seconds(plan.fill, step),
            sweep: None,
            ..self.wish.machine.clone()
        };
        let timers = match (self.wish.sweep_cells, self.sweep) {
            (Some(cells), Some(start)) => sweeping(timers, cells, start, step),
            _ => timers,
        };
        let width = believable(&timers).then(|| predict(&timers.schedule()).width)?;
        Some((timers, width))
    }

    /// The plan nearest to the alley, where that is near enough. A boost must bring what it is
    /// worth, and the shorter timers stand where longer ones come no nearer.
    fn nearest(&self, plans: &[Plan], worth: f64) -> Option<Fit> {
        let off = |fit: &Fit| (fit.1 - self.wish.alley).abs();
        let cost = |fit: &Fit| off(fit) + if fit.0.fill > 0.0 { worth } else { 0.0 };
        let hair = 1e-9 * self.wish.alley;
        let fits = plans.iter().filter_map(|plan| self.width(*plan));
        fits.reduce(|best, next| if cost(&next) < cost(&best) - hair { next } else { best })
            .filter(|fit| off(fit) <= self.limit + hair)
    }
}

/// Whether every timer is one that the sheet takes.
fn believable(timers: &Timers<f64>) -> bool {
    let sweep = timers.sweep.as_ref().map_or([0.0; 2], |sweep| [sweep.start, sweep.length]);
    let [start, length] = sweep;
    [timers.clean_out, timers.run_out, timers.fill, start, length]
        .into_iter()
        .all(|time| TIMER.hold(time))
}
