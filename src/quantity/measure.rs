//! A measure as it was typed: its numbers, its units, its text.

use std::fmt;

use super::unit::{
    AreaUnit, CellRateUnit, LengthUnit, MassUnit, MeasureUnit, PerMassUnit, PerTimeUnit, RowUnit,
    ShareUnit, SpeedUnit, TimeUnit,
};

/// A length, such as a plot, an alley or one tape reading.
pub type Length = Measure<LengthUnit>;
/// A ground speed.
pub type Speed = Measure<SpeedUnit>;
/// A time, such as a timer setting or one run over a timed course.
pub type Duration = Measure<TimeUnit>;
/// A mass.
pub type Mass = Measure<MassUnit>;
/// Seeds in a mass.
pub type PerMass = Measure<PerMassUnit>;
/// Seeds or plants per ground area.
pub type PerArea = Measure<AreaUnit>;
/// Seeds or plants per length of row.
pub type PerRow = Measure<RowUnit>;
/// A rate in time, such as plate turns per minute.
pub type PerTime = Measure<PerTimeUnit>;
/// A rate of plate cells in time.
pub type CellRate = Measure<CellRateUnit>;
/// A share of a whole.
pub type Share = Measure<ShareUnit>;

/// A decimal number exactly as it was written, digits after the point included.
///
/// ```
/// use alleytrue::quantity::Decimal;
/// let reading = Decimal::new(23810, 2);
/// assert_eq!(reading.to_string(), "238.10");
/// assert_eq!(reading.value(), 238.1);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    mantissa: i64,
    places: u8,
}

impl Decimal {
    /// Most digits a number may have: beyond fifteen a double no longer holds it exactly.
    pub const MOST_DIGITS: usize = 15;

    /// `mantissa / 10^places`.
    #[must_use]
    pub const fn new(mantissa: i64, places: u8) -> Self {
        Decimal { mantissa, places }
    }

    /// A whole number.
    #[must_use]
    pub const fn whole(number: u32) -> Self {
        Decimal { mantissa: number as i64, places: 0 }
    }

    /// The nearest `f64`: one division of two exact numbers.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // at most 15 digits, below 2^53
    pub fn value(self) -> f64 {
        self.mantissa as f64 / 10_f64.powi(i32::from(self.places))
    }

    /// The number with the other sign.
    #[must_use]
    pub const fn negated(self) -> Self {
        Decimal { mantissa: -self.mantissa, ..self }
    }

    /// The whole number this is, if it is one and not negative.
    #[must_use]
    pub fn as_whole(self) -> Option<u32> {
        let unit = 10_i64.checked_pow(u32::from(self.places))?;
        (self.mantissa % unit == 0).then(|| u32::try_from(self.mantissa / unit).ok()).flatten()
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.mantissa < 0 { "-" } else { "" };
        let (digits, places) = (self.mantissa.unsigned_abs(), usize::from(self.places));
        if places == 0 {
            return write!(f, "{sign}{digits}");
        }
        // Where this does not hold the power, it is still more than all the digits.
        let unit = 10_u64.saturating_pow(u32::from(self.places));
        write!(f, "{sign}{}.{:0places$}", digits / unit, digits % unit)
    }
}

/// One number with its unit: `9 1/2 in` is a whole 9, a fraction 1/2 and inches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part<U> {
    /// The number before the fraction, or the only number.
    pub whole: Option<Decimal>,
    /// Numerator and denominator, where a fraction was written.
    pub fraction: Option<(Decimal, Decimal)>,
    /// The unit.
    pub unit: U,
}

impl<U: MeasureUnit> Part<U> {
    fn number(&self) -> f64 {
        let fraction = self.fraction.map_or(0.0, |(top, bottom)| top.value() / bottom.value());
        self.whole.map_or(0.0, Decimal::value) + fraction
    }
}

/// A measure as it was typed.
///
/// ```
/// use alleytrue::quantity::{Length, LengthUnit};
/// let plot = Length::parse("17 ft 6 in", None)?;
/// assert_eq!(plot.value_in(LengthUnit::Inch), 210.0);
/// assert_eq!(plot.to_string(), "17 ft 6 in");
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Measure<U> {
    negative: bool,
    first: Part<U>,
    /// Boxed, since few have one and there are many measures.
    second: Option<Box<Part<U>>>,
    /// The text as typed, where the parts alone don't give it back.
    typed: Option<Box<str>>,
}

impl<U: MeasureUnit> Measure<U> {
    pub(super) fn from_parts(
        negative: bool,
        first: Part<U>,
        second: Option<Part<U>>,
        typed: Option<Box<str>>,
    ) -> Self {
        Measure { negative, first, second: second.map(Box::new), typed }
    }

    /// A measure of one plain number, such as a bare number of a sheet with its unit.
    #[must_use]
    pub fn of(number: Decimal, unit: U) -> Self {
        let magnitude = Decimal { mantissa: number.mantissa.abs(), ..number };
        let first = Part { whole: Some(magnitude), fraction: None, unit };
        Measure { negative: number.mantissa < 0, first, second: None, typed: None }
    }

    /// Whether the measure was written with a minus sign.
    #[must_use]
    pub fn is_negative(&self) -> bool {
        self.negative
    }

    /// The parts, larger unit first.
    pub fn parts(&self) -> impl Iterator<Item = &Part<U>> {
        std::iter::once(&self.first).chain(self.second.as_deref())
    }

    /// The unit of the first part: the one the measure is thought in.
    #[must_use]
    pub fn unit(&self) -> U {
        self.first.unit
    }

