//! The advice followed blindly on lists of actions that no plain planter has: no motor on the plate, all
//! waits from the trip, ways in place of times, two motors. The sheet's machine times are a little off
//! from the planter's, which is stepped cell by cell.

#![allow(clippy::expect_used, clippy::panic)]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]

mod simulated_planter;

use std::fmt::Write as _;

use alleytrue::calculations::changeover;
use alleytrue::outcome::Verdict;
use alleytrue::sheet::{FieldSheet, Source};
use simulated_planter::{Grain, Lot, Machine, Motor, first_new, last_old, moments, phases};

/// 1 m/s over seeds 5 cm apart: 20 cells/s. An alley of 90 cm, 4 cm either way.
const SPEED: f64 = 100.0;
const SPACING: f64 = 5.0;
const ALLEY: f64 = 90.0;
const TOLERANCE: f64 = 4.0;
/// What is true of the machine; the sheet has 1.0 s and 0.25 s.
const GONE: f64 = 1.04;
const THERE: f64 = 0.22;

/// A number of the sheet: the setting it is, and whether it is a way in centimetres.
struct Number {
    key: &'static str,
    value: f64,
    by_way: bool,
}

impl Number {
    fn seconds(&self) -> f64 {
        if self.by_way { self.value / SPEED } else { self.value }
    }

    fn text(&self) -> String {
        let unit = if self.by_way { "cm" } else { "s" };
        format!("\"{} {unit}\"", (self.value * 1e6).round() / 1e6)
    }
}

/// A list: its numbers, its actions with `{KEY}` in the place of each, and the machine that they make.
struct List {
    numbers: Vec<Number>,
    actions: &'static str,
    machine: Makes,
}

/// When the next lot is let in, and the windows of the motor, out of seconds by key.
type Makes = fn(&dyn Fn(&str) -> f64) -> (f64, Vec<Motor>);

impl List {
    fn text(&self, runs: &str) -> String {
        let mut actions = self.actions.to_owned();
        for number in &self.numbers {
            actions = actions.replace(&format!("{{{}}}", number.key), &number.text());
        }
        format!(
            "bare-length = \"cm\"\n[planter]\nrow-spacing = 50\nplate = {{ cells = 60, carry = 15 }}\n\
             [planter.controller]\ntimer-step = \"0.02 s\"\n[trial]\nalley = {ALLEY}\n\
             speed = \"3.6 km/h\"\nseed-spacing = {SPACING}\ntolerance = {{ width = {TOLERANCE} }}\n\
             [changeover]\nfall-time = \"0.2 s\"\n{actions}{runs}"
        )
    }

    /// The planter as it is set.
    fn machine(&self) -> Machine {
        let seconds = |key: &str| {
            let number = self.numbers.iter().find(|one| one.key == key);
            number.unwrap_or_else(|| panic!("no {key}")).seconds()
        };
        let (let_in, motors) = (self.machine)(&seconds);
        Machine {
            speed: SPEED,
            spacing: SPACING,
            carry: 15.0,
            old_seed_gone: GONE,
            new_seed_there: let_in + THERE,
            motors,
            sweeps: vec![],
            fall: 0.2,
        }
    }

    fn rows(&self) -> Vec<Vec<Grain>> {
        let machine = self.machine();
        phases(10).map(|phase| machine.plant(phase, 40, machine.late() + 30)).collect()
    }

    /// Follows the advice: the settings that it changed, one after the other.
    fn follow(&mut self) -> Vec<String> {
        let (mut runs, mut steps) = (String::new(), vec![]);
        for _ in 0..12 {
            runs.push_str(&look(&self.rows()));
            let text = self.text(&runs);
            let sheet = FieldSheet::read(&Source::new("list.toml", &text))
                .unwrap_or_else(|mistakes| panic!("{}\n{text}", mistakes[0].message));
            let inputs = sheet.job.changeover.as_ref().expect("a changeover");
            let outcome = changeover::advise(inputs, &sheet.job.common);
            let changing = |verdict: &Verdict| matches!(verdict, Verdict::Change(_));
            let mut changes = outcome.settings.iter().filter(|one| changing(&one.verdict));
            let Some(change) = changes.next() else { break };
            assert!(changes.next().is_none(), "two changes at once");
            let key = change.key.as_deref().expect("a key");
            let number = self.numbers.iter_mut().find(|one| one.key == key);
            let number = number.unwrap_or_else(|| panic!("{key} is no number of the list"));
            assert_eq!(change.set.unit_text(), if number.by_way { "cm" } else { "s" });
            number.value = change.set.number();
            steps.push(format!("{key} {:.2}", number.value));
        }
        steps
    }

