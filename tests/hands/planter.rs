//! The planter that nobody sees: its throttle, chains, depth settings, marks and seed, and what is
//! timed, dug up and taped behind it.

use std::collections::BTreeMap;

use alleytrue::outcome::ByHand;

use super::dice::Dice;

/// The speed that is wanted, in mph, and what it may miss.
pub const SPEED: f64 = 2.6;
pub const SPEED_TOLERANCE: f64 = 0.02;
/// Seeds of the rows that are held together stand so far apart, in inches.
pub const SEEDS: f64 = 6.0;
/// A row is in phase within so much of a spacing.
pub const IN_PHASE: f64 = 0.1;
/// The depth that is wanted, what it may miss, and what the sheet has for a turn, in inches.
pub const DEPTH: f64 = 4.0;
pub const DEPTH_TOLERANCE: f64 = 0.25;
pub const PER_TURN: f64 = 0.25;
/// The alley that is wanted, and how far its middle may lie off its mark.
pub const ALLEY: f64 = 30.0;
pub const CENTRE_TOLERANCE: f64 = 1.0;
/// Seeds of the trial stand so far apart.
const TRIAL_SEEDS: f64 = 1.5;
const CELLS: f64 = 40.0;

/// What is true.
#[derive(Clone, Debug)]
pub struct Planter {
    /// How fast it drives.
    pub speed: f64,
    /// How far every row is ahead of the first, in spacings, with its chain as at first.
    pub ahead: Vec<f64>,
    /// Teeth of the sprocket on the meter.
    pub teeth: u32,
    /// How deep every row plants with its setting as at first.
    pub depths: Vec<f64>,
    /// How much deeper it plants for a turn in.
    pub per_turn: f64,
    /// The scatter of one seed's depth.
    pub depth_scatter: f64,
    /// How far the marks stand short of their line, seen going out, where they were first.
    pub marks: f64,
    /// The setback that is right for each seed; raising it moves alleys back.
    pub right_setback: [f64; 2],
    pub setback: f64,
    /// Which seed is in it.
    pub seed: usize,
    /// Teeth, turns and inches that hands really have set.
    pub by_hand: BTreeMap<String, f64>,
}

impl Planter {
    /// What hands have set.
    pub fn held(&self, what: ByHand) -> f64 {
        self.by_hand.get(&what.key()).copied().unwrap_or(0.0)
    }

    pub fn set(&mut self, what: ByHand, number: f64) {
        self.by_hand.insert(what.key(), number);
    }

    /// How far a row is ahead, in spacings, to the nearest.
    pub fn phase(&self, row: u32) -> f64 {
        let turned = self.held(ByHand::Chain { row }) * CELLS / f64::from(self.teeth);
        let ahead = self.ahead[row as usize - 1] - turned;
        ahead - ahead.round()
    }

    pub fn depth(&self, row: u32) -> f64 {
        let own = self.held(ByHand::Depth { row: Some(row) });
        let turns = own + self.held(ByHand::Depth { row: None });
        self.depths[row as usize - 1] + self.per_turn * turns
    }

    /// How far the marks still stand short of their line.
    pub fn marks(&self) -> f64 {
        self.marks - self.held(ByHand::Marks)
    }

    /// How far ahead alleys lie in their own travel.
    pub fn shift(&self) -> f64 {
        self.right_setback[self.seed] - self.setback
    }

    /// Seconds over a course of 200 ft.
    pub fn times(&self, count: usize, dice: &mut Dice) -> Vec<f64> {
        let seconds = 200.0 / (self.speed * 88.0 / 60.0);
        (0..count).map(|_| to(0.1, seconds * (1.0 + dice.normal(0.004)))).collect()
    }

    /// Edges of a row ahead of the first row's. The trip comes between two cells anywhere, so that a
    /// row that is a part of a cell ahead is that part less one as often as the part is.
    pub fn edges(&self, row: u32, count: usize, dice: &mut Dice) -> Vec<f64> {
        let phase = self.phase(row);
        let one = |dice: &mut Dice| {
            let other_side = dice.even() < phase.abs();
            let share = if other_side { phase - phase.signum() } else { phase };
            to(0.125, share * SEEDS + dice.normal(0.1))
        };
        (0..count).map(|_| one(dice)).collect()
    }

    /// Depths of a row.
    pub fn dug_up(&self, row: u32, count: usize, dice: &mut Dice) -> Vec<f64> {
        let mean = self.depth(row) + dice.normal(0.03);
        (0..count).map(|_| to(0.125, mean + dice.normal(self.depth_scatter)).max(0.125)).collect()
    }

    /// Last seed to mark and mark to first seed, going out (0) or coming home (1).
    pub fn alleys(&self, way: usize, count: usize, dice: &mut Dice) -> [Vec<f64>; 2] {
        let marks = if way == 0 { self.marks() } else { -self.marks() };
        let centre = self.shift() + marks;
        let mut edge = |sign: f64| {
            let seed = dice.edge(TRIAL_SEEDS) + dice.normal(0.3);
            to(0.25, ALLEY / 2.0 + sign * centre + seed)
        };
        let both: Vec<[f64; 2]> = (0..count).map(|_| [edge(-1.0), edge(1.0)]).collect();
        [0, 1].map(|side| both.iter().map(|alley| alley[side]).collect())
    }
}

/// A reading on the marks of the tape.
fn to(marks: f64, reading: f64) -> f64 {
    (reading / marks).round() * marks
}
