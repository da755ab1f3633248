//! Slope and direction: runs up a slope against runs down it, or passes out against passes home.
//!
//! Uphill the wheel carries more of the pull and skids more: it turns less over the same ground, the
//! controller counts less and plants longer, and seeds stand further apart. Downhill it is the other
//! way round. One setting serves the middle of both, each counted once, since a trial has as many
//! passes up as down; what lies between them stays, and no setting takes it out. A tape on the slope
//! reads longer than a map: length × sqrt(1 + slope²).

mod compared;
mod formulas;
mod inputs;
mod lengths;
mod remarks;
mod ways;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use super::trip;
use crate::outcome::cautions::{MANUAL_FIRST, NO_RIDERS, ROLL_BAR, TURNING_WHEEL};
use crate::outcome::warning::RUNS_APART;
use crate::outcome::wording::with_unit;
use crate::outcome::{
    Caution, Cell, Column, Heading, Next, Outcome, SettingResult, Table, Verdict,
};
use crate::working::Value;

use compared::{Lone, Number};
use remarks::{SLOPE_NOT_SAID, SLOPE_SIGNS, SLOPE_UNEVEN};
use ways::By;

pub use formulas::{along_the_slope, middle, on_the_level, scale_for_both, stays};
pub use inputs::{CALCULATION, Ground, Held, Inputs, On};

/// On a slope.
static ON_A_SLOPE: Caution = Caution {
    text: "On a slope: machine raised no higher than it has to be, slow turns, none across the steep; \
           how steep a tractor with a raised planter may go, its manual says.",
    source: "29 CFR 1928.51; the tractor's manual",
};

impl Inputs {
    /// The ground of every run.
    fn grounds(&self) -> impl Iterator<Item = &Ground> {
        let trips = self.trips.iter().map(|on| &on.ground);
        let wheels = self.wheels.iter().map(|on| &on.ground);
        trips.chain(wheels).chain(self.speeds.iter().map(|on| &on.ground))
    }
}

/// Both ways of everything that was measured, what one setting serves and what stays.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST, &ON_A_SLOPE, &ROLL_BAR, &NO_RIDERS, &TURNING_WHEEL];
    let by = By::of(inputs.grounds());
    say_odd(inputs, by, &mut outcome);
    let (numbers, lone) = compared::all(inputs, by, common, &mut outcome);
    for number in &numbers {
        outcome.values.extend(number.both.means.iter().cloned());
        outcome.values.push(number.both.difference.clone());
        if let Some(interval) = &number.both.interval {
            outcome.values.extend([interval.low.clone(), interval.high.clone()]);
        }
        outcome.values.extend(number.both.p.clone());
        outcome.values.push(number.serves.clone());
        outcome.values.extend(number.stays.iter().cloned());
        outcome.values.extend(number.half.clone());
        outcome.settings.push(number.setting(inputs));
    }
    if !numbers.is_empty() {
        outcome.tables.push(table(&numbers, by));
    }
    lengths::add(inputs, common, &mut outcome);
    // Where every pass goes out, nobody has to know the other way.
    let lone = if common.one_way { vec![] } else { lone };
    outcome.next = next(&numbers, &lone);
    outcome
}

/// The trip scale that serves both ways, where readings one way are told apart from those the other way.
fn trips_part(inputs: &Inputs, common: &Common) -> Option<SettingResult> {
    let mut aside = Outcome::new(CALCULATION);
    let (numbers, _) = compared::all(inputs, By::of(inputs.grounds()), common, &mut aside);
    let trip = numbers.iter().find(|one| one.name == "trip")?;
    let p = trip.both.p.as_ref()?;
    let told = p.number() < 1.0 - common.confidence.fraction();
    told.then(|| trip.setting(inputs))
}

/// Runs that can't be in it, and signs that don't fit.
fn say_odd(inputs: &Inputs, by: By, outcome: &mut Outcome) {
    let level = |ground: &&Ground| ground.slope.as_ref().is_some_and(|one| one.base() == 0.0);
    let out = inputs.grounds().filter(|ground| by.way(ground).is_none() && !level(ground)).count();
    if out > 0 {
        let what = if by == By::Slope { "slope" } else { "heading" };
        let s = if out == 1 { "run does" } else { "runs do" };
        outcome.warnings.push(
            SLOPE_NOT_SAID.with(format!(
                "{out} {s} not say the {what}, and can't be held against the others"
            )),
        );
    }
    let uphill = |heading: Heading| {
        let own = inputs.grounds().filter(move |ground| ground.heading == Some(heading));
        let slopes: Vec<f64> =
            own.filter_map(|ground| Some(ground.slope.as_ref()?.base())).collect();
        let all = |up: bool| !slopes.is_empty() && slopes.iter().all(|one| (*one > 0.0) == up);
        if all(true) { Some(true) } else { all(false).then_some(false) }
    };
    if let (Some(out), Some(home)) = (uphill(Heading::Out), uphill(Heading::Home))
        && out == home
    {
        let way = if out { "uphill" } else { "downhill" };
        outcome.warnings.push(SLOPE_SIGNS.with(format!(
            "runs out and runs home are both said to go {way}; the slope is along the run's own travel"
        )));
    }
}

