//! Trip scale: what the controller believes a length to be against what it is.

use super::agreement::{Apart, OneRun, name_of_run};
use super::calculate::{Calculate, Entry};
use super::change_check::{Doubt, Ratio, Side, all_seen};
use super::common::{ChangeMade, Common};
use super::judgement::{Evidence as Readings, OfRun, Reach};
use super::lengths::{self, OneLength, Read};
use super::readings;
use super::single;
use super::sprockets::SearchError;
use crate::quantity::{Decimal, Length, MeasureUnit, Unit};
use crate::statistics::{self, Moments};
use crate::working::Value;

use crate::outcome::setting::{Correction, ScaleSetting, TRIP_SCALE, judged};
use crate::outcome::warning::{ADDS_UP, FEW_READINGS};
use crate::outcome::wording::in_words;
use crate::outcome::{Calculation, Changed, Decision, Judgement, Outcome};
use crate::quantity::at_most;
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "trip", title: "Trip scale" };

/// Plots in a trip run below which a remark is made. Common practice, no source.
const ENOUGH_READINGS: usize = 10;

/// Which way round the scale is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScaleKind {
    /// Wheel counts per length: a controller that reads short needs a smaller number.
    CountsPerLength,
    /// Length per wheel count: a controller that reads short needs a larger number.
    LengthPerCount,
}

/// What a run tells about the scale.
#[derive(Clone, Debug)]
pub enum Evidence {
    /// Readings of the controller between marks a known distance apart.
    Readout {
        /// Mark to mark.
        marks: Length,
        /// What the controller read.
        readout: Vec<Length>,
    },
    /// Tape readings of a length the controller was told to plant.
    Tape {
        /// What it was told.
        commanded: Length,
        /// What the tape said.
        taped: Vec<Length>,
    },
}

/// One run.
#[derive(Clone, Debug)]
pub struct TripRun {
    /// Which of its kind in the sheet, counted from one, where it is of one.
    pub number: Option<usize>,
    /// What it tells.
    pub evidence: Evidence,
    /// The scale it was made with, where that was another than now.
    pub then: Option<Decimal>,
}

/// A run made with the scale of now.
impl From<Evidence> for TripRun {
    fn from(evidence: Evidence) -> Self {
        TripRun { number: None, evidence, then: None }
    }
}

/// What the trip calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The runs; none is empty.
    pub runs: Vec<TripRun>,
    /// Which way round the scale is.
    pub kind: ScaleKind,
    /// The scale as it is.
    pub scale: ScaleSetting,
    /// Plot length.
    pub plot: Length,
    /// Alley length.
    pub alley: Length,
    /// Ranges of the trial, where known.
    pub ranges: Option<Decimal>,
    /// The error of one trip spacing that may stand.
    pub tolerance: Option<Length>,
}

impl Evidence {
    fn readings(&self) -> &[Length] {
        match self {
            Evidence::Readout { readout, .. } => readout,
            Evidence::Tape { taped, .. } => taped,
        }
    }

    fn readings_mut(&mut self) -> &mut Vec<Length> {
        match self {
            Evidence::Readout { readout, .. } => readout,
            Evidence::Tape { taped, .. } => taped,
        }
    }
}

/// What it takes to bring the readings of runs to the scale of now.
#[derive(Clone, Copy)]
struct Present<'a> {
    kind: ScaleKind,
    now: &'a Value,
    units: &'a Units,
}

impl Present<'_> {
    /// The readings of a run as they would be with the scale of now.
    ///
    /// A readout is counts / (counts per length), or counts × (length per count): it would be times
    /// then / now, or times now / then. A length commanded is so many counts, and what is planted
    /// over them goes the other way.
    fn readings(self, run: &TripRun) -> Vec<Value> {
        let readings = self.units.readings(run.evidence.readings());
        let Some(then) = run.then else { return readings };
        let then_text = then.to_string();
        let name = format!("trip scale then, {then}");
        let then = Value::typed(name, then, Unit::ONE);
        let now = self.now.clone();
        let shorter_by_now = matches!(
            (&run.evidence, self.kind),
            (Evidence::Readout { .. }, ScaleKind::CountsPerLength)
                | (Evidence::Tape { .. }, ScaleKind::LengthPerCount)
        );
        let times = if shorter_by_now { then / now } else { now / then };
        let times = times.named(format!("reading with the scale of now over one with {then_text}"));
        readings.into_iter().map(|reading| reading * &times).collect()
    }
}

