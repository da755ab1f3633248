//! What a picture says, in words, for those who can't see it: the numbers that stand in it.

use crate::quantity::{brief, round_half_away};

use super::rehearsed;
use super::scene::{BarChart, Graph, Row, Scene, Strips};
use super::view::View;

/// The numbers of a picture.
pub(super) fn words(scene: &Scene) -> String {
    match scene {
        Scene::Strips(picture) => strips(picture),
        Scene::Bars(picture) => bars(picture),
        Scene::Graph(picture) => graph(picture),
        Scene::Field(view) => field(view),
        Scene::Rehearsed(picture) => rehearsed::words_on_paper(picture).join(" "),
        Scene::Histogram(picture) => {
            let counted = picture.classes.iter().filter(|class| class.count > 0);
            let class = counted.map(|class| {
                let (from, to) = (round_half_away(class.from, 2), round_half_away(class.to, 2));
                format!("{from} to {to}: {}", class.count)
            });
            joined(class, "; ")
        }
        Scene::Cut(_) => String::new(),
    }
}

fn joined(parts: impl Iterator<Item = String>, between: &str) -> String {
    parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(between)
}

fn strips(picture: &Strips) -> String {
    let row = |row: &Row| {
        let figures = joined(row.figures.iter().map(|(_, text)| text.clone()), ", ");
        let said = joined([figures, row.note.clone()].into_iter(), ", ");
        joined([row.label.clone(), said].into_iter(), ": ")
    };
    let rows = joined(picture.rows.iter().map(row), "; ");
    let ends = picture.ends.as_ref().map(|(low, high)| format!("from {low} to {high}"));
    joined([rows].into_iter().chain(ends).chain(picture.note.clone()), "; ")
}

fn bars(chart: &BarChart) -> String {
    joined(chart.rows.iter().map(|(label, _, text)| format!("{label} {text}")), "; ")
}

fn graph(graph: &Graph) -> String {
    let point = |across: f64, up: f64| format!("{}: {}", brief(across), brief(up));
    let points = graph.points.iter().map(|one| point(one.across, one.up));
    let all = joined(points, ", ");
    format!("{} by {}: {all}", graph.up_name, graph.across_name)
}

fn field(view: &View) -> String {
    let grid = view.layout.grid;
    let of = match view.part {
        Some(part) => format!("Sheet {} of {}. ", part.number, view.parts.len()),
        None => String::new(),
    };
    let (length, width) = view.layout.size();
    let metres = |length| round_half_away(view.layout.metres(length), 2);
    format!(
        "{of}{} ranges and {} passes, {} plots; {} border ranges and {} border passes at either side; \
         {} m long and {} m wide",
        grid.ranges,
        grid.passes,
        grid.plots(),
        grid.border_ranges,
        grid.border_passes,
        metres(length),
        metres(width)
    )
}
