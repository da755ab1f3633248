//! Reads what people type: `19 ft 9 1/2 in`, `19' 9-1/2"`, `6.03 m`, `2.8 mph`, `139000 /ac`.
//!
//! Curly quotes, primes, ready-made fractions, no-break spaces and typographic minus signs are
//! read as what they stand for. A decimal comma is refused, since `12,5` and `1,250` can't be
//! told apart safely.

use thiserror::Error;

use super::measure::{Decimal, Measure, Part, PerArea, PerRow, SeedRate};
use super::unit::{AreaUnit, MeasureUnit, RowUnit, dimension_of, spelled};

/// Why a text is not a measure.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ParseError {
    /// Nothing but space.
    #[error("there is no number")]
    Empty,
    /// A comma inside a number.
    #[error("the number `{found}` has a comma")]
    Comma {
        /// The number as typed.
        found: String,
        /// What to type instead.
        instead: String,
    },
    /// No number where one must stand.
    #[error("`{found}` does not start with a number")]
    NotANumber {
        /// What stands there.
        found: String,
    },
    /// More digits than can be kept.
    #[error("the number `{found}` has more than 15 digits")]
    TooManyDigits {
        /// The number as typed.
        found: String,
    },
    /// An underscore that does not set thousands apart.
    #[error("`{found}` has a `_` in it")]
    Underscore {
        /// What stands there.
        found: String,
    },
    /// A number without its unit.
    #[error("`{found}` has no unit")]
    NoUnit {
        /// The number as typed.
        found: String,
    },
    /// A unit nobody listed.
    #[error("`{found}` is not a unit that is known here")]
    UnknownUnit {
        /// The unit as typed.
        found: String,
    },
    /// A unit of another dimension.
    #[error("`{found}` is the unit of {is}, and {wanted} is wanted")]
    OtherDimension {
        /// The unit as typed.
        found: String,
        /// The dimension it belongs to.
        is: &'static str,
        /// The dimension that is wanted.
        wanted: &'static str,
    },
    /// A fraction over zero, or not below one after a whole number.
    #[error("the fraction `{found}` makes no sense here")]
    Fraction {
        /// The fraction as typed.
        found: String,
    },
    /// Feet and inches that don't fit together.
    #[error("`{found}` does not fit after `{first}`")]
    Parts {
        /// The first part.
        first: String,
        /// The second part.
        found: String,
    },
    /// More text than a measure has.
    #[error("`{found}` is left over")]
    Trailing {
        /// The text that is left.
        found: String,
    },
}

impl ParseError {
    /// What to do about it, given well-formed examples.
    #[must_use]
    pub fn advice(&self, examples: &str) -> String {
        match self {
            ParseError::Comma { instead, .. } => format!("type {instead}"),
            ParseError::Parts { .. } => {
                "write whole feet, then inches below 12, such as `17 ft 6 in`".into()
            }
            ParseError::Fraction { .. } => "write fractions such as `1/2`, `9 1/2`, `3/8`".into(),
            ParseError::TooManyDigits { .. } => "round it to the digits the tape shows".into(),
            _ => format!("write a number and its unit, such as {examples}"),
        }
    }
}

impl<U: MeasureUnit> Measure<U> {
    /// Reads a measure; a number without a unit takes `bare`, if there is one.
    ///
    /// # Errors
    ///
    /// A [`ParseError`] that says what stands in the way.
    ///
    /// ```
    /// use alleytrue::quantity::{Length, LengthUnit, ParseError};
    /// let tape = Length::parse("19' 9-1/2\"", None)?;
    /// assert_eq!(tape.value_in(LengthUnit::Inch), 237.5);
    /// assert_eq!(Length::parse("12", Some(LengthUnit::Inch))?.to_string(), "12 in");
    /// assert!(matches!(Length::parse("12", None), Err(ParseError::NoUnit { .. })));
    /// # Ok::<(), ParseError>(())
    /// ```
    pub fn parse(text: &str, bare: Option<U>) -> Result<Self, ParseError> {
        let plain = plain_text(text);
        if let Some(found) = text.split_whitespace().find(|word| !groups_by_three(word)) {
            return Err(ParseError::Underscore { found: found.into() });
        }
        let (negative, rest) = sign(plain.trim());
        let (first, rest) = part(rest, bare)?;
        let (second, rest) = if U::TWO_PARTS && !rest.is_empty() {
            let before = &plain.trim()[..plain.trim().len() - rest.len()];
            if is_minus(before) {
                let first = before.trim_end_matches(['-', ' ']).into();
                return Err(ParseError::Parts { first, found: format!("-{rest}") });
            }
            let (second, rest) = part(rest, None)?;
            check_parts(&first, &second)?;
            (Some(second), rest)
        } else {
            (None, rest)
        };
        if rest.is_empty() {
            Ok(Measure::from_parts(negative, first, second, typed(text, &plain, bare.is_some())))
        } else {
            Err(ParseError::Trailing { found: rest.into() })
        }
    }
}

