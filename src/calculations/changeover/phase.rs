//! What the plate's phase does to the edges of the alley. It is random against the trip, so that
//! single alleys differ even with perfect timers.
//!
//! Cells pass pick-up at phase, phase + 1 and so on. Over a stretch of phases in which the same
//! cell is the last of the old lot and the same the first of the new one, both lie on straight
//! lines, and the lines bend only where the plate's rate changes. So a mean over all phases is a
//! sum over a handful of stretches, and exact.

use super::motion::{Motion, Timers};

/// Mean and standard deviation of a place over the plate's phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// The edges of the alley over all phases of the plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phases {
    /// Place of the last seed of the old plot.
    pub last: Spread,
    /// Place of the first seed of the new plot.
    pub first: Spread,
    /// Alley width.
    pub width: Spread,
    /// Middle of the alley.
    pub centre: Spread,
    /// Old seeds behind the sweep.
    pub strays: f64,
    /// Old seeds released under boost, up to the last of the plot.
    pub bunched_at_end: f64,
    /// New seeds released under boost, from the first of the plot on.
    pub bunched_at_start: f64,
}

/// Stretches of phase shorter than this are the noise of whole numbers of cells.
const HAIR: f64 = 1e-9;

impl Phases {
    /// The edges that timers make.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::{Phases, Timers};
    /// let timers = Timers {
    ///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.1,
    ///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
    /// };
    /// // Edges at cells 25 and 50, a whole number of cells apart: the middle scatters by
    /// // s / sqrt(12), the width not at all.
    /// let phases = Phases::of(&timers);
    /// assert!((phases.centre.sd - 2.0 / 12_f64.sqrt()).abs() < 1e-9);
    /// assert!(phases.width.sd < 1e-7);
    /// ```
    #[must_use]
    pub fn of(timers: &Timers<f64>) -> Phases {
        let plate = Plate::of(timers);
        let bends = plate.bends();
        let origin = plate.row(0.5 * (bends[0] + bends[1]));
        let mut sums = Sums::default();
        for pair in bends.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            if to - from > HAIR {
                sums.add(&plate, from, to, &origin);
            }
        }
        sums.result(&origin)
    }
}

/// Where cells of the plate hold what, in cells past pick-up.
struct Plate<'a> {
    timers: &'a Timers<f64>,
    motion: Motion<f64>,
    old_end: f64,
    new_start: f64,
    sweep: Option<(f64, f64)>,
}

/// What one phase puts where.
#[derive(Clone, Copy)]
struct Row {
    last_cell: f64,
    first_cell: f64,
    last: f64,
    first: f64,
    strays: f64,
    bunched_at_end: f64,
    bunched_at_start: f64,
}

