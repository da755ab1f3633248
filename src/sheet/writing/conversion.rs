//! A sheet in other units: every measure that was typed turned by its exact factor and rounded to how
//! it was typed, everything else as it is.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use toml_edit::Value;

use crate::quantity::{
    AreaUnit, Decimal, LengthUnit, MassUnit, Measure, OfSystem, PerMassUnit, RowUnit, SpeedUnit,
    System, parse_number, plain, round_half_away,
};
use crate::sheet::reader::{Entry, Keys, Shape};
use crate::sheet::top::{BARE_LENGTH, UNITS};
use crate::sheet::{Source, TOP, history};

use super::WriteError;
use super::form::bare_unit;
use super::place::{Edit, replaced};
use super::run::checked;

/// One value that was turned.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// Its line in the sheet, from one.
    pub line: usize,
    /// Its key, with the tables it is in.
    pub key: String,
    /// As it was typed.
    pub old: String,
    /// As it stands in the new sheet.
    pub new: String,
    /// What rounding added, in the new unit; nothing where the new value is exact.
    pub error: f64,
    /// That unit.
    pub unit: &'static str,
}

/// A sheet in other units.
#[derive(Clone, Debug)]
pub struct Converted {
    /// Its text.
    pub text: String,
    /// Every value that was turned, in the order of the sheet.
    pub turned: Vec<Turned>,
}

/// A measure with the number that it is and the step it was typed to, in the new unit.
#[derive(Clone, Copy, Debug)]
struct InNew {
    number: f64,
    step: f64,
    /// The unit, as it is written behind the number; nothing behind a bare one.
    unit: &'static str,
    /// Whether it is written in feet and inches.
    tape: bool,
    bare: bool,
}

/// A place of the text with its measure.
struct Found {
    key: String,
    span: Range<usize>,
    old: String,
    new: InNew,
}

/// The text of a sheet, or of a planter's file, in the units of a system.
///
/// The factors are those of the unit table: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 mi = 1609.344 m,
/// 1 ac = 4046.856 422 4 m², 1 lb = 0.453 592 37 kg, all exact (NIST SP 811, Appendix B; NIST
/// Handbook 44, Appendix C). A value is rounded to a power of ten that is at most a twentieth of the
/// step it was typed to, and at most a five-thousandth of itself: rounding adds no more than a
/// fortieth of that step, and a ten-thousandth of the value. Where two values of the sheet are the
/// same, both are rounded to the finer step, so that they stay the same.
///
/// # Errors
///
/// A [`WriteError`] where the new sheet would have mistakes.
///
/// ```
/// use alleytrue::quantity::System;
/// use alleytrue::sheet::{Source, writing::convert};
/// let sheet = "bare-length = \"in\"\n[trial]\nalley = 30\nplot = \"17 ft 6 in\" # marks\n";
/// let metric = convert(&Source::new("sheet.toml", sheet), System::Metric).expect("a sheet");
/// let wanted = "bare-length = \"cm\"\n[trial]\nalley = 76.2\nplot = \"5.334 m\" # marks\n";
/// assert_eq!(metric.text, wanted);
/// ```
pub fn convert(source: &Source, system: System) -> Result<Converted, WriteError> {
    let (document, errors) = DeTable::parse_recoverable(source.text());
    if let Some(error) = errors.first() {
        let words = format!("the sheet is not TOML: {}", error.message());
        return Err(WriteError::Refused(words, "mend the sheet first"));
    }
    let bare = document.get_ref().get(BARE_LENGTH.name);
    let unit = bare.and_then(|value| bare_unit(source.text().get(value.span())?));
    let mut walk = Walk { text: source.text(), system, bare: unit, found: vec![] };
    walk.table(&TOP, document.get_ref(), "");
    let steps = finest(&walk.found);
    let mut turned = vec![];
    let mut edits: Vec<Edit> = vec![];
    for found in &walk.found {
        let step = steps.get(&alike(found.new)).copied().unwrap_or(found.new.step);
        let (text, error) = written(found.new, step);
        let new =
            if found.new.bare { text.clone() } else { Value::from(text.as_str()).to_string() };
        turned.push(Turned {
            line: source.text()[..found.span.start].matches('\n').count() + 1,
            key: found.key.clone(),
            old: found.old.clone(),
            new: text,
            error,
            unit: found.new.unit,
        });
        edits.push((found.span.clone(), new));
    }
    if let Some((value, unit)) = bare.zip(unit) {
        let to = unit.in_system(system);
        let name = UNITS.iter().find(|(_, one)| *one == to).map_or("", |(name, _)| *name);
        edits.push((value.span(), Value::from(name).to_string()));
    }
    turned.sort_by_key(|one| one.line);
    let text = replaced(source.text(), edits);
    let (text, _) = checked(source, text.into())?;
    Ok(Converted { text: text.sheet, turned })
}

