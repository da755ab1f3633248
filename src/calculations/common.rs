//! What all calculations are worked with: the units, how sure to be, and the readings that were
//! asked to be left out.

use std::collections::BTreeMap;

use crate::outcome::Calculation;
use crate::statistics::Confidence;
use crate::working::Units;

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
}

impl Common {
    /// These units, intervals of 95 %, and nothing left out.
    #[must_use]
    pub fn new(units: Units) -> Common {
        Common { units, confidence: Confidence::NINETY_FIVE, left_out: BTreeMap::new() }
    }

    /// The readings of a calculation that were left out.
    #[must_use]
    pub fn left_out(&self, calculation: Calculation) -> &[usize] {
        self.left_out.get(calculation.key).map_or(&[], Vec::as_slice)
    }
}
