//! Trip sources against one another, and the setback that each would want.

use crate::calculations::common::Common;
use crate::outcome::wording::in_words;
use crate::outcome::{Cell, Column, Direction, Outcome, Table};
use crate::quantity::{TimeUnit, Unit};
use crate::working::Value;

use super::formulas::shift_by_source;
use super::inputs::{Inputs, Source};

/// Every source, with its parts, and the setback after a change to it.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let Some(speed) = &inputs.speed else { return };
    if inputs.sources.is_empty() {
        return;
    }
    let units = &common.units;
    let along = units.speed("speed", speed);
    let mut used = None;
    let mut all = vec![];
    for source in &inputs.sources {
        let word = source.kind.word();
        let ahead = units.length(format!("{word} sensed ahead of the seed"), &source.ahead);
        let second = Unit::from(TimeUnit::Second);
        let latency = Value::measured(format!("latency, {word}"), &source.latency, second);
        let by_latency =
            (&latency * &along).named(format!("ground covered in the latency, {word}"));
        let shift = shift_by_source(&ahead, &latency, &along)
            .named(format!("alley ahead of its mark by the {word}"));
        outcome.values.extend([by_latency.clone(), shift.clone()]);
        if source.in_use {
            used = Some(shift.clone());
        }
        all.push((source, ahead, by_latency, shift));
    }
    let rows = all
        .iter()
        .map(|(source, ahead, by_latency, shift)| {
            let against = used.as_ref().map(|used| {
                (shift - used).named(format!("{} against the one in use", source.kind.word()))
            });
            let setback = against.as_ref().and_then(|moved| setback(inputs, source, moved, common));
            outcome.values.extend(against.iter().filter(|_| !source.in_use).cloned());
            outcome.values.extend(setback.iter().filter(|_| !source.in_use).cloned());
            let number = |value: Option<&Value>| {
                value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 2))
            };
            vec![
                Cell::Text(source.kind.word().into()),
                Cell::Number(-ahead.number(), 2),
                number(Some(by_latency)),
                number(Some(shift)),
                number(against.as_ref()),
                number(setback.as_ref()),
                Cell::Text(if source.in_use { "yes" } else { "no" }.into()),
            ]
        })
        .collect();
    let unit = units.length.to_string();
    let of = |name: &str| format!("{name}_{unit}");
    outcome.tables.push(Table {
        key: "trip-sources",
        title: format!(
            "Where each trip source makes the alley lie, at {}",
            in_words(&units.gauge(&along))
        ),
        columns: vec![
            Column::new("source", "source", ""),
            Column::new(of("fixed"), "fixed", &unit),
            Column::new(of("by_latency"), "latency", &unit),
            Column::new(of("ahead"), "ahead", &unit),
            Column::new(of("against"), "against used", &unit),
            Column::new(of("setback"), "setback", &unit),
            Column::new("in_use", "in use", ""),
        ],
        rows,
    });
}

/// The setback that keeps alleys where they are after a change to a source that moves them ahead.
fn setback(inputs: &Inputs, source: &Source, moved: &Value, common: &Common) -> Option<Value> {
    let moving = inputs.setback.as_ref().filter(|moving| moving.acts_on.is_none())?;
    let now = moving.now(&common.units);
    let by = match moving.moves {
        Some(moves) => moved / Value::typed("what a unit of the setback moves", moves, Unit::ONE),
        None => moved.clone(),
    };
    let new = match moving.raising_moves {
        Direction::Back => now + by,
        Direction::Ahead => now - by,
        Direction::NotKnown => return None,
    };
    Some(new.named(format!("setback with the {}", source.kind.word())))
}
