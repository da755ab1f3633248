//! The speed law: how the alley moves with ground speed.
//!
//! Whatever takes a time between the trip and the seed on the ground moves the alley ahead by
//! time × speed; whatever is a distance does not depend on speed. So the shift of the alley
//! against its mark is a straight line: shift = distance part + latency × speed. Alley runs at
//! two or more speeds, brought to the setback of now, give both parts, and from them the setback
//! for any speed between.

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::sprockets::SearchError;
use crate::quantity::{Length, MeasureUnit, Speed, TimeUnit, Unit, brief};
use crate::statistics::{Line, Prediction, Ranges};
use crate::working::Value;

use super::alley::{AlleyRun, centre_of, mark_line};
use super::judgement::{Stands, stands};
use crate::outcome::Heading;
use crate::outcome::cautions::ON_THE_RANGE;
use crate::outcome::setting::{Corrected, Correction, judged, on_step};
use crate::outcome::warning::{
    BELOW_FALL_TIME, BELOW_ZERO, MIXED_SPEED_HEADINGS, OUTSIDE_SPEEDS, SCATTER_SMALL, TWO_SPEEDS,
};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Calculation, Cell, Column, Curve, CurvePoint, Decision, MovingSetting, Outcome, Picture, Table,
    Verdict,
};
use crate::quantity::same_but_for_writing;
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "setback-at", title: "Speed law" };

/// Standard gravity, 9.80665 m/s² exactly (NIST SP 811, B.8).
const GRAVITY: f64 = 9.806_65;
/// Alleys below which ones that all lie on a line decide nothing, and a change says how few they
/// are. Common practice, no source.
const ENOUGH_ALIKE: f64 = 5.0;
/// Rows of the cab table at the most.
const MOST_ROWS: usize = 60;

/// Alleys measured at one speed.
#[derive(Clone, Debug)]
pub struct SpeedAlleys {
    /// Ground speed of the run.
    pub speed: Speed,
    /// The alleys.
    pub run: AlleyRun,
}

/// What the speed law needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Runs at two or more speeds.
    pub runs: Vec<SpeedAlleys>,
    /// The alley that is wanted.
    pub alley: Length,
    /// The setback, where the sheet says how it works.
    pub setback: Option<MovingSetting>,
    /// How far the middle may lie from its mark.
    pub tolerance: Option<Length>,
    /// The trial's own speed, which has a row of the cab table.
    pub trial: Option<Speed>,
    /// Height that seed falls, for comparison with the latency.
    pub drop_height: Option<Length>,
}

/// Speeds of a cab table.
#[derive(Clone, Debug)]
pub struct Cab {
    /// First row.
    pub from: Speed,
    /// Last row.
    pub to: Speed,
    /// From row to row.
    pub step: Speed,
}

/// The line through the measured alleys.
struct Law {
    line: Line,
    /// Speeds that were driven, in working lengths per second, lowest first.
    speeds: Vec<Value>,
    mixed_headings: bool,
}

/// Time of a free fall without drag: sqrt(2 h / g), a lower bound for light seed.
///
/// ```
/// use alleytrue::calculations::speed_law::fall_time;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// // 1 m takes 0.4516 s at g = 9.80665 m/s2 (arithmetic).
/// let height = Units::METRIC.length("drop height", &Length::parse("1 m", None)?);
/// assert!((fall_time(&height, &Units::METRIC).number() - 0.4516).abs() < 5e-5);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn fall_time(height: &Value, units: &Units) -> Value {
    let per_second_squared = Unit::from(TimeUnit::Second).to_the(-2);
    let metre = Unit::from(crate::quantity::LengthUnit::Metre);
    let length = Unit::from(units.length);
    let lengths_per_metre = metre.factor_to(length).map_or(f64::NAN, |ratio| ratio.value());
    let gravity = Value::exact("g", GRAVITY * lengths_per_metre, length.times(per_second_squared));
    (Value::constant(2.0) * height / gravity).root()
}

