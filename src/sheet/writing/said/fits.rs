//! Readings that would fit another unit far better than the one given.
//!
//! A reading is held against what it should be: a readout against its marks, an alley against the
//! one the sheet is for. It is suspected where it is so far off that no planter would be, and
//! taken in another unit of length comes near. How far either may go is common practice, no source.

use crate::quantity::{Duration, Length, LengthUnit, MeasureUnit, Speed, shown};
use crate::sheet::{planter, trial};

use crate::sheet::trip_run::{COMMANDED, MARKS};

use super::super::kinds::Of;
use super::super::place::Places;
use super::super::run::{Given, NewRun};
use super::marks::length;

/// How many times too large or too small what is measured may be in its right unit, to be taken
/// for right.
const NEAR: f64 = 1.35;
/// Units a tape has.
const UNITS: [LengthUnit; 6] = [
    LengthUnit::Millimetre,
    LengthUnit::Centimetre,
    LengthUnit::Metre,
    LengthUnit::Inch,
    LengthUnit::Foot,
    LengthUnit::Yard,
];

/// Readings with what they should be.
struct Against {
    /// What the readings are, in words.
    what: &'static str,
    /// Each in base units.
    readings: Vec<f64>,
    /// The unit that they were given in.
    unit: LengthUnit,
    /// What each should be, in base units.
    should: Vec<f64>,
    /// That in words.
    of: String,
    /// How many times as much, and as little, may be on the ground.
    most: f64,
    /// Whether each has to be right, or the middle one only.
    each: bool,
}

/// Readings that seem to be in another unit than the one given.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspicion {
    /// Why.
    pub words: String,
    /// What to type where it is so.
    pub advice: String,
}

/// Why the readings of a run seem to be in another unit than the one given.
pub(super) fn suspicion(
    run: &NewRun,
    places: &Places<'_>,
    bare: Option<LengthUnit>,
) -> Option<Suspicion> {
    let against = of_trip(run, bare)
        .or_else(|| of_alleys(run, places, bare))
        .or_else(|| of_course(run, places, bare))
        .or_else(|| of_list(run, places, bare))?;
    let mut readings: Vec<(f64, f64)> =
        against.readings.iter().copied().zip(against.should).collect();
    let ratio = |(reading, should): &(f64, f64)| reading / should;
    readings.sort_by(|one, other| ratio(one).total_cmp(&ratio(other)));
    let farthest =
        |one: &&(f64, f64), other: &&(f64, f64)| away(ratio(one)).total_cmp(&away(ratio(other)));
    let middle = readings.get(readings.len() / 2);
    let off = if against.each { readings.iter().max_by(farthest) } else { middle }?;
    let (given, off_by) = (against.unit.base(), ratio(off));
    if !off_by.is_finite() || off_by <= 0.0 || away(off_by) <= against.most {
        return None;
    }
    let fits = |unit: &LengthUnit| away(off_by * unit.base() / given);
    let others = UNITS.into_iter().filter(|unit| *unit != against.unit);
    let best = others.min_by(|one, other| fits(one).total_cmp(&fits(other)))?;
    if fits(&best) > NEAR {
        return None;
    }
    let number = shown(off.0 / given);
    let (what, of, best) = (against.what, against.of, best.symbol());
    let unit = against.unit.symbol();
    Some(Suspicion {
        words: format!("{what} of {number} {unit} can't be {of}; {number} {best} can"),
        advice: format!("give what was measured its unit, such as \"{number} {best}\""),
    })
}

/// How many times off a ratio is, either way.
fn away(ratio: f64) -> f64 {
    ratio.max(1.0 / ratio)
}

/// Readouts against their marks, taped lengths against what was commanded. A controller that takes
/// one for the double was never set.
fn of_trip(run: &NewRun, bare: Option<LengthUnit>) -> Option<Against> {
    let (what, list, whole) = match (one(run, COMMANDED.name), one(run, MARKS.name)) {
        (Some(commanded), _) => ("a taped length", "taped", commanded),
        (None, Some(marks)) => ("a readout", "readout", marks),
        (None, None) => return None,
    };
    let whole = Length::parse(whole, bare).ok()?;
    let (readings, unit) = lengths(run, list, bare)?;
    let should = vec![whole.base(); readings.len()];
    let of = format!("right for {whole}");
    Some(Against { what, readings, unit, should, of, most: 2.0, each: true })
}

