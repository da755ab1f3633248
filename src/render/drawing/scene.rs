//! What a picture shows, as places on an axis with labels: drawn alike on a screen and on paper.

use crate::outcome::Fate;
use crate::outcome::{
    Bars, ChangeoverPicture, Curve, Ground, Histogram, Judgement, Lane, MarkKind, Picture,
    RehearsedField, Travel,
};
use crate::quantity::{brief, round_half_away};

use super::view::View;

/// A picture as geometry.
#[derive(Clone, Debug)]
pub enum Scene {
    /// Strips one under the other on one axis.
    Strips(Strips),
    /// Numbers as bars.
    Bars(BarChart),
    /// A curve over two axes.
    Graph(Graph),
    /// A field from above, whole or a part of it; the layout is the geometry.
    Field(View),
    /// Counts in classes; the picture is geometry by itself.
    Histogram(Histogram),
    /// A field as it came out in one drawn trial; the picture is geometry by itself.
    Rehearsed(Box<RehearsedField>),
    /// Ground cut through along the row, upright: the surface, a seed under it, and the tape that is
    /// held from the one down to the other; under a title.
    Cut(String),
}

/// From where to where an axis goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Left end, or lower end.
    pub from: f64,
    /// Right end, or upper end.
    pub to: f64,
}

impl Axis {
    /// Where a place lies on the axis: 0 at its start, 1 at its end, no further.
    #[must_use]
    pub fn share(&self, at: f64) -> f64 {
        ((at - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }
}

/// Strips one under the other on one axis.
#[derive(Clone, Debug)]
pub struct Strips {
    /// What the picture shows, for those who can't see it.
    pub title: String,
    /// The axis of all strips.
    pub axis: Axis,
    /// Top to bottom.
    pub rows: Vec<Row>,
    /// What the signs mean, line by line.
    pub key: Vec<Vec<Kind>>,
    /// A line under the key.
    pub note: Option<String>,
    /// Figures at both ends of the strips.
    pub ends: Option<(String, String)>,
}

/// One strip.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// What the strip is.
    pub label: String,
    /// Direction of travel over it, where it has one.
    pub travel: Option<Travel>,
    /// What lies on it, painted one after the other.
    pub shapes: Vec<Shape>,
    /// Figures under it, from left to right.
    pub figures: Vec<(f64, String)>,
    /// A note behind it.
    pub note: String,
}

/// Something on a strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Bare ground, or an empty scale, over the whole strip.
    Bare,
    /// Planted ground; an end of `None` runs out of the picture.
    Planted {
        /// Left end.
        from: Option<f64>,
        /// Right end.
        to: Option<f64>,
    },
    /// A stretch.
    Span {
        /// Left end.
        from: f64,
        /// Right end.
        to: f64,
    },
    /// A tape held from one place to the other.
    Tape {
        /// Where it starts.
        from: f64,
        /// Where it ends.
        to: f64,
    },
    /// A sign at one place.
    Point(Kind, f64),
}

/// What a sign stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Planted ground.
    Planted,
    /// The alley.
    Alley,
    /// The mark.
    Mark,
    /// The middle of the alley.
    Centre,
    /// Mark and middle in one place.
    Both,
    /// Where the mark belongs, pointed at from below.
    Pointer,
    /// A seed or a plant, of whatever lot.
    Seed,
    /// A seed of the old lot.
    Old,
    /// A seed of the new lot.
    New,
    /// A seed swept off.
    Swept,
    /// Seeds too close to draw apart.
    Several,
    /// Lower end of a tolerance.
    LimitLow,
    /// Upper end of a tolerance.
    LimitHigh,
    /// Zero.
    Zero,
    /// An interval around what was measured.
    Interval,
}

impl Kind {
    /// What the sign means, for the key under a picture.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Kind::Planted => "planted",
            Kind::Alley => "alley",
            Kind::Mark => "mark",
            Kind::Centre => "middle of the alley",
            Kind::Both => "both",
            Kind::Pointer => "middle of the alley: the mark belongs there",
            Kind::Seed => "seed or plant",
            Kind::Old => "old lot",
            Kind::New => "new lot",
            Kind::Swept => "swept off",
            Kind::Several => "two or more seeds",
            Kind::LimitLow | Kind::LimitHigh => "tolerance",
            Kind::Zero => "zero",
            Kind::Interval => "interval around what was measured",
        }
    }
}

/// Numbers as bars with a line at the limit.
#[derive(Clone, Debug)]
pub struct BarChart {
    /// What the bars show.
    pub title: String,
    /// From nothing to the greatest number.
    pub axis: Axis,
    /// The limit.
    pub limit: f64,
    /// Label, number and number with unit of each bar.
    pub rows: Vec<(String, f64, String)>,
}

/// A curve with its band over two axes.
#[derive(Clone, Debug)]
pub struct Graph {
    /// What the curve shows.
    pub title: String,
    /// Left to right.
    pub across: Axis,
    /// Bottom to top.
    pub up: Axis,
    /// Figures along the bottom.
    pub across_ticks: Vec<Tick>,
    /// Figures along the side.
    pub up_ticks: Vec<Tick>,
    /// What goes along the bottom, with its unit.
    pub across_name: String,
    /// What goes up the side, with its unit.
    pub up_name: String,
    /// Places on the curve, from left to right, with the band around them.
    pub points: Vec<GraphPoint>,
    /// What the signs mean.
    pub key: String,
}

