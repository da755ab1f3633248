//! Where a trip source makes the alley lie, and how long a row waits for another.

use crate::working::Value;

/// How far ahead of the mark a source makes everything lie: latency × speed - how far it senses ahead of the
/// seed.
///
/// A sensor that sits D ahead of where seed falls is at the mark while the seed is still D short of it, so
/// all lies D back; the planter goes on by speed × latency before it trips, so all lies that far ahead.
///
/// ```
/// use alleytrue::calculations::offsets::shift_by_source;
/// use alleytrue::working::Value;
/// // 36 in ahead, 0.25 s at 50 in/s: 12.5 - 36.
/// let [ahead, latency, speed] = [36.0, 0.25, 50.0].map(Value::constant);
/// assert_eq!(shift_by_source(&ahead, &latency, &speed).number(), -23.5);
/// ```
#[must_use]
pub fn shift_by_source(ahead: &Value, latency: &Value, speed: &Value) -> Value {
    latency * speed - ahead
}

/// How long a row waits so that it stops and starts on one line with the row furthest ahead:
/// (furthest ahead - own) / speed.
///
/// A unit that sits further ahead comes over a line earlier, and has to change over as much earlier.
///
/// ```
/// use alleytrue::calculations::offsets::delay_of_row;
/// use alleytrue::working::Value;
/// let [most, own, speed] = [10.0, 0.0, 50.0].map(Value::constant);
/// assert_eq!(delay_of_row(&most, &own, &speed).number(), 0.2);
/// ```
#[must_use]
pub fn delay_of_row(most: &Value, own: &Value, speed: &Value) -> Value {
    (most - own) / speed
}
