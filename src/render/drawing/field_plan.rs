//! The plan of a field for the terminal: plots by their numbers, as they lie.

use std::fmt::Write as _;

use crate::calculations::stakes::{Heading, Layout, Side};

use crate::render::{Style, WIDTH};

/// Ranges that are drawn at either end of a long field.
const MOST_RANGES: usize = 12;
/// Room for the names of the lines.
const LABEL: usize = 8;

/// What a line of the plan is about.
#[derive(Clone, Copy)]
enum Shown {
    /// A range or a column of plots, by its place from the start line or from the left.
    One(usize),
    /// Those that are left out.
    Gap,
}

/// The plan: the far end on top, as it looks from the start line.
#[must_use]
pub(super) fn terminal(layout: &Layout, style: Style) -> String {
    let plots = numbers(layout);
    let grid = &layout.grid;
    let (ranges, columns) = (grid.ranges as usize, plots.first().map_or(0, Vec::len));
    let widest = plots.iter().flatten().max().map_or(1, |number| number.to_string().len());
    let cell = widest + 1;
    let border = grid.border_passes > 0;
    let room = (WIDTH - LABEL - if border { 2 * cell } else { 0 }) / cell;
    let columns = abridged(columns, room);
    let ranges = abridged(ranges, MOST_RANGES);
    let mut out = String::new();
    let line = |label: &str, middle: &dyn Fn(usize) -> String, side: &str| {
        let mut text = format!("  {label:>width$}", width = LABEL - 2);
        let mut add = |word: &str| {
            let _ = write!(text, "{word:>cell$}");
        };
        if border {
            add(side);
        }
        for column in &columns {
            match column {
                Shown::One(column) => add(&middle(*column)),
                Shown::Gap => add(&"...".chars().take(widest).collect::<String>()),
            }
        }
        if border {
            add(side);
        }
        format!("{}\n", text.trim_end())
    };
    let mark = "#".repeat(widest);
    let _ = writeln!(out, "  far end");
    if grid.border_ranges > 0 {
        out += &line("border", &|_| mark.clone(), &mark);
    }
    for range in ranges.iter().rev() {
        out += &match range {
            Shown::One(range) => {
                let number = |column: usize| plots[*range][column].to_string();
                line(&format!("r {}", range + 1), &number, &mark)
            }
            Shown::Gap => line("...", &|_| String::new(), ""),
        };
    }
    if grid.border_ranges > 0 {
        out += &line("border", &|_| mark.clone(), &mark);
    }
    out += &line("travel", &|column| arrow(layout, column, style), "");
    let first = match layout.numbering.first_pass {
        Side::Left => "left",
        Side::Right => "right",
    };
    let _ = writeln!(
        out,
        "  start line; pass 1 on the {first}; {} out, {} home; r: range{}",
        glyph(Heading::Out, style),
        glyph(Heading::Home, style),
        if border || grid.border_ranges > 0 { "; #: border" } else { "" }
    );
    out
}

/// The numbers of the plots, by range and then from left to right.
fn numbers(layout: &Layout) -> Vec<Vec<u32>> {
    let mut by_range: Vec<Vec<(f64, u32)>> = vec![vec![]; layout.grid.ranges as usize];
    for plot in layout.plots() {
        if let Some(range) = by_range.get_mut(plot.range as usize - 1) {
            range.push((plot.left, plot.number));
        }
    }
    let sorted = by_range.into_iter().map(|mut range| {
        range.sort_by(|a, b| a.0.total_cmp(&b.0));
        range.into_iter().map(|(_, number)| number).collect()
    });
    sorted.collect()
}

/// Which of so many are shown where there is room for so few: both ends.
fn abridged(count: usize, room: usize) -> Vec<Shown> {
    let all = 0..count;
    if count <= room {
        return all.map(Shown::One).collect();
    }
    let shown = room.saturating_sub(1);
    let start = shown.div_ceil(2);
    let end = count - (shown - start);
    let first = all.clone().take(start).map(Shown::One);
    first.chain([Shown::Gap]).chain(all.skip(end).map(Shown::One)).collect()
}

/// The heading of the pass that a column of plots, counted from the left, belongs to.
fn arrow(layout: &Layout, column: usize, style: Style) -> String {
    let from_left = column / layout.grid.abreast as usize;
    let passes = layout.grid.passes;
    let from_left = u32::try_from(from_left).unwrap_or(0);
    let pass = match layout.numbering.first_pass {
        Side::Left => from_left + 1,
        Side::Right => passes - from_left,
    };
    glyph(layout.heading(pass), style).into()
}

fn glyph(heading: Heading, style: Style) -> &'static str {
    match (heading, style.ascii) {
        (Heading::Out, true) => "^",
        (Heading::Home, true) => "v",
        (Heading::Out, false) => "\u{2191}",
        (Heading::Home, false) => "\u{2193}",
    }
}
