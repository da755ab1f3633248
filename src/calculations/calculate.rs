//! What every calculation has in common: how it is called, what it needs, and how it takes its
//! turn in working order.

use crate::outcome::{Calculation, Outcome, WarningKind};
use crate::working::Value;

use super::common::Common;
use super::sprockets::SearchError;

/// How a calculation stands in the registry: for the command line, help and messages.
#[derive(Debug)]
pub struct Entry {
    /// Its key and title.
    pub calculation: Calculation,
    /// The subcommand that shows it; several may share one.
    pub command: &'static str,
    /// What the subcommand answers, in a line of the help; empty where another has said it.
    pub about: &'static str,
    /// What a sheet lacks that has no data for it, after "the sheet has no".
    pub lacks: &'static str,
    /// What to add to such a sheet.
    pub advice: &'static str,
    /// Whether it has readings that can be left out.
    pub has_readings: bool,
    /// The runs that measure what it works out, by their tables; none where another has them.
    pub runs: &'static [&'static str],
    /// Remarks of its own, besides those that all share.
    pub warnings: &'static [&'static WarningKind],
    /// The tolerances it holds its result against: the key in `[trial.tolerance]`, and in words
    /// what is good enough, for the cab card.
    pub tolerances: &'static [(&'static str, &'static str)],
}

/// Inputs of a calculation.
pub trait Calculate {
    /// How it stands in the registry.
    fn entry(&self) -> &'static Entry;

    /// Leaves readings of the calculation called `key` out, by their place counted from one
    /// through all runs in the order they are shown; returns how many there were, none where it
    /// is another calculation.
    fn leave_out(&mut self, _key: &str, _places: &[usize]) -> usize {
        0
    }

    /// The results where it is asked for by itself.
    ///
    /// # Errors
    ///
    /// [`SearchError`] where the drive has too many sprocket combinations to search.
    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError>;

    /// Takes its turn in working order; by itself it adds what it has alone.
    ///
    /// # Errors
    ///
    /// [`SearchError`] where the drive has too many sprocket combinations to search.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        so_far.outcomes.extend(self.alone(common)?);
        Ok(())
    }
}

/// What the calculations before have found, while a sheet is worked out in order.
#[derive(Debug, Default)]
pub struct SoFar {
    /// Their results.
    pub outcomes: Vec<Outcome>,
    /// Keys of all calculations that the sheet has data for.
    pub present: Vec<&'static str>,
    /// The shift that a change of the setback will take out, where one is to be made.
    pub pending_shift: Option<Value>,
}

impl SoFar {
    /// Whether the sheet has data for any of these.
    #[must_use]
    pub fn has_any(&self, keys: &[&str]) -> bool {
        self.present.iter().any(|key| keys.contains(key))
    }
}
