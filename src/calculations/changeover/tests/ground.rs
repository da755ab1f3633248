//! What the sheet says of the ground that timers make.

use crate::calculations::changeover::tests::*;
use crate::outcome::{Cell, Picture};

fn value(outcome: &Outcome, name: &str) -> f64 {
    let named = outcome.values.iter().find(|value| value.name() == Some(name));
    named.map_or(f64::NAN, Value::number)
}

#[test]
fn there_is_something_to_advise_on_where_timers_are_set_and_something_was_seen() {
    let taped = vec![Units::METRIC.readings(&[cm(60.0)])];
    for (present, runs, widths, looked) in [
        (planter(1.5, 0.5, 0.4), vec![], vec![], false),
        (planter(1.5, 0.5, 0.4), vec![Observed::default()], vec![], true),
        (planter(1.5, 0.5, 0.4), vec![], taped.clone(), true),
        (planter(1.5, 0.5, 0.4), vec![Observed::default()], taped.clone(), true),
        (unset(), vec![Observed::default()], taped, false),
        (unset(), vec![], vec![], false),
    ] {
        assert_eq!(Set { runs, widths, ..present }.was_looked_at(), looked);
    }
}

/// The alley is 31.5 cm: released from 1.9 s to 2.18 s, and half of 5 cm and of 2 cm.
#[test]
fn timers_that_nobody_looked_at_are_to_be_looked_at() {
    let words = |alley: f64| {
        let inputs = Set { alley: cm(alley), ..planter(1.5, 0.5, 0.4) };
        calibrate(&inputs, &common()).next.expect("a step").instruction
    };
    assert!(words(90.0).contains("comes out 58.5 cm too narrow"), "{}", words(90.0));
    assert!(words(30.0).contains("comes out 1.5 cm too wide"), "{}", words(30.0));
    let seen = Set { runs: vec![Observed::default()], ..planter(1.5, 0.5, 0.4) };
    assert!(calibrate(&seen, &common()).next.is_none());
}

/// Old seed gone at 1.16 s = cell 23.2, new seed from 1.73 s = cell 34.6 on: f = frac(-11.4) =
/// 0.6. The last old seed lies u before the edge, u even from 0 to 1, the first new one f - u or
/// f + 1 - u after its own. The mean of their product is 0.6^3 / 6 + 1.6 x 0.64 / 2 - 0.784 / 3 =
/// 0.286667, less 1/4 is 0.036667. Spacings 5 cm and, under boost, 2 cm: 29 / 12 = 2.416667 and
/// 2 x 5 x 2 x 0.036667 = 0.733333; width sqrt(3.15), middle sqrt(1.683333 / 4).
#[test]
fn the_phase_of_the_plate_scatters_edges_width_and_middle() {
    let inputs = Set {
        old_seed_gone: seconds(1.16),
        new_seed_at_pick_up: seconds(0.23),
        ..planter(1.5, 0.5, 0.4)
    };
    let outcome = calibrate(&inputs, &common());
    for (name, wanted) in [
        ("SD of the last seed", 1.443_376),
        ("SD of the first seed", 0.577_350),
        ("SD of the alley width", 1.774_824),
        ("SD of the middle of the alley", 0.648_717),
    ] {
        let scatter = value(&outcome, name);
        assert!((scatter - wanted).abs() < 1e-6, "{name}: {scatter}");
    }
}

#[test]
fn edges_a_whole_number_of_cells_apart_leave_the_width_alone() {
    // Cells 23 and 34, both at ground rate: the width is always the same, and the middle scatters
    // as one edge does, 5 / sqrt(12).
    let outcome = calibrate(&planter(1.5, 0.5, 0.0), &common());
    assert_eq!(value(&outcome, "SD of the alley width"), 0.0);
    let middle = value(&outcome, "SD of the middle of the alley");
    assert!((middle - 1.443_376).abs() < 1e-6, "{middle}");
}

#[test]
fn a_hair_below_a_whole_number_of_cells_is_one() {
    // The root of a hair would show: 5 x sqrt(1e-10) = 5e-5.
    let schedule = planter(1.5, 0.5, 0.0).inputs().schedule(&common()).expect("a schedule");
    let schedule = numbers(&schedule);
    let gone = schedule.old_seed_gone * (1.0 - 1e-12);
    let phases = Phases::of(&Schedule { old_seed_gone: gone, ..schedule });
    assert!(phases.width.sd < 1e-7, "{phases:?}");
}

