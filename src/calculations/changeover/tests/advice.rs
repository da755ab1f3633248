//! What the crew saw, and the one change it asks for.

use crate::calculations::changeover::tests::*;
use crate::outcome::SettingResult;

fn seen(length: f64, put: fn(&mut Observed, Option<Length>)) -> Observed {
    let mut seen = Observed::default();
    put(&mut seen, Some(cm(length)));
    seen
}

fn old_seed(length: f64) -> Observed {
    seen(length, |seen, length| seen.old_seed_in_new_plot = length)
}

fn bunched_at_end(length: f64) -> Observed {
    seen(length, |seen, length| seen.bunched_at_end = length)
}

fn bunched_at_start(length: f64) -> Observed {
    seen(length, |seen, length| seen.bunched_at_start = length)
}

fn wide(widths: &[f64]) -> Observed {
    let alley_width = widths.iter().map(|width| cm(*width)).collect();
    Observed { alley_width, ..Observed::default() }
}

fn after(inputs: Set, runs: impl IntoIterator<Item = Observed>) -> Outcome {
    advise(&Set { runs: runs.into_iter().collect(), ..inputs }, &common())
}

/// The setting to change, what the arithmetic gives and what is to be set.
fn change(outcome: &Outcome) -> (String, f64, f64) {
    let change = &outcome.settings[0];
    assert!(matches!(change.verdict, Verdict::Change(_)), "{outcome:?}");
    let round = |value: &Value| (value.number() * 1e9).round() / 1e9;
    (change.key.clone().expect("a key").into_owned(), round(&change.exact), round(&change.set))
}

fn nothing_to_change(outcome: &Outcome) -> bool {
    let keeps = |one: &SettingResult| matches!(one.verdict, Verdict::Keep(_));
    outcome.next.is_none() && outcome.settings.iter().all(keeps)
}

#[test]
fn a_reading_of_nothing_asks_for_nothing() {
    let nothing = Observed {
        old_seed_in_new_plot: Some(cm(0.0)),
        bunched_at_end: Some(cm(0.0)),
        bunched_at_start: Some(cm(0.0)),
        stray_seeds: Some(0),
        ..Observed::default()
    };
    for sweep in [None, sweep(1.5, 0.1)] {
        let outcome = after(Set { sweep, ..planter(1.5, 0.5, 0.4) }, [nothing.clone()]);
        assert!(nothing_to_change(&outcome) && outcome.warnings.is_empty(), "{outcome:?}");
    }
    // Nor does it forbid a change later: 12 cm too wide are 12 / (100 x 1.5) s of fill.
    let outcome = after(planter(1.5, 0.5, 0.0), [nothing, wide(&[102.0])]);
    assert_eq!(change(&outcome), ("fill.for".into(), 0.08, 0.1));
}

#[test]
fn a_timer_to_be_shortened_comes_out_a_step_shorter_at_least() {
    // 2 cm took 0.02 s, less than half a step: 0.38 s would be 0.4 s again.
    let outcome = after(planter(1.5, 0.5, 0.4), [bunched_at_start(2.0)]);
    assert_eq!(change(&outcome), ("fill.for".into(), 0.38, 0.35));
    assert!(outcome.settings[0].verdict.reason().starts_with("lower it by 0.05 s: "));
}

#[test]
fn the_reason_says_which_way_and_how_far() {
    // 12 cm / 100 cm/s on the step above is 0.15 s; 9 cm on the nearest one 0.1 s.
    let raised = after(planter(1.5, 0.5, 0.4), [old_seed(12.0)]);
    let reason = raised.settings[0].verdict.reason();
    assert_eq!(reason, "raise it by 0.15 s: old seed was found 12 cm into the new plot");
    let lowered = after(planter(1.5, 0.5, 0.4), [bunched_at_start(9.0)]);
    let reason = lowered.settings[0].verdict.reason();
    assert_eq!(reason, "lower it by 0.1 s: seeds stood bunched over 9 cm at the plot's start");
}

