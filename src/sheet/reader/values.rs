//! Reading values: text, words, measures, numbers and lists, each with its bounds and messages.

use std::marker::PhantomData;

use toml::Spanned;
use toml::de::DeValue;
use toml::value::Datetime;

use crate::quantity::bounds::{Bounds, PER_AREA, PER_ROW};
use crate::quantity::{
    Angle, AngleKind, AreaUnit, Decimal, Length, LengthUnit, Measure, MeasureUnit, ParseError,
    RowUnit, SeedRate, parse_number,
};
use crate::sheet::codes;

use super::key::Takes;
use super::mistakes::{Item, Reader, Wanted};
use super::section::suggestion;
use super::shape::Shape;

/// Any text on one line.
pub(in crate::sheet) struct Text;

impl Takes<String> for Text {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
        match item.value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => {
                reader.wrong_type(item, "text", "text in straight quotes");
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Text]
    }
}

/// A TOML date, as in `2027-04-18`: year, month, day.
pub(in crate::sheet) struct Day;

impl Takes<String> for Day {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
        match item.value.get_ref() {
            DeValue::Datetime(Datetime { date: Some(date), .. }) => Some(date.to_string()),
            _ => {
                let example = "year, month and day, without quotes: 2027-04-18";
                reader.wrong_type(item, "a date", example);
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Date]
    }
}

/// `true` or `false`.
pub(in crate::sheet) struct YesNo;

impl Takes<bool> for YesNo {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<bool> {
        match item.value.get_ref() {
            DeValue::Boolean(value) => Some(*value),
            _ => {
                reader.wrong_type(item, "true or false", "true or false, without quotes");
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::YesNo]
    }
}

/// One of a few words.
pub(in crate::sheet) const fn word<T: Copy>(choices: &'static [(&'static str, T)]) -> Word<T> {
    Word(choices)
}

/// One of a few words.
pub(in crate::sheet) struct Word<T: 'static>(&'static [(&'static str, T)]);

impl<T: Copy + Sync> Takes<T> for Word<T> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<T> {
        let Word(choices) = self;
        let DeValue::String(found) = item.value.get_ref() else {
            reader.wrong_type(item, &words(choices), &words(choices));
            return None;
        };
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == found.as_ref()) {
            return Some(*value);
        }
        let message = format!("`{}` can't be `{found}`", item.key);
        // A word that shares nothing but its length is another answer, and no slip: west for left.
        let near = suggestion(found, choices.iter().map(|(word, _)| *word))
            .filter(|word| akin(found, word))
            .or_else(|| shortened(found, choices.iter().map(|(word, _)| *word)));
        let advice = near.map_or_else(
            || format!("write {}", words(choices)),
            |w| format!("did you mean \"{w}\"?"),
        );
        reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
            Some(words(choices));
        None
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Words(self.0.iter().map(|(word, _)| *word).collect())]
    }
}

/// Whether a word may be meant by another: they begin alike, or a letter or two are amiss at most
/// in a long one.
fn akin(typed: &str, word: &str) -> bool {
    let typed = typed.trim().to_lowercase();
    typed.chars().next() == word.chars().next() || strsim::damerau_levenshtein(&typed, word) <= 1
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

/// A measure with its unit in quotes.
pub(in crate::sheet) const fn measure<U>(bounds: &'static Bounds) -> InUnits<U> {
    InUnits(bounds, PhantomData)
}

/// A measure with its unit in quotes.
pub(in crate::sheet) struct InUnits<U>(&'static Bounds, PhantomData<fn() -> U>);

impl<U: MeasureUnit> Takes<Measure<U>> for InUnits<U> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Measure<U>> {
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
                let inside = self.0.hold_measure(&measure);
                reader.check(item, measure, inside, self.0)
            }
            Err(error) => {
                reader.bad_measure(item, &error, Wanted::measure::<U>);
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::measure::<U>(self.0, false)]
    }
}

/// A length: in quotes with its unit, or bare where the sheet says what bare lengths are.
pub(in crate::sheet) const fn length(bounds: &'static Bounds) -> InLengths {
    InLengths(bounds)
}

