//! The speed law against lines known beforehand, a least-squares fit worked here, and free fall.

#![allow(clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]

use alleytrue::calculations::Common;
use alleytrue::calculations::alley::{AlleyRun, Measured};
use alleytrue::calculations::speed_law::{self, Cab, Inputs, SpeedAlleys, fall_time};
use alleytrue::outcome::Heading;
use alleytrue::outcome::setting::SETBACK;
use alleytrue::outcome::{Cell, Direction, MovingSetting, Outcome};
use alleytrue::quantity::{Decimal, Length, LengthUnit, Speed, SpeedUnit};
use alleytrue::working::Units;
use statrs::distribution::{ContinuousCDF, StudentsT};

fn common() -> Common {
    Common::new(Units::US)
}

fn inches(number: f64) -> Length {
    #[allow(clippy::cast_possible_truncation)] // a few thousand inches at the most
    let millionths = (number * 1e6).round() as i64;
    Length::of(Decimal::new(millionths, 6), LengthUnit::Inch)
}

fn mph(tenths: i64) -> Speed {
    Speed::of(Decimal::new(tenths, 1), SpeedUnit::MilePerHour)
}

/// Inches per second of tenths of a mile per hour: 1 mph = 17.6 in/s.
fn along(tenths: i64) -> f64 {
    tenths as f64 * 1.76
}

/// Alleys 30 in wide, their middles `ahead` of the marks.
fn run(tenths: i64, heading: Option<Heading>, ahead: &[f64]) -> SpeedAlleys {
    let alley = |ahead: &f64| Measured {
        last_seed_to_mark: Some(inches(15.0 - ahead)),
        mark_to_first_seed: Some(inches(15.0 + ahead)),
    };
    let alleys = ahead.iter().map(alley).collect();
    SpeedAlleys {
        speed: mph(tenths),
        run: AlleyRun { number: None, heading, alleys, then: vec![], edges: None, rank: None },
    }
}

fn inputs(runs: Vec<SpeedAlleys>) -> Inputs {
    Inputs {
        runs,
        alley: inches(30.0),
        setback: Some(MovingSetting::new(&SETBACK, inches(19.0), Direction::Back, None)),
        tolerance: None,
        trial: None,
        drop_height: None,
    }
}

fn value(outcome: &Outcome, name: &str) -> f64 {
    let found = outcome.values.iter().find(|value| value.name() == Some(name));
    found.unwrap_or_else(|| panic!("no `{name}`")).number()
}

fn warned(outcome: &Outcome, code: &str) -> bool {
    outcome.warnings.iter().any(|warning| warning.kind.code == code)
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found}, {expected}");
}

/// shift = -3 in + 0.125 s x speed: at 2, 3 and 4 mph (35.2, 52.8, 70.4 in/s) 1.4, 3.6, 5.8 in.
const EXACT: [(i64, f64); 3] = [(20, 1.4), (30, 3.6), (40, 5.8)];

#[test]
fn points_on_a_line_give_its_parts() {
    let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead, ahead])).to_vec();
    let outcome = speed_law::setback_at(&inputs(runs), &common(), &mph(25), None);
    near(value(&outcome, "distance part"), -3.0);
    near(value(&outcome, "latency"), 0.125);
    near(value(&outcome, "residual SD alley centre"), 0.0);
    // 2.5 mph = 44 in/s: 2.5 in ahead, so 19 + 2.5.
    near(value(&outcome, "alley centre at 2.5 mph"), 2.5);
    near(outcome.settings[0].exact.number(), 21.5);
    let codes: Vec<&str> = outcome.warnings.iter().map(|warning| warning.kind.code).collect();
    assert_eq!(codes, ["scatter-small"], "six readings on a line tell nothing of their scatter");
}

#[test]
fn raising_moves_ahead_or_back() {
    for (raising_moves, exact) in [(Direction::Back, 21.5), (Direction::Ahead, 16.5)] {
        let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead, ahead])).to_vec();
        let mut inputs = inputs(runs);
        let setback = inputs.setback.as_mut().expect("a setback");
        setback.raising_moves = raising_moves;
        setback.step = Some(inches(0.25));
        let outcome = speed_law::setback_at(&inputs, &common(), &mph(25), None);
        near(outcome.settings[0].exact.number(), exact);
        near(outcome.settings[0].set.number(), exact);
        assert_eq!(outcome.settings[0].verdict.word(), "change");
        // At 2.2 mph, 38.72 in/s, the alley lies 1.84 in ahead: 20.84 or 17.16, on 0.25 in.
        let outcome = speed_law::setback_at(&inputs, &common(), &mph(22), None);
        let on_step = if raising_moves == Direction::Back { 20.75 } else { 17.25 };
        near(outcome.settings[0].set.number(), on_step);
    }
}

