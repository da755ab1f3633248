//! Pages as text of at most 80 columns.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::render::drawing::terminal;
use crate::render::text::{in_style, wrapped};
use crate::render::{Style, WIDTH};

use super::blocks::{Block, DayItem, Document, Form, Frame, Grid, Leaf};

/// The document as text; pages are set apart by a line of `=`.
#[must_use]
pub fn render(document: &Document, style: Style) -> String {
    let pages: Vec<String> =
        document.leaves.iter().map(|leaf| page(document, leaf, style)).collect();
    in_style(&pages.join(&format!("\n{}\n\n", "=".repeat(WIDTH))), style).into_owned()
}

fn page(document: &Document, leaf: &Leaf, style: Style) -> String {
    let mut out = String::new();
    wrapped(&mut out, "", &leaf.kind.title().to_uppercase(), style);
    wrapped(&mut out, "", &document.title, style);
    wrapped(&mut out, "Operating point: ", &document.point, style);
    wrapped(&mut out, "", &format!("From {}, printed {}", document.file, document.date), style);
    for piece in &leaf.blocks {
        block(&mut out, piece, style);
    }
    out
}

fn block(out: &mut String, block: &Block, style: Style) {
    match block {
        Block::Heading(text) => {
            out.push('\n');
            wrapped(out, "", &text.to_uppercase(), style);
        }
        Block::Words(text) => {
            out.push('\n');
            wrapped(out, "", text, style);
        }
        Block::Facts(facts) => {
            out.push('\n');
            let widest = facts.iter().map(|(name, _)| name.width()).max().unwrap_or(0);
            for (name, text) in facts {
                wrapped(out, &format!("  {name:<widest$}  "), text, style);
            }
        }
        Block::Grid(table) => grid(out, table, style),
        Block::Picture(scene) => {
            out.push('\n');
            out.push_str(&terminal::scene(scene, style));
        }
        Block::Tick(text, name) => tick(out, "  [ ] ", text, *name, style),
        Block::Days(items) => days(out, items, style),
        Block::Frame(one) => frame(out, one, style),
        Block::Named(name, text) => wrapped(out, &format!("  {name}: "), text, style),
        Block::Fold => {}
        Block::Labels(labels) => {
            for label in &labels.all {
                out.push('\n');
                label.iter().for_each(|line| wrapped(out, "  ", line, style));
            }
        }
        Block::Form(blanks) => form(out, blanks, style),
        Block::Caution(caution) => {
            let words = format!("{} [{}]", caution.text, caution.source);
            wrapped(out, "  ! ", &words, style);
        }
        Block::Working(name, pieces) => working(out, name, pieces, style),
        Block::Next(text) => {
            out.push('\n');
            wrapped(out, "Next: ", text, style);
        }
        Block::Room(name, lines) => {
            out.push('\n');
            wrapped(out, "", name, style);
            for _ in 0..*lines {
                let _ = writeln!(out, "  {}", "_".repeat(WIDTH - 4));
            }
        }
        Block::NewPage => {
            let _ = writeln!(out, "\n{}", "-".repeat(WIDTH));
        }
    }
}

/// Something to do, with its name, by which a sheet leaves it out.
fn tick(out: &mut String, box_: &str, text: &str, name: Option<&str>, style: Style) {
    let name = name.map_or(String::new(), |name| format!(" ({name})"));
    wrapped(out, box_, &format!("{text}{name}"), style);
}

/// A daily list, with boxes for five days.
fn days(out: &mut String, items: &[DayItem], style: Style) {
    let boxes = "[ ]".repeat(5);
    let _ = writeln!(out, "\n  {boxes}  five days; date and initials on paper");
    for item in items {
        match item {
            DayItem::Heading(text) => {
                out.push('\n');
                wrapped(out, "", &text.to_uppercase(), style);
            }
            DayItem::Tick(text, name) => tick(out, &format!("  {boxes} "), text, *name, style),
            DayItem::Caution(caution) => {
                wrapped(out, "  ! ", &format!("{} [{}]", caution.text, caution.source), style);
            }
        }
    }
}

/// The one thing to do.
fn frame(out: &mut String, frame: &Frame, style: Style) {
    let line = "=".repeat(WIDTH);
    let _ = writeln!(out, "\n{line}");
    wrapped(out, "  ", &frame.lead.to_uppercase(), style);
    for set in &frame.lines {
        let called = set.called.as_ref().map_or(String::new(), |label| format!(" \"{label}\""));
        let was = set.was.as_ref().map_or(String::new(), |was| format!(" (was {was})"));
        let start = if frame.ticks && frame.lines.len() == 1 { "  [ ] " } else { "      " };
        wrapped(out, start, &format!("{}{called}: {}{was}", set.name, set.new), style);
    }
    wrapped(out, "  ", &frame.then, style);
    for caution in &frame.cautions {
        wrapped(out, "  ! ", &format!("{} [{}]", caution.text, caution.source), style);
    }
    let _ = writeln!(out, "{line}");
}

