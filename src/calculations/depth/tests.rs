//! Depths worked by hand.

use super::*;
use crate::quantity::LengthUnit;
use crate::quantity::{Decimal, Length};
use crate::working::Units;

fn common() -> Common {
    Common::new(Units::US)
}

fn inches(text: &str) -> Length {
    Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
}

/// Rows 1, 2, ... with their depths in inches; 1.5 in are wanted.
fn inputs(rows: &[&str], tolerance: Option<&str>) -> Inputs {
    let depths = |list: &&str| list.split(", ").map(inches).collect();
    let runs = (1..).zip(rows.iter().map(depths));
    Inputs {
        runs: runs
            .map(|(row, depths)| DepthRun {
                number: None,
                row: Some(row),
                depths,
                turned: None,
                turned_alike: None,
            })
            .collect(),
        wanted: inches("1.5"),
        tolerance: tolerance.map(inches),
        turns: None,
    }
}

fn verdicts(outcome: &Outcome) -> Vec<(&'static str, &str)> {
    let verdicts = outcome.settings.iter().map(|setting| &setting.verdict);
    verdicts.map(|verdict| (verdict.word(), verdict.reason())).collect()
}

/// Row 1: mean 1.0, SD sqrt(0.02 / 4) = 0.0707; t of 4 degrees of freedom is 2.776
/// (NIST/SEMATECH e-Handbook 1.3.6.7.2), so give or take 0.088: 0.5 in to go.
const SHALLOW: &str = "1.0, 1.0, 1.1, 0.9, 1.0";
/// Row 2: mean 1.5, give or take as much.
const GOOD: &str = "1.5, 1.5, 1.6, 1.4, 1.5";
/// Row 3: mean 1.5, SD 0.5; t of 2 degrees of freedom is 4.303: give or take 1.242.
const WIDE: &str = "1.0, 1.5, 2.0";

/// Half of the tolerance, 0.125 in, takes n with t x 0.5 / sqrt(n) <= 0.125, so t <= sqrt(n) / 4.
/// At 64, t is 1.998 and sqrt(64) / 4 is 2; at 63, t is 1.999 and sqrt(63) / 4 is 1.984. 3 are there.
const WIDE_WORDS: &str =
    "1.5 in give or take 1.24 can't be told from the tolerance: measure 61 more";

#[test]
fn three_rows_worked_by_hand_with_two_turns_for_an_eighth() {
    // 0.5 in at two turns for 1/8 in: 0.5 / 0.125 x 2 = 8 turns.
    for (turning_in, turns, words) in [
        (Way::Deeper, 8.0, "8 turns in (0.5 in deeper)"),
        (Way::Shallower, -8.0, "8 turns out (0.5 in deeper)"),
    ] {
        let mut inputs = inputs(&[SHALLOW, GOOD, WIDE], Some("0.25"));
        let depth = inches("1/8");
        inputs.turns = Some(DepthTurns { depth, turns: Decimal::whole(2), turning_in });
        let outcome = calibrate(&inputs, &common());
        let found = outcome.values.iter().find(|one| one.name() == Some("turns in of row 1"));
        approx::assert_relative_eq!(found.expect("turns").number(), turns, epsilon = 1e-12);
        assert_eq!(
            verdicts(&outcome),
            [
                ("change", words),
                ("keep", "the mean is inside the tolerance"),
                ("measure more", WIDE_WORDS)
            ]
        );
        assert_eq!(
            outcome.next.expect("a step").instruction,
            format!("set the depth: row 1 {words}; plant again and dig up seed of every row")
        );
    }
}

#[test]
fn where_no_row_is_to_be_changed_the_open_one_is_next() {
    let outcome = calibrate(&inputs(&[GOOD, WIDE], Some("0.25")), &common());
    let next = outcome.next.expect("a step");
    assert_eq!(next.instruction, format!("depth of row 2: {WIDE_WORDS}"));
    let single = calibrate(&inputs(&["1.5"], Some("0.25")), &common()).next.expect("a step");
    assert_eq!(
        single.instruction,
        "depth of row 1: a single depth can't be told from scatter: measure 9 more"
    );
    assert!(calibrate(&inputs(&[GOOD], Some("0.25")), &common()).next.is_none());
}