/// Believed and true length of the runs taken together, and the readings they rest on.
///
/// Readout against marks: believed = mean readout, true = mark to mark. Tape against command:
/// believed = the commanded length, true = mean taped length. In runs over several lengths every
/// reading counts once, with the length that was known beside it.
struct Compared {
    believed: Value,
    truth: Value,
    subject: &'static str,
    /// The readings in the order of the sheet, run by run where their lengths differ.
    groups: Vec<Vec<Value>>,
    scatter: Scatter,
}

/// What the readings scatter by.
enum Scatter {
    /// Readouts or taped lengths, all over one length.
    OneLength(Read, Moments),
    /// Readings over several lengths.
    Several(Vec<OneLength>),
}

fn compared(runs: &[TripRun], present: Present<'_>) -> Option<Compared> {
    let mut lengths = by_length(runs, present);
    if lengths.len() > 1 {
        return of_several(runs, lengths, present);
    }
    let units = present.units;
    let OneLength { read, known, readings, .. } = lengths.pop()?;
    let subject = match read {
        Read::Believed => "readout",
        Read::True => "taped length",
    };
    let moments = Moments::of(subject, &readings)?;
    let mean = moments.mean.clone();
    let (believed, truth) = match read {
        Read::Believed => (mean, units.length("marks", &known)),
        Read::True => (units.length("commanded length", &known), mean),
    };
    let scatter = Scatter::OneLength(read, moments);
    Some(Compared { believed, truth, subject, groups: vec![readings], scatter })
}

/// What was read in a run, and the length that was known.
fn read(run: &TripRun) -> (Read, &Length) {
    match &run.evidence {
        Evidence::Readout { marks, .. } => (Read::Believed, marks),
        Evidence::Tape { commanded, .. } => (Read::True, commanded),
    }
}

/// The readings of all runs, those of one kind over one length together.
fn by_length(runs: &[TripRun], present: Present<'_>) -> Vec<OneLength> {
    let mut lengths: Vec<OneLength> = vec![];
    for run in runs {
        let (read, known) = read(run);
        let readings = present.readings(run);
        match lengths.iter_mut().find(|one| one.takes(read, known)) {
            Some(one) => one.readings.extend(readings),
            None => lengths.push(OneLength {
                read,
                known: known.clone(),
                known_value: Value::reading(known, present.units.length.compound()),
                readings,
            }),
        }
    }
    lengths
}

fn of_several(runs: &[TripRun], lengths: Vec<OneLength>, present: Present<'_>) -> Option<Compared> {
    let (believed, truth): (Vec<Value>, Vec<Value>) =
        runs.iter().flat_map(|run| pairs(run, present)).unzip();
    Some(Compared {
        believed: statistics::mean("believed length", &believed)?,
        truth: statistics::mean("true length", &truth)?,
        subject: "reading",
        groups: runs.iter().map(|run| present.readings(run)).collect(),
        scatter: Scatter::Several(lengths),
    })
}

impl Compared {
    /// Mean and scatter of what is judged.
    fn moments(&self, spacing: &Value, error: &Value) -> Option<Moments> {
        let Compared { believed, truth, .. } = self;
        match &self.scatter {
            Scatter::OneLength(_, moments) => Some(moments.clone()),
            Scatter::Several(lengths) => {
                lengths::Ratio { truth, believed, spacing, error }.together(lengths)
            }
        }
    }

