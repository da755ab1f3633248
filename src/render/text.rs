//! Results as text of at most 80 columns: settings first, then the arithmetic, then remarks,
//! and last the one thing to change next.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt::Write as _;

use anstyle::Style as Ink;

use crate::outcome::Report;
use crate::outcome::{
    Caution, Cell, Judgement, Outcome, SettingResult, Singles, Table, ToDo, Verdict,
};
use crate::quantity::{Length, LengthUnit, MeasureUnit, brief, round_half_away, shown};
use crate::sheet::{Diagnostic, Source};
use crate::working::Value;
use crate::working::{Operator, Origin, Precision, Step, Token, with_signs};

use super::drawing::terminal as drawing;
use super::said_once;
use super::{Style, WIDTH, harmless, width_of, wrap};

/// Sums of more terms than this are not printed term by term.
const MOST_TERMS: usize = 40;

/// Bold and without a colour, so that it reads on light ground and on dark; and for nothing but what
/// is next.
const NEXT: Ink = Ink::new().bold();
/// Columns of a label of the crew's own in the list of settings.
const LABEL: usize = 20;

/// Tables that are the answer itself, so that a brief page has them too.
const SHORT_TABLES: [&str; 16] = [
    "trend",
    "answer",
    "out",
    "help",
    "rows",
    "plan",
    "starting-values",
    "setback-by-speed",
    "depth",
    "evenness",
    "stand",
    "row-lengths",
    "totals",
    "lots",
    "beside",
    "marks",
];

/// Lists of every plot, which a page shows the start and the end of.
pub(super) const ABRIDGED: [&str; 3] = ["plots", "corners", "driving-order"];
/// Rows of such a list that a page holds.
const MOST_ROWS: usize = 12;

/// What stands over the results.
#[derive(Clone, Copy, Debug)]
pub struct Heading<'a> {
    /// Title of the sheet, if it has one.
    pub title: Option<&'a str>,
    /// Name of the file.
    pub file: &'a str,
}

/// A page of results: the report of one sheet and what goes round it.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// What stands over the results.
    pub heading: Heading<'a>,
    /// The results.
    pub report: &'a Report,
    /// Remarks on the sheet.
    pub remarks: &'a [Diagnostic],
    /// The sheet, for line numbers.
    pub source: &'a Source,
}

impl Page<'_> {
    /// The page as text; a brief one leaves out the arithmetic.
    #[must_use]
    pub fn render(&self, brief: bool, style: Style) -> String {
        let mut out = String::new();
        let Heading { title, file } = self.heading;
        let title = title.map_or(String::new(), |title| format!("{} - ", harmless(title)));
        wrapped(&mut out, "", &format!("{title}{}", harmless(file)), style);
        let outcomes = &self.report.outcomes;
        settings(&mut out, self.report, style);
        if brief {
            brief_singles(&mut out, outcomes, style);
            for table in outcomes.iter().flat_map(|outcome| &outcome.tables) {
                if SHORT_TABLES.contains(&table.key) {
                    out.push('\n');
                    self::table(&mut out, table);
                }
            }
        } else {
            let workings: Vec<Vec<Step>> = outcomes.iter().map(Outcome::working).collect();
            let mut printed = BTreeSet::new();
            for (outcome, working) in outcomes.iter().zip(&workings) {
                let new = working.iter().filter(|step| printed.insert((*step).identity()));
                section(&mut out, outcome, new, style);
            }
        }
        cautions(&mut out, outcomes, style);
        warnings(&mut out, outcomes, self.remarks, self.source, style);
        next(&mut out, self.report, style);
        in_style(&out, style).into_owned()
    }
}