impl Inputs {
    fn law(&self, common: &Common) -> Option<Law> {
        let units = &common.units;
        let wanted = units.length("alley wanted", &self.alley);
        let mark_line = self.mark_line(common, &wanted);
        let mut points = Vec::new();
        for one in &self.runs {
            let speed = units.speed_of_run(&one.speed);
            for alley in &one.run.sides(units) {
                let centre = centre_of(alley, &wanted)?;
                let centre = match (&mark_line, one.run.heading) {
                    (Some(off), Some(Heading::Out)) => centre - off,
                    (Some(off), Some(Heading::Home)) => centre + off,
                    _ => centre,
                };
                points.push((speed.clone(), centre));
            }
        }
        let mut speeds: Vec<Value> = points.iter().map(|(speed, _)| speed.clone()).collect();
        speeds.sort_by(|a, b| a.number().total_cmp(&b.number()));
        speeds.dedup_by(|a, b| same_but_for_writing(a.number(), b.number()));
        // The error of the mark line is a number more that was taken from the same alleys.
        let taken = u32::from(mark_line.is_some());
        let line = Line::fit_after("speed", "alley centre", &points, taken)?;
        Some(Law { line, speeds, mixed_headings: mark_line.is_none() && self.headings() > 1 })
    }

    fn headings(&self) -> usize {
        let mut headings: Vec<_> = self.runs.iter().map(|one| one.run.heading).collect();
        headings.sort_unstable();
        headings.dedup();
        headings.len()
    }

    /// The error of the mark line, where every speed was driven both ways: it would tilt the
    /// line if one heading were driven faster than the other. Taken speed by speed and averaged,
    /// so that headings with more alleys at one speed than at another don't bring speed into it.
    fn mark_line(&self, common: &Common, wanted: &Value) -> Option<Value> {
        let driven = |heading: Heading| {
            let runs = self.runs.iter().filter(move |one| one.run.heading == Some(heading));
            let mut speeds: Vec<f64> = runs.map(|one| one.speed.base()).collect();
            speeds.sort_unstable_by(f64::total_cmp);
            speeds.dedup_by(|a, b| same_but_for_writing(*a, *b));
            speeds
        };
        let (out, home) = (driven(Heading::Out), driven(Heading::Home));
        let both_ways = out.len() == home.len()
            && out.iter().zip(&home).all(|(a, b)| same_but_for_writing(*a, *b));
        if !both_ways || self.runs.iter().any(|one| one.run.heading.is_none()) {
            return None;
        }
        let each: Option<Vec<Value>> =
            out.iter().map(|speed| self.mark_line_at(common, *speed, wanted)).collect();
        crate::statistics::mean("error of the mark line", &each?)
    }

    /// The error of the mark line by the alleys of one speed.
    fn mark_line_at(&self, common: &Common, speed: f64, wanted: &Value) -> Option<Value> {
        let is_at = |one: &&SpeedAlleys| same_but_for_writing(one.speed.base(), speed);
        let at = self.runs.iter().find(is_at)?;
        let at = at.speed.to_string();
        let mean = |heading: Heading| {
            let runs =
                self.runs.iter().filter(is_at).filter(|one| one.run.heading == Some(heading));
            let centres: Option<Vec<Value>> = runs
                .flat_map(|one| one.run.sides(&common.units))
                .map(|alley| centre_of(&alley, wanted))
                .collect();
            let subject = format!("alley centre, {}, {at}", heading.word());
            crate::statistics::mean(&subject, &centres?)
        };
        Some(
            mark_line(&mean(Heading::Out)?, &mean(Heading::Home)?)
                .named(format!("error of the mark line, {at}")),
        )
    }

    /// The setback that centres the alley where the law says it lies.
    fn setback_at(&self, common: &Common, prediction: &Prediction) -> Option<Value> {
        self.setback.as_ref().map(|setback| setback.moving_back(&prediction.fit, &common.units))
    }
}

/// The law itself: both parts with their standard errors, and a table for the cab.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let Some(law) = inputs.law(common) else { return outcome };
    report(inputs, common, &law, &mut outcome);
    let rows = default_rows(inputs, &law, &common.units);
    list(inputs, common, &law, &rows, &mut outcome);
    outcome
}