    /// The text as typed, or the number with its unit.
    #[must_use]
    pub fn text(&self) -> Box<str> {
        self.typed.clone().unwrap_or_else(|| self.to_string().into())
    }

    /// The number in millimetres, seconds, milligrams or their products, for bounds and
    /// comparisons. Calculations convert step by step so that the steps can be printed.
    #[must_use]
    pub fn base(&self) -> f64 {
        let base = |part: &Part<U>| part.number() * part.unit.base();
        // Written out, since every reading is held against its bounds by this.
        let sum = base(&self.first) + self.second.as_deref().map_or(0.0, base);
        if self.negative { -sum } else { sum }
    }

    /// The number in `unit`.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // the factors of the table are far below 2^53
    pub fn value_in(&self, unit: U) -> f64 {
        let number = |part: &Part<U>| {
            if part.unit == unit {
                part.number()
            } else {
                part.unit.compound().factor_to(unit.compound()).map_or(f64::NAN, |factor| {
                    part.number() * factor.numerator() as f64 / factor.denominator() as f64
                })
            }
        };
        let sum: f64 = self.parts().map(number).sum();
        if self.negative { -sum } else { sum }
    }
}

/// As typed; a bare number is followed by its unit.
impl<U: MeasureUnit> fmt::Display for Measure<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(typed) = &self.typed {
            return f.write_str(typed);
        }
        if self.negative {
            f.write_str("-")?;
        }
        let mut separator = "";
        for part in self.parts() {
            f.write_str(separator)?;
            separator = " ";
            if let Some(whole) = part.whole {
                write!(f, "{whole} ")?;
            }
            if let Some((top, bottom)) = part.fraction {
                write!(f, "{top}/{bottom} ")?;
            }
            f.write_str(part.unit.symbol())?;
        }
        Ok(())
    }
}

/// A target seed rate: per ground area or along the row.
#[derive(Clone, Debug, PartialEq)]
pub enum SeedRate {
    /// Per ground area.
    Area(PerArea),
    /// Along the row.
    Row(PerRow),
}

impl fmt::Display for SeedRate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SeedRate::Area(rate) => rate.fmt(f),
            SeedRate::Row(rate) => rate.fmt(f),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_is_written_as_it_was_typed() {
        for (mantissa, places, text) in [
            (0, 0, "0"),
            (0, 2, "0.00"),
            (-5, 2, "-0.05"),
            (-12_345, 2, "-123.45"),
            (12_345, 2, "123.45"),
            (-7, 0, "-7"),
            (1, 20, "0.00000000000000000001"),
        ] {
            assert_eq!(Decimal::new(mantissa, places).to_string(), text);
        }
        assert_eq!(Decimal::new(250, 2).negated(), Decimal::new(-250, 2));
        assert_eq!(Decimal::new(-250, 2).negated().value(), 2.5);
    }

    #[test]
    fn only_a_whole_number_that_is_not_negative_is_one() {
        for (mantissa, places, whole) in [
            (2500, 2, Some(25)),
            (2550, 2, None),
            (0, 3, Some(0)),
            (-3, 0, None),
            (-2500, 2, None),
            (4_294_967_295, 0, Some(u32::MAX)),
            (4_294_967_296, 0, None),
            (1, 20, None), // 10^20 is beyond what is counted with
        ] {
            assert_eq!(Decimal::new(mantissa, places).as_whole(), whole, "{mantissa} {places}");
        }
        assert_eq!(Decimal::whole(48).as_whole(), Some(48));
    }

    // 3.5 in are 3.5 x 25.4 = 88.9 mm.
    #[test]
    fn the_sign_stands_before_the_whole_measure() {
        for text in ["-3 1/2 in", "- 0 ft 3 1/2 in"] {
            let measure = Length::parse(text, None).expect(text);
            assert!(measure.is_negative());
            approx::assert_relative_eq!(measure.base(), -88.9, max_relative = 1e-14);
            assert_eq!(measure.value_in(LengthUnit::Inch), -3.5);
            approx::assert_relative_eq!(
                measure.value_in(LengthUnit::Millimetre),
                -88.9,
                max_relative = 1e-14
            );
        }
        let bare = |mantissa| Length::of(Decimal::new(mantissa, 2), LengthUnit::Inch);
        assert_eq!(bare(-350).to_string(), "-3.50 in");
        assert_eq!((bare(-350).value_in(LengthUnit::Inch), bare(-350).is_negative()), (-3.5, true));
        assert_eq!((bare(0).to_string(), bare(0).is_negative()), ("0.00 in".to_owned(), false));
        assert_eq!((bare(350).to_string(), bare(350).is_negative()), ("3.50 in".to_owned(), false));
    }

    #[test]
    fn a_bare_number_is_followed_by_its_unit_and_any_other_text_stays() {
        for (text, echo) in [
            ("9 1/2", "9 1/2 in"),
            ("1/2", "1/2 in"),
            ("-9.50", "-9.50 in"),
            ("9-1/2\"", "9-1/2\""),
            ("19' 9-1/2\"", "19' 9-1/2\""),
            (" 2 ft ", "2 ft"),
        ] {
            let measure = Length::parse(text, Some(LengthUnit::Inch)).expect(text);
            assert_eq!(measure.to_string(), echo, "{text}");
        }
    }

    #[test]
    fn a_seed_rate_is_echoed_whichever_kind_it_is() {
        for text in ["139000 /ac", "9 seeds/ft"] {
            assert_eq!(SeedRate::parse(text).expect(text).to_string(), text);
        }
    }
}
