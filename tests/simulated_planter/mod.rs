//! A planter on the bench of the tests: every cell of one row's plate stepped through time, past
//! pick-up, sweep and release, by adding up what the plate turns between one change of its rate
//! and the next. Nothing here knows the closed form that the program uses.

#![allow(dead_code)] // each test program uses its own share of it
#![allow(clippy::expect_used)]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]

pub mod held;

/// Which lot a seed is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lot {
    Old,
    New,
}

/// What a cell did with its seed.
#[derive(Clone, Copy, Debug)]
pub struct Grain {
    pub lot: Lot,
    /// When the cell passed pick-up, the sweep, and release.
    pub picked: f64,
    pub at_sweep: Option<f64>,
    pub released: f64,
    /// Whether the sweep took it off.
    pub swept: bool,
    /// Plate rate at release, cells a second.
    pub rate: f64,
    /// Where it lands or would have landed.
    pub at: f64,
}

/// A sweep: start, length, cells from it to release.
#[derive(Clone, Copy, Debug)]
pub struct Sweep {
    pub start: f64,
    pub length: f64,
    pub cells_before_release: f64,
}

/// The planter, in any consistent units.
#[derive(Clone, Copy, Debug)]
pub struct Planter {
    pub speed: f64,
    pub spacing: f64,
    pub boost: f64,
    pub carry: f64,
    pub clean_out: f64,
    pub run_out: f64,
    pub fill: f64,
    pub old_seed_gone: f64,
    pub new_seed_at_pick_up: f64,
    pub sweep: Option<Sweep>,
    pub fall: f64,
}

/// A window in which the plate's motor is on.
#[derive(Clone, Copy, Debug)]
pub struct Motor {
    pub start: f64,
    pub length: f64,
    pub rate: f64,
}

/// A planter with as many motor windows and sweeps as it may have, in any consistent units.
#[derive(Clone, Debug)]
pub struct Machine {
    pub speed: f64,
    pub spacing: f64,
    pub carry: f64,
    pub old_seed_gone: f64,
    pub new_seed_there: f64,
    pub motors: Vec<Motor>,
    pub sweeps: Vec<Sweep>,
    pub fall: f64,
}

impl Machine {
    pub fn ground_rate(&self) -> f64 {
        self.speed / self.spacing
    }

    /// How fast the plate turns from this moment on, and until when. The fastest of the drives that
    /// are on turns it.
    fn turning(&self, time: f64) -> (f64, f64) {
        let ground = self.ground_rate();
        let mut until = f64::INFINITY;
        let mut rate = ground;
        for motor in &self.motors {
            let off = motor.start + motor.length;
            if time < motor.start {
                until = until.min(motor.start);
            } else if time < off {
                until = until.min(off);
                rate = rate.max(motor.rate);
            }
        }
        (rate, until)
    }

    pub fn rate(&self, time: f64) -> f64 {
        self.turning(time).0
    }

    /// When the plate has turned so many cells further.
    pub fn after(&self, mut time: f64, mut cells: f64) -> f64 {
        loop {
            let (rate, until) = self.turning(time);
            let turned = rate * (until - time);
            if turned >= cells {
                return time + cells / rate;
            }
            cells -= turned;
            time = until;
        }
    }

    /// What lies at pick-up: where both lots do, a cell takes the one or the other in turn.
    fn lot(&self, time: f64, turn: bool) -> Option<Lot> {
        match (time < self.old_seed_gone, time >= self.new_seed_there) {
            (true, true) => Some(if turn { Lot::Old } else { Lot::New }),
            (true, false) => Some(Lot::Old),
            (false, true) => Some(Lot::New),
            (false, false) => None,
        }
    }

