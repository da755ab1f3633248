//! Simulated planters whose true settings are known, against what the program says of them.
//!
//! Every case plants from a seeded generator, so that a run of this file is the same everywhere.
//! Shares are held to four standard deviations of a binomial count.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss
)]

mod dice;

use alleytrue::calculations::Common;
use alleytrue::calculations::alley::{self, AlleyRun, Measured};
use alleytrue::calculations::guess_rows::{self, Steering};
use alleytrue::calculations::jitter::Seeds;
use alleytrue::calculations::limits::Limit;
use alleytrue::calculations::passes;
use alleytrue::calculations::registry::Job;
use alleytrue::calculations::spacing::Target;
use alleytrue::calculations::speed::{self, SpeedRun};
use alleytrue::calculations::speed_law::{self, SpeedAlleys};
use alleytrue::calculations::trip::{self, Evidence, ScaleKind};
use alleytrue::forecast::plan;
use alleytrue::outcome::Heading;
use alleytrue::outcome::setting::{PASS_OFFSET, SETBACK, ScaleSetting};
use alleytrue::outcome::{Cell, Direction, MovingSetting, Outcome};
use alleytrue::quantity::{Decimal, Duration, Length, LengthUnit, Speed, SpeedUnit, TimeUnit};
use alleytrue::statistics::{
    Confidence, CountInterval, Counted, Summary, may_stand_apart, means_apart, modified_z,
    share_inside, shares_apart,
};
use alleytrue::working::{Units, Value};
use dice::Dice;
use statrs::distribution::{ContinuousCDF, Gamma, StudentsT};

fn common() -> Common {
    Common::new(Units::US)
}

/// The same, with intervals of so many percent.
fn at(percent: u32) -> Common {
    Common { confidence: sure(percent), ..common() }
}

/// A reading to a ten-thousandth, far finer than any scatter here.
fn decimal(number: f64) -> Decimal {
    Decimal::new((number * 1e4).round() as i64, 4)
}

fn inches(number: f64) -> Length {
    Length::of(decimal(number), LengthUnit::Inch)
}

fn sure(percent: u32) -> Confidence {
    Confidence::new(f64::from(percent) / 100.0).expect("a confidence")
}

/// Student's t, two-sided, from another package.
fn t(confidence: f64, df: f64) -> f64 {
    StudentsT::new(0.0, 1.0, df).expect("df").inverse_cdf(0.5 + confidence / 2.0)
}

/// A count out of many, held to four standard deviations.
struct Share4 {
    hits: u32,
    runs: u32,
}

impl Share4 {
    fn of(runs: u32, mut one: impl FnMut() -> bool) -> Share4 {
        Share4 { hits: (0..runs).map(|_| u32::from(one())).sum(), runs }
    }

    fn share(&self) -> f64 {
        f64::from(self.hits) / f64::from(self.runs)
    }

    fn error(&self, expected: f64) -> f64 {
        4.0 * (expected * (1.0 - expected) / f64::from(self.runs)).sqrt()
    }

    #[track_caller]
    fn is(&self, what: &str, expected: f64) {
        let (share, error) = (self.share(), self.error(expected));
        println!("{what}: {share:.4}, expected {expected:.4} +/- {error:.4}");
        assert!((share - expected).abs() <= error, "{what}: {share} not {expected} +/- {error}");
    }

    #[track_caller]
    fn at_least(&self, what: &str, expected: f64) {
        let (share, error) = (self.share(), self.error(expected));
        println!("{what}: {share:.4}, at least {expected:.4} - {error:.4}");
        assert!(share >= expected - error, "{what}: {share} below {expected} - {error}");
    }
}

fn interval(outcome: &Outcome) -> (f64, f64) {
    let judgement = outcome.judgement.as_ref().expect("a judgement");
    let interval = judgement.interval.as_ref().expect("an interval");
    (interval.low.number(), interval.high.number())
}

fn holds(outcome: &Outcome, truth: f64) -> bool {
    let (low, high) = interval(outcome);
    low <= truth && truth <= high
}

fn valued(outcome: &Outcome, name: &str) -> f64 {
    let found = outcome.values.iter().find(|value| value.name() == Some(name));
    found.unwrap_or_else(|| panic!("no `{name}`")).number()
}

fn warned(outcome: &Outcome, code: &str) -> bool {
    outcome.warnings.iter().any(|warning| warning.kind.code == code)
}

fn moving(now: f64, step: f64) -> MovingSetting {
    let step = (step > 0.0).then(|| inches(step));
    MovingSetting::new(&SETBACK, inches(now), Direction::Back, step)
}

/// How one reading scatters.
#[derive(Clone, Copy)]
enum Scatter {
    /// Normal, each edge.
    Normal(f64),
    /// Both edges even over one spacing, and the tape's own normal error.
    Seeds { spacing: f64, tape: f64 },
}

impl Scatter {
    fn edge(self, dice: &mut Dice) -> f64 {
        match self {
            Scatter::Normal(sd) => dice.normal(sd),
            Scatter::Seeds { spacing, tape } => dice.edge(spacing) + dice.normal(tape),
        }
    }
}

const ALLEY: f64 = 30.0;

fn alleys(dice: &mut Dice, count: usize, ahead: f64, scatter: Scatter) -> Vec<Measured> {
    (0..count)
        .map(|_| Measured {
            last_seed_to_mark: Some(inches(ALLEY / 2.0 - ahead + scatter.edge(dice))),
            mark_to_first_seed: Some(inches(ALLEY / 2.0 + ahead + scatter.edge(dice))),
        })
        .collect()
}

fn seeds(spacing: f64) -> Seeds {
    Seeds { target: Target::Spacing(inches(spacing)), row_spacing: inches(30.0) }
}

fn alley_inputs(runs: Vec<AlleyRun>) -> alley::Inputs {
    alley::Inputs {
        runs,
        leads: vec![],
        alley: inches(ALLEY),
        plot: None,
        setback: moving(15.0, 0.5),
        tolerance: None,
        width_tolerance: None,
        seeds: None,
    }
}

fn one_heading(alleys: Vec<Measured>) -> alley::Inputs {
    alley_inputs(vec![AlleyRun {
        number: None,
        heading: Some(Heading::Out),
        alleys,
        then: vec![],
        edges: None,
        rank: None,
    }])
}

/// Alleys of both headings: a shift along the travel and an error of the mark line.
fn both_headings(
    dice: &mut Dice,
    counts: (usize, usize),
    (shift, marks): (f64, f64),
    scatter: Scatter,
) -> alley::Inputs {
    let out = alleys(dice, counts.0, shift + marks, scatter);
    let home = alleys(dice, counts.1, shift - marks, scatter);
    let run = |heading, alleys| AlleyRun {
        number: None,
        heading: Some(heading),
        alleys,
        then: vec![],
        edges: None,
        rank: None,
    };
    alley_inputs(vec![run(Heading::Out, out), run(Heading::Home, home)])
}

