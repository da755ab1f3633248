//! Decimal digits: how a number is shortened for print, and how a printed number is read back.
//!
//! A crew rounds halves away from zero and expects 2.675 to become 2.68, whatever the nearest
//! binary number is; so rounding here works on decimal digits.

use std::fmt::{self, Write as _};

/// Digits that an `f64` result can be trusted to after a few operations; noise beyond them is
/// what binary arithmetic adds to decimal input.
const TRUSTED_DIGITS: usize = 12;
/// A value that ends within this many significant digits is printed in full.
const FULL_DIGITS: usize = 8;
/// Significant digits of a value that does not end.
const SHORT_DIGITS: usize = 6;

/// `value` without binary noise: the decimal number of twelve significant digits nearest to it.
///
/// ```
/// assert_eq!(alleytrue::quantity::clean(0.1 + 0.2), 0.3);
/// ```
#[must_use]
pub fn clean(value: f64) -> f64 {
    Digits::of(value, TRUSTED_DIGITS).map_or(value, |digits| plain_number(&digits.plain()))
}

/// `value` rounded to `places` decimals, halves away from zero, as text with exactly that many.
///
/// ```
/// use alleytrue::quantity::round_half_away;
/// assert_eq!(round_half_away(2.675, 2), "2.68");
/// assert_eq!(round_half_away(-0.125, 2), "-0.13");
/// assert_eq!(round_half_away(6.974_951_5, 4), "6.9750"); // NIST SP 811 B.7
/// ```
#[must_use]
pub fn round_half_away(value: f64, places: usize) -> String {
    match Digits::of(value, TRUSTED_DIGITS + 3) {
        Some(digits) => digits.rounded(places),
        None if value == 0.0 => format!("{:.places$}", 0.0),
        None => format!("{value}"),
    }
}

/// `value` as the program prints results: in full where it ends within eight significant digits,
/// else to six of them.
///
/// ```
/// use alleytrue::quantity::shown;
/// assert_eq!(shown(314.6875), "314.6875");
/// assert_eq!(shown(1.0 / 3.0), "0.333333");
/// assert_eq!(shown(139_025.373), "139025"); // nine digits, so six are kept
/// ```
#[must_use]
pub fn shown(value: f64) -> String {
    shown_with(value, 0)
}

/// [`shown`] with `extra` more significant digits where the value does not end; operands of a
/// printed calculation take as many as the printed result needs.
///
/// ```
/// use alleytrue::quantity::shown_with;
/// assert_eq!(shown_with(2.0 / 3.0, 2), "0.66666667");
/// assert_eq!(shown_with(0.25, 2), "0.25");
/// ```
#[must_use]
pub fn shown_with(value: f64, extra: usize) -> String {
    if let Some(whole) = short_whole(value) {
        return whole.to_string();
    }
    let Some(digits) = Digits::of(value, TRUSTED_DIGITS) else {
        return if value == 0.0 { "0".into() } else { format!("{value}") };
    };
    if digits.len() <= FULL_DIGITS {
        return digits.plain();
    }
    let significant = SHORT_DIGITS + extra;
    // Up to twelve digits the noise-free reading decides ties; beyond it the full one. Only a
    // power of ten could get another exponent by that, and none has so many digits.
    let cut = if significant <= TRUSTED_DIGITS { TRUSTED_DIGITS + 3 } else { 17 };
    let Some(all) = Digits::of(value, cut) else {
        return digits.plain();
    };
    let places = i64::try_from(significant).unwrap_or(0) - i64::from(all.exponent) - 1;
    all.rounded(usize::try_from(places).unwrap_or(0))
}

/// `value` for a sentence: three significant digits, without zeros at the end.
///
/// ```
/// use alleytrue::quantity::brief;
/// assert_eq!(brief(1.588_51), "1.59");
/// assert_eq!(brief(58.979_2), "59");
/// assert_eq!(brief(1234.5), "1235");
/// ```
#[must_use]
pub fn brief(value: f64) -> String {
    const SIGNIFICANT: i32 = 3;
    if let Some(whole) = short_whole(value) {
        return whole.to_string();
    }
    let Some(digits) = Digits::of(value, TRUSTED_DIGITS + 3) else { return plain(value) };
    let places = usize::try_from(SIGNIFICANT - 1 - digits.exponent).unwrap_or(0);
    let text = digits.rounded(places);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}