/// The setback for one speed, and a table for the cab.
#[must_use]
pub fn setback_at(inputs: &Inputs, common: &Common, speed: &Speed, cab: Option<&Cab>) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let Some(law) = inputs.law(common) else { return outcome };
    report(inputs, common, &law, &mut outcome);
    let along = units.speed("speed asked for", speed);
    let prediction = law.line.predict(&speed.to_string(), &along, common.confidence);
    outcome.values.push(prediction.fit.clone());
    if let Some(ranges) = known(&prediction) {
        let ends = [&ranges.mean.low, &ranges.mean.high, &ranges.next.low, &ranges.next.high];
        outcome.values.extend(ends.map(Clone::clone));
    }
    if !prediction.inside {
        outcome.warnings.push(OUTSIDE_SPEEDS.with(format!(
            "{speed} lies outside the speeds that were driven ({}); the line is stretched",
            span(&law, units)
        )));
    }
    if let Some(corrected) = setting(inputs, common, &law, &prediction, speed) {
        let Corrected { result, left, warnings } = corrected;
        outcome.values.extend(left);
        outcome.warnings.extend(warnings);
        if result.set.number() < 0.0 {
            outcome.warnings.push(BELOW_ZERO.with(format!(
                "the setback for {speed} would have to be {}, below zero",
                in_words(&result.set)
            )));
        }
        outcome.settings.push(result);
    }
    let rows = cab.map_or_else(|| default_rows(inputs, &law, units), |cab| cab_rows(cab, units));
    list(inputs, common, &law, &rows, &mut outcome);
    outcome.next = outcome.setting_to_change();
    outcome
}

/// The setback for one speed: what it has to take out is held against the tolerance by the rule
/// for every setting, and put on the step by the same.
fn setting(
    inputs: &Inputs,
    common: &Common,
    law: &Law,
    prediction: &Prediction,
    speed: &Speed,
) -> Option<Corrected> {
    let (setback, units) = (inputs.setback.as_ref()?, &common.units);
    let exact = inputs.setback_at(common, prediction)?;
    let tolerance =
        inputs.tolerance.as_ref().map(|length| units.length("centre tolerance", length));
    let half = known(prediction).map(|ranges| &ranges.mean.half_width);
    let words = match half {
        Some(half) => format!("for {speed}, give or take {}", in_words(half)),
        None => format!("for {speed}; the scatter is not known"),
    };
    let decision = match half {
        // Beyond the speeds that were driven, what scatter does grows without an end in sight.
        None if !prediction.inside => {
            Decision::Measure(format!("{words}: measure alleys at that speed"))
        }
        half => decision(&prediction.fit, half, law, tolerance.as_ref(), &words),
    };
    let few = law.line.count.number() < ENOUGH_ALIKE;
    let mut corrected = judged(Correction {
        setting: setback.setting,
        now: setback.now(units),
        step: setback.step(units),
        left: &|held| setback.left(&exact, held),
        tolerance: tolerance.as_ref(),
        sure_to: half.map_or(0.0, Value::number),
        decision: &decision,
        few: few.then(|| format!("by {} alley centres only", brief(law.line.count.number()))),
        exact: exact.clone(),
    });
    let verdict = &mut corrected.result.verdict;
    if let (Decision::Change, Verdict::Keep(why) | Verdict::Change(why)) = (&decision, verdict) {
        *why = format!("{words}: {why}");
    }
    Some(corrected)
}

/// What a shift at one speed allows, given how far it may be off.
fn decision(
    shift: &Value,
    half: Option<&Value>,
    law: &Law,
    tolerance: Option<&Value>,
    words: &str,
) -> Decision {
    let count = law.line.count.number();
    let Some(half) = half.map(Value::number) else {
        return match (count >= ENOUGH_ALIKE, shift.number() == 0.0) {
            (true, true) => Decision::Keep(words.into()),
            (true, false) => Decision::Change,
            (false, _) => Decision::Measure(format!("{words}: measure more alleys")),
        };
    };
    let error = shift.number().abs();
    let Some(tolerance) = tolerance else {
        return if error <= half {
            Decision::Keep(format!("{words}: not told apart from the present one"))
        } else {
            Decision::Change
        };
    };
    let typed = tolerance.typed_text().unwrap_or_default();
    match stands(error, half, tolerance.number()) {
        Stands::Inside => Decision::Keep(format!("{words}: inside the tolerance of {typed}")),
        Stands::Off => Decision::Change,
        Stands::Unsure => Decision::Measure(format!(
            "{words}: {} can't be told from the tolerance of {typed}: measure more alleys",
            in_words(shift)
        )),
    }
}