/// Least squares by the sums of the textbooks, uncentred, and both intervals.
struct Fit {
    slope: f64,
    intercept: f64,
    slope_error: f64,
    intercept_error: f64,
    sd: f64,
    n: f64,
    mean: f64,
    sxx: f64,
}

fn fit(points: &[(f64, f64)]) -> Fit {
    let n = points.len() as f64;
    let sum = |f: fn(&(f64, f64)) -> f64| points.iter().map(f).sum::<f64>();
    let (x, y) = (sum(|p| p.0), sum(|p| p.1));
    let (xx, xy) = (sum(|p| p.0 * p.0), sum(|p| p.0 * p.1));
    let det = n * xx - x * x;
    let (slope, intercept) = ((n * xy - x * y) / det, (y * xx - x * xy) / det);
    let left: f64 = points.iter().map(|(x, y)| (y - intercept - slope * x).powi(2)).sum();
    let sd = (left / (n - 2.0)).sqrt();
    Fit {
        slope,
        intercept,
        slope_error: sd * (n / det).sqrt(),
        intercept_error: sd * (xx / det).sqrt(),
        sd,
        n,
        mean: x / n,
        sxx: det / n,
    }
}

#[test]
fn scattered_points_give_the_least_squares_line_and_its_intervals() {
    let measured =
        [(22, vec![1.3, 1.75, 1.1]), (28, vec![2.9, 2.5, 3.05, 2.6]), (34, vec![4.4, 3.8, 4.05])];
    let points: Vec<(f64, f64)> =
        measured.iter().flat_map(|(v, ys)| ys.iter().map(|y| (along(*v), *y))).collect();
    let runs = measured.iter().map(|(speed, ahead)| run(*speed, None, ahead)).collect();
    let inputs = inputs(runs);
    let outcome = speed_law::setback_at(&inputs, &common(), &mph(30), None);
    let fit = fit(&points);
    near(value(&outcome, "distance part"), fit.intercept);
    near(value(&outcome, "latency"), fit.slope);
    near(value(&outcome, "standard error intercept alley centre"), fit.intercept_error);
    near(value(&outcome, "standard error slope alley centre"), fit.slope_error);
    near(value(&outcome, "residual SD alley centre"), fit.sd);
    let t = StudentsT::new(0.0, 1.0, fit.n - 2.0).expect("df").inverse_cdf(0.975);
    let leverage = |x: f64| 1.0 / fit.n + (x - fit.mean).powi(2) / fit.sxx;
    let here = fit.intercept + fit.slope * along(30);
    let (mean, next) =
        (t * fit.sd * leverage(along(30)).sqrt(), t * fit.sd * (1.0 + leverage(along(30))).sqrt());
    near(value(&outcome, "low mean alley centre at 3.0 mph"), here - mean);
    near(value(&outcome, "high next alley centre at 3.0 mph"), here + next);

    // The table: every row from the line, the ends widest, "outside" where nobody drove.
    let cab = Cab { from: mph(20), to: mph(36), step: mph(4) };
    let outcome = speed_law::setback_at(&inputs, &common(), &mph(30), Some(&cab));
    let rows = &outcome.tables[0].rows;
    assert_eq!(rows.len(), 5);
    for (row, tenths) in rows.iter().zip([20, 24, 28, 32, 36]) {
        let number = |cell: &Cell| match cell {
            Cell::Number(number, _) => *number,
            other => panic!("{other:?}"),
        };
        let x = along(tenths);
        near(number(&row[0]), tenths as f64 / 10.0);
        near(number(&row[1]), 19.0 + fit.intercept + fit.slope * x);
        near(number(&row[2]), t * fit.sd * leverage(x).sqrt());
        near(number(&row[3]), t * fit.sd * (1.0 + leverage(x)).sqrt());
        let outside = matches!(&row[4], Cell::Text(text) if text == "outside");
        assert_eq!(outside, !(22..=34).contains(&tenths), "{tenths}");
    }
}

