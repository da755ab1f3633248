//! The changeover: where the seeds fall for given timers, what timers give the wanted alley,
//! what the machine cannot do, and which one timer to change after looking at the ground.

mod advice;
mod motion;
mod start;
#[cfg(test)]
mod tests;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use crate::quantity::{
    CellRate, Decimal, Duration, Length, MeasureUnit, PerTime, Speed, TimeUnit, Unit, brief,
};
use crate::working::Value;

pub use super::changeover::advice::{ADVICE, Observed, advise};
pub use super::changeover::motion::{
    Motion, PhaseScatter, Prediction, Sweep, Timers, predict, run_out_needed, strip,
};
pub use super::changeover::start::{
    Start, StartError, Wish, boost_needed, least_alley, starting_values, top_speed,
};

use super::jitter::Seeds;
use super::speed_law::fall_time;
use crate::outcome::cautions::CHANGEOVER;
use crate::outcome::setting::Setting;
use crate::outcome::warning::{
    BOOST_BELOW_GROUND, BUNCHED, CARRY_OVER, NEW_SEED_SWEPT, SHORT_CLEAN_OUT, STRAYS,
};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Bars, Calculation, Cell, ChangeoverPicture, Column, Next, Outcome, Phase, Picture,
    SettingResult, Table, Verdict,
};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "changeover", title: "Changeover" };

/// Shortest clean-out of common practice, in seconds. Common practice, no source.
pub const USUAL_CLEAN_OUT: f64 = 1.5;
/// Shortest clean-out at all, in seconds. Common practice, no source.
pub const LEAST_CLEAN_OUT: f64 = 1.0;

/// Name of the predicted width's error.
const WIDTH_OFF: &str = "alley width against wanted";

macro_rules! timers {
    ($($name:ident $key:literal $words:literal $meaning:literal;)+) => {
        $(#[doc = $meaning]
        pub static $name: Setting = Setting { key: $key, name: $words, meaning: $meaning };)+
    };
}

timers! {
    HAND_OVER "hand-over" "hand-over" "The time in which a new lot falls from its holder to the waiting place above the meter.";
    CLEAN_OUT "clean-out" "clean-out" "The time in which old seed is removed from the meter.";
    RUN_OUT "run-out" "run-out" "The time after clean-out in which the plate goes on at ground rate.";
    FILL "fill" "fill" "The time in which the boost brings new seed round to the release point.";
    SWEEP_AFTER "sweep.after" "sweep start" "When the sweep starts after the trip.";
    SWEEP_FOR "sweep.for" "sweep length" "How long stray seeds are knocked off the plate.";
}

/// How fast the boost turns the plate.
#[derive(Clone, Debug)]
pub enum Boost {
    /// Cells in a time.
    Cells(CellRate),
    /// Plate turns in a time.
    Turns(PerTime),
}

/// How long a seed falls.
#[derive(Clone, Debug)]
pub enum Fall {
    /// As measured.
    Time(Duration),
    /// From its height, without drag: the least it can be.
    Height(Length),
}

/// The timers as they are set.
#[derive(Clone, Debug)]
pub struct Present {
    /// Clean-out.
    pub clean_out: Duration,
    /// Run-out.
    pub run_out: Duration,
    /// Fill.
    pub fill: Duration,
    /// Hand-over, where known.
    pub hand_over: Option<Duration>,
}

/// The sweep as it is set.
#[derive(Clone, Debug)]
pub struct SweepSetting {
    /// When it starts after the trip and how long it works, where that has been set before.
    pub timing: Option<(Duration, Duration)>,
    /// Cells from the sweep to release.
    pub cells_before_release: Decimal,
}

