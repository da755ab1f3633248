//! Trip and drive off one wheel against a wheel whose counts are counted one by one, sums by hand,
//! shares of intervals that hold the truth, odd and wrong input.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss
)]

mod common;
mod dice;

use alleytrue::calculations::Common;
use alleytrue::calculations::one_wheel::{self, Day, Inputs};
use alleytrue::calculations::trip::{Evidence, ScaleKind, TripRun};
use alleytrue::calculations::wheel::WheelRun;
use alleytrue::outcome::{Cell, Outcome};
use alleytrue::quantity::{Decimal, Length, LengthUnit};
use alleytrue::working::Units;
use common::{Report, Written, cell, row};
use dice::Dice;

const KEY: &str = "one-wheel";

fn report(sheet: &str) -> Report {
    Written::new(sheet).report(&[KEY])
}

/// Trip spacing of 240 in, 1 in of tolerance: 0.41667 %.
fn sheet(rest: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nrows = 4\n[planter.controller]\ntrip-scale = {{ counts = \
         \"per length\" }}\n[trial]\nplot = 210\nalley = 30\ntolerance = {{ trip = 1, spacing = \"1 \
         %\" }}\n[settings]\ntrip-scale = 4\n{rest}"
    )
}

fn trip(day: &str, readout: &[f64]) -> String {
    format!("[[trip-run]]\ndate = {day}\nmarks = 240\nreadout = {readout:?}\n")
}

fn wheel(day: &str, turns: &[f64]) -> String {
    format!("[[wheel-run]]\ndate = {day}\ncourse = 2400\nturns = {turns:?}\n")
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

// Sums by hand.

/// Day one: readouts of 239, 241, 240 in between marks of 240 in with a scale of 4 call 4 right; 29, 31,
/// 30 turns over 2400 in are 80 in a turn; so 320 counts a turn. Day two: 30.6, 30.6, 30.6 turns: 78.43137
/// in, so 320 / 78.43137 = 4.08 are right, and with 4 a plot is 240 x 4 / 4.08 - 240 = -4.70588 in, 1.96078 %
/// short; the wheel covers as much less.
///
/// Scatter of a readout 1 / 240; of a count of turns sqrt((2 (1/30)² + 2 x 0) / 4) = 0.0235702. Give or
/// take of the scale: t sqrt((1/240)² / 3 + 0.0235702² (1/3 + 1/3)).
#[test]
fn turns_after_rain_tell_the_scale() {
    let sheet = sheet(&format!(
        "[one-wheel]\n{}{}{}",
        trip("2027-04-18", &[239.0, 241.0, 240.0]),
        wheel("2027-04-18", &[29.0, 31.0, 30.0]),
        wheel("2027-04-29", &[30.6, 30.6, 30.6]),
    ));
    let report = report(&sheet);
    close(report.number(KEY, "counts per turn, 2027-04-18"), 320.0, 1e-9);
    close(report.number(KEY, "trip scale by the wheel, 2027-04-29"), 4.08, 1e-9);
    close(report.number(KEY, "error per plot with the scale of now, 2027-04-29"), -4.705_882, 1e-6);
    let scale = row(&report, (KEY, "one-wheel-now"), "number", "trip scale");
    close(cell(scale, "off_percent"), -1.960_784, 1e-6);
    close(cell(scale, "tolerance_percent"), 0.416_667, 1e-6);
    assert_eq!(scale["by"], "by the other");
    let travel = row(&report, (KEY, "one-wheel-now"), "number", "travel per turn");
    close(cell(travel, "off_percent"), -1.960_784, 1e-6);
    close(report.number(KEY, "scatter of one trip reading"), 1.0 / 240.0, 1e-9);
    close(report.number(KEY, "scatter of one count of turns"), 0.023_570_226, 1e-8);
    let trips = (1.0_f64 / 240.0).powi(2) / 3.0;
    let turns = 0.023_570_226_f64.powi(2) * (1.0 / 3.0 + 1.0 / 3.0);
    let error = report.number(KEY, "standard error, error per plot over the trip spacing");
    close(error, 100.0 * (trips + turns).sqrt(), 1e-6);
    // (trips + turns)² / (trips² / 2 + turns² / 4) = 4.12: t at 4 is 2.776 (e-Handbook 1.3.6.7.2).
    close(cell(scale, "half_width_percent") / error, 2.776, 5e-4);
}

/// The same the other way: five readouts of 244.8 in with a scale of 4 call 4.08 right; 320 / 4.08 =
/// 78.43137 in a turn.
#[test]
fn readings_after_rain_tell_the_travel() {
    let sheet = sheet(&format!(
        "[one-wheel]\n{}{}{}",
        trip("2027-04-18", &[239.0, 241.0, 240.0]),
        wheel("2027-04-18", &[29.9, 30.1, 30.0]),
        trip("2027-04-29", &[244.8, 244.9, 244.7, 244.8, 244.8]),
    ));
    let report = report(&sheet);
    close(report.number(KEY, "travel per turn by the trip, 2027-04-29"), 78.431_373, 1e-6);
    let travel = row(&report, (KEY, "one-wheel-now"), "number", "travel per turn");
    assert_eq!(
        (&travel["by"], &travel["verdict"]),
        (&"by the other".into(), &"measure again".into())
    );
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("count the turns of the wheel again"), "{next}");
}

/// A scale of length per count: 0.25 in a count and 80 in a turn are 320 counts as well; at 78.43137 in
/// 0.2450980 is right.
#[test]
fn a_scale_that_is_a_length_per_count() {
    let text = sheet(&format!(
        "[one-wheel]\n{}{}{}",
        trip("2027-04-18", &[239.0, 241.0, 240.0]),
        wheel("2027-04-18", &[29.9, 30.1, 30.0]),
        wheel("2027-04-29", &[30.6, 30.5, 30.7]),
    ));
    let text = text
        .replace("counts = \"per length\"", "length = \"per count\"")
        .replace("trip-scale = 4\n", "trip-scale = 0.25\n");
    let report = report(&text);
    close(report.number(KEY, "counts per turn, 2027-04-18"), 320.0, 1e-9);
    close(report.number(KEY, "trip scale by the wheel, 2027-04-29"), 0.245_098_04, 1e-8);
    close(
        report.number(KEY, "error per plot with the scale of now, 2027-04-29"),
        240.0 * 0.245_098_04 / 0.25 - 240.0,
        1e-5,
    );
}

/// What was right once stands for a first day: 4 and 2400 in over 30 turns.
#[test]
fn what_was_right_once_is_held_against() {
    let known = "[one-wheel]\ntrip-scale = 4\ndistance = 2400\nturns = 30\n";
    let report = report(&sheet(&format!(
        "{known}{}{}",
        trip("2027-04-18", &[246.9, 247.1, 247.3, 247.1]),
        wheel("2027-04-18", &[29.95, 30.05, 30.0]),
    )));
    let day = row(&report, (KEY, "one-wheel"), "day", "2027-04-18");
    assert_eq!(day["counts"], "moved");
    close(cell(day, "moved_percent"), 100.0 * (247.1 / 240.0 - 1.0), 1e-6);
    assert!(report.warned(KEY, "one-wheel-moved"));
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("a sensor that slipped"), "{next}");
}

