//! What row units out of line do to alleys, plots and the ground.

use crate::calculations::common::Common;
use crate::outcome::wording::in_words;
use crate::outcome::{Cell, Column, Outcome, SettingResult, Table, Verdict};
use crate::quantity::{Length, at_most};
use crate::working::Value;

use super::formulas::delay_of_row;
use super::inputs::Inputs;
use super::rank::middle;
use super::remarks::ROWS_OUT_OF_LINE;

/// The units furthest behind and furthest ahead.
pub(super) fn ends(ranks: &[Length]) -> Option<(&Length, &Length)> {
    let least = ranks.iter().min_by(|one, other| one.base().total_cmp(&other.base()))?;
    let most = ranks.iter().max_by(|one, other| one.base().total_cmp(&other.base()))?;
    Some((least, most))
}

/// Row by row, and what all of them have in common.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let Some((least, most)) = ends(&inputs.ranks) else { return };
    let units = &common.units;
    let centre = middle(least, most, units);
    let [low, high] = [least, most].map(|length| length.clone());
    let low = units.length("unit furthest behind", &low);
    let high = units.length("unit furthest ahead", &high);
    let spread = (&high - low).named("rows out of line");
    outcome.values.push(spread.clone());
    let planted = |length: &Option<Length>, name: &'static str| {
        length.as_ref().map(|length| units.length(name, length))
    };
    if let Some(alley) = planted(&inputs.alley, "alley") {
        outcome.values.push((&alley - &spread).named("alley that is bare in all rows"));
        let wider = (alley + &spread).named("alley to stake, for as much bare in all rows");
        outcome.values.push(wider);
    }
    if let Some(plot) = planted(&inputs.plot, "plot") {
        outcome.values.push((&plot - &spread).named("plot that is planted in all rows"));
        outcome.values.push((plot + &spread).named("ground that a plot takes up"));
    }
    let speed = inputs.speed.as_ref().map(|speed| units.speed("speed", speed));
    let mut rows = vec![];
    for (row, length) in (1..).zip(&inputs.ranks) {
        let own = units.length(format!("row {row} ahead by its unit"), length);
        let off = (&own - &centre).named(format!("row {row} ahead of the middle"));
        let delay = speed.as_ref().map(|speed| {
            delay_of_row(&high, &own, speed)
                .named(format!("row {row} later than the row furthest ahead"))
        });
        rows.push(vec![
            Cell::Count(row),
            Cell::Number(own.number(), 2),
            Cell::Number(off.number(), 2),
            Cell::Number(-off.number(), 2),
            delay.as_ref().map_or(Cell::Empty, |delay| Cell::Number(delay.number(), 3)),
        ]);
        outcome.values.push(off);
        outcome.values.extend(delay);
    }
    let unit = units.length.to_string();
    let of = |name: &str| format!("{name}_{unit}");
    outcome.tables.push(Table {
        key: "row-units",
        title: "Row units: where alleys and plots lie from their marks, seen going out".into(),
        columns: vec![
            Column::new("row", "row", ""),
            Column::new(of("ahead"), "ahead", &unit),
            Column::new(of("out"), "passes out", &unit),
            Column::new(of("home"), "passes home", &unit),
            Column::new("delay_s", "in line if later", "s"),
        ],
        rows,
    });
    judge(inputs, common, &spread, outcome);
}

/// Half of the spread is what the outermost rows are off by, whatever is set.
fn judge(inputs: &Inputs, common: &Common, spread: &Value, outcome: &mut Outcome) {
    let half = (spread / Value::constant(2.0)).named("off by it, outermost rows");
    outcome.values.push(half.clone());
    let limit = inputs.tolerance.as_ref().map(|one| common.units.length("centre tolerance", one));
    let words = format!(
        "row units sit up to {} out of line: set for the middle, alleys of the outermost rows lie {} off \
         their marks",
        in_words(spread),
        in_words(&half)
    );
    let verdict = match limit {
        None => Verdict::Keep(format!("{words} (no tolerance in the sheet)")),
        Some(limit) if at_most(half.number(), limit.number()) => {
            Verdict::Keep(format!("inside the tolerance of {}: {words}", in_words(&limit)))
        }
        Some(limit) => {
            let allowed = format!("{words}, and {} are allowed", in_words(&limit));
            outcome.warnings.push(ROWS_OUT_OF_LINE.with(allowed));
            let timed = if inputs.speed.is_some() { " by the times of the table" } else { "" };
            Verdict::Cause(format!(
                "{words}, which no setback takes out: let rows change over one after the other{timed} \
                 where the controller can, or set the units in one line; else leave alleys as much wider"
            ))
        }
    };
    outcome.settings.push(SettingResult {
        name: "row units".into(),
        key: None,
        now: Some(spread.clone()),
        exact: spread.clone(),
        set: spread.clone(),
        verdict,
    });
}
