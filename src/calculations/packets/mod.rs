//! Seed packets: how many seeds and grams each holds, what the trial takes in all, and which
//! lots fall short.
//!
//! A plot is measured from its first seed to its last, so a row of it holds a seed more than
//! spacings: L / s + 1. The plate drops a seed at every spacing whatever the seed is worth, so
//! germination and emergence come in once, where the spacing is made from the plants wanted, and
//! nowhere else. All that is rounded is rounded up.

mod counts;
mod driving_order;
mod formulas;
mod ground;
mod inputs;
mod packet;
mod parts;
mod report;
mod sizes;
mod stock;
#[cfg(test)]
mod tests;
mod totals;

use std::collections::BTreeMap;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use super::stakes;
use crate::outcome::cautions::PACKING;
use crate::outcome::warning::{LOT_NOT_LISTED, NO_CLEANED_OUT, TOO_FEW_PLOTS};
use crate::outcome::{Caution, Outcome, Table};
use crate::quantity::{Decimal, LengthUnit, MassUnit, Unit};
use crate::working::{Units, Value};

use counts::Counts;
use driving_order::{beside, table, warn};
use ground::{Ground, stand};
use packet::Packet;
use report::{brief_whole, fall_short, in_short, lot_columns, places, totals_table};
use sizes::Sizes;
use stock::{Stock, mass_of_mixed, mass_of_rep};
use totals::Totals;

pub use driving_order::IN_DRIVING_ORDER;
pub use formulas::{mass_of, seeds_for_plants, seeds_in, seeds_in_row};
pub use inputs::{
    AtHand, Beside, CALCULATION, Field, Inputs, Lot, Per, Plants, Rate, Reserve, SeedWeight,
};
pub use parts::{Part, parts};

/// For hands in seed.
static CAUTIONS: &[&Caution] = &[&PACKING];

/// The packets of a trial, what it takes in all, and the lots that fall short.
#[must_use]
pub fn pack(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    let ground = Ground::of(inputs, common);
    let sizes = Sizes::of(inputs, common, &ground);
    let laid_out = inputs.laid_out(common);
    let laid_out = laid_out.as_ref();
    let counts = Counts::of(inputs, laid_out, &sizes);
    let totals = Totals::of(inputs, &sizes, &counts);
    let masses = inputs.weight.as_ref().map(|weight| sizes.masses("", weight, inputs));
    let masses = masses.as_deref();
    let mass = masses.and_then(<[Value]>::first);
    let packet = sizes.own();
    let stock = |lot| Stock::of(lot, inputs, &sizes, &totals, &counts);
    let stocks: Vec<Stock<'_>> = inputs.lots.iter().map(stock).collect();
    let alike = totals.alike.as_ref();
    let rep = alike.and_then(|_| mass_of_rep(&stocks, mass, packet, &totals));
    let trial = match alike {
        Some(_) => rep.as_ref().map(|rep| (rep * &totals.reps).named("mass of the trial")),
        None => mass_of_mixed(&stocks, masses, &sizes, &counts),
    };
    outcome.values.extend(sizes.iter().map(|size| size.packet.seeds.clone()));
    outcome.values.extend(masses.into_iter().flatten().cloned());
    outcome.values.push(totals.plot.clone());
    outcome.values.extend(alike.iter().flat_map(|alike| [alike.entry.clone(), alike.rep.clone()]));
    outcome.values.extend([totals.trial.clone(), totals.packets.clone()]);
    outcome.values.extend(trial.as_ref().map(|trial| in_store(trial, &common.units)));
    if inputs.cleaned_out.is_none() {
        outcome.warnings.push(NO_CLEANED_OUT.with(
            "the packets hold nothing for what a changeover cleans out of the meter; count it \
             once over a tray and add `cleaned-out` to [packets]",
        ));
    }
    stand(inputs, &ground, &mut outcome);
    plots(inputs, packet, &totals, &mut outcome);
    for short in stocks.iter().filter_map(|stock| stock.short.as_ref()) {
        outcome.values.push(short.seeds.clone());
        outcome.values.extend(short.mass.clone());
    }
    let places = places(inputs.balance_step.as_ref());
    let of_parts = [rep.as_ref(), trial.as_ref()];
    outcome.tables.push(totals_table(inputs, &sizes, &totals, masses, of_parts, places));
    if !stocks.is_empty() {
        outcome.tables.push(Table {
            key: "lots",
            title: "Lots".into(),
            columns: lot_columns(),
            rows: stocks.iter().map(|stock| stock.row(packet, places)).collect(),
        });
    }
    outcome.tables.extend(beside(inputs, &counts, &sizes, &stocks, masses, places));
    outcome.tables.extend(table(inputs, laid_out, &sizes, &stocks, masses, places));
    warn(inputs, laid_out, &mut outcome);
    not_listed(inputs, &mut outcome);
    let trial = counts.by_entry.iter().flat_map(BTreeMap::values);
    let of_trial = counts::sum(trial, &sizes);
    outcome.next = Some(in_short(&ground, &sizes, &of_trial, &totals, mass, &stocks, inputs));
    fall_short(&stocks, &mut outcome);
    outcome.cautions = CAUTIONS.to_vec();
    outcome
}

