//! The plate's motion during a changeover, and where it puts the seeds. Closed form.
//!
//! Time 0 is the trip. The plate goes on at ground rate until the clean-out and the run-out are
//! over, then turns at boost rate for the fill, then at ground rate again:
//!
//! ```text
//! q(t) = r_g t                                up to T_b = T_c + T_r
//!      = r_g T_b + r_b (t - T_b)              up to T_b + T_f
//!      = r_g T_b + r_b T_f + r_g (t - T_b - T_f)   after that
//! ```
//!
//! q counts cells past pick-up. The cell that passes pick-up at time t releases its seed at
//! q⁻¹(q(t) + k) and passes the sweep at q⁻¹(q(t) + k - k_w). Cells that pass pick-up before
//! t_e hold the old lot, from T_c + t_p on the new one, between them nothing. A seed released
//! at t lands at v (t + t_fall), measured along the travel from where the release point was at
//! the trip.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | v, s | ground speed, seed spacing | length/s, length |
//! | r_g = v / s, r_b | ground-drive and boost rate, r_b never below r_g | cells/s |
//! | T_c, T_r, T_f | clean-out, run-out (from the end of clean-out), fill | s |
//! | t_e | when the old seed is gone from pick-up | s |
//! | t_p | from the end of clean-out until new seed is at pick-up | s |
//! | k, k_w | carry; cells from the sweep to release | cells |
//! | T_s, T_w | sweep: start, and for how long | s |
//!
//! The model is the project's own; common practice, no source, for the practice it encodes.

use crate::outcome::{Fate, Seed};
use crate::working::Arithmetic;

/// The timers and rates of a changeover.
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

/// The sweep that knocks stray seeds off the plate.
#[derive(Clone, Debug)]
pub struct Sweep<N> {
    /// T_s: when it starts.
    pub start: N,
    /// T_w: for how long.
    pub length: N,
    /// k_w: cells from the sweep to release.
    pub cells_before_release: N,
}

/// The same timers as plain numbers.
#[must_use]
pub fn numbers<N: Arithmetic>(timers: &Timers<N>) -> Timers<f64> {
    Timers {
        speed: timers.speed.number(),
        spacing: timers.spacing.number(),
        boost: timers.boost.number(),
        carry: timers.carry.number(),
        clean_out: timers.clean_out.number(),
        run_out: timers.run_out.number(),
        fill: timers.fill.number(),
        old_seed_gone: timers.old_seed_gone.number(),
        new_seed_at_pick_up: timers.new_seed_at_pick_up.number(),
        sweep: timers.sweep.as_ref().map(|sweep| Sweep {
            start: sweep.start.number(),
            length: sweep.length.number(),
            cells_before_release: sweep.cells_before_release.number(),
        }),
        fall: timers.fall.number(),
    }
}

/// The plate's motion.
#[derive(Clone, Debug)]
pub struct Motion<N> {
    /// r_g.
    pub ground: N,
    /// r_b.
    pub boost: N,
    /// T_b: when the boost starts.
    pub boost_starts: N,
    /// T_b + T_f: when it ends.
    pub boost_ends: N,
    /// q(T_b).
    pub(super) cells_at_start: N,
    /// q(T_b + T_f).
    pub(super) cells_at_end: N,
}

impl<N: Arithmetic> Motion<N> {
    /// The motion that the timers make.
    #[must_use]
    pub fn of(timers: &Timers<N>) -> Motion<N> {
        let ground = (timers.speed.clone() / timers.spacing.clone()).called("ground-drive rate");
        let boost = if timers.boost.below(&ground) { ground.clone() } else { timers.boost.clone() };
        let boost_starts =
            (timers.clean_out.clone() + timers.run_out.clone()).called("boost starts");
        let boost_ends = (boost_starts.clone() + timers.fill.clone()).called("boost ends");
        let cells_at_start = (ground.clone() * boost_starts.clone())
            .called("cells past pick-up when the boost starts");
        let cells_at_end = (cells_at_start.clone() + boost.clone() * timers.fill.clone())
            .called("cells past pick-up when the boost ends");
        Motion { ground, boost, boost_starts, boost_ends, cells_at_start, cells_at_end }
    }

