//! Timers to start with, and why they are what they are.

use crate::calculations::changeover::start::{sweeping, whole_steps};
use crate::calculations::changeover::tests::*;

/// The planter by hand with an alley to be made.
fn wish(alley: f64) -> Wish {
    Inputs { alley: cm(alley), ..unset() }.wish(&common())
}

/// Clean-out, run-out, fill and the alley they make.
fn found(wish: &Wish) -> [f64; 4] {
    let start = starting_values(wish).expect("timers");
    let timers = &start.timers;
    [timers.clean_out, timers.run_out, timers.fill, start.alley].map(|n| (n * 1e6).round() / 1e6)
}

/// Clean-out 1.5 s and run-out 0.4 s let the last old seed fall at 1.9 s = cell 38, when the boost
/// starts. New seed comes at 1.7 s = cell 34 and is released at cell 49: without a fill 11 cells or
/// 0.55 s later, 55 cm and a spacing. A step of fill takes 7.5 cm away.
#[test]
fn starting_values_come_nearest_to_the_alley_with_the_usual_clean_out() {
    assert_eq!(found(&wish(60.0)), [1.5, 0.4, 0.0, 60.0]);
    assert_eq!(found(&wish(45.0)), [1.5, 0.4, 0.1, 45.0]);
    // A clean-out of 1.45 s would hit 47.5 cm, but 1.5 s is usual.
    assert_eq!(found(&wish(47.5)), [1.5, 0.4, 0.1, 45.0]);
    // Wider than without fill: a step of clean-out is 5 cm.
    assert_eq!(found(&wish(65.0)), [1.55, 0.35, 0.0, 65.0]);
    assert_eq!(found(&wish(90.0)), [1.8, 0.1, 0.0, 90.0]);
}

#[test]
fn the_timers_that_a_machine_has_are_not_looked_at() {
    let plain = wish(45.0);
    let machine = Timers {
        clean_out: 0.7,
        run_out: 2.0,
        fill: 0.3,
        sweep: Some(Sweep { start: 1.0, length: 0.5, cells_before_release: 3.0 }),
        ..plain.machine.clone()
    };
    for alley in [45.0, 60.0, 65.0, 90.0] {
        let set = Wish { machine: machine.clone(), alley, ..plain.clone() };
        assert_eq!(found(&set), found(&Wish { alley, ..plain.clone() }));
    }
    // With 1.5 s and the longest fill, 11 / 50 s for the 11 cells: 22 cm and a spacing.
    assert!(near(least_alley(&plain.machine, 1.5), 27.0));
    assert!(near(least_alley(&machine, 1.5), 27.0));
}

/// The boost is 21 cells/s, 1.05 of ground rate: a step of fill takes 0.25 cm away. A quarter of a
/// step's travel is 1.25 cm.
#[test]
fn a_boost_that_brings_less_than_a_quarter_of_a_steps_travel_is_left_out() {
    let slow = |alley: f64| {
        found(&Inputs { boost: boost(21), alley: cm(alley), ..unset() }.wish(&common()))
    };
    // The longest fill, 11 / 21 s = 0.52 s, brings 2.5 cm of the 2.5 cm.
    assert_eq!(slow(57.5), [1.5, 0.4, 0.5, 57.5]);
    // At best 1.05 cm of 1.15 cm, or all of 1 cm.
    assert_eq!(slow(58.85), [1.5, 0.4, 0.0, 60.0]);
    assert_eq!(slow(59.0), [1.5, 0.4, 0.0, 60.0]);
}

/// The boost is 120 cells/s, 6 times ground rate: a step of fill takes 25 cm away, and there is
/// room for one, 11 / 120 s. 60 cm or 35 cm are further than 5 cm off, so the clean-out grows with
/// the run-out of 0.4 s left alone, 5 cm a step.
#[test]
fn steps_of_clean_out_make_up_for_steps_of_fill_that_are_too_coarse() {
    let fast = |alley: f64| {
        found(&Inputs { boost: boost(120), alley: cm(alley), ..unset() }.wish(&common()))
    };
    assert_eq!(fast(51.0), [1.65, 0.4, 0.05, 50.0]);
    assert_eq!(fast(41.0), [1.55, 0.4, 0.05, 40.0]);
}

/// With the usual clean-out no less than 30 cm on the step: fill 0.2 s. Cut to 1.15 s, new seed
/// comes at 1.35 s = cell 27 and is released at cell 42. A step of fill ends at 1.95 s = cell 40.5,
/// so that is 0.075 s later: 12.5 cm and a spacing.
#[test]
fn the_clean_out_is_cut_where_the_alley_needs_it_and_the_sheet_says_so() {
    let inputs = Inputs { alley: cm(15.0), ..unset() };
    assert_eq!(found(&inputs.wish(&common())), [1.15, 0.75, 0.05, 17.5]);
    let outcome = calibrate(&inputs, &common());
    let words = remark(&outcome, "clean-out-cut");
    assert!(words.contains("a clean-out of 1.15 s, below the usual 1.5 s"), "{words}");
    let reason = outcome.settings[0].verdict.reason();
    assert!(reason.starts_with("below common practice"), "{reason}");
    // Narrower by more than a step's travel.
    let error = starting_values(&wish(5.0)).expect_err("too narrow");
    assert!(near(error.least, 17.5), "{error:?}");
}

