//! Numbers in sentences.

use crate::working::Value;

/// A number for a sentence, with its unit.
pub(crate) fn in_words(value: &Value) -> String {
    numbered(crate::quantity::brief(value.number()), value)
}

/// A number as printed, with its unit.
pub(crate) fn with_unit(value: &Value) -> String {
    numbered(crate::quantity::shown(value.number()), value)
}

fn numbered(number: String, value: &Value) -> String {
    let unit = value.unit_text();
    match unit.as_ref() {
        "" => number,
        unit if unit.starts_with('/') => [&number, unit].concat(),
        unit => [&number, " ", unit].concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{AreaUnit, Decimal, LengthUnit, Unit};

    #[test]
    fn a_rate_is_written_close_to_its_number_and_a_length_apart() {
        let value = |unit| Value::typed("one", Decimal::whole(139_000), unit);
        let per_acre = value(Unit::per_area(AreaUnit::Acre));
        assert_eq!(in_words(&per_acre), "139000/ac");
        assert_eq!(with_unit(&per_acre), "139000/ac");
        assert_eq!(in_words(&per_acre.counting("seeds")), "139000 seeds/ac");
        assert_eq!(in_words(&value(Unit::from(LengthUnit::Inch))), "139000 in");
        assert_eq!(in_words(&value(Unit::ONE)), "139000");
    }
}
