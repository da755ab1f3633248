//! The lengths, what an error of each does, and the factors between yields by them.

use crate::calculations::stakes::yield_error;
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::{LengthUnit, Unit};
use crate::working::{Units, Value};

use super::formulas::yield_factor;
use super::ways::{Lengths, WAYS};

/// Every length with its area, and what an error of it does to a yield.
pub(super) fn lengths(
    all: &[Lengths],
    width: Option<&Value>,
    error: &Value,
    units: &Units,
    outcome: &mut Outcome,
) -> Table {
    let unit = units.length.to_string();
    let area_unit = area_unit(units);
    let mut columns = vec![
        Column::new("plot", "plot", ""),
        Column::new("by", "by", ""),
        Column::new(format!("length_{unit}"), "length", &unit),
    ];
    if width.is_some() {
        let key = if area_unit == LengthUnit::Foot { "area_ft2" } else { "area_m2" };
        columns.push(Column::new(key, "area", Unit::from(area_unit).to_the(2).to_string()));
    }
    columns.push(Column::new("too_long_percent", "too long", "yield, %"));
    columns.push(Column::new("too_short_percent", "too short", "yield, %"));
    let mut rows = vec![];
    for one in all {
        for (way, length) in WAYS.iter().zip(&one.ways) {
            // From middle to middle is the same whatever is cut off, and said once.
            let is_said = one.middles_said && *way == WAYS[2];
            let mut row = vec![
                Cell::Text(one.of.clone()),
                Cell::Text((*way).into()),
                Cell::Number(length.number(), 2),
            ];
            row.extend(width.map(|width| {
                let area = (length * width)
                    .in_unit(Unit::from(area_unit).to_the(2))
                    .named(format!("area of a plot, {way}{}", one.tag));
                outcome.values.extend((!is_said).then(|| area.clone()));
                Cell::Number(area.number(), 2)
            }));
            let both = errors(way, &one.tag, length, error);
            row.extend(both.iter().map(|found| number(found.as_ref(), 2)));
            outcome.values.extend(both.into_iter().flatten().filter(|_| !is_said));
            rows.push(row);
        }
    }
    let title = format!(
        "Lengths of a plot, and a yield by one that is entered {} {} wrong",
        crate::quantity::brief(error.number()),
        error.unit_text()
    );
    Table { key: "harvest-lengths", title, columns, rows }
}

/// Areas of plots are in square feet or square metres, whatever the tape shows.
fn area_unit(units: &Units) -> LengthUnit {
    match units.length {
        LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile => {
            LengthUnit::Foot
        }
        _ => LengthUnit::Metre,
    }
}

fn number(value: Option<&Value>, places: usize) -> Cell {
    value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
}

/// A length entered too long, and one entered too short by the same.
fn errors(way: &str, tag: &str, length: &Value, error: &Value) -> [Option<Value>; 2] {
    let of = |entered: Value, which: &str| {
        (entered.number() > 0.0)
            .then(|| yield_error(&entered, length).named(format!("yield, {way}{tag}, {which}")))
    };
    [of(length + error, "too long"), of(length - error, "too short")]
}

/// What a yield by each length is times, to be that by each other.
pub(super) fn factors(all: &[Lengths], entered: Option<&Value>, outcome: &mut Outcome) -> Table {
    let columns = vec![
        Column::new("plot", "plot", ""),
        Column::new("by", "a yield by", ""),
        Column::new("to_seeds", "first to last", "times"),
        Column::new("to_spacing", "with spacing", "times"),
        Column::new("to_middles", "middles", "times"),
    ];
    let mut rows = vec![];
    for one in all {
        let own = WAYS.iter().copied().zip(&one.ways);
        let all = own.chain(entered.map(|entered| ("entered", entered)));
        for (place, (by, length)) in all.enumerate() {
            let mut row = vec![Cell::Text(one.of.clone()), Cell::Text(by.into())];
            for (other_place, (to, other)) in WAYS.iter().zip(&one.ways).enumerate() {
                let name = format!("factor, {by} to {to}{}", one.tag);
                let factor = yield_factor(length, other).named(name);
                row.push(number(Some(&factor), 4));
                // The way back is one over it, and a length to itself one: no lines of their own.
                let is_new = other_place > place || place == WAYS.len();
                outcome.values.extend(is_new.then_some(factor));
            }
            rows.push(row);
        }
    }
    let title = "Yield by one length, times this, is the yield by the other".into();
    Table { key: "yield-factors", title, columns, rows }
}
