//! Counts per turn, and what it tells of the one number from the other.

use crate::calculations::trip::ScaleKind;
use crate::working::{Units, Value};

/// One of the working length, so that a scale, which the controller shows without a unit, goes with a
/// length.
#[must_use]
pub fn one_of(units: &Units) -> Value {
    Value::exact("one of the length", 1.0, units.length.into())
}

/// Counts that a controller with this scale makes over a length: trip scale × length, or length / trip
/// scale where the scale is a length per count.
///
/// Over what the controller read from mark to mark they are those it made there. Over the travel per
/// turn, by the scale that was right on the same ground, they are those of a turn of the wheel: a softer
/// tyre makes more counts on the same ground and turns as much more often, and their ratio stays.
/// `one` is one of the working length, so that a count comes out; where the scale is per another length
/// than that, the count is as many times as large, always alike.
///
/// ```
/// use alleytrue::calculations::one_wheel::counts_over;
/// use alleytrue::calculations::trip::ScaleKind;
/// use alleytrue::quantity::LengthUnit;
/// use alleytrue::working::Value;
/// let inch = |number| Value::exact("inches", number, LengthUnit::Inch.into());
/// // 4 counts to the inch, 80 in a turn: 320; a quarter of an inch per count is the same.
/// let many = counts_over(ScaleKind::CountsPerLength, &Value::constant(4.0), &inch(80.0), &inch(1.0));
/// let long = counts_over(ScaleKind::LengthPerCount, &Value::constant(0.25), &inch(80.0), &inch(1.0));
/// assert_eq!((many.number(), long.number()), (320.0, 320.0));
/// ```
#[must_use]
pub fn counts_over(kind: ScaleKind, scale: &Value, length: &Value, one: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => scale * length / one,
        ScaleKind::LengthPerCount => length / one / scale,
    }
}

/// The trip scale that is right where so many counts are made over a length: counts / length, or the
/// other way round where the scale is a length per count. The length is the ground from mark to mark,
/// or that of a turn.
///
/// ```
/// use alleytrue::calculations::one_wheel::scale_of;
/// use alleytrue::calculations::trip::ScaleKind;
/// use alleytrue::quantity::LengthUnit;
/// use alleytrue::working::Value;
/// let inch = |number| Value::exact("inches", number, LengthUnit::Inch.into());
/// // 320 counts in a turn of 64 in are 5 to the inch.
/// let scale = scale_of(ScaleKind::CountsPerLength, &Value::constant(320.0), &inch(64.0), &inch(1.0));
/// assert_eq!(scale.number(), 5.0);
/// ```
#[must_use]
pub fn scale_of(kind: ScaleKind, counts: &Value, length: &Value, one: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => counts * one / length,
        ScaleKind::LengthPerCount => length / one / counts,
    }
}

/// Travel per turn where the trip scale `scale` is right: counts per turn / trip scale, or counts per
/// turn × trip scale where that is a length per count.
///
/// ```
/// use alleytrue::calculations::one_wheel::travel_of;
/// use alleytrue::calculations::trip::ScaleKind;
/// use alleytrue::quantity::LengthUnit;
/// use alleytrue::working::Value;
/// let one = Value::exact("an inch", 1.0, LengthUnit::Inch.into());
/// let travel = travel_of(ScaleKind::CountsPerLength, &Value::constant(320.0), &Value::constant(5.0), &one);
/// assert_eq!(travel.number(), 64.0);
/// ```
#[must_use]
pub fn travel_of(kind: ScaleKind, counts: &Value, scale: &Value, one: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => counts / scale * one,
        ScaleKind::LengthPerCount => counts * scale * one,
    }
}

/// By how many per cent a number is off another: (now / before - 1) × 100.
///
/// ```
/// use alleytrue::calculations::one_wheel::moved;
/// use alleytrue::working::Value;
/// let moved = moved(&Value::constant(98.0), &Value::constant(100.0));
/// assert!((moved.number() + 2.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn moved(now: &Value, before: &Value) -> Value {
    (now / before - Value::constant(1.0)).in_percent()
}
