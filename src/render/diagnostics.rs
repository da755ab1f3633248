//! Mistakes with the line they stand in and a caret under them.

use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Padding, Renderer, Snippet};
use anstyle::Style as Ink;
use unicode_width::UnicodeWidthStr;

use crate::sheet::{Diagnostic, MOST_MISTAKES, Source, SourceError};

use super::{Style, WIDTH, harmless};

/// Mistakes printed for one sheet; the rest are counted.
const MOST: usize = 40;
/// So many mistakes of one line in the same words are said once, with their places.
const MANY_ALIKE: usize = 3;
/// Characters of a line from a mistake, beyond which nothing is shown.
const FAR: usize = 2 * WIDTH;

/// The mistakes of one sheet.
#[must_use]
pub fn mistakes(source: &Source, mistakes: &[Diagnostic], style: Style) -> String {
    mistakes_then(source, mistakes, "nothing was calculated", style)
}

/// The mistakes of one sheet, and what was not done because of them.
#[must_use]
pub fn mistakes_then(
    source: &Source,
    mistakes: &[Diagnostic],
    undone: &str,
    style: Style,
) -> String {
    let mut out = String::new();
    let shown = &mistakes[..mistakes.len().min(MOST)];
    for alike in shown.chunk_by(|one, next| is_alike(source, one, next)) {
        let all = if alike.len() < MANY_ALIKE { alike } else { &alike[..1] };
        for mistake in all {
            out.push_str(&one(source, mistake, style));
            out.push_str("\n\n");
        }
        out.push_str(&the_same_of(source, &alike[all.len()..]));
    }
    let name = harmless(source.name());
    let or_more = if mistakes.len() >= MOST_MISTAKES { " or more" } else { "" };
    let more = mistakes.len().saturating_sub(MOST);
    if more > 0 {
        out.push_str(&format!("... and {more}{or_more} further mistakes in {name}\n\n"));
    }
    let count = if mistakes.len() == 1 {
        "1 mistake".into()
    } else {
        format!("{}{or_more} mistakes", mistakes.len())
    };
    out.push_str(&format!("{name}: {count}; {undone}\n"));
    out
}

/// Whether two mistakes that follow each other are one mistake made twice: in the same line, in the same
/// words.
fn is_alike(source: &Source, one: &Diagnostic, next: &Diagnostic) -> bool {
    let line = |mistake| source.line_and_column(mistake).0;
    !has_no_place(one)
        && source.override_at(one.span.start).is_none()
        && one.code == next.code
        && one.message == next.message
        && one.advice.is_empty() == next.advice.is_empty()
        && line(one) == line(next)
}

/// Where mistakes stand that were said once already.
fn the_same_of(source: &Source, alike: &[Diagnostic]) -> String {
    if alike.is_empty() {
        return String::new();
    }
    let columns: Vec<String> =
        alike.iter().map(|mistake| source.line_and_column(mistake).1.to_string()).collect();
    let words =
        format!("the same of {} more in that line, at columns {}", alike.len(), columns.join(", "));
    let mut out = String::new();
    super::wrap::write(&mut out, "  ", "  ", &words);
    out.push('\n');
    out
}

/// The first mistake of a sheet and the count of the others in one line, for long lists.
#[must_use]
pub fn in_one_line(source: &Source, mistakes: &[Diagnostic]) -> String {
    let name = harmless(source.name());
    let Some(first) = mistakes.first() else { return name };
    let place = match source.override_at(first.span.start) {
        _ if has_no_place(first) => name,
        Some(set) => format!("{name}: --set {}", harmless(set)),
        None => {
            let (line, column) = source.line_and_column(first);
            let name = harmless(source.part_at(first.span.start).name);
            format!("{name}:{line}:{column}")
        }
    };
    let others = match mistakes.len() - 1 {
        0 => String::new(),
        1 => " (and 1 more mistake)".into(),
        more if mistakes.len() >= MOST_MISTAKES => format!(" (and {more} or more mistakes)"),
        more => format!(" (and {more} more mistakes)"),
    };
    format!("{place}: error[{}]: {}{others}", first.code.name, limited(&first.message))
}

/// The same of a file that is no readable text.
#[must_use]
pub fn unreadable_in_one_line(name: &str, error: &SourceError) -> String {
    format!("{}: error[{}]: {}", harmless(name), error.code().name, limited(&error.to_string()))
}