/// The finest step that any of several values is typed to which are the same.
fn finest(all: &[Found]) -> BTreeMap<(&'static str, String), f64> {
    let mut steps = BTreeMap::new();
    for found in all {
        let own = steps.entry(alike(found.new)).or_insert(found.new.step);
        *own = found.new.step.min(*own);
    }
    steps
}

fn alike(new: InNew) -> (&'static str, String) {
    (new.unit, format!("{:.9e}", new.number))
}

/// A number rounded to how it was typed, as it is written, and what rounding added.
fn written(new: InNew, step: f64) -> (String, f64) {
    const INCHES_OF_FOOT: f64 = 12.0;
    /// A rounded value is off by no more than half of this share of it.
    const SHARE: f64 = 2e-4;
    let step = match new.number.abs() {
        0.0 => step / 20.0,
        size => (step / 20.0).min(size * SHARE),
    };
    let power = (step * (1.0 + 1e-9)).log10().floor();
    let tape = new.tape && new.number.abs() >= 2.0 * INCHES_OF_FOOT;
    let text = rounded(new.number, power);
    let value: f64 = text.parse().unwrap_or(new.number);
    let error = value - new.number;
    let error = if error.abs() < 1e-9 * new.number.abs().max(1.0) { 0.0 } else { error };
    let text = match (tape, new.bare) {
        (true, false) => {
            let feet = (value.abs() / INCHES_OF_FOOT * (1.0 + 1e-12)).floor();
            let inches = rounded(value.abs() - feet * INCHES_OF_FOOT, power);
            let sign = if value < 0.0 { "-" } else { "" };
            let inches = if inches == "0" { String::new() } else { format!(" {inches} in") };
            format!("{sign}{} ft{inches}", plain(feet))
        }
        (_, true) => text,
        (false, false) => format!("{text} {}", new.unit),
    };
    (text, error)
}

/// A number to a power of ten, without noughts at the end of its decimals.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // powers are few
fn rounded(number: f64, power: f64) -> String {
    if power > 0.0 {
        let ten = 10_f64.powf(power);
        return plain((number / ten).round() * ten);
    }
    let text = round_half_away(number, (-power) as usize);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// A sheet on the way through its tables.
struct Walk<'s> {
    text: &'s str,
    system: System,
    bare: Option<LengthUnit>,
    found: Vec<Found>,
}

/// Settings in the history whose values are lengths, bare ones too.
const LENGTHS: [&str; 3] = ["setback", "pass-offset", "marks"];

