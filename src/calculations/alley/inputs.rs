//! What the alley calculation needs.

use crate::calculations::jitter::{self, Seeds};
use crate::calculations::leads::LeadRun;
use crate::outcome::MovingSetting;
use crate::quantity::Length;
use crate::working::{Units, Value};

use super::runs::{AlleyRun, Group};

/// What the alley calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Runs at the present settings; every list holds at least one alley.
    pub runs: Vec<AlleyRun>,
    /// Leads, which part planter from marks where the alleys are of one heading.
    pub leads: Vec<LeadRun>,
    /// The alley that is wanted.
    pub alley: Length,
    /// Plot length, where known.
    pub plot: Option<Length>,
    /// The setting that moves alleys relative to their marks.
    pub setback: MovingSetting,
    /// How far the middle may lie from its mark.
    pub tolerance: Option<Length>,
    /// How far the width may be off.
    pub width_tolerance: Option<Length>,
    /// The seeds, for the scatter they bring by themselves.
    pub seeds: Option<Seeds>,
}

impl Inputs {
    /// The scatter of one middle that seed spacing brings by itself.
    pub(super) fn jitter(&self, groups: &[Group], units: &Units) -> Option<Value> {
        let one_side = groups.iter().any(|group| group.leans);
        self.seeds.as_ref().map(|seeds| {
            let spacing = seeds.spacing(units);
            let jitter =
                if one_side { jitter::of_edge(&spacing) } else { jitter::of_centre(&spacing) };
            jitter.named("SD by seed spacing alone")
        })
    }
}
