//! A field as it came out in one drawn trial: plots where they lie, to scale along the travel, those out
//! of limit hatched, offsets enlarged so that they are seen.

use std::fmt::Write as _;

use crate::outcome::{RehearsedField, RehearsedPlot};
use crate::quantity::brief;
use crate::render::{Style, WIDTH};

use super::pen::{Pen, Stroke};

/// Room for the names of the ranges in a terminal.
const LABEL: usize = 8;
/// Lines of a field in a terminal, about.
const LINES: usize = 48;
/// Ranges that are drawn at either end of a longer field.
const MOST_RANGES: u32 = 24;
/// Width of the picture on paper, in points, and most of its height.
const ACROSS: f64 = 490.0;
const DOWN: f64 = 104.0;
/// Plots that are drawn lower than this have no outline and no hatching, which would make all of them
/// black: those out of limit are black, the others grey.
const LOW: f64 = 5.0;
/// Room for the arrows of the passes.
const ARROWS: f64 = 14.0;
/// From line to line of a hatched plot.
const HATCH: f64 = 3.0;
/// A line of figures, in points.
const LINE: f64 = 16.0;

/// The words under the picture.
fn words(field: &RehearsedField, out: &str, start: &str) -> Vec<String> {
    let enlarged = if field.enlarged > 1.0 {
        format!("Offsets are drawn {} times as large as they are;", brief(field.enlarged))
    } else {
        "Offsets are drawn as large as they are;".into()
    };
    vec![
        format!(
            "{}: {} of {} plots out of limit, {out}. The start line is {start}.",
            field.title,
            field.out,
            field.plots.len()
        ),
        format!(
            "{enlarged} plots are {} {unit} long, alleys {} {unit} wide.",
            brief(field.plot),
            brief(field.alley),
            unit = field.unit
        ),
    ]
}

/// Points for a unit of length, both ways.
fn scale(field: &RehearsedField) -> f64 {
    let (long, wide) = field.size;
    ((ACROSS - ARROWS) / long).min(DOWN / wide)
}

/// Whether plots are drawn too low for an outline.
fn is_low(field: &RehearsedField) -> bool {
    field.plot_width * scale(field) < LOW
}

/// The words under the picture on paper.
pub(super) fn words_on_paper(field: &RehearsedField) -> Vec<String> {
    if is_low(field) {
        words(field, "black", "on the left; ticks are marks")
    } else {
        words(field, "hatched", "on the left; lines are marks")
    }
}

/// What lies in a piece of a column.
#[derive(Clone, Copy, PartialEq)]
enum Piece {
    Bare,
    Planted { out: bool },
}