impl SeedRate {
    /// Reads a rate per area or along the row.
    ///
    /// # Errors
    ///
    /// A [`ParseError`] that says what stands in the way.
    ///
    /// ```
    /// use alleytrue::quantity::SeedRate;
    /// assert!(matches!(SeedRate::parse("139000 /ac")?, SeedRate::Area(_)));
    /// assert!(matches!(SeedRate::parse("9 seeds/ft")?, SeedRate::Row(_)));
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        match PerArea::parse(text, None) {
            Ok(rate) => Ok(SeedRate::Area(rate)),
            Err(error) => PerRow::parse(text, None).map(SeedRate::Row).map_err(|_| error),
        }
    }

    /// Well-formed examples, for messages.
    #[must_use]
    pub fn examples() -> String {
        format!("{}, {}", AreaUnit::EXAMPLES, RowUnit::EXAMPLES)
    }
}

/// Reads a plain number without a unit, such as `402.5`, `1_000` or `4e2`.
///
/// # Errors
///
/// A [`ParseError`] where it is not one.
///
/// ```
/// use alleytrue::quantity::parse_number;
/// assert_eq!(parse_number("402.50")?.to_string(), "402.50");
/// assert!(parse_number("nan").is_err());
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
pub fn parse_number(text: &str) -> Result<Decimal, ParseError> {
    if let Some(number) = only_digits(text) {
        return Ok(number);
    }
    let plain = plain_text(text);
    let (negative, rest) = sign(plain.trim());
    let (digits, rest) = take_number(rest);
    let (exponent, rest) = take_exponent(rest);
    let number = decimal(digits, exponent, negative)?;
    if rest.is_empty() { Ok(number) } else { Err(ParseError::Trailing { found: rest.into() }) }
}

/// A number that is nothing but digits with or without a point, as nearly every reading is.
fn only_digits(text: &str) -> Option<Decimal> {
    if text.len() > Decimal::MOST_DIGITS || !text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let (mut mantissa, mut places, mut after_point) = (0_i64, 0_u8, false);
    for byte in text.bytes() {
        match byte {
            b'0'..=b'9' => {
                mantissa = mantissa * 10 + i64::from(byte - b'0');
                places += u8::from(after_point);
            }
            b'.' if !after_point => after_point = true,
            _ => return None,
        }
    }
    Some(Decimal::new(mantissa, places))
}

/// The text worth keeping for the echo: a bare number is echoed from its digits and its unit.
fn typed(text: &str, plain: &str, may_be_bare: bool) -> Option<Box<str>> {
    let bare = may_be_bare && plain.chars().all(|c| c.is_ascii_digit() || "+-./ ".contains(c));
    (!bare).then(|| text.trim().into())
}

/// Whether every underscore in a word sets three digits apart from those before, as in `139_000`.
fn groups_by_three(word: &str) -> bool {
    let mut groups = word.split('_');
    let before = groups.next().unwrap_or_default();
    let mut digits = before.len() - before.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    groups.all(|group| {
        let next = group.len() - group.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let apart = (1..=3).contains(&digits) && next == 3;
        digits = next;
        apart
    })
}

