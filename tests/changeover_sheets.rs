//! Lists of actions as a sheet has them, of any shape, against a planter that goes from one event to
//! the next and is stepped cell by cell: what is predicted of lists that are set, and what starting
//! values make of lists that are not.
//!
//! `CASES=10000 cargo test --test changeover_sheets` draws ten thousand of each.

#![allow(clippy::expect_used, clippy::panic)]

mod simulated_planter;

use std::fmt::Write as _;

use alleytrue::calculations::changeover::{self, numbers};
use alleytrue::outcome::Outcome;
use alleytrue::sheet::{FieldSheet, Source};
use proptest::prelude::*;
use simulated_planter::held::held_against_the_bench;
use simulated_planter::{Grain, Machine, Motor, Sweep, first_new, last_old, moments, phases};

fn asked_for(everyday: u32) -> ProptestConfig {
    let cases = std::env::var("CASES").ok().and_then(|text| text.parse().ok());
    let cases = cases.unwrap_or(everyday);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// A time in hundredths of a second, or a way in centimetres.
#[derive(Clone, Copy, Debug)]
struct Extent {
    hundredths: u32,
    by_way: bool,
}

impl Extent {
    fn text(self) -> String {
        let number = f64::from(self.hundredths);
        if self.by_way { format!("\"{number} cm\"") } else { format!("\"{} s\"", number / 100.0) }
    }

    /// The clock when it is over that began at a moment: a planter that drives on until so much
    /// more ground is covered, or a clock that runs.
    fn over(self, from: f64, speed: f64) -> f64 {
        let number = f64::from(self.hundredths) / 100.0;
        if self.by_way { (from * speed + number * 100.0) / speed } else { from + number }
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// Old seed gone after so many hundredths of a second.
    CleanOut(u32),
    /// New seed there after so many.
    HandOver(u32),
    /// Cells a second.
    Boost(f64),
    /// Tenths of a cell before release.
    Sweep(f64),
}

/// An action as it is drawn: it may come after an earlier one, from its end or its start.
#[derive(Clone, Copy, Debug)]
struct Drawn {
    kind: Kind,
    after: Option<(usize, bool)>,
    wait: Extent,
    lasts: Extent,
}

#[derive(Clone, Debug)]
struct Trial {
    /// Tenths of km/h.
    speed: u32,
    /// Millimetres.
    spacing: u32,
    carry: u32,
    alley: u32,
    actions: Vec<Drawn>,
    /// Where in the sheet each action stands.
    order: Vec<usize>,
}

impl Trial {
    fn velocity(&self) -> f64 {
        f64::from(self.speed) / 10.0 / 0.036
    }

    fn spacing(&self) -> f64 {
        f64::from(self.spacing) / 10.0
    }

    fn head(&self) -> String {
        format!(
            "bare-length = \"cm\"\n[planter]\nrow-spacing = \"50 cm\"\n\
             plate = {{ cells = 60, carry = {} }}\n[trial]\nalley = {}\nspeed = \"{} km/h\"\n\
             seed-spacing = \"{} cm\"\n",
            self.carry,
            self.alley,
            f64::from(self.speed) / 10.0,
            self.spacing()
        )
    }

    /// The sheet, with the actions in their order.
    fn text(&self) -> String {
        let mut text = format!("{}[changeover]\nfall-time = \"0.2 s\"\n", self.head());
        for place in &self.order {
            let one = &self.actions[*place];
            let _ = writeln!(text, "[[changeover.action]]\nname = \"line {place}\"");
            let _ = match one.kind {
                Kind::CleanOut(gone) => {
                    let gone = f64::from(gone) / 100.0;
                    writeln!(text, "does = \"clean-out\"\nold-seed-gone = \"{gone} s\"")
                }
                Kind::HandOver(there) => {
                    let there = f64::from(there) / 100.0;
                    writeln!(text, "does = \"hand-over\"\nnew-seed-at-pick-up = \"{there} s\"")
                }
                Kind::Boost(rate) => writeln!(text, "does = \"boost\"\nrate = \"{rate} cells/s\""),
                Kind::Sweep(cells) => {
                    writeln!(text, "does = \"sweep\"\ncells-before-release = {cells}")
                }
            };
            if let Some((other, end)) = one.after {
                let end = if end { "end" } else { "start" };
                let _ = writeln!(text, "after = \"line {other}\"\nfrom = \"{end}\"");
            }
            let _ = writeln!(text, "wait = {}\nfor = {}", one.wait.text(), one.lasts.text());
        }
        text
    }

    /// When each action starts and ends, by going from one event to the next.
    fn times(&self) -> Vec<(f64, f64)> {
        let mut times: Vec<(f64, f64)> = vec![];
        for one in &self.actions {
            let from = match one.after {
                None => 0.0,
                Some((other, end)) => {
                    if end {
                        times[other].1
                    } else {
                        times[other].0
                    }
                }
            };
            let start = one.wait.over(from, self.velocity());
            times.push((start, one.lasts.over(start, self.velocity())));
        }
        times
    }

    fn machine(&self) -> Machine {
        let mut machine = Machine {
            speed: self.velocity(),
            spacing: self.spacing(),
            carry: f64::from(self.carry),
            old_seed_gone: f64::INFINITY,
            new_seed_there: f64::INFINITY,
            motors: vec![],
            sweeps: vec![],
            fall: 0.2,
        };
        for (one, (start, end)) in self.actions.iter().zip(self.times()) {
            let length = end - start;
            match one.kind {
                Kind::CleanOut(gone) => {
                    let gone = start + f64::from(gone) / 100.0;
                    machine.old_seed_gone = machine.old_seed_gone.min(gone);
                }
                Kind::HandOver(there) => {
                    let there = start + f64::from(there) / 100.0;
                    machine.new_seed_there = machine.new_seed_there.min(there);
                }
                Kind::Boost(rate) => machine.motors.push(Motor { start, length, rate }),
                Kind::Sweep(cells_before_release) => {
                    machine.sweeps.push(Sweep { start, length, cells_before_release });
                }
            }
        }
        machine
    }
}

fn extent(most: u32) -> impl Strategy<Value = Extent> {
    (0..most, any::<bool>()).prop_map(|(hundredths, by_way)| Extent { hundredths, by_way })
}

/// Any list: one clean-out and one hand-over at least, up to two of each, up to three motor windows and
/// two sweeps, in any order of starts and in any order in the sheet.
fn any_trial() -> impl Strategy<Value = Trial> {
    let kinds = (
        prop::collection::vec((5_u32..150).prop_map(Kind::CleanOut), 1..=2),
        prop::collection::vec((0_u32..60).prop_map(Kind::HandOver), 1..=2),
        prop::collection::vec((5.0..150.0_f64).prop_map(|rate| Kind::Boost(rate.round())), 0..=3),
        prop::collection::vec((0_u32..60).prop_map(|c| Kind::Sweep(f64::from(c) / 10.0)), 0..=2),
    );
    let kinds = kinds.prop_map(|(one, two, three, four)| [one, two, three, four].concat());
    let trial = (15_u32..90, 15_u32..120, 6_u32..30);
    (trial, kinds.prop_shuffle()).prop_flat_map(|((speed, spacing, carry), kinds)| {
        let count = kinds.len();
        let after = prop::collection::vec(prop::option::of((0..count, any::<bool>())), count);
        let extents = prop::collection::vec((extent(80), extent(120)), count);
        let order = Just((0..count).collect::<Vec<usize>>()).prop_shuffle();
        (after, extents, order).prop_map(move |(after, extents, order)| {
            let drawn = |(place, kind): (usize, &Kind)| Drawn {
                kind: *kind,
                // Only an earlier one, so that no two wait for each other.
                after: after[place]
                    .map(|(other, end)| (other % place.max(1), end))
                    .filter(|_| place > 0),
                wait: extents[place].0,
                lasts: extents[place].1,
            };
            let actions = kinds.iter().enumerate().map(drawn).collect();
            Trial { speed, spacing, carry, alley: 80, actions, order }
        })
    })
}

fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&Source::new("list.toml", text)).unwrap_or_else(|mistakes| {
        panic!("{:?}\n{text}", mistakes.iter().map(|one| &one.message).collect::<Vec<_>>())
    })
}

