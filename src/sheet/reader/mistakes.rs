//! Every mistake of a sheet collected, and what is said of values that can't be what they should.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::quantity::bounds::Bounds;
use crate::quantity::{
    AreaUnit, LengthUnit, MeasureUnit, ParseError, RowUnit, SeedRate, parse_number,
};
use crate::sheet::codes::{self, Code, Level};
use crate::sheet::diagnostic::{Diagnostic, MOST_MISTAKES};
use crate::sheet::syntax;

use super::shape::usual_unit;

/// Collects mistakes while tables are read.
#[derive(Debug)]
pub(in crate::sheet) struct Reader<'s> {
    pub(super) text: &'s str,
    diagnostics: Vec<Diagnostic>,
    /// How many of them stop the calculation.
    mistakes: usize,
    /// The newest diagnostic beyond the most that are kept.
    beyond: Option<Diagnostic>,
    /// The unit of bare lengths.
    pub(in crate::sheet) bare: Option<LengthUnit>,
    /// The same in a part of the text that has a unit of its own.
    pub(in crate::sheet) bare_elsewhere: Option<(Range<usize>, Option<LengthUnit>)>,
    /// Paths of keys that have had their message, so that they are not called missing too.
    spoken: BTreeSet<String>,
}

/// A value of the sheet on its way to being checked.
#[derive(Clone, Copy)]
pub(in crate::sheet) struct Item<'a, 's> {
    pub(in crate::sheet) key: &'a str,
    pub(in crate::sheet) value: &'a Spanned<DeValue<'s>>,
}

impl Item<'_, '_> {
    pub(in crate::sheet) fn span(&self) -> Range<usize> {
        self.value.span()
    }
}

impl<'s> Reader<'s> {
    pub(in crate::sheet) fn new(text: &'s str) -> Self {
        Reader {
            text,
            diagnostics: vec![],
            mistakes: 0,
            beyond: None,
            bare: None,
            bare_elsewhere: None,
            spoken: BTreeSet::new(),
        }
    }

    /// The unit of a bare length at a place.
    pub(super) fn bare_at(&self, place: &Range<usize>) -> Option<LengthUnit> {
        match &self.bare_elsewhere {
            Some((part, bare)) if part.contains(&place.start) => *bare,
            _ => self.bare,
        }
    }

    /// Notes that a key has had its message.
    pub(super) fn spoke_of(&mut self, path: String) {
        self.spoken.insert(path);
    }

    /// Whether a key's absence still has to be said: not where the key is there and could not be
    /// read, is there under a misspelt name or in the wrong table, or was called missing before.
    pub(in crate::sheet) fn must_say(&mut self, path: &str) -> bool {
        let covered = path
            .match_indices('.')
            .map(|(at, _)| &path[..at])
            .chain([path])
            .any(|part| self.spoken.contains(part));
        if !covered {
            self.spoken.insert(path.into());
        }
        !covered
    }

    /// Everything found, in the order of the sheet.
    pub(in crate::sheet) fn into_diagnostics(mut self) -> Vec<Diagnostic> {
        self.diagnostics.sort_by_key(|one| one.span.start);
        self.diagnostics
    }

    /// Adds a mistake or remark.
    pub(in crate::sheet) fn say(
        &mut self,
        code: &'static Code,
        span: Range<usize>,
        message: impl Into<String>,
        advice: impl Into<String>,
    ) -> &mut Diagnostic {
        let found = self.text.get(span.clone()).unwrap_or_default();
        let found = found.lines().next().unwrap_or_default().trim().to_owned();
        let said = Diagnostic {
            code,
            span,
            message: message.into(),
            found,
            allowed: None,
            advice: advice.into(),
        };
        // Counted apart: however many remarks there are, a mistake must stop the calculation.
        let is_mistake = code.level == Level::Error;
        let kept = if is_mistake { self.mistakes } else { self.diagnostics.len() - self.mistakes };
        if kept >= MOST_MISTAKES {
            return self.beyond.insert(said);
        }
        self.mistakes += usize::from(is_mistake);
        self.diagnostics.push(said);
        let last = self.diagnostics.len() - 1;
        &mut self.diagnostics[last]
    }

    /// Whether no further mistake is kept, so that none needs working out.
    pub(super) fn full(&self) -> bool {
        self.mistakes >= MOST_MISTAKES
    }

