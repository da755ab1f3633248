//! The unit table: every unit the program reads or prints, with its exact factor.
//!
//! Authority: NIST, *Revised unit conversion factors* (the international foot since the survey
//! foot ended on 31 December 2022) and NIST SP 811, Appendix B: 1 in = 25.4 mm, 1 ft = 0.3048 m,
//! 1 mi = 1609.344 m, 1 ac = 43 560 ft² = 4046.856 422 4 m², 1 ha = 10 000 m²,
//! 1 lb = 0.453 592 37 kg, all exact. Factors are kept as whole-number fractions so that a
//! conversion can be printed as the multiplication a person would do.

use std::fmt;

/// An exact positive fraction.
///
/// ```
/// use alleytrue::quantity::Ratio;
/// let inch_in_mm = Ratio::new(127, 5);
/// assert_eq!(inch_in_mm.value(), 25.4);
/// assert_eq!(Ratio::new(254, 10), inch_in_mm);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratio {
    numerator: u128,
    denominator: u128,
}

impl Ratio {
    /// One.
    pub const ONE: Ratio = Ratio { numerator: 1, denominator: 1 };

    /// The fraction `numerator / denominator` in lowest terms; both must be above zero.
    #[must_use]
    pub const fn new(numerator: u128, denominator: u128) -> Self {
        let divisor = greatest_common_divisor(numerator, denominator);
        if divisor == 1 {
            return Ratio { numerator, denominator };
        }
        Ratio { numerator: numerator / divisor, denominator: denominator / divisor }
    }

    /// Top of the fraction in lowest terms.
    #[must_use]
    pub const fn numerator(self) -> u128 {
        self.numerator
    }

    /// Bottom of the fraction in lowest terms.
    #[must_use]
    pub const fn denominator(self) -> u128 {
        self.denominator
    }

    /// The nearest `f64`.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub const fn value(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// `self × other`.
    #[must_use]
    pub const fn times(self, other: Ratio) -> Ratio {
        if self.is_one() {
            return other;
        }
        if other.is_one() {
            return self;
        }
        // Cross-reduce first so that areas squared in millimetres stay far below the limit.
        let left = Ratio::new(self.numerator, other.denominator);
        let right = Ratio::new(other.numerator, self.denominator);
        Ratio {
            numerator: left.numerator * right.numerator,
            denominator: left.denominator * right.denominator,
        }
    }

    const fn is_one(self) -> bool {
        self.numerator == 1 && self.denominator == 1
    }

    /// `1 / self`.
    #[must_use]
    pub const fn inverse(self) -> Ratio {
        Ratio { numerator: self.denominator, denominator: self.numerator }
    }

    /// `self` raised to a whole power, which may be negative.
    #[must_use]
    pub const fn power(self, exponent: i8) -> Ratio {
        let base = if exponent < 0 { self.inverse() } else { self };
        if exponent.unsigned_abs() == 1 {
            return base;
        }
        let mut result = Ratio::ONE;
        let mut left = exponent.unsigned_abs();
        while left > 0 {
            result = result.times(base);
            left -= 1;
        }
        result
    }
}

const fn greatest_common_divisor(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    // Long division by 128 bits costs many times that by 64, and few numbers here need it.
    while b != 0 && (a > u64::MAX as u128 || b > u64::MAX as u128) {
        (a, b) = (b, a % b);
    }
    if b == 0 {
        return if a == 0 { 1 } else { a };
    }
    let (mut a, mut b) = (a as u64, b as u64);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a as u128
}

/// What the units of one dimension have in common.
pub trait MeasureUnit: Copy + Eq + fmt::Debug + 'static {
    /// The dimension in plain words, for messages: "a length".
    const DIMENSION: &'static str;
    /// Well-formed examples, for messages.
    const EXAMPLES: &'static str;
    /// Every unit of the dimension.
    const ALL: &'static [Self];
    /// How the unit is printed.
    fn symbol(self) -> &'static str;
    /// Every spelling that is read, in lower case.
    fn spellings(self) -> &'static [&'static str];
    /// The unit as a [`Unit`], for arithmetic.
    fn compound(self) -> Unit;
    /// Size of one such unit in millimetres, seconds and milligrams and their products, for
    /// bounds and comparisons.
    fn base(self) -> f64 {
        self.compound().size().value()
    }
    /// Whether a value may be written in two parts, as feet and inches are.
    const TWO_PARTS: bool = false;
}

