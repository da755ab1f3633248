//! Runs that say which way they went, with what they are held against.

use crate::calculations::slope::{Ground, Held, Inputs, On};
use crate::calculations::trip::TripRun;
use crate::outcome::setting::ScaleSetting;
use crate::sheet::Tables;
use crate::sheet::slope::Sloped;

use super::run::same_speed;

/// Nothing where no run says a heading or a slope, or one could not be read.
pub(super) fn slope(tables: &Tables) -> Option<Inputs> {
    let trips = trips(tables)?;
    let wheels = both_ways(&tables.wheel_runs)?;
    let speeds = both_ways(&tables.speed_runs)?;
    let says = |ground: &Ground| ground.heading.is_some() || ground.slope.is_some();
    let mut grounds = trips
        .iter()
        .map(|on| &on.ground)
        .chain(wheels.iter().map(|on| &on.ground))
        .chain(speeds.iter().map(|on| &on.ground));
    grounds.any(says).then_some(())?;
    let trial = &tables.trial;
    let held = tables.planter.controller.trip_scale.as_ref().and_then(|controller| {
        Some(Held {
            kind: controller.kind?,
            scale: ScaleSetting { now: tables.settings.trip_scale?, step: controller.step },
            plot: trial.plot.as_ref()?.value.clone(),
            alley: trial.alley.as_ref()?.value.clone(),
        })
    });
    Some(Inputs {
        trips: of_kind(trips),
        wheels: of_kind(wheels),
        speeds: of_kind(speeds),
        held,
        circumference: tables.planter.circumference.as_ref().map(|one| one.value.clone()),
        ranges: trial.ranges,
        trip_tolerance: trial.tolerance.trip.clone(),
        spacing_tolerance: trial.tolerance.spacing.clone(),
        speed_tolerance: trial.tolerance.speed.clone(),
    })
}

/// A kind of which no run says a way is in no comparison.
fn of_kind<T>(runs: Vec<On<T>>) -> Vec<On<T>> {
    let says = |on: &On<T>| on.ground.heading.is_some() || on.ground.slope.is_some();
    if runs.iter().any(says) { runs } else { vec![] }
}

fn trips(tables: &Tables) -> Option<Vec<On<TripRun>>> {
    let mut all = vec![];
    for table in tables.trip_runs.iter().filter(|table| same_speed(&table.run, tables)) {
        let then =
            table.run.with.trip_scale.filter(|then| tables.settings.trip_scale != Some(*then));
        let number = Some(table.run.number);
        let run = TripRun { number, evidence: table.evidence.clone()?, then };
        all.push(On { ground: table.ground.clone()?, run });
    }
    Some(all)
}

fn both_ways<T: Clone>(runs: &[Sloped<T>]) -> Option<Vec<On<T>>> {
    let on = |sloped: &Sloped<T>| {
        Some(On { ground: sloped.ground.clone()?, run: sloped.as_ref()?.clone() })
    };
    runs.iter().map(on).collect()
}
