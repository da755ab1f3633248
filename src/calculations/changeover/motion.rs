//! The plate's motion during a changeover, and where it puts the seeds. Closed form.
//!
//! Time 0 is the trip. The plate turns at ground rate but where its motor turns it faster, in as
//! many windows as there are boosts. So its travel is straight from one change of rate to the next:
//!
//! ```text
//! q(t) = r_g t                       up to the first change
//!      = q(t_i) + r_i (t - t_i)      from the change at t_i up to the next one
//! ```
//!
//! where r_i is the rate of the fastest drive that is on: of the ground drive, and of the motor in
//! each window that t_i is in. q counts cells past pick-up. The cell that passes pick-up at time t
//! releases its seed at q⁻¹(q(t) + k) and passes a sweep at q⁻¹(q(t) + k - k_w). Cells that pass
//! pick-up before t_e hold the old lot, from t_n on the new one, between them nothing. A seed
//! released at t lands at v (t + t_fall), measured along the travel from where the release point was
//! at the trip.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | v, s | ground speed, seed spacing | length/s, length |
//! | r_g = v / s | ground-drive rate | cells/s |
//! | T_b, T_f, r_b | of each boost: start, for how long, rate; never below r_g | s, s, cells/s |
//! | t_e, t_n | when the old seed is gone from pick-up, when new seed is there | s |
//! | k, k_w | carry; cells from a sweep to release | cells |
//! | T_s, T_w | of each sweep: start, and for how long | s |
//!
//! The model is the project's own; common practice, no source, for the practice it encodes.

use std::borrow::Cow;

use crate::outcome::{Fate, Seed};
use crate::working::Arithmetic;

/// A changeover by the clock: what happens when, and at which rates.
#[derive(Clone, Debug)]
pub struct Schedule<N> {
    /// v: ground speed.
    pub speed: N,
    /// s: seed spacing under ground drive.
    pub spacing: N,
    /// k: cells from pick-up to release.
    pub carry: N,
    /// t_e: when the old seed is gone from pick-up.
    pub old_seed_gone: N,
    /// t_n: when new seed is at pick-up.
    pub new_seed_there: N,
    /// The windows in which the motor turns the plate.
    pub boosts: Vec<Turning<N>>,
    /// The windows in which strays are knocked off.
    pub sweeps: Vec<Sweep<N>>,
    /// t_fall: from release to the ground.
    pub fall: N,
}

/// A window in which the motor turns the plate.
#[derive(Clone, Debug)]
pub struct Turning<N> {
    /// What it is called in the working.
    pub name: Cow<'static, str>,
    /// T_b: when it starts.
    pub start: N,
    /// T_f: for how long.
    pub length: N,
    /// r_b: cells per second, as set; the plate never turns slower than the ground drive turns it.
    pub rate: N,
}

/// A sweep that knocks stray seeds off the plate.
#[derive(Clone, Debug)]
pub struct Sweep<N> {
    /// T_s: when it starts.
    pub start: N,
    /// T_w: for how long.
    pub length: N,
    /// k_w: cells from the sweep to release.
    pub cells_before_release: N,
}

/// The same changeover as plain numbers.
#[must_use]
pub fn numbers<N: Arithmetic>(schedule: &Schedule<N>) -> Schedule<f64> {
    let turning = |boost: &Turning<N>| Turning {
        name: boost.name.clone(),
        start: boost.start.number(),
        length: boost.length.number(),
        rate: boost.rate.number(),
    };
    let sweep = |sweep: &Sweep<N>| Sweep {
        start: sweep.start.number(),
        length: sweep.length.number(),
        cells_before_release: sweep.cells_before_release.number(),
    };
    Schedule {
        speed: schedule.speed.number(),
        spacing: schedule.spacing.number(),
        carry: schedule.carry.number(),
        old_seed_gone: schedule.old_seed_gone.number(),
        new_seed_there: schedule.new_seed_there.number(),
        boosts: schedule.boosts.iter().map(turning).collect(),
        sweeps: schedule.sweeps.iter().map(sweep).collect(),
        fall: schedule.fall.number(),
    }
}

/// The plate's motion.
#[derive(Clone, Debug)]
pub struct Motion<N> {
    /// r_g.
    pub ground: N,
    /// Where its rate changes, in order; at the last it is back at ground rate.
    pub changes: Vec<RateChange<N>>,
}