// A wheel whose counts are counted one by one.

/// A wheel with so many places round it, of which some are missed.
struct Wheel {
    places: u32,
    missed_in_a_hundred: u32,
    travel: f64,
}

impl Wheel {
    /// Counts over a length of ground, each place passed being one but those missed.
    fn counts(&self, ground: f64) -> f64 {
        let passed = (ground / self.travel * f64::from(self.places)).floor() as u64;
        (0..passed).filter(|place| place % 100 >= u64::from(self.missed_in_a_hundred)).count()
            as f64
    }

    fn readout(&self, scale: f64, marks: f64, dice: &mut Dice) -> Length {
        inches(self.counts(marks) / scale + dice.normal(0.3))
    }

    fn turns(&self, course: f64, dice: &mut Dice) -> Decimal {
        decimal(course / self.travel + dice.normal(0.03))
    }

    fn day(&self, date: &str, trips: usize, drives: usize, dice: &mut Dice) -> Day {
        let readout = (0..trips).map(|_| self.readout(PLACES / 80.0, 240.0, dice)).collect();
        let turns = (0..drives).map(|_| self.turns(2400.0, dice)).collect();
        let trip = Evidence::Readout { marks: inches(240.0), readout };
        Day {
            date: Some(date.into()),
            trips: if trips > 0 { vec![TripRun::from(trip)] } else { vec![] },
            wheels: if drives > 0 {
                vec![WheelRun { course: inches(2400.0), turns }]
            } else {
                vec![]
            },
        }
    }
}

