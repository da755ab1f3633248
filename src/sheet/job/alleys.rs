//! Alley runs and pass runs: setback, pass offset, speed law.

use crate::outcome::Heading;
use std::ops::Range;

use crate::calculations::changeover::{Extent, TimersThen};
use crate::calculations::{EdgesSince, alley, changeover, passes, speed_law};
use crate::outcome::setting::{PASS_OFFSET, SETBACK};
use crate::outcome::{MovingSetting, Then, Timed};
use crate::quantity::{Length, Speed};
use crate::sheet::planter::Moving;
use crate::sheet::reader::Reader;
use crate::sheet::run::Run;
use crate::sheet::{Tables, alley_run, codes, pass_run, with};

use crate::working::{Units, Value};

use super::by_hand;
use super::need::Need;
use super::offsets::rank;
use super::run::{at_trial_speed, same_speed, same_speed_as, seeds};

/// What runs of alleys were planted with: the sheet, and its changeover for what other timers did.
#[derive(Clone, Copy)]
pub(super) struct Planted<'a> {
    pub(super) tables: &'a Tables,
    pub(super) changeover: Option<&'a changeover::Inputs>,
    pub(super) units: Units,
}

impl Planted<'_> {
    /// What other timers since have done to the edges of a run's alleys, at its own speed.
    fn edges_since(&self, run: &Run) -> Option<EdgesSince> {
        let inputs = self.changeover?;
        let then = timers_then(&run.with, inputs)?;
        let since = match &run.speed {
            Some(speed) => {
                let own = changeover::Inputs { speed: speed.value.clone(), ..inputs.clone() };
                own.edges_since(&then, &self.units)
            }
            None => inputs.edges_since(&then, &self.units),
        };
        // What no edge hangs on moves none.
        since.filter(|edges| edges.last_seed.number() != 0.0 || edges.first_seed.number() != 0.0)
    }
}

/// What of the actions was another when a run was made.
fn timers_then(with: &with::Table, now: &changeover::Inputs) -> Option<TimersThen> {
    let is_another = |(timed, then): &&(Timed, Extent)| {
        let action = now.actions.iter().find(|action| action.name == timed.action);
        action.and_then(|action| action.held(timed.part)).is_some_and(|held| !held.is_same(then))
    };
    let held: Vec<(Timed, Extent)> = with.actions.iter().filter(is_another).cloned().collect();
    let words: Vec<String> =
        held.iter().map(|(timed, then)| format!("{} {then}", timed.name())).collect();
    let words = words.join(", ");
    (!words.is_empty()).then_some(TimersThen { held, words })
}

/// Alley runs at the trial's speed, with the place of the first.
pub(super) struct AlleyRuns {
    pub(super) runs: Option<Vec<alley::AlleyRun>>,
    first: Range<usize>,
}

pub(super) fn alley_runs(
    planted: &Planted<'_>,
    speed_law: bool,
    reader: &mut Reader<'_>,
) -> Option<AlleyRuns> {
    let tables = planted.tables;
    let here: Vec<_> = tables
        .alley_runs
        .iter()
        .filter(|table| {
            // Runs at other speeds are not lost where the speed law uses them.
            if speed_law {
                same_speed(&table.run, tables)
            } else {
                at_trial_speed(&table.run, tables, reader)
            }
        })
        .collect();
    let first = here.first()?.run.span.clone();
    let runs: Option<Vec<_>> = here.iter().map(|table| at_present(table, planted)).collect();
    if let Some(runs) = &runs {
        let without: Vec<bool> = runs.iter().map(|run| run.heading.is_none()).collect();
        if without.contains(&true) && without.contains(&false) {
            let message = "this [[alley-run]] has no `heading`, and others have one";
            let advice = "add `heading = \"out\"` or `heading = \"home\"`";
            for (table, _) in here.iter().zip(&without).filter(|(_, without)| **without) {
                reader
                    .say(&codes::MIXED_HEADINGS, table.run.span.clone(), message, advice)
                    .allowed = Some("`heading` in every run, or in none".into());
            }
            return Some(AlleyRuns { runs: None, first });
        }
    }
    // Out before home, so that readings are numbered in the order they are shown.
    let runs = runs.map(|mut runs| {
        runs.sort_by_key(|run| run.heading);
        runs
    });
    Some(AlleyRuns { runs, first })
}

pub(super) fn alley(
    planted: &Planted<'_>,
    alleys: Option<&AlleyRuns>,
    reader: &mut Reader<'_>,
) -> Option<alley::Inputs> {
    let (tables, alleys) = (planted.tables, alleys?);
    let need = Need { run: "[[alley-run]]", span: &alleys.first };
    let wanted = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
    let setback = need.moving(
        reader,
        tables,
        &SETBACK,
        tables.planter.controller.setback.as_ref(),
        tables.settings.setback.as_ref(),
    );
    Some(alley::Inputs {
        runs: alleys.runs.clone()?,
        leads: leads(planted),
        alley: wanted?,
        plot: plot(tables),
        setback: setback?,
        tolerance: tables.trial.tolerance.centre.clone(),
        width_tolerance: tables.trial.tolerance.width.clone(),
        seeds: seeds(tables),
    })
}

/// The leads at the trial's speed, for alleys of one heading.
fn leads(planted: &Planted<'_>) -> Vec<passes::LeadRun> {
    let tables = planted.tables;
    let here = tables.pass_runs.iter().filter(|table| same_speed(&table.run, tables));
    here.filter_map(|table| lead_run(table, planted)).collect()
}

