//! What a step of each setting of the actions is worth on the ground.

use crate::calculations::Common;
use crate::outcome::{Cell, Column, Outcome, Part, Table, Timed};
use crate::quantity::MeasureUnit;
use crate::working::Value;

use super::inputs::{Inputs, as_typed, second, step_value};
use super::motion::numbers;
use super::prediction::predict;

/// A table of what one step more of each setting does at this speed; what was found goes before what
/// is set.
pub(super) fn worth(
    inputs: &Inputs,
    common: &Common,
    found: &[(Timed, Value)],
    outcome: &mut Outcome,
) {
    let ground = |found: &[(Timed, Value)]| {
        let schedule = inputs.schedule_with(common, found)?;
        let ground = predict(&numbers(&schedule));
        Some((ground.width, ground.centre))
    };
    let Some((width, centre)) = ground(found) else { return };
    let mut rows = vec![];
    for action in &inputs.actions {
        for part in Part::BOTH.into_iter().filter(|part| action.may_change(*part)) {
            let timed = action.timed(part);
            let own = found.iter().find(|(own, _)| *own == timed).map(|(_, value)| value.clone());
            let typed = || Some(as_typed(&timed, action.held(part)?, common));
            let Some(now) = own.or_else(typed) else { continue };
            let (step, text) = match inputs.step_of(action, part) {
                Some(step) => (step_value(&step, common), step.to_string()),
                None if now.unit() == second() => (tenth(&now), "0.1 s".into()),
                None => (tenth(&now), format!("0.1 {}", common.units.length)),
            };
            let mut more: Vec<(Timed, Value)> =
                found.iter().filter(|(own, _)| *own != timed).cloned().collect();
            more.push((timed, now + step));
            let Some(then) = ground(&more) else { continue };
            rows.push(vec![
                Cell::Text(timed.name()),
                Cell::Text(text),
                Cell::Number(then.0 - width, 2),
                Cell::Number(then.1 - centre, 2),
            ]);
        }
    }
    let step = match &inputs.step {
        Some(step) => Value::measured("timer step", step, second()),
        None => Value::exact("a tenth of a second", 0.1, second()),
    };
    let along = common.units.speed("ground speed", &inputs.speed);
    outcome.values.push((along * step).named("travel in one step of a timer"));
    let unit = common.units.length.symbol();
    outcome.tables.push(Table {
        key: "timer-worth",
        title: "What one step more of each setting does".into(),
        columns: vec![
            Column::new("setting", "setting", ""),
            Column::new("step", "step", ""),
            Column::new(format!("width_{unit}"), "alley width", unit),
            Column::new(format!("centre_{unit}"), "middle ahead", unit),
        ],
        rows,
    });
}

/// What is tried where no step is known.
fn tenth(of: &Value) -> Value {
    Value::exact("a tenth", 0.1, of.unit())
}
