//! Alley centring: where the middle of the alley lies against its mark, and the setback.
//!
//! Everything is measured along the direction of travel: `a` from the last seed of one plot to
//! the mark, `b` from the mark to the first seed of the next.

use crate::quantity::{Length, brief};
use crate::working::Value;

use super::cautions::ON_THE_RANGE;
use super::outcome::in_words;
use super::warning::{
    ALLEY_WIDTH_OFF, BELOW_ZERO, LEANS_ON_NOMINAL, MARK_LINE, NO_TOLERANCE, ONE_HEADING,
};
use super::{
    Calculation, Ground, Lane, MovingSetting, Next, Outcome, SettingResult, Travel, Units, Verdict,
};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "alley", title: "Alley centring" };

/// Which way a pass went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Heading {
    /// Away from the start of the field.
    Out,
    /// Back to it.
    Home,
}

impl Heading {
    /// The word of the sheet.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Heading::Out => "out",
            Heading::Home => "home",
        }
    }
}

/// One alley as measured: either side may be missing, not both.
#[derive(Clone, Debug)]
pub struct Measured {
    /// `a`: last seed to mark.
    pub last_seed_to_mark: Option<Length>,
    /// `b`: mark to first seed.
    pub mark_to_first_seed: Option<Length>,
}

/// Alleys measured on passes of one heading.
#[derive(Clone, Debug)]
pub struct AlleyRun {
    /// Which way the passes went, where it was written down.
    pub heading: Option<Heading>,
    /// The alleys.
    pub alleys: Vec<Measured>,
}

/// What the alley calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Runs at the present settings; every list holds at least one alley.
    pub runs: Vec<AlleyRun>,
    /// The alley that is wanted.
    pub alley: Length,
    /// The setting that moves alleys relative to their marks.
    pub setback: MovingSetting,
    /// How far the middle may lie from its mark.
    pub tolerance: Option<Length>,
    /// How far the width may be off.
    pub width_tolerance: Option<Length>,
    /// Working units.
    pub units: Units,
}

/// How far the middle of the alley lies ahead of its mark, from both sides: (b - a) / 2.
///
/// ```
/// use alleytrue::calibration::alley::centre_ahead;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let a = Value::typed("last seed to mark", Decimal::whole(12), inch);
/// let b = Value::typed("mark to first seed", Decimal::whole(18), inch);
/// assert_eq!(centre_ahead(&a, &b).number(), 3.0);
/// ```
#[must_use]
pub fn centre_ahead(last_seed_to_mark: &Value, mark_to_first_seed: &Value) -> Value {
    (mark_to_first_seed - last_seed_to_mark) / Value::constant(2.0)
}

/// The same from the last seed alone, leaning on the alley that is wanted: alley / 2 - a.
///
/// ```
/// use alleytrue::calibration::alley::centre_ahead_by_last_seed;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let alley = Value::typed("alley", Decimal::whole(36), inch);
/// let a = Value::typed("last seed to mark", Decimal::whole(12), inch);
/// // The mark lies 12 in past the last seed where it should lie 18: 6 in ahead.
/// assert_eq!(centre_ahead_by_last_seed(&alley, &a).number(), 6.0); // common practice, no source
/// ```
#[must_use]
pub fn centre_ahead_by_last_seed(alley: &Value, last_seed_to_mark: &Value) -> Value {
    alley / Value::constant(2.0) - last_seed_to_mark
}

/// The same from the first seed alone: b - alley / 2.
///
/// ```
/// use alleytrue::calibration::alley::centre_ahead_by_first_seed;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let alley = Value::typed("alley", Decimal::whole(36), inch);
/// let b = Value::typed("mark to first seed", Decimal::whole(20), inch);
/// assert_eq!(centre_ahead_by_first_seed(&alley, &b).number(), 2.0);
/// ```
#[must_use]
pub fn centre_ahead_by_first_seed(alley: &Value, mark_to_first_seed: &Value) -> Value {
    mark_to_first_seed - alley / Value::constant(2.0)
}

/// Where alleys of one heading lie.
pub(super) struct Group {
    pub(super) heading: Option<Heading>,
    /// Mean distance of the middle ahead of the mark.
    pub(super) ahead: Value,
    /// Mean `a` and `b`, where every alley has both.
    sides: Option<(Value, Value)>,
    leans: bool,
}