macro_rules! unit_table {
    ($(#[$doc:meta])* $name:ident, $dimension:literal, examples $examples:literal, two_parts $two:literal, base $base:literal, power $power:literal;
     $($variant:ident $symbol:literal [$($spelling:literal),+ $(,)?] $num:literal / $den:literal, $vdoc:literal;)+) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $name { $(#[doc = $vdoc] $variant),+ }
        impl $name {
            const TABLE_ALL: &'static [$name] = &[$($name::$variant),+];
            const fn table_symbol(self) -> &'static str { match self { $($name::$variant => $symbol),+ } }
            const fn table_spellings(self) -> &'static [&'static str] { match self { $($name::$variant => &[$($spelling),+]),+ } }
            #[doc = concat!("Size of the unit in ", $base, ".")]
            #[must_use]
            pub const fn size(self) -> Ratio { match self { $($name::$variant => const { Ratio::new($num, $den) }),+ } }
        }
        impl MeasureUnit for $name {
            const DIMENSION: &'static str = $dimension;
            const EXAMPLES: &'static str = $examples;
            const ALL: &'static [Self] = Self::TABLE_ALL;
            const TWO_PARTS: bool = $two;
            fn symbol(self) -> &'static str { self.table_symbol() }
            fn spellings(self) -> &'static [&'static str] { self.table_spellings() }
            fn compound(self) -> Unit { Unit::from(self) }
            // Every reading is held against its bounds by this, so it is worked out beforehand.
            fn base(self) -> f64 { match self { $($name::$variant => const { Ratio::new($num, $den).power($power).value() }),+ } }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { f.write_str(self.table_symbol()) }
        }
    };
}

unit_table! {
    /// Units of length.
    LengthUnit, "a length", examples "`17 ft 6 in`, `237 1/2 in`, `6.03 m`", two_parts true, base "millimetres", power 1;
    Inch "in" ["in", "in.", "inch", "inches", "\""] 254 / 10, "inch, 25.4 mm exactly";
    Foot "ft" ["ft", "ft.", "foot", "feet", "'"] 3048 / 10, "foot, 0.3048 m exactly";
    Yard "yd" ["yd", "yd.", "yard", "yards"] 9144 / 10, "yard, 3 ft";
    Mile "mi" ["mi", "mile", "miles"] 1609344 / 1, "mile, 1609.344 m exactly";
    Millimetre "mm" ["mm"] 1 / 1, "millimetre";
    Centimetre "cm" ["cm"] 10 / 1, "centimetre";
    Metre "m" ["m", "metre", "metres", "meter", "meters"] 1000 / 1, "metre";
    Kilometre "km" ["km"] 1000000 / 1, "kilometre";
}

unit_table! {
    /// Units of time.
    TimeUnit, "a time", examples "`0.35 s`, `350 ms`, `1 min 12 s`", two_parts true, base "seconds", power 1;
    Millisecond "ms" ["ms"] 1 / 1000, "millisecond";
    Second "s" ["s", "sec", "sec.", "second", "seconds"] 1 / 1, "second";
    Minute "min" ["min", "min.", "minute", "minutes"] 60 / 1, "minute";
    Hour "h" ["h", "hr", "hour", "hours"] 3600 / 1, "hour";
    Day "d" ["d", "day", "days"] 86400 / 1, "day of 24 hours";
}