/// How sure a prediction is; not known where every alley lies on the line, since they can't all.
fn known(prediction: &Prediction) -> Option<&Ranges> {
    prediction.ranges.as_ref().filter(|ranges| ranges.next.half_width.number() > 0.0)
}

fn span(law: &Law, units: &Units) -> String {
    let gauge = |value: &Value| brief(units.gauge(value).number());
    match (law.speeds.first(), law.speeds.last()) {
        (Some(low), Some(high)) => {
            format!("{} to {} {}", gauge(low), gauge(high), units.speed)
        }
        _ => String::new(),
    }
}

fn report(inputs: &Inputs, common: &Common, law: &Law, outcome: &mut Outcome) {
    let distance = law.line.intercept.clone().named("distance part");
    let latency = law.line.slope.clone().named("latency");
    outcome.values.push(distance);
    let scatter = law.line.scatter.as_ref().filter(|found| found.residual_sd.number() > 0.0);
    outcome.values.extend(scatter.map(|scatter| scatter.intercept_error.clone()));
    outcome.values.push(latency.clone());
    outcome.values.extend(scatter.map(|scatter| scatter.slope_error.clone()));
    if let Some(scatter) = &law.line.scatter {
        outcome.values.push(scatter.residual_sd.clone());
    }
    if let (Some(_), None) = (&law.line.scatter, scatter) {
        outcome.warnings.push(SCATTER_SMALL.with(format!(
            "all {} alley centres lie on the line: they tell nothing of their scatter, which \
             can't be none",
            brief(law.line.count.number())
        )));
    }
    if law.speeds.len() == 2 {
        outcome.warnings.push(TWO_SPEEDS.with(format!(
            "the law rests on two speeds ({}); two points always lie on a line",
            span(law, &common.units)
        )));
    }
    if law.mixed_headings {
        outcome.warnings.push(MIXED_SPEED_HEADINGS.with(
            "some speeds were driven one way only, so an error of the mark line may tilt the law",
        ));
    }
    if let Some(height) = &inputs.drop_height {
        let height = common.units.length("drop height", height);
        let fall = fall_time(&height, &common.units).named("time of free fall");
        let beyond = (&latency - &fall).named("latency beyond free fall");
        if beyond.number() < 0.0 {
            outcome.warnings.push(BELOW_FALL_TIME.with(format!(
                "the latency of {} is shorter than the free fall of {}",
                in_words(&latency),
                in_words(&fall)
            )));
        }
        outcome.values.extend([fall, beyond]);
    }
}

/// Round speeds over the range that was driven, in the unit of the gauge, and the trial's own where
/// it lies in that range.
fn default_rows(inputs: &Inputs, law: &Law, units: &Units) -> Vec<f64> {
    let gauge = |value: Option<&Value>| value.map_or(0.0, |v| units.gauge(v).number());
    let (low, high) = (gauge(law.speeds.first()), gauge(law.speeds.last()));
    let step = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0]
        .into_iter()
        .find(|step| (high - low) / step <= 12.0)
        .unwrap_or(10.0);
    let mut all =
        rows((low / step + 1e-9).floor() * step, (high / step - 1e-9).ceil() * step, step);
    let trial = inputs.trial.as_ref().map(|speed| speed.value_in(units.speed));
    let is_new = |trial: &f64| {
        low <= *trial && *trial <= high && !all.iter().any(|row| same_but_for_writing(*row, *trial))
    };
    if let Some(trial) = trial.filter(is_new) {
        all.push(trial);
        all.sort_unstable_by(f64::total_cmp);
    }
    all
}

fn cab_rows(cab: &Cab, units: &Units) -> Vec<f64> {
    let number = |speed: &Speed| speed.value_in(units.speed);
    rows(number(&cab.from), number(&cab.to), number(&cab.step))
}

#[allow(clippy::cast_precision_loss)] // at most MOST_ROWS rows
fn rows(from: f64, to: f64, step: f64) -> Vec<f64> {
    let row = |index: usize| crate::quantity::clean(from + step * index as f64);
    (0..MOST_ROWS).map(row).take_while(|speed| *speed <= to + step * 1e-6).collect()
}

