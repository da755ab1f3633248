//! Trip, wheel and speed one way against the other: what one setting can serve, and what stays.

use crate::calculations::common::Common;
use crate::calculations::judgement::{Stands, stands as stands_to};
use crate::calculations::trip::{Evidence, ScaleKind, TripRun};
use crate::calculations::wheel::skid;
use crate::outcome::setting::on_step;
use crate::outcome::warning::Warning;
use crate::outcome::wording::{in_words, with_unit};
use crate::outcome::{Outcome, SettingResult, Verdict};
use crate::quantity::{MeasureUnit, TimeUnit, Unit, at_most, brief};
use crate::statistics::{self, Confidence};
use crate::working::Value;

use super::formulas::{middle, scale_for_both, stays};
use super::inputs::Inputs;
use super::remarks::SLOPE_UNEVEN;
use super::ways::{Both, By};

/// One number, both ways.
pub(super) struct Number {
    /// What it is called in the table.
    pub(super) name: &'static str,
    pub(super) both: Both,
    /// What serves both ways.
    pub(super) serves: Value,
    /// What stays each way with that, in the unit of the tolerance.
    pub(super) stays: [Value; 2],
    /// Half the width of the interval of that.
    pub(super) half: Option<Value>,
    pub(super) tolerance: Option<Value>,
    pub(super) verdict: Verdict,
    /// What to set in place of what is held, where that is off for the middle of both ways.
    pub(super) to_set: Option<Value>,
}

/// A number of which only one way was measured.
pub(super) struct Lone {
    pub(super) name: &'static str,
    pub(super) missing: &'static str,
}

/// Everything that was measured both ways, and what was one way only.
pub(super) fn all(
    inputs: &Inputs,
    by: By,
    common: &Common,
    outcome: &mut Outcome,
) -> (Vec<Number>, Vec<Lone>) {
    let (mut numbers, mut lone) = (vec![], vec![]);
    let trips = by.parted(&inputs.trips, |run| ratios(run, inputs, common));
    let wheels = by.parted(&inputs.wheels, |run| {
        let course = Value::reading(&run.course, common.units.length.compound());
        run.turns.iter().map(|turns| &course / Value::counted(*turns)).collect()
    });
    let second = Unit::from(TimeUnit::Second);
    let speeds = by.parted(&inputs.speeds, |run| {
        let course = Value::reading(&run.course, common.units.length.compound());
        let speed = |time| common.units.gauge(&(&course / Value::reading(time, second)));
        run.times.iter().map(speed).collect()
    });
    let mut take = |name: &'static str, groups: &[Vec<Value>; 2], number: Option<Number>| {
        numbers.extend(number);
        let missing = match [groups[0].is_empty(), groups[1].is_empty()] {
            [true, false] => by.names()[0],
            [false, true] => by.names()[1],
            _ => return,
        };
        lone.push(Lone { name, missing });
    };
    take("trip", &trips, trip(&trips, inputs, by, common, outcome));
    take("travel", &wheels, travel(&wheels, inputs, by, common, outcome));
    take("speed", &speeds, speed(&speeds, inputs, by, common));
    (numbers, lone)
}

/// Believed over true length of every reading, as it would be with the scale of now.
fn ratios(run: &TripRun, inputs: &Inputs, common: &Common) -> Vec<Value> {
    let length = common.units.length.compound();
    let known = |length_of: &crate::quantity::Length| Value::reading(length_of, length);
    let each: Vec<Value> = match &run.evidence {
        Evidence::Readout { marks, readout } => {
            readout.iter().map(|read| known(read) / known(marks)).collect()
        }
        Evidence::Tape { commanded, taped } => {
            taped.iter().map(|tape| known(commanded) / known(tape)).collect()
        }
    };
    let (Some(held), Some(then)) = (&inputs.held, run.then) else { return each };
    let value = |name: String, number| Value::typed(name, number, Unit::ONE);
    let now = value("trip scale now".into(), held.scale.now);
    let then = value(format!("trip scale then, {then}"), then);
    let times = match held.kind {
        ScaleKind::CountsPerLength => then / now,
        ScaleKind::LengthPerCount => now / then,
    };
    each.into_iter().map(|ratio| ratio * &times).collect()
}

