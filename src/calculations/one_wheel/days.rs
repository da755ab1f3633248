//! Both numbers day by day, and how far their readings scatter.

use crate::calculations::readings::count;
use crate::calculations::trip::{Evidence, TripRun};
use crate::calculations::wheel::WheelRun;
use crate::quantity::{Decimal, MeasureUnit, Unit};
use crate::statistics::Moments;
use crate::working::{Units, Value};

use super::formulas::{counts_over, one_of, scale_of};
use super::inputs::{Day, Inputs};

/// What one reading scatters by, of its own size, over all runs of a kind.
pub(super) struct Scatter {
    /// In hundredths of the reading.
    pub(super) sd: Value,
    pub(super) degrees: u32,
    /// Readings of all runs that have several.
    pub(super) readings: usize,
}

/// Both numbers of one day.
pub(super) struct Found {
    pub(super) name: String,
    pub(super) trips: usize,
    pub(super) turns: usize,
    /// The trip scale that was right.
    pub(super) scale: Option<Value>,
    pub(super) travel: Option<Value>,
    pub(super) counts: Option<Value>,
}

/// The numbers of all days, in their order, behind those that were typed as right once.
pub(super) fn found(inputs: &Inputs, units: &Units) -> Vec<Found> {
    let known = inputs.known.as_ref().map(|known| {
        let scale = Value::typed("trip scale, once", known.scale, Unit::ONE);
        let turns = Value::typed("turns, once", known.turns, Unit::ONE);
        let travel = (units.length("distance, once", &known.distance) / turns)
            .named("travel per turn, once");
        let counts = counts_over(inputs.kind, &scale, &travel, &one_of(units))
            .named("counts per turn, once");
        Found {
            name: "once".into(),
            trips: 0,
            turns: 0,
            scale: Some(scale),
            travel: Some(travel),
            counts: Some(counts),
        }
    });
    known.into_iter().chain(inputs.days.iter().map(|day| of_day(day, inputs, units))).collect()
}

fn of_day(day: &Day, inputs: &Inputs, units: &Units) -> Found {
    let name = day.date.clone().unwrap_or_else(|| "no date".into());
    let scale = scale_of_day(&day.trips, inputs, units, &name);
    let travel = (!day.wheels.is_empty()).then(|| travel_of_day(&day.wheels, units, &name));
    let counts = scale.as_ref().zip(travel.as_ref()).map(|(scale, travel)| {
        counts_over(inputs.kind, scale, travel, &one_of(units))
            .named(format!("counts per turn, {name}"))
    });
    Found {
        trips: day.trips.iter().map(|run| readings_of(run).len()).sum(),
        turns: day.wheels.iter().map(|run| run.turns.len()).sum(),
        name,
        scale,
        travel,
        counts,
    }
}

fn readings_of(run: &TripRun) -> &[crate::quantity::Length] {
    match &run.evidence {
        Evidence::Readout { readout, .. } => readout,
        Evidence::Tape { taped, .. } => taped,
    }
}

/// The scale that the trip runs of a day call right; of several runs the mean, each counted as often
/// as it has readings.
fn scale_of_day(runs: &[TripRun], inputs: &Inputs, units: &Units, day: &str) -> Option<Value> {
    let several = runs.len() > 1;
    let mut all = vec![];
    for (place, run) in runs.iter().enumerate() {
        let tag = if several { format!(", {day}, run {}", place + 1) } else { format!(", {day}") };
        all.push((count(readings_of(run).len()), scale_of_run(run, inputs, units, &tag)?));
    }
    match all.as_slice() {
        [] => None,
        [(_, only)] => Some(only.clone()),
        _ => {
            let sum = |terms: Vec<Value>, of: &str| Value::sum(of.to_owned(), terms);
            let weighted = all.iter().map(|(count, scale)| count * scale).collect();
            let counts = all.iter().map(|(count, _)| count.clone()).collect();
            let mean = sum(weighted, "scales, by readings") / sum(counts, "readings");
            Some(mean.named(format!("right trip scale, {day}")))
        }
    }
}

fn scale_of_run(run: &TripRun, inputs: &Inputs, units: &Units, tag: &str) -> Option<Value> {
    let old = match run.then {
        Some(then) => Value::typed(format!("trip scale then, {then}"), then, Unit::ONE),
        None => Value::typed("trip scale now", inputs.now, Unit::ONE),
    };
    let mean = |subject: &str| {
        crate::statistics::mean(&format!("{subject}{tag}"), &units.readings(readings_of(run)))
    };
    let (believed, truth) = match &run.evidence {
        Evidence::Readout { marks, .. } => {
            (mean("readout")?, units.length(format!("marks{tag}"), marks))
        }
        Evidence::Tape { commanded, .. } => {
            (units.length(format!("commanded length{tag}"), commanded), mean("taped length")?)
        }
    };
    let counts =
        counts_over(inputs.kind, &old, &believed, &one_of(units)).named(format!("counts{tag}"));
    let right = scale_of(inputs.kind, &counts, &truth, &one_of(units));
    Some(right.named(format!("right trip scale{tag}")))
}

/// Ground covered / turns counted of all wheel runs of a day.
fn travel_of_day(runs: &[WheelRun], units: &Units, day: &str) -> Value {
    let courses = |run: &WheelRun| {
        count(run.turns.len()) * Value::reading(&run.course, units.length.compound())
    };
    let ground = Value::sum("courses driven", runs.iter().map(courses).collect());
    let turns = runs.iter().flat_map(|run| run.turns.iter().map(|turns| Value::counted(*turns)));
    let turns = Value::sum("turns", turns.collect());
    (ground.named(format!("ground covered, {day}")) / turns.named(format!("turns, {day}")))
        .named(format!("travel per turn, {day}"))
}

/// Scatter of the readings of trip runs.
pub(super) fn scatter_of_trips(days: &[Day], units: &Units) -> Option<Scatter> {
    let runs = days.iter().flat_map(|day| &day.trips);
    pooled("trip reading", runs.map(|run| units.readings(readings_of(run))))
}

/// Scatter of the turns counted on the drives over a course.
pub(super) fn scatter_of_turns(days: &[Day]) -> Option<Scatter> {
    let turns = |run: &WheelRun| {
        run.turns.iter().map(|count: &Decimal| Value::counted(*count)).collect::<Vec<_>>()
    };
    pooled("count of turns", days.iter().flat_map(|day| &day.wheels).map(turns))
}

/// sqrt(sum of (n - 1) (SD / mean)² / sum of (n - 1)), of the runs that have two readings or more.
fn pooled(subject: &str, runs: impl Iterator<Item = Vec<Value>>) -> Option<Scatter> {
    let (mut squares, mut all, mut degrees, mut readings) = (vec![], vec![], 0, 0);
    for (place, run) in runs.enumerate() {
        let name = format!("{subject}, list {}", place + 1);
        let Some(moments) = Moments::of(&name, &run) else { continue };
        let Some(scatter) = moments.scatter else { continue };
        let own = (scatter.sd.clone() / &moments.mean).named(format!("SD over mean, {name}"));
        squares.push(&scatter.degrees_of_freedom * own.to_the(2));
        degrees += scatter.whole_degrees();
        readings += run.len();
        all.push(scatter.degrees_of_freedom);
    }
    (degrees > 0).then_some(())?;
    let sum = Value::sum("squares, by df", squares) / Value::sum("df", all);
    Some(Scatter { sd: sum.root().named(format!("scatter of one {subject}")), degrees, readings })
}
