//! Reading and units together: every spelling, every mark, every way a measure can be wrong.

use super::unit::{dimension_of, spelled};
use super::*;

fn inches(text: &str) -> f64 {
    Length::parse(text, None).expect(text).value_in(LengthUnit::Inch)
}

fn length_error(text: &str) -> ParseError {
    Length::parse(text, None).expect_err(text)
}

fn number(text: &str) -> Result<f64, ParseError> {
    parse_number(text).map(Decimal::value)
}

/// What holds for the units of any dimension.
fn check_units<U: MeasureUnit>() {
    for unit in U::ALL {
        // The size worked out beforehand is the one that conversions use.
        let size = unit.compound().factor_to(one_of_base(unit.compound())).expect("a size");
        approx::assert_relative_eq!(unit.base(), size.value(), max_relative = 1e-15);
        for spelling in unit.spellings() {
            assert_eq!(spelled::<U>(spelling), Some(*unit), "{spelling}");
            assert_eq!(dimension_of(spelling), Some(U::DIMENSION), "{spelling}");
            let one = Measure::<U>::parse(&format!("1 {spelling}"), None).expect(spelling);
            assert_eq!((one.unit(), one.base()), (*unit, unit.base()), "{spelling}");
        }
    }
    let examples: Vec<&str> = U::EXAMPLES.split('`').skip(1).step_by(2).collect();
    assert!(!examples.is_empty());
    for example in examples {
        assert!(Measure::<U>::parse(example, None).is_ok(), "{example}");
    }
}

/// The same powers in millimetres, seconds and milligrams.
fn one_of_base(unit: Unit) -> Unit {
    let base = [
        Unit::ONE,
        LengthUnit::Millimetre.into(),
        TimeUnit::Second.into(),
        MassUnit::Milligram.into(),
        Unit::speed(LengthUnit::Millimetre, TimeUnit::Second),
        Unit::from(LengthUnit::Millimetre).to_the(-2),
        Unit::from(LengthUnit::Millimetre).to_the(-1),
        Unit::from(TimeUnit::Second).to_the(-1),
        Unit::from(MassUnit::Milligram).to_the(-1),
    ];
    base.into_iter().find(|base| unit.factor_to(*base).is_some()).expect("a base unit")
}

#[test]
fn every_spelling_is_read_as_its_unit_and_known_by_its_dimension() {
    check_units::<LengthUnit>();
    check_units::<TimeUnit>();
    check_units::<SpeedUnit>();
    check_units::<AreaUnit>();
    check_units::<RowUnit>();
    check_units::<PerTimeUnit>();
    check_units::<CellRateUnit>();
    check_units::<MassUnit>();
    check_units::<PerMassUnit>();
    check_units::<ShareUnit>();
    assert_eq!(dimension_of("furlong"), None);
    let examples = SeedRate::examples();
    let rates: Vec<&str> = examples.split('`').skip(1).step_by(2).collect();
    assert_eq!(rates.len(), 5); // three per area and two along the row
    assert!(rates.iter().all(|rate| SeedRate::parse(rate).is_ok()), "{examples}");
}

#[test]
fn a_unit_is_printed_by_its_symbol() {
    assert_eq!(LengthUnit::Foot.to_string(), "ft");
    assert_eq!(TimeUnit::Minute.to_string(), "min");
    assert_eq!(MassUnit::Pound.to_string(), "lb");
    assert_eq!(AreaUnit::Acre.to_string(), "/ac");
    assert_eq!(SpeedUnit::MilePerHour.to_string(), "mph");
    assert_eq!(RowUnit::PerFoot.to_string(), "/ft");
    assert_eq!(CellRateUnit::CellPerSecond.to_string(), "cells/s");
}

#[test]
fn units_of_a_product_power_and_root_have_the_sums_multiples_and_halves_of_the_powers() {
    let [inch, second, gram, area] = [
        LengthUnit::Inch.into(),
        TimeUnit::Second.into(),
        MassUnit::Gram.into(),
        Unit::per_area(AreaUnit::Acre).to_the(-1),
    ];
    let all = [inch, second, gram, area, Unit::PERCENT]
        .into_iter()
        .reduce(Unit::times)
        .expect("five units");
    assert_eq!(all.to_string(), "g in ac % s");
    assert_eq!(all.times(all).to_string(), "g2 in2 ac2 %2 s2");
    assert_eq!(all.to_the(3).to_string(), "g3 in3 ac3 %3 s3");
    assert_eq!(all.to_the(-2).to_string(), "/g2/in2/ac2/%2/s2");
    assert_eq!(all.to_the(-1).to_string(), "/g/in/ac/%/s");
    assert_eq!((all.to_the(2).root(), all.to_the(-4).root()), (all, all.to_the(-2)));
    assert!(all.times(all.to_the(-1)).same(Unit::ONE));
    assert_eq!(all.times(all.to_the(-1)).to_string(), "");
}

