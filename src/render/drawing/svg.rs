//! Pictures as SVG for paper: plain black ink, legible without colour, figures of 12 points.

use unicode_width::UnicodeWidthStr;

use crate::calculations::stakes::{Heading, Layout};
use crate::outcome::{Histogram, Travel};
use crate::quantity::round_half_away;
use crate::render::harmless;
use crate::render::markup::Markup;

use super::pen::{Number, Pen, Stroke};
use super::rehearsed;
use super::{Axis, BarChart, Graph, Kind, Row, Scene, Shape, Strips};

/// Width of every picture, in points: it fits between the margins of Letter and A4.
const WIDTH: f64 = 490.0;
/// Size of figures, in points.
const TEXT: f64 = 12.0;
/// A line of figures, in points.
const LINE: f64 = 16.0;
/// Height of a strip, in points.
const STRIP: f64 = 20.0;
/// Room at both ends of a strip, for figures that stand at its very end.
const MARGIN: f64 = 12.0;

/// The geometry of a picture as an `svg` element.
pub(crate) fn scene(scene: &Scene) -> Markup {
    let (title, pen) = match scene {
        Scene::Strips(picture) => (picture.title.as_str(), strips(picture)),
        Scene::Bars(picture) => (picture.title.as_str(), bars(picture)),
        Scene::Graph(picture) => (picture.title.as_str(), graph(picture)),
        Scene::Field(layout) => ("The field from above, with its plots and marks", field(layout)),
        Scene::Histogram(picture) => (picture.title.as_str(), histogram(picture)),
        Scene::Rehearsed(picture) => (picture.title.as_str(), rehearsed::paper(picture)),
    };
    let (width, height) = (Number(WIDTH), Number(pen.y.ceil()));
    let mut picture = Markup::default();
    picture.tags("<svg role=\"img\" aria-label=\"").text(harmless(title));
    picture.tags("\" width=\"").text(width).tags("pt\" height=\"").text(height);
    picture.tags("pt\" viewBox=\"0 0 ").text(width).tags(" ").text(height);
    picture.tags("\" xmlns=\"http://www.w3.org/2000/svg\">").append(&pen.drawn);
    picture.tags("\n</svg>");
    picture
}

impl Pen {
    /// An arrow along the travel, in a box of its own.
    fn arrow(&mut self, travel: Travel, from: f64, to: f64, y: f64) {
        let (tail, head, back) = match travel {
            Travel::Rightward => (from, to, -7.0),
            Travel::Leftward => (to, from, 7.0),
        };
        self.line((tail, y), (head + back / 2.0, y), Stroke::Plain);
        self.shape(&[(head, y), (head + back, y - 4.0), (head + back, y + 4.0)], "black");
    }

    /// Planted ground: rows of short strokes, as seed stands, within a frame.
    fn planted(&mut self, from: f64, to: f64, top: f64, bottom: f64) {
        const APART: f64 = 4.0;
        self.boxed((from, top), (to, bottom), "white");
        let mut x = (from / APART).ceil() * APART;
        while x < to {
            self.line((x, top), (x, bottom), Stroke::Thin);
            x += APART;
        }
    }

    /// A sign at its place on a strip.
    fn sign(&mut self, kind: Kind, x: f64, top: f64, bottom: f64) {
        let y = f64::midpoint(top, bottom);
        match kind {
            Kind::Planted => self.planted(x - 8.0, x + 8.0, top + 3.0, bottom - 3.0),
            Kind::Alley => self.line((x - 8.0, y), (x + 8.0, y), Stroke::Thin),
            Kind::Mark => {
                self.line((x, top - 3.0), (x, bottom + 3.0), Stroke::Thick);
            }
            Kind::Centre => self.diamond(x, y, "white"),
            Kind::Both => {
                self.sign(Kind::Mark, x, top, bottom);
                self.diamond(x, y, "white");
            }
            Kind::Pointer => {
                self.shape(
                    &[(x, top + 2.0), (x - 5.0, top + 12.0), (x + 5.0, top + 12.0)],
                    "black",
                );
            }
            Kind::Seed | Kind::Old => self.dot((x, y), 3.0, "black"),
            Kind::New => self.dot((x, y), 3.0, "white"),
            Kind::Swept | Kind::Several => {
                self.line((x - 3.0, y - 3.0), (x + 3.0, y + 3.0), Stroke::Plain);
                self.line((x - 3.0, y + 3.0), (x + 3.0, y - 3.0), Stroke::Plain);
            }
            Kind::LimitLow => self.bracket(x, top, bottom, 5.0),
            Kind::LimitHigh => self.bracket(x, top, bottom, -5.0),
            Kind::Zero => self.line((x, top), (x, bottom), Stroke::Plain),
            Kind::Interval => {
                self.line((x - 9.0, y), (x + 9.0, y), Stroke::Thick);
                self.diamond(x, y, "white");
            }
        }
    }

