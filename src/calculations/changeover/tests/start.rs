//! Timers to start with, and why they are what they are.

use crate::calculations::changeover::start::{SweepStart, SweepWindow};
use crate::calculations::changeover::steps::{Plan, Stepped, steps_down, steps_up};
use crate::calculations::changeover::tests::*;

/// The planter by hand with an alley to be made.
fn wish(alley: f64) -> Wish {
    Set { alley: cm(alley), ..unset() }.wish(&common())
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
    let slow =
        |alley: f64| found(&Set { boost: boost(21), alley: cm(alley), ..unset() }.wish(&common()));
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
    let fast =
        |alley: f64| found(&Set { boost: boost(120), alley: cm(alley), ..unset() }.wish(&common()));
    assert_eq!(fast(51.0), [1.65, 0.4, 0.05, 50.0]);
    assert_eq!(fast(41.0), [1.55, 0.4, 0.05, 40.0]);
}

/// With the usual clean-out no less than 30 cm on the step: fill 0.2 s. The boost starts at 1.15 s +
/// 15 / 20 s = 1.9 s = cell 38. With 1.25 s of clean-out new seed comes at 1.45 s = cell 29 and is
/// released at cell 44, 6 / 50 = 0.12 s later: fill 0.1 s, and the alley is 100 x (1.45 - 1.15) +
/// 5 - 150 x 0.1 = 20 cm, a step's travel from 15 cm. With 1.3 s it is 7 / 50 = 0.14 s: fill 0.1 s
/// too, and 25 cm; with 1.35 s and 1.4 s 0.15 s, 22.5 cm and 27.5 cm; with 1.45 s 0.2 s and 25 cm.
#[test]
fn the_clean_out_is_cut_no_further_than_the_alley_needs_and_the_sheet_says_so() {
    let inputs = Set { alley: cm(15.0), ..unset() };
    assert_eq!(found(&inputs.wish(&common())), [1.25, 0.65, 0.1, 20.0]);
    let outcome = calibrate(&inputs, &common());
    let words = remark(&outcome, "clean-out-cut");
    assert!(words.contains("a clean-out of 1.25 s, below the usual 1.5 s"), "{words}");
    let reason = outcome.settings[0].verdict.reason();
    assert!(reason.starts_with("shorter than usual"), "{reason}");
    // The least: with 1.2 s new seed comes at 1.4 s = cell 28 and is released at cell 43, 5 / 50 =
    // 0.1 s after the boost's start: fill 0.1 s, and 100 x 0.25 + 5 - 15 = 15 cm.
    let error = starting_values(&wish(5.0)).expect_err("too narrow");
    assert!(near(error.alleys.expect("alleys").from, 15.0), "{error:?}");
    assert!(error.clean_out_cut);
}

#[test]
fn each_starting_value_says_why_it_is_what_it_is() {
    let reasons = |alley: f64, carry: u32| {
        let inputs = Set { alley: cm(alley), carry: Decimal::whole(carry), ..unset() };
        let outcome = calibrate(&inputs, &common());
        let said: Vec<String> =
            outcome.settings.iter().map(|one| one.verdict.reason().to_owned()).collect();
        assert!(outcome.warnings.is_empty(), "{:?}", outcome.warnings);
        said
    };
    let usual = "usual, and old seed is gone by then";
    let longer = "longer than usual, to make the alley wide enough";
    let falls = "lets every old seed fall at ground rate";
    let enough = "not needed: the alley is wide enough without boost";
    assert_eq!(reasons(60.0, 15), [usual, falls, enough]);
    assert_eq!(reasons(65.0, 15), [longer, falls, enough]);
    let filled = "nearest to the alley without bunching new seed";
    assert_eq!(reasons(45.0, 15), [usual, falls, filled]);
    // Carry 4: the last old seed falls at 1.15 + 4 / 20 = 1.35 s, within the clean-out.
    let within = "not needed: every old seed falls within the clean-out";
    assert_eq!(reasons(60.0, 4), [usual, within, enough]);
}

