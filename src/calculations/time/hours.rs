//! Hours of the field: pass by pass, as reckoned or as timed.

use crate::calculations::common::Common;
use crate::calculations::stakes::planted_length;
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::quantity::{AreaUnit, TimeUnit, Unit};
use crate::statistics::Summary;
use crate::working::Value;

use super::formulas::{field_efficiency, pass_time, work_rate};
use super::inputs::Inputs;

/// What the field takes.
pub(super) struct Hours {
    /// All of it.
    pub(super) all: Value,
    /// Low and high end of its interval, where passes were timed.
    pub(super) ends: Option<[Value; 2]>,
    /// Days, where it is known how long one is.
    pub(super) days: Option<Value>,
}

fn count(name: &'static str, number: u32) -> Value {
    Value::found(name, f64::from(number), Unit::ONE, "counted")
}

/// Nothing where neither a turn nor a pass was timed.
pub(super) fn add(inputs: &Inputs, common: &Common, outcome: &mut Outcome) -> Option<Hours> {
    let units = &common.units;
    let planted = &inputs.planted;
    let second = Unit::from(TimeUnit::Second);
    let speed = units.speed("speed", &inputs.speed);
    let ranges = count("ranges with borders", planted.ranges);
    let passes = count("passes with borders", planted.passes);
    let length = length(inputs, common, &ranges, &units.length("plot", &inputs.plot));
    let driving = (&length / &speed).named("time in the rows of a pass");
    let readings: Vec<Value> =
        inputs.took.iter().map(|time| Value::reading(time, second)).collect();
    let timed = Summary::of("pass time", &readings, common.confidence);
    let (pass, ends) = match (timed, &inputs.turn) {
        (Some(timed), _) => {
            let ends = timed.spread.map(|spread| [spread.interval.low, spread.interval.high]);
            (timed.mean, ends)
        }
        (None, Some(turn)) => {
            let turn = Value::measured("turn", turn, second);
            let load = inputs.load.as_ref().map(|load| Value::measured("load", load, second));
            let plots =
                (&ranges * count("plots abreast", planted.abreast)).named("plots of a pass");
            let loading = load.as_ref().map(|load| (&plots, load));
            (pass_time(&length, &speed, &turn, loading).named("time of a pass"), None)
        }
        (None, None) => return None,
    };
    let lost = inputs.lost.as_ref().map(|lost| Value::measured("lost", lost, Unit::ONE));
    let whole = |pass: &Value, end: &str| {
        let all = &passes * pass;
        let all = match &lost {
            Some(lost) => all / (Value::constant(1.0) - lost),
            None => all,
        };
        let all = all.named(["time of the field", end].concat());
        all.in_unit(TimeUnit::Hour.into()).named(["hours of the field", end].concat())
    };
    let all = whole(&pass, "");
    let ends = ends.map(|[low, high]| [whole(&low, ", low"), whole(&high, ", high")]);
    outcome.values.push(all.clone());
    outcome.values.extend(ends.iter().flatten().cloned());
    rate(inputs, common, &speed, &(&passes * &driving).named("time in all rows"), &all, outcome);
    let day = inputs.day.as_ref().map(|day| Value::measured("day", day, TimeUnit::Hour.into()));
    let days = day.map(|day| (&all / day).named("days, exactly").rounded_up().named("days"));
    let people = inputs.crew.map(|crew| Value::typed("crew", crew, Unit::ONE));
    let people = people.map(|crew| (&all * crew).named("hours of the crew"));
    outcome.values.extend(days.iter().chain(&people).cloned());
    outcome.tables.push(table(&pass, &driving, &all, days.as_ref(), people.as_ref()));
    Some(Hours { all, ends, days })
}

/// Length of a pass in its rows.
fn length(inputs: &Inputs, common: &Common, ranges: &Value, plot: &Value) -> Value {
    let units = &common.units;
    let alley = units.length("alley", &inputs.alley);
    let mut own = ranges.clone();
    let mut others = vec![];
    for (ranges, plot) in &inputs.planted.others {
        let name = format!("ranges of {plot}");
        let ranges = Value::found(name, f64::from(*ranges), Unit::ONE, "counted");
        own = own - &ranges;
        others.push((ranges, units.length(format!("plot of {plot}"), plot)));
    }
    let own = if others.is_empty() { own } else { own.named("ranges of `plot`") };
    let by_length: Vec<(&Value, &Value)> = std::iter::once((&own, plot))
        .chain(others.iter().map(|(count, plot)| (count, plot)))
        .collect();
    planted_length(ranges, &by_length, &alley)
}

/// Field efficiency and work rate, as machines are compared by.
fn rate(
    inputs: &Inputs,
    common: &Common,
    speed: &Value,
    driving: &Value,
    all: &Value,
    outcome: &mut Outcome,
) {
    let units = &common.units;
    let driving = driving.in_unit(TimeUnit::Hour.into()).named("hours in all rows");
    let efficiency = field_efficiency(&driving, all).named("field efficiency, as a share");
    outcome.values.push(efficiency.in_percent().named("field efficiency"));
    let rows = Value::typed("rows", inputs.rows, Unit::ONE);
    let width = (rows * units.length("row spacing", &inputs.row_spacing)).named("pass width");
    let area = match units.area {
        AreaUnit::Acre | AreaUnit::SquareFoot => AreaUnit::Acre,
        _ => AreaUnit::Hectare,
    };
    let per_hour = Unit::per_area(area).to_the(-1).times(Unit::from(TimeUnit::Hour).to_the(-1));
    outcome.values.push(work_rate(speed, &width, &efficiency).in_unit(per_hour).named("work rate"));
}

fn table(
    pass: &Value,
    driving: &Value,
    all: &Value,
    days: Option<&Value>,
    people: Option<&Value>,
) -> Table {
    let cell = |value: Option<&Value>, places: usize| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
    };
    let minutes = |value: &Value| value.in_unit(TimeUnit::Minute.into());
    Table {
        key: "hours",
        title: "Hours of the field, test ranges not among them".into(),
        columns: vec![
            Column::new("pass_min", "a pass", "min"),
            Column::new("in_rows_min", "in its rows", "min"),
            Column::new("field_h", "field", "h"),
            Column::new("days", "days", ""),
            Column::new("crew_h", "crew", "h"),
        ],
        rows: vec![vec![
            cell(Some(&minutes(pass)), 2),
            cell(Some(&minutes(driving)), 2),
            cell(Some(all), 2),
            cell(days, 0),
            cell(people, 1),
        ]],
    }
}
