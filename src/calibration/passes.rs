//! Pass to pass: whether alleys planted in opposite directions line up.

use crate::quantity::Length;
use crate::statistics::{Confidence, Moments};
use crate::working::Value;

use super::alley::{self, AlleyRun};
use super::cautions::ON_THE_RANGE;
use super::jitter::{self, Seeds};
use super::judgement::Evidence;
use super::outcome::in_words;
use super::warning::{BELOW_ZERO, EVIDENCE_DISAGREES, MEASURE_AGAIN_FIRST};
use super::{
    Calculation, Ground, Judgement, Lane, MovingSetting, Next, Outcome, Picture, Travel, Units,
    Verdict,
};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "passes", title: "Pass to pass" };

/// What one reading is.
const SUBJECT: &str = "lead";

/// Alleys against their marks, measured on passes of both headings.
#[derive(Clone, Debug)]
pub struct Marked {
    /// The alley runs.
    pub runs: Vec<AlleyRun>,
    /// The alley that is wanted.
    pub alley: Length,
}

/// What the pass calculation needs: leads, or alleys of both headings against their marks, or
/// both.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// How far each alley lies ahead of its neighbour's, seen in its own pass's travel.
    pub leads: Vec<Length>,
    /// Whether they come from one run, so that their order is that of the plots.
    pub one_run: bool,
    /// Alleys of both headings against their marks.
    pub marked: Option<Marked>,
    /// The setting that lines up opposite passes.
    pub offset: Option<MovingSetting>,
    /// How far alleys of neighbouring passes may lie from the line.
    pub tolerance: Option<Length>,
    /// Alley width, for the picture.
    pub alley: Option<Length>,
    /// The seeds, for the scatter they bring by themselves.
    pub seeds: Option<Seeds>,
    /// Confidence of the interval.
    pub confidence: Confidence,
    /// Leads left out, by their place through all runs.
    pub left_out: Vec<usize>,
    /// Working units.
    pub units: Units,
}

impl Inputs {
    /// Whether leads were measured.
    #[must_use]
    pub fn has_leads(&self) -> bool {
        !self.leads.is_empty()
    }

    /// Leaves leads out by their place, counted from one through all runs; returns how many
    /// there were.
    pub fn leave_out(&mut self, places: &[usize]) -> usize {
        let count = super::leave_out(std::iter::once(&mut self.leads), places);
        self.left_out = places.to_vec();
        count
    }
}

/// How far every alley lies too far along in its own direction of travel: mean lead / 2, since
/// the lead holds the shift of both passes.
///
/// ```
/// use alleytrue::calibration::passes::shift_from_lead;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let lead = Value::typed("mean lead", Decimal::whole(4), Unit::from(LengthUnit::Inch));
/// assert_eq!(shift_from_lead(&lead).number(), 2.0); // common practice, no source
/// ```
#[must_use]
pub fn shift_from_lead(mean_lead: &Value) -> Value {
    mean_lead / Value::constant(2.0)
}

/// What the alley calculation has said already, where it went before.
#[derive(Clone, Copy, Debug, Default)]
pub struct Alleys<'a> {
    /// The shift that the setback is about to take out of both headings.
    pub pending: Option<&'a Value>,
    /// Whether the marks of both headings have been reported on.
    pub reported: bool,
}

/// The pass offset from the mean lead, and the two headings taken apart where marks were
/// measured.
#[must_use]
pub fn calibrate(inputs: &Inputs, alleys: Alleys<'_>) -> Outcome {
    let units = &inputs.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("pass tolerance", length));
    outcome.warnings.extend(super::left_out_remark(&inputs.left_out, "lead"));
    let by_lead = from_leads(inputs, tolerance.as_ref(), alleys.pending, &mut outcome);
    let (by_marks, marks) = from_marks(inputs, tolerance.as_ref(), alleys, &mut outcome);
    if let (Some(lead), Some(marks)) = (&by_lead, &by_marks) {
        compare(lead, marks, tolerance.as_ref(), &mut outcome);
    }
    outcome.pictures.extend(by_lead.or(by_marks).map(|shift| picture(&shift, inputs)));
    outcome.next = outcome.setting_to_change().or(marks);
    outcome
}

