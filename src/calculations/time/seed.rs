//! Seed to bring: the lots of the trial, fillers, borders, test ranges.

use crate::calculations::common::Common;
use crate::calculations::packets::{self, Part};
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::{MassUnit, Unit};
use crate::working::Value;

use super::inputs::Inputs;

/// All seed, part by part, as the packets have it; nothing where the sheet has no packets.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) -> Option<Value> {
    let own = inputs.packets.as_deref()?;
    let parts = packets::parts(own, common);
    let plots = parts.iter().map(|part| part.plots.clone()).collect();
    let plots = Value::sum("plots of all parts", plots).named("plots in all");
    let seeds = parts.iter().map(|part| part.seeds.clone()).collect();
    let seeds = Value::sum("seed of all parts", seeds).named_as("seed to bring", "seeds");
    let masses: Option<Vec<Value>> = parts.iter().map(|part| part.mass.clone()).collect();
    let mass = masses.filter(|masses| !masses.is_empty()).map(|masses| {
        let mass = Value::sum("mass of all parts", masses).named("mass of all seed, in grams");
        mass.in_unit(MassUnit::Kilogram.into()).named("mass of all seed")
    });
    let mut rows: Vec<Vec<Cell>> = parts.iter().map(row).collect();
    rows.push(vec![
        Cell::Text("all".into()),
        Cell::Number(plots.number(), 0),
        Cell::Number(seeds.number(), 0),
        mass.as_ref().map_or(Cell::Empty, |mass| Cell::Number(mass.number(), 3)),
    ]);
    if let Some(cleaned) = own.cleaned_out {
        let of_row = Value::typed("seeds of a row that are cleaned out", cleaned, Unit::ONE);
        let rows = Value::typed("rows of a plot", own.rows_per_plot, Unit::ONE);
        let lost = (of_row * rows * &plots).named_as("of it cleaned out by changeovers", "seeds");
        outcome.values.push(lost);
    }
    outcome.values.extend([plots, seeds.clone()]);
    outcome.values.extend(mass);
    outcome.tables.push(Table {
        key: "seed",
        title: "Seed to bring".into(),
        columns: vec![
            Column::new("part", "for", ""),
            Column::new("plots", "plots", ""),
            Column::new("seeds", "seeds", ""),
            Column::new("mass_kg", "mass", "kg"),
        ],
        rows,
    });
    Some(seeds)
}

fn row(part: &Part) -> Vec<Cell> {
    vec![
        Cell::Text(part.name.clone()),
        Cell::Number(part.plots.number(), 0),
        Cell::Number(part.seeds.number(), 0),
        part.mass.as_ref().map_or(Cell::Empty, |mass| Cell::Number(mass.number() / 1000.0, 3)),
    ]
}