impl Walk<'_> {
    fn table(&mut self, keys: &'static Keys, table: &DeTable<'_>, path: &str) {
        let of = |key: &str| table.get(key).and_then(|value| value.get_ref().as_str());
        let setting = of(history::SETTING.name).filter(|_| path == history::KEYS.name);
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let path = if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
            let entries = keys.entries().filter(|entry| entry.name() == name);
            for entry in entries {
                match entry.keys() {
                    Some(inner) => self.inside(inner, value, &path),
                    None => self.value(entry, value, &path, setting),
                }
            }
        }
    }

    fn inside(&mut self, keys: &'static Keys, value: &Spanned<DeValue<'_>>, path: &str) {
        match value.get_ref() {
            DeValue::Table(table) => self.table(keys, table, path),
            DeValue::Array(entries) => {
                for entry in entries.iter() {
                    if let DeValue::Table(table) = entry.get_ref() {
                        self.table(keys, table, path);
                    }
                }
            }
            _ => {}
        }
    }

    /// A value, or each of a list.
    fn value(
        &mut self,
        entry: &dyn Entry,
        value: &Spanned<DeValue<'_>>,
        path: &str,
        setting: Option<&str>,
    ) {
        if let DeValue::Array(entries) = value.get_ref() {
            for one in entries.iter() {
                self.value(entry, one, path, setting);
            }
            return;
        }
        let changed = [history::FROM.name, history::TO.name].contains(&entry.name());
        // What a setting was is of any kind: its name says which.
        let bare_counts = match setting {
            Some(setting) if changed => LENGTHS.contains(&setting),
            _ => measures(entry).iter().any(|(_, bare)| *bare),
        };
        let text = self.text.get(value.span()).unwrap_or_default();
        let new = match value.get_ref() {
            DeValue::String(said) => self.measure(entry, said, changed),
            DeValue::Integer(_) | DeValue::Float(_) if bare_counts => {
                let unit = self.bare;
                let number = parse_number(text).ok();
                number.zip(unit).and_then(|(number, unit)| self.bare_length(number, unit))
            }
            _ => None,
        };
        if let Some(new) = new {
            let old = text.trim_matches(['"', '\'']).to_owned();
            self.found.push(Found { key: path.to_owned(), span: value.span(), old, new });
        }
    }

    fn bare_length(&self, number: Decimal, unit: LengthUnit) -> Option<InNew> {
        let measure = Measure::of(number, unit);
        let new = self.turn(&measure, false, false)?;
        Some(InNew { bare: true, tape: false, ..new })
    }

    /// A measure in quotes, by the kinds that its key takes.
    fn measure(&self, entry: &dyn Entry, said: &str, of_any: bool) -> Option<InNew> {
        let takes = |noun: &str| of_any || measures(entry).iter().any(|(own, _)| *own == noun);
        let length = || {
            let measure = Measure::<LengthUnit>::parse(said, self.bare).ok()?;
            let bare = Measure::<LengthUnit>::parse(said, None).is_err();
            let tape = measure.unit() == LengthUnit::Metre;
            match bare {
                true => self.turn(&measure, false, false).map(|new| InNew { bare, ..new }),
                false => self.turn(&measure, tape, false),
            }
        };
        let own = |noun: &str, new: &dyn Fn() -> Option<InNew>| takes(noun).then(new).flatten();
        own(noun::<LengthUnit>(), &length)
            .or_else(|| own(noun::<SpeedUnit>(), &|| self.plainly::<SpeedUnit>(said, false)))
            .or_else(|| own(noun::<AreaUnit>(), &|| self.plainly::<AreaUnit>(said, true)))
            .or_else(|| own(noun::<RowUnit>(), &|| self.plainly::<RowUnit>(said, true)))
            .or_else(|| own(noun::<MassUnit>(), &|| self.plainly::<MassUnit>(said, false)))
            .or_else(|| own(noun::<PerMassUnit>(), &|| self.plainly::<PerMassUnit>(said, true)))
    }

    fn plainly<U: OfSystem>(&self, said: &str, by_figures: bool) -> Option<InNew> {
        self.turn(&Measure::<U>::parse(said, None).ok()?, false, by_figures)
    }

    /// A measure in the unit that stands for its own; `None` where that is the same. `by_figures`:
    /// noughts at the end of a whole number are no figures that were counted.
    fn turn<U: OfSystem>(
        &self,
        measure: &Measure<U>,
        tape: bool,
        by_figures: bool,
    ) -> Option<InNew> {
        let unit = measure.unit();
        let to = unit.in_system(self.system);
        if to == unit {
            return None;
        }
        let last = measure.parts().last()?;
        let step = last.fraction.map_or_else(
            || last.whole.map_or(1.0, |whole| step_of(whole, by_figures)),
            |(_, bottom)| 1.0 / bottom.value(),
        );
        let in_new =
            |unit: U| unit.compound().factor_to(to.compound()).map(|factor| factor.value());
        let tape = tape && self.system == System::Us;
        let of_tape = if tape { 12.0 } else { 1.0 };
        Some(InNew {
            number: measure.value_in(to) * of_tape,
            step: step * in_new(last.unit)?.abs() * of_tape,
            unit: if tape { "in" } else { spelling(to) },
            tape,
            bare: false,
        })
    }
}

/// The kinds of measure that a key takes, and whether a bare number may stand for each.
fn measures(entry: &dyn Entry) -> Vec<(&'static str, bool)> {
    fn of(shape: &Shape) -> Vec<(&'static str, bool)> {
        match shape {
            Shape::Measure(written) => vec![(written.noun, written.bare)],
            Shape::List(entries) => entries.iter().flat_map(of).collect(),
            _ => vec![],
        }
    }
    entry.shapes().iter().flat_map(of).collect()
}

fn noun<U: OfSystem>() -> &'static str {
    U::DIMENSION
}

/// How a unit is written so that it is read again.
fn spelling<U: OfSystem>(unit: U) -> &'static str {
    let all = unit.spellings();
    if all.contains(&unit.symbol()) { unit.symbol() } else { all.first().copied().unwrap_or("") }
}

/// The step of the last figure of a number.
fn step_of(number: Decimal, by_figures: bool) -> f64 {
    let decimals = number.to_string().split_once('.').map_or(0, |(_, rest)| rest.len());
    let mut step = 10_f64.powi(-i32::try_from(decimals).unwrap_or(0));
    if by_figures && decimals == 0 {
        let mut rest = number.value().abs();
        while rest >= 10.0 && rest % 10.0 == 0.0 {
            rest /= 10.0;
            step *= 10.0;
        }
    }
    step
}