    /// What is still wrong over every phase of the plate.
    fn faults(&self) -> Vec<String> {
        let rows = self.rows();
        let width = moments(&rows.iter().map(|row| width(row)).collect::<Vec<_>>()).0;
        let mut faults = vec![];
        if (width - ALLEY).abs() > TOLERANCE + 1.0 {
            faults.push(format!("{width} cm"));
        }
        for (lot, what) in [(Lot::Old, "end"), (Lot::New, "start")] {
            let bunched = rows.iter().map(|row| bunched(row, lot)).fold(0.0, f64::max);
            if bunched > SPACING / 2.0 {
                faults.push(format!("bunched over {bunched} cm at the {what}"));
            }
        }
        faults
    }
}

fn width(row: &[Grain]) -> f64 {
    first_new(row).expect("new").at - last_old(row).expect("old").at
}

/// Over what length seeds of a lot stand closer than they should.
fn bunched(row: &[Grain], lot: Lot) -> f64 {
    let places: Vec<f64> = row.iter().filter(|one| one.lot == lot).map(|one| one.at).collect();
    let gaps = places.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.filter(|gap| *gap < 0.85 * SPACING).sum()
}

/// What a crew types after a test range.
fn look(rows: &[Vec<Grain>]) -> String {
    let mut run = "[[changeover-run]]\n".to_owned();
    for (lot, key) in [(Lot::Old, "bunched-at-end"), (Lot::New, "bunched-at-start")] {
        let most = rows.iter().map(|row| bunched(row, lot)).fold(0.0, f64::max);
        if most > 0.0 {
            let _ = writeln!(run, "{key} = {:.1}", most);
        }
    }
    let late = rows.iter().map(|row| {
        let old = row.iter().rfind(|one| one.lot == Lot::Old).expect("old").at;
        old - first_new(row).expect("new").at
    });
    let late = late.fold(0.0, f64::max);
    if late > 0.0 {
        let _ = writeln!(run, "old-seed-in-new-plot = {late:.1}");
        return run;
    }
    let widths: Vec<String> = rows.iter().map(|row| format!("{:.1}", width(row))).collect();
    let _ = writeln!(run, "alley-width = [{}]", widths.join(", "));
    run
}

fn ends_well(mut list: List, most: usize) {
    let before = list.faults();
    assert!(!before.is_empty(), "nothing is wrong at the start");
    let steps = list.follow();
    assert!(steps.len() <= most, "{steps:?}");
    assert_eq!(list.faults(), [""; 0], "{steps:?} after {before:?}");
}

fn timed(key: &'static str, value: f64) -> Number {
    Number { key, value, by_way: false }
}

fn by_way(key: &'static str, value: f64) -> Number {
    Number { key, value, by_way: true }
}

#[test]
fn a_plate_without_a_motor_gets_its_alley_by_when_the_lot_is_let_in() {
    for length in [1.2, 2.4] {
        let list = List {
            numbers: vec![timed("door.for", length)],
            actions: "[[changeover.action]]\nname = \"slide\"\ndoes = \"hand-over\"\n\
                      after = \"door\"\nfrom = \"end\"\nnew-seed-at-pick-up = \"0.25 s\"\n\
                      [[changeover.action]]\nname = \"door\"\ndoes = \"clean-out\"\n\
                      for = {door.for}\nold-seed-gone = \"1.0 s\"\nleast = \"1.1 s\"\n",
            machine: |set| (set("door.for"), vec![]),
        };
        ends_well(list, 3);
    }
}