fn trip(
    groups: &[Vec<Value>; 2],
    inputs: &Inputs,
    by: By,
    common: &Common,
    outcome: &mut Outcome,
) -> Option<Number> {
    let held = inputs.held.as_ref()?;
    let units = &common.units;
    let both = Both::of("believed over true", by.names(), groups, common.confidence)?;
    let plot = units.length("plot", &held.plot);
    let spacing = (plot + units.length("alley", &held.alley)).named("trip spacing");
    let [first, second] = &both.means;
    let ratio = middle(first, second).named("believed over true, both ways alike");
    let now = Value::typed("trip scale now", held.scale.now, Unit::ONE);
    let serves = scale_for_both(held.kind, &now, &ratio).named("trip scale for both ways");
    let step = held.scale.step.map(|step| Value::typed("trip scale step", step, Unit::ONE));
    let set = step
        .map_or_else(|| serves.clone(), |step| on_step("trip scale for both ways", &serves, &step));
    let each = [0, 1].map(|way| {
        let name = format!("error per plot that stays, {}", by.names()[way]);
        stays(&spacing, &ratio, &both.means[way]).named(name)
    });
    let half = both.interval.as_ref().map(|interval| {
        (&spacing * &interval.half_width / (Value::constant(2.0) * &ratio))
            .named("give or take, error per plot that stays")
    });
    let tolerance = inputs.trip_tolerance.as_ref();
    let tolerance = tolerance.map(|length| units.length("trip tolerance", length));
    let lean = lean(groups, &both, &ratio, &spacing, &set, by, common.confidence);
    if let Some((off, remark)) = lean {
        outcome.values.push(off);
        outcome.warnings.push(remark);
    }
    let words = Words { what: "a trip scale", stays: "plots off by", by };
    let verdict = words.verdict(&both, &each, half.as_ref(), tolerance.as_ref());
    // With the scale that is held, the middle of both ways is off by this.
    let off = (&spacing / &ratio - &spacing).named("error per plot now, both ways alike");
    let to_set = is_off(&off, half.as_ref(), tolerance.as_ref()).then_some(set);
    outcome.values.push(off);
    Some(Number { name: "trip", both, serves, stays: each, half, tolerance, verdict, to_set })
}

/// Whether the middle of both ways is off by what is held; half the difference is as unsure as the middle.
fn is_off(off: &Value, half: Option<&Value>, tolerance: Option<&Value>) -> bool {
    let Some(half) = half else { return false };
    let limit = tolerance.map_or(half.number(), Value::number);
    stands_to(off.number().abs(), half.number(), limit) == Stands::Off
}

/// How far the scale of all readings alike leans to the way that has more of them, and the remark on it.
fn lean(
    groups: &[Vec<Value>; 2],
    both: &Both,
    ratio: &Value,
    spacing: &Value,
    set: &Value,
    by: By,
    confidence: Confidence,
) -> Option<(Value, Warning)> {
    let [first, second] = both.counts;
    let apart = both.p.as_ref()?.number() < 1.0 - confidence.fraction();
    (first != second && apart).then_some(())?;
    let all: Vec<Value> = groups.iter().flatten().cloned().collect();
    let pooled = statistics::mean("believed over true, all readings", &all)?;
    let off = (spacing * (&pooled / ratio) - spacing).named("error per plot by uneven readings");
    let [one, other] = by.names();
    let words = format!(
        "{first} trip readings {one} and {second} {other}: a trip scale of all of them alike is off by \
         {} a plot; measure as many each way, or set {}",
        in_words(&off),
        with_unit(set)
    );
    Some((off, SLOPE_UNEVEN.with(words)))
}

fn travel(
    groups: &[Vec<Value>; 2],
    inputs: &Inputs,
    by: By,
    common: &Common,
    outcome: &mut Outcome,
) -> Option<Number> {
    let both = Both::of("travel per turn", by.names(), groups, common.confidence)?;
    if let Some(circumference) = &inputs.circumference {
        let rolling = common.units.length("rolling circumference", circumference);
        for (mean, way) in both.means.iter().zip(by.names()) {
            let one = Value::constant(1.0);
            outcome
                .values
                .push(skid(&one, &rolling, mean).in_percent().named(format!("skid, {way}")));
        }
    }
    let tolerance = inputs.spacing_tolerance.as_ref();
    let tolerance =
        tolerance.map(|share| Value::measured("spacing tolerance", share, Unit::PERCENT));
    let words = Words { what: "one ratio of the drive", stays: "seed spacing off by", by };
    Some(shares("travel", "travel per turn for both ways", both, tolerance, &words))
}