/// A figure on an axis.
#[derive(Clone, Debug)]
pub struct Tick {
    /// Where.
    pub at: f64,
    /// The figure.
    pub text: String,
}

/// A place on a curve.
#[derive(Clone, Copy, Debug)]
pub struct GraphPoint {
    /// Along the bottom.
    pub across: f64,
    /// Up the side.
    pub up: f64,
    /// Low and high end of the band.
    pub band: Option<(f64, f64)>,
}

impl Scene {
    /// The geometry of a picture.
    #[must_use]
    pub fn of(picture: &Picture) -> Scene {
        match picture {
            Picture::Ground(picture) => Scene::Strips(ground(picture)),
            Picture::Changeover(picture) => Scene::Strips(changeover(picture)),
            Picture::Bars(picture) => Scene::Bars(bars(picture)),
            Picture::Curve(picture) => Scene::Graph(curve(picture)),
            Picture::FieldPlan(layout) => Scene::Field(View::whole(layout)),
            Picture::Histogram(picture) => Scene::Histogram(picture.clone()),
            Picture::Rehearsed(picture) => Scene::Rehearsed(picture.clone()),
        }
    }

    /// The interval of an error against the tolerance, zero in the middle; `None` where there is
    /// no interval or no tolerance.
    #[must_use]
    pub fn interval(judgement: &Judgement) -> Option<Scene> {
        let (interval, tolerance) = (judgement.interval.as_ref()?, judgement.tolerance.as_ref()?);
        let (low, high) = (interval.low.number(), interval.high.number());
        let limit = tolerance.number();
        let reach = low.abs().max(high.abs()).max(limit) * 1.15;
        let shapes = vec![
            Shape::Bare,
            Shape::Point(Kind::Zero, 0.0),
            Shape::Span { from: low, to: high },
            Shape::Point(Kind::Centre, judgement.error.number()),
            Shape::Point(Kind::LimitLow, -limit),
            Shape::Point(Kind::LimitHigh, limit),
        ];
        let unit = judgement.error.unit_text();
        let (left, right) = (format!("-{}", brief(reach)), format!("+{} {unit}", brief(reach)));
        Some(Scene::Strips(Strips {
            title: format!(
                "{} against its tolerance",
                judgement.error.name().unwrap_or("what was measured")
            ),
            axis: Axis { from: -reach, to: reach },
            rows: vec![Row { shapes, ..Row::default() }],
            key: vec![vec![Kind::LimitLow, Kind::Zero, Kind::Interval]],
            note: None,
            ends: Some((left, right)),
        }))
    }
}

/// One strip per lane; room for every place, planted ground on both sides, zero in the middle.
fn ground(ground: &Ground) -> Strips {
    let places = ground.lanes.iter().flat_map(Lane::places);
    let reach = places.map(f64::abs).fold(1e-6, f64::max) * 1.5;
    Strips {
        title: ground.title.into(),
        axis: Axis { from: -reach, to: reach },
        rows: ground.lanes.iter().map(|lane| lane_row(lane, &ground.unit)).collect(),
        key: vec![vec![Kind::Planted, Kind::Alley, Kind::Mark, Kind::Centre, Kind::Both]],
        note: None,
        ends: None,
    }
}

fn lane_row(lane: &Lane, unit: &str) -> Row {
    let mut shapes = vec![Shape::Bare];
    shapes.extend(lane.planted.iter().map(|s| Shape::Planted { from: s.from, to: s.to }));
    for (kind, sign) in [(MarkKind::Mark, Kind::Mark), (MarkKind::Centre, Kind::Centre)] {
        let marks = lane.marks.iter().filter(|mark| mark.kind == kind);
        shapes.extend(marks.map(|mark| Shape::Point(sign, mark.at)));
    }
    Row {
        label: lane.label.clone(),
        travel: Some(lane.travel),
        shapes,
        figures: lane_figures(lane, unit),
        note: String::new(),
    }
}

/// Where the alley starts, where its middle is and where it ends.
fn lane_figures(lane: &Lane, unit: &str) -> Vec<(f64, String)> {
    let ends = lane.planted.iter().flat_map(|strip| [strip.to, strip.from]).flatten();
    let middle = lane.marks.iter().filter(|mark| mark.kind == MarkKind::Centre).map(|mark| mark.at);
    let mut places: Vec<f64> = ends.chain(middle).collect();
    places.sort_by(f64::total_cmp);
    let last = places.len().saturating_sub(1);
    let figure = |(index, at): (usize, f64)| {
        let number = round_half_away(at, 1);
        let sign = if at > 0.0 && number.parse() != Ok(0.0) { "+" } else { "" };
        let unit = if index == last { format!(" {unit}") } else { String::new() };
        (at, format!("{sign}{number}{unit}"))
    };
    places.into_iter().enumerate().map(figure).collect()
}

