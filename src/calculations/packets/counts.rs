//! How many packets of each size the trial, borders, fillers and test ranges take.

use std::collections::BTreeMap;

use crate::outcome::layout::Layout;
use crate::working::Value;

use super::inputs::{Field, Inputs, Lot};
use super::sizes::Sizes;

/// Packets of each size, the trial's own first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Counts {
    /// Those of every entry, where plots of the trial differ in length.
    pub(super) by_entry: Option<BTreeMap<u32, Vec<u32>>>,
    pub(super) borders: Vec<u32>,
    pub(super) fillers: Vec<u32>,
    pub(super) tests: Vec<u32>,
}

impl Counts {
    /// Packets of a plot times the plots of each kind.
    pub(super) fn of(
        inputs: &Inputs,
        laid_out: Option<&(&Field, Layout)>,
        sizes: &Sizes,
    ) -> Counts {
        let to_plot = whole(&sizes.own().to_plot);
        let mut tests = sizes.none();
        tests[0] = inputs.beside.test_plots.saturating_mul(to_plot);
        let none = sizes.none();
        let mut counts =
            Counts { by_entry: None, borders: none.clone(), fillers: none.clone(), tests };
        let Some((field, layout)) = laid_out else { return counts };
        let abreast = layout.grid.abreast;
        let add = |counts: &mut Vec<u32>, (near, far): (f64, f64), plots: u32| {
            let count = &mut counts[sizes.place(layout.metres(far - near))];
            *count = count.saturating_add(plots.saturating_mul(to_plot));
        };
        for border in layout.borders() {
            add(&mut counts.borders, (border.near, border.far), abreast);
        }
        let entries = entries(inputs, field, layout);
        let mut by_entry: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
        for plot in layout.plots() {
            let counts = match entries.get(&plot.number) {
                Some(entry) => by_entry.entry(*entry).or_insert_with(|| none.clone()),
                None => &mut counts.fillers,
            };
            add(counts, (plot.near, plot.far), 1);
        }
        let mixed = by_entry.values().any(|counts| counts[1..].iter().any(|count| *count > 0));
        counts.by_entry = Some(by_entry).filter(|_| mixed);
        counts
    }

    /// Those of an entry, where plots of the trial differ in length.
    pub(super) fn of_entry(&self, entry: u32, sizes: &Sizes) -> Option<Vec<u32>> {
        let by_entry = self.by_entry.as_ref()?;
        Some(by_entry.get(&entry).cloned().unwrap_or_else(|| sizes.none()))
    }

    /// Those that are packed from a lot besides its entry's own.
    pub(super) fn beside(&self, lot: &Lot, inputs: &Inputs, sizes: &Sizes) -> Vec<u32> {
        let beside = &inputs.beside;
        let own = |name: &Option<String>| name.as_deref() == Some(lot.name.as_str());
        let kinds = [
            (&self.borders, own(&beside.border_lot)),
            (&self.fillers, own(&beside.filler_lot)),
            (&self.tests, own(&beside.test_lot)),
        ];
        sum(kinds.into_iter().filter(|(_, own)| *own).map(|(counts, _)| counts), sizes)
    }
}

/// Counts added up, size by size.
pub(super) fn sum<'a>(all: impl Iterator<Item = &'a Vec<u32>>, sizes: &Sizes) -> Vec<u32> {
    all.fold(sizes.none(), |sum, counts| {
        sum.iter().zip(counts).map(|(one, more)| one.saturating_add(*more)).collect()
    })
}

pub(super) fn whole(value: &Value) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // counts within bounds
    let count = value.number().round().max(0.0) as u32;
    count
}

/// The entry of each plot that has one, by the number of the plot: as listed, or in the order of the
/// plots, rep by rep.
pub(super) fn entries(inputs: &Inputs, field: &Field, layout: &Layout) -> BTreeMap<u32, u32> {
    if let Some(listed) = &field.entries {
        return listed.clone();
    }
    let entries = inputs.entries.as_whole().unwrap_or(0);
    let reps = inputs.reps.as_whole().unwrap_or(0);
    let plots = layout.plots().filter(|plot| !plot.filler);
    let mut numbers: Vec<u32> = plots.map(|plot| plot.number).collect();
    numbers.sort_unstable();
    let all = (0..reps).flat_map(|_| 1..=entries);
    numbers.into_iter().zip(all).collect()
}