fn pass_inputs(leads: Vec<Length>) -> passes::Inputs {
    passes::Inputs {
        leads: vec![leads.into()],
        marked: None,
        offset: Some(MovingSetting { setting: &PASS_OFFSET, ..moving(6.0, 0.5) }),
        tolerance: None,
        alley: None,
        plot: None,
        seeds: None,
    }
}

const SPACING: f64 = 240.0;
const RIGHT_SCALE: f64 = 402.5;

fn trip_inputs(runs: Vec<Evidence>, held: f64) -> trip::Inputs {
    trip::Inputs {
        runs: runs.into_iter().map(trip::TripRun::from).collect(),
        kind: ScaleKind::CountsPerLength,
        scale: ScaleSetting { now: decimal(held), step: Some(Decimal::new(1, 2)) },
        plot: inches(SPACING - ALLEY),
        alley: inches(ALLEY),
        ranges: None,
        tolerance: None,
    }
}

/// What the controller reads between marks: the counts of the right scale over the one it holds.
fn readouts(dice: &mut Dice, count: usize, marks: f64, held: f64, sd: f64) -> Evidence {
    let read = |dice: &mut Dice| inches(marks * RIGHT_SCALE / held + dice.normal(sd));
    Evidence::Readout { marks: inches(marks), readout: (0..count).map(|_| read(dice)).collect() }
}

/// What the tape says of a commanded length.
fn tapes(dice: &mut Dice, count: usize, commanded: f64, held: f64, sd: f64) -> Evidence {
    let tape = |dice: &mut Dice| inches(commanded * held / RIGHT_SCALE + dice.normal(sd));
    Evidence::Tape { commanded: inches(commanded), taped: (0..count).map(|_| tape(dice)).collect() }
}

fn off_by(held: f64) -> f64 {
    SPACING * held / RIGHT_SCALE - SPACING
}

/// Confidences and the part of the runs that each gets; most are planted for the usual one.
const CONFIDENCES: [(u32, u32); 3] = [(80, 3), (95, 1), (99, 3)];

#[test]
fn alleys_of_one_heading_cover_as_claimed() {
    let mut dice = Dice(11);
    for (n, runs) in [(2, 2500), (3, 2500), (5, 1500), (10, 900), (30, 300)] {
        for (percent, part) in CONFIDENCES {
            let share = Share4::of(runs / part, || {
                let truth = dice.edge(8.0);
                let alleys = alleys(&mut dice, n, truth, Scatter::Normal(0.6));
                holds(&alley::calibrate(&one_heading(alleys), &at(percent)), truth)
            });
            share.is(&format!("alley, n {n}, {percent} %"), f64::from(percent) / 100.0);
        }
    }
}

#[test]
fn alleys_of_both_headings_cover_as_claimed() {
    let mut dice = Dice(12);
    let cases = [(1, 2, 2500), (2, 2, 2000), (3, 5, 1200), (2, 8, 800), (10, 10, 300)];
    for (out, home, runs) in cases {
        for (percent, part) in CONFIDENCES {
            let share = Share4::of(runs / part, || {
                let truth = (dice.edge(8.0), dice.edge(6.0));
                let normal = Scatter::Normal(0.6);
                let inputs = both_headings(&mut dice, (out, home), truth, normal);
                holds(&alley::calibrate(&inputs, &at(percent)), truth.0)
            });
            let what = format!("alley, {out} out {home} home, {percent} %");
            share.is(&what, f64::from(percent) / 100.0);
        }
    }
}

#[test]
fn leads_cover_as_claimed() {
    let mut dice = Dice(13);
    for (n, runs) in [(2, 2500), (3, 2500), (5, 1500), (10, 900), (30, 300)] {
        for (percent, part) in CONFIDENCES {
            let share = Share4::of(runs / part, || {
                let truth = dice.edge(8.0);
                let leads = (0..n).map(|_| inches(2.0 * truth + dice.normal(0.8))).collect();
                let inputs = pass_inputs(leads);
                holds(&passes::calibrate(&inputs, &at(percent), passes::Alleys::default()), truth)
            });
            share.is(&format!("leads, n {n}, {percent} %"), f64::from(percent) / 100.0);
        }
    }
}

#[test]
fn readouts_and_tapes_cover_as_claimed() {
    let mut dice = Dice(14);
    for (n, runs) in [(2, 1500), (3, 1500), (5, 1200), (10, 600), (30, 200)] {
        for (percent, part) in CONFIDENCES {
            let claim = f64::from(percent) / 100.0;
            // Start up to 1 % off, as a planter set up from an old card.
            let held = |dice: &mut Dice| decimal(RIGHT_SCALE * (1.0 + dice.edge(0.02))).value();
            let share = Share4::of(runs / part, || {
                let held = held(&mut dice);
                let run = readouts(&mut dice, n, 240.0, held, 0.5);
                let inputs = trip_inputs(vec![run], held);
                holds(&trip::calibrate(&inputs, &at(percent)), off_by(held))
            });
            share.is(&format!("readout, n {n}, {percent} %"), claim);
            let share = Share4::of(runs / part, || {
                let held = held(&mut dice);
                let run = tapes(&mut dice, n, 600.0, held, 0.7);
                let inputs = trip_inputs(vec![run], held);
                holds(&trip::calibrate(&inputs, &at(percent)), off_by(held))
            });
            share.is(&format!("tape, n {n}, {percent} %"), claim);
        }
    }
}

/// What the controller believes is a fifth short, right, and a quarter long: the standard error of
/// the error per plot is that of spacing x marks / readout.
#[test]
fn readouts_far_from_the_marks_cover_as_claimed() {
    let mut dice = Dice(26);
    for believed in [0.8, 1.0, 1.25] {
        for (n, runs) in [(3, 2500), (5, 1500), (10, 800)] {
            let held = decimal(RIGHT_SCALE / believed).value();
            let share = Share4::of(runs, || {
                let inputs = trip_inputs(vec![readouts(&mut dice, n, 240.0, held, 0.5)], held);
                holds(&trip::calibrate(&inputs, &common()), off_by(held))
            });
            share.is(&format!("readout, believed/true {believed}, n {n}"), 0.95);
        }
    }
}