/// Lines that count from the trip: the lot is let in by a wait of its own.
fn from_the_trip(numbers: [f64; 4]) -> List {
    let [empty, drop, wait, length] = numbers;
    List {
        numbers: vec![
            timed("1.for", empty),
            timed("2.wait", drop),
            timed("3.wait", wait),
            timed("3.for", length),
        ],
        actions: "[[changeover.action]]\nname = \"1\"\ndoes = \"clean-out\"\nfor = {1.for}\n\
                  old-seed-gone = \"1.0 s\"\nleast = \"1.1 s\"\n\
                  [[changeover.action]]\nname = \"2\"\ndoes = \"hand-over\"\nwait = {2.wait}\n\
                  new-seed-at-pick-up = \"0.25 s\"\n\
                  [[changeover.action]]\nname = \"3\"\ndoes = \"boost\"\nwait = {3.wait}\n\
                  for = {3.for}\nrate = \"50 cells/s\"\n",
        machine: |set| {
            let motor = Motor { start: set("3.wait"), length: set("3.for"), rate: 50.0 };
            (set("2.wait"), vec![motor])
        },
    }
}

#[test]
fn lines_from_the_trip_are_mended_one_by_one() {
    // A boost that starts with old seed on the plate, one that lasts too long, a lot let in late.
    ends_well(from_the_trip([1.4, 1.6, 1.5, 0.2]), 6);
    ends_well(from_the_trip([1.4, 1.6, 1.9, 0.6]), 6);
    ends_well(from_the_trip([1.4, 2.6, 1.9, 0.1]), 6);
    ends_well(from_the_trip([1.4, 1.0, 1.9, 0.0]), 6);
}

#[test]
fn a_list_by_ways_is_mended_in_ways() {
    for (empty, wait, length) in [(150.0, 5.0, 20.0), (150.0, 60.0, 60.0), (220.0, 40.0, 5.0)] {
        let list = List {
            numbers: vec![
                by_way("empty.for", empty),
                by_way("turn.wait", wait),
                by_way("turn.for", length),
            ],
            actions: "[[changeover.action]]\nname = \"empty\"\ndoes = \"clean-out\"\n\
                      for = {empty.for}\nstep = \"2 cm\"\nold-seed-gone = \"1.0 s\"\nleast = \"1.1 s\"\n\
                      [[changeover.action]]\nname = \"in\"\ndoes = \"hand-over\"\nafter = \"empty\"\n\
                      from = \"end\"\nnew-seed-at-pick-up = \"0.25 s\"\n\
                      [[changeover.action]]\nname = \"turn\"\ndoes = \"boost\"\nafter = \"in\"\n\
                      from = \"start\"\nwait = {turn.wait}\nfor = {turn.for}\nstep = \"2 cm\"\n\
                      rate = \"50 cells/s\"\n",
            machine: |set| {
                let start = set("empty.for") + set("turn.wait");
                let motor = Motor { start, length: set("turn.for"), rate: 50.0 };
                (set("empty.for"), vec![motor])
            },
        };
        ends_well(list, 6);
    }
}

/// Two windows of the motor, the second behind the first: the first one bunches old seed where it starts
/// too soon, the second one new seed where it lasts too long.
#[test]
fn of_two_motor_windows_the_one_that_bunches_is_changed() {
    let list = |first: f64, second: f64| List {
        numbers: vec![timed("first.wait", first), timed("second.for", second)],
        actions: "[[changeover.action]]\nname = \"empty\"\ndoes = \"clean-out\"\nfor = \"1.8 s\"\n\
                  fixed = [\"for\"]\nold-seed-gone = \"1.0 s\"\nleast = \"1.1 s\"\n\
                  [[changeover.action]]\nname = \"in\"\ndoes = \"hand-over\"\nafter = \"empty\"\n\
                  from = \"end\"\nnew-seed-at-pick-up = \"0.25 s\"\n\
                  [[changeover.action]]\nname = \"first\"\ndoes = \"boost\"\nwait = {first.wait}\n\
                  for = \"0.1 s\"\nfixed = [\"for\"]\nrate = \"60 cells/s\"\n\
                  [[changeover.action]]\nname = \"second\"\ndoes = \"boost\"\nafter = \"in\"\n\
                  from = \"start\"\nwait = \"0.3 s\"\nfixed = [\"wait\"]\nfor = {second.for}\n\
                  rate = \"40 cells/s\"\n",
        machine: |set| {
            let motors = vec![
                Motor { start: set("first.wait"), length: 0.1, rate: 60.0 },
                Motor { start: 2.1, length: set("second.for"), rate: 40.0 },
            ];
            (1.8, motors)
        },
    };
    ends_well(list(1.6, 0.1), 6);
    ends_well(list(1.8, 0.9), 6);
}