proptest! {
    #![proptest_config(asked_for(150))]

    #[test]
    fn any_list_of_a_sheet_is_predicted_as_the_stepped_planter_plants(trial in any_trial()) {
        let machine = trial.machine();
        // With old seed where the new lot comes, no edge is one of the other.
        if machine.old_seed_gone >= machine.new_seed_there {
            return Ok(());
        }
        let sheet = read(&trial.text());
        let inputs = sheet.job.changeover.as_ref().expect("a changeover");
        let schedule = inputs.schedule(&sheet.job.common).expect("a list that is set");
        held_against_the_bench(&numbers(&schedule), &machine)?;
    }

    /// Whatever the list is, it is answered: a page with its prediction, and either starting values or
    /// a word why there are none.
    #[test]
    fn any_list_of_a_sheet_is_answered(trial in any_trial()) {
        let outcome = calibrated(&trial.text());
        let said = |code| outcome.warnings.iter().any(|one| one.kind.code == code);
        let starting = outcome.tables.iter().any(|table| table.key == "starting-values");
        prop_assert!(starting || said("no-starting-values") || said("alley-not-reached"));
        prop_assert!(outcome.tables.iter().any(|table| table.key == "as-set-over-speed"));
        prop_assert!(outcome.values.iter().all(|value| value.number().is_finite()));
    }
}