/// A change of the plate's rate.
#[derive(Clone, Debug)]
pub struct RateChange<N> {
    /// t_i: when.
    pub at: N,
    /// q(t_i).
    pub cells: N,
    /// The rate from then on.
    pub rate: N,
    /// The boost that makes it; `None` under ground drive.
    pub boost: Option<usize>,
}

/// Cells that are released while the plate turns faster than the ground drive turns it.
#[derive(Clone, Debug)]
pub struct Boosted<N> {
    /// q where it starts.
    pub from: N,
    /// q where it ends.
    pub to: N,
    /// The rate.
    pub rate: N,
    /// Which boost it is.
    pub boost: usize,
}

impl<N: Arithmetic> Motion<N> {
    /// The motion that a schedule makes.
    #[must_use]
    pub fn of(schedule: &Schedule<N>) -> Motion<N> {
        let ground =
            (schedule.speed.clone() / schedule.spacing.clone()).called("ground-drive rate");
        let windows: Vec<Window<N>> = schedule
            .boosts
            .iter()
            .enumerate()
            .filter(|(_, boost)| ground.below(&boost.rate) && boost.length.number() > 0.0)
            .map(|(place, boost)| Window {
                place,
                boost,
                end: (boost.start.clone() + boost.length.clone())
                    .called_of(&[&boost.name, " ends"]),
            })
            .collect();
        let mut changes: Vec<RateChange<N>> = vec![];
        for (at, _) in moments(&windows) {
            let on = windows.iter().filter(|window| window.is_on(at.number()));
            let fastest =
                on.reduce(
                    |best, next| {
                        if best.boost.rate.below(&next.boost.rate) { next } else { best }
                    },
                );
            let boost = fastest.map(|window| window.place);
            if changes.last().map_or(boost.is_none(), |last| last.boost == boost) {
                continue;
            }
            let cells = next_cells(&windows, &ground, changes.last(), &at);
            let rate = fastest.map_or(&ground, |window| &window.boost.rate).clone();
            let name = |place: usize| schedule.boosts[place].name.as_ref();
            let cells = match (boost, changes.last().and_then(|last| last.boost)) {
                (Some(starts), _) => {
                    cells.called_of(&["cells past pick-up when ", name(starts), " starts"])
                }
                (None, Some(ends)) => {
                    cells.called_of(&["cells past pick-up when ", name(ends), " ends"])
                }
                (None, None) => cells,
            };
            changes.push(RateChange { at, cells, rate, boost });
        }
        Motion { ground, changes }
    }

    /// q: cells past pick-up at a time.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::{Motion, Timers};
    /// let timers = Timers {
    ///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 16.0, clean_out: 1.5, run_out: 0.5,
    ///     fill: 0.4, old_seed_gone: 0.9, new_seed_at_pick_up: 0.2, sweep: None, fall: 0.25,
    /// };
    /// let motion = Motion::of(&timers.schedule());
    /// assert_eq!(motion.cells_at(1.0), 25.0); // 25 cells/s under ground drive
    /// assert!((motion.cells_at(2.2) - 60.0).abs() < 1e-12); // 50 + 50 x 0.2 under boost
    /// assert!((motion.time_of(60.0) - 2.2).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn cells_at(&self, time: N) -> N {
        match self.changes.iter().rfind(|change| change.at.below(&time)) {
            Some(change) => change.cells.clone() + change.rate.clone() * (time - change.at.clone()),
            None => self.ground.clone() * time,
        }
    }

    /// q⁻¹: when so many cells have passed pick-up.
    #[must_use]
    pub fn time_of(&self, cells: N) -> N {
        match self.changes.iter().rfind(|change| change.cells.below(&cells)) {
            Some(change) => {
                change.at.clone() + (cells - change.cells.clone()) / change.rate.clone()
            }
            None => cells / self.ground.clone(),
        }
    }

    /// Cells that the boosts turn beyond those of the ground drive: each (r_b - r_g) for as long as it
    /// is the fastest.
    pub fn gained(&self) -> Option<N> {
        let of = |pair: &[RateChange<N>]| {
            pair[0].boost?;
            let faster = pair[0].rate.clone() - self.ground.clone();
            Some(faster * (pair[1].at.clone() - pair[0].at.clone()))
        };
        self.changes.windows(2).filter_map(of).reduce(|sum, next| sum + next)
    }

    /// The stretches of the plate that are released under boost, in order.
    pub fn boosted(&self) -> impl Iterator<Item = Boosted<N>> + '_ {
        self.changes.windows(2).filter_map(|pair| {
            Some(Boosted {
                from: pair[0].cells.clone(),
                to: pair[1].cells.clone(),
                rate: pair[0].rate.clone(),
                boost: pair[0].boost?,
            })
        })
    }
}

