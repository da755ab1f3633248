//! Whether every calibration holds at the present operating point.

use std::collections::{BTreeMap, BTreeSet};

use super::operating_point::{OperatingPoint, Part};
use crate::calculations::changeover::{self, ADVICE};
use crate::outcome::Report;
use crate::outcome::{Calculation, Outcome, Verdict};

use super::age::{HOLDS_FOR, days_between, holds_until};
use super::effects::{CALIBRATIONS, Calibration};
use super::{Change, Held, Record, Run, Subject, edited_words};

/// Whether one calibration holds, and why not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The calculation.
    pub calculation: Calculation,
    /// What is calibrated, in words.
    pub name: &'static str,
    /// When its setting was changed last.
    pub changed: Option<String>,
    /// When it was measured last.
    pub measured: Option<String>,
    /// Until when that holds.
    pub until: Option<String>,
    /// Whether there is no run of its kind at all.
    pub never_measured: bool,
    /// Why it does not hold; empty where it does.
    pub stale: Vec<String>,
}

/// Whether every calibration of a sheet holds at the present operating point, on a day; on none,
/// nothing is too old.
#[must_use]
pub fn check(record: &Record, report: &Report, on: Option<&str>) -> Vec<Checked> {
    let concerns = |one: &&Calibration| {
        let is_own =
            |subject: &Subject| std::ptr::eq(subject.calibration(), *one) && !subject.is_beside();
        let held = record.held.iter().any(|(subject, _)| is_own(subject));
        let measured = record.runs.iter().any(|run| one.proof.contains(&run.table));
        // Leads and guess rows tell of passes that turn round.
        let turns = |table: &&str| ["pass-run", "guess-row-run"].contains(table);
        if record.one_way && !one.proof.is_empty() && one.proof.iter().all(turns) {
            return false;
        }
        held && !one.proof.is_empty()
            || measured
            || (one.proof.is_empty() && outcomes(report, one).next().is_some())
    };
    let edited = record.edited();
    let checked = |one| check_one(one, record, &edited, report, on);
    CALIBRATIONS.iter().filter(concerns).map(checked).collect()
}

/// The runs that the calibrations rest on which hold on a day: their table, and which of its kind,
/// counted from one.
#[must_use]
pub fn runs_that_hold(
    record: &Record,
    report: &Report,
    on: Option<&str>,
) -> BTreeSet<(&'static str, usize)> {
    let holds = |one: &&Calibration| {
        let mut checked = check(record, report, on).into_iter();
        checked.any(|own| own.name == one.name && own.stale.is_empty())
    };
    let runs = |one| {
        let tables = proof(one, record, report);
        record.live(tables).map(|run| (run.table, run.number))
    };
    CALIBRATIONS.iter().filter(holds).flat_map(runs).collect()
}

/// What a report says of a calibration; the timers have an advice of their own.
fn outcomes<'a>(report: &'a Report, one: &Calibration) -> impl Iterator<Item = &'a Outcome> {
    let key = one.calculation.key;
    report.outcomes.iter().filter(move |outcome| {
        let own = outcome.calculation.key;
        own == key || (own == ADVICE.key && key == changeover::CALCULATION.key)
    })
}

/// The runs that speak for a calibration: its own, unless something was worked out from others.
fn proof(one: &Calibration, record: &Record, report: &Report) -> &'static [&'static str] {
    if outcomes(report, one).next().is_some() { record.proof(one) } else { one.proof }
}

fn check_one(
    one: &'static Calibration,
    record: &Record,
    edited: &[(&Change, &Held)],
    report: &Report,
    on: Option<&str>,
) -> Checked {
    let own = |change: &&Change| {
        std::ptr::eq(change.setting.calibration(), one) && !change.setting.is_beside()
    };
    let proof = proof(one, record, report);
    let measured = record.live(proof).filter_map(|run| run.date.clone()).max();
    let never_measured = has_none(proof, record);
    let mut stale: Vec<String> = proof_lacks(proof, record).into_iter().collect();
    if stale.is_empty() {
        stale.extend(moved_away(one, proof, record));
        stale.extend(measured.as_deref().zip(on).and_then(|(day, on)| too_old(day, on, record)));
        stale.extend(outcomes(report, one).filter_map(unsettled));
    }
    let edited = edited.iter().filter(|(change, _)| own(change));
    stale.extend(edited.map(|(change, now)| edited_words(change, now)));
    Checked {
        calculation: *one.calculation,
        name: one.name,
        changed: record.changes.iter().filter(own).map(|change| change.date.clone()).max(),
        until: measured.as_deref().and_then(|day| holds_until(day, holds_for(record))),
        measured,
        never_measured,
        stale,
    }
}

