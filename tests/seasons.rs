//! Whole seasons: a planter whose true settings nobody sees, and a technician who sets, plants and
//! measures what `Next:` says and nothing else.
//!
//! `SEASONS=200 cargo test --release --test seasons -- --nocapture` plays so many of each kind and
//! prints what became of them; an everyday run plays fewer.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]

mod dice;
mod season;

use dice::{Dice, asked_for, at_least, between, off};
use season::start::{Off, everything_off};
use season::technician::{End, Season, Slip, Wild, play};

/// A planter with everything off, of which the sheet says what is true.
fn usual(dice: &mut Dice) -> Season {
    let season = everything_off(dice, &Off { scale: 0.002, setback: 0.0, marks: 0.3 });
    Season { alleys: 4 + (dice.even() * 3.0) as usize, leads: 6, ..season }
}

/// What became of all seasons of a kind.
struct Tally {
    kind: &'static str,
    ends: Vec<End>,
}

impl Tally {
    fn of(kind: &'static str, seed: u64, season: fn(&mut Dice) -> Season) -> Tally {
        let one = |number: u64| {
            let mut dice = Dice(seed * 1_000_003 + number);
            let season = season(&mut dice);
            let end = play(&season, dice.0);
            if std::env::var("SHOW").is_ok_and(|shown| shown == format!("{kind} {number}")) {
                println!("{season:#?}\n{}\n{:?}", end.log.join("\n"), end.left);
            }
            end
        };
        let tally = Tally { kind, ends: (0..asked_for()).map(one).collect() };
        println!("{}", tally.line());
        tally
    }

    fn sum(&self, count: impl Fn(&End) -> usize) -> usize {
        self.ends.iter().map(count).sum()
    }

    fn count(&self, is: impl Fn(&End) -> bool) -> usize {
        self.ends.iter().filter(|end| is(end)).count()
    }

    fn right(&self) -> usize {
        self.count(End::is_right)
    }

    fn without_end(&self) -> usize {
        self.count(|end| end.without_end)
    }

    fn median_rounds(&self) -> usize {
        let mut rounds: Vec<usize> = self.ends.iter().map(|end| end.rounds).collect();
        rounds.sort_unstable();
        rounds[rounds.len() / 2]
    }

    fn line(&self) -> String {
        let mut wrong: Vec<(u64, &End)> =
            (0..).zip(&self.ends).filter(|(_, end)| !end.is_right()).collect();
        wrong.sort_by_key(|(_, end)| !end.without_end);
        let wrong: Vec<String> =
            wrong.into_iter().take(8).map(|(number, _)| number.to_string()).collect();
        format!(
            "{:<34} {:>3} of {:>3} right, {:>3} without end, rounds {:>2}, worse {:>3} of {:>4}, \
             faults named {:>3} of {:>3}, false {:>2} of {:>4}, apart {:>3} of {:>4}  not right: {}",
            self.kind,
            self.right(),
            self.ends.len(),
            self.without_end(),
            self.median_rounds(),
            self.sum(|end| end.worse),
            self.sum(|end| end.changes),
            self.sum(|end| end.named),
            self.sum(|end| end.faults),
            self.sum(|end| end.false_alarms),
            self.sum(|end| end.sound),
            self.sum(|end| end.apart),
            self.sum(|end| end.reports),
            wrong.join(" ")
        )
    }

    fn holds(&self) {
        self.ends_right();
        self.claims_right();
    }

    /// No fault is claimed where there is none.
    fn claims_right(&self) {
        let (sound, alarms) = (self.sum(|end| end.sound), self.sum(|end| end.false_alarms));
        at_least(self.kind, "no false alarm", sound - alarms, sound, 0.99);
    }

    fn ends_right(&self) {
        let all = self.ends.len();
        at_least(self.kind, "right", self.right(), all, 0.95);
        assert_eq!(self.without_end(), 0, "{}: without end", self.kind);
        let (named, faults) = (self.sum(|end| end.named), self.sum(|end| end.faults));
        at_least(self.kind, "named", named, faults, 0.95);
    }
}