fn working(out: &mut String, name: &str, pieces: &[String], style: Style) {
    let line = format!("  {name} = {}", pieces.join(" = "));
    if line.width() <= WIDTH {
        let _ = writeln!(out, "{line}");
        return;
    }
    wrapped(out, "  ", name, style);
    for piece in pieces {
        wrapped(out, "    = ", piece, style);
    }
}

/// A table; the last column of words takes as many lines as it needs.
fn grid(out: &mut String, table: &Grid, style: Style) {
    out.push('\n');
    if !table.title.is_empty() {
        wrapped(out, "", &table.title, style);
    }
    let mut widths: Vec<usize> = (0..table.heads.len())
        .map(|column| {
            let cells = table.rows.iter().filter_map(|row| row.get(column));
            let head = &table.heads[column];
            let heads = [head.0.width(), head.1.width()];
            cells.map(|cell| cell.width()).chain(heads).max().unwrap_or(0)
        })
        .collect();
    let last_of_words = !widths.is_empty() && table.is_of_words(widths.len() - 1);
    // Columns of numbers that find no room are on paper.
    let room = WIDTH - 2 - 4 * table.ticks.len();
    while !last_of_words && widths.len() > 1 && widths.iter().map(|w| w + 2).sum::<usize>() > room {
        widths.pop();
    }
    let count = widths.len();
    let mut line = |cells: &[String], tick: &str| {
        let mut start = format!("  {tick}");
        let mut end = String::new();
        for (column, cell) in cells.iter().enumerate().take(count) {
            let padding = " ".repeat(widths[column].saturating_sub(cell.width()));
            let gap = if column == 0 { "" } else { "  " };
            if column + 1 == count && last_of_words {
                start.push_str(gap);
                end.clone_from(cell);
            } else if table.is_of_words(column) {
                let _ = write!(start, "{gap}{cell}{padding}");
            } else {
                let _ = write!(start, "{gap}{padding}{cell}");
            }
        }
        // What is too long for a line breaks into lines of its own.
        if start.width() > WIDTH - 12 && !end.is_empty() {
            wrapped(out, "  ", start.trim(), style);
            wrapped(out, "      ", &end, style);
        } else {
            wrapped_row(out, &start, &end, style);
        }
    };
    let (blank, box_) = ("    ".repeat(table.ticks.len()), "[ ] ".repeat(table.ticks.len()));
    let (blank, box_) = (blank.as_str(), box_.as_str());
    let (heads, units): (Vec<String>, Vec<String>) = table.heads.iter().cloned().unzip();
    line(&heads, blank);
    if units.iter().any(|unit| !unit.is_empty()) {
        line(&units, blank);
    }
    for row in &table.rows {
        line(row, box_);
    }
}

/// A row whose last words may go on in lines of their own, under their start.
fn wrapped_row(out: &mut String, start: &str, end: &str, style: Style) {
    if end.is_empty() {
        let _ = writeln!(out, "{}", start.trim_end());
    } else {
        wrapped(out, start, end, style);
    }
}

fn form(out: &mut String, form: &Form, style: Style) {
    let _ = writeln!(out, "\n{}", form.table);
    for field in &form.fields {
        let blank = match (field.given.is_empty(), field.choices.is_empty()) {
            (false, _) => field.given.clone(),
            (true, true) => "____________".to_owned(),
            (true, false) => field.choices.iter().map(|choice| format!("[ ] {choice}  ")).collect(),
        };
        let start = match field.key {
            "" => format!("  {}: {blank}  ", field.label),
            key => format!("  {key} = {blank}  "),
        };
        wrapped(out, &start, &field.hint, style);
    }
    for (name, text) in &form.in_force {
        wrapped(
            out,
            "  in force: ",
            &format!("{name} {text}  [ ] as printed, other ________"),
            style,
        );
    }
    if let Some(expected) = &form.expected {
        wrapped(out, "  expected: ", expected, style);
    }
    if !form.lists.is_empty() {
        blanks(out, form);
    }
    out.push('\n');
    wrapped(out, "  ", &form.typed, style);
}

/// Room for the readings of a form, and for their mean.
fn blanks(out: &mut String, form: &Form) {
    out.push('\n');
    let halves = form.places().first().map_or(1, Vec::len);
    let heads: Vec<String> = form
        .lists
        .iter()
        .map(|list| match list.unit.as_str() {
            "" => list.key.to_owned(),
            unit => format!("{} ({unit})", list.key),
        })
        .collect();
    let blank = |head: &String| "_".repeat(head.width().max(16));
    let pad =
        |head: &String| format!("{head}{}", " ".repeat(16_usize.saturating_sub(head.width())));
    let one = |place: String, cells: Vec<String>| format!("{place:>4}  {}", cells.join("  "));
    let head = one("no".into(), heads.iter().map(pad).collect());
    let _ = writeln!(out, "  {}", vec![head; halves].join("  ").trim_end());
    for places in form.places() {
        let cells: Vec<String> = places
            .iter()
            .map(|place| one(place.to_string(), heads.iter().map(blank).collect()))
            .collect();
        let _ = writeln!(out, "  {}", cells.join("  "));
    }
    let _ = writeln!(out, "  {}", one("mean".into(), heads.iter().map(blank).collect()));
}
