//! Seed to bring: the lots of the trial, fillers, borders, test ranges.

use crate::calculations::common::Common;
use crate::calculations::packets::{self, Per};
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::Unit;
use crate::working::Value;

use super::inputs::Inputs;

/// Seed of one part.
struct Part {
    name: String,
    plots: Value,
}

/// All seed, part by part; nothing where the sheet has no packets.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) -> Option<Value> {
    let own = inputs.packets.as_deref()?;
    // The packets say what a plot takes, so that both pages say one thing.
    let packed = packets::pack(own, common);
    let known = |name: &str| packed.values.iter().find(|value| value.name() == Some(name)).cloned();
    let seeds = known("seeds of a plot")?;
    let of_packet = known("mass of a packet");
    let mass = of_packet.map(|mass| match own.per {
        Per::Plot => mass,
        Per::Row => mass * Value::typed("rows of a plot", own.rows_per_plot, Unit::ONE),
    });
    let parts = parts(inputs, own);
    let (mut rows, mut all) = (vec![], vec![]);
    for part in &parts {
        let need = (&part.plots * &seeds).named_as(format!("seed, {}", part.name), "seeds");
        rows.push(vec![
            Cell::Text(part.name.clone()),
            Cell::Number(part.plots.number(), 0),
            Cell::Number(need.number(), 0),
            mass.as_ref().map_or(Cell::Empty, |mass| {
                Cell::Number((mass * &part.plots).number() / 1000.0, 3)
            }),
        ]);
        all.push(need);
    }
    let plots =
        Value::sum("plots of all parts", parts.iter().map(|part| part.plots.clone()).collect());
    let plots = plots.named("plots in all");
    let sum = Value::sum("seed of all parts", all).named_as("seed to bring", "seeds");
    rows.push(vec![
        Cell::Text("all".into()),
        Cell::Number(plots.number(), 0),
        Cell::Number(sum.number(), 0),
        mass.as_ref()
            .map_or(Cell::Empty, |mass| Cell::Number((mass * &plots).number() / 1000.0, 3)),
    ]);
    if let Some(cleaned) = own.cleaned_out {
        let of_row = Value::typed("seeds of a row that are cleaned out", cleaned, Unit::ONE);
        let rows = Value::typed("rows of a plot", own.rows_per_plot, Unit::ONE);
        let lost = (of_row * rows * &plots).named_as("of it cleaned out by changeovers", "seeds");
        outcome.values.push(lost);
    }
    outcome.values.extend([plots, sum.clone()]);
    outcome.tables.push(Table {
        key: "seed",
        title: "Seed to bring; masses by the weight of [packets]".into(),
        columns: vec![
            Column::new("part", "for", ""),
            Column::new("plots", "plots", ""),
            Column::new("seeds", "seeds", ""),
            Column::new("mass_kg", "mass", "kg"),
        ],
        rows,
    });
    Some(sum)
}

/// The lots that the sheet names, the other entries, fillers, borders, test ranges.
fn parts(inputs: &Inputs, own: &packets::Inputs) -> Vec<Part> {
    let planted = &inputs.planted;
    let of = |name: &'static str, number: u32| {
        Value::found(name, f64::from(number), Unit::ONE, "counted")
    };
    let reps = Value::typed("reps", own.reps, Unit::ONE);
    let lots = own.lots.iter().map(|lot| Part { name: lot.name.clone(), plots: reps.clone() });
    let mut all: Vec<Part> = lots.collect();
    let entries = Value::typed("entries", own.entries, Unit::ONE);
    let named = u32::try_from(own.lots.len()).unwrap_or(u32::MAX);
    if own.entries.value() > f64::from(named) {
        let named = of("entries with a lot of their own", named);
        let others = ((&entries - named) * &reps).named("plots of other entries");
        all.push(Part { name: "other entries".into(), plots: others });
    }
    let plots = of("plots of the trial", planted.plots);
    let fillers = (&plots - &entries * &reps).named("plots left to fill");
    if fillers.number() > 0.0 {
        all.push(Part { name: "fillers".into(), plots: fillers });
    }
    let whole = of("ranges with borders", planted.ranges)
        * of("passes with borders", planted.passes)
        * of("plots abreast", planted.abreast);
    let borders = (whole - plots).named("plots of borders");
    if borders.number() > 0.0 {
        all.push(Part { name: "borders".into(), plots: borders });
    }
    if let Some(test) = inputs.test_plots {
        let plots = Value::typed("plots of test ranges", test, Unit::ONE);
        all.push(Part { name: "test ranges".into(), plots });
    }
    all
}
