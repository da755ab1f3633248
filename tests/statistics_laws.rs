//! The statistics by their own laws, and their printed lines on another calculator.

#![allow(clippy::expect_used)]

use alleytrue::quantity::{Decimal, Unit, round_half_away};
use alleytrue::statistics::{
    Confidence, Line, MOST_READINGS, Summary, Taken, mean, modified_z, more_readings,
    paired_difference, slope,
};
use alleytrue::working::{Value, steps};
use proptest::prelude::*;

const USUAL: Confidence = Confidence::NINETY_FIVE;

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// Hundredths as the readings a tape gives.
fn tape(hundredths: &[i64]) -> Vec<Value> {
    hundredths
        .iter()
        .map(|mantissa| Value::typed("reading", Decimal::new(*mantissa, 2), Unit::ONE))
        .collect()
}

/// Two readings or more.
fn readings() -> impl Strategy<Value = Vec<i64>> {
    let near = (100_i64..30_000).prop_flat_map(|level| {
        prop::collection::vec((-200_i64..=200).prop_map(move |off| level + off), 2..30)
    });
    let signed = prop::collection::vec(-3_000_i64..3_000, 2..30);
    prop_oneof![near, signed]
}

/// Three points or more, not all at one x.
fn points() -> impl Strategy<Value = Vec<(i64, i64)>> {
    prop::collection::vec((100_i64..9_000, -3_000_i64..3_000), 3..20)
        .prop_filter("a range of x", |points| points.iter().any(|(x, _)| *x != points[0].0))
}

fn sd(readings: &[Value]) -> f64 {
    spread(readings).0
}

/// SD and half width.
fn spread(readings: &[Value]) -> (f64, f64) {
    let summary = Summary::of("reading", readings, USUAL).expect("readings");
    let spread = summary.spread.expect("a spread");
    (spread.sd.number(), spread.interval.half_width.number())
}

fn middle(readings: &[Value]) -> f64 {
    mean("reading", readings).expect("readings").number()
}

fn pairs(points: &[(i64, i64)]) -> Vec<(Value, Value)> {
    let (xs, ys): (Vec<i64>, Vec<i64>) = points.iter().copied().unzip();
    tape(&xs).into_iter().zip(tape(&ys)).collect()
}

