//! What is not TOML, said in plain words with what to type instead.
//!
//! The parser says what it expected; a technician wants to know what to type. So the line it
//! stumbled over is looked at again for the slips that are common in field sheets.

use std::collections::HashMap;
use std::ops::Range;

use crate::quantity::{Commas, commas};

use super::codes::{self, Code};
use super::diagnostic::{Diagnostic, MOST_MISTAKES};

/// Lines looked back over for the start of a list that has no end.
const LOOK_BACK: usize = 200;

/// What the parser could not read.
pub(super) struct Syntax {
    /// The mistakes, in the order of the sheet, one a line.
    pub(super) mistakes: Vec<Diagnostic>,
    /// Whether the rest of the sheet still means what it says: not so where a table name could
    /// not be read or a list runs over what follows it.
    pub(super) rest_holds: bool,
}

impl Syntax {
    /// What is wrong with both parts of a text.
    pub(super) fn and(mut self, other: Syntax) -> Syntax {
        self.mistakes.extend(other.mistakes);
        Syntax { rest_holds: self.rest_holds && other.rest_holds, ..self }
    }
}

/// The parser's errors in plain words.
pub(super) fn explain(text: &str, errors: &[toml::de::Error]) -> Syntax {
    let mut places: Vec<(Range<usize>, &str)> =
        errors.iter().map(|error| (error.span().unwrap_or(0..0), error.message())).collect();
    places.sort_by_key(|(span, _)| span.start);
    let mut syntax = Syntax { mistakes: vec![], rest_holds: true };
    // Where the line ends that had its message.
    let mut said_to = None;
    let mut keys = FirstLines::default();
    for (span, message) in places {
        // The parser's recovery may stumble over one line more than once.
        if said_to.is_some_and(|end| span.start <= end) || syntax.mistakes.len() >= MOST_MISTAKES {
            continue;
        }
        let line = Line::at(text, span.start);
        said_to = Some(line.start + line.text.len());
        let no_end = json(text)
            .or_else(|| long_text_never_closed(text, &span, message))
            .or_else(|| never_closed(text, &line));
        if let Some(mistake) = no_end {
            // What follows is read as part of it, and every message about that misleads.
            syntax.mistakes.push(mistake.diagnostic(text, span));
            syntax.rest_holds = false;
            break;
        }
        syntax.rest_holds &= !line.is_header() && !line.text.contains("\"\"\"");
        let said = say(text, &line, &span, message, &mut keys);
        syntax.mistakes.push(said.diagnostic(text, span));
    }
    syntax
}

/// What to say about one place.
struct Said {
    code: &'static Code,
    span: Option<Range<usize>>,
    message: String,
    advice: String,
}

impl Said {
    fn new(message: impl Into<String>, advice: impl Into<String>) -> Said {
        Said { code: &codes::SYNTAX, span: None, message: message.into(), advice: advice.into() }
    }

    fn code(self, code: &'static Code) -> Said {
        Said { code, ..self }
    }

    fn at(self, span: Range<usize>) -> Said {
        Said { span: Some(span), ..self }
    }

    fn diagnostic(self, text: &str, place: Range<usize>) -> Diagnostic {
        let span = self.span.unwrap_or(place);
        let found = text.get(span.clone()).unwrap_or_default();
        Diagnostic {
            code: self.code,
            found: found.lines().next().unwrap_or_default().to_owned(),
            span,
            message: self.message,
            allowed: None,
            advice: self.advice,
        }
    }
}

/// One line, with what stands before and after its equals sign.
struct Line<'t> {
    start: usize,
    text: &'t str,
    key: &'t str,
    /// The value without the note after it; `None` without an equals sign.
    value: Option<&'t str>,
}