#[test]
fn a_unit_that_cancelled_is_the_same_as_none_and_no_two_that_differ_are_the_same() {
    let units: [Unit; 7] = [
        Unit::ONE,
        Unit::PERCENT,
        LengthUnit::Inch.into(),
        LengthUnit::Foot.into(),
        TimeUnit::Minute.into(),
        MassUnit::Pound.into(),
        AreaUnit::Acre.into(),
    ];
    for (place, one) in units.into_iter().enumerate() {
        for (other_place, other) in units.into_iter().enumerate() {
            assert_eq!(one.same(other), place == other_place, "{one} and {other}");
        }
        assert!(one.times(one.to_the(-1)).same(Unit::ONE), "{one}");
    }
}

#[test]
#[should_panic(expected = "square root")]
#[cfg(debug_assertions)]
fn the_square_root_of_an_inch_is_no_unit() {
    let _ = Unit::from(LengthUnit::Inch).root();
}

#[test]
#[should_panic(expected = "must be converted")]
#[cfg(debug_assertions)]
fn inches_times_feet_is_no_unit() {
    let _ = Unit::from(LengthUnit::Inch).times(LengthUnit::Foot.into());
}

#[test]
fn only_units_of_one_dimension_have_a_factor() {
    let per_acre = Unit::per_area(AreaUnit::Acre);
    let per_square_inch = Unit::from(LengthUnit::Inch).to_the(-2);
    // 43 560 ft2 of 144 in2.
    assert_eq!(per_square_inch.factor_to(per_acre), Some(Ratio::new(6_272_640, 1)));
    assert_eq!(per_acre.factor_to(per_square_inch), Some(Ratio::new(1, 6_272_640)));
    assert_eq!(Unit::PERCENT.factor_to(Unit::ONE), Some(Ratio::new(1, 100)));
    let (gram, second) = (Unit::from(MassUnit::Gram), Unit::from(TimeUnit::Second));
    assert_eq!(gram.factor_to(Unit::ONE), None);
    assert_eq!(Unit::ONE.factor_to(gram), None);
    assert_eq!(gram.times(second).factor_to(gram), None);
    assert_eq!(per_acre.factor_to(Unit::from(LengthUnit::Inch).to_the(2)), None);
    assert_eq!(per_acre.factor_to(gram), None);
}

#[test]
fn fractions_of_the_largest_numbers_are_in_lowest_terms() {
    const LARGE: u128 = 1 << 70;
    for (top, bottom, lowest) in [
        (3 * LARGE, 5 * LARGE, (3, 5)),
        (5 * LARGE, 3 * LARGE, (5, 3)),
        (LARGE, 6, (LARGE / 2, 3)),
        (6, LARGE, (3, LARGE / 2)),
        (LARGE, LARGE, (1, 1)),
        (3 * LARGE, LARGE, (3, 1)),
        (254, 10, (127, 5)),
        (7, 1, (7, 1)),
    ] {
        let ratio = Ratio::new(top, bottom);
        assert_eq!((ratio.numerator(), ratio.denominator()), lowest, "{top}/{bottom}");
    }
    let inch = Ratio::new(254, 10);
    assert_eq!(inch.value(), 25.4);
    assert_eq!(inch.power(3), Ratio::new(127 * 127 * 127, 125));
    assert_eq!(inch.power(-2), Ratio::new(25, 127 * 127));
    assert_eq!((inch.power(0), inch.power(1)), (Ratio::ONE, inch));
    assert_eq!(inch.times(inch.inverse()), Ratio::ONE);
}