/// A line for each phase, and under it the strip of seeds, on one axis.
fn changeover(picture: &ChangeoverPicture) -> Strips {
    let at = |time: f64| (time + picture.fall) * picture.speed;
    let seeds = || picture.seeds.iter().map(|seed| seed.at);
    let axis = Axis {
        from: seeds().fold(picture.centre, f64::min),
        to: seeds().fold(picture.centre, f64::max),
    };
    let mut rows: Vec<Row> = picture
        .phases
        .iter()
        .map(|phase| {
            let (from, to) = (at(phase.from), at(phase.to));
            let seconds = round_half_away(phase.to - phase.from, 2);
            let over = if to < axis.from {
                format!(", over {} {} before this strip", brief(axis.from - to), picture.unit)
            } else {
                String::new()
            };
            Row {
                label: phase.name.clone(),
                shapes: vec![Shape::Span { from, to }],
                note: format!("{seconds} s{over}"),
                ..Row::default()
            }
        })
        .collect();
    let mut seeds = vec![Shape::Bare];
    seeds.extend(picture.seeds.iter().map(|seed| {
        let kind = match seed.fate {
            Fate::Old => Kind::Old,
            Fate::New => Kind::New,
            Fate::Swept => Kind::Swept,
        };
        Shape::Point(kind, seed.at)
    }));
    rows.push(Row { label: "seeds".into(), shapes: seeds, ..Row::default() });
    let below = vec![Shape::Point(Kind::Pointer, picture.centre)];
    rows.push(Row { shapes: below, ..Row::default() });
    Strips {
        title: "The changeover as a timeline over the strip of seeds".into(),
        axis,
        rows,
        key: vec![vec![Kind::Pointer], vec![Kind::Old, Kind::New, Kind::Swept, Kind::Several]],
        note: Some(format!(
            "travel to the right; left end {} {unit}, right end {} {unit} past the trip",
            round_half_away(axis.from, 1),
            round_half_away(axis.to, 1),
            unit = picture.unit
        )),
        ends: None,
    }
}

fn bars(bars: &Bars) -> BarChart {
    let most = bars.rows.iter().map(|(_, number)| *number).fold(bars.limit, f64::max).max(1e-9);
    let row = |(label, number): &(String, f64)| {
        (label.clone(), *number, format!("{} {}", round_half_away(*number, 1), bars.unit))
    };
    BarChart {
        title: bars.title.clone(),
        axis: Axis { from: 0.0, to: most },
        limit: bars.limit,
        rows: bars.rows.iter().map(row).collect(),
    }
}

/// Room for the curve and its band, figures at round places.
fn curve(curve: &Curve) -> Graph {
    // A point of a chart may lie outside the limits that are its band.
    let band = |point: &crate::outcome::CurvePoint| {
        let (low, high) = point.band.unwrap_or((point.up, point.up));
        (low.min(point.up), high.max(point.up))
    };
    let all = |pick: fn(f64, f64) -> f64, start: f64, number: &dyn Fn(usize) -> f64| {
        (0..curve.points.len()).map(number).fold(start, pick)
    };
    let low = all(f64::min, f64::INFINITY, &|index| band(&curve.points[index]).0);
    let high = all(f64::max, f64::NEG_INFINITY, &|index| band(&curve.points[index]).1);
    let (up, up_ticks) = round_axis(low, high);
    let across = Axis {
        from: curve.points.first().map_or(0.0, |point| point.across),
        to: curve.points.last().map_or(1.0, |point| point.across),
    };
    let (_, ticks) = round_axis(across.from, across.to);
    let inside = |tick: &Tick| {
        let slack = (across.to - across.from) * 1e-9;
        (across.from - slack..=across.to + slack).contains(&tick.at)
    };
    Graph {
        title: curve.title.clone(),
        across,
        up,
        across_ticks: ticks.into_iter().filter(inside).collect(),
        up_ticks,
        across_name: format!("{}, {}", curve.across.0, curve.across.1),
        up_name: format!("{}, {}", curve.up.0, curve.up.1),
        points: curve
            .points
            .iter()
            .map(|point| GraphPoint { across: point.across, up: point.up, band: point.band })
            .collect(),
        key: curve.band_name.clone(),
    }
}

/// An axis from a round number to a round number, with figures at round numbers between.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn round_axis(low: f64, high: f64) -> (Axis, Vec<Tick>) {
    const MOST_TICKS: f64 = 7.0;
    let (low, high) = if high - low > 1e-9 { (low, high) } else { (low - 1.0, high + 1.0) };
    let tenth = 10_f64.powf(((high - low) / MOST_TICKS).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|times| times * tenth)
        .find(|step| (high - low) / step <= MOST_TICKS)
        .unwrap_or(10.0 * tenth);
    let places = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
    let ticks = (0..=(last - first).clamp(0.0, 100.0) as u32)
        .map(|count| (first + f64::from(count)) * step)
        .map(|at| Tick { at, text: round_half_away(at, places) })
        .collect();
    (Axis { from: first * step, to: last * step }, ticks)
}
