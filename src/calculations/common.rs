//! What all calculations are worked with: the units, how sure to be, and the readings that were
//! asked to be left out.

use std::collections::BTreeMap;

use crate::outcome::setting::Setting;
use crate::outcome::{ByHand, Calculation};
use crate::statistics::Confidence;
use crate::working::Units;

use super::limits::Limits;

/// What is the same for every calculation of one sheet.
#[derive(Clone, Debug)]
pub struct Common {
    /// Units that results are worked and printed in.
    pub units: Units,
    /// Confidence of the intervals.
    pub confidence: Confidence,
    /// Readings left out, by the key of their calculation: their places counted from one through
    /// all runs, in the order they are shown.
    pub left_out: BTreeMap<String, Vec<usize>>,
    /// The last change of everything that was ever changed.
    pub changes: Vec<LastChange>,
    /// What the sheet asks of single plots.
    pub limits: Limits,
}

/// What was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changed {
    /// A setting that the sheet holds.
    Setting(&'static Setting),
    /// What hands adjust.
    Hand(ByHand),
}

impl Changed {
    /// Its key.
    #[must_use]
    pub fn key(self) -> String {
        match self {
            Changed::Setting(setting) => setting.key.into(),
            Changed::Hand(what) => what.key(),
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Changed::Setting(setting) => setting.name.into(),
            Changed::Hand(what) => what.name(),
        }
    }
}

/// The last change of a setting, or of what hands adjust.
#[derive(Clone, Debug)]
pub struct LastChange {
    /// What was changed.
    pub what: Changed,
    /// When: year, month, day.
    pub date: String,
    /// What it was, as typed.
    pub from: String,
    /// The same in millimetres, seconds or as the plain number.
    pub from_base: f64,
    /// What it was changed to, as typed.
    pub to: String,
    /// The same as `from_base` has it.
    pub to_base: f64,
    /// Whether anything that tells of the setting was planted and measured since.
    pub measured: bool,
}

impl LastChange {
    /// It in words.
    pub(super) fn in_words(&self) -> String {
        let LastChange { what, date, from, to, .. } = self;
        format!("the {} was changed from {from} to {to} on {date}", what.name())
    }
}

impl Common {
    /// These units, intervals of 95 %, and nothing left out.
    #[must_use]
    pub fn new(units: Units) -> Common {
        Common {
            units,
            confidence: Confidence::NINETY_FIVE,
            left_out: BTreeMap::new(),
            changes: vec![],
            limits: Limits::none(),
        }
    }

    /// The last change of a setting, where it was ever changed.
    #[must_use]
    pub fn last_change(&self, setting: &'static Setting) -> Option<&LastChange> {
        self.changes.iter().find(|change| change.what == Changed::Setting(setting))
    }

    /// The last change of what hands adjust, where it was ever changed.
    #[must_use]
    pub fn last_change_by_hand(&self, what: ByHand) -> Option<&LastChange> {
        self.changes.iter().find(|change| change.what == Changed::Hand(what))
    }

    /// The readings of a calculation that were left out.
    #[must_use]
    pub fn left_out(&self, calculation: Calculation) -> &[usize] {
        self.left_out.get(calculation.key).map_or(&[], Vec::as_slice)
    }
}