unit_table! {
    /// Units of ground area, as the bottom of a seed rate.
    AreaUnit, "a rate per area", examples "`139000 /ac`, `75000 /ha`, `7.5 /m2`", two_parts false, base "square millimetres", power -1;
    Acre "/ac" ["/ac", "/acre", "per acre", "seeds/ac", "seeds/acre", "seeds per acre", "plants/ac", "plants/acre", "plants per acre"] 40468564224 / 10, "acre, 43 560 square feet";
    Hectare "/ha" ["/ha", "per ha", "/hectare", "per hectare", "seeds/ha", "seeds per hectare", "plants/ha", "plants per hectare"] 10000000000 / 1, "hectare, 10 000 m²";
    SquareMetre "/m2" ["/m2", "per m2", "seeds/m2", "plants/m2"] 1000000 / 1, "square metre";
    SquareFoot "/ft2" ["/ft2", "per ft2", "seeds/ft2", "plants/ft2"] 9290304 / 100, "square foot";
}

unit_table! {
    /// Units of mass.
    MassUnit, "a mass", examples "`22 g`, `1.5 kg`, `3 lb`", two_parts false, base "milligrams", power 1;
    Milligram "mg" ["mg"] 1 / 1, "milligram";
    Gram "g" ["g", "gram", "grams"] 1000 / 1, "gram";
    Kilogram "kg" ["kg"] 1000000 / 1, "kilogram";
    Ounce "oz" ["oz", "oz.", "ounce", "ounces"] 45359237 / 1600, "ounce, 1/16 lb";
    Pound "lb" ["lb", "lb.", "lbs", "pound", "pounds"] 45359237 / 100, "pound, 0.453 592 37 kg exactly";
}

macro_rules! derived_table {
    ($(#[$doc:meta])* $name:ident, $dimension:literal, examples $examples:literal;
     $($variant:ident $symbol:literal [$($spelling:literal),+ $(,)?] $compound:expr, $vdoc:literal;)+) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $name { $(#[doc = $vdoc] $variant),+ }
        impl MeasureUnit for $name {
            const DIMENSION: &'static str = $dimension;
            const EXAMPLES: &'static str = $examples;
            const ALL: &'static [Self] = &[$($name::$variant),+];
            fn symbol(self) -> &'static str { match self { $($name::$variant => $symbol),+ } }
            fn spellings(self) -> &'static [&'static str] { match self { $($name::$variant => &[$($spelling),+]),+ } }
            fn compound(self) -> Unit { match self { $($name::$variant => $compound),+ } }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { f.write_str(self.symbol()) }
        }
    };
}

derived_table! {
    /// Units of speed: a length over a time, so their factors follow from those two tables.
    SpeedUnit, "a speed", examples "`2.8 mph`, `4.5 km/h`, `1.25 m/s`, `246 ft/min`";
    MilePerHour "mph" ["mph", "mi/h"] Unit::speed(LengthUnit::Mile, TimeUnit::Hour), "mile an hour, 0.447 04 m/s exactly";
    KilometrePerHour "km/h" ["km/h", "kmh", "kph"] Unit::speed(LengthUnit::Kilometre, TimeUnit::Hour), "kilometre an hour";
    MetrePerSecond "m/s" ["m/s"] Unit::speed(LengthUnit::Metre, TimeUnit::Second), "metre a second";
    FootPerMinute "ft/min" ["ft/min"] Unit::speed(LengthUnit::Foot, TimeUnit::Minute), "foot a minute";
    FootPerSecond "ft/s" ["ft/s"] Unit::speed(LengthUnit::Foot, TimeUnit::Second), "foot a second";
}

derived_table! {
    /// Units of seeds along the row.
    RowUnit, "a rate along the row", examples "`9 seeds/ft`, `20 seeds/m`";
    PerFoot "/ft" ["seeds/ft", "seeds per foot", "seeds per ft", "plants/ft"] Unit::from(LengthUnit::Foot).to_the(-1), "seeds per foot of row";
    PerMetre "/m" ["seeds/m", "seeds per metre", "seeds per meter", "plants/m"] Unit::from(LengthUnit::Metre).to_the(-1), "seeds per metre of row";
}

derived_table! {
    /// Rates in time.
    PerTimeUnit, "a rate in time", examples "`45 turns/min`, `1.5 turns/s`";
    PerSecond "/s" ["/s", "per second", "turns/s", "turns per second"] Unit::from(TimeUnit::Second).to_the(-1), "per second";
    PerMinute "/min" ["/min", "per minute", "turns/min", "turns per minute"] Unit::from(TimeUnit::Minute).to_the(-1), "per minute";
}

derived_table! {
    /// Cells of the seed plate passing in a time.
    CellRateUnit, "a rate of cells", examples "`12 cells/s`";
    CellPerSecond "cells/s" ["cells/s", "cells per second"] Unit::from(TimeUnit::Second).to_the(-1), "cells per second";
    CellPerMinute "cells/min" ["cells/min", "cells per minute"] Unit::from(TimeUnit::Minute).to_the(-1), "cells per minute";
}

derived_table! {
    /// Seeds in a mass: how large the seed is.
    PerMassUnit, "a number of seeds in a mass", examples "`2500 /lb`, `5500 /kg`";
    PerPound "/lb" ["/lb", "per lb", "per pound", "seeds/lb", "seeds per lb", "seeds per pound"] Unit::from(MassUnit::Pound).to_the(-1), "seeds per pound";
    PerKilogram "/kg" ["/kg", "per kg", "seeds/kg", "seeds per kg"] Unit::from(MassUnit::Kilogram).to_the(-1), "seeds per kilogram";
}

derived_table! {
    /// Shares of a whole.
    ShareUnit, "a share", examples "`2 %`, `0.5 %`";
    Percent "%" ["%", "percent", "per cent"] Unit::PERCENT, "hundredths";
}

/// The unit of a value in a calculation: powers of a length, a time, a mass and an area unit.
///
/// Values keep the units they were worked in, so a product of inches and feet is a mistake that
/// the tests catch rather than a silent conversion.
///
/// ```
/// use alleytrue::quantity::{LengthUnit, TimeUnit, Unit};
/// let speed = Unit::from(LengthUnit::Inch).times(Unit::from(TimeUnit::Second).to_the(-1));
/// assert_eq!(speed.to_string(), "in/s");
/// assert_eq!(Unit::speed(LengthUnit::Mile, TimeUnit::Hour).to_string(), "mph");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unit {
    length: (LengthUnit, i8),
    time: (TimeUnit, i8),
    mass: (MassUnit, i8),
    area: (AreaUnit, i8),
    percent: i8,
}

