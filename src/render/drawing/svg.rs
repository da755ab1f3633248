//! Pictures as SVG for paper: plain black ink, legible without colour, figures of 12 points.

use crate::outcome::Histogram;
use crate::quantity::round_half_away;
use crate::render::harmless;
use crate::render::markup::Markup;

use super::field::field;
use super::pen::{LINE, MARGIN, Number, Pen, STRIP, Stroke, TEXT, WIDTH, room};
use super::rehearsed;
use super::{Axis, BarChart, Graph, Row, Scene, Shape, Strips};

/// The geometry of a picture as an `svg` element.
pub(crate) fn scene(scene: &Scene) -> Markup {
    let (title, pen) = match scene {
        Scene::Strips(picture) => (picture.title.as_str(), strips(picture)),
        Scene::Bars(picture) => (picture.title.as_str(), bars(picture)),
        Scene::Graph(picture) => (picture.title.as_str(), graph(picture)),
        Scene::Field(view) => ("The field from above, with its plots and marks", field(view)),
        Scene::Histogram(picture) => (picture.title.as_str(), histogram(picture)),
        Scene::Rehearsed(picture) => (picture.title.as_str(), rehearsed::paper(picture)),
        Scene::Cut(title) => (title.as_str(), cut()),
    };
    let (width, height) = (Number(WIDTH), Number(pen.y.ceil()));
    let mut picture = Markup::default();
    let words = super::words::words(scene);
    let stop = if words.is_empty() { "" } else { ". " };
    picture.tags("<svg role=\"img\" aria-label=\"");
    picture.text(harmless(&[title, stop, words.as_str()].concat()));
    picture.tags("\" width=\"").text(width).tags("pt\" height=\"").text(height);
    picture.tags("pt\" viewBox=\"0 0 ").text(width).tags(" ").text(height);
    picture.tags("\" xmlns=\"http://www.w3.org/2000/svg\">").append(&pen.drawn);
    picture.tags("\n</svg>");
    picture
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

/// Ground cut through: surface on top, a seed at its depth, the tape held upright beside it.
fn cut() -> Pen {
    const TOP: f64 = 24.0;
    const SEED: f64 = 86.0;
    const BOTTOM: f64 = 104.0;
    let (left, right) = (60.0, 330.0);
    let (seed, tape) = (200.0, 236.0);
    let mut pen = Pen::default();
    pen.text((left, TEXT), "start", "surface, pressed flat");
    pen.line((left, TOP), (right, TOP), Stroke::Thick);
    // Soil, as short strokes below the surface.
    let mut x = left + 6.0;
    while x < right {
        pen.line((x, TOP + 3.0), (x - 6.0, TOP + 10.0), Stroke::Thin);
        x += 12.0;
    }
    pen.dot((seed, SEED), 6.0, "black");
    pen.text((seed - 12.0, SEED + 4.0), "end", "seed");
    pen.line((seed + 8.0, SEED), (tape + 8.0, SEED), Stroke::Dashed);
    pen.line((tape, TOP), (tape, SEED), Stroke::Plain);
    pen.shape(&[(tape, TOP), (tape - 4.0, TOP + 8.0), (tape + 4.0, TOP + 8.0)], "black");
    pen.shape(&[(tape, SEED), (tape - 4.0, SEED - 8.0), (tape + 4.0, SEED - 8.0)], "black");
    pen.text((tape + 10.0, f64::midpoint(TOP, SEED) + 4.0), "start", "depth");
    pen.y = BOTTOM;
    pen
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
