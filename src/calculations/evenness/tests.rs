//! Gaps in units of Xref, so that a share is a count of them: 0.2 is a multiple, 1 a single, 2 a
//! miss.

use super::*;

use crate::calculations::Common;
use crate::working::Units;

fn common() -> Common {
    Common::new(Units::US)
}

fn indices(multiples: usize, singles: usize, misses: usize) -> Indices {
    let gaps = [(0.2, multiples), (1.0, singles), (2.0, misses)]
        .map(|(gap, times)| vec![Value::constant(gap); times])
        .concat();
    Indices::of("", &gaps, &Value::constant(1.0), Confidence::NINETY_FIVE).expect("gaps")
}

/// Where half of the gaps are multiples no position holds one seed alone: n2' = 2, n1' = 4 - 2 x 2
/// = 0, n0' = 0. With more than half n1' would be below zero.
#[test]
fn positions_are_counted_up_to_half_of_the_gaps_being_multiples() {
    let shares = |multiples, singles, misses| {
        let positions = indices(multiples, singles, misses).of_positions;
        positions.map(|shares| shares.map(|share| share.number()))
    };
    assert_eq!(shares(2, 2, 0), Some([100.0, 0.0, 0.0]));
    // N' = 2 + 0 + 2: a half each.
    assert_eq!(shares(2, 0, 2), Some([50.0, 0.0, 50.0]));
    // N' = 1 + 2 + 1.
    assert_eq!(shares(1, 2, 1), Some([25.0, 50.0, 25.0]));
    assert_eq!(shares(3, 2, 0), None);
}

/// Where faults point, and whether to a step at the meter.
fn points_to(all: &Indices) -> (&'static str, bool) {
    let faults = &all.multiples + &all.misses;
    let part = Share::of("part", &all.multiples, &faults, Confidence::NINETY_FIVE).expect("faults");
    let pointed = pointed(all, &part);
    (pointed.kind.code, pointed.step.is_some())
}

/// By Wilson's interval 30 of 100 is at least 22 %, 6 of 100 at least 2.8 %, which may be no more
/// than 5 %.
#[test]
fn both_kinds_of_fault_are_many_only_where_each_of_them_surely_is() {
    assert_eq!(points_to(&indices(30, 40, 30)), ("multiples-and-misses", true));
    assert_eq!(points_to(&indices(30, 64, 6)), ("many-multiples", true));
    assert_eq!(points_to(&indices(6, 64, 30)), ("many-misses", true));
    assert_eq!(points_to(&indices(30, 70, 0)), ("many-multiples", true));
    assert_eq!(points_to(&indices(0, 70, 30)), ("many-misses", true));
    // As many of one as of the other, and neither surely many.
    assert_eq!(points_to(&indices(4, 92, 4)), ("multiples-and-misses", false));
}

#[test]
fn a_share_that_may_be_five_per_cent_is_not_surely_more() {
    let mut all = indices(10, 80, 10);
    for (multiples, misses, step) in
        [(5.0, 5.0, false), (5.0, 6.0, false), (6.0, 5.0, false), (6.0, 6.0, true)]
    {
        all.of_gaps[0].low = Value::constant(multiples);
        all.of_gaps[2].low = Value::constant(misses);
        assert_eq!(points_to(&all), ("multiples-and-misses", step), "{multiples} {misses}");
    }
}

/// The step that faults at these rows ask for, if any, and the remark.
fn meter(all: &Indices, worse: &[u32]) -> (Option<String>, Option<String>) {
    let mut outcome = Outcome::new(CALCULATION);
    say_meter(all, worse, Confidence::NINETY_FIVE, &mut outcome);
    assert_eq!(outcome.next.is_some(), !outcome.cautions.is_empty());
    let words = outcome.warnings.first().map(|warning| warning.message.clone());
    (outcome.next.map(|next| next.instruction), words)
}

/// 2 + 3 of 100 gaps are 5 %, which is no fault of the meter; 3 + 3 are more.
#[test]
fn nothing_is_said_of_the_meter_up_to_five_per_cent_of_faults() {
    assert_eq!(meter(&indices(2, 95, 3), &[]), (None, None));
    assert_eq!(meter(&indices(0, 100, 0), &[]), (None, None));
    let (next, words) = meter(&indices(3, 94, 3), &[]);
    assert_eq!(next, None, "nobody can tell which are more");
    assert!(words.expect("a remark").starts_with("3 % multiples, 3 % misses; these gaps can't"));
}

#[test]
fn the_meters_to_work_at_are_those_of_the_rows_that_stand_apart() {
    let all = indices(30, 70, 0);
    for (worse, words) in [
        (&[][..], "try one thing at the meter (more"),
        (&[3], "try one thing at the meter of row 3, which stands apart (more"),
        (&[3, 5], "try one thing at the meters of rows 3, 5, which stand apart (more"),
    ] {
        let (next, _) = meter(&all, worse);
        let next = next.expect("a step");
        assert!(next.contains(words), "{next}");
    }
}

/// 250 gaps are asked for: 249 lack one, 1 lacks 249.
#[test]
fn gaps_are_few_below_those_asked_for() {
    let said = |singles: usize| {
        let mut outcome = Outcome::new(CALCULATION);
        say_few(&indices(0, singles, 0), &mut outcome);
        outcome.warnings.first().map(|warning| warning.message.clone())
    };
    assert_eq!(said(250), None);
    assert!(said(249).expect("a remark").starts_with("249 gaps, 250 are asked for: 1 more;"));
    assert!(said(1).expect("a remark").starts_with("1 gap, 250 are asked for: 249 more;"));
}

/// Of six gaps of two rows the fourth is the first of the second row; a row that loses all of its
/// gaps is gone.
#[test]
fn gaps_left_out_are_numbered_through_all_runs() {
    let gaps = |row, texts: &[&str]| {
        let lengths = texts.iter().map(|text| Length::parse(text, None).expect("a length"));
        SpacingRun { row: Some(row), taped: Taped::Gaps(lengths.collect()) }
    };
    let target = crate::calculations::spacing::Target::Spacing(
        Length::parse("2 in", None).expect("a length"),
    );
    let row_spacing = Length::parse("30 in", None).expect("a length");
    let inputs = Inputs {
        runs: vec![gaps(1, &["1 in", "2 in", "3 in"]), gaps(2, &["4 in", "5 in", "6 in"])],
        seeds: Seeds { target, row_spacing },
    };
    let numbers = |places: &[usize]| {
        let left_out = [(CALCULATION.key.to_owned(), places.to_vec())].into();
        let rows = inputs.rows(&Common { left_out, ..common() }).into_iter();
        rows.map(|(row, gaps)| (row, gaps.iter().map(Value::number).collect()))
            .collect::<Vec<(Option<u32>, Vec<f64>)>>()
    };
    assert_eq!(inputs.clone().leave_out(CALCULATION.key, &[2, 4]), 6, "all that there are");
    assert_eq!(numbers(&[2, 4]), [(Some(1), vec![1.0, 3.0]), (Some(2), vec![5.0, 6.0])]);
    assert_eq!(numbers(&[4, 5, 6]), [(Some(1), vec![1.0, 2.0, 3.0])]);
}