impl<'t> Line<'t> {
    fn at(text: &'t str, place: usize) -> Line<'t> {
        let place = (0..=place.min(text.len())).rev().find(|at| text.is_char_boundary(*at));
        let place = place.unwrap_or(0);
        let start = text[..place].rfind('\n').map_or(0, |at| at + 1);
        let line = text[start..].lines().next().unwrap_or_default();
        let bare = without_note(line);
        let equals = outside_quotes(bare).find(|(_, c)| *c == '=').map(|(at, _)| at);
        Line {
            start,
            text: line,
            key: bare[..equals.unwrap_or(bare.len())].trim(),
            value: equals.map(|at| bare[at + 1..].trim()),
        }
    }

    fn is_header(&self) -> bool {
        self.text.trim_start().starts_with('[') && self.value.is_none()
    }

    /// The place of a part of this line.
    fn place(&self, part: &str) -> Range<usize> {
        let at = self.text.find(part).unwrap_or(0);
        self.start + at..self.start + at + part.len()
    }

    /// The place of the value.
    fn value_place(&self, value: &str) -> Range<usize> {
        let after = self.text.find('=').map_or(0, |at| at + 1);
        let at = self.text[after..].find(value).unwrap_or(0) + after;
        self.start + at..self.start + at + value.len()
    }
}

/// The characters of a line that stand outside straight double quotes.
fn outside_quotes(line: &str) -> impl Iterator<Item = (usize, char)> + '_ {
    let mut inside = false;
    line.char_indices().filter(move |(_, c)| {
        if *c == '"' {
            inside = !inside;
        }
        !inside
    })
}

fn without_note(line: &str) -> &str {
    let end = outside_quotes(line).find(|(_, c)| *c == '#').map_or(line.len(), |(at, _)| at);
    &line[..end]
}

fn is_curly(c: char) -> bool {
    matches!(c, '\u{201c}'..='\u{201f}' | '\u{2018}'..='\u{201b}' | '\u{00ab}' | '\u{00bb}')
}

/// Spaces and marks that look like nothing or like an ordinary space.
pub(super) fn is_unseen(c: char) -> bool {
    (c.is_whitespace() && !c.is_ascii())
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}' | '\u{00ad}')
}

/// A sheet in JSON.
fn json(text: &str) -> Option<Said> {
    let start =
        text.find(|c: char| !c.is_whitespace()).filter(|at| text[*at..].starts_with('{'))?;
    let advice = "write the sheet in TOML; `alleytrue new` writes one to start from";
    Some(Said::new("the sheet starts with a brace, as JSON does", advice).at(start..start + 1))
}

/// A list or table in braces that an earlier line starts.
struct Open<'t> {
    line: Line<'t>,
    value: &'t str,
    close: char,
}

impl<'t> Open<'t> {
    /// The one that is still open where a line starts.
    fn before(text: &'t str, line: &Line<'_>) -> Option<Open<'t>> {
        let mut start = line.start;
        for _ in 0..LOOK_BACK {
            let earlier = Line::at(text, start.checked_sub(1)?);
            start = earlier.start;
            let Some(value) = earlier.value else {
                if earlier.is_header() {
                    return None;
                }
                continue;
            };
            let open = value.chars().next().filter(|c| "[{".contains(*c))?;
            let close = if open == '[' { ']' } else { '}' };
            let until = text.get(earlier.value_place(value).start..line.start)?;
            let depth = outside_quotes(until)
                .fold(0_i64, |depth, (_, c)| depth + i64::from(c == open) - i64::from(c == close));
            return (depth > 0).then_some(Open { line: earlier, value, close });
        }
        None
    }
}

/// A list or table in braces without its end, noticed where the next key or table begins.
fn never_closed(text: &str, line: &Line<'_>) -> Option<Said> {
    let is_key = line.value.is_some()
        && !line.key.is_empty()
        && line.key.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c));
    if !is_key && !line.is_header() && !line.text.trim().is_empty() {
        return None;
    }
    let Open { line: earlier, value, close } = Open::before(text, line)?;
    let (what, gap) = if close == ']' { ("list", "") } else { ("table in braces", " ") };
    let message = format!("the {what} of `{}` has no closing `{close}`", earlier.key);
    let advice = format!("end it with `{close}`: {} = {value}{gap}{close}", earlier.key);
    Some(Said::new(message, advice).at(earlier.value_place(value)))
}

/// Text between three quotes without its end.
fn long_text_never_closed(text: &str, span: &Range<usize>, parser: &str) -> Option<Said> {
    if !parser.contains("string")
        || text.get(span.start..).is_none_or(|rest| !rest.trim().is_empty())
    {
        return None;
    }
    let at = text.rfind("\"\"\"")?;
    let advice = "write text in one line, between one quote and another";
    Some(Said::new("three quotes start a text that has no end", advice).at(at..at + 3))
}