/// The runs by heading, out before home.
pub(super) fn groups(runs: &[AlleyRun], alley: &Length, units: &Units) -> Vec<Group> {
    let mut headings: Vec<Option<Heading>> = runs.iter().map(|run| run.heading).collect();
    headings.sort_unstable();
    headings.dedup();
    let tagged = headings.len() > 1;
    headings
        .into_iter()
        .map(|heading| {
            let alleys: Vec<&Measured> = runs
                .iter()
                .filter(|run| run.heading == heading)
                .flat_map(|run| &run.alleys)
                .collect();
            let tag =
                heading.filter(|_| tagged).map_or(String::new(), |h| format!(", {}", h.word()));
            group(heading, &alleys, &units.length("alley wanted", alley), &tag, units)
        })
        .collect()
}

fn group(
    heading: Option<Heading>,
    alleys: &[&Measured],
    wanted: &Value,
    tag: &str,
    units: &Units,
) -> Group {
    let reading = |length: &Length| units.readings(std::slice::from_ref(length)).remove(0);
    let name = format!("centre ahead of mark{tag}");
    let both: Option<Vec<(Value, Value)>> = alleys
        .iter()
        .map(|one| {
            let a = one.last_seed_to_mark.as_ref()?;
            let b = one.mark_to_first_seed.as_ref()?;
            Some((reading(a), reading(b)))
        })
        .collect();
    if let Some(pairs) = both {
        let (a, b): (Vec<Value>, Vec<Value>) = pairs.into_iter().unzip();
        let a = super::mean(format!("mean last seed to mark{tag}"), "last seed to mark", &a);
        let b = super::mean(format!("mean mark to first seed{tag}"), "mark to first seed", &b);
        let ahead = centre_ahead(&a, &b).named(name);
        return Group { heading, ahead, sides: Some((a, b)), leans: false };
    }
    let each: Vec<Value> = alleys
        .iter()
        .filter_map(|one| {
            let a = one.last_seed_to_mark.as_ref().map(reading);
            let b = one.mark_to_first_seed.as_ref().map(reading);
            match (a, b) {
                (Some(a), Some(b)) => Some(centre_ahead(&a, &b)),
                (Some(a), None) => Some(centre_ahead_by_last_seed(wanted, &a)),
                (None, Some(b)) => Some(centre_ahead_by_first_seed(wanted, &b)),
                (None, None) => None,
            }
        })
        .collect();
    let ahead = super::mean(name, "centre ahead of mark at each alley", &each);
    Group { heading, ahead, sides: None, leans: true }
}

/// The two parts of what lies between alley and mark when both headings were measured.
pub struct BothHeadings {
    /// Shift along the planter's own travel: (out + home) / 2. A setting mends it.
    pub along_travel: Value,
    /// Shift of the marks themselves, seen going out: (out - home) / 2. No setting mends it.
    pub mark_line: Value,
}

/// Takes the two headings apart.
///
/// ```
/// use alleytrue::calibration::alley::both_headings;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let out = Value::typed("centre ahead, out", Decimal::whole(5), inch);
/// let home = Value::typed("centre ahead, home", Decimal::whole(1), inch);
/// let apart = both_headings(&out, &home);
/// assert_eq!(apart.along_travel.number(), 3.0); // planter, both ways alike
/// assert_eq!(apart.mark_line.number(), 2.0); // marks stand 2 in short, seen going out
/// ```
#[must_use]
pub fn both_headings(out: &Value, home: &Value) -> BothHeadings {
    let half = || Value::constant(2.0);
    BothHeadings {
        along_travel: ((out + home) / half()).named("shift along the travel"),
        mark_line: ((out - home) / half()).named("error of the mark line, seen going out"),
    }
}

/// The shift that the setback takes out, from runs of one or both headings.
pub(super) fn shift(groups: &[Group]) -> Option<(Value, Option<BothHeadings>)> {
    match groups {
        [out, home] if out.heading.is_some() => {
            let apart = both_headings(&out.ahead, &home.ahead);
            Some((apart.along_travel.clone(), Some(apart)))
        }
        [one] => Some((one.ahead.clone(), None)),
        _ => None,
    }
}

/// The setback, and the width of the alley against the one wanted.
#[must_use]
pub fn calibrate(inputs: &Inputs) -> Outcome {
    calibrate_with_shift(inputs).0
}

