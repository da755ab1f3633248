//! What the harvest lengths need.

use crate::calculations::jitter::Seeds;
use crate::outcome::Calculation;
use crate::quantity::{Decimal, Length};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "harvest", title: "Harvest lengths" };

/// From where to where a plot was taped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    /// From the first plant of the plot to its last, before its ends were cut off.
    Plants,
    /// From cut to cut, after they were.
    Cuts,
}

/// What the harvest lengths need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot, first seed to last.
    pub plot: Length,
    /// Ranges whose plots have another length, each by its name.
    pub others: Vec<(String, Length)>,
    /// Width of an alley.
    pub alley: Length,
    /// The seeds of the trial, for their spacing.
    pub seeds: Seeds,
    /// Rows of one plot, where they are known, for its area.
    pub rows_per_plot: Option<Decimal>,
    /// What is cut off at each end of a plot before harvest, from its outermost plants.
    pub trim: Option<Length>,
    /// The length by which yields are worked out.
    pub entered: Option<Length>,
    /// Plots taped from first plant to last.
    pub plants: Vec<Length>,
    /// Plots taped from cut to cut; then there is a `trim` too.
    pub cuts: Vec<Length>,
    /// How far the mean length may be off.
    pub tolerance: Option<Length>,
    /// Whether the sheet says anything of the harvest, so that it belongs on the page of all.
    pub asked: bool,
}

impl Inputs {
    /// What was taped last and so is harvested: the cuts, where there are any.
    pub(super) fn between(&self) -> Between {
        if self.cuts.is_empty() { Between::Plants } else { Between::Cuts }
    }
}