fn say(
    text: &str,
    line: &Line<'_>,
    span: &Range<usize>,
    parser: &str,
    keys: &mut FirstLines,
) -> Said {
    characters(text, line, span, parser)
        .or_else(|| duplicate(text, line, span, parser, keys))
        .or_else(|| curly(line))
        .or_else(|| header(line, parser))
        .or_else(|| inside(text, line, span))
        .or_else(|| no_equals(line))
        .or_else(|| line.value.and_then(|value| in_value(text, line, value, span, parser)))
        .unwrap_or_else(|| {
            let advice = "write `key = value`, text and values with a unit in straight quotes";
            Said::new(format!("this is not TOML: {parser}"), advice)
        })
}

/// Characters that can't be seen, and brackets beyond all sense.
fn characters(text: &str, line: &Line<'_>, span: &Range<usize>, parser: &str) -> Option<Said> {
    if parser.starts_with("carriage return") {
        return Some(Said::new(
            "the lines end in a way that no current editor writes (a carriage return alone)",
            "save the file again with Windows or Unix line ends",
        ));
    }
    if parser.contains("recursion") {
        let advice = "a list needs one pair of brackets: lead = [4, 3.5]";
        return Some(Said::new("brackets stand inside brackets, too many of them", advice));
    }
    let control = |c: char| c.is_control() && c != '\t';
    if let Some((at, c)) = line.text.char_indices().find(|(_, c)| control(*c)) {
        let message = format!("a control character (U+{:04X}) stands here", u32::from(c));
        let at = line.start + at;
        let said = Said::new(message, "take it out, or type the line anew");
        return Some(said.at(at..at + c.len_utf8()));
    }
    let c = text.get(span.start..)?.chars().next().filter(|c| is_unseen(*c))?;
    let message = format!("a character that can't be seen (U+{:04X}) stands here", u32::from(c));
    let advice = if c.is_whitespace() {
        "type an ordinary space in its place"
    } else {
        "take it out, or type the line anew"
    };
    Some(Said::new(message, advice).at(span.start..span.start + c.len_utf8()))
}

/// The line on which each key of each table first stands, read off the text once.
#[derive(Default)]
struct FirstLines {
    seen: Option<HashMap<(String, String), usize>>,
}

impl FirstLines {
    /// The table that a place belongs to is the last header above it.
    fn first(&mut self, text: &str, table: &str, key: &str) -> Option<usize> {
        let seen = self.seen.get_or_insert_with(|| {
            let mut seen = HashMap::new();
            let mut table = String::new();
            for (index, raw) in text.lines().enumerate() {
                let line = Line::at(raw, 0);
                if line.is_header() {
                    table = line.key.to_owned();
                    seen.entry((table.clone(), String::new())).or_insert(index + 1);
                } else if line.value.is_some() {
                    seen.entry((table.clone(), line.key.to_owned())).or_insert(index + 1);
                }
            }
            seen
        });
        seen.get(&(table.to_owned(), key.to_owned())).copied()
    }
}

fn duplicate(
    text: &str,
    line: &Line<'_>,
    span: &Range<usize>,
    parser: &str,
    keys: &mut FirstLines,
) -> Option<Said> {
    if parser != "duplicate key" {
        return None;
    }
    let key = text.get(span.clone()).unwrap_or(line.key);
    let number = text[..line.start].matches('\n').count() + 1;
    let earlier = |first: Option<usize>| {
        first
            .filter(|first| *first < number)
            .map_or(String::new(), |first| format!("; the first is in line {first}"))
    };
    let said = if line.is_header() {
        let name = line.key.trim_matches(['[', ']']).trim();
        let (single, double) = (format!("[{name}]"), format!("[[{name}]]"));
        let is_run =
            line.key.starts_with("[[") || name.ends_with("-run") || name.ends_with("drive");
        let first = keys.first(text, &single, "").or_else(|| keys.first(text, &double, ""));
        let message = format!("the table `{name}` is there twice{}", earlier(first));
        let advice = if is_run {
            format!("where there are several, write {double} in double brackets every time")
        } else {
            format!("put the keys of both under one {single}")
        };
        Said::new(message, advice)
    } else {
        let before = &text[..line.start];
        let table = before.lines().rev().map(|raw| Line::at(raw, 0)).find(Line::is_header);
        let first = keys.first(text, table.map_or("", |table| table.key), line.key);
        let message = format!("`{key}` is there twice in one table{}", earlier(first));
        Said::new(message, "keep the one that is right")
    };
    let said = said.code(&codes::DUPLICATE_KEY);
    Some(if line.is_header() { said.at(line.place(line.key)) } else { said })
}

