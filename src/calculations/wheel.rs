//! The ground wheel: travel per turn and skid.

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::quantity::{Decimal, Length, MeasureUnit, Share, Unit, brief};
use crate::working::Value;

use crate::outcome::warning::{IMPOSSIBLE_SKID, NEGATIVE_SKID, TRAVEL_DIFFERS};
use crate::outcome::{Calculation, Next, Outcome};
use crate::quantity::at_most;
use crate::working::Units;

/// Percent of skid, or of turning more than rolling, beyond which a number is wrong: the limit of
/// what a sheet may give for it.
const MOST_SKID: f64 = 50.0;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "wheel", title: "Ground wheel" };

/// Wheel turns counted over a course, as often as it was driven.
#[derive(Clone, Debug)]
pub struct WheelRun {
    /// Length of the course.
    pub course: Length,
    /// Turns of the drive wheel on each run over it.
    pub turns: Vec<Decimal>,
}

/// Where the travel per turn of the planter table comes from.
#[derive(Clone, Debug)]
pub enum Travel {
    /// Ground covered in so many turns, measured in the soil, so that skid is inside.
    Measured {
        /// Ground covered.
        distance: Length,
        /// Turns counted.
        turns: Decimal,
    },
    /// Rolling circumference and the skid to expect.
    Rolling {
        /// Rolling circumference.
        circumference: Length,
        /// Share of the ground that the wheel passes without turning.
        skid: Share,
    },
}

/// What the wheel calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Wheel runs; at least one.
    pub runs: Vec<WheelRun>,
    /// Rolling circumference, where known, for the skid.
    pub circumference: Option<Length>,
    /// What the planter table says.
    pub planter: Option<Travel>,
    /// How far the two may differ before it is remarked on.
    pub tolerance: Option<Share>,
}

/// Travel per turn as the planter table gives it: distance / turns, or rolling circumference /
/// (1 - skid).
///
/// ```
/// use alleytrue::calculations::wheel::{Travel, travel_of_planter};
/// use alleytrue::working::Units;
/// use alleytrue::quantity::{Decimal, Length};
/// // Southeast Farm Press quoting state extension: 145.2 ft in 19 turns, 7.64 ft a turn.
/// let travel = Travel::Measured {
///     distance: Length::parse("145.2 ft", None)?,
///     turns: Decimal::whole(19),
/// };
/// let inches = travel_of_planter(&travel, "travel per turn", &Units::US).number();
/// assert!((inches / 12.0 - 7.64).abs() < 0.005);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn travel_of_planter(travel: &Travel, name: &'static str, units: &Units) -> Value {
    match travel {
        Travel::Measured { distance, turns } => {
            units.length("distance covered", distance)
                / Value::typed("turns counted", *turns, Unit::ONE)
        }
        Travel::Rolling { circumference, skid } => {
            units.length("rolling circumference", circumference)
                / (Value::constant(1.0) - Value::measured("expected skid", skid, Unit::ONE))
        }
    }
    .named(name)
}

/// Travel per turn from wheel runs: all ground covered / all turns counted.
///
/// ```
/// use alleytrue::calculations::wheel::{WheelRun, travel_of_runs};
/// use alleytrue::working::Units;
/// use alleytrue::quantity::{Decimal, Length};
/// // University of Kentucky: 50 ft in 10 turns is 60 in a turn.
/// let run = WheelRun {
///     course: Length::parse("50 ft", None)?,
///     turns: vec![Decimal::whole(10)],
/// };
/// assert_eq!(travel_of_runs(&[run], &Units::US).number(), 60.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn travel_of_runs(runs: &[WheelRun], units: &Units) -> Value {
    travel_per_turn(&ground_covered(runs, units), &turns_counted(runs))
}

fn travel_per_turn(ground: &Value, turns: &Value) -> Value {
    (ground / turns).named("travel per turn")
}