#[test]
fn a_hand_over_timed_in_the_shop_is_set_one_step_longer() {
    let timed = Set { alley: cm(60.0), hand_over: Some(seconds(0.55)), ..unset() };
    let outcome = calibrate(&timed, &common());
    let hand_over = outcome.settings.iter().find(|one| one.key.as_deref() == Some("hand-over.for"));
    assert!(near(hand_over.expect("a hand-over").set.number(), 0.6));
    let words = outcome.next.expect("a step").instruction;
    let start = "set length of clean-out 1.5 s, wait of fill 0.4 s, length of fill 0 s, length of \
                 hand-over 0.6 s; plant a test range";
    assert!(words.starts_with(start), "{words}");
    let untimed = calibrate(&Set { alley: cm(60.0), ..unset() }, &common());
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
    let inputs = Set { alley: cm(45.0), sweep, ..unset() };
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
    let narrow = Wish {
        machine,
        alley: 0.09,
        tolerance: None,
        shape: Shape::plain(0.0001),
        length: LengthUnit::Metre,
        ..wish(9.0)
    };
    let error = starting_values(&narrow).expect_err("too narrow");
    assert!((error.alleys.expect("alleys").from - 0.13).abs() < 0.001, "{error:?}");
    let speed = error.speeds.expect("speeds").to;
    assert!((speed - 0.5_f64.sqrt()).abs() < 0.005, "{speed}");
    let boost = error.boosts.expect("boosts").from;
    assert!((boost - 100.0).abs() < 1.5, "{boost}");
    // 0.0532 m: sqrt(0.0032 x 12.5) = 0.2 m/s, where a step of fill is worth 0.2 m/s x 0.1 ms x
    // (50 / 4 - 1) = 0.00023 m: no less than sqrt(0.00297 x 12.5) = 0.1927 m/s.
    let crawling = starting_values(&Wish { alley: 0.0532, ..narrow });
    let speed = crawling.expect_err("too narrow").speeds.expect("speeds").to;
    assert!((0.1927..=0.2).contains(&speed), "{speed}");
    let inputs = Set {
        alley: cm(9.0),
        old_seed_gone: seconds(1.0),
        step: Some(seconds(0.0001)),
        width_tolerance: None,
        ..unset()
    };
    // 13 cm are inside a tolerance of 4 cm.
    let tolerant = Set { width_tolerance: Some(cm(4.1)), ..inputs.clone() };
    let set = calibrate(&tolerant, &common()).next.expect("a step").instruction;
    assert!(set.starts_with("set length of clean-out"), "{set}");
    // 0.7071 m/s is 2.546 km/h.
    let words = calibrate(&inputs, &common()).next.expect("a step").instruction;
    let start = "an alley of 9 cm can't be made at 1 m/s: choose an alley of 13";
    assert!(words.starts_with(start) && words.contains(", or 2.5"), "{words}");
    assert!(words.contains(" km/h or slower, or a boost of 1"), "{words}");
}

/// With steps of 0.05 s an alley of 9 cm is reached from 60-odd cells/s on, and lost again where
/// the fill that a boost takes is less than a step: found by trying every tenth of a rate.
#[test]
fn boosts_are_named_as_far_as_they_will_do() {
    let narrow = Wish { alley: 9.0, ..planter(1.5, 0.5, 0.4).wish(&common()) };
    let with = |boost: f64| starting_values(&narrow.at_boost(boost));
    assert!(with(1_000.0).is_err());
    let named = with(50.0).expect_err("too narrow").boosts.expect("boosts");
    let tenths = |from: i32, to: i32| (from..to).map(|tenth| f64::from(tenth) / 10.0);
    for boost in tenths(500, 1500) {
        let inside = boost > named.from && boost < named.to;
        let below = boost < named.from * (1.0 - 1e-6);
        assert!(!inside || with(boost).is_ok(), "{boost} of {named:?}");
        assert!(!below || with(boost).is_err(), "{boost} below {named:?}");
    }
    assert!(with(named.from).is_ok() && with(named.to).is_ok(), "{named:?}");
}

