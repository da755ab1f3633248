//! What one sheet has for the trend.

use chrono::NaiveDate;

use crate::calculations::registry::Job;
use crate::calculations::{alley, evenness, trip, wheel};
use crate::outcome::setting::{SETBACK, TRIP_SCALE};
use crate::outcome::{Cell, Direction, Outcome, Report};
use crate::quantity::{Decimal, Speed, Unit};
use crate::record::Record;
use crate::working::Value;

/// One sheet, worked out.
pub struct Sheet {
    /// What it is called here.
    pub name: String,
    /// Its planter, where it says one: the name, or the file that it stands in.
    pub planter: Option<String>,
    /// The serial number of that.
    pub serial: Option<String>,
    /// Its inputs.
    pub job: Box<Job>,
    /// Its record, for the days.
    pub record: Record,
    /// Its results.
    pub report: Report,
}

/// What is followed over the years.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    TripScale,
    Travel,
    Skid,
    Setback,
    Misses(Option<u32>),
}

impl Kind {
    pub(super) fn name(self) -> String {
        match self {
            Kind::TripScale => "trip scale".into(),
            Kind::Travel => "travel per turn".into(),
            Kind::Skid => "skid".into(),
            Kind::Setback => "setback".into(),
            Kind::Misses(Some(row)) => format!("row {row} misses"),
            Kind::Misses(None) => "misses".into(),
        }
    }

    /// The runs that measure it.
    fn runs(self) -> &'static [&'static str] {
        match self {
            Kind::TripScale => trip::ENTRY.runs,
            Kind::Travel | Kind::Skid => wheel::ENTRY.runs,
            Kind::Setback => alley::ENTRY.runs,
            Kind::Misses(_) => evenness::ENTRY.runs,
        }
    }
}

/// One number of one sheet.
pub(super) struct Point {
    pub(super) kind: Kind,
    pub(super) sheet: String,
    pub(super) day: NaiveDate,
    pub(super) number: f64,
    pub(super) unit: Unit,
    /// How far it may go before it has to be set or measured anew, in its unit.
    pub(super) tolerance: Option<f64>,
    /// What has to be the same for sheets to be held against one another.
    pub(super) same: Same,
}

/// What a number holds for.
#[derive(Clone)]
pub(super) enum Same {
    Anything,
    /// Whether the scale counts per length.
    Scale(trip::ScaleKind),
    /// The speed that the setback is for, and which way raising it moves alleys.
    Speed(Option<Speed>, Direction),
}

/// Everything that a sheet has, and what of it has no day.
pub(super) fn points(sheet: &Sheet) -> (Vec<Point>, Vec<Kind>) {
    let (mut all, mut undated) = (vec![], vec![]);
    for outcome in &sheet.report.outcomes {
        for (kind, value, tolerance, same) in numbers(sheet, outcome) {
            let (number, unit) = (value.number(), value.unit());
            match last_day(sheet, kind) {
                Some(day) => {
                    let name = sheet.name.clone();
                    all.push(Point { kind, sheet: name, day, number, unit, tolerance, same });
                }
                None => undated.push(kind),
            }
        }
    }
    (all, undated)
}

/// The day of the last run that counts.
fn last_day(sheet: &Sheet, kind: Kind) -> Option<NaiveDate> {
    let of = |row: Option<u32>| match kind {
        Kind::Misses(Some(own)) => row.is_none_or(|row| row == own),
        _ => true,
    };
    let runs = sheet.record.runs.iter().filter(|run| run.aside.is_none() && of(run.row));
    let own = runs.filter(|run| kind.runs().contains(&run.table));
    own.filter_map(|run| run.date.as_deref()?.parse().ok()).max()
}

type Number = (Kind, Value, Option<f64>, Same);

