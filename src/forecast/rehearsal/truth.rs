//! One planter out of all that the readings leave open: every error that the plots of a trial share, and
//! every scatter, drawn once a trial.

use rand_distr::{Beta, ChiSquared};

use super::dice::Dice;
use super::known::{Known, Part, Shared};

/// An error and its scatter, as they are in one trial.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Of {
    pub(super) shared: f64,
    pub(super) sd: f64,
}

/// What is true in one trial.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Truth {
    pub(super) trip: Of,
    pub(super) centre: Of,
    pub(super) marks: f64,
    pub(super) width: Of,
    pub(super) depths: Vec<Of>,
    /// Shares of positions that are empty, and that hold two seeds.
    pub(super) empty: f64,
    pub(super) double: f64,
}

/// The places of the unknowns in their stream. They are given once and for all: another order would give
/// other trials for the same seed.
const TRIP: u32 = 0;
const CENTRE: u32 = 1;
const MARKS: u32 = 2;
const WIDTH: u32 = 3;
const STAND: u32 = 4;
const DEPTHS: u32 = 8;

impl Truth {
    pub(super) fn draw(known: &Known, seed: u64, trial: u64) -> Truth {
        let dice = |number| Dice::unknown(seed, trial, number);
        let jitter = known.spacing.powi(2) * evenly(&known.phases);
        // What the seeds make of a middle and of a width is drawn edge by edge, and not here again.
        let centre = Of::draw(&known.centre, jitter / 2.0, &mut dice(CENTRE));
        let width = Of::draw(&known.width, jitter * 2.0, &mut dice(WIDTH));
        let shared =
            |one: Option<Shared>, number| one.map_or(0.0, |one| one.draw(&mut dice(number)));
        let depth = |(number, part): (u32, &Part)| Of::draw(part, 0.0, &mut dice(DEPTHS + number));
        let (empty, double) = known.stand.map_or((0.0, 0.0), |stand| {
            let mut dice = dice(STAND);
            let [positions, empty, double] = stand.positions.map(f64::from);
            (share(empty, positions, &mut dice), share(double, positions, &mut dice))
        });
        Truth {
            trip: Of::draw(&known.trip, 0.0, &mut dice(TRIP)),
            centre,
            marks: shared(known.marks, MARKS),
            width,
            depths: (0..).zip(&known.depths).map(depth).collect(),
            empty,
            double,
        }
    }
}

/// The variance of a plot's edge by the phases of its rows, over that of a spacing squared.
///
/// The edge of a row lies evenly over a spacing, at frac(u + phase) - 1/2; the plot's edge is the mean
/// over its rows. Rows apart by a share d of a spacing have the covariance (1 - 6 d (1 - d)) / 12, which
/// is 1/12 for rows in phase (d = 0): the integral of both over u.
pub(super) fn evenly(phases: &[f64]) -> f64 {
    let pairs = || phases.iter().flat_map(|one| phases.iter().map(move |other| one - other));
    let covariance = |apart: f64| {
        let apart = apart - apart.floor();
        (1.0 - 6.0 * apart * (1.0 - apart)) / 12.0
    };
    #[allow(clippy::cast_precision_loss)] // a few rows
    let count = phases.len() as f64;
    if phases.is_empty() { 0.0 } else { pairs().map(covariance).sum::<f64>() / (count * count) }
}

/// sqrt(df / chi-square(df)): what the true standard deviation is of the one that was seen.
fn stretch(degrees: u32, dice: &mut Dice) -> f64 {
    let degrees = f64::from(degrees.max(1));
    ChiSquared::new(degrees).map_or(1.0, |law| (degrees / dice.by(&law)).sqrt())
}

impl Shared {
    /// Student's t around the estimate: normal, stretched by what its standard error may really be; and
    /// the day of the trial.
    fn draw(&self, dice: &mut Dice) -> f64 {
        let stretch = stretch(self.degrees, dice);
        self.at(stretch, dice)
    }

    fn at(&self, stretch: f64, dice: &mut Dice) -> f64 {
        let (of_mean, of_day) = (dice.normal(), dice.normal());
        self.estimate + self.standard_error * stretch * of_mean + self.between * of_day
    }
}

impl Of {
    /// The variance that is drawn elsewhere is taken out of the scatter.
    fn draw(part: &Part, elsewhere: f64, dice: &mut Dice) -> Of {
        let of_scatter = part.scatter.map_or(1.0, |scatter| stretch(scatter.degrees, dice));
        let sd = part.scatter.map_or(0.0, |scatter| scatter.sd * of_scatter);
        let shared = part.shared.map_or(0.0, |shared| {
            let of_mean = if part.of_one { of_scatter } else { stretch(shared.degrees, dice) };
            shared.at(of_mean, dice)
        });
        Of { shared, sd: (sd * sd - elsewhere).max(0.0).sqrt() }
    }
}

/// A share of which so many of so many were counted: Beta(counted + 1/2, rest + 1/2), which is what a
/// count leaves open (Jeffreys 1946, Proc. R. Soc. A 186:453-461).
fn share(counted: f64, of: f64, dice: &mut Dice) -> f64 {
    Beta::new(counted + 0.5, (of - counted).max(0.0) + 0.5).map_or(0.0, |law| dice.by(&law))
}
