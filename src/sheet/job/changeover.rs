//! The changeover and what was seen of it.

use crate::calculations::changeover;
use crate::sheet::Tables;
use crate::sheet::changeover as table;
use crate::sheet::changeover_list;
use crate::sheet::reader::Reader;

use super::need::Need;
use super::run::{at_trial_speed, seeds};

/// Whether the sheet has what it takes to say where its timers put the edges of an alley.
pub(super) fn predicts(tables: &Tables) -> bool {
    let timed = |table: &table::Table| {
        let gone = table.actions.iter().any(|action| action.old_seed_gone.is_some());
        let there = table.actions.iter().any(|action| action.new_seed_at_pick_up.is_some());
        table.is_set() && gone && there
    };
    let plate = tables.planter.plate.as_ref();
    tables.changeover.as_ref().is_some_and(timed)
        && plate.is_some_and(|plate| plate.cells.is_some() && plate.carry.is_some())
        && tables.trial.speed.is_some()
        && tables.trial.alley.is_some()
        && seeds(tables).is_some()
}

/// The changeover, with what was seen of it.
pub(super) fn changeover(tables: &Tables, reader: &mut Reader<'_>) -> Option<changeover::Inputs> {
    let Some(table) = &tables.changeover else {
        if let Some(run) = tables.changeover_runs.first() {
            let need = Need { run: "[[changeover-run]]", span: &run.run.span };
            need.missing(reader, "changeover", "[changeover]", "[changeover] with its actions");
        }
        return None;
    };
    let need = Need { run: "[changeover]", span: &table.span };
    let plate = tables.planter.plate.as_ref();
    let carry = plate.and_then(|plate| plate.carry);
    let actions = changeover_list::actions(reader, table, carry.as_ref());
    if carry.is_none() {
        need.missing(reader, "planter.plate.carry", "`carry` in [planter.plate]", "carry = 16");
    }
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let speed = tables.trial.speed.as_ref().map(|speed| speed.value.clone());
    if speed.is_none() {
        need.missing(reader, "trial.speed", "`speed` in [trial]", "speed = \"2.8 mph\"");
    }
    let alley = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
    if let (false, Some(run)) = (table.is_set(), tables.changeover_runs.first()) {
        let need = Need { run: "[[changeover-run]]", span: &run.run.span };
        // Where only some of the lengths are there, each of the others was called missing.
        if actions.is_some() {
            let path = "changeover.action.for";
            let what = "`for` of the clean-outs and boosts in [[changeover.action]]";
            need.missing(reader, path, what, "for = \"1.5 s\"");
        }
    }
    let fall = table.fall.clone().or_else(|| {
        let height = tables.planter.drop_height.as_ref()?;
        Some(changeover::Fall::Height(height.value.clone()))
    });
    let tolerance = &tables.trial.tolerance;
    Some(changeover::Inputs {
        actions: actions?,
        fall,
        carry: carry?,
        cells: plate?.cells?,
        speed: speed?,
        seeds: seeds?,
        alley: alley?,
        plot: tables.trial.plot.as_ref().map(|plot| plot.value.clone()),
        step: tables.planter.controller.timer_step.clone(),
        width_tolerance: tolerance.width.clone().or_else(|| tolerance.centre.clone()),
        runs: tables
            .changeover_runs
            .iter()
            .filter(|table| at_trial_speed(&table.run, tables, reader))
            .map(|table| table.seen.clone())
            .collect(),
        widths: vec![],
    })
}