/// A length: in quotes with its unit, or bare where the sheet says what bare lengths are.
pub(in crate::sheet) struct InLengths(&'static Bounds);

impl Takes<Length> for InLengths {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Length> {
        let read = match (item.value.get_ref(), reader.bare_at(&item.span())) {
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
                let inside = self.0.hold_measure(&length);
                reader.check(item, length, inside, self.0)
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

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::measure::<LengthUnit>(self.0, true)]
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
    let read = parse_number(typed);
    if read.is_ok() {
        return Some(read);
    }
    if typed.contains('n') && (typed.contains("nan") || typed.contains("inf")) {
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
    Some(read)
}

/// A plain number without a unit.
pub(in crate::sheet) const fn number(bounds: &'static Bounds) -> Number {
    Number(bounds)
}

/// A plain number without a unit.
pub(in crate::sheet) struct Number(&'static Bounds);

impl Takes<Decimal> for Number {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Decimal> {
        let bounds = self.0;
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

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Number(self.0)]
    }
}

/// An angle: bare decimal degrees, or text.
pub(in crate::sheet) const fn angle(kind: AngleKind, bounds: &'static Bounds) -> Degrees {
    Degrees(kind, bounds)
}

/// An angle: bare decimal degrees, or text.
pub(in crate::sheet) struct Degrees(AngleKind, &'static Bounds);

impl Takes<Angle> for Degrees {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Angle> {
        let Degrees(kind, bounds) = self;
        let read = match item.value.get_ref() {
            DeValue::String(text) => Angle::parse(text, *kind),
            DeValue::Integer(_) | DeValue::Float(_) => {
                finite(reader, item)?.map(|number| Angle::of_degrees(number.value()))
            }
            _ => {
                reader.wrong_type(item, "an angle", kind.examples());
                return None;
            }
        };
        match read {
            Ok(angle) if bounds.hold(angle.degrees()) => Some(angle),
            Ok(_) => {
                let message = format!("`{}` can't be {}", item.key, reader.typed(item));
                let advice = "check the digits and the sign, and that it is in degrees";
                reader.say(&codes::OUT_OF_RANGE, item.span(), message, advice).allowed =
                    Some(bounds.text());
                None
            }
            Err(error) => {
                let code = match error {
                    ParseError::Comma { .. } => &codes::DECIMAL_COMMA,
                    _ => &codes::BAD_MEASURE,
                };
                let message = format!("`{}` is no angle: {error}", item.key);
                let advice = format!("write it as {}", kind.examples());
                reader.say(code, item.span(), message, advice).allowed =
                    Some("degrees, or degrees, minutes and seconds".into());
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Angle(self.0, self.1)]
    }
}

/// A whole number.
pub(in crate::sheet) const fn whole(bounds: &'static Bounds) -> Whole<u32> {
    Whole { bounds, keep: Decimal::as_whole }
}

/// A whole number that may be below nought, as it enters the arithmetic.
pub(in crate::sheet) const fn signed_whole(bounds: &'static Bounds) -> SignedWhole {
    Whole { bounds, keep: whole_of_either_sign }
}

fn whole_of_either_sign(number: Decimal) -> Option<Decimal> {
    number.as_whole().or(number.negated().as_whole()).map(|_| number)
}

/// A whole number that may be below nought.
pub(in crate::sheet) type SignedWhole = Whole<Decimal>;

/// A whole number.
pub(in crate::sheet) struct Whole<T> {
    bounds: &'static Bounds,
    keep: fn(Decimal) -> Option<T>,
}

impl<T> Takes<T> for Whole<T> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<T> {
        let read = number(self.bounds).read(reader, item)?;
        (self.keep)(read).or_else(|| {
            let message = format!("`{}` must be a whole number", item.key);
            reader
                .say(&codes::NOT_WHOLE, item.span(), message, "write it without a fraction")
                .allowed = Some(format!("a whole number, {}", self.bounds.text()));
            None
        })
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Whole(self.bounds)]
    }
}

/// A whole number as it enters the arithmetic.
pub(in crate::sheet) const fn counted(bounds: &'static Bounds) -> Mapped<Whole<u32>, u32, Decimal> {
    mapped(whole(bounds), Decimal::whole)
}

/// A seed rate, on the ground or along the row.
pub(in crate::sheet) struct SeedRates;

impl Takes<SeedRate> for SeedRates {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<SeedRate> {
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

    fn shapes(&self) -> Vec<Shape> {
        let area = Shape::measure::<AreaUnit>(&PER_AREA, false);
        vec![area, Shape::measure::<RowUnit>(&PER_ROW, false)]
    }
}

/// What is read as one thing and kept as another.
pub(in crate::sheet) const fn mapped<K, S, T>(takes: K, keep: fn(S) -> T) -> Mapped<K, S, T> {
    Mapped { takes, keep }
}

/// What is read as one thing and kept as another.
pub(in crate::sheet) struct Mapped<K, S, T> {
    takes: K,
    keep: fn(S) -> T,
}

impl<S, T, K: Takes<S>> Takes<T> for Mapped<K, S, T> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<T> {
        self.takes.read(reader, item).map(self.keep)
    }

    fn shapes(&self) -> Vec<Shape> {
        self.takes.shapes()
    }
}

/// A value of one of two kinds: the first where what stands there says so, else the second.
pub(in crate::sheet) const fn either<A, B>(
    is_first: fn(&Reader<'_>, Item<'_, '_>) -> bool,
    first: A,
    second: B,
) -> Either<A, B> {
    Either { is_first, first, second }
}

/// A value of one of two kinds, told apart by how it is typed.
pub(in crate::sheet) struct Either<A, B> {
    is_first: fn(&Reader<'_>, Item<'_, '_>) -> bool,
    first: A,
    second: B,
}

impl<T, A: Takes<T>, B: Takes<T>> Takes<T> for Either<A, B> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<T> {
        if (self.is_first)(reader, item) {
            self.first.read(reader, item)
        } else {
            self.second.read(reader, item)
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        [self.first.shapes(), self.second.shapes()].concat()
    }
}

/// A list with at least one entry; entries with mistakes are reported and left out.
pub(in crate::sheet) const fn list<K>(entry: K) -> List<K> {
    List { entry, decimals: true }
}

/// A list of whole numbers, in which a comma can't be a decimal comma.
pub(in crate::sheet) const fn whole_list(bounds: &'static Bounds) -> List<Whole<u32>> {
    List { entry: whole(bounds), decimals: false }
}

/// A list with at least one entry.
pub(in crate::sheet) struct List<K> {
    entry: K,
    /// Whether its entries may have decimals.
    decimals: bool,
}

impl<T, K: Takes<T>> Takes<Vec<T>> for List<K> {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Vec<T>> {
        let entries = entries(reader, item)?;
        if self.decimals && decimal_commas(reader, item, entries) {
            return None;
        }
        each(reader, item, entries, &self.entry)
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::List(self.entry.shapes())]
    }
}

fn each<T>(
    reader: &mut Reader<'_>,
    item: Item<'_, '_>,
    entries: &[Spanned<DeValue<'_>>],
    entry: &impl Takes<T>,
) -> Option<Vec<T>> {
    let mut all = true;
    let mut read = Vec::with_capacity(entries.len());
    for value in entries {
        match entry.read(reader, Item { key: item.key, value }) {
            Some(entry) => read.push(entry),
            None => all = false,
        }
    }
    all.then_some(read)
}

/// A text that holds three entries of a list or more, each by itself: with two, a comma may be that of
/// decimals.
fn apart(text: &str) -> Option<String> {
    let separator = [';', '\t', ','].into_iter().find(|one| text.contains(*one))?;
    let each: Vec<&str> = text.split(separator).map(str::trim).collect();
    let all_numbers = || each.iter().all(|one| parse_number(one).is_ok());
    if each.len() < 3 || each.iter().any(|one| one.is_empty()) {
        return None;
    }
    let quoted = |one: &&str| format!("\"{}\"", one.replace(['"', '\\'], ""));
    Some(if all_numbers() {
        each.join(", ")
    } else {
        each.iter().map(quoted).collect::<Vec<_>>().join(", ")
    })
}

fn entries<'a, 's>(
    reader: &mut Reader<'_>,
    item: Item<'a, 's>,
) -> Option<&'a [Spanned<DeValue<'s>>]> {
    let DeValue::Array(entries) = item.value.get_ref() else {
        let typed = reader.typed(item).lines().next().unwrap_or_default();
        let example = match item.value.get_ref() {
            DeValue::Table(_) => format!("the readings between brackets: {} = [4, 3.5]", item.key),
            DeValue::String(text) => {
                let typed = apart(text).unwrap_or_else(|| typed.to_owned());
                format!("it in brackets: {} = [{typed}]", item.key)
            }
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
    let is_tight = |pair: &[Spanned<DeValue<'_>>]| {
        text.get(pair[0].span().end..pair[1].span().start) == Some(",")
    };
    let mixed =
        entries.windows(2).find(|pair| is_whole(&pair[0]) && is_whole(&pair[1]) && is_tight(pair));
    let suspicious =
        mixed.filter(|_| !entries.windows(2).all(is_tight) || paired_digits(text, entries));
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
