//! Trip runs.

use crate::calculations::trip;
use crate::outcome::setting::ScaleSetting;
use crate::sheet::Tables;
use crate::sheet::reader::Reader;

use super::need::{Need, OfTrips};
use super::run::at_trial_speed;

pub(super) fn trip(tables: &Tables, reader: &mut Reader<'_>) -> Option<trip::Inputs> {
    let here: Vec<_> = tables
        .trip_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    let first = here.first()?;
    let need = Need { run: "[[trip-run]]", span: &first.run.span };
    let OfTrips { controller, now, plot, alley } = need.of_trips(reader, tables);
    let runs: Option<Vec<_>> = here
        .iter()
        .map(|table| {
            let then = table.run.with.trip_scale.filter(|then| now != Some(*then));
            let number = Some(table.run.number);
            Some(trip::TripRun { number, evidence: table.evidence.clone()?, then })
        })
        .collect();
    let controller = controller?;
    Some(trip::Inputs {
        runs: runs?,
        kind: controller.kind?,
        scale: ScaleSetting { now: now?, step: controller.step },
        plot: plot?,
        alley: alley?,
        ranges: tables.trial.ranges,
        tolerance: tables.trial.tolerance.trip.clone(),
    })
}