#[test]
fn more_than_ten_thousand_depths_are_too_many_to_count() {
    // SD 0.458: 1.96 x 0.458 / sqrt(10000) is 0.009, and half of the tolerance 0.005.
    let outcome = calibrate(&inputs(&["1.0, 1.9, 1.3"], Some("0.01")), &common());
    let words = "1.4 in give or take 1.14 can't be told from the tolerance, and too many \
                 depths to count would have to be measured: find out what scatters them";
    assert_eq!(verdicts(&outcome), [("measure more", words)]);
}

#[test]
fn without_a_tolerance_a_row_is_changed_where_it_is_told_apart_from_the_depth_wanted() {
    // Row 2: mean 1.52, deviations -0.07, 0.08, 0.03, -0.02, -0.02, SD sqrt(0.013 / 4); give or
    // take 2.776 x 0.057 / sqrt(5) = 0.071, and 0.02 off. Row 3 is 1.5 to the last digit.
    let rows = [SHALLOW, "1.45, 1.6, 1.55, 1.5, 1.5", "1.5, 1.5, 1.5, 1.5, 1.5"];
    let kept = ("keep", "not told apart from the depth wanted (no tolerance)");
    let outcome = calibrate(&inputs(&rows, None), &common());
    assert_eq!(verdicts(&outcome), [("change", "0.5 in deeper"), kept, kept]);
}

#[test]
fn a_row_off_by_just_the_tolerance_is_kept() {
    // Five alike: 1.25 in give or take nothing, 0.25 in off.
    for list in ["1.25, 1.25, 1.25, 1.25, 1.25", "1.75, 1.75, 1.75, 1.75, 1.75"] {
        let outcome = calibrate(&inputs(&[list], Some("0.25")), &common());
        assert_eq!(verdicts(&outcome), [("keep", "the mean is inside the tolerance")]);
    }
    let outcome = calibrate(&inputs(&["1.8, 1.8, 1.8, 1.8, 1.8"], Some("0.25")), &common());
    assert_eq!(verdicts(&outcome), [("change", "0.3 in shallower")]);
}

#[test]
fn depths_left_out_are_counted_and_a_row_without_any_is_gone() {
    let mut inputs = inputs(&["1.0, 1.1", "1.2", "1.3, 1.4"], Some("0.25"));
    assert_eq!(inputs.leave_out(CALCULATION.key, &[3, 4]), 5);
    let left: Vec<_> = inputs.runs.iter().map(|run| (run.row, run.depths.len())).collect();
    assert_eq!(left, [(Some(1), 2), (Some(3), 1)]);
}

#[test]
fn a_depth_far_from_the_rest_keeps_its_number_when_others_are_left_out() {
    // Without 1 and 3 the median is 1.05, the middle deviation 0.05, as by steps of 0.05
    // (0.025 + 0.05 x (2.5 - 1) / 3): 2.4 scores 0.6745 x 1.35 / 0.05 = 18.2.
    let mut inputs = inputs(&["5, 1.0, 5, 1.1, 1.0, 1.05", "2.4"], Some("0.25"));
    inputs.leave_out(CALCULATION.key, &[1, 3]);
    inputs.runs.iter_mut().for_each(|run| run.row = None);
    let left_out = [(CALCULATION.key.to_owned(), vec![1, 3])].into();
    let outcome = calibrate(&inputs, &Common { left_out, ..common() });
    let said: Vec<&str> = outcome.warnings.iter().map(|one| one.message.as_str()).collect();
    let far = "depth: reading 7 (2.4 in) lies far from the rest (score 18.2, limit 8.13); look \
               at it again; it counts until it is left out by --without depth:7";
    assert!(said.contains(&"without depths 1, 3, as asked"), "{said:?}");
    assert!(said.contains(&far), "{said:?}");
}