fn ground_covered(runs: &[WheelRun], units: &Units) -> Value {
    if let [run] = runs
        && run.turns.len() == 1
    {
        return units.length("course", &run.course);
    }
    let course = |run: &WheelRun| Value::reading(&run.course, units.length.compound());
    let of_run = |run: &WheelRun| readings::count(run.turns.len()) * course(run);
    Value::sum("courses driven", runs.iter().map(of_run).collect()).named("ground covered in all")
}

fn turns_counted(runs: &[WheelRun]) -> Value {
    let reading = |turns: &Decimal| Value::counted(*turns);
    Value::sum("turns", runs.iter().flat_map(|run| run.turns.iter().map(reading)).collect())
        .named("turns in all")
}

/// Skid of a wheel that is turned by the ground: 1 - turns × rolling circumference / ground
/// covered, the share of the way it slid without turning.
///
/// ```
/// use alleytrue::calculations::wheel::skid;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let inch = Unit::from(LengthUnit::Inch);
/// let turns = Value::typed("turns", Decimal::whole(10), Unit::ONE);
/// let circumference = Value::typed("rolling circumference", Decimal::whole(57), inch);
/// let ground = Value::typed("ground covered", Decimal::whole(600), inch);
/// assert!((skid(&turns, &circumference, &ground).number() - 0.05).abs() < 1e-12);
/// ```
#[must_use]
pub fn skid(turns: &Value, circumference: &Value, ground: &Value) -> Value {
    Value::constant(1.0) - turns * circumference / ground
}

/// Travel per turn and skid from wheel runs, held against the planter table.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let ground = ground_covered(&inputs.runs, units);
    let turns = turns_counted(&inputs.runs);
    let travel = travel_per_turn(&ground, &turns);
    let mut outcome = Outcome::new(CALCULATION);
    outcome.values.push(travel.clone());
    if let Some(circumference) = &inputs.circumference {
        let rolling = units.length("rolling circumference", circumference);
        let skid = skid(&turns, &rolling, &ground).in_percent().named("skid");
        if !at_most(skid.number().abs(), MOST_SKID) {
            let words = format!("a skid of {} % can't be", brief(skid.number()));
            outcome.next = Some(Next::only(
                CALCULATION,
                format!("{words}: look at the turns, the course and the rolling circumference"),
            ));
            outcome.warnings.push(IMPOSSIBLE_SKID.with(words));
        } else if skid.number() < 0.0 {
            outcome.warnings.push(NEGATIVE_SKID.with(format!(
                "the skid comes out at {} %: the wheel seems to turn more than it rolls",
                brief(skid.number())
            )));
        }
        outcome.values.push(skid);
    }
    if let Some(planter) = &inputs.planter {
        compare(&mut outcome, &travel, planter, inputs, common);
    }
    outcome
}

