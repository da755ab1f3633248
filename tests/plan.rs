//! The measurement plan against n = (t s / wanted)^2 iterated here, with the t of another package.

#![allow(clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]

use alleytrue::calculations::Common;
use alleytrue::calculations::jitter::Seeds;
use alleytrue::calculations::registry::Job;
use alleytrue::calculations::spacing::Target;
use alleytrue::forecast::plan::{self, Inputs};
use alleytrue::outcome::{Cell, Outcome};
use alleytrue::quantity::Length;
use alleytrue::sheet::{FieldSheet, Source};
use alleytrue::statistics::Confidence;
use alleytrue::working::Units;
use statrs::distribution::{ContinuousCDF, StudentsT};

fn length(text: &str) -> Length {
    Length::parse(text, None).expect("a length")
}

/// A sheet in inches without measurements.
fn job() -> Job {
    Job::new(Common::new(Units::US))
}

fn inputs(spacing: Option<&str>, scatter: Option<&str>, tolerance: Option<&str>) -> Inputs {
    let tolerance = tolerance.map(length);
    Inputs {
        seeds: spacing.map(|spacing| Seeds {
            target: Target::Spacing(length(spacing)),
            row_spacing: length("30 in"),
        }),
        scatter: scatter.map(length),
        trip: tolerance.clone(),
        centre: tolerance.clone(),
        passes: tolerance,
    }
}

fn t(confidence: f64, df: f64) -> f64 {
    StudentsT::new(0.0, 1.0, df).expect("df").inverse_cdf(0.5 + confidence / 2.0)
}

/// The fewest readings of two and more with n >= (t s / wanted)^2, t at n - 1 degrees of freedom.
fn counted(sd: f64, wanted: f64, confidence: f64) -> u32 {
    (2..=10_000)
        .find(|n| f64::from(*n) >= (t(confidence, f64::from(*n) - 1.0) * sd / wanted).powi(2))
        .expect("a count")
}

/// The same for alleys both ways, as many of each as can be: t at n - 2 degrees of freedom and
/// s sqrt(1/a + 1/b) / 2 for the mean of the two means.
fn counted_both_ways(sd: f64, wanted: f64, confidence: f64) -> u32 {
    let reaches = |n: &u32| {
        let (a, b) = (f64::from(n.div_ceil(2)), f64::from(n / 2));
        t(confidence, a + b - 2.0) * sd * (1.0 / a + 1.0 / b).sqrt() / 2.0 <= wanted
    };
    (3..=10_000).find(reaches).expect("a count")
}

/// A cell of the plan: row 0 trip, 1 centre, 2 passes.
fn cell<'a>(outcome: &'a Outcome, row: usize, key: &str) -> &'a Cell {
    let table = &outcome.tables[0];
    let at = table.columns.iter().position(|column| column.key == key).expect("a column");
    &table.rows[row][at]
}

fn count(outcome: &Outcome, row: usize, key: &str) -> String {
    match cell(outcome, row, key) {
        Cell::Text(text) => text.clone(),
        other => panic!("{other:?}"),
    }
}

fn number(outcome: &Outcome, row: usize, key: &str) -> f64 {
    match cell(outcome, row, key) {
        Cell::Number(number, _) => *number,
        other => panic!("{other:?}"),
    }
}

const WITHIN: &str = "readings_within_tolerance";
const DECIDE: &str = "readings_to_decide";

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found}, {expected}");
}

#[test]
fn counts_are_those_of_the_iterated_formula() {
    for (confidence, scatter, tolerance) in
        [(0.95, 0.4, 0.5), (0.95, 0.9, 0.25), (0.80, 0.6, 0.3), (0.99, 0.3, 1.0), (0.95, 2.0, 0.5)]
    {
        let texts = (format!("{scatter} in"), format!("{tolerance} in"));
        let inputs = inputs(Some("1.5 in"), Some(&texts.0), Some(&texts.1));
        let mut job = job();
        job.common.confidence = Confidence::new(confidence).expect("a confidence");
        let outcome = plan::plan(&inputs, &job);
        let tape: f64 = scatter * scatter;
        // Edges jitter by s / sqrt(12), the middle of two by s / sqrt(24), a lead by s / sqrt(12);
        // the shift is half a lead.
        let sds = [tape.sqrt(), (2.25 / 24.0 + tape).sqrt(), (2.25 / 12.0 + tape).sqrt()];
        for (row, sd) in sds.into_iter().enumerate() {
            near(number(&outcome, row, "sd_in"), sd);
            let of_error = if row == 2 { sd / 2.0 } else { sd };
            let counted = if row == 1 { counted_both_ways } else { counted };
            let within = counted(of_error, tolerance, confidence).to_string();
            let decide = counted(of_error, tolerance / 2.0, confidence).to_string();
            assert_eq!(count(&outcome, row, WITHIN), within, "{row}, {texts:?}");
            assert_eq!(count(&outcome, row, DECIDE), decide, "{row}, {texts:?}");
            let ten = if row == 1 {
                t(confidence, 8.0) * of_error * 0.4_f64.sqrt() / 2.0
            } else {
                t(confidence, 9.0) * of_error / 10.0_f64.sqrt()
            };
            near(number(&outcome, row, "ten_support_in"), ten);
        }
    }
}

