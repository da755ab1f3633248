//! The side of the planter and the pitch of its passes from the gaps between them.

use crate::working::Value;

use super::inputs::Steering;

/// What the planter's side adds to a gap after a left turn, and takes from one after a right
/// turn: (mean gap, left turns - mean gap, right turns) / 2.
///
/// Closed form: P - W + 2 d less P - W - 2 d is 4 d, half of it 2 d.
///
/// ```
/// use alleytrue::calculations::guess_rows::off_by_side;
/// use alleytrue::working::Value;
/// // Lines 120 in apart, rows 90 in from first to last, planter 1 in to the right: gaps of
/// // 120 - 90 + 2 = 32 in and 120 - 90 - 2 = 28 in.
/// let [left, right] = [32.0, 28.0].map(Value::constant);
/// assert_eq!(off_by_side(&left, &right).number(), 2.0);
/// ```
#[must_use]
pub fn off_by_side(left: &Value, right: &Value) -> Value {
    ((left - right) / Value::constant(2.0)).named("gap off by the side")
}

/// What the pitch of the passes adds to every gap: (mean gap, left turns + mean gap, right turns)
/// / 2 - gap wanted.
///
/// Closed form: the side goes out of the mean, which is P - W; the gap wanted is the pitch wanted
/// less W, so what is left is the error of the pitch.
///
/// ```
/// use alleytrue::calculations::guess_rows::off_by_pitch;
/// use alleytrue::working::Value;
/// // Lines 121 in apart where rows 30 in apart and 90 in from first to last want 120 in.
/// let [left, right, wanted] = [33.0, 29.0, 30.0].map(Value::constant);
/// assert_eq!(off_by_pitch(&left, &right, &wanted).number(), 1.0);
/// ```
#[must_use]
pub fn off_by_pitch(left: &Value, right: &Value, wanted: &Value) -> Value {
    (mean_gap(left, right) - wanted).named("gap off by the pitch")
}

pub(super) fn mean_gap(left: &Value, right: &Value) -> Value {
    ((left + right) / Value::constant(2.0)).named("mean gap, each turn counted once")
}

/// How far the planter runs to the right of its tractor's middle, from what that adds to a gap: half
/// of it where the tractor follows lines a pitch apart, since both passes of a gap lean; all of it
/// where it follows what the pass before left, since the pass before is then where it is.
///
/// With [`off_by_side`] the first is (mean gap, left turns - mean gap, right turns) / 4.
///
/// ```
/// use alleytrue::calculations::guess_rows::{Steering, to_the_right};
/// use alleytrue::working::Value;
/// let off = Value::constant(2.0);
/// assert_eq!(to_the_right(&off, Steering::Lines).number(), 1.0);
/// assert_eq!(to_the_right(&off, Steering::MarkerArms).number(), 2.0);
/// ```
#[must_use]
pub fn to_the_right(off_by_side: &Value, steering: Steering) -> Value {
    match steering {
        Steering::Lines => off_by_side / Value::constant(2.0),
        Steering::MarkerArms => off_by_side.clone(),
    }
}

/// From the first row of a pass to its last: (rows - 1) × row spacing.
///
/// ```
/// use alleytrue::calculations::guess_rows::outer_rows;
/// use alleytrue::working::Value;
/// let [rows, spacing] = [4.0, 30.0].map(Value::constant);
/// assert_eq!(outer_rows(&rows, &spacing).number(), 90.0);
/// ```
#[must_use]
pub fn outer_rows(rows: &Value, row_spacing: &Value) -> Value {
    ((rows - Value::constant(1.0)) * row_spacing).named("outer row to outer row of a pass")
}
