//! What the readings allow to be said, on pages of leads worked by hand. The shift is half the
//! lead, and so is all that scatters it; raising the pass offset moves alleys back.

use super::*;
use crate::calculations::Common;
use crate::calculations::jitter::Seeds;
use crate::calculations::passes::{self, Alleys};
use crate::calculations::spacing::Target;
use crate::outcome::setting::PASS_OFFSET;
use crate::outcome::warning::WarningKind;
use crate::outcome::{Direction, MovingSetting, Outcome, Verdict};
use crate::quantity::{Length, LengthUnit};
use crate::working::Units;
use crate::working::steps;

fn inches(text: &str) -> Length {
    Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
}

/// A page of leads in inches, with a tolerance and the spacing of the seeds, where given.
fn page(leads: &str, tolerance: Option<&str>, spacing: Option<&str>) -> Outcome {
    let inputs = passes::Inputs {
        leads: vec![leads.split(", ").map(inches).collect::<Vec<_>>().into()],
        marked: None,
        offset: Some(MovingSetting::new(&PASS_OFFSET, inches("6.5"), Direction::Back, None)),
        tolerance: tolerance.map(inches),
        alley: None,
        plot: None,
        seeds: spacing.map(|spacing| Seeds {
            target: Target::Spacing(inches(spacing)),
            row_spacing: inches("30"),
        }),
    };
    passes::calibrate(&inputs, &Common::new(Units::US), Alleys::default())
}

fn verdict(outcome: &Outcome) -> (&'static str, &str) {
    let verdict: &Verdict = &outcome.settings[0].verdict;
    (verdict.word(), verdict.reason())
}

fn said<'a>(outcome: &'a Outcome, kind: &WarningKind) -> Option<&'a str> {
    let found = outcome.warnings.iter().find(|warning| warning.kind == kind);
    found.map(|warning| warning.message.as_str())
}

/// The three rules at the top of the file, where two sides of one are just the same.
#[test]
fn where_an_error_stands_at_the_edges_of_the_rules() {
    // The whole interval, 0.5 to 1.5, is inside: up to the tolerance and with it.
    assert_eq!(stands(1.0, 0.5, 1.5), Stands::Inside);
    assert_eq!(stands(1.0, 0.5, 1.4), Stands::Off);
    // An interval from nothing to 2 does not tell the error apart from zero.
    assert_eq!(stands(1.0, 1.0, 1.5), Stands::Unsure);
    // No wider each way than the tolerance.
    assert_eq!(stands(1.5, 1.0, 1.0), Stands::Off);
    // Wider: 3 to 7 lies wholly beyond 1; 1 to 5 touches it.
    assert_eq!(stands(5.0, 2.0, 1.0), Stands::Off);
    assert_eq!(stands(3.0, 2.0, 1.0), Stands::Unsure);
}

#[test]
fn a_single_reading_is_spoken_of_as_one() {
    let outcome = page("4", Some("1"), None);
    let words = "a single lead can't be told from scatter: measure 9 more";
    assert_eq!(verdict(&outcome), ("measure more", words));
    let scatter = "a single lead says nothing of its scatter";
    assert_eq!(said(&outcome, &ONE_READING), Some(scatter));
}

#[test]
fn one_reading_each_way_is_spoken_of_as_two() {
    let reading = || Value::constant(4.0);
    let judgement = Judgement::of(&Evidence {
        subject: "alley centre",
        groups: vec![vec![reading()], vec![reading()]],
        parted: Some(&BY_HEADING),
        known: None,
        error: reading(),
        to_error: &|spread| spread,
        jitter: None,
        tolerance: Some(Value::constant(1.0)),
        tolerance_key: "centre",
        key: "alley",
        confidence: Confidence::NINETY_FIVE,
        in_plot_order: true,
        left_out: &[],
        reach: None,
        apart: None,
        of_runs: vec![],
        by_run: false,
    })
    .expect("readings");
    assert_eq!(
        judgement.warnings[0].message,
        "one alley centre each way says nothing of its scatter"
    );
    let Decision::Measure(words) = judgement.decision else { panic!("{:?}", judgement.decision) };
    assert_eq!(words, "one alley centre each way can't be told from scatter: measure 8 more");
}

