//! Alleys against their marks, and where their middles lie.

use crate::calculations::edges::EdgesSince;
use crate::calculations::offsets::Rank;
use crate::outcome::Heading;
use crate::outcome::Then;
use crate::quantity::{Length, MeasureUnit};
use crate::statistics;
use crate::working::{Units, Value};

/// What one reading is: the middle of one alley against its mark.
pub(super) const SUBJECT: &str = "alley centre";

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
    /// Which of its kind in the sheet, counted from one, where it is of one.
    pub number: Option<usize>,
    /// Which way the passes went, where it was written down.
    pub heading: Option<Heading>,
    /// The alleys.
    pub alleys: Vec<Measured>,
    /// What was set otherwise when they were planted.
    pub then: Vec<Then>,
    /// What other timers since have done to their edges.
    pub edges: Option<EdgesSince>,
    /// The row that was taped, where row units don't sit in one line.
    pub rank: Option<Rank>,
}

/// Last seed to mark and mark to first seed of one alley, as far as they were measured, as they
/// would be with what is set now.
pub(crate) type Sides = [Option<Value>; 2];

impl AlleyRun {
    /// Whether nothing that moves its alleys was set otherwise.
    #[must_use]
    pub fn is_present(&self) -> bool {
        self.then.is_empty() && self.edges.is_none()
    }

    /// Both sides of every alley, brought to the present: an alley that has come ahead since has a
    /// last seed so much nearer to its mark, and a first seed so much further from it.
    pub(crate) fn sides(&self, units: &Units) -> Vec<Sides> {
        let reading = |length: &Length| Value::reading(length, units.length.compound());
        // The middle of all rows lies ahead of the row that was taped, as it would after a change.
        let rank = self.rank.as_ref().map(|rank| rank.to_middle(units));
        let since = Then::all_ahead(&self.then, self.heading, units);
        let since = since.into_iter().chain(rank).reduce(|sum, next| sum + next);
        let sides = |alley: &Measured| {
            let a = alley.last_seed_to_mark.as_ref().map(reading);
            let b = alley.mark_to_first_seed.as_ref().map(reading);
            let sides = match &since {
                Some(since) => [a.map(|a| a - since), b.map(|b| b + since)],
                None => [a, b],
            };
            match &self.edges {
                Some(edges) => edges.at_present(sides),
                None => sides,
            }
        };
        self.alleys.iter().map(sides).collect()
    }
}

/// How far the middle of the alley lies ahead of its mark, from both sides: (b - a) / 2.
///
/// ```
/// use alleytrue::calculations::alley::centre_ahead;
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
/// use alleytrue::calculations::alley::centre_ahead_by_last_seed;
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
/// use alleytrue::calculations::alley::centre_ahead_by_first_seed;
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
pub(crate) struct Group {
    pub(crate) heading: Option<Heading>,
    /// Behind the names of its figures, where there are two.
    pub(crate) tag: String,
    /// Mean distance of the middle ahead of the mark.
    pub(crate) ahead: Value,
    /// The same at each alley.
    pub(crate) each: Vec<Value>,
    /// Mean `a` and `b`, where every alley has both.
    pub(crate) sides: Option<(Value, Value)>,
    pub(crate) leans: bool,
}

/// The runs by heading, out before home.
pub(crate) fn groups(runs: &[AlleyRun], alley: &Length, units: &Units) -> Vec<Group> {
    groups_named(runs, "", alley, units)
}

/// The same; `of` stands behind the names of all figures.
pub(crate) fn groups_named(
    runs: &[AlleyRun],
    of: &str,
    alley: &Length,
    units: &Units,
) -> Vec<Group> {
    let mut headings: Vec<Option<Heading>> = runs.iter().map(|run| run.heading).collect();
    headings.sort_unstable();
    headings.dedup();
    let tagged = headings.len() > 1;
    let wanted = units.length("alley wanted", alley);
    headings
        .into_iter()
        .filter_map(|heading| {
            let own = runs.iter().filter(|run| run.heading == heading);
            let alleys: Vec<Sides> = own.flat_map(|run| run.sides(units)).collect();
            let tag = heading.filter(|_| tagged).map_or("", |heading| match heading {
                Heading::Out => ", out",
                Heading::Home => ", home",
            });
            group(heading, &alleys, &wanted, [tag, of].concat())
        })
        .collect()
}

fn group(heading: Option<Heading>, alleys: &[Sides], wanted: &Value, tag: String) -> Option<Group> {
    let both: Option<Vec<(Value, Value)>> =
        alleys.iter().map(|[a, b]| a.clone().zip(b.clone())).collect();
    let Some(pairs) = both else {
        let each: Vec<Value> = alleys.iter().filter_map(|alley| centre_of(alley, wanted)).collect();
        let mean = statistics::mean(&[SUBJECT, &tag].concat(), &each)?;
        let ahead = mean.named(["centre ahead of mark", &tag].concat());
        return Some(Group { heading, tag, ahead, each, sides: None, leans: true });
    };
    let each = pairs.iter().map(|(a, b)| centre_ahead(a, b)).collect();
    let (a, b): (Vec<Value>, Vec<Value>) = pairs.into_iter().unzip();
    let a = statistics::mean(&["last seed to mark", &tag].concat(), &a)?;
    let b = statistics::mean(&["mark to first seed", &tag].concat(), &b)?;
    let ahead = centre_ahead(&a, &b).named(["centre ahead of mark", &tag].concat());
    Some(Group { heading, tag, ahead, each, sides: Some((a, b)), leans: false })
}

/// How far the middle of one alley lies ahead of its mark, by what was measured of it.
pub(crate) fn centre_of(alley: &Sides, wanted: &Value) -> Option<Value> {
    match alley {
        [Some(a), Some(b)] => Some(centre_ahead(a, b)),
        [Some(a), None] => Some(centre_ahead_by_last_seed(wanted, a)),
        [None, Some(b)] => Some(centre_ahead_by_first_seed(wanted, b)),
        [None, None] => None,
    }
}

/// Width of one alley, where both sides were measured: a + b.
#[must_use]
pub fn width_of(alley: &Measured, units: &Units) -> Option<Value> {
    let reading = |length: &Length| Value::reading(length, units.length.compound());
    let a = alley.last_seed_to_mark.as_ref().map(reading)?;
    let b = alley.mark_to_first_seed.as_ref().map(reading)?;
    Some(a + b)
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
/// use alleytrue::calculations::alley::both_headings;
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
        mark_line: mark_line(out, home).named("error of the mark line, seen going out"),
    }
}

/// Half of what sets the two headings apart: the shift of the marks, seen going out.
pub(crate) fn mark_line(out: &Value, home: &Value) -> Value {
    (out - home) / Value::constant(2.0)
}

/// The shift that the setback takes out, from runs of one or both headings.
pub(crate) fn shift(groups: &[Group]) -> Option<(Value, Option<BothHeadings>)> {
    match groups {
        [out, home] if out.heading.is_some() => {
            let apart = both_headings(&out.ahead, &home.ahead);
            Some((apart.along_travel.clone(), Some(apart)))
        }
        [one] => Some((one.ahead.clone(), None)),
        _ => None,
    }
}
