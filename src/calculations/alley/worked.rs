//! Pages of alleys worked by hand: an alley of 30 in is wanted, marks and middles lie as said.

use super::*;
use crate::calculations::spacing::Target;
use crate::outcome::setting::SETBACK;
use crate::outcome::{Direction, Heading, MovingSetting};
use crate::quantity::LengthUnit;

use crate::calculations::Common;
use crate::working::Units;

fn common() -> Common {
    Common::new(Units::US)
}

fn inches(text: &str) -> Length {
    Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
}

/// Alleys of one heading by their two sides, `a` and `b`.
fn run(heading: Option<Heading>, sides: &[(&str, &str)]) -> AlleyRun {
    let alley = |(a, b): &(&str, &str)| Measured {
        last_seed_to_mark: Some(inches(a)),
        mark_to_first_seed: Some(inches(b)),
    };
    AlleyRun {
        number: None,
        heading,
        alleys: sides.iter().map(alley).collect(),
        then: vec![],
        edges: None,
        rank: None,
    }
}

/// The runs, with the setback as it is now; centre and width may be 1 in off.
fn inputs(runs: Vec<AlleyRun>, now: &str, raising_moves: Direction) -> Inputs {
    Inputs {
        runs,
        leads: vec![],
        alley: inches("30"),
        plot: None,
        setback: MovingSetting::new(&SETBACK, inches(now), raising_moves, None),
        tolerance: Some(inches("1")),
        width_tolerance: None,
        seeds: None,
    }
}

fn said<'a>(outcome: &'a Outcome, kind: &crate::outcome::WarningKind) -> Option<&'a str> {
    let found = outcome.warnings.iter().find(|warning| warning.kind == kind);
    found.map(|warning| warning.message.as_str())
}

fn has(outcome: &Outcome, name: &str) -> bool {
    outcome.working().iter().any(|step| step.name() == name)
}

/// Middles 2.5, 3, 3.5, 3, 3 in ahead, 30 in wide.
const AHEAD: [(&str, &str); 5] =
    [("12.5", "17.5"), ("12", "18"), ("11.5", "18.5"), ("12", "18"), ("12", "18")];

#[test]
fn figures_are_named_by_their_heading_only_where_both_were_measured() {
    let out = || run(Some(Heading::Out), &AHEAD);
    let one = calibrate(&inputs(vec![out()], "15", Direction::Back), &common());
    for name in ["mean last seed to mark", "mean mark to first seed", "centre ahead of mark"] {
        assert!(has(&one, name), "{name}");
        assert!(!has(&one, &format!("{name}, out")), "{name}");
    }
    let runs = vec![out(), run(Some(Heading::Home), &AHEAD)];
    let both = calibrate(&inputs(runs, "15", Direction::Back), &common());
    for name in ["centre ahead of mark, out", "centre ahead of mark, home"] {
        assert!(has(&both, name), "{name}");
    }
}

#[test]
fn runs_with_and_without_a_heading_are_no_two_headings() {
    let runs = vec![run(None, &AHEAD), run(Some(Heading::Out), &AHEAD)];
    let outcome = calibrate(&inputs(runs, "15", Direction::Back), &common());
    assert!(outcome.settings.is_empty() && outcome.next.is_none());
}

#[test]
fn the_new_setback_takes_out_the_shift_whichever_way_it_counts() {
    // 3 in ahead: 15 + 3 where raising it moves alleys back, 15 - 3 where it moves them ahead.
    for (way, set, words) in
        [(Direction::Back, 18.0, "raise it by 3 in"), (Direction::Ahead, 12.0, "lower it by 3 in")]
    {
        let (outcome, pending) =
            calibrate_with_shift(&inputs(vec![run(None, &AHEAD)], "15", way), &common());
        assert_eq!(outcome.settings[0].set.number(), set);
        assert_eq!(outcome.settings[0].verdict.reason(), words);
        assert_eq!(pending.map(|shift| shift.number()), Some(3.0));
    }
}

#[test]
fn a_setback_of_nothing_is_not_below_zero() {
    // Middles (12 - 18) / 2 = 3 in behind.
    let behind = |now| inputs(vec![run(None, &[("18", "12"); 5])], now, Direction::Back);
    let nothing = calibrate(&behind("3"), &common());
    assert_eq!(nothing.settings[0].set.number(), 0.0);
    assert_eq!(nothing.settings[0].verdict.word(), "change");
    assert_eq!(said(&nothing, &BELOW_ZERO), None);
    let below = calibrate(&behind("2"), &common());
    let words = "the setback would have to be -1 in, below zero";
    assert_eq!(said(&below, &BELOW_ZERO), Some(words));
}

