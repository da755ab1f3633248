//! Starting values: timers for a speed and an alley, and what the machine cannot do.
//!
//! Common practice, no source: the plate runs out at ground rate until every old seed has been
//! released; the fill ends no later than the first new seed is released, so that none is bunched;
//! the clean-out is a usual one wherever the alley can be made with it.

use thiserror::Error;

use crate::quantity::bounds::TIMER;
use crate::quantity::clean;

use super::motion::{Motion, Sweep};
use super::prediction::predict;
use super::reach::{Span, boosts, speeds, up_from};
use super::shape::{Base, Free, Lasting};
use super::steps::{Plan, Stepped, Wish, seconds, steps_down, steps_up};
use super::timers::{Timers, run_out_needed};

/// Times to start with.
#[derive(Clone, Debug)]
pub struct Start {
    /// The plain changeover that they make: its clean-out ends with the opening, from when on its
    /// run-out counts, which is below zero where the boost starts before it.
    pub timers: Timers<f64>,
    /// What they are, on their steps.
    pub steps: Found,
    /// The alley they give.
    pub alley: f64,
    /// Whether the clean-out had to be shorter than usual.
    pub clean_out_cut: bool,
    /// Whether the sweep had to leave the last old seeds of the plot alone.
    pub sweep_put_off: bool,
}

/// What was found, in steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Of the opening.
    pub opening: i64,
    /// Of the wait of the boost, and of its length.
    pub boost: (i64, i64),
    /// Of the wait of the sweep, and of its length, where there is one.
    pub sweep: Option<(i64, i64)>,
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
        sweeps(wish, &stepped, clean_out).into_iter().filter_map(move |(sweep, put_off)| {
            let fitting = Fitting { wish, stepped, sweep, limit };
            let fit = fitting.fitted(clean_out)?;
            Some(Start {
                clean_out_cut: fit.steps.opening < stepped.usual,
                timers: fit.timers,
                steps: fit.steps,
                alley: fit.width,
                sweep_put_off: put_off,
            })
        })
    };
    // Rather an alley inside the tolerance than one with a sweep that takes off the last seeds;
    // where none is inside, the one that comes nearest.
    let off = |start: &Start| (start.alley - wish.alley).abs();
    let hair = 1e-9 * wish.alley;
    let nearer = |best: Start, next| if off(&next) < off(&best) - hair { next } else { best };
    let near = wish.tolerance_or_spacing().min(stepped.coarsest());
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
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum SweepStart {
    /// As common practice has it: it takes off the last one or two old seeds.
    First,
    /// So many steps before it takes off none, and no sooner than common practice has it.
    Before(i64),
}

/// Starts of the sweep, the one of common practice first; then later ones, where the alley has no
/// room for seeds that are swept off the plot's end. With each, whether it is put off by that.
fn sweeps(wish: &Wish, stepped: &Stepped, clean_out: i64) -> Vec<(Option<SweepStart>, bool)> {
    let (Some(cells), Some(free)) = (wish.sweep_cells, wish.shape.sweep) else {
        return vec![(None, false)];
    };
    let machine = wish.plain_machine();
    let travel = machine.speed * free.waiting.at(machine.speed);
    let over = stepped.width(stepped.tightest(clean_out)) - stepped.alley;
    // A step later is a step's travel of the plot more.
    let room = steps_down((travel - over).max(0.0), travel);
    let plan = stepped.tightest(clean_out);
    let window = SweepWindow::of(&machine, stepped, plan, cells, free);
    let first = window.start(SweepStart::First);
    let start = |start: SweepStart| (Some(start), window.start(start) > first);
    let all = [SweepStart::First, SweepStart::Before(room), SweepStart::Before(0)];
    all.map(start).to_vec()
}

/// Where the sweep of a plan can lie.
pub(super) struct SweepWindow<'a> {
    machine: &'a Timers<f64>,
    cells: f64,
    /// From when on it waits.
    from: f64,
    /// Seconds of a step of its wait, and of its length.
    waiting: f64,
    lasting: f64,
}

impl SweepWindow<'_> {
    pub(super) fn of<'a>(
        machine: &'a Timers<f64>,
        stepped: &Stepped,
        plan: Plan,
        cells: f64,
        free: Free,
    ) -> SweepWindow<'a> {
        let at = |lasting: Lasting| lasting.at(machine.speed);
        let opens = stepped.opens(plan.clean_out);
        let starts = opens + stepped.runs_out(plan.clean_out, plan.run_out);
        let base = match free.from.base {
            Base::Trip => 0.0,
            Base::Opening => opens,
            Base::BoostStart => starts,
            Base::BoostEnd => starts + stepped.fills(plan.fill),
        };
        SweepWindow {
            machine,
            cells,
            from: base + at(free.from.later),
            waiting: at(free.waiting),
            lasting: at(free.lasting),
        }
    }

    /// Steps that it waits.
    pub(super) fn start(&self, start: SweepStart) -> i64 {
        let passes = |before| passes(self.machine, self.cells, before) - self.from;
        let first = steps_down(passes(SWEPT) + self.waiting / 2.0, self.waiting);
        match start {
            SweepStart::First => first,
            SweepStart::Before(steps) => (steps_up(passes(0.0), self.waiting) - steps).max(first),
        }
    }

    /// A sweep that starts then and ends between the lots, on its step.
    #[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
    pub(super) fn sweeping(&self, timers: &Timers<f64>, waits: i64) -> (Sweep<f64>, i64) {
        let schedule = timers.schedule();
        let motion = Motion::of(&schedule);
        let old_end = motion.cells_at(schedule.old_seed_gone);
        let new_start = motion.cells_at(schedule.new_seed_there);
        let start = clean(self.from + waits as f64 * self.waiting);
        let passes = |cell: f64| motion.time_of(cell + timers.carry - self.cells) - start;
        let clear = steps_down(passes(new_start), self.lasting);
        let lasts = steps_up(passes(f64::midpoint(old_end, new_start)), self.lasting).min(clear);
        let length = seconds(lasts, self.lasting);
        (Sweep { start, length, cells_before_release: self.cells }, lasts)
    }
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