    /// Turns a spread of the readings into one of the error per plot, which is
    /// spacing × true / believed - spacing: a tape reading moves it by spacing / believed, a readout by spacing × true /
    /// believed² (delta method; GUM, JCGM 100:2008, 5.1.2). Readings of several lengths scatter
    /// as errors already.
    fn to_error(&self, spread: Value, spacing: &Value) -> Value {
        match &self.scatter {
            Scatter::OneLength(Read::Believed, _) => {
                spread * spacing * &self.truth / self.believed.to_the(2)
            }
            Scatter::OneLength(Read::True, _) => spread * spacing / &self.believed,
            Scatter::Several(_) => spread,
        }
    }
}

/// Believed and true length of every reading of a run.
fn pairs(run: &TripRun, present: Present<'_>) -> Vec<(Value, Value)> {
    let known = |length: &Length| Value::reading(length, present.units.length.compound());
    let readings = present.readings(run).into_iter();
    match &run.evidence {
        Evidence::Readout { marks, .. } => readings.map(|read| (read, known(marks))).collect(),
        Evidence::Tape { commanded, .. } => readings.map(|tape| (known(commanded), tape)).collect(),
    }
}

/// The corrected scale.
///
/// Counts per length: new = old × believed / true. Length per count: new = old × true /
/// believed. A controller that believes 237.5 in where the marks are 240 in apart counts too
/// many counts to the inch.
///
/// ```
/// use alleytrue::calculations::trip::{ScaleKind, corrected_scale};
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let believed = Value::typed("mean readout", Decimal::new(2375, 1), inch);
/// let truth = Value::typed("marks", Decimal::whole(240), inch);
/// let old = Value::typed("trip scale now", Decimal::whole(318), Unit::ONE);
/// let new = corrected_scale(ScaleKind::CountsPerLength, &old, &believed, &truth);
/// assert_eq!(new.number(), 314.6875); // common practice, no source
/// ```
#[must_use]
pub fn corrected_scale(kind: ScaleKind, old: &Value, believed: &Value, truth: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => old * believed / truth,
        ScaleKind::LengthPerCount => old * truth / believed,
    }
    .named("exact trip scale")
}

/// How far one trip spacing is off with the scale `held` when `exact` would be right: positive
/// where plots come out too long.
///
/// Counts per length: a scale held too high makes the controller wait for too many counts, so
/// error = spacing × held / exact - spacing. Length per count: spacing × exact / held - spacing.
///
/// ```
/// use alleytrue::calculations::trip::{ScaleKind, error_per_plot};
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let spacing = Value::typed("trip spacing", Decimal::whole(240), LengthUnit::Inch.into());
/// let held = Value::typed("trip scale now", Decimal::whole(318), Unit::ONE);
/// let exact = Value::typed("exact trip scale", Decimal::new(3_146_875, 4), Unit::ONE);
/// let error = error_per_plot(ScaleKind::CountsPerLength, &spacing, &held, &exact);
/// assert!((error.number() - 2.526_315_8).abs() < 1e-6); // 240 x 318 / 314.6875 - 240
/// ```
#[must_use]
pub fn error_per_plot(kind: ScaleKind, spacing: &Value, held: &Value, exact: &Value) -> Value {
    match kind {
        ScaleKind::CountsPerLength => spacing * held / exact - spacing,
        ScaleKind::LengthPerCount => spacing * exact / held - spacing,
    }
}