#[test]
fn speeds_that_were_not_driven_are_warned_of() {
    let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead])).to_vec();
    for (tenths, outside) in [(19, true), (20, false), (33, false), (40, false), (41, true)] {
        let outcome = speed_law::setback_at(&inputs(runs.clone()), &common(), &mph(tenths), None);
        assert_eq!(warned(&outcome, "outside-speeds"), outside, "{tenths}");
    }
}

#[test]
fn two_speeds_are_warned_of_and_three_are_not() {
    let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead, ahead + 0.5])).to_vec();
    let outcome = speed_law::calibrate(&inputs(runs[..2].to_vec()), &common());
    assert!(warned(&outcome, "two-speeds"));
    assert!(!warned(&speed_law::calibrate(&inputs(runs), &common()), "two-speeds"));
    // One alley each: a line, and nothing to judge it by.
    let single = EXACT[..2].iter().map(|(speed, ahead)| run(*speed, None, &[*ahead])).collect();
    let outcome = speed_law::setback_at(&inputs(single), &common(), &mph(25), None);
    let verdict = &outcome.settings[0].verdict;
    let words = "for 2.5 mph; the scatter is not known: measure more alleys";
    assert_eq!((verdict.word(), verdict.reason()), ("measure more", words));
    assert!(outcome.tables[0].rows.iter().all(|row| matches!(row[2], Cell::Empty)));
}

/// Marks that stand 2 in short shift alleys out ahead and alleys home back by as much. Driven
/// both ways at every speed they leave the law alone, however many alleys each run holds.
#[test]
fn marks_off_their_line_do_not_tilt_the_law() {
    for counts in [[(2, 2), (2, 2), (2, 2)], [(6, 1), (2, 3), (1, 5)]] {
        let mut runs = Vec::new();
        for ((speed, ahead), (out, home)) in EXACT.into_iter().zip(counts) {
            runs.push(run(speed, Some(Heading::Out), &vec![ahead + 2.0; out]));
            runs.push(run(speed, Some(Heading::Home), &vec![ahead - 2.0; home]));
        }
        let outcome = speed_law::calibrate(&inputs(runs), &common());
        near(value(&outcome, "distance part"), -3.0);
        near(value(&outcome, "latency"), 0.125);
        assert!(!warned(&outcome, "mixed-speed-headings"));
    }
    // Slow runs out and fast runs home can't be told apart from speed: 5.8 - 2 against 1.4 + 2.
    let mixed = vec![run(20, Some(Heading::Out), &[3.4]), run(40, Some(Heading::Home), &[3.8])];
    let outcome = speed_law::calibrate(&inputs(mixed), &common());
    assert!(warned(&outcome, "mixed-speed-headings"));
    near(value(&outcome, "latency"), 0.4 / 35.2);
}

/// Free fall at g = 9.80665 m/s2, h = g t^2 / 2: 0.05 s 0.0122583125 m, 0.10 s 0.04903325 m, 1 m
/// 0.4516 s (arithmetic).
#[test]
fn latency_is_held_against_free_fall() {
    for (metres, seconds) in [("0.0122583125 m", 0.05), ("0.04903325 m", 0.10)] {
        let height = Length::parse(metres, None).expect("a height");
        for units in [Units::METRIC, Units::US] {
            near(fall_time(&units.length("drop height", &height), &units).number(), seconds);
        }
    }
    let metre = Length::parse("1 m", None).expect("a height");
    let fall = fall_time(&Units::US.length("drop height", &metre), &Units::US).number();
    assert!((fall - 0.4516).abs() < 5e-5, "{fall}");

    let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead])).to_vec();
    for (height, beyond, below) in [("0.04903325 m", 0.025, false), ("1 m", -0.3266, true)] {
        let mut inputs = inputs(runs.clone());
        inputs.drop_height = Length::parse(height, None).ok();
        let outcome = speed_law::calibrate(&inputs, &common());
        assert!((value(&outcome, "latency beyond free fall") - beyond).abs() < 5e-5);
        assert_eq!(warned(&outcome, "below-fall-time"), below, "{height}");
    }
}

