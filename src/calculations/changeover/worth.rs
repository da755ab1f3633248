//! What a step of each timer is worth on the ground.

use crate::calculations::Common;
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::MeasureUnit;
use crate::working::Value;

use super::inputs::Inputs;
use super::motion::Sweep;
use super::prediction::predict;
use super::timer_settings::{second, time};
use super::timers::Timers;

/// A table of what one step more of each timer does at this speed.
pub(super) fn worth(inputs: &Inputs, common: &Common, timers: &Timers<f64>, outcome: &mut Outcome) {
    let step = match &inputs.step {
        Some(step) => time("timer step", step),
        None => Value::exact("a tenth of a second", 0.1, second()),
    };
    let along = common.units.speed("ground speed", &inputs.speed);
    let travel = (along * &step).named("travel in one step of a timer");
    let base = predict(&timers.schedule());
    let with = |change: &dyn Fn(&mut Timers<f64>)| {
        let mut changed = timers.clone();
        change(&mut changed);
        let then = predict(&changed.schedule());
        (then.width - base.width, then.centre - base.centre)
    };
    let one = step.number();
    let unit = common.units.length.symbol();
    let column = |key: String, head: &str| Column { key, head: head.into(), unit: unit.into() };
    let mut rows: Vec<(&str, (f64, f64))> = vec![
        ("clean-out", with(&|timers| timers.clean_out += one)),
        ("run-out", with(&|timers| timers.run_out += one)),
        ("fill", with(&|timers| timers.fill += one)),
    ];
    if timers.sweep.is_some() {
        let sweep = |change: fn(&mut Sweep<f64>, f64)| {
            with(&|timers| timers.sweep.iter_mut().for_each(|sweep| change(sweep, one)))
        };
        rows.push(("sweep start", sweep(|sweep, one| sweep.start += one)));
        rows.push(("sweep length", sweep(|sweep, one| sweep.length += one)));
    }
    outcome.values.push(travel);
    outcome.tables.push(Table {
        key: "timer-worth",
        title: format!("What one step more ({}) of each timer does", step_text(inputs)),
        columns: vec![
            Column { key: "timer".into(), head: "timer".into(), unit: String::new() },
            column(format!("width_{unit}"), "alley width"),
            column(format!("centre_{unit}"), "middle ahead"),
        ],
        rows: rows
            .into_iter()
            .map(|(name, (width, centre))| {
                vec![Cell::Text(name.into()), Cell::Number(width, 2), Cell::Number(centre, 2)]
            })
            .collect(),
    });
}

fn step_text(inputs: &Inputs) -> String {
    inputs.step.as_ref().map_or_else(|| "0.1 s".into(), ToString::to_string)
}
