//! What a machine can do on the steps of its times: the alley that whole steps make, the least
//! one, and the longest clean-out that makes a wanted one. Closed form.
//!
//! Every old seed falls at ground rate and no new one under boost, so the boost starts no sooner than
//! t_e + k / r_g. The opening O is c steps after it can be at the soonest; the next lot is at pick-up t_p
//! later; the boost starts at B, by r steps of its wait, and lasts for F, f steps. Then the alley is
//!
//! ```text
//! v (O + t_p - t_e) + s - (s r_b - v) (F - max(0, t_p - (B - O)))
//! ```
//!
//! where the last bracket counts only above zero: a boost that is over before new seed is at
//! pick-up turns empty cells. F is at most
//! max(0, t_p - (B - O)) + (k - r_g max(0, (B - O) - t_p)) / r_b, or new seed is released under boost. So a
//! step more of the opening, with the boost as long after it as before, makes any alley wider by just the
//! travel in one step, and a machine makes every alley from its least one on.

use crate::quantity::bounds::TIMER;
use crate::quantity::{LengthUnit, clean};

use super::shape::{Base, Free, Lasting, Shape};
use super::timers::{Timers, run_out_needed};

/// The clean-outs that starting values keep to; never shorter than old seed takes to be gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanOuts {
    /// The shortest at all.
    pub least: Lasting,
    /// The shortest that is usual.
    pub usual: Lasting,
}

impl CleanOuts {
    /// By the clock.
    #[must_use]
    pub const fn seconds(least: f64, usual: f64) -> CleanOuts {
        CleanOuts { least: Lasting::seconds(least), usual: Lasting::seconds(usual) }
    }
}

/// What is wished.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Rates and times of the machine; its timers are not looked at. Its old seed is gone so long after
    /// the start of the clean-out, its new seed there so long after it is let in.
    pub machine: Timers<f64>,
    /// What of the list is open.
    pub shape: Shape,
    /// The alley that is wanted.
    pub alley: f64,
    /// How far the alley may be off, where that is known.
    pub tolerance: Option<f64>,
    /// The clean-outs to keep to.
    pub clean_outs: CleanOuts,
    /// Cells from the sweep to release, where the planter has a sweep to take off the last old
    /// seeds.
    pub sweep_cells: Option<f64>,
    /// The unit of all lengths, which the limits of what a sheet takes are held against.
    pub length: LengthUnit,
}

impl Wish {
    /// How far the alley may be off: a seed spacing where no tolerance is known.
    #[must_use]
    pub fn tolerance_or_spacing(&self) -> f64 {
        self.tolerance.unwrap_or(self.machine.spacing)
    }

    /// The same wish at another speed.
    #[must_use]
    pub fn at_speed(&self, speed: f64) -> Wish {
        Wish { machine: Timers { speed, ..self.machine.clone() }, ..self.clone() }
    }

    /// The same wish with another boost.
    #[must_use]
    pub fn at_boost(&self, boost: f64) -> Wish {
        Wish { machine: Timers { boost, ..self.machine.clone() }, ..self.clone() }
    }

    /// Seconds of the shortest clean-out at all, and of the shortest usual one.
    pub(super) fn clean_out_seconds(&self) -> [f64; 2] {
        let CleanOuts { least, usual } = self.clean_outs;
        [least, usual].map(|lasting| lasting.at(self.machine.speed))
    }

    /// The step of the opening, in seconds.
    #[must_use]
    pub fn step(&self) -> f64 {
        self.shape.opening.at(self.machine.speed)
    }

    /// Whether all goes by the clock in one step, and the boost waits from the opening on.
    pub(super) fn goes_alike(&self) -> bool {
        Stepped::of(self).uniform
    }

    /// The machine with its times counted as in a plain changeover: old seed is gone so long after the
    /// trip, new seed there so long after the opening.
    pub(super) fn plain_machine(&self) -> Timers<f64> {
        let machine = &self.machine;
        let at = |lasting: Lasting| lasting.at(machine.speed);
        Timers {
            old_seed_gone: machine.old_seed_gone + at(self.shape.clean_from),
            new_seed_at_pick_up: machine.new_seed_at_pick_up + at(self.shape.let_in_later),
            ..machine.clone()
        }
    }
}

/// What is looked for, in whole steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plan {
    /// Of the opening: the length of a clean-out, or the wait of a hand-over.
    pub(super) clean_out: i64,
    /// Of the wait of the boost.
    pub(super) run_out: i64,
    /// Of its length.
    pub(super) fill: i64,
}

