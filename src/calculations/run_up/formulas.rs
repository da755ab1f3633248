//! The way to be at speed and full, and the speed that a headland allows.

use crate::working::Value;

/// The way from standing to a speed, evenly gained: v² / (2 a).
///
/// v is the speed, a the acceleration, both of one unit of length and one of time.
///
/// Source: plain mechanics; a tractor of a school worksheet is at 3 m/s after 20 s, 0.15 m/s² and
/// so 30 m.
///
/// ```
/// use alleytrue::calculations::run_up::way_to_speed;
/// use alleytrue::working::Value;
/// let [speed, acceleration] = [3.0, 0.15].map(Value::constant);
/// assert!((way_to_speed(&speed, &acceleration).number() - 30.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn way_to_speed(speed: &Value, acceleration: &Value) -> Value {
    speed.to_the(2) / (Value::constant(2.0) * acceleration)
}

/// The way that fills an empty plate: carry × seed spacing, since every cell turned is a spacing of
/// ground under ground drive, and a seed is released after it was carried over so many.
///
/// ```
/// use alleytrue::calculations::run_up::way_to_fill;
/// use alleytrue::working::Value;
/// let [carry, spacing] = [16.0, 1.5].map(Value::constant);
/// assert_eq!(way_to_fill(&carry, &spacing).number(), 24.0);
/// ```
#[must_use]
pub fn way_to_fill(carry: &Value, spacing: &Value) -> Value {
    carry * spacing
}

/// The speed that room for a run-up allows where as much is gained in a time: v × sqrt(room / run-up),
/// run-up being that to v.
///
/// By v² / (2 a) the way goes with the square of the speed.
///
/// ```
/// use alleytrue::calculations::run_up::speed_allowed;
/// use alleytrue::working::Value;
/// // A quarter of the way is enough for half of the speed.
/// let [speed, room, run_up] = [3.0, 7.5, 30.0].map(Value::constant);
/// assert_eq!(speed_allowed(&speed, &room, &run_up).number(), 1.5);
/// ```
#[must_use]
pub fn speed_allowed(speed: &Value, room: &Value, run_up: &Value) -> Value {
    speed * (room / run_up).root()
}