fn next(numbers: &[Number], lone: &[Lone]) -> Option<Next> {
    if let Some(one) = lone.first() {
        return Some(Next::only(
            CALCULATION,
            format!("{}: nothing was measured {}; measure it both ways", one.name, one.missing),
        ));
    }
    if let Some((number, set)) = numbers.iter().find_map(|one| Some((one, one.to_set.as_ref()?))) {
        let set = with_unit(set);
        let words = format!(
            "the middle of both ways needs another trip scale: `alleytrue apply SHEET --setting \
             trip-scale={set}`, plant and measure both ways again; {}",
            number.verdict.reason()
        );
        return Some(Next::only(CALCULATION, words));
    }
    let open = numbers.iter().find_map(|one| match &one.verdict {
        Verdict::Measure(reason) => {
            Some(format!("{}: {reason}; more readings both ways", one.name))
        }
        _ => None,
    });
    open.map(|words| Next::only(CALCULATION, words))
}

/// Both ways side by side.
fn table(numbers: &[Number], by: By) -> Table {
    let [one, other] = by.names();
    let number = |value: &Value| Cell::Number(value.number(), 3);
    let maybe = |value: Option<&Value>| value.map_or(Cell::Empty, number);
    let row = |of: &Number| {
        let interval = of.both.interval.as_ref();
        vec![
            Cell::Text(of.name.into()),
            number(&of.both.means[0]),
            number(&of.both.means[1]),
            number(&of.both.difference),
            number(&of.stays[0]),
            number(&of.stays[1]),
            maybe(of.half.as_ref()),
            maybe(of.tolerance.as_ref()),
            maybe(interval.map(|interval| &interval.low)),
            maybe(interval.map(|interval| &interval.high)),
        ]
    };
    Table {
        key: "slope",
        title: format!("{one} against {other}, and what one setting leaves"),
        columns: vec![
            Column::new("number", "number", ""),
            Column::new("first", one, ""),
            Column::new("second", other, ""),
            Column::new("difference", "differ", ""),
            Column::new("first_stays", "stays", one),
            Column::new("second_stays", "stays", other),
            Column::new("half_width", "+/-", ""),
            Column::new("tolerance", "may be", ""),
            Column::new("low", "low", ""),
            Column::new("high", "high", ""),
        ],
        rows: numbers.iter().map(row).collect(),
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "slope",
    about: "Runs up a slope against those down it: what one setting serves, and what stays",
    lacks: "run that says which way it went",
    advice: "add `slope = \"3 %\"` (uphill) to a [[trip-run]], [[wheel-run]] or [[speed-run]], and measure it downhill too",
    has_readings: false,
    runs: &[],
    warnings: &[&SLOPE_UNEVEN, &SLOPE_SIGNS, &SLOPE_NOT_SAID],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }

    /// Trip runs that part by their way need no other cause, and what serves both ways is said here.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        let mut outcome = calibrate(self, common);
        let apart = |one: &Outcome| one.warnings.iter().any(|w| w.kind.code == RUNS_APART.code);
        let own = |one: &&mut Outcome| one.calculation == trip::CALCULATION && apart(one);
        if let Some(part) = trips_part(self, common)
            && let Some(trip) = so_far.outcomes.iter_mut().find(own)
        {
            trip.warnings.retain(|warning| warning.kind.code != RUNS_APART.code);
            // One setting has one row: what serves both ways goes where the trip scale stands.
            outcome.settings.retain(|setting| setting.name != part.name);
            if matches!(part.verdict, Verdict::Change(_)) {
                outcome.next = None;
            }
            for setting in &mut trip.settings {
                setting.exact = part.exact.clone();
                setting.set = part.set.clone();
                setting.verdict = part.verdict.clone();
            }
            trip.next = trip.setting_to_change();
        }
        so_far.outcomes.push(outcome);
        Ok(())
    }
}
