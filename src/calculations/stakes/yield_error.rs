//! What a wrong length of a plot does to its yield.

use crate::calculations::Common;
use crate::outcome::Outcome;
use crate::working::Value;

use super::inputs::Inputs;
use super::lengths::Lengths;
use super::units::length;

/// What a wrong length does to a yield: true length / entered length - 1, as a share.
///
/// A plot's seed weight is divided by the length entered, so a length entered too long makes the
/// yield too low. Entered 1 % too long: 1 / 1.01 - 1 = -0.99 %.
///
/// ```
/// use alleytrue::calculations::stakes::yield_error;
/// use alleytrue::working::Value;
/// let error = yield_error(&Value::constant(1.01), &Value::constant(1.0));
/// assert!((error.number() - -0.990_099).abs() < 1e-6); // per cent
/// ```
#[must_use]
pub fn yield_error(entered: &Value, true_length: &Value) -> Value {
    (true_length / entered - Value::constant(1.0)).in_percent()
}

/// The yield of plots that came out short by the whole trip tolerance.
pub(super) fn yield_of_tolerance(
    inputs: &Inputs,
    common: &Common,
    lengths: &Lengths,
    outcome: &mut Outcome,
) {
    let Some(tolerance) = &inputs.trip_tolerance else { return };
    let tolerance = length(common, "trip tolerance", tolerance);
    if tolerance.number() >= lengths.plot.number() {
        return;
    }
    let short = (&lengths.plot - tolerance).named("plot short by the trip tolerance");
    let error = yield_error(&lengths.plot, &short);
    outcome.values.push(error.named("yield error of such a plot"));
}