/// Curly quotes where straight ones must stand.
fn curly(line: &Line<'_>) -> Option<Said> {
    let value = line.value.unwrap_or_default();
    let starts_entry = |text: &str| text.trim_start().starts_with(is_curly);
    let begins = starts_entry(value)
        || starts_entry(line.key)
        || (value.starts_with('[') && value[1..].split(',').any(starts_entry));
    let half =
        value.starts_with('"') && value.ends_with(is_curly) && value.matches('"').count() == 1;
    if !begins && !half {
        return None;
    }
    let mut straight = line.text.trim().replace(is_curly, "\"");
    if !straight.matches('"').count().is_multiple_of(2) {
        straight.push('"');
    }
    let at = line.text.find(is_curly).unwrap_or(0);
    let quoted = &line.text[at..];
    let end = quoted
        .char_indices()
        .skip(1)
        .find(|(_, c)| is_curly(*c))
        .map_or(quoted.len(), |(at, c)| at + c.len_utf8());
    let said =
        Said::new("curly quotes hold no text in TOML", format!("type straight quotes: {straight}"));
    Some(said.code(&codes::CURLY_QUOTES).at(line.start + at..line.start + at + end))
}

fn header(line: &Line<'_>, parser: &str) -> Option<Said> {
    if line.key.starts_with('[') && line.key.contains(']') && line.value.is_some() {
        let message = "a key stands beside the table name";
        return Some(Said::new(message, "write the keys in the lines below the table name"));
    }
    if !line.is_header() {
        return None;
    }
    let name = line.key.trim_matches(['[', ']', ' ']);
    let name = &name.split_whitespace().collect::<Vec<_>>().join("-");
    if line.key.contains(char::is_whitespace) && !name.is_empty() {
        let message = "a table name has no spaces in it";
        let said = Said::new(message, format!("write hyphens and points in it, as in [{name}]"));
        return Some(said.at(line.place(line.key)));
    }
    let whole =
        if line.key.starts_with("[[") { format!("[[{name}]]") } else { format!("[{name}]") };
    if parser.starts_with("unclosed") {
        let message = "the table name has no closing bracket";
        return Some(Said::new(message, format!("type {whole}")));
    }
    let advice = "write the name alone on its line, letters and hyphens only, as in [trial] or \
                  [[alley-run]]";
    Some(Said::new("this is no table name", advice))
}

const NOTE_MARKS: &[&str] = &["//", "--", ";", "!", "%", "'", "REM ", "/*"];

fn starts_note(text: &str) -> bool {
    NOTE_MARKS.iter().any(|mark| text.starts_with(mark))
}

fn note(line: &Line<'_>, text: &str) -> Said {
    let plain = NOTE_MARKS.iter().find_map(|mark| text.strip_prefix(mark)).unwrap_or(text).trim();
    let said = Said::new("notes start with `#`", format!("type # {plain}"));
    said.at(line.place(text))
}

/// Entries of a list that runs over several lines.
fn inside(text: &str, line: &Line<'_>, span: &Range<usize>) -> Option<Said> {
    let open = Open::before(text, line)?;
    let entry = text.get(span.clone()).unwrap_or_default();
    let rest = text.get(span.start..line.start + line.text.len()).unwrap_or_default().trim();
    let value = without_note(line.text).trim();
    Some(in_list(value, entry, rest).unwrap_or_else(|| {
        let message = format!("this is no entry of `{}`", open.line.key);
        Said::new(message, "write numbers, or text in straight quotes, with commas between them")
    }))
}