fn calibrated(text: &str) -> Outcome {
    let sheet = read(text);
    changeover::calibrate(sheet.job.changeover.as_ref().expect("a changeover"), &sheet.job.common)
}

/// What starts what in a list that is not set, and in which steps.
#[derive(Clone, Debug)]
struct Unset {
    trial: Trial,
    /// Whether the next lot waits from the trip on, and not for the end of the clean-out.
    by_wait: bool,
    /// Whether there is a motor, and what its window waits for.
    motor: Option<After>,
    sweep: Option<After>,
    /// Steps of the clean-out, the hand-over, the boost and the sweep.
    steps: [Extent; 4],
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum After {
    Trip,
    LetIn,
    CleanOut,
    MotorStart,
}

fn steps() -> impl Strategy<Value = Extent> {
    // 0.01 to 0.1 s, or 1 to 5 cm.
    (1_u32..=10, any::<bool>()).prop_map(|(count, by_way)| Extent {
        hundredths: if by_way { count.min(5) } else { count },
        by_way,
    })
}

fn any_unset() -> impl Strategy<Value = Unset> {
    let trial = (20_u32..80, 20_u32..100, 6_u32..24, 40_u32..160);
    let seed = (20_u32..120, 5_u32..40, 20.0..120.0_f64);
    let motor =
        prop::option::of(prop::sample::select(vec![After::Trip, After::LetIn, After::CleanOut]));
    let sweep =
        prop::option::of(prop::sample::select(vec![After::Trip, After::LetIn, After::MotorStart]));
    let list = (any::<bool>(), motor, sweep, [steps(), steps(), steps(), steps()]);
    (trial, seed, list).prop_map(|(trial, (gone, there, rate), (by_wait, motor, sweep, steps))| {
        let (speed, spacing, carry, alley) = trial;
        let none = Extent { hundredths: 0, by_way: false };
        let drawn = |kind| Drawn { kind, after: None, wait: none, lasts: none };
        let actions = vec![
            drawn(Kind::CleanOut(gone)),
            drawn(Kind::HandOver(there)),
            drawn(Kind::Boost(rate.round())),
            drawn(Kind::Sweep(3.0)),
        ];
        let motor = motor.filter(|after| *after != After::CleanOut || !by_wait);
        let sweep = sweep.filter(|after| *after != After::MotorStart || motor.is_some());
        let trial = Trial { speed, spacing, carry, alley, actions, order: vec![] };
        Unset { trial, by_wait, motor, sweep, steps }
    })
}

fn starts(after: After) -> &'static str {
    match after {
        After::Trip => "",
        After::LetIn => "after = \"let in\"\nfrom = \"start\"\n",
        After::CleanOut => "after = \"empty\"\nfrom = \"end\"\n",
        After::MotorStart => "after = \"turn\"\nfrom = \"start\"\n",
    }
}

