//! Ending a run as soon as its readings decide: by the looks of `guide` the interval that is
//! reported holds the truth as often as it claims, and by looking after every reading it does not.
//!
//! `LOOKS=2000 cargo test --release --test looks -- --nocapture` measures so many runs of each kind
//! and prints what became of them; an everyday run measures fewer.

#![allow(clippy::expect_used, clippy::cast_precision_loss)] // helpers of tests

mod dice;

use alleytrue::calculations::Common;
use alleytrue::calculations::trip::{self, Evidence, ScaleKind, TripRun};
use alleytrue::forecast::looks::{self, Looks};
use alleytrue::outcome::Decision;
use alleytrue::outcome::setting::ScaleSetting;
use alleytrue::quantity::{Decimal, Length};
use alleytrue::working::Units;
use dice::Dice;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// The length from mark to mark, in inches.
const MARKS: f64 = 240.0;
/// The tolerance of one plot, in inches.
const TOLERANCE: f64 = 1.0;
/// Readings after which a run is called off.
const MOST: usize = 400;

/// Scatter of a readout and true error of a plot, in tolerances: those of a calm day and of a bad
/// one, errors of none, inside, on the edge, and far beyond.
const SCATTERS: [f64; 4] = [0.3, 0.75, 1.0, 1.5];
const ERRORS: [f64; 6] = [0.0, 0.5, 0.9, 1.25, 2.0, 5.0];

fn inches(number: f64) -> Length {
    Length::parse(&format!("{number:.6} in"), None).expect("a length")
}

/// What the controller reads where each plot comes out too long by `error`.
fn readout(dice: &mut Dice, error: f64, scatter: f64) -> f64 {
    MARKS * MARKS / (MARKS + error) + dice.normal(scatter)
}

/// What was reported in the end.
struct End {
    low: f64,
    high: f64,
    estimate: f64,
    readings: usize,
    decided: Option<Choice>,
}

#[derive(Clone, Copy, PartialEq)]
enum Choice {
    Keep,
    Change,
}

impl End {
    fn misses(&self, error: f64) -> bool {
        !(self.low..=self.high).contains(&error)
    }

    /// Kept though it is beyond the tolerance; or changed, and left worse than it was and beyond the
    /// tolerance.
    fn is_wrong(&self, error: f64) -> bool {
        match self.decided {
            Some(Choice::Keep) => error.abs() > TOLERANCE,
            Some(Choice::Change) => {
                let left = (self.estimate - error).abs();
                left > TOLERANCE && left > error.abs()
            }
            None => false,
        }
    }
}

/// What the program says of readouts at the confidence of a look.
fn judged(readouts: &[f64]) -> alleytrue::outcome::Judgement {
    let run = Evidence::Readout {
        marks: inches(MARKS),
        readout: readouts.iter().copied().map(inches).collect(),
    };
    let inputs = trip::Inputs {
        runs: vec![TripRun::from(run)],
        kind: ScaleKind::CountsPerLength,
        scale: ScaleSetting { now: Decimal::whole(400), step: Some(Decimal::new(1, 3)) },
        plot: inches(MARKS - 30.0),
        alley: inches(30.0),
        ranges: None,
        tolerance: Some(inches(TOLERANCE)),
    };
    let mut common = Common::new(Units::US);
    common.confidence = looks::confidence();
    trip::calibrate(&inputs, &common).judgement.expect("readings")
}

/// A run as `guide` takes it.
fn by_looks(dice: &mut Dice, error: f64, scatter: f64) -> End {
    let (mut looks, mut readouts) = (Looks::default(), vec![]);
    loop {
        readouts.push(readout(dice, error, scatter));
        if !looks.is_due(readouts.len()) {
            continue;
        }
        let judgement = judged(&readouts);
        let decided = match judgement.decision {
            Decision::Keep(_) => Some(Choice::Keep),
            Decision::Change => Some(Choice::Change),
            Decision::Measure(_) | Decision::Wait(_) => None,
        };
        looks.look(readouts.len(), decided.is_some(), judgement.more);
        if looks.are_over() || looks.next_at > MOST {
            let interval = judgement.interval.expect("an interval");
            return End {
                low: interval.low.number(),
                high: interval.high.number(),
                estimate: judgement.error.number(),
                readings: readouts.len(),
                decided,
            };
        }
    }
}