/// What the changeover calculations need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The timers, where they have been set before.
    pub present: Option<Present>,
    /// The hand-over as set, or as timed in the shop where no timer has been set.
    pub hand_over: Option<Duration>,
    /// The sweep, where there is one.
    pub sweep: Option<SweepSetting>,
    /// How fast the boost turns the plate.
    pub boost: Boost,
    /// When the old seed is gone from pick-up.
    pub old_seed_gone: Duration,
    /// From the end of clean-out until new seed is at pick-up.
    pub new_seed_at_pick_up: Duration,
    /// How long a seed falls, where known.
    pub fall: Option<Fall>,
    /// Cells from pick-up to release.
    pub carry: Decimal,
    /// Cells of the plate.
    pub cells: Decimal,
    /// Ground speed.
    pub speed: Speed,
    /// The seeds.
    pub seeds: Seeds,
    /// The alley that is wanted.
    pub alley: Length,
    /// The smallest change a timer takes.
    pub step: Option<Duration>,
    /// How far the width may be off.
    pub width_tolerance: Option<Length>,
    /// What was seen on the ground, latest last.
    pub runs: Vec<Observed>,
    /// Alley widths taped in alley runs, where the changeover runs have none.
    pub widths: Vec<Vec<Value>>,
}

fn second() -> Unit {
    Unit::from(TimeUnit::Second)
}

fn time(name: &'static str, duration: &Duration) -> Value {
    Value::measured(name, duration, second())
}

impl Inputs {
    /// The rates and the machine's own times, with timers of zero.
    fn machine(&self, common: &Common) -> Timers<Value> {
        let units = &common.units;
        let none = || Value::found("not set", 0.0, second(), "not set");
        Timers {
            speed: units.speed("ground speed", &self.speed),
            spacing: self.seeds.spacing(units),
            boost: self.boost_rate(),
            carry: Value::typed("carry", self.carry, Unit::ONE),
            clean_out: none(),
            run_out: none(),
            fill: none(),
            old_seed_gone: time("old seed gone", &self.old_seed_gone),
            new_seed_at_pick_up: time("new seed at pick-up", &self.new_seed_at_pick_up),
            sweep: None,
            fall: self.fall_time(common),
        }
    }

    fn boost_rate(&self) -> Value {
        let per_second = second().to_the(-1);
        match &self.boost {
            Boost::Cells(rate) => Value::measured("boost rate", rate, per_second),
            Boost::Turns(rate) => (Value::measured("boost, plate turns", rate, per_second)
                * Value::typed("cells", self.cells, Unit::ONE))
            .named("boost rate"),
        }
    }

    fn fall_time(&self, common: &Common) -> Value {
        match &self.fall {
            Some(Fall::Time(duration)) => time("fall time", duration),
            Some(Fall::Height(height)) => {
                let height = common.units.length("drop height", height);
                fall_time(&height, &common.units).named("fall time, free fall")
            }
            None => Value::found("fall time", 0.0, second(), "not known, taken as none"),
        }
    }

    /// Cells from the sweep to release; the carry, and so no sweep at all, where there is none.
    fn sweep_cells(&self) -> Value {
        let cells = self.sweep.as_ref().map_or(self.carry, |sweep| sweep.cells_before_release);
        Value::typed("cells from sweep to release", cells, Unit::ONE)
    }

    /// The changeover as it is set.
    #[must_use]
    pub fn timers(&self, common: &Common) -> Option<Timers<Value>> {
        let present = self.present.as_ref()?;
        Some(Timers {
            clean_out: time("clean-out", &present.clean_out),
            run_out: time("run-out", &present.run_out),
            fill: time("fill", &present.fill),
            sweep: self.sweep.as_ref().and_then(|sweep| {
                let (after, length) = sweep.timing.as_ref()?;
                Some(Sweep {
                    start: time("sweep starts", after),
                    length: time("sweep works for", length),
                    cells_before_release: self.sweep_cells(),
                })
            }),
            ..self.machine(common)
        })
    }

    /// Whether there is anything to advise on: timers, and something seen or taped of them.
    #[must_use]
    pub fn was_looked_at(&self) -> bool {
        self.present.is_some() && (!self.runs.is_empty() || !self.widths.is_empty())
    }

    /// What is wished of starting values.
    #[must_use]
    pub fn wish(&self, common: &Common) -> Wish {
        Wish {
            machine: numbers(&self.machine(common)),
            alley: self.alley.value_in(common.units.length),
            step: self.step.as_ref().map_or(0.01, |step| step.value_in(TimeUnit::Second)),
            sweep_cells: self.sweep.as_ref().map(|sweep| sweep.cells_before_release.value()),
        }
    }
}

