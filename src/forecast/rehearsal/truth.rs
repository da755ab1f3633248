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
    /// Cells, of one, that the plate turns on from the last seed of a plot to the first of the next.
    pub(super) turned: f64,
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
const PHASE: u32 = 5;
const DEPTHS: u32 = 8;
/// Parts of a cell that the plate may have turned on by.
const TURNS: u32 = 64;

impl Truth {
    pub(super) fn draw(known: &Known, seed: u64, trial: u64) -> Truth {
        let dice = |number| Dice::unknown(seed, trial, number);
        let mut centre = Of::draw(&known.centre, &mut dice(CENTRE));
        let mut width = Of::draw(&known.width, &mut dice(WIDTH));
        // What the seeds make of a middle and of a width is drawn edge by edge, and not here again.
        let turned = turned(known, [centre.sd, width.sd], &mut dice(PHASE));
        let of_seeds = jitter(known, turned);
        for (of, jitter) in [&mut centre, &mut width].into_iter().zip(of_seeds) {
            of.sd = (of.sd * of.sd - jitter).max(0.0).sqrt();
        }
        let shared =
            |one: Option<Shared>, number| one.map_or(0.0, |one| one.draw(&mut dice(number)));
        let depth = |(number, part): (u32, &Part)| Of::draw(part, &mut dice(DEPTHS + number));
        let (empty, double) = known.stand.map_or((0.0, 0.0), |stand| {
            let mut dice = dice(STAND);
            let [positions, empty, double] = stand.positions.map(f64::from);
            (share(empty, positions, &mut dice), share(double, positions, &mut dice))
        });
        Truth {
            trip: Of::draw(&known.trip, &mut dice(TRIP)),
            centre,
            marks: shared(known.marks, MARKS),
            width,
            turned,
            depths: (0..).zip(&known.depths).map(depth).collect(),
            empty,
            double,
        }
    }
}

/// How far the plate has turned on, in cells, between the phase that ends a plot and the one that starts
/// the next: one number for all alleys, which nobody knows. Of all that are possible those are drawn
/// from which scatter middles and widths by no more than they scatter in all; where there is none, from
/// all.
fn turned(known: &Known, sds: [f64; 2], dice: &mut Dice) -> f64 {
    let start = dice.even();
    let all: Vec<f64> =
        (0..TURNS).map(|turn| (f64::from(turn) + start) / f64::from(TURNS)).collect();
    let fits = |turned: &f64| {
        jitter(known, *turned).iter().zip(sds).all(|(square, sd)| *square <= sd * sd)
    };
    let fitting: Vec<f64> = all.iter().copied().filter(fits).collect();
    let of = if fitting.is_empty() { &all } else { &fitting };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let place = (dice.even() * of.len() as f64) as usize;
    of.get(place).copied().unwrap_or(0.0)
}

/// What the phase of the plate makes of the variance of a middle, and of a width.
///
/// An edge of a row lies evenly over a spacing s, at s (frac(u + phase) - 1/2), and the first seed's u
/// is that of the last one turned on by so many cells; the plot's edge is the mean over its rows. With V
/// the variance of an edge and K the covariance of both, a middle has (V + K) / 2 and a width 2 (V - K).
fn jitter(known: &Known, turned: f64) -> [f64; 2] {
    let square = known.spacing.powi(2);
    let (edge, both) = (evenly(&known.phases, 0.0), evenly(&known.phases, turned));
    [square * (edge + both) / 2.0, square * 2.0 * (edge - both)]
}

/// The covariance of two means over the rows of a plot, one turned on by so many cells, over a spacing
/// squared: frac(u) and frac(u + d) have (1 - 6 d (1 - d)) / 12, the integral of both over u; 1/12 for d
/// = 0.
fn evenly(phases: &[f64], turned: f64) -> f64 {
    let pairs =
        || phases.iter().flat_map(|one| phases.iter().map(move |other| one + turned - other));
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
    fn draw(part: &Part, dice: &mut Dice) -> Of {
        let of_scatter = part.scatter.map_or(1.0, |scatter| stretch(scatter.degrees, dice));
        let sd = part.scatter.map_or(0.0, |scatter| scatter.sd * of_scatter);
        let shared = part.shared.map_or(0.0, |shared| {
            let of_mean = if part.of_one { of_scatter } else { stretch(shared.degrees, dice) };
            shared.at(of_mean, dice)
        });
        Of { shared, sd }
    }
}

/// A share of which so many of so many were counted: Beta(counted + 1/2, rest + 1/2), which is what a
/// count leaves open (Jeffreys 1946, Proc. R. Soc. A 186:453-461).
fn share(counted: f64, of: f64, dice: &mut Dice) -> f64 {
    Beta::new(counted + 0.5, (of - counted).max(0.0) + 0.5).map_or(0.0, |law| dice.by(&law))
}