/// Alleys 20, 24 and 28 in behind their marks at 2, 3 and 4 mph: at 4 mph the setback of 19 in,
/// which moves the alley back, would have to come down by 28, to 19 - 28 = -9.
#[test]
fn a_setback_below_zero_is_warned_of() {
    let behind = |tenths, inches: f64| run(tenths, None, &[-inches, 0.5 - inches, -0.5 - inches]);
    let runs = vec![behind(20, 20.0), behind(30, 24.0), behind(40, 28.0)];
    let outcome = speed_law::setback_at(&inputs(runs), &common(), &mph(40), None);
    near(outcome.settings[0].set.number(), -9.0);
    assert!(warned(&outcome, "below-zero"));
    let ahead = vec![run(20, None, &[2.0]), run(30, None, &[3.0]), run(40, None, &[4.0])];
    assert!(!warned(
        &speed_law::setback_at(&inputs(ahead), &common(), &mph(30), None),
        "below-zero"
    ));
}

/// A speed that was also driven without a note of the heading can't be told from the mark line.
#[test]
fn runs_without_a_heading_among_others_leave_the_mark_line_alone() {
    let mut runs = Vec::new();
    for (speed, ahead) in EXACT {
        runs.push(run(speed, Some(Heading::Out), &[ahead + 2.0]));
        runs.push(run(speed, Some(Heading::Home), &[ahead - 2.0]));
    }
    runs.push(run(30, None, &[3.6]));
    let outcome = speed_law::calibrate(&inputs(runs), &common());
    assert!(warned(&outcome, "mixed-speed-headings"));
    assert!(!outcome.values.iter().any(|value| value.name() == Some("error of the mark line")));
}

/// At 3 mph the alley lies 3.6 in ahead, which a setback of 15 in has to take out.
#[test]
fn a_change_smaller_than_its_interval_is_not_made() {
    let at = |now: f64, ahead: [f64; 2]| {
        let runs = EXACT.map(|(speed, mean)| run(speed, None, &ahead.map(|off| mean + off)));
        let mut inputs = inputs(runs.to_vec());
        let setback = inputs.setback.as_mut().expect("a setback");
        (setback.now, setback.step) = (inches(now), Some(inches(0.5)));
        let outcome = speed_law::setback_at(&inputs, &common(), &mph(30), None);
        let result = &outcome.settings[0];
        (result.verdict.word(), result.verdict.reason().to_owned(), result.set.number())
    };
    // 15 + 3.6 is 18.5 on the step, and more than any scatter away: t as below x sqrt(6 x 0.01 /
    // 4) / sqrt(6) = 0.139 in.
    let (word, reason, set) = at(15.0, [-0.1, 0.1]);
    assert_eq!((word, set), ("change", 18.5));
    assert_eq!(reason, "for 3.0 mph, give or take 0.139 in: raise it by 3.5 in");
    // Alleys of which one lies 8 in ahead of the other: t 2.776 at 4 degrees of freedom (NIST/
    // SEMATECH e-Handbook 1.3.6.7.2) x sqrt(6 x 16 / 4) / sqrt(6) = 5.55 in either way.
    let (word, reason, set) = at(15.0, [-4.0, 4.0]);
    assert_eq!((word, set), ("keep", 15.0), "what is kept is what is set");
    assert_eq!(reason, "for 3.0 mph, give or take 5.55 in: not told apart from the present one");
}

#[test]
fn a_setback_that_comes_out_as_it_is_is_kept() {
    // -3.6 in of shift on a setback of 3.6 in is nothing left, and nothing below it.
    let behind = EXACT.map(|(speed, ahead)| run(speed, None, &[-ahead, -ahead])).to_vec();
    let mut inputs = inputs(behind);
    let setback = inputs.setback.as_mut().expect("a setback");
    (setback.now, setback.step) = (inches(3.5), Some(inches(0.5)));
    let outcome = speed_law::setback_at(&inputs, &common(), &mph(30), None);
    near(outcome.settings[0].set.number(), 0.0);
    assert!(!warned(&outcome, "below-zero"));
    // 0.2 in ahead at every speed is less than half a step of 0.5 in.
    let still = [20, 30, 40].map(|speed| run(speed, None, &[0.2, 0.2])).to_vec();
    let outcome =
        speed_law::setback_at(&Inputs { runs: still, ..inputs }, &common(), &mph(30), None);
    assert_eq!(outcome.settings[0].verdict.word(), "keep");
    assert!(outcome.settings[0].verdict.reason().starts_with("for 3.0 mph"));
    assert!(!outcome.settings[0].verdict.reason().contains("told apart"));
}