fn numbers(sheet: &Sheet, outcome: &Outcome) -> Vec<Number> {
    let key = outcome.calculation.key;
    if key == trip::CALCULATION.key {
        trip_scale(sheet, outcome).into_iter().collect()
    } else if key == wheel::CALCULATION.key {
        travel_and_skid(sheet, outcome)
    } else if key == alley::CALCULATION.key {
        setback(sheet, outcome).into_iter().collect()
    } else if key == evenness::CALCULATION.key {
        misses(outcome)
    } else {
        vec![]
    }
}

/// The scale that is right, and the share of it that a plot may be off by.
fn trip_scale(sheet: &Sheet, outcome: &Outcome) -> Option<Number> {
    let inputs = sheet.job.trip.as_deref()?;
    let of_scale =
        outcome.settings.iter().find(|one| one.key.as_deref() == Some(TRIP_SCALE.key))?;
    let exact = of_scale.exact.clone();
    let spacing = inputs.plot.base() + inputs.alley.base();
    let tolerance = inputs.tolerance.as_ref();
    let tolerance = tolerance.map(|length| exact.number() * length.base() / spacing);
    Some((Kind::TripScale, exact, tolerance, Same::Scale(inputs.kind)))
}

fn travel_and_skid(sheet: &Sheet, outcome: &Outcome) -> Vec<Number> {
    let find = |name: &str| outcome.values.iter().find(|value| value.name() == Some(name)).cloned();
    let share =
        sheet.job.wheel.as_deref().and_then(|inputs| Some(inputs.tolerance.as_ref()?.base()));
    let travel = find("travel per turn").map(|travel| {
        let tolerance = share.map(|share| share * travel.number());
        (Kind::Travel, travel, tolerance, Same::Anything)
    });
    // Ground per turn is circumference / (1 - skid): as much off by a point of (1 - skid).
    let skid = find("skid").map(|skid| {
        let tolerance = share.map(|share| share * (100.0 - skid.number()));
        (Kind::Skid, skid, tolerance, Same::Anything)
    });
    travel.into_iter().chain(skid).collect()
}

/// The setback that is right, and how far the middle of an alley may lie off.
fn setback(sheet: &Sheet, outcome: &Outcome) -> Option<Number> {
    let setback = outcome.settings.iter().find(|one| one.key.as_deref() == Some(SETBACK.key))?;
    let exact = setback.exact.clone();
    let moving = &sheet.job.alley.as_deref()?.setback;
    let moves = moving.moves.map_or(1.0, Decimal::value);
    let judgement = outcome.judgement.as_ref();
    let tolerance = judgement.and_then(|one| one.tolerance.as_ref());
    let tolerance = tolerance.and_then(|length| {
        let factor = length.unit().factor_to(exact.unit())?;
        Some(length.number() * factor.value() / moves.abs())
    });
    let speed = sheet.record.present.speed.clone();
    Some((Kind::Setback, exact, tolerance, Same::Speed(speed, moving.raising_moves)))
}

/// Misses row by row, in per cent of gaps.
fn misses(outcome: &Outcome) -> Vec<Number> {
    let Some(table) = outcome.tables.iter().find(|table| table.key == "evenness") else {
        return vec![];
    };
    let place = |key: &str| table.columns.iter().position(|column| column.key == key);
    let Some((row, misses)) = place("row").zip(place("misses_of_gaps_percent")) else {
        return vec![];
    };
    let of_row = |cells: &Vec<Cell>| {
        let Cell::Number(share, _) = cells.get(misses)? else { return None };
        let row = match cells.get(row)? {
            Cell::Count(row) => Some(*row),
            Cell::Text(text) => text.parse().ok(),
            _ => None,
        };
        // The line of all rows together would count them twice.
        if row.is_none() && table.rows.len() > 1 {
            return None;
        }
        let value = Value::exact("misses", *share, Unit::PERCENT);
        Some((Kind::Misses(row), value, None, Same::Anything))
    };
    table.rows.iter().filter_map(of_row).collect()
}
