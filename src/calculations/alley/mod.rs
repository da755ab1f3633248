//! Alley centring: where the middle of the alley lies against its mark, and the setback.
//!
//! Everything is measured along the direction of travel: `a` from the last seed of one plot to
//! the mark, `b` from the mark to the first seed of the next.

mod by_leads;
mod inputs;
mod runs;
mod since;
mod singles;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::quantity::{Length, brief};
use crate::statistics::{self, Confidence};
use crate::working::Value;

use super::agreement::Apart;
use super::change_check::all_seen;
use super::jitter::{self, Seeds};
use super::judgement::{BY_HEADING, Evidence, Reach};
use super::leads;
use crate::outcome::setting::{Corrected, SETBACK};
use crate::outcome::warning::{
    ALLEY_WIDTH_OFF, BELOW_ZERO, DRIFT_OF_TRIP, LEANS_ON_NOMINAL, MARK_LINE, ONE_HEADING,
};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Adjustment, By, ByHand, Calculation, Changed, Decision, Ground, Judgement, Lane, Next, Outcome,
    Picture, SettingResult, Travel, Verdict,
};
use crate::quantity::at_most;
use crate::working::Units;

use by_leads::ByLeads;
pub use inputs::Inputs;
use runs::SUBJECT;
pub use runs::{
    AlleyRun, BothHeadings, Measured, both_headings, centre_ahead, centre_ahead_by_first_seed,
    centre_ahead_by_last_seed, width_of,
};
pub(super) use runs::{Group, centre_of, groups, mark_line, shift};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "alley", title: "Alley centring" };

/// The setback, and the width of the alley against the one wanted.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    calibrate_with_shift(inputs, common).0
}

/// [`calibrate`], with the shift that the setback is about to take out, if it has to change.
pub(super) fn calibrate_with_shift(inputs: &Inputs, common: &Common) -> (Outcome, Option<Value>) {
    let units = &common.units;
    let mut groups = groups(&inputs.runs, &inputs.alley, units);
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = common.on_the_range();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "alley"));
    let doubt = since::doubt(inputs, common);
    let ratio = doubt.as_ref().and_then(|doubt| since::ratio(inputs, doubt.change, common));
    // What a change that went wrong sets apart needs no other cause.
    let explained = ratio.as_ref().is_some_and(|ratio| ratio.fault().is_some());
    let jitter = inputs.jitter(&groups, units);
    let runs_apart = since::apart(inputs, &mut groups, jitter.as_ref(), explained, units);
    let Some((alleys, both)) = shift(&groups) else { return (outcome, None) };
    let tolerance =
        inputs.tolerance.as_ref().map(|length| units.length("centre tolerance", length));
    let apart = (explained, runs_apart.as_ref());
    let judged = judge(inputs, common, &groups, &alleys, tolerance.clone(), jitter, apart);
    let Some(by_alleys) = judged else {
        return (outcome, None);
    };
    let of_one = by_alleys.of_one.clone();
    let by_leads = ByLeads::of(inputs, &groups, explained, common);
    let Parted { shift, mark_line, mut judgement } =
        parted(by_leads.as_ref(), alleys, both, by_alleys, tolerance.clone(), common);
    outcome.seen = all_seen(common, Changed::Setting(&SETBACK), ratio.as_ref(), |change| {
        since::ratio(inputs, change, common)
    });
    let drifts = matches!(judgement.decision, Decision::Wait(_));
    if let Some(doubt) = &doubt {
        let by_since = match &by_leads {
            Some(leads) => leads.by_since(),
            None => runs_apart.as_ref().is_some_and(|apart| apart.by_since),
        };
        outcome.in_doubt = doubt.put_off(ratio.as_ref(), by_since, &mut judgement);
    }
    let Corrected { mut result, left, warnings } =
        inputs.setback.corrected(&shift, &judgement, units);

    let sides = mean_sides(&groups);
    let width_error = sides.as_ref().map(|sides| width_error(inputs, common, sides, &mut outcome));
    let width_off =
        width_error.as_ref().and_then(|error| width(inputs, common, error, &mut outcome));
    outcome.values.push(shift.clone());
    let marks = mark_line.as_ref().and_then(|(off, scatter)| {
        remark_on_marks(off, *scatter, tolerance.as_ref(), &mut outcome)
    });
    if drifts {
        outcome.warnings.push(DRIFT_OF_TRIP.with(
            "alleys that creep along their marks out and home are what a trip scale that is off \
             looks like: where it is not right, it is set before the setback",
        ));
    }
    outcome.judge(judgement);
    outcome.warnings.extend(warnings);
    // Where all passes go one way, a shift and a wrong line of marks come to the same.
    let told = mark_line.is_some() || common.one_way;
    remark(&groups, told, &result, &mut outcome);
    outcome.pictures.extend(sides.map(|(a, b)| picture(&a, &b, &inputs.alley, units)));
    if let (Some(off), Verdict::Change(_)) = (&width_off, &result.verdict) {
        result = result.waiting(format!("the alley is {off}; set that right first"));
    }
    outcome.values.extend(left.filter(|_| matches!(result.verdict, Verdict::Change(_))));
    let apart = runs_apart.as_ref();
    // Alleys that a change went wrong with are brought to the present by what it did not do.
    if !explained || apart.is_some_and(|apart| apart.by_since) {
        singles::say_centres(
            inputs,
            &groups,
            of_one.as_ref(),
            apart,
            &result,
            &mut outcome,
            common,
        );
    }
    let result = result.unless_singles(outcome.singles.last());
    if let Some(error) = &width_error {
        singles::say_widths(inputs, error, &mut outcome, common);
    }
    let pending = match &result.verdict {
        Verdict::Change(_) => Some(taken_out(inputs, &result, units)),
        Verdict::Wait(_) => Some(shift),
        Verdict::Keep(_) | Verdict::Measure(_) | Verdict::Cause(_) => None,
    };
    outcome.settings.push(result);
    outcome.next = match width_off {
        Some(off) => Some(mend_width(&off)),
        None => outcome.setting_to_change().or(marks),
    };
    (outcome, pending)
}