/// [`calibrate`], with the shift that the setback is about to take out, if it has to change.
pub(super) fn calibrate_with_shift(inputs: &Inputs) -> (Outcome, Option<Value>) {
    let units = &inputs.units;
    let groups = groups(&inputs.runs, &inputs.alley, units);
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    let Some((shift, apart)) = shift(&groups) else { return (outcome, None) };
    let tolerance =
        inputs.tolerance.as_ref().map(|length| units.length("centre tolerance", length));
    let mut result = inputs.setback.moving_back(&shift, tolerance.as_ref(), units);

    let sides = mean_sides(&groups);
    let width_off = sides.as_ref().and_then(|sides| width(inputs, sides, &mut outcome));
    outcome.values.push(shift.clone());
    if let Some(apart) = apart {
        remark_on_marks(&apart, tolerance.as_ref(), &mut outcome);
    }
    remark(&groups, &result, tolerance.is_none(), &mut outcome);
    outcome.picture = sides.map(|(a, b)| picture(&a, &b, &inputs.alley, units));
    if let (Some(off), Verdict::Change(_)) = (&width_off, &result.verdict) {
        result.verdict = Verdict::Wait(format!("the alley width is {off}; set that right first"));
    }
    let pending = (!matches!(result.verdict, Verdict::Keep(_))).then_some(shift);
    outcome.settings.push(result);
    outcome.next = match width_off {
        Some(off) => Some(mend_width(&off)),
        None => outcome.setting_to_change(),
    };
    (outcome, pending)
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

/// The width a + b against the one wanted; how far off in words where that is too far.
fn width(inputs: &Inputs, sides: &(Value, Value), outcome: &mut Outcome) -> Option<String> {
    let units = &inputs.units;
    let width = (&sides.0 + &sides.1).named("alley width");
    let wanted = units.length("alley wanted", &inputs.alley);
    let error = (&width - &wanted).named("alley width against wanted");
    outcome.values.extend([width, error.clone()]);
    let tolerance = inputs.width_tolerance.as_ref().or(inputs.tolerance.as_ref())?;
    let limit = units.length("width tolerance", tolerance);
    if error.number().abs() <= limit.number() * (1.0 + 1e-9) {
        return None;
    }
    let way = if error.number() > 0.0 { "too wide" } else { "too narrow" };
    let off = format!("{} {} {way}", brief(error.number().abs()), error.unit_text());
    outcome.warnings.push(ALLEY_WIDTH_OFF.with(format!(
        "the alley is {off}, more than the tolerance of {tolerance}; set the changeover right \
         before the setback"
    )));
    Some(off)
}

fn mend_width(off: &str) -> Next {
    Next {
        calculation: CALCULATION,
        setting: None,
        now: None,
        set: None,
        instruction: format!(
            "the alley is {off}: set the changeover timers right (a longer clean-out makes it \
             wider), plant again and measure both sides before the setback is touched"
        ),
    }
}

fn remark_on_marks(apart: &BothHeadings, tolerance: Option<&Value>, outcome: &mut Outcome) {
    let off = apart.mark_line.number().abs();
    if off > tolerance.map_or(0.0, Value::number) {
        outcome.warnings.push(MARK_LINE.with(format!(
            "the marks stand {} {} off the line that both headings agree on; that is the \
             layout's error, not the planter's",
            brief(off),
            apart.mark_line.unit_text()
        )));
    }
    outcome.values.push(apart.mark_line.clone());
}

fn remark(groups: &[Group], result: &SettingResult, no_tolerance: bool, outcome: &mut Outcome) {
    if groups.iter().any(|group| group.leans) {
        outcome.warnings.push(LEANS_ON_NOMINAL.with(
            "only one side was measured at some alleys; the other side is taken from the alley \
             wanted",
        ));
    }
    if groups.len() == 1 {
        outcome.warnings.push(ONE_HEADING.with(
            "all alleys were measured on one heading, so an error of the mark line would look \
             like a shift of the planter",
        ));
    }
    if no_tolerance {
        outcome.warnings.push(NO_TOLERANCE.with("[trial] tolerance has no `centre`"));
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
fn picture(a: &Value, b: &Value, alley: &Length, units: &Units) -> Ground {
    let half = alley.value_in(units.length) / 2.0;
    Ground {
        title: "alley against its mark",
        unit: units.length.to_string(),
        lanes: vec![
            Lane::with_alley("measured", Travel::Rightward, -a.number(), b.number(), Some(0.0)),
            Lane::with_alley("wanted", Travel::Rightward, -half, half, Some(0.0)),
        ],
    }
}