/// Typography replaced by what it stands for, in lower case.
fn plain_text(text: &str) -> std::borrow::Cow<'_, str> {
    let is_plain = |byte: u8| {
        (byte == b' ' || byte.is_ascii_graphic())
            && !byte.is_ascii_uppercase()
            && !b"_`".contains(&byte)
    };
    if text.bytes().all(is_plain) && !text.contains("''") {
        return text.into();
    }
    let mut plain = String::with_capacity(text.len());
    let mut before_digit = false;
    for c in text.chars() {
        match c {
            '\u{2018}' | '\u{2019}' | '\u{201b}' | '\u{2032}' | '\u{00b4}' | '`' | '\u{02b9}' => {
                plain.push('\'')
            }
            '\u{201c}' | '\u{201d}' | '\u{201f}' | '\u{2033}' | '\u{02ba}' => plain.push('"'),
            '\u{2010}'..='\u{2015}' | '\u{2212}' => plain.push('-'),
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{00b2}' => plain.push('2'),
            '_' => {}
            c if c.is_whitespace() => plain.push(' '),
            c => match ready_fraction(c) {
                Some(fraction) => {
                    if before_digit {
                        plain.push(' ');
                    }
                    plain.push_str(fraction);
                }
                None => plain.extend(c.to_lowercase()),
            },
        }
        before_digit = c.is_ascii_digit();
    }
    plain.replace("''", "\"").into()
}

fn ready_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '\u{00bd}' => "1/2",
        '\u{00bc}' => "1/4",
        '\u{00be}' => "3/4",
        '\u{2153}' => "1/3",
        '\u{2154}' => "2/3",
        '\u{215b}' => "1/8",
        '\u{215c}' => "3/8",
        '\u{215d}' => "5/8",
        '\u{215e}' => "7/8",
        _ => return None,
    })
}

fn sign(text: &str) -> (bool, &str) {
    match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text).trim_start()),
    }
}

/// One number with fraction and unit, and what follows it.
fn part<U: MeasureUnit>(text: &str, bare: Option<U>) -> Result<(Part<U>, &str), ParseError> {
    let (whole, fraction, rest) = mixed_number(text)?;
    let number_text = text[..text.len() - rest.len()].trim();
    let (unit_text, rest) = take_unit::<U>(rest);
    let unit = match (unit_text, bare) {
        ("", Some(unit)) => unit,
        ("", None) => {
            return Err(ParseError::NoUnit { found: number_text.into() });
        }
        (spelling, _) => spelled::<U>(spelling).ok_or_else(|| unknown_unit::<U>(spelling))?,
    };
    Ok((Part { whole, fraction, unit }, rest))
}

fn unknown_unit<U: MeasureUnit>(spelling: &str) -> ParseError {
    match dimension_of(spelling) {
        Some(is) => ParseError::OtherDimension { found: spelling.into(), is, wanted: U::DIMENSION },
        None => ParseError::UnknownUnit { found: spelling.into() },
    }
}

type Mixed<'t> = (Option<Decimal>, Option<(Decimal, Decimal)>, &'t str);

/// `9`, `9.5`, `1/2`, `9 1/2` or `9-1/2`.
fn mixed_number(text: &str) -> Result<Mixed<'_>, ParseError> {
    if text.trim().is_empty() {
        return Err(ParseError::Empty);
    }
    let (digits, rest) = take_number(text);
    if digits.is_empty() {
        return Err(ParseError::NotANumber { found: text.trim().into() });
    }
    let first = decimal(digits, 0, false)?;
    if !rest.contains('/') {
        return Ok((Some(first), None, rest));
    }
    if let Some(after) = slash(rest) {
        let (bottom, rest) = take_number(after);
        return Ok((None, Some(fraction(digits, bottom, false)?), rest));
    }
    let gap = rest.trim_start_matches([' ', '-']);
    let (top, after_top) = take_number(gap);
    match slash(after_top) {
        Some(_) if is_minus(&rest[..rest.len() - gap.len()]) => {
            let found = format!("-{}", gap.trim_end());
            Err(ParseError::Parts { first: digits.into(), found })
        }
        Some(after) if !top.is_empty() && gap.len() < rest.len() => {
            let (bottom, rest) = take_number(after);
            Ok((Some(first), Some(fraction(top, bottom, true)?), rest))
        }
        _ => Ok((Some(first), None, rest)),
    }
}

/// Whether what stands between two parts of a measure ends in a minus sign of the second: a dash
/// that joins them has room on both sides or on neither.
fn is_minus(between: &str) -> bool {
    between.strip_suffix('-').is_some_and(|rest| rest.ends_with(char::is_whitespace))
}