/// Planter and marks, as far as they can be told from one another.
struct Parted {
    /// The shift that the setback takes out.
    shift: Value,
    /// How far the marks stand short of their line, seen going out, and the half width of its
    /// interval.
    mark_line: Option<(Value, f64)>,
    /// How sure the shift is.
    judgement: Judgement,
}

/// Both headings part planter from marks, and so do leads beside one heading.
fn parted(
    by_leads: Option<&ByLeads<'_>>,
    alleys: Value,
    both: Option<BothHeadings>,
    mut by_alleys: Judgement,
    tolerance: Option<Value>,
    common: &Common,
) -> Parted {
    let of_leads = by_leads.and_then(|leads| Some((leads.parted()?, leads)));
    if let Some(((shift, short), leads)) = of_leads
        && let Some(judgement) = leads.judge(tolerance, common)
    {
        // Two means that are sure to a and b differ by what is sure to the root of a^2 + b^2.
        let scatter = judgement.sure_to().hypot(by_alleys.sure_to());
        return Parted { shift, mark_line: Some((short, scatter)), judgement };
    }
    if let Some(leads) = by_leads {
        leads.leave_open(&mut by_alleys);
    }
    // The standard error of half the difference of two means is that of their mean.
    let scatter = by_alleys.sure_to();
    let mark_line = both.map(|both| (both.mark_line, scatter));
    Parted { shift: alleys, mark_line, judgement: by_alleys }
}

/// How far back the setback as it will be set moves every alley: what its step leaves stays.
fn taken_out(inputs: &Inputs, result: &SettingResult, units: &Units) -> Value {
    let now = inputs.setback.now(units);
    let back = inputs.setback.moved_back(&now, &result.set);
    back.named("shift that the new setback takes out")
}

