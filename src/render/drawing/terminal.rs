//! Pictures in columns of text.

use std::fmt::Write as _;

use crate::outcome::{Judgement, Picture, Travel};
use crate::render::{Style, width_of};

use super::{Axis, BarChart, Graph, Kind, Row, Scene, Shape, Strips};
use super::{field_plan, rehearsed};

/// Columns of a strip; odd, so that zero has a column of its own.
const STRIP: usize = 59;
/// Columns of the names before the strips, at the least.
const LABEL: usize = 9;
/// Columns of the longest bar.
const LONGEST: usize = 44;
/// Lines of a graph.
const LINES: usize = 11;

/// Signs of a picture.
struct Glyphs {
    planted: char,
    bare: char,
    mark: char,
    centre: char,
    both: char,
    zero: char,
    line: char,
    right: &'static str,
    left: &'static str,
}

const UNICODE: Glyphs = Glyphs {
    planted: '\u{2592}',
    bare: '\u{b7}',
    mark: '\u{2503}',
    centre: '\u{25c6}',
    both: '\u{25c8}',
    zero: '\u{2502}',
    line: '\u{2550}',
    right: "\u{2500}\u{2500}>",
    left: "<\u{2500}\u{2500}",
};
const ASCII: Glyphs = Glyphs {
    planted: '#',
    bare: '.',
    mark: '|',
    centre: 'o',
    both: '@',
    zero: '|',
    line: '=',
    right: "-->",
    left: "<--",
};

impl Glyphs {
    fn of(style: Style) -> &'static Glyphs {
        if style.ascii { &ASCII } else { &UNICODE }
    }

    fn sign(&self, kind: Kind) -> char {
        match kind {
            Kind::Planted => self.planted,
            Kind::Alley => self.bare,
            Kind::Mark => self.mark,
            Kind::Centre => self.centre,
            Kind::Both => self.both,
            Kind::Pointer => '^',
            Kind::Seed | Kind::Old => 'o',
            Kind::New => 'n',
            Kind::Swept => 'x',
            Kind::Several => '#',
            Kind::LimitLow => '[',
            Kind::LimitHigh => ']',
            Kind::Zero => self.zero,
            Kind::Interval => self.line,
        }
    }

    /// The sign with what it means, for the key.
    fn explained(&self, kind: Kind) -> String {
        let sign = match kind {
            Kind::LimitLow | Kind::LimitHigh => "[ ]".into(),
            Kind::Interval => format!("{line}{}{line}", self.centre, line = self.line),
            _ => self.sign(kind).to_string(),
        };
        format!("{sign} {}", kind.words())
    }
}

/// Any picture.
#[must_use]
pub fn picture(picture: &Picture, style: Style) -> String {
    scene(&Scene::of(picture), style)
}

/// The interval of an error against the tolerance; empty where there is none to draw.
#[must_use]
pub fn interval_bar(judgement: &Judgement, style: Style) -> String {
    Scene::interval(judgement).map_or(String::new(), |interval| scene(&interval, style))
}

