//! What is said of gaps that were counted, at the edges of its rules.

use super::*;
use crate::calculations::spacing::Target;
use crate::quantity::LengthUnit;

use crate::calculations::Common;
use crate::working::Units;

fn common() -> Common {
    Common::new(Units::US)
}

fn inches(text: &str) -> Length {
    Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
}

/// Rows by their multiples, singles and misses of one; Xref is 2 in.
fn page(rows: &[[usize; 3]]) -> Outcome {
    let run = |(row, [multiples, singles, misses]): (u32, &[usize; 3])| {
        let of = |gap, times: &usize| vec![inches(gap); *times];
        let gaps = [of("0.5", multiples), of("2", singles), of("4", misses)].concat();
        SpacingRun { row: Some(row), taped: Taped::Gaps(gaps) }
    };
    calibrate(
        &Inputs {
            runs: (1..).zip(rows).map(run).collect(),
            seeds: Seeds { target: Target::Spacing(inches("2")), row_spacing: inches("30") },
        },
        &common(),
    )
}

fn said<'a>(outcome: &'a Outcome, kind: &WarningKind) -> Option<&'a str> {
    let found = outcome.warnings.iter().find(|warning| warning.kind == kind);
    found.map(|warning| warning.message.as_str())
}

fn next(outcome: &Outcome) -> Option<&str> {
    outcome.next.as_ref().map(|next| next.instruction.as_str())
}

#[test]
fn as_many_gaps_as_are_asked_for_are_not_few() {
    assert_eq!(said(&page(&[[0, 250, 0]]), &FEW_GAPS), None);
    // All of 249: Wilson's interval from 249 / (249 + 1.96^2) = 98.48 %.
    let words = "249 gaps, 250 are asked for: 1 more; with these the singles are 98.5 to 100 %";
    assert_eq!(said(&page(&[[0, 249, 0]]), &FEW_GAPS), Some(words));
}

/// 18 multiples of 300 gaps are 6 %; with no misses the faults are 6 % in all. Of 18 faults,
/// 18 / (18 + 1.96^2) = 82 % at the least are multiples.
#[test]
fn faults_of_one_kind_alone_are_many_above_a_twentieth() {
    let outcome = page(&[[18, 282, 0]]);
    let words = "6 % multiples, 0 % misses; that usually asks for more singulation, less vacuum or \
                 air, or a slower plate (common practice, no source)";
    assert_eq!(said(&outcome, &MANY_MULTIPLES), Some(words));
    let step = "6 % multiples, 0 % misses: try one thing at the meter (more singulation, or less \
                vacuum, or a slower plate), plant again and measure 250 gaps";
    assert_eq!(next(&outcome), Some(step));
    // 15 of 300 are just a twentieth.
    let outcome = page(&[[10, 285, 5]]);
    assert_eq!(next(&outcome), None);
    assert!(outcome.warnings.is_empty(), "{:?}", outcome.warnings);
}

/// One row with 2 % misses, three with 20 %: 62 of 400, 15.5 % in all. The difference of 18 % is
/// more than 2.58 x sqrt(0.155 x 0.845 x (1/100 + 1/300)) = 10.8 %, but it is the better row.
#[test]
fn a_row_that_stands_apart_for_the_better_is_not_the_one_to_work_on() {
    let outcome = page(&[[0, 80, 20], [0, 80, 20], [0, 98, 2], [0, 80, 20]]);
    let apart = said(&outcome, &ROW_APART).expect("a row apart");
    assert!(apart.starts_with("row 3: 2 % misses, 20 % in the other rows;"), "{apart}");
    let step = "0 % multiples, 15.5 % misses: try one thing at the meter (more vacuum, or less \
                singulation, or a slower plate), plant again and measure 250 gaps";
    assert_eq!(next(&outcome), Some(step));
}

/// Row 3 has more of both: 20 % against 2 %, so 6.5 % in all; the difference of 18 % is more than
/// 2.58 x sqrt(0.065 x 0.935 x (1/100 + 1/300)) = 7.3 %.
#[test]
fn a_row_with_more_of_both_faults_is_named_once() {
    let good = [2, 96, 2];
    let outcome = page(&[good, good, [20, 60, 20], good]);
    assert_eq!(outcome.warnings.iter().filter(|one| one.kind == &ROW_APART).count(), 2);
    // Of 52 faults half are multiples: none is surely more; of 400 gaps 26, from 4.5 % on.
    assert_eq!(next(&outcome), None);
    let outcome = page(&[good, good, [30, 40, 30], good]);
    let step = "9 % multiples, 9 % misses: try one thing at the meter of row 3, which stands apart \
                (drive slower, or look at plate, seal and seed tube), plant again and measure 250 \
                gaps";
    assert_eq!(next(&outcome), Some(step));
}

/// 40 and 40 of 300: Wilson's interval of either from (40 + 1.92 - 1.96 x sqrt(40 x 260 / 300 +
/// 0.96)) / 303.84 = 9.9 %, which is surely more than 5 %; the faults are half and half.
#[test]
fn both_kinds_that_are_surely_many_point_to_speed_and_seed_tube() {
    let outcome = page(&[[40, 220, 40]]);
    let words = "13.3 % multiples, 13.3 % misses; both are many: look at speed, at a worn plate or \
                 seal, at how the seed fits the cell, at the seed tube (common practice, no source)";
    assert_eq!(said(&outcome, &MULTIPLES_AND_MISSES), Some(words));
    assert!(next(&outcome).expect("a step").contains("(drive slower, or look at plate,"));
    // 10 and 8: from 1.8 % and 1.4 % on, and neither is surely the more.
    let few = page(&[[10, 282, 8]]);
    let words = "3.33 % multiples, 2.67 % misses; these gaps can't tell which are more; measure more \
                 before the meter is touched (common practice, no source)";
    assert_eq!(said(&few, &MULTIPLES_AND_MISSES), Some(words));
    assert_eq!(next(&few), None);
}
