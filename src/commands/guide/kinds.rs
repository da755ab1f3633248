//! The kinds of run, and the calculation that speaks about each.

use crate::calculations::registry::ALL;
use crate::calculations::{alley, changeover, evenness, spacing, speed_law};
use crate::outcome::cautions::{CHANGEOVER, MANUAL_FIRST, ON_THE_RANGE, STOP_FIRST, TURNING_WHEEL};
use crate::outcome::{Calculation, Caution};
use crate::sheet::writing::{KINDS, Kind};

/// Kinds whose calculation goes by another name.
const OTHERWISE: [(&str, Calculation); 2] =
    [("changeover", changeover::ADVICE), ("spacing", evenness::CALCULATION)];
/// Other calculations, and what is measured for them.
const ALSO: [(Calculation, &str); 3] = [
    (changeover::CALCULATION, "changeover"),
    (spacing::CALCULATION, "wheel"),
    (speed_law::CALCULATION, alley::CALCULATION.key),
];

/// For turns that are counted beside a wheel.
static AT_THE_WHEEL: [&Caution; 3] = [&MANUAL_FIRST, &STOP_FIRST, &TURNING_WHEEL];

/// A kind by its name.
pub(super) fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.name == name.to_lowercase())
}

/// What to measure for a calculation.
pub(super) fn for_calculation(calculation: Calculation) -> Option<&'static Kind> {
    let also = ALSO.iter().find(|(of, _)| *of == calculation).and_then(|(_, name)| named(name));
    also.or_else(|| KINDS.iter().find(|kind| calculation_of(kind) == Some(calculation)))
}

/// The calculation that a kind is measured for: the one of its name, or of many of it.
pub(super) fn calculation_of(kind: &Kind) -> Option<Calculation> {
    let otherwise = OTHERWISE.iter().find(|(name, _)| *name == kind.name).map(|(_, of)| *of);
    otherwise.or_else(|| {
        let names = ["", "s", "es"].map(|end| [kind.name, end].concat());
        let all = ALL.iter().map(|entry| entry.calculation);
        all.into_iter().find(|calculation| names.iter().any(|name| name == calculation.key))
    })
}

/// What protects who measures.
pub(super) fn cautions_of(kind: &Kind) -> &'static [&'static Caution] {
    match kind.name {
        "wheel" => &AT_THE_WHEEL,
        "changeover" => CHANGEOVER,
        _ => ON_THE_RANGE,
    }
}

/// What one reading of a kind is called, and many.
pub(super) fn called(kind: &Kind, answers: &[(&'static str, String)]) -> (String, &'static str) {
    let given = |name: &str| answers.iter().any(|(key, _)| *key == name);
    let pair = kind.pair.as_ref().map(|pair| pair.many);
    let plain = || kind.values.iter().find(|to| to.with.is_none_or(given)).map(|to| to.many);
    let many = pair.or_else(plain).unwrap_or("readings");
    (many.strip_suffix('s').unwrap_or(many).to_owned(), many)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_measured_for_a_calculation() {
        for kind in KINDS.iter() {
            let of = calculation_of(kind).unwrap_or_else(|| panic!("{}", kind.name));
            assert_eq!(for_calculation(of).map(|kind| kind.name), Some(kind.name));
        }
        for (calculation, name) in ALSO {
            assert_eq!(for_calculation(calculation).map(|kind| kind.name), Some(name));
        }
    }
}
