//! A run that a sheet has already.

use toml::de::{DeTable, DeValue};

use crate::quantity::{Length, LengthUnit, Measure, TimeUnit};
use crate::sheet::operating_point::AT;
use crate::sheet::top::BARE_LENGTH;
use crate::sheet::with::WITH;

use super::Kind;
use super::form::bare_unit;
use super::place::Places;

/// Lengths and times are the same when they differ by no more than this share.
const SAME: f64 = 1e-9;

/// The number of an earlier run that says the same as the last one of its kind: the same keys with
/// the same values on the same day, however they are written.
///
/// ```
/// use alleytrue::sheet::writing::{Given, KINDS, NewRun, add_run, repeated};
/// use alleytrue::sheet::{Source, starter};
/// let kind = KINDS.iter().find(|kind| kind.name == "pass").expect("pass runs");
/// let run = |lead: &str| NewRun { kind, keys: vec![("lead", Given::List(vec![lead.into()]))] };
/// let once = add_run(&Source::new("s", starter::US), &run("4 in")).expect("a sheet");
/// assert_eq!(repeated(&once, kind), None);
/// let twice = add_run(&Source::new("s", &once), &run("4")).expect("a sheet");
/// assert_eq!(repeated(&twice, kind), Some(2));
/// ```
#[must_use]
pub fn repeated(text: &str, kind: &Kind) -> Option<usize> {
    let places = Places::of(text).ok()?;
    let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
    let DeValue::Array(runs) = places.value(&[kind.table])?.get_ref() else { return None };
    let tables: Vec<&DeTable<'_>> =
        runs.iter().filter_map(|run| run.get_ref().as_table()).collect();
    let (last, before) = tables.split_last()?;
    before.iter().position(|run| same_run(run, last, bare)).map(|at| at + 1)
}

/// What the run was made at and with does not make it another run.
fn same_run(one: &DeTable<'_>, other: &DeTable<'_>, bare: Option<LengthUnit>) -> bool {
    let own = |key: &str| key != AT.name && key != WITH.name;
    let keys = |run: &DeTable<'_>| run.keys().filter(|key| own(key.get_ref())).count();
    keys(one) == keys(other)
        && one.iter().filter(|(key, _)| own(key.get_ref())).all(|(key, value)| {
            let other = other.get(&**key.get_ref());
            other.is_some_and(|other| same(value.get_ref(), other.get_ref(), bare))
        })
}

fn same(one: &DeValue<'_>, other: &DeValue<'_>, bare: Option<LengthUnit>) -> bool {
    if let (DeValue::Array(one), DeValue::Array(other)) = (one, other) {
        let mut pairs = one.iter().zip(other);
        return one.len() == other.len()
            && pairs.all(|(one, other)| same(one.get_ref(), other.get_ref(), bare));
    }
    let (Some(one), Some(other)) = (written(one), written(other)) else { return false };
    let bases = |base: &dyn Fn(&str) -> Option<f64>| Some((base(&one)?, base(&other)?));
    let measured = bases(&|text| Some(Length::parse(text, bare).ok()?.base()))
        .or_else(|| bases(&|text| Some(Measure::<TimeUnit>::parse(text, None).ok()?.base())))
        .or_else(|| bases(&|text| text.parse().ok()));
    one == other
        || measured.is_some_and(|(one, other)| (one - other).abs() <= SAME * one.abs().max(1.0))
}

/// A single value as it is written.
fn written(value: &DeValue<'_>) -> Option<String> {
    Some(match value {
        DeValue::String(text) => text.trim().to_owned(),
        DeValue::Integer(number) => number.to_string(),
        DeValue::Float(number) => number.to_string(),
        DeValue::Boolean(yes) => yes.to_string(),
        DeValue::Datetime(day) => day.to_string(),
        _ => return None,
    })
}
