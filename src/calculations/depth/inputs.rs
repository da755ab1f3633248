//! What the depth calculation needs, and what a turn does.

use crate::outcome::Since;
use crate::quantity::{Decimal, Length};
use crate::working::Value;

/// Depths measured in one row.
#[derive(Clone, Debug)]
pub struct DepthRun {
    /// Which of its kind in the sheet, counted from one, where it is of one.
    pub number: Option<usize>,
    /// The row, where it was noted.
    pub row: Option<u32>,
    /// Depths of seeds under the surface.
    pub depths: Vec<Length>,
    /// Turns in of its depth setting then and now, where they are others (out: negative).
    pub turned: Option<Since>,
    /// The same of all rows alike.
    pub turned_alike: Option<Since>,
}

impl DepthRun {
    /// Whether its row was turned as it is now.
    pub(super) fn is_present(&self) -> bool {
        self.turned.is_none() && self.turned_alike.is_none()
    }
}

/// Which way the depth goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Seed lies further down.
    Deeper,
    /// Seed lies nearer to the surface.
    Shallower,
}

/// What turning the depth setting of a row does.
#[derive(Clone, Debug)]
pub struct DepthTurns {
    /// How much the depth changes.
    pub depth: Length,
    /// In so many turns (or notches, or holes).
    pub turns: Decimal,
    /// Which way it changes when turned in (or up a notch).
    pub turning_in: Way,
}

/// What the depth calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The runs; at least one depth.
    pub runs: Vec<DepthRun>,
    /// The depth wanted.
    pub wanted: Length,
    /// How far a seed may lie off it.
    pub tolerance: Option<Length>,
    /// What a turn does, where the sheet says.
    pub turns: Option<DepthTurns>,
}

/// Turns in that bring a row to the depth wanted; out where negative: depth to add / depth change
/// × turns where turning in goes deeper, the same with the other sign where it goes shallower.
///
/// The depth to add is depth wanted - mean depth.
///
/// ```
/// use alleytrue::calculations::depth::{Way, turns_in};
/// use alleytrue::working::Value;
/// let [to_add, change, turns] = [0.25, 0.125, 1.0].map(Value::constant);
/// assert_eq!(turns_in(&to_add, &change, &turns, Way::Deeper).number(), 2.0);
/// assert_eq!(turns_in(&to_add, &change, &turns, Way::Shallower).number(), -2.0);
/// ```
#[must_use]
pub fn turns_in(to_add: &Value, change: &Value, turns: &Value, way: Way) -> Value {
    match way {
        Way::Deeper => to_add / change * turns,
        Way::Shallower => Value::constant(-1.0) * to_add / change * turns,
    }
}

/// How much deeper seed lies for so many turns in: turns × depth change / turns for it where turning
/// in goes deeper, the same with the other sign where it goes shallower.
///
/// ```
/// use alleytrue::calculations::depth::{Way, deeper_by};
/// use alleytrue::working::Value;
/// let [turned, change, turns] = [2.0, 0.25, 1.0].map(Value::constant);
/// assert_eq!(deeper_by(&turned, &change, &turns, Way::Deeper).number(), 0.5);
/// assert_eq!(deeper_by(&turned, &change, &turns, Way::Shallower).number(), -0.5);
/// ```
#[must_use]
pub fn deeper_by(turned: &Value, change: &Value, turns: &Value, way: Way) -> Value {
    match way {
        Way::Deeper => turned * change / turns,
        Way::Shallower => Value::constant(-1.0) * turned * change / turns,
    }
}
