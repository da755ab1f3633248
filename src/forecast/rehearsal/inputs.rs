//! What a rehearsal needs of a sheet besides its measurements: the trial as staked.

use crate::calculations::jitter::Seeds;
use crate::calculations::stakes;
use crate::outcome::layout::{Grid, Side};
use crate::quantity::{Length, SeedRate, Share};

use super::trial::Trips;

/// What a rehearsal needs of a sheet besides its measurements; what it does not say is missing.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// How many of everything; without ranges and passes there is nothing to rehearse.
    pub grid: Option<Grid>,
    /// Whether the field is laid out, or only its ranges and passes are known.
    pub laid_out: bool,
    /// The side where pass 1 lies.
    pub first_pass: Side,
    /// What gives the trips of a pass.
    pub trips: Option<Trips>,
    /// Length of a plot.
    pub plot: Option<Length>,
    /// Ranges that are not like the others.
    pub others: Vec<stakes::OtherPlots>,
    /// Length of border ranges, where it is not that of a plot.
    pub border_plot: Option<Length>,
    /// Width of an alley.
    pub alley: Option<Length>,
    /// Rows of one plot.
    pub rows: Option<u32>,
    /// Distance between rows.
    pub row_spacing: Option<Length>,
    /// Bare ground between passes, besides the row spacing.
    pub pass_gap: Option<Length>,
    /// The seeds.
    pub seeds: Option<Seeds>,
    /// How far the stand of a plot may be off.
    pub stand_limit: Option<Share>,
    /// Plants wanted.
    pub stand: Option<SeedRate>,
    /// Share of seeds that germinate.
    pub germination: Option<Share>,
    /// Share of those that come up.
    pub emergence: Option<Share>,
    /// Whether a depth is wanted.
    pub depth: Option<Length>,
}