/// A wish on its steps, without a sweep.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stepped {
    /// Seconds of a step of the opening, of the boost's wait and of its length.
    pub(super) step: f64,
    waiting: f64,
    pub(super) turning: f64,
    /// The opening without a step.
    opens_from: f64,
    /// From when on the boost waits, and whether that is after the opening; `None` without a motor.
    boost_from: Option<(bool, f64)>,
    /// Whether all goes in one step and the boost waits from the opening on.
    pub(super) uniform: bool,
    /// Whether the alley grows evenly with the speed, since nothing goes by the way.
    pub(super) by_time: bool,
    pub(super) speed: f64,
    pub(super) spacing: f64,
    pub(super) boost: f64,
    pub(super) ground: f64,
    carry: f64,
    gone: f64,
    arrives: f64,
    pub(super) alley: f64,
    /// How far the alley may be off by the sheet.
    pub(super) tolerance: f64,
    /// Steps of the shortest clean-out at all, and of the shortest usual one.
    pub(super) least: i64,
    pub(super) usual: i64,
    /// When the boost may start.
    drained: f64,
    /// Steps of the longest opening, wait and length.
    pub(super) most: i64,
    pub(super) most_waiting: i64,
    pub(super) most_turning: i64,
    has_sweep: bool,
}

/// Whole steps in a time, rounded up.
#[allow(clippy::cast_possible_truncation)] // far below 2^63, or held at its limit
pub(super) fn steps_up(time: f64, step: f64) -> i64 {
    (time / step - 1e-9).ceil().max(0.0) as i64
}

/// Whole steps in a time, rounded down.
#[allow(clippy::cast_possible_truncation)] // far below 2^63, or held at its limit
pub(super) fn steps_down(time: f64, step: f64) -> i64 {
    (time / step + 1e-9).floor().max(0.0) as i64
}

/// So many steps as a time.
#[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
pub(super) fn seconds(steps: i64, step: f64) -> f64 {
    clean(steps as f64 * step)
}

/// A time on the step at or above it.
pub(super) fn up_to_step(time: f64, step: f64) -> f64 {
    seconds(steps_up(time, step), step)
}

/// Openings that are tried one by one where there is no closed form for the best.
const MOST_TRIED: i64 = 200;

impl Stepped {
    pub(super) fn of(wish: &Wish) -> Stepped {
        let (machine, shape) = (wish.plain_machine(), &wish.shape);
        let at = |lasting: Lasting| lasting.at(machine.speed);
        let ground = machine.speed / machine.spacing;
        let undone = Timers { clean_out: 0.0, ..machine.clone() };
        let (step, opens_from) = (at(shape.opening), at(shape.opens_from));
        // A clean-out that ends with the opening has started so much before it counts.
        let before = opens_from - at(shape.clean_from);
        let shortest = |seconds: f64| {
            let lasts = seconds.max(wish.machine.old_seed_gone);
            let lasts = shape.clean_out_step.map_or(lasts, |own| up_to_step(lasts, at(own)));
            steps_up(lasts - before, step)
        };
        let least = shortest(at(wish.clean_outs.least));
        let boost = shape.boost;
        let (waiting, turning) =
            boost.map_or((step, step), |free| (at(free.waiting), at(free.lasting)));
        let after = |free: Free| (free.from.base != Base::Trip, at(free.from.later));
        let boost_from = boost.map(after);
        let figures = [wish.clean_outs.least, wish.clean_outs.usual];
        let ways = [shape.clean_from, shape.opens_from, shape.opening, shape.let_in_later];
        let ways = ways.iter().chain(&figures).chain(&shape.clean_out_step);
        let of_boost =
            boost.map_or(0.0, |free| free.from.later.way + free.waiting.way + free.lasting.way);
        Stepped {
            step,
            waiting,
            turning,
            opens_from,
            boost_from,
            uniform: step == waiting
                && waiting == turning
                && opens_from == 0.0
                && boost_from.is_none_or(|from| from == (true, 0.0)),
            by_time: ways.into_iter().all(|lasting| lasting.way == 0.0) && of_boost == 0.0,
            speed: machine.speed,
            spacing: machine.spacing,
            boost: if boost.is_some() { machine.boost.max(ground) } else { ground },
            ground,
            carry: machine.carry,
            gone: machine.old_seed_gone,
            arrives: machine.new_seed_at_pick_up,
            alley: wish.alley,
            tolerance: wish.tolerance.unwrap_or(0.0),
            least,
            usual: shortest(at(wish.clean_outs.usual)).max(least),
            drained: run_out_needed(&undone),
            most: steps_down(TIMER.most, step),
            most_waiting: steps_down(TIMER.most, waiting),
            most_turning: steps_down(TIMER.most, turning),
            has_sweep: wish.sweep_cells.is_some(),
        }
    }

