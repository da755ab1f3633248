//! What all calculations are worked with: the units, how sure to be, and the readings that were
//! asked to be left out.

use std::collections::BTreeMap;

use crate::outcome::cautions::{Caution, DRIVEN_BACK, ON_THE_RANGE};
use crate::outcome::{Calculation, Changed};
use crate::quantity::same_but_for_writing;
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
    /// Every change of a setting or of what hands adjust, in the order of the sheet.
    pub changes: Vec<ChangeMade>,
    /// What the sheet asks of single plots.
    pub limits: Limits,
    /// Whether every pass of the trial goes out: no pass has a neighbour that comes home.
    pub one_way: bool,
}

impl Common {
    /// What protects those who measure behind the planter: where all passes go one way, on the way back
    /// too.
    #[must_use]
    pub fn on_the_range(&self) -> Vec<&'static Caution> {
        let back = self.one_way.then_some(&DRIVEN_BACK);
        ON_THE_RANGE.iter().copied().chain(back).collect()
    }
}

/// One change of a setting, or of what hands adjust.
#[derive(Clone, Debug)]
pub struct ChangeMade {
    /// What was changed.
    pub what: Changed,
    /// Which change of the sheet it was, from zero.
    pub place: usize,
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
    /// Whether no later change is of the same.
    pub is_last: bool,
    /// Whether what it was is what it is again.
    pub from_is_now: bool,
    /// Whether what it was changed to is what it is.
    pub to_is_now: bool,
    /// Whether anything that tells of the setting was planted and measured since.
    pub measured: bool,
}

impl ChangeMade {
    /// It in words.
    pub(super) fn in_words(&self) -> String {
        let ChangeMade { what, date, from, to, .. } = self;
        format!("the {} was changed from {from} to {to} on {date}", what.name())
    }

    /// Whether a run was planted with what it was before; `then` is what it was planted with, as
    /// `from_base` has it, where that is another than now.
    pub(super) fn had_before(&self, then: Option<f64>) -> bool {
        then.map_or(self.from_is_now, |then| is_one(then, self.from_base))
    }

    /// The same of what it was changed to.
    pub(super) fn had_after(&self, then: Option<f64>) -> bool {
        then.map_or(self.to_is_now, |then| is_one(then, self.to_base))
    }
}

/// Whether two values of a setting are one; nought is as near to nought as can be.
fn is_one(then: f64, other: f64) -> bool {
    then == other || same_but_for_writing(then, other)
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
            one_way: false,
        }
    }

    /// The last change of a setting, or of what hands adjust, where it was ever changed.
    #[must_use]
    pub fn last_change(&self, what: Changed) -> Option<&ChangeMade> {
        self.changes.iter().find(|change| change.what == what && change.is_last)
    }

    /// The changes of it that others followed.
    pub(super) fn earlier_changes(&self, what: Changed) -> impl Iterator<Item = &ChangeMade> {
        self.changes.iter().filter(move |change| change.what == what && !change.is_last)
    }

    /// The readings of a calculation that were left out.
    #[must_use]
    pub fn left_out(&self, calculation: Calculation) -> &[usize] {
        self.left_out.get(calculation.key).map_or(&[], Vec::as_slice)
    }
}