#[test]
fn five_readings_all_alike_are_gone_by_and_four_are_not() {
    let five = page("4, 4, 4, 4, 4", Some("1"), None);
    assert_eq!(verdict(&five), ("change", "raise it by 2 in"));
    let alike = "all 5 leads are alike: they tell nothing of their scatter, which can't be none";
    assert_eq!(said(&five, &SCATTER_SMALL), Some(alike));
    let four = page("4, 4, 4, 4", Some("1"), None);
    let words = "4 leads, all alike, tell nothing of their scatter: measure 6 more";
    assert_eq!(verdict(&four), ("measure more", words));
}

/// Leads of 2 in, all alike: a shift of 1 in, give or take nothing.
#[test]
fn an_error_of_just_the_tolerance_is_kept() {
    let leads = ["2"; 10].join(", ");
    let kept = page(&leads, Some("1"), None);
    assert_eq!(verdict(&kept), ("keep", "inside the tolerance of 1 in"));
    let changed = page(&leads, Some("0.99"), None);
    assert_eq!(verdict(&changed), ("change", "raise it by 1 in"));
}

/// Half of the tolerance of 1 in takes n with t x s / sqrt(n) <= 0.5, s being half the SD of the
/// leads. By t of the NIST/SEMATECH e-Handbook 1.3.6.7.2, 2.101 at 18, 2.093 at 19 and 2.086 at 20
/// degrees of freedom, 20 readings do for s from 1.038 to 1.068, 21 for s up to 1.098.
#[test]
fn what_ten_readings_give_is_said_where_more_than_twenty_are_needed() {
    // SD 2.1, s 1.05: 4.303 x 1.05 / sqrt(3) = 2.61.
    let twenty = "2 in give or take 2.61 in can't be told from the tolerance of 1 in: measure 17 \
                  more leads";
    let outcome = page("1.9, 4, 6.1", Some("1"), None);
    assert_eq!(verdict(&outcome), ("measure more", twenty));
    // SD 2.17, s 1.085: 4.303 x 1.085 / sqrt(3) = 2.695; of ten, 2.262 x 1.085 / sqrt(10) = 0.776.
    let more = "2 in give or take 2.7 in can't be told from the tolerance of 1 in: measure 18 more \
                leads (ten in all would tell it to 0.776 in)";
    let outcome = page("1.83, 4, 6.17", Some("1"), None);
    assert_eq!(verdict(&outcome), ("measure more", more));
}

/// 0.15 in a plot, with 0.01 in on either side of the line at its ends: 0.75 in from the first of
/// six plots to the last.
#[test]
fn a_drift_matters_where_it_goes_further_than_the_tolerance_from_first_to_last() {
    let leads = "1.16, 1.29, 1.45, 1.6, 1.74, 1.91";
    let slight = page(leads, Some("1"), None);
    assert_eq!(said(&slight, &DRIFT), None);
    assert_eq!(verdict(&slight), ("keep", "inside the tolerance of 1 in"));
    let far = page(leads, Some("0.7"), None);
    let words = "the leads grow by 0.15 in a plot along the pass";
    let more = format!("{words}, more than scatter would make them");
    assert_eq!(said(&far, &DRIFT), Some(more.as_str()));
    let first = format!("{words}: a mean hides that; plant and measure a further run first");
    let (word, why) = verdict(&far);
    assert!(word == "wait" && why.starts_with(&first), "{word}: {why}");
}

#[test]
fn five_readings_are_enough_to_see_a_drift() {
    // 1 in a plot, with 0.01 in on either side of the line.
    let outcome = page("1.01, 1.99, 3, 3.99, 5.01", Some("1"), None);
    let words = "the leads grow by 1 in a plot along the pass, more than scatter would make them";
    assert_eq!(said(&outcome, &DRIFT), Some(words));
    let four = page("1.01, 1.99, 2.99, 4.01", Some("1"), None);
    assert_eq!(said(&four, &DRIFT), None);
}

