//! Results as text of at most 80 columns: settings first, then the arithmetic, then remarks,
//! and last the one thing to change next.

use std::collections::HashSet;
use std::fmt::Write as _;

use anstyle::{AnsiColor, Style as Ink};
use unicode_width::UnicodeWidthStr;

use crate::calibration::sequence::Report;
use crate::calibration::{Caution, Cell, Outcome, SettingResult, Table, Value, Verdict};
use crate::quantity::{round_half_away, shown};
use crate::sheet::Diagnostic;
use crate::working::{Operator, Origin, Precision, Step, Token};

use super::{Style, WIDTH, drawing, harmless};

/// Sums of more terms than this are not printed term by term.
const MOST_TERMS: usize = 40;

const HEAD: Ink = Ink::new().bold();
const SET: Ink = AnsiColor::Green.on_default().bold();
const REMARK: Ink = AnsiColor::Yellow.on_default().bold();

/// What stands over the results.
#[derive(Clone, Copy, Debug)]
pub struct Heading<'a> {
    /// Title of the sheet, if it has one.
    pub title: Option<&'a str>,
    /// Name of the file.
    pub file: &'a str,
}

/// A report as text.
#[must_use]
pub fn report(
    heading: Heading<'_>,
    report: &Report,
    remarks: &[Diagnostic],
    source: &str,
    style: Style,
) -> String {
    let mut out = String::new();
    let title = heading.title.map_or(String::new(), |title| format!("{} - ", harmless(title)));
    wrapped(&mut out, "", &format!("{title}{}", harmless(heading.file)), style);
    settings(&mut out, &report.outcomes, style);
    let mut printed = HashSet::new();
    for outcome in &report.outcomes {
        section(&mut out, outcome, &mut printed, style);
    }
    cautions(&mut out, &report.outcomes, style);
    warnings(&mut out, &report.outcomes, remarks, source, style);
    next(&mut out, report, style);
    in_style(&out, style)
}

/// Where plain ASCII is wanted, characters beyond it replaced by the nearest thing in it. That may
/// take more room, so it is done before lines are broken.
fn in_style(text: &str, style: Style) -> String {
    if !style.ascii {
        return text.into();
    }
    text.chars()
        .map(|c| match c {
            c if c.is_ascii() => c.to_string(),
            '\u{d7}' => "*".into(),
            '\u{2032}' | '\u{2019}' | '\u{2018}' => "'".into(),
            '\u{2033}' | '\u{201c}' | '\u{201d}' => "\"".into(),
            '\u{bd}' => " 1/2".into(),
            '\u{bc}' => " 1/4".into(),
            '\u{be}' => " 3/4".into(),
            '\u{b2}' => "2".into(),
            '\u{2212}' | '\u{2013}' | '\u{2014}' => "-".into(),
            _ => "?".into(),
        })
        .collect()
}

fn head(out: &mut String, text: &str) {
    let _ = writeln!(out, "\n{HEAD}{}{HEAD:#}", text.to_uppercase());
}

/// Text in lines of at most 80 columns, the first after `first`, the rest as far in.
fn wrapped(out: &mut String, first: &str, text: &str, style: Style) {
    let text = &in_style(text, style);
    let rest = " ".repeat(first.width());
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(&rest)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    for line in textwrap::wrap(text, options) {
        let _ = writeln!(out, "{}", line.trim_end());
    }
}

