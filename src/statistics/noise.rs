//! Telling what was measured from what binary arithmetic adds to decimal readings.

use crate::quantity::Unit;
use crate::working::Value;

/// Readings that agree to twelve significant digits are alike: no tape and no display gives
/// more, and the digits beyond are noise.
const ALIKE: f64 = 1e-12;
/// What a few operations may leave of a number that is zero, relative to the numbers that
/// cancelled.
const ROUNDING: f64 = 1e-14;

/// How many readings there are, as a number and as a value; `None` if there are none.
pub(super) fn counted(subject: &str, readings: usize) -> Option<(u32, Value)> {
    let count = u32::try_from(readings).ok().filter(|count| *count > 0)?;
    let name = [subject, " count"].concat();
    Some((count, Value::found(name, f64::from(count), Unit::ONE, "counted")))
}

/// The largest size among numbers; 0 if there are none.
pub(super) fn largest(numbers: impl Iterator<Item = f64>) -> f64 {
    numbers.fold(0.0, |most, number| most.max(number.abs()))
}

/// The largest size among readings.
pub(super) fn largest_of(readings: &[Value]) -> f64 {
    largest(readings.iter().map(Value::number))
}

/// Whether deviations are no more than noise, for readings up to `size` computed from numbers
/// up to `operands`.
pub(super) fn is_noise(deviations: &[Value], size: f64, operands: f64) -> bool {
    is_all_noise(largest_of(deviations), size, operands)
}

/// [`is_noise`] of the largest deviation.
pub(super) fn is_all_noise(deviation: f64, size: f64, operands: f64) -> bool {
    deviation <= (ALIKE * size).max(ROUNDING * operands)
}

/// `value` under a name; where it is no more than rounding can leave of numbers of `size` that
/// cancel, zero.
pub(super) fn named_beyond_rounding(value: Value, size: f64, name: String) -> Value {
    if value.number() != 0.0 && value.number().abs() <= ROUNDING * size {
        zero(name, value.unit(), "nothing left but rounding")
    } else {
        value.named(name)
    }
}

/// A zero that is known without arithmetic; `how` says why.
pub(super) fn zero(name: String, unit: Unit, how: &'static str) -> Value {
    Value::found(name, 0.0, unit, how)
}
