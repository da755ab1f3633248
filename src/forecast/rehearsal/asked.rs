//! The trial to rehearse as plain numbers, or why it can't be.

use thiserror::Error;

use crate::calculations::registry::Job;
use crate::calculations::stakes::MOST_PLOTS;
use crate::outcome::layout::Grid;
use crate::quantity::Length;
use crate::working::Units;

use super::inputs::Inputs;
use super::trial::{Limits, OtherRanges, Trial, Trips};
use super::unknowns::tape;

/// Plots that are drawn where nobody says how many trials.
const PLOTS_DRAWN: u64 = 5_000_000;
/// Trials that are drawn then, at the most and at the least.
const USUAL: u64 = 10_000;
const FEWEST: u64 = 200;
/// The most trials that may be asked for.
pub const MOST_DRAWS: u64 = 1_000_000;

/// Why a trial can't be rehearsed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NotRehearsed {
    /// Nobody knows how many plots there are.
    #[error("`ranges` and `passes` in [trial], so there is no trial to rehearse")]
    NoTrial,
    /// A plot has no length.
    #[error("`plot` and `alley` in [trial], so there is no plot to draw")]
    NoPlot,
    /// Nothing can be out.
    #[error("limit or tolerance, so no plot can be out of one")]
    NoLimit,
    /// More plots than a layout may have.
    #[error("room for a trial of {0} plots; up to {MOST_PLOTS} are rehearsed")]
    TooLarge(u64),
}

impl NotRehearsed {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            NotRehearsed::NoTrial => "add `ranges = 16` and `passes = 10` under [trial]",
            NotRehearsed::NoPlot => {
                "add `plot = \"17 ft 6 in\"` and `alley = \"30 in\"` under [trial]"
            }
            NotRehearsed::NoLimit => {
                "add `limit = { plot = \"2 in\", centre = \"2 in\" }` under [trial]"
            }
            NotRehearsed::TooLarge(_) => {
                "check `ranges` and `passes` in [trial], or split the trial into several sheets"
            }
        }
    }
}

impl Trial {
    /// The trial of a sheet.
    ///
    /// # Errors
    ///
    /// [`NotRehearsed`] where the sheet does not say what is to be planted.
    pub fn of(inputs: &Inputs, job: &Job) -> Result<Trial, NotRehearsed> {
        let grid = inputs.grid.ok_or(NotRehearsed::NoTrial)?;
        let (units, limits) = (&job.common.units, &job.common.limits);
        if grid.plots() > MOST_PLOTS {
            return Err(NotRehearsed::TooLarge(grid.plots()));
        }
        let plot = tape(inputs.plot.as_ref(), units).ok_or(NotRehearsed::NoPlot)?;
        let alley = tape(inputs.alley.as_ref(), units).ok_or(NotRehearsed::NoPlot)?;
        let limit = |limit: &Option<crate::calculations::limits::Limit>| {
            limit.as_ref().map(|limit| limit.value(units).number())
        };
        let limits = Limits {
            plot: limit(&limits.plot),
            centre: limit(&limits.centre),
            width: limit(&limits.width),
            // Alleys of passes that go one way lie alike, wherever they lie: their centres tell.
            lead: limit(&limits.lead).filter(|_| !grid.one_way),
            depth: limit(&limits.depth).filter(|_| inputs.depth.is_some()),
            stand: inputs.stand_limit.as_ref().map(crate::quantity::Measure::base),
        };
        if limits == Limits::default() {
            return Err(NotRehearsed::NoLimit);
        }
        Ok(Trial {
            ranges: grid.ranges,
            passes: grid.passes,
            abreast: grid.abreast,
            border_ranges: grid.border_ranges,
            border_passes: grid.border_passes,
            one_way: grid.one_way,
            trips: inputs.trips.unwrap_or(Trips::Counted),
            plot,
            others: others(inputs, grid, units, plot + alley, alley),
            limits,
            accept: job.common.limits.accept.share(),
        })
    }

    /// Trials to draw where nobody says how many: enough to tell, and few enough to wait for.
    #[must_use]
    pub fn usual_draws(&self) -> u64 {
        (PLOTS_DRAWN / self.plots().max(1)).clamp(FEWEST, USUAL)
    }
}

/// The ranges that are not like the others, borders among them, with all lengths in the unit of the tape.
fn others(
    inputs: &Inputs,
    grid: Grid,
    units: &Units,
    spacing: f64,
    alley: f64,
) -> Vec<OtherRanges> {
    let of = |(first, last): (u32, u32), length: &Length, fillers: bool| {
        let plot = length.value_in(units.length);
        OtherRanges { first, last, plot, spacing: (plot + alley) / spacing, fillers }
    };
    let before = grid.border_ranges;
    let own = inputs.others.iter().map(|others| {
        // Ranges of the trial count from 1, tiers here from 0.
        let tiers = (before + others.first - 1, before + others.last - 1);
        of(tiers, &others.plot, others.fillers)
    });
    let borders = inputs.border_plot.iter().filter(|_| before > 0).flat_map(|length| {
        let far = before + grid.ranges;
        [(0, before - 1), (far, grid.tiers() - 1)].map(|tiers| of(tiers, length, false))
    });
    own.chain(borders).collect()
}
