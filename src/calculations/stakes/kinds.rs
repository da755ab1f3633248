//! Ranges by the length of their plots: those of the trial's own length, others, fillers, borders.

use crate::calculations::Common;
use crate::quantity::{Decimal, Length, Unit};
use crate::working::Value;

use super::inputs::{Inputs, OtherPlots};
use super::units::length;

/// Ranges of one length that lie together, or all of the trial's own length.
pub(super) struct Kind {
    /// What they are called.
    pub(super) name: String,
    /// The tiers from its first to its last; none for those of the trial's own length, which lie
    /// around all others.
    pub(super) tiers: Vec<(u32, u32)>,
    /// How many ranges they are.
    pub(super) count: Value,
    /// Length of their plots.
    pub(super) plot: Value,
    /// From mark to mark.
    pub(super) trip_spacing: Value,
    /// How many of the ranges are fillers or borders, which belong to no entry.
    pub(super) of_the_trial: bool,
    /// Whether they are fillers.
    pub(super) fillers: bool,
}

impl OtherPlots {
    /// How many ranges they are.
    #[must_use]
    pub fn count(&self) -> u32 {
        self.last + 1 - self.first
    }

    /// What they are called: `range 9`, `ranges 9 to 12`.
    #[must_use]
    pub fn name(&self) -> String {
        let (first, last) = (self.first, self.last);
        if first == last { format!("range {first}") } else { format!("ranges {first} to {last}") }
    }
}

impl Inputs {
    /// Whether ranges differ in nothing.
    #[must_use]
    pub fn all_alike(&self) -> bool {
        self.others.is_empty() && self.own_border().is_none()
    }

    /// The length of border ranges, where there are any and it is not that of a plot.
    pub(super) fn own_border(&self) -> Option<&Length> {
        self.border_plot.as_ref().filter(|_| self.grid.border_ranges > 0)
    }

    /// Ranges whose plots have another length than those of the trial, each with how many it is.
    #[must_use]
    pub fn other_lengths(&self) -> Vec<(u32, Length)> {
        let differs = |length: &Length| length.base() != self.plot.base();
        let others = self.others.iter().map(|one| (one.count(), one.plot.clone()));
        let borders = self.own_border().map(|own| (2 * self.grid.border_ranges, own.clone()));
        let mut all: Vec<(u32, Length)> = vec![];
        for (count, length) in others.chain(borders).filter(|(_, length)| differs(length)) {
            // Fillers and borders of one length are ranges of one length.
            match all.iter_mut().find(|(_, known)| known.base() == length.base()) {
                Some((ranges, _)) => *ranges += count,
                None => all.push((count, length)),
            }
        }
        all
    }

    /// Ranges of plots of the trial that have another length, by their names.
    #[must_use]
    pub fn other_plots(&self) -> Vec<(String, Length)> {
        let others = self.others.iter().filter(|one| !one.fillers);
        others.map(|one| (one.name(), one.plot.clone())).collect()
    }

    /// Ranges of fillers.
    #[must_use]
    pub fn filler_ranges(&self) -> u32 {
        self.others.iter().filter(|one| one.fillers).map(OtherPlots::count).sum()
    }

    /// The kinds of ranges: the trial's own first, then others as they lie, then borders. `ranges` and
    /// `tiers` count those without and with borders.
    pub(super) fn kinds(
        &self,
        common: &Common,
        ranges: &Value,
        tiers: &Value,
        alley: &Value,
    ) -> Vec<Kind> {
        let plot = length(common, "plot", &self.plot);
        let trip_spacing = (&plot + alley).named("trip spacing");
        let (grid, border) = (&self.grid, self.own_border());
        let mut usual = if border.is_some() { ranges.clone() } else { tiers.clone() };
        let mut kinds = vec![];
        for other in &self.others {
            let name = other.name();
            let count = whole(format!("count of {name}"), other.count());
            usual = usual - &count;
            let plot = length(common, format!("plot of {name}"), &other.plot);
            kinds.push(Kind {
                tiers: vec![(grid.border_ranges + other.first, grid.border_ranges + other.last)],
                count,
                trip_spacing: (&plot + alley).named(format!("trip spacing of {name}")),
                name,
                plot,
                of_the_trial: !other.fillers,
                fillers: other.fillers,
            });
        }
        if let Some(border) = border {
            let plot = length(common, "length of border ranges", border);
            let count = Value::constant(2.0) * whole("border ranges".into(), grid.border_ranges);
            let far = grid.border_ranges + grid.ranges;
            kinds.push(Kind {
                name: "border ranges".into(),
                tiers: vec![(1, grid.border_ranges), (far + 1, grid.tiers())],
                count: count.named("border ranges at both ends"),
                trip_spacing: (&plot + alley).named("trip spacing of border ranges"),
                plot,
                of_the_trial: false,
                fillers: false,
            });
        }
        let count = if self.others.is_empty() { usual } else { usual.named("ranges of `plot`") };
        let name = "the trial".into();
        let usual = Kind {
            name,
            tiers: vec![],
            count,
            plot,
            trip_spacing,
            of_the_trial: true,
            fillers: false,
        };
        std::iter::once(usual).chain(kinds).collect()
    }
}

/// Whole ranges of a kind.
fn whole(name: String, number: u32) -> Value {
    Value::typed(name, Decimal::whole(number), Unit::ONE)
}

/// Where a mark stands: the first one, and the trip spacing of every range before it further on.
pub(super) fn mark(first_mark: &Value, kinds: &[Kind], number: u32) -> Value {
    let Some((usual, others)) = kinds.split_first() else { return first_mark.clone() };
    let before = |kind: &Kind| -> u32 {
        let of = |(first, last): &(u32, u32)| number.min(last + 1).saturating_sub(*first);
        kind.tiers.iter().map(of).sum()
    };
    let others: Vec<(u32, &Kind)> = others.iter().map(|kind| (before(kind), kind)).collect();
    let own = number.saturating_sub(1) - others.iter().map(|(count, _)| count).sum::<u32>();
    let all = std::iter::once((own, usual)).chain(others).filter(|(count, _)| *count > 0);
    all.fold(first_mark.clone(), |at, (count, kind)| {
        at + Value::constant(f64::from(count)) * &kind.trip_spacing
    })
}
