//! Trip runs over several lengths, against numbers worked by hand from the readings.
//!
//! With T the sum of the true lengths and B that of the believed ones the error per plot is
//! 240 x T / B - 240; n readouts of standard deviation s over one length add n (s T / B)^2 to the
//! square of its scatter, which is 240 / B times the root. Student's t is that of NIST/SEMATECH
//! e-Handbook 1.3.6.7.2 with more digits.

#![allow(clippy::expect_used)]

mod common;

use common::Report;

fn sheet(runs: &[(&str, &str)]) -> String {
    let head = "bare-length = \"in\"\n[planter.controller]\n\
                trip-scale = { counts = \"per length\", step = 0.01 }\n\
                [trial]\nplot = \"17 ft 6 in\"\nalley = \"30 in\"\ntolerance = { trip = \"1 in\" }\n\
                [settings]\ntrip-scale = 400\n";
    let run = |(length, list): &(&str, &str)| {
        let read = if length.starts_with("marks") { "readout" } else { "taped" };
        format!("[[trip-run]]\n{length}\n{read} = [{list}]\n")
    };
    format!("{head}{}", runs.iter().map(run).collect::<String>())
}

fn trip(runs: &[(&str, &str)]) -> Report {
    Report::of(&sheet(runs))
}

const NEAR: &str = "marks = \"20 ft\"";
const FAR: &str = "marks = \"100 ft\"";

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found}, {expected}");
}

fn half_width(report: &Report) -> f64 {
    (report.number("trip", "high error per plot now")
        - report.number("trip", "low error per plot now"))
        / 2.0
}

/// Four readings each. Squares off the means: 0.01 / 3 and 0.02 / 3. T / B = 2880 x 2 / 5725.4 =
/// 720 / 715.675 = 1.00604325, its square 1.0121230. Squares of the scatter: 4 x 0.0033333 x
/// 1.0121230 = 0.0134950 and 4 x 0.0066667 x 1.0121230 = 0.0269899, 0.0404849 together; standard
/// error 240 x sqrt(0.0404849) / 5725.4 = 0.0084343. They are as 1 to 2: (1 + 2)^2 / (1 / 3 + 4 / 3) =
/// 5.4 degrees of freedom, t at 5 is 2.570582: 0.021681. Alone: 20 ft 3.182446 x 0.057735 / 2 x 240^2 /
/// 238.55^2 = 0.0930; 100 ft 3.182446 x 0.081650 / 2 x 240 x 1200 / 1192.8^2 = 0.0263.
#[test]
fn a_short_and_a_long_run_tell_more_together_than_either_alone() {
    let short = (NEAR, "238.6, 238.5, 238.6, 238.5");
    let long = (FAR, "1192.8, 1192.7, 1192.9, 1192.8");
    let both = trip(&[short, long]);
    close(both.number("trip", "error per plot now"), 240.0 * 720.0 / 715.675 - 240.0, 1e-9);
    close(both.number("trip", "df by the scatter of each length"), 5.4, 1e-9);
    close(half_width(&both), 0.021_681, 1e-5);
    close(half_width(&trip(&[short])), 0.0930, 5e-5);
    close(half_width(&trip(&[long])), 0.0263, 5e-5);
    assert_eq!(both.setting("trip", "trip scale").verdict(), "change");
}

/// Three each: squares off the means 0.0066667 / 2 and 0.02 / 2; T / B = 720 / 715.68333, squared
/// 1.0120994. 3 x 0.0033333 x 1.0120994 = 0.0101210, 3 x 0.01 x 1.0120994 = 0.0303630; standard error
/// 240 x sqrt(0.0404840) / 4294.1 = 0.0112456. As 1 to 3: 16 / (1 / 2 + 9 / 2) = 3.2, t at 3 is
/// 3.182446: 0.035788.
#[test]
fn the_error_itself_is_no_scatter() {
    let both = trip(&[(NEAR, "238.6, 238.5, 238.6"), (FAR, "1192.8, 1192.7, 1192.9")]);
    close(both.number("trip", "df by the scatter of each length"), 3.2, 1e-9);
    close(half_width(&both), 0.035_788, 1e-5);
    let setting = both.setting("trip", "trip scale");
    assert_eq!(setting.verdict(), "change");
    // 400 x 715.68333 / 720 = 397.60185.
    close(setting.exact(), 397.601_85, 1e-5);
}

/// Runs of one length are one set, wherever they stand and however the length is written.
#[test]
fn runs_of_one_length_are_one_set() {
    let one = trip(&[(NEAR, "238.6, 238.5, 238.6, 238.5")]);
    let two = trip(&[(NEAR, "238.6, 238.5"), ("marks = \"240 in\"", "238.6, 238.5")]);
    for name in ["low error per plot now", "high error per plot now"] {
        close(two.number("trip", name), one.number("trip", name), 1e-12);
    }
}