    /// A tape with its ends.
    fn tape(&mut self, from: f64, to: f64, y: f64) {
        for (end, back) in [(from, 6.0), (to, -6.0)] {
            self.line((end, y - 7.0), (end, y + 7.0), Stroke::Plain);
            if to - from > 14.0 {
                self.shape(&[(end, y), (end + back, y - 3.0), (end + back, y + 3.0)], "black");
            }
        }
        self.line((from, y), (to, y), Stroke::Plain);
    }

    fn diamond(&mut self, x: f64, y: f64, fill: &'static str) {
        self.shape(&[(x, y - 6.0), (x + 6.0, y), (x, y + 6.0), (x - 6.0, y)], fill);
    }

    fn bracket(&mut self, x: f64, top: f64, bottom: f64, foot: f64) {
        self.line((x, top), (x, bottom), Stroke::Plain);
        self.line((x, top), (x + foot, top), Stroke::Plain);
        self.line((x, bottom), (x + foot, bottom), Stroke::Plain);
    }

    /// Figures under their places, or as near as those before allow.
    fn figures(&mut self, figures: &[(f64, &str)], right: f64) {
        let mut free = f64::NEG_INFINITY;
        for (x, text) in figures {
            let half = room(text) / 2.0;
            let middle = x.min(right - half).max(free + half);
            self.text((middle, self.y + TEXT), "middle", text);
            free = middle + half + 5.0;
        }
        self.y += LINE;
    }

    /// Signs with what they mean, from left to right, in as many lines as it takes.
    fn key(&mut self, kinds: &[Kind]) {
        let mut x = 0.0;
        for kind in kinds.iter().filter(|kind| **kind != Kind::Several) {
            let needed = 26.0 + room(kind.words()) + 14.0;
            if x + needed > WIDTH && x > 0.0 {
                x = 0.0;
                self.y += LINE + 2.0;
            }
            let (top, bottom) = (self.y + 1.0, self.y + LINE - 2.0);
            if *kind == Kind::LimitLow {
                self.sign(Kind::LimitLow, x + 4.0, top, bottom);
                self.sign(Kind::LimitHigh, x + 18.0, top, bottom);
            } else {
                self.sign(*kind, x + 11.0, top, bottom);
            }
            self.text((x + 26.0, self.y + TEXT), "start", kind.words());
            x += needed;
        }
        self.y += LINE + 2.0;
    }
}

/// Points that a text takes, by the widest letters of its kind.
#[allow(clippy::cast_precision_loss)] // a few hundred columns
fn room(text: &str) -> f64 {
    text.width() as f64 * TEXT * 0.56
}

fn strips(picture: &Strips) -> Pen {
    let labelled = picture.rows.iter().map(|row| room(&row.label)).fold(0.0, f64::max);
    let travels = picture.rows.iter().any(|row| row.travel.is_some());
    let noted = picture.rows.iter().any(|row| !row.note.is_empty());
    let mut left = if labelled > 0.0 { labelled + 10.0 } else { 0.0 };
    left += if travels { 36.0 } else { 0.0 };
    // A note that says more than a number stands in a line of its own.
    let right = WIDTH - if noted { 52.0 } else { MARGIN };
    let left = left + MARGIN;
    let x = |at: f64| left + picture.axis.share(at) * (right - left);
    let mut pen = Pen::default();
    for row in &picture.rows {
        strip(&mut pen, row, picture.axis, &x, (left, right), travels);
    }
    if let Some((low, high)) = &picture.ends {
        pen.text((0.0, pen.y + TEXT), "start", low);
        pen.text((WIDTH, pen.y + TEXT), "end", high);
        pen.y += LINE + 4.0;
    }
    pen.y += 4.0;
    for line in &picture.key {
        pen.key(line);
    }
    if let Some(note) = &picture.note {
        pen.text((0.0, pen.y + TEXT), "start", note);
        pen.y += LINE + 2.0;
    }
    pen
}