impl Unset {
    fn text(&self) -> String {
        let [gone, there, rate, _] = [0, 1, 2, 3].map(|place| self.trial.actions[place].kind);
        let (Kind::CleanOut(gone), Kind::HandOver(there), Kind::Boost(rate)) = (gone, there, rate)
        else {
            panic!("the kinds are fixed")
        };
        let step = |place: usize| self.steps[place].text();
        let hand_over = if self.by_wait { "" } else { starts(After::CleanOut) };
        let mut text = format!(
            "{}[changeover]\nfall-time = \"0.2 s\"\n\
             [[changeover.action]]\nname = \"empty\"\ndoes = \"clean-out\"\nstep = {}\n\
             old-seed-gone = \"{} s\"\nleast = \"1 s\"\nusual = \"1.3 s\"\n\
             [[changeover.action]]\nname = \"let in\"\ndoes = \"hand-over\"\n{hand_over}step = {}\n\
             new-seed-at-pick-up = \"{} s\"\n",
            self.trial.head(),
            step(0),
            f64::from(gone) / 100.0,
            step(1),
            f64::from(there) / 100.0,
        );
        if let Some(after) = self.motor {
            let _ = write!(
                text,
                "[[changeover.action]]\nname = \"turn\"\ndoes = \"boost\"\n{}step = {}\n\
                 rate = \"{rate} cells/s\"\n",
                starts(after),
                step(2)
            );
        }
        if let Some(after) = self.sweep {
            let _ = write!(
                text,
                "[[changeover.action]]\nname = \"brush\"\ndoes = \"sweep\"\n{}step = {}\n\
                 cells-before-release = 3\n",
                starts(after),
                step(3)
            );
        }
        text
    }

    /// A number that was set, as the clock has it; on its step, or the test fails.
    fn seconds(&self, outcome: &Outcome, key: &str, place: usize) -> f64 {
        let setting = outcome.settings.iter().find(|one| one.key.as_deref() == Some(key));
        let Some(setting) = setting else { return 0.0 };
        let (set, step) = (setting.set.number(), self.steps[place]);
        let one = f64::from(step.hundredths) / if step.by_way { 1.0 } else { 100.0 };
        assert_eq!(setting.set.unit_text(), if step.by_way { "cm" } else { "s" }, "{key}");
        assert!(((set / one).round() * one - set).abs() < 1e-6, "{key} {set} on {one}");
        if step.by_way { set / self.trial.velocity() } else { set }
    }

    /// The machine with what was set.
    fn machine(&self, outcome: &Outcome) -> Machine {
        let set = |key: &str, place| self.seconds(outcome, key, place);
        let empty = set("empty.for", 0);
        let let_in = if self.by_wait { set("let in.wait", 1) } else { empty };
        let from = |after, turn: f64| match after {
            After::Trip => 0.0,
            After::LetIn => let_in,
            After::CleanOut => empty,
            After::MotorStart => turn,
        };
        let turn = self.motor.map_or(0.0, |after| from(after, 0.0) + set("turn.wait", 2));
        let [gone, there, rate, _] = [0, 1, 2, 3].map(|place| self.trial.actions[place].kind);
        let (Kind::CleanOut(gone), Kind::HandOver(there), Kind::Boost(rate)) = (gone, there, rate)
        else {
            panic!("the kinds are fixed")
        };
        let motor = Motor { start: turn, length: set("turn.for", 2), rate };
        let sweep = self.sweep.map(|after| Sweep {
            start: from(after, turn) + set("brush.wait", 3),
            length: set("brush.for", 3),
            cells_before_release: 3.0,
        });
        assert!(empty >= f64::from(gone) / 100.0 - 1e-9, "the clean-out is over too soon");
        assert!(let_in >= empty - 1e-9, "let in while seed is taken out");
        Machine {
            speed: self.trial.velocity(),
            spacing: self.trial.spacing(),
            carry: f64::from(self.trial.carry),
            old_seed_gone: f64::from(gone) / 100.0,
            new_seed_there: let_in + f64::from(there) / 100.0,
            motors: self.motor.map(|_| motor).into_iter().collect(),
            sweeps: sweep.into_iter().collect(),
            fall: 0.2,
        }
    }