/// A file that is no readable text.
#[must_use]
pub fn unreadable(name: &str, error: &SourceError, style: Style) -> String {
    let name = harmless(name);
    let mut text = String::new();
    let mut report: Group<'_> = Level::ERROR
        .primary_title(wrapped(&harmless(&format!("{name}: {error}")), error.code().name.len() + 9))
        .id(error.code().name)
        .elements(std::iter::empty::<Padding>());
    if let SourceError::Encoding { place: Some(place), .. } = error {
        // None stands before the place, so it stays where it is.
        text.push_str(&visible(&place.text).replace(char::REPLACEMENT_CHARACTER, "?"));
        let end = text.len().min(place.at + 1);
        report = report.element(
            Snippet::source(&text)
                .line_start(place.line)
                .path(&*name)
                .annotation(AnnotationKind::Primary.span(place.at..end).label("found this")),
        );
    }
    let advice = wrapped(error.code().meaning, 15);
    let report = [report.element(Level::HELP.message(advice))];
    format!("{}\n", renderer(style).render(&report))
}

fn renderer(style: Style) -> Renderer {
    let decor = if style.ascii { DecorStyle::Ascii } else { DecorStyle::Unicode };
    // Bold and no colours: a terminal may be light or dark, and a screen in the sun shows neither.
    let (bold, plain) = (Ink::new().bold(), Ink::new());
    Renderer::styled()
        .error(bold)
        .warning(bold)
        .emphasis(bold)
        .info(plain)
        .note(plain)
        .help(plain)
        .line_num(plain)
        .context(plain)
        .decor_style(decor)
        .term_width(WIDTH)
}

/// Text broken into lines that fit beside what stands before it; what is to be typed stays
/// together where it fits in a line.
fn wrapped(text: &str, before: usize) -> String {
    // A character nobody types, as wide as the space it stands for.
    const KEPT: char = '\u{e000}';
    let width = WIDTH.saturating_sub(before);
    let mut kept = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let closed =
            |quote: char| rest[1..].find(quote).map(|at| at + 2).filter(|end| *end < width);
        let end = match c {
            '`' | '"' => closed(c).unwrap_or(1),
            _ => c.len_utf8(),
        };
        let keep = if end > 1 && matches!(c, '`' | '"') { KEPT } else { ' ' };
        kept.extend(rest[..end].chars().map(|c| if c == ' ' { keep } else { c }));
        rest = &rest[end..];
    }
    let options = textwrap::Options::new(width)
        .break_words(false)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::fill(&kept, options).replace(KEPT, " ")
}

/// The text with whatever could disturb a terminal replaced by visible characters of as many
/// bytes, so that places stay where they are.
fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c != '\t' && super::is_harmful(c) {
            shown.extend(std::iter::repeat_n('?', c.len_utf8()));
        } else {
            shown.push(c);
        }
    }
    shown
}

/// The line of a mistake, and the place of the mistake in it.
#[derive(Debug, PartialEq, Eq)]
struct Line {
    number: usize,
    text: String,
    /// At least one character wide, and kept to one line.
    span: Range<usize>,
    /// The column in the whole line, where what stands far before the place was left out.
    column: Option<usize>,
}

