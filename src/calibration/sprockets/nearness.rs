//! How near a ratio is to the target, ordered exactly.

use std::cmp::Ordering;

use super::ratios::compare_fractions;

/// A ratio of the whole drive (not reduced) placed against the target.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pub(super) numerator: u64,
    pub(super) denominator: u64,
    pub(super) target: f64,
    pub(super) above: bool,
}

impl Near {
    pub(super) fn new(numerator: u64, denominator: u64, target: f64) -> Self {
        let side = compare_scaled(target, u128::from(denominator), u128::from(numerator));
        Self { numerator, denominator, target, above: side == Ordering::Less }
    }

    pub(super) fn fraction(&self) -> (u64, u64) {
        (self.numerator, self.denominator)
    }

    /// Exact order by size of spacing error, `|T / R - 1|`.
    ///
    /// On one side of the target it is the order of the ratios. Across it, `a` below and
    /// `b` above, `(T/a - 1) - (1 - T/b)` has the sign of `T (1/a + 1/b) - 2`.
    pub(super) fn compare_error(&self, other: &Self) -> Ordering {
        match (self.above, other.above) {
            (false, false) => compare_fractions(other.fraction(), self.fraction()),
            (true, true) => compare_fractions(self.fraction(), other.fraction()),
            (false, true) => compare_across(self, other),
            (true, false) => compare_across(other, self).reverse(),
        }
    }
}

pub(super) fn compare_across(below: &Near, above: &Near) -> Ordering {
    let [n, d, m, e] =
        [below.numerator, below.denominator, above.numerator, above.denominator].map(u128::from);
    // All four are under 2^63, so the sum and the doubled product are under 2^127.
    compare_scaled(below.target, d * m + e * n, 2 * n * m)
}

/// Nearest first; of two equally near, the one below the target first. Equal only when
/// the ratios are equal.
impl Ord for Near {
    fn cmp(&self, other: &Self) -> Ordering {
        self.compare_error(other).then(self.above.cmp(&other.above))
    }
}

impl PartialOrd for Near {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Near {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Near {}

/// Exact order of `target * scale` and `whole`, for `target` finite and above zero and
/// `scale` and `whole` above zero.
pub(super) fn compare_scaled(target: f64, scale: u128, whole: u128) -> Ordering {
    let (mantissa, exponent) = mantissa_and_exponent(target);
    let (high, low, shift) = left_justified(wide_product(mantissa, scale));
    let (whole_high, whole_low, whole_shift) = left_justified((0, whole));
    // The top bit stands for 2^(255 - shift), times 2^exponent on the left.
    (exponent - shift).cmp(&-whole_shift).then((high, low).cmp(&(whole_high, whole_low)))
}

/// `(m, e)` with `value = m * 2^e`, for `value` finite and above zero.
pub(super) fn mantissa_and_exponent(value: f64) -> (u64, i32) {
    const FRACTION_BITS: u32 = f64::MANTISSA_DIGITS - 1;
    let bits = value.to_bits();
    let fraction = bits & ((1 << FRACTION_BITS) - 1);
    match ((bits >> FRACTION_BITS) & 0x7ff) as i32 {
        0 => (fraction, -1074),
        biased => (fraction | (1 << FRACTION_BITS), biased - 1075),
    }
}

/// `a * b` as its high and low 128 bits.
pub(super) fn wide_product(a: u64, b: u128) -> (u128, u128) {
    let a = u128::from(a);
    let low = a * (b & u128::from(u64::MAX));
    let high = a * (b >> 64);
    let (sum, carry) = low.overflowing_add(high << 64);
    ((high >> 64) + u128::from(carry), sum)
}

/// A 256-bit number above zero shifted left until its top bit is set, and by how much.
pub(super) fn left_justified((high, low): (u128, u128)) -> (u128, u128, i32) {
    let (high, low, moved) = if high == 0 { (low, 0, 128) } else { (high, low, 0) };
    let shift = high.leading_zeros() % 128;
    let spill = if shift == 0 { 0 } else { low >> (128 - shift) };
    (high << shift | spill, low << shift, moved + shift as i32)
}