/// The same timers as plain numbers.
#[must_use]
pub fn numbers(timers: &Timers<Value>) -> Timers<f64> {
    Timers {
        speed: timers.speed.number(),
        spacing: timers.spacing.number(),
        boost: timers.boost.number(),
        carry: timers.carry.number(),
        clean_out: timers.clean_out.number(),
        run_out: timers.run_out.number(),
        fill: timers.fill.number(),
        old_seed_gone: timers.old_seed_gone.number(),
        new_seed_at_pick_up: timers.new_seed_at_pick_up.number(),
        sweep: timers.sweep.as_ref().map(|sweep| Sweep {
            start: sweep.start.number(),
            length: sweep.length.number(),
            cells_before_release: sweep.cells_before_release.number(),
        }),
        fall: timers.fall.number(),
    }
}

/// The ground that the present timers make, or starting values where there are none, and what
/// speed does to the least alley.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = CHANGEOVER.to_vec();
    let start = start::propose(inputs, common);
    match inputs.timers(common) {
        Some(timers) => {
            describe(inputs, common, &timers, &mut outcome);
            worth(inputs, common, &numbers(&timers), &mut outcome);
            start::list(inputs, common, &start, &mut outcome);
            if !inputs.was_looked_at() {
                outcome.next = Some(look_at_the_ground(inputs, common, &outcome));
            }
        }
        None => {
            start::set(inputs, common, &start, &mut outcome);
            if let Ok(start) = &start {
                worth(inputs, common, &start.timers, &mut outcome);
            }
        }
    }
    start::what_if(inputs, common, &mut outcome);
    outcome
}

/// What to do with timers that nobody has looked at yet.
fn look_at_the_ground(_inputs: &Inputs, common: &Common, outcome: &Outcome) -> Next {
    let off = outcome.values.iter().find(|value| value.name() == Some(WIDTH_OFF));
    let off = off.map_or(0.0, Value::number);
    let way = if off > 0.0 { "too wide" } else { "too narrow" };
    let length = common.units.length;
    Next::only(
        CALCULATION,
        format!(
            "by the machine times of the sheet the alley comes out {} {length} {way}; plant a \
             test range with these timers, look at it, and type what you see into a \
             [[changeover-run]]",
            brief(off.abs())
        ),
    )
}

/// The prediction of one set of timers: values, remarks, picture.
fn describe(inputs: &Inputs, common: &Common, timers: &Timers<Value>, outcome: &mut Outcome) {
    let ground = predict(timers);
    let units = &common.units;
    let wanted = units.length("alley wanted", &inputs.alley);
    let off = (&ground.width - &wanted).named(WIDTH_OFF);
    outcome.values.extend([
        ground.width.clone(),
        off,
        ground.centre.clone(),
        ground.bunched_at_end.clone(),
        ground.bunched_at_start.clone(),
    ]);
    if inputs.sweep.is_some() {
        outcome.values.extend([
            ground.swept_old.clone(),
            ground.swept_new.clone(),
            ground.strays.clone(),
        ]);
    }
    scatter(&ground, inputs, common, outcome);
    remark(timers, &ground, outcome);
    outcome.pictures.push(Picture::Changeover(picture(inputs, common, timers, &ground)));
}

