//! Mistakes with the line they stand in and a caret under them.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use crate::sheet::{Diagnostic, Source, SourceError};

use super::{Style, WIDTH, harmless};

/// Mistakes printed for one sheet; the rest are counted.
const MOST: usize = 40;

/// The mistakes of one sheet.
#[must_use]
pub fn mistakes(source: &Source, mistakes: &[Diagnostic], style: Style) -> String {
    let mut out = String::new();
    let shown_text = visible(source.text());
    for mistake in mistakes.iter().take(MOST) {
        out.push_str(&one(source, &shown_text, mistake, style));
        out.push_str("\n\n");
    }
    let more = mistakes.len().saturating_sub(MOST);
    if more > 0 {
        out.push_str(&format!("... and {more} more mistakes in {}\n\n", harmless(source.name())));
    }
    let count = if mistakes.len() == 1 {
        "1 mistake".into()
    } else {
        format!("{} mistakes", mistakes.len())
    };
    out.push_str(&format!("{}: {count}; nothing was calculated\n", harmless(source.name())));
    out
}

/// A file that is no readable text.
#[must_use]
pub fn unreadable(name: &str, error: &SourceError, style: Style) -> String {
    let title = format!("{}: {error}", harmless(name));
    let advice = error.code().meaning;
    let report = [Level::ERROR
        .primary_title(title)
        .id(error.code().name)
        .element(Level::HELP.message(advice))];
    format!("{}\n", renderer(style).render(&report))
}

fn renderer(style: Style) -> Renderer {
    let decor = if style.ascii { DecorStyle::Ascii } else { DecorStyle::Unicode };
    Renderer::styled().decor_style(decor).term_width(WIDTH)
}

/// The text with control characters as visible ones of the same number of bytes, so that places
/// stay where they are.
fn visible(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => c,
            c if c.is_ascii_control() => '?',
            c => c,
        })
        .collect()
}

fn one(source: &Source, text: &str, mistake: &Diagnostic, style: Style) -> String {
    let span = place(text, mistake);
    let name = harmless(source.name());
    let label = label(mistake);
    let snippet = Snippet::source(text)
        .path(name)
        .annotation(AnnotationKind::Primary.span(span).label(label));
    let mut group: Group<'_> = Level::ERROR
        .primary_title(harmless(&mistake.message))
        .id(mistake.code.name)
        .element(snippet);
    if let Some(allowed) = &mistake.allowed {
        group = group.element(Level::NOTE.message(format!("allowed: {allowed}")));
    }
    group = group.element(Level::HELP.message(harmless(&mistake.advice)));
    renderer(style).render(&[group])
}

fn label(mistake: &Diagnostic) -> &'static str {
    match mistake.code.name {
        "unknown-key" => "not known here",
        "missing-key" | "missing-sign" | "no-data" => "needed by this",
        _ => "found this",
    }
}

/// The place, kept inside the text and to one line, at least one character wide.
fn place(text: &str, mistake: &Diagnostic) -> std::ops::Range<usize> {
    let start = mistake.span.start.min(text.len());
    let rest = text.get(start..).unwrap_or_default();
    let line = rest.find(['\n', '\r']).unwrap_or(rest.len());
    let end = mistake.span.end.clamp(start, start + line);
    if end > start {
        return start..end;
    }
    let one = rest.chars().next().filter(|c| !c.is_control()).map_or(0, char::len_utf8);
    start..start + one
}
