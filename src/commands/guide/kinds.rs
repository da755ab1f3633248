//! The kinds of run, and the calculation that speaks about each.

use crate::calculations::{
    alley, changeover, depth, evenness, guess_rows, harvest, passes, rows, run_up, spacing, speed,
    speed_law, stand, trip, wheel,
};
use crate::outcome::cautions::{CHANGEOVER, MANUAL_FIRST, ON_THE_RANGE, STOP_FIRST, TURNING_WHEEL};
use crate::outcome::{Calculation, Caution};
use crate::sheet::writing::{KINDS, Kind};

/// What is measured, and the calculation that it is measured for.
const OF_KIND: [(&str, Calculation); 13] = [
    ("speed", speed::CALCULATION),
    ("wheel", wheel::CALCULATION),
    ("trip", trip::CALCULATION),
    ("alley", alley::CALCULATION),
    ("pass", passes::CALCULATION),
    ("guess-row", guess_rows::CALCULATION),
    ("changeover", changeover::ADVICE),
    ("row", rows::CALCULATION),
    ("depth", depth::CALCULATION),
    ("spacing", evenness::CALCULATION),
    ("stand", stand::CALCULATION),
    ("harvest", harvest::CALCULATION),
    ("run-up", run_up::CALCULATION),
];
/// Other calculations, and what is measured for them.
const ALSO: [(Calculation, &str); 3] = [
    (changeover::CALCULATION, "changeover"),
    (spacing::CALCULATION, "wheel"),
    (speed_law::CALCULATION, "alley"),
];

/// For turns that are counted beside a wheel.
static AT_THE_WHEEL: [&Caution; 3] = [&MANUAL_FIRST, &STOP_FIRST, &TURNING_WHEEL];

/// A kind by its name.
pub(super) fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.name == name.to_lowercase())
}

/// What to measure for a calculation.
pub(super) fn for_calculation(calculation: Calculation) -> Option<&'static Kind> {
    let own = OF_KIND.iter().map(|(name, of)| (*of, *name)).chain(ALSO);
    own.into_iter().find(|(of, _)| *of == calculation).and_then(|(_, name)| named(name))
}

/// The calculation that a kind is measured for.
pub(super) fn calculation_of(kind: &Kind) -> Option<Calculation> {
    OF_KIND.iter().find(|(name, _)| *name == kind.name).map(|(_, of)| *of)
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
    use crate::calculations::registry::ALL;

    #[test]
    fn every_kind_is_measured_for_a_calculation() {
        for kind in KINDS.iter() {
            let of = calculation_of(kind).unwrap_or_else(|| panic!("{}", kind.name));
            assert_eq!(for_calculation(of).map(|kind| kind.name), Some(kind.name));
        }
        for entry in ALL.iter().filter(|entry| !["stakes", "packets"].contains(&entry.command)) {
            assert!(for_calculation(entry.calculation).is_some(), "{}", entry.command);
        }
    }
}
