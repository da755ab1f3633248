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
    cells_at_start: N,
    /// q(T_b + T_f).
    cells_at_end: N,
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

    /// Whether the boost turns the plate just before so many cells have passed.
    fn boosted_before(&self, cells: &N) -> bool {
        self.boosted(cells.number() - HAIR)
    }

    /// Whether the boost turns the plate just after so many cells have passed.
    fn boosted_after(&self, cells: &N) -> bool {
        self.boosted(cells.number() + HAIR)
    }

    fn boosted(&self, cells: f64) -> bool {
        self.ground.below(&self.boost)
            && cells > self.cells_at_start.number()
            && cells < self.cells_at_end.number()
    }
}

/// Share of a cell that is the noise of arithmetic and of putting timers on a step: an edge may
/// lie right where the boost starts or ends.
const HAIR: f64 = 1e-6;

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

/// Where a changeover puts the seeds of one row, on the average over the plate's phase.
#[derive(Clone, Debug)]
pub struct Prediction<N> {
    /// The motion behind it.
    pub motion: Motion<N>,
    /// Cell past which no old seed reaches the ground as part of its plot.
    pub last_cell: N,
    /// Cell from which on new seed reaches the ground.
    pub first_cell: N,
    /// No old seed is released after this time.
    pub last_release: N,
    /// No new seed is released before this time.
    pub first_release: N,
    /// Local spacing where the old plot ends.
    pub spacing_at_last: N,
    /// Local spacing where the new plot starts.
    pub spacing_at_first: N,
    /// Last seed of the old plot, along the travel from the trip.
    pub last_seed: N,
    /// First seed of the new plot, along the travel from the trip.
    pub first_seed: N,
    /// Alley width.
    pub width: N,
    /// Middle of the alley, along the travel from the trip.
    pub centre: N,
    /// Old seeds released under boost: bunched at the plot's end.
    pub bunched_at_end: N,
    /// New seeds released under boost: bunched at the plot's start.
    pub bunched_at_start: N,
    /// Old seeds taken off by the sweep.
    pub swept_old: N,
    /// New seeds taken off by the sweep.
    pub swept_new: N,
    /// Old seeds behind the sweep: strays in the alley.
    pub strays: N,
}

/// Works out where the seeds fall.
///
/// Nominal alley v (t_first - t_last), with t_last = q⁻¹(q(t_e) + k) and
/// t_first = q⁻¹(q(T_c + t_p) + k); on the average half a local spacing is added at each edge,
/// since the last cell that holds seed lies anywhere within one cell of the nominal edge.
///
/// ```
/// use alleytrue::calculations::changeover::{Timers, predict};
/// let timers = Timers {
///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.1,
///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
/// };
/// // Ground rate 25 cells/s: old seed gone at cell 25, released at cell 40 = 1.6 s, just when
/// // the boost starts. New seed at cell 45 (1.8 s is under boost: 40 + 50 x 0.2 = 50),
/// // released at cell 65, after the boost has ended at cell 60 = 2.0 s: 2.2 s.
/// let ground = predict(&timers);
/// assert!((ground.last_release - 1.6).abs() < 1e-12);
/// assert!((ground.first_release - 2.2).abs() < 1e-12);
/// assert!((ground.width - (50.0 * 0.6 + 2.0)).abs() < 1e-12);
/// ```
#[must_use]
pub fn predict<N: Arithmetic>(timers: &Timers<N>) -> Prediction<N> {
    let motion = Motion::of(timers);
    let old_end = motion
        .cells_at(timers.old_seed_gone.clone())
        .called("cells past pick-up when the old seed is gone");
    let arrives = (timers.clean_out.clone() + timers.new_seed_at_pick_up.clone())
        .called("new seed reaches pick-up");
    let new_start = motion.cells_at(arrives).called("cells past pick-up when new seed reaches it");
    let swept = swept(timers, &motion, &old_end, &new_start);

    let release = |cell: &N, name| (cell.clone() + timers.carry.clone()).called(name);
    let last_at = release(&swept.last_cell, "cells past pick-up at the last release of old seed");
    let first_at =
        release(&swept.first_cell, "cells past pick-up at the first release of new seed");
    let last_release = motion.time_of(last_at.clone()).called("last release of old seed");
    let first_release = motion.time_of(first_at.clone()).called("first release of new seed");
    let local = |boosted, name| {
        let rate = if boosted { &motion.boost } else { &motion.ground };
        (timers.speed.clone() / rate.clone()).called(name)
    };
    let spacing_at_last = local(motion.boosted_before(&last_at), "local spacing at the last seed");
    let spacing_at_first =
        local(motion.boosted_after(&first_at), "local spacing at the first seed");
    let half = || N::exactly(2.0);
    let lands = |time: &N| timers.speed.clone() * (time.clone() + timers.fall.clone());
    let last_seed =
        (lands(&last_release) - spacing_at_last.clone() / half()).called("last seed past the trip");
    let first_seed = (lands(&first_release) + spacing_at_first.clone() / half())
        .called("first seed past the trip");
    let width = (first_seed.clone() - last_seed.clone()).called("alley width");
    let centre = ((last_seed.clone() + first_seed.clone()) / half())
        .called("middle of the alley past the trip");
    let bunched_at_end = bunched_end(&motion, &last_at);
    let bunched_at_start = bunched_start(&motion, &first_at);
    Prediction {
        last_cell: swept.last_cell,
        first_cell: swept.first_cell,
        last_release,
        first_release,
        spacing_at_last,
        spacing_at_first,
        last_seed,
        first_seed,
        width,
        centre,
        bunched_at_end,
        bunched_at_start,
        swept_old: swept.old,
        swept_new: swept.new,
        strays: swept.strays,
        motion,
    }
}

