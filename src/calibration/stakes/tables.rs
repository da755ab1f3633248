//! The lists of a layout: marks, places on the globe, plots, corners.

use crate::calibration::geodesy::DECIMALS;
use crate::calibration::{Cell, Column, Table, Value};
use crate::quantity::MeasureUnit;

use super::layout::{CORNERS, Layout};
use super::{Inputs, tape, yield_error};

/// Every list, in reading order.
pub(super) fn all(layout: &Layout, inputs: &Inputs) -> Vec<Table> {
    let unit = inputs.unit().symbol();
    let mut tables = vec![marks(layout)];
    tables.extend(mark_points(layout));
    tables.push(field_corners(layout, unit));
    tables.push(plots(layout, unit));
    tables.push(corners(layout, unit));
    tables.push(yields());
    tables
}

/// A column of field lengths; the unit stands in its key.
fn length(key: &str, head: &str, unit: &str) -> Column {
    Column::new(format!("{key}_{unit}"), head, unit)
}

fn degrees(key: &str, head: &str) -> Column {
    Column::new(key, head, "deg")
}

/// A field length, to the millimetre or a thousandth of a foot on the page.
fn number(length: f64) -> Cell {
    Cell::Number(length, 3)
}

/// Latitude and longitude of a place, or nothing where the sheet does not say how the field lies.
fn on_the_globe(layout: &Layout, place: (f64, f64)) -> Vec<Cell> {
    let degrees = |degrees: f64| Cell::Number(degrees, DECIMALS);
    layout
        .point(place)
        .map_or_else(Vec::new, |point| vec![degrees(point.latitude), degrees(point.longitude)])
}

/// The heads of latitude and longitude, where there are any.
fn globe_columns(layout: &Layout) -> Vec<Column> {
    match layout.frame {
        Some(_) => vec![degrees("latitude", "latitude"), degrees("longitude", "longitude")],
        None => vec![],
    }
}

fn marks(layout: &Layout) -> Table {
    let rows = layout.marks().map(|mark| {
        let metres = layout.metres(mark.at);
        vec![
            Cell::Count(mark.number),
            Cell::Text(between(layout, mark.number)),
            Cell::Text(tape(metres)),
            number(metres),
        ]
    });
    Table {
        key: "marks",
        title: "Marks, running tape from the start line (feet and inches to 1/8 in)".into(),
        columns: vec![
            Column::new("mark", "mark", ""),
            Column::new("between", "between", ""),
            Column::new("tape_feet_inches", "tape", "ft in"),
            Column::new("tape_m", "tape", "m"),
        ],
        rows: rows.collect(),
    }
}

/// What lies before and behind a mark.
fn between(layout: &Layout, mark: u32) -> String {
    let grid = &layout.grid;
    let name = |tier: u32| match tier.checked_sub(grid.border_ranges) {
        Some(range) if (1..=grid.ranges).contains(&range) => format!("range {range}"),
        _ => "border".into(),
    };
    match mark {
        1 => format!("before {}", name(1)),
        last if last == grid.tiers() + 1 => format!("after {}", name(last - 1)),
        mark => format!("{} and {}", name(mark - 1), name(mark)),
    }
}

/// Where every mark meets the left and the right edge of the field.
fn mark_points(layout: &Layout) -> Option<Table> {
    layout.frame?;
    let (_, width) = layout.size();
    let rows = layout.marks().map(|mark| {
        let ends = [0.0, width].into_iter().flat_map(|x| on_the_globe(layout, (x, mark.at)));
        std::iter::once(Cell::Count(mark.number)).chain(ends).collect()
    });
    Some(Table {
        key: "mark-points",
        title: "Marks at both edges of the field (WGS 84, geodesics by Karney 2013)".into(),
        columns: vec![
            Column::new("mark", "mark", ""),
            degrees("left_latitude", "left latitude"),
            degrees("left_longitude", "left longitude"),
            degrees("right_latitude", "right latitude"),
            degrees("right_longitude", "right longitude"),
        ],
        rows: rows.collect(),
    })
}

fn corner_row(layout: &Layout, first: Vec<Cell>, (x, y): (f64, f64)) -> Vec<Cell> {
    let place = [number(x), number(y)];
    first.into_iter().chain(place).chain(on_the_globe(layout, (x, y))).collect()
}

fn field_corners(layout: &Layout, unit: &str) -> Table {
    let rows = CORNERS
        .iter()
        .zip(layout.corners())
        .map(|(name, at)| corner_row(layout, vec![Cell::Text((*name).into())], at));
    let columns =
        [Column::new("corner", "corner", ""), length("x", "x", unit), length("y", "y", unit)];
    Table {
        key: "field-corners",
        title: "Corners of the field (x across from the left, y from the start line)".into(),
        columns: columns.into_iter().chain(globe_columns(layout)).collect(),
        rows: rows.collect(),
    }
}

fn plots(layout: &Layout, unit: &str) -> Table {
    let rows = layout.plots().map(|plot| {
        vec![
            Cell::Count(plot.number),
            Cell::Count(plot.range),
            Cell::Count(plot.pass),
            Cell::Text(plot.heading.word().into()),
            number(plot.left),
            number(plot.right),
            number(plot.near),
            number(plot.far),
        ]
    });
    Table {
        key: "plots",
        title: "Plots in field coordinates, in the order of their numbers".into(),
        columns: vec![
            Column::new("plot", "plot", ""),
            Column::new("range", "range", ""),
            Column::new("pass", "pass", ""),
            Column::new("heading", "heading", ""),
            length("x_left", "x left", unit),
            length("x_right", "x right", unit),
            length("y_near", "y near", unit),
            length("y_far", "y far", unit),
        ],
        rows: rows.collect(),
    }
}

fn corners(layout: &Layout, unit: &str) -> Table {
    let rows = layout.plots().flat_map(|plot| {
        CORNERS.into_iter().zip(plot.corners()).map(move |(name, at)| {
            let first = vec![Cell::Count(plot.number), Cell::Text(name.into())];
            corner_row(layout, first, at)
        })
    });
    let columns = [
        Column::new("plot", "plot", ""),
        Column::new("corner", "corner", ""),
        length("x", "x", unit),
        length("y", "y", unit),
    ];
    Table {
        key: "corners",
        title: "Corners of the plots".into(),
        columns: columns.into_iter().chain(globe_columns(layout)).collect(),
        rows: rows.collect(),
    }
}

/// What a length entered wrong does to every yield worked out from it.
fn yields() -> Table {
    let rows = [-10.0, -5.0, -2.0, -1.0, 1.0, 2.0, 5.0, 10.0].map(|off: f64| {
        let hundred = Value::constant(100.0);
        let error = yield_error(&Value::constant(100.0 + off), &hundred);
        vec![Cell::Number(off, 0), Cell::Number(error.number(), 2)]
    });
    Table {
        key: "yield-error",
        title: "A plot length entered wrong, and the yield worked out from it".into(),
        columns: vec![
            Column::new("length_off_percent", "length off", "%"),
            Column::new("yield_off_percent", "yield off", "%"),
        ],
        rows: rows.into(),
    }
}
