//! Examples in messages, for a crew whose tape is metric.

use super::{
    AreaUnit, LengthUnit, MassUnit, Measure, OfSystem, PerMassUnit, RowUnit, SpeedUnit, System,
    plain, round_half_away,
};

/// Words with the measures that stand in them in quotes turned from units of the United States to metric
/// ones, rounded to two figures, or to three or four where as many were given: `add "30 in"` becomes
/// `add "76 cm"`.
///
/// What is no measure, or is metric already, stays.
///
/// ```
/// use alleytrue::quantity::metric_examples;
/// assert_eq!(metric_examples("add `alley = \"30 in\"`"), "add `alley = \"76 cm\"`");
/// assert_eq!(metric_examples("\"17 ft 6 in\", \"2.8 mph\""), "\"5.3 m\", \"4.5 km/h\"");
/// assert_eq!(metric_examples("[\"238.1 in\"], \"0.9 s\""), "[\"604.8 cm\"], \"0.9 s\"");
/// assert_eq!(metric_examples("\"140000 /ac\" or \"calm\""), "\"350000 /ha\" or \"calm\"");
/// ```
#[must_use]
pub fn metric_examples(words: &str) -> String {
    let parts = words.split('"').enumerate().map(|(place, part)| {
        let turned = (place % 2 == 1).then(|| turned(part)).flatten();
        turned.unwrap_or_else(|| part.into())
    });
    parts.collect::<Vec<String>>().join("\"")
}

/// A measure of the United States in its metric unit.
fn turned(text: &str) -> Option<String> {
    of::<LengthUnit>(text)
        .or_else(|| of::<SpeedUnit>(text))
        .or_else(|| of::<AreaUnit>(text))
        .or_else(|| of::<RowUnit>(text))
        .or_else(|| of::<MassUnit>(text))
        .or_else(|| of::<PerMassUnit>(text))
}

fn of<U: OfSystem>(text: &str) -> Option<String> {
    let measure = Measure::<U>::parse(text, None).ok()?;
    let unit = measure.unit();
    let to = unit.in_system(System::Metric);
    if to == unit {
        return None;
    }
    let number = measure.value_in(to);
    let figures = text.chars().filter(char::is_ascii_digit).collect::<String>();
    let figures = figures.trim_start_matches('0').trim_end_matches('0').len().clamp(2, 4);
    let by_figures = measure.parts().count() == 1 && !text.contains('/');
    let spellings = to.spellings();
    let symbol = if spellings.contains(&to.symbol()) { to.symbol() } else { spellings.first()? };
    Some(format!("{} {symbol}", rounded(number, if by_figures { figures } else { 2 })))
}

/// A number to so many figures.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // powers of ten are few
fn rounded(number: f64, figures: usize) -> String {
    let power = number.abs().log10().floor() + 1.0 - figures as f64;
    if !power.is_finite() {
        return plain(number);
    }
    if power >= 0.0 {
        let ten = 10_f64.powf(power);
        return plain((number / ten).round() * ten);
    }
    let text = round_half_away(number, -power as usize);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
