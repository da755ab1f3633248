//! The tables of a sheet put together into the inputs of the calculations.
//!
//! What a run of measurements needs elsewhere in the sheet is checked here, so that the message
//! can point at the run that needs it.

mod alleys;
mod changeover;
mod drive;
mod layout;
mod need;
mod packets;
mod planted;
mod record;
mod rows;
mod run;
mod trip;

use crate::calculations::sequence::Job;
use crate::calculations::wheel;
use crate::forecast::plan;
use crate::outcome::setting::{PASS_OFFSET, SETBACK, TRIP_SCALE};
use crate::statistics::Confidence;
use crate::working::Units;

use super::Tables;
use super::reader::Reader;

pub(super) use record::record;

use alleys::{alley, alley_runs, passes, speed_law};
use changeover::changeover;
use drive::{spacing, speed, wheel};
use layout::stakes;
use packets::packets;
use planted::{depth, evenness, stand};
use rows::rows;
use run::seeds;
use trip::trip;

/// The inputs of every calculation the sheet has data for, and what its spacing lacks.
pub(super) fn assemble(
    tables: &Tables,
    units: Units,
    made_for_other: Vec<String>,
    reader: &mut Reader<'_>,
) -> (Box<Job>, Vec<&'static str>) {
    let wheel_runs: Vec<wheel::WheelRun> = tables.wheel_runs.iter().flatten().cloned().collect();
    let (spacing, lacks) = match spacing(tables, &wheel_runs, units, reader) {
        Ok(inputs) => (inputs, vec![]),
        Err(lacks) => (None, lacks),
    };
    let speed_law = speed_law(tables, units);
    let alleys = alley_runs(tables, speed_law.is_some(), reader);
    let changeover = changeover(tables, &alleys, units, reader).map(Box::new);
    let packets = packets(tables, changeover.as_deref(), units, reader);
    let held = [
        (&TRIP_SCALE, tables.settings.trip_scale.is_some()),
        (&SETBACK, tables.settings.setback.is_some()),
        (&PASS_OFFSET, tables.settings.pass_offset.is_some()),
    ];
    let job = Box::new(Job {
        made_for_other,
        held: held.into_iter().filter(|(_, held)| *held).map(|(setting, _)| setting).collect(),
        changeover,
        packets,
        rows: rows(tables, units, reader),
        depth: depth(tables, units, reader),
        evenness: evenness(tables, units, reader),
        stand: stand(tables, units, reader),
        speed_law,
        stakes: stakes(tables, units, reader).map(Box::new),
        speed: speed(tables, units, reader),
        wheel: wheel(tables, wheel_runs, units, reader),
        spacing,
        trip: trip(tables, units, reader),
        passes: passes(tables, &alleys, units, reader),
        alley: alley(tables, alleys, units, reader),
    });
    (job, lacks)
}

/// What a measurement plan starts from.
pub(super) fn plan(tables: &Tables, units: Units) -> plan::Inputs {
    plan::Inputs {
        seeds: seeds(tables),
        scatter: None,
        trip: tables.trial.tolerance.trip.clone(),
        centre: tables.trial.tolerance.centre.clone(),
        passes: tables.trial.tolerance.passes.clone(),
        confidence: Confidence::NINETY_FIVE,
        units,
    }
}
