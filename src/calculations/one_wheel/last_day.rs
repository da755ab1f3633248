//! The last day: what is right now of both numbers, whether what is set may be held, and what to look
//! for where not.

use crate::calculations::judgement::Stands;
use crate::calculations::trip::error_per_plot;
use crate::outcome::wording::in_words;
use crate::outcome::{Cell, Column, Next, Outcome, SettingResult, Table, Verdict};
use crate::quantity::{Unit, brief};
use crate::working::Value;

use super::days::Found;
use super::formulas::{moved, one_of, scale_of, travel_of};
use super::inputs::{CALCULATION, Inputs};
use super::remarks::{ONE_WHEEL_MOVED, WHEEL_ROLLS_OTHER};
use super::unsure::{and, of_mean, of_one_day};
use super::walk::{How, Step, Sure, Walk, mean_of};

/// One of both numbers on the last day.
struct Number {
    name: &'static str,
    /// What it is by the last day.
    now: Value,
    /// Whether it was measured itself, and not worked out of the other.
    measured: bool,
    /// How far off what rests on it is, in per cent of the trip spacing or of the seed spacing.
    off: Value,
    half: Option<Value>,
    limit: Option<Value>,
    stands: Stands,
    /// The same error in the words of the crew.
    words: String,
}

/// What the last day says, where there is anything to hold it against.
pub(super) fn add(
    inputs: &Inputs,
    sure: &Sure<'_>,
    walk: &Walk<'_>,
    spacing: &Value,
    outcome: &mut Outcome,
) {
    let Some((day, step)) = walk.days.last().zip(walk.steps.last()) else { return };
    say_moved(walk, outcome);
    if step.how == How::First {
        return;
    }
    if walk.before.is_empty() {
        let words = format!(
            "no day before {} has trip readings and turns of the wheel both: measure both on one day",
            day.name
        );
        outcome.next = Some(Next::only(CALCULATION, words));
        return;
    }
    if let (Some(moved), Some(counts)) = (&step.moved, &day.counts) {
        outcome.values.push(moved.clone());
        outcome.values.extend(step.half.clone());
        outcome.settings.push(counter(day, step, sure, counts));
    }
    let counts = match step.how {
        How::Moved | How::Open | How::Stands => day.counts.clone(),
        _ => mean_of("counts per turn, days before", &walk.before, |day| day.counts.clone()),
    };
    let Some(counts) = counts else { return };
    let trip = trip_scale(inputs, sure, walk, day, &counts, spacing);
    let travel = travel(inputs, sure, walk, day, &counts);
    let numbers: Vec<Number> = trip.into_iter().chain(travel).collect();
    for number in &numbers {
        outcome.values.extend([number.now.clone(), number.off.clone()]);
        outcome.values.extend(number.half.clone());
        outcome.settings.push(number.setting(inputs));
    }
    outcome.tables.push(table(&numbers, &day.name));
    remark_on_wheel(&numbers, step, day, outcome);
    outcome.next = next(&numbers, step, day, sure);
}

/// The trip scale that is right now, and what a plot is off by with the one that is set.
fn trip_scale(
    inputs: &Inputs,
    sure: &Sure<'_>,
    walk: &Walk<'_>,
    day: &Found,
    counts: &Value,
    spacing: &Value,
) -> Option<Number> {
    let units = &sure.common.units;
    let measured = day.scale.is_some();
    let now = match &day.scale {
        Some(scale) => scale.clone(),
        None => scale_of(inputs.kind, counts, day.travel.as_ref()?, &one_of(units))
            .named(format!("trip scale by the wheel, {}", day.name)),
    };
    let held = Value::typed("trip scale now", inputs.now, Unit::ONE);
    let off = error_per_plot(inputs.kind, spacing, &held, &now)
        .named(format!("error per plot with the scale of now, {}", day.name));
    let share = (&off / spacing).in_percent().named("error per plot over the trip spacing");
    let (trips, turns) = match measured {
        true => (of_one_day(day.trips), None),
        false => (
            of_mean(&walk.before, |day| day.trips),
            and(of_mean(&walk.before, |day| day.turns), of_one_day(day.turns)),
        ),
    };
    let half = sure.half("error per plot over the trip spacing", trips, turns);
    let stands = sure.stands(&share, half.as_ref(), sure.tolerance.as_ref());
    let way = if off.number() > 0.0 { "long" } else { "short" };
    let give = half.as_ref().map_or(String::new(), |half| {
        let half = half.number() / 100.0 * spacing.number();
        format!(", give or take {} {}", brief(half), spacing.unit_text())
    });
    let words = format!("plots {} too {way}{give}", in_words(&off.magnitude()));
    Some(Number {
        name: "trip scale",
        now,
        measured,
        off: share,
        half,
        limit: sure.tolerance.clone(),
        stands,
        words,
    })
}

