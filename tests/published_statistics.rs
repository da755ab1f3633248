//! The statistics against values published elsewhere; the source stands beside each check.

#![allow(clippy::expect_used)]

use alleytrue::quantity::{clean, round_half_away};
use alleytrue::statistics::student_t::{critical, two_sided_tail};
use alleytrue::statistics::{
    Confidence, Line, Spread, Summary, Taken, mean, modified_z, more_readings, paired_difference,
    slope,
};
use alleytrue::working::Value;

const MAVRO: &str = include_str!("data/nist-strd-mavro.txt");
const MICHELSO: &str = include_str!("data/nist-strd-michelso.txt");
const NORRIS: &str = include_str!("data/nist-strd-norris.txt");
const OXYGEN: &str = include_str!("data/textbook-oxygen-purity.txt");

fn rows(text: &str) -> impl Iterator<Item = Vec<Value>> + '_ {
    text.lines().filter(|line| !line.starts_with('#')).map(|line| {
        let numbers = line.split_whitespace().map(|word| word.parse().expect("a number"));
        numbers.map(Value::constant).collect()
    })
}

fn column(text: &str) -> Vec<Value> {
    rows(text).map(|row| row[0].clone()).collect()
}

fn points(text: &str) -> Vec<(Value, Value)> {
    rows(text).map(|row| (row[0].clone(), row[1].clone())).collect()
}

fn values(numbers: &[f64]) -> Vec<Value> {
    numbers.iter().copied().map(Value::constant).collect()
}

fn summary(readings: &[Value]) -> (Summary, Spread) {
    let summary = Summary::of("reading", readings, Confidence::NINETY_FIVE).expect("readings");
    let spread = summary.spread.clone().expect("a spread");
    (summary, spread)
}

/// Correct significant digits, as NIST counts them: -log10 of the relative error.
fn digits(value: &Value, certified: f64) -> f64 {
    let error = ((value.number() - certified) / certified).abs();
    if error == 0.0 { 17.0 } else { -error.log10() }
}

#[track_caller]
fn assert_digits(what: &str, value: &Value, certified: f64, least: f64) {
    let digits = digits(value, certified);
    println!("{what}: {digits:.1} digits");
    assert!(digits >= least, "{what}: {} against {certified}: {digits} digits", value.number());
}

/// `value` rounds to `printed` at the places of `printed`.
#[track_caller]
fn assert_rounds(value: f64, printed: &str) {
    let places = printed.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    assert_eq!(round_half_away(clean(value), places), printed, "{value}");
}

fn num_acc(first: f64, low: f64, high: f64) -> Vec<Value> {
    let mut numbers = vec![first];
    for _ in 0..500 {
        numbers.extend([low, high]);
    }
    values(&numbers)
}

// NIST StRD, univariate summary statistics (https://www.itl.nist.gov/div898/strd/univ/).
#[test]
fn nist_strd_univariate() {
    let sets = [
        ("Mavro", column(MAVRO), 50, 2.001_856, 0.000_429_123_454_003_053, 12.0),
        ("Michelso", column(MICHELSO), 100, 299.852_4, 0.079_010_547_819_051_8, 13.0),
        (
            "NumAcc1",
            values(&[10_000_001.0, 10_000_003.0, 10_000_002.0]),
            3,
            10_000_002.0,
            1.0,
            16.0,
        ),
        ("NumAcc2", num_acc(1.2, 1.1, 1.3), 1001, 1.2, 0.1, 14.0),
        // The data themselves, as doubles, have no better SD than 9.46 and 8.25 digits.
        ("NumAcc3", num_acc(1_000_000.2, 1_000_000.1, 1_000_000.3), 1001, 1_000_000.2, 0.1, 9.4),
        ("NumAcc4", num_acc(1e7 + 0.2, 1e7 + 0.1, 1e7 + 0.3), 1001, 10_000_000.2, 0.1, 8.2),
    ];
    for (name, readings, count, certified_mean, certified_sd, sd_digits) in sets {
        let (summary, spread) = summary(&readings);
        assert_eq!(summary.count.number(), f64::from(count), "{name}");
        assert_eq!(spread.degrees_of_freedom.number(), f64::from(count - 1), "{name}");
        assert_digits(&format!("{name} mean"), &summary.mean, certified_mean, 15.0);
        assert_digits(&format!("{name} SD"), &spread.sd, certified_sd, sd_digits);
    }
}