/// 238.6 is 1.41 in a plot, 1180 is 240 x 1200 / 1180 - 240 = 4.07 in.
#[test]
fn lengths_that_disagree_are_named_and_set_nothing() {
    let report = trip(&[(NEAR, "238.6, 238.5, 238.7, 238.6"), (FAR, "1180, 1180.1, 1179.9, 1180")]);
    assert!(report.warned("trip", "runs-apart"));
    let setting = report.setting("trip", "trip scale");
    assert_eq!(setting.verdict(), "measure more");
    // Both say an error of their own, of nearly one weight: half of what they differ by is the
    // standard error of the mean, at one degree of freedom, t 12.7062.
    let (near, far) = (240.0 * 240.0 / 238.6 - 240.0, 240.0 * 1200.0 / 1180.0 - 240.0);
    close(half_width(&report), 12.706_205 * (far - near) / 2.0, 1e-3);
}

/// 20 ft by an unsteady hand: 238.6, SD 0.5 of three, 1.408 in a plot. 100 ft by a steady one: 1195,
/// SD 0.0853 of twelve, 240 x 1200 / 1195 - 240 = 1.004 in. They lie 0.404 in apart, and the first is
/// sure to 0.5 x 240^2 / 238.6^2 / sqrt(3) = 0.292 in: t 1.38 at 2 degrees is nothing. By one scatter for
/// all, of (2 x 0.506^2 + 11 x 0.0172^2) / 13 = 0.0396, it would be sure to 0.115 in, and t be 3.15.
#[test]
fn a_length_is_held_against_another_by_its_own_scatter() {
    let twelve = ["1195", "1195.1", "1194.9"].repeat(4).join(", ");
    let report = trip(&[(NEAR, "238.1, 238.6, 239.1"), (FAR, &twelve)]);
    assert!(!report.warned("trip", "runs-apart"));
    assert_eq!(report.setting("trip", "trip scale").verdict(), "change");
    // The other way round the steady one is the short one: 0.404 in are many of its own errors.
    let near = ["238.6", "238.5", "238.7"].repeat(4).join(", ");
    let report = trip(&[(NEAR, &near), (FAR, "1195, 1194.5, 1195.5")]);
    assert!(report.warned("trip", "runs-apart"));
}

/// A single reading over a second length is taken to scatter as the others do.
#[test]
fn a_single_reading_over_another_length_counts() {
    let report = trip(&[(NEAR, "238.6, 238.5, 238.7, 238.6"), (FAR, "1193")]);
    // SD 0.0816497 at 3 degrees of freedom. T / B = 2160 / 2147.4. Squares 4 and 1 times (SD T / B)^2:
    // (4 + 1)^2 / (16 / 3 + 1 / 3) = 4.41, t at 4 is 2.776445.
    let square = 5.0 * (0.02_f64 / 3.0) * (2160.0_f64 / 2147.4).powi(2);
    close(half_width(&report), 2.776_445 * 240.0 / 2147.4 * square.sqrt(), 1e-6);
    // One each: only how far they lie apart tells anything.
    let report = trip(&[(NEAR, "238.6"), (FAR, "1193")]);
    let ratio = 1440.0 / 1431.6;
    let off: f64 = 240.0 - ratio * 238.6;
    let expected = 12.706_205 * 240.0 / 1431.6 * (4.0 * off * off).sqrt();
    close(half_width(&report), expected, 1e-4 * expected);
}

/// Two readings of each length are four in all, no side of a heading.
#[test]
fn readings_of_several_lengths_are_one_side() {
    let report = trip(&[(NEAR, "238.6, 238.5"), (FAR, "1192.8, 1192.7")]);
    let setting = report.setting("trip", "trip scale");
    // 400 x 2862.6 / 2880 = 397.58333.
    close(setting.exact(), 397.583_333, 1e-5);
    assert_eq!(setting.verdict(), "change");
    assert!(setting.reason().contains("by 4 readings only"), "{}", setting.reason());
    // Of two in all nothing is changed, however clear the error.
    let report = trip(&[(NEAR, "235"), (FAR, "1175")]);
    let setting = report.setting("trip", "trip scale");
    assert_eq!(setting.verdict(), "measure more");
    assert!(!setting.reason().contains("going out"), "{}", setting.reason());
}

/// 20 ft read as 238.6, 238.5 and 120: their SD is 68.4, that of six readings of which three scatter
/// so is 68.4 / sqrt(2) = 48.4, and (1.96 x 48.4 / 0.5)^2 = 36,000 would be needed for an interval of
/// half the tolerance. Without the slip a tenth of an inch scatters. Its number is its place in the
/// sheet.
#[test]
fn a_slip_over_one_of_several_lengths_is_pointed_at() {
    let far = ("marks = \"21 ft\"", "250.5, 250.4, 250.6");
    let report = trip(&[far, (NEAR, "238.6, 238.5, 120")]);
    let setting = report.setting("trip", "trip scale");
    assert_eq!(setting.verdict(), "measure more");
    let words = "reading 6 (120 in) alone keeps it from being told";
    assert!(setting.reason().contains(words), "{}", setting.reason());
}
