//! Pass to pass: whether alleys planted in opposite directions line up.

use super::calculate::{Calculate, Entry, SoFar};
use super::change_check::{Doubt, Ratio, Side, all_seen};
use super::common::{ChangeMade, Common};
use super::readings;
use super::single;
use super::sprockets::SearchError;
use crate::quantity::Length;
use crate::working::Value;

use super::alley::{self, AlleyRun};
use super::jitter::Seeds;
use super::leads::{self, Leads, Trial};
pub use super::leads::{LeadRun, shift_from_lead};
use crate::outcome::cautions::ON_THE_RANGE;
use crate::outcome::setting::{Corrected, PASS_OFFSET};
use crate::outcome::warning::{BELOW_ZERO, EVIDENCE_DISAGREES, MEASURE_AGAIN_FIRST};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Calculation, Changed, Direction, Ground, Lane, MovingSetting, Next, Outcome, Picture, Then,
    Travel, Verdict,
};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: leads::KEY, title: "Pass to pass" };

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
    /// Runs of leads; none is empty.
    pub leads: Vec<LeadRun>,
    /// Alleys of both headings against their marks.
    pub marked: Option<Marked>,
    /// The setting that lines up opposite passes.
    pub offset: Option<MovingSetting>,
    /// How far alleys of neighbouring passes may lie from the line.
    pub tolerance: Option<Length>,
    /// Alley width, for the picture.
    pub alley: Option<Length>,
    /// Plot length, where known.
    pub plot: Option<Length>,
    /// The seeds, for the scatter they bring by themselves.
    pub seeds: Option<Seeds>,
}

impl Inputs {
    /// Whether leads were measured.
    #[must_use]
    pub fn has_leads(&self) -> bool {
        !self.leads.is_empty()
    }
}

/// What the alley calculation has said already, where it went before.
#[derive(Clone, Copy, Debug, Default)]
pub struct Alleys<'a> {
    /// The shift that the setback is about to take out of both headings.
    pub pending: Option<&'a Value>,
    /// Whether the marks of both headings have been reported on.
    pub reported: bool,
    /// The shift that they found.
    pub shift: Option<&'a Value>,
}

/// The pass offset from the mean lead, and the two headings taken apart where marks were
/// measured.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common, alleys: Alleys<'_>) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("pass tolerance", length));
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "lead"));
    let by_lead = from_leads(inputs, common, tolerance.as_ref(), alleys.pending, &mut outcome);
    let (by_marks, marks) = from_marks(inputs, common, tolerance.as_ref(), alleys, &mut outcome);
    if let (Some(lead), Some(marks)) = (&by_lead, &by_marks) {
        compare(lead, marks, tolerance.as_ref(), &mut outcome);
    }
    outcome.pictures.extend(by_lead.or(by_marks).map(|shift| picture(&shift, inputs, common)));
    outcome.next = outcome.setting_to_change().or(marks);
    outcome
}

