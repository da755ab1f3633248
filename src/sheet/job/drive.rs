//! Ground speed, wheel and drive.

use std::ops::Range;

use crate::calculations::spacing::{Drive, TravelSource};
use crate::calculations::{spacing, speed, sprockets, wheel};
use crate::record::Record;
use crate::record::operating_point::same_speed_as;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};
use crate::working::Units;

pub(super) fn speed(
    tables: &Tables,
    record: &Record,
    units: Units,
    reader: &mut Reader<'_>,
) -> Option<speed::Inputs> {
    // Where the sheet says which throttle it is, runs of another are out already.
    let runs = match tables.by_hand.throttle {
        Some(_) => tables.speed_runs.iter().flatten().cloned().collect(),
        None => at_present_speed(tables, record, &units, reader),
    };
    (!runs.is_empty()).then(|| speed::Inputs {
        runs,
        target: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
        tolerance: tables.trial.tolerance.speed.clone(),
    })
}

/// The speed runs that speak of how fast the planter drives now: the last one, and those that
/// come to the same speed. Where nobody wrote down that the driver took another gear, nothing tells
/// else, and the mean of two speeds is the speed of neither.
fn at_present_speed(
    tables: &Tables,
    record: &Record,
    units: &Units,
    reader: &mut Reader<'_>,
) -> Vec<speed::SpeedRun> {
    let driven = |run: &speed::SpeedRun| speed::mean_speed(std::slice::from_ref(run), units);
    let Some(now) = tables.speed_runs.iter().flatten().next_back().and_then(driven) else {
        return vec![];
    };
    let recorded = tables.recorded.iter().zip(&record.runs);
    let live = recorded.filter(|(_, run)| run.table == "speed-run" && run.aside.is_none());
    let mut present = vec![];
    for (run, (place, _)) in tables.speed_runs.iter().zip(live) {
        let Some((run, own)) = run.as_ref().and_then(|run| Some((run, driven(run)?))) else {
            continue;
        };
        if same_speed_as(own.number(), now.number()) {
            present.push(run.clone());
            continue;
        }
        let message = format!(
            "this course was driven at {}, the last one at {}: it is not used",
            speed::in_words(&own, units),
            speed::in_words(&now, units)
        );
        let advice = "the last [[speed-run]] of the sheet says how fast the planter drives now";
        reader.say(&codes::UNUSED_DATA, place.span.clone(), message, advice);
    }
    present
}

pub(super) fn wheel(
    tables: &Tables,
    runs: Vec<wheel::WheelRun>,
    reader: &mut Reader<'_>,
) -> Option<wheel::Inputs> {
    if runs.is_empty() {
        if let (Some(circumference), Some(wheel::Travel::Measured { .. })) =
            (&tables.planter.circumference, &tables.planter.travel)
        {
            let message = "`rolling-circumference` has no effect: `travel-per-turn` was measured";
            let advice = "keep it for the skid of a [[wheel-run]], or take it out";
            reader.say(&codes::UNUSED_KEY, circumference.span.clone(), message, advice);
        }
        return None;
    }
    Some(wheel::Inputs {
        runs,
        circumference: tables.planter.circumference.as_ref().map(|c| c.value.clone()),
        planter: tables.planter.travel.clone(),
        tolerance: tables.trial.tolerance.spacing.clone(),
    })
}

/// The spacing inputs; `Err` lists what is missing, which is no mistake in a sheet that is not
/// about spacing.
pub(super) fn spacing(
    tables: &Tables,
    wheel_runs: &[wheel::WheelRun],
    reader: &mut Reader<'_>,
) -> Result<Option<spacing::Inputs>, Vec<&'static str>> {
    let planter = &tables.planter;
    let travel = if wheel_runs.is_empty() {
        planter.travel.clone().map(|travel| TravelSource::Planter(Box::new(travel)))
    } else {
        Some(TravelSource::Runs(wheel_runs.to_vec()))
    };
    let ratio = planter.plate.as_ref().and_then(|plate| plate.turns_per_wheel_turn);
    let drive = match (planter.drive.is_empty(), ratio) {
        (false, Some(_)) => {
            let message =
                "`turns-per-wheel-turn` and [[planter.drive]] both give the drive's ratio";
            reader.say(&codes::CONFLICT, planter.drive_span.clone(), message, "keep one of them");
            return Ok(None);
        }
        (false, None) => Some(Drive::Chains(planter.drive.clone())),
        (true, Some(ratio)) => Some(Drive::Fixed(ratio)),
        (true, None) => None,
    };
    if let Some(Drive::Chains(stages)) = &drive
        && !searchable(stages, &planter.drive_span, reader)
    {
        return Ok(None);
    }
    let cells = planter.plate.as_ref().and_then(|plate| plate.cells);
    let row_spacing = planter.row_spacing.as_ref().map(|row| row.value.clone());
    let target = tables.trial.target.clone();
    let wanted = target.is_some();
    match (travel, drive, cells, row_spacing, target) {
        (Some(travel), Some(drive), Some(cells), Some(row_spacing), Some(target)) => {
            let top_rate = planter.plate.as_ref().and_then(|plate| plate.top_rate.as_ref());
            if let (Some(rate), None) = (top_rate, &tables.trial.speed) {
                let message = "`top-rate` has no effect without `speed` in [trial]";
                reader.say(&codes::UNUSED_KEY, rate.span.clone(), message, "add the ground speed");
            }
            Ok(Some(spacing::Inputs {
                travel,
                drive,
                cells,
                row_spacing,
                target,
                speed: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
                top_rate: top_rate.map(|rate| rate.value.clone()),
                tolerance: tables.trial.tolerance.spacing.clone(),
                ignore_chains: false,
            }))
        }
        (travel, drive, cells, row_spacing, target) => {
            let pieces = [
                (travel.is_none(), "`travel-per-turn` in [planter], or a [[wheel-run]]"),
                (
                    drive.is_none(),
                    "[[planter.drive]], or `turns-per-wheel-turn` in [planter.plate]",
                ),
                (cells.is_none(), "`cells` in [planter.plate]"),
                (row_spacing.is_none(), "`row-spacing` in [planter]"),
                (target.is_none(), "`population` or `seed-spacing` in [trial]"),
            ];
            let lacks: Vec<&str> =
                pieces.into_iter().filter(|(lacks, _)| *lacks).map(|(_, what)| what).collect();
            let held_by_wheel = !wheel_runs.is_empty() && planter.travel.is_some();
            if wanted && tables.trial.tolerance.spacing.is_some() && !held_by_wheel {
                let message = "the seed spacing is not looked at, though it has a tolerance";
                let advice = format!(
                    "add {}; or take `spacing` out of `tolerance`, and dig up seed to see how far \
                     apart it lies",
                    lacks.join("; ")
                );
                reader.say(&codes::UNUSED_KEY, tables.trial.span.clone(), message, &advice);
            }
            Err(lacks)
        }
    }
}

fn searchable(
    stages: &[spacing::DriveStage],
    place: &Range<usize>,
    reader: &mut Reader<'_>,
) -> bool {
    let sprockets: Vec<_> = stages.iter().map(|stage| stage.sprockets.clone()).collect();
    match sprockets::check(&sprockets) {
        Ok(()) => true,
        Err(error) => {
            let message = format!("the drive can't be searched: {error}");
            let advice = "list only the sprockets that are at hand";
            reader.say(&codes::TOO_MANY_SPROCKETS, place.clone(), message, advice);
            false
        }
    }
}
