//! What the tables of the sheet share: keys looked up with their place, values read with their
//! bounds, every mistake collected.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::quantity::bounds::Bounds;
use crate::quantity::{
    Angle, AngleKind, AreaUnit, Decimal, Length, LengthUnit, Measure, MeasureUnit, ParseError,
    RowUnit, SeedRate, parse_number,
};

mod section;
mod shape;
mod values;

pub(super) use section::Section;
pub(super) use section::suggestion;
pub(super) use shape::{Shape, Written};
pub(super) use values::{
    Read, angle, counted, date, length, list, measure, number, seed_rate, text, unit, whole,
    whole_list, word, yes_or_no,
};

use super::codes::{self, Code, Level};
use super::syntax;
pub(super) use super::syntax::Syntax;
use super::{Diagnostic, Placed, Source};

/// The parsed document.
pub(super) type Document<'s> = Spanned<DeTable<'s>>;

/// Most mistakes and remarks kept of one sheet: nobody mends more in one go.
pub(super) const MOST: usize = 1000;

/// Parses the text; what could be read of it, and what could not.
pub(super) fn root(source: &Source) -> (Document<'_>, Option<Syntax>) {
    let (mut document, errors) = DeTable::parse_recoverable(source.text());
    source.overlay(&mut document);
    let syntax = (!errors.is_empty()).then(|| syntax::explain(source.text(), &errors));
    (document, syntax)
}

/// Collects mistakes while tables are read.
#[derive(Debug)]
pub(super) struct Reader<'s> {
    text: &'s str,
    diagnostics: Vec<Diagnostic>,
    /// How many of them stop the calculation.
    mistakes: usize,
    /// The newest diagnostic beyond the most that are kept.
    beyond: Option<Diagnostic>,
    /// The unit of bare lengths.
    pub(super) bare: Option<LengthUnit>,
    /// Paths of keys that have had their message, so that they are not called missing too.
    spoken: BTreeSet<String>,
    /// Every table and its keys, worked out when a key stands in the wrong one.
    vocabulary: Option<Vec<Known>>,
    /// Whether an empty sheet is being read for the sake of its vocabulary.
    listing: Option<Listing>,
    /// What the key that is being listed takes.
    shapes: Vec<Shape>,
}

/// How an empty sheet answers whether a key is there: what is read and what must be there may
/// hang on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Listing {
    HasNothing,
    HasAll,
}

/// A table and the keys it may have.
#[derive(Clone, Debug)]
pub(super) struct Known {
    pub(super) name: String,
    pub(super) path: String,
    pub(super) keys: Vec<&'static str>,
    /// What each key takes; tables in this one are not among them.
    pub(super) shapes: BTreeMap<&'static str, Vec<Shape>>,
    /// Keys that must be there whatever else is.
    pub(super) needed: Vec<&'static str>,
}

impl Known {
    /// Takes in what the same table was asked for when it answered the other way.
    fn merge(&mut self, other: Known) {
        self.keys.extend(other.keys);
        self.keys.sort_unstable();
        self.keys.dedup();
        self.needed.retain(|key| other.needed.contains(key));
        for (key, shapes) in other.shapes {
            let own = self.shapes.entry(key).or_default();
            own.extend(shapes.into_iter().filter(|shape| !own.contains(shape)).collect::<Vec<_>>());
        }
    }

    /// Whether this is the table at `path`, and `key` may stand in it.
    pub(super) fn has(&self, path: &str, key: &str) -> bool {
        self.path == path && self.keys.contains(&key)
    }
}

/// A value of the sheet on its way to being checked.
#[derive(Clone, Copy)]
pub(super) struct Item<'a, 's> {
    pub(super) key: &'a str,
    pub(super) value: &'a Spanned<DeValue<'s>>,
}

impl Item<'_, '_> {
    pub(super) fn span(&self) -> Range<usize> {
        self.value.span()
    }
}

impl<'s> Reader<'s> {
    pub(super) fn new(text: &'s str) -> Self {
        Reader {
            text,
            diagnostics: vec![],
            mistakes: 0,
            beyond: None,
            bare: None,
            spoken: BTreeSet::new(),
            vocabulary: None,
            listing: None,
            shapes: vec![],
        }
    }

