//! One wheel: trip runs and wheel runs by the day they were made on.

use crate::calculations::one_wheel::{Day, Inputs};
use crate::calculations::trip::TripRun;
use crate::record::Record;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::{Need, OfTrips};
use super::run::same_speed;

pub(super) fn one_wheel(
    tables: &Tables,
    record: &Record,
    reader: &mut Reader<'_>,
) -> Option<Inputs> {
    let table = tables.one_wheel.as_ref()?;
    let days = days(tables, record)?;
    if days.is_empty() {
        let message = "[one-wheel] has no trip run and no wheel run to look at, and is not used";
        let advice = "measure a [[trip-run]] and a [[wheel-run]] on one day, each with its `date`";
        reader.say(&codes::UNUSED_DATA, table.span.clone(), message, advice);
        return None;
    }
    let need = Need { run: "[one-wheel]", span: &table.span };
    let OfTrips { controller, now, plot, alley } = need.of_trips(reader, tables);
    (!table.unread).then_some(())?;
    Some(Inputs {
        days,
        known: table.known.clone(),
        kind: controller?.kind?,
        now: now?,
        plot: plot?,
        alley: alley?,
        tolerance: tables.trial.tolerance.trip.clone(),
        spacing_tolerance: tables.trial.tolerance.spacing.clone(),
    })
}

/// The days with runs, earliest first, runs without a date before them; nothing where a run could not
/// be read.
fn days(tables: &Tables, record: &Record) -> Option<Vec<Day>> {
    let mut days: Vec<Day> = vec![];
    let date_of = |table: &'static str| {
        let live = record.runs.iter().filter(move |run| run.table == table && run.aside.is_none());
        live.map(|run| run.date.clone())
    };
    for (run, date) in tables.wheel_runs.iter().zip(date_of("wheel-run")) {
        let run = run.as_ref()?.clone();
        on(&mut days, date).wheels.push(run);
    }
    for (table, date) in tables.trip_runs.iter().zip(date_of("trip-run")) {
        if !same_speed(&table.run, tables) {
            continue;
        }
        let then =
            table.run.with.trip_scale.filter(|then| tables.settings.trip_scale != Some(*then));
        let number = Some(table.run.number);
        let evidence = table.evidence.clone()?;
        on(&mut days, date).trips.push(TripRun { number, evidence, then });
    }
    days.sort_by(|one, other| one.date.cmp(&other.date));
    Some(days)
}

fn on(days: &mut Vec<Day>, date: Option<String>) -> &mut Day {
    let place = days.iter().position(|day| day.date == date).unwrap_or_else(|| {
        days.push(Day { date, trips: vec![], wheels: vec![] });
        days.len() - 1
    });
    &mut days[place]
}
