//! How many places to look at, and the fill by seeds that were caught.

use crate::quantity::Unit;
use crate::statistics::Confidence;
use crate::statistics::student_t;
use crate::working::Value;

/// Places to look at so that a share p is known to within ± d: n = z² p (1 - p) / d²,
/// to be rounded up.
///
/// p and d are shares of one, z is the two-sided value of the normal law at the confidence. `None` where
/// d is nothing. Source: NIST/SEMATECH e-Handbook 7.2.4.2, by the normal law.
///
/// ```
/// use alleytrue::calculations::meter::places_to_count;
/// use alleytrue::statistics::Confidence;
/// use alleytrue::working::Value;
/// // Half of them give or take 5 %: 1.96² x 0.25 / 0.05² = 384.16, the 385 of many textbooks (from
/// // memory).
/// let [p, d] = [0.5, 0.05].map(Value::constant);
/// let places = places_to_count(&p, &d, Confidence::NINETY_FIVE).ok_or("a width")?;
/// assert_eq!(places.number().ceil(), 385.0);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn places_to_count(share: &Value, within: &Value, confidence: Confidence) -> Option<Value> {
    let z = student_t::normal(confidence.fraction()).filter(|_| within.number() > 0.0)?;
    let z = Value::found(format!("z ({confidence})"), z, Unit::ONE, "normal law, two-sided");
    let rest = Value::constant(1.0) - share;
    Some(z.to_the(2) * share * rest / within.to_the(2))
}

/// Fill: seeds caught / (turns × cells), as a share of one; above one where cells hold two.
///
/// ```
/// use alleytrue::calculations::meter::fill;
/// use alleytrue::working::Value;
/// // 237 seeds in six turns of 40 cells.
/// let [seeds, turns, cells] = [237.0, 6.0, 40.0].map(Value::constant);
/// assert_eq!(fill(&seeds, &turns, &cells).number(), 0.9875);
/// ```
#[must_use]
pub fn fill(seeds: &Value, turns: &Value, cells: &Value) -> Value {
    seeds / (turns * cells)
}