fn close(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= 1e-11 * scale.abs().max(1.0)
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn shifting_readings_shifts_the_mean_only(hundredths in readings(), shift in -5_000_i64..5_000) {
        let (before, after) =
            (tape(&hundredths), tape(&hundredths.iter().map(|x| x + shift).collect::<Vec<_>>()));
        let moved = Decimal::new(shift, 2).value();
        prop_assert!(close(middle(&after), middle(&before) + moved, 300.0));
        prop_assert!(close(sd(&after), sd(&before), 1.0));
    }

    #[test]
    fn scaling_readings_scales_mean_and_spread(hundredths in readings(), factor in 1_i64..40) {
        for factor in [factor, -factor] {
            let scaled: Vec<i64> = hundredths.iter().map(|x| x * factor).collect();
            let (before, after) = (tape(&hundredths), tape(&scaled));
            let times = Decimal::new(factor, 0).value();
            prop_assert!(close(middle(&after), middle(&before) * times, 300.0 * times));
            prop_assert!(close(sd(&after), sd(&before) * times.abs(), 300.0 * times));
        }
    }

    #[test]
    fn order_does_not_matter(hundredths in readings(), turn in 0_usize..30) {
        let mut turned = hundredths.clone();
        turned.rotate_left(turn % hundredths.len());
        turned.reverse();
        let (before, after) = (tape(&hundredths), tape(&turned));
        prop_assert!(close(middle(&after), middle(&before), 300.0));
        prop_assert!(close(sd(&after), sd(&before), 1.0));
        let scores = |values: &[Value]| modified_z("reading", values).expect("readings");
        let (one, other) = (scores(&before), scores(&after));
        prop_assert_eq!(one.median.number(), other.median.number());
        prop_assert_eq!(one.flagged.len(), other.flagged.len());
    }

    #[test]
    fn the_interval_narrows_with_more_of_the_same(hundredths in readings()) {
        let twice: Vec<i64> = hundredths.iter().chain(&hundredths).copied().collect();
        let (few, many) = (spread(&tape(&hundredths)).1, spread(&tape(&twice)).1);
        prop_assert!(many < few || few == 0.0 && many == 0.0, "{many} and {few}");
    }

    #[test]
    fn readings_all_alike_have_no_spread_and_no_nan(hundredths in -30_000_i64..30_000, count in 2_usize..40) {
        let readings = tape(&vec![hundredths; count]);
        prop_assert_eq!(spread(&readings), (0.0, 0.0));
        let outliers = modified_z("reading", &readings).expect("readings");
        prop_assert!(outliers.scores.iter().all(|score| score.number() == 0.0));
        prop_assert!(outliers.flagged.is_empty());
        let pairs: Vec<_> = readings.iter().cloned().zip(tape(&vec![1_234; count])).collect();
        let test = paired_difference("lead", &pairs).expect("pairs");
        prop_assert!(test.t.is_none() && test.standard_error.number() == 0.0);
        prop_assert_eq!(test.differs_from_zero(USUAL), hundredths != 1_234);
    }

    // Leads worked out from other readings: equal in decimals, apart by noise in binary.
    #[test]
    fn differences_all_alike_have_no_spread(starts in readings(), lead in -500_i64..500) {
        let ends: Vec<i64> = starts.iter().map(|start| start + lead).collect();
        let pairs: Vec<_> = tape(&ends).into_iter().zip(tape(&starts)).collect();
        let test = paired_difference("lead", &pairs).expect("pairs");
        prop_assert_eq!(test.standard_error.number(), 0.0);
        prop_assert_eq!(test.differs_from_zero(USUAL), lead != 0);
    }

    #[test]
    fn the_prediction_interval_holds_the_confidence_interval(points in points(), x in 0_i64..12_000) {
        let line = Line::fit("x", "y", &pairs(&points)).expect("a line");
        let there = line.predict("there", &tape(&[x])[0], USUAL);
        let ranges = there.ranges.expect("ranges");
        prop_assert!(ranges.next.low.number() <= ranges.mean.low.number());
        prop_assert!(ranges.mean.low.number() <= there.fit.number());
        prop_assert!(there.fit.number() <= ranges.mean.high.number());
        prop_assert!(ranges.mean.high.number() <= ranges.next.high.number());
        let (least, most) = points.iter().fold((x, x), |(a, b), (px, _)| (a.min(*px), b.max(*px)));
        let beyond = points.iter().all(|(px, _)| *px < x) || points.iter().all(|(px, _)| *px > x);
        prop_assert_eq!(there.inside, !beyond, "{} in {} to {}", x, least, most);
    }

    #[test]
    fn the_line_goes_through_the_means_and_r_is_a_share(points in points()) {
        let line = Line::fit("x", "y", &pairs(&points)).expect("a line");
        let there = line.predict("mean", &line.mean_x, USUAL);
        prop_assert!(close(there.fit.number(), line.mean_y.number(), 3000.0));
        if let Some(r) = &line.correlation {
            prop_assert!(r.number().abs() <= 1.0 + 1e-12);
            prop_assert!(r.number() * line.slope.number() >= 0.0);
        }
    }

    // Points on a line in decimals: no residuals, no t, no NaN; a level one has slope 0.
    #[test]
    fn points_on_a_line_have_no_scatter(
        xs in prop::collection::vec(1_i64..900, 3..20),
        slope in -50_i64..50,
        start in -2_000_i64..2_000,
    ) {
        prop_assume!(xs.iter().any(|x| *x != xs[0]));
        let points: Vec<(i64, i64)> = xs.iter().map(|x| (*x, start + slope * x)).collect();
        let line = Line::fit("x", "y", &pairs(&points)).expect("a line");
        prop_assert!(close(line.slope.number(), Decimal::new(slope, 0).value(), 50.0));
        let scatter = line.scatter.as_ref().expect("scatter");
        prop_assert_eq!(scatter.residual_sd.number(), 0.0);
        let test = line.slope_test().expect("three points");
        prop_assert!(test.t.is_none() && test.p.is_none());
        prop_assert_eq!(test.differs_from_zero(USUAL), slope != 0);
        prop_assert_eq!(line.correlation.is_none(), slope == 0);
    }

    #[test]
    fn more_readings_always_ends(
        sd in prop::num::f64::POSITIVE | prop::num::f64::ZERO,
        floor in prop::num::f64::POSITIVE | prop::num::f64::ZERO,
        wanted in prop::num::f64::POSITIVE,
        confidence in 0.01_f64..0.999,
    ) {
        prop_assume!(sd.is_finite() && floor.is_finite() && wanted.is_finite());
        let [sd, floor, wanted] = [sd, floor, wanted].map(Value::constant);
        let taken = Taken::one_kind(1);
        let level = Confidence::new(confidence).expect("a fraction");
        let need = more_readings("x", &taken, Some(&sd), Some(&floor), &wanted, level);
        let need = need.expect("a scatter");
        let in_all = need.in_all.number();
        prop_assert!((2.0..=f64::from(MOST_READINGS)).contains(&in_all));
        prop_assert_eq!(need.more.number(), in_all - 1.0);
        prop_assert_eq!(need.more_than, need.half_width.number() > wanted.number());
    }

    #[test]
    fn a_wider_scatter_never_needs_fewer(sd in 0.01_f64..5.0, more in 0.0_f64..5.0, wanted in 0.1_f64..3.0) {
        let [sd, floor, wanted] = [sd, sd + more, wanted].map(Value::constant);
        let taken = Taken::one_kind(1);
        let need = |floor| {
            more_readings("x", &taken, Some(&sd), floor, &wanted, USUAL).expect("a scatter").in_all
        };
        prop_assert!(need(Some(&floor)).number() >= need(None).number());
    }
}

