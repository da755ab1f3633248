//! The lists of a layout: marks, places on the globe, plots, corners.

use crate::calculations::Common;
use crate::outcome::geodesy::DECIMALS;
use crate::outcome::layout::{CORNERS, Layout};
use crate::outcome::{Cell, Column, Table};
use crate::quantity::{MeasureUnit, feet_and_inches};
use crate::working::Value;

use super::units::unit;
use super::yield_error::yield_error;

/// Parts of an inch that a tape is read to.
const TAPE_PARTS: u32 = 8;

/// Every list, in reading order.
pub(super) fn all(layout: &Layout, common: &Common) -> Vec<Table> {
    let unit = unit(common).symbol();
    let mut tables = vec![marks(layout, unit)];
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

/// A field length, on the page to a centimetre or a hundredth of a foot: no finer than a tape.
fn number(length: f64) -> Cell {
    Cell::Number(length, 2)
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

/// The marks; the sheet's own unit first, and no digit that a tape does not have. Where they don't all
/// stand one trip spacing apart, how far each is from the one before.
fn marks(layout: &Layout, unit: &str) -> Table {
    let (_, width) = layout.size();
    let in_order = |feet: Vec<Cell>, metres: Vec<Cell>| -> Vec<Cell> {
        let both = if unit == "m" { [metres, feet] } else { [feet, metres] };
        both.concat()
    };
    let mut before = None;
    let rows = layout.marks().map(|mark| {
        let metres = layout.metres(mark.at);
        let diagonal = layout.metres(width.hypot(mark.at));
        let (mut feet, mut in_metres) = (
            vec![Cell::Text(tape(metres)), Cell::Text(tape(diagonal))],
            vec![Cell::Number(metres, 2), Cell::Number(diagonal, 2)],
        );
        if !layout.evenly_tripped() {
            // In the crew's own unit alone: there is no room for more.
            let apart = before.map(|before| metres - before);
            if unit == "m" {
                in_metres.push(apart.map_or(Cell::Empty, |apart| Cell::Number(apart, 2)));
            } else {
                feet.push(apart.map_or(Cell::Empty, |apart| Cell::Text(tape(apart))));
            }
        }
        before = Some(metres);
        let lengths = in_order(feet, in_metres);
        let first = [Cell::Count(mark.number), Cell::Text(between(layout, mark.number))];
        first.into_iter().chain(lengths).collect()
    });
    let mut feet = vec![
        Column::new("tape_feet_inches", "tape", "ft in"),
        Column::new("diagonal_feet_inches", "diagonal", "ft in"),
    ];
    let mut metres =
        vec![Column::new("tape_m", "tape", "m"), Column::new("diagonal_m", "diagonal", "m")];
    match (layout.evenly_tripped(), unit) {
        (true, _) => {}
        (false, "m") => metres.push(Column::new("apart_m", "apart", "m")),
        (false, _) => feet.push(Column::new("apart_feet_inches", "apart", "ft in")),
    }
    let both = if unit == "m" { [metres, feet] } else { [feet, metres] };
    let first = [Column::new("mark", "mark", ""), Column::new("between", "between", "")];
    Table {
        key: "marks",
        title: "Marks: running tape from the start line, and diagonals to the other edge".into(),
        columns: first.into_iter().chain(both.into_iter().flatten()).collect(),
        rows: rows.collect(),
    }
}

/// Metres as a tape in feet and inches shows them.
pub(super) fn tape(metres: f64) -> String {
    const INCH: f64 = 0.0254;
    feet_and_inches(metres / INCH, TAPE_PARTS)
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
            Cell::Text(if plot.filler { "filler" } else { "plot" }.into()),
            Cell::Count(plot.range),
            Cell::Count(plot.pass),
            Cell::Text(plot.heading.word().into()),
            number(plot.left),
            number(plot.right),
            number(plot.near),
            number(plot.far),
        ]
    });
    let counted = |number: Option<u32>| number.map_or(Cell::Empty, Cell::Count);
    let borders = layout.borders().map(|border| {
        vec![
            Cell::Empty,
            Cell::Text("border".into()),
            counted(border.range),
            counted(border.pass),
            Cell::Text(border.heading.word().into()),
            number(border.left),
            number(border.right),
            number(border.near),
            number(border.far),
        ]
    });
    Table {
        key: "plots",
        title: "Plots in field coordinates, in the order of their numbers, then borders".into(),
        columns: vec![
            Column::new("plot", "plot", ""),
            Column::new("kind", "kind", ""),
            Column::new("range", "range", ""),
            Column::new("pass", "pass", ""),
            Column::new("heading", "heading", ""),
            length("x_left", "x left", unit),
            length("x_right", "x right", unit),
            length("y_near", "y near", unit),
            length("y_far", "y far", unit),
        ],
        rows: rows.chain(borders).collect(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calculations::stakes::{
        Grid, Heading, Inputs, Numbering, Order, Place, Run, Side, stakes,
    };
    use crate::quantity::{Decimal, Length};
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    fn feet(number: u32) -> Length {
        Length::parse(&format!("{number} ft"), None).expect("a length")
    }

    /// Two ranges and two passes of plots of 20 by 5 ft with alleys of 4 ft, one plot to a pass.
    fn inputs(border_ranges: u32, border_passes: u32) -> Inputs {
        Inputs {
            plot: feet(20),
            others: vec![],
            border_plot: None,
            alley: feet(4),
            rows: Decimal::whole(2),
            rows_per_plot: Decimal::whole(2),
            row_spacing: Length::parse("30 in", None).expect("a length"),
            grid: Grid {
                ranges: 2,
                passes: 2,
                abreast: 1,
                border_ranges,
                border_passes,
                one_way: false,
            },
            headland: feet(40),
            end_headland: None,
            side_margin: None,
            pass_gap: None,
            wire_end: None,
            tape: None,
            numbering: Numbering {
                first: 101,
                step: None,
                order: Order::Serpentine,
                run: Run::Across,
                first_pass: Side::Left,
            },
            place: None,
            entries_and_reps: None,
            trip_tolerance: None,
            trips_at_marks: false,
        }
    }

    fn values(inputs: &Inputs, names: &[&str]) -> Vec<f64> {
        let outcome = stakes(inputs, &common());
        let of = |name: &&str| {
            let found = outcome.values.iter().find(|value| value.name() == Some(*name));
            found.unwrap_or_else(|| panic!("no {name}")).number()
        };
        names.iter().map(of).collect()
    }

    #[test]
    fn a_mark_is_told_by_what_lies_before_and_behind_it() {
        let said = |borders| {
            let layout = inputs(borders, 0).layout(&common());
            layout.marks().map(|mark| between(&layout, mark.number)).collect::<Vec<_>>()
        };
        assert_eq!(said(0), ["before range 1", "range 1 and range 2", "after range 2"]);
        assert_eq!(
            said(1),
            [
                "before border",
                "border and range 1",
                "range 1 and range 2",
                "range 2 and border",
                "after border"
            ]
        );
    }

    /// Planted: 2 x 20 + 4 = 44 by 2 x 5 = 10 ft. Field: 40 + 44 + 40 = 124 ft. Marks: 40 - 2 = 38,
    /// two trip spacings of 24 further 86. Net 4 x 20 x 5 = 400 of 1240 sq ft: 32.26 %; an acre is
    /// 43560 sq ft.
    #[test]
    fn a_bare_field_by_hand() {
        let names = [
            "planted length",
            "field length",
            "planted width",
            "field width",
            "marks",
            "first mark",
            "last mark",
            "wire length",
            "net of gross area",
            "plots",
        ];
        let found = values(&inputs(0, 0), &names);
        for (found, wanted) in
            found.iter().zip([44.0, 124.0, 10.0, 10.0, 3.0, 38.0, 86.0, 48.0, 400.0 / 12.40, 4.0])
        {
            assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
        }
        let areas = values(&inputs(0, 0), &["net area in acres", "gross area in acres"]);
        assert!((areas[0] - 400.0 / 43_560.0).abs() < 1e-12);
        assert!((areas[1] - 1240.0 / 43_560.0).abs() < 1e-12);
    }

    /// With borders all round, 10 ft at the far end, 2 ft between passes, 3 ft beside them and 6 ft
    /// of wire at either end: 4 x 20 + 3 x 4 = 92 long, 40 + 92 + 10 = 142; 4 x 5 + 3 x 2 = 26 wide,
    /// and 2 x 3 more; wire 4 x 24 + 2 x 6 = 108.
    #[test]
    fn a_field_with_borders_gaps_and_margins_by_hand() {
        let inputs = Inputs {
            end_headland: Some(feet(10)),
            side_margin: Some(feet(3)),
            pass_gap: Some(feet(2)),
            wire_end: Some(feet(6)),
            ..inputs(1, 1)
        };
        let names = [
            "planted length",
            "field length",
            "planted width",
            "field width",
            "marks",
            "wire length",
            "plots",
        ];
        assert_eq!(values(&inputs, &names), [92.0, 142.0, 26.0, 32.0, 5.0, 108.0, 4.0]);
        let plots: Vec<_> = inputs.layout(&common()).plots().collect();
        // Pass 1 is driven second, home, one pitch of 7 ft from the margin: 3 + 7 = 10.
        assert_eq!((plots[0].left, plots[0].right, plots[0].heading), (10.0, 15.0, Heading::Home));
        assert_eq!((plots[1].left, plots[1].heading), (17.0, Heading::Out));
        // A gap of nothing is none, and no line is spent on it.
        let none = Inputs { pass_gap: Some(feet(0)), side_margin: Some(feet(0)), ..inputs };
        assert_eq!(values(&none, &["planted width", "field width"]), [20.0, 20.0]);
        let lines = stakes(&none, &common()).working();
        assert!(!lines.iter().any(|line| ["pass gap", "side margin"].contains(&line.name())));
    }

    #[test]
    fn only_an_edge_without_a_border_is_warned_of() {
        let warned = |ranges, passes| {
            let outcome = stakes(&inputs(ranges, passes), &common());
            let said = outcome.warnings.iter().find(|warning| warning.kind.code == "edge-plots");
            said.map(|warning| warning.message.split(':').next().unwrap_or_default().to_owned())
        };
        assert_eq!(warned(1, 1), None);
        assert_eq!(warned(0, 1).as_deref(), Some("no border ranges"));
        assert_eq!(warned(1, 0).as_deref(), Some("no border passes"));
    }

    /// 1 ft of 20 is 19 / 20 - 1 = -5 %. A tolerance of the whole plot leaves nothing to speak of.
    #[test]
    fn the_trip_tolerance_is_turned_into_yield_where_a_plot_is_left() {
        let of = |tolerance: Length| {
            let outcome =
                stakes(&Inputs { trip_tolerance: Some(tolerance), ..inputs(0, 0) }, &common());
            let named = |value: &&Value| value.name() == Some("yield error of such a plot");
            outcome.values.iter().find(named).map(Value::number)
        };
        assert!((of(feet(1)).expect("an error") + 5.0).abs() < 1e-9);
        assert_eq!(of(feet(20)), None);
        assert_eq!(of(feet(21)), None);
    }

    /// 100 / 90 - 1 = 11.11 %, 100 / 110 - 1 = -9.09 %.
    #[test]
    fn a_length_entered_too_short_makes_the_yield_too_high() {
        let table = yields();
        let row = |at: usize| match table.rows[at][..] {
            [Cell::Number(off, _), Cell::Number(error, _)] => (off, error),
            _ => panic!("two numbers"),
        };
        let (first, last) = (row(0), row(table.rows.len() - 1));
        assert_eq!((first.0, last.0), (-10.0, 10.0));
        assert!((first.1 - 11.111_1).abs() < 1e-4 && (last.1 + 9.090_9).abs() < 1e-4);
    }

    /// The given corner is where it was given, whichever end of the start line it is: at 0 ft
    /// across, or at the 10 ft of the field's width.
    #[test]
    fn the_corner_given_is_that_end_of_the_start_line() {
        let at = |corner| Inputs {
            place: Some(Place { latitude: 45.0, longitude: 7.0, corner, bearing: 0.0 }),
            ..inputs(0, 0)
        };
        for (corner, across) in [(Side::Left, 0.0), (Side::Right, 10.0)] {
            let point = at(corner).layout(&common()).point((across, 0.0)).expect("a place");
            assert!((point.latitude - 45.0).abs() < 1e-9 && (point.longitude - 7.0).abs() < 1e-9);
            let other = at(corner).layout(&common()).point((10.0 - across, 0.0)).expect("a place");
            // To the right is east, since the travel out goes north.
            assert_eq!(other.longitude > 7.0, corner == Side::Left);
        }
        assert!(on_the_globe(&inputs(0, 0).layout(&common()), (0.0, 0.0)).is_empty());
    }

    /// 1 ft 1 in is 13 x 0.0254 = 0.3302 m.
    #[test]
    fn a_tape_shows_feet_and_inches_of_metres() {
        assert_eq!(tape(0.3302), feet_and_inches(13.0, 8));
    }
}
