//! The three lengths of a plot: as planned, after trimming, as taped.

use crate::calculations::common::Common;
use crate::quantity::Length;
use crate::working::Value;

use super::formulas::{cut_to_cut, left_between_cuts, middle_to_middle, with_spacing};
use super::inputs::{Between, Inputs};

/// The three lengths that a yield may be worked out by.
pub(super) const WAYS: [&str; 3] = ["first to last seed", "with one spacing", "middle to middle"];

/// The lengths of a plot at one time.
pub(super) struct Lengths {
    /// Of which plot, for the tables.
    pub(super) of: String,
    /// Behind the names of its figures.
    pub(super) tag: String,
    /// Whether its length from middle to middle was said of another one already.
    pub(super) middles_said: bool,
    /// One for each of [`WAYS`].
    pub(super) ways: [Value; 3],
}

/// What the lengths are made of.
pub(super) struct Ground {
    /// The ranges it is of, where those have another length than the trial's own.
    ranges: Option<String>,
    pub(super) plot: Value,
    pub(super) middles: Value,
    pub(super) spacing: Value,
    /// Cut to cut as planned, where plots are trimmed.
    pub(super) cuts: Option<Value>,
}

impl Ground {
    /// The plots of the trial's own length.
    pub(super) fn of(inputs: &Inputs, common: &Common) -> Ground {
        Ground::of_length(inputs, common, &inputs.plot, None)
    }

    /// Plots of every other length.
    pub(super) fn others(inputs: &Inputs, common: &Common) -> Vec<Ground> {
        let other = |(ranges, length): &(String, Length)| {
            Ground::of_length(inputs, common, length, Some(ranges.clone()))
        };
        inputs.others.iter().map(other).collect()
    }

    fn of_length(
        inputs: &Inputs,
        common: &Common,
        length: &Length,
        ranges: Option<String>,
    ) -> Ground {
        let units = &common.units;
        let tag = tag(ranges.as_deref());
        let named = |way: &str| format!("{way}{tag}");
        let plot = units.length(named(WAYS[0]), length);
        let middles = middle_to_middle(&plot, &units.length("alley", &inputs.alley));
        let middles = middles.named(named(WAYS[2]));
        let trim = inputs.trim.as_ref().filter(|trim| trim.base() > 0.0);
        let cuts = trim.map(|trim| {
            cut_to_cut(&plot, &units.length("trimmed at each end", trim)).named(named("cut to cut"))
        });
        Ground { ranges, plot, middles, spacing: inputs.seeds.spacing(units), cuts }
    }

    /// What plots of this kind are planned to be.
    pub(super) fn planned(&self, between: Between) -> Option<&Value> {
        match between {
            Between::Plants => Some(&self.plot),
            Between::Cuts => self.cuts.as_ref(),
        }
    }

    /// The lengths of a plot that stands as it was planted.
    pub(super) fn standing(&self, of: &str, what: &str, plot: &Value) -> Lengths {
        let with = with_spacing(plot, &self.spacing);
        let ways =
            |tag: &str| [plot.clone(), with.named([WAYS[1], tag].concat()), self.middles.clone()];
        self.called(of, what, ways)
    }

    /// The lengths of a plot between its cuts: they hold as many spacings as plants.
    pub(super) fn between_cuts(&self, of: &str, what: &str, cuts: &Value) -> Lengths {
        let left = left_between_cuts(cuts, &self.spacing);
        let ways =
            |tag: &str| [left.named([WAYS[0], tag].concat()), cuts.clone(), self.middles.clone()];
        self.called(of, what, ways)
    }

    /// Lengths with what they are called: of these ranges where they are others, and then how.
    fn called(&self, of: &str, what: &str, ways: impl FnOnce(&str) -> [Value; 3]) -> Lengths {
        let tag = format!("{}{what}", tag(self.ranges.as_deref()));
        let of = match &self.ranges {
            Some(ranges) if what.is_empty() => ranges.clone(),
            Some(ranges) => format!("{ranges}{what}"),
            None => of.into(),
        };
        let ways = ways(&tag);
        Lengths { of, tag, middles_said: !what.is_empty(), ways }
    }

    /// As planned, and after trimming where that is planned.
    pub(super) fn lengths(&self) -> Vec<Lengths> {
        let mut all = vec![self.standing("as planned", "", &self.plot)];
        let trimmed = self.cuts.as_ref();
        all.extend(trimmed.map(|cuts| self.between_cuts("after trimming", ", trimmed", cuts)));
        all
    }
}

/// What stands behind the names of figures of other ranges.
fn tag(ranges: Option<&str>) -> String {
    ranges.map_or(String::new(), |ranges| format!(", {ranges}"))
}