fn from_leads(
    inputs: &Inputs,
    common: &Common,
    tolerance: Option<&Value>,
    setback_shift: Option<&Value>,
    outcome: &mut Outcome,
) -> Option<Value> {
    let units = &common.units;
    let doubt = doubt(inputs, common);
    let ratio = doubt.as_ref().and_then(|doubt| ratio(inputs, doubt.change, common));
    // What a change that went wrong sets apart needs no other cause.
    let explained = ratio.as_ref().is_some_and(|ratio| ratio.fault().is_some());
    let trial = Trial {
        seeds: inputs.seeds.as_ref(),
        plot: inputs.plot.as_ref(),
        alley: inputs.alley.as_ref(),
    };
    let leads = Leads::of(&inputs.leads, trial, explained, units)?;
    let (lead, shift) = (leads.mean().clone(), leads.shift.clone());
    outcome.values.extend([lead.clone(), shift.clone()]);
    let Some(offset) = &inputs.offset else { return Some(shift) };
    let mut judgement = leads.judge(tolerance.cloned(), "passes", common)?;
    outcome.seen = all_seen(common, Changed::Setting(&PASS_OFFSET), ratio.as_ref(), |change| {
        self::ratio(inputs, change, common)
    });
    if let Some(doubt) = &doubt {
        outcome.in_doubt = doubt.put_off(ratio.as_ref(), leads.by_since(), &mut judgement);
    }
    let Corrected { mut result, left, warnings } = offset.corrected(&shift, &judgement, units);
    let of_one = judgement.of_one.clone();
    outcome.judge(judgement);
    outcome.warnings.extend(warnings);
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
    outcome.values.extend(left.filter(|_| matches!(result.verdict, Verdict::Change(_))));
    if result.set.number() < 0.0 {
        outcome.warnings.push(BELOW_ZERO.with(format!(
            "the pass offset would have to be {}, below zero",
            in_words(&result.set)
        )));
    }
    let change = single::change_to(&result)
        .map(|words| (words, offset.moved_back(&offset.now(units), &result.set)));
    let singles = leads.singles(of_one.as_ref(), change, units);
    // Leads that a change went wrong with are brought to the present by what it did not do.
    if !explained || leads.by_since() {
        singles.say(common.limits.lead.as_ref(), common, outcome);
    }
    outcome.settings.push(result.unless_singles(outcome.singles.last()));
    Some(shift)
}

/// The last change of the pass offset, and how it is spoken of.
fn doubt<'a>(inputs: &Inputs, common: &'a Common) -> Option<Doubt<'a>> {
    Some(Doubt {
        change: common.last_change(Changed::Setting(&PASS_OFFSET))?,
        what: "alleys of each pass",
        ways: ["ahead", "back"],
        direction: "the direction of the pass offset",
        known: !inputs
            .offset
            .as_ref()
            .is_some_and(|offset| offset.raising_moves == Direction::NotKnown),
    })
}

/// What a change of the pass offset did, where leads were measured before and after it.
fn ratio(inputs: &Inputs, change: &ChangeMade, common: &Common) -> Option<Ratio> {
    let units = &common.units;
    let own = |run: &LeadRun| {
        let mut all = run.then.iter();
        all.find(|one| *one.setting.setting == PASS_OFFSET).cloned()
    };
    let then = |own: &Option<Then>| own.as_ref().map(|own| own.then.base());
    let before = |own: &Option<Then>| change.had_before(then(own));
    let after = |own: &Option<Then>| change.had_after(then(own));
    let first = |wanted: &dyn Fn(&Option<Then>) -> bool| inputs.leads.iter().map(own).find(wanted);
    let expected = Then::ahead_by_a_change(&[first(&before)?, first(&after)?], units)?;
    let side = |when: &str, wanted: &dyn Fn(&Option<Then>) -> bool| {
        let runs = inputs.leads.iter().filter(|run| wanted(&own(run)));
        let days = runs.clone().count();
        let shifts: Vec<Value> = runs.flat_map(|run| run.shifts(units)).collect();
        let error = crate::statistics::mean(&["shift of a pass ", when].concat(), &shifts)?;
        Some(Side::of(error, &[shifts.iter().map(Value::number).collect()], days))
    };
    let (before, after) = (side("before the change", &before)?, side("after the change", &after)?);
    let tolerance = inputs.tolerance.as_ref().map(|length| units.length("pass tolerance", length));
    Ratio::of("pass offset", &before, &after, &expected, tolerance.as_ref())
}

