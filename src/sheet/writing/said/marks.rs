//! Marks that nobody named: they are where the sheet has them, a plot and an alley apart.

use crate::quantity::{Length, LengthUnit, MeasureUnit};
use crate::sheet::trial;
use crate::sheet::trip_run::{COMMANDED, MARKS};
use crate::working::Units;
use toml::de::DeValue;

use super::super::form::new_value;
use super::super::kinds::Kind;
use super::super::place::Places;
use super::super::run::{Given, spoken_text};

/// Adds the distance from mark to mark where the run needs one, was given none, and the sheet has
/// plot and alley; whether it did.
pub(super) fn add(
    kind: &Kind,
    keys: &mut Vec<(&'static str, Given)>,
    places: &Places<'_>,
    bare: Option<LengthUnit>,
) -> bool {
    let given = |name: &str| keys.iter().any(|(key, _)| *key == name);
    let has = kind.keys.iter().any(|key| key.name == MARKS.name);
    if !has || given(MARKS.name) || given(COMMANDED.name) {
        return false;
    }
    let Some(text) = spacing(places, bare) else { return false };
    let own = |name: &str| kind.keys.iter().any(|key| key.name == name);
    let at = keys.iter().position(|(name, _)| own(name)).unwrap_or(keys.len());
    keys.insert(at, (MARKS.name, Given::One(text)));
    true
}

/// Plot and alley together, in the form in which the plot was typed.
fn spacing(places: &Places<'_>, bare: Option<LengthUnit>) -> Option<String> {
    let path = |key: &'static str| [trial::KEYS.name, key];
    let plot = places.value(&path(trial::PLOT.name))?;
    let (plot_length, alley) = (
        length(places, &path(trial::PLOT.name), bare)?,
        length(places, &path(trial::ALLEY.name), bare)?,
    );
    let units = if plot_length.unit().compound().same(LengthUnit::Inch.compound())
        || plot_length.unit().compound().same(LengthUnit::Foot.compound())
    {
        Units::US
    } else {
        Units::METRIC
    };
    let sum = units.length("plot", &plot_length) + units.length("alley", &alley);
    let typed = places.text.get(plot.span())?;
    let value = new_value(plot.get_ref(), typed, bare, &sum, true)?;
    let text = spoken_text(&value);
    Some(text.strip_suffix(" 0 in").map_or_else(|| text.clone(), ToOwned::to_owned))
}

/// A length of the sheet.
pub(super) fn length(
    places: &Places<'_>,
    path: &[&str],
    bare: Option<LengthUnit>,
) -> Option<Length> {
    let value = places.value(path)?;
    match value.get_ref() {
        DeValue::String(text) => Length::parse(text, bare).ok(),
        DeValue::Integer(_) | DeValue::Float(_) => {
            Length::parse(places.text.get(value.span())?, bare).ok()
        }
        _ => None,
    }
}
