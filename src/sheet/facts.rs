//! What the sheet says of planter and trial, as typed, for paper.

use crate::calculations::registry::ALL;
use crate::calculations::spacing::Target;
use crate::calculations::trip::Evidence;
use crate::outcome::setting::{PASS_OFFSET, SETBACK, TRIP_SCALE};
use crate::outcome::{Part, Timed};
use crate::paper::{Facts, Has, Holding, Study};
use crate::quantity::{LengthUnit, MeasureUnit};
use crate::working::Units;

use super::Tables;
use super::changeover::Kind;
use super::placed::Placed;
use super::planter::Moving;

fn typed<T: ToString>(value: Option<&T>) -> Option<String> {
    value.map(ToString::to_string)
}

fn placed<T: ToString>(value: &Option<Placed<T>>) -> Option<String> {
    value.as_ref().map(|placed| placed.value.to_string())
}

/// The facts of a sheet.
pub(super) fn facts(tables: &Tables, bare: Option<LengthUnit>, units: Units) -> Facts {
    let (planter, trial) = (&tables.planter, &tables.trial);
    let fitted = |stage: &crate::calculations::spacing::DriveStage| {
        (stage.sprockets.driving.fitted, stage.sprockets.driven.fitted)
    };
    let seeds = trial.target.as_ref().map(|target| match target {
        Target::Population(rate) => ("population", rate.to_string()),
        Target::Spacing(length) => ("seed spacing", length.to_string()),
    });
    let actions = tables.changeover.iter().flat_map(|table| &table.actions);
    let boosts: Vec<String> =
        actions.filter_map(|action| Some(action.rate.as_ref()?.to_string())).collect();
    Facts {
        // Known once the layout is put together.
        other_spacing: None,
        rows: placed(&planter.rows),
        row_spacing: placed(&planter.row_spacing),
        cells: typed(planter.plate.as_ref().and_then(|plate| plate.cells.as_ref())),
        sprockets: planter.drive.iter().map(fitted).collect(),
        plot: placed(&trial.plot),
        alley: placed(&trial.alley),
        speed: placed(&trial.speed),
        seeds,
        depth: placed(&trial.depth),
        boost: (!boosts.is_empty()).then(|| boosts.join(", ")),
        ranges: typed(trial.ranges.as_ref()),
        passes: typed(trial.passes.as_ref()),
        tolerances: tolerances(tables),
        settings: settings(tables),
        bare: bare.map(LengthUnit::symbol),
        tape: units.length.symbol(),
        has: has(tables),
        checklist: tables.checklist.clone(),
        study: Study {
            planter: planter.name.clone(),
            serial: planter.serial.clone(),
            ..tables.study.clone()
        },
        called: called(tables),
    }
}

/// What each tolerance is about, in working order, and the tolerance.
fn tolerances(tables: &Tables) -> Vec<(&'static str, String)> {
    let typed = tables.trial.tolerance.typed();
    let held = |key| typed.iter().find(|(typed, _)| *typed == key).map(|(_, text)| text.clone());
    let all = ALL.iter().flat_map(|entry| entry.tolerances);
    all.filter_map(|(key, what)| Some((*what, held(*key)?))).collect()
}

/// What the planter holds, in working order.
fn settings(tables: &Tables) -> Vec<Holding> {
    let mut all = vec![];
    // Before the actions are set, what stands there is a time taken in the shop, and no setting.
    let set = tables.changeover.iter().filter(|table| table.is_set());
    for action in set.flat_map(|table| &table.actions) {
        let Some(name) = &action.name else { continue };
        for part in Part::BOTH {
            let timed = Timed { action: name.value, part };
            all.extend(action.held(part).map(|extent| Holding {
                key: timed.key(),
                name: timed.name(),
                held: extent.to_string(),
            }));
        }
    }
    let held = &tables.settings;
    let of_controller = [
        (&TRIP_SCALE, typed(held.trip_scale.as_ref())),
        (&SETBACK, typed(held.setback.as_ref())),
        (&PASS_OFFSET, typed(held.pass_offset.as_ref())),
    ];
    all.extend(of_controller.into_iter().filter_map(|(setting, held)| {
        Some(Holding { key: setting.key.into(), name: setting.name.into(), held: held? })
    }));
    all
}

/// The crew's own labels of settings.
pub(super) fn called(tables: &Tables) -> Vec<(&'static str, String)> {
    let controller = &tables.planter.controller;
    let of = |moving: Option<&Moving>| moving.and_then(|moving| moving.called.clone());
    let trip_scale = controller.trip_scale.as_ref().and_then(|scale| scale.called.clone());
    let held = [
        (TRIP_SCALE.key, trip_scale),
        (SETBACK.key, of(controller.setback.as_ref())),
        (PASS_OFFSET.key, of(controller.pass_offset.as_ref())),
    ];
    let held = held.into_iter().filter_map(|(key, label)| Some((key, label?)));
    held.collect()
}

fn has(tables: &Tables) -> Has {
    let (planter, held) = (&tables.planter, &tables.settings);
    let controller = &planter.controller;
    let trip = |kind: fn(&Evidence) -> bool| {
        tables.trip_runs.iter().filter_map(|table| table.evidence.as_ref()).any(kind)
    };
    let plate = planter.plate.as_ref();
    let fixed = plate.is_some_and(|plate| plate.turns_per_wheel_turn.is_some());
    Has {
        one_way: tables.trial.one_way,
        controller: !controller.span.is_empty(),
        trip_scale: controller.trip_scale.is_some()
            || held.trip_scale.is_some()
            || !tables.trip_runs.is_empty(),
        readouts: trip(|evidence| matches!(evidence, Evidence::Readout { .. })),
        taped: trip(|evidence| matches!(evidence, Evidence::Tape { .. })),
        setback: controller.setback.is_some()
            || held.setback.is_some()
            || !tables.alley_runs.is_empty(),
        pass_offset: !tables.trial.one_way
            && (controller.pass_offset.is_some()
                || held.pass_offset.is_some()
                || !tables.pass_runs.is_empty()),
        changeover: tables.changeover.is_some(),
        sweep: tables.changeover.as_ref().is_some_and(|table| {
            table.actions.iter().any(|action| action.kind == Some(Kind::Sweep))
        }),
        plate: plate.is_some(),
        drive: !planter.drive.is_empty() || fixed || planter.travel.is_some(),
        choices: planter.drive.iter().any(|stage| {
            let positions = [&stage.sprockets.driving, &stage.sprockets.driven];
            positions.iter().any(|position| !position.choices.is_empty())
        }),
        speed_law: false, // known once the sheet is put together
        depth: tables.trial.depth.is_some() || !tables.depth_runs.is_empty(),
        evenness: !tables.spacing_runs.is_empty(),
        stand: tables.trial.stand.is_some() || !tables.stand_counts.is_empty(),
        anything: planter.rows.is_some()
            || planter.row_spacing.is_some()
            || plate.is_some()
            || !planter.drive.is_empty()
            || !controller.span.is_empty()
            || !tables.trial.span.is_empty()
            || tables.changeover.is_some(),
    }
}