/// Lots of borders, fillers and test ranges that no list has, where there are lots at all.
fn not_listed(inputs: &Inputs, outcome: &mut Outcome) {
    let beside = &inputs.beside;
    let listed = |name: &str| inputs.lots.iter().any(|lot| lot.name == name);
    let kinds = [
        ("border-lot", &beside.border_lot),
        ("filler-lot", &beside.filler_lot),
        ("test-lot", &beside.test_lot),
    ];
    let unknown = kinds.into_iter().filter_map(|(key, name)| Some((key, name.as_deref()?)));
    let unknown: Vec<String> = unknown
        .filter(|(_, name)| !listed(name))
        .map(|(key, name)| format!("`{key}` {name}"))
        .collect();
    if !inputs.lots.is_empty() && !unknown.is_empty() {
        outcome.warnings.push(LOT_NOT_LISTED.with(format!(
            "{} stands in no list of lots: what is packed from it is held against nothing at hand",
            unknown.join(", ")
        )));
    }
}

/// A mass as seed is bought: pounds or kilograms.
fn in_store(mass: &Value, units: &Units) -> Value {
    let unit = match units.length {
        LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile => {
            MassUnit::Pound
        }
        _ => MassUnit::Kilogram,
    };
    mass.in_unit(unit.into()).named("seed for the trial")
}

/// Plots of the field against those of the trial.
fn plots(inputs: &Inputs, packet: &Packet, totals: &Totals, outcome: &mut Outcome) {
    let Some([ranges, passes, rows]) = inputs.field else { return };
    // Plots wider or narrower than a pass by part of one are for the stake table to say.
    let abreast = rows.value() / inputs.rows_per_plot.value();
    if abreast < 1.0 || abreast.fract() != 0.0 {
        return;
    }
    let value = |name, number| Value::typed(name, number, Unit::ONE);
    let abreast = stakes::plots_abreast(&value("rows of the planter", rows), &packet.rows_per_plot);
    let ranges = value("ranges", ranges);
    let ranges = match inputs.plan.as_ref().map_or(0, |field| field.layout.filler_ranges()) {
        0 => ranges,
        fillers => (ranges - value("ranges of fillers", Decimal::whole(fillers)))
            .named("ranges of the trial"),
    };
    let field = stakes::plots(&ranges, &value("passes", passes), &abreast);
    let trial = stakes::plots_needed(&totals.entries, &totals.reps);
    let left = stakes::left_to_fill(&field, &trial);
    if left.number() < 0.0 {
        outcome.warnings.push(TOO_FEW_PLOTS.with(format!(
            "the field has {} plots, entries and reps need {}",
            brief_whole(&field),
            brief_whole(&trial)
        )));
    }
    outcome.values.push(left);
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "packets",
    about: "Seed packets: how many seeds and grams, and which lots fall short",
    lacks: "[packets]",
    advice: "add a line [packets], which may stand empty; `entries`, `reps` and `plot` stand in [trial]",
    has_readings: false,
    runs: &[],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![pack(self, common)])
    }

    /// It takes no turn: nothing on the planter rests on it.
    fn in_order(&self, _common: &Common, _so_far: &mut SoFar) -> Result<(), SearchError> {
        Ok(())
    }
}
