//! What a machine can do on the step of its timers: the alley that whole steps make, the least
//! one, and the longest clean-out that makes a wanted one. Closed form.
//!
//! Every old seed falls at ground rate and no new one under boost, so the boost starts B steps
//! after the trip at the soonest, B = ⌈(t_e + k / r_g) / d⌉ with d the step. With c, r and f steps
//! of clean-out, run-out and fill the alley is
//!
//! ```text
//! v (c d + t_p - t_e) + s - (s r_b - v) (f d - max(0, t_p - r d))
//! ```
//!
//! where the last bracket counts only above zero: a boost that is over before new seed is at
//! pick-up turns empty cells. The fill is at most max(0, t_p - r d) + (k - r_g max(0, r d - t_p)) / r_b,
//! or new seed is released under boost. So a step more of clean-out, with the run-out left alone,
//! makes any alley wider by just the travel in one step, and a machine makes every alley from its
//! least one on.

use crate::quantity::bounds::TIMER;
use crate::quantity::{LengthUnit, clean};

use super::timers::{Timers, run_out_needed};

/// The clean-outs that starting values keep to, in seconds; never shorter than old seed takes to
/// be gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanOuts {
    /// The shortest at all.
    pub least: f64,
    /// The shortest that is usual.
    pub usual: f64,
}

/// What is wished.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Rates and times of the machine; its timers are not looked at.
    pub machine: Timers<f64>,
    /// The alley that is wanted.
    pub alley: f64,
    /// How far the alley may be off, where that is known.
    pub tolerance: Option<f64>,
    /// The timers' step, in seconds.
    pub step: f64,
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
}

/// Timers in whole steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plan {
    pub(super) clean_out: i64,
    pub(super) run_out: i64,
    pub(super) fill: i64,
}

/// A wish on the step of the timers, without a sweep.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stepped {
    pub(super) step: f64,
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
    /// Steps after which the boost may start.
    drained: i64,
    /// Steps of the longest timer.
    pub(super) most: i64,
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

impl Stepped {
    pub(super) fn of(wish: &Wish) -> Stepped {
        let (machine, step) = (&wish.machine, wish.step);
        let ground = machine.speed / machine.spacing;
        let undone = Timers { clean_out: 0.0, ..machine.clone() };
        let shortest = |seconds: f64| steps_up(seconds.max(machine.old_seed_gone), step);
        let least = shortest(wish.clean_outs.least);
        Stepped {
            step,
            speed: machine.speed,
            spacing: machine.spacing,
            boost: machine.boost.max(ground),
            ground,
            carry: machine.carry,
            gone: machine.old_seed_gone,
            arrives: machine.new_seed_at_pick_up,
            alley: wish.alley,
            tolerance: wish.tolerance.unwrap_or(0.0),
            least,
            usual: shortest(wish.clean_outs.usual).max(least),
            drained: steps_up(run_out_needed(&undone), step),
            most: steps_down(TIMER.most, step),
            has_sweep: wish.sweep_cells.is_some(),
        }
    }

    /// Travel in one step.
    pub(super) fn travel(&self) -> f64 {
        self.speed * self.step
    }

    /// How far an alley that counts as made may be off: as near as timers can come is a step's
    /// travel, and what is inside the tolerance is good enough.
    pub(super) fn slack(&self) -> f64 {
        self.travel().max(self.tolerance)
    }

    /// The widest that an alley may come out.
    pub(super) fn limit(&self) -> f64 {
        self.alley + self.slack() + 1e-9 * self.alley
    }

    #[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
    pub(super) fn time(&self, steps: i64) -> f64 {
        steps as f64 * self.step
    }

    /// Fill that passes before new seed is at pick-up, and does nothing.
    pub(super) fn idle(&self, run_out: i64) -> f64 {
        (self.arrives - self.time(run_out)).max(0.0)
    }

    /// Cells that the boost may turn until the first new seed is released.
    pub(super) fn cells_to_go(&self, run_out: i64) -> f64 {
        self.carry - self.ground * (self.time(run_out) - self.arrives).max(0.0)
    }