/// What follows a slash that divides two numbers (not one that starts a unit such as `/ac`).
fn slash(text: &str) -> Option<&str> {
    let after = text.trim_start().strip_prefix('/')?.trim_start();
    after.starts_with(|c: char| c.is_ascii_digit()).then_some(after)
}

fn fraction(top: &str, bottom: &str, below_one: bool) -> Result<(Decimal, Decimal), ParseError> {
    let bad = || ParseError::Fraction { found: format!("{top}/{bottom}") };
    let (upper, lower) = (decimal(top, 0, false)?, decimal(bottom, 0, false)?);
    let (Some(numerator), Some(denominator)) = (upper.as_whole(), lower.as_whole()) else {
        return Err(bad());
    };
    let sensible = denominator > 0 && (!below_one || numerator < denominator);
    if sensible { Ok((upper, lower)) } else { Err(bad()) }
}

/// Digits, points and commas at the start of `text`.
fn take_number(text: &str) -> (&str, &str) {
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
    // A comma that ends the number separates, as in `5 ft, 3 in`; the unit reader skips it.
    let number = text[..end].trim_end_matches(',');
    text.split_at(number.len())
}

fn take_exponent(text: &str) -> (i32, &str) {
    let Some(after) = text.strip_prefix('e') else {
        return (0, text);
    };
    let unsigned = after.strip_prefix(['+', '-']).unwrap_or(after);
    let digits = unsigned.find(|c: char| !c.is_ascii_digit()).unwrap_or(unsigned.len());
    let end = after.len() - unsigned.len() + digits;
    match after[..end].parse() {
        Ok(exponent) => (exponent, &after[end..]),
        Err(_) => (0, text),
    }
}

/// The digits of nearly every reading: few, all plain, no exponent.
fn short_decimal(whole: &str, fraction: &str, exponent: i32, negative: bool) -> Option<Decimal> {
    if exponent != 0 || whole.len() + fraction.len() > Decimal::MOST_DIGITS {
        return None;
    }
    if whole.is_empty() && fraction.is_empty() {
        return None;
    }
    let mut mantissa = 0_i64;
    for byte in whole.bytes().chain(fraction.bytes()) {
        mantissa = mantissa * 10 + i64::from(char::from(byte).to_digit(10)?);
    }
    let places = u8::try_from(fraction.len()).ok()?;
    Some(Decimal::new(if negative { -mantissa } else { mantissa }, places))
}

fn decimal(digits: &str, exponent: i32, negative: bool) -> Result<Decimal, ParseError> {
    if digits.contains(',') {
        return Err(comma(digits));
    }
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    if let Some(plain) = short_decimal(whole, fraction, exponent, negative) {
        return Ok(plain);
    }
    let joined = format!("{whole}{fraction}");
    let well_formed = !joined.is_empty() && joined.bytes().all(|byte| byte.is_ascii_digit());
    if !well_formed {
        return Err(ParseError::NotANumber { found: digits.into() });
    }
    let too_many = || ParseError::TooManyDigits { found: digits.into() };
    let significant = joined.trim_start_matches('0');
    let places = i32::try_from(fraction.len()).map_err(|_| too_many())?.saturating_sub(exponent);
    if significant.len() > Decimal::MOST_DIGITS || places > 20 {
        return Err(too_many());
    }
    let mantissa: i64 =
        if significant.is_empty() { 0 } else { significant.parse().map_err(|_| too_many())? };
    let scale = u32::try_from(-places.min(0)).unwrap_or(0);
    let mantissa = 10_i64
        .checked_pow(scale)
        .and_then(|factor| mantissa.checked_mul(factor))
        .filter(|scaled| *scaled < 10_i64.pow(15))
        .ok_or_else(too_many)?;
    let places = u8::try_from(places.max(0)).map_err(|_| too_many())?;
    Ok(Decimal::new(if negative { -mantissa } else { mantissa }, places))
}

/// What commas in a number may stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Commas {
    /// One comma, with digits behind it that are no thousands.
    Decimal,
    /// One comma, which is a decimal one or sets thousands apart.
    Either,
    /// They set thousands apart.
    Thousands,
    /// They part several numbers.
    Several,
}