fn speed(groups: &[Vec<Value>; 2], inputs: &Inputs, by: By, common: &Common) -> Option<Number> {
    let both = Both::of("speed driven", by.names(), groups, common.confidence)?;
    let tolerance = inputs.speed_tolerance.as_ref();
    let tolerance = tolerance.map(|share| Value::measured("speed tolerance", share, Unit::PERCENT));
    let words = Words { what: "one throttle and gear", stays: "speed off by", by };
    Some(shares("speed", "speed between both ways", both, tolerance, &words))
}

/// Numbers of which what stays is a share of what serves both ways.
fn shares(
    name: &'static str,
    serves: &'static str,
    both: Both,
    tolerance: Option<Value>,
    words: &Words,
) -> Number {
    let [first, second] = &both.means;
    let serves = middle(first, second).named(serves);
    let each = [0, 1].map(|way| {
        let name = format!("{name} that stays off, {}", words.by.names()[way]);
        (&both.means[way] / &serves - Value::constant(1.0)).in_percent().named(name)
    });
    let half = both.interval.as_ref().map(|interval| {
        (&interval.half_width / (Value::constant(2.0) * &serves))
            .in_percent()
            .named(format!("give or take, {name} that stays off"))
    });
    let verdict = words.verdict(&both, &each, half.as_ref(), tolerance.as_ref());
    Number { name, both, serves, stays: each, half, tolerance, verdict, to_set: None }
}

/// How a verdict is said.
struct Words {
    what: &'static str,
    stays: &'static str,
    by: By,
}

impl Words {
    /// Whether one setting serves both ways: wholly inside the tolerance, wholly beyond, or open.
    fn verdict(
        &self,
        both: &Both,
        stays: &[Value; 2],
        half: Option<&Value>,
        tolerance: Option<&Value>,
    ) -> Verdict {
        let [one, other] = self.by.names();
        let signed = |value: &Value| {
            let sign = if value.number() > 0.0 { "+" } else { "" };
            format!("{sign}{}", in_words(value))
        };
        let Some(half) = half else {
            let few = both.counts.iter().position(|count| *count < 2);
            return Verdict::Measure(match few {
                Some(way) => format!(
                    "one reading {} says nothing of its scatter: measure more",
                    self.by.names()[way]
                ),
                None => "readings that are all alike tell nothing of their scatter: measure more, \
                         to a finer mark"
                    .into(),
            });
        };
        let said = format!(
            "{} {} {one} and {} {other}, give or take {}",
            self.stays,
            signed(&stays[0]),
            signed(&stays[1]),
            brief(half.number())
        );
        let [up, down] = stays.each_ref().map(|value| value.number().abs());
        let most = up.max(down);
        let Some(limit) = tolerance else {
            let apart = most > half.number();
            let found = if apart { "stay" } else { "not told apart" };
            return Verdict::Keep(format!("{found}: {said} (no tolerance in the sheet)"));
        };
        if at_most(most + half.number(), limit.number()) {
            Verdict::Keep(format!("{} serves both ways, inside the tolerance: {said}", self.what))
        } else if !at_most(most - half.number(), limit.number()) {
            Verdict::Cause(format!(
                "{} can't serve both ways: {said}; look at what makes the wheel skid (load, tyres, \
                 speed), or plant all passes one way or across the slope",
                self.what
            ))
        } else {
            Verdict::Measure(format!("whether {} serves both ways is open: {said}", self.what))
        }
    }
}

impl Number {
    pub(super) fn setting(&self, inputs: &Inputs) -> SettingResult {
        let now = match (&inputs.held, self.name) {
            (Some(held), "trip") => Value::typed("trip scale now", held.scale.now, Unit::ONE),
            _ => self.serves.clone(),
        };
        let (set, verdict) = match &self.to_set {
            Some(set) => {
                let words = format!("set for the middle of both ways; {}", self.verdict.reason());
                (set.clone(), Verdict::Change(words))
            }
            None => (now.clone(), self.verdict.clone()),
        };
        SettingResult {
            name: format!("{}, both ways", self.name),
            key: None,
            now: Some(now),
            exact: self.serves.clone(),
            set,
            verdict,
        }
    }
}
