//! Decimal digits: how a number is shortened for print, and how a printed number is read back.
//!
//! A crew rounds halves away from zero and expects 2.675 to become 2.68, whatever the nearest
//! binary number is; so rounding here works on decimal digits.

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
    Digits::of(value, TRUSTED_DIGITS).map_or(value, |digits| digits.in_full().number())
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
        Some(digits) => digits.rounded(places).text(),
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
    match shortened(value, extra) {
        Some(rounded) => rounded.text(),
        None if value == 0.0 => "0".into(),
        None => format!("{value}"),
    }
}

/// The number that the text of [`shown_with`] stands for.
///
/// ```
/// assert_eq!(alleytrue::quantity::as_shown_with(2.0 / 3.0, 2), 0.666_666_67);
/// ```
#[must_use]
pub fn as_shown_with(value: f64, extra: usize) -> f64 {
    match shortened(value, extra) {
        Some(rounded) if short_whole(value).is_none() => rounded.number(),
        _ => value + 0.0, // which has no sign at nought
    }
}

/// `value` in full where it ends within eight significant digits, else to six and some more.
fn shortened(value: f64, extra: usize) -> Option<Rounded> {
    let digits = Digits::of(value, TRUSTED_DIGITS)?;
    if digits.count() <= FULL_DIGITS {
        return Some(digits.in_full());
    }
    let significant = SHORT_DIGITS + extra;
    // Up to twelve digits the noise-free reading decides ties; beyond it the full one. Only a
    // power of ten could get another exponent by that, and none has so many digits.
    let cut = if significant <= TRUSTED_DIGITS { TRUSTED_DIGITS + 3 } else { 17 };
    let all = Digits::of(value, cut)?;
    let places = i64::try_from(significant).unwrap_or(0) - i64::from(all.exponent) - 1;
    Some(all.rounded(usize::try_from(places).unwrap_or(0)))
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
    let text = digits.rounded(places).text();
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
        None => format!("{value}"),
    }
}

/// A short whole number, such as a count, which is printed as it is.
#[allow(clippy::cast_possible_truncation)] // far below 2^63
fn short_whole(value: f64) -> Option<i64> {
    (value.fract() == 0.0 && value.abs() < 1e8).then_some(value as i64)
}

/// The first digits of a finite number other than zero.
struct Digits {
    negative: bool,
    /// The digits as one whole number, without zeros at the end.
    whole: u64,
    /// Power of ten of the first digit.
    exponent: i32,
    /// Power of ten of the last digit.
    last: i32,
}

impl Digits {
    /// At most 18 significant digits, halves to even.
    fn of(value: f64, significant: usize) -> Option<Digits> {
        if !value.is_finite() || value == 0.0 {
            return None;
        }
        let (mut whole, exponent) = first_digits(value.abs(), significant)?;
        let mut last = exponent + 1 - i32::try_from(significant).ok()?;
        while whole.is_multiple_of(10) {
            whole /= 10;
            last += 1;
        }
        Some(Digits { negative: value < 0.0, whole, exponent, last })
    }

    /// How many digits there are.
    fn count(&self) -> usize {
        usize::try_from(self.exponent - self.last).unwrap_or(0) + 1
    }

    /// All digits, in positional notation.
    fn in_full(&self) -> Rounded {
        self.rounded(usize::try_from(-self.last).unwrap_or(0))
    }

    /// Rounded to `places` decimals, halves away from zero.
    fn rounded(&self, places: usize) -> Rounded {
        let last = -i32::try_from(places).unwrap_or(i32::MAX);
        let (negative, zeros) = (self.negative, usize::try_from(self.last - last).unwrap_or(0));
        // There are at most 18 digits, so cutting off more leaves nothing.
        let cut = u32::try_from(last - self.last).unwrap_or(0);
        let unit = 10_u64.checked_pow(cut);
        let whole = unit
            .map_or(0, |unit| self.whole / unit + u64::from(self.whole % unit >= unit.div_ceil(2)));
        Rounded { negative, whole, zeros, places }
    }
}

/// A rounded number: its digits, zeros after them, and how many of all stand behind the point.
struct Rounded {
    negative: bool,
    whole: u64,
    zeros: usize,
    places: usize,
}

impl Rounded {
    fn text(&self) -> String {
        let mut text = self.whole.to_string();
        if self.whole > 0 {
            text.push_str(&"0".repeat(self.zeros));
        }
        if text.len() <= self.places {
            text.insert_str(0, &"0".repeat(self.places + 1 - text.len()));
        }
        if self.places > 0 {
            text.insert(text.len() - self.places, '.');
        }
        if self.negative && self.whole > 0 {
            text.insert(0, '-');
        }
        text
    }

    /// The number that the text stands for: one division of numbers that a double holds exactly
    /// gives what reading the text would.
    #[allow(clippy::cast_precision_loss)] // 10^19 is 2^19 times 5^19, and 5^19 is below 2^53
    fn number(&self) -> f64 {
        const EXACT: u64 = 1 << 53;
        let power = |zeros: usize| 10_u64.checked_pow(u32::try_from(zeros).ok()?);
        let whole = power(self.zeros).and_then(|unit| self.whole.checked_mul(unit));
        match (whole, power(self.places)) {
            (Some(whole), Some(unit)) if whole < EXACT => {
                let number = whole as f64 / unit as f64;
                if self.negative && whole > 0 { -number } else { number }
            }
            _ => self.text().parse().unwrap_or(f64::NAN),
        }
    }
}

