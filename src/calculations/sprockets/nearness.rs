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

#[cfg(test)]
mod tests {
    use super::*;

    /// (2^64 - 1) (2^128 - 1) = (2^64 - 2) 2^128 + 2^128 - 2^64 + 1, and
    /// (2^64 - 1) (2^127 + 2^64 - 1) = 2^63 2^128 + 2^127 - 2^65 + 1, which carries.
    #[test]
    fn a_product_is_exact_past_128_bits() {
        let most = u64::MAX;
        let wide = u128::from(most);
        assert_eq!(wide_product(most, u128::MAX), (wide - 1, u128::MAX - wide + 1));
        let low = (1 << 127) - (1 << 65) + 1;
        assert_eq!(wide_product(most, (1 << 127) + wide), (1 << 63, low));
        assert_eq!(wide_product(3, 5), (0, 15));
        assert_eq!(wide_product(4, 1 << 127), (2, 0)); // 2^129
    }

    #[test]
    fn a_number_is_moved_until_its_top_bit_is_set() {
        let top = 1_u128 << 127;
        for (number, moved) in [
            ((top, 5), (top, 5, 0)),
            (((1 << 126) | 1, top | 1), (top | 2 | 1, 2, 1)),
            ((1, 0), (top, 0, 127)),
            ((1, 6), (top | 3, 0, 127)),
            ((0, top), (top, 0, 128)),
            ((0, 3), (top | (1 << 126), 0, 254)),
            ((0, 1), (top, 0, 255)),
        ] {
            assert_eq!(left_justified(number), moved);
        }
    }

    /// (1 + 2^-52) 2^126 = 2^126 + 2^74, and a whole number beside it is told apart from it.
    #[test]
    fn comparisons_are_exact_to_the_last_of_a_hundred_bits() {
        let hair = 1.0 + f64::EPSILON;
        for (target, scale, whole) in [
            (hair, 1 << 126, (1 << 126) + (1 << 74)),
            (hair * (-60.0_f64).exp2(), 1 << 126, (1 << 66) + (1 << 14)),
            (hair * 60.0_f64.exp2(), 1 << 66, (1 << 126) + (1 << 74)),
            (0.75, 1 << 2, 3),
        ] {
            assert_eq!(compare_scaled(target, scale, whole), Ordering::Equal, "{target}");
            assert_eq!(compare_scaled(target, scale, whole + 1), Ordering::Less, "{target}");
            assert_eq!(compare_scaled(target, scale, whole - 1), Ordering::Greater, "{target}");
        }
        assert_eq!(compare_scaled(60.0_f64.exp2(), 1 << 100, u128::MAX), Ordering::Greater);
    }

    /// 5e-324 is 1 x 2^-1074, the least there is; 1 is 2^52 x 2^-52.
    #[test]
    fn a_float_is_its_mantissa_times_a_power_of_two() {
        assert_eq!(mantissa_and_exponent(5e-324), (1, -1074));
        assert_eq!(mantissa_and_exponent(f64::MIN_POSITIVE), (1 << 52, -1074));
        assert_eq!(mantissa_and_exponent(1.0), (1 << 52, -52));
        assert_eq!(mantissa_and_exponent(3.0), (3 << 51, -51));
        assert_eq!(mantissa_and_exponent(f64::MAX), ((1 << 53) - 1, 971));
    }

    /// At a target of 1 ratios of 2/3 and 2 are both one half off: the one below comes first.
    /// 3/4 is a third off, 4/3 a quarter, as |1 / R - 1| has it.
    #[test]
    fn of_two_equally_near_the_one_below_comes_first() {
        let near = |numerator, denominator| Near::new(numerator, denominator, 1.0);
        assert_eq!(near(2, 3).compare_error(&near(2, 1)), Ordering::Equal);
        assert_eq!(near(2, 3).cmp(&near(2, 1)), Ordering::Less);
        assert_eq!(near(2, 1).cmp(&near(2, 3)), Ordering::Greater);
        assert_eq!(near(4, 3).cmp(&near(3, 4)), Ordering::Less);
        assert_eq!(near(3, 4).cmp(&near(4, 3)), Ordering::Greater);
        assert!(near(2, 3) < near(2, 1) && near(4, 3) < near(3, 4));
        assert!(near(2, 3) == near(4, 6) && near(2, 3) != near(2, 1));
        assert!(!near(1, 1).above && near(2, 1).above && !near(1, 2).above);
    }
}