/// How sure the shift is, from the middle of every alley.
fn judge(
    inputs: &Inputs,
    common: &Common,
    groups: &[Group],
    shift: &Value,
    tolerance: Option<Value>,
    jitter: Option<Value>,
    (explained, apart): (bool, Option<&Apart>),
) -> Option<Judgement> {
    Judgement::of(&Evidence {
        subject: SUBJECT,
        groups: groups.iter().map(|group| group.each.clone()).collect(),
        parted: Some(&BY_HEADING),
        known: None,
        error: shift.clone(),
        to_error: &|spread| spread,
        jitter,
        tolerance,
        tolerance_key: "centre",
        key: "alley",
        confidence: common.confidence,
        // Several runs of one heading are several passes: their order is no way along the field.
        in_plot_order: inputs.runs.len() == groups.len(),
        left_out: common.left_out(CALCULATION),
        reach: reach(inputs, shift, &common.units),
        apart,
        of_runs: groups.iter().map(|group| since::runs_of(inputs, group)).collect(),
        by_run: explained || apart.is_some(),
    })
}

/// How far is too far: from half a trip spacing on it is another alley that was measured.
fn reach(inputs: &Inputs, shift: &Value, units: &Units) -> Option<Reach> {
    let plot = units.length("plot", inputs.plot.as_ref()?);
    let wanted = units.length("alley wanted", &inputs.alley);
    let by_run = inputs.runs.iter().filter_map(|run| {
        let sides = run.sides(units);
        let centres: Vec<Value> =
            sides.iter().filter_map(|alley| centre_of(alley, &wanted)).collect();
        Some(statistics::mean(SUBJECT, &centres)?.number())
    });
    Some(Reach {
        trip_spacing: (&plot + &wanted).named("trip spacing"),
        plot,
        measured: shift.clone().named("shift"),
        instead: "another alley was measured, or against another mark",
        by_run: by_run.collect(),
    })
}

/// Mean `a` and `b` over the groups, where every alley of every group has both.
fn mean_sides(groups: &[Group]) -> Option<(Value, Value)> {
    let sides: Option<Vec<&(Value, Value)>> = groups.iter().map(|g| g.sides.as_ref()).collect();
    match sides?.as_slice() {
        [(a, b)] => Some((a.clone(), b.clone())),
        [(a1, b1), (a2, b2)] => {
            let half = || Value::constant(2.0);
            Some((
                ((a1 + a2) / half()).named("mean last seed to mark"),
                ((b1 + b2) / half()).named("mean mark to first seed"),
            ))
        }
        _ => None,
    }
}

/// The width a + b against the one wanted.
fn width_error(
    inputs: &Inputs,
    common: &Common,
    sides: &(Value, Value),
    outcome: &mut Outcome,
) -> Value {
    let width = (&sides.0 + &sides.1).named("alley width");
    let wanted = common.units.length("alley wanted", &inputs.alley);
    let error = (&width - &wanted).named("alley width against wanted");
    outcome.values.extend([width, error.clone()]);
    error
}

/// How far off the width is, in words, where that is too far.
fn width(inputs: &Inputs, common: &Common, error: &Value, outcome: &mut Outcome) -> Option<String> {
    let units = &common.units;
    let tolerance = inputs.width_tolerance.as_ref().or(inputs.tolerance.as_ref())?;
    let limit = units.length("width tolerance", tolerance);
    let off = error.number().abs();
    if at_most(off, limit.number()) {
        return None;
    }
    let widths: Vec<Value> = inputs
        .runs
        .iter()
        .flat_map(|run| &run.alleys)
        .filter_map(|alley| width_of(alley, units))
        .collect();
    let scatter = width_scatter(&widths, inputs.seeds.as_ref(), common.confidence, units);
    if off <= scatter {
        return None;
    }
    let way = if error.number() > 0.0 { "too wide" } else { "too narrow" };
    let off = format!("{} {} {way}", brief(off), error.unit_text());
    outcome.warnings.push(ALLEY_WIDTH_OFF.with(format!(
        "the alley is {off}, more than the tolerance of {tolerance}; set the changeover right \
         before the setback"
    )));
    Some(off)
}

