//! All seed of a trial, part by part: the lots, entries without one, fillers, borders, test ranges.

use crate::calculations::{Common, stakes};
use crate::quantity::Unit;
use crate::working::Value;

use super::counts::{Counts, sum, whole};
use super::ground::Ground;
use super::inputs::{Inputs, Lot};
use super::sizes::Sizes;

/// What one part of the seed comes to, with what is planted besides from the same lot counted where it
/// is planted.
#[derive(Clone, Debug)]
pub struct Part {
    /// What it is for: the name of a lot, `fillers`, `borders`.
    pub name: String,
    /// Its plots.
    pub plots: Value,
    /// Its seeds.
    pub seeds: Value,
    /// Their mass in grams, by the weight of the lot or the common one, where that is known.
    pub mass: Option<Value>,
}

/// All seed of a trial, part by part; parts that take none are left out.
#[must_use]
pub fn parts(inputs: &Inputs, common: &Common) -> Vec<Part> {
    let sizes = Sizes::of(inputs, common, &Ground::of(inputs, common));
    let counts = Counts::of(inputs, inputs.laid_out(common).as_ref(), &sizes);
    let to_plot = whole(&sizes.own().to_plot);
    let weighed = |lot: Option<&Lot>| -> Option<Vec<Value>> {
        let own =
            lot.and_then(|lot| Some((format!("entry {}: ", lot.entry), lot.weight.as_ref()?)));
        let (of, weight) = match own {
            Some(own) => own,
            None => (String::new(), inputs.weight.as_ref()?),
        };
        Some(sizes.masses(&of, weight, inputs))
    };
    let part = |name: &str, packets: &[u32], lot: Option<&Lot>| {
        let masses = weighed(lot);
        let what = format!("packets, {name}");
        let seeds = sizes.seeds(packets, &what)?;
        let mass = sizes.all(packets, &what, |place, _| masses.as_ref()?.get(place).cloned());
        let plots = packets.iter().sum::<u32>() / to_plot.max(1);
        let of = format!("plots, {name}");
        Some(Part {
            name: name.into(),
            plots: Value::found(of, f64::from(plots), Unit::ONE, "counted"),
            seeds: seeds.named_as(format!("seed, {name}"), "seeds"),
            mass: mass.map(|mass| mass.named(format!("mass, {name}"))),
        })
    };
    let alike = |plots: u32| {
        let mut packets = sizes.none();
        packets[0] = plots.saturating_mul(to_plot);
        packets
    };
    let reps = inputs.reps.as_whole().unwrap_or(0);
    let of_entry = |entry: u32| counts.of_entry(entry, &sizes).unwrap_or_else(|| alike(reps));
    let mut all: Vec<Part> = vec![];
    all.extend(
        inputs.lots.iter().filter_map(|lot| part(&lot.name, &of_entry(lot.entry), Some(lot))),
    );
    let entries = inputs.entries.as_whole().unwrap_or(0);
    let named = |entry: &u32| inputs.lots.iter().any(|lot| lot.entry == *entry);
    let others: Vec<Vec<u32>> = (1..=entries).filter(|entry| !named(entry)).map(of_entry).collect();
    all.extend(part("other entries", &sum(others.iter(), &sizes), None));
    let of_name = |name: &Option<String>| {
        let name = name.as_ref()?;
        inputs.lots.iter().find(|lot| lot.name == *name)
    };
    let beside = &inputs.beside;
    let fillers = match inputs.plan {
        Some(_) => counts.fillers.clone(),
        None => alike(left(inputs)),
    };
    all.extend(part("fillers", &fillers, of_name(&beside.filler_lot)));
    all.extend(part("borders", &counts.borders, of_name(&beside.border_lot)));
    all.extend(part("test ranges", &counts.tests, of_name(&beside.test_lot)));
    all
}

/// Plots of a field without a layout that no entry takes.
fn left(inputs: &Inputs) -> u32 {
    let Some([ranges, passes, rows]) = inputs.field else { return 0 };
    let value = |name, number| Value::typed(name, number, Unit::ONE);
    let rows_per_plot = value("rows of a plot", inputs.rows_per_plot);
    let abreast = stakes::plots_abreast(&value("rows of the planter", rows), &rows_per_plot);
    let field = stakes::plots(&value("ranges", ranges), &value("passes", passes), &abreast);
    let trial =
        stakes::plots_needed(&value("entries", inputs.entries), &value("reps", inputs.reps));
    whole(&stakes::left_to_fill(&field, &trial))
}