    /// Travel in one step.
    pub(super) fn travel(&self) -> f64 {
        self.speed * self.step
    }

    /// Travel in the coarsest of the steps.
    pub(super) fn coarsest(&self) -> f64 {
        let boost = if self.boost_from.is_some() { self.waiting.max(self.turning) } else { 0.0 };
        self.speed * self.step.max(boost)
    }

    /// How far an alley that counts as made may be off: as near as timers can come is a step's
    /// travel, and what is inside the tolerance is good enough.
    pub(super) fn slack(&self) -> f64 {
        self.coarsest().max(self.tolerance)
    }

    /// The widest that an alley may come out.
    pub(super) fn limit(&self) -> f64 {
        self.alley + self.slack() + 1e-9 * self.alley
    }

    /// The opening after so many steps.
    #[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
    pub(super) fn opens(&self, clean_out: i64) -> f64 {
        self.opens_from + clean_out as f64 * self.step
    }

    /// From when on the boost waits.
    fn boost_from(&self, clean_out: i64) -> f64 {
        match self.boost_from {
            Some((true, later)) => self.opens(clean_out) + later,
            Some((false, later)) => later,
            None => self.opens(clean_out),
        }
    }

    /// From the opening until the boost starts, which is below zero where it starts before.
    #[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
    pub(super) fn runs_out(&self, clean_out: i64, run_out: i64) -> f64 {
        let waited = run_out as f64 * self.waiting;
        match self.boost_from {
            Some((true, later)) => later + waited,
            Some((false, later)) => later + waited - self.opens(clean_out),
            None => waited,
        }
    }

    /// How long a boost of so many steps lasts.
    #[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
    pub(super) fn fills(&self, fill: i64) -> f64 {
        fill as f64 * self.turning
    }

    /// Fill that passes before new seed is at pick-up, and does nothing.
    pub(super) fn idle(&self, clean_out: i64, run_out: i64) -> f64 {
        (self.arrives - self.runs_out(clean_out, run_out)).max(0.0)
    }

    /// Cells that the boost may turn until the first new seed is released.
    pub(super) fn cells_to_go(&self, clean_out: i64, run_out: i64) -> f64 {
        self.carry - self.ground * (self.runs_out(clean_out, run_out) - self.arrives).max(0.0)
    }

    /// Cells from pick-up to release.
    pub(super) fn carry(&self) -> f64 {
        self.carry
    }

    /// Fill that moves new seed.
    pub(super) fn boosted(&self, plan: Plan) -> f64 {
        (self.fills(plan.fill) - self.idle(plan.clean_out, plan.run_out)).max(0.0)
    }

    /// From when old seed is gone until new seed is at pick-up.
    pub(super) fn bare(&self, clean_out: i64) -> f64 {
        self.opens(clean_out) + self.arrives - self.gone
    }

    /// The alley that timers make.
    pub(super) fn width(&self, plan: Plan) -> f64 {
        let gain = (self.spacing * self.boost - self.speed).max(0.0);
        self.speed * self.bare(plan.clean_out) + self.spacing - gain * self.boosted(plan)
    }

    /// Steps of the boost's wait until a time.
    fn waits_until(&self, clean_out: i64, time: f64) -> i64 {
        match self.boost_from {
            Some(_) => steps_up(time - self.boost_from(clean_out), self.waiting),
            None => 0,
        }
    }

    /// The shortest run-out that lets every old seed fall at ground rate.
    pub(super) fn run_out(&self, clean_out: i64) -> i64 {
        self.waits_until(clean_out, self.drained)
    }

    /// The shortest such run-out with which no fill is idle.
    pub(super) fn waiting_run_out(&self, clean_out: i64) -> i64 {
        let comes = self.waits_until(clean_out, self.opens(clean_out) + self.arrives);
        self.run_out(clean_out).max(comes)
    }

    /// The longest fill that bunches no new seed.
    pub(super) fn most_fill(&self, clean_out: i64, run_out: i64) -> i64 {
        if self.boost_from.is_none() {
            return 0;
        }
        let cells = self.cells_to_go(clean_out, run_out).max(0.0);
        let longest = self.idle(clean_out, run_out) + cells / self.boost;
        steps_down(longest, self.turning).min(self.most_turning)
    }