    /// The grains from `before` cells ahead of the trip until `after` of the new lot were picked
    /// up. At the trip the plate has `phase` of a cell to go until a cell is at pick-up.
    pub fn plant(&self, phase: f64, before: u32, after: u32) -> Vec<Grain> {
        let mut grains = Vec::new();
        let mut picked = -(f64::from(before) - phase) / self.ground_rate();
        let (mut new, mut turn) = (0, false);
        while new < after {
            turn = !turn;
            if let Some(lot) = self.lot(picked, turn) {
                let at =
                    |sweep: &Sweep| self.after(picked, self.carry - sweep.cells_before_release);
                let taken = |sweep: &Sweep| {
                    let time = at(sweep);
                    time >= sweep.start && time < sweep.start + sweep.length
                };
                let released = self.after(picked, self.carry);
                grains.push(Grain {
                    lot,
                    picked,
                    at_sweep: self.sweeps.first().map(at),
                    released,
                    swept: self.sweeps.iter().any(taken),
                    rate: self.rate(released),
                    at: self.speed * (released + self.fall),
                });
                new += u32::from(lot == Lot::New);
            }
            picked = self.after(picked, 1.0);
        }
        grains
    }

    /// Enough cells before the trip for every one that could still be swept.
    pub fn early(&self) -> u32 {
        self.carry.ceil() as u32 + 5
    }

    /// Enough new seeds for every one that a motor or a sweep could still touch.
    pub fn late(&self) -> u32 {
        let motors = self.motors.iter().map(|motor| motor.start + motor.length);
        let sweeps = self.sweeps.iter().map(|sweep| sweep.start + sweep.length);
        let over = motors.chain(sweeps).fold(0.0, f64::max);
        let mut time = self.new_seed_there;
        let mut cells = 5;
        while time < over {
            time = self.after(time, 1.0);
            cells += 1;
        }
        cells
    }
}

impl Planter {
    /// The same with its one motor window and its one sweep in lists.
    pub fn machine(&self) -> Machine {
        let on = self.clean_out + self.run_out;
        Machine {
            speed: self.speed,
            spacing: self.spacing,
            carry: self.carry,
            old_seed_gone: self.old_seed_gone,
            new_seed_there: self.new_seed_arrives(),
            motors: vec![Motor { start: on, length: self.fill, rate: self.boost }],
            sweeps: self.sweep.into_iter().collect(),
            fall: self.fall,
        }
    }

    pub fn ground_rate(&self) -> f64 {
        self.speed / self.spacing
    }

    pub fn rate(&self, time: f64) -> f64 {
        self.machine().rate(time)
    }

    /// When the plate has turned so many cells further.
    pub fn after(&self, time: f64, cells: f64) -> f64 {
        self.machine().after(time, cells)
    }

    pub fn new_seed_arrives(&self) -> f64 {
        self.clean_out + self.new_seed_at_pick_up
    }

    /// The grains of its machine.
    pub fn plant(&self, phase: f64, before: u32, after: u32) -> Vec<Grain> {
        self.machine().plant(phase, before, after)
    }

    /// Enough cells before the trip for every one that could still be swept.
    pub fn early(&self) -> u32 {
        self.machine().early()
    }
}

/// The last seed of the old plot: before the first that was swept, where one was.
pub fn last_old(grains: &[Grain]) -> Option<&Grain> {
    let old = || grains.iter().filter(|grain| grain.lot == Lot::Old);
    let swept = old().find(|grain| grain.swept).map_or(f64::INFINITY, |grain| grain.picked);
    old().rfind(|grain| grain.picked < swept)
}

/// The first seed of the new lot on the ground.
pub fn first_new(grains: &[Grain]) -> Option<&Grain> {
    grains.iter().find(|grain| grain.lot == Lot::New && !grain.swept)
}

/// Old seeds on the ground behind the last one of the plot.
pub fn strays(grains: &[Grain]) -> usize {
    let last = last_old(grains).map_or(f64::NEG_INFINITY, |grain| grain.picked);
    let behind = |grain: &&Grain| grain.lot == Lot::Old && !grain.swept && grain.picked > last;
    grains.iter().filter(behind).count()
}

/// Phases spread evenly over one cell.
pub fn phases(count: u32) -> impl Iterator<Item = f64> + Clone {
    (0..count).map(move |index| (f64::from(index) + 0.5) / f64::from(count))
}

/// Mean and standard deviation.
pub fn moments(numbers: &[f64]) -> (f64, f64) {
    let count = numbers.len() as f64;
    let mean = numbers.iter().sum::<f64>() / count;
    let variance = numbers.iter().map(|number| (number - mean).powi(2)).sum::<f64>() / count;
    (mean, variance.sqrt())
}
