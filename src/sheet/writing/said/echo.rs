//! What was understood of a run, in one line.

use crate::quantity::{Duration, Length, LengthUnit, MeasureUnit, TimeUnit, parse_number, shown};
use crate::sheet::trip_run::MARKS;

use super::super::kinds::{Kind, Of};
use super::super::run::{Given, NewRun};

/// `10 readouts 237.4 to 238.8 in, marks 20 ft, 2027-04-19`.
pub(super) fn line(run: &NewRun, bare: Option<LengthUnit>, marks_of_sheet: bool) -> String {
    let mut parts: Vec<String> = vec![];
    parts.extend(pairs(run));
    let text = |(name, given): &(&'static str, Given)| match given {
        Given::List(texts) => Some(list(run.kind, name, texts, bare)),
        Given::One(text) if *name == MARKS.name && marks_of_sheet => {
            Some(format!("{name} {} (plot + alley)", with_unit(text, bare)))
        }
        Given::One(text) if of(run.kind, name) != Of::Else => {
            Some(format!("{} {}", spaced(name), with_unit(text, bare)))
        }
        Given::One(text) | Given::Text(text) => Some(format!("{} {text}", spaced(name))),
        Given::YesNo(yes) => Some(format!("{} {yes}", spaced(name))),
        Given::Day(_) => None,
    };
    let is_list = |given: &&(&'static str, Given)| matches!(given.1, Given::List(_));
    parts.extend(run.keys.iter().filter(is_list).filter_map(text));
    parts.extend(run.keys.iter().filter(|given| !is_list(given)).filter_map(text));
    let day = |given: &(&'static str, Given)| match &given.1 {
        Given::Day(day) => Some(day.clone()),
        _ => None,
    };
    parts.extend(run.keys.iter().filter_map(day));
    parts.join(", ")
}

/// How many pairs there are, where the run has both sides of them.
fn pairs(run: &NewRun) -> Option<String> {
    let pair = run.kind.pair.as_ref()?;
    let count = |name: &str| {
        run.keys.iter().find_map(|(key, given)| match given {
            Given::List(texts) if *key == name => Some(texts.len()),
            _ => None,
        })
    };
    let (before, behind) = (count(pair.before)?, count(pair.behind)?);
    (before == behind).then(|| counted(before, pair.many))
}

fn list(kind: &Kind, name: &str, texts: &[String], bare: Option<LengthUnit>) -> String {
    let many = kind.values.iter().find(|to| to.key == name).map(|to| to.many);
    let what = match (many, &kind.pair) {
        (Some(many), _) => counted(texts.len(), many),
        (None, Some(pair)) if name == pair.before || name == pair.behind => spaced(name),
        _ => format!("{}: {}", spaced(name), texts.len()),
    };
    match range(texts, of(kind, name), bare) {
        Some(range) => format!("{what} {range}"),
        None => what,
    }
}

/// A number of things, of which one has no s.
fn counted(count: usize, many: &str) -> String {
    let one = if count == 1 { many.trim_end_matches('s') } else { many };
    format!("{count} {one}")
}

/// The least and the most of some readings, in the unit of the sheet or of the first.
fn range(texts: &[String], of: Of, bare: Option<LengthUnit>) -> Option<String> {
    let (numbers, unit): (Option<Vec<f64>>, &str) = match of {
        Of::Length(_) => {
            let lengths: Option<Vec<Length>> =
                texts.iter().map(|text| Length::parse(text, bare).ok()).collect();
            let lengths = lengths?;
            let unit = bare.or(lengths.first().map(Length::unit))?;
            (Some(lengths.iter().map(|one| one.value_in(unit)).collect()), unit.symbol())
        }
        Of::Time => {
            let time = |text: &String| Duration::parse(text, None).ok();
            let times: Option<Vec<f64>> = texts
                .iter()
                .map(|text| time(text).map(|one| one.value_in(TimeUnit::Second)))
                .collect();
            (times, TimeUnit::Second.symbol())
        }
        Of::Else => {
            let number = |text: &String| parse_number(text).ok().map(|one| one.value());
            (texts.iter().map(number).collect(), "")
        }
    };
    let numbers = numbers?;
    let least = numbers.iter().copied().fold(f64::INFINITY, f64::min);
    let most = numbers.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let range =
        if least < most { format!("{} to {}", shown(least), shown(most)) } else { shown(least) };
    Some(format!("{range} {unit}").trim_end().to_owned())
}

/// A length with the unit that it takes.
fn with_unit(text: &str, bare: Option<LengthUnit>) -> String {
    Length::parse(text, bare).map_or_else(|_| text.to_owned(), |length| length.to_string())
}

fn of(kind: &Kind, name: &str) -> Of {
    kind.keys.iter().find(|key| key.name == name).map_or(Of::Else, |key| key.of)
}

fn spaced(name: &str) -> String {
    name.replace('-', " ")
}