/// Where plain ASCII is wanted, characters beyond it replaced by the nearest thing in it. That may
/// take more room, so it is done before lines are broken.
pub(crate) fn in_style(text: &str, style: Style) -> Cow<'_, str> {
    if !style.ascii || text.is_ascii() {
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

pub(super) fn head(out: &mut String, text: &str, style: Style) {
    let _ = writeln!(out, "\n{}", in_style(&text.to_uppercase(), style));
}

/// The ink itself, or none where no colours are wanted.
pub(crate) fn in_colour(ink: Ink, style: Style) -> Ink {
    if style.colour { ink } else { Ink::new() }
}

/// Text in lines of at most 80 columns, the first after `first`, the rest as far in.
pub(super) fn wrapped(out: &mut String, first: &str, text: &str, style: Style) {
    wrap::write(out, first, &" ".repeat(width_of(first)), &in_style(text, style));
}

fn settings(out: &mut String, report: &Report, style: Style) {
    let rows: Vec<&SettingResult> =
        report.outcomes.iter().flat_map(|outcome| &outcome.settings).collect();
    if rows.is_empty() {
        return;
    }
    let now = |row: &SettingResult| row.now.as_ref().map_or("-".into(), |now| as_held(now, style));
    let set = |row: &SettingResult| match row.verdict {
        Verdict::Keep(_) | Verdict::Measure(_) | Verdict::Wait(_) | Verdict::Cause(_) => now(row),
        Verdict::Change(_) => as_typed_before(row),
    };
    let widest = |cell: &dyn Fn(&SettingResult) -> String, least: usize| {
        rows.iter().map(|row| width_of(&cell(row))).max().unwrap_or(0).max(least)
    };
    let name = |row: &SettingResult| named(report, row, style);
    let next: Vec<&str> = match report.to_do() {
        ToDo::Set(settings) => settings.iter().map(|one| one.name.as_str()).collect(),
        _ => vec![],
    };
    let (a, b, c) = (widest(&name, 8), widest(&now, 3), widest(&set, 3));
    let ink = in_colour(NEXT, style);
    let _ = writeln!(out, "\n{:<a$}  {:>b$}  {:>c$}", "SETTINGS", "now", "set");
    let mut before = "";
    for row in rows {
        let pad = |text: String, width: usize| {
            format!("{}{text}", " ".repeat(width.saturating_sub(width_of(&text))))
        };
        let name = name(row);
        let room = " ".repeat(a.saturating_sub(width_of(&name)));
        let start = format!("{name}{room}  {}  ", pad(now(row), b));
        let set_text = pad(set(row), c);
        let words = match &row.verdict {
            Verdict::Keep(reason) if reason == before => "keep: as above".into(),
            Verdict::Keep(reason) => format!("keep: {reason}"),
            Verdict::Measure(reason) => reason.clone(),
            Verdict::Wait(reason) => format!("wait: {reason}"),
            Verdict::Change(reason) | Verdict::Cause(reason) => reason.clone(),
        };
        before = row.verdict.reason();
        let mut line = String::new();
        wrapped(&mut line, &format!("{start}{set_text}  "), &words, style);
        let is_next = next.contains(&row.name.as_str());
        if is_next && matches!(row.verdict, Verdict::Change(_)) {
            line = line.replacen(
                &format!("{start}{set_text}"),
                &format!("{start}{ink}{set_text}{ink:#}"),
                1,
            );
        }
        out.push_str(&line);
    }
}

/// The name of a setting, with the crew's own label of it.
fn named(report: &Report, row: &SettingResult, style: Style) -> String {
    labelled(&row.name, report.called(row), style)
}

/// A name with the crew's own label, which is cut where it is long.
pub(super) fn labelled(name: &str, label: Option<&str>, style: Style) -> String {
    let Some(label) = label else { return name.to_owned() };
    let label = in_style(&harmless(label), style).into_owned();
    let label = if width_of(&label) > LABEL { cut(&label, LABEL) } else { label };
    format!("{name} \"{label}\"")
}

/// What the planter holds, as it was typed, with its unit.
pub(super) fn as_held(now: &Value, style: Style) -> String {
    let unit = now.unit_text();
    match now.typed_text().map(|typed| in_style(&harmless(&typed), style).into_owned()) {
        Some(typed)
            if typed.bytes().all(|b| b.is_ascii_digit() || b == b'.') && !unit.is_empty() =>
        {
            format!("{typed} {unit}")
        }
        Some(typed) => typed,
        None => format!("{} {unit}", brief(now.number())),
    }
}

/// The new value in the form the old one was typed in: feet and inches where that was.
pub(super) fn as_typed_before(row: &SettingResult) -> String {
    let typed = row.now.as_ref().and_then(|now| now.typed_text());
    let typed = typed.and_then(|typed| Length::parse(&typed, None).ok());
    match typed {
        Some(typed)
            if typed.unit() == LengthUnit::Foot
                && row.set.unit_text() == LengthUnit::Inch.symbol() =>
        {
            feet_and_inches(row.set.number()).unwrap_or_else(|| with_unit(&row.set))
        }
        _ => with_unit(&row.set),
    }
}

/// Inches as feet, inches and sixteenths; `None` where they are no whole number of sixteenths.
fn feet_and_inches(inches: f64) -> Option<String> {
    const SIXTEENTHS: u32 = 16;
    let sixteenths = inches * f64::from(SIXTEENTHS);
    let exact = (sixteenths - sixteenths.round()).abs() <= 1e-6;
    exact.then(|| crate::quantity::feet_and_inches(inches, SIXTEENTHS))
}

/// One calculation, with the lines of its working that stand nowhere further up.
fn section<'a>(
    out: &mut String,
    outcome: &Outcome,
    working: impl Iterator<Item = &'a Step>,
    style: Style,
) {
    head(out, outcome.calculation.title, style);
    for picture in outcome.pictures.iter().filter(|picture| !picture.is_of_a_table()) {
        out.push_str(&drawing::picture(picture, style));
        out.push('\n');
    }
    for step in working {
        self::step(out, step, style);
    }
    if let Some(judgement) = &outcome.judgement {
        out.push('\n');
        how_sure(out, judgement, style);
    }
    singles(out, outcome, style);
    let said =
        |table: &&Table| outcome.pictures.iter().any(|picture| picture.says() == Some(table.key));
    for table in outcome.tables.iter().filter(|table| !said(table)) {
        out.push('\n');
        match ABRIDGED.contains(&table.key) && table.rows.len() > MOST_ROWS {
            true => abridged(out, table),
            false => self::table(out, table),
        }
    }
    for picture in outcome.pictures.iter().filter(|picture| picture.is_of_a_table()) {
        out.push('\n');
        out.push_str(&drawing::picture(picture, style));
    }
}

