//! Lengths taped along a slope against those of a map.

use crate::calculations::common::Common;
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::{Share, Unit, brief};
use crate::working::Value;

use super::formulas::{along_the_slope, on_the_level};
use super::inputs::Inputs;

/// A trip spacing on every slope that runs were made on, gentlest first.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let Some(held) = &inputs.held else { return };
    let slopes = slopes(inputs);
    if slopes.is_empty() {
        return;
    }
    let units = &common.units;
    let plot = units.length("plot", &held.plot);
    let spacing = (plot + units.length("alley", &held.alley)).named("trip spacing");
    let mut rows = vec![];
    for share in slopes {
        let percent = brief(share.base().abs() * 100.0);
        let slope = Value::measured(format!("slope of {percent} %"), &share, Unit::ONE);
        let level = on_the_level(&spacing, &slope)
            .named(format!("on the map, a trip spacing taped on {percent} %"));
        let taped = along_the_slope(&spacing, &slope)
            .named(format!("taped on {percent} %, a trip spacing on the map"));
        let short = (&spacing - &level).named(format!("shorter on the map, {percent} %"));
        let over = inputs.ranges.map(|ranges| {
            (&short * Value::typed("ranges", ranges, Unit::ONE))
                .named(format!("shorter on the map over the pass, {percent} %"))
        });
        rows.push(vec![
            Cell::Number(share.base().abs() * 100.0, 1),
            Cell::Number(taped.number(), 2),
            Cell::Number(level.number(), 2),
            Cell::Number(short.number(), 2),
            over.as_ref().map_or(Cell::Empty, |over| Cell::Number(over.number(), 1)),
        ]);
        outcome.values.extend([level, taped, short]);
        outcome.values.extend(over);
    }
    let unit = units.length.to_string();
    let of = |name: &str| format!("{name}_{unit}");
    outcome.tables.push(Table {
        key: "slope-lengths",
        title: format!(
            "A trip spacing of {} along a slope and on the map",
            crate::outcome::wording::in_words(&spacing)
        ),
        columns: vec![
            Column::new("slope_percent", "slope", "%"),
            Column::new(of("tape"), "to tape for it", &unit),
            Column::new(of("map"), "taped, on map", &unit),
            Column::new(of("short"), "shorter", &unit),
            Column::new(of("short_over_pass"), "over the pass", &unit),
        ],
        rows,
    });
}

/// Every slope once, without its sign.
fn slopes(inputs: &Inputs) -> Vec<Share> {
    let grounds = inputs.grounds().filter_map(|ground| ground.slope.clone());
    let mut all: Vec<Share> = grounds.filter(|slope| slope.base() != 0.0).collect();
    all.sort_by(|one, other| one.base().abs().total_cmp(&other.base().abs()));
    all.dedup_by(|one, other| one.base().abs() == other.base().abs());
    all
}
