//! What the tables of the sheet share: keys looked up with their place, values read with their
//! bounds, every mistake collected.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::quantity::bounds::Bounds;
use crate::quantity::{
    Decimal, Length, LengthUnit, Measure, MeasureUnit, ParseError, SeedRate, parse_number,
};

use super::codes::{self, Code};
use super::{Diagnostic, Placed, Source};

/// The parsed document.
pub(super) type Document<'s> = Spanned<DeTable<'s>>;

/// Parses the text, or says what is not TOML.
pub(super) fn root(source: &Source) -> Result<Document<'_>, Vec<Diagnostic>> {
    let (document, errors) = DeTable::parse_recoverable(source.text());
    if errors.is_empty() {
        return Ok(document);
    }
    let mut mistakes: Vec<Diagnostic> =
        errors.iter().map(|error| syntax(source.text(), error)).collect();
    // The parser's recovery may stumble over one line more than once.
    mistakes.dedup_by_key(|mistake| mistake.line_and_column(source.text()).0);
    Err(mistakes)
}

fn syntax(text: &str, error: &toml::de::Error) -> Diagnostic {
    let span = error.span().unwrap_or(0..0);
    let start = text.get(..span.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let value = line.split_once('=').map_or("", |(_, value)| value.trim());
    let starts_with_digit = value.starts_with(|c: char| c.is_ascii_digit() || c == '-');
    let number: String =
        value.chars().take_while(|c| c.is_ascii_digit() || "-,.".contains(*c)).collect();
    let (code, advice): (&'static Code, String) = if value
        .starts_with(['\u{201c}', '\u{201d}', '\u{2018}', '\u{2019}'])
    {
        let bare = value.trim_matches(['\u{201c}', '\u{201d}', '\u{2018}', '\u{2019}', '"']);
        (&codes::CURLY_QUOTES, format!("type straight quotes: \"{bare}\""))
    } else if starts_with_digit && number.contains(',') {
        (&codes::DECIMAL_COMMA, format!("type a decimal point: {}", number.replacen(',', ".", 1)))
    } else if starts_with_digit && !value.starts_with('[') {
        (&codes::SYNTAX, format!("put a value with a unit in quotes: \"{value}\""))
    } else if value.matches('"').count() > 2 {
        (&codes::SYNTAX, "write feet and inches as `17 ft 6 in`, without inch marks".into())
    } else {
        (
            &codes::SYNTAX,
            "write `key = value`, text and values with a unit in straight quotes".into(),
        )
    };
    Diagnostic {
        code,
        span,
        message: format!("this is not TOML: {}", error.message()),
        found: String::new(),
        allowed: None,
        advice,
    }
}

/// Collects mistakes while tables are read.
#[derive(Debug)]
pub(super) struct Reader<'s> {
    text: &'s str,
    diagnostics: Vec<Diagnostic>,
    /// The unit of bare lengths.
    pub(super) bare: Option<LengthUnit>,
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
        Reader { text, diagnostics: vec![], bare: None }
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
        self.diagnostics.push(Diagnostic {
            code,
            span,
            message: message.into(),
            found,
            allowed: None,
            advice: advice.into(),
        });
        let last = self.diagnostics.len() - 1;
        &mut self.diagnostics[last]
    }

    /// The text of an item as typed.
    pub(super) fn typed(&self, item: Item<'_, '_>) -> &'s str {
        self.text.get(item.span()).unwrap_or_default()
    }

    fn wrong_type(&mut self, item: Item<'_, '_>, wanted: &str, example: &str) {
        let is = kind(item.value.get_ref());
        let message = format!("`{}` is {is}, and {wanted} is wanted", item.key);
        self.say(&codes::WRONG_TYPE, item.span(), message, format!("write {example}")).allowed =
            Some(wanted.into());
    }

    fn bad_measure(
        &mut self,
        item: Item<'_, '_>,
        error: &ParseError,
        wanted: &str,
        examples: &str,
    ) {
        let code = match error {
            ParseError::Comma { .. } => &codes::DECIMAL_COMMA,
            ParseError::NoUnit { .. } => &codes::NO_UNIT,
            ParseError::OtherDimension { .. } => &codes::OTHER_UNIT,
            _ => &codes::BAD_MEASURE,
        };
        let message = format!("`{}` is no {}: {error}", item.key, wanted.trim_start_matches("a "));
        let advice = error.advice(examples);
        self.say(code, item.span(), message, advice).allowed =
            Some(format!("{wanted}: {examples}"));
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
        let message = format!("`{}` is not believable", item.key);
        let advice = "check the digits and the unit";
        self.say(&codes::OUT_OF_RANGE, item.span(), message, advice).allowed = Some(bounds.text());
        None
    }
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
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
            reader.wrong_type(item, "a date", "a date without quotes, such as 2027-04-18");
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
            reader.wrong_type(item, "one of a few words", &words(choices));
            return None;
        };
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == found.as_ref()) {
            return Some(*value);
        }
        let message = format!("`{}` can't be `{found}`", item.key);
        let near = suggestion(found, choices.iter().map(|(word, _)| *word));
        let advice = near.map_or_else(
            || format!("write {}", words(choices)),
            |w| format!("did you mean \"{w}\"?"),
        );
        reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
            Some(words(choices));
        None
    }
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
                reader.wrong_type(item, U::DIMENSION, U::EXAMPLES);
                return None;
            }
        };
        match read {
            Ok(measure) => {
                let inside = bounds.hold_measure(&measure);
                reader.check(item, measure, inside, bounds)
            }
            Err(error) => {
                reader.bad_measure(item, &error, U::DIMENSION, U::EXAMPLES);
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
            (DeValue::Integer(_) | DeValue::Float(_), Some(unit)) => {
                number_text(reader, item)?.map(|number| Length::of(number, unit))
            }
            (DeValue::Integer(_) | DeValue::Float(_), None) => {
                // `nan` and digits that can't be read have their own messages.
                if number_text(reader, item)?.is_ok() {
                    no_bare_unit(reader, item);
                    return None;
                }
                number_text(reader, item)?.map(|number| Length::of(number, LengthUnit::Metre))
            }
            _ => {
                reader.wrong_type(item, LengthUnit::DIMENSION, LengthUnit::EXAMPLES);
                return None;
            }
        };
        match read {
            Ok(length) => {
                let inside = bounds.hold_measure(&length);
                reader.check(item, length, inside, bounds)
            }
            Err(error) => {
                reader.bad_measure(item, &error, LengthUnit::DIMENSION, LengthUnit::EXAMPLES);
                None
            }
        }
    }
}