#[test]
fn the_speeds_driven_are_given_on_the_gauge() {
    let runs = EXACT[..2].iter().map(|(speed, ahead)| run(*speed, None, &[*ahead])).collect();
    let outcome = speed_law::setback_at(&inputs(runs), &common(), &mph(40), None);
    let said = |code: &str| {
        let found = outcome.warnings.iter().find(|warning| warning.kind.code == code);
        found.map(|warning| warning.message.as_str())
    };
    let law = "the law rests on two speeds (2 to 3 mph); two points always lie on a line";
    assert_eq!(said("two-speeds"), Some(law));
    let outside = "4.0 mph lies outside the speeds that were driven (2 to 3 mph); the line is \
                   stretched";
    assert_eq!(said("outside-speeds"), Some(outside));
}

#[test]
fn one_row_of_a_cab_table_is_no_curve() {
    let runs = EXACT.map(|(speed, ahead)| run(speed, None, &[ahead])).to_vec();
    for (to, rows, curves) in [(30, 1, 0), (31, 2, 1)] {
        let cab = Cab { from: mph(30), to: mph(to), step: mph(1) };
        let outcome = speed_law::setback_at(&inputs(runs.clone()), &common(), &mph(30), Some(&cab));
        assert_eq!((outcome.tables[0].rows.len(), outcome.pictures.len()), (rows, curves));
    }
}

/// The mark line lies 2 in off. At 4 mph nobody drove out, so that the centres there can't be
/// told from it; nothing is taken out at the speeds that were driven both ways either.
#[test]
fn a_speed_that_was_driven_one_way_only_leaves_the_mark_line_alone() {
    for once in [Heading::Home, Heading::Out] {
        let mut runs = Vec::new();
        for (speed, ahead) in EXACT {
            for (heading, off) in [(Heading::Out, 2.0), (Heading::Home, -2.0)] {
                if speed != 40 || heading == once {
                    runs.push(run(speed, Some(heading), &[ahead + off]));
                }
            }
        }
        let outcome = speed_law::calibrate(&inputs(runs), &common());
        assert!(warned(&outcome, "mixed-speed-headings"), "{once:?}");
        let names = outcome.values.iter().filter_map(|value| value.name());
        assert!(names.into_iter().all(|name| !name.contains("mark line")), "{once:?}");
        // Least squares over speeds of -1, -1, 0, 0 and 1 mph from 3 mph, mean -0.2, sum of
        // squares 3 - 5 x 0.04 = 2.8: twice 2 in either way cancel out, and the single alley at
        // 4 mph tilts the line by (1 + 0.2) x its own 2 in / 2.8.
        let off = if once == Heading::Out { 2.0 } else { -2.0 };
        near(value(&outcome, "latency"), 0.125 + 1.2 * off / 2.8 / 17.6);
    }
}

/// 5 mph are 8.04672 km/h and 2.2352 m/s exactly: one speed, however it was typed.
#[test]
fn a_speed_typed_in_two_units_is_one_speed() {
    let typed = |text: &str, ahead: f64| SpeedAlleys {
        speed: Speed::parse(text, None).expect("a speed"),
        ..run(30, None, &[ahead])
    };
    for length in [LengthUnit::Inch, LengthUnit::Centimetre, LengthUnit::Millimetre] {
        let units = Units { length, ..Units::US };
        let runs = vec![
            typed("5 mph", 8.0),
            typed("8.04672 km/h", 8.0),
            typed("2.2352 m/s", 8.0),
            typed("4 mph", 5.8),
        ];
        let outcome = speed_law::calibrate(&inputs(runs), &Common::new(units));
        assert!(warned(&outcome, "two-speeds"), "{length:?}");
    }
    // Driven both ways, and marks 2 in off their line: 8 in and 16.8 in ahead at 5 and 9 mph.
    let both = vec![
        headed(typed("5 mph", 10.0), Heading::Out),
        headed(typed("2.2352 m/s", 6.0), Heading::Home),
        headed(typed("9 mph", 18.8), Heading::Out),
        headed(typed("9 mph", 14.8), Heading::Home),
    ];
    let outcome = speed_law::calibrate(&inputs(both), &common());
    assert!(!warned(&outcome, "mixed-speed-headings"));
    near(value(&outcome, "distance part"), -3.0);
    near(value(&outcome, "latency"), 0.125);
}