    /// Fill that moves new seed.
    pub(super) fn boosted(&self, plan: Plan) -> f64 {
        (self.time(plan.fill) - self.idle(plan.run_out)).max(0.0)
    }

    /// From when old seed is gone until new seed is at pick-up.
    pub(super) fn bare(&self, clean_out: i64) -> f64 {
        self.time(clean_out) + self.arrives - self.gone
    }

    /// The alley that timers make.
    pub(super) fn width(&self, plan: Plan) -> f64 {
        let gain = (self.spacing * self.boost - self.speed).max(0.0);
        self.speed * self.bare(plan.clean_out) + self.spacing - gain * self.boosted(plan)
    }

    /// The shortest run-out that lets every old seed fall at ground rate.
    pub(super) fn run_out(&self, clean_out: i64) -> i64 {
        (self.drained - clean_out).max(0)
    }

    /// The shortest such run-out with which no fill is idle.
    pub(super) fn waiting_run_out(&self, clean_out: i64) -> i64 {
        self.run_out(clean_out).max(steps_up(self.arrives, self.step))
    }

    /// The longest fill that bunches no new seed.
    pub(super) fn most_fill(&self, run_out: i64) -> i64 {
        let cells = self.cells_to_go(run_out).max(0.0);
        steps_down(self.idle(run_out) + cells / self.boost, self.step).min(self.most)
    }

    /// The timers of the narrowest alley with a clean-out.
    pub(super) fn tightest(&self, clean_out: i64) -> Plan {
        let with = |run_out| Plan { clean_out, run_out, fill: self.most_fill(run_out) };
        let (soon, waiting) =
            (with(self.run_out(clean_out)), with(self.waiting_run_out(clean_out)));
        let narrower = self.width(waiting) < self.width(soon) - 1e-9 * self.spacing;
        if narrower && waiting.run_out <= self.most { waiting } else { soon }
    }

    /// The clean-outs that may be taken, shortest and usual; `None` where no timer lasts so long.
    pub(super) fn clean_outs(&self) -> Option<(i64, i64)> {
        let shortest = self.least.max(self.drained - self.most);
        let too_long = shortest > self.most || self.has_sweep && self.drained > self.most;
        (!too_long).then(|| (shortest, self.usual.max(shortest).min(self.most)))
    }

    /// Clean-outs among which the one of the narrowest alley is.
    ///
    /// The boost starts at the same time with all that need a run-out. One that is a step longer
    /// makes the alley wider by a step's travel, but where the fill gains a step; that happens at
    /// most once in r_b / r_g steps of clean-out, after each of which the alley is wider than
    /// after the one before. So it is the shortest, the one at which the fill first gains a step,
    /// or one at which new seed comes just before or after the boost starts.
    pub(super) fn narrowest(&self, shortest: i64, longest: i64) -> [i64; 5] {
        let waiting = steps_up(self.arrives, self.step);
        let fill = self.most_fill(self.waiting_run_out(shortest)) + 1;
        let late = (self.carry - self.boost * self.time(fill)) / self.ground;
        let gains = self.drained - steps_down((self.arrives + late).max(0.0), self.step);
        let comes = self.drained - waiting;
        [shortest, gains, gains + 1, comes, comes + 1].map(|steps| steps.clamp(shortest, longest))
    }

    /// The timers of the least alley.
    pub(super) fn least_plan(&self, shortest: i64, longest: i64) -> Plan {
        let plans = self.narrowest(shortest, longest).map(|steps| self.tightest(steps));
        let narrower = |one: Plan, other: Plan| {
            if self.width(other) < self.width(one) { other } else { one }
        };
        plans.into_iter().fold(plans[0], narrower)
    }

    /// The longest clean-out up to a usual one with which the alley can be made.
    ///
    /// A step less makes the alley narrower by no more than a step's travel, so that as many can
    /// be passed over as it is too wide by.
    pub(super) fn longest_clean_out(&self) -> Option<i64> {
        let (shortest, mut clean_out) = self.clean_outs()?;
        while clean_out >= shortest {
            let over = self.width(self.tightest(clean_out)) - self.limit();
            if over <= 0.0 {
                return Some(clean_out);
            }
            clean_out -= steps_up(over, self.travel()).max(1);
        }
        None
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
