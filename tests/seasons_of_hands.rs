//! Whole seasons of what hands adjust: throttle, chains, depth, marks, seed. A planter whose truth
//! nobody sees, and a technician who does and looks at what `Next:` says and nothing else.
//!
//! `SEASONS=200 cargo test --release --test seasons_of_hands -- --nocapture` plays so many of each
//! kind and prints what became of them; an everyday run plays fewer. `SHOW="depth turns 7"` tells one.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]

mod dice;
mod hands;
#[path = "season/sheet.rs"]
mod sheet;

use dice::{Dice, asked_for, between, half_inches, off};
use hands::end::Tally;
use hands::planter::{DEPTH, PER_TURN, Planter, SPEED};
use hands::technician::{Looks, Season, play};

/// A planter that is right in everything, of which the sheet says what is true.
fn usual(dice: &mut Dice, looks: Looks) -> Season {
    let right = half_inches(between(dice, 20.0, 30.0));
    // No tooth of these turns the plate by whole cells, and some tooth leaves less than a tenth.
    let teeth = [13, 14, 17, 18, 19][(dice.even() * 5.0) as usize];
    let planter = Planter {
        speed: SPEED,
        ahead: vec![0.0; 4],
        teeth,
        depths: vec![DEPTH; 4],
        per_turn: PER_TURN * between(dice, 0.9, 1.1),
        depth_scatter: 0.15,
        marks: between(dice, -0.2, 0.2),
        right_setback: [right; 2],
        setback: right,
        seed: 0,
        by_hand: Default::default(),
    };
    Season { planter, looks, deeper: true, stakes_anew: false, forgotten: None, seeds: vec![0] }
}

fn tally(kind: &'static str, seed: u64, season: fn(&mut Dice) -> Season) -> Tally {
    let one = |number: u64| {
        let mut dice = Dice(seed * 1_000_003 + number);
        let season = season(&mut dice);
        let end = play(&season, dice.0);
        if std::env::var("SHOW").is_ok_and(|shown| shown == format!("{kind} {number}")) {
            println!("{season:#?}\n{}\n{:?}", end.log.join("\n"), end.off);
        }
        end
    };
    let tally = Tally { kind, ends: (0..asked_for()).map(one).collect() };
    println!("{}", tally.line());
    tally
}

#[test]
fn a_throttle_that_goes_an_unknown_way() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice, Looks::Speed);
        season.planter.speed = SPEED * (1.0 + off(dice, 0.03, 0.3));
        season
    };
    tally("throttle", 21, season).holds();
}

fn out_of_phase(dice: &mut Dice) -> Season {
    let mut season = usual(dice, Looks::Rows);
    for row in 1..4 {
        season.planter.ahead[row] = between(dice, -0.5, 0.5);
    }
    season
}

#[test]
fn chains_that_are_jumped() {
    tally("chains", 22, out_of_phase).holds();
}

#[test]
fn a_jump_that_nobody_made() {
    let season = |dice: &mut Dice| {
        let mut season = out_of_phase(dice);
        season.planter.ahead[1] = off(dice, 0.42, 0.48);
        season.forgotten = Some((dice.even() * 2.0) as usize);
        season
    };
    let tally = tally("a jump never made", 23, season);
    tally.holds();
    tally.has_faults();
}

fn rows_off(dice: &mut Dice, least: f64, most: f64) -> Season {
    let mut season = usual(dice, Looks::Depth { noted: true });
    for row in 0..4 {
        season.planter.depths[row] = DEPTH + off(dice, least, most);
    }
    season.deeper = dice.even() < 0.5;
    if !season.deeper {
        season.planter.per_turn *= -1.0;
    }
    season
}

#[test]
fn depth_settings_that_are_turned() {
    tally("depth turns", 24, |dice| rows_off(dice, 0.0, 1.5)).holds();
}

#[test]
fn depths_whose_rows_nobody_noted() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice, Looks::Depth { noted: false });
        let all = off(dice, 0.4, 1.5);
        for row in 0..4 {
            season.planter.depths[row] = DEPTH + all + dice.normal(0.1);
        }
        season
    };
    tally("depth turns of all rows", 25, season).holds();
}

#[test]
fn a_turn_that_was_forgotten() {
    let season = |dice: &mut Dice| {
        let mut season = rows_off(dice, 1.1, 1.6);
        season.forgotten = Some((dice.even() * 4.0) as usize);
        season
    };
    let tally = tally("a depth turn forgotten", 26, season);
    tally.holds();
    tally.has_faults();
}

#[test]
fn a_screw_that_turns_the_other_way() {
    let season = |dice: &mut Dice| {
        let mut season = rows_off(dice, 0.0, 1.6);
        season.planter.depths[0] = DEPTH + off(dice, 1.1, 1.6);
        season.deeper = !season.deeper;
        season
    };
    let tally = tally("turning in goes the other way", 27, season);
    tally.holds();
    tally.has_faults();
}

fn marks_off(dice: &mut Dice) -> Season {
    let mut season = usual(dice, Looks::Alleys);
    season.planter.marks = off(dice, 1.5, 5.0);
    season.planter.setback += off(dice, 0.0, 6.0);
    season.planter.setback = half_inches(season.planter.setback);
    season
}

#[test]
fn marks_that_are_moved() {
    tally("marks moved", 28, marks_off).holds();
}

#[test]
fn marks_that_are_staked_anew() {
    let season = |dice: &mut Dice| Season { stakes_anew: true, ..marks_off(dice) };
    tally("marks staked anew", 29, season).holds();
}

/// Small seed, large seed, and small seed again: each ends right for itself.
#[test]
fn two_sizes_of_seed() {
    let season = |dice: &mut Dice| {
        let mut season = usual(dice, Looks::Alleys);
        season.planter.setback = half_inches(season.planter.setback + off(dice, 2.0, 6.0));
        season.planter.right_setback[1] += off(dice, 2.0, 4.0);
        Season { seeds: vec![0, 1, 0], ..season }
    };
    tally("two sizes of seed", 30, season).holds();
}