/// The widths of alleys against the alley of the sheet. Timers that were never set make one as
/// wide as two.
fn of_alleys(run: &NewRun, places: &Places<'_>, bare: Option<LengthUnit>) -> Option<Against> {
    let pair = run.kind.pair.as_ref()?;
    let alley = length(places, &[trial::KEYS.name, trial::ALLEY.name], bare)?;
    let (before, unit) = lengths(run, pair.before, bare)?;
    let (behind, other) = lengths(run, pair.behind, bare)?;
    let readings: Vec<f64> = before.iter().zip(&behind).map(|(one, other)| one + other).collect();
    let should = vec![alley.base(); readings.len()];
    let of = format!("right for an alley of {alley}");
    (unit == other).then_some(Against {
        what: "an alley",
        readings,
        unit,
        should,
        of,
        most: 2.2,
        each: false,
    })
}

/// A course against the way at the speed of the trial in the time that it took.
fn of_course(run: &NewRun, places: &Places<'_>, bare: Option<LengthUnit>) -> Option<Against> {
    let course = Length::parse(one(run, "course")?, bare).ok()?;
    let times: Option<Vec<f64>> = many(run, "times")?
        .iter()
        .map(|text| Duration::parse(text, None).ok().map(|time| time.base()))
        .collect();
    let typed = places.typed(&[trial::KEYS.name, trial::SPEED.name])?;
    let speed = Speed::parse(typed.trim_matches(['"', '\'']), None).ok()?;
    let should: Vec<f64> = times?.iter().map(|time| time * speed.base()).collect();
    let readings = vec![course.base(); should.len()];
    let of = format!("right for the time at {speed}");
    let unit = single_unit(&course)?;
    Some(Against { what: "a course", readings, unit, should, of, most: 2.2, each: false })
}

/// Gaps between passes against the rows, depths and widths against those of the sheet.
fn of_list(run: &NewRun, places: &Places<'_>, bare: Option<LengthUnit>) -> Option<Against> {
    let trial = trial::KEYS.name;
    let (what, list, path, most) = match run.kind.name {
        "guess-row" => ("a gap", "gap", [planter::KEYS.name, planter::ROW_SPACING.name], 2.0),
        "changeover" => ("an alley", "alley-width", [trial, trial::ALLEY.name], 2.2),
        // Seed may well lie at a third of its depth, or at three times it.
        "depth" => ("a depth", "depth", [trial, trial::DEPTH.name], 4.0),
        _ => return None,
    };
    let should = length(places, &path, bare)?;
    let (readings, unit) = lengths(run, list, bare)?;
    let of = format!("right for {} {should}", path[1].replace('-', " "));
    let should = vec![should.base(); readings.len()];
    Some(Against { what, readings, unit, should, of, most, each: false })
}

fn one<'r>(run: &'r NewRun, name: &str) -> Option<&'r str> {
    run.keys.iter().find_map(|(key, given)| match given {
        Given::One(text) if *key == name => Some(text.as_str()),
        _ => None,
    })
}

fn many<'r>(run: &'r NewRun, name: &str) -> Option<&'r [String]> {
    run.keys.iter().find_map(|(key, given)| match given {
        Given::List(texts) if *key == name => Some(texts.as_slice()),
        _ => None,
    })
}

/// The readings of a list in base units, where all were given in one unit.
fn lengths(run: &NewRun, name: &str, bare: Option<LengthUnit>) -> Option<(Vec<f64>, LengthUnit)> {
    let key = run.kind.keys.iter().find(|key| key.name == name)?;
    if !matches!(key.of, Of::Length(_)) {
        return None;
    }
    let all: Option<Vec<Length>> =
        many(run, name)?.iter().map(|text| Length::parse(text, bare).ok()).collect();
    let all = all?;
    let unit = single_unit(all.first()?)?;
    let same = all.iter().all(|one| single_unit(one) == Some(unit));
    same.then(|| (all.iter().map(Length::base).collect(), unit))
}

/// The unit of a length that has one only.
fn single_unit(length: &Length) -> Option<LengthUnit> {
    (length.parts().count() == 1).then(|| length.unit())
}