#[test]
fn a_width_off_by_more_than_the_tolerance_comes_before_the_setback() {
    let of_width =
        |a, b| calibrate(&inputs(vec![run(None, &[(a, b); 5])], "15", Direction::Back), &common());
    // 15 + 16 in is just the tolerance wider than 30 in, 14.5 + 14.5 just that narrower.
    for (a, b) in [("15", "16"), ("14.5", "14.5"), ("15", "14")] {
        assert_eq!(said(&of_width(a, b), &ALLEY_WIDTH_OFF), None, "{a} {b}");
    }
    for (a, b, off) in [
        ("15", "16.5", "1.5 in too wide"),
        ("13.5", "15", "1.5 in too narrow"),
        ("15", "13.5", "1.5 in too narrow"),
    ] {
        let outcome = of_width(a, b);
        let words = format!(
            "the alley is {off}, more than the tolerance of 1 in; set the changeover right before \
             the setback"
        );
        assert_eq!(said(&outcome, &ALLEY_WIDTH_OFF), Some(words.as_str()));
        let next = outcome.next.expect("a step").instruction;
        assert!(next.starts_with(&format!("the alley is {off}: set the changeover")), "{next}");
    }
}

/// Widths 30, 32, 34: SD 2. Seeds 6 in apart bring 6 / sqrt(6) = 2.44949; with t of 2 degrees of
/// freedom, 4.30265 (NIST/SEMATECH e-Handbook 1.3.6.7.2 has 4.303), 4.30265 x 2.44949 / sqrt(3).
#[test]
fn the_scatter_of_seeds_stands_in_for_a_smaller_one_of_widths() {
    let widths: Vec<Value> =
        ["30", "32", "34"].map(|text| Units::US.length("width", &inches(text))).to_vec();
    let seeds = Seeds { target: Target::Spacing(inches("6")), row_spacing: inches("30") };
    let wide = width_scatter(&widths, Some(&seeds), Confidence::NINETY_FIVE, &Units::US);
    approx::assert_relative_eq!(wide, 6.084_87, max_relative = 1e-5);
    // Widths that are read alike tell no less of the seeds, and nothing else.
    let alike = vec![widths[0].clone(); 3];
    let scatter = |seeds| width_scatter(&alike, seeds, Confidence::NINETY_FIVE, &Units::US);
    approx::assert_relative_eq!(scatter(Some(&seeds)), 6.084_87, max_relative = 1e-5);
    assert_eq!(scatter(None), 0.0);
}

/// Leads of 6 in say that every alley lies 3 in ahead. Alleys 5 in ahead going out stand against marks
/// that are 5 - 3 = 2 in short of their line; coming home alleys 1 in ahead say 3 - 1 = 2 in.
#[test]
fn leads_part_planter_from_marks_where_alleys_are_of_one_heading() {
    let leads = ["6", "6.25", "5.75", "6", "6.25", "5.75"].map(inches).to_vec();
    let five = [("10", "20"), ("10.25", "20.25"), ("9.75", "19.75"), ("10", "20"), ("10", "20")];
    let one = [("14", "16"), ("14.25", "16.25"), ("13.75", "15.75"), ("14", "16"), ("14", "16")];
    for (heading, alleys) in [(Heading::Out, five), (Heading::Home, one)] {
        let runs = vec![run(Some(heading), &alleys)];
        let inputs =
            Inputs { leads: vec![leads.clone().into()], ..inputs(runs, "15", Direction::Back) };
        let outcome = calibrate(&inputs, &common());
        assert_eq!(outcome.settings[0].set.number(), 18.0, "15 + 3");
        let marks = said(&outcome, &MARK_LINE).expect("a word on the marks");
        assert!(
            marks.contains("lie 2 in each way") && marks.contains("short of the line"),
            "{marks}"
        );
        assert!(said(&outcome, &ONE_HEADING).is_none());
    }
    // Nobody wrote down which way they were driven: 5 in or 3 in.
    let runs = vec![run(None, &five)];
    let inputs = Inputs { leads: vec![leads.into()], ..inputs(runs, "15", Direction::Back) };
    let verdict = &calibrate(&inputs, &common()).settings[0].verdict;
    assert!(matches!(verdict, Verdict::Measure(why) if why.contains("write the `heading`")));
}