/// Travel per turn now, and what the seed spacing is off by with the sprockets that were right for it
/// before.
fn travel(
    inputs: &Inputs,
    sure: &Sure<'_>,
    walk: &Walk<'_>,
    day: &Found,
    counts: &Value,
) -> Option<Number> {
    let units = &sure.common.units;
    let measured = day.travel.is_some();
    let now = match &day.travel {
        Some(travel) => travel.clone(),
        None => travel_of(inputs.kind, counts, day.scale.as_ref()?, &one_of(units))
            .named(format!("travel per turn by the trip, {}", day.name)),
    };
    let before = mean_of("travel per turn, days before", &walk.before, |day| day.travel.clone())?;
    let off = moved(&now, &before).named("travel per turn against before");
    let (trips, turns) = match measured {
        true => (None, and(of_one_day(day.turns), of_mean(&walk.before, |day| day.turns))),
        // Counts per turn / (trip scale × travel before) is the trip scale before over that of now.
        false => (and(of_one_day(day.trips), of_mean(&walk.before, |day| day.trips)), None),
    };
    let half = sure.half("travel per turn against before", trips, turns);
    let tolerance = inputs.spacing_tolerance.as_ref();
    let limit = tolerance.map(|share| Value::measured("spacing tolerance", share, Unit::PERCENT));
    let stands = sure.stands(&off, half.as_ref(), limit.as_ref());
    let way = if off.number() > 0.0 { "further apart" } else { "closer" };
    let give = half
        .as_ref()
        .map_or(String::new(), |half| format!(", give or take {} %", brief(half.number())));
    let words = format!("seeds {} % {way} than before{give}", brief(off.number().abs()));
    Some(Number { name: "travel per turn", now, measured, off, half, limit, stands, words })
}

impl Number {
    fn by(&self) -> &'static str {
        if self.measured { "measured" } else { "by the other" }
    }

    /// Whether what is set may be held.
    fn setting(&self, inputs: &Inputs) -> SettingResult {
        let verdict = match (self.stands, self.measured) {
            (Stands::Inside, _) => Verdict::Keep(match &self.limit {
                Some(_) => format!("inside the tolerance: hold it ({})", self.words),
                None => format!("not told apart from before: hold it ({})", self.words),
            }),
            (Stands::Off, true) => Verdict::Measure(format!("does not hold: {}", self.words)),
            (Stands::Off, false) => Verdict::Measure(format!("measure it again: {}", self.words)),
            (Stands::Unsure, _) => {
                Verdict::Measure(format!("can't be told yet: {}; more readings", self.words))
            }
        };
        let held = match self.name {
            "trip scale" => Value::typed("trip scale now", inputs.now, Unit::ONE),
            _ => self.now.clone(),
        };
        SettingResult {
            name: format!("{}, one wheel", self.name),
            key: None,
            now: Some(held.clone()),
            exact: self.now.clone(),
            set: held,
            verdict,
        }
    }
}

/// Whether counts per turn stand.
fn counter(day: &Found, step: &Step, sure: &Sure<'_>, counts: &Value) -> SettingResult {
    let moved = step.moved.as_ref().map_or(0.0, Value::number);
    let give = step
        .half
        .as_ref()
        .map_or(String::new(), |half| format!(", give or take {} %", brief(half.number())));
    let words = format!("{} % against before{give}", brief(moved));
    let verdict = match step.how {
        How::Moved => Verdict::Measure(format!("moved: {words}; measure both again")),
        How::Open => Verdict::Measure(format!("can't be told yet: {words}; more readings of both")),
        _ if sure.tolerance.is_some() => {
            Verdict::Keep(format!("inside the tolerance of a plot: {words}"))
        }
        _ => Verdict::Keep(format!("not told apart from before: {words}")),
    };
    SettingResult {
        name: format!("counts per turn, {}", day.name),
        key: None,
        now: Some(counts.clone()),
        exact: counts.clone(),
        set: counts.clone(),
        verdict,
    }
}

/// Every day on which counts per turn moved.
fn say_moved(walk: &Walk<'_>, outcome: &mut Outcome) {
    for (day, step) in walk.days.iter().zip(&walk.steps) {
        if let (How::Moved, Some(moved)) = (step.how, &step.moved) {
            outcome.warnings.push(ONE_WHEEL_MOVED.with(format!(
                "counts per turn are {} % off those before on {}: they belong to the wheel and its \
                 counter, and no tyre, load or soil moves them",
                brief(moved.number()),
                day.name
            )));
        }
    }
}