/// A run that is looked at after every reading from the third on, at 95 %, and ended as soon as it
/// decides: in plain numbers, with the t of another library.
fn by_every_reading(dice: &mut Dice, error: f64, scatter: f64) -> End {
    let mut off: Vec<f64> = vec![];
    loop {
        let read = readout(dice, error, scatter);
        off.push(MARKS * MARKS / read - MARKS);
        let count = off.len() as f64;
        if off.len() < 3 {
            continue;
        }
        let mean = off.iter().sum::<f64>() / count;
        let squares: f64 = off.iter().map(|one| (one - mean).powi(2)).sum();
        let t = StudentsT::new(0.0, 1.0, count - 1.0).expect("a t").inverse_cdf(0.975);
        let half = t * (squares / (count - 1.0) / count).sqrt();
        let inside = mean.abs() + half <= TOLERANCE;
        let away = mean.abs() > half && (half <= TOLERANCE || mean.abs() - half > TOLERANCE);
        if inside || away || off.len() >= MOST {
            let decided = if inside { Some(Choice::Keep) } else { away.then_some(Choice::Change) };
            let (low, high) = (mean - half, mean + half);
            return End { low, high, estimate: mean, readings: off.len(), decided };
        }
    }
}

/// What became of all runs of one kind.
#[derive(Default)]
struct Tally {
    runs: usize,
    missed: usize,
    wrong: usize,
    open: usize,
    readings: usize,
}

impl Tally {
    fn of(
        seed: u64,
        runs: usize,
        error: f64,
        scatter: f64,
        run: fn(&mut Dice, f64, f64) -> End,
    ) -> Tally {
        let mut dice = Dice(seed);
        let mut tally = Tally::default();
        for _ in 0..runs {
            let end = run(&mut dice, error, scatter);
            tally.runs += 1;
            tally.missed += usize::from(end.misses(error));
            tally.wrong += usize::from(end.is_wrong(error));
            tally.open += usize::from(end.decided.is_none());
            tally.readings += end.readings;
        }
        tally
    }

    fn add(&mut self, other: &Tally) {
        self.runs += other.runs;
        self.missed += other.missed;
        self.wrong += other.wrong;
        self.open += other.open;
        self.readings += other.readings;
    }

    fn share(&self, count: usize) -> f64 {
        count as f64 / self.runs as f64
    }

    /// Five in a hundred, and four standard deviations of their count.
    fn most(&self) -> f64 {
        0.05 + 4.0 * (0.05 * 0.95 / self.runs as f64).sqrt()
    }
}

fn asked_for(usual: usize) -> usize {
    std::env::var("LOOKS").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// Of each scatter and each true error by itself, whatever was decided: the interval reported misses
/// the truth in at most five of a hundred runs, and so often at most a decision is wrong.
#[test]
fn by_looks_the_interval_holds_the_truth_as_often_as_it_claims() {
    for (place, scatter) in SCATTERS.into_iter().enumerate() {
        let mut all = Tally::default();
        for (number, error) in ERRORS.into_iter().enumerate() {
            let seed = u64::try_from(100 * place + number).expect("a seed");
            let own = Tally::of(seed, asked_for(60), error, scatter, by_looks);
            assert!(
                own.share(own.missed) <= own.most(),
                "{scatter} {error}: {} missed",
                own.missed
            );
            assert!(own.share(own.wrong) <= own.most(), "{scatter} {error}: {} wrong", own.wrong);
            all.add(&own);
        }
        println!(
            "looks, scatter {scatter}: missed {:.2} %, wrong {:.2} %, open {:.2} %, {:.1} readings",
            100.0 * all.share(all.missed),
            100.0 * all.share(all.wrong),
            100.0 * all.share(all.open),
            all.readings as f64 / all.runs as f64
        );
        assert!(all.share(all.missed) <= all.most(), "{scatter}: {} missed", all.missed);
        // Three looks decide nearly always.
        assert!(all.share(all.open) <= 0.03, "{scatter}: {} open", all.open);
    }
}

/// Looked at after every reading, an interval of 95 % misses far more often than it claims.
#[test]
fn by_every_reading_it_does_not() {
    let mut all = Tally::default();
    for (number, error) in ERRORS.into_iter().enumerate() {
        let seed = u64::try_from(1000 + number).expect("a seed");
        all.add(&Tally::of(seed, asked_for(150), error, 1.5, by_every_reading));
    }
    println!(
        "every reading, scatter 1.5: missed {:.2} %, wrong {:.2} %, {:.1} readings",
        100.0 * all.share(all.missed),
        100.0 * all.share(all.wrong),
        all.readings as f64 / all.runs as f64
    );
    assert!(all.share(all.missed) > 0.08, "{} of {} missed", all.missed, all.runs);
}

/// The first look is at a number fixed before, so its interval needs no proof: 98.4 % of them hold
/// the truth, by Student 1908.
#[test]
fn the_first_look_is_a_plain_interval() {
    let (mut dice, runs) = (Dice(7), asked_for(400));
    let missed = (0..runs)
        .filter(|_| {
            let readouts: Vec<f64> = (0..5).map(|_| readout(&mut dice, 2.0, 0.5)).collect();
            let interval = judged(&readouts).interval.expect("an interval");
            !(interval.low.number()..=interval.high.number()).contains(&2.0)
        })
        .count();
    let most = 0.016 + 4.0 * (0.016 * 0.984 / runs as f64).sqrt();
    assert!(missed as f64 / runs as f64 <= most, "{missed} of {runs}");
}
