//! The planter that nobody sees: what is true of it, what it holds, and what a tape finds behind it.

use super::dice::Dice;

/// Plot and alley: one trip spacing, in inches.
pub const SPACING: f64 = 240.0;
/// The alley that is wanted.
pub const ALLEY: f64 = 30.0;
/// What is good enough for everything: an inch.
pub const TOLERANCE: f64 = 1.0;
/// Seeds stand so far apart.
pub const SEEDS: f64 = 1.5;

/// A setting of the controller.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Setting {
    TripScale,
    Setback,
    PassOffset,
}

pub const SETTINGS: [Setting; 3] = [Setting::TripScale, Setting::Setback, Setting::PassOffset];

impl Setting {
    pub fn key(self) -> &'static str {
        match self {
            Setting::TripScale => "trip-scale",
            Setting::Setback => "setback",
            Setting::PassOffset => "pass-offset",
        }
    }

    /// The calculation that judges it.
    pub fn calculation(self) -> &'static str {
        match self {
            Setting::TripScale => "trip",
            Setting::Setback => "alley",
            Setting::PassOffset => "passes",
        }
    }
}

/// How a setting moves alleys along the travel.
#[derive(Clone, Copy, Debug)]
pub struct Moves {
    /// Where it is right.
    pub right: f64,
    /// Whether raising it moves alleys back.
    pub raising_moves_back: bool,
    /// Inches of ground to one inch of the number.
    pub size: f64,
    /// Whether it acts on passes out, and on passes home.
    pub acts_on: [bool; 2],
}

impl Moves {
    /// How far ahead passes out and passes home lie where it holds a number.
    fn ahead(&self, held: f64) -> [f64; 2] {
        let back = if self.raising_moves_back { 1.0 } else { -1.0 };
        let ahead = back * self.size * (self.right - held);
        self.acts_on.map(|acts| if acts { ahead } else { 0.0 })
    }
}

/// What is true of a planter and its field.
#[derive(Clone, Debug)]
pub struct Planter {
    /// Whether the trip scale counts per length; else it is length per count.
    pub counts_per_length: bool,
    pub right_scale: f64,
    pub setback: Moves,
    pub offset: Moves,
    /// What the controller holds.
    pub held: [f64; 3],
    /// How far the marks stand short of their line, seen going out.
    pub marks: f64,
    /// The scatter of a readout, and of a tape at an edge besides the phase of the plate.
    pub hand: f64,
    /// What sets days apart: its standard deviation in trips and in shifts.
    pub days: f64,
    /// How far ahead another seed lies, and the day on which it is planted.
    pub other_seed: Option<(f64, usize)>,
}

/// A day on the test range.
#[derive(Clone, Debug)]
pub struct Day {
    trip: f64,
    shift: f64,
}

impl Planter {
    pub fn held(&self, setting: Setting) -> f64 {
        self.held[setting as usize]
    }

    pub fn key_in(&mut self, setting: Setting, number: f64) {
        self.held[setting as usize] = number;
    }

    pub fn day(&self, number: usize, dice: &mut Dice) -> Day {
        let seed =
            self.other_seed.filter(|(_, day)| *day == number).map_or(0.0, |(ahead, _)| ahead);
        let (trip, shift) = (dice.normal(self.days), dice.normal(self.days) + seed);
        Day { trip, shift }
    }

    /// The controller's length over the true one.
    fn believed(&self) -> f64 {
        let (held, right) = (self.held(Setting::TripScale), self.right_scale);
        if self.counts_per_length { right / held } else { held / right }
    }

    /// How much too long one trip spacing comes out.
    pub fn error_per_plot(&self) -> f64 {
        SPACING / self.believed() - SPACING
    }

    /// How far ahead alleys lie on passes out and home, on an average day. Trips are counted from
    /// the mark behind, so that one of them goes into every alley.
    pub fn ahead(&self) -> [f64; 2] {
        let by_setback = self.setback.ahead(self.held(Setting::Setback));
        let by_offset = self.offset.ahead(self.held(Setting::PassOffset));
        [0, 1].map(|way| by_setback[way] + by_offset[way] + self.error_per_plot())
    }

    /// How far ahead alleys lie in their own travel, both headings together.
    pub fn shift(&self) -> f64 {
        let [out, home] = self.ahead();
        (out + home) / 2.0
    }

    /// The error that a setting answers for.
    pub fn error(&self, setting: Setting) -> f64 {
        match setting {
            Setting::TripScale => self.error_per_plot(),
            Setting::Setback | Setting::PassOffset => self.shift(),
        }
    }

    /// What the controller reads between marks.
    pub fn readouts(&self, day: &Day, count: usize, dice: &mut Dice) -> Vec<f64> {
        let mean = SPACING * SPACING / (SPACING + self.error_per_plot() + day.trip);
        (0..count).map(|_| to(0.1, mean + dice.normal(self.hand))).collect()
    }

    /// Last seed to mark and mark to first seed, going out (0) or coming home (1).
    pub fn alleys(&self, day: &Day, way: usize, count: usize, dice: &mut Dice) -> [Vec<f64>; 2] {
        let marks = if way == 0 { self.marks } else { -self.marks };
        let centre = self.ahead()[way] + day.shift + marks;
        let mut edge = |sign: f64| {
            let seed = dice.edge(SEEDS) + dice.normal(self.hand);
            to(0.25, ALLEY / 2.0 + sign * centre + seed)
        };
        let both: Vec<[f64; 2]> = (0..count).map(|_| [edge(-1.0), edge(1.0)]).collect();
        [0, 1].map(|side| both.iter().map(|alley| alley[side]).collect())
    }

    /// How far alleys lie ahead of their neighbours'.
    pub fn leads(&self, day: &Day, count: usize, dice: &mut Dice) -> Vec<f64> {
        let [out, home] = self.ahead();
        let mean = out + home + 2.0 * day.shift;
        // The middles of two alleys are four edges, each counted half.
        let mut edges = || (0..4).map(|_| dice.edge(SEEDS) / 2.0).sum::<f64>();
        let edges: Vec<f64> = (0..count).map(|_| edges()).collect();
        edges.iter().map(|edges| to(0.25, mean + edges + dice.normal(self.hand))).collect()
    }
}

/// A reading on the marks of the tape.
fn to(marks: f64, reading: f64) -> f64 {
    (reading / marks).round() * marks
}