fn settings(out: &mut String, outcomes: &[Outcome], style: Style) {
    let rows: Vec<&SettingResult> = outcomes.iter().flat_map(|outcome| &outcome.settings).collect();
    if rows.is_empty() {
        return;
    }
    let now = |row: &SettingResult| {
        let typed = row.now.typed_text().map(|typed| in_style(&harmless(typed), style));
        let unit = row.now.unit_text();
        match typed {
            Some(typed)
                if typed.bytes().all(|b| b.is_ascii_digit() || b == b'.') && !unit.is_empty() =>
            {
                format!("{typed} {unit}")
            }
            Some(typed) => typed,
            None => with_unit(&row.now),
        }
    };
    let set = |row: &SettingResult| match row.verdict {
        Verdict::Wait(_) => "-".into(),
        Verdict::Keep(_) => now(row),
        Verdict::Change(_) => with_unit(&row.set),
    };
    let widest = |cell: &dyn Fn(&SettingResult) -> String, least: usize| {
        rows.iter().map(|row| cell(row).width()).max().unwrap_or(0).max(least)
    };
    let name = |row: &SettingResult| row.name.clone();
    let (a, b, c) = (widest(&name, 8), widest(&now, 3), widest(&set, 3));
    let _ = writeln!(out, "\n{HEAD}{:<a$}  {:>b$}  {:>c$}{HEAD:#}", "SETTINGS", "now", "set");
    for row in rows {
        let pad = |text: String, width: usize| {
            format!("{}{text}", " ".repeat(width.saturating_sub(text.width())))
        };
        let start = format!("{:<a$}  {}  ", row.name, pad(now(row), b));
        let set_text = pad(set(row), c);
        let words = match &row.verdict {
            Verdict::Keep(reason) => format!("keep: {reason}"),
            Verdict::Wait(reason) => format!("wait: {reason}"),
            Verdict::Change(reason) => reason.clone(),
        };
        let mut line = String::new();
        wrapped(&mut line, &format!("{start}{set_text}  "), &words, style);
        if matches!(row.verdict, Verdict::Change(_)) {
            line = line.replacen(
                &format!("{start}{set_text}"),
                &format!("{start}{SET}{set_text}{SET:#}"),
                1,
            );
        }
        out.push_str(&line);
    }
}

/// One calculation; lines that stand further up already are not printed again.
fn section(
    out: &mut String,
    outcome: &Outcome,
    printed: &mut HashSet<(String, u64)>,
    style: Style,
) {
    head(out, outcome.calculation.title);
    if let Some(ground) = &outcome.picture {
        out.push_str(&drawing::ground(ground, style));
        out.push('\n');
    }
    for step in outcome.working() {
        if printed.insert(step.identity()) {
            self::step(out, &step, style);
        }
    }
    for table in &outcome.tables {
        out.push('\n');
        self::table(out, table);
    }
}

/// A number as printed, with its unit.
fn with_unit(value: &Value) -> String {
    numbered(&shown(value.number()), &value.unit_text())
}

fn numbered(number: &str, unit: &str) -> String {
    let space = if unit.is_empty() { "" } else { " " };
    format!("{number}{space}{unit}")
}

/// One line of the working: `name = formula = numbers = result`, on one line where it fits.
fn step(out: &mut String, step: &Step, style: Style) {
    let pieces: Vec<String> =
        pieces(step, style).iter().map(|piece| in_style(piece, style)).collect();
    let line = format!("  {} = {}", step.name(), pieces.join(" = "));
    if line.width() <= WIDTH {
        let _ = writeln!(out, "{line}");
        return;
    }
    let _ = writeln!(out, "  {}", step.name());
    for piece in pieces {
        wrapped_hanging(out, "    = ", "      ", &piece);
    }
}

fn wrapped_hanging(out: &mut String, first: &str, rest: &str, text: &str) {
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(rest)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    for line in textwrap::wrap(text, options) {
        let _ = writeln!(out, "{}", line.trim_end());
    }
}

/// What stands behind the name, in the order of printing.
fn pieces(step: &Step, style: Style) -> Vec<String> {
    let result = numbered(&step.result(), &step.value().unit_text());
    let numbers = arithmetic(&step.numbers(Precision::Shown), style);
    match step.value().origin() {
        Some(Origin::Sheet) => {
            let typed = harmless(step.value().typed_text().unwrap_or_default());
            if numbers == step.result() {
                let unit = step.value().unit_text();
                let bare = typed.parse::<f64>().is_ok() && !unit.is_empty();
                let typed = if bare { format!("{typed} {unit}") } else { typed };
                vec![format!("{typed} (sheet)")]
            } else {
                vec![format!("{typed} (sheet)"), numbers, result]
            }
        }
        Some(Origin::Found(how)) => vec![format!("{result} ({how})")],
        None => {
            let formula = arithmetic(&step.formula(), style);
            if numbers == step.result() && formula == "exact" {
                vec![format!("{result} (exact)")]
            } else if step.terms() > MOST_TERMS {
                vec![formula, format!("{result} ({} readings, all in the sheet)", step.terms())]
            } else {
                vec![formula, numbers, result]
            }
        }
    }
}