/// Runs of both kinds and of several lengths, each with a scatter of its own. The degrees of
/// freedom after Welch are an approximation, rounded down: on the safe side.
#[test]
fn several_trip_runs_cover_as_claimed() {
    let mut dice = Dice(15);
    for believed in [0.8, 1.0, 1.25] {
        for (n, runs) in [(2, 500), (3, 500), (4, 400), (8, 200)] {
            for lengths in [[240.0, 240.0], [240.0, 1200.0]] {
                let mut scatter = [0.2, 0.5];
                for _ in 0..2 {
                    scatter.reverse();
                    let share = Share4::of(runs, || {
                        let held = decimal(RIGHT_SCALE / believed).value();
                        let evidence = vec![
                            tapes(&mut dice, n, lengths[0], held, scatter[0]),
                            readouts(&mut dice, n, lengths[1], held, scatter[1]),
                        ];
                        let inputs = trip_inputs(evidence, held);
                        holds(&trip::calibrate(&inputs, &common()), off_by(held))
                    });
                    let what = format!("{lengths:?}, SD {scatter:?}, n {n}, {believed}");
                    share.at_least(&what, 0.95);
                }
            }
        }
    }
}

/// Lengths that agree are called apart as often as other runs, in one set of twenty at the most.
#[test]
fn lengths_that_agree_are_seldom_called_apart() {
    let mut dice = Dice(27);
    for n in [2, 3, 6] {
        let share = Share4::of(1500, || {
            let held = RIGHT_SCALE * 0.99;
            let runs = [240.0, 600.0, 1200.0]
                .map(|length| readouts(&mut dice, n, length, held, 0.5 * length / 240.0));
            let inputs = trip_inputs(runs.to_vec(), held);
            warned(&trip::calibrate(&inputs, &common()), "runs-apart")
        });
        let (share, error) = (share.share(), share.error(0.05));
        println!("lengths apart, n {n}: {share:.4}, at most 0.05 + {error:.4}");
        assert!(share <= 0.05 + error, "{n}: {share}");
    }
}

/// Leads of several days, which lie apart by `days` standard errors of one day's mean.
fn leads_of_days(dice: &mut Dice, runs: usize, days: f64) -> passes::Inputs {
    let (each, sd) = (6, 0.5);
    let own = days * sd / f64::from(6).sqrt();
    let run = |dice: &mut Dice| {
        let day = dice.normal(own);
        let leads: Vec<Length> = (0..each).map(|_| inches(day + dice.normal(sd))).collect();
        leads.into()
    };
    let leads = (0..runs).map(|_| run(dice)).collect();
    passes::Inputs { leads, ..pass_inputs(vec![]) }
}

/// Runs that are one are taken for one three times in four; what sets days apart is seen the better
/// the more days there are. Of two, only t with one degree of freedom, 12.7, would always hold the
/// truth, at intervals that decide nothing; the same of three days at 4.3 and a spread of twice a day's
/// error.
#[test]
fn runs_of_several_days_cover_as_claimed() {
    let mut dice = Dice(31);
    for days in [0.0, 0.5, 1.0, 2.0, 5.0] {
        for runs in [2, 3, 5, 8] {
            let share = Share4::of(500, || {
                let inputs = leads_of_days(&mut dice, runs, days);
                holds(&passes::calibrate(&inputs, &common(), passes::Alleys::default()), 0.0)
            });
            let least = match runs {
                _ if days < 1.0 => 0.94,
                2 => 0.86,
                3 => 0.91,
                _ => 0.93,
            };
            share.at_least(&format!("{runs} days, {days} apart"), least);
        }
    }
}

/// The share of single leads of any day inside an inch, by leads of several days: days and readings both
/// scatter.
#[test]
fn shares_of_single_leads_of_several_days_cover_as_claimed() {
    let mut dice = Dice(37);
    let limit = inches(1.0);
    let mut common = common();
    common.limits.lead = Limit::of("lead", Some(&limit), None, 2);
    for days in [0.0_f64, 1.0, 2.0, 5.0] {
        for runs in [3, 5, 8] {
            // A day's mean scatters by `days` x 0.5 / sqrt(6).
            let sd = (0.25 + (days * 0.5).powi(2) / 6.0_f64).sqrt();
            let truth = 100.0 * share_inside(0.0, sd, 1.0);
            let share = Share4::of(150, || {
                let inputs = leads_of_days(&mut dice, runs, days);
                let outcome = passes::calibrate(&inputs, &common, passes::Alleys::default());
                let now = outcome.singles[0].now.as_ref().expect("a share");
                let [low, high] = now.ends();
                low.number() <= truth && truth <= high.number()
            });
            // What sets days apart goes unseen in some, as in the intervals of their means.
            let least = match runs {
                _ if days < 1.0 => 0.94,
                3 if days > 2.0 => 0.85,
                _ => 0.90,
            };
            share.at_least(&format!("single leads, {runs} days, {days} apart"), least);
        }
    }
}

#[test]
fn drives_cover_as_claimed() {
    let mut dice = Dice(16);
    for (n, runs) in [(2, 2000), (3, 1500), (10, 600)] {
        for (percent, part) in CONFIDENCES {
            let share = Share4::of(runs / part, || {
                let off = dice.edge(0.1);
                let mph = 2.8 * (1.0 + off);
                let time = |dice: &mut Dice| 2400.0 / (mph * 17.6 * (1.0 + dice.normal(0.004)));
                let times = (0..n)
                    .map(|_| Duration::of(decimal(time(&mut dice)), TimeUnit::Second))
                    .collect();
                let inputs = speed::Inputs {
                    runs: vec![SpeedRun { course: inches(2400.0), times }],
                    target: Some(Speed::of(Decimal::new(28, 1), SpeedUnit::MilePerHour)),
                    tolerance: None,
                };
                holds(&speed::calibrate(&inputs, &at(percent)), 100.0 * off)
            });
            share.is(&format!("speed, n {n}, {percent} %"), f64::from(percent) / 100.0);
        }
    }
}

/// Gaps of a planter of four rows 30 in apart that runs `side` to the right of its tractor, whose
/// lines lie at these places: after left turns and after right ones, the first turn being a right
/// one.
fn gaps_of(lines: &[f64], side: f64) -> [Vec<f64>; 2] {
    let middle = |pass: usize| lines[pass] + if pass.is_multiple_of(2) { side } else { -side };
    let gap = |pass: usize| (middle(pass) - 45.0) - (middle(pass - 1) + 45.0);
    let after = |odd: usize| (1..lines.len()).filter(|pass| pass % 2 == odd).map(gap).collect();
    [after(0), after(1)]
}

fn guess_rows([left, right]: [Vec<f64>; 2], common: &Common) -> Outcome {
    let lengths = |gaps: Vec<f64>| gaps.into_iter().map(inches).collect();
    let inputs = guess_rows::Inputs {
        left: lengths(left),
        right: lengths(right),
        steering: Steering::Lines,
        rows: Decimal::whole(4),
        rows_per_plot: Decimal::whole(4),
        row_spacing: inches(30.0),
        pass_gap: None,
        tolerance: None,
    };
    guess_rows::calibrate(&inputs, common)
}