/// Lines without an equals sign.
fn no_equals(line: &Line<'_>) -> Option<Said> {
    let whole = line.text.trim();
    if starts_note(whole) {
        return Some(note(line, whole));
    }
    if let Some(value) = line.value {
        if line.key.is_empty() {
            let message = "there is no key before the equals sign";
            return Some(Said::new(message, format!("write the key first: key = {value}")));
        }
        if line.key.contains(char::is_whitespace) && !line.key.contains('"') {
            let hyphens = line.key.split_whitespace().collect::<Vec<_>>().join("-");
            let message = format!("the key `{}` has a space in it", line.key);
            let said = Said::new(message, format!("write it with a hyphen: {hyphens}"));
            return Some(said.at(line.place(line.key)));
        }
        return None;
    }
    let named = whole.split_once(':').or_else(|| whole.split_once(char::is_whitespace));
    let is_key = |key: &str| key.chars().all(|c| c.is_ascii_alphanumeric() || "-_\"".contains(c));
    Some(match named {
        Some((key, value)) if is_key(key.trim()) && !value.trim().is_empty() => Said::new(
            "this line has no equals sign",
            format!("write {} = {}", key.trim().trim_matches('"'), value.trim()),
        )
        .at(line.place(whole)),
        _ if is_key(whole) => Said::new(
            format!("`{whole}` has no value"),
            format!("write {whole} = and its value in one line, or take the line out"),
        )
        .at(line.place(whole)),
        _ => {
            let advice = "write `key = value`; a note starts with #";
            Said::new("this line is neither `key = value` nor a [table]", advice)
                .at(line.place(whole))
        }
    })
}

fn in_value(
    text: &str,
    line: &Line<'_>,
    value: &str,
    span: &Range<usize>,
    parser: &str,
) -> Option<Said> {
    let key = line.key;
    let here = line.value_place(value);
    if value.is_empty() {
        let advice = format!("type it after the equals sign, or take the line with `{key}` out");
        return Some(Said::new(format!("`{key}` has no value"), advice).at(line.place(key)));
    }
    if key == "date" || parser.starts_with("invalid date") || parser.starts_with("invalid month") {
        let advice = "write year, month and day, without quotes: date = 2027-04-18";
        return Some(Said::new(format!("`{value}` is no date"), advice).at(here));
    }
    let rest = text.get(span.start..line.start + line.text.len()).unwrap_or_default().trim();
    let list = value.starts_with(['[', '{']);
    if list {
        if let Some(said) = in_list(value, text.get(span.clone()).unwrap_or_default(), rest) {
            return Some(said);
        }
    } else if let Some(said) = scalar(key, value, rest, parser) {
        return Some(if said.span.is_none() { said.at(here) } else { said });
    }
    let starts_after = rest.split_once(value).is_none();
    if parser.starts_with("unexpected key or value") && starts_after && starts_note(rest) {
        return Some(note(line, rest));
    }
    if parser.contains("escape") {
        let advice = "write / in its place, or two backslashes";
        return Some(Said::new("a backslash inside quotes starts a special character", advice));
    }
    if parser.contains("string") && parser.contains("expected `\"`") && !list {
        let message = format!("the text of `{key}` has no closing quote");
        return Some(Said::new(message, format!("type {key} = {value}\"")).at(here));
    }
    if parser.starts_with("unexpected key or value") {
        let message = "something follows the value on its line";
        return Some(Said::new(
            message,
            "put a value with a unit inside one pair of quotes; a note starts with #",
        ));
    }
    None
}

/// Slips in a value that is one number or one text.
fn scalar(key: &str, value: &str, rest: &str, parser: &str) -> Option<Said> {
    let bare = value.trim_end_matches([',', ';']).trim_end();
    if bare != value && (rest == "," || rest == ";") {
        let mark = &value[bare.len()..].trim_start();
        let message = format!("a `{mark}` follows the value");
        return Some(Said::new(message, format!("take it out: {key} = {bare}")));
    }
    let number: String =
        bare.chars().take_while(|c| c.is_ascii_digit() || "+-,.".contains(*c)).collect();
    let unit = bare[number.len()..].trim();
    let starts_number = number.contains(|c: char| c.is_ascii_digit());
    if starts_number && number.contains(',') {
        let whole = |number: String| {
            if unit.is_empty() { number } else { format!("\"{number} {unit}\"") }
        };
        let said =
            Said::new(format!("the number `{number}` has a comma"), comma_advice(&number, whole));
        return Some(said.code(&codes::DECIMAL_COMMA));
    }
    if parser.contains("leading zero") {
        let plain = bare.trim_start_matches('0');
        let plain = if plain.starts_with(|c: char| c.is_ascii_digit()) {
            plain.into()
        } else {
            format!("0{plain}")
        };
        let message = "a number does not start with 0 in TOML";
        return Some(Said::new(message, format!("type {plain}")));
    }
    let digits_only = bare.chars().all(|c| c.is_ascii_digit() || "+-.".contains(c));
    if starts_number && digits_only && bare.matches('.').count() == 1 {
        let (sign, digits) = bare.split_at(bare.len() - bare.trim_start_matches(['+', '-']).len());
        let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
        let or_zero = |part: &str| if part.is_empty() { "0".to_owned() } else { part.to_owned() };
        let advice = format!("type {sign}{}.{}", or_zero(whole), or_zero(fraction));
        return Some(Said::new("digits must stand on both sides of a decimal point", advice));
    }
    let quotes = bare.matches('"').count();
    if quotes > 2 && bare.starts_with('"') && bare.ends_with('"') && !bare.starts_with("\"\"\"") {
        let inner = &bare[1..bare.len() - 1];
        let message = "an inch mark inside quotes ends the text";
        let advice = format!("write it in letters: {key} = \"{}\"", in_letters(inner));
        return Some(Said::new(message, advice));
    }
    if parser.starts_with("string values must be quoted") && !bare.contains(['"', '\\']) {
        let message = "a value with letters or a unit stands without quotes";
        let sensible = bare.contains(char::is_alphanumeric);
        let advice = if sensible {
            format!("put it in quotes: {key} = \"{bare}\"")
        } else {
            format!("type the value of `{key}`, a number or text in quotes")
        };
        return Some(Said::new(message, advice));
    }
    None
}