/// Tokens as a formula is written.
fn arithmetic(tokens: &[Token], style: Style) -> String {
    let mut text = String::new();
    for token in tokens {
        match token {
            Token::Name(word) | Token::Words(word) | Token::Number(word) => text.push_str(word),
            Token::Operator(Operator::Power) => text.push('^'),
            Token::Operator(Operator::Times) if !style.ascii => text.push_str(" \u{d7} "),
            Token::Operator(operator) => {
                let _ = write!(text, " {operator} ");
            }
            Token::Open(open) => text.push_str(open),
            Token::Close => text.push(')'),
        }
    }
    text
}

/// A table with its head.
pub fn table(out: &mut String, table: &Table) {
    let cell = |cell: &Cell| match cell {
        Cell::Text(text) => text.clone(),
        Cell::Count(count) => count.to_string(),
        Cell::Number(number, places) => round_half_away(*number, *places),
        Cell::Empty => "-".into(),
    };
    let widths: Vec<usize> = table
        .columns
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let cells = table.rows.iter().map(|row| cell(&row[index]).width());
            cells.chain([column.head.width(), column.unit.width()]).max().unwrap_or(0)
        })
        .collect();
    let line = |cells: Vec<String>| {
        let mut text = String::from("  ");
        for (index, (cell, width)) in cells.into_iter().zip(&widths).enumerate() {
            let padding = " ".repeat(width.saturating_sub(cell.width()));
            let left = index == 0;
            text.push_str(&if left {
                format!("{cell}{padding}")
            } else {
                format!("  {padding}{cell}")
            });
        }
        format!("{}\n", text.trim_end())
    };
    let _ = writeln!(out, "  {}", table.title);
    out.push_str(&line(table.columns.iter().map(|column| column.head.clone()).collect()));
    out.push_str(&line(table.columns.iter().map(|column| column.unit.clone()).collect()));
    for row in &table.rows {
        out.push_str(&line(row.iter().map(cell).collect()));
    }
}

fn cautions(out: &mut String, outcomes: &[Outcome], style: Style) {
    let mut all: Vec<&Caution> = vec![];
    for caution in outcomes.iter().flat_map(|outcome| &outcome.cautions) {
        if !all.contains(caution) {
            all.push(caution);
        }
    }
    if all.is_empty() {
        return;
    }
    head(out, "Cautions");
    for caution in all {
        wrapped(out, "  ! ", &format!("{} [{}]", caution.text, caution.source), style);
    }
}

fn warnings(
    out: &mut String,
    outcomes: &[Outcome],
    remarks: &[Diagnostic],
    source: &str,
    style: Style,
) {
    let mut lines: Vec<(&str, String)> = outcomes
        .iter()
        .flat_map(|outcome| {
            let name = outcome.calculation.title.to_lowercase();
            outcome.warnings.iter().map(move |w| (w.kind.code, format!("{name}: {}", w.message)))
        })
        .collect();
    lines.extend(remarks.iter().map(|remark| {
        let (line, _) = remark.line_and_column(source);
        (remark.code.name, format!("line {line}: {}; {}", harmless(&remark.message), remark.advice))
    }));
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{REMARK}WARNINGS{REMARK:#}  (`alleytrue explain CODE` says more)");
    for (code, message) in lines {
        wrapped(out, "  - ", &format!("{message} [{code}]"), style);
    }
}

fn next(out: &mut String, report: &Report, style: Style) {
    out.push('\n');
    let words = match &report.next {
        Some(next) => format!("{}.", next.instruction),
        None => "nothing to change; what was measured is inside the tolerances.".into(),
    };
    let mut line = String::new();
    wrapped(&mut line, "Next: ", &words, style);
    let _ = write!(out, "{}", line.replacen("Next:", &format!("{HEAD}Next:{HEAD:#}"), 1));
}