fn compare(
    outcome: &mut Outcome,
    travel: &Value,
    planter: &Travel,
    inputs: &Inputs,
    common: &Common,
) {
    let before = travel_of_planter(planter, "travel per turn in [planter]", &common.units);
    let difference = (travel / &before - Value::constant(1.0))
        .in_percent()
        .named("wheel runs against [planter]");
    let limit = inputs.tolerance.as_ref().map_or(0.0, |share| share.base() * 100.0);
    if !at_most(difference.number().abs(), limit) {
        outcome.warnings.push(TRAVEL_DIFFERS.with(format!(
            "the wheel runs give a travel per turn {} % off the one in [planter]; the wheel runs \
             are used",
            brief(difference.number())
        )));
    }
    outcome.values.push(difference);
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "speed",
    about: "",
    lacks: "[[speed-run]] and no [[wheel-run]]",
    advice: "add a [[speed-run]] with `course` and `times`, or a [[wheel-run]] with `course` and `turns`",
    has_readings: false,
    runs: &["wheel-run"],
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::METRIC)
    }

    fn length(text: &str) -> Length {
        Length::parse(text, None).expect("a length")
    }

    fn inputs(course: &str) -> Inputs {
        Inputs {
            runs: vec![WheelRun { course: length(course), turns: vec![Decimal::whole(10)] }],
            circumference: None,
            planter: None,
            tolerance: None,
        }
    }

    fn said<'a>(outcome: &'a Outcome, code: &str) -> Option<&'a str> {
        let found = outcome.warnings.iter().find(|warning| warning.kind.code == code);
        found.map(|warning| warning.message.as_str())
    }

    fn number(outcome: &Outcome, name: &str) -> f64 {
        let value = outcome.values.iter().find(|value| value.name() == Some(name));
        value.expect(name).number()
    }

    /// The planter table has 10 m in 10 turns, 1 m a turn; 10.2 m are 2 % more, 9.8 m 2 % less.
    #[test]
    fn wheel_runs_are_held_against_the_planter_table() {
        let compared = |course: &str, tolerance: Option<&str>| {
            let travel = Travel::Measured { distance: length("10 m"), turns: Decimal::whole(10) };
            let tolerance = tolerance.map(|text| Share::parse(text, None).expect("a share"));
            calibrate(&Inputs { planter: Some(travel), tolerance, ..inputs(course) }, &common())
        };
        let words = |off: &str| {
            format!(
                "the wheel runs give a travel per turn {off} % off the one in [planter]; the \
                 wheel runs are used"
            )
        };
        for (course, off) in [("10.2 m", 2.0), ("9.8 m", -2.0)] {
            let outcome = compared(course, Some("2 %"));
            assert!((number(&outcome, "wheel runs against [planter]") - off).abs() < 1e-9);
            assert_eq!(said(&outcome, "travel-differs"), None, "just the tolerance");
            for tolerance in [Some("1.9 %"), None] {
                let outcome = compared(course, tolerance);
                let wanted = words(&off.to_string());
                assert_eq!(said(&outcome, "travel-differs"), Some(wanted.as_str()));
            }
        }
        assert_eq!(said(&compared("10 m", None), "travel-differs"), None);
    }

    /// 10 turns of 1 m over 10 m slide nothing, over 10.5 m 1 - 10 / 10.5 = 4.76 %; over 9.6 m
    /// the wheel turned 4.17 % more than it rolled.
    #[test]
    fn a_wheel_that_slides_nothing_is_believed_and_one_that_overturns_is_not() {
        let skid = |course: &str| {
            calibrate(&Inputs { circumference: Some(length("1 m")), ..inputs(course) }, &common())
        };
        assert_eq!(number(&skid("10 m"), "skid"), 0.0);
        assert_eq!(said(&skid("10 m"), "negative-skid"), None);
        assert_eq!(said(&skid("10.5 m"), "negative-skid"), None);
        let words = "the skid comes out at -4.17 %: the wheel seems to turn more than it rolls";
        assert_eq!(said(&skid("9.6 m"), "negative-skid"), Some(words));
    }

    /// 240 + 240 + 241 turns of 100 in over three times 2400 in: 1 - 721 x 100 / 7200 = -9.0139.
    /// 10 turns of 1 m over 21 m: 1 - 10 / 21 = 0.5238; over 20 m just a half.
    #[test]
    fn a_skid_of_more_than_half_either_way_is_a_slip_of_the_numbers() {
        let run = WheelRun {
            course: length("200 ft"),
            turns: [240, 240, 241].map(Decimal::whole).to_vec(),
        };
        let circumference = Some(length("100 in"));
        let slip = Inputs { runs: vec![run], circumference, planter: None, tolerance: None };
        let outcome = calibrate(&slip, &common());
        assert_eq!(said(&outcome, "impossible-skid"), Some("a skid of -901 % can't be"));
        let next = outcome.next.expect("a step").instruction;
        let words = "a skid of -901 % can't be: look at the turns, the course and the rolling \
                     circumference";
        assert_eq!(next, words);
        let skid = |course: &str| {
            calibrate(&Inputs { circumference: Some(length("1 m")), ..inputs(course) }, &common())
        };
        assert_eq!(said(&skid("21 m"), "impossible-skid"), Some("a skid of 52.4 % can't be"));
        assert_eq!(said(&skid("20 m"), "impossible-skid"), None);
    }
}
