//! A new value in the form in which the old one was typed.

use toml::de::DeValue;
use toml_edit::Value;

use crate::quantity::{
    Length, LengthUnit, Measure, MeasureUnit, TimeUnit, Unit, clean, plain, round_half_away, shown,
};
use crate::sheet::top::UNITS;
use crate::working;

/// Numbers are the same when they differ by no more than this share.
const SAME: f64 = 1e-9;
/// Denominators that tapes and controllers show.
const DENOMINATORS: [u32; 6] = [2, 4, 8, 16, 32, 64];
/// Decimals beyond which a number is no longer written in the old unit.
const MOST_DECIMALS: usize = 4;

/// The new value for a key that holds `old`; `typed` is its text in the sheet, `exact` says that
/// every digit counts. `None` where the old value is of another kind.
pub(super) fn new_value(
    old: &DeValue<'_>,
    typed: &str,
    bare: Option<LengthUnit>,
    set: &working::Value,
    exact: bool,
) -> Option<Value> {
    match old {
        DeValue::String(text) => {
            let length = Length::parse(text, bare).ok().and_then(|old| as_before(&old, set, exact));
            let text = length
                .or_else(|| as_before(&Measure::<TimeUnit>::parse(text, None).ok()?, set, exact));
            Some(Value::from(text?))
        }
        DeValue::Integer(_) | DeValue::Float(_) => {
            let unit = if set.unit().same(Unit::ONE) { None } else { Some(bare?) };
            let number = match unit {
                Some(unit) => in_unit(set, unit.compound())?,
                None => set.number(),
            };
            let places = typed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            let text = digits(number, places, exact);
            let short = text.split_once('.').is_none_or(|(_, rest)| rest.len() <= MOST_DECIMALS);
            match unit {
                // 2.1 in a sheet of feet is no 25 1/4 in: say the unit the step is in.
                Some(_) if !short => {
                    Some(Value::from(format!("{} {}", digits(set.number(), 0, exact), set.unit())))
                }
                _ => text.parse().ok(),
            }
        }
        _ => None,
    }
}

/// The unit of bare lengths, by its text in the sheet.
pub(super) fn bare_unit(typed: &str) -> Option<LengthUnit> {
    let typed = typed.trim_matches(['"', '\'']);
    UNITS.iter().find(|(name, _)| *name == typed).map(|(_, unit)| *unit)
}

/// A number with as many decimals as the old one had, or more where it has more.
fn digits(number: f64, places: usize, exact: bool) -> String {
    let text = if exact { plain(clean(number)) } else { shown(number) };
    let own = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    if own < places { round_half_away(number, places) } else { text }
}

fn in_unit(set: &working::Value, unit: Unit) -> Option<f64> {
    set.unit().factor_to(unit).map(|factor| clean(set.number() * factor.value()))
}

fn as_before<U: MeasureUnit>(
    old: &Measure<U>,
    set: &working::Value,
    exact: bool,
) -> Option<String> {
    let units: Vec<U> = old.parts().map(|part| part.unit).collect();
    let fractions = old.parts().any(|part| part.fraction.is_some());
    let last = *units.last()?;
    let number = in_unit(set, last.compound())?;
    let first = units.first().copied().filter(|_| units.len() > 1);
    let first = first.map(|unit| (unit, last.compound().factor_to(unit.compound())));
    let text = match first {
        Some((unit, Some(factor))) => in_two_parts(number, (unit, factor.value()), last, fractions),
        _ => one_part(number, last, fractions, exact),
    };
    let right = |text: &String| {
        let wanted = set.unit().factor_to(last.compound())?.value() * set.number();
        let got = Measure::<U>::parse(text, None).ok()?.value_in(last);
        let slack = if exact { SAME } else { 1e-5 };
        ((got - wanted).abs() <= slack * wanted.abs().max(1.0)).then_some(())
    };
    let short = |text: &String| {
        text.split_once('.')
            .is_none_or(|(_, rest)| rest.bytes().take_while(u8::is_ascii_digit).count() <= 6)
    };
    if right(&text).is_some() && short(&text) {
        return Some(text);
    }
    // What the old form can't hold is said in the unit of the step.
    Some(format!("{} {}", digits(set.number(), 0, exact), set.unit()))
}