/// How far the correction can be trusted, in words and as a bar against the tolerance.
fn how_sure(out: &mut String, judgement: &Judgement, style: Style) {
    wrapped(out, "  How sure: ", &sure_words(judgement), style);
    out.push_str(&drawing::interval_bar(judgement, style));
}

/// Single plots, alleys, leads or seeds against their limit.
fn singles(out: &mut String, outcome: &Outcome, style: Style) {
    for line in singles_words(outcome) {
        wrapped(out, "  ", &harmless(&line), style);
    }
}

/// A line of words for every kind of single ones, and one on what is asked of them.
pub(super) fn singles_words(outcome: &Outcome) -> Vec<String> {
    let line = |one: &Singles| sentence(&format!("{}: {}", one.name(), one.words()));
    let mut lines: Vec<String> = outcome.singles.iter().map(line).collect();
    lines.extend(Singles::asked(&outcome.singles).map(|asked| sentence(&asked)));
    lines
}

/// The same with a capital letter at its start.
pub(super) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or(String::new(), |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// A brief page has what to expect of single ones in a line.
fn brief_singles(out: &mut String, outcomes: &[Outcome], style: Style) {
    let each: Vec<String> =
        outcomes.iter().flat_map(|outcome| &outcome.singles).map(Singles::in_short).collect();
    if !each.is_empty() {
        out.push('\n');
        let words = format!("expected inside their limit: {}", harmless(&each.join("; ")));
        wrapped(out, "Single ones: ", &words, style);
    }
}

/// How far the correction can be trusted, in words.
pub(super) fn sure_words(judgement: &Judgement) -> String {
    let reading = judgement.means.first().map(Value::unit_text).unwrap_or_default();
    let unit = judgement.error.unit_text();
    let seeds = judgement
        .jitter
        .as_ref()
        .map_or(String::new(), |jitter| format!(" (seeds alone {})", brief(jitter.number())));
    let sd = judgement
        .sd
        .as_ref()
        .map_or(String::new(), |sd| format!(", SD {} {reading}{seeds}", brief(sd.number())));
    let name = judgement.error.name().unwrap_or_default();
    let interval = judgement.interval.as_ref().map_or_else(
        || "no interval".to_owned(),
        |interval| {
            format!(
                "{} interval {} to {} {unit}",
                judgement.confidence,
                brief(interval.low.number()),
                brief(interval.high.number())
            )
        },
    );
    format!(
        "{} {}{}{sd}; {name} {} {unit}, {interval}",
        judgement.count,
        judgement.subject,
        if judgement.count == 1 { "" } else { "s" },
        brief(judgement.error.number()),
    )
}

/// A number as printed, with its unit.
pub(super) fn with_unit(value: &Value) -> String {
    numbered(&shown(value.number()), &value.unit_text())
}

fn numbered(number: &str, unit: &str) -> String {
    let space = if unit.is_empty() { "" } else { " " };
    [number, space, unit].concat()
}

/// One line of the working: `name = formula = numbers = result`, on one line where it fits.
fn step(out: &mut String, step: &Step, style: Style) {
    let pieces = pieces(step, style);
    let pieces: Vec<_> = pieces.iter().map(|piece| in_style(piece, style)).collect();
    let line = ["  ", step.name(), " = ", &pieces.join(" = ")].concat();
    if width_of(&line) <= WIDTH {
        out.push_str(&line);
        out.push('\n');
        return;
    }
    let _ = writeln!(out, "  {}", step.name());
    for piece in pieces {
        wrap::write(out, "    = ", "      ", &piece);
    }
}

/// Text in lines of at most 80 columns, the first after `first`, the rest as far in; harmless for
/// a terminal.
#[must_use]
pub fn hanging(first: &str, text: &str, style: Style) -> String {
    let mut out = String::new();
    wrapped(&mut out, first, &harmless(text), style);
    out.truncate(out.trim_end().len());
    out
}

/// What stands behind the name, in the order of printing.
pub(super) fn pieces(step: &Step, style: Style) -> Vec<String> {
    let unit = step.value().unit_text();
    let result = || numbered(step.result(), &unit);
    match step.value().origin() {
        Some(Origin::Sheet) => {
            let typed = harmless(&step.value().typed_text().unwrap_or_default());
            let numbers = step.numbers(Precision::Shown);
            if numbers.len() == 1 {
                let bare = typed.parse::<f64>().is_ok() && !unit.is_empty();
                let typed = if bare { numbered(&typed, &unit) } else { typed };
                vec![typed + " (given)"]
            } else {
                vec![typed + " (given)", arithmetic(&numbers, style), result()]
            }
        }
        Some(Origin::Found(how)) => vec![format!("{} ({how})", result())],
        None => {
            let names = step.formula();
            let formula = arithmetic(&names, style);
            let renamed = matches!(names.as_slice(), [Token::Name(_)]);
            let numbers = || arithmetic(&step.numbers(Precision::Shown), style);
            if formula == "exact" {
                vec![numbered(&numbers(), &unit) + " (exact)"]
            } else if renamed {
                vec![formula, result()]
            } else if step.terms() > MOST_TERMS {
                let all = format!(" ({} readings, all in the sheet)", step.terms());
                vec![formula, result() + &all]
            } else {
                vec![formula, numbers(), result()]
            }
        }
    }
}

/// Tokens as a formula is written.
fn arithmetic(tokens: &[Token<'_>], style: Style) -> String {
    with_signs(tokens, |operator| match operator {
        Operator::Times if !style.ascii => " \u{d7} ",
        operator => operator.between(),
    })
}

/// A long table: its first rows, its last, and where the rest can be had.
fn abridged(out: &mut String, table: &Table) {
    const LAST: usize = 4;
    let left_out = table.rows.len() - MOST_ROWS;
    let mut short = table.clone();
    short.rows.drain(MOST_ROWS - LAST..MOST_ROWS - LAST + left_out);
    let mut text = String::new();
    self::table(&mut text, &short);
    let lines: Vec<&str> = text.lines().collect();
    // The line about columns that were left out stands below the rows.
    let below = lines.len() - (3 + short.rows.len()).min(lines.len());
    let (first, last) = lines.split_at(lines.len() - LAST - below);
    for line in first {
        let _ = writeln!(out, "{line}");
    }
    let key = table.key;
    let _ = writeln!(out, "  ... {left_out} more rows: --format csv --table {key}");
    for line in last {
        let _ = writeln!(out, "{line}");
    }
}

/// One entry of a table.
pub(super) fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => harmless(text),
        Cell::Count(count) => count.to_string(),
        Cell::Number(number, places) => round_half_away(*number, *places),
        Cell::Empty => "-".into(),
    }
}

