//! Trip runs.

use crate::calculations::trip;
use crate::outcome::setting::{ScaleSetting, TRIP_SCALE};
use crate::sheet::Tables;
use crate::sheet::reader::Reader;

use super::need::Need;
use super::run::at_trial_speed;

pub(super) fn trip(tables: &Tables, reader: &mut Reader<'_>) -> Option<trip::Inputs> {
    let here: Vec<_> = tables
        .trip_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    let first = here.first()?;
    let need = Need { run: "[[trip-run]]", span: &first.run.span };
    let controller = tables.planter.controller.trip_scale.as_ref();
    if controller.is_none() {
        need.scale(reader, tables);
    }
    let now = tables.settings.trip_scale;
    if now.is_none() {
        need.setting(reader, tables, &TRIP_SCALE, "402.5");
    }
    let plot = need.of_trial(reader, tables, tables.trial.plot.as_ref(), "plot", "\"17 ft 6 in\"");
    let alley = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
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