const NONE_BUNCHED: &str = "none is released under boost";

/// Old seeds released while the boost is on, where it is faster than the ground drive.
fn bunched_end<N: Arithmetic>(motion: &Motion<N>, last_at: &N) -> N {
    let name = "old seeds bunched at the plot's end";
    let (start, end) = (&motion.cells_at_start, &motion.cells_at_end);
    let to = if end.below(last_at) { end } else { last_at };
    if motion.ground.below(&motion.boost) && start.below(to) {
        (to.clone() - start.clone()).called(name)
    } else {
        start.nothing(name, NONE_BUNCHED)
    }
}

/// New seeds released while the boost is on, where it is faster than the ground drive.
fn bunched_start<N: Arithmetic>(motion: &Motion<N>, first_at: &N) -> N {
    let name = "new seeds bunched at the plot's start";
    let (start, end) = (&motion.cells_at_start, &motion.cells_at_end);
    let from = if first_at.below(start) { start } else { first_at };
    if motion.ground.below(&motion.boost) && from.below(end) {
        (end.clone() - from.clone()).called(name)
    } else {
        end.nothing(name, NONE_BUNCHED)
    }
}

struct Swept<N> {
    last_cell: N,
    first_cell: N,
    old: N,
    new: N,
    strays: N,
}

/// What the sweep takes off. It works on the cells that pass it from T_s to T_s + T_w: those
/// that passed pick-up k - k_w cells earlier.
fn swept<N: Arithmetic>(
    timers: &Timers<N>,
    motion: &Motion<N>,
    old_end: &N,
    new_start: &N,
) -> Swept<N> {
    let names = ["old seeds swept off", "new seeds swept off", "stray seeds in the alley"];
    let none = |name| old_end.nothing(name, "the sweep does not reach any");
    let nothing = || Swept {
        last_cell: old_end.clone(),
        first_cell: new_start.clone(),
        old: none(names[0]),
        new: none(names[1]),
        strays: none(names[2]),
    };
    let Some(sweep) = &timers.sweep else { return nothing() };
    let behind = (timers.carry.clone() - sweep.cells_before_release.clone())
        .called("cells from pick-up to the sweep");
    let ends = sweep.start.clone() + sweep.length.clone();
    let from = (motion.cells_at(sweep.start.clone()) - behind.clone()).called("first cell swept");
    let to = (motion.cells_at(ends) - behind).called("last cell swept");
    let mut swept = nothing();
    if from.below(old_end) && from.below(&to) {
        let until = if to.below(old_end) { &to } else { old_end };
        swept.old = (until.clone() - from.clone()).called(names[0]);
        if to.below(old_end) {
            swept.strays = (old_end.clone() - to.clone()).called(names[2]);
        }
        swept.last_cell = from.clone();
    }
    if new_start.below(&to) && from.below(&to) {
        let begin = if from.below(new_start) { new_start } else { &from };
        swept.new = (to.clone() - begin.clone()).called(names[1]);
        if !new_start.below(&from) {
            swept.first_cell = to;
        }
    }
    swept
}

/// Scatter over the plate's phase, which is random against the trip.
///
/// With f = frac(q(t_e) - q(T_c + t_p)) and g1, g2 the fractions of a cell by which the last
/// old seed lies before the nominal edge and the first new one after it, both hang on the same
/// phase: g1 + g2 is f or f + 1, the latter with the share 1 - f. So, with local spacings s1
/// and s2: E g = 1/2, E g² = 1/3, E g1 g2 = f³/6 + (1 + f)(1 - f²)/2 - (1 - f³)/3, and the
/// variances of the edges, of the width s1 g1 + s2 g2 and of the middle (s2 g2 - s1 g1) / 2
/// follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhaseScatter {
    /// Standard deviation of the last seed's place.
    pub last: f64,
    /// Standard deviation of the first seed's place.
    pub first: f64,
    /// Standard deviation of the alley width.
    pub width: f64,
    /// Standard deviation of the middle of the alley.
    pub centre: f64,
}

impl PhaseScatter {
    /// The scatter of a prediction.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::PhaseScatter;
    /// // Fractions alike: the middle scatters by s/sqrt(12), the width not at all.
    /// let scatter = PhaseScatter::of(30.0, 50.0, 1.5, 1.5);
    /// assert!((scatter.centre - 1.5 / 12_f64.sqrt()).abs() < 1e-12);
    /// assert!(scatter.width.abs() < 1e-7);
    /// ```
    #[must_use]
    pub fn of(last_cell: f64, first_cell: f64, spacing_last: f64, spacing_first: f64) -> Self {
        let fraction = (last_cell - first_cell).rem_euclid(1.0);
        // A fraction of a hair below one is the noise of a whole number.
        let f = if fraction > 1.0 - 1e-9 { 0.0 } else { fraction };
        let product = f.powi(3) / 6.0 + (1.0 + f) * (1.0 - f * f) / 2.0 - (1.0 - f.powi(3)) / 3.0;
        let variance = 1.0 / 12.0;
        let covariance = product - 0.25;
        let (a, b) = (spacing_last, spacing_first);
        let squares = (a * a + b * b) * variance;
        let root = |variance: f64| variance.max(0.0).sqrt();
        PhaseScatter {
            last: a * root(variance),
            first: b * root(variance),
            width: root(squares + 2.0 * a * b * covariance),
            centre: root((squares - 2.0 * a * b * covariance) / 4.0),
        }
    }
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