/// One row of the cab table.
struct CabRow {
    /// On the speed gauge.
    speed: f64,
    prediction: Prediction,
    exact: Value,
    /// On the controller's step.
    set: Value,
}

/// The setback at each speed; none where the sheet does not say how the setback works.
fn cab_table(inputs: &Inputs, common: &Common, law: &Law, speeds: &[f64]) -> Vec<CabRow> {
    let Some(setback) = &inputs.setback else { return vec![] };
    let units = &common.units;
    let step = setback.step.as_ref().map(|step| units.length("step", step));
    let row = |speed: &f64| {
        let along = units.along(*speed);
        let prediction = law.line.predict("this speed", &along, common.confidence);
        let exact = inputs.setback_at(common, &prediction)?;
        let set = step.as_ref().map_or(exact.clone(), |step| on_step("setback", &exact, step));
        Some(CabRow { speed: *speed, prediction, exact, set })
    };
    speeds.iter().filter_map(row).collect()
}

/// The setback by speed as a table, and the same rows as a curve.
fn list(inputs: &Inputs, common: &Common, law: &Law, speeds: &[f64], outcome: &mut Outcome) {
    let rows = cab_table(inputs, common, law, speeds);
    if rows.is_empty() {
        return;
    }
    outcome.pictures.extend(curve(common, &rows).map(Picture::Curve));
    outcome.tables.push(table(common, &rows));
}

fn table(common: &Common, rows: &[CabRow]) -> Table {
    let units = &common.units;
    let length = units.length.symbol();
    let speed_key = units.speed.symbol().replace('/', "_per_");
    let columns = vec![
        Column::new(format!("speed_{speed_key}"), "speed", units.speed.symbol()),
        Column::new(format!("setback_{length}"), "setback", length),
        Column::new(format!("mean_give_or_take_{length}"), "mean +/-", length),
        Column::new(format!("next_alley_give_or_take_{length}"), "next alley +/-", length),
        Column::new("measured_range", "", ""),
    ];
    let rows = rows
        .iter()
        .map(|row| {
            let half = |pick: fn(&crate::statistics::Ranges) -> f64| {
                known(&row.prediction).map_or(Cell::Empty, |r| Cell::Number(pick(r), 2))
            };
            let inside = row.prediction.inside;
            vec![
                Cell::Number(row.speed, 2),
                Cell::Number(row.set.number(), 2),
                half(|ranges| ranges.mean.half_width.number()),
                half(|ranges| ranges.next.half_width.number()),
                Cell::Text(if inside { String::new() } else { "outside".into() }),
            ]
        })
        .collect();
    let title = format!("Setback by speed, {} intervals", common.confidence);
    Table { key: "setback-by-speed", title, columns, rows }
}

/// The rows of the table as a curve: the setback as set, and around the exact one the range in
/// which the next alley would ask for it. One row is no curve.
fn curve(common: &Common, rows: &[CabRow]) -> Option<Curve> {
    let point = |row: &CabRow| {
        let exact = row.exact.number();
        let half = known(&row.prediction).map(|ranges| ranges.next.half_width.number());
        CurvePoint {
            across: row.speed,
            up: row.set.number(),
            band: half.map(|half| (exact - half, exact + half)),
        }
    };
    (rows.len() > 1).then(|| Curve {
        title: "Setback by speed".into(),
        across: ("speed", common.units.speed.symbol().into()),
        up: ("setback", common.units.length.symbol().into()),
        points: rows.iter().map(point).collect(),
        band_name: format!("where the next alley may ask for it ({})", common.confidence),
    })
}

impl Units {
    fn speed_of_run(&self, speed: &Speed) -> Value {
        Value::reading(speed, self.length_per_second())
    }

    /// A number on the speed gauge as a speed along the ground.
    fn along(&self, gauge: f64) -> Value {
        Value::exact("speed", gauge, self.speed.compound()).in_unit(self.length_per_second())
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "setback-at",
    about: "Setback for any speed, from alley runs at two or more speeds",
    lacks: "alley runs at two or more speeds",
    advice: "add [[alley-run]] tables with `speed = \"...\"`, all planted with the present setback",
    has_readings: false,
    runs: &[],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}