/// The geometry of a picture.
#[must_use]
pub fn scene(scene: &Scene, style: Style) -> String {
    let glyphs = Glyphs::of(style);
    match scene {
        Scene::Strips(picture) => strips(picture, glyphs),
        Scene::Bars(picture) => bars(picture, glyphs),
        Scene::Graph(picture) => graph(picture, glyphs),
        Scene::Field(view) => field_plan::terminal(&view.layout, style),
        Scene::Histogram(picture) => super::histogram::histogram(picture, style),
        Scene::Rehearsed(picture) => rehearsed::terminal(picture, style),
        Scene::Cut(title) => cut(title),
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
fn column_of(axis: Axis, at: f64, columns: usize) -> usize {
    (axis.share(at) * (columns - 1) as f64).round() as usize
}

/// Ground cut through: surface, seed, and the tape between them.
fn cut(title: &str) -> String {
    let lines = [
        title,
        "    ______________________  surface",
        "              ^",
        "              |  depth",
        "           o  v",
        "         seed",
    ];
    lines.map(|line| format!("  {line}\n")).concat()
}

fn strips(picture: &Strips, glyphs: &Glyphs) -> String {
    let mut out = String::new();
    let widest = picture.rows.iter().map(|row| width_of(&row.label)).max().unwrap_or(0).max(LABEL);
    let columns = STRIP.saturating_sub(widest - LABEL).max(1);
    // Where some strips are travelled over, the others stand under them.
    let travels = picture.rows.iter().any(|row| row.travel.is_some());
    let indent = if travels { 4 } else { 0 };
    for row in &picture.rows {
        let strip = strip(row, picture.axis, columns, glyphs);
        let label = format!("{}{}", row.label, " ".repeat(widest - width_of(&row.label)));
        let start = match (&picture.ends, row.travel) {
            (Some((left, _)), _) => format!("{left:>8} "),
            (None, Some(Travel::Rightward)) => format!("{label} {} ", glyphs.right),
            (None, Some(Travel::Leftward)) => format!("{label} {} ", glyphs.left),
            (None, None) => format!("{label} {}", " ".repeat(indent)),
        };
        let end = picture.ends.as_ref().map_or("", |(_, right)| right);
        let behind = format!("{end}{}", row.note);
        let gap = if behind.is_empty() { "" } else { " " };
        let _ = writeln!(out, "  {start}{}{gap}{behind}", strip.trim_end());
        if !row.figures.is_empty() {
            let figures = figures(row, picture.axis, columns);
            let _ = writeln!(out, "  {} {figures}", " ".repeat(widest + 4));
        }
    }
    for line in &picture.key {
        let words: Vec<String> = line.iter().map(|kind| glyphs.explained(*kind)).collect();
        let indent = if picture.ends.is_some() { " ".repeat(9) } else { String::new() };
        let _ = writeln!(out, "  {indent}{}", words.join("  "));
    }
    if let Some(note) = &picture.note {
        let _ = writeln!(out, "  {note}");
    }
    out
}

fn strip(row: &Row, axis: Axis, columns: usize, glyphs: &Glyphs) -> String {
    let column = |at: f64| column_of(axis, at, columns);
    let mut cells = vec![' '; columns];
    for shape in &row.shapes {
        match *shape {
            Shape::Bare => cells.fill(glyphs.bare),
            Shape::Planted { from, to } => {
                let from = from.map_or(0, &column);
                let to = to.map_or(columns - 1, &column);
                cells[from..=to].fill(glyphs.planted);
            }
            Shape::Span { from, to } => {
                if to > from && to >= axis.from && from <= axis.to {
                    cells[column(from)..=column(to)].fill(glyphs.line);
                }
                if from < axis.from && to >= axis.from {
                    cells[0] = '<';
                }
            }
            Shape::Tape { from, to } => {
                let (from, to) = (column(from.min(to)), column(from.max(to)));
                cells[from..=to].fill('-');
                (cells[from], cells[to]) = ('|', '|');
                if to > from + 3 {
                    (cells[from + 1], cells[to - 1]) = ('<', '>');
                }
            }
            Shape::Point(kind, at) => {
                let cell = &mut cells[column(at)];
                *cell = match kind {
                    Kind::Centre if *cell == glyphs.mark && row.travel.is_some() => glyphs.both,
                    Kind::Old | Kind::New | Kind::Swept if *cell != glyphs.bare => {
                        glyphs.sign(Kind::Several)
                    }
                    _ => glyphs.sign(kind),
                };
            }
        }
    }
    cells.into_iter().collect()
}

/// The figures of a strip, each under its place, or as near as the one before allows.
fn figures(row: &Row, axis: Axis, columns: usize) -> String {
    let mut line = String::new();
    for (index, (at, text)) in row.figures.iter().enumerate() {
        let wanted = column_of(axis, *at, columns).saturating_sub(text.len() / 2);
        let gap = wanted.saturating_sub(line.len()).max(usize::from(index > 0));
        let _ = write!(line, "{}{text}", " ".repeat(gap));
    }
    line
}

fn bars(chart: &BarChart, glyphs: &Glyphs) -> String {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let column = |number: f64| (chart.axis.share(number) * (LONGEST - 1) as f64) as usize;
    let mut out = format!("  {}\n", chart.title);
    for (label, number, text) in &chart.rows {
        let mut cells = vec![' '; LONGEST];
        cells[..=column(*number)].fill(glyphs.line);
        cells[column(chart.limit)] = glyphs.zero;
        let bar: String = cells.into_iter().collect();
        let _ = writeln!(out, "  {label:>12} {bar} {text}");
    }
    out
}

/// A curve in a field of lines and columns, the band as dots around it.
fn graph(graph: &Graph, glyphs: &Glyphs) -> String {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let line = |at: f64| LINES - 1 - (graph.up.share(at) * (LINES - 1) as f64).round() as usize;
    let mut field = vec![vec![' '; STRIP]; LINES];
    for point in &graph.points {
        let column = column_of(graph.across, point.across, STRIP);
        if let Some((low, high)) = point.band {
            for cells in &mut field[line(high)..=line(low)] {
                cells[column] = glyphs.bare;
            }
        }
        field[line(point.up)][column] = glyphs.centre;
    }
    let mut out = format!("  {}: {}\n", graph.title, graph.up_name);
    for (index, cells) in field.into_iter().enumerate() {
        let tick = graph.up_ticks.iter().find(|tick| line(tick.at) == index);
        let cells: String = cells.into_iter().collect();
        let text = tick.map_or("", |tick| &tick.text);
        let _ = writeln!(out, "  {text:>9} {} {}", glyphs.zero, cells.trim_end());
    }
    let row = Row {
        figures: graph.across_ticks.iter().map(|tick| (tick.at, tick.text.clone())).collect(),
        ..Row::default()
    };
    let _ = writeln!(out, "  {:9}   {}", "", figures(&row, graph.across, STRIP));
    let _ = writeln!(out, "  {:9}   {}", "", graph.across_name);
    let _ = writeln!(out, "  {} of the table  {} {}", glyphs.centre, glyphs.bare, graph.key);
    out
}