/// Seeds 1.5 in apart scatter a lead by 1.5 / sqrt(12) = 0.433 in. 0, 2, 4, 6, 8 scatter by
/// sqrt(10) = 3.16 in.
#[test]
fn five_readings_are_enough_to_speak_of_their_scatter() {
    let words = "the leads scatter far more than seeds alone would make them (SD 3.16 in, 0.433 in \
                 from seed spacing alone); look for what else moves the edges";
    let five = page("4, 0, 8, 2, 6", Some("1"), Some("1.5"));
    assert_eq!(said(&five, &SCATTER_LARGE), Some(words));
    assert_eq!(said(&page("4, 0, 8, 2", Some("1"), Some("1.5")), &SCATTER_LARGE), None);
}

/// Seeds 6 in apart scatter a lead by 6 / sqrt(12) = sqrt(3) in. 1, 1, 1, 4, 13 have their mean at
/// 4, squares 9 + 9 + 9 + 81 = 108, SD sqrt(27): three times as much, to the last bit.
#[test]
fn three_times_the_scatter_of_seeds_is_not_yet_more_than_that() {
    let remark = |leads| page(leads, Some("1"), Some("6"));
    assert_eq!(said(&remark("1, 1, 1, 4, 13"), &SCATTER_LARGE), None);
    assert!(said(&remark("1, 1, 1, 4, 13.5"), &SCATTER_LARGE).is_some());
}

/// 1 to 3 with five at 2: squares 2, SD sqrt(2 / 6) = sqrt(3) / 3, a third to the last bit.
#[test]
fn a_third_of_the_scatter_of_seeds_is_not_yet_less_than_that() {
    let remark = |leads| page(leads, Some("1"), Some("6"));
    assert_eq!(said(&remark("1, 2, 2, 2, 2, 2, 3"), &SCATTER_SMALL), None);
    let small = "the leads scatter less than seeds can fall (SD 0.433 in, 1.73 in from seed \
                 spacing alone); were they read one by one?";
    // Squares 2 x 0.75^2 = 1.125, SD sqrt(1.125 / 6) = 0.433.
    let outcome = remark("1.25, 2, 2, 2, 2, 2, 2.75");
    assert_eq!(said(&outcome, &SCATTER_SMALL), Some(small));
}

/// Seeds 2.25 in apart scatter a lead by 2.25 / sqrt(12) in, and so do these: 9/8 and three times
/// -3/8 off 4 in, squares 108/64 = 1.6875, SD sqrt(1.6875 / 4), the same to the last bit.
#[test]
fn readings_that_scatter_just_as_seeds_do_are_gone_by_themselves() {
    let outcome = page("5.125, 3.625, 3.625, 3.625, 4", Some("1"), Some("2.25"));
    let judgement = outcome.judgement.as_ref().expect("a judgement");
    let [sd, seeds] = [&judgement.sd, &judgement.jitter].map(|one| one.as_ref().map(Value::number));
    assert_eq!(sd, seeds);
    let error = &judgement.interval.as_ref().expect("an interval").standard_error;
    let line = steps(std::slice::from_ref(error)).pop().expect("a line").to_string();
    assert!(line.contains("SD lead"), "{line}");
}

#[test]
fn what_lies_right_on_a_limit_keeps_to_it() {
    assert!(at_most(0.1 + 0.2, 0.3)); // 0.30000000000000004 in binary
    assert!(at_most(24.0, 24.0));
    assert!(at_most(0.0, 0.0));
    assert!(!at_most(24.000_001, 24.0));
    assert!(!at_most(0.4, 0.3));
    assert!(!at_most(1.5, 0.75));
    // The rounding of a large number is larger than the whole of a small one.
    assert!(at_most(3e9 + 1.0, 3e9));
    assert!(!at_most(1e-12, 0.0));
}