/// A run of leads with what was set otherwise when it was planted.
fn lead_run(table: &pass_run::Table, planted: &Planted<'_>) -> Option<passes::LeadRun> {
    Some(passes::LeadRun {
        number: Some(table.run.number),
        leads: table.leads.clone()?,
        then: then(&table.run.with, planted.tables),
        edges: planted.edges_since(&table.run),
        rank: rank(planted.tables, table.row_taped),
    })
}

/// Leads need the pass offset; alleys of both headings say something about passes by themselves.
pub(super) fn passes(
    planted: &Planted<'_>,
    alleys: &Option<AlleyRuns>,
    reader: &mut Reader<'_>,
) -> Option<passes::Inputs> {
    let tables = planted.tables;
    let here: Vec<_> = tables
        .pass_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    let alley = tables.trial.alley.as_ref().map(|alley| alley.value.clone());
    let marked = alleys.as_ref().and_then(|alleys| alleys.runs.as_ref()).filter(|runs| {
        [Heading::Out, Heading::Home]
            .iter()
            .all(|heading| runs.iter().any(|run| run.heading == Some(*heading)))
    });
    let marked = marked.zip(alley.clone());
    let marked = marked.map(|(runs, alley)| passes::Marked { runs: runs.clone(), alley });
    let offset = match here.first() {
        Some(first) => {
            let need = Need { run: "[[pass-run]]", span: &first.run.span };
            let controller = tables.planter.controller.pass_offset.as_ref();
            let now = tables.settings.pass_offset.as_ref();
            Some(need.moving(reader, tables, &PASS_OFFSET, controller, now)?)
        }
        None => None,
    };
    let leads: Option<Vec<_>> = here.iter().map(|table| lead_run(table, planted)).collect();
    let leads = leads?;
    if leads.is_empty() && marked.is_none() {
        return None;
    }
    Some(passes::Inputs {
        leads,
        marked,
        offset,
        tolerance: tables.trial.tolerance.passes.clone(),
        alley,
        plot: plot(tables),
        seeds: seeds(tables),
    })
}

/// An alley run with what was set otherwise when it was planted.
fn at_present(table: &alley_run::Table, planted: &Planted<'_>) -> Option<alley::AlleyRun> {
    let tables = planted.tables;
    let run = table.alleys.clone()?;
    let with = &table.run.with;
    let mut then = then(with, tables);
    then.extend(by_hand::marks_then(with.marks.as_ref(), run.heading, tables));
    let number = Some(table.run.number);
    let rank = rank(tables, table.row_taped);
    Some(alley::AlleyRun { number, then, edges: planted.edges_since(&table.run), rank, ..run })
}

/// What moves alleys and was another when a run was planted.
fn then(with: &with::Table, tables: &Tables) -> Vec<Then> {
    let (controller, settings) = (&tables.planter.controller, &tables.settings);
    let all = [
        (&SETBACK, &controller.setback, &settings.setback, &with.setback),
        (&PASS_OFFSET, &controller.pass_offset, &settings.pass_offset, &with.pass_offset),
    ];
    let of = |(setting, controller, now, then): (
        _,
        &Option<Moving>,
        &Option<Length>,
        &Option<Length>,
    )| {
        let controller = controller.as_ref()?;
        let (now, then) = (now.clone()?, then.clone()?);
        let moved = now.base() != then.base();
        let setting = MovingSetting {
            setting,
            now,
            raising_moves: controller.raising?,
            moves: controller.moves,
            acts_on: controller.acts_on,
            step: controller.step.clone(),
        };
        moved.then_some(Then { setting, then })
    };
    all.into_iter().filter_map(of).collect()
}

fn plot(tables: &Tables) -> Option<Length> {
    tables.trial.plot.as_ref().map(|plot| plot.value.clone())
}

/// Alley runs at two or more speeds; a run without a speed was made at the trial's.
pub(super) fn speed_law(planted: &Planted<'_>) -> Option<speed_law::Inputs> {
    let tables = planted.tables;
    let trial = tables.trial.speed.as_ref().map(|speed| &speed.value);
    let runs: Option<Vec<_>> = tables
        .alley_runs
        .iter()
        .map(|table| {
            let speed = table.run.speed.as_ref().map(|speed| &speed.value).or(trial)?;
            Some((speed, at_present(table, planted)?))
        })
        .collect();
    let runs = runs?;
    let first = runs.first()?.0.base();
    let several = runs.iter().any(|(speed, _)| !same_speed_as(speed.base(), first));
    let setback = || {
        let controller = tables.planter.controller.setback.as_ref()?;
        Some(MovingSetting {
            setting: &SETBACK,
            now: tables.settings.setback.clone()?,
            raising_moves: controller.raising?,
            moves: controller.moves,
            acts_on: controller.acts_on,
            step: controller.step.clone(),
        })
    };
    let alley = tables.trial.alley.as_ref()?.value.clone();
    let own = |(speed, run): (&Speed, alley::AlleyRun)| speed_law::SpeedAlleys {
        speed: speed.clone(),
        run,
    };
    several.then(|| speed_law::Inputs {
        runs: runs.into_iter().map(own).collect(),
        alley,
        setback: setback(),
        tolerance: tables.trial.tolerance.centre.clone(),
        trial: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
        drop_height: tables.planter.drop_height.as_ref().map(|height| height.value.clone()),
    })
}

/// The widths taped in alley runs that were made with the timers as they are.
pub(super) fn widths(alleys: Option<&AlleyRuns>, units: Units) -> Vec<Vec<Value>> {
    let wide = |run: &alley::AlleyRun| -> Vec<Value> {
        run.alleys.iter().filter_map(|one| alley::width_of(one, &units)).collect()
    };
    let runs = alleys.and_then(|alleys| alleys.runs.as_ref()).into_iter().flatten();
    let widths = runs.filter(|run| run.edges.is_none()).map(wide);
    widths.filter(|widths| !widths.is_empty()).collect()
}
