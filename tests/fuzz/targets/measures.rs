//! Whatever is typed as a measure is read or refused, never a panic; what is read is finite, and
//! its own text reads back as the same measure.
#![no_main]

use alleytrue::quantity::{
    AreaUnit, CellRateUnit, LengthUnit, MassUnit, Measure, MeasureUnit, PerTimeUnit, RowUnit,
    SeedRate, ShareUnit, SpeedUnit, TimeUnit, parse_number,
};
use libfuzzer_sys::fuzz_target;

fn reads_back<U: MeasureUnit>(text: &str, bare: Option<U>) {
    let measure = match Measure::<U>::parse(text, bare) {
        Ok(measure) => measure,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            assert!(!error.advice(U::EXAMPLES).is_empty());
            return;
        }
    };
    assert!(measure.base().is_finite(), "{text:?} is {}", measure.base());
    let again = Measure::<U>::parse(&measure.to_string(), bare);
    let again = again.unwrap_or_else(|error| panic!("{text:?} -> {measure}: {error}"));
    let difference = (again.base() - measure.base()).abs();
    assert!(difference <= 1e-12 * measure.base().abs(), "{text:?} -> {measure} -> {again}");
    assert_eq!(again.is_negative(), measure.is_negative(), "{text:?} -> {measure} -> {again}");
}

fuzz_target!(|text: &str| {
    reads_back::<LengthUnit>(text, None);
    reads_back(text, Some(LengthUnit::Inch));
    reads_back(text, Some(LengthUnit::Metre));
    reads_back::<SpeedUnit>(text, None);
    reads_back::<TimeUnit>(text, None);
    reads_back::<MassUnit>(text, None);
    reads_back::<AreaUnit>(text, None);
    reads_back::<RowUnit>(text, None);
    reads_back::<PerTimeUnit>(text, None);
    reads_back::<CellRateUnit>(text, None);
    reads_back::<ShareUnit>(text, None);
    if let Ok(rate) = SeedRate::parse(text) {
        let again = SeedRate::parse(&rate.to_string());
        assert!(again.is_ok(), "{text:?} -> {rate}: {again:?}");
    }
    if let Ok(number) = parse_number(text) {
        assert!(number.value().is_finite(), "{text:?}");
        let again = parse_number(&number.to_string());
        assert_eq!(again.map(|again| again.value()), Ok(number.value()), "{text:?}");
    }
});
