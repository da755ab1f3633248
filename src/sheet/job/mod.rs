//! The tables of a sheet put together into the inputs of the calculations.
//!
//! What a run of measurements needs elsewhere in the sheet is checked here, so that the message
//! can point at the run that needs it.

mod alleys;
mod by_hand;
mod changeover;
mod drive;
mod guess_rows;
mod harvest;
mod layout;
mod meter;
mod need;
mod offsets;
mod one_wheel;
mod packets;
mod planted;
mod record;
mod rehearsal;
mod rows;
mod run;
mod run_up;
mod slope;
mod time;
mod trip;

use crate::calculations::Common;
use crate::calculations::registry::Job;
use crate::calculations::wheel;
use crate::forecast::plan;
use crate::record::Record;
use crate::working::Units;

use super::Tables;
use super::facts;
use super::reader::Reader;

use record::changes_made;
pub(super) use record::record;
pub(super) use rehearsal::as_staked;

use alleys::{Planted, alley, alley_runs, passes, speed_law, widths};
use changeover::changeover;
use drive::{spacing, speed, wheel};
use guess_rows::guess_rows;
use harvest::harvest;
use layout::stakes;
use meter::meter;
use offsets::offsets;
use one_wheel::one_wheel;
use packets::packets;
use planted::{depth, evenness, stand};
use rows::rows;
use run::seeds;
use run_up::run_up;
use slope::slope;
use time::time;
use trip::trip;

/// The inputs of every calculation the sheet has data for, and what its spacing lacks.
pub(super) fn assemble(
    tables: &Tables,
    units: Units,
    record: &Record,
    reader: &mut Reader<'_>,
) -> (Box<Job>, Vec<&'static str>) {
    let wheel_runs: Vec<wheel::WheelRun> = tables.wheel_runs.iter().flatten().cloned().collect();
    let (spacing, lacks) = match spacing(tables, &wheel_runs, reader) {
        Ok(inputs) => (inputs, vec![]),
        Err(lacks) => (None, lacks),
    };
    by_hand::check(tables, reader);
    let mut changeover = changeover(tables, reader).map(Box::new);
    let planted = Planted { tables, changeover: changeover.as_deref(), units };
    let speed_law = speed_law(&planted);
    let alleys = alley_runs(&planted, speed_law.is_some(), reader);
    if let Some(inputs) = &mut changeover {
        inputs.widths = widths(alleys.as_ref(), units);
    }
    let planted = Planted { tables, changeover: changeover.as_deref(), units };
    let mut job = Box::new(Job::new(Common::new(units)));
    job.common.changes = changes_made(record);
    job.called = facts::called(tables);
    job.common.limits = tables.trial.limits();
    job.common.one_way = tables.trial.one_way;
    job.not_measured_since = by_hand::not_measured_since(record);
    job.rows = rows(tables, reader).map(Box::new);
    job.depth = depth(tables, reader).map(Box::new);
    job.evenness = evenness(tables, reader).map(Box::new);
    job.stand = stand(tables, reader).map(Box::new);
    job.meter = meter(tables, reader).map(Box::new);
    job.run_up = run_up(tables, reader).map(Box::new);
    job.stakes = stakes(tables, &job.common, reader).map(Box::new);
    let layout = job.stakes.as_deref();
    let packets = packets(tables, changeover.as_deref(), layout, &job.common, reader);
    job.speed = speed(tables, record, units, reader).map(Box::new);
    job.wheel = wheel(tables, wheel_runs, reader).map(Box::new);
    job.offsets = offsets(tables, reader).map(Box::new);
    job.one_wheel = one_wheel(tables, record, reader).map(Box::new);
    job.slope = slope(tables).map(Box::new);
    job.trip = trip(tables, reader).map(Box::new);
    job.passes = passes(&planted, &alleys, reader).map(Box::new);
    job.guess_rows = guess_rows(tables, reader).map(Box::new);
    job.harvest = harvest(tables, layout, reader).map(Box::new);
    job.alley = alley(&planted, alleys.as_ref(), reader).map(Box::new);
    job.changeover = changeover;
    job.time = time(tables, packets.as_ref(), layout, reader).map(Box::new);
    job.packets = packets.map(Box::new);
    job.speed_law = speed_law.map(Box::new);
    job.spacing = spacing.map(Box::new);
    (job, lacks)
}

/// What a measurement plan starts from.
pub(super) fn plan(tables: &Tables) -> plan::Inputs {
    plan::Inputs {
        seeds: seeds(tables),
        scatter: None,
        trip: tables.trial.tolerance.trip.clone(),
        centre: tables.trial.tolerance.centre.clone(),
        passes: tables.trial.tolerance.passes.clone(),
    }
}