/// The shortest plain decimal text (no exponent) that reads back as exactly `value`.
///
/// ```
/// assert_eq!(alleytrue::quantity::plain(1e-7), "0.0000001");
/// ```
#[must_use]
pub fn plain(value: f64) -> String {
    match short_whole(value) {
        Some(whole) => whole.to_string(),
        None => shortest(value),
    }
}

/// The shortest digits that read back as `value`, without an exponent.
fn shortest(value: f64) -> String {
    // Halfway between two of the shortest, `zmij` takes the even digit and the standard library the
    // larger. A number of 0.00001 and more, as all are that `zmij` gives no exponent, can lie there
    // only if it ends within 22 binary places: with more it has over eighteen digits, which leaves
    // no tie for seventeen.
    const FEW_PLACES: f64 = 16_777_216.0; // 2^24
    let mut buffer = zmij::Buffer::new();
    if (value * FEW_PLACES).fract() != 0.0 {
        let text = buffer.format(value);
        if !text.contains('e') {
            return text.into();
        }
    }
    format!("{value}")
}

/// A short whole number, such as a count, which is printed as it is.
#[allow(clippy::cast_possible_truncation)] // far below 2^63
fn short_whole(value: f64) -> Option<i64> {
    (value.fract() == 0.0 && value.abs() < 1e8).then_some(value as i64)
}

fn plain_number(text: &str) -> f64 {
    text.parse().unwrap_or(f64::NAN)
}

/// A finite number other than zero as decimal digits.
struct Digits {
    negative: bool,
    /// Significant digits without trailing zeros, `len` of them.
    digits: [u8; MOST_DIGITS],
    len: usize,
    /// Power of ten of the first digit.
    exponent: i32,
}

/// More digits than any number is asked for.
const MOST_DIGITS: usize = 20;

/// Room for the digits of a number on their way through: a page asks for thousands.
struct Scratch {
    bytes: [u8; MOST_DIGITS + 8],
    len: usize,
}

impl fmt::Write for Scratch {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        let end = self.len + text.len();
        self.bytes.get_mut(self.len..end).ok_or(fmt::Error)?.copy_from_slice(text.as_bytes());
        self.len = end;
        Ok(())
    }
}

impl Digits {
    fn of(value: f64, significant: usize) -> Option<Digits> {
        if !value.is_finite() || value == 0.0 {
            return None;
        }
        if let Some((whole, exponent)) = whole_digits(value.abs(), significant) {
            return Some(Digits::of_whole(value < 0.0, whole, significant, exponent));
        }
        let mut scratch = Scratch { bytes: [0; MOST_DIGITS + 8], len: 0 };
        let places = significant.clamp(1, MOST_DIGITS) - 1;
        write!(scratch, "{:.*e}", places, value.abs()).ok()?;
        let text = std::str::from_utf8(scratch.bytes.get(..scratch.len)?).ok()?;
        let (mantissa, exponent) = text.split_once('e')?;
        let (mut digits, mut len, mut written) = ([0; MOST_DIGITS], 0, 0);
        for (digit, place) in mantissa.bytes().filter(u8::is_ascii_digit).zip(digits.iter_mut()) {
            *place = digit - b'0';
            written += 1;
            if *place != 0 || written == 1 {
                len = written;
            }
        }
        let exponent = exponent.parse().ok()?;
        Some(Digits { negative: value < 0.0, digits, len, exponent })
    }

    /// The digits of a whole number of so many digits.
    fn of_whole(negative: bool, mut whole: u64, significant: usize, exponent: i32) -> Digits {
        let (mut digits, mut len) = ([0; MOST_DIGITS], 1);
        for (place, digit) in digits.iter_mut().take(significant).enumerate().rev() {
            // Below ten, so nothing is cut off.
            *digit = (whole % 10) as u8;
            whole /= 10;
            if *digit != 0 {
                len = len.max(place + 1);
            }
        }
        Digits { negative, digits, len, exponent }
    }

    fn len(&self) -> usize {
        self.len
    }

