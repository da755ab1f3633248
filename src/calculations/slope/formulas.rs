//! Lengths on a slope, and what one setting leaves each way.

use crate::calculations::trip::ScaleKind;
use crate::working::Value;

/// What a length taped along a slope is on the level, as a map or a satellite has it:
/// length / sqrt(1 + slope²), slope being rise over level run.
///
/// Closed form: a right triangle whose level side is 1 and whose rise is the slope. Surveying has the
/// correction h² / (2 s) for gentle slopes, h the rise over the taped length s (U.S. Navy, Engineering
/// Aid Basics, 12-15).
///
/// ```
/// use alleytrue::calculations::slope::on_the_level;
/// use alleytrue::working::Value;
/// // 3-4-5: a slope of 75 %, 5 along it are 4 on the level.
/// let level = on_the_level(&Value::constant(5.0), &Value::constant(0.75));
/// assert!((level.number() - 4.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn on_the_level(taped: &Value, slope: &Value) -> Value {
    taped / (Value::constant(1.0) + slope.to_the(2)).root()
}

/// What a tape laid along a slope reads for a length on the level: length × sqrt(1 + slope²).
///
/// ```
/// use alleytrue::calculations::slope::along_the_slope;
/// use alleytrue::working::Value;
/// let taped = along_the_slope(&Value::constant(4.0), &Value::constant(0.75));
/// assert!((taped.number() - 5.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn along_the_slope(level: &Value, slope: &Value) -> Value {
    level * (Value::constant(1.0) + slope.to_the(2)).root()
}

/// The middle of both ways, each counted once whatever the number of its readings: a trial has as many
/// passes up as down.
///
/// ```
/// use alleytrue::calculations::slope::middle;
/// use alleytrue::working::Value;
/// assert_eq!(middle(&Value::constant(0.98), &Value::constant(1.0)).number(), 0.99);
/// ```
#[must_use]
pub fn middle(one: &Value, other: &Value) -> Value {
    (one + other) / Value::constant(2.0)
}

/// What a trip spacing stays off by one way, with the scale that is right for `both`:
/// spacing × both / one way - spacing, both being believed over true length.
///
/// With a scale held that is right for the middle, the controller believes both / one way too little of
/// the ground of that way. It is the same whichever way round the scale is.
///
/// ```
/// use alleytrue::calculations::slope::stays;
/// use alleytrue::working::Value;
/// // Uphill the wheel skids and the controller believes 98 in of 100, downhill all of them; set for
/// // 99, a plot of 98 in comes out 99 uphill.
/// let [spacing, both, up] = [98.0, 0.99, 0.98].map(Value::constant);
/// assert!((stays(&spacing, &both, &up).number() - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn stays(spacing: &Value, both: &Value, one_way: &Value) -> Value {
    spacing * both / one_way - spacing
}

/// The trip scale that serves where `both` is believed over true with the scale of now: now × both of
/// counts per length, now / both of a length per count.
///
/// ```
/// use alleytrue::calculations::slope::scale_for_both;
/// use alleytrue::calculations::trip::ScaleKind;
/// use alleytrue::working::Value;
/// // A controller that believes 99 in of 100 counts too many counts to the inch.
/// let [now, both] = [400.0, 0.99].map(Value::constant);
/// let scale = scale_for_both(ScaleKind::CountsPerLength, &now, &both);
/// assert!((scale.number() - 396.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn scale_for_both(kind: ScaleKind, now: &Value, both: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => now * both,
        ScaleKind::LengthPerCount => now / both,
    }
}
