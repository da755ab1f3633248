//! Ground speed over a timed course.

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::quantity::{Duration, Length, Share, Speed, TimeUnit, Unit, brief};
use crate::statistics::{self};
use crate::working::Value;

use super::judgement::Evidence;
use crate::outcome::warning::SPEED_OFF;
use crate::outcome::wording;
use crate::outcome::{
    Adjustment, By, ByHand, Calculation, Decision, Judgement, Next, Outcome, SettingResult, Verdict,
};
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "speed", title: "Ground speed" };

/// What one reading is.
const SUBJECT: &str = "drive speed";

/// A course driven one or more times at one throttle and gear.
#[derive(Clone, Debug)]
pub struct SpeedRun {
    /// Length of the course.
    pub course: Length,
    /// Time of each drive over it.
    pub times: Vec<Duration>,
}

/// What the speed calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Timed runs; at least one time.
    pub runs: Vec<SpeedRun>,
    /// The speed the sheet is for.
    pub target: Option<Speed>,
    /// The share by which the speed may miss it.
    pub tolerance: Option<Share>,
}

/// The speed of every drive: course / time, in working lengths per second.
fn speeds(runs: &[SpeedRun], units: &Units) -> Vec<Value> {
    let several = runs.len() > 1;
    let mut speeds = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        let name = if several { format!("course, run {}", index + 1) } else { "course".into() };
        let course = units.length(name, &run.course);
        let second = Unit::from(TimeUnit::Second);
        speeds.extend(run.times.iter().map(|time| &course / Value::reading(time, second)));
    }
    speeds
}

/// Mean speed: the mean of course / time over all drives, in working lengths per second;
/// `None` without any.
///
/// ```
/// use alleytrue::calculations::speed::{SpeedRun, mean_speed};
/// use alleytrue::working::Units;
/// use alleytrue::quantity::{Duration, Length};
/// // Ohio State University Extension (Zondag): 88 ft in one minute is 1 mph.
/// let run = SpeedRun {
///     course: Length::parse("88 ft", None)?,
///     times: vec![Duration::parse("60 s", None)?],
/// };
/// let mean = mean_speed(&[run], &Units::US).map(|speed| Units::US.gauge(&speed).number());
/// assert!(mean.is_some_and(|mph| (mph - 1.0).abs() < 1e-12));
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn mean_speed(runs: &[SpeedRun], units: &Units) -> Option<Value> {
    statistics::mean(SUBJECT, &speeds(runs, units))
}

/// A mean speed for a sentence, in the crew's unit.
#[must_use]
pub fn in_words(along: &Value, units: &Units) -> String {
    wording::in_words(&units.gauge(along))
}

/// The ground speed, and what it does to settings that the controller keeps by time.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = common.on_the_range();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "time"));
    let Some(along) = mean_speed(&inputs.runs, units) else { return outcome };
    let speed = units.gauge(&along).named("ground speed");
    outcome.values.push(speed.clone());
    let Some(target) = &inputs.target else {
        outcome.values.push(in_a_tenth(&along, "ground covered in 0.1 s"));
        return outcome;
    };
    let wanted = Value::measured("target speed", target, units.speed_unit());
    let meant = units.speed("target speed along the ground", target);
    let difference =
        (&along / &meant - Value::constant(1.0)).in_percent().named("speed against target");
    let shift =
        ((&along - &meant) * tenth_of_a_second()).named("shift of an alley per 0.1 s set by time");
    let in_a_tenth = in_a_tenth(&meant, "ground covered in 0.1 s at target");
    outcome.values.extend([difference.clone(), in_a_tenth, shift]);
    let judgement = Judgement::of(&Evidence {
        subject: SUBJECT,
        groups: vec![speeds(&inputs.runs, units)],
        parted: None,
        known: None,
        error: difference.clone(),
        to_error: &|spread| (spread / &meant).in_percent(),
        jitter: None,
        tolerance: inputs
            .tolerance
            .as_ref()
            .map(|share| Value::measured("speed tolerance", share, Unit::PERCENT)),
        tolerance_key: "speed",
        key: "speed",
        confidence: common.confidence,
        in_plot_order: false,
        left_out: common.left_out(CALCULATION),
        reach: None,
        apart: None,
        of_runs: vec![],
        by_run: false,
    });
    if let Some(judgement) = judgement {
        let verdict = verdict(&judgement.decision, &difference);
        outcome.judge(judgement);
        say_off(&mut outcome, &speed, target, &verdict);
        outcome.settings.push(SettingResult {
            name: "ground speed".into(),
            key: None,
            now: Some(speed),
            exact: wanted.clone(),
            set: wanted,
            verdict,
        });
    }
    outcome
}

fn verdict(decision: &Decision, difference: &Value) -> Verdict {
    match decision {
        Decision::Keep(reason) => Verdict::Keep(reason.clone()),
        Decision::Measure(reason) => Verdict::Measure(reason.clone()),
        Decision::Wait(reason) => Verdict::Wait(reason.clone()),
        Decision::Change => {
            let off = difference.number();
            let way = if off > 0.0 { "slower" } else { "faster" };
            Verdict::Change(format!("drive {way}: {} % off", brief(off.abs())))
        }
    }
}