impl Plate<'_> {
    fn of(timers: &Timers<f64>) -> Plate<'_> {
        let motion = Motion::of(timers);
        let sweep = timers.sweep.as_ref().map(|sweep| {
            let behind = timers.carry - sweep.cells_before_release;
            let passed = |time: f64| motion.cells_at(time) - behind;
            (passed(sweep.start), passed(sweep.start + sweep.length))
        });
        Plate {
            timers,
            old_end: motion.cells_at(timers.old_seed_gone),
            new_start: motion.cells_at(timers.clean_out + timers.new_seed_at_pick_up),
            sweep: sweep.filter(|(from, to)| from < to),
            motion,
        }
    }

    /// Phases at which another cell becomes an edge, or the rate at its release another one; from
    /// 0 to 1, in order.
    fn bends(&self) -> Vec<f64> {
        let carry = self.timers.carry;
        let (starts, ends) = (self.motion.cells_at_start - carry, self.motion.cells_at_end - carry);
        let (from, to) = self.sweep.unwrap_or_default();
        let mut bends: Vec<f64> = [self.old_end, self.new_start, starts, ends, from, to]
            .into_iter()
            .map(|cells| cells.rem_euclid(1.0))
            .filter(|phase| *phase > HAIR && *phase < 1.0 - HAIR)
            .chain([0.0, 1.0])
            .collect();
        bends.sort_by(f64::total_cmp);
        // Cells a whole number apart differ by noise.
        bends.dedup_by(|next, last| *next - *last < HAIR);
        bends
    }

    fn lands(&self, cell: f64) -> f64 {
        let release = self.motion.time_of(cell + self.timers.carry);
        self.timers.speed * (release + self.timers.fall)
    }

    fn row(&self, phase: f64) -> Row {
        // The first cell at or behind a place, and the last one before it.
        let behind = |cells: f64| phase + (cells - phase).ceil();
        let before = |cells: f64| behind(cells) - 1.0;
        let (mut last, mut first) = (before(self.old_end), behind(self.new_start));
        let mut strays = 0.0;
        if let Some((from, to)) = self.sweep {
            let caught = behind(from);
            // Cells are whole numbers apart, and a half is past all rounding.
            if caught < to && caught < last + 0.5 {
                strays = (last - behind(to) + 1.0).round().max(0.0);
                last = caught - 1.0;
            }
            if first >= from && first < to {
                first = behind(to);
            }
        }
        let (starts, ends) = (
            behind(self.motion.cells_at_start - self.timers.carry),
            before(self.motion.cells_at_end - self.timers.carry),
        );
        let boosts = self.motion.ground < self.motion.boost;
        let count =
            |from: f64, to: f64| if boosts { (to - from + 1.0).round().max(0.0) } else { 0.0 };
        Row {
            last_cell: last,
            first_cell: first,
            last: self.lands(last),
            first: self.lands(first),
            strays,
            bunched_at_end: count(starts, ends.min(last)),
            bunched_at_start: count(starts.max(first), ends),
        }
    }
}

/// Sums over the phases, of places as distances from one row's.
#[derive(Default)]
struct Sums {
    phases: f64,
    last: Moments,
    first: Moments,
    width: Moments,
    centre: Moments,
    strays: f64,
    bunched_at_end: f64,
    bunched_at_start: f64,
}

#[derive(Clone, Copy, Default)]
struct Moments {
    first: f64,
    second: f64,
}

impl Moments {
    /// Adds a line from one place to another. Simpson's rule is exact for its square.
    fn add(&mut self, share: f64, from: f64, to: f64) {
        let middle = f64::midpoint(from, to);
        self.first += share * middle;
        self.second += share * (from * from + 4.0 * middle * middle + to * to) / 6.0;
    }

    fn spread(self, phases: f64, origin: f64) -> Spread {
        let (mean, square) = (self.first / phases, self.second / phases);
        Spread { mean: origin + mean, sd: (square - mean * mean).max(0.0).sqrt() }
    }
}

impl Sums {
    fn add(&mut self, plate: &Plate<'_>, from: f64, to: f64, origin: &Row) {
        let (share, middle) = (to - from, f64::midpoint(from, to));
        let row = plate.row(middle);
        let ends = [from - middle, to - middle].map(|off| {
            let last = plate.lands(row.last_cell + off) - origin.last;
            (last, plate.lands(row.first_cell + off) - origin.first)
        });
        let mut add = |moments: fn(&mut Sums) -> &mut Moments, of: fn((f64, f64)) -> f64| {
            moments(self).add(share, of(ends[0]), of(ends[1]));
        };
        add(|sums| &mut sums.last, |(last, _)| last);
        add(|sums| &mut sums.first, |(_, first)| first);
        add(|sums| &mut sums.width, |(last, first)| first - last);
        add(|sums| &mut sums.centre, |(last, first)| f64::midpoint(last, first));
        self.phases += share;
        self.strays += share * row.strays;
        self.bunched_at_end += share * row.bunched_at_end;
        self.bunched_at_start += share * row.bunched_at_start;
    }

    fn result(self, origin: &Row) -> Phases {
        let (last, first) = (origin.last, origin.first);
        Phases {
            last: self.last.spread(self.phases, last),
            first: self.first.spread(self.phases, first),
            width: self.width.spread(self.phases, first - last),
            centre: self.centre.spread(self.phases, f64::midpoint(last, first)),
            strays: self.strays / self.phases,
            bunched_at_end: self.bunched_at_end / self.phases,
            bunched_at_start: self.bunched_at_start / self.phases,
        }
    }
}