// GUM (JCGM 100:2008) 4.4.3: twenty temperatures.
#[test]
fn gum_4_4_3_temperatures() {
    let (summary, spread) = summary(&values(&[
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
        100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ]));
    assert_rounds(summary.mean.number(), "100.145");
    assert_rounds(spread.sd.number(), "1.489");
    assert_rounds(spread.interval.standard_error.number(), "0.333");
}

// NIST/SEMATECH e-Handbook 7.2.2: particle counts against 50.
#[test]
fn handbook_7_2_2_one_sample_t() {
    let (summary, spread) =
        summary(&values(&[50.0, 48.0, 44.0, 56.0, 61.0, 52.0, 53.0, 55.0, 67.0, 51.0]));
    assert_eq!(summary.mean.number(), 53.7);
    assert_rounds(spread.sd.number(), "6.567");
    let t = (&summary.mean - Value::constant(50.0)) / &spread.interval.standard_error;
    assert_rounds(t.number(), "1.782");
    assert_eq!(spread.degrees_of_freedom.number(), 9.0);
    assert_rounds(spread.interval.t.number(), "2.262");
    // The interval holds 50 just as the test does not reject it.
    assert!(spread.interval.low.number() < 50.0 && spread.interval.high.number() > 50.0);
}

// Manitoba Agriculture, Assessing soybean plant stands.
#[test]
fn manitoba_stand_count() {
    let counts = values(&[180.0, 169.0, 163.0, 175.0, 150.0, 162.0]);
    assert_eq!(mean("plants", &counts).expect("readings").number(), 166.5);
}

// NIST/SEMATECH e-Handbook 1.3.6.7.2, upper critical values of Student's t.
#[test]
fn handbook_1_3_6_7_2_table() {
    let table: [(f64, &[(u32, &str)]); 3] = [
        (
            0.95,
            &[
                (1, "12.706"),
                (2, "4.303"),
                (3, "3.182"),
                (4, "2.776"),
                (5, "2.571"),
                (6, "2.447"),
                (7, "2.365"),
                (8, "2.306"),
                (9, "2.262"),
                (10, "2.228"),
                (15, "2.131"),
                (20, "2.086"),
                (30, "2.042"),
                (60, "2.000"),
                (100, "1.984"),
            ],
        ),
        (0.99, &[(5, "4.032"), (9, "3.250"), (30, "2.750")]),
        (0.90, &[(5, "2.015"), (9, "1.833"), (30, "1.697")]),
    ];
    for (confidence, column) in table {
        let confidence = Confidence::new(confidence).expect("a fraction");
        for (df, printed) in column {
            assert_rounds(confidence.t(*df).expect("a t").number(), printed);
        }
    }
}

// NIST/SEMATECH e-Handbook 7.2.2.2: one-sided, alpha 0.05, beta 0.10, a shift of one sigma. The
// page's 0.5-sigma column doesn't follow its own formula and is left out.
#[test]
fn handbook_7_2_2_2_sample_size_with_two_risks() {
    let needed = |df| {
        // One-sided 0.95 and 0.90 are two-sided 0.90 and 0.80; the page works with three places.
        let risks = [0.90, 0.80].map(|two_sided| {
            let t = critical(two_sided, df).expect("a t");
            round_half_away(t, 3).parse::<f64>().expect("a number")
        });
        (risks[0] + risks[1]).powi(2)
    };
    let normal = needed(u32::MAX);
    assert_rounds(normal, "8.567");
    assert_eq!(normal.ceil(), 9.0);
    let with_t = needed(8);
    assert_rounds(with_t, "10.6");
    assert_eq!(with_t.ceil(), 11.0);
}

/// The same count found by trying every number in turn.
fn by_trying(sd: f64, wanted: f64, confidence: f64) -> u32 {
    (2..)
        .find(|n| {
            let t = critical(confidence, n - 1).expect("a t");
            t * sd / f64::from(*n).sqrt() <= wanted
        })
        .expect("a number")
}