#[test]
fn a_clean_out_is_called_short_below_the_figures_of_the_sheet() {
    let short = |clean_out: f64, figures: [Option<f64>; 2]| {
        let [least_clean_out, usual_clean_out] = figures.map(|figure| figure.map(seconds));
        let inputs = Set { least_clean_out, usual_clean_out, ..planter(clean_out, 1.0, 0.1) };
        let outcome = calibrate(&inputs, &common());
        let found = outcome.warnings.iter().find(|one| one.kind.code == "short-clean-out");
        found.map(|one| one.message.clone())
    };
    let both = [Some(1.2), Some(1.8)];
    for (clean_out, figures, than) in [
        (1.8, both, None),
        (1.75, both, Some("the usual 1.8 s")),
        (1.2, both, Some("the usual 1.8 s")),
        (1.15, both, Some("the least of 1.2 s")),
        (1.75, [None, Some(1.8)], Some("the usual 1.8 s")),
        (1.25, [Some(1.2), None], None),
        (0.3, [None, None], None),
    ] {
        let words = short(clean_out, figures);
        let named = words.as_ref().zip(than).is_some_and(|(words, than)| {
            words.contains(&format!(" {clean_out} s ")) && words.contains(than)
        });
        assert_eq!(words.is_some(), than.is_some(), "{clean_out} {figures:?}");
        assert!(named || than.is_none(), "{words:?}");
    }
}

/// Without figures the clean-out follows from when old seed is gone, 1.15 s, and the sheet is
/// asked for them: 5 cm of alley less for each step than with 1.5 s, 60 - 7 x 5 = 25 cm.
#[test]
fn figures_of_the_clean_out_are_asked_for_where_the_sheet_has_none() {
    let with = |least: Option<f64>, usual: Option<f64>| Set {
        least_clean_out: least.map(seconds),
        usual_clean_out: usual.map(seconds),
        alley: cm(25.0),
        ..unset()
    };
    let asked = |inputs: &Set| {
        let outcome = calibrate(inputs, &common());
        let found = outcome.warnings.iter().find(|one| one.kind.code == "no-clean-out-figure");
        found.map(|one| one.message.clone())
    };
    let none = with(None, None);
    let words = asked(&none).expect("a remark");
    assert!(words.contains("no `least` and no `usual` of clean-out: without them"), "{words}");
    let words = asked(&with(Some(1.0), None)).expect("a remark");
    assert!(words.contains("has no `usual` of clean-out: without it"), "{words}");
    assert_eq!(asked(&with(Some(1.0), Some(1.5))), None);
    let start = starting_values(&none.wish(&common())).expect("timers");
    assert!(near(start.timers.clean_out, 1.15) && near(start.timers.fill, 0.0), "{start:?}");
    assert!(near(start.alley, 25.0) && !start.clean_out_cut, "{start:?}");
    let reason = calibrate(&none, &common()).settings[0].verdict.reason().to_owned();
    assert_eq!(reason, "as soon as old seed is gone");
    // A usual figure alone is kept to as long as the alley allows it.
    let start = starting_values(&with(None, Some(1.2)).wish(&common())).expect("timers");
    assert!(near(start.timers.clean_out, 1.2) && !start.clean_out_cut, "{start:?}");
}

#[test]
fn old_seed_carries_over_where_it_is_gone_after_new_seed_has_come() {
    let gone = |gone: f64, new: f64| {
        calibrate(
            &Set {
                old_seed_gone: seconds(gone),
                new_seed_at_pick_up: seconds(new),
                ..planter(1.5, 0.5, 0.4)
            },
            &common(),
        )
    };
    // New seed comes at 1.5 + 0.2 s.
    let words = remark(&gone(1.75, 0.2), "carry-over");
    assert!(words.contains("until 1.75 s, and new seed arrives at 1.7 s"), "{words}");
    for (old, new) in [(1.65, 0.2), (1.75, 0.25)] {
        assert!(!codes(&gone(old, new)).contains(&"carry-over"), "{old} {new}");
    }
}