/// The trip scale from readouts or tape.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = common.on_the_range();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "reading"));
    let now = Value::typed("trip scale now", inputs.scale.now, Unit::ONE);
    let present = Present { kind: inputs.kind, now: &now, units };
    let Some(compared) = compared(&inputs.runs, present) else { return outcome };
    let plot = units.length("plot", &inputs.plot);
    let spacing = (&plot + units.length("alley", &inputs.alley)).named("trip spacing");
    let doubt = doubt(common);
    let ratio = doubt.as_ref().and_then(|doubt| ratio(inputs, doubt.change, &spacing, present));
    // What a change that went wrong sets apart needs no other cause.
    let explained = ratio.as_ref().is_some_and(|ratio| ratio.fault().is_some());
    let apart_runs = runs_apart(inputs, &spacing, present, explained);
    let exact = match &apart_runs {
        Some(apart) => scale_for(inputs.kind, &now, &apart.means[0], &spacing),
        None => corrected_scale(inputs.kind, &now, &compared.believed, &compared.truth),
    };
    let error = error_per_plot(inputs.kind, &spacing, &now, &exact).named("error per plot now");
    let over_pass = |per_plot: &Value, name: &'static str| {
        let ranges = |ranges| Value::typed("ranges", ranges, Unit::ONE);
        inputs.ranges.map(|count| (per_plot * ranges(count)).named(name))
    };
    let adds_up = over_pass(&error, "error over the pass now");
    let to_error = |spread: Value| compared.to_error(spread, &spacing);
    outcome.values = vec![compared.believed.clone(), compared.truth.clone(), error.clone()];
    outcome.values.extend(adds_up.clone());
    outcome.values.extend(what_it_means(&plot, &error));
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("trip tolerance", length));
    let readings = compared.groups.iter().map(Vec::len).sum();
    let Some(moments) = compared.moments(&spacing, &error) else { return outcome };
    let degrees = match compared.scatter {
        Scatter::OneLength(..) => None,
        Scatter::Several(_) => {
            moments.scatter.as_ref().map(|scatter| scatter.degrees_of_freedom.clone())
        }
    };
    let by_run = error_by_run(&inputs.runs, &spacing, present);
    let evidence = Readings {
        subject: compared.subject,
        groups: compared.groups.clone(),
        parted: None,
        known: Some(moments),
        error: error.clone(),
        to_error: &to_error,
        jitter: None,
        tolerance,
        tolerance_key: "trip",
        key: "trip",
        confidence: common.confidence,
        in_plot_order: inputs.runs.len() == 1,
        left_out: common.left_out(CALCULATION),
        apart: apart_runs.as_ref(),
        of_runs: runs_of_groups(inputs, compared.groups.len()),
        by_run: explained || apart_runs.is_some(),
        reach: Some(Reach {
            plot: plot.clone(),
            trip_spacing: spacing.clone(),
            measured: error.clone(),
            instead: "another mark was measured, or the trip scale is in another unit",
            by_run,
        }),
    };
    let Some(mut judgement) = Judgement::of(&evidence) else { return outcome };
    judgement.figures.extend(degrees);
    let adds_up_for_sure = adds_up_for_sure(&judgement, adds_up.as_ref());
    if adds_up_for_sure {
        judgement.change(&evidence);
    }
    outcome.seen = all_seen(common, Changed::Setting(&TRIP_SCALE), ratio.as_ref(), |change| {
        self::ratio(inputs, change, &spacing, present)
    });
    if let Some(doubt) = &doubt {
        let by_since = apart_runs.as_ref().is_some_and(|apart| apart.by_since);
        outcome.in_doubt = doubt.put_off(ratio.as_ref(), by_since, &mut judgement);
    }
    let corrected = judged(Correction {
        setting: &TRIP_SCALE,
        now: now.clone(),
        exact: exact.clone(),
        step: inputs.scale.step.map(|step| Value::typed("trip scale step", step, Unit::ONE)),
        left: &|held| {
            error_per_plot(inputs.kind, &spacing, held, &exact)
                .named("error per plot left by the step")
        },
        tolerance: tolerance_of_a_plot(&judgement, inputs.ranges.filter(|_| adds_up_for_sure))
            .as_ref(),
        sure_to: judgement.sure_to(),
        decision: &judgement.decision,
        few: judgement.few(),
    });
    let singles = single_plots(inputs, &spacing, present, apart_runs.as_ref(), &judgement);
    let after = corrected.left.clone();
    let singles = singles.with_change(single::change_to(&corrected.result), |_| after.clone());
    outcome.judge(judgement);
    outcome.warnings.extend(corrected.warnings);
    // Plots that a change went wrong with are brought to the present by what it did not do.
    if !explained || apart_runs.as_ref().is_some_and(|apart| apart.by_since) {
        singles.say(common.limits.plot.as_ref(), common, &mut outcome);
    }
    if let Some(left) = corrected.left {
        let total = over_pass(&left, "error over the pass left by the step");
        outcome.values.push(left);
        outcome.values.extend(total);
    }
    remark(&mut outcome, readings, &error, adds_up.as_ref());
    let result = corrected.result.unless_singles(outcome.singles.last());
    outcome.settings.push(result);
    outcome.next = outcome.setting_to_change();
    outcome
}

