//! The lengths that every place of a field follows from.

use crate::working::Arithmetic;

/// Where the n-th of a row of evenly spaced things lies: first + (n - 1) × spacing.
///
/// Each is counted from the first, so that nothing rounded adds up.
pub(crate) fn nth<T: Arithmetic>(first: &T, spacing: &T, number: T) -> T {
    first.clone() + (number - T::exactly(1.0)) * spacing.clone()
}

/// Tiers one after the other whose plots have a length of their own, or are fillers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// The first tier, the one next to the start line being 1.
    pub(crate) first: u32,
    /// The last one.
    pub(crate) last: u32,
    /// Length of its plots.
    pub(crate) plot: f64,
    /// Whether its plots belong to no entry.
    pub(crate) fillers: bool,
}

/// The lengths that places follow from.
#[derive(Clone, Debug)]
pub(crate) struct Sizes {
    pub(crate) plot: f64,
    /// Tiers that are not like the others.
    pub(crate) stretches: Vec<Stretch>,
    pub(crate) trip_spacing: f64,
    pub(crate) plot_width: f64,
    pub(crate) pass_pitch: f64,
    pub(crate) headland: f64,
    pub(crate) first_mark: f64,
    pub(crate) side_margin: f64,
    pub(crate) length: f64,
    pub(crate) width: f64,
    /// Metres in a field unit.
    pub(crate) metres: f64,
}

impl Sizes {
    /// The stretch that a tier belongs to, where it is not like the others.
    fn stretch(&self, tier: u32) -> Option<&Stretch> {
        self.stretches.iter().find(|one| (one.first..=one.last).contains(&tier))
    }

    /// Length of the plots of a tier.
    pub(super) fn plot_of(&self, tier: u32) -> f64 {
        self.stretch(tier).map_or(self.plot, |stretch| stretch.plot)
    }

    /// Whether the plots of a tier are fillers.
    pub(super) fn fills(&self, tier: u32) -> bool {
        self.stretch(tier).is_some_and(|stretch| stretch.fillers)
    }

    /// How much further on something lies for the lengths of the tiers before this one.
    pub(super) fn further(&self, tier: u32) -> f64 {
        let before = |stretch: &Stretch| {
            let tiers = tier.min(stretch.last + 1).saturating_sub(stretch.first);
            f64::from(tiers) * (stretch.plot - self.plot)
        };
        self.stretches.iter().map(before).sum()
    }
}