impl Unit {
    /// A plain number.
    pub const ONE: Unit = Unit {
        length: (LengthUnit::Millimetre, 0),
        time: (TimeUnit::Second, 0),
        mass: (MassUnit::Gram, 0),
        area: (AreaUnit::SquareMetre, 0),
        percent: 0,
    };
    /// Hundredths.
    pub const PERCENT: Unit = Unit { percent: 1, ..Unit::ONE };

    /// Length over time.
    #[must_use]
    pub const fn speed(length: LengthUnit, time: TimeUnit) -> Unit {
        Unit { length: (length, 1), time: (time, -1), ..Unit::ONE }
    }

    /// Seeds or plants per area.
    #[must_use]
    pub const fn per_area(area: AreaUnit) -> Unit {
        Unit { area: (area, -1), ..Unit::ONE }
    }

    /// The unit of a product.
    ///
    /// Both factors must use the same unit of each dimension; the program's own calculations are
    /// checked for that in debug builds and tests.
    #[must_use]
    pub fn times(self, other: Unit) -> Unit {
        Unit {
            length: combined(self.length, other.length),
            time: combined(self.time, other.time),
            mass: combined(self.mass, other.mass),
            area: combined(self.area, other.area),
            percent: self.percent + other.percent,
        }
    }

    /// The unit raised to a whole power.
    #[must_use]
    pub const fn to_the(self, power: i8) -> Unit {
        Unit {
            length: (self.length.0, self.length.1 * power),
            time: (self.time.0, self.time.1 * power),
            mass: (self.mass.0, self.mass.1 * power),
            area: (self.area.0, self.area.1 * power),
            percent: self.percent * power,
        }
    }