/// The plan in columns of text: the far end on top, as it looks from the start line.
#[must_use]
pub(super) fn terminal(field: &RehearsedField, style: Style) -> String {
    let (ranges, columns) = field.grid;
    let shown: Vec<u32> = if ranges <= MOST_RANGES {
        (0..ranges).rev().collect()
    } else {
        (ranges - MOST_RANGES / 2..ranges).rev().chain((0..MOST_RANGES / 2).rev()).collect()
    };
    // A line of Unicode holds two pieces, one over the other.
    let of_line = if style.ascii { 1 } else { 2 };
    let lines = (LINES / shown.len().max(1)).clamp(2, 12);
    let pieces = lines * of_line;
    let across = abridged(columns);
    let mut by_place: Vec<Vec<Option<&RehearsedPlot>>> =
        vec![vec![None; columns as usize]; ranges as usize];
    for plot in &field.plots {
        by_place[plot.range as usize][plot.column as usize] = Some(plot);
    }
    let spacing = field.plot + field.alley;
    let mut out = String::from("  far end\n");
    for (index, range) in shown.iter().enumerate() {
        if index > 0 && shown[index - 1] > range + 1 {
            let _ = writeln!(out, "  {:>width$}", "...", width = LABEL - 2);
        }
        for line in 0..lines {
            let label = if line == lines / 2 { format!("r {}", range + 1) } else { String::new() };
            let mut text = format!("  {label:>width$} ", width = LABEL - 2);
            for column in &across.columns {
                let Some(column) = column else {
                    text += "...";
                    continue;
                };
                let piece = |half: usize| {
                    let from_far = line * of_line + half;
                    let plot = by_place[*range as usize][*column as usize];
                    plot.map_or(Piece::Bare, |plot| {
                        piece_of(plot, *range, from_far, pieces, spacing)
                    })
                };
                let glyph = if style.ascii { ascii(piece(0)) } else { unicode(piece(0), piece(1)) };
                text.extend(std::iter::repeat_n(glyph, across.wide));
                text += if across.gap { " " } else { "" };
            }
            let _ = writeln!(out, "{}", text.trim_end());
        }
    }
    let mut travel = format!("  {:>width$} ", "travel", width = LABEL - 2);
    let in_pass = columns as usize / field.passes.len().max(1);
    for column in &across.columns {
        let Some(column) = column else {
            travel += "...";
            continue;
        };
        let goes_out =
            field.passes.get(*column as usize / in_pass.max(1)).is_some_and(|pass| pass.1);
        let arrow = match (goes_out, style.ascii) {
            (true, true) => '^',
            (false, true) => 'v',
            (true, false) => '\u{2191}',
            (false, false) => '\u{2193}',
        };
        travel.push(arrow);
        travel += &" ".repeat(across.wide - 1 + usize::from(across.gap));
    }
    let _ = writeln!(out, "{}", travel.trim_end());
    for line in words(field, "hatched", "below") {
        for line in textwrap::wrap(&line, WIDTH - 2) {
            let _ = writeln!(out, "  {line}");
        }
    }
    out
}

/// Columns that are drawn, and how.
struct Across {
    /// Columns from the left; none for those left out.
    columns: Vec<Option<u32>>,
    wide: usize,
    gap: bool,
}

fn abridged(columns: u32) -> Across {
    let room = WIDTH - LABEL - 1;
    let count = columns as usize;
    if count > room {
        let side = u32::try_from((room - 3) / 2).unwrap_or(0);
        let left = (0..side).map(Some);
        let right = (columns - side..columns).map(Some);
        return Across { columns: left.chain([None]).chain(right).collect(), wide: 1, gap: false };
    }
    let columns = (0..columns).map(Some).collect();
    match (room / count.max(1)).min(7) {
        0 | 1 => Across { columns, wide: 1, gap: false },
        wide => Across { columns, wide: wide - 1, gap: true },
    }
}

/// What lies in a piece of the ground from half an alley before a range to half an alley behind it,
/// counted from the far end.
#[allow(clippy::cast_precision_loss)] // a few pieces
fn piece_of(
    plot: &RehearsedPlot,
    range: u32,
    from_far: usize,
    pieces: usize,
    spacing: f64,
) -> Piece {
    let middle = (pieces - from_far) as f64 - 0.5;
    let start = f64::from(range) * spacing;
    let at = start + middle / pieces as f64 * spacing;
    if at >= plot.near && at <= plot.far { Piece::Planted { out: plot.out } } else { Piece::Bare }
}

fn ascii(piece: Piece) -> char {
    match piece {
        Piece::Bare => '.',
        Piece::Planted { out: false } => '#',
        Piece::Planted { out: true } => '/',
    }
}

fn unicode(upper: Piece, lower: Piece) -> char {
    match (upper, lower) {
        (Piece::Bare, Piece::Bare) => ' ',
        (Piece::Planted { .. }, Piece::Bare) => '\u{2580}',
        (Piece::Bare, Piece::Planted { .. }) => '\u{2584}',
        (Piece::Planted { out }, Piece::Planted { .. }) if out => '\u{2571}',
        (Piece::Planted { .. }, Piece::Planted { .. }) => '\u{2588}',
    }
}