    /// The digits in positional notation.
    fn plain(&self) -> String {
        let last_place = self.exponent - i32::try_from(self.len()).unwrap_or(0) + 1;
        self.rounded(usize::try_from(-last_place).unwrap_or(0))
    }

    fn digit_at(&self, power: i32) -> u8 {
        usize::try_from(self.exponent - power)
            .ok()
            .and_then(|index| self.digits.get(index).copied())
            .unwrap_or(0)
    }

    /// Rounded to `places` decimals, halves away from zero.
    fn rounded(&self, places: usize) -> String {
        let last = -i32::try_from(places).unwrap_or(i32::MAX);
        let mut kept: Vec<u8> =
            (last..=self.exponent.max(0)).rev().map(|power| self.digit_at(power)).collect();
        if self.digit_at(last - 1) >= 5 {
            carry_one(&mut kept);
        }
        let mut text = String::with_capacity(kept.len() + 2);
        if self.negative && kept.iter().any(|digit| *digit != 0) {
            text.push('-');
        }
        let whole = kept.len() - places;
        for (place, digit) in kept.iter().enumerate() {
            if place == whole {
                text.push('.');
            }
            text.push(char::from(digit + b'0'));
        }
        text
    }
}

/// The first digits of a positive number as one whole number of `significant` digits, halves to
/// even, and the power of ten of the first; `None` for numbers far from one, which are left to the
/// standard library. It gives the same digits for all numbers, in ten times the time: this has no
/// bignums, since a double of this size times a power of ten fits into 128 bits exactly.
fn whole_digits(value: f64, significant: usize) -> Option<(u64, i32)> {
    // 2^53 times 10^22 is below 2^127.
    const MOST_SCALE: u32 = 22;
    let significant = u32::try_from(significant).ok().filter(|count| (1..=18).contains(count))?;
    let (mantissa, power) = binary_parts(value)?;
    let down = u32::try_from(-power).ok().filter(|down| (1..=126).contains(down))?;
    let limit = 10_u64.pow(significant);
    // The number lies between 2^(power + 52) and twice that, so this is the power of ten of its
    // first digit, or one less.
    let guess = (f64::from(power + 52) * std::f64::consts::LOG10_2).floor() as i32;
    for exponent in [guess, guess + 1] {
        let scale = i32::try_from(significant).ok()? - 1 - exponent;
        let scale = u32::try_from(scale).ok().filter(|scale| *scale <= MOST_SCALE)?;
        let scaled = u128::from(mantissa) * 10_u128.pow(scale);
        let whole = u64::try_from(scaled >> down).ok()?;
        if whole >= limit {
            continue;
        }
        let (rest, half) = (scaled & ((1 << down) - 1), 1_u128 << (down - 1));
        let up = rest > half || (rest == half && whole % 2 == 1);
        let whole = whole + u64::from(up);
        return Some(if whole == limit { (limit / 10, exponent + 1) } else { (whole, exponent) });
    }
    None
}

/// Mantissa and power of two of a positive number; `None` where it is too small to be normal.
fn binary_parts(value: f64) -> Option<(u64, i32)> {
    let bits = value.to_bits();
    let exponent = i32::try_from(bits >> 52).ok().filter(|exponent| *exponent > 0)?;
    Some((bits & ((1 << 52) - 1) | 1 << 52, exponent - 1075))
}

