//! The three lengths of a plot: as planned, after trimming, as taped.

use crate::calculations::common::Common;
use crate::working::Value;

use super::formulas::{cut_to_cut, left_between_cuts, middle_to_middle, with_spacing};
use super::inputs::{Between, Inputs};

/// The three lengths that a yield may be worked out by.
pub(super) const WAYS: [&str; 3] = ["first to last seed", "with one spacing", "middle to middle"];

/// The lengths of a plot at one time.
pub(super) struct Lengths {
    /// Of which plot, for the tables.
    pub(super) of: &'static str,
    /// Behind the names of its figures.
    pub(super) tag: &'static str,
    /// One for each of [`WAYS`].
    pub(super) ways: [Value; 3],
}

/// What the lengths are made of.
pub(super) struct Ground {
    pub(super) plot: Value,
    pub(super) middles: Value,
    pub(super) spacing: Value,
    /// Cut to cut as planned, where plots are trimmed.
    pub(super) cuts: Option<Value>,
}

impl Ground {
    pub(super) fn of(inputs: &Inputs, common: &Common) -> Ground {
        let units = &common.units;
        let plot = units.length(WAYS[0], &inputs.plot);
        let middles = middle_to_middle(&plot, &units.length("alley", &inputs.alley)).named(WAYS[2]);
        let trim = inputs.trim.as_ref().filter(|trim| trim.base() > 0.0);
        let cuts = trim.map(|trim| {
            cut_to_cut(&plot, &units.length("trimmed at each end", trim)).named("cut to cut")
        });
        Ground { plot, middles, spacing: inputs.seeds.spacing(units), cuts }
    }

    /// What plots of this kind are planned to be.
    pub(super) fn planned(&self, between: Between) -> Option<&Value> {
        match between {
            Between::Plants => Some(&self.plot),
            Between::Cuts => self.cuts.as_ref(),
        }
    }

    /// The lengths of a plot that stands as it was planted.
    pub(super) fn standing(&self, of: &'static str, tag: &'static str, plot: &Value) -> Lengths {
        let with = with_spacing(plot, &self.spacing).named([WAYS[1], tag].concat());
        Lengths { of, tag, ways: [plot.clone(), with, self.middles.clone()] }
    }

    /// The lengths of a plot between its cuts: they hold as many spacings as plants.
    pub(super) fn between_cuts(
        &self,
        of: &'static str,
        tag: &'static str,
        cuts: &Value,
    ) -> Lengths {
        let left = left_between_cuts(cuts, &self.spacing).named([WAYS[0], tag].concat());
        Lengths { of, tag, ways: [left, cuts.clone(), self.middles.clone()] }
    }

    /// As planned, and after trimming where that is planned.
    pub(super) fn lengths(&self) -> Vec<Lengths> {
        let mut all = vec![self.standing("as planned", "", &self.plot)];
        let trimmed = self.cuts.as_ref();
        all.extend(trimmed.map(|cuts| self.between_cuts("after trimming", ", trimmed", cuts)));
        all
    }
}
