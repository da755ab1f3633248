//! The run-up: what it needs of trial, planter and layout.

use crate::calculations::run_up::{Fills, Inputs};
use crate::quantity::Length;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;
use super::run::{at_trial_speed, seeds};

pub(super) fn run_up(tables: &Tables, reader: &mut Reader<'_>) -> Option<Inputs> {
    let table = tables.run_up.as_ref();
    let runs = &tables.run_up_runs;
    let need = match (runs.first(), table) {
        (Some(first), _) => Need { run: "[[run-up-run]]", span: &first.run.span },
        (None, Some(table)) => Need { run: "[run-up]", span: &table.span },
        (None, None) => return None,
    };
    let trial = &tables.trial;
    let speed = trial.speed.as_ref().map(|speed| speed.value.clone());
    if speed.is_none() {
        need.missing(reader, "trial.speed", "`speed` in [trial]", "speed = \"2.8 mph\"");
    }
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let carry = tables.planter.plate.as_ref().and_then(|plate| plate.carry);
    if carry.is_none() {
        let what = "`carry` in [planter.plate]";
        need.missing(reader, "planter.plate.carry", what, "carry = 16");
    }
    let here: Vec<_> =
        runs.iter().filter(|table| at_trial_speed(&table.run, tables, reader)).collect();
    let time = table.and_then(|table| table.time.as_ref());
    let timed = time.is_some() || table.is_some_and(|table| table.unread);
    // A sheet that begins from another has none of its runs.
    if runs.is_empty() && !timed {
        let message = "[run-up] does not say how the planter gets to its speed, and is not used";
        let advice = "add `time-to-speed = \"3 s\"` under [run-up], or a [[run-up-run]]";
        reader.say(&codes::UNUSED_DATA, need.span.clone(), message, advice);
    }
    let distances: Vec<Length> = here.iter().flat_map(|run| run.distances.clone()).collect();
    if let Some(run) = here.iter().find(|run| run.distances.iter().any(|way| way.base() <= 0.0)) {
        let message = "a start over no ground at all is none";
        let advice = "tape from where the planter stood to where it was at speed";
        reader.say(&codes::OUT_OF_RANGE, run.run.span.clone(), message, advice).allowed =
            Some("more than 0".into());
    }
    let times: Vec<_> = here.iter().flat_map(|run| run.times.clone()).collect();
    let whole = table.is_none_or(|table| !table.unread) && runs.iter().all(|run| !run.unread);
    let known = whole && (time.is_some() || !distances.is_empty() || !times.is_empty());
    let layout = tables.layout.as_ref();
    known.then_some(())?;
    Some(Inputs {
        speed: speed?,
        seeds: seeds?,
        carry: carry?,
        fills: table.and_then(|table| table.fills).unwrap_or(Fills::AtSpeed),
        machine: table.and_then(|table| table.machine.clone()),
        time: time.map(|time| time.value.clone()),
        distances,
        times,
        alley: trial.alley.as_ref().map(|alley| alley.value.clone()),
        headland: layout.and_then(|layout| Some(layout.headland.as_ref()?.value.clone())),
        end_headland: layout.and_then(|layout| Some(layout.end_headland.as_ref()?.value.clone())),
        plot: trial.plot.as_ref().map(|plot| plot.value.clone()),
        first_plots: first_plots(tables),
    })
}

/// First plots of passes: as many as passes with their borders, times the plots abreast.
fn first_plots(tables: &Tables) -> Option<u32> {
    let passes = tables.trial.passes?.as_whole()?;
    let borders = tables.layout.as_ref().and_then(|layout| layout.border_passes).unwrap_or(0);
    let rows = tables.planter.rows.as_ref()?.value.as_whole()?;
    let per_plot =
        tables.trial.rows_per_plot.as_ref().map_or(Some(rows), |r| r.value.as_whole())?;
    let abreast = (per_plot > 0 && rows % per_plot == 0).then(|| rows / per_plot)?;
    Some((passes + 2 * borders) * abreast)
}