fn from_leads(
    inputs: &Inputs,
    tolerance: Option<&Value>,
    setback_shift: Option<&Value>,
    outcome: &mut Outcome,
) -> Option<Value> {
    if inputs.leads.is_empty() {
        return None;
    }
    let units = &inputs.units;
    let leads = units.readings(&inputs.leads);
    let moments = Moments::of(SUBJECT, &leads)?;
    let lead = moments.mean.clone();
    let shift = shift_from_lead(&lead).named("shift of each pass");
    outcome.values.extend([lead.clone(), shift.clone()]);
    let Some(offset) = &inputs.offset else { return Some(shift) };
    let judgement = Judgement::of(Evidence {
        subject: SUBJECT,
        groups: vec![leads],
        known: Some(moments),
        error: shift.clone(),
        to_error: &|spread| spread / Value::constant(2.0),
        jitter: inputs.seeds.as_ref().map(|seeds| {
            jitter::of_lead(&seeds.spacing(units)).named("SD of a lead by seed spacing alone")
        }),
        tolerance: tolerance.cloned(),
        tolerance_key: "passes",
        key: "passes",
        confidence: inputs.confidence,
        in_plot_order: inputs.one_run,
        left_out: &inputs.left_out,
    })?;
    let mut result = offset.corrected(&shift, &judgement.decision, units);
    outcome.judge(judgement);
    if let Some(setback_shift) = setback_shift {
        let then = (&lead - Value::constant(2.0) * setback_shift)
            .named("lead to expect after the setback");
        outcome.warnings.push(MEASURE_AGAIN_FIRST.with(format!(
            "the new setback moves the alleys of both passes, so the mean lead of {} should \
             become {}: set the setback and measure the leads again first",
            in_words(&lead),
            in_words(&then)
        )));
        outcome.values.push(then);
        if matches!(result.verdict, Verdict::Change(_)) {
            result = result.waiting("the setback comes first and changes the lead".into());
        }
    }
    if result.set.number() < 0.0 {
        outcome.warnings.push(BELOW_ZERO.with(format!(
            "the pass offset would have to be {}, below zero",
            in_words(&result.set)
        )));
    }
    outcome.settings.push(result);
    Some(shift)
}

/// Along-travel shift from the marks of both headings, where both were measured, and what to do
/// about the marks themselves.
fn from_marks(
    inputs: &Inputs,
    tolerance: Option<&Value>,
    alleys: Alleys<'_>,
    outcome: &mut Outcome,
) -> (Option<Value>, Option<Next>) {
    let Some(marked) = &inputs.marked else { return (None, None) };
    let groups = alley::groups(&marked.runs, &marked.alley, &inputs.units);
    let Some((shift, Some(apart))) = alley::shift(&groups) else { return (None, None) };
    outcome.values.push(shift.clone());
    if alleys.reported {
        return (Some(shift), None);
    }
    let next = alley::remark_on_marks(&apart.mark_line, None, tolerance, outcome);
    (Some(shift), next)
}

fn compare(lead: &Value, marks: &Value, tolerance: Option<&Value>, outcome: &mut Outcome) {
    let difference = (lead - marks).named("shift by leads less shift by marks");
    let half = outcome.judgement.as_ref().and_then(|judgement| judgement.interval.as_ref());
    let scatter = half.map_or(0.0, |interval| interval.half_width.number());
    let apart = difference.number().abs();
    if tolerance.is_some_and(|tolerance| apart > tolerance.number() + scatter) {
        outcome.warnings.push(EVIDENCE_DISAGREES.with(format!(
            "the leads say {} along the travel, the marks say {}",
            in_words(lead),
            in_words(marks)
        )));
    }
    outcome.values.push(difference);
}

/// Two passes side by side, out to the right and home to the left.
fn picture(shift: &Value, inputs: &Inputs) -> Picture {
    let width = inputs
        .alley
        .as_ref()
        .map_or(shift.number().abs() * 6.0 + 1.0, |alley| alley.value_in(inputs.units.length));
    let (last, first) = (shift.number() - width / 2.0, shift.number() + width / 2.0);
    Picture::Ground(Ground {
        title: "two passes side by side",
        unit: inputs.units.length.to_string(),
        lanes: vec![
            Lane::with_alley("out", Travel::Rightward, last, first, Some(0.0)),
            Lane::with_alley("home", Travel::Leftward, last, first, Some(0.0)),
        ],
    })
}