fn strip(
    pen: &mut Pen,
    row: &Row,
    axis: Axis,
    x: &dyn Fn(f64) -> f64,
    (left, right): (f64, f64),
    travels: bool,
) {
    let (top, bottom) = (pen.y + 5.0, pen.y + 5.0 + STRIP);
    let middle = f64::midpoint(top, bottom);
    pen.text((0.0, middle + 4.0), "start", &row.label);
    if let (true, Some(travel)) = (travels, row.travel) {
        pen.arrow(travel, left - MARGIN - 32.0, left - MARGIN - 4.0, middle);
    }
    for shape in &row.shapes {
        match *shape {
            Shape::Bare => pen.line((left, middle), (right, middle), Stroke::Thin),
            Shape::Planted { from, to } => {
                pen.planted(from.map_or(left, x), to.map_or(right, x), top + 2.0, bottom - 2.0);
            }
            Shape::Span { from, to } if to > from && to >= axis.from && from <= axis.to => {
                pen.boxed((x(from), middle - 3.0), (x(to), middle + 3.0), "black");
                if from < axis.from {
                    pen.shape(
                        &[(left - 8.0, middle), (left, middle - 5.0), (left, middle + 5.0)],
                        "black",
                    );
                }
            }
            Shape::Span { .. } => {}
            Shape::Tape { from, to } => pen.tape(x(from.min(to)), x(from.max(to)), middle),
            Shape::Point(kind, at) => pen.sign(kind, x(at), top, bottom),
        }
    }
    pen.y = bottom;
    let short = row.note.split_once(", ").map_or(row.note.as_str(), |(short, _)| short);
    pen.text((right + 6.0, middle + 4.0), "start", short);
    if let Some((_, more)) = row.note.split_once(", ") {
        pen.text((left, middle + 4.0), "start", more);
    }
    if !row.figures.is_empty() {
        pen.y += 2.0;
        let figures: Vec<(f64, &str)> =
            row.figures.iter().map(|(at, text)| (x(*at), text.as_str())).collect();
        pen.figures(&figures, WIDTH);
    }
}

fn bars(chart: &BarChart) -> Pen {
    let labelled = chart.rows.iter().map(|(label, ..)| room(label)).fold(0.0, f64::max);
    let figures = chart.rows.iter().map(|(.., text)| room(text)).fold(0.0, f64::max);
    let (left, right) = (labelled + 8.0, WIDTH - figures - 8.0);
    let x = |at: f64| left + chart.axis.share(at) * (right - left);
    let mut pen = Pen::default();
    pen.text((0.0, TEXT), "start", &chart.title);
    pen.y = LINE + 4.0;
    let top = pen.y;
    for (label, number, text) in &chart.rows {
        pen.text((labelled, pen.y + TEXT), "end", label);
        pen.boxed((left, pen.y + 3.0), (x(*number), pen.y + 13.0), "#bbb");
        pen.text((right + 8.0, pen.y + TEXT), "start", text);
        pen.y += LINE + 1.0;
    }
    pen.line((left, top), (left, pen.y), Stroke::Plain);
    pen.line((x(chart.limit), top - 2.0), (x(chart.limit), pen.y + 2.0), Stroke::Thick);
    pen.y += 6.0;
    pen
}

fn graph(graph: &Graph) -> Pen {
    const HEIGHT: f64 = 190.0;
    let (left, right) = (44.0, WIDTH - MARGIN);
    let mut pen = Pen::default();
    pen.text((0.0, TEXT), "start", &format!("{}: {}", graph.title, graph.up_name));
    let top = LINE + 8.0;
    let bottom = top + HEIGHT;
    let x = |at: f64| left + 10.0 + graph.across.share(at) * (right - left - 20.0);
    let y = |at: f64| bottom - graph.up.share(at) * HEIGHT;
    let banded: Vec<(f64, (f64, f64))> =
        graph.points.iter().filter_map(|p| Some((x(p.across), p.band?))).collect();
    if banded.len() > 1 {
        let upper = banded.iter().map(|(at, (_, high))| (*at, y(*high)));
        let lower = banded.iter().rev().map(|(at, (low, _))| (*at, y(*low)));
        pen.shape(&upper.chain(lower).collect::<Vec<_>>(), "#ddd");
    }
    for tick in &graph.up_ticks {
        pen.line((left, y(tick.at)), (right, y(tick.at)), Stroke::Thin);
        pen.text((left - 5.0, y(tick.at) + 4.0), "end", &tick.text);
    }
    pen.line((left, top), (left, bottom), Stroke::Plain);
    pen.line((left, bottom), (right, bottom), Stroke::Plain);
    for pair in graph.points.windows(2) {
        let at = |p: &super::scene::GraphPoint| (x(p.across), y(p.up));
        pen.line(at(&pair[0]), at(&pair[1]), Stroke::Dashed);
    }
    for point in &graph.points {
        pen.dot((x(point.across), y(point.up)), 3.5, "black");
    }
    for tick in &graph.across_ticks {
        pen.line((x(tick.at), bottom), (x(tick.at), bottom + 4.0), Stroke::Plain);
    }
    pen.y = bottom + 5.0;
    let ticks: Vec<(f64, &str)> =
        graph.across_ticks.iter().map(|tick| (x(tick.at), tick.text.as_str())).collect();
    pen.figures(&ticks, WIDTH);
    pen.text((f64::midpoint(left, right), pen.y + TEXT), "middle", &graph.across_name);
    pen.y += LINE + 4.0;
    pen.dot((8.0, pen.y + 8.0), 3.5, "black");
    pen.text((18.0, pen.y + TEXT), "start", "of the table");
    pen.boxed((110.0, pen.y + 2.0), (126.0, pen.y + 13.0), "#ddd");
    pen.text((132.0, pen.y + TEXT), "start", &graph.key);
    pen.y += LINE + 4.0;
    pen
}