/// The field on paper, the start line on the left and the way out to the right, to one scale both ways.
#[must_use]
pub(super) fn paper(field: &RehearsedField) -> Pen {
    let mut pen = Pen::default();
    let (_, wide) = field.size;
    let scale = scale(field);
    let x = |along: f64| ARROWS + along * scale;
    let (top, bottom) = (4.0, 4.0 + wide * scale);
    let low = is_low(field);
    for mark in &field.marks {
        // Marks across low plots would be taken for plots: a tick below serves.
        let from = if low { bottom + 1.0 } else { top - 3.0 };
        pen.line((x(*mark), from), (x(*mark), bottom + 3.0), Stroke::Thin);
    }
    for plot in &field.plots {
        let from = (x(plot.near), top + plot.left * scale);
        let high = (field.plot_width * scale - 0.6).max(0.6);
        let long = ((plot.far - plot.near) * scale).max(0.6);
        pen.drawn.tags("\n<rect");
        let sizes = [("x", from.0), ("y", from.1 + 0.3), ("width", long), ("height", high)];
        for (name, number) in sizes {
            let hundredths = (number * 100.0).round() / 100.0;
            pen.drawn.tags(" ").tags(name).tags("=\"").text(hundredths).tags("\"");
        }
        let fill = match (plot.out, low) {
            (true, true) => "black",
            (true, false) => "white",
            (false, true) => "#cccccc",
            (false, false) => "#dddddd",
        };
        let outline = if low { "none" } else { "black" };
        pen.drawn.tags(" fill=\"").text(fill).tags("\" stroke=\"").text(outline);
        pen.drawn.tags("\" stroke-width=\"0.4\"/>");
        if plot.out && !low {
            hatch(&mut pen, (from.0, from.1 + 0.3), (long, high));
        }
    }
    for (middle, goes_out) in &field.passes {
        let y = top + middle * scale;
        let half = (field.plot_width * scale * 0.35).clamp(1.0, 4.0);
        let (tail, tip) = if *goes_out { (2.0, 2.0 + 2.0 * half) } else { (2.0 + 2.0 * half, 2.0) };
        pen.shape(&[(tail, y - half), (tail, y + half), (tip, y)], "black");
    }
    pen.y = bottom + 6.0;
    // A sentence a line, so that none runs over the edge.
    for line in words_on_paper(field).iter().flat_map(|line| line.split_inclusive(". ")) {
        pen.y += LINE;
        pen.text((0.0, pen.y - 4.0), "start", line.trim_end());
    }
    pen
}

/// Lines from below on the left to above on the right over a box, by its upper left corner and size.
fn hatch(pen: &mut Pen, (x, y): (f64, f64), (long, high): (f64, f64)) {
    let mut along = HATCH;
    while along < long + high {
        let low = (x + (along - high).max(0.0), y + along.min(high));
        let up = (x + along.min(long), y + (along - long).max(0.0));
        pen.line(low, up, Stroke::Thin);
        along += HATCH;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two ranges of one column: plots of 20, alleys of 4, the far one out.
    fn field() -> RehearsedField {
        let plot = |range: u32, out| RehearsedPlot {
            range,
            column: 0,
            left: 0.0,
            near: 2.0 + f64::from(range) * 24.0,
            far: 22.0 + f64::from(range) * 24.0,
            out,
        };
        RehearsedField {
            title: "Drawn trial 1 of 1".into(),
            unit: "in",
            enlarged: 5.0,
            plot: 20.0,
            alley: 4.0,
            plot_width: 10.0,
            size: (48.0, 10.0),
            marks: vec![0.0, 24.0, 48.0],
            passes: vec![(5.0, true)],
            grid: (2, 1),
            out: 1,
            plots: vec![plot(0, false), plot(1, true)],
        }
    }

    /// Twelve lines a range: 2 in a line, of which the first and the last are half an alley each.
    #[test]
    fn plots_out_of_limit_are_hatched_where_they_lie() {
        let text = terminal(&field(), Style { ascii: true, colour: false });
        let column: Vec<&str> = text
            .lines()
            .filter_map(|line| line.get(9..).filter(|_| !line.starts_with("  s")))
            .collect();
        let picture: Vec<&str> = column.into_iter().filter(|line| line.len() == 6).collect();
        let of = |sign: char| picture.iter().filter(|line| line.starts_with(sign)).count();
        assert_eq!([of('/'), of('#'), of('.')], [10, 10, 4], "{text}");
        assert!(text.contains("1 of 2 plots out of limit, hatched"), "{text}");
        assert!(text.contains("5 times as large"), "{text}");
    }
}