/// What the plate's random phase does to the edges even with perfect settings.
fn scatter(ground: &Prediction<Value>, _inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let (last, first) = (&ground.spacing_at_last, &ground.spacing_at_first);
    let twelve = || Value::constant(12.0);
    // Scatter of the two edges, and what ties them: both hang on one phase of the plate.
    let between = &ground.last_cell - &ground.first_cell;
    let whole = Value::constant(-between.number().floor());
    let fraction = (between + whole).named("part of a cell between the edges");
    let one = || Value::constant(1.0);
    let product = fraction.to_the(3) / Value::constant(6.0)
        + (one() + &fraction) * (one() - fraction.to_the(2)) / Value::constant(2.0)
        - (one() - fraction.to_the(3)) / Value::constant(3.0);
    let tied = (product - one() / Value::constant(4.0)).named("how the two edges go together");
    let squares = (last.to_the(2) + first.to_the(2)) / twelve();
    let both = Value::constant(2.0) * last * first * &tied;
    let length = Unit::from(common.units.length);
    let root = |variance: Value, name: &'static str| {
        if variance.number() > 1e-12 {
            variance.root().named(name)
        } else {
            Value::found(name, 0.0, length, "the phase makes no difference")
        }
    };
    outcome.values.extend([
        (last / twelve().root()).named("SD of the last seed"),
        (first / twelve().root()).named("SD of the first seed"),
        root(&squares + &both, "SD of the alley width"),
        root((squares - both) / Value::constant(4.0), "SD of the middle of the alley"),
    ]);
}

fn remark(timers: &Timers<Value>, ground: &Prediction<Value>, outcome: &mut Outcome) {
    let warnings = &mut outcome.warnings;
    let clean_out = timers.clean_out.number();
    if clean_out < USUAL_CLEAN_OUT {
        let least = if clean_out < LEAST_CLEAN_OUT { "1.0 s at the very least" } else { "1.5 s" };
        warnings.push(SHORT_CLEAN_OUT.with(format!(
            "the clean-out of {} s is shorter than common practice ({least})",
            brief(clean_out)
        )));
    }
    if timers.old_seed_gone.number() > clean_out + timers.new_seed_at_pick_up.number() {
        warnings.push(CARRY_OVER.with(format!(
            "old seed is at pick-up until {} s, and new seed arrives at {} s: old seed gets into \
             the new plot",
            brief(timers.old_seed_gone.number()),
            brief(clean_out + timers.new_seed_at_pick_up.number())
        )));
    }
    if timers.boost.number() < ground.motion.ground.number() {
        warnings.push(BOOST_BELOW_GROUND.with(format!(
            "the boost of {} is slower than the ground drive of {}: it does nothing",
            in_words(&timers.boost),
            in_words(&ground.motion.ground)
        )));
    }
    let whole = |value: &Value| value.number().max(0.0);
    let spaced = timers.speed.number() / ground.motion.boost.number();
    for (seeds, place, mend) in [
        (whole(&ground.bunched_at_end), "end", "a longer run-out lets them fall at ground rate"),
        (whole(&ground.bunched_at_start), "start", "a shorter fill ends the boost before them"),
    ] {
        if seeds > 0.5 {
            warnings.push(BUNCHED.with(format!(
                "about {} seeds are dropped under boost at the plot's {place}, bunched over {} \
                 {}; {mend}",
                brief(seeds.round()),
                brief(seeds * spaced),
                ground.width.unit_text()
            )));
        }
    }
    if whole(&ground.strays) > 0.5 {
        warnings.push(STRAYS.with(format!(
            "about {} old seeds pass behind the sweep and fall into the alley",
            brief(ground.strays.number().round())
        )));
    }
    if whole(&ground.swept_new) > 0.5 {
        warnings.push(NEW_SEED_SWEPT.with(format!(
            "the sweep takes off about {} seeds of the new lot",
            brief(ground.swept_new.number().round())
        )));
    }
}