    /// Travel in the coarsest of its steps.
    fn travel(&self) -> f64 {
        let travel = |step: &Extent| {
            let number = f64::from(step.hundredths);
            if step.by_way { number } else { number / 100.0 * self.trial.velocity() }
        };
        self.steps.iter().map(travel).fold(0.0, f64::max)
    }
}

/// What must hold of starting values, judged on the bench: the alley, no seed under boost, no lot in
/// the other's plot.
fn judged(unset: &Unset, outcome: &Outcome) -> Result<(), TestCaseError> {
    let machine = unset.machine(outcome);
    let value = |name: &str| {
        let named = outcome.values.iter().find(|value| value.name() == Some(name));
        named.expect("a value").number()
    };
    let rows: Vec<Vec<Grain>> = phases(100)
        .map(|phase| machine.plant(phase, machine.early(), machine.late().max(20)))
        .collect();
    let widths: Vec<f64> = rows
        .iter()
        .map(|row| first_new(row).expect("new").at - last_old(row).expect("old").at)
        .collect();
    let width = moments(&widths).0;
    let said = value("alley width");
    prop_assert!((width - said).abs() < machine.spacing / 5.0, "planted {width}, said {said}");
    let off = (said - f64::from(unset.trial.alley)).abs();
    // The seeds that a sweep takes off make it wider by so much where it can't be put off by less.
    let room = unset.travel() + if unset.sweep.is_some() { unset.travel() } else { 0.0 };
    prop_assert!(off <= room + 1e-6, "{off} off, {room} of travel");
    for grain in rows.iter().flatten() {
        let boosted = machine.motors.iter().any(|motor| {
            motor.rate > machine.ground_rate() * (1.0 + 1e-9)
                && grain.released > motor.start + 1e-9
                && grain.released < motor.start + motor.length - 1e-9
        });
        prop_assert!(!boosted, "{grain:?} is dropped under boost");
    }
    Ok(())
}

proptest! {
    #![proptest_config(asked_for(100))]

    /// Lists that count from the trip, from each other, by the clock, by the way, in steps of their own.
    #[test]
    fn starting_values_of_any_shape_make_the_alley(unset in any_unset()) {
        let outcome = calibrated(&unset.text());
        let refused = outcome.warnings.iter().find(|one| one.kind.code == "alley-not-reached");
        match refused {
            None => judged(&unset, &outcome)?,
            // What is said to do does: the narrowest alley that is named.
            Some(refused) => {
                prop_assert!(outcome.settings.is_empty());
                let words = refused.message.split_once("an alley of ").and_then(|(_, rest)| rest.split_once("what would do: an alley of "));
                let Some((_, named)) = words else { return Ok(()) };
                let least: f64 = named.split([' ', ',']).next().and_then(|n| n.parse().ok()).expect("a number");
                let wider = Unset {
                    trial: Trial { alley: least.ceil() as u32, ..unset.trial.clone() },
                    ..unset.clone()
                };
                let outcome = calibrated(&wider.text());
                prop_assert!(!outcome.settings.is_empty(), "{least}: {:?}", outcome.warnings);
                judged(&wider, &outcome)?;
            }
        }
    }
}