// No published table; the definition, tried number by number.
#[test]
fn more_readings_is_the_smallest_number_that_is_enough() {
    for confidence in [0.8, 0.95, 0.99] {
        for ratio in [0.01, 0.11, 0.3, 0.5, 1.0, 1.7, 3.0, 9.0] {
            let [sd, wanted] = [ratio, 1.0].map(Value::constant);
            let taken = Taken::one_kind(3);
            let level = Confidence::new(confidence).expect("a fraction");
            let need =
                more_readings("x", &taken, Some(&sd), None, &wanted, level).expect("a scatter");
            let tried = by_trying(ratio, 1.0, confidence);
            assert_eq!(need.in_all.number(), f64::from(tried), "{ratio} at {confidence}");
            assert_eq!(need.more.number(), f64::from(tried.saturating_sub(3)));
            assert!(!need.more_than && need.half_width.number() <= 1.0);
        }
    }
}

// Student 1908, Biometrika 6:1-25: sleep gained with two drugs. The differences are as printed
// in the paper; the two columns they come from are from memory.
#[test]
fn student_1908_paired_difference() {
    let first = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
    let second = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
    let pairs: Vec<(Value, Value)> = values(&first).into_iter().zip(values(&second)).collect();
    let differences = [1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4];
    for ((one, other), printed) in first.iter().zip(second).zip(differences) {
        approx::assert_relative_eq!(one - other, printed, epsilon = 1e-12);
    }
    let test = paired_difference("gain", &pairs).expect("pairs");
    assert_rounds(test.estimate.number(), "1.58");
    assert_rounds(test.standard_error.number(), "0.389");
    assert_eq!(test.degrees_of_freedom.number(), 9.0);
    assert_rounds(test.t.clone().expect("t").number(), "4.0621");
    assert_rounds(test.p.clone().expect("p").number(), "0.002833");
    assert!(test.differs_from_zero(Confidence::NINETY_FIVE));
    assert_rounds(two_sided_tail(4.0621, 9), "0.002833");
}

// Iglewicz and Hoaglin 1993, How to Detect and Handle Outliers.
#[test]
fn iglewicz_and_hoaglin_outliers() {
    let readings = values(&[2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3]);
    let outliers = modified_z("reading", &readings).expect("readings");
    assert_rounds(outliers.median.number(), "2.45");
    assert_rounds(outliers.mad.number(), "0.15");
    assert_eq!(outliers.flagged, [8, 9]);
    let published = |x: f64| 0.6745 * (x - outliers.median.number()) / outliers.mad.number();
    assert_rounds(published(8.2), "25.856");
    assert_rounds(published(8.3), "26.306");
    // These go by steps of 0.1: two of the ten distances lie below 0.1 and four from there to 0.2,
    // so the median of grouped data is 0.1 + 0.1 x (10 / 2 - 2) / 4 = 0.175, and
    // 0.6745 x 5.75 / 0.175 = 22.162.
    assert_rounds(outliers.scores[8].number(), "22.162");
    assert!(outliers.scores[..8].iter().all(|score| score.number().abs() < outliers.limit));
}

// NIST/SEMATECH e-Handbook 1.3.5.17.1: Grubbs' G, printed truncated; critical values one-sided
// 2.032 and two-sided 2.1266 at 0.05.
#[test]
fn handbook_1_3_5_17_1_grubbs() {
    let readings = values(&[199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]);
    let (summary, spread) = summary(&readings);
    let farthest = (&readings[7] - &summary.mean).magnitude();
    let g = (farthest / &spread.sd).number();
    assert_eq!((g * 1e4).floor(), 24_687.0, "{g}");
    // Grubbs' critical value: (n - 1)/sqrt(n) sqrt(t2 / (n - 2 + t2)), t at alpha/n one-sided and
    // alpha/2n two-sided, n - 2 degrees of freedom.
    let critical_g = |two_sided_tail: f64| {
        let t2 = critical(1.0 - two_sided_tail, 6).expect("a t").powi(2);
        7.0 / 8.0_f64.sqrt() * (t2 / (6.0 + t2)).sqrt()
    };
    assert_rounds(critical_g(2.0 * 0.05 / 8.0), "2.032");
    assert_rounds(critical_g(0.05 / 8.0), "2.1266");
    assert_eq!(modified_z("reading", &readings).expect("readings").flagged, [7]);
}