/// Whether something that runs measure has none of them.
fn has_none(proof: &[&str], record: &Record) -> bool {
    !proof.is_empty() && !record.runs.iter().any(|run| run.counts_among(proof))
}

fn holds_for(record: &Record) -> u32 {
    record.holds_for.unwrap_or(HOLDS_FOR)
}

/// Why the last measurement is too old on a day.
fn too_old(measured: &str, on: &str, record: &Record) -> Option<String> {
    let (age, most) = (days_between(measured, on)?, holds_for(record));
    let whose = if record.holds_for.is_some() { "" } else { ", as usual" };
    (age > i64::from(most)).then(|| {
        format!("measured {measured}, {age} days before {on}: it holds for {most} days{whose}")
    })
}

/// Why there is no measurement to go by, if there is none.
fn proof_lacks(proof: &[&'static str], record: &Record) -> Option<String> {
    let first = proof.first()?;
    let mut runs = record.runs.iter().filter(|run| run.counts_among(proof)).peekable();
    if runs.peek().is_none() {
        return Some(format!("never measured: no [[{first}]]"));
    }
    let live: Vec<&Run> = record.live(proof).collect();
    if live.is_empty() {
        let why = runs.filter_map(|run| run.aside.as_deref()).next_back().unwrap_or_default();
        return Some(format!("not measured since; the last runs were made with {why}"));
    }
    if let Some(change) = unproven(proof, record) {
        let (name, date) = (change.setting.name(), &change.date);
        return Some(format!("not measured since the {name} changed on {date}"));
    }
    let older = live.iter().map(|run| before_last_change(run, &newest_changes(run.table, record)));
    older.collect::<Option<Vec<String>>>()?.pop()
}

/// The last change of something that these runs prove, where nothing was measured with what it is
/// now.
fn unproven<'a>(proof: &[&'static str], record: &'a Record) -> Option<&'a Change> {
    let own =
        record.held.iter().filter(|(subject, _)| record.proof(subject.calibration()) == proof);
    own.filter_map(|(subject, _)| record.unproven(*subject)).max_by(|a, b| a.date.cmp(&b.date))
}

/// The last change of everything that moves the readings of a kind.
fn newest_changes<'a>(table: &str, record: &'a Record) -> Vec<&'a Change> {
    let mut newest: Vec<&Change> = vec![];
    for change in record.changes.iter().filter(|one| one.setting.effect().moves.contains(&table)) {
        match newest.iter_mut().find(|one| one.setting == change.setting) {
            Some(one) if one.date <= change.date => *one = change,
            Some(_) => {}
            None => newest.push(change),
        }
    }
    newest
}

/// The newest change that a run was measured before, though it counts as made with what is set now,
/// since it does not say with what. Of one day nothing is known.
fn before_last_change(run: &Run, newest: &[&Change]) -> Option<String> {
    let date = run.date.as_deref().filter(|_| run.aside.is_none())?;
    let later = |change: &&&Change| {
        let own = change.setting.is_of(run) && run.had(change.setting).is_none();
        own && date < change.date.as_str()
    };
    let change = newest.iter().filter(later).max_by(|a, b| a.date.cmp(&b.date))?;
    Some(before_change(date, change))
}

