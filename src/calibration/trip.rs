//! Trip scale: what the controller believes a length to be against what it is.

use crate::quantity::{Decimal, Length, Unit};
use crate::working::Value;

use super::cautions::ON_THE_RANGE;
use super::outcome::in_words;
use super::setting::{ScaleSetting, TRIP_SCALE, inside, judged};
use super::warning::{ADDS_UP, FEW_READINGS, NO_TOLERANCE};
use super::{Calculation, Outcome, Units, Verdict};

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

/// What the trip calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// One entry per run, all made with the present scale.
    pub runs: Vec<Evidence>,
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
    /// Working units.
    pub units: Units,
}

/// Believed and true length of the runs taken together.
///
/// Readout against marks: believed = mean readout, true = mark to mark. Tape against command:
/// believed = the commanded length, true = mean taped length. Several runs are added up, each
/// weighted by its readings, so that believed / true is the ratio of the sums.
struct Compared {
    believed: Value,
    truth: Value,
    readings: usize,
}

fn compared(run: &Evidence, tag: &str, units: &Units) -> Compared {
    match run {
        Evidence::Readout { marks, readout } => Compared {
            believed: mean("readout", tag, &units.readings(readout)),
            truth: units.length(format!("marks{tag}"), marks),
            readings: readout.len(),
        },
        Evidence::Tape { commanded, taped } => Compared {
            believed: units.length(format!("commanded length{tag}"), commanded),
            truth: mean("taped length", tag, &units.readings(taped)),
            readings: taped.len(),
        },
    }
}

fn mean(subject: &str, tag: &str, readings: &[Value]) -> Value {
    super::mean(format!("mean {subject}{tag}"), &format!("{subject}s"), readings)
}

fn together(runs: &[Evidence], units: &Units) -> Compared {
    if let [run] = runs {
        return compared(run, "", units);
    }
    let parts: Vec<Compared> = runs
        .iter()
        .enumerate()
        .map(|(index, run)| compared(run, &format!(", run {}", index + 1), units))
        .collect();
    let weighted = |of: fn(&Compared) -> &Value| {
        parts.iter().map(|part| super::count(part.readings) * of(part)).collect()
    };
    Compared {
        believed: Value::sum("readings x believed length of each run", weighted(|p| &p.believed))
            .named("believed length in all"),
        truth: Value::sum("readings x true length of each run", weighted(|p| &p.truth))
            .named("true length in all"),
        readings: parts.iter().map(|part| part.readings).sum(),
    }
}

/// The corrected scale.
///
/// Counts per length: new = old × believed / true. Length per count: new = old × true /
/// believed. A controller that believes 237.5 in where the marks are 240 in apart counts too
/// many counts to the inch.
///
/// ```
/// use alleytrue::calibration::trip::{ScaleKind, corrected_scale};
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
/// use alleytrue::calibration::trip::{ScaleKind, error_per_plot};
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
pub fn calibrate(inputs: &Inputs) -> Outcome {
    let units = &inputs.units;
    let evidence = together(&inputs.runs, units);
    let now = Value::typed("trip scale now", inputs.scale.now, Unit::ONE);
    let exact = corrected_scale(inputs.kind, &now, &evidence.believed, &evidence.truth);
    let spacing = (units.length("plot", &inputs.plot) + units.length("alley", &inputs.alley))
        .named("trip spacing");
    let error = error_per_plot(inputs.kind, &spacing, &now, &exact).named("error per plot now");
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("trip tolerance", length));
    let step = inputs.scale.step.map(|step| Value::typed("trip scale step", step, Unit::ONE));
    let keep = inside(&error, tolerance.as_ref());
    let result = judged(&TRIP_SCALE, now, exact.clone(), step, keep);

    let mut outcome = Outcome::new(CALCULATION);
    outcome.values = vec![evidence.believed, evidence.truth, spacing.clone(), error.clone()];
    let over_pass = |per_plot: &Value, name: &'static str| {
        inputs
            .ranges
            .map(|ranges| (per_plot * Value::typed("ranges", ranges, Unit::ONE)).named(name))
    };
    let adds_up = over_pass(&error, "error over the pass now");
    outcome.values.extend(adds_up.clone());
    if matches!(result.verdict, Verdict::Change(_)) {
        let left =
            error_per_plot(inputs.kind, &spacing, &result.set, &exact).named("error per plot left");
        outcome.values.extend(over_pass(&left, "error over the pass left").into_iter().fold(
            vec![left],
            |mut values, total| {
                values.push(total);
                values
            },
        ));
    }
    remark(&mut outcome, evidence.readings, tolerance.as_ref(), &result.verdict, adds_up.as_ref());
    outcome.settings.push(result);
    outcome.next = outcome.setting_to_change();
    outcome.cautions = ON_THE_RANGE.to_vec();
    outcome
}

fn remark(
    outcome: &mut Outcome,
    readings: usize,
    tolerance: Option<&Value>,
    verdict: &Verdict,
    adds_up: Option<&Value>,
) {
    if readings < ENOUGH_READINGS {
        outcome.warnings.push(FEW_READINGS.with(format!(
            "the trip runs hold {readings} readings; ten or more make a mean worth setting"
        )));
    }
    let Some(tolerance) = tolerance else {
        outcome.warnings.push(NO_TOLERANCE.with("[trial] tolerance has no `trip`"));
        return;
    };
    let total = adds_up.filter(|total| total.number().abs() > tolerance.number());
    if let (Verdict::Keep(_), Some(total)) = (verdict, total) {
        outcome.warnings.push(ADDS_UP.with(format!(
            "one plot is inside the tolerance, but the error adds up to {} over the pass where \
             trips follow one another without marks",
            in_words(total)
        )));
    }
}