/// The first digits of a positive number as one whole number of `significant` digits, halves to
/// even, and the power of ten of the first.
fn first_digits(value: f64, significant: usize) -> Option<(u64, i32)> {
    whole_digits(value, significant).or_else(|| by_formatting(value, significant))
}

/// The same for all numbers, in ten times the time: a page takes 59 % more instructions by this
/// alone, and many sheets 4 %.
fn by_formatting(value: f64, significant: usize) -> Option<(u64, i32)> {
    let text = format!("{value:.*e}", significant.checked_sub(1)?);
    let (mantissa, exponent) = text.split_once('e')?;
    Some((mantissa.replace('.', "").parse().ok()?, exponent.parse().ok()?))
}

/// The same for numbers not far from one; `None` for others. A double of this size times a power
/// of ten fits into 128 bits exactly, so this needs no bignums.
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
            // What fifteen digits show as a half is rounded as one: 8617805.186449995 to four
            // places is 8617805.1865. Half a unit of the fifteenth is 5e-15 of a value at most.
            let noise = half * 1e-6 + value.abs() * 5e-15;
            prop_assert!((back - value).abs() <= half + noise, "{value} as {text}");
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

    #[test]
    fn nought_has_its_decimals_and_what_is_no_number_says_so() {
        assert_eq!(round_half_away(0.0, 2), "0.00");
        assert_eq!(round_half_away(-0.0, 1), "0.0");
        for say in [|value| round_half_away(value, 2), shown, brief, plain] {
            assert_eq!(say(f64::INFINITY), "inf");
            assert_eq!(say(f64::NAN), "NaN");
        }
        assert_eq!([plain(-0.0), shown(-0.0), brief(-0.0)], ["0"; 3]);
        assert_eq!(clean(f64::INFINITY), f64::INFINITY);
    }

    // Rounding twice would make 12345678.49 first 12345678.5 and then 12345679; and 2.675 is, in
    // binary, a little less than that.
    #[test]
    fn rounding_is_done_once_and_in_decimals() {
        assert_eq!(round_half_away(12_345_678.49, 0), "12345678");
        assert_eq!(round_half_away(2.675, 2), "2.68");
        assert_eq!(round_half_away(-2.675, 2), "-2.68");
        assert_eq!(brief(2.675), "2.68");
        assert_eq!(brief(1.234_999_999_96), "1.23");
        assert_eq!(shown(1.000_004_999_9), "1.00000");
    }

    #[test]
    fn eight_digits_are_printed_in_full_and_nine_are_cut_to_six() {
        assert_eq!(shown(314.687_55), "314.68755");
        assert_eq!(shown(-314.687_55), "-314.68755");
        assert_eq!(shown(314.687_551), "314.688");
        assert_eq!(shown(139_025.373), "139025");
        assert_eq!(shown_with(314.687_551, 1), "314.6876");
        assert_eq!(shown_with(314.687_551, 2), "314.68755");
    }

    // 2/3 as a double is 0.666 666 666 666 666 629 66 (its 53 bits written out).
    #[test]
    fn operands_have_as_many_digits_as_are_asked_for() {
        assert_eq!(shown_with(2.0 / 3.0, 2), "0.66666667");
        assert_eq!(shown_with(2.0 / 3.0, 6), "0.666666666667");
        assert_eq!(shown_with(2.0 / 3.0, 10), "0.6666666666666666");
        // Both are halves that lie a little lower in binary; they go up as on paper.
        assert_eq!(shown_with(1.452_245_75, 2), "1.4522458");
        assert_eq!(shown_with(1.209_551_314_825, 6), "1.20955131483");
    }

    #[test]
    fn a_sentence_has_three_digits_and_keeps_the_noughts_of_a_whole_number() {
        assert_eq!(brief(1.588_51), "1.59");
        assert_eq!(brief(58.979_2), "59");
        assert_eq!(brief(58.04), "58");
        assert_eq!(brief(1234.5), "1235");
        assert_eq!(brief(119.7), "120");
        assert_eq!(brief(0.012_345), "0.0123");
        assert_eq!(brief(-0.5), "-0.5");
    }

    /// Numbers far from one go another way, through the standard library.
    #[test]
    fn tiny_and_huge_numbers_are_printed_like_all_others() {
        assert_eq!(shown(1.234_567_891e-12), "0.00000000000123457");
        assert_eq!(shown(-1.5e-12), "-0.0000000000015");
        assert_eq!(shown(1.020_3e-12), "0.0000000000010203");
        assert_eq!(brief(9.996e-13), "0.000000000001");
        assert_eq!(clean(1.234_567_890_123_456e-12), 1.234_567_890_12e-12);
        assert_eq!(round_half_away(1.25e-12, 13), "0.0000000000013");
        let huge = "100000000000000000000";
        assert_eq!([plain(1e20), shown(1e20), brief(1e20)], [huge; 3]);
    }

    /// Twelve digits of a number just above ten are those of ten, not a thirteenth.
    #[test]
    fn digits_just_beside_a_power_of_ten_are_those_of_the_standard_library() {
        for power in -6..12 {
            for off in [1e-15, 4e-14, 7e-13, 7e-12, 4e-11] {
                for value in [1.0 - off, 1.0 + off].map(|near| near * 10_f64.powi(power)) {
                    for significant in [11, 12, 13, 15] {
                        if let Some(found) = whole_digits(value, significant) {
                            assert_eq!(Some(found), by_formatting(value, significant), "{value:e}");
                        }
                    }
                }
            }
        }
    }
}