/// The field, its far end on top: both ways to scale, though not to the same one.
fn field(layout: &Layout) -> Pen {
    /// Room for the names of ranges on the left and of marks on the right, in points.
    const LABEL: f64 = 46.0;
    const LEAST: f64 = 240.0;
    const MOST: f64 = 600.0;
    /// Plots beyond which a page holds none of them to be told apart.
    const MOST_PLOTS: u64 = 3000;
    let (length, width) = layout.size();
    let (left, right) = (LABEL, WIDTH - LABEL);
    let height = (f64::from(layout.grid.tiers()) * 26.0 + 60.0).clamp(LEAST, MOST);
    let (across, along) = (Axis { from: 0.0, to: width }, Axis { from: 0.0, to: length });
    let x = |at: f64| left + across.share(at) * (right - left);
    let mut pen = Pen::default();
    pen.text((f64::midpoint(left, right), TEXT), "middle", "far edge");
    let top = LINE + 2.0;
    let y = |at: f64| top + (1.0 - along.share(at)) * height;
    pen.boxed((left, top), (right, y(0.0)), "white");
    for mark in layout.marks() {
        pen.line((left, y(mark.at)), (right + 4.0, y(mark.at)), Stroke::Dashed);
    }
    if layout.grid.plots() <= MOST_PLOTS {
        for plot in layout.plots() {
            pen.boxed((x(plot.left), y(plot.far)), (x(plot.right), y(plot.near)), "white");
            let number = plot.number.to_string();
            let fits = room(&number) <= x(plot.right) - x(plot.left);
            if fits && y(plot.near) - y(plot.far) >= TEXT {
                let middle = f64::midpoint(y(plot.near), y(plot.far));
                let at = (f64::midpoint(x(plot.left), x(plot.right)), middle + TEXT / 3.0);
                pen.text(at, "middle", &number);
            }
        }
    }
    names(&mut pen, layout, &y, (left, right));
    headings(&mut pen, layout, &x, y(0.0));
    pen
}

/// Names of ranges on the left and of marks on the right, as many as there is room for.
fn names(pen: &mut Pen, layout: &Layout, y: &dyn Fn(f64) -> f64, (left, right): (f64, f64)) {
    let mut free = f64::INFINITY;
    for (range, middle) in layout.middles_of_ranges() {
        let at = y(middle) + TEXT / 3.0;
        if at <= free {
            pen.text((left - 6.0, at), "end", &format!("r {range}"));
            free = at - LINE;
        }
    }
    free = f64::INFINITY;
    for mark in layout.marks() {
        let at = y(mark.at) + TEXT / 3.0;
        if at <= free {
            pen.text((right + 8.0, at), "start", &format!("m {}", mark.number));
            free = at - LINE;
        }
    }
}

/// An arrowhead under every pass, the way it goes, and what the signs mean.
fn headings(pen: &mut Pen, layout: &Layout, x: &dyn Fn(f64) -> f64, bottom: f64) {
    const HALF: f64 = 4.0;
    for (pass, middle) in layout.middles_of_passes() {
        let (tip, base) = match layout.heading(pass) {
            Heading::Out => (bottom + 4.0, bottom + 14.0),
            Heading::Home => (bottom + 14.0, bottom + 4.0),
        };
        let at = x(middle);
        pen.shape(&[(at, tip), (at - HALF, base), (at + HALF, base)], "black");
    }
    pen.y = bottom + 18.0;
    let words = "start line; arrows: travel of each pass; r: range; m: mark (dashed)";
    pen.text((WIDTH / 2.0, pen.y + TEXT), "middle", words);
    pen.y += LINE + 4.0;
}