/// Whether the intervals of side and pitch hold the truth.
fn both_hold(outcome: &Outcome, side: f64, off: f64) -> [bool; 2] {
    let within = |low: &str, high: &str, truth: f64| {
        valued(outcome, low) <= truth && truth <= valued(outcome, high)
    };
    [
        within("planter to the right, low", "planter to the right, high", side),
        within("low gap off by the pitch", "high gap off by the pitch", off),
    ]
}

/// Each line is laid from the one before, with an error of its own: gaps scatter by themselves.
#[test]
fn guess_rows_cover_as_claimed() {
    let mut dice = Dice(18);
    for (passes, runs) in [(4, 2500), (6, 1800), (11, 900), (21, 500)] {
        for (percent, part) in CONFIDENCES {
            let mut pitch = vec![];
            let share = Share4::of(runs / part, || {
                let (side, off) = (dice.edge(6.0), dice.edge(4.0));
                let mut lines = vec![0.0];
                for pass in 1..passes {
                    lines.push(lines[pass - 1] + 120.0 + off + dice.normal(0.7));
                }
                let outcome = guess_rows(gaps_of(&lines, side), &at(percent));
                let [by_side, by_pitch] = both_hold(&outcome, side, off);
                pitch.push(by_pitch);
                by_side
            });
            let claim = f64::from(percent) / 100.0;
            share.is(&format!("planter's side, {passes} passes, {percent} %"), claim);
            let mut held = pitch.into_iter();
            let share = Share4::of(runs / part, || held.next().unwrap_or_default());
            share.is(&format!("pitch, {passes} passes, {percent} %"), claim);
        }
    }
}

/// Where every line has an error of its own place, neighbouring gaps share a pass. Of n gaps of
/// each turn in a row the side then has the variance (8 n - 2) / (4 n^2) of a line, and that of
/// 1 / n is reckoned with; the middle of all gaps hangs on the first and the last line alone. Every
/// third gap shares no pass with another, and the intervals hold what they claim.
#[test]
fn every_third_gap_shares_no_pass_with_another() {
    let mut dice = Dice(19);
    let mut field = |passes: usize, third: bool| {
        let (side, off) = (dice.edge(6.0), dice.edge(4.0));
        let lines: Vec<f64> =
            (0..passes).map(|pass| pass as f64 * (120.0 + off) + dice.normal(0.5)).collect();
        let [left, right] = gaps_of(&lines, side);
        // The gaps before passes 1, 4, 7 and on: of right turns the first, the fourth and on, of
        // left turns the second, the fifth and on.
        let every = |gaps: Vec<f64>, from: usize| match third {
            true => gaps.into_iter().skip(from).step_by(3).collect(),
            false => gaps,
        };
        let (left, right) = (every(left, 1), every(right, 0));
        both_hold(&guess_rows([left, right], &common()), side, off)
    };
    let share = Share4::of(1500, || field(20, true)[0]);
    share.is("side by every third gap", 0.95);
    let share = Share4::of(1500, || field(20, true)[1]);
    share.is("pitch by every third gap", 0.95);
    // Ten gaps of each turn: t of 18 degrees of freedom is 2.101, and the interval reaches as far
    // as 2.101 x sqrt((1 / 10) / (78 / 400)) = 1.505 of the true SD, near enough that of a normal
    // law: some 0.85. The pitch is always held.
    let share = Share4::of(1500, || field(21, false)[0]);
    assert!((0.80..0.90).contains(&share.share()), "{}", share.share());
    let share = Share4::of(500, || field(21, false)[1]);
    share.at_least("pitch by all gaps", 0.999);
}

/// Two readings that scatter evenly are not normal. With S = x1 + x2 and D = x1 - x2 the truth is
/// missed where |D| < |S| / t. For one even edge (S, D) fills a diamond evenly, and the share
/// missed is exactly 1 / (1 + t). For the middle of two even edges (a triangle law) it is summed
/// here over a grid.
#[test]
fn two_readings_of_even_edges_miss_as_often_as_geometry_says() {
    let mut dice = Dice(17);
    for (percent, part) in CONFIDENCES {
        let claim = f64::from(percent) / 100.0;
        let t = t(claim, 1.0);
        let share = Share4::of(3000 / part, || {
            let truth = dice.edge(8.0);
            let side = |dice: &mut Dice| Measured {
                last_seed_to_mark: Some(inches(ALLEY / 2.0 - truth + dice.edge(3.0))),
                mark_to_first_seed: None,
            };
            let alleys = (0..2).map(|_| side(&mut dice)).collect();
            holds(&alley::calibrate(&one_heading(alleys), &at(percent)), truth)
        });
        share.is(&format!("one even edge, n 2, {percent} %"), 1.0 - 1.0 / (1.0 + t));
        let share = Share4::of(3000 / part, || {
            let truth = dice.edge(8.0);
            let seeds = Scatter::Seeds { spacing: 3.0, tape: 0.0 };
            let alleys = alleys(&mut dice, 2, truth, seeds);
            holds(&alley::calibrate(&one_heading(alleys), &at(percent)), truth)
        });
        share.is(&format!("two even edges, n 2, {percent} %"), 1.0 - missed_by_triangle(t));
    }
}

/// How often two readings of the triangle law on -1 to 1 miss zero: for each x1 > 0 the x2 that
/// lie between x1 (t - 1) / (t + 1) and x1 (t + 1) / (t - 1), both signs of x1.
fn missed_by_triangle(t: f64) -> f64 {
    let below = |x: f64| {
        let x = x.min(1.0);
        x - x * x / 2.0 // share of the law between 0 and x
    };
    let cells = 20_000;
    let sum: f64 = (0..cells)
        .map(|cell| (f64::from(cell) + 0.5) / f64::from(cells))
        .map(|x| (1.0 - x) * (below(x * (t + 1.0) / (t - 1.0)) - below(x * (t - 1.0) / (t + 1.0))))
        .sum();
    2.0 * sum / f64::from(cells)
}