#[test]
fn a_hand_over_that_nobody_timed_is_only_lengthened_where_it_was_too_short() {
    let untimed = || {
        let mut inputs = planter(1.5, 0.5, 0.4);
        inputs.present = inputs.present.map(|one| Present { hand_over: None, ..one });
        inputs
    };
    let unfinished = Observed { hand_over_unfinished: true, ..bunched_at_end(8.0) };
    let next = after(untimed(), [unfinished]).next.expect("a step");
    assert!(next.set.is_none() && next.instruction.starts_with("lengthen hand-over"));
    // 8 cm hold 8 x 50 / 100 = 4 seeds, 0.2 s at 20 cells/s.
    assert_eq!(change(&after(untimed(), [bunched_at_end(8.0)])), ("fill.wait".into(), 0.7, 0.7));
}

/// An earlier run in which the fill bunched new seed leaves the clean-out to take the width away.
#[test]
fn a_clean_out_is_shortened_no_further_than_old_seed_allows() {
    let run = |clean_out: f64, gone: f64, width: f64| {
        let inputs = Set { old_seed_gone: seconds(gone), ..planter(clean_out, 1.0, 0.4) };
        change(&after(inputs, [bunched_at_start(9.0), wide(&[width])]))
    };
    // 12 cm / 100 cm/s.
    assert_eq!(run(1.8, 1.15, 102.0), ("clean-out.for".into(), 1.68, 1.7));
    // 80 cm would be 0.8 s, but old seed is gone after 1.15 s only, or after 1.17 s.
    assert_eq!(run(1.8, 1.15, 170.0), ("clean-out.for".into(), 1.15, 1.15));
    assert_eq!(run(1.8, 1.17, 170.0), ("clean-out.for".into(), 1.17, 1.2));
    // One second is the least where old seed is gone sooner.
    assert_eq!(run(1.8, 0.6, 190.0), ("clean-out.for".into(), 1.0, 1.0));
    // A step above the least there is room, at the least there is none: 1.0 - 0.12 s of run-out.
    assert_eq!(run(1.2, 1.15, 102.0), ("clean-out.for".into(), 1.15, 1.15));
    assert_eq!(run(1.15, 1.15, 102.0), ("fill.wait".into(), 0.88, 0.9));
}

/// 1.5 s of clean-out is 1.25 s and half a step of 0.5 s; 60 cm too wide are 0.6 s. Old seed needs
/// 1.25 + 15 / 20 - 1.5 = 0.5 s of run-out: 0.75 s is half a step more.
#[test]
fn half_a_step_above_the_least_is_no_room() {
    let run = |run_out: f64| {
        let inputs = Set {
            step: Some(seconds(0.5)),
            old_seed_gone: seconds(1.25),
            ..planter(1.5, run_out, 0.4)
        };
        after(inputs, [bunched_at_start(9.0), wide(&[150.0])])
    };
    assert_eq!(change(&run(2.0)), ("fill.wait".into(), 1.4, 1.5));
    assert_eq!(change(&run(0.75)), ("fill.wait".into(), 0.5, 0.5));
    assert!(nothing_to_change(&run(0.5)));
}

/// 1.5 s of clean-out and 15 cells leave 1.15 + 0.75 - 1.5 = 0.4 s of run-out to old seed; 3 cm
/// too wide are 0.03 s, and a step of 5 cm is nearer to them than none.
#[test]
fn a_timer_that_is_shortened_never_stays_as_it_was() {
    let close = |clean_out: f64, gone: f64, widths: [f64; 8], earlier: Observed| {
        let inputs = Set {
            old_seed_gone: seconds(gone),
            width_tolerance: Some(cm(0.5)),
            ..planter(clean_out, 1.0, 0.4)
        };
        after(inputs, [earlier, bunched_at_start(9.0), wide(&widths)])
    };
    let run_out = close(1.5, 1.15, [93.0; 8], old_seed(9.0));
    assert_eq!(change(&run_out), ("fill.wait".into(), 0.97, 0.95));
    // 1.2 s is the least clean-out on the step where old seed is gone after 1.17 s: 12 cm and
    // 2.9 cm too wide are taken from the run-out, which needs 1.17 + 0.75 - 1.2 = 0.72 s.
    let tenth = close(1.2, 1.17, [102.0; 8], Observed::default());
    assert_eq!(change(&tenth), ("fill.wait".into(), 0.88, 0.9));
    let little = close(1.2, 1.17, [92.9; 8], Observed::default());
    assert_eq!(change(&little), ("fill.wait".into(), 0.971, 0.95));
    // A step longer there is room, and none to go below what old seed needs.
    let step = close(1.25, 1.17, [95.6; 8], Observed::default());
    assert_eq!(change(&step), ("clean-out.for".into(), 1.194, 1.2));
    let least = close(1.25, 1.17, [97.8; 8], Observed::default());
    assert_eq!(change(&least), ("clean-out.for".into(), 1.172, 1.2));
}