#[test]
fn each_starting_value_says_why_it_is_what_it_is() {
    let reasons = |alley: f64, carry: u32| {
        let inputs = Inputs { alley: cm(alley), carry: Decimal::whole(carry), ..unset() };
        let outcome = calibrate(&inputs, &common());
        let said: Vec<String> =
            outcome.settings.iter().map(|one| one.verdict.reason().to_owned()).collect();
        assert!(outcome.warnings.is_empty(), "{:?}", outcome.warnings);
        said
    };
    let usual = "common practice, and old seed is gone by then";
    let longer = "longer than usual, to make the alley wide enough";
    let falls = "lets every old seed fall at ground rate";
    let enough = "not needed: the alley is wide enough without boost";
    assert_eq!(reasons(60.0, 15), [usual, falls, enough]);
    assert_eq!(reasons(65.0, 15), [longer, falls, enough]);
    let filled = "comes nearest to the alley without bunching new seed";
    assert_eq!(reasons(45.0, 15), [usual, falls, filled]);
    // Carry 4: the last old seed falls at 1.15 + 4 / 20 = 1.35 s, within the clean-out.
    let within = "not needed: every old seed falls within the clean-out";
    assert_eq!(reasons(60.0, 4), [usual, within, enough]);
}

#[test]
fn a_hand_over_timed_in_the_shop_is_set_one_step_longer() {
    let timed = Inputs { alley: cm(60.0), hand_over: Some(seconds(0.55)), ..unset() };
    let outcome = calibrate(&timed, &common());
    let hand_over = outcome.settings.iter().find(|one| one.key == Some("hand-over"));
    assert!(near(hand_over.expect("a hand-over").set.number(), 0.6));
    let words = outcome.next.expect("a step").instruction;
    let start = "set clean-out 1.5 s, run-out 0.4 s, fill 0 s, hand-over 0.6 s; plant a test range";
    assert!(words.starts_with(start), "{words}");
    let untimed = calibrate(&Inputs { alley: cm(60.0), ..unset() }, &common());
    let words = untimed.next.expect("a step").instruction;
    assert!(words.contains("fill 0 s; time in the shop"), "{words}");
}

/// The sweep sits 4.3 cells before release, 10.7 after pick-up. Cell 23 - 1.5 passes it at cell
/// 32.2 = 1.61 s, on the nearest step 1.6 s. The middle between the lots, cell 28.5, passes it at
/// cell 39.2: 1.2 / 50 s after the boost's start at 1.9 s = cell 38, on the step above 1.95 s.
/// Swept from cell 32 - 10.7 = 21.3 on, the alley gets 1.7 cells or 8.5 cm wider: 68.5 cm, and
/// three steps of fill make it 46 cm.
#[test]
fn a_sweep_starts_on_the_last_old_seeds_and_ends_between_the_lots() {
    let cells_before_release = Decimal::new(43, 1);
    let sweep = Some(SweepSetting { timing: None, cells_before_release });
    let inputs = Inputs { alley: cm(45.0), sweep, ..unset() };
    assert_eq!(found(&inputs.wish(&common())), [1.5, 0.4, 0.15, 46.0]);
    let sweep =
        starting_values(&inputs.wish(&common())).expect("timers").timers.sweep.expect("a sweep");
    assert!(near(sweep.start, 1.6) && near(sweep.length, 0.35), "{sweep:?}");
}