#[test]
fn all_typed_right() {
    Tally::of("all right", 1, usual).holds();
}

#[test]
fn direction_of_the_setback_typed_wrong() {
    let season = |dice: &mut Dice| {
        let season = usual(dice);
        Season { setback_raising_back: !season.setback_raising_back, ..season }
    };
    Tally::of("direction of the setback", 2, season).holds();
}

#[test]
fn kind_of_trip_scale_typed_wrong() {
    let season = |dice: &mut Dice| {
        let season = usual(dice);
        Season { counts_per_length: !season.counts_per_length, ..season }
    };
    Tally::of("kind of trip scale", 3, season).holds();
}

fn slipping(dice: &mut Dice, slip: Slip) -> Season {
    let number = (dice.even() * 2.0) as usize;
    Season { slip: Some((number, slip)), ..usual(dice) }
}

#[test]
fn a_change_never_keyed_in() {
    Tally::of("never keyed in", 4, |dice| slipping(dice, Slip::Forgotten)).holds();
}

#[test]
fn a_change_keyed_in_wrong() {
    let season = |dice: &mut Dice| {
        let part = between(dice, -1.5, 1.5);
        slipping(dice, Slip::Other(part))
    };
    Tally::of("keyed in wrong", 5, season).holds();
}

#[test]
fn alleys_of_one_heading_with_leads_and_marks_off() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice);
        season.headings = if dice.even() < 0.5 { [true, false] } else { [false, true] };
        season.planter.marks = off(dice, 1.0, 5.0);
        season
    };
    Tally::of("one heading, marks off", 6, season).holds();
}

fn days(dice: &mut Dice, part: f64) -> Season {
    let mut season = usual(dice);
    season.planter.days = part;
    season
}

#[test]
fn days_apart_by_a_quarter_of_the_tolerance() {
    Tally::of("days apart by a quarter", 7, |dice| days(dice, 0.25)).holds();
}

#[test]
fn days_apart_by_half_the_tolerance() {
    Tally::of("days apart by half", 8, |dice| days(dice, 0.5)).holds();
}

#[test]
fn two_seed_sizes() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice);
        season.planter.other_seed = Some((off(dice, 2.0, 4.0), 2));
        season
    };
    // A day that differs by more than a change did looks like a change of another size.
    Tally::of("another seed on one day", 9, season).ends_right();
}

#[test]
fn a_wild_reading() {
    let season = |dice: &mut Dice| {
        let season = usual(dice);
        let list = ["readout", "last-seed-to-mark", "lead"][(dice.even() * 3.0) as usize];
        let by = if list == "readout" { off(dice, 10.0, 12.0) } else { off(dice, 6.0, 12.0) };
        let place = (dice.even() * 4.0) as usize;
        Season { wild: Some(Wild { list, place, by }), ..season }
    };
    Tally::of("a wild reading", 10, season).holds();
}

#[test]
fn a_change_taken_back_in_the_middle() {
    let season = |dice: &mut Dice| Season { undo: Some(2), ..usual(dice) };
    Tally::of("a change taken back", 11, season).holds();
}

#[test]
fn a_setback_in_a_unit_of_its_own() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice);
        season.planter.setback.size = [2.0, 0.5][(dice.even() * 2.0) as usize];
        season
    };
    Tally::of("setback of another size", 12, season).holds();
}

/// Without marks: leads alone, and a pass offset that moves half of what the sheet says.
#[test]
fn a_pass_offset_that_acts_on_one_heading() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice);
        season.planter.offset.acts_on = [dice.even() < 0.5, true];
        season.planter.offset.acts_on[1] = !season.planter.offset.acts_on[0];
        season.headings = [false; 2];
        season
    };
    Tally::of("pass offset on one heading", 13, season).holds();
}

#[test]
fn a_direction_that_nobody_knows() {
    let season = |dice: &mut Dice| Season { setback_is_known: false, ..usual(dice) };
    Tally::of("direction not known", 14, season).holds();
}