/// A table with its head.
pub fn table(out: &mut String, table: &Table) {
    let rows: Vec<Vec<String>> =
        table.rows.iter().map(|row| row.iter().map(cell).collect()).collect();
    let mut widths: Vec<usize> = table
        .columns
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let cells = rows.iter().map(|row| width_of(&row[index]));
            cells.chain([width_of(&column.head), width_of(&column.unit)]).max().unwrap_or(0)
        })
        .collect();
    narrow(&mut widths, table);
    let left_out = leave_out(&mut widths, table);
    let line = |cells: Vec<String>| {
        let mut text = String::from("  ");
        for (index, (cell, width)) in cells.into_iter().zip(&widths).enumerate() {
            let cell = if width_of(&cell) > *width { cut(&cell, *width) } else { cell };
            let padding = " ".repeat(width.saturating_sub(width_of(&cell)));
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
    for row in rows {
        out.push_str(&line(row));
    }
    if !left_out.is_empty() {
        let _ =
            writeln!(out, "  ({} left out for want of room; in JSON and CSV)", left_out.join(", "));
    }
}

/// Takes what a table is too wide from its widest column of words: names out of a sheet may be
/// long. A column with a unit, such as teeth of sprockets, is no such words and keeps its width.
fn narrow(widths: &mut [usize], table: &Table) {
    const LEAST: usize = 12;
    let wide = 2 * widths.len() + widths.iter().sum::<usize>();
    let words = |index: &usize| {
        let has_words = table.rows.iter().any(|row| matches!(row[*index], Cell::Text(_)));
        has_words && table.columns[*index].unit.is_empty()
    };
    let widest = (0..widths.len()).filter(words).max_by_key(|index| widths[*index]);
    if let Some(index) = widest.filter(|index| wide > WIDTH && widths[*index] > LEAST) {
        widths[index] = (widths[index] - (wide - WIDTH).min(widths[index])).max(LEAST);
    }
}

/// Leaves out the last columns of a table that is still too wide; their heads.
fn leave_out<'t>(widths: &mut Vec<usize>, table: &'t Table) -> Vec<&'t str> {
    let mut left_out = vec![];
    while widths.len() > 1 && 2 * widths.len() + widths.iter().sum::<usize>() > WIDTH {
        widths.pop();
        left_out.insert(0, table.columns[widths.len()].head.as_str());
    }
    left_out
}

