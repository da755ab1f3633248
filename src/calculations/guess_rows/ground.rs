//! What the gaps do to the ground that a plot takes up, and so to its yield.

use crate::calculations::stakes::yield_error;
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::Unit;
use crate::statistics::Moments;
use crate::working::Value;

use super::faults::Found;
use super::page::{Page, Turns};

/// The ground of one kind of plot.
struct Ground {
    plot: &'static str,
    width: Value,
    /// What its area is called.
    area: &'static str,
    /// How far the width may be off by the scatter of the gaps.
    half: Option<Value>,
}

/// Half of a gap, less the bare ground that was planned, goes to the plot at either side of it. A
/// plot as wide as its pass has a gap at both sides, one after either turn; where several plots
/// stand abreast, an outer one has one gap, and the inner ones have none.
pub(super) fn add(page: &Page<'_>, turns: &Turns, found: &[Found; 2], outcome: &mut Outcome) {
    let whole = page.inputs.rows_per_plot == page.inputs.rows;
    let rows = match whole {
        true => page.rows.clone(),
        false => Value::typed("rows per plot", page.inputs.rows_per_plot, Unit::ONE),
    };
    let planned = (rows * &page.row_spacing).named("plot width");
    let grounds = if whole {
        let [_, pitch] = found;
        vec![Ground {
            plot: "every plot",
            width: (&planned + &pitch.off).named("ground width of a plot"),
            area: "area of a plot off",
            half: pitch.judgement.interval.as_ref().map(|interval| interval.half_width.clone()),
        }]
    } else {
        let half = |off: Value| off / Value::constant(2.0);
        let beside = |plot, width: &'static str, area, gaps: &Moments| Ground {
            plot,
            width: (&planned + half(&gaps.mean - &page.wanted)).named(width),
            area,
            half: half_width(gaps, found),
        };
        vec![
            beside(
                "beside a left turn",
                "ground width of a plot beside a left turn",
                "area of a plot beside a left turn off",
                &turns.left,
            ),
            beside(
                "beside a right turn",
                "ground width of a plot beside a right turn",
                "area of a plot beside a right turn off",
                &turns.right,
            ),
        ]
    };
    let rows = grounds.iter().map(|ground| row(ground, &planned, outcome)).collect();
    outcome.tables.push(Table {
        key: "plot-ground",
        title: "Ground of a plot, and its yield by the area planned".into(),
        columns: columns(&page.unit()),
        rows,
    });
}

/// Half of a gap is an outer plot's: half of what the mean gap of that turn is unsure by, with the
/// scatter of both turns.
fn half_width(gaps: &Moments, found: &[Found; 2]) -> Option<Value> {
    let [side, _] = found;
    let interval = side.judgement.interval.as_ref()?;
    let sd = side.judgement.sd.as_ref()?;
    Some(&interval.t * sd / gaps.count.root() / Value::constant(2.0))
}

/// A yield worked out by the area planned is off as the ground is: true / entered - 1.
fn row(ground: &Ground, planned: &Value, outcome: &mut Outcome) -> Vec<Cell> {
    let off =
        |width: &Value, end: &str| yield_error(planned, width).named([ground.area, end].concat());
    let mean = off(&ground.width, "");
    let ends = ground.half.as_ref().map(|half| {
        [off(&(&ground.width - half), ", low"), off(&(&ground.width + half), ", high")]
    });
    let cell =
        |value: Option<&Value>| value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 2));
    let [low, high] = [0, 1].map(|end| cell(ends.as_ref().map(|ends| &ends[end])));
    let cells = vec![
        Cell::Text(ground.plot.into()),
        cell(Some(&ground.width)),
        cell(Some(planned)),
        cell(Some(&mean)),
        low,
        high,
    ];
    outcome.values.push(mean);
    outcome.values.extend(ends.into_iter().flatten());
    cells
}

fn columns(unit: &str) -> Vec<Column> {
    vec![
        Column::new("plot", "plot", ""),
        Column::new(format!("width_{unit}"), "width", unit),
        Column::new(format!("planned_{unit}"), "planned", unit),
        Column::new("off_percent", "area, yield off", "%"),
        Column::new("low_percent", "low", "%"),
        Column::new("high_percent", "high", "%"),
    ]
}
