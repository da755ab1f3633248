//! Alley runs over time: whether they are one, and whether the last change of the setback did what
//! it should.

use crate::calculations::agreement::{Apart, OneRun, name_of_run};
use crate::calculations::change_check::{Doubt, Ratio, Side};
use crate::calculations::common::{ChangeMade, Common};
use crate::calculations::judgement::OfRun;
use crate::outcome::setting::SETBACK;
use crate::outcome::{Changed, Direction, Then};
use crate::working::{Units, Value};

use super::inputs::Inputs;
use super::runs::{AlleyRun, Group, centre_of, groups_named, shift};

/// The runs with their middles, brought to the present.
pub(super) fn each_run(inputs: &Inputs, groups: &[Group], units: &Units) -> Vec<OneRun> {
    let wanted = units.length("alley wanted", &inputs.alley);
    let runs = inputs.runs.iter().enumerate();
    runs.map(|(place, run)| OneRun {
        name: run_name(place, run),
        side: groups.iter().position(|group| group.heading == run.heading).unwrap_or(0),
        kind: 0,
        since: run.is_present(),
        each: run.sides(units).iter().filter_map(|alley| centre_of(alley, &wanted)).collect(),
    })
    .collect()
}

/// The runs of a group.
pub(super) fn runs_of(inputs: &Inputs, group: &Group) -> Vec<OfRun> {
    let own = inputs.runs.iter().filter(|run| run.heading == group.heading);
    own.map(|run| OfRun { kind: "alley", number: run.number, count: run.alleys.len() }).collect()
}

fn run_name(place: usize, run: &AlleyRun) -> String {
    let heading = run.heading.map_or(String::new(), |heading| format!(" {}", heading.word()));
    name_of_run("alley", run.number, place) + &heading
}

/// The runs where they are not one; the middles of the groups are theirs then.
pub(super) fn apart(
    inputs: &Inputs,
    groups: &mut [Group],
    jitter: Option<&Value>,
    explained: bool,
    units: &Units,
) -> Option<Apart> {
    if inputs.runs.len() <= groups.len() {
        return None;
    }
    let apart = Apart::of("shift", &each_run(inputs, groups, units), jitter, explained)?;
    for (group, mean) in groups.iter_mut().zip(&apart.means) {
        group.ahead = mean.clone().named(["centre ahead of mark by its runs", &group.tag].concat());
    }
    Some(apart)
}

/// The last change of the setback, and how it is spoken of.
pub(super) fn doubt<'a>(inputs: &Inputs, common: &'a Common) -> Option<Doubt<'a>> {
    Some(Doubt {
        change: common.last_change(Changed::Setting(&SETBACK))?,
        what: "alleys",
        ways: ["ahead", "back"],
        direction: "the direction of the setback",
        known: inputs.setback.raising_moves != Direction::NotKnown,
    })
}

/// What a change of the setback did, where alleys were measured before and after it.
pub(super) fn ratio(inputs: &Inputs, change: &ChangeMade, common: &Common) -> Option<Ratio> {
    let units = &common.units;
    let own = |run: &AlleyRun| run.then.iter().find(|one| *one.setting.setting == SETBACK).cloned();
    let then = |run: &AlleyRun| own(run).map(|own| own.then.base());
    let runs = |wanted: &dyn Fn(Option<f64>) -> bool| -> Vec<AlleyRun> {
        inputs.runs.iter().filter(|run| wanted(then(run))).cloned().collect()
    };
    let mut before = runs(&|then| change.had_before(then));
    let mut after = runs(&|then| change.had_after(then));
    let thens = [own(before.first()?), own(after.first()?)];
    let expected = Then::ahead_by_a_change(&thens, units)?;
    // Where one side was driven one way only, the other counts by that way.
    let headings = |runs: &[AlleyRun]| -> Vec<_> { runs.iter().map(|run| run.heading).collect() };
    let (driven_before, driven_after) = (headings(&before), headings(&after));
    before.retain(|run| driven_after.contains(&run.heading));
    after.retain(|run| driven_before.contains(&run.heading));
    let side = |runs: &[AlleyRun], when: &str| {
        let groups = groups_named(runs, when, &inputs.alley, units);
        let (error, _) = shift(&groups)?;
        let error = error.named(["shift", when].concat());
        let each = |group: &Group| group.each.iter().map(Value::number).collect();
        // Runs out and home are of one day.
        let days = runs.len().div_ceil(groups.len());
        Some(Side::of(error, &groups.iter().map(each).collect::<Vec<_>>(), days))
    };
    let tolerance =
        inputs.tolerance.as_ref().map(|length| units.length("centre tolerance", length));
    Ratio::of(
        "setback",
        &side(&before, " before the change")?,
        &side(&after, " after the change")?,
        &expected,
        tolerance.as_ref(),
    )
}
