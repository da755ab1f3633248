//! Numbers in sentences.

use crate::quantity::{feet_and_inches, round_half_away};
use crate::working::Value;

/// A number for a sentence, with its unit.
pub(crate) fn in_words(value: &Value) -> String {
    numbered(crate::quantity::brief(value.number()), value)
}

/// A number as printed, with its unit.
pub(crate) fn with_unit(value: &Value) -> String {
    numbered(crate::quantity::shown(value.number()), value)
}

/// A field length no finer than a tape has it: to an eighth of an inch, or a centimetre; what is no length in
/// feet or metres with its unit.
pub(crate) fn as_a_tape_has_it(value: &Value) -> String {
    match value.unit_text().as_ref() {
        "ft" => feet_and_inches(value.number() * 12.0, 8),
        "m" => format!("{} m", round_half_away(value.number(), 2)),
        _ => with_unit(value),
    }
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