    /// The text of an item as typed.
    pub(in crate::sheet) fn typed(&self, item: Item<'_, '_>) -> &'s str {
        self.text.get(item.span()).unwrap_or_default()
    }

    /// A value of another kind than the key takes.
    pub(in crate::sheet) fn wrong_type(&mut self, item: Item<'_, '_>, wanted: &str, example: &str) {
        let value = item.value.get_ref();
        let message = format!("`{}` is {}, and {wanted} is wanted", item.key, kind(value));
        let advice = match value {
            DeValue::Array(entries) if entries.len() == 1 && !wanted.contains("list") => {
                let entry = self.text.get(entries[0].span()).unwrap_or_default();
                format!("write it without the brackets: {entry}")
            }
            DeValue::String(text)
                if wanted.contains("number") && parse_number(text).is_ok() && !text.is_empty() =>
            {
                format!("write it without quotes: {text}")
            }
            _ => format!("write {example}"),
        };
        self.say(&codes::WRONG_TYPE, item.span(), message, advice).allowed = Some(wanted.into());
    }

    pub(super) fn no_measure(&mut self, item: Item<'_, '_>, wanted: impl FnOnce() -> Wanted) {
        if self.full() {
            return;
        }
        let wanted = wanted();
        let example = format!("{}, such as {}", wanted.noun, wanted.examples);
        self.wrong_type(item, wanted.noun, &example);
        if let Some(last) = self.diagnostics.last_mut() {
            last.allowed = Some(wanted.allowed());
        }
    }

    pub(super) fn bad_measure(
        &mut self,
        item: Item<'_, '_>,
        error: &ParseError,
        wanted: impl FnOnce() -> Wanted,
    ) {
        if self.full() {
            return;
        }
        let wanted = wanted();
        let code = match error {
            ParseError::Comma { .. } => &codes::DECIMAL_COMMA,
            ParseError::NoUnit { .. } => &codes::NO_UNIT,
            ParseError::OtherDimension { .. } => &codes::OTHER_UNIT,
            _ => &codes::BAD_MEASURE,
        };
        let noun = wanted.noun.trim_start_matches("a ");
        let unseen = |c: &char| syntax::is_unseen(*c) && !c.is_whitespace();
        if let Some(c) = self.typed(item).chars().find(unseen) {
            let message = format!(
                "`{}` holds a character that can't be seen (U+{:04X})",
                item.key,
                u32::from(c)
            );
            let advice = "take it out, or type the value anew";
            self.say(code, item.span(), message, advice).allowed = Some(wanted.allowed());
            return;
        }
        let message = format!("`{}` is no {noun}: {error}", item.key);
        let typed = self.typed(item);
        let examples = &wanted.examples;
        let anew = format!("write {}, such as {examples}", wanted.noun);
        let advice = match error {
            ParseError::Comma { found, .. } => {
                syntax::comma_advice(found, |number| typed.replacen(found.as_str(), &number, 1))
            }
            ParseError::NoUnit { found } if typed.trim_matches(['"', '\'']) == found => {
                format!("write it with its unit, such as \"{found} {}\"", wanted.unit)
            }
            ParseError::UnknownUnit { found } => {
                let slip = |unit: &&&str| strsim::damerau_levenshtein(found, unit) == 1;
                match wanted.spellings.iter().find(slip).filter(|_| found.len() > 2) {
                    Some(near) => format!("did you mean the unit `{near}`? If not, {anew}"),
                    None => anew,
                }
            }
            _ if typed.contains(", ") => {
                let one = typed.trim_matches('"').replace(", ", "\", \"");
                format!("where they are several, put each in quotes of its own: \"{one}\"")
            }
            ParseError::Parts { .. } | ParseError::Fraction { .. } => error.advice(examples),
            ParseError::TooManyDigits { .. } => "round it to the digits that were read off".into(),
            _ => anew,
        };
        self.say(code, item.span(), message, advice).allowed = Some(wanted.allowed());
    }

    pub(super) fn check<T>(
        &mut self,
        item: Item<'_, '_>,
        value: T,
        inside: bool,
        bounds: &Bounds,
    ) -> Option<T> {
        if inside {
            return Some(value);
        }
        self.unbelievable(item, bounds);
        None
    }

    pub(super) fn unbelievable(&mut self, item: Item<'_, '_>, bounds: &Bounds) {
        let typed = self.typed(item);
        let message = format!("`{}` can't be {typed}", item.key);
        let advice = if typed.starts_with(['"', '\'']) {
            "check the digits and the unit"
        } else if bounds.least_text.contains(char::is_alphabetic) {
            "check the digits and the unit that `bare-length` gives"
        } else {
            "check the digits and the decimal point"
        };
        self.say(&codes::OUT_OF_RANGE, item.span(), message, advice).allowed = Some(bounds.text());
    }
}

/// What a measure must look like, for messages.
pub(super) struct Wanted {
    noun: &'static str,
    examples: String,
    spellings: Vec<&'static str>,
    units: Vec<&'static str>,
    unit: &'static str,
}

impl Wanted {
    pub(super) fn measure<U: MeasureUnit>() -> Wanted {
        let units = U::ALL.iter().filter_map(|u| u.spellings().first().copied()).collect();
        Wanted {
            noun: U::DIMENSION,
            examples: in_quotes(U::EXAMPLES),
            spellings: U::ALL.iter().flat_map(|unit| unit.spellings()).copied().collect(),
            unit: usual_unit::<U>(),
            units,
        }
    }

    pub(super) fn seed_rate() -> Wanted {
        let (area, row) = (Wanted::measure::<AreaUnit>(), Wanted::measure::<RowUnit>());
        Wanted {
            noun: "a seed rate",
            examples: in_quotes(&SeedRate::examples()),
            spellings: [area.spellings, row.spellings].concat(),
            units: [area.units, row.units].concat(),
            unit: area.unit,
        }
    }

    pub(super) fn number() -> Wanted {
        Wanted {
            noun: "a number",
            examples: "402.5".into(),
            spellings: vec![],
            units: vec![],
            unit: "",
        }
    }

    pub(super) fn allowed(&self) -> String {
        if self.units.is_empty() {
            "digits with at most one decimal point".into()
        } else {
            format!("{} in quotes with its unit: {}", self.noun, self.units.join(", "))
        }
    }
}

/// Examples as they are typed into a sheet.
fn in_quotes(examples: &str) -> String {
    examples.replace('`', "\"")
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(date) if date.date.is_none() => "a time of day",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