    /// Every table the sheet may have, with its keys: what is asked for while an empty sheet is
    /// read, tables that are not there included.
    pub(super) fn vocabulary(read: impl Fn(&mut Reader<'_>)) -> Vec<Known> {
        let mut all: Vec<Known> = vec![];
        for listing in [Listing::HasNothing, Listing::HasAll] {
            let mut reader = Reader {
                listing: Some(listing),
                vocabulary: Some(vec![]),
                ..Reader::new(shape::PROBES)
            };
            read(&mut reader);
            for known in reader.vocabulary.unwrap_or_default() {
                match all.iter_mut().find(|one| one.path == known.path) {
                    Some(own) => own.merge(known),
                    None => all.push(known),
                }
            }
        }
        all
    }

    /// What a key takes: its reader is asked while nothing is read.
    fn shapes_of<T>(&mut self, key: &'static str, read: impl Read<T>) -> Vec<Shape> {
        self.shapes.clear();
        for span in shape::probes() {
            let text = self.text.get(span.clone()).unwrap_or_default();
            let value = Spanned::new(span, DeValue::String(text.into()));
            read(self, Item { key, value: &value });
        }
        // And with a number, for readers that take one for something else than text.
        let value = Spanned::new(0..0, DeValue::Integer(Default::default()));
        read(self, Item { key, value: &value });
        let mut shapes: Vec<Shape> = vec![];
        for shape in std::mem::take(&mut self.shapes) {
            if !shapes.contains(&shape) {
                shapes.push(shape);
            }
        }
        shapes
    }

    /// Whether it is only asked what readers take.
    pub(super) fn is_asking(&self) -> bool {
        self.listing.is_some()
    }

    /// Whether it is only asked what a reader takes; then that is noted, and nothing is read.
    pub(super) fn only_asks(&mut self, shape: impl FnOnce() -> Shape) -> bool {
        let asks = self.listing.is_some();
        if asks {
            self.shapes.push(shape());
        }
        asks
    }

    /// Whether a key's absence still has to be said: not where the key is there and could not be
    /// read, is there under a misspelt name or in the wrong table, or was called missing before.
    pub(super) fn must_say(&mut self, path: &str) -> bool {
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

    /// Where a key belongs that stands in the wrong table, as advice.
    fn belongs(&mut self, key: &str, here: &str, is_table: bool) -> Option<String> {
        const MOST_PLACES: usize = 3;
        let known = &*self.vocabulary.get_or_insert_with(super::vocabulary);
        let table_of = |place: &Known| {
            known.iter().find(|one| one.path == joined(&place.path, key)).map(|one| &one.name)
        };
        let places: Vec<&Known> = known
            .iter()
            .filter(|place| place.path != here && place.keys.contains(&key))
            // What the record repeats belongs where it is said first.
            .filter(|place| place.path != "history" && !place.path.ends_with(".at"))
            .filter(|place| !is_table || table_of(place).is_some())
            .collect();
        if places.is_empty() || places.len() > MOST_PLACES {
            return None;
        }
        // `setback = "15 in"` is the setting, not the table of the same name.
        let plain = places.iter().any(|place| table_of(place).is_none());
        let mut names = vec![];
        let mut spoken = vec![];
        for place in places.iter().filter(|place| is_table || !plain || table_of(place).is_none()) {
            spoken.push(joined(&place.path, key));
            names.push(match (table_of(place), place.path.is_empty()) {
                (Some(table), _) if is_table => format!("its name is {table}"),
                (Some(table), _) => format!("it is a table of its own, {table}"),
                (None, true) => {
                    "it belongs at the top of the sheet, above the first [table]".into()
                }
                (None, false) => format!("it belongs in {}", place.name),
            });
        }
        self.spoken.extend(spoken);
        Some(names.join(", or "))
    }

    /// Everything found, in the order of the sheet.
    pub(super) fn into_diagnostics(mut self) -> Vec<Diagnostic> {
        self.diagnostics.sort_by_key(|one| one.span.start);
        self.diagnostics
    }

    /// Adds a mistake or remark.
    pub(super) fn say(
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
        if kept >= MOST {
            return self.beyond.insert(said);
        }
        self.mistakes += usize::from(is_mistake);
        self.diagnostics.push(said);
        let last = self.diagnostics.len() - 1;
        &mut self.diagnostics[last]
    }

    /// Whether no further mistake is kept, so that none needs working out.
    fn full(&self) -> bool {
        self.mistakes >= MOST
    }

    /// The text of an item as typed.
    pub(super) fn typed(&self, item: Item<'_, '_>) -> &'s str {
        self.text.get(item.span()).unwrap_or_default()
    }

    /// A value of another kind than the key takes.
    pub(super) fn wrong_type(&mut self, item: Item<'_, '_>, wanted: &str, example: &str) {
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

    fn no_measure(&mut self, item: Item<'_, '_>, wanted: impl FnOnce() -> Wanted) {
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

    fn bad_measure(
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

    fn check<T>(
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

    fn unbelievable(&mut self, item: Item<'_, '_>, bounds: &Bounds) {
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
struct Wanted {
    noun: &'static str,
    examples: String,
    spellings: Vec<&'static str>,
    units: Vec<&'static str>,
    unit: &'static str,
}

impl Wanted {
    fn measure<U: MeasureUnit>() -> Wanted {
        let examples = in_quotes(U::EXAMPLES);
        // The unit of the first example that has one only.
        let unit = U::EXAMPLES
            .split(", ")
            .filter_map(|example| example.trim_matches('`').split_once(' '))
            .map(|(_, unit)| unit)
            .find(|unit| U::ALL.iter().any(|one| one.spellings().contains(unit)));
        let units: Vec<_> = U::ALL.iter().filter_map(|u| u.spellings().first().copied()).collect();
        Wanted {
            noun: U::DIMENSION,
            examples,
            spellings: U::ALL.iter().flat_map(|unit| unit.spellings()).copied().collect(),
            unit: unit.or_else(|| units.first().copied()).unwrap_or_default(),
            units,
        }
    }

    fn seed_rate() -> Wanted {
        let (area, row) = (Wanted::measure::<AreaUnit>(), Wanted::measure::<RowUnit>());
        Wanted {
            noun: "a seed rate",
            examples: in_quotes(&SeedRate::examples()),
            spellings: [area.spellings, row.spellings].concat(),
            units: [area.units, row.units].concat(),
            unit: area.unit,
        }
    }

    fn number() -> Wanted {
        Wanted {
            noun: "a number",
            examples: "402.5".into(),
            spellings: vec![],
            units: vec![],
            unit: "",
        }
    }

    fn allowed(&self) -> String {
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

fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.into() } else { [path, ".", key].concat() }
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