/// A timer typed between two steps: 1.22 s lies between 1.2 and 1.25 s.
#[test]
fn a_timer_between_two_steps_moves_the_way_it_has_to_go() {
    let run = |run_out: f64, seen: Observed| change(&after(planter(1.5, run_out, 0.4), [seen]));
    // 1 cm is 1 x 50 / (100 x 20) = 0.025 s more.
    assert_eq!(run(0.51, bunched_at_end(1.0)), ("fill.wait".into(), 0.535, 0.55));
    let fill =
        |now: f64, length: f64| change(&after(planter(1.5, 0.5, now), [bunched_at_start(length)]));
    // 0.42 - 0.005 = 0.415 is 0.4 on the step; 0.43 - 0.004 = 0.426 would be 0.45.
    assert_eq!(fill(0.42, 0.5), ("fill.for".into(), 0.415, 0.4));
    assert_eq!(fill(0.43, 0.4), ("fill.for".into(), 0.426, 0.4));
    assert_eq!(fill(0.02, 0.4), ("fill.for".into(), 0.016, 0.0));
}

#[test]
fn a_fill_of_nothing_is_not_blamed_for_seeds_bunched_at_the_start() {
    let outcome = after(planter(1.5, 0.5, 0.0), [bunched_at_start(9.0)]);
    assert!(outcome.settings.iter().all(|one| matches!(one.verdict, Verdict::Keep(_))));
    let next = outcome.next.as_ref().expect("a step");
    assert!(next.set.is_none() && next.instruction.starts_with("find out what bunches seeds"));
    assert!(outcome.cautions.iter().any(|one| one.text.contains("engine off, key out")));
    let words = remark(&outcome, "machine-times-off");
    assert!(words.starts_with("seeds stood bunched over 9 cm at the plot's start"), "{words}");
    // What is wrong besides is still mended: 30 cm narrow / 100 cm/s.
    let both = Observed { alley_width: vec![cm(60.0)], ..bunched_at_start(9.0) };
    assert_eq!(change(&after(planter(1.5, 0.5, 0.0), [both])), ("clean-out.for".into(), 1.8, 1.8));
}

/// 12 cm too wide are 0.12 s of clean-out; old seed is gone at 0.6 s. Where the sheet says how short
/// a clean-out may be, it goes no further; where it does not, it asks.
#[test]
fn a_clean_out_to_be_shortened_asks_how_short_it_may_be() {
    let run = |least: Option<f64>, width: f64| {
        let inputs = Set {
            least_clean_out: least.map(seconds),
            old_seed_gone: seconds(0.6),
            ..planter(1.5, 1.0, 0.4)
        };
        after(inputs, [bunched_at_start(9.0), wide(&[width])])
    };
    let asks = |outcome: &Outcome| codes(outcome).contains(&"no-clean-out-figure");
    assert_eq!(change(&run(Some(1.2), 150.0)), ("clean-out.for".into(), 1.2, 1.2));
    assert!(!asks(&run(Some(1.2), 150.0)));
    assert_eq!(change(&run(None, 150.0)), ("clean-out.for".into(), 0.9, 0.9));
    assert!(asks(&run(None, 150.0)));
    // Too narrow: a longer one needs no figure.
    assert!(!asks(&run(None, 30.0)));
}

