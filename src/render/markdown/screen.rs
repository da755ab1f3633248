//! A page as text for the screen, at most 80 columns wide where what is kept as it is allows.

use std::fmt::Write as _;

use anstream::adapter::strip_str;
use anstyle::Style as Ink;
use unicode_width::UnicodeWidthStr;

use super::parts::{Part, Span, parts, spans};
use super::table;
use crate::render::text::in_style;
use crate::render::{Style, WIDTH};

const STRONG: Ink = Ink::new().bold();
/// How far lines that are kept as they are stand in, where there is room.
const INDENT: usize = 2;

/// The page as text.
///
/// ```
/// use alleytrue::render::Style;
/// use alleytrue::render::markdown::screen;
/// let style = Style { ascii: true, colour: false };
/// let text = screen::text("Type `in`:\n\n```toml\nalley = \"30 in\"\n```\n", style);
/// assert_eq!(text, "Type `in`:\n\n  alley = \"30 in\"\n");
/// ```
#[must_use]
pub fn text(page: &str, style: Style) -> String {
    let mut out = String::new();
    let mut in_list = false;
    for part in parts(page) {
        let item = matches!(part, Part::Item(..));
        if !(out.is_empty() || in_list && item) {
            out.push('\n');
        }
        in_list = item;
        match part {
            Part::Heading(level, words) => heading(&mut out, level, words, style),
            Part::Paragraph(words) => wrapped(&mut out, "", &inked(&in_style(&words, style))),
            Part::Item(mark, words) => {
                wrapped(&mut out, &format!("{mark} "), &inked(&in_style(&words, style)));
            }
            Part::Table(rows) => columns(&mut out, &rows, style),
            Part::Kept(lines) => kept(&mut out, &lines, style),
        }
    }
    if style.colour { out } else { strip_str(&out).to_string() }
}

/// A blank that lines are not broken at.
const KEEPING: char = '\u{a0}';
/// What is typed or printed stays on one line up to this length.
const UNBROKEN: usize = 30;

/// Words in lines of at most 80 columns, the first after `first`, the rest as far in.
fn wrapped(out: &mut String, first: &str, words: &str) {
    let rest = " ".repeat(first.width());
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(&rest)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    for line in textwrap::wrap(words, options) {
        let _ = writeln!(out, "{}", line.trim_end().replace(KEEPING, " "));
    }
}

fn columns(out: &mut String, rows: &[Vec<&str>], style: Style) {
    let cell = |cell: &&str| cell_text(&in_style(cell, style));
    let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(cell).collect()).collect();
    let table = table::lines(&rows, WIDTH - INDENT);
    for line in table.heads {
        let _ = writeln!(out, "{:INDENT$}{STRONG}{line}{STRONG:#}", "");
    }
    for line in table.rows {
        let _ = writeln!(out, "{:INDENT$}{}", "", line.replace(KEEPING, " "));
    }
}

/// The title in capitals, the rest as it is; what stands over a chapter is underlined, since there
/// may be no bold type.
fn heading(out: &mut String, level: usize, words: &str, style: Style) {
    let words = words.replace('`', "");
    let words = if level == 1 { words.to_uppercase() } else { words };
    wrapped(out, "", &in_style(&format!("{STRONG}{words}{STRONG:#}"), style));
    if level == 2 {
        let line = if style.ascii { "-" } else { "\u{2500}" };
        let _ = writeln!(out, "{}", line.repeat(words.width().min(WIDTH)));
    }
}

fn kept(out: &mut String, lines: &[&str], style: Style) {
    let lines: Vec<String> = lines.iter().map(|line| plain_lines(line, style)).collect();
    let widest = lines.iter().map(|line| line.width()).max().unwrap_or(0);
    let indent = if widest + INDENT <= WIDTH { INDENT } else { 0 };
    for line in lines {
        let _ = writeln!(out, "{}", format!("{:indent$}{line}", "").trim_end());
    }
}

/// Lines and marks of drawings as plain ASCII draws them, where that is wanted.
fn plain_lines(line: &str, style: Style) -> String {
    if !style.ascii {
        return line.into();
    }
    let drawn: String = line
        .chars()
        .map(|c| match c {
            '\u{2550}' | '\u{251c}' | '\u{2570}' => '=',
            '\u{2500}' | '\u{256d}' => '-',
            '\u{2502}' => '|',
            '\u{2501}' | '\u{2191}' => '^',
            '\u{2193}' => 'v',
            '\u{25b8}' => '>',
            '\u{25c6}' => '*',
            '\u{b7}' => '.',
            c => c,
        })
        .collect();
    in_style(&drawn, style).into_owned()
}

/// Words for the screen: what is strong in bold, what is typed in its marks.
fn inked(words: &str) -> String {
    let one = |span| match span {
        Span::Strong(words) => format!("{STRONG}{words}{STRONG:#}"),
        span => plain(span),
    };
    spans(words).into_iter().map(one).collect()
}

fn plain(span: Span<'_>) -> String {
    match span {
        Span::Plain(words) | Span::Strong(words) => words.into(),
        Span::Code(words) => format!("`{}`", unbroken(words)),
        Span::Link(words, address) => format!("{words} ({address})"),
    }
}

fn unbroken(words: &str) -> String {
    if words.width() > UNBROKEN {
        return words.into();
    }
    words.replace(' ', &KEEPING.to_string())
}

/// A cell as it stands in a table: all of one kind needs no marks.
fn cell_text(cell: &str) -> String {
    match spans(cell)[..] {
        [Span::Code(words)] => unbroken(words),
        ref spans => spans.iter().map(|span| plain(*span)).collect(),
    }
}

/// The lines of a table of a page, the heads among them, for where there is no ink.
pub(super) fn table_lines(rows: &[Vec<&str>], width: usize) -> Vec<String> {
    let cells = |row: &Vec<&str>| row.iter().map(|cell| cell_text(cell)).collect();
    let rows: Vec<Vec<String>> = rows.iter().map(cells).collect();
    let table = table::lines(&rows, width);
    let lines = table.heads.into_iter().chain(table.rows);
    lines.map(|line| line.replace(KEEPING, " ")).collect()
}