// NIST StRD, linear regression, Norris (https://www.itl.nist.gov/div898/strd/lls/).
#[test]
fn nist_strd_norris() {
    let line = Line::fit("x", "y", &points(NORRIS)).expect("a line");
    let scatter = line.scatter.as_ref().expect("scatter");
    assert_eq!(scatter.degrees_of_freedom.number(), 34.0);
    assert_digits("B0", &line.intercept, -0.262_323_073_774_029, 11.0);
    assert_digits("B1", &line.slope, 1.002_116_818_020_45, 14.0);
    assert_digits("SD of B0", &scatter.intercept_error, 0.232_818_234_301_152, 12.0);
    assert_digits("SD of B1", &scatter.slope_error, 0.429_796_848_199_937e-3, 12.0);
    assert_digits("residual SD", &scatter.residual_sd, 0.884_796_396_144_373, 12.0);
    let r = line.correlation.as_ref().expect("r");
    assert_digits("R2", &r.to_the(2), 0.999_993_745_883_712, 14.0);
}

fn thermometer() -> Line {
    let data = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];
    let zero = Value::constant(20.0);
    let points: Vec<(Value, Value)> =
        data.iter().map(|(t, b)| (Value::constant(*t) - &zero, Value::constant(*b))).collect();
    Line::fit("t - t0", "correction", &points).expect("a line")
}

// GUM (JCGM 100:2008) H.3: correction of a thermometer, t0 = 20.
#[test]
fn gum_h_3_thermometer() {
    let line = thermometer();
    let scatter = line.scatter.as_ref().expect("scatter");
    assert_rounds(line.intercept.number(), "-0.1712");
    assert_rounds(scatter.intercept_error.number(), "0.0029");
    assert_rounds(line.slope.number(), "0.00218");
    assert_rounds(scatter.slope_error.number(), "0.00067");
    assert_rounds(scatter.residual_sd.number(), "0.0035");
    // r of H.3 is the correlation of intercept and slope: -mean x / sqrt(sum of x^2 / n).
    let mean_square = line.mean_x.number().powi(2) + squares_about_mean(&line) / 11.0;
    assert_rounds(-line.mean_x.number() / mean_square.sqrt(), "-0.930");
    let there = line.predict("30", &Value::constant(10.0), Confidence::NINETY_FIVE);
    assert_rounds(there.fit.number(), "-0.1494");
    let ranges = there.ranges.expect("ranges");
    assert_rounds(ranges.mean.standard_error.number(), "0.0041");
    assert!(!there.inside, "30 lies outside the measured range");
}

/// The sum of squared deviations of x, from the standard error of the slope.
fn squares_about_mean(line: &Line) -> f64 {
    let scatter = line.scatter.as_ref().expect("scatter");
    (scatter.residual_sd.number() / scatter.slope_error.number()).powi(2)
}

// Montgomery and Runger, Applied Statistics and Probability for Engineers, oxygen purity; the
// prediction interval is from memory, recomputed.
#[test]
fn montgomery_and_runger_oxygen_purity() {
    let line = Line::fit("hydrocarbon", "purity", &points(OXYGEN)).expect("a line");
    assert_rounds(line.intercept.number(), "74.283");
    assert_rounds(line.slope.number(), "14.947");
    let there = line.predict("1 %", &Value::constant(1.0), Confidence::NINETY_FIVE);
    assert!(there.inside);
    assert_rounds(there.fit.number(), "89.23");
    let ranges = there.ranges.expect("ranges");
    assert_rounds(ranges.next.low.number(), "86.83");
    assert_rounds(ranges.next.high.number(), "91.63");
    assert!(ranges.mean.low.number() > ranges.next.low.number());
}

// Mavro's readings numbered as plots would be, against Line::fit.
#[test]
fn drift_is_the_slope_of_the_line() {
    let readings: Vec<(u32, Value)> = (1..).zip(column(MAVRO)).collect();
    let drift = slope("reading", &readings).expect("readings");
    let points: Vec<(Value, Value)> = readings
        .iter()
        .map(|(plot, reading)| (Value::constant(f64::from(*plot)), reading.clone()))
        .collect();
    let line = Line::fit("plot", "reading", &points).expect("a line");
    assert_eq!(drift.estimate.number(), line.slope.number());
    // Mavro drifts upwards (certified lag-1 autocorrelation 0.938).
    assert!(drift.differs_from_zero(Confidence::NINETY_FIVE));
    assert!(drift.t.expect("t").number() > 5.0);
}
