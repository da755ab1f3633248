//! Single alleys: their middles against the marks, and their widths.

use crate::calculations::agreement::{Apart, OneRun};
use crate::calculations::common::Common;
use crate::calculations::jitter;
use crate::calculations::single::{self, Readings};
use crate::outcome::{OfOne, Outcome, SettingResult};
use crate::statistics::Moments;
use crate::working::{Units, Value};

use super::inputs::Inputs;
use super::runs::{Group, width_of};
use super::since::each_run;

/// The middles of single alleys, now and with the setback that is advised. Where both headings were
/// driven, a trial has as many alleys of each.
pub(super) fn say_centres(
    inputs: &Inputs,
    groups: &[Group],
    of_one: Option<&OfOne>,
    apart: Option<&Apart>,
    result: &SettingResult,
    outcome: &mut Outcome,
    common: &Common,
) {
    let units = &common.units;
    let since = |run: &OneRun| run.since || !apart.is_some_and(|apart| apart.by_since);
    let runs = each_run(inputs, groups, units).into_iter().filter(since);
    let of_readings = match groups {
        [_] => runs.map(|run| (run.name, run.each)).collect(),
        several => {
            let word = |group: &Group| group.heading.map_or("alleys", |heading| heading.word());
            let mut sides: Vec<(String, Vec<Value>)> =
                several.iter().map(|group| (word(group).to_owned(), vec![])).collect();
            for run in runs {
                sides[run.side].1.extend(run.each);
            }
            sides
        }
    };
    let middles = groups.iter().map(|group| group.ahead.clone()).collect();
    let mut readings = Readings::of(of_readings, middles, of_one);
    readings.by_seeds = inputs.jitter(groups, units);
    readings.change = single::change_to(result);
    if readings.change.is_some() {
        let now = inputs.setback.now(units);
        for (middle, group) in readings.middles.iter_mut().zip(groups) {
            let back = inputs.setback.moved_back_on(group.heading, &now, &result.set);
            let name = ["centre ahead of mark with the new setback", &group.tag].concat();
            middle.after = Some((&middle.off - back).named(name));
        }
    }
    readings.say(common.limits.centre.as_ref(), common, outcome);
}

/// The widths of single alleys, of all that both sides were measured of. No setting moves them.
pub(super) fn say_widths(inputs: &Inputs, off: &Value, outcome: &mut Outcome, common: &Common) {
    let units = &common.units;
    let by_seeds = inputs.seeds.as_ref().map(|seeds| {
        let edge = jitter::of_edge(&seeds.spacing(units));
        (Value::constant(2.0).root() * edge).named("SD of a width by seed spacing alone")
    });
    let runs = runs(inputs, units);
    let apart = Apart::of("width", &runs, by_seeds.as_ref(), false);
    let of_one = match &apart {
        Some(apart) => Some(OfOne {
            sd: apart.sd_of_one.clone(),
            degrees: apart.degrees_of_one,
            standard_errors: vec![apart.standard_error.clone()],
        }),
        None => of_one(&runs, by_seeds.as_ref()),
    };
    let off = apart.map_or_else(|| off.clone(), |apart| apart.means[0].clone());
    let groups = runs.into_iter().map(|run| (run.name, run.each)).collect();
    let readings = Readings { by_seeds, ..Readings::of(groups, vec![off], of_one.as_ref()) };
    readings.say(common.limits.width.as_ref(), common, outcome);
}

/// How far the widths of each run are off.
fn runs(inputs: &Inputs, units: &Units) -> Vec<OneRun> {
    let wanted = units.length("alley wanted", &inputs.alley);
    let of_run = |(place, run): (usize, &super::AlleyRun)| OneRun {
        name: format!("width of alley run {place}"),
        side: 0,
        kind: 0,
        since: true,
        each: run
            .alleys
            .iter()
            .filter_map(|alley| Some(width_of(alley, units)? - &wanted))
            .collect(),
    };
    (1..).zip(&inputs.runs).map(of_run).filter(|run| !run.each.is_empty()).collect()
}

/// Scatter of a width where all runs are one: that of the readings, or that of the seeds where that is
/// more.
fn of_one(runs: &[OneRun], by_seeds: Option<&Value>) -> Option<OfOne> {
    let all: Vec<Value> = runs.iter().flat_map(|run| run.each.iter().cloned()).collect();
    let moments = Moments::of("width off", &all)?;
    let scatter = moments.scatter?;
    let sd = match by_seeds {
        Some(seeds) if seeds.number() > scatter.sd.number() => seeds.clone(),
        _ => scatter.sd.clone(),
    };
    let error = (&sd / moments.count.root()).named("standard error of the width");
    let degrees = scatter.whole_degrees();
    (sd.number() > 0.0).then_some(OfOne { sd, degrees, standard_errors: vec![error] })
}