/// The runs behind the groups of readings: all of them behind one, or one behind each.
fn runs_of_groups(inputs: &Inputs, groups: usize) -> Vec<Vec<OfRun>> {
    let size = |run: &TripRun| OfRun {
        kind: "trip",
        number: run.number,
        count: run.evidence.readings().len(),
    };
    let runs: Vec<OfRun> = inputs.runs.iter().map(size).collect();
    if groups == 1 { vec![runs] } else { runs.into_iter().map(|run| vec![run]).collect() }
}

/// Single plots: what each reading says of its own.
fn single_plots(
    inputs: &Inputs,
    spacing: &Value,
    present: Present<'_>,
    apart: Option<&Apart>,
    judgement: &Judgement,
) -> single::Readings {
    let of_now = |run: &TripRun| run.then.is_none() || !apart.is_some_and(|apart| apart.by_since);
    let runs = inputs.runs.iter().enumerate().filter(|(_, run)| of_now(run));
    let groups = runs.map(|(place, run)| {
        (name_of_run("trip", run.number, place), errors(run, spacing, present))
    });
    single::Readings::of(groups.collect(), vec![judgement.error.clone()], judgement.of_one.as_ref())
}

/// The scale that would be right where one trip spacing is off by `error`: counts per length, now ×
/// spacing / (spacing + error); length per count the other way.
fn scale_for(kind: ScaleKind, now: &Value, error: &Value, spacing: &Value) -> Value {
    let planted = (spacing + error).named("trip spacing as it is, by the runs");
    match kind {
        ScaleKind::CountsPerLength => now * spacing / planted,
        ScaleKind::LengthPerCount => now * planted / spacing,
    }
    .named("exact trip scale")
}

/// The last change of the trip scale, and how it is spoken of.
fn doubt(common: &Common) -> Option<Doubt<'_>> {
    Some(Doubt {
        change: common.last_change(Changed::Setting(&TRIP_SCALE))?,
        what: "plots",
        ways: ["longer", "shorter"],
        direction: "which way round the trip scale is (`counts` or `length`)",
        known: true,
    })
}

/// The error of one trip spacing that each reading of a run says: spacing × true / believed - spacing.
fn errors(run: &TripRun, spacing: &Value, present: Present<'_>) -> Vec<Value> {
    let pairs = pairs(run, present).into_iter();
    pairs.map(|(believed, truth)| spacing * truth / believed - spacing).collect()
}

/// The runs where they are not one.
fn runs_apart(
    inputs: &Inputs,
    spacing: &Value,
    present: Present<'_>,
    explained: bool,
) -> Option<Apart> {
    if inputs.runs.len() < 2 {
        return None;
    }
    let lengths = by_length(&inputs.runs, present);
    let of_length = |run: &TripRun| {
        let (read, known) = read(run);
        lengths.iter().position(|one| one.takes(read, known)).unwrap_or(0)
    };
    let run = |(place, run): (usize, &TripRun)| OneRun {
        name: name_of_run("trip", run.number, place),
        side: 0,
        kind: of_length(run),
        since: run.then.is_none(),
        each: errors(run, spacing, present),
    };
    let runs: Vec<OneRun> = inputs.runs.iter().enumerate().map(run).collect();
    Apart::of("error per plot", &runs, None, explained)
}