fn say_off(off: &mut Outcome, speed: &Value, target: &Speed, verdict: &Verdict) {
    let mut by_hand = vec![];
    let instruction = match verdict {
        Verdict::Change(way) => {
            by_hand.push(throttle(speed, target, off));
            off.warnings.push(SPEED_OFF.with(format!(
                "timed {}, target {target}: every timer and whatever else is set by time is off \
                 by that share",
                wording::in_words(speed)
            )));
            format!(
                "{way}; hold {target} (timed {}) and time it again, or make the timed speed the \
                 target and calibrate for it",
                wording::in_words(speed)
            )
        }
        Verdict::Measure(reason) => format!("ground speed: {reason}"),
        Verdict::Keep(_) | Verdict::Wait(_) | Verdict::Cause(_) => return,
    };
    off.next = Some(Next {
        calculation: CALCULATION,
        setting: Some("ground speed".into()),
        now: Some(speed.clone()),
        set: None,
        by_hand,
        instruction,
    });
}

/// Throttle or gear for another speed: how far, only the next course tells.
fn throttle(speed: &Value, target: &Speed, outcome: &Outcome) -> Adjustment {
    let fast = speed.number() > Value::measured("target speed", target, speed.unit()).number();
    let words = if fast { "slower" } else { "faster" };
    Adjustment {
        what: ByHand::Throttle,
        by: By::Words(words.into()),
        error: outcome.judgement.as_ref().map(|judgement| judgement.error.clone()),
        why: format!("timed {}, target {target}", wording::in_words(speed)),
    }
}

fn tenth_of_a_second() -> Value {
    Value::exact("a tenth of a second", 0.1, TimeUnit::Second.into())
}

fn in_a_tenth(speed: &Value, name: &'static str) -> Value {
    (speed * tenth_of_a_second()).named(name)
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "speed",
    about: "Ground speed, and turns and skid of the ground wheel",
    lacks: "[[speed-run]] and no [[wheel-run]]",
    advice: "add a [[speed-run]] with `course` and `times`, or a [[wheel-run]] with `course` and `turns`",
    has_readings: true,
    runs: &["speed-run"],
    warnings: &[],
    tolerances: &[("speed", "ground speed")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        let count = readings::leave_out(self.runs.iter_mut().map(|run| &mut run.times), places);
        self.runs.retain(|run| !run.times.is_empty());
        count
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Units;

    fn run(course: &str, times: &[&str]) -> SpeedRun {
        let times = times.iter().map(|time| Duration::parse(time, None).expect("a time"));
        SpeedRun { course: Length::parse(course, None).expect("a length"), times: times.collect() }
    }

    #[test]
    fn a_drive_too_fast_is_to_be_slower() {
        let words = |off: f64| match verdict(&Decision::Change, &Value::constant(off)) {
            Verdict::Change(words) => words,
            other => panic!("{other:?}"),
        };
        assert_eq!(words(2.5), "drive slower: 2.5 % off");
        assert_eq!(words(-2.5), "drive faster: 2.5 % off");
    }

    #[test]
    fn courses_are_told_apart_where_there_are_several() {
        let names = |runs: &[SpeedRun]| {
            let lines = crate::working::steps(&speeds(runs, &Units::US));
            lines.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
        };
        let one = names(&[run("200 ft", &["48 s"])]);
        assert!(one.contains("course") && !one.contains("run 1"), "{one}");
        let two = names(&[run("200 ft", &["48 s"]), run("100 ft", &["24 s"])]);
        assert!(two.contains("course, run 1") && two.contains("course, run 2"), "{two}");
    }

    /// Times are numbered through all runs, so the third is the second run's only one.
    #[test]
    fn a_run_that_loses_its_only_time_is_gone_and_the_others_keep_theirs() {
        let runs = vec![run("200 ft", &["48 s", "49 s"]), run("100 ft", &["20 s"])];
        let all = Inputs { runs, target: None, tolerance: None };
        let times = |inputs: &Inputs| {
            let texts = |run: &SpeedRun| run.times.iter().map(ToString::to_string).collect();
            inputs.runs.iter().map(texts).collect::<Vec<Vec<String>>>()
        };
        for (left_out, stays) in [
            (vec![3], vec![vec!["48 s", "49 s"]]),
            (vec![1], vec![vec!["49 s"], vec!["20 s"]]),
            (vec![1, 2], vec![vec!["20 s"]]),
            (vec![], vec![vec!["48 s", "49 s"], vec!["20 s"]]),
        ] {
            let mut inputs = all.clone();
            assert_eq!(inputs.leave_out(CALCULATION.key, &left_out), 3, "all that there were");
            assert_eq!(times(&inputs), stays);
        }
    }
}