    /// The unit whose square this is, for square roots.
    #[must_use]
    pub fn root(self) -> Unit {
        debug_assert!(
            [self.length.1, self.time.1, self.mass.1, self.area.1, self.percent]
                .iter()
                .all(|power| power % 2 == 0),
            "square root of {self:?}"
        );
        Unit {
            length: (self.length.0, self.length.1 / 2),
            time: (self.time.0, self.time.1 / 2),
            mass: (self.mass.0, self.mass.1 / 2),
            area: (self.area.0, self.area.1 / 2),
            percent: self.percent / 2,
        }
    }

    /// Whether two values of these units may be added as they stand.
    #[must_use]
    pub fn same(self, other: Unit) -> bool {
        self.normal() == other.normal()
    }

    /// The exact factor that turns a number in `self` into a number in `target`, or `None` where
    /// the dimensions differ.
    ///
    /// ```
    /// use alleytrue::quantity::{AreaUnit, LengthUnit, Ratio, TimeUnit, Unit};
    /// let mph = Unit::speed(LengthUnit::Mile, TimeUnit::Hour);
    /// let inches = Unit::speed(LengthUnit::Inch, TimeUnit::Second);
    /// assert_eq!(mph.factor_to(inches), Some(Ratio::new(176, 10)));
    /// let per_square_inch = Unit::from(LengthUnit::Inch).to_the(-2);
    /// let per_acre = Unit::per_area(AreaUnit::Acre);
    /// assert_eq!(per_square_inch.factor_to(per_acre), Some(Ratio::new(6_272_640, 1)));
    /// ```
    #[must_use]
    pub fn factor_to(self, target: Unit) -> Option<Ratio> {
        let same_dimension = self.length.1 + 2 * self.area.1 == target.length.1 + 2 * target.area.1
            && self.time.1 == target.time.1
            && self.mass.1 == target.mass.1;
        if self == target {
            return Some(Ratio::ONE);
        }
        same_dimension.then(|| self.size().times(target.size().inverse()))
    }

    fn size(self) -> Ratio {
        let sizes = [
            (self.length.0.size(), self.length.1),
            (self.time.0.size(), self.time.1),
            (self.mass.0.size(), self.mass.1),
            (self.area.0.size(), self.area.1),
            (const { Ratio::new(1, 100) }, self.percent),
        ];
        let used = sizes.into_iter().filter(|(_, power)| *power != 0);
        used.fold(Ratio::ONE, |product, (size, power)| product.times(size.power(power)))
    }

    fn normal(self) -> Unit {
        let or_default = |pair: (LengthUnit, i8)| if pair.1 == 0 { Unit::ONE.length } else { pair };
        Unit {
            length: or_default(self.length),
            time: if self.time.1 == 0 { Unit::ONE.time } else { self.time },
            mass: if self.mass.1 == 0 { Unit::ONE.mass } else { self.mass },
            area: if self.area.1 == 0 { Unit::ONE.area } else { self.area },
            percent: self.percent,
        }
    }
}

fn combined<U: Copy + PartialEq + fmt::Debug>(left: (U, i8), right: (U, i8)) -> (U, i8) {
    debug_assert!(
        left.1 == 0 || right.1 == 0 || left.0 == right.0,
        "units {left:?} and {right:?} must be converted before they are multiplied"
    );
    (if left.1 == 0 { right.0 } else { left.0 }, left.1 + right.1)
}

impl From<LengthUnit> for Unit {
    fn from(unit: LengthUnit) -> Unit {
        Unit { length: (unit, 1), ..Unit::ONE }
    }
}

impl From<TimeUnit> for Unit {
    fn from(unit: TimeUnit) -> Unit {
        Unit { time: (unit, 1), ..Unit::ONE }
    }
}

impl From<MassUnit> for Unit {
    fn from(unit: MassUnit) -> Unit {
        Unit { mass: (unit, 1), ..Unit::ONE }
    }
}