/// What a change of the trip scale did, where runs were made before and after it.
///
/// Counts per length: a plot is so many counts of the scale, so that a change should make a trip
/// spacing longer by spacing × to / from - spacing; length per count by spacing × from / to -
/// spacing.
fn ratio(
    inputs: &Inputs,
    change: &ChangeMade,
    spacing: &Value,
    present: Present<'_>,
) -> Option<Ratio> {
    let then = |run: &&TripRun| run.then.map(|then| then.value());
    let before = |run: &&TripRun| change.had_before(then(run));
    let after = |run: &&TripRun| change.had_after(then(run));
    let scale = |wanted: &dyn Fn(&&TripRun) -> bool| {
        let run = inputs.runs.iter().find(wanted)?;
        Some(run.then.map_or_else(
            || present.now.clone(),
            |then| Value::typed(format!("trip scale then, {then}"), then, Unit::ONE),
        ))
    };
    let (from, to) = (scale(&before)?, scale(&after)?);
    let expected = match inputs.kind {
        ScaleKind::CountsPerLength => spacing * to / from - spacing,
        ScaleKind::LengthPerCount => spacing * from / to - spacing,
    }
    .named("longer by the change of the trip scale");
    let side = |when: &str, wanted: &dyn Fn(&&TripRun) -> bool| {
        let runs = inputs.runs.iter().filter(wanted);
        let days = runs.clone().count();
        let errors: Vec<Value> = runs.flat_map(|run| errors(run, spacing, present)).collect();
        let error = statistics::mean(&["error per plot ", when].concat(), &errors)?;
        Some(Side::of(error, &[errors.iter().map(Value::number).collect()], days))
    };
    let (before, after) = (side("before the change", &before)?, side("after the change", &after)?);
    let tolerance = inputs.tolerance.as_ref();
    let tolerance = tolerance.map(|length| present.units.length("trip tolerance", length));
    Ratio::of("trip scale", &before, &after, &expected, tolerance.as_ref())
}

/// The error per plot by each run alone: spacing × true / believed - spacing, whichever way round
/// the scale is.
fn error_by_run(runs: &[TripRun], spacing: &Value, present: Present<'_>) -> Vec<f64> {
    let of_run = |run: &TripRun| {
        let (believed, truth): (Vec<Value>, Vec<Value>) = pairs(run, present).into_iter().unzip();
        let sum = |values: &[Value]| values.iter().map(Value::number).sum::<f64>();
        spacing.number() * (sum(&truth) / sum(&believed) - 1.0)
    };
    runs.iter().map(of_run).collect()
}

/// The error that may stand on one plot: of an error that adds up, its share of the tolerance.
fn tolerance_of_a_plot(judgement: &Judgement, ranges: Option<Decimal>) -> Option<Value> {
    let tolerance = judgement.tolerance.clone()?;
    Some(match ranges {
        Some(ranges) => (tolerance / Value::typed("ranges", ranges, Unit::ONE))
            .named("trip tolerance over the ranges"),
        None => tolerance,
    })
}

/// What the error means for the trial: the plot as planted, and what yield per area is off by
/// when the nominal length is entered.
///
/// The alley is made by the changeover, so an error of the trip spacing is all in the plot. A
/// plot planted longer than its nominal length holds more crop than the area it is divided by.
fn what_it_means(plot: &Value, error: &Value) -> [Value; 3] {
    let planted = (plot + error).named("plot as planted now");
    // The width is the planter's, so the area is off by the share that the length is.
    let area = yield_error(&planted, plot).named("plot area against nominal");
    let off = area.clone().named("yield per area with the nominal length entered");
    [planted, area, off]
}

/// What yield per area is off by, in hundredths, when `entered` is taken for the length and
/// `planted` is true: (planted / entered - 1) × 100.
///
/// ```
/// use alleytrue::calculations::trip::yield_error;
/// use alleytrue::quantity::{Decimal, Unit};
/// use alleytrue::working::Value;
/// // A length entered 1 % too high gives a yield 0.99 % too low (arithmetic).
/// let planted = Value::constant(100.0);
/// let entered = Value::constant(101.0);
/// assert!((yield_error(&planted, &entered).number() + 0.990_099).abs() < 1e-6);
/// ```
#[must_use]
pub fn yield_error(planted: &Value, entered: &Value) -> Value {
    (planted / entered - Value::constant(1.0)).in_percent()
}