/// Where the scatter that seeds must bring replaces a smaller one, intervals hold more often than
/// they claim, never less.
#[test]
fn with_seeds_known_intervals_cover_at_least_what_they_claim() {
    let mut dice = Dice(18);
    let scatter = Scatter::Seeds { spacing: 1.6, tape: 0.15 };
    for (n, runs) in [(2, 900), (3, 900), (5, 600), (10, 400), (30, 150)] {
        for (percent, part) in CONFIDENCES {
            let claim = f64::from(percent) / 100.0;
            let share = Share4::of(runs / part, || {
                let truth = dice.edge(4.0);
                let mut inputs = one_heading(alleys(&mut dice, n, truth, scatter));
                inputs.seeds = Some(seeds(1.6));
                holds(&alley::calibrate(&inputs, &at(percent)), truth)
            });
            share.at_least(&format!("alley, seeds known, n {n}, {percent} %"), claim);
            let share = Share4::of(runs / part, || {
                let truth = dice.edge(4.0);
                let edge = |dice: &mut Dice| scatter.edge(dice) / 2.0;
                let lead = |dice: &mut Dice| {
                    let four: f64 = (0..4).map(|_| edge(dice)).sum();
                    inches(2.0 * truth + four)
                };
                let mut inputs = pass_inputs((0..n).map(|_| lead(&mut dice)).collect());
                inputs.seeds = Some(seeds(1.6));
                holds(&passes::calibrate(&inputs, &at(percent), passes::Alleys::default()), truth)
            });
            share.at_least(&format!("leads, seeds known, n {n}, {percent} %"), claim);
        }
    }
}

const DISTANCE: f64 = -3.1;
const LATENCY: f64 = 0.12;

/// Alleys at several speeds, `each` at every speed and heading; no heading where `both` is off.
fn law(dice: &mut Dice, speeds: &[f64], each: usize, both: bool) -> speed_law::Inputs {
    let mut runs = Vec::new();
    for mph in speeds {
        let shift = DISTANCE + LATENCY * mph * 17.6;
        let headings: &[(Option<Heading>, f64)] = if both {
            &[(Some(Heading::Out), 1.3), (Some(Heading::Home), -1.3)]
        } else {
            &[(None, 0.0)]
        };
        for (heading, marks) in headings {
            let alleys = alleys(dice, each, shift + marks, Scatter::Normal(0.6));
            let speed = Speed::of(decimal(*mph), SpeedUnit::MilePerHour);
            runs.push(SpeedAlleys {
                speed,
                run: AlleyRun {
                    number: None,
                    heading: *heading,
                    alleys,
                    then: vec![],
                    edges: None,
                    rank: None,
                },
            });
        }
    }
    speed_law::Inputs {
        runs,
        alley: inches(ALLEY),
        setback: Some(moving(19.0, 0.5)),
        tolerance: None,
        trial: None,
        drop_height: None,
    }
}

/// Whether the distance part, the latency, the mean at 2.6 mph and the next alley there lie in
/// their intervals.
fn law_holds(dice: &mut Dice, inputs: &speed_law::Inputs, percent: u32, t: f64) -> [bool; 4] {
    let speed = Speed::of(Decimal::new(26, 1), SpeedUnit::MilePerHour);
    let outcome = speed_law::setback_at(inputs, &at(percent), &speed, None);
    let part = |name: &str, error: &str, truth: f64| {
        (valued(&outcome, name) - truth).abs() <= t * valued(&outcome, error)
    };
    let between = |what: &str, truth: f64| {
        let end = |end: &str| valued(&outcome, &format!("{end} {what} alley centre at 2.6 mph"));
        end("low") <= truth && truth <= end("high")
    };
    let mean = DISTANCE + LATENCY * 2.6 * 17.6;
    // The middle of one more alley: half the difference of two edges of SD 0.6.
    let next = mean + dice.normal(0.6 / 2.0_f64.sqrt());
    [
        part("distance part", "standard error intercept alley centre", DISTANCE),
        part("latency", "standard error slope alley centre", LATENCY),
        between("mean", mean),
        between("next", next),
    ]
}

fn law_shares(
    dice: &mut Dice,
    runs: u32,
    percent: u32,
    df: f64,
    mut plant: impl FnMut(&mut Dice) -> speed_law::Inputs,
) -> [Share4; 4] {
    let t = t(f64::from(percent) / 100.0, df);
    let mut hits = [0; 4];
    for _ in 0..runs {
        let inputs = plant(dice);
        for (hit, held) in hits.iter_mut().zip(law_holds(dice, &inputs, percent, t)) {
            *hit += u32::from(held);
        }
    }
    hits.map(|hits| Share4 { hits, runs })
}

const LAW_PARTS: [&str; 4] = ["distance part", "latency", "mean", "next alley"];

#[test]
fn the_speed_law_covers_as_claimed() {
    let mut dice = Dice(19);
    let cases: [(&[f64], usize, u32); 4] = [
        (&[2.2, 2.8, 3.4], 1, 1000),
        (&[2.2, 3.4], 2, 1000),
        (&[2.2, 2.8, 3.4], 3, 400),
        (&[2.0, 2.4, 2.8, 3.2, 3.6], 4, 150),
    ];
    for (speeds, each, runs) in cases {
        for (percent, part) in CONFIDENCES {
            let n = speeds.len() * each;
            let shares = law_shares(&mut dice, runs / part, percent, n as f64 - 2.0, |dice| {
                law(dice, speeds, each, false)
            });
            for (share, part) in shares.iter().zip(LAW_PARTS) {
                share.is(&format!("law, n {n}, {part}, {percent} %"), f64::from(percent) / 100.0);
            }
        }
    }
}

/// Where every speed was driven both ways, the error of the mark line is a third number taken
/// from the same alleys.
#[test]
fn the_speed_law_from_both_headings_covers_as_claimed() {
    let mut dice = Dice(20);
    let cases: [(&[f64], usize, u32); 3] =
        [(&[2.2, 3.4], 1, 1200), (&[2.2, 2.8, 3.4], 1, 900), (&[2.2, 2.8, 3.4], 3, 250)];
    for (speeds, each, runs) in cases {
        let n = 2 * speeds.len() * each;
        let shares =
            law_shares(&mut dice, runs, 95, n as f64 - 3.0, |dice| law(dice, speeds, each, true));
        for (share, part) in shares.iter().zip(LAW_PARTS) {
            share.is(&format!("law, both headings, n {n}, {part}, 95 %"), 0.95);
        }
    }
}

/// Readings that the plan asks for, to be within `tolerance` and to decide.
fn planned(scatter: f64, tolerance: f64) -> [usize; 2] {
    let inputs = plan::Inputs {
        seeds: None,
        scatter: Some(inches(scatter)),
        trip: None,
        centre: Some(inches(tolerance)),
        passes: None,
    };
    let outcome = plan::plan(&inputs, &Job::new(common()));
    let table = &outcome.tables[0];
    let row = &table.rows[1];
    ["readings_within_tolerance", "readings_to_decide"].map(|key| {
        let at = table.columns.iter().position(|column| column.key == key).expect("a column");
        match &row[at] {
            Cell::Text(text) => text.parse().expect("a count"),
            other => panic!("{other:?}"),
        }
    })
}

fn half_width(outcome: &Outcome) -> f64 {
    let (low, high) = interval(outcome);
    (high - low) / 2.0
}