/// Area units stand under a seed rate, so as a unit they carry the power -1.
impl From<AreaUnit> for Unit {
    fn from(unit: AreaUnit) -> Unit {
        Unit::per_area(unit)
    }
}

impl Unit {
    /// How the unit is printed, where one symbol or none is all there is to it, as with most
    /// values.
    #[must_use]
    pub fn symbol(self) -> Option<&'static str> {
        match (self.length.1, self.time.1, self.mass.1, self.area.1, self.percent) {
            (0, 0, 0, 0, 0) => Some(""),
            (1, 0, 0, 0, 0) => Some(self.length.0.symbol()),
            (0, 1, 0, 0, 0) => Some(self.time.0.symbol()),
            (0, 0, 1, 0, 0) => Some(self.mass.0.symbol()),
            (0, 0, 0, 0, 1) => Some("%"),
            _ => None,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(symbol) = self.symbol() {
            return f.write_str(symbol);
        }
        if self.normal() == Unit::speed(LengthUnit::Mile, TimeUnit::Hour) {
            return f.write_str("mph");
        }
        let area_name = self.area.0.symbol().trim_start_matches('/');
        let powers = [
            (self.mass.0.symbol(), self.mass.1),
            (self.length.0.symbol(), self.length.1),
            (area_name, self.area.1),
            ("%", self.percent),
            (self.time.0.symbol(), self.time.1),
        ];
        let mut separator = "";
        for (symbol, power) in powers.iter().filter(|(_, power)| *power > 0) {
            write!(f, "{separator}{}", Powered(symbol, *power))?;
            separator = " ";
        }
        for (symbol, power) in powers.iter().filter(|(_, power)| *power < 0) {
            write!(f, "/{}", Powered(symbol, -power))?;
        }
        Ok(())
    }
}

struct Powered<'a>(&'a str, i8);

impl fmt::Display for Powered<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)?;
        if self.1 > 1 {
            write!(f, "{}", self.1)?;
        }
        Ok(())
    }
}

/// The dimension in plain words of a unit spelling, for messages about a unit in the wrong place.
pub(super) fn dimension_of(spelling: &str) -> Option<&'static str> {
    fn has<U: MeasureUnit>(spelling: &str) -> Option<&'static str> {
        spelled::<U>(spelling).map(|_| U::DIMENSION)
    }
    has::<LengthUnit>(spelling)
        .or_else(|| has::<TimeUnit>(spelling))
        .or_else(|| has::<SpeedUnit>(spelling))
        .or_else(|| has::<AreaUnit>(spelling))
        .or_else(|| has::<RowUnit>(spelling))
        .or_else(|| has::<PerTimeUnit>(spelling))
        .or_else(|| has::<CellRateUnit>(spelling))
        .or_else(|| has::<MassUnit>(spelling))
        .or_else(|| has::<PerMassUnit>(spelling))
        .or_else(|| has::<ShareUnit>(spelling))
}