/// How far the mean of widths may be off by scatter alone: the half width of its interval, with
/// the scatter that two edges of random phase bring, s / sqrt(6), at the least.
pub(super) fn width_scatter(
    widths: &[Value],
    seeds: Option<&Seeds>,
    confidence: Confidence,
    units: &Units,
) -> f64 {
    let by_seeds =
        seeds.map_or(0.0, |seeds| jitter::of_edge(&seeds.spacing(units)).number() * 2.0_f64.sqrt());
    let of_several = statistics::Moments::of("alley width", widths).and_then(|moments| {
        let sd = moments.scatter?.sd.number().max(by_seeds);
        let t = confidence.t(u32::try_from(widths.len() - 1).ok()?)?;
        Some(t.number() * sd / moments.count.number().sqrt())
    });
    // One alley: twice its standard deviation.
    of_several.unwrap_or(2.0 * by_seeds)
}

fn mend_width(off: &str) -> Next {
    Next::only(
        CALCULATION,
        format!(
            "the alley is {off}: set the changeover right (the next lot let in later makes it \
             wider), plant again and measure both sides before the setback is touched"
        ),
    )
}

/// Says which way the marks stand off their line, where that is beyond tolerance and scatter.
pub(super) fn remark_on_marks(
    mark_line: &Value,
    scatter: f64,
    tolerance: Option<&Value>,
    outcome: &mut Outcome,
) -> Option<Next> {
    outcome.values.push(mark_line.clone());
    let off = mark_line.number().abs();
    if tolerance.is_none_or(|tolerance| off <= tolerance.number()) || off <= scatter {
        return None;
    }
    // Going out, alleys ahead of their marks mean marks that stand too near the start.
    let (stand, go) =
        if mark_line.number() > 0.0 { ("short of", "out") } else { ("beyond", "home") };
    let by = format!("{} {}", brief(off), mark_line.unit_text());
    let words = format!(
        "alleys going out and coming home lie {by} each way off their middle: the marks stand so \
         far {stand} the line that both headings agree on, seen going out, or the ground slopes, \
         and the wheel slips more uphill than downhill"
    );
    outcome.warnings.push(MARK_LINE.with(format!("{words}; no planter setting mends that")));
    let next = Next::only(
        outcome.calculation,
        format!(
            "{words}: lay a level on the ground, or measure again where it is level, before any \
             stake is moved; on level ground the marks belong {by} further {go}"
        ),
    );
    let marks = Adjustment {
        what: ByHand::Marks,
        by: By::Number(mark_line.clone()),
        error: Some(mark_line.clone()),
        why: "out and home agree on another line".into(),
    };
    Some(next.adjusting(vec![marks]))
}

fn remark(groups: &[Group], parted: bool, result: &SettingResult, outcome: &mut Outcome) {
    if groups.iter().any(|group| group.leans) {
        outcome.warnings.push(
            LEANS_ON_NOMINAL.with(
                "alleys measured on one side only lean on the alley wanted for the other side",
            ),
        );
    }
    if groups.len() == 1 && !parted {
        outcome.warnings.push(ONE_HEADING.with(
            "all alleys were measured on one heading, so an error of the mark line would look \
             like a shift of the planter",
        ));
    }
    if result.set.number() < 0.0 {
        outcome.warnings.push(
            BELOW_ZERO.with(format!(
                "the setback would have to be {}, below zero",
                in_words(&result.set)
            )),
        );
    }
}

/// The alley as measured over the alley as wanted, with the mark at zero.
fn picture(a: &Value, b: &Value, alley: &Length, units: &Units) -> Picture {
    let half = alley.value_in(units.length) / 2.0;
    Picture::Ground(Ground {
        title: "alley against its mark",
        unit: units.length.to_string(),
        lanes: vec![
            Lane::with_alley("measured", Travel::Rightward, -a.number(), b.number(), Some(0.0)),
            Lane::with_alley("wanted", Travel::Rightward, -half, half, Some(0.0)),
        ],
    })
}