/// So many alleys both ways, as many of each as can be.
fn both_ways(dice: &mut Dice, n: usize, truth: f64) -> alley::Inputs {
    both_headings(dice, (n.div_ceil(2), n / 2), (truth, 0.0), Scatter::Normal(0.6))
}

/// The half width t s c, c = sqrt(1/a + 1/b) / 2 for a alleys out and b home, is inside w where
/// s^2 / sigma^2 <= w^2 / (t c sigma)^2, and (n - 2) s^2 / sigma^2 follows chi-squared at n - 2
/// degrees of freedom: about half of the runs or a little more, since s is estimated anew.
#[test]
fn planned_counts_reach_the_tolerance_as_often_as_theory_says() {
    let mut dice = Dice(21);
    // The middle of two edges of SD 0.6 has SD 0.6 / sqrt(2).
    let sigma = 0.6 / 2.0_f64.sqrt();
    for tolerance in [0.6, 0.35, 0.25] {
        let counts = planned(sigma, tolerance);
        for (n, wanted) in counts.into_iter().zip([tolerance, tolerance / 2.0]) {
            let df = n as f64 - 2.0;
            let (out, home) = (n.div_ceil(2) as f64, (n / 2) as f64);
            let of_mean = (1.0 / out + 1.0 / home).sqrt() / 2.0;
            let reach = df * (wanted / (t(0.95, df) * of_mean * sigma)).powi(2);
            let expected = Gamma::new(df / 2.0, 0.5).expect("a law").cdf(reach);
            let share = Share4::of(400, || {
                let inputs = both_ways(&mut dice, n, 0.3);
                half_width(&alley::calibrate(&inputs, &common())) <= wanted
            });
            share.is(&format!("half width {wanted} from {n} alleys"), expected);
            assert!(expected > 0.45, "{expected}");
        }
    }
}

/// With the readings "to decide", keep or change is the answer whatever the true error; and both
/// are right: an error of twice the tolerance is changed, none at all is kept. The two or three in
/// a hundred that wait are called drifting by chance.
#[test]
fn readings_to_decide_decide() {
    let mut dice = Dice(22);
    let (sigma, tolerance) = (0.6 / 2.0_f64.sqrt(), 0.4);
    let n = planned(sigma, tolerance)[1];
    let mut word = |truth: f64| {
        let mut inputs = both_ways(&mut dice, n, truth);
        inputs.tolerance = Some(inches(tolerance));
        inputs.width_tolerance = Some(inches(10.0));
        // What a coarse step keeps from being set is not what is asked here.
        inputs.setback = moving(15.0, 0.05);
        alley::calibrate(&inputs, &common()).settings[0].verdict.word()
    };
    for errors in [0.0, 0.25, 0.5, 0.75, 1.0, 2.0] {
        let mut counts = [0_u32; 3];
        for _ in 0..300 {
            let at = match word(errors * tolerance) {
                "keep" => 0,
                "change" => 1,
                _ => 2,
            };
            counts[at] += 1;
        }
        let [keep, change, neither] = counts.map(|count| f64::from(count) / 300.0);
        println!(
            "error {errors} of the tolerance, {n} alleys: keep {keep:.3}, change {change:.3}, \
             measure more or wait {neither:.3}"
        );
        assert!(keep + change >= 0.87, "{errors}: {neither} undecided");
        if errors == 0.0 {
            assert!(keep >= 0.93, "{keep}");
        }
        if errors >= 1.0 {
            assert!(change >= if errors > 1.0 { 0.95 } else { 0.85 }, "{change}");
        }
    }
}

/// Drift is tested at 99.5 %, which alone would call one run in two hundred drifting where nothing
/// drifts. The readings far from the line are left out of the test first, and that makes the rest
/// look closer to a line than they are: one run in a hundred is promised.
#[test]
fn drift_is_seldom_called_where_there_is_none() {
    let mut dice = Dice(23);
    for (n, runs) in [(5, 1500), (6, 1500), (10, 1000), (20, 400)] {
        let share = Share4::of(runs, || {
            let leads = (0..n).map(|_| inches(dice.normal(0.8))).collect();
            let outcome =
                passes::calibrate(&pass_inputs(leads), &common(), passes::Alleys::default());
            warned(&outcome, "drift")
        });
        let (share, error) = (share.share(), share.error(0.01));
        println!("drift, n {n}: {share:.4}, at most 0.01 + {error:.4}");
        assert!(share <= 0.01 + error, "n {n}: {share}");
    }
}

/// In one clean run of twenty a reading is called far from the rest, however many there are.
#[test]
fn outliers_are_called_in_one_clean_run_of_twenty() {
    let mut dice = Dice(24);
    for n in [5, 6, 7, 8, 9, 10, 12, 15, 20, 31, 50, 100] {
        let share = Share4::of(if n > 30 { 3000 } else { 8000 }, || {
            let readings: Vec<f64> = (0..n).map(|_| dice.normal(0.5)).collect();
            may_stand_apart(&readings) && {
                let readings: Vec<Value> = readings.into_iter().map(Value::constant).collect();
                !modified_z("readout", &readings).expect("readings").flagged.is_empty()
            }
        });
        share.is(&format!("outlier, normal, n {n}"), 0.05);
    }
    // The same through a whole calculation, in two runs, so that no order along a pass is looked
    // at.
    for (n, runs) in [(5, 1500), (10, 800), (20, 400)] {
        let share = Share4::of(runs, || {
            let held = RIGHT_SCALE;
            let runs = vec![
                readouts(&mut dice, n - 2, 240.0, held, 0.5),
                readouts(&mut dice, 2, 240.0, held, 0.5),
            ];
            let outcome = trip::calibrate(&trip_inputs(runs, held), &common());
            warned(&outcome, "outlier")
        });
        share.is(&format!("outlier among readouts, n {n}"), 0.05);
    }
}

/// Readings rounded to a step of up to their scatter are called no oftener.
#[test]
fn rounding_calls_no_more_outliers() {
    let mut dice = Dice(28);
    for step in [0.125, 0.25, 0.5, 1.0] {
        for n in [5, 6, 7, 10, 20, 50, 100] {
            let share = Share4::of(1500, || {
                let start = dice.even();
                let tape = |off: f64| step * (off / step + start).round();
                let readings: Vec<f64> = (0..n).map(|_| tape(dice.normal(0.5))).collect();
                may_stand_apart(&readings) && {
                    let readings: Vec<Value> = readings.into_iter().map(Value::constant).collect();
                    let values: std::collections::BTreeSet<u64> =
                        readings.iter().map(|reading| reading.number().to_bits()).collect();
                    // Where all but a few are alike nothing tells a step from a slip.
                    values.len() > 2
                        && !modified_z("x", &readings).expect("readings").flagged.is_empty()
                }
            });
            let (share, error) = (share.share(), share.error(0.05));
            println!("outlier, step {step}, n {n}: {share:.4}");
            assert!(share <= 0.05 + error, "step {step}, n {n}: {share}");
        }
    }
}

