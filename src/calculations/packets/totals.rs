//! Seeds and packets of the trial and its parts.

use crate::quantity::Unit;
use crate::working::Value;

use super::counts::{Counts, sum};
use super::inputs::Inputs;
use super::sizes::Sizes;

/// Seeds and packets of the trial and its parts.
pub(super) struct Totals {
    pub(super) plot: Value,
    /// What every entry and every rep takes, where all plots of the trial are alike.
    pub(super) alike: Option<Alike>,
    pub(super) trial: Value,
    pub(super) packets: Value,
    pub(super) entries: Value,
    pub(super) reps: Value,
}

/// What entries and reps take where all plots of the trial are alike.
pub(super) struct Alike {
    pub(super) entry: Value,
    pub(super) rep: Value,
    pub(super) packets_of_entry: Value,
    pub(super) packets_of_rep: Value,
}

impl Totals {
    pub(super) fn of(inputs: &Inputs, sizes: &Sizes, counts: &Counts) -> Totals {
        let packet = sizes.own();
        let entries = Value::typed("entries", inputs.entries, Unit::ONE);
        let reps = Value::typed("reps", inputs.reps, Unit::ONE);
        let seeds = |value: Value, name: &'static str| value.named_as(name, "seeds");
        let plot = seeds(&packet.seeds * &packet.to_plot, "seeds of a plot");
        if let Some(by_entry) = &counts.by_entry {
            let all = sum(by_entry.values(), sizes);
            let trial = sizes.seeds(&all, "packets of the trial");
            let trial = trial.unwrap_or_else(|| Value::constant(0.0));
            let count = f64::from(all.iter().sum::<u32>());
            let packets = "packets of all plots of the trial";
            return Totals {
                plot,
                alike: None,
                trial: seeds(trial, "seeds of the trial"),
                packets: Value::found(packets, count, Unit::ONE, "counted"),
                entries,
                reps,
            };
        }
        let rep = seeds(&plot * &entries, "seeds of a rep");
        let packets_of_rep = (&packet.to_plot * &entries).named("packets of a rep");
        Totals {
            trial: seeds(&rep * &reps, "seeds of the trial"),
            packets: (&packets_of_rep * &reps).named("packets of the trial"),
            alike: Some(Alike {
                entry: seeds(&plot * &reps, "seeds of an entry"),
                packets_of_entry: (&packet.to_plot * &reps).named("packets of an entry"),
                rep,
                packets_of_rep,
            }),
            plot,
            entries,
            reps,
        }
    }
}