const PLACES: f64 = 3600.0;
const SOUND: Wheel = Wheel { places: 3600, missed_in_a_hundred: 0, travel: 80.0 };

fn decimal(number: f64) -> Decimal {
    Decimal::new((number * 1e4).round() as i64, 4)
}

fn inches(number: f64) -> Length {
    Length::of(decimal(number), LengthUnit::Inch)
}

fn outcome(days: Vec<Day>) -> Outcome {
    let inputs = Inputs {
        days,
        known: None,
        kind: ScaleKind::CountsPerLength,
        now: decimal(PLACES / 80.0),
        plot: inches(210.0),
        alley: inches(30.0),
        tolerance: Some(inches(1.0)),
        spacing_tolerance: None,
    };
    one_wheel::calibrate(&inputs, &Common::new(Units::US))
}

fn last_word(outcome: &Outcome) -> String {
    let days = outcome.tables.iter().find(|table| table.key == "one-wheel").expect("days");
    match days.rows.last().and_then(|row| row.last()) {
        Some(Cell::Text(word)) => word.clone(),
        other => panic!("{other:?}"),
    }
}

fn number(outcome: &Outcome, name: &str) -> f64 {
    let found = outcome.values.iter().find(|value| value.name() == Some(name));
    found.unwrap_or_else(|| panic!("no {name}")).number()
}

/// Less air: 78.4 in a turn, counts per turn as before. Two places in a hundred missed: they move.
#[test]
fn a_soft_tyre_leaves_the_counts_and_a_sensor_moves_them() {
    let mut dice = Dice(18);
    for _ in 0..20 {
        let first = SOUND.day("2027-04-18", 10, 8, &mut dice);
        let soft = Wheel { travel: 78.4, ..SOUND };
        let soft = outcome(vec![first.clone(), soft.day("2027-04-29", 10, 8, &mut dice)]);
        assert_eq!(last_word(&soft), "stand");
        assert!(soft.warnings.iter().any(|one| one.kind.code == "wheel-rolls-other"));
        let next = soft.next.expect("a step").instruction;
        assert!(next.contains("tyre pressure"), "{next}");
        let slipped = Wheel { missed_in_a_hundred: 2, ..SOUND };
        let slipped = outcome(vec![first, slipped.day("2027-04-29", 10, 8, &mut dice)]);
        assert_eq!(last_word(&slipped), "moved");
        close(number(&slipped, "counts per turn moved, 2027-04-29"), -2.0, 0.6);
        let next = slipped.next.expect("a step").instruction;
        assert!(next.contains("look at the counter"), "{next}");
    }
}

/// Nineteen of twenty intervals hold the truth, of the scale told by turns and of counts that did not
/// move; four standard deviations of a binomial count of 600 are 3.6 %.
#[test]
fn intervals_hold_the_truth_as_often_as_they_claim() {
    let mut dice = Dice(4);
    let (mut scale_held, mut counts_held, all) = (0, 0, 600);
    for _ in 0..all {
        let travel = 80.0 * (1.0 + dice.normal(0.01));
        let now = Wheel { travel, ..SOUND };
        let first = SOUND.day("2027-04-18", 6, 4, &mut dice);
        let told = outcome(vec![first.clone(), now.day("2027-04-29", 0, 5, &mut dice)]);
        let off = number(&told, "error per plot over the trip spacing");
        let half = number(&told, "give or take, error per plot over the trip spacing");
        let truth = 100.0 * (travel / 80.0 - 1.0);
        scale_held += usize::from((off - truth).abs() <= half);
        let both = outcome(vec![first, now.day("2027-04-29", 5, 3, &mut dice)]);
        let moved = number(&both, "counts per turn moved, 2027-04-29");
        let half = number(&both, "give or take, counts per turn moved, 2027-04-29");
        counts_held += usize::from(moved.abs() <= half);
    }
    for held in [scale_held, counts_held] {
        let share = held as f64 / f64::from(all);
        assert!((share - 0.95).abs() < 0.036, "{share}");
    }
}