/// A slip of a foot among readings that scatter by half an inch is seen.
#[test]
fn a_slip_of_a_foot_is_called() {
    let mut dice = Dice(29);
    for (n, least) in [(6, 0.95), (10, 0.99), (20, 0.99)] {
        let share = Share4::of(400, || {
            let mut readings: Vec<f64> = (0..n).map(|_| 240.0 + dice.normal(0.5)).collect();
            readings[0] += 12.0;
            let readings: Vec<Value> = readings.into_iter().map(Value::constant).collect();
            modified_z("x", &readings).expect("readings").flagged.contains(&0)
        });
        share.at_least(&format!("a slip among {n}"), least);
    }
}

/// A slip of four inches among readings that scatter by half an inch and are read to half an inch
/// is seen, though their MAD goes by half inches too: in 84 % of runs of ten and 98 % of twenty, by
/// a simulation in C apart from this.
#[test]
fn a_slip_among_rounded_readings_is_called() {
    let mut dice = Dice(34);
    for (n, simulated) in [(10, 0.84), (20, 0.98)] {
        let share = Share4::of(1500, || {
            let start = dice.even();
            let tape = |off: f64| 0.5 * (off / 0.5 + start).round();
            let readings: Vec<Value> = (0..n)
                .map(|place| dice.normal(0.5) + if place == 0 { 4.0 } else { 0.0 })
                .map(|off| Value::constant(tape(off)))
                .collect();
            !modified_z("x", &readings).expect("readings").flagged.is_empty()
        });
        share.at_least(&format!("a slip among {n} rounded"), simulated);
    }
}

/// Rows that are all alike have one called apart in one sheet of twenty at the most, multiples and
/// misses looked at, whatever the shares and however many gaps.
#[test]
fn even_rows_are_called_apart_in_one_sheet_of_twenty_at_the_most() {
    let mut dice = Dice(31);
    let both = Confidence::NINETY_FIVE.for_each_of(2).expect("a confidence");
    for (gaps, multiples, misses) in
        [(60, 0.10, 0.10), (100, 0.10, 0.10), (250, 0.05, 0.05), (250, 0.10, 0.20)]
    {
        for rows in [2, 4, 8, 12] {
            let share = Share4::of(1200, || {
                let mut kinds = [vec![], vec![]];
                for _ in 0..rows {
                    let mut counts = [0_u32; 2];
                    for _ in 0..gaps {
                        let at = dice.even();
                        counts[0] += u32::from(at < multiples);
                        counts[1] += u32::from(at > 1.0 - misses);
                    }
                    for (kind, count) in kinds.iter_mut().zip(counts) {
                        kind.push(Counted {
                            name: String::new(),
                            counted: Value::constant(f64::from(count)),
                            all: Value::constant(f64::from(gaps)),
                        });
                    }
                }
                kinds.iter().any(|groups| !shares_apart(groups, both).is_empty())
            });
            let (share, error) = (share.share(), share.error(0.05));
            println!("{rows} rows of {gaps} gaps, {multiples} {misses}: {share:.4}");
            assert!(share <= 0.05 + error, "{rows} rows of {gaps}: {share}");
        }
    }
}

/// The same of readings: of depths, or of counts.
#[test]
fn rows_of_like_readings_are_called_apart_in_one_sheet_of_twenty_at_the_most() {
    let mut dice = Dice(32);
    for rows in [2, 4, 8] {
        for n in [3, 10] {
            let share = Share4::of(1500, || {
                let groups: Vec<(String, Summary)> = (0..rows)
                    .map(|_| {
                        let readings: Vec<Value> =
                            (0..n).map(|_| Value::constant(dice.normal(1.0))).collect();
                        let summary = Summary::of("x", &readings, Confidence::NINETY_FIVE);
                        (String::new(), summary.expect("readings"))
                    })
                    .collect();
                !means_apart("x", &groups, Confidence::NINETY_FIVE).is_empty()
            });
            let (share, error) = (share.share(), share.error(0.05));
            println!("{rows} rows of {n} readings: {share:.4}");
            assert!(share <= 0.05 + error, "{rows} rows of {n}: {share}");
        }
    }
}

/// Plants at a place: seeds of which each comes up or not; by chance over the ground; or in
/// patches, chance whose mean differs from place to place (an exponential law of means).
#[derive(Clone, Copy, Debug)]
enum Stand {
    Even { seeds: u32, share: f64 },
    Chance(f64),
    Patches(f64),
}

impl Stand {
    fn mean(self) -> f64 {
        match self {
            Stand::Even { seeds, share } => f64::from(seeds) * share,
            Stand::Chance(mean) | Stand::Patches(mean) => mean,
        }
    }

    fn count(self, dice: &mut Dice) -> f64 {
        let by_chance = |dice: &mut Dice, mean: f64| {
            let (mut left, mut count) = (mean + dice.even().ln(), 0.0);
            while left > 0.0 {
                left += dice.even().ln();
                count += 1.0;
            }
            count
        };
        match self {
            Stand::Even { seeds, share } => {
                (0..seeds).map(|_| if dice.even() < share { 1.0 } else { 0.0 }).sum()
            }
            Stand::Chance(mean) => by_chance(dice, mean),
            Stand::Patches(mean) => {
                let here = -mean * dice.even().ln();
                by_chance(dice, here)
            }
        }
    }
}

/// Counts have their own law: the interval of a stand holds 95 % from three places on, few plants
/// or many, even or by chance. In patches of no more than 5 plants it holds 93 %, where the
/// interval of Student's t holds 88 to 90 %.
#[test]
fn stands_cover_as_claimed_and_never_begin_below_nothing() {
    let mut dice = Dice(33);
    for (stand, claimed) in [
        (Stand::Even { seeds: 31, share: 0.8 }, 0.94),
        (Stand::Even { seeds: 10, share: 0.8 }, 0.93),
        (Stand::Chance(30.0), 0.95),
        (Stand::Chance(5.0), 0.945),
        (Stand::Chance(1.0), 0.95),
        (Stand::Chance(0.3), 0.95),
        (Stand::Patches(20.0), 0.93),
        (Stand::Patches(5.0), 0.93),
    ] {
        for (n, runs) in [(3, 1500), (4, 1500), (8, 1000)] {
            let mut lowest = 0.0_f64;
            let share = Share4::of(runs, || {
                let counts: Vec<Value> =
                    (0..n).map(|_| Value::constant(stand.count(&mut dice))).collect();
                let summary =
                    Summary::of("plants", &counts, Confidence::NINETY_FIVE).expect("counts");
                let one = Value::constant(1.0);
                let found = CountInterval::of("plants", &summary, &one, Confidence::NINETY_FIVE)
                    .expect("an interval");
                lowest = lowest.min(found.low.number());
                found.low.number() <= stand.mean() && stand.mean() <= found.high.number()
            });
            share.at_least(&format!("{stand:?}, {n} places"), claimed);
            assert!(lowest >= 0.0, "{lowest}");
        }
    }
}

