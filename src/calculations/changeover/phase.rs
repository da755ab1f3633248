//! What the plate's phase does to the edges of the alley. It is random against the trip, so that
//! single alleys differ even with perfect timers.
//!
//! Cells pass pick-up at phase, phase + 1 and so on. Over a stretch of phases in which the same
//! cell is the last of the old lot and the same the first of the new one, both lie on straight
//! lines, and the lines bend only where the plate's rate changes. So a mean over all phases is a
//! sum over a handful of stretches, and exact.

use super::motion::{Boosted, Motion, Schedule, swept_cells};

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
    /// The edges that a schedule makes.
    ///
    /// ```
    /// use alleytrue::calculations::changeover::{Phases, Timers};
    /// let timers = Timers {
    ///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.1,
    ///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
    /// };
    /// // Edges at cells 25 and 50, a whole number of cells apart: the middle scatters by
    /// // s / sqrt(12), the width not at all.
    /// let phases = Phases::of(&timers.schedule());
    /// assert!((phases.centre.sd - 2.0 / 12_f64.sqrt()).abs() < 1e-9);
    /// assert!(phases.width.sd < 1e-7);
    /// ```
    #[must_use]
    pub fn of(schedule: &Schedule<f64>) -> Phases {
        let plate = Plate::of(schedule);
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
    schedule: &'a Schedule<f64>,
    motion: Motion<f64>,
    old_end: f64,
    new_start: f64,
    /// Cells that sweeps take off, in order.
    swept: Vec<(f64, f64)>,
    /// Cells that are released under boost, in order.
    boosted: Vec<(f64, f64)>,
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
    fn of(schedule: &Schedule<f64>) -> Plate<'_> {
        let motion = Motion::of(schedule);
        let at_pick_up = |one: Boosted<f64>| (one.from - schedule.carry, one.to - schedule.carry);
        Plate {
            schedule,
            old_end: motion.cells_at(schedule.old_seed_gone),
            new_start: motion.cells_at(schedule.new_seed_there),
            swept: swept_cells(schedule, &motion),
            boosted: motion.boosted().map(at_pick_up).collect(),
            motion,
        }
    }

    /// Phases at which another cell becomes an edge, or the rate at its release another one; from
    /// 0 to 1, in order.
    fn bends(&self) -> Vec<f64> {
        let stretches = self.swept.iter().chain(&self.boosted);
        let mut bends: Vec<f64> = stretches
            .flat_map(|(from, to)| [*from, *to])
            .chain([self.old_end, self.new_start])
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
        let release = self.motion.time_of(cell + self.schedule.carry);
        self.schedule.speed * (release + self.schedule.fall)
    }

    fn row(&self, phase: f64) -> Row {
        // The first cell at or behind a place, and the last one before it.
        let behind = |cells: f64| phase + (cells - phase).ceil();
        let before = |cells: f64| behind(cells) - 1.0;
        let count = |from: f64, to: f64| (to - from + 1.0).round().max(0.0);
        let (mut last, mut first) = (before(self.old_end), behind(self.new_start));
        let mut strays = 0.0;
        // Cells are whole numbers apart, and a half is past all rounding.
        let caught = self.swept.iter().position(|(from, to)| {
            let caught = behind(*from);
            caught < *to && caught < last + 0.5
        });
        if let Some(place) = caught {
            let from = behind(self.swept[place].0);
            let taken = self.swept[place..].iter();
            let taken = taken.map(|(from, to)| count(behind(*from), before(*to).min(last)));
            strays = count(from, last) - taken.sum::<f64>();
            last = from - 1.0;
        }
        for (from, to) in &self.swept {
            if first >= *from && first < *to {
                first = behind(*to);
            }
        }
        let boosted = |from: f64, to: f64| {
            let of = |(starts, ends): &(f64, f64)| {
                count(behind(*starts).max(from), before(*ends).min(to))
            };
            self.boosted.iter().map(of).sum::<f64>()
        };
        Row {
            last_cell: last,
            first_cell: first,
            last: self.lands(last),
            first: self.lands(first),
            strays,
            bunched_at_end: boosted(f64::NEG_INFINITY, last),
            bunched_at_start: boosted(first, f64::INFINITY),
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