    /// The timers of the narrowest alley with a clean-out.
    pub(super) fn tightest(&self, clean_out: i64) -> Plan {
        let with = |run_out| {
            let fill = self.most_fill(clean_out, run_out);
            Plan { clean_out, run_out, fill }
        };
        let (soon, waiting) =
            (with(self.run_out(clean_out)), with(self.waiting_run_out(clean_out)));
        let narrower = self.width(waiting) < self.width(soon) - 1e-9 * self.spacing;
        if narrower && waiting.run_out <= self.most_waiting { waiting } else { soon }
    }

    /// The clean-outs that may be taken, shortest and usual; `None` where no timer lasts so long.
    pub(super) fn clean_outs(&self) -> Option<(i64, i64)> {
        // The boost waits no longer than a timer lasts, from the opening on or from the trip.
        let (shortest, too_late) = match self.boost_from {
            Some((true, later)) => {
                let waited = seconds(self.most_waiting, self.waiting);
                let before = self.drained - later - self.opens_from - waited;
                (self.least.max(steps_up(before, self.step)), false)
            }
            Some((false, later)) => {
                let waits = steps_up(self.drained - later, self.waiting);
                (self.least, waits > self.most_waiting)
            }
            None => (self.least, false),
        };
        let swept_late = self.has_sweep && steps_up(self.drained, self.step) > self.most;
        let too_long = shortest > self.most || too_late || swept_late;
        (!too_long).then(|| (shortest, self.usual.max(shortest).min(self.most)))
    }

    /// Clean-outs among which the one of the narrowest alley is.
    ///
    /// In one step for all, the boost starts at the same time with all that need a run-out. One that is
    /// a step longer makes the alley wider by a step's travel, but where the fill gains a step; that
    /// happens at most once in r_b / r_g steps of clean-out, after each of which the alley is wider than
    /// after the one before. So it is the shortest, the one at which the fill first gains a step, or
    /// one at which new seed comes just before or after the boost starts. Else all are tried, up to
    /// some hundreds.
    pub(super) fn narrowest(&self, shortest: i64, longest: i64) -> Vec<i64> {
        if !self.uniform {
            let apart = ((longest - shortest) / MOST_TRIED).max(1);
            let tried = (shortest..longest).step_by(usize::try_from(apart).unwrap_or(1));
            return tried.chain([longest]).collect();
        }
        let drained = steps_up(self.drained, self.step);
        let waiting = steps_up(self.arrives, self.step);
        let fill = self.most_fill(shortest, self.waiting_run_out(shortest)) + 1;
        let late = (self.carry - self.boost * self.fills(fill)) / self.ground;
        let gains = drained - steps_down((self.arrives + late).max(0.0), self.step);
        let comes = drained - waiting;
        let best = [shortest, gains, gains + 1, comes, comes + 1];
        best.map(|steps| steps.clamp(shortest, longest)).to_vec()
    }

    /// The timers of the least alley.
    pub(super) fn least_plan(&self, shortest: i64, longest: i64) -> Plan {
        let plans = self.narrowest(shortest, longest).into_iter();
        let narrower = |one: Plan, other: Plan| {
            if self.width(other) < self.width(one) { other } else { one }
        };
        let first = self.tightest(shortest);
        plans.map(|steps| self.tightest(steps)).fold(first, narrower)
    }

    /// The longest clean-out up to a usual one with which the alley can be made.
    ///
    /// In one step for all, a step less makes the alley narrower by no more than a step's travel, so
    /// that as many can be passed over as it is too wide by.
    pub(super) fn longest_clean_out(&self) -> Option<i64> {
        let (shortest, mut clean_out) = self.clean_outs()?;
        let apart = if self.uniform { 1 } else { ((clean_out - shortest) / MOST_TRIED).max(1) };
        while clean_out >= shortest {
            let over = self.width(self.tightest(clean_out)) - self.limit();
            if over <= 0.0 {
                return Some(clean_out);
            }
            let passed = if self.uniform { steps_up(over, self.travel()).max(1) } else { apart };
            clean_out -= passed;
        }
        // The shortest is passed over only where several steps are taken at once.
        let last = self.width(self.tightest(shortest)) - self.limit();
        (apart > 1 && last <= 0.0).then_some(shortest)
    }

    /// The widest alley that timers make.
    pub(super) fn widest(&self) -> f64 {
        self.speed * self.bare(self.most) + self.spacing
    }

    /// Whether the alley can be made, with a clean-out no shorter than so many steps.
    pub(super) fn makes(&self, usual_only: bool) -> bool {
        let Some((shortest, usual)) = self.clean_outs() else { return false };
        let from = if usual_only { usual } else { shortest };
        let least = self.width(self.least_plan(from, usual));
        least <= self.limit() && self.widest() + self.slack() >= self.alley
    }
}
