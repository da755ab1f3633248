//! Pass to pass: whether alleys planted in opposite directions line up.

use crate::quantity::{Length, brief};
use crate::working::Value;

use super::alley::{self, AlleyRun};
use super::cautions::ON_THE_RANGE;
use super::outcome::in_words;
use super::warning::{
    BELOW_ZERO, EVIDENCE_DISAGREES, MARK_LINE, MEASURE_AGAIN_FIRST, NO_TOLERANCE,
};
use super::{Calculation, Ground, Lane, MovingSetting, Outcome, Travel, Units, Verdict};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "passes", title: "Pass to pass" };

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
    /// Alleys of both headings against their marks.
    pub marked: Option<Marked>,
    /// The setting that lines up opposite passes.
    pub offset: Option<MovingSetting>,
    /// How far alleys of neighbouring passes may lie from the line.
    pub tolerance: Option<Length>,
    /// Alley width, for the picture.
    pub alley: Option<Length>,
    /// Working units.
    pub units: Units,
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

/// The pass offset from the mean lead, and the two headings taken apart where marks were
/// measured. `setback_shift` is what the setback is about to take out of both headings.
#[must_use]
pub fn calibrate(inputs: &Inputs, setback_shift: Option<&Value>) -> Outcome {
    let units = &inputs.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("pass tolerance", length));
    let by_lead = from_leads(inputs, tolerance.as_ref(), setback_shift, &mut outcome);
    let by_marks = from_marks(inputs, tolerance.as_ref(), &mut outcome);
    if let (Some(lead), Some(marks)) = (&by_lead, &by_marks) {
        compare(lead, marks, tolerance.as_ref(), &mut outcome);
    }
    outcome.picture = by_lead.or(by_marks).map(|shift| picture(&shift, inputs));
    if tolerance.is_none() {
        outcome.warnings.push(NO_TOLERANCE.with("[trial] tolerance has no `passes`"));
    }
    outcome.next = outcome.setting_to_change();
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
    let lead = super::mean("mean lead".into(), "leads", &units.readings(&inputs.leads));
    let shift = shift_from_lead(&lead).named("shift of each pass");
    outcome.values.push(lead.clone());
    outcome.values.push(shift.clone());
    let mut result = inputs.offset.as_ref()?.moving_back(&shift, tolerance, units);
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
            result.verdict = Verdict::Wait("the setback comes first and changes the lead".into());
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

/// Along-travel shift from the marks of both headings, where both were measured.
fn from_marks(inputs: &Inputs, tolerance: Option<&Value>, outcome: &mut Outcome) -> Option<Value> {
    let marked = inputs.marked.as_ref()?;
    let groups = alley::groups(&marked.runs, &marked.alley, &inputs.units);
    let (shift, apart) = alley::shift(&groups)?;
    let apart = apart?;
    outcome.values.extend([shift.clone(), apart.mark_line.clone()]);
    let off = apart.mark_line.number().abs();
    if off > tolerance.map_or(0.0, Value::number) {
        outcome.warnings.push(MARK_LINE.with(format!(
            "the marks stand {} {} off the line that both headings agree on; no planter setting \
             mends that",
            brief(off),
            apart.mark_line.unit_text()
        )));
    }
    Some(shift)
}

fn compare(lead: &Value, marks: &Value, tolerance: Option<&Value>, outcome: &mut Outcome) {
    let difference = (lead - marks).named("shift by leads less shift by marks");
    if difference.number().abs() > tolerance.map_or(0.0, Value::number) {
        outcome.warnings.push(EVIDENCE_DISAGREES.with(format!(
            "the leads say {} along the travel, the marks say {}",
            in_words(lead),
            in_words(marks)
        )));
    }
    outcome.values.push(difference);
}

/// Two passes side by side, out to the right and home to the left.
fn picture(shift: &Value, inputs: &Inputs) -> Ground {
    let width = inputs
        .alley
        .as_ref()
        .map_or(shift.number().abs() * 6.0 + 1.0, |alley| alley.value_in(inputs.units.length));
    let (last, first) = (shift.number() - width / 2.0, shift.number() + width / 2.0);
    Ground {
        title: "two passes side by side",
        unit: inputs.units.length.to_string(),
        lanes: vec![
            Lane::with_alley("out", Travel::Rightward, last, first, Some(0.0)),
            Lane::with_alley("home", Travel::Leftward, last, first, Some(0.0)),
        ],
    }
}