fn headed(mut one: SpeedAlleys, heading: Heading) -> SpeedAlleys {
    one.run.heading = Some(heading);
    one
}

/// In 0.2 s seed falls 9.80665 x 0.2 x 0.2 / 2 = 0.196133 m, and 17.6 in/s go 3.52 in.
#[test]
fn a_latency_is_too_short_only_below_free_fall() {
    let runs = vec![run(10, None, &[3.52]), run(20, None, &[7.04])];
    for (height, said) in [
        ("0.19 m", None),
        ("0.196133 m", None),
        // sqrt(2 x 0.2 / 9.80665) = 0.20196
        ("0.2 m", Some("the latency of 0.2 s is shorter than the free fall of 0.202 s")),
    ] {
        let drop_height = Some(Length::parse(height, None).expect("a length"));
        let outcome =
            speed_law::calibrate(&Inputs { drop_height, ..inputs(runs.clone()) }, &common());
        let mut found = outcome.warnings.iter();
        let found = found.find(|warning| warning.kind.code == "below-fall-time");
        assert_eq!(found.map(|warning| warning.message.as_str()), said, "{height}");
    }
}

/// Middles 3, 3, 3 in ahead at 2 mph and 5, 5, 5 in at 3 mph: all on a line. Their scatter is not
/// nothing, it is not known, and 20 mph lies far beyond what was driven: 15 in stays.
#[test]
fn where_all_alleys_lie_on_a_line_the_scatter_is_not_known() {
    let runs = || vec![run(20, None, &[3.0, 3.0, 3.0]), run(30, None, &[5.0, 5.0, 5.0])];
    let at = |tenths| {
        let mut inputs = inputs(runs());
        inputs.setback.as_mut().expect("a setback").step = Some(inches(0.5));
        let outcome = speed_law::setback_at(&inputs, &common(), &mph(tenths), None);
        let result = &outcome.settings[0];
        let said = (result.verdict.word(), result.verdict.reason().to_owned());
        assert!(warned(&outcome, "scatter-small"));
        for step in outcome.working() {
            let line = step.to_string();
            assert!(!line.starts_with("half width") && !line.contains("standard error"), "{line}");
        }
        let Cell::Number(..) = outcome.tables[0].rows[0][1] else { panic!("a setback") };
        let unknown = &outcome.tables[0].rows[0][2..4];
        assert!(unknown.iter().all(|cell| matches!(cell, Cell::Empty)), "{unknown:?}");
        (said, result.set.number())
    };
    let far = "for 20.0 mph; the scatter is not known: measure alleys at that speed";
    assert_eq!(at(200), (("measure more", far.into()), 19.0));
    // At 2.5 mph they lie 4 in ahead: 19 + 4.
    let near = "for 2.5 mph; the scatter is not known: raise it by 4 in";
    assert_eq!(at(25), (("change", near.into()), 23.0));
}

/// Middles 0.1 in either side of the same shift at three speeds: 2.776 (t of 4 degrees of freedom,
/// NIST/SEMATECH e-Handbook 1.3.6.7.2) x sqrt(6 x 0.01 / 4) / sqrt(6) = 0.139 in at the middle
/// speed.
#[test]
fn what_is_said_of_the_tolerance_is_true_of_the_interval() {
    let at = |tolerance: f64, shift: f64| {
        let runs = [20, 30, 40].map(|speed| run(speed, None, &[shift - 0.1, shift + 0.1])).to_vec();
        let inputs = Inputs { tolerance: Some(inches(tolerance)), ..inputs(runs) };
        let outcome = speed_law::setback_at(&inputs, &common(), &mph(30), None);
        let result = &outcome.settings[0];
        assert_eq!(result.set.number() == 19.0, result.verdict.word() != "change");
        assert!(result.verdict.reason().starts_with("for 3.0 mph, give or take 0.139 in: "));
        (result.verdict.word(), result.verdict.is_inside())
    };
    // 0.8 + 0.139 is inside 1; 0.9 + 0.139 is not, and told apart from nothing.
    assert_eq!(at(1.0, 0.8), ("keep", true));
    assert_eq!(at(1.0, 0.9), ("change", false));
    // 0.1 is not told apart from nothing, and 0.1 + 0.139 reaches beyond 0.2.
    assert_eq!(at(0.2, 0.1), ("measure more", false));
}