/// The line of a mistake, without what stands so far from it that it is not shown.
fn line_of(text: &str, span: &Range<usize>) -> Line {
    let at = span.start.min(text.len());
    let start = text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let number = text.as_bytes()[..start].iter().filter(|byte| **byte == b'\n').count() + 1;
    let line = text.get(start..).unwrap_or_default();
    let line = &line[..line.find('\n').unwrap_or(line.len())];
    let line = line.strip_suffix('\r').unwrap_or(line);
    let from = (at - start).min(line.len());
    let before = line.get(..from).unwrap_or_default();
    let cut = before.char_indices().rev().nth(FAR).filter(|(cut, _)| *cut > 0);
    let (line, from, column) = match cut {
        Some((cut, _)) => (&line[cut..], from - cut, Some(before.chars().count() + 1)),
        None => (line, from, None),
    };
    let start = at - from;
    let end = line.get(from..).and_then(|rest| rest.char_indices().nth(2 * FAR));
    let end = end.map_or(line.len(), |(end, _)| from + end);
    let mut line = visible(line.get(..end).unwrap_or(line));
    let one = line.get(from..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
    let to = span.end.saturating_sub(start).clamp(from + one, line.len().max(from + one));
    // What stands far behind the start of the place is not shown anyway.
    let far = line.get(from..).and_then(|rest| rest.char_indices().nth(FAR));
    let to = far.map_or(to, |(at, _)| to.min(from + at));
    let beyond = line.get(to..).and_then(|rest| rest.char_indices().nth(FAR));
    if let Some((at, _)) = beyond {
        line.truncate(to + at);
    }
    Line { number, text: line, span: from..to, column }
}

/// Text that is harmless on a terminal and no longer than anyone reads.
fn limited(text: &str) -> String {
    const MOST_CHARACTERS: usize = 600;
    match text.char_indices().nth(MOST_CHARACTERS) {
        Some((end, _)) => format!("{}...", harmless(&text[..end])),
        None => harmless(text),
    }
}

/// A mistake about the whole sheet or the command line, which has no place of its own.
fn without_place(source: &Source, mistake: &Diagnostic, style: Style) -> String {
    let title = format!("{}: {}", harmless(source.name()), harmless(&mistake.message));
    let group = Level::ERROR
        .primary_title(wrapped(&title, mistake.code.name.len() + 9))
        .id(mistake.code.name)
        .elements(std::iter::empty::<Padding>());
    let advice = wrapped(&harmless(&mistake.advice), 9);
    renderer(style).render(&[group.element(Level::HELP.message(advice))])
}

fn has_no_place(mistake: &Diagnostic) -> bool {
    matches!(mistake.code.name, "no-data" | "usage")
}

fn one(source: &Source, mistake: &Diagnostic, style: Style) -> String {
    if has_no_place(mistake) {
        return without_place(source, mistake, style);
    }
    // A value set on the command line has no line of the sheet.
    let (at, first, path) = match source.override_at(mistake.span.start) {
        Some(set) => {
            let at = line_of(source.whole(), &mistake.span);
            (at, Some(1), format!("--set {}", harmless(set)))
        }
        None => {
            let part = source.part_at(mistake.span.start);
            let own = |place: usize| place.saturating_sub(part.start);
            let span = own(mistake.span.start)..own(mistake.span.end);
            (line_of(part.text, &span), None, harmless(part.name))
        }
    };
    let Line { number, text: line, span, column } = at;
    let number = first.unwrap_or(number);
    let label = label(mistake).filter(|label| {
        // A line that fits beside its number must not be made wider by what stands below it.
        let width = |text: &str| UnicodeWidthStr::width(text.replace('\t', "    ").as_str());
        let room = WIDTH - number.to_string().len() - 3;
        let end = width(line.get(..span.end).unwrap_or(&line)) + 1 + label.len();
        width(&line) > room || end <= room
    });
    let title = wrapped(&limited(&mistake.message), mistake.code.name.len() + 9);
    // What was left out before the place counts in its column.
    let shown = column.map(|column| {
        let own = line.get(..span.start).unwrap_or_default().chars().count() + 1;
        [own, column].map(|column| format!("{path}:{number}:{column}"))
    });
    let mut annotation = AnnotationKind::Primary.span(span);
    if let Some(label) = label {
        annotation = annotation.label(label);
    }
    let snippet = Snippet::source(line).line_start(number).path(path).annotation(annotation);
    // The sign and the word before each further line: `   = note: `.
    let before = number.to_string().len() + 9;
    let mut group: Group<'_> =
        Level::ERROR.primary_title(title).id(mistake.code.name).element(snippet);
    if let Some(allowed) = &mistake.allowed {
        let allowed = wrapped(&limited(&format!("allowed: {allowed}")), before);
        group = group.element(Level::NOTE.message(allowed));
    }
    let advice = wrapped(&limited(&mistake.advice), before);
    let page = renderer(style).render(&[group.element(Level::HELP.message(advice))]);
    match shown {
        Some([own, right]) => page.replacen(&own, &right, 1),
        None => page,
    }
}

fn label(mistake: &Diagnostic) -> Option<&'static str> {
    match mistake.code.name {
        "unknown-key" => Some("not known here"),
        "missing-key" | "missing-sign" | "mixed-headings" => Some("needed by this"),
        "duplicate-key" => Some("this is the second"),
        _ => Some("found this"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_stay_on_their_line() {
        let line =
            |number, text: &str, span| Line { number, text: text.into(), span, column: None };
        assert_eq!(line_of("a\r\nbc\r\nd", &(3..20)), line(2, "bc", 0..2));
        assert_eq!(line_of("", &(0..0)), line(1, "", 0..0));
        assert_eq!(line_of("ab", &(2..2)), line(1, "ab", 2..2));
        assert_eq!(line_of("\u{bd} in", &(0..0)), line(1, "\u{bd} in", 0..2));
    }

    #[test]
    fn what_stands_far_from_a_place_is_left_out_and_its_column_stays() {
        let text = format!("first\n{}here{}\n", "\u{e4}".repeat(1000), "\u{f6}".repeat(1000));
        let start = 6 + 2000;
        let line = line_of(&text, &(start..start + 4));
        assert_eq!((line.number, line.column), (2, Some(1001)));
        assert_eq!(&line.text[line.span.clone()], "here");
        let around = |text: &str| text.chars().count();
        assert_eq!(around(&line.text[..line.span.start]), FAR + 1);
        assert_eq!(around(&line.text[line.span.end..]), FAR);
    }

    #[test]
    fn control_characters_keep_their_width_in_bytes() {
        assert_eq!(visible("a\u{1b}\u{9b}\u{202e}b"), "a??????b");
    }
}