/// What the commas in a text of digits, points and commas may stand for: thousands are set apart
/// by threes, or by threes and then twos, in front of the point.
///
/// A number with a point has no decimal comma, and one number has one decimal comma at most.
pub(crate) fn commas(found: &str) -> Commas {
    let (whole, decimals) = found.split_once('.').unwrap_or((found, ""));
    let groups: Vec<&str> = whole.split(',').collect();
    let size = |at: usize| groups.get(at).map_or(0, |group| group.len());
    let last = groups.len() - 1;
    let by_threes = (1..=last).all(|at| size(at) == 3);
    let by_twos = size(last) == 3 && (1..last).all(|at| size(at) == 2);
    let grouped = last > 0 && (1..=3).contains(&size(0)) && (by_threes || by_twos);
    let one = found.matches(',').count() == 1 && !found.contains('.');
    match (one, grouped && !decimals.contains([',', '.'])) {
        (true, true) => Commas::Either,
        (true, false) => Commas::Decimal,
        (false, true) => Commas::Thousands,
        (false, false) => Commas::Several,
    }
}

/// A comma may be a decimal comma or a thousands separator; say what to type for either.
fn comma(found: &str) -> ParseError {
    let decimal = found.replacen(',', ".", 1);
    let joined = found.replace(',', "");
    let instead = match commas(found) {
        Commas::Thousands => format!("`{joined}` without commas"),
        Commas::Either => format!("`{joined}`, or `{decimal}` if the comma was a decimal comma"),
        Commas::Decimal => format!("a decimal point: `{decimal}`"),
        Commas::Several => "one number, with no comma in it".into(),
    };
    ParseError::Comma { found: found.into(), instead }
}

/// The unit at the start of `text` and what follows it. A unit such as `/m2` holds a digit, so
/// the whole rest is tried first.
fn take_unit<U: MeasureUnit>(text: &str) -> (&str, &str) {
    let text = text.trim();
    if !U::TWO_PARTS || spelled::<U>(text).is_some() {
        return (text, "");
    }
    let end = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
    let unit = text[..end].trim_end_matches([' ', ',', '-', '.']);
    let unit = if text[unit.len()..].starts_with('.') { &text[..=unit.len()] } else { unit };
    (unit, text[end..].trim_start())
}

