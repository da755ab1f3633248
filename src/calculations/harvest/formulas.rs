//! The lengths of a plot, and the factor from the yield by one of them to that by another.

use crate::working::Value;

/// First seed to last and one seed spacing: the ground that the seeds of a row have, when each has
/// a spacing of its own.
///
/// n seeds stand (n - 1) × s from first to last, and have n × s of ground.
///
/// ```
/// use alleytrue::calculations::harvest::with_spacing;
/// use alleytrue::working::Value;
/// // 11 seeds 2 in apart: 10 x 2 from first to last, 11 x 2 with a spacing.
/// let [plot, spacing] = [20.0, 2.0].map(Value::constant);
/// assert_eq!(with_spacing(&plot, &spacing).number(), 22.0);
/// ```
#[must_use]
pub fn with_spacing(first_to_last: &Value, spacing: &Value) -> Value {
    first_to_last + spacing
}

/// Middle of an alley to the middle of the next: plot + alley, the ground that a plot takes up in
/// the field.
///
/// ```
/// use alleytrue::calculations::harvest::middle_to_middle;
/// use alleytrue::working::Value;
/// let [plot, alley] = [210.0, 30.0].map(Value::constant);
/// assert_eq!(middle_to_middle(&plot, &alley).number(), 240.0);
/// ```
#[must_use]
pub fn middle_to_middle(first_to_last: &Value, alley: &Value) -> Value {
    first_to_last + alley
}

/// Cut to cut: plot - 2 × trim.
///
/// Source: Boerma, Marchant and Parker 1976, Agronomy Journal 68(5): rows of 6.1 m less 0.61 m at
/// both ends, which leaves 4.88 m.
///
/// ```
/// use alleytrue::calculations::harvest::cut_to_cut;
/// use alleytrue::working::Value;
/// let [plot, trim] = [6.1, 0.61].map(Value::constant);
/// assert!((cut_to_cut(&plot, &trim).number() - 4.88).abs() < 1e-12);
/// ```
#[must_use]
pub fn cut_to_cut(first_to_last: &Value, trim: &Value) -> Value {
    first_to_last - Value::constant(2.0) * trim
}

/// Outermost plant to outermost plant between two cuts, on average: cut to cut - seed spacing.
///
/// A cut falls anywhere between two plants, so half a spacing of bare ground is left at either end
/// on average: between cuts a length T holds T / s plants, which stand (T / s - 1) × s from first
/// to last.
///
/// ```
/// use alleytrue::calculations::harvest::left_between_cuts;
/// use alleytrue::working::Value;
/// let [cuts, spacing] = [160.0, 2.0].map(Value::constant);
/// assert_eq!(left_between_cuts(&cuts, &spacing).number(), 158.0);
/// ```
#[must_use]
pub fn left_between_cuts(cuts: &Value, spacing: &Value) -> Value {
    cuts - spacing
}

/// What a yield worked out by one length is times, to be that by another: the one / the other.
///
/// The seed weight of a plot is divided by its length, so the longer length makes the smaller yield.
///
/// Source: Austin and Blackwell 1980, J. Agric. Sci. 94:731-734, of the widths of wheat plots: what
/// is 25 % above the inner row by the width planted, 1.18 m, is about 4 % below it from path centre
/// to path centre, 1.53 m.
///
/// ```
/// use alleytrue::calculations::harvest::yield_factor;
/// use alleytrue::working::Value;
/// let [planted, middles] = [1.18, 1.53].map(Value::constant);
/// let factor = yield_factor(&planted, &middles).number();
/// assert!((1.25 * factor - 0.96).abs() < 0.005);
/// ```
#[must_use]
pub fn yield_factor(by_one: &Value, by_other: &Value) -> Value {
    by_one / by_other
}