#[test]
fn what_cannot_be_computed_is_none() {
    let one = tape(&[1_250]);
    let single = Summary::of("reading", &one, USUAL).expect("a reading");
    assert!(single.spread.is_none() && single.mean.number() == 12.5);
    assert!(Summary::of("reading", &[], USUAL).is_none() && mean("reading", &[]).is_none());
    assert!(modified_z("reading", &[]).is_none());
    assert!(paired_difference("lead", &pairs(&[(1, 2)])).is_none());
    assert!(slope("lead", &[(1, one[0].clone()), (2, one[0].clone())]).is_none());
    let two = Line::fit("x", "y", &pairs(&[(100, 200), (300, 500)])).expect("a line");
    assert!(two.scatter.is_none() && two.slope_test().is_none());
    assert!(two.predict("x", &one[0], USUAL).ranges.is_none());
    assert!(Line::fit("x", "y", &pairs(&[(100, 200), (100, 500), (100, 300)])).is_none());
    let none = |sd, wanted: f64| {
        more_readings("x", &Taken::one_kind(12), sd, None, &Value::constant(wanted), USUAL)
            .is_none()
    };
    assert!(none(None, 1.0) && none(Some(&one[0]), 0.0) && none(Some(&one[0]), f64::NAN));
}

#[test]
fn readings_beyond_the_cap_are_more_than_it() {
    let [sd, wanted] = [100.0, 0.01].map(Value::constant);
    let taken = Taken::one_kind(1);
    let need = more_readings("x", &taken, Some(&sd), None, &wanted, USUAL).expect("a scatter");
    assert!(need.more_than);
    assert_eq!(need.in_all.number(), f64::from(MOST_READINGS));
}

// With MAD 0 the mean deviation judges: n/1.253314 for one of n that differs: 5.59 of
// seven, whose limit is 5.81, and 6.38 of eight, whose limit is 4.89.
#[test]
fn one_reading_that_differs_is_flagged_from_eight_on() {
    let flagged = |readings: &[i64]| modified_z("x", &tape(readings)).expect("readings").flagged;
    assert_eq!(flagged(&[10, 10, 10, 11]), Vec::<usize>::new());
    assert_eq!(flagged(&[10, 10, 11, 10, 10, 10, 10]), Vec::<usize>::new());
    assert_eq!(flagged(&[10, 10, 11, 10, 10, 10, 10, 10]), [2]);
    assert_eq!(flagged(&[10, 10, 10, 10, 10, 10, 10, 100]), [7]);
}