/// A clean-out as long as old seed takes to be gone, both 1 s, and a run-out of k / r_g release
/// the first new seed r_g t_p cells behind the last old one: the least alley is
/// v^2 t_p / (s r_b) + s. At 1 m/s, 0.05 m and 50 cells/s that is 0.08 + 0.05 m. For 0.09 m the
/// speed may be sqrt(0.04 x 0.05 x 50 / 0.2) = sqrt(0.5) m/s, or the boost must be
/// 0.2 / (0.05 x 0.04) = 100 cells/s; up to what a step of 0.1 ms makes.
#[test]
fn where_the_alley_is_out_of_reach_slower_or_a_faster_boost_is_found() {
    let machine = Timers { speed: 1.0, spacing: 0.05, old_seed_gone: 1.0, ..wish(9.0).machine };
    let narrow = Wish { machine, alley: 0.09, step: 0.0001, sweep_cells: None };
    let error = starting_values(&narrow).expect_err("too narrow");
    assert!((error.least - 0.13).abs() < 0.001, "{error:?}");
    let speed = error.top_speed.expect("a speed");
    assert!((speed - 0.5_f64.sqrt()).abs() < 0.005, "{speed}");
    let boost = error.boost.expect("a boost");
    assert!((boost - 100.0).abs() < 1.5, "{boost}");
    // 0.0532 m: sqrt(0.0032 x 12.5) = 0.2 m/s, where a step of fill is worth 0.2 m/s x 0.1 ms x
    // (50 / 4 - 1) = 0.00023 m: no less than sqrt(0.00297 x 12.5) = 0.1927 m/s.
    let crawling = starting_values(&Wish { alley: 0.0532, ..narrow });
    let speed = crawling.expect_err("too narrow").top_speed.expect("a speed");
    assert!((0.1927..=0.2).contains(&speed), "{speed}");
    let inputs = Inputs {
        alley: cm(9.0),
        old_seed_gone: seconds(1.0),
        step: Some(seconds(0.0001)),
        ..unset()
    };
    // 0.7071 m/s is 2.546 km/h.
    let words = calibrate(&inputs, &common()).next.expect("a step").instruction;
    let start = "an alley of 9 cm can't be made at 1 m/s: choose an alley of 13";
    assert!(words.starts_with(start) && words.contains(", or 2.5"), "{words}");
    assert!(words.contains(" km/h or slower, or a boost of 1"), "{words}");
}

/// With steps of 0.05 s the least alley of 12 cm is reached from 72 cells/s on, and lost again
/// where the fill that a boost takes is less than a step: found by trying every whole rate.
#[test]
fn a_boost_is_found_though_a_far_faster_one_misses_the_step() {
    let narrow = Wish { alley: 12.0, ..planter(1.5, 0.5, 0.4).wish(&common()) };
    let with = |boost: f64| {
        let machine = Timers { boost, ..narrow.machine.clone() };
        starting_values(&Wish { machine, ..narrow.clone() })
    };
    let makes = |boost: f64| with(boost).is_ok_and(|start| start.alley <= 12.0);
    let lowest = (50..200).map(f64::from).find(|boost| makes(*boost)).expect("a whole rate");
    assert!(with(10_000.0).is_err());
    let found = with(50.0).expect_err("too narrow").boost.expect("a boost");
    assert!(found <= lowest && found > lowest - 1.0, "{found} {lowest}");
    assert!(makes(found) && !makes(found * 0.999), "the lowest");
}

#[test]
fn a_wish_takes_what_the_sheet_has_and_a_hundredth_of_a_second_where_there_is_no_step() {
    let wish = Inputs { step: None, ..unset() }.wish(&common());
    assert_eq!((wish.alley, wish.step, wish.sweep_cells), (90.0, 0.01, None));
    let swept = Inputs { sweep: sweep(1.0, 0.1), ..unset() }.wish(&common());
    assert_eq!((swept.step, swept.sweep_cells), (0.05, Some(4.0)));
}

#[test]
fn a_whole_number_of_steps_is_not_lost_to_rounding() {
    assert_eq!(whole_steps(0.3, 0.1), 3); // 0.3 / 0.1 is 2.9999999999999996
    assert_eq!(whole_steps(0.29, 0.1), 2);
    assert_eq!(whole_steps(-0.1, 0.1), 0);
}

/// At 1 cm/s a seed falls every 5 s, and 15 cells take 75 s to run out, of which the clean-out
/// takes about as many seconds as the alley has centimetres: over 60 s are left with 10 cm, not with
/// 50 cm.
#[test]
fn timers_longer_than_a_timer_lasts_are_no_start() {
    let slow = |alley: f64| {
        let wish = wish(alley);
        let machine = Timers { speed: 1.0, ..wish.machine.clone() };
        starting_values(&Wish { machine, ..wish })
    };
    assert!(slow(10.0).is_err());
    assert!(slow(50.0).is_ok());
}

/// 1.5 cells before release: the last old seeds pass at (23 - 1.5 + 13.5) / 20 = 1.75 s, the first
/// new ones at (34 + 13.5) / 20 = 2.375 s, the middle between the lots at 2.1 s. On steps of half a
/// second the sweep would have to end at 2.5 s, when new seed has passed.
#[test]
fn a_sweep_ends_before_new_seed_comes() {
    let machine = wish(60.0).machine;
    let timers = Timers { clean_out: 1.5, run_out: 0.4, fill: 0.0, sweep: None, ..machine };
    let sweep = sweeping(timers.clone(), 1.5, 0.5).sweep.expect("a sweep");
    assert_eq!((sweep.start, sweep.length), (2.0, 0.0));
    let fine = sweeping(timers, 1.5, 0.05).sweep.expect("a sweep");
    assert_eq!((fine.start, fine.length), (1.75, 0.35));
}
