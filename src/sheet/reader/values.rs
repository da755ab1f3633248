//! Reading values: text, words, measures, numbers and lists, each with its bounds and messages.

use toml::Spanned;
use toml::de::DeValue;
use toml::value::{Date, Datetime};

use super::*;

/// Reads one kind of value; `None` where a mistake was reported.
pub(in crate::sheet) trait Read<T>:
    Fn(&mut Reader<'_>, Item<'_, '_>) -> Option<T>
{
}
impl<T, F: Fn(&mut Reader<'_>, Item<'_, '_>) -> Option<T>> Read<T> for F {}

/// Any text on one line.
pub(in crate::sheet) fn text(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
    if reader.only_asks(|| Shape::Text) {
        return None;
    }
    match item.value.get_ref() {
        DeValue::String(text) => Some(text.to_string()),
        _ => {
            reader.wrong_type(item, "text", "text in straight quotes");
            None
        }
    }
}

/// A TOML date, as in `2027-04-18`.
pub(in crate::sheet) fn date(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Date> {
    if reader.only_asks(|| Shape::Date) {
        return None;
    }
    match item.value.get_ref() {
        DeValue::Datetime(Datetime { date: Some(date), .. }) => Some(*date),
        _ => {
            let example = "year, month and day, without quotes: 2027-04-18";
            reader.wrong_type(item, "a date", example);
            None
        }
    }
}

/// `true` or `false`.
pub(in crate::sheet) fn yes_or_no(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<bool> {
    if reader.only_asks(|| Shape::YesNo) {
        return None;
    }
    match item.value.get_ref() {
        DeValue::Boolean(value) => Some(*value),
        _ => {
            reader.wrong_type(item, "true or false", "true or false, without quotes");
            None
        }
    }
}

/// One of a few words.
pub(in crate::sheet) fn word<T: Copy>(choices: &'static [(&'static str, T)]) -> impl Read<T> {
    move |reader, item| {
        if reader.only_asks(|| Shape::Words(choices.iter().map(|(word, _)| *word).collect())) {
            return None;
        }
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

/// The unit of bare lengths.
pub(in crate::sheet) fn unit(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<LengthUnit> {
    word(&[
        ("in", LengthUnit::Inch),
        ("ft", LengthUnit::Foot),
        ("cm", LengthUnit::Centimetre),
        ("m", LengthUnit::Metre),
        ("mm", LengthUnit::Millimetre),
    ])(reader, item)
}

/// A measure with its unit in quotes.
pub(in crate::sheet) fn measure<U: MeasureUnit>(bounds: &'static Bounds) -> impl Read<Measure<U>> {
    move |reader, item| {
        if reader.only_asks(|| Shape::measure::<U>(bounds)) {
            return None;
        }
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
pub(in crate::sheet) fn length(bounds: &'static Bounds) -> impl Read<Length> {
    move |reader, item| {
        if reader.only_asks(|| Shape::length(bounds)) {
            return None;
        }
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
pub(in crate::sheet) fn number(bounds: &'static Bounds) -> impl Read<Decimal> {
    move |reader, item| {
        if reader.only_asks(|| Shape::Number(bounds)) {
            return None;
        }
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

/// An angle: bare decimal degrees, or text.
pub(in crate::sheet) fn angle(kind: AngleKind, bounds: &'static Bounds) -> impl Read<Angle> {
    move |reader, item| {
        if reader.only_asks(|| Shape::Angle(kind, bounds)) {
            return None;
        }
        let read = match item.value.get_ref() {
            DeValue::String(text) => Angle::parse(text, kind),
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
}

/// A whole number.
pub(in crate::sheet) fn whole(bounds: &'static Bounds) -> impl Read<u32> {
    move |reader, item| {
        if reader.only_asks(|| Shape::Whole(bounds)) {
            return None;
        }
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

/// A whole number as it enters the arithmetic.
pub(in crate::sheet) fn counted(bounds: &'static Bounds) -> impl Read<Decimal> {
    move |reader, item| whole(bounds)(reader, item).map(Decimal::whole)
}

/// A seed rate.
pub(in crate::sheet) fn seed_rate(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<SeedRate> {
    if reader.only_asks(Shape::seed_rate) {
        return None;
    }
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
pub(in crate::sheet) fn list<T>(entry: impl Read<T>) -> impl Read<Vec<T>> {
    move |reader, item| {
        if lists(reader, item, &entry) {
            return None;
        }
        let entries = entries(reader, item)?;
        if decimal_commas(reader, item, entries) {
            return None;
        }
        each(reader, item, entries, &entry)
    }
}

/// A list of whole numbers, in which a comma can't be a decimal comma.
pub(in crate::sheet) fn whole_list(bounds: &'static Bounds) -> impl Read<Vec<u32>> {
    move |reader, item| {
        if lists(reader, item, &whole(bounds)) {
            return None;
        }
        let entries = entries(reader, item)?;
        each(reader, item, entries, &whole(bounds))
    }
}

/// Notes a list of what its entries take, where only that is asked.
fn lists<T>(reader: &mut Reader<'_>, item: Item<'_, '_>, entry: &impl Read<T>) -> bool {
    if reader.listing.is_none() {
        return false;
    }
    let before = std::mem::take(&mut reader.shapes);
    entry(reader, item);
    let entries = std::mem::replace(&mut reader.shapes, before);
    reader.shapes.push(Shape::List(entries));
    true
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