#[test]
fn a_boost_is_called_slow_below_the_ground_drive_only() {
    let slow = |rate: u32| {
        let inputs = Set { boost: boost(rate), ..planter(1.5, 0.5, 0.4) };
        codes(&calibrate(&inputs, &common())).contains(&"boost-below-ground")
    };
    assert_eq!([19, 20, 21].map(slow), [true, false, false]);
}

#[test]
fn bunched_seeds_are_counted_from_half_a_seed_on() {
    // From cell 49 to the boost's end at cell 40 + 0.4 x 50 = 60: 11 seeds 100 / 50 = 2 cm apart.
    let words = remark(&calibrate(&planter(1.5, 0.5, 0.4), &common()), "bunched");
    let start = "about 11 seeds are dropped under boost at the plot's start, bunched over 22 cm; a \
                 shorter fill ends the boost before them";
    assert_eq!(words, start);
    // From the boost's start at 1.7 s = cell 34 to cell 38: 4 seeds. It ends at cell 39.
    let words = remark(&calibrate(&planter(1.5, 0.2, 0.1), &common()), "bunched");
    let end = "about 4 seeds are dropped under boost at the plot's end, bunched over 8 cm; a \
               later start of fill lets them fall at ground rate";
    assert_eq!(words, end);
    // Ending at cell 40 + 0.188 x 50 = 49.4, and at 49.6.
    let bunched =
        |fill: f64| codes(&calibrate(&planter(1.5, 0.5, fill), &common())).contains(&"bunched");
    assert!(!bunched(0.188) && bunched(0.192));
}

/// The sweep works on the cells that passed pick-up 11 cells before: from 1.6 s = cell 32 on, on
/// cell 21 and later.
#[test]
fn strays_and_swept_new_seed_are_counted_from_half_a_seed_on() {
    let swept = |length: f64| {
        calibrate(&Set { sweep: sweep(1.6, length), ..planter(1.5, 0.5, 0.4) }, &common())
    };
    // Until cell 33 - 11 = 22, of 23 old ones.
    let short = swept(0.05);
    let words = remark(&short, "strays");
    assert!(words.starts_with("about 1 old seeds pass behind the sweep"), "{words}");
    assert!(near(value(&short, "old seeds swept off"), 1.0));
    assert!(near(value(&short, "stray seeds in the alley"), 1.0));
    // Until cell 34 - 11 = 23: none left.
    assert!(!codes(&swept(0.1)).contains(&"strays"));
    // Until 2.16 s = cell 40 + 0.16 x 50 - 11 = 37: 3 of the new lot, which starts at cell 34.
    let long = swept(0.56);
    let words = remark(&long, "new-seed-swept");
    assert_eq!(words, "the sweep takes off about 3 seeds of the new lot");
    assert!(near(value(&long, "new seeds swept off"), 3.0));
    // 0.4 of a seed.
    assert!(!codes(&swept(0.508)).contains(&"new-seed-swept"));
    assert!(value(&calibrate(&planter(1.5, 0.5, 0.4), &common()), "old seeds swept off").is_nan());
}

#[test]
fn a_sweep_of_no_time_takes_off_nothing() {
    let inputs = |sweep| Set { sweep, ..planter(1.5, 0.5, 0.4) };
    let swept = calibrate(&inputs(sweep(1.6, 0.0)), &common());
    assert_eq!(value(&swept, "old seeds swept off"), 0.0);
    assert_eq!(value(&swept, "stray seeds in the alley"), 0.0);
    let width = value(&calibrate(&inputs(None), &common()), "alley width");
    assert_eq!(value(&swept, "alley width"), width);
}

/// What a step more of each timer does to width and middle.
fn worth_of(inputs: &Set) -> Vec<(String, f64, f64)> {
    let outcome = calibrate(inputs, &common());
    let table = outcome.tables.iter().find(|table| table.key == "timer-worth").expect("a table");
    let number = |cell: &Cell| match cell {
        Cell::Number(number, _) => (number * 1e6).round() / 1e6,
        _ => f64::NAN,
    };
    let name = |cell: &Cell| match cell {
        Cell::Text(text) => text.clone(),
        _ => String::new(),
    };
    table.rows.iter().map(|row| (name(&row[0]), number(&row[2]), number(&row[3]))).collect()
}