#[test]
fn an_alley_too_narrow_gets_more_clean_out_though_that_is_below_the_least() {
    // 10 cm narrow: the fill has 0.05 s of the 10 / 150 s, the clean-out gets 0.1 s.
    let outcome = after(planter(0.8, 0.5, 0.05), [wide(&[80.0])]);
    assert_eq!(change(&outcome), ("clean-out.for".into(), 0.9, 0.9));
}

#[test]
fn a_fill_may_come_down_to_nothing_but_not_below() {
    // 60 cm / (100 cm/s x 1.5) = 0.4 s; 61.5 cm are 0.41 s.
    let narrow = |width: f64| change(&after(planter(1.5, 0.5, 0.4), [wide(&[width])]));
    assert_eq!(narrow(30.0), ("fill.for".into(), 0.0, 0.0));
    assert_eq!(narrow(28.5), ("clean-out.for".into(), 2.115, 2.1));
}

#[test]
fn what_an_earlier_run_showed_does_not_keep_a_fill_from_being_shortened() {
    // 30 cm narrow / (100 cm/s x 1.5) = 0.2 s.
    let outcome = after(planter(1.5, 0.5, 0.4), [bunched_at_start(9.0), wide(&[60.0])]);
    assert_eq!(change(&outcome), ("fill.for".into(), 0.2, 0.2));
}

/// New seed is at pick-up at 1.7 s = cell 34 and released at cell 49; the boost starts at 2.0 s =
/// cell 40 and reaches cell 49 in 9 / 50 = 0.18 s.
#[test]
fn a_fill_is_not_lengthened_into_the_first_new_seeds() {
    // 13.5 cm / 150 cm/s = 0.09 s to 0.18 s: none bunched. On the step 0.2 s.
    let outcome = after(planter(1.5, 0.5, 0.09), [wide(&[103.5])]);
    assert_eq!(change(&outcome), ("fill.for".into(), 0.18, 0.2));
    // 0.15 + 0.2 s would release 8.5 seeds under boost.
    let outcome = after(planter(1.5, 0.5, 0.15), [wide(&[120.0])]);
    assert_eq!(change(&outcome), ("clean-out.for".into(), 1.2, 1.2));
}

#[test]
fn a_boost_no_faster_than_the_ground_drive_leaves_the_width_to_the_clean_out() {
    for rate in [15, 20] {
        let inputs = Set { boost: boost(rate), ..planter(1.8, 0.5, 0.4) };
        let outcome = after(inputs, [wide(&[102.0])]);
        assert_eq!(change(&outcome), ("clean-out.for".into(), 1.68, 1.7));
    }
}

/// Earlier runs forbid a longer fill and a shorter clean-out. Old seed needs
/// 1.15 s + 15 / 20 s - clean-out: 0.4 s where that is 1.5 s.
#[test]
fn a_run_out_is_shortened_no_further_than_old_seed_needs() {
    let run = |clean_out: f64, run_out: f64, width: f64| {
        let earlier = [old_seed(9.0), bunched_at_start(9.0), wide(&[width])];
        after(planter(clean_out, run_out, 0.4), earlier)
    };
    assert_eq!(change(&run(1.5, 1.0, 100.0)), ("fill.wait".into(), 0.9, 0.9));
    assert_eq!(change(&run(1.5, 0.44, 100.0)), ("fill.wait".into(), 0.4, 0.4));
    // A clean-out of 2.5 s needs none.
    assert_eq!(change(&run(2.5, 0.2, 120.0)), ("fill.wait".into(), 0.0, 0.0));
    let stuck = run(1.5, 0.4, 100.0);
    assert!(nothing_to_change(&stuck));
    let words = remark(&stuck, "alley-not-reached");
    assert!(words.starts_with("the alley is 10 cm too wide, and no timer"), "{words}");
    let needed_anyway = after(
        planter(1.5, 1.0, 0.4),
        [old_seed(9.0), bunched_at_start(9.0), bunched_at_end(9.0), wide(&[100.0])],
    );
    assert!(nothing_to_change(&needed_anyway));
}