/// What a step of each timer is worth on the ground at this speed.
fn worth(inputs: &Inputs, common: &Common, timers: &Timers<f64>, outcome: &mut Outcome) {
    let step = match &inputs.step {
        Some(step) => time("timer step", step),
        None => Value::exact("a tenth of a second", 0.1, second()),
    };
    let along = common.units.speed("ground speed", &inputs.speed);
    let travel = (along * &step).named("travel in one step of a timer");
    let base = predict(timers);
    let with = |change: &dyn Fn(&mut Timers<f64>)| {
        let mut changed = timers.clone();
        change(&mut changed);
        let then = predict(&changed);
        (then.width - base.width, then.centre - base.centre)
    };
    let one = step.number();
    let unit = common.units.length.symbol();
    let column = |key: String, head: &str| Column { key, head: head.into(), unit: unit.into() };
    let mut rows: Vec<(&str, (f64, f64))> = vec![
        ("clean-out", with(&|timers| timers.clean_out += one)),
        ("run-out", with(&|timers| timers.run_out += one)),
        ("fill", with(&|timers| timers.fill += one)),
    ];
    if timers.sweep.is_some() {
        let sweep = |change: fn(&mut Sweep<f64>, f64)| {
            with(&|timers| timers.sweep.iter_mut().for_each(|sweep| change(sweep, one)))
        };
        rows.push(("sweep start", sweep(|sweep, one| sweep.start += one)));
        rows.push(("sweep length", sweep(|sweep, one| sweep.length += one)));
    }
    outcome.values.push(travel);
    outcome.tables.push(Table {
        key: "timer-worth",
        title: format!("What one step more ({}) of each timer does", inputs.step_text()),
        columns: vec![
            Column { key: "timer".into(), head: "timer".into(), unit: String::new() },
            column(format!("width_{unit}"), "alley width"),
            column(format!("centre_{unit}"), "middle ahead"),
        ],
        rows: rows
            .into_iter()
            .map(|(name, (width, centre))| {
                vec![Cell::Text(name.into()), Cell::Number(width, 2), Cell::Number(centre, 2)]
            })
            .collect(),
    });
}

impl Inputs {
    fn step_text(&self) -> String {
        self.step.as_ref().map_or_else(|| "0.1 s".into(), ToString::to_string)
    }
}

/// The timeline over the strip of seeds, on one axis: where the release point is when.
fn picture(
    _inputs: &Inputs,
    common: &Common,
    timers: &Timers<Value>,
    ground: &Prediction<Value>,
) -> ChangeoverPicture {
    let plain = numbers(timers);
    let end = ground.motion.boost_ends.number();
    let clean = plain.clean_out;
    let phase = |name: &'static str, from: f64, to: f64| Phase { name, from, to };
    let mut phases = vec![
        phase("clean-out", 0.0, clean),
        phase("run-out", clean, clean + plain.run_out),
        phase("fill", clean + plain.run_out, end),
    ];
    if let Some(sweep) = &plain.sweep {
        phases.push(phase("sweep", sweep.start, sweep.start + sweep.length));
    }
    ChangeoverPicture {
        unit: common.units.length.to_string(),
        speed: plain.speed,
        fall: plain.fall,
        phases,
        seeds: strip(&plain, 0.5, 10, 10),
        centre: ground.centre.number(),
    }
}

/// A timer with its change.
fn timer_result(
    setting: &'static Setting,
    now: Option<Value>,
    set: Value,
    verdict: Verdict,
) -> SettingResult {
    SettingResult {
        name: setting.name.into(),
        key: Some(setting.key),
        now,
        exact: set.clone(),
        set,
        verdict,
    }
}

/// Least alley by speed, for the picture.
fn bars(rows: Vec<(String, f64)>, limit: f64, unit: &str) -> Bars {
    Bars {
        title: "Least alley by ground speed (| the alley wanted)".into(),
        unit: unit.into(),
        limit,
        rows,
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "changeover",
    about: "Changeover: where the seeds fall for given timers, and timers to start with",
    lacks: "[changeover]",
    advice: "add [changeover] with `boost`, `old-seed-gone` and `new-seed-at-pick-up`; the timers may be left out to get values to start with",
    has_readings: false,
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        let advice = self.was_looked_at().then(|| advise(self, common));
        Ok([calibrate(self, common)].into_iter().chain(advice).collect())
    }

    /// Values to start with where no timer was ever set; advice where one was, and was looked at.
    /// A changeover that was only thought out is worth a page where there is nothing else.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        let is_alone =
            so_far.outcomes.is_empty() && !so_far.has_any(&["rows", "trip", "alley", "passes"]);
        so_far.outcomes.extend(if self.was_looked_at() {
            Some(advise(self, common))
        } else {
            (self.present.is_none() || is_alone).then(|| calibrate(self, common))
        });
        Ok(())
    }
}