/// A boost that turns the plate faster, with its end.
struct Window<'a, N> {
    place: usize,
    boost: &'a Turning<N>,
    end: N,
}

impl<N: Arithmetic> Window<'_, N> {
    /// Whether it turns the plate from this moment on.
    fn is_on(&self, time: f64) -> bool {
        self.boost.start.number() <= time && time < self.end.number()
    }
}

/// When windows start and end, in order; the number once more, which they are in order of.
fn moments<N: Arithmetic>(windows: &[Window<'_, N>]) -> Vec<(N, f64)> {
    let both = |window: &Window<'_, N>| [window.boost.start.clone(), window.end.clone()];
    let mut all: Vec<(N, f64)> = windows
        .iter()
        .flat_map(both)
        .map(|moment| {
            let number = moment.number();
            (moment, number)
        })
        .collect();
    all.sort_by(|one, other| one.1.total_cmp(&other.1));
    all.dedup_by(|next, last| next.1 <= last.1);
    all
}

/// q at the next change of rate.
fn next_cells<N: Arithmetic>(
    windows: &[Window<'_, N>],
    ground: &N,
    last: Option<&RateChange<N>>,
    at: &N,
) -> N {
    let Some(last) = last else { return ground.clone() * at.clone() };
    // A window that is turned through from end to end takes as long as it was set to.
    let whole = windows.iter().find(|window| {
        Some(window.place) == last.boost
            && window.boost.start.number() == last.at.number()
            && window.end.number() == at.number()
    });
    let time =
        whole.map_or_else(|| at.clone() - last.at.clone(), |window| window.boost.length.clone());
    last.cells.clone() + last.rate.clone() * time
}

/// Share of a cell that is the noise of arithmetic and of putting timers on a step: an edge may
/// lie right where the boost starts or ends.
pub(super) const HAIR: f64 = 1e-6;

/// The cells that sweeps take off, in cells past pick-up, in order and apart from each other.
pub(super) fn swept_cells<N: Arithmetic>(
    schedule: &Schedule<N>,
    motion: &Motion<N>,
) -> Vec<(N, N)> {
    let of = |sweep: &Sweep<N>| {
        let behind = (schedule.carry.clone() - sweep.cells_before_release.clone())
            .called("cells from pick-up to the sweep");
        let ends = sweep.start.clone() + sweep.length.clone();
        let from =
            (motion.cells_at(sweep.start.clone()) - behind.clone()).called("first cell swept");
        let to = (motion.cells_at(ends) - behind).called("last cell swept");
        (from, to)
    };
    let mut all: Vec<(N, N)> =
        schedule.sweeps.iter().map(of).filter(|(from, to)| from.below(to)).collect();
    all.sort_by(|one, other| one.0.number().total_cmp(&other.0.number()));
    let mut apart: Vec<(N, N)> = vec![];
    for (from, to) in all {
        match apart.last_mut() {
            Some(last) if !last.1.below(&from) => {
                if last.1.below(&to) {
                    last.1 = to;
                }
            }
            _ => apart.push((from, to)),
        }
    }
    apart
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
/// let seeds = strip(&timers.schedule(), 0.5, 5, 5);
/// assert_eq!(seeds.iter().filter(|seed| seed.fate == Fate::Old).count(), 5);
/// ```
#[must_use]
#[allow(clippy::cast_precision_loss)] // a few hundred cells
pub fn strip(schedule: &Schedule<f64>, phase: f64, before: u32, after: u32) -> Vec<Seed> {
    let motion = Motion::of(schedule);
    let boosted: Vec<Boosted<f64>> = motion.boosted().collect();
    let old_end = motion.cells_at(schedule.old_seed_gone);
    let new_start = motion.cells_at(schedule.new_seed_there);
    let sweeps = swept_cells(schedule, &motion);
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
            let release = cell + schedule.carry;
            let swept = sweeps.iter().any(|(from, to)| cell >= *from && cell < *to);
            Some(Seed {
                at: schedule.speed * (motion.time_of(release) + schedule.fall),
                fate: if swept { Fate::Swept } else { lot },
                boosted: boosted.iter().any(|one| release > one.from && release < one.to),
            })
        })
        .collect()
}