/// The start of a text that takes at most so many columns, with `~` where it was cut.
fn cut(text: &str, width: usize) -> String {
    let mut kept = String::new();
    for c in text.chars() {
        if width_of(&kept) + width_of(&c.to_string()) >= width {
            break;
        }
        kept.push(c);
    }
    format!("{kept}~")
}

fn cautions(out: &mut String, outcomes: &[Outcome], style: Style) {
    let mut all: Vec<&Caution> = vec![];
    for caution in outcomes.iter().flat_map(|outcome| &outcome.cautions) {
        if !all.contains(caution) {
            all.push(caution);
        }
    }
    caution_lines(out, &all, style);
}

/// Cautions under their heading.
pub(super) fn caution_lines(out: &mut String, all: &[&Caution], style: Style) {
    if all.is_empty() {
        return;
    }
    head(out, "Cautions", style);
    for caution in all {
        wrapped(out, "  ! ", &format!("{} [{}]", caution.text, caution.source), style);
    }
}

fn warnings(
    out: &mut String,
    outcomes: &[Outcome],
    remarks: &[Diagnostic],
    source: &Source,
    style: Style,
) {
    let all = said_once::warnings(outcomes.iter(), remarks, source);
    let lines: Vec<String> = all.iter().map(said_once::Said::line).collect();
    warning_lines(out, &lines, style);
}

/// Warnings under their heading.
pub(super) fn warning_lines(out: &mut String, lines: &[String], style: Style) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\nWARNINGS  (`alleytrue explain CODE` says more)");
    for line in lines {
        wrapped(out, "  - ", &harmless(line), style);
    }
}

/// Whether something was measured, and every setting is kept in a way.
fn all_kept(report: &Report, in_a_way: fn(&Verdict) -> bool) -> bool {
    let mut settings = report.outcomes.iter().flat_map(|outcome| &outcome.settings).peekable();
    settings.peek().is_some() && settings.all(|one| in_a_way(&one.verdict))
}

/// The one thing to do next, in words.
pub(super) fn next_words(report: &Report) -> String {
    match &report.next {
        Some(next) => format!("{}.", harmless(&next.instruction)),
        None if all_kept(report, Verdict::is_inside) => {
            "nothing to change; what was measured is inside the tolerances.".into()
        }
        None if all_kept(report, |verdict| matches!(verdict, Verdict::Keep(_))) => {
            "nothing to change by what was measured.".into()
        }
        None => "nothing to change here.".into(),
    }
}

fn next(out: &mut String, report: &Report, style: Style) {
    out.push('\n');
    let words = next_words(report);
    let mut line = String::new();
    wrapped(&mut line, "Next: ", &words, style);
    let ink = in_colour(NEXT, style);
    let _ = write!(out, "{}", line.replacen("Next:", &format!("{ink}Next:{ink:#}"), 1));
}