#[test]
fn every_mark_for_feet_and_inches_is_read() {
    let feet = ["'", "\u{2018}", "\u{2019}", "\u{201b}", "\u{2032}", "\u{b4}", "`", "\u{2b9}"];
    let inch = ["''", "\"", "\u{201c}", "\u{201d}", "\u{201f}", "\u{2033}", "\u{2ba}", "\u{2032}'"];
    for (foot, inch) in feet.into_iter().zip(inch) {
        assert_eq!(inches(&format!("19{foot} 9 1/2{inch}")), 237.5, "{foot} {inch}");
    }
    // The same without any space.
    for text in ["19\u{2032}9\u{bd}\u{2033}", "19\u{2019}9.5\u{201d}", "237\u{bd}in"] {
        assert_eq!(inches(text), 237.5, "{text}");
    }
    for minus in ['-', '\u{2010}', '\u{2011}', '\u{2013}', '\u{2014}', '\u{2015}', '\u{2212}'] {
        assert_eq!(inches(&format!("{minus}9{minus}1/2 in")), -9.5, "{minus}");
    }
    for slash in ['/', '\u{2044}', '\u{2215}'] {
        assert_eq!(inches(&format!("9 1{slash}2 in")), 9.5, "{slash}");
    }
    let thirds = [("\u{2153} in", 1.0 / 3.0), ("9\u{2154} in", 9.0 + 2.0 / 3.0)];
    assert!(thirds.iter().all(|(text, number)| inches(text) == *number));
}

#[test]
fn a_sign_stands_before_the_number_with_or_without_space() {
    for (text, number) in [("+3.5 in", 3.5), ("+ 3.5 in", 3.5), ("- 3.5 in", -3.5)] {
        assert_eq!(inches(text), number, "{text}");
    }
    for (text, found) in [
        ("-2.5", -2.5),
        ("+2.5", 2.5),
        (" 2.5 ", 2.5),
        ("5.", 5.0),
        (".5", 0.5),
        ("4E2", 400.0),
        ("4e+2", 400.0),
        ("-1.25e-3", -0.001_25),
        ("2.5e0", 2.5),
    ] {
        assert_eq!(number(text), Ok(found), "{text}");
    }
}

#[test]
fn a_fraction_alone_may_be_above_one_but_after_a_whole_number_is_below() {
    assert_eq!(inches("3/2 in"), 1.5);
    assert_eq!(inches("2/2 in"), 1.0);
    assert_eq!(inches("3 0/2 in"), 3.0);
    for (text, fraction) in
        [("3 2/2 in", "2/2"), ("1/0 in", "1/0"), ("1.5/2 in", "1.5/2"), ("9 1/2.5 in", "1/2.5")]
    {
        assert_eq!(length_error(text), ParseError::Fraction { found: fraction.into() }, "{text}");
    }
}

#[test]
fn inches_after_feet_are_below_a_foot_and_feet_before_them_whole() {
    assert_eq!(inches("5 ft 11.99 in"), 71.99);
    assert_eq!(inches("5.0 ft 3 in"), 63.0);
    for (text, first, found) in [
        ("5 ft 12 in", "5 ft", "12 in"),
        ("5 1/2 ft 3 in", "5 1/2 ft", "3 in"),
        ("1/2 ft 3 in", "1/2 ft", "3 in"),
        ("1 ft 1 ft", "1 ft", "1 ft"),
    ] {
        let parts = ParseError::Parts { first: first.into(), found: found.into() };
        assert_eq!(length_error(text), parts, "{text}");
    }
    let unknown = Speed::parse("2.8 mph 5", None).expect_err("two numbers");
    assert_eq!(unknown, ParseError::UnknownUnit { found: "mph 5".into() });
}

#[test]
fn what_is_no_number_is_refused_with_what_was_found() {
    for text in [".", "-.", "1.2.3", "", "e5"] {
        assert!(matches!(number(text), Err(ParseError::NotANumber { .. })), "{text}");
    }
    for (text, left) in [("12 5", " 5"), ("12in", "in"), ("4e", "e"), ("4e2x", "x"), ("4e-", "e-")]
    {
        assert_eq!(number(text), Err(ParseError::Trailing { found: left.into() }), "{text}");
    }
}

/// Fifteen digits before the point, and twenty places behind it, are the most.
#[test]
fn exponents_go_as_far_as_the_digits_that_are_kept() {
    assert_eq!(number("1e14"), Ok(1e14));
    assert_eq!(number("999999999999999e0"), Ok(999_999_999_999_999.0));
    assert_eq!(number("1e-20"), Ok(1e-20));
    for text in ["1e15", "10e14", "1e-21", "1e-25", "0.1e-20", "1234567890123456e-3", "1e40"] {
        assert!(matches!(number(text), Err(ParseError::TooManyDigits { .. })), "{text}");
    }
}