fn no_bare_unit(reader: &mut Reader<'_>, item: Item<'_, '_>) {
    let typed = reader.typed(item).to_owned();
    let message = format!("`{}` has no unit, and the sheet gives none for bare lengths", item.key);
    let advice = format!(
        "write it with its unit, such as \"{typed} in\", or put `bare-length = \"in\"` (or ft, cm, m, mm) at the top of the sheet"
    );
    reader.say(&codes::NO_UNIT, item.span(), message, advice);
}

/// The digits of a TOML number as typed; `None` where it is no finite number.
fn number_text(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Result<Decimal, ParseError>> {
    let typed = reader.typed(item);
    if typed.contains("nan") || typed.contains("inf") {
        let message = format!("`{}` is `{typed}`, which is no measurement", item.key);
        reader
            .say(
                &codes::NOT_FINITE,
                item.span(),
                message,
                "leave it out, or type what was measured",
            )
            .allowed = Some("a finite number".into());
        return None;
    }
    Some(parse_number(typed))
}

/// A plain number without a unit.
pub(super) fn number(bounds: &'static Bounds) -> impl Read<Decimal> {
    move |reader, item| {
        let read = match item.value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => number_text(reader, item)?,
            _ => {
                reader.wrong_type(item, "a number", "a number without quotes, such as 402.5");
                return None;
            }
        };
        match read {
            Ok(number) => reader.check(item, number, bounds.hold(number.value()), bounds),
            Err(error) => {
                reader.bad_measure(item, &error, "a number", "`402.5`");
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
    let wanted = "a seed rate";
    let examples = SeedRate::examples();
    let read = match item.value.get_ref() {
        DeValue::String(text) => SeedRate::parse(text),
        DeValue::Integer(_) | DeValue::Float(_) => {
            Err(ParseError::NoUnit { found: reader.typed(item).into() })
        }
        _ => {
            reader.wrong_type(item, wanted, &examples);
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
            reader.bad_measure(item, &error, wanted, &examples);
            None
        }
    }
}

/// A list with at least one entry; entries with mistakes are reported and left out.
pub(super) fn list<T>(entry: impl Read<T>) -> impl Read<Vec<T>> {
    move |reader, item| {
        let DeValue::Array(entries) = item.value.get_ref() else {
            let example = format!("a list: {} = [..., ...]", item.key);
            reader.wrong_type(item, "a list in square brackets", &example);
            return None;
        };
        if entries.is_empty() {
            let message = format!("`{}` is an empty list", item.key);
            let advice = "fill it in, or take the key out until it has been measured";
            reader.say(&codes::EMPTY_LIST, item.span(), message, advice);
            return None;
        }
        decimal_commas(reader, item, entries);
        let mut all = true;
        let mut read = Vec::with_capacity(entries.len());
        for value in entries.iter() {
            match entry(reader, Item { key: item.key, value }) {
                Some(entry) => read.push(entry),
                None => all = false,
            }
        }
        all.then_some(read)
    }
}

/// `[11,5, 12,0]` is TOML for four numbers. Where some commas have a space after them and some
/// between whole numbers have none, or where tight commas pair a larger number with one digit
/// all along, decimal commas are more likely than readings.
fn decimal_commas(reader: &mut Reader<'_>, item: Item<'_, '_>, entries: &[Spanned<DeValue<'_>>]) {
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
    let Some(pair) = suspicious else { return };
    let span = pair[0].span().start..pair[1].span().end;
    let typed = text.get(span.clone()).unwrap_or_default();
    let message = format!("`{typed}` in `{}` looks like a decimal comma", item.key);
    let advice = format!(
        "write {} if it is one number; put a space after every comma if they are two",
        typed.replacen(',', ".", 1)
    );
    reader.say(&codes::DECIMAL_COMMA, span, message, advice);
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
    asked: Vec<&'static str>,
}

impl<'s> Section<'s> {
    /// The top of the document.
    pub(super) fn top(document: &'s Document<'s>) -> Self {
        Section { table: document.get_ref(), span: 0..0, path: String::new(), asked: vec![] }
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
        let value = self.item(key)?;
        read(reader, Item { key, value })
    }

    /// A key that may be missing, with its place.
    pub(super) fn placed<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Read<T>,
    ) -> Option<Placed<T>> {
        let value = self.item(key)?;
        let read = read(reader, Item { key, value })?;
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
        if self.table.contains_key(key) {
            return self.optional(reader, key, read);
        }
        self.asked.push(key);
        let message = format!("{} has no `{key}`", self.name());
        reader.say(&codes::MISSING_KEY, self.span(), message, format!("add `{key} = {example}`"));
        None
    }

    /// Whether a key is there, whatever it holds.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Whether a key holds a table.
    pub(super) fn holds_table(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// Keys that may stand here, though nothing is read from them.
    pub(super) fn know(&mut self, keys: &[&'static str]) {
        self.asked.extend(keys);
    }

    /// Where a key's value stands.
    pub(super) fn place(&self, key: &str) -> Range<usize> {
        self.table.get(key).map_or_else(|| self.span(), Spanned::span)
    }

    /// A table in this one.
    pub(super) fn table<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let value = self.item(key)?;
        self.inner(reader, key, value, read)
    }

    /// A list of tables in this one.
    pub(super) fn tables<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Vec<T> {
        let Some(value) = self.item(key) else { return vec![] };
        match value.get_ref() {
            DeValue::Array(entries) => {
                entries.iter().filter_map(|entry| self.inner(reader, key, entry, &read)).collect()
            }
            // One `[table]` where several may stand is read as the only one.
            _ => self.inner(reader, key, value, &read).into_iter().collect(),
        }
    }

    fn inner<T>(
        &self,
        reader: &mut Reader<'_>,
        key: &'static str,
        value: &'s Spanned<DeValue<'s>>,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let DeValue::Table(table) = value.get_ref() else {
            reader.wrong_type(Item { key, value }, "a table", &format!("a table: [{key}]"));
            return None;
        };
        let path = if self.path.is_empty() { key.into() } else { format!("{}.{key}", self.path) };
        let mut section = Section { table, span: value.span(), path, asked: vec![] };
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reports every key that nobody asked for.
    pub(super) fn finish(&self, reader: &mut Reader<'_>) {
        for key in self.table.keys() {
            let name = key.get_ref().as_ref();
            if self.asked.contains(&name) {
                continue;
            }
            let message = format!("{} has no key `{name}`", self.name());
            let near = suggestion(name, self.asked.iter().copied());
            let advice = near.map_or_else(
                || "take it out, or check in which table it belongs".into(),
                |near| format!("did you mean `{near}`?"),
            );
            let mut keys = self.asked.clone();
            keys.sort_unstable();
            keys.dedup();
            reader.say(&codes::UNKNOWN_KEY, key.span(), message, advice).allowed =
                Some(keys.join(", "));
        }
    }

    fn name(&self) -> String {
        if self.path.is_empty() {
            "the top of the sheet".into()
        } else {
            format!("[{}]", self.path)
        }
    }
}

/// The candidate closest to what was typed, where it is close enough to be meant.
fn suggestion<'c>(typed: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    const FURTHEST: usize = 3;
    if typed.chars().count() < 3 {
        return None;
    }
    let typed = typed.to_lowercase().replace('_', "-");
    candidates
        .map(|candidate| (strsim::damerau_levenshtein(&typed, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= FURTHEST && *distance * 2 <= candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}