/// Eight widths alike scatter as seeds do, by 2.365 x 5 / sqrt(6) / sqrt(8) = 1.7 cm. A step of fill is worth 5 cm x 1.5, one of clean-out 5 cm.
#[test]
fn a_width_is_left_where_half_a_step_overshoots_it() {
    let all = |width: f64| [wide(&[width; 8])];
    let close = |step: f64, run_out: f64| Set {
        width_tolerance: Some(cm(0.5)),
        step: Some(seconds(step)),
        ..planter(1.5, run_out, 0.0)
    };
    assert_eq!(
        change(&after(close(0.05, 0.5), all(94.0))),
        ("fill.for".into(), 0.026_666_667, 0.05)
    );
    assert_eq!(change(&after(close(0.05, 0.5), all(93.0))), ("clean-out.for".into(), 1.47, 1.45));
    // Less than half of 7.5 cm, more than half of 5 cm.
    assert_eq!(change(&after(close(0.05, 0.5), all(93.5))), ("clean-out.for".into(), 1.465, 1.45));
    for (step, width, way) in [(0.05, 92.0, "2 cm too wide"), (0.1, 86.5, "3.5 cm too narrow")] {
        let outcome = after(close(step, 1.0), all(width));
        assert!(nothing_to_change(&outcome), "{outcome:?}");
        let words = remark(&outcome, "alley-not-reached");
        assert!(words.contains(way) && words.contains("nearer than one step"), "{words}");
    }
}

/// One width says the mean to twice 5 / sqrt(6) = 2.04 cm.
#[test]
fn a_width_off_by_less_than_its_scatter_is_measured_again() {
    let close = || Set { width_tolerance: Some(cm(0.5)), ..planter(1.5, 0.5, 0.4) };
    let again = after(close(), [wide(&[94.0])]).next.expect("a step");
    assert!(again.setting.is_none() && again.set.is_none());
    let words = "the alley width is 4 cm off, give or take 4.08: measure more widths";
    assert!(again.instruction.starts_with(words), "{}", again.instruction);
    // 5 cm of 100 cm/s x 1.5 are 0.033 s.
    assert_eq!(change(&after(close(), [wide(&[85.0])])), ("fill.for".into(), 0.366_666_667, 0.35));
}

#[test]
fn widths_of_alley_runs_count_where_the_changeover_run_has_none() {
    let taped = |width: f64| vec![Units::METRIC.readings(&[cm(width)])];
    let inputs = || Set { widths: taped(60.0), ..planter(1.5, 0.5, 0.4) };
    // 30 cm / (100 cm/s x 1.5) = 0.2 s.
    assert_eq!(change(&advise(&inputs(), &common())), ("fill.for".into(), 0.2, 0.2));
    assert_eq!(change(&after(inputs(), [Observed::default()])), ("fill.for".into(), 0.2, 0.2));
    // 15 cm: 0.1 s.
    assert_eq!(change(&after(inputs(), [wide(&[75.0])])), ("fill.for".into(), 0.3, 0.3));
}

/// Old seed is released at cell 23 + 15 = 38 at 1.9 s, new seed from cell 49 on, 0.18 s after the
/// boost has started at 2.0 s: 28 cm, half of 5 cm at one edge and half of 2 cm at the other.
#[test]
fn machine_times_are_doubted_where_they_make_another_alley_than_was_measured() {
    let run = |width: f64, tolerance: f64| {
        let tolerance = Some(cm(tolerance));
        after(Set { width_tolerance: tolerance, ..planter(1.5, 0.5, 0.4) }, [wide(&[width])])
    };
    let doubts =
        |width: f64, tolerance: f64| codes(&run(width, tolerance)).contains(&"machine-times-off");
    // Tolerance 5 cm, and one width scatters by 4.08 cm.
    assert!(doubts(37.0, 5.0) && doubts(26.0, 5.0));
    assert!(!doubts(36.0, 5.0) && !doubts(27.0, 5.0));
    assert!(doubts(36.0, 0.5) && !doubts(35.0, 0.5));
    let words = remark(&run(37.0, 5.0), "machine-times-off");
    assert!(words.contains("would be 31.5 cm, and 37 cm were measured"), "{words}");
}