fn one_part<U: MeasureUnit>(number: f64, unit: U, fractions: bool, exact: bool) -> String {
    let text = fraction(number).filter(|_| fractions);
    format!("{} {}", text.unwrap_or_else(|| digits(number, 0, exact)), unit.symbol())
}

/// Whole larger units, and the rest in the smaller.
fn in_two_parts<U: MeasureUnit>(
    number: f64,
    (large, share): (U, f64),
    small: U,
    fractions: bool,
) -> String {
    let sign = if number < 0.0 { "-" } else { "" };
    let wholes = clean(number.abs() * share).floor();
    let rest = clean(number.abs() - wholes / share);
    format!("{sign}{} {} {}", plain(wholes), large.symbol(), one_part(rest, small, fractions, true))
}

/// A number with a fraction: 5 1/2, 3/4, 7; `None` where it has none of a tape.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // settings are bounded
fn fraction(number: f64) -> Option<String> {
    let size = number.abs();
    let sign = if number < 0.0 { "-" } else { "" };
    let (whole, rest) = (size.floor(), size - size.floor());
    if rest < SAME {
        return Some(format!("{sign}{}", plain(whole)));
    }
    let bottom = DENOMINATORS.into_iter().find(|bottom| {
        let top = rest * f64::from(*bottom);
        (top - top.round()).abs() < 1e-6
    })?;
    let top = (rest * f64::from(bottom)).round() as u32;
    let whole = if whole > 0.0 { format!("{} ", plain(whole)) } else { String::new() };
    Some(format!("{sign}{whole}{top}/{bottom}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Units;
    use toml::de::DeTable;

    #[track_caller]
    fn written(old: &str, bare: Option<LengthUnit>, set: &str, units: Units) -> String {
        let sheet = format!("key = {old}");
        let document = DeTable::parse(&sheet).expect("TOML");
        let value = document.get_ref().get("key").expect("the key").get_ref();
        let set = units.length("set", &Length::parse(set, None).expect("a length"));
        new_value(value, old, bare, &set, true).expect("a value").to_string()
    }

    #[test]
    fn lengths_keep_their_form() {
        let inch = Some(LengthUnit::Inch);
        for (old, set, new) in [
            ("\"14 in\"", "17.5 in", "\"17.5 in\""),
            ("\"14 1/2 in\"", "17.75 in", "\"17 3/4 in\""),
            ("\"1 ft 2 in\"", "17.5 in", "\"1 ft 5.5 in\""),
            ("\"1 ft 2 1/2 in\"", "17.5 in", "\"1 ft 5 1/2 in\""),
            ("\"1 ft 2 in\"", "24 in", "\"2 ft 0 in\""),
            ("\"1 ft 2 in\"", "3 in", "\"0 ft 3 in\""),
            ("\"2 in\"", "-1.5 in", "\"-1.5 in\""),
            ("14", "17.5 in", "17.5"),
            ("14.0", "17 in", "17.0"),
        ] {
            assert_eq!(written(old, inch, set, Units::US), new, "{old} to {set}");
        }
    }

    #[test]
    fn other_units_stay_as_far_as_they_hold_the_step() {
        assert_eq!(written("\"0.38 m\"", None, "40.5 cm", Units::METRIC), "\"0.405 m\"");
        assert_eq!(written("380", Some(LengthUnit::Millimetre), "40.5 cm", Units::METRIC), "405");
        // 10 in = 0.8333... ft.
        assert_eq!(written("\"1 ft\"", None, "10 in", Units::US), "\"10 in\"");
    }
}
