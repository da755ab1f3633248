//! What the layout needs.

use crate::outcome::layout::{Grid, Numbering, Side};
use crate::quantity::{Decimal, Length};

/// Most plots of one layout: more than any field, and what a page or a list can hold.
pub const MOST_PLOTS: u64 = 50_000;

/// What the layout needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot.
    pub plot: Length,
    /// Ranges with other plots, in the order they lie.
    pub others: Vec<OtherPlots>,
    /// Length of what is planted in border ranges; as a plot where not given.
    pub border_plot: Option<Length>,
    /// Width of an alley.
    pub alley: Length,
    /// Rows planted in one pass.
    pub rows: Decimal,
    /// Rows of one plot; they divide the rows of a pass.
    pub rows_per_plot: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// How many of everything.
    pub grid: Grid,
    /// From the start line to the first planted ground.
    pub headland: Length,
    /// From the last planted ground to the far edge; as the headland where not given.
    pub end_headland: Option<Length>,
    /// Bare ground along either side.
    pub side_margin: Option<Length>,
    /// Bare ground between passes, besides the row spacing.
    pub pass_gap: Option<Length>,
    /// Spare wire beyond either outermost mark.
    pub wire_end: Option<Length>,
    /// Length of the tape that marks are set with.
    pub tape: Option<Length>,
    /// How plots are numbered.
    pub numbering: Numbering,
    /// How the field lies on the globe.
    pub place: Option<Place>,
    /// Entries and replications of the trial.
    pub entries_and_reps: Option<(Decimal, Decimal)>,
    /// The error of one trip spacing that may stand.
    pub trip_tolerance: Option<Length>,
    /// Whether something on the ground makes the planter trip at every mark.
    pub trips_at_marks: bool,
}

/// Ranges whose plots are not as long as those of the trial, or belong to no entry.
#[derive(Clone, Debug)]
pub struct OtherPlots {
    /// The first of the ranges, the one next to the start line being 1.
    pub first: u32,
    /// The last of them.
    pub last: u32,
    /// Length of their plots.
    pub plot: Length,
    /// Whether they are fillers.
    pub fillers: bool,
}

/// A corner of the start line on the globe, and the bearing of the travel out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Latitude of the corner, degrees.
    pub latitude: f64,
    /// Longitude of the corner, degrees.
    pub longitude: f64,
    /// Which end of the start line it is.
    pub corner: Side,
    /// Bearing of the travel out from true north, clockwise, degrees.
    pub bearing: f64,
}