fn remark_on_wheel(numbers: &[Number], step: &Step, day: &Found, outcome: &mut Outcome) {
    let off = |name: &str| {
        numbers.iter().find(|number| number.name == name && number.stands == Stands::Off)
    };
    if step.how == How::Moved {
        return;
    }
    if let Some(travel) = off("travel per turn") {
        let further = if travel.off.number() > 0.0 { "more" } else { "less" };
        outcome.warnings.push(WHEEL_ROLLS_OTHER.with(format!(
            "on {} the wheel covers {} % {further} ground a turn than before ({}): tyre pressure, \
             load or soil",
            day.name,
            brief(travel.off.number().abs()),
            travel.by()
        )));
    }
}

/// The one thing to do: what holds up both numbers first.
fn next(numbers: &[Number], step: &Step, day: &Found, sure: &Sure<'_>) -> Option<Next> {
    let find = |name: &str| numbers.iter().find(|number| number.name == name);
    let off = |name: &str| find(name).is_some_and(|number| number.stands == Stands::Off);
    let words = match step.how {
        How::Moved => {
            let moved = step.moved.as_ref().map_or(0.0, Value::number);
            let suspect = match (off("trip scale"), off("travel per turn")) {
                (_, false) => {
                    "the travel per turn is as before, so look at the counter: a sensor that slipped \
                     or misses counts, its gap, a loose target"
                }
                (false, true) => {
                    "the trip scale holds, so look at the turns: a miscount, or a wheel that the trip \
                     is not taken from"
                }
                (true, true) => {
                    "look at the counter and at how the turns were counted, and whether both are \
                     taken from one wheel"
                }
            };
            format!(
                "counts per turn moved by {} % on {}: {suspect}; then measure trip and turns again, \
                 before anything is set by either",
                brief(moved),
                day.name
            )
        }
        How::Open => format!(
            "counts per turn of {} can't be told from those before: {}",
            day.name,
            more_of_both(sure)
        ),
        _ if off("travel per turn") && find("travel per turn").is_some_and(|one| one.measured) => {
            let again = "measure trip and turns again";
            format!(
                "the wheel covers other ground a turn than before: look at tyre pressure, load and \
                 soil first; then {again}"
            )
        }
        _ => {
            let worst = numbers.iter().find(|one| one.stands == Stands::Off && !one.measured);
            let open = numbers.iter().find(|one| one.stands == Stands::Unsure);
            match (worst, open) {
                (Some(one), _) => {
                    let how = match one.name {
                        "trip scale" => "measure the trip again over ten plots",
                        _ => "count the turns of the wheel again",
                    };
                    format!(
                        "{}: {}: look at tyre pressure and soil, and {how}",
                        one.name, one.words
                    )
                }
                (None, Some(one)) => {
                    format!("{} of {}: {}: {}", one.name, day.name, one.words, more_of_both(sure))
                }
                (None, None) => return None,
            }
        }
    };
    Some(Next::only(CALCULATION, words))
}

fn more_of_both(sure: &Sure<'_>) -> String {
    match (&sure.trips, &sure.turns) {
        (_, None) => {
            "drive the course of the wheel twice or more, so that its turns scatter".into()
        }
        (None, _) => "read the trip over two plots or more, so that its readings scatter".into(),
        (Some(trips), Some(turns)) if trips.sd.number() >= turns.sd.number() => {
            "take more trip readings".into()
        }
        _ => "count more turns, over a longer course".into(),
    }
}

fn table(numbers: &[Number], day: &str) -> Table {
    let number = |value: Option<&Value>, places| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
    };
    let row = |one: &Number| {
        let verdict = match one.stands {
            Stands::Inside => "hold",
            Stands::Off => "measure again",
            Stands::Unsure => "open",
        };
        vec![
            Cell::Text(one.name.into()),
            Cell::Number(one.now.number(), 3),
            Cell::Text(one.by().into()),
            number(Some(&one.off), 2),
            number(one.half.as_ref(), 2),
            number(one.limit.as_ref(), 2),
            Cell::Text(verdict.into()),
        ]
    };
    Table {
        key: "one-wheel-now",
        title: format!("Whether what is set may be held, by {day}"),
        columns: vec![
            Column::new("number", "number", ""),
            Column::new("right_now", "right now", ""),
            Column::new("by", "by", ""),
            Column::new("off_percent", "off", "%"),
            Column::new("half_width_percent", "+/-", "%"),
            Column::new("tolerance_percent", "may be", "%"),
            Column::new("verdict", "verdict", ""),
        ],
        rows: numbers.iter().map(row).collect(),
    }
}