    /// q: cells past pick-up at a time.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::{Motion, Timers};
    /// let timers = Timers {
    ///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 16.0, clean_out: 1.5, run_out: 0.5,
    ///     fill: 0.4, old_seed_gone: 0.9, new_seed_at_pick_up: 0.2, sweep: None, fall: 0.25,
    /// };
    /// let motion = Motion::of(&timers);
    /// assert_eq!(motion.cells_at(1.0), 25.0); // 25 cells/s under ground drive
    /// assert!((motion.cells_at(2.2) - 60.0).abs() < 1e-12); // 50 + 50 x 0.2 under boost
    /// assert!((motion.time_of(60.0) - 2.2).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn cells_at(&self, time: N) -> N {
        if !self.boost_starts.below(&time) {
            self.ground.clone() * time
        } else if !self.boost_ends.below(&time) {
            self.cells_at_start.clone() + self.boost.clone() * (time - self.boost_starts.clone())
        } else {
            self.cells_at_end.clone() + self.ground.clone() * (time - self.boost_ends.clone())
        }
    }

    /// q⁻¹: when so many cells have passed pick-up.
    #[must_use]
    pub fn time_of(&self, cells: N) -> N {
        if !self.cells_at_start.below(&cells) {
            cells / self.ground.clone()
        } else if !self.cells_at_end.below(&cells) {
            self.boost_starts.clone() + (cells - self.cells_at_start.clone()) / self.boost.clone()
        } else {
            self.boost_ends.clone() + (cells - self.cells_at_end.clone()) / self.ground.clone()
        }
    }

    fn boosted(&self, cells: f64) -> bool {
        self.ground.below(&self.boost)
            && cells > self.cells_at_start.number()
            && cells < self.cells_at_end.number()
    }
}

/// Share of a cell that is the noise of arithmetic and of putting timers on a step: an edge may
/// lie right where the boost starts or ends.
pub(super) const HAIR: f64 = 1e-6;

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

/// The seeds of one row from `before` cells ahead of the changeover to `after` cells behind it,
/// for one phase of the plate: cells pass pick-up at phase, phase + 1, ...
///
/// ```
/// use alleytrue::calculations::changeover::{Timers, strip};
/// use alleytrue::outcome::Fate;
/// let timers = Timers {
///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.1,
///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
/// };
/// let seeds = strip(&timers, 0.5, 5, 5);
/// assert_eq!(seeds.iter().filter(|seed| seed.fate == Fate::Old).count(), 5);
/// ```
#[must_use]
#[allow(clippy::cast_precision_loss)] // a few hundred cells
pub fn strip(timers: &Timers<f64>, phase: f64, before: u32, after: u32) -> Vec<Seed> {
    let motion = Motion::of(timers);
    let old_end = motion.cells_at(timers.old_seed_gone);
    let new_start = motion.cells_at(timers.clean_out + timers.new_seed_at_pick_up);
    let sweep = timers.sweep.as_ref().map(|sweep| {
        let behind = timers.carry - sweep.cells_before_release;
        (
            motion.cells_at(sweep.start) - behind,
            motion.cells_at(sweep.start + sweep.length) - behind,
        )
    });
    // Between the lots cells pass empty, and there may be millions of them.
    let (old_from, old_to) =
        ((old_end - phase).ceil() - f64::from(before), (old_end - phase).ceil());
    let new_from = (new_start - phase).ceil();
    let last = new_from.max(old_to) + f64::from(after);
    let cells = |from: f64, to: f64| {
        let count = (to - from).max(0.0) as u64;
        (0..count).map(move |index| phase + from + index as f64)
    };
    cells(old_from, old_to)
        .chain(cells(new_from.max(old_to), last))
        .filter_map(|cell| {
            let lot = match (cell < old_end, cell >= new_start) {
                (true, _) => Fate::Old,
                (false, true) => Fate::New,
                (false, false) => return None,
            };
            let release = cell + timers.carry;
            let swept = sweep.is_some_and(|(from, to)| cell >= from && cell < to);
            Some(Seed {
                at: timers.speed * (motion.time_of(release) + timers.fall),
                fate: if swept { Fate::Swept } else { lot },
                boosted: motion.boosted(release),
            })
        })
        .collect()
}
