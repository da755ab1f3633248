//! Ground speed over a timed course.

use crate::quantity::{Duration, Length, Share, Speed, TimeUnit, Unit, brief};
use crate::working::Value;

use super::cautions::ON_THE_RANGE;
use super::warning::SPEED_OFF;
use super::{Calculation, Next, Outcome, Units};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "speed", title: "Ground speed" };

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
    /// Working units.
    pub units: Units,
}

/// Mean speed: the mean of course / time over all drives, in working lengths per second.
///
/// ```
/// use alleytrue::calibration::{Units, speed::{SpeedRun, mean_speed}};
/// use alleytrue::quantity::{Duration, Length};
/// // Ohio State University Extension (Zondag): 88 ft in one minute is 1 mph.
/// let run = SpeedRun {
///     course: Length::parse("88 ft", None)?,
///     times: vec![Duration::parse("60 s", None)?],
/// };
/// let speed = Units::US.gauge(&mean_speed(&[run], &Units::US));
/// assert!((speed.number() - 1.0).abs() < 1e-12);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn mean_speed(runs: &[SpeedRun], units: &Units) -> Value {
    let several = runs.len() > 1;
    let mut speeds = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        let name = if several { format!("course, run {}", index + 1) } else { "course".into() };
        let course = units.length(name, &run.course);
        let second = Unit::from(TimeUnit::Second);
        speeds.extend(run.times.iter().map(|time| &course / Value::reading(time, second)));
    }
    super::mean("mean speed over the course".into(), "speeds, course / time", &speeds)
}

/// The ground speed, and what it does to settings that the controller keeps by time.
#[must_use]
pub fn calibrate(inputs: &Inputs) -> Outcome {
    let units = &inputs.units;
    let along = mean_speed(&inputs.runs, units);
    let speed = units.gauge(&along).named("ground speed");
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    outcome.values.push(speed.clone());
    let Some(target) = &inputs.target else {
        outcome.values.push(in_a_tenth(&along, "ground covered in 0.1 s"));
        return outcome;
    };
    let wanted = Value::measured("target speed", target, units.speed_unit());
    let difference = ((&speed / &wanted) - Value::constant(1.0))
        .in_percent()
        .named("ground speed against target");
    let meant = units.speed("target speed along the ground", target);
    let shift =
        ((&along - &meant) * tenth_of_a_second()).named("shift of an alley per 0.1 s set by time");
    outcome.values.extend([
        difference.clone(),
        in_a_tenth(&meant, "ground covered in 0.1 s at target"),
        shift,
    ]);
    let limit = inputs.tolerance.as_ref().map(|share| share.base() * 100.0);
    if limit.is_some_and(|limit| difference.number().abs() > limit * (1.0 + 1e-9)) {
        say_off(&mut outcome, &speed, target, &difference, &wanted);
    }
    outcome
}

fn say_off(
    outcome: &mut Outcome,
    speed: &Value,
    target: &Speed,
    difference: &Value,
    wanted: &Value,
) {
    let off = difference.number();
    let way = if off > 0.0 { "slower" } else { "faster" };
    outcome.warnings.push(SPEED_OFF.with(format!(
        "the planter was timed {} % {} than the target of {target}; every timer and whatever \
         else is set by time is off by that share",
        brief(off.abs()),
        if off > 0.0 { "faster" } else { "slower" },
    )));
    outcome.next = Some(Next {
        calculation: CALCULATION,
        setting: None,
        now: Some(speed.clone()),
        set: Some(wanted.clone()),
        instruction: format!(
            "drive {way}, at {target} (timed {}), and time it again; or make the timed speed the \
             target and calibrate for it",
            super::outcome::in_words(speed)
        ),
    });
}

fn tenth_of_a_second() -> Value {
    Value::exact("a tenth of a second", 0.1, TimeUnit::Second.into())
}

fn in_a_tenth(speed: &Value, name: &'static str) -> Value {
    (speed * tenth_of_a_second()).named(name)
}