/// `17' 6"` as `17 ft 6 in`.
fn in_letters(text: &str) -> String {
    let spelled = text.replace('"', " in ").replace('\'', " ft ");
    spelled.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What to type where a number holds commas: a point, nothing, or each number by itself.
pub(super) fn comma_advice(number: &str, whole: impl Fn(String) -> String) -> String {
    let joined = whole(number.replace(',', ""));
    let point = whole(number.replace('.', "").replacen(',', ".", 1));
    // Points set thousands apart where a comma follows: 1.234,5.
    let turned = number.replace('.', "\0").replace(',', ".").replace('\0', ",");
    match (commas(number), commas(&turned)) {
        (Commas::Either, _) => format!("type {joined}, or {point} if it is a decimal comma"),
        (Commas::Decimal, _) => format!("type a decimal point: {point}"),
        (Commas::Thousands, _) => format!("type it without commas: {joined}"),
        (Commas::Several, Commas::Thousands) => format!("type {point}"),
        (Commas::Several, _) => {
            let each: Vec<String> =
                number.split(',').map(|one| whole(one.trim().to_owned())).collect();
            format!("where they are several numbers, write each by itself: {}", each.join(", "))
        }
    }
}

/// Slips in a list.
fn in_list(value: &str, entry: &str, rest: &str) -> Option<Said> {
    if rest.starts_with(';') {
        let advice = format!("put commas between the entries: {}", value.replace(';', ","));
        return Some(Said::new("a semicolon stands in the list", advice));
    }
    if rest.starts_with('"') && value.contains("\"\"") {
        let lettered = value.replace("\"\"", " in\"").replace('\'', " ft ");
        let advice = format!("write it in letters: {lettered}");
        return Some(Said::new("an inch mark inside quotes ends the text", advice));
    }
    let entry = entry.trim();
    let runs_on = rest.strip_prefix(entry).is_some_and(|rest| rest.trim_start().starts_with('='));
    if entry.contains('=') || (runs_on && value.starts_with('{')) {
        let advice = "put a comma between one key and the next: { cells = 40, carry = 16 }";
        return Some(Said::new("the keys in the braces have no comma between them", advice));
    }
    let words: Vec<&str> = entry.split_whitespace().collect();
    let numbers = words.iter().all(|word| word.parse::<f64>().is_ok());
    if words.len() > 1 && numbers {
        let advice = format!("put commas between the entries: {}", words.join(", "));
        return Some(Said::new("the numbers of the list have no commas between them", advice));
    }
    let wordy = entry.contains(|c: char| c.is_alphabetic() || "/'\u{2032}%\u{bd}".contains(c));
    if wordy && entry.contains(char::is_alphanumeric) && !entry.contains('"') {
        let advice = format!("put it in quotes: \"{entry}\"");
        return Some(Said::new("text, a unit or a fraction stands without quotes", advice));
    }
    let point = rest.trim_start_matches(['+', '-']);
    if point.starts_with('.') {
        let number: String =
            point.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
        let sign = &rest[..rest.len() - point.len()];
        let advice = format!("type {sign}0{number}");
        return Some(Said::new("digits must stand on both sides of a decimal point", advice));
    }
    None
}
