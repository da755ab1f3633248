//! What the tables of the sheet share: keys looked up with their place, values read with their
//! bounds, every mistake collected.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::quantity::bounds::Bounds;
use crate::quantity::{
    AreaUnit, Decimal, Length, LengthUnit, Measure, MeasureUnit, ParseError, RowUnit, SeedRate,
    parse_number,
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
    let (document, errors) = DeTable::parse_recoverable(source.text());
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
    listing: bool,
}

/// A table and the keys it may have.
#[derive(Clone, Debug)]
pub(super) struct Known {
    name: String,
    path: String,
    keys: Vec<&'static str>,
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
            listing: false,
        }
    }

    /// Every table the sheet may have, with its keys: what is asked for while an empty sheet is
    /// read, tables that are not there included.
    pub(super) fn vocabulary(read: impl Fn(&mut Reader<'_>)) -> Vec<Known> {
        let mut reader = Reader { listing: true, vocabulary: Some(vec![]), ..Reader::new("") };
        read(&mut reader);
        reader.vocabulary.unwrap_or_default()
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
    if path.is_empty() { key.into() } else { format!("{path}.{key}") }
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

/// Reads one kind of value; `None` where a mistake was reported.
pub(super) trait Read<T>: Fn(&mut Reader<'_>, Item<'_, '_>) -> Option<T> {}
impl<T, F: Fn(&mut Reader<'_>, Item<'_, '_>) -> Option<T>> Read<T> for F {}

/// Any text on one line.
pub(super) fn text(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
    match item.value.get_ref() {
        DeValue::String(text) => Some(text.to_string()),
        _ => {
            reader.wrong_type(item, "text", "text in straight quotes");
            None
        }
    }
}

/// A TOML date, as in `2027-04-18`.
pub(super) fn date(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
    match item.value.get_ref() {
        DeValue::Datetime(date) if date.date.is_some() => Some(date.to_string()),
        _ => {
            let example = "year, month and day, without quotes: 2027-04-18";
            reader.wrong_type(item, "a date", example);
            None
        }
    }
}

/// `true` or `false`.
pub(super) fn yes_or_no(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<bool> {
    match item.value.get_ref() {
        DeValue::Boolean(value) => Some(*value),
        _ => {
            reader.wrong_type(item, "true or false", "true or false, without quotes");
            None
        }
    }
}

/// One of a few words.
pub(super) fn word<T: Copy>(choices: &'static [(&'static str, T)]) -> impl Read<T> {
    move |reader, item| {
        let DeValue::String(found) = item.value.get_ref() else {
            reader.wrong_type(item, &words(choices), &words(choices));
            return None;
        };
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == found.as_ref()) {
            return Some(*value);
        }
        let message = format!("`{}` can't be `{found}`", item.key);
        let near = suggestion(found, choices.iter().map(|(word, _)| *word))
            .or_else(|| shortened(found, choices.iter().map(|(word, _)| *word)));
        let advice = near.map_or_else(
            || format!("write {}", words(choices)),
            |w| format!("did you mean \"{w}\"?"),
        );
        reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
            Some(words(choices));
        None
    }
}

/// The longest word that the typed one starts with: `back` for `backward`, `in` for `inches`.
fn shortened<'c>(typed: &str, words: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    let typed = typed.to_lowercase();
    words.filter(|word| typed.starts_with(word)).max_by_key(|word| word.len())
}

fn words<T>(choices: &[(&str, T)]) -> String {
    let quoted: Vec<String> = choices.iter().map(|(word, _)| format!("\"{word}\"")).collect();
    quoted.join(" or ")
}

/// The unit of bare lengths.
pub(super) fn unit(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<LengthUnit> {
    word(&[
        ("in", LengthUnit::Inch),
        ("ft", LengthUnit::Foot),
        ("cm", LengthUnit::Centimetre),
        ("m", LengthUnit::Metre),
        ("mm", LengthUnit::Millimetre),
    ])(reader, item)
}

/// A measure with its unit in quotes.
pub(super) fn measure<U: MeasureUnit>(bounds: &'static Bounds) -> impl Read<Measure<U>> {
    move |reader, item| {
        let read = match item.value.get_ref() {
            DeValue::String(text) => Measure::<U>::parse(text, None),
            DeValue::Integer(_) | DeValue::Float(_) => {
                Err(ParseError::NoUnit { found: reader.typed(item).into() })
            }
            _ => {
                reader.no_measure(item, Wanted::measure::<U>);
                return None;
            }
        };
        match read {
            Ok(measure) => {
                let inside = bounds.hold_measure(&measure);
                reader.check(item, measure, inside, bounds)
            }
            Err(error) => {
                reader.bad_measure(item, &error, Wanted::measure::<U>);
                None
            }
        }
    }
}

/// A length: in quotes with its unit, or bare where the sheet says what bare lengths are.
pub(super) fn length(bounds: &'static Bounds) -> impl Read<Length> {
    move |reader, item| {
        let read = match (item.value.get_ref(), reader.bare) {
            (DeValue::String(text), bare) => Length::parse(text, bare),
            (DeValue::Integer(_) | DeValue::Float(_), bare) => {
                let number = finite(reader, item)?;
                match (number, bare) {
                    (Ok(number), Some(unit)) => Ok(Length::of(number, unit)),
                    (Ok(_), None) => Err(ParseError::NoUnit { found: reader.typed(item).into() }),
                    (Err(error), _) => Err(error),
                }
            }
            _ => {
                reader.no_measure(item, Wanted::measure::<LengthUnit>);
                return None;
            }
        };
        match read {
            Ok(length) => {
                let inside = bounds.hold_measure(&length);
                reader.check(item, length, inside, bounds)
            }
            Err(ParseError::NoUnit { found })
                if reader.typed(item).trim_matches(['"', '\'']) == found =>
            {
                no_bare_unit(reader, item, &found);
                None
            }
            Err(error) => {
                reader.bad_measure(item, &error, Wanted::measure::<LengthUnit>);
                None
            }
        }
    }
}

fn no_bare_unit(reader: &mut Reader<'_>, item: Item<'_, '_>, number: &str) {
    let message = format!("`{}` has no unit, and the sheet gives none for bare lengths", item.key);
    let advice = format!(
        "write it with its unit, such as \"{number} in\", or put `bare-length = \"in\"` (or ft, cm, m, mm) at the top of the sheet"
    );
    reader.say(&codes::NO_UNIT, item.span(), message, advice).allowed =
        Some(Wanted::measure::<LengthUnit>().allowed());
}

/// The digits of a TOML number as typed; `None` where it is no number that can be used.
fn finite(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Result<Decimal, ParseError>> {
    let typed = reader.typed(item);
    if typed.contains("nan") || typed.contains("inf") {
        let message = format!("`{}` is `{typed}`, which is no measurement", item.key);
        let advice = "leave it out, or type what was measured";
        reader.say(&codes::NOT_FINITE, item.span(), message, advice).allowed =
            Some("a finite number".into());
        return None;
    }
    if let DeValue::Integer(number) = item.value.get_ref()
        && number.radix() != 10
    {
        let message = format!("`{}` is written as {typed}, as programmers do", item.key);
        let advice = i64::from_str_radix(number.as_str(), number.radix())
            .map_or_else(|_| "write it in plain digits".into(), |plain| format!("write {plain}"));
        reader.say(&codes::BAD_MEASURE, item.span(), message, advice).allowed =
            Some(Wanted::number().allowed());
        return None;
    }
    Some(parse_number(typed))
}

/// A plain number without a unit.
pub(super) fn number(bounds: &'static Bounds) -> impl Read<Decimal> {
    move |reader, item| {
        let read = match item.value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => finite(reader, item)?,
            _ => {
                reader.wrong_type(item, "a number", "a number in digits, without quotes");
                return None;
            }
        };
        match read {
            Ok(number) => reader.check(item, number, bounds.hold(number.value()), bounds),
            // Numbers such as 1e400 have too many digits to be kept, and are out of range besides.
            Err(ParseError::TooManyDigits { .. })
                if reader
                    .typed(item)
                    .replace('_', "")
                    .parse()
                    .is_ok_and(|value: f64| !bounds.hold(value)) =>
            {
                reader.unbelievable(item, bounds);
                None
            }
            Err(error) => {
                reader.bad_measure(item, &error, Wanted::number);
                None
            }
        }
    }
}

/// A whole number.
pub(super) fn whole(bounds: &'static Bounds) -> impl Read<u32> {
    move |reader, item| {
        let read = number(bounds)(reader, item)?;
        read.as_whole().or_else(|| {
            let message = format!("`{}` must be a whole number", item.key);
            reader
                .say(&codes::NOT_WHOLE, item.span(), message, "write it without a fraction")
                .allowed = Some(format!("a whole number, {}", bounds.text()));
            None
        })
    }
}

/// A seed rate.
pub(super) fn seed_rate(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<SeedRate> {
    let read = match item.value.get_ref() {
        DeValue::String(text) => SeedRate::parse(text),
        DeValue::Integer(_) | DeValue::Float(_) => {
            Err(ParseError::NoUnit { found: reader.typed(item).into() })
        }
        _ => {
            reader.no_measure(item, Wanted::seed_rate);
            return None;
        }
    };
    use crate::quantity::bounds::{PER_AREA, PER_ROW};
    match read {
        Ok(SeedRate::Area(rate)) => {
            let inside = PER_AREA.hold_measure(&rate);
            reader.check(item, SeedRate::Area(rate), inside, &PER_AREA)
        }
        Ok(SeedRate::Row(rate)) => {
            let inside = PER_ROW.hold_measure(&rate);
            reader.check(item, SeedRate::Row(rate), inside, &PER_ROW)
        }
        Err(error) => {
            reader.bad_measure(item, &error, Wanted::seed_rate);
            None
        }
    }
}

/// A list with at least one entry; entries with mistakes are reported and left out.
pub(super) fn list<T>(entry: impl Read<T>) -> impl Read<Vec<T>> {
    move |reader, item| {
        let entries = entries(reader, item)?;
        if decimal_commas(reader, item, entries) {
            return None;
        }
        each(reader, item, entries, &entry)
    }
}

/// A list of whole numbers, in which a comma can't be a decimal comma.
pub(super) fn whole_list(bounds: &'static Bounds) -> impl Read<Vec<u32>> {
    move |reader, item| {
        let entries = entries(reader, item)?;
        each(reader, item, entries, &whole(bounds))
    }
}

fn each<T>(
    reader: &mut Reader<'_>,
    item: Item<'_, '_>,
    entries: &[Spanned<DeValue<'_>>],
    entry: &impl Read<T>,
) -> Option<Vec<T>> {
    let mut all = true;
    let mut read = Vec::with_capacity(entries.len());
    for value in entries {
        match entry(reader, Item { key: item.key, value }) {
            Some(entry) => read.push(entry),
            None => all = false,
        }
    }
    all.then_some(read)
}

fn entries<'a, 's>(
    reader: &mut Reader<'_>,
    item: Item<'a, 's>,
) -> Option<&'a [Spanned<DeValue<'s>>]> {
    let DeValue::Array(entries) = item.value.get_ref() else {
        let typed = reader.typed(item).lines().next().unwrap_or_default();
        let example = match item.value.get_ref() {
            DeValue::Table(_) => format!("the readings between brackets: {} = [4, 3.5]", item.key),
            _ => format!("it in brackets: {} = [{typed}]", item.key),
        };
        reader.wrong_type(item, "a list in square brackets", &example);
        return None;
    };
    if entries.is_empty() {
        let message = format!("`{}` is an empty list", item.key);
        let advice = "fill it in, or take the line out";
        reader.say(&codes::EMPTY_LIST, item.span(), message, advice).allowed =
            Some("one entry or more".into());
        return None;
    }
    Some(entries)
}

/// `[11,5, 12,0]` is TOML for four numbers. Where some commas have a space after them and some
/// between whole numbers have none, or where tight commas pair a larger number with one digit
/// all along, decimal commas are more likely than readings.
fn decimal_commas(
    reader: &mut Reader<'_>,
    item: Item<'_, '_>,
    entries: &[Spanned<DeValue<'_>>],
) -> bool {
    let is_whole = |value: &Spanned<DeValue<'_>>| matches!(value.get_ref(), DeValue::Integer(_));
    let text = reader.text;
    let tight: Vec<bool> = entries
        .windows(2)
        .map(|pair| text.get(pair[0].span().end..pair[1].span().start) == Some(","))
        .collect();
    let mixed = entries
        .windows(2)
        .zip(&tight)
        .find(|(pair, tight)| **tight && is_whole(&pair[0]) && is_whole(&pair[1]));
    let suspicious = match mixed {
        Some((pair, _)) if tight.contains(&false) => Some(pair),
        Some((pair, _)) if paired_digits(text, entries) => Some(pair),
        _ => None,
    };
    let Some(pair) = suspicious else { return false };
    let span = pair[0].span().start..pair[1].span().end;
    let typed = text.get(span.clone()).unwrap_or_default();
    let message = format!("`{typed}` in `{}` looks like a decimal comma", item.key);
    let advice = format!(
        "write {} if it is one number; put a space after every comma if they are two",
        typed.replacen(',', ".", 1)
    );
    reader.say(&codes::DECIMAL_COMMA, span, message, advice);
    true
}

fn paired_digits(text: &str, entries: &[Spanned<DeValue<'_>>]) -> bool {
    let digits = |value: &Spanned<DeValue<'_>>| text.get(value.span()).unwrap_or_default().len();
    entries.len() >= 4
        && entries.len().is_multiple_of(2)
        && entries.chunks(2).all(|pair| digits(&pair[0]) >= 2 && digits(&pair[1]) == 1)
}

/// A table of the sheet while its keys are looked up.
pub(super) struct Section<'s> {
    table: &'s DeTable<'s>,
    span: Range<usize>,
    path: String,
    /// How it is called in messages.
    name: String,
    /// Whether it stands in braces on one line.
    braces: bool,
    asked: Vec<&'static str>,
    /// Keys that must be there and are not, with an example.
    lacks: Vec<(&'static str, String)>,
}

impl<'s> Section<'s> {
    /// The top of the document.
    pub(super) fn top(document: &'s Document<'s>) -> Self {
        Section::of(document.get_ref(), 0..0, String::new(), "the top of the sheet".into())
    }

    fn of(table: &'s DeTable<'s>, span: Range<usize>, path: String, name: String) -> Self {
        Section { table, span, path, name, braces: false, asked: vec![], lacks: vec![] }
    }

    /// Where the table starts.
    pub(super) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    fn item(&mut self, key: &'static str) -> Option<&'s Spanned<DeValue<'s>>> {
        self.asked.push(key);
        self.table.get(key)
    }

    /// A key that may be missing.
    pub(super) fn optional<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Read<T>,
    ) -> Option<T> {
        self.placed(reader, key, read).map(|placed| placed.value)
    }

    /// A key that may be missing, with its place.
    pub(super) fn placed<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Read<T>,
    ) -> Option<Placed<T>> {
        let value = self.item(key)?;
        let Some(read) = read(reader, Item { key, value }) else {
            reader.spoken.insert(joined(&self.path, key));
            return None;
        };
        Some(Placed { value: read, span: value.span() })
    }

    /// A key that must be there.
    pub(super) fn required<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        example: &str,
        read: impl Read<T>,
    ) -> Option<T> {
        if !self.table.contains_key(key) {
            self.lacks.push((key, example.into()));
        }
        self.optional(reader, key, read)
    }

    /// Whether a key is there, whatever it holds.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Whether a key is to be read as a table: it holds one, or the vocabulary is wanted.
    pub(super) fn holds_table(&self, reader: &Reader<'_>, key: &str) -> bool {
        reader.listing
            || self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// Keys that may stand here, though nothing is read from them.
    pub(super) fn know(&mut self, keys: &[&'static str]) {
        self.asked.extend(keys);
    }

    /// Where a key's value stands.
    pub(super) fn place(&self, key: &str) -> Range<usize> {
        self.table.get(key).map_or_else(|| self.span(), Spanned::span)
    }

    /// Where an entry of a key's list stands.
    pub(super) fn entry_place(&self, key: &str, index: usize) -> Range<usize> {
        match self.table.get(key).map(Spanned::get_ref) {
            Some(DeValue::Array(entries)) => {
                entries.get(index).map_or_else(|| self.place(key), Spanned::span)
            }
            _ => self.place(key),
        }
    }

    /// A table in this one.
    pub(super) fn table<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let name = format!("[{}]", joined(&self.path, key));
        match self.item(key) {
            Some(value) => self.inner(reader, key, &name, value, read),
            None => self.imagine(reader, key, name, read),
        }
    }

    /// A list of tables in this one.
    pub(super) fn tables<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Vec<T> {
        let name = format!("[[{}]]", joined(&self.path, key));
        let Some(value) = self.item(key) else {
            self.imagine(reader, key, name, read);
            return vec![];
        };
        match value.get_ref() {
            DeValue::Array(entries) => entries
                .iter()
                .filter_map(|entry| self.inner(reader, key, &name, entry, &read))
                .collect(),
            // One `[table]` where several may stand is read as the only one.
            _ => self.inner(reader, key, &name, value, &read).into_iter().collect(),
        }
    }

    fn inner<T>(
        &self,
        reader: &mut Reader<'_>,
        key: &'static str,
        name: &str,
        value: &'s Spanned<DeValue<'s>>,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let path = joined(&self.path, key);
        let DeValue::Table(table) = value.get_ref() else {
            let example = table_example(&path).map_or_else(
                || format!("{name} on a line of its own, and its keys in the lines below"),
                String::from,
            );
            reader.wrong_type(Item { key, value }, "a table", &example);
            reader.spoken.insert(path);
            return None;
        };
        let braces = reader.text.get(value.span()).is_some_and(|text| text.starts_with('{'));
        let span = whole_header(reader.text, value.span());
        let name = if braces { format!("`{key}`") } else { name.into() };
        let mut section = Section { braces, ..Section::of(table, span, path, name) };
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reads a table that is not there, for the sake of the vocabulary.
    fn imagine<T>(
        &self,
        reader: &mut Reader<'_>,
        key: &'static str,
        name: String,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        if !reader.listing {
            return None;
        }
        let empty = DeTable::new();
        let mut section = Section::of(&empty, 0..0, joined(&self.path, key), name);
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reports every key that nobody asked for, and every one that is missing.
    pub(super) fn finish(&self, reader: &mut Reader<'_>) {
        let mut keys = self.asked.clone();
        keys.sort_unstable();
        keys.dedup();
        if reader.listing {
            let known = Known { name: self.name.clone(), path: self.path.clone(), keys };
            reader.vocabulary.get_or_insert_default().push(known);
            return;
        }
        let allowed = keys.join(", ");
        let mut meant = vec![];
        for (key, value) in self.table.iter() {
            let name = key.get_ref().as_ref();
            if keys.binary_search(&name).is_err() {
                meant.extend(self.unknown(reader, key.span(), name, value.get_ref(), &allowed));
            }
        }
        for (key, example) in self.lacks.iter().filter(|(key, _)| !meant.contains(key)) {
            let message = format!("{} has no `{key}`", self.name);
            let inside = if self.braces { " inside the braces" } else { "" };
            let advice = format!("add `{key} = {example}`{inside}");
            reader.say(&codes::MISSING_KEY, self.span(), message, advice);
            reader.spoken.insert(joined(&self.path, key));
        }
    }

    /// Reports a key that this table does not have; hands back the one that was meant.
    fn unknown(
        &self,
        reader: &mut Reader<'_>,
        span: Range<usize>,
        name: &str,
        value: &DeValue<'_>,
        allowed: &str,
    ) -> Option<&'static str> {
        let is_table = match value {
            DeValue::Table(_) => true,
            DeValue::Array(entries) => {
                entries.first().is_some_and(|one| matches!(one.get_ref(), DeValue::Table(_)))
            }
            _ => false,
        };
        if reader.full() {
            return None;
        }
        let elsewhere = reader.belongs(name, &self.path, is_table);
        let near =
            if elsewhere.is_some() { None } else { suggestion(name, self.asked.iter().copied()) };
        let advice = match (elsewhere, near) {
            (Some(place), _) => place,
            (None, Some(near)) => {
                reader.spoken.insert(joined(&self.path, near));
                format!("did you mean `{near}`?")
            }
            (None, None) => {
                "take it out; `alleytrue new` writes a sheet with the usual keys".into()
            }
        };
        let message = if is_table && self.path.is_empty() {
            format!("there is no table `{name}`")
        } else {
            format!("{} has no key `{name}`", self.name)
        };
        reader.say(&codes::UNKNOWN_KEY, span, message, advice).allowed = Some(allowed.into());
        near
    }
}

/// What to write for the tables that usually stand in braces.
fn table_example(path: &str) -> Option<&'static str> {
    Some(match path {
        "planter.travel-per-turn" => {
            "the course and the turns it took: { distance = \"67 ft 11 in\", turns = 10 }"
        }
        "planter.plate" => "the cells of the plate in braces: { cells = 40 }",
        "planter.drive" => {
            "[[planter.drive]] on a line of its own, and driving = 24 and driven = 18 below it"
        }
        "planter.controller.trip-scale" => {
            "what the number means: { counts = \"per length\" } or { length = \"per count\" }; the \
             number itself goes under [settings]"
        }
        "planter.controller.setback" | "planter.controller.pass-offset" => {
            "which way it works: { raising-moves-alley = \"back\" } or \"ahead\"; the setting itself \
             goes under [settings]"
        }
        "trial.tolerance" => "one tolerance for each: { trip = \"1 in\", centre = \"1 in\" }",
        _ => return None,
    })
}

/// The whole header where a table is there only as a part of it: `planter` in
/// `[planter.controller]`.
fn whole_header(text: &str, span: Range<usize>) -> Range<usize> {
    if text.get(span.clone()).is_some_and(|at| at.starts_with(['[', '{'])) {
        return span;
    }
    let start = text.get(..span.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let header = line.split('#').next().unwrap_or_default().trim();
    if header.starts_with('[') && header.ends_with(']') {
        let indent = line.len() - line.trim_start().len();
        return start + indent..start + indent + header.len();
    }
    span
}

/// The candidate closest to what was typed, where it is close enough to be meant; else the only
/// one that starts with what was typed or that it starts with, word for word.
fn suggestion<'c>(
    typed: &str,
    candidates: impl Iterator<Item = &'c str> + Clone,
) -> Option<&'c str> {
    const FURTHEST: usize = 3;
    let typed = typed.trim().to_lowercase().replace(['_', ' '], "-");
    if typed.chars().count() < 3 {
        return None;
    }
    let near = candidates
        .clone()
        .map(|candidate| (strsim::damerau_levenshtein(&typed, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= FURTHEST && *distance * 2 <= candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate);
    let longer = |long: &str, short: &str| {
        long.strip_prefix(short).is_some_and(|rest| rest.starts_with('-'))
    };
    near.or_else(|| {
        let mut same = candidates.filter(|word| longer(word, &typed) || longer(&typed, word));
        same.next().filter(|_| same.next().is_none())
    })
}