/// Whether an error that is small on one plot is real, and too large over the pass: a scale
/// costs nothing to change, and nothing but marks would stop it from adding up.
fn adds_up_for_sure(judgement: &Judgement, over_pass: Option<&Value>) -> bool {
    let (Some(total), Some(tolerance), Some(interval)) =
        (over_pass, &judgement.tolerance, &judgement.interval)
    else {
        return false;
    };
    matches!(judgement.decision, Decision::Keep(_))
        && !at_most(total.number().abs(), tolerance.number())
        && judgement.error.number().abs() > interval.half_width.number()
}

fn remark(outcome: &mut Outcome, readings: usize, error: &Value, adds_up: Option<&Value>) {
    if readings > 1 && readings < ENOUGH_READINGS {
        outcome.warnings.push(FEW_READINGS.with(format!(
            "the trip runs hold {readings} readings; ten or more make a mean worth setting"
        )));
    }
    let tolerance = outcome.judgement.as_ref().and_then(|judgement| judgement.tolerance.as_ref());
    let limit = tolerance.map_or(f64::INFINITY, Value::number);
    let half = outcome.judgement.as_ref().and_then(|judgement| judgement.interval.as_ref());
    let noise = half.map_or(0.0, |interval| interval.half_width.number());
    if let Some(total) = adds_up
        && error.number().abs() <= limit
        && error.number().abs() > noise
        && total.number().abs() > limit
    {
        outcome.warnings.push(ADDS_UP.with(format!(
            "one plot is inside the tolerance, but the error adds up to {} over the pass where \
             trips follow one another without marks",
            in_words(total)
        )));
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "trip",
    about: "Trip scale: what the controller believes against what the tape says",
    lacks: "[[trip-run]] that can be used",
    advice: "add a [[trip-run]] with `marks` and `readout`, or `commanded` and `taped`",
    has_readings: true,
    runs: &["trip-run"],
    warnings: &[],
    tolerances: &[("trip", "one plot with its alley")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        let lists = self.runs.iter_mut().map(|run| run.evidence.readings_mut());
        let count = readings::leave_out(lists, places);
        self.runs.retain(|run| !run.evidence.readings().is_empty());
        count
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::LengthUnit;
    use crate::statistics::Confidence;
    use crate::statistics::Interval;
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    fn inches(number: f64) -> Value {
        Value::exact("length", number, LengthUnit::Inch.into())
    }

    /// An error with the half width of its interval and a tolerance of half an inch.
    fn judged(error: f64, half: f64, decision: Decision) -> Judgement {
        let error = inches(error);
        let interval =
            Interval::around("error", &error, inches(half).named("scatter"), Value::constant(1.0));
        Judgement {
            subject: "readout",
            count: 10,
            fewest: 10,
            means: vec![],
            sd: None,
            jitter: None,
            error,
            interval: Some(interval),
            degrees: None,
            scatter: None,
            degrees_of_scatter: 0,
            between: None,
            tolerance: Some(inches(0.5)),
            confidence: Confidence::NINETY_FIVE,
            of_one: None,
            decision,
            more: None,
            warnings: vec![],
            figures: vec![],
        }
    }

    fn keep() -> Decision {
        Decision::Keep("inside".into())
    }

    /// An error as large as its interval is not told apart from zero, and one that adds up to the
    /// tolerance is inside it.
    #[test]
    fn an_error_adds_up_for_sure_beyond_its_interval_and_beyond_the_tolerance() {
        for (error, half, total, sure) in [
            (0.375, 0.25, 11.25, true),
            (-0.375, 0.25, -11.25, true),
            (0.25, 0.25, 7.5, false),
            (-0.25, 0.25, -7.5, false),
            (0.125, 0.25, 3.75, false),
            (0.25, 0.125, 0.5, false),
            (0.25, 0.125, -0.5, false),
            (0.25, 0.125, 0.25, false),
        ] {
            let judgement = judged(error, half, keep());
            let said = adds_up_for_sure(&judgement, Some(&inches(total)));
            assert_eq!(said, sure, "{error} ± {half}, {total} over the pass");
        }
    }

    #[test]
    fn nothing_adds_up_for_sure_where_more_has_to_be_measured_or_a_number_is_missing() {
        let total = inches(11.25);
        let unsure = judged(0.375, 0.25, Decision::Measure("six more".into()));
        assert!(!adds_up_for_sure(&unsure, Some(&total)));
        assert!(!adds_up_for_sure(&judged(0.375, 0.25, keep()), None));
        let loose = Judgement { tolerance: None, ..judged(0.375, 0.25, keep()) };
        assert!(!adds_up_for_sure(&loose, Some(&total)));
        let single = Judgement { interval: None, ..judged(0.375, 0.25, keep()) };
        assert!(!adds_up_for_sure(&single, Some(&total)));
    }

    /// The codes of the remarks on so many readings of an error.
    fn remarks(readings: usize, error: f64, half: f64, total: Option<f64>) -> Vec<&'static str> {
        let judgement = Some(judged(error, half, keep()));
        let mut outcome = Outcome { judgement, ..Outcome::new(CALCULATION) };
        let total = total.map(inches);
        remark(&mut outcome, readings, &inches(error), total.as_ref());
        outcome.warnings.iter().map(|warning| warning.kind.code).collect()
    }

    /// Half an inch is the tolerance; an error of that is inside it, and beyond it there is a
    /// verdict of its own.
    #[test]
    fn an_error_inside_the_tolerance_that_is_no_noise_is_said_to_add_up() {
        assert_eq!(remarks(10, 0.5, 0.25, Some(15.0)), ["adds-up"]);
        assert_eq!(remarks(10, -0.5, 0.25, Some(-15.0)), ["adds-up"]);
        for (error, half, total) in [
            (0.625, 0.25, Some(15.0)),
            (0.25, 0.25, Some(7.5)),
            (0.25, 0.125, Some(0.5)),
            (0.5, 0.25, None),
        ] {
            assert_eq!(remarks(10, error, half, total), [] as [&str; 0], "{error} {half}");
        }
    }

    /// A single reading is spoken of elsewhere, and ten are enough.
    #[test]
    fn from_two_readings_to_nine_are_few() {
        for (readings, few) in [(1, false), (2, true), (9, true), (10, false)] {
            let said = remarks(readings, 0.0, 0.25, None);
            assert_eq!(said.contains(&"few-readings"), few, "{readings}");
        }
    }

    /// Readouts that grow by half an inch a plot and more: in one run that is a drift, in two their
    /// order is not that of the plots.
    #[test]
    fn a_drift_is_looked_for_in_one_run_and_not_across_runs() {
        let drifts = |runs: &[&[u32]]| {
            let length = |text: &str| Length::parse(text, None).expect("a length");
            let of = |inches: &u32| length(&format!("{inches} in"));
            let evidence = |readout: &&[u32]| Evidence::Readout {
                marks: length("20 ft"),
                readout: readout.iter().map(of).collect(),
            };
            let outcome = calibrate(
                &Inputs {
                    runs: runs.iter().map(evidence).map(TripRun::from).collect(),
                    kind: ScaleKind::CountsPerLength,
                    scale: ScaleSetting { now: Decimal::whole(318), step: None },
                    plot: length("210 in"),
                    alley: length("30 in"),
                    ranges: None,
                    tolerance: Some(length("1 in")),
                },
                &common(),
            );
            outcome.warnings.iter().any(|warning| warning.kind.code == "drift")
        };
        assert!(drifts(&[&[238, 239, 239, 240, 240, 241, 242, 242]]));
        assert!(!drifts(&[&[238, 239, 239, 240], &[240, 241, 242, 242]]));
        assert!(!drifts(&[&[240, 239, 241, 240, 240, 239, 241, 240]]));
    }
}
