//! Seeds and plants on the ground: the spacing, and how far the plants to expect are those wanted.

use crate::calculations::Common;
use crate::calculations::spacing::{
    Target, population_at, rate_at_spacing, rate_of, spacing_at_rate, target_rate, target_spacing,
};
use crate::outcome::Outcome;
use crate::outcome::warning::{LOW_STAND, STAND_DISAGREES};
use crate::outcome::wording::in_words;
use crate::quantity::at_most;
use crate::quantity::{SeedRate, Share, brief};
use crate::working::Value;

use super::formulas::{seeds_for_plants, share};
use super::inputs::{Inputs, Plants, Rate};

/// Share by which plants may miss the stand wanted where the sheet has no spacing tolerance.
/// Common practice, no source.
const STAND_TOLERANCE: f64 = 5.0;

/// What is on the ground: spacing, and rates of seeds and plants.
pub(super) struct Ground {
    pub(super) spacing: Value,
    /// Seeds per area or length of row.
    pub(super) seeds: Value,
    /// Plants wanted, in the same unit.
    wanted: Option<Value>,
    emergence: Option<Value>,
}

impl Ground {
    pub(super) fn of(inputs: &Inputs, common: &Common) -> Ground {
        let units = &common.units;
        let row_spacing = units.length("row spacing", &inputs.row_spacing);
        let emergence = inputs.emergence.as_ref().map(|part| share("emergence", part));
        match &inputs.rate {
            Rate::Plants(plants) => {
                let Plants { stand, germination, emergence } = plants.as_ref();
                let wanted = rate_of("plants wanted", stand, units).counting("plants");
                let emergence = share("emergence", emergence);
                let germination = share("germination", germination);
                let seeds = seeds_for_plants(&wanted, &germination, &emergence)
                    .named_as("seeds to plant", "seeds");
                let spacing =
                    spacing_at_rate(&row_spacing, &seeds, stand, units).named("seed spacing");
                Ground { spacing, seeds, wanted: Some(wanted), emergence: Some(emergence) }
            }
            Rate::Seeds(target) => {
                let spacing = target_spacing(target, &row_spacing, units);
                let seeds = match (target, &inputs.stand) {
                    // As typed, where the plants are not wanted in another unit.
                    (Target::Population(rate), stand)
                        if stand.as_ref().is_none_or(|stand| same_unit(rate, stand)) =>
                    {
                        target_rate(rate, units)
                    }
                    (_, Some(stand)) => rate_at_spacing(&row_spacing, &spacing, stand, units)
                        .named_as("seeds to plant", "seeds"),
                    (_, None) => population_at(&row_spacing, &spacing, units)
                        .named_as("seeds to plant", "seeds"),
                };
                let wanted = inputs.stand.as_ref();
                let wanted = wanted.map(|stand| rate_of("plants wanted", stand, units));
                Ground {
                    seeds,
                    spacing,
                    wanted: wanted.map(|wanted| wanted.counting("plants")),
                    emergence,
                }
            }
        }
    }

    /// Plants to expect of seed with this germination.
    fn plants(&self, of: &str, germination: &Share) -> Option<Value> {
        let germination = share(format!("{of}germination"), germination);
        let plants = &self.seeds * germination * self.emergence.as_ref()?;
        Some(plants.named_as(format!("{of}plants to expect"), "plants"))
    }

    /// How far plants lie from those wanted, in percent.
    fn off(&self, of: &str, plants: &Value) -> Option<Value> {
        let off = plants / self.wanted.as_ref()? - Value::constant(1.0);
        Some(off.in_percent().named(format!("{of}plants against wanted")))
    }
}

fn same_unit(one: &SeedRate, other: &SeedRate) -> bool {
    match (one, other) {
        (SeedRate::Area(one), SeedRate::Area(other)) => one.unit() == other.unit(),
        (SeedRate::Row(_), SeedRate::Row(_)) => true,
        _ => false,
    }
}

fn tolerance(inputs: &Inputs) -> f64 {
    inputs.tolerance.as_ref().map_or(STAND_TOLERANCE, |share| share.base() * 100.0)
}

/// Plants to expect, of the trial's seed and of lots with a germination of their own.
pub(super) fn stand(inputs: &Inputs, ground: &Ground, outcome: &mut Outcome) {
    let within = tolerance(inputs);
    if let (Rate::Seeds(_), Some(germination)) = (&inputs.rate, &inputs.germination)
        && let Some(plants) = ground.plants("", germination)
    {
        let off = ground.off("", &plants);
        outcome.values.push(plants.clone());
        outcome.values.extend(off.clone());
        if let (Some(off), Some(wanted)) = (off, &ground.wanted)
            && !at_most(off.number().abs(), within)
        {
            outcome.warnings.push(STAND_DISAGREES.with(format!(
                "the seeds wanted give {} after germination and emergence, `stand` asks for {}: \
                 {} % off",
                in_words(&plants),
                in_words(wanted),
                brief(off.number())
            )));
        }
    }
    let mut low = Vec::new();
    for lot in &inputs.lots {
        let of = format!("entry {}: ", lot.entry);
        let plants = lot.germination.as_ref().and_then(|own| ground.plants(&of, own));
        let off = plants.and_then(|plants| ground.off(&of, &plants));
        if let Some(off) = off.filter(|off| !at_most(-off.number(), within)) {
            low.push(format!("{} (entry {}, {} %)", lot.name, lot.entry, brief(off.number())));
            outcome.values.push(off);
        }
    }
    if !low.is_empty() {
        outcome.warnings.push(
            LOW_STAND.with(format!(
                "fewer plants than wanted by the germination of: {}",
                low.join(", ")
            )),
        );
    }
}