/// Counts as columns, class by class; a thick line at every limit.
#[allow(clippy::cast_precision_loss)] // counts of gaps
fn histogram(picture: &Histogram) -> Pen {
    const HEIGHT: f64 = 150.0;
    let (left, right) = (34.0, WIDTH - MARGIN);
    let reach = |at: f64| picture.limits.iter().map(|limit| limit.at).fold(at, f64::max);
    let end = reach(picture.classes.last().map_or(1.0, |class| class.to));
    let axis = Axis { from: 0.0, to: end };
    let most = picture.classes.iter().map(|class| class.count).max().unwrap_or(0).max(1);
    let x = |at: f64| left + axis.share(at) * (right - left);
    let mut pen = Pen::default();
    pen.text((0.0, TEXT), "start", &picture.title);
    let top = LINE + 8.0;
    let bottom = top + HEIGHT;
    let y = |count: usize| bottom - count as f64 / most as f64 * HEIGHT;
    for class in picture.classes.iter().filter(|class| class.count > 0) {
        pen.boxed((x(class.from), y(class.count)), (x(class.to), bottom), "#bbb");
    }
    pen.line((left, top), (left, bottom), Stroke::Plain);
    pen.line((left, bottom), (right, bottom), Stroke::Plain);
    pen.text((left - 5.0, top + 8.0), "end", &most.to_string());
    pen.text((left - 5.0, bottom), "end", "0");
    for limit in &picture.limits {
        pen.line((x(limit.at), top), (x(limit.at), bottom + 4.0), Stroke::Thick);
    }
    let halves: Vec<f64> =
        (0..=100).map(|half| f64::from(half) / 2.0).take_while(|at| *at <= end + 1e-9).collect();
    for at in &halves {
        pen.line((x(*at), bottom), (x(*at), bottom + 4.0), Stroke::Plain);
    }
    pen.y = bottom + 5.0;
    let texts: Vec<String> = halves.iter().map(|at| round_half_away(*at, 1)).collect();
    let figures: Vec<(f64, &str)> =
        halves.iter().zip(&texts).map(|(at, text)| (x(*at), text.as_str())).collect();
    pen.figures(&figures, WIDTH);
    pen.text((f64::midpoint(left, right), pen.y + TEXT), "middle", &picture.unit);
    pen.y += LINE + 2.0;
    for limit in &picture.limits {
        let words = format!("{}: {}", round_half_away(limit.at, 1), limit.label);
        pen.text((0.0, pen.y + TEXT), "start", &words);
        pen.y += LINE;
    }
    pen.y += 4.0;
    pen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_label_holds_is_text_and_never_markup() {
        let row = Row { label: "</svg><script>\u{1b}".into(), ..Row::default() };
        let picture = Scene::Strips(Strips {
            title: "a \"quoted\" title".into(),
            axis: Axis { from: 0.0, to: 1.0 },
            rows: vec![row],
            key: vec![],
            note: None,
            ends: None,
        });
        let drawn = scene(&picture).into_string();
        assert_eq!(drawn.matches("<").count(), drawn.matches(">").count());
        assert!(!drawn.contains("<script") && !drawn.contains('\u{1b}'), "{drawn}");
        assert!(!drawn.contains("\"quoted\""), "{drawn}");
    }

    #[test]
    fn columns_of_a_histogram_stand_as_high_as_they_count() {
        use crate::outcome::{Class, Limit};
        let class = |from: f64, count| Class { from, to: from + 0.5, count };
        let picture = Histogram {
            title: "gaps".into(),
            unit: "Xref".into(),
            classes: vec![class(0.0, 3), class(0.5, 0), class(1.0, 6)],
            limits: vec![Limit { at: 0.5, label: "limit" }],
        };
        let drawn = scene(&Scene::Histogram(picture)).into_string();
        // 6 is the whole height of 150 points, 3 half of it; an empty class has no column.
        let heights: Vec<&str> =
            drawn.split("height=\"").skip(2).filter_map(|rest| rest.split('"').next()).collect();
        assert_eq!(heights, ["75", "150"], "{drawn}");
        assert!(drawn.contains("0.5: limit") && drawn.contains("Xref"), "{drawn}");
    }
}
