//! The plain changeover: old seed taken out from the trip on, then a run-out, then one boost, the
//! next lot let in when the clean-out ends, and at most one sweep. Starting values are looked for in
//! these terms; every list of actions that they are looked for in comes down to them.

use crate::working::Arithmetic;

use super::motion::{Schedule, Sweep, Turning};

/// The times and rates of a plain changeover.
#[derive(Clone, Debug)]
pub struct Timers<N> {
    /// v: ground speed.
    pub speed: N,
    /// s: seed spacing under ground drive.
    pub spacing: N,
    /// r_b: cells per second under boost, as set; the plate never turns slower than the ground
    /// drive turns it.
    pub boost: N,
    /// k: cells from pick-up to release.
    pub carry: N,
    /// T_c: clean-out.
    pub clean_out: N,
    /// T_r: run-out, from the end of clean-out.
    pub run_out: N,
    /// T_f: fill.
    pub fill: N,
    /// t_e: when the old seed is gone from pick-up.
    pub old_seed_gone: N,
    /// t_p: from the end of clean-out until new seed is at pick-up.
    pub new_seed_at_pick_up: N,
    /// The sweep, where there is one.
    pub sweep: Option<Sweep<N>>,
    /// t_fall: from release to the ground.
    pub fall: N,
}

impl<N: Arithmetic> Timers<N> {
    /// r_b, or r_g where the boost is slower.
    pub(super) fn fastest(&self) -> N {
        let ground = self.speed.clone() / self.spacing.clone();
        if self.boost.below(&ground) { ground } else { self.boost.clone() }
    }

    /// When its windows are: the boost from T_c + T_r on for T_f, new seed at T_c + t_p.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::Timers;
    /// let timers = Timers {
    ///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.5,
    ///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.25, sweep: None, fall: 0.0,
    /// };
    /// let schedule = timers.schedule();
    /// assert_eq!((schedule.new_seed_there, schedule.boosts[0].start), (1.75, 2.0));
    /// ```
    #[must_use]
    pub fn schedule(&self) -> Schedule<N> {
        let start = (self.clean_out.clone() + self.run_out.clone()).called("boost starts");
        let there = self.clean_out.clone() + self.new_seed_at_pick_up.clone();
        let boost = Turning {
            name: "boost".into(),
            start,
            length: self.fill.clone(),
            rate: self.boost.clone(),
        };
        Schedule {
            speed: self.speed.clone(),
            spacing: self.spacing.clone(),
            carry: self.carry.clone(),
            old_seed_gone: self.old_seed_gone.clone(),
            new_seed_there: there.called("new seed reaches pick-up"),
            boosts: vec![boost],
            sweeps: self.sweep.iter().cloned().collect(),
            fall: self.fall.clone(),
        }
    }
}

/// The run-out in which every old seed is released at ground rate, which is below zero where the
/// clean-out is long enough by itself: T_r = t_e + k / r_g - T_c.
///
/// ```
/// use alleytrue::calculations::changeover::{Timers, run_out_needed};
/// let timers = Timers {
///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.0,
///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
/// };
/// // 1.0 s + 15 cells / 25 cells/s - 1.5 s
/// assert!((run_out_needed(&timers) - 0.1).abs() < 1e-12);
/// ```
#[must_use]
pub fn run_out_needed<N: Arithmetic>(timers: &Timers<N>) -> N {
    let ground = timers.speed.clone() / timers.spacing.clone();
    (timers.old_seed_gone.clone() + timers.carry.clone() / ground - timers.clean_out.clone())
        .called("run-out that old seed needs")
}