/// The number another calculator gets for a printed formula, or what went wrong.
fn fend(formula: &str) -> Result<f64, String> {
    let mut context = fend_core::Context::new();
    let asked = format!("({formula}) to 30 dp");
    let answer = fend_core::evaluate(&asked, &mut context)?;
    let text = answer.get_main_result().trim_start_matches("approx. ");
    text.parse().map_err(|_| format!("{asked} gave {text}"))
}

/// [`lines_work_out`] with room for the calculator, which calls itself for every bracket.
fn check_lines(outputs: &[Value]) -> Result<(), TestCaseError> {
    let lines: Vec<String> = steps(outputs).iter().map(ToString::to_string).collect();
    let roomy = std::thread::Builder::new().stack_size(256 << 20);
    let checked = roomy.spawn(move || lines_work_out(&lines)).expect("a thread");
    checked.join().expect("an answer")
}

/// Every printed line of the working, its numbers fed to another calculator, gives the
/// printed result.
fn lines_work_out(lines: &[String]) -> Result<(), TestCaseError> {
    for line in lines {
        let parts: Vec<&str> = line.split(" = ").collect();
        let [name, .., numbers, result] = parts[..] else {
            return Err(TestCaseError::fail(format!("no line: {line}")));
        };
        prop_assert!(!name.is_empty());
        let result = result.split_whitespace().next().unwrap_or_default();
        // A found or single number is printed once, after the words that say whence.
        let numbers = if parts.len() == 3 { result } else { numbers };
        let places = result.split_once('.').map_or(0, |(_, fraction)| fraction.len());
        let worked = fend(numbers).map_err(TestCaseError::fail)?;
        prop_assert_eq!(round_half_away(worked, places), result, "{}", line);
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn printed_lines_of_a_summary_work_out(hundredths in readings()) {
        let summary = Summary::of("reading", &tape(&hundredths), USUAL).expect("readings");
        let interval = summary.spread.expect("a spread").interval;
        check_lines(&[interval.low, interval.high])?;
    }

    #[test]
    fn printed_lines_of_a_line_work_out(points in points(), x in 0_i64..12_000) {
        let line = Line::fit("x", "y", &pairs(&points)).expect("a line");
        let there = line.predict("there", &tape(&[x])[0], USUAL);
        let ranges = there.ranges.expect("ranges");
        let scatter = line.scatter.as_ref().expect("scatter");
        let mut outputs = vec![ranges.mean.low, ranges.mean.high, ranges.next.low, ranges.next.high];
        outputs.extend([scatter.slope_error.clone(), scatter.intercept_error.clone()]);
        outputs.extend(line.correlation.clone());
        outputs.extend(line.slope_test().and_then(|test| test.t));
        check_lines(&outputs)?;
    }

    #[test]
    fn printed_lines_of_scores_work_out(hundredths in readings()) {
        let outliers = modified_z("reading", &tape(&hundredths)).expect("readings");
        check_lines(&outliers.scores)?;
    }

    #[test]
    fn printed_lines_of_a_pair_work_out(points in points()) {
        let test = paired_difference("lead", &pairs(&points)).expect("pairs");
        check_lines(&[test.estimate.clone(), test.standard_error.clone()])?;
        check_lines(test.t.as_slice())?;
    }

    #[test]
    fn printed_lines_of_more_readings_work_out(sd in 1_i64..900, floor in 1_i64..900, wanted in 20_i64..400) {
        let [sd, floor, wanted] =
            [Decimal::new(sd, 2), Decimal::new(floor, 2), Decimal::new(wanted, 2)]
                .map(|number| Value::typed("given", number, Unit::ONE));
        for taken in [Taken::one_kind(4), Taken::both_ways(1, 3)] {
            let need = more_readings("lead", &taken, Some(&sd), Some(&floor), &wanted, USUAL)
                .expect("a scatter");
            check_lines(&[need.half_width, need.more])?;
        }
    }

    #[test]
    fn printed_lines_of_a_drift_work_out(hundredths in readings()) {
        prop_assume!(hundredths.len() > 2);
        let readings: Vec<(u32, Value)> = (1..).zip(tape(&hundredths)).collect();
        let drift = slope("readout", &readings).expect("readings");
        check_lines(&[drift.estimate.clone(), drift.standard_error.clone()])?;
        check_lines(drift.t.as_slice())?;
    }
}