/// Along-travel shift from the marks of both headings, where both were measured, and what to do
/// about the marks themselves.
fn from_marks(
    inputs: &Inputs,
    common: &Common,
    tolerance: Option<&Value>,
    alleys: Alleys<'_>,
    outcome: &mut Outcome,
) -> (Option<Value>, Option<Next>) {
    let Some(marked) = &inputs.marked else { return (None, None) };
    let groups = alley::groups(&marked.runs, &marked.alley, &common.units);
    let Some((shift, Some(apart))) = alley::shift(&groups) else { return (None, None) };
    let shift = alleys.shift.cloned().unwrap_or(shift);
    outcome.values.push(shift.clone());
    if alleys.reported {
        return (Some(shift), None);
    }
    let next = alley::remark_on_marks(&apart.mark_line, 0.0, tolerance, outcome);
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
fn picture(shift: &Value, inputs: &Inputs, common: &Common) -> Picture {
    let width = inputs
        .alley
        .as_ref()
        .map_or(shift.number().abs() * 6.0 + 1.0, |alley| alley.value_in(common.units.length));
    let (last, first) = (shift.number() - width / 2.0, shift.number() + width / 2.0);
    Picture::Ground(Ground {
        title: "two passes side by side",
        unit: common.units.length.to_string(),
        lanes: vec![
            Lane::with_alley("out", Travel::Rightward, last, first, Some(0.0)),
            Lane::with_alley("home", Travel::Leftward, last, first, Some(0.0)),
        ],
    })
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "passes",
    about: "Pass offset: alleys planted in opposite directions",
    lacks: "[[pass-run]], nor alley runs of both headings",
    advice: "add a [[pass-run]] with `lead = [...]`, or [[alley-run]] tables with `heading = \"out\"` and `heading = \"home\"`",
    has_readings: true,
    runs: &["pass-run"],
    warnings: &[],
    tolerances: &[("passes", "shift of a pass")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    /// Leads; and alleys, which the passes look at too, in the same order.
    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if let Some(marked) = self.marked.as_mut().filter(|_| key == alley::CALCULATION.key) {
            readings::leave_out(marked.runs.iter_mut().map(|run| &mut run.alleys), places);
            marked.runs.retain(|run| !run.alleys.is_empty());
        }
        if key != CALCULATION.key {
            return 0;
        }
        let count = readings::leave_out(self.leads.iter_mut().map(|run| &mut run.leads), places);
        self.leads.retain(|run| !run.leads.is_empty());
        count
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common, Alleys::default())])
    }

    /// Alleys of both headings alone have said all they can before; leads say more.
    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        let reported = so_far.has_any(&[alley::CALCULATION.key]);
        if !reported || self.has_leads() {
            let mut before = so_far.outcomes.iter();
            let before = before.find(|one| one.calculation == alley::CALCULATION);
            let judged = before.and_then(|alleys| alleys.judgement.as_ref());
            let shift = judged.map(|judgement| &judgement.error);
            let alleys = Alleys { pending: so_far.pending_shift.as_ref(), reported, shift };
            let outcome = calibrate(self, common, alleys);
            so_far.outcomes.push(outcome);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Decimal, LengthUnit, Unit};
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    fn inches(text: &str) -> Length {
        Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
    }

    fn value(number: f64) -> Value {
        Value::constant(number)
            * Value::typed("one", Decimal::whole(1), Unit::from(LengthUnit::Inch))
    }

    /// Leads whose mean is 4 in, so that every alley lies 2 in too far along; their interval is
    /// far inside the tolerance of half an inch. Raising the offset moves alleys ahead.
    fn inputs(now: &str) -> Inputs {
        let leads = ["4", "4.25", "3.75", "4", "4.25", "3.75", "4", "4"];
        Inputs {
            leads: vec![leads.map(inches).to_vec().into()],
            marked: None,
            offset: Some(MovingSetting::new(&PASS_OFFSET, inches(now), Direction::Ahead, None)),
            tolerance: Some(inches("0.5")),
            alley: None,
            plot: None,
            seeds: None,
        }
    }

    fn warned(outcome: &Outcome, code: &str) -> bool {
        outcome.warnings.iter().any(|warning| warning.kind.code == code)
    }

    /// 1 - 2 = -1 is below zero; 2 - 2 = 0 is a number that every controller takes.
    #[test]
    fn an_offset_of_zero_is_not_below_zero() {
        for (now, set) in [("1", -1.0), ("2", 0.0), ("3", 1.0)] {
            let outcome = calibrate(&inputs(now), &common(), Alleys::default());
            assert_eq!(outcome.settings[0].set.number(), set);
            assert!(matches!(outcome.settings[0].verdict, Verdict::Change(_)));
            assert_eq!(warned(&outcome, "below-zero"), set < 0.0, "{now}");
        }
    }

    /// A setback about to move all alleys by 1.5 in changes the lead by 3 in: 4 - 2 x 1.5 = 1.
    #[test]
    fn the_lead_to_expect_after_the_setback_is_less_by_twice_its_shift() {
        let shift = value(1.5);
        let alleys = Alleys { pending: Some(&shift), reported: true, shift: None };
        let outcome = calibrate(&inputs("3"), &common(), alleys);
        let then = outcome
            .values
            .iter()
            .find(|value| value.name() == Some("lead to expect after the setback"))
            .expect("a lead");
        assert_eq!(then.number(), 1.0);
        assert!(warned(&outcome, "measure-again-first"));
        assert!(matches!(outcome.settings[0].verdict, Verdict::Wait(_)));
        assert_eq!(outcome.settings[0].set.number(), 3.0);
    }

    fn edges(shift: f64, alley: Option<&str>) -> [Option<f64>; 2] {
        let inputs = Inputs { alley: alley.map(inches), ..inputs("3") };
        let Picture::Ground(ground) = picture(&value(shift), &inputs, &common()) else {
            panic!("a picture of the ground");
        };
        let [out, home] = ground.lanes.as_slice() else { panic!("two lanes") };
        let places = |lane: &Lane| [lane.planted[0].to, lane.planted[1].from];
        // The way home is the way out, mirrored.
        assert_eq!(places(home), [places(out)[1], places(out)[0]].map(|at| at.map(|at| -at)));
        places(out)
    }

    /// Without an alley one is drawn that the shift is easily seen in: six times as wide and an
    /// inch more. 6 x 2 + 1 = 13, from 2 - 6.5 to 2 + 6.5. An alley of 30 in reaches from 2 - 15
    /// to 2 + 15.
    #[test]
    fn a_picture_is_as_wide_as_the_alley_or_as_the_shift_asks_for() {
        assert_eq!(edges(2.0, None), [Some(-4.5), Some(8.5)]);
        assert_eq!(edges(-2.0, None), [Some(-8.5), Some(4.5)]);
        assert_eq!(edges(0.0, None), [Some(-0.5), Some(0.5)]);
        assert_eq!(edges(2.0, Some("30")), [Some(-13.0), Some(17.0)]);
    }

    /// Leads and marks that differ by the tolerance and the scatter of the leads agree still.
    #[test]
    fn leads_and_marks_disagree_beyond_tolerance_and_scatter_only() {
        let said = |lead: f64, marks: f64, judged: bool| {
            let mut outcome = Outcome::new(CALCULATION);
            if judged {
                outcome.judgement = calibrate(&inputs("3"), &common(), Alleys::default()).judgement;
            }
            compare(&value(lead), &value(marks), Some(&value(1.0)), &mut outcome);
            assert_eq!(outcome.values[0].number(), lead - marks);
            warned(&outcome, "evidence-disagrees")
        };
        assert!(!said(3.0, 2.0, false));
        assert!(said(3.25, 2.0, false));
        assert!(said(2.0, 3.25, false));
        // SD of the leads: sqrt(4 x 0.0625 / 7) = 0.18898; of half their mean 0.18898 / sqrt(8) /
        // 2 = 0.033408; times t = 2.3646 of 7 degrees of freedom (NIST/SEMATECH e-Handbook
        // 1.3.6.7.2 has 2.365): 0.0790.
        assert!(!said(3.07, 2.0, true));
        assert!(said(3.09, 2.0, true));
        let mut outcome = Outcome::new(CALCULATION);
        compare(&value(9.0), &value(2.0), None, &mut outcome);
        assert!(!warned(&outcome, "evidence-disagrees"), "nothing to go by");
    }
}
