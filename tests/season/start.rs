//! How a season starts.

use super::dice::{Dice, between, half_inches, off};
use super::planter::{Moves, Planter};
use super::technician::Season;

/// How far things are off.
pub struct Off {
    /// The trip scale by this share at the least, and two in a hundred at the most.
    pub scale: f64,
    /// The setback by so many inches at the least, and six at the most.
    pub setback: f64,
    /// The marks by so many inches at the most.
    pub marks: f64,
}

/// A planter with everything off, of which the sheet says what is true.
pub fn everything_off(dice: &mut Dice, least: &Off) -> Season {
    let moves = |dice: &mut Dice, right: f64| Moves {
        right: between(dice, right - 1.0, right + 1.0),
        raising_moves_back: dice.even() < 0.5,
        size: 1.0,
        acts_on: [true; 2],
    };
    let counts_per_length = dice.even() < 0.5;
    let right_scale = between(dice, 395.0, 405.0);
    let (setback, offset) = (moves(dice, 30.0), moves(dice, 20.0));
    let held = [
        (right_scale * (1.0 + off(dice, least.scale, 0.02)) * 100.0).round() / 100.0,
        half_inches(setback.right + off(dice, least.setback, 6.0)),
        half_inches(offset.right + off(dice, 0.0, 3.0)),
    ];
    let planter = Planter {
        counts_per_length,
        right_scale,
        setback,
        offset,
        held,
        marks: between(dice, -least.marks, least.marks),
        hand: 0.3,
        days: 0.0,
        other_seed: None,
    };
    Season {
        counts_per_length,
        setback_is_known: true,
        setback_raising_back: setback.raising_moves_back,
        offset_raising_back: offset.raising_moves_back,
        planter,
        headings: [true; 2],
        alleys: 5,
        leads: 5,
        slip: None,
        wild: None,
        undo: None,
    }
}