/// Adds one to digits.
fn carry_one(digits: &mut Vec<u8>) {
    for digit in digits.iter_mut().rev() {
        if *digit == 9 {
            *digit = 0;
        } else {
            *digit += 1;
            return;
        }
    }
    digits.insert(0, 1);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn gum_7_2_6_keeps_the_digits_the_uncertainty_allows() {
        // JCGM 100:2008, 7.2.6: 10.05762 ohm with 27 milliohm is reported as 10.058.
        assert_eq!(round_half_away(10.057_62, 3), "10.058");
    }

    #[test]
    fn nist_sp_811_b_7_rounds_a_half_up() {
        // NIST SP 811, B.7.1: 6.9749515 to three digits 6.97, to five 6.9750.
        assert_eq!(round_half_away(6.974_951_5, 2), "6.97");
        assert_eq!(round_half_away(6.974_951_5, 4), "6.9750");
    }

    #[test]
    fn carries_run_through_nines() {
        assert_eq!(round_half_away(9.999, 2), "10.00");
        assert_eq!(round_half_away(0.999_9, 0), "1");
        assert_eq!(round_half_away(-0.004, 2), "0.00");
    }

    #[test]
    fn large_and_small_numbers_stay_in_plain_notation() {
        assert_eq!(shown(6_272_640.0), "6272640");
        assert_eq!(shown(1_234_567.891_234), "1234568");
        assert_eq!(shown(0.000_012_345_678_9), "0.0000123457");
        assert_eq!(shown(0.0), "0");
        assert_eq!(shown(-0.0), "0");
    }

    /// The same by the standard library.
    fn by_formatting(value: f64, significant: usize) -> Option<(u64, i32)> {
        let text = format!("{value:.*e}", significant - 1);
        let (mantissa, exponent) = text.split_once('e')?;
        Some((mantissa.replace('.', "").parse().ok()?, exponent.parse().ok()?))
    }

    #[test]
    fn digits_of_ties_and_of_powers_of_ten_are_those_of_the_standard_library() {
        let ties = [123_456_789_012.5, 123_456_789_013.5, 0.5, 2.5, 99_999_999_999.95, 8.25];
        let tens = (-12..12).map(|power| 10_f64.powi(power));
        let near = |value: f64| [value.next_down(), value, value.next_up()];
        for value in ties.into_iter().chain(tens).flat_map(near) {
            for significant in [1, 2, 12, 15, 17] {
                if let Some(found) = whole_digits(value, significant) {
                    assert_eq!(Some(found), by_formatting(value, significant), "{value:e}");
                }
            }
        }
        assert!(whole_digits(238.1, 12).is_some() && whole_digits(0.0031, 15).is_some());
    }

    proptest! {
        #[test]
        fn digits_are_those_of_the_standard_library(
            (mantissa, power) in (1.0_f64..10.0, -12_i32..13), significant in 1_usize..18,
        ) {
            let value = mantissa * 10_f64.powi(power);
            if let Some(found) = whole_digits(value, significant) {
                prop_assert_eq!(Some(found), by_formatting(value, significant));
            }
        }

        #[test]
        fn printed_digits_are_within_half_a_unit(value in -1e7_f64..1e7, places in 0_usize..6) {
            let text = round_half_away(value, places);
            let back: f64 = text.parse().expect("a number");
            let half = 0.5 * 10_f64.powi(-i32::try_from(places).expect("small"));
            prop_assert!((back - value).abs() <= half * (1.0 + 1e-6), "{value} as {text}");
        }

        #[test]
        fn shortest_digits_are_those_of_the_standard_library(
            (mantissa, power) in (1.0_f64..10.0, -20_i32..20), any in proptest::num::f64::ANY,
            (whole, places) in (0_u64..1 << 53, 0_i32..60),
        ) {
            let halfway = whole as f64 / 2_f64.powi(places);
            prop_assert_eq!(shortest(halfway), format!("{halfway}"));
            let few_digits = (whole >> 24) as f64 / 2_f64.powi(places);
            prop_assert_eq!(shortest(few_digits), format!("{few_digits}"));
            let value = mantissa * 10_f64.powi(power);
            prop_assert_eq!(shortest(value), format!("{value}"));
            prop_assert_eq!(shortest(-value), format!("{}", -value));
            prop_assert_eq!(shortest(value.round()), format!("{}", value.round()));
            prop_assert_eq!(shortest(any), format!("{any}"));
        }

        #[test]
        fn plain_reads_back_exactly(value in proptest::num::f64::NORMAL) {
            prop_assert_eq!(plain(value).parse::<f64>().expect("a number"), value);
        }

        #[test]
        fn more_digits_never_move_the_value_further_off(value in 0.001_f64..1e6, extra in 0_usize..8) {
            let fewer: f64 = shown_with(value, extra).parse().expect("a number");
            let more: f64 = shown_with(value, extra + 1).parse().expect("a number");
            prop_assert!((more - value).abs() <= (fewer - value).abs() + value * 1e-12);
        }
    }
}