/// What of the operating point is another now than in every measurement.
fn moved_away(one: &Calibration, proof: &[&'static str], record: &Record) -> Vec<String> {
    let newest = record.newest_change(proof);
    let moved = |run: &Run| moved_parts(one, newest, run, record).1;
    let all: Vec<Vec<String>> = record.live(proof).map(moved).collect();
    if all.iter().any(Vec::is_empty) { vec![] } else { all.into_iter().last().unwrap_or_default() }
}

/// What of the operating point that a calibration rests on is another now than in a run: the
/// parts, and in words. A run that does not say what it was made at was made at what the newest
/// change was for.
fn moved_parts(
    one: &Calibration,
    newest: Option<&Change>,
    run: &Run,
    record: &Record,
) -> (Vec<Part>, Vec<String>) {
    let before = newest.map(|change| change.point.clone());
    let made_at = run.point.clone().or(&before.unwrap_or_default());
    let differs = |part: &Part| made_at.differs(&record.present, *part, &record.planter);
    let parts: Vec<Part> = one.rests_on.iter().copied().filter(differs).collect();
    let words = |part: &Part| {
        let text = |point: &OperatingPoint| point.text(*part).unwrap_or_default();
        format!(
            "measured at {} {}, the sheet is for {}",
            made_at.word(*part),
            text(&made_at),
            text(&record.present)
        )
    };
    let words = parts.iter().map(words).collect();
    (parts, words)
}

/// The runs that count although they were made for another seed spacing, alley or boost than the
/// sheet is for, by their place in the record, with what is another. Those of another speed are
/// left out: they do not count.
#[must_use]
pub fn made_for_other(record: &Record) -> Vec<(usize, Vec<String>)> {
    let with_change = |one: &'static Calibration| (one, record.newest_change(one.proof));
    let all: Vec<_> = CALIBRATIONS.iter().map(with_change).collect();
    let mut found = vec![];
    for (place, run) in record.runs.iter().enumerate() {
        let proves = |(one, _): &&(&'static Calibration, _)| one.proof.contains(&run.table);
        let Some((one, newest)) = all.iter().find(proves) else { continue };
        let (parts, words) = moved_parts(one, *newest, run, record);
        if run.aside.is_none() && !parts.is_empty() && !parts.contains(&Part::Speed) {
            found.push((place, words));
        }
    }
    found
}

/// The runs that count as made with what is set now although their date is before the change that
/// made it so, by their place in the record, with the change in words.
#[must_use]
pub fn made_before_change(record: &Record) -> Vec<(usize, String)> {
    let mut newest = BTreeMap::new();
    let mut before = |run: &Run| {
        let of_table = || newest_changes(run.table, record);
        before_last_change(run, newest.entry(run.table).or_insert_with(of_table))
    };
    let all = record.runs.iter().enumerate();
    all.filter_map(|(place, run)| Some((place, before(run)?))).collect()
}

fn before_change(date: &str, change: &Change) -> String {
    format!("measured {date}, before the {} changed on {}", change.setting.name(), change.date)
}

/// What a result leaves open.
fn unsettled(outcome: &Outcome) -> Option<String> {
    let changes: Vec<String> = outcome
        .settings
        .iter()
        .filter_map(|result| match &result.verdict {
            Verdict::Change(words) if outcome.settings.len() > 1 => {
                Some(format!("{}: {words}", result.name))
            }
            Verdict::Change(words) => Some(words.clone()),
            _ => None,
        })
        .collect();
    if !changes.is_empty() {
        return Some(format!("off; {}", changes.join("; ")));
    }
    let open = outcome.settings.iter().find_map(|result| match &result.verdict {
        Verdict::Measure(words) => Some(words.clone()),
        Verdict::Wait(words) => Some(format!("open; {words}")),
        _ => None,
    });
    // What has no setting, such as rows, says it by its next step.
    open.or_else(|| outcome.next.as_ref().map(|next| next.instruction.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::calculations::trip;
    use crate::outcome::setting::{SETBACK, TRIP_SCALE};
    use crate::outcome::{Calculation, Next, SettingResult};
    use crate::quantity::{Length, Speed};
    use crate::record::{Subject, from_one_to_two};
    use crate::working::Value;

    fn run(table: &'static str) -> Run {
        Run { table, number: 1, ..Run::default() }
    }

    fn outcome(calculation: Calculation, verdicts: &[Verdict]) -> Outcome {
        let settings = (1..).zip(verdicts).map(|(number, verdict)| SettingResult {
            name: format!("setting {number}"),
            key: None,
            now: None,
            exact: Value::constant(1.0),
            set: Value::constant(1.0),
            verdict: verdict.clone(),
        });
        Outcome { settings: settings.collect(), ..Outcome::new(calculation) }
    }

    fn change(words: &str) -> Verdict {
        Verdict::Change(words.into())
    }

    /// What is checked, with why it does not hold.
    fn checked(record: &Record, outcomes: Vec<Outcome>) -> Vec<(&'static str, Vec<String>)> {
        let all = check(record, &Report::of(outcomes), None).into_iter();
        all.map(|one| (one.calculation.key, one.stale)).collect()
    }

    #[test]
    fn the_advice_after_looking_speaks_for_the_timers_and_for_nothing_else() {
        let runs = vec![run("trip-run"), run("changeover-run")];
        let record = Record { runs, ..Record::default() };
        let (timers, scale) = (changeover::CALCULATION.key, trip::CALCULATION.key);
        let scale_only = vec![outcome(trip::CALCULATION, &[change("raise it")])];
        assert_eq!(
            checked(&record, scale_only),
            [(timers, vec![]), (scale, vec!["off; raise it".to_owned()])]
        );
        let advice_only = vec![outcome(ADVICE, &[change("lengthen it")])];
        assert_eq!(
            checked(&record, advice_only),
            [(timers, vec!["off; lengthen it".to_owned()]), (scale, vec![])]
        );
        let predicted = vec![outcome(changeover::CALCULATION, &[change("shorten it")])];
        assert_eq!(checked(&record, predicted)[0].1, ["off; shorten it"]);
    }

    #[test]
    fn timers_that_only_alley_widths_speak_for_are_measured_by_alley_runs() {
        let now = crate::record::Held { text: "1 s".into(), base: 1.0 };
        let held = vec![(clean_out(), now)];
        let record = Record { held, runs: vec![run("alley-run")], ..Record::default() };
        let of_timers = |outcomes| {
            let all = checked(&record, outcomes);
            let timers = all.into_iter().find(|(key, _)| *key == changeover::CALCULATION.key);
            timers.expect("timers").1
        };
        assert_eq!(of_timers(vec![outcome(ADVICE, &[])]), [] as [&str; 0]);
        assert_eq!(of_timers(vec![]), ["never measured: no [[changeover-run]]"]);
    }

    #[test]
    fn several_changes_of_one_result_are_told_apart_by_name() {
        let of = |verdicts: &[Verdict]| unsettled(&outcome(trip::CALCULATION, verdicts));
        let keep = Verdict::Keep("inside".into());
        assert_eq!(of(&[change("raise it")]).as_deref(), Some("off; raise it"));
        assert_eq!(
            of(&[change("raise it"), change("lower it")]).as_deref(),
            Some("off; setting 1: raise it; setting 2: lower it")
        );
        assert_eq!(
            of(&[keep.clone(), change("lower it")]).as_deref(),
            Some("off; setting 2: lower it")
        );
        assert_eq!(of(std::slice::from_ref(&keep)), None);
        let wait = Verdict::Wait("the trip first".into());
        let measure = Verdict::Measure("six more".into());
        assert_eq!(of(&[keep.clone(), wait.clone()]).as_deref(), Some("open; the trip first"));
        assert_eq!(of(&[measure]).as_deref(), Some("six more"));
        assert_eq!(of(&[wait, change("lower it")]).as_deref(), Some("off; setting 2: lower it"));
        // Without a setting the next step says it.
        let next = Some(Next::only(trip::CALCULATION, "look at row 3"));
        let rows = Outcome { next, ..outcome(trip::CALCULATION, &[keep]) };
        assert_eq!(unsettled(&rows).as_deref(), Some("look at row 3"));
    }
    fn point(speed: &str, alley: &str) -> OperatingPoint {
        OperatingPoint {
            speed: Speed::parse(speed, None).ok(),
            alley: Length::parse(alley, None).ok(),
            ..OperatingPoint::default()
        }
    }

    fn on(day: u32) -> String {
        format!("2027-04-{day}")
    }

    fn changed(day: u32, setting: Subject) -> Change {
        from_one_to_two(&on(day), setting)
    }

    fn clean_out() -> Subject {
        Subject::of_key("clean-out.for").expect("a key")
    }

    const OTHER_ALLEY: &str = "measured at alley 36 in, the sheet is for 30 in";

    #[test]
    fn runs_made_for_another_alley_are_named_and_those_of_another_speed_are_not() {
        let at = |table, speed, alley| Run { point: point(speed, alley), ..run(table) };
        let old = Some("setback changed".to_owned());
        let record = Record {
            present: point("2.8 mph", "30 in"),
            runs: vec![
                at("alley-run", "2.8 mph", "30 in"),
                at("alley-run", "2.8 mph", "36 in"),
                at("alley-run", "3.4 mph", "36 in"),
                Run { aside: old, ..at("alley-run", "2.8 mph", "36 in") },
                at("trip-run", "2.8 mph", "36 in"),
                at("wheel-run", "2.8 mph", "36 in"),
                at("pass-run", "2.8 mph", "36 in"),
            ],
            ..Record::default()
        };
        let words = || vec![OTHER_ALLEY.to_owned()];
        assert_eq!(made_for_other(&record), [(1, words()), (6, words())]);
    }

    #[test]
    fn one_run_at_the_present_point_is_enough_and_else_the_last_one_says_what_moved() {
        let at = |alley| Run { point: point("2.8 mph", alley), ..run("alley-run") };
        let stale = |runs| {
            let record = Record { present: point("2.8 mph", "30 in"), runs, ..Record::default() };
            checked(&record, vec![]).remove(0).1
        };
        assert_eq!(stale(vec![at("30 in"), at("36 in")]), [] as [&str; 0]);
        assert_eq!(stale(vec![at("24 in"), at("36 in")]), [OTHER_ALLEY]);
    }

    #[test]
    fn a_run_counts_as_old_before_the_day_of_the_last_change_that_touches_it() {
        let dated = |table, day: Option<u32>| Run { date: day.map(on), ..run(table) };
        let old = Some("trip scale changed".to_owned());
        let record = Record {
            runs: vec![
                dated("trip-run", Some(17)),
                dated("trip-run", Some(18)),
                dated("trip-run", Some(19)),
                dated("trip-run", None),
                Run { aside: old, ..dated("trip-run", Some(17)) },
                dated("speed-run", Some(17)),
                dated("alley-run", Some(18)),
            ],
            changes: vec![
                changed(16, Subject::Held(&TRIP_SCALE)),
                changed(18, Subject::Held(&TRIP_SCALE)),
                changed(19, Subject::Held(&SETBACK)),
                changed(17, Subject::Held(&TRIP_SCALE)),
            ],
            ..Record::default()
        };
        let of_scale = format!("measured {}, before the trip scale changed on {}", on(17), on(18));
        let of_setback = format!("measured {}, before the setback changed on {}", on(18), on(19));
        assert_eq!(made_before_change(&record), [(0, of_scale), (6, of_setback.clone())]);
        let all = check(&record, &Report::of(vec![]), None);
        let of = |key| all.iter().find(|one| one.calculation.key == key).expect("checked");
        // The newest run of the 19th and one without a day: nothing tells that it is old.
        assert_eq!(of("trip").stale, [] as [&str; 0]);
        assert_eq!(of("trip").changed, Some(on(18)));
        assert_eq!(of("trip").measured, Some(on(19)));
        assert_eq!(of("alley").stale, [of_setback]);
        // All measured on the day of the change or later.
        let runs = vec![dated("alley-run", Some(19))];
        let record = Record { runs, ..record };
        assert_eq!(check(&record, &Report::of(vec![]), None)[0].stale, [] as [&str; 0]);
    }

    #[test]
    fn of_changes_on_one_day_the_last_is_the_newest() {
        let changes = vec![
            changed(18, Subject::Held(&TRIP_SCALE)),
            changed(18, Subject::Held(&SETBACK)),
            changed(18, clean_out()),
        ];
        let record = Record { changes, ..Record::default() };
        let newest = |tables: &[&str]| record.newest_change(tables).map(|one| one.setting.name());
        assert_eq!(newest(&["alley-run"]).as_deref(), Some("length of clean-out"));
        assert_eq!(newest(&["trip-run"]).as_deref(), Some("trip scale"));
        assert_eq!(newest(&["speed-run"]), None);
        assert_eq!(run("pass-run").name(), "pass-run 1");
    }
}