/// What the phase of the plate alone does is no outlier.
#[test]
fn seeds_alone_are_no_outliers() {
    let mut dice = Dice(30);
    // Where seeds alone make the scatter, what they can do is never called an outlier.
    let share = Share4::of(300, || {
        let scatter = Scatter::Seeds { spacing: 3.0, tape: 0.0 };
        let mut inputs = one_heading(alleys(&mut dice, 8, 0.0, scatter));
        inputs.seeds = Some(seeds(3.0));
        warned(&alley::calibrate(&inputs, &common()), "outlier")
    });
    share.is("outlier, seeds alone", 0.0);
}

/// A planter set wrong, and what would be right.
struct Planter {
    scale: f64,
    setback: f64,
    offset: f64,
}

const RIGHT: Planter = Planter { scale: RIGHT_SCALE, setback: 17.3, offset: 5.2 };
const STEP: f64 = 0.25;

/// Readings taken with the present settings.
#[derive(Default)]
struct Taken {
    readout: Vec<Length>,
    out: Vec<Measured>,
    home: Vec<Measured>,
    leads: Vec<Length>,
}

impl Planter {
    /// Raising the setback moves alleys back, raising the pass offset moves them ahead; marks are
    /// tripped by hand, the pass offset counts between passes only.
    fn shift(&self) -> f64 {
        RIGHT.setback - self.setback
    }

    fn pass_shift(&self) -> f64 {
        self.shift() + self.offset - RIGHT.offset
    }

    fn measure(&self, dice: &mut Dice, taken: &mut Taken) {
        let scatter = Scatter::Seeds { spacing: 1.5, tape: 0.15 };
        let readout = 240.0 * RIGHT.scale / self.scale;
        taken.readout.extend((0..10).map(|_| inches(readout + dice.normal(0.4))));
        taken.out.extend(alleys(dice, 8, self.shift(), scatter));
        taken.home.extend(alleys(dice, 8, self.shift(), scatter));
        let lead = |dice: &mut Dice| {
            let edges: f64 = (0..4).map(|_| scatter.edge(dice) / 2.0).sum();
            inches(2.0 * self.pass_shift() + edges)
        };
        taken.leads.extend((0..10).map(|_| lead(dice)));
    }

    fn job(&self, taken: &Taken, tolerance: f64) -> Job {
        let run = Evidence::Readout { marks: inches(240.0), readout: taken.readout.clone() };
        let mut trip = trip_inputs(vec![run], self.scale);
        trip.ranges = Some(Decimal::whole(30));
        trip.tolerance = Some(inches(tolerance));
        let heading = |heading, alleys: &Vec<Measured>| AlleyRun {
            number: None,
            heading: Some(heading),
            alleys: alleys.clone(),
            then: vec![],
            edges: None,
            rank: None,
        };
        let mut alley = alley_inputs(vec![
            heading(Heading::Out, &taken.out),
            heading(Heading::Home, &taken.home),
        ]);
        alley.setback = moving(self.setback, STEP);
        alley.tolerance = Some(inches(tolerance));
        alley.width_tolerance = Some(inches(2.0));
        alley.seeds = Some(seeds(1.5));
        let mut passes = pass_inputs(taken.leads.clone());
        passes.offset = Some(MovingSetting {
            setting: &PASS_OFFSET,
            raising_moves: Direction::Ahead,
            ..moving(self.offset, STEP)
        });
        passes.tolerance = Some(inches(tolerance));
        passes.seeds = Some(seeds(1.5));
        Job {
            trip: Some(Box::new(trip)),
            alley: Some(Box::new(alley)),
            passes: Some(Box::new(passes)),
            ..Job::new(common())
        }
    }
}

/// Rounds of measuring until nothing is to be changed, and whether everything is then right.
fn follow(dice: &mut Dice, tolerance: f64) -> (u32, bool) {
    let start = |dice: &mut Dice, right: f64, most: f64| {
        ((right + dice.edge(2.0 * most)) / STEP).round() * STEP
    };
    let mut planter = Planter {
        scale: decimal(RIGHT.scale * (1.0 + dice.edge(0.04))).value(),
        setback: start(dice, RIGHT.setback, 6.0),
        offset: start(dice, RIGHT.offset, 4.0),
    };
    let mut taken = Taken::default();
    for round in 1..=30 {
        planter.measure(dice, &mut taken);
        let report = planter.job(&taken, tolerance).calibrate().expect("no drive");
        let Some(next) = report.next else {
            let trip = off_by(planter.scale).abs();
            let worst = trip.max(planter.shift().abs()).max(planter.pass_shift().abs());
            return (round, worst <= tolerance);
        };
        let (now, set) = (next.now.expect("a setting"), next.set.expect("a setting"));
        let more = next.instruction.contains("measure") && now.number() == set.number();
        if more {
            continue; // the same settings: new readings join the old ones
        }
        match next.setting.as_deref() {
            Some("trip scale") => planter.scale = set.number(),
            Some("setback") => planter.setback = set.number(),
            Some("pass offset") => planter.offset = set.number(),
            other => panic!("{other:?}: {}", next.instruction),
        }
        taken = Taken::default();
    }
    (31, false)
}

/// One thing at a time, as the last line says, from settings that are far off.
#[test]
fn following_the_last_line_ends_with_everything_right() {
    let mut dice = Dice(25);
    for (tolerance, runs, most, right) in [(1.0, 60, 8, 0.98), (0.5, 40, 12, 0.95)] {
        let ends: Vec<(u32, bool)> = (0..runs).map(|_| follow(&mut dice, tolerance)).collect();
        let mut rounds: Vec<u32> = ends.iter().map(|(rounds, _)| *rounds).collect();
        rounds.sort_unstable();
        let inside = ends.iter().filter(|(_, right)| *right).count() as f64 / ends.len() as f64;
        println!(
            "tolerance {tolerance}: rounds {} (middle) {} (most), inside {inside:.3}",
            rounds[rounds.len() / 2],
            rounds[rounds.len() - 1]
        );
        assert!(rounds[rounds.len() - 1] <= most, "{rounds:?}");
        assert!(inside >= right, "{inside}");
    }
}