/// The unit that a spelling in lower case stands for.
pub(super) fn spelled<U: MeasureUnit>(spelling: &str) -> Option<U> {
    U::ALL.iter().copied().find(|unit| unit.spellings().contains(&spelling))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_factor(unit: Unit, target: Unit, numerator: u128, denominator: u128) {
        assert_eq!(
            unit.factor_to(target),
            Some(Ratio::new(numerator, denominator)),
            "{unit} to {target}"
        );
    }

    // NIST, Revised unit conversion factors; NIST SP 811, Appendix B.8 and B.9.
    #[test]
    fn factors_are_those_of_nist() {
        let mm = Unit::from(LengthUnit::Millimetre);
        let metre = Unit::from(LengthUnit::Metre);
        assert_factor(LengthUnit::Inch.into(), mm, 254, 10);
        assert_factor(LengthUnit::Foot.into(), metre, 3048, 10000);
        assert_factor(LengthUnit::Yard.into(), metre, 9144, 10000);
        assert_factor(LengthUnit::Mile.into(), metre, 1_609_344, 1000);
        assert_factor(LengthUnit::Mile.into(), LengthUnit::Foot.into(), 5280, 1);
        assert_factor(MassUnit::Pound.into(), MassUnit::Kilogram.into(), 45_359_237, 100_000_000);
        assert_factor(MassUnit::Pound.into(), MassUnit::Ounce.into(), 16, 1);
    }

    #[test]
    fn an_acre_is_43560_square_feet_and_4046_8564224_square_metres() {
        let per_acre = Unit::per_area(AreaUnit::Acre);
        assert_factor(per_acre.to_the(-1), Unit::from(LengthUnit::Foot).to_the(2), 43_560, 1);
        assert_factor(
            per_acre.to_the(-1),
            Unit::from(LengthUnit::Metre).to_the(2),
            40_468_564_224,
            10_000_000,
        );
        assert_factor(
            Unit::per_area(AreaUnit::Hectare).to_the(-1),
            Unit::from(LengthUnit::Metre).to_the(2),
            10_000,
            1,
        );
        assert_factor(
            Unit::per_area(AreaUnit::SquareFoot).to_the(-1),
            Unit::from(LengthUnit::Inch).to_the(2),
            144,
            1,
        );
    }

    #[test]
    fn derived_factors_are_recomputed_from_their_parts() {
        let metre_per_second = Unit::speed(LengthUnit::Metre, TimeUnit::Second);
        // NIST SP 811 B.8: 1 mph = 0.447 04 m/s exactly; 1 km/h = 1/3.6 m/s.
        assert_factor(
            Unit::speed(LengthUnit::Mile, TimeUnit::Hour),
            metre_per_second,
            44_704,
            100_000,
        );
        assert_factor(Unit::speed(LengthUnit::Kilometre, TimeUnit::Hour), metre_per_second, 10, 36);
        // Ohio State University Extension (Zondag): 88 ft in one minute is 1 mph.
        assert_factor(
            Unit::speed(LengthUnit::Mile, TimeUnit::Hour),
            Unit::speed(LengthUnit::Foot, TimeUnit::Minute),
            88,
            1,
        );
    }

    #[test]
    fn dimensions_that_differ_have_no_factor() {
        assert_eq!(Unit::from(LengthUnit::Inch).factor_to(TimeUnit::Second.into()), None);
        assert_eq!(Unit::from(LengthUnit::Inch).factor_to(Unit::ONE), None);
    }

    #[test]
    fn no_spelling_stands_for_two_units() {
        let mut seen = std::collections::BTreeMap::new();
        let mut add = |spelling: &'static str, symbol: &'static str| {
            assert_eq!(seen.insert(spelling, symbol), None, "`{spelling}` is listed twice");
        };
        fn each<U: MeasureUnit>(add: &mut impl FnMut(&'static str, &'static str)) {
            for unit in U::ALL {
                unit.spellings().iter().for_each(|spelling| add(spelling, unit.symbol()));
            }
        }
        each::<LengthUnit>(&mut add);
        each::<TimeUnit>(&mut add);
        each::<SpeedUnit>(&mut add);
        each::<AreaUnit>(&mut add);
        each::<RowUnit>(&mut add);
        each::<PerTimeUnit>(&mut add);
        each::<CellRateUnit>(&mut add);
        each::<MassUnit>(&mut add);
        each::<PerMassUnit>(&mut add);
        each::<ShareUnit>(&mut add);
    }

    #[test]
    fn units_print_as_people_write_them() {
        let inch = Unit::from(LengthUnit::Inch);
        assert_eq!(inch.to_the(2).to_string(), "in2");
        assert_eq!(inch.to_the(-1).to_string(), "/in");
        assert_eq!(Unit::per_area(AreaUnit::Acre).to_string(), "/ac");
        assert_eq!(inch.to_the(2).times(Unit::per_area(AreaUnit::Acre)).to_string(), "in2/ac");
        assert_eq!(Unit::speed(LengthUnit::Kilometre, TimeUnit::Hour).to_string(), "km/h");
        assert_eq!(Unit::PERCENT.to_string(), "%");
        assert_eq!(Unit::ONE.to_string(), "");
    }
}