fn check_parts<U: MeasureUnit>(first: &Part<U>, second: &Part<U>) -> Result<(), ParseError> {
    let one = |part: &Part<U>| Measure::from_parts(false, *part, None, None);
    let larger_is_whole =
        first.fraction.is_none() && first.whole.is_some_and(|whole| whole.as_whole().is_some());
    if larger_is_whole && one(second).base() < first.unit.base() * (1.0 - 1e-12) {
        Ok(())
    } else {
        Err(ParseError::Parts { first: one(first).to_string(), found: one(second).to_string() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{
        Duration, Length, LengthUnit, PerTime, Share, Speed, SpeedUnit, TimeUnit,
    };
    use proptest::prelude::*;

    fn inches(text: &str) -> f64 {
        Length::parse(text, None).expect(text).value_in(LengthUnit::Inch)
    }

    /// A dash joins feet and inches; a minus sign in front of the inches is one too many.
    #[test]
    fn a_second_part_has_no_sign_of_its_own() {
        for text in ["17' - 6\"", "17 ft-6 in", "17'-6\"", "17 ft - 6 in", "17 ft \u{2013} 6 in"] {
            assert_eq!(inches(text), 210.0, "{text}");
        }
        for text in
            ["17 ft -6 in", "17' -6\"", "17 ft \u{2212}6 in", "9 -1/2 in", "17 ft 6 -1/2 in"]
        {
            let error = Length::parse(text, None).expect_err(text);
            assert!(matches!(error, ParseError::Parts { .. }), "{text}: {error:?}");
        }
        let error = Length::parse("17 ft -6 in", None).expect_err("a minus sign");
        assert_eq!(error.to_string(), "`-6 in` does not fit after `17 ft`");
    }

    #[test]
    fn underscores_set_thousands_apart_and_nothing_else() {
        for text in ["4_0", "4_0 in", "_4 in", "4 in_", "1_7 ft 6 in", "1_0000 in", "1234_567 in"] {
            let error = Length::parse(text, Some(LengthUnit::Inch)).expect_err(text);
            assert!(matches!(error, ParseError::Underscore { .. }), "{text}: {error:?}");
        }
        for (text, value) in [("1_000 in", 1000.0), ("12_345.5 in", 12_345.5), ("1_000_000in", 1e6)]
        {
            assert_eq!(inches(text), value, "{text}");
        }
    }

    #[test]
    fn feet_inches_and_fractions_are_read_however_they_are_written() {
        for text in [
            "19 ft 9 1/2 in",
            "19' 9-1/2\"",
            "19'9 1/2\"",
            "19 ft. 9.5 in.",
            "19 feet, 9 1/2 inches",
            "237 1/2 in",
            "237.5in",
            "237-1/2\"",
            "19\u{2032} 9\u{00bd}\u{2033}",
            "19\u{2019} 9 1/2\u{201d}",
            "19'\u{a0}9\u{a0}1/2''",
            "19 FT 9 1/2 IN",
            "19' 9 1\u{2044}2\"",
            "19` 9 1/2``",
            "19 ft.\u{c} 9 1/2 in",
        ] {
            assert_eq!(inches(text), 237.5, "{text}");
        }
        assert_eq!(inches("6.0325 m"), 237.5);
        assert_eq!(inches("1/2 in"), 0.5);
        assert_eq!(inches("-3 1/2 in"), -3.5);
        assert_eq!(inches("\u{2212}3 1/2 in"), -3.5);
        assert_eq!(inches("3 ft"), 36.0);
    }

    #[test]
    fn what_was_typed_is_echoed() {
        for text in ["19' 9-1/2\"", "17 ft 6 in", "6.030 m", "237 1/2 in"] {
            assert_eq!(Length::parse(text, None).expect(text).to_string(), text);
        }
        assert_eq!(
            Length::parse("12.50", Some(LengthUnit::Inch)).expect("bare").to_string(),
            "12.50 in"
        );
        for (text, echo) in [("9\u{bd}", "9 1/2 in"), ("+5", "5 in"), ("\u{2212}5", "-5 in")] {
            let bare = Length::parse(text, Some(LengthUnit::Inch)).expect(text);
            assert_eq!(bare.to_string(), echo);
        }
    }

    #[test]
    fn every_way_to_fail_says_what_is_wrong() {
        let error = |text: &str| Length::parse(text, None).expect_err(text).to_string();
        assert_eq!(error(""), "there is no number");
        assert_eq!(error("12"), "`12` has no unit");
        assert_eq!(error("12 furlong"), "`furlong` is not a unit that is known here");
        assert_eq!(error("12 s"), "`s` is the unit of a time, and a length is wanted");
        assert_eq!(error("12,5 in"), "the number `12,5` has a comma");
        assert_eq!(error("about 12 in"), "`about 12 in` does not start with a number");
        assert_eq!(error("1.2.3 in"), "`1.2.3` does not start with a number");
        assert_eq!(error("3 1/0 in"), "the fraction `1/0` makes no sense here");
        assert_eq!(error("3 3/2 in"), "the fraction `3/2` makes no sense here");
        assert_eq!(error("5 ft 14 in"), "`14 in` does not fit after `5 ft`");
        assert_eq!(error("5.5 ft 3 in"), "`3 in` does not fit after `5.5 ft`");
        assert_eq!(error("5 in 3 ft"), "`3 ft` does not fit after `5 in`");
        assert_eq!(error("5 ft 3"), "`3` has no unit");
        assert_eq!(error("5 ft 3 in 2 mm"), "`2 mm` is left over");
        assert_eq!(
            error("1234567890123456 in"),
            "the number `1234567890123456` has more than 15 digits"
        );
    }

    #[test]
    fn a_comma_gets_the_number_to_type() {
        let advice = |text: &str| parse_number(text).expect_err(text).advice("");
        assert_eq!(advice("12,5"), "type a decimal point: `12.5`");
        assert_eq!(
            advice("139,000"),
            "type `139000`, or `139.000` if the comma was a decimal comma"
        );
        assert_eq!(advice("1,390,000"), "type `1390000` without commas");
        assert_eq!(advice("1,39,000"), "type `139000` without commas");
        assert_eq!(advice("12,5,31"), "type one number, with no comma in it");
        assert_eq!(advice("1.5,2,3"), "type one number, with no comma in it");
        assert_eq!(advice("50,51,52"), "type one number, with no comma in it");
        assert_eq!(advice("1,390.5"), "type `1390.5` without commas");
    }

    #[test]
    fn other_dimensions_are_read_too() {
        assert_eq!(
            Speed::parse("2.8 mph", None).expect("speed").value_in(SpeedUnit::MilePerHour),
            2.8
        );
        assert_eq!(Duration::parse("350 ms", None).expect("time").value_in(TimeUnit::Second), 0.35);
        assert_eq!(Duration::parse("1 min 12 s", None).expect("time").base(), 72.0);
        assert_eq!(Share::parse("2 %", None).expect("share").base(), 0.02);
        assert_eq!(PerTime::parse("45 turns/min", None).expect("rate").base(), 0.75);
        assert_eq!(SeedRate::parse("7.5 /m²").expect("rate").to_string(), "7.5 /m²");
        assert!(SeedRate::parse("7.5 mph").is_err());
    }

    #[test]
    fn exponents_of_toml_numbers_become_plain_digits() {
        assert_eq!(parse_number("4e2").expect("number").to_string(), "400");
        assert_eq!(parse_number("1.5e-3").expect("number").to_string(), "0.0015");
        assert_eq!(parse_number("1_000").expect("number").to_string(), "1000");
        assert!(parse_number("1e400").is_err());
        assert!(parse_number("inf").is_err());
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back(mantissa in 0_i64..1_000_000, places in 0_u8..4, unit in 0_usize..8) {
            let measure = Length::of(Decimal::new(mantissa, places), LengthUnit::ALL[unit]);
            let back = Length::parse(&measure.to_string(), None).expect("own output");
            prop_assert_eq!(back.base(), measure.base());
            prop_assert_eq!(back.to_string(), measure.to_string());
        }

        #[test]
        fn feet_and_inches_read_back(feet in 0_u32..1000, inches in 0_u32..12, top in 1_u32..16) {
            let text = format!("{feet} ft {inches} {top}/16 in");
            let measure = Length::parse(&text, None).expect("well formed");
            let expected = f64::from(feet) * 12.0 + f64::from(inches) + f64::from(top) / 16.0;
            prop_assert!((measure.value_in(LengthUnit::Inch) - expected).abs() < 1e-9);
        }

        #[test]
        fn no_text_makes_the_reader_panic(text in "\\PC{0,40}") {
            let _ = Length::parse(&text, Some(LengthUnit::Inch));
            let _ = SeedRate::parse(&text);
            let _ = parse_number(&text);
        }

        #[test]
        fn texts_close_to_measures_do_not_make_it_panic(text in "[-0-9 ./,'\"ftinm½′”e+_]{0,24}") {
            let _ = Length::parse(&text, None);
            let _ = Length::parse(&text, Some(LengthUnit::Inch));
            let _ = parse_number(&text);
        }
    }

    #[test]
    fn as_many_digits_as_are_kept_may_stand_behind_a_nought() {
        assert_eq!(inches("0.123456789012345 in"), 0.123_456_789_012_345);
        let negative = parse_number("-0.123456789012345").expect("a number");
        assert_eq!(negative.value(), -0.123_456_789_012_345);
        let one_more = Length::parse("0.1234567890123456 in", None);
        assert!(matches!(one_more, Err(ParseError::TooManyDigits { .. })), "{one_more:?}");
    }

    #[test]
    fn advice_is_about_what_is_wrong() {
        let advice = |text: &str| Length::parse(text, None).expect_err(text).advice("`6 in`");
        assert!(advice("17 ft 13 in").contains("inches below 12"));
        assert!(advice("1/0 in").contains("fractions such as"));
        assert!(advice("0.1234567890123456 in").contains("round it"));
        assert!(advice("far").contains("such as `6 in`"));
    }

    /// By the names that Unicode gives them: one quarter, one half, up to seven eighths.
    #[test]
    fn every_ready_made_fraction_is_what_it_shows() {
        let fractions = [
            ("\u{bc}", 0.25),
            ("\u{bd}", 0.5),
            ("\u{be}", 0.75),
            ("\u{215b}", 0.125),
            ("\u{215c}", 0.375),
            ("\u{215d}", 0.625),
            ("\u{215e}", 0.875),
        ];
        for (text, number) in fractions {
            assert_eq!(inches(&format!("9{text} in")), 9.0 + number, "{text}");
        }
    }
}