/// t at 9 degrees of freedom, 95 %, is 2.262 (NIST/SEMATECH e-Handbook 1.3.6.7.2): ten readings
/// that scatter by 0.5 in support 2.262 x 0.5 / sqrt(10) = 0.3577 in. Five alleys out and five home
/// have 8, 2.306: 2.306 x 0.5 x sqrt(1/5 + 1/5) / 2 = 0.3646 in.
#[test]
fn ten_readings_support_what_the_table_says() {
    let outcome = plan::plan(&inputs(None, Some("0.5 in"), Some("0.3577 in")), &job());
    assert!((number(&outcome, 0, "ten_support_in") - 0.3577).abs() < 1e-4);
    assert_eq!(count(&outcome, 0, WITHIN), "10");
    let outcome = plan::plan(&inputs(None, Some("0.5 in"), Some("0.3647 in")), &job());
    assert!((number(&outcome, 1, "ten_support_in") - 0.3646).abs() < 1e-4);
    assert_eq!(count(&outcome, 1, WITHIN), "10");
}

#[test]
fn seeds_alone_are_the_least_scatter() {
    let outcome = plan::plan(&inputs(Some("6 in"), None, Some("1 in")), &job());
    near(number(&outcome, 1, "sd_in"), 6.0 / 24.0_f64.sqrt());
    near(number(&outcome, 2, "sd_in"), 6.0 / 12.0_f64.sqrt());
    let both_ways = counted_both_ways(6.0 / 24.0_f64.sqrt(), 0.5, 0.95);
    assert_eq!(count(&outcome, 1, DECIDE), both_ways.to_string());
    // Nothing is known of the readout: ten, and said so.
    assert!(matches!(cell(&outcome, 0, DECIDE), Cell::Empty));
    let known = |code: &str| outcome.warnings.iter().filter(|w| w.kind.code == code).count();
    assert_eq!(known("no-scatter-known"), 1);
    let next = &outcome.next.as_ref().expect("a step").instruction;
    assert!(next.contains("trip 10, centre"), "{next}");
}

/// What a sheet's own readings scatter by counts where it is more than seeds and tape make.
#[test]
fn readings_of_the_sheet_count() {
    let text = include_str!("../demo-data/soybean-advanced-north.toml");
    let sheet = FieldSheet::read(&Source::new("sheet", text)).expect("a sheet");
    let inputs = sheet.plan.clone();
    let outcome = plan::plan(&inputs, &sheet.job);
    // SDs worked apart, see verdicts.rs: readouts 0.33747, as error of one plot times trip
    // spacing x marks over the square of the mean readout; middles 0.48814; leads 0.36443 are less than seeds 1.68619 in
    // apart make, 0.48676.
    let of_plot = 0.337_474_279 * 240.0 * 240.0 / 237.35 / 237.35;
    assert!((number(&outcome, 0, "sd_in") - of_plot).abs() < 1e-8);
    assert!((number(&outcome, 1, "sd_in") - 0.488_140_605).abs() < 1e-8);
    assert!((number(&outcome, 2, "sd_in") - 0.486_762_146).abs() < 1e-5);
    assert_eq!(count(&outcome, 0, DECIDE), counted(of_plot, 0.5, 0.95).to_string());
    assert_eq!(count(&outcome, 1, DECIDE), counted_both_ways(0.488_140_605, 0.5, 0.95).to_string());
}

#[test]
fn a_tolerance_finer_than_any_count_reaches_says_so() {
    let outcome = plan::plan(&inputs(None, Some("10 in"), Some("0.1 in")), &job());
    assert_eq!(count(&outcome, 0, DECIDE), "over 10000");
}

#[test]
fn nothing_known_is_ten_of_everything() {
    let outcome = plan::plan(&inputs(None, None, None), &job());
    for row in 0..3 {
        assert!(matches!(cell(&outcome, row, WITHIN), Cell::Empty));
        assert!(matches!(cell(&outcome, row, "sd_in"), Cell::Empty));
    }
    let known = outcome.warnings.iter().filter(|w| w.kind.code == "no-scatter-known").count();
    assert_eq!(known, 3);
    let next = &outcome.next.as_ref().expect("a step").instruction;
    assert!(next.contains("trip 10, centre 10, passes 10"), "{next}");
}

/// The lines of a run form are as many as the plan asks for.
#[test]
fn readings_to_decide_are_those_of_the_plan() {
    use plan::readings_to_decide;
    // Nothing is known of trips; alleys and leads scatter by their seeds, leads by less.
    let close = plan::plan(&inputs(Some("1.5 in"), None, Some("0.5 in")), &job());
    assert_eq!(readings_to_decide(&close, "trip"), None);
    for (row, what) in [(1, "centre"), (2, "passes")] {
        let wanted: usize = count(&close, row, DECIDE).parse().expect("a whole number");
        assert!(wanted > 1);
        assert_eq!(readings_to_decide(&close, what), Some(wanted), "{what}");
    }
    assert_eq!(readings_to_decide(&close, "depth"), None, "not in the plan");
    // A hundredth of an inch takes more readings than are counted.
    let far = plan::plan(&inputs(Some("6 in"), None, Some("0.01 in")), &job());
    let over = count(&far, 1, DECIDE);
    let most = over.strip_prefix("over ").expect("over a number");
    assert_eq!(readings_to_decide(&far, "centre"), most.parse().ok());
}