fn listed(rows: &[(&str, f64, f64)]) -> Vec<(String, f64, f64)> {
    rows.iter().map(|(name, width, middle)| ((*name).into(), *width, *middle)).collect()
}

#[test]
fn a_step_of_each_timer_is_worth_what_it_moves_the_edges() {
    // Fill 0.1 s: the boost ends at cell 45, the first new seed is released at cell 49, 0.2 s
    // after. A step of clean-out: cell 50 of 46 on; one of run-out: the same 4 cells fewer, the
    // boost 0.05 s later; one of fill: 2.5 cells more, 0.125 s at ground rate less 0.05 s.
    let short = listed(&[
        ("length of clean-out", 5.0, 2.5),
        ("length of hand-over", 0.0, 0.0),
        ("wait of fill", 0.0, 0.0),
        ("length of fill", -7.5, -3.75),
    ]);
    assert_eq!(worth_of(&planter(1.5, 0.5, 0.1)), short);
    // Fill 0.4 s: cell 49 comes under boost, 9 / 50 s after its start. A step of run-out leaves 8
    // of them for 0.05 s: 0.03 s; a longer fill nothing. A sweep from 1.6 s to 2.16 s takes old
    // seed from cell 21 on and new seed up to cell 37, released at cell 52, 12 / 50 s after the
    // boost's start. A step later: from cell 22, 0.05 s, and 2.5 cells or 0.05 s. A step of
    // clean-out or run-out starts the boost at cell 41, and the sweep ends on cell 41 + 0.11 x 50
    // - 11 = 35.5, released at cell 50.5, 9.5 / 50 s after 2.05 s: the same 2.24 s.
    let inputs = Set { sweep: sweep(1.6, 0.56), ..planter(1.5, 0.5, 0.4) };
    let long = listed(&[
        ("length of clean-out", 0.0, 0.0),
        ("length of hand-over", 0.0, 0.0),
        ("wait of fill", 0.0, 0.0),
        ("length of fill", 0.0, 0.0),
        ("wait of sweep", 0.0, 5.0),
        ("length of sweep", 5.0, 2.5),
    ]);
    assert_eq!(worth_of(&inputs), long);
    let bare = worth_of(&planter(1.5, 0.5, 0.4));
    assert_eq!(bare[2], ("wait of fill".into(), 3.0, 1.5));
}

#[test]
fn where_the_timers_have_no_step_a_tenth_of_a_second_is_shown() {
    let inputs = |step| Set { step, ..planter(1.5, 0.5, 0.1) };
    for (step, text, travel) in [(None, "0.1 s", 10.0), (Some(seconds(0.05)), "0.05 s", 5.0)] {
        let outcome = calibrate(&inputs(step), &common());
        let table = outcome.tables.iter().find(|one| one.key == "timer-worth").expect("a table");
        let step = match &table.rows[0][1] {
            Cell::Text(step) => step.as_str(),
            _ => "",
        };
        assert_eq!(step, text);
        assert!(near(value(&outcome, "travel in one step of a timer"), travel));
    }
    assert!(near(worth_of(&inputs(None))[0].1, 10.0));
}

#[test]
fn the_drawing_holds_each_phase_and_the_middle_of_the_alley() {
    let inputs = Set { sweep: sweep(1.6, 0.25), ..planter(1.5, 0.5, 0.4) };
    let outcome = calibrate(&inputs, &common());
    let drawn = outcome.pictures.iter().find_map(|picture| match picture {
        Picture::Changeover(drawn) => Some(drawn),
        _ => None,
    });
    let drawn = drawn.expect("a picture");
    let phases: Vec<_> =
        drawn.phases.iter().map(|one| (one.name.as_str(), one.from, one.to)).collect();
    let wanted = [
        ("clean-out", 0.0, 1.5),
        ("hand-over", 1.5, 2.3),
        ("fill", 2.0, 2.4),
        ("sweep", 1.6, 1.85),
    ];
    assert_eq!(phases, wanted);
    // The last seed left is that of cell 21, released at 36 / 20 = 1.8 s and landing 0.2 s later,
    // 2.5 cm short of 200 cm; the first new one at 2.18 s, 239 cm: (197.5 + 239) / 2.
    assert!(near(drawn.centre, 218.25), "{}", drawn.centre);
}