#[test]
fn a_wish_takes_what_the_sheet_has_and_a_hundredth_of_a_second_where_there_is_no_step() {
    let wish = Set { step: None, ..unset() }.wish(&common());
    assert_eq!((wish.alley, wish.step(), wish.sweep_cells), (90.0, 0.01, None));
    let swept = Set { sweep: sweep(1.0, 0.1), ..unset() }.wish(&common());
    assert_eq!((swept.step(), swept.sweep_cells), (0.05, Some(4.0)));
}

#[test]
fn a_whole_number_of_steps_is_not_lost_to_rounding() {
    assert_eq!(steps_down(0.3, 0.1), 3); // 0.3 / 0.1 is 2.9999999999999996
    assert_eq!(steps_down(0.29, 0.1), 2);
    assert_eq!(steps_down(-0.1, 0.1), 0);
    // 0.1 + 0.2 is 0.30000000000000004
    assert_eq!(steps_up(0.1 + 0.2, 0.1), 3);
    assert_eq!((steps_up(0.31, 0.1), steps_up(-0.1, 0.1)), (4, 0));
}

/// At 1 cm/s a seed falls every 5 s, and 15 cells take 75 s to run out. No timer lasts longer than
/// 60 s, so that the clean-out takes 1.15 + 75 - 60 = 16.15 s at least. New seed comes 15.2 s after
/// old seed is gone, and 60 s - 0.2 s later 3.04 cells are left of its carry: fill 0.05 s, and
/// 15.2 + 5 - 249 x 0.05 = 7.75 cm.
#[test]
fn no_timer_is_longer_than_a_timer_lasts() {
    let slow = |alley: f64| {
        let wish = wish(alley);
        starting_values(&Wish { tolerance: None, ..wish }.at_speed(1.0))
    };
    for alley in [8.0, 50.0, 64.0] {
        let start = slow(alley).expect("timers");
        let timers = &start.timers;
        assert!(timers.clean_out >= 16.15 - 1e-9, "{timers:?}");
        assert!([timers.clean_out, timers.run_out, timers.fill].iter().all(|time| *time <= 60.0));
        assert!((start.alley - alley).abs() <= 0.05 + 1e-9, "{start:?}");
    }
    // 60 s of clean-out make 59.05 + 5 cm.
    let alleys = slow(7.6).expect_err("too narrow").alleys.expect("alleys");
    assert!(near(alleys.from, 7.75) && near(alleys.to, 64.05), "{alleys:?}");
    let speeds = slow(70.0).expect_err("too wide").speeds.expect("speeds");
    assert!(speeds.from > 1.0, "{speeds:?}");
}

/// 1.5 cells before release: the last old seeds pass at (23 - 1.5 + 13.5) / 20 = 1.75 s, the first
/// new ones at (34 + 13.5) / 20 = 2.375 s, the middle between the lots at 2.1 s. On steps of half a
/// second the sweep would have to end at 2.5 s, when new seed has passed.
#[test]
fn a_sweep_ends_before_new_seed_comes() {
    let machine = wish(60.0).machine;
    let timers = Timers { clean_out: 1.5, run_out: 0.4, fill: 0.0, sweep: None, ..machine };
    let swept = |step: f64| {
        let wish = Wish { shape: Shape::plain(step), ..wish(60.0) };
        let free = wish.shape.sweep.expect("a sweep");
        let plan = Plan { clean_out: 0, run_out: 0, fill: 0 };
        let window = SweepWindow::of(&timers, &Stepped::of(&wish), plan, 1.5, free);
        window.sweeping(&timers, window.start(SweepStart::First)).0
    };
    let sweep = swept(0.5);
    assert_eq!((sweep.start, sweep.length), (2.0, 0.0));
    let fine = swept(0.05);
    assert_eq!((fine.start, fine.length), (1.75, 0.35));
}
