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

#[cfg(test)]
mod tests {
    use super::super::{Confidence, Line, Summary, modified_z};
    use super::*;
    use crate::working::steps;

    #[test]
    fn readings_of_nought_are_alike_and_have_neither_spread_nor_score() {
        let noughts = vec![Value::constant(0.0); 5];
        let summary = Summary::of("x", &noughts, Confidence::NINETY_FIVE).expect("readings");
        let sd = summary.spread.expect("a spread").sd;
        assert_eq!(steps(&[sd])[0].to_string(), "SD x = all readings alike = 0");
        let outliers = modified_z("x", &noughts).expect("readings");
        assert!(outliers.scores.iter().all(|score| score.number() == 0.0));
        assert!(outliers.flagged.is_empty());
        let places: Vec<Value> = [1.0, 2.0, 3.0, 4.0, 5.0].map(Value::constant).to_vec();
        let points = |xs: &[Value], ys: &[Value]| -> Vec<(Value, Value)> {
            xs.iter().cloned().zip(ys.iter().cloned()).collect()
        };
        assert!(Line::fit("x", "y", &points(&noughts, &places)).is_none());
        let level = Line::fit("x", "y", &points(&places, &noughts)).expect("a line");
        assert!(level.correlation.is_none() && level.slope.number() == 0.0);
        assert_eq!(level.scatter.expect("scatter").residual_sd.number(), 0.0);
    }

    // Twelve digits count for readings, and 1e-14 of the numbers they were computed from.
    #[test]
    fn deviations_are_noise_up_to_the_last_of_twelve_digits() {
        for (deviation, size, operands, noise) in [
            (1e-10, 100.0, 0.0, true),
            (-1e-10, 100.0, 0.0, true),
            (1.1e-10, 100.0, 0.0, false),
            (1e-10, 1.0, 10_000.0, true),
            (1.1e-10, 1.0, 10_000.0, false),
        ] {
            let deviations = [0.0, deviation].map(Value::constant);
            assert_eq!(is_noise(&deviations, size, operands), noise, "{deviation}");
        }
    }

    #[test]
    fn what_rounding_can_leave_is_nought_and_a_true_nought_keeps_its_working() {
        let left = |number: f64, size: f64| {
            named_beyond_rounding(Value::constant(number), size, "rest".to_owned())
        };
        for (number, size, kept) in [
            (1e-12, 100.0, 0.0),
            (-1e-12, 100.0, 0.0),
            (1.1e-12, 100.0, 1.1e-12),
            (-1.1e-12, 100.0, -1.1e-12),
        ] {
            assert_eq!(left(number, size).number(), kept, "{number} of {size}");
        }
        let line = |value: Value| steps(&[value])[0].to_string();
        assert_eq!(line(left(1e-12, 100.0)), "rest = nothing left but rounding = 0");
        let [one, other] = [2.5, 2.5].map(|number| Value::constant(number).named("reading"));
        let named = named_beyond_rounding(one - other, 2.5, "rest".to_owned());
        let printed = steps(&[named]).last().map(ToString::to_string);
        assert_eq!(printed.as_deref(), Some("rest = reading - reading = 2.5 - 2.5 = 0"));
    }
}
