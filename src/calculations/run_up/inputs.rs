//! What the run-up needs.

use crate::calculations::jitter::Seeds;
use crate::outcome::Calculation;
use crate::quantity::{Decimal, Duration, Length, Speed};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "run-up", title: "Run-up" };

/// When the first lot of a pass gets onto an empty plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fills {
    /// Once the planter is at speed: the way that fills the plate comes on top of the run-up.
    AtSpeed,
    /// While it stands: the plate turns with the ground from the first foot on, and fills on the way.
    Standing,
    /// At the first mark, by the changeover there as at every other mark: no way is needed for it.
    AtFirstMark,
}

/// What the run-up needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Ground speed of the trial.
    pub speed: Speed,
    /// Its seeds, for their spacing.
    pub seeds: Seeds,
    /// Cells from pick-up to release.
    pub carry: Decimal,
    /// When the plate is filled.
    pub fills: Fills,
    /// What of the machine has to stand in the headland behind the place where it starts.
    pub machine: Option<Length>,
    /// Time from standing to speed, as it was taken once.
    pub time: Option<Duration>,
    /// Ways from standing to speed that were taped.
    pub distances: Vec<Length>,
    /// Times from standing to speed. With none of the three there is nothing to work out.
    pub times: Vec<Duration>,
    /// Half of the alley, which the first mark stands before the plots.
    pub alley: Option<Length>,
    /// From the start line to the first planted ground, where it is known.
    pub headland: Option<Length>,
    /// From the last planted ground to the far edge, where it is another.
    pub end_headland: Option<Length>,
    /// Length of a plot, where it is known.
    pub plot: Option<Length>,
    /// First plots of passes: passes with their borders, and plots abreast.
    pub first_plots: Option<u32>,
}