#[cfg(test)]
mod worked;

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "alley",
    about: "Setback: the middle of the alley against its mark",
    lacks: "[[alley-run]] that can be used",
    advice: "add an [[alley-run]] with `last-seed-to-mark` and `mark-to-first-seed`",
    has_readings: true,
    runs: &["alley-run"],
    warnings: &[],
    tolerances: &[("width", "width of the alley"), ("centre", "middle of the alley from its mark")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key == leads::KEY {
            readings::leave_out(self.leads.iter_mut().map(|run| &mut run.leads), places);
            self.leads.retain(|run| !run.leads.is_empty());
        }
        if key != CALCULATION.key {
            return 0;
        }
        let count = readings::leave_out(self.runs.iter_mut().map(|run| &mut run.alleys), places);
        self.runs.retain(|run| !run.alleys.is_empty());
        count
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }

    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        let (outcome, shift) = calibrate_with_shift(self, common);
        so_far.outcomes.push(outcome);
        so_far.pending_shift = shift;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calculations::spacing::Target;
    use crate::quantity::{Decimal, LengthUnit, Unit};

    fn inches(text: &str) -> Length {
        Length::parse(text, Some(LengthUnit::Inch)).expect("a length")
    }

    fn value(number: f64) -> Value {
        Value::constant(number)
            * Value::typed("one", Decimal::whole(1), Unit::from(LengthUnit::Inch))
    }

    #[test]
    fn a_width_needs_both_sides() {
        let both = Measured {
            last_seed_to_mark: Some(inches("11.5")),
            mark_to_first_seed: Some(inches("17.5")),
        };
        let width = width_of(&both, &Units::US).expect("a width");
        assert_eq!(width.number(), 29.0); // 11.5 + 17.5
        let one = Measured { mark_to_first_seed: None, ..both };
        assert!(width_of(&one, &Units::US).is_none());
    }

    #[test]
    fn the_mean_of_widths_is_off_by_their_scatter_or_that_of_the_seeds() {
        // SD of 30, 31, 32 is 1; t of 2 degrees of freedom is 4.30265 (NIST/SEMATECH
        // e-Handbook 1.3.6.7.2 has 4.303): 4.30265 / sqrt(3) = 2.48414.
        let widths = [value(30.0), value(31.0), value(32.0)];
        let scatter = |widths: &[Value], seeds: Option<&Seeds>| {
            width_scatter(widths, seeds, Confidence::NINETY_FIVE, &Units::US)
        };
        approx::assert_relative_eq!(scatter(&widths, None), 2.484_14, max_relative = 1e-5);
        // Seeds 6 in apart: 6 / sqrt(6) = 2.44949, more than 1, and the interval grows with it.
        let seeds = Seeds { target: Target::Spacing(inches("6")), row_spacing: inches("30") };
        let wide = scatter(&widths, Some(&seeds));
        approx::assert_relative_eq!(wide, 6.084_87, max_relative = 1e-5);
        // One alley: twice 2.44949. Nothing known: none.
        let alone = scatter(&widths[..1], Some(&seeds));
        approx::assert_relative_eq!(alone, 4.898_98, max_relative = 1e-5);
        assert_eq!(scatter(&widths[..1], None), 0.0);
        // Seeds 1 in apart scatter less than the widths do.
        let close = Seeds { target: Target::Spacing(inches("1")), row_spacing: inches("30") };
        let plain = scatter(&widths, Some(&close));
        approx::assert_relative_eq!(plain, 2.484_14, max_relative = 1e-5);
    }

    #[test]
    fn marks_off_their_line_are_spoken_of_beyond_the_tolerance_only() {
        let tolerance = value(1.0);
        let said = |off: f64, tolerance: Option<&Value>| {
            let mut outcome = Outcome::new(CALCULATION);
            let next = remark_on_marks(&value(off), 0.0, tolerance, &mut outcome);
            assert_eq!(next.is_some(), !outcome.warnings.is_empty());
            next.map(|next| next.instruction)
        };
        let short = said(2.0, Some(&tolerance)).expect("a remark");
        assert!(short.contains("so far short of") && short.contains("2 in further out"), "{short}");
        let beyond = said(-2.0, Some(&tolerance)).expect("a remark");
        assert!(beyond.contains("so far beyond"), "{beyond}");
        assert!(beyond.contains("2 in further home"), "{beyond}");
        assert_eq!(said(1.0, Some(&tolerance)), None);
        assert_eq!(said(2.0, None), None);
    }
}