// Odd and wrong input.

#[test]
fn a_single_count_scatters_by_nothing_and_decides_nothing() {
    let report = report(&sheet(&format!(
        "[one-wheel]\n{}{}{}",
        trip("2027-04-18", &[239.0, 241.0, 240.0]),
        wheel("2027-04-18", &[30.0]),
        wheel("2027-04-29", &[30.6]),
    )));
    let scale = row(&report, (KEY, "one-wheel-now"), "number", "trip scale");
    assert_eq!(scale["verdict"], "open");
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("twice or more"), "{next}");
}

#[test]
fn days_that_lack_one_of_both_are_asked_for_it() {
    let trips = trip("2027-04-18", &[239.0, 241.0, 240.0]);
    let lone =
        report(&sheet(&format!("[one-wheel]\n{trips}{}", wheel("2027-04-19", &[30.0, 30.1]))));
    let next = lone.next_instruction().expect("a step");
    assert!(next.contains("measure both on one day"), "{next}");
    let first =
        report(&sheet(&format!("[one-wheel]\n{trips}{}", wheel("2027-04-18", &[30.0, 30.1]))));
    assert_eq!(first.next_instruction(), None, "nothing to hold it against yet");
    assert_eq!(row(&first, (KEY, "one-wheel"), "day", "2027-04-18")["counts"], "first");
}

#[test]
fn a_dropped_run_is_no_day() {
    let dropped = wheel("2027-04-29", &[30.6, 30.6]) + "dropped = \"miscounted\"\n";
    let report = report(&sheet(&format!(
        "[one-wheel]\n{}{}{dropped}",
        trip("2027-04-18", &[239.0, 241.0, 240.0]),
        wheel("2027-04-18", &[30.0, 30.1]),
    )));
    assert_eq!(report.table(KEY, "one-wheel").expect("days").len(), 1);
}

#[test]
fn without_the_table_nothing_is_said_and_half_of_it_is_a_mistake() {
    let runs = trip("2027-04-18", &[240.0]) + &wheel("2027-04-18", &[30.0]);
    let said = Written::new(&sheet(&runs)).mistakes(KEY);
    assert!(said.contains("error[no-data]") && said.contains("[one-wheel]"), "{said}");
    let said = Written::new(&sheet(&format!("[one-wheel]\nturns = 30\n{runs}"))).mistakes(KEY);
    assert!(said.contains("error[missing-key]") && said.contains("trip-scale"), "{said}");
    let half = "[one-wheel]\ntrip-scale = 4\ndistance = 2400\nturns = 2\n";
    let said = Written::new(&sheet(&format!("{half}{runs}"))).mistakes(KEY);
    assert!(said.contains("error[out-of-range]"), "{said}");
    let report = Written::new(&sheet("[one-wheel]\n[[trip-run]]\nmarks = 240\nreadout = [240]\n"));
    assert!(String::from_utf8_lossy(&report.run(&["calibrate"]).stdout).contains("TRIP SCALE"));
}

/// What it needs elsewhere.
#[test]
fn what_it_needs_elsewhere_is_asked_for() {
    let whole = sheet(&format!("[one-wheel]\n{}", wheel("2027-04-18", &[30.0])));
    for (line, words) in [
        ("plot = 210\n", "[one-wheel] needs `plot` in [trial]"),
        ("alley = 30\n", "[one-wheel] needs `alley` in [trial]"),
        ("trip-scale = 4\n", "[one-wheel] needs `trip-scale` in [settings]"),
    ] {
        let said = Written::new(&whole.replace(line, "")).mistakes(KEY);
        assert!(said.contains(words), "{said}");
    }
}