/// A search for the timers that come nearest to an alley.
#[derive(Clone, Copy)]
struct Fitting<'a> {
    wish: &'a Wish,
    stepped: Stepped,
    /// When the sweep starts, where there is one.
    sweep: Option<SweepStart>,
    /// How far the alley may be off.
    limit: f64,
}

/// The changeover of a plan.
struct Fit {
    timers: Timers<f64>,
    steps: Found,
    width: f64,
}

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
        self.nearest(&even, travel / 4.0)
            .or_else(|| self.nearest(&even, 0.0))
            .or_else(|| {
                run_outs.into_iter().find_map(|run_out| {
                    let fills = self.fills(clean_out, run_out);
                    let made_up: Vec<Plan> =
                        fills.into_iter().flat_map(|plan| self.made_up(plan)).collect();
                    self.nearest(&made_up, 0.0)
                })
            })
            .or_else(|| self.one_by_one(clean_out, longer))
    }

    /// The first of every opening that fits, where the closed form is not sure to find the one that fits.
    fn one_by_one(&self, clean_out: i64, longest: i64) -> Option<Fit> {
        let stepped = &self.stepped;
        let (shortest, _) = stepped.clean_outs().filter(|_| !stepped.uniform)?;
        let all = stepped.narrowest(shortest, longest.max(shortest));
        // Cut as little as will do, and no later than that.
        let (cut, later): (Vec<i64>, Vec<i64>) = all.into_iter().partition(|one| *one <= clean_out);
        cut.into_iter()
            .rev()
            .chain(later)
            .find_map(|opening| self.nearest(&self.fills(opening, stepped.run_out(opening)), 0.0))
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
        let most = stepped.most_fill(clean_out, run_out);
        let idle = stepped.idle(clean_out, run_out);
        let below = steps_down(over / gain + idle, stepped.turning).min(most);
        vec![plan(0), plan(below), plan((below + 1).min(most))]
    }

    /// The same plan, and with as many steps more of clean-out as it is too narrow by.
    fn made_up(&self, plan: Plan) -> [Plan; 2] {
        let travel = self.stepped.travel();
        let short = self.width(plan).map_or(0.0, |fit| self.wish.alley - fit.width);
        let more = steps_down((short + travel / 2.0).max(0.0), travel);
        [plan, Plan { clean_out: plan.clean_out + more, ..plan }]
    }

    fn width_without_fill(&self, clean_out: i64, run_out: i64) -> f64 {
        let plan = Plan { clean_out, run_out, fill: 0 };
        self.width(plan).map_or_else(|| self.stepped.width(plan), |fit| fit.width)
    }

    /// The timers of a plan and the alley they make; `None` where one lasts longer than a timer
    /// may.
    fn width(&self, plan: Plan) -> Option<Fit> {
        let stepped = &self.stepped;
        let mut timers = Timers {
            clean_out: clean(stepped.opens(plan.clean_out)),
            run_out: clean(stepped.runs_out(plan.clean_out, plan.run_out)),
            fill: clean(stepped.fills(plan.fill)),
            sweep: None,
            ..self.wish.plain_machine()
        };
        let mut steps =
            Found { opening: plan.clean_out, boost: (plan.run_out, plan.fill), sweep: None };
        let mut inside = plan.clean_out <= stepped.most
            && plan.run_out <= stepped.most_waiting
            && plan.fill <= stepped.most_turning;
        if let (Some(cells), Some(free), Some(start)) =
            (self.wish.sweep_cells, self.wish.shape.sweep, self.sweep)
        {
            let window = SweepWindow::of(&timers, stepped, plan, cells, free);
            let waits = window.start(start);
            let (sweep, lasts) = window.sweeping(&timers, waits);
            inside &= TIMER.hold(seconds(waits, window.waiting)) && TIMER.hold(sweep.length);
            steps.sweep = Some((waits, lasts));
            timers.sweep = Some(sweep);
        }
        let width = inside.then(|| predict(&timers.schedule()).width)?;
        Some(Fit { timers, steps, width })
    }

    /// The plan nearest to the alley, where that is near enough. A boost must bring what it is
    /// worth, and the shorter timers stand where longer ones come no nearer.
    fn nearest(&self, plans: &[Plan], worth: f64) -> Option<Fit> {
        let off = |fit: &Fit| (fit.width - self.wish.alley).abs();
        let cost = |fit: &Fit| off(fit) + if fit.timers.fill > 0.0 { worth } else { 0.0 };
        let hair = 1e-9 * self.wish.alley;
        let fits = plans.iter().filter_map(|plan| self.width(*plan));
        fits.reduce(|best, next| if cost(&next) < cost(&best) - hair { next } else { best })
            .filter(|fit| off(fit) <= self.limit + hair)
    }
}
