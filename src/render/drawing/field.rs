//! A field from above on paper: plots and borders, marks, passes with their headings, measures.

use crate::calculations::stakes::{Heading, Layout};
use crate::outcome::layout::Strip;
use crate::quantity::{feet_and_inches, round_half_away};

use super::Axis;
use super::pen::{LINE, Pen, Stroke, TEXT, WIDTH, room};
use super::view::{Part, View};

/// Room for measures and names of ranges on the left, in points.
const LEFT: f64 = 96.0;
/// Room for names of marks on the right, in points.
const RIGHT: f64 = 46.0;
/// Lowest and highest field, in points.
const LEAST: f64 = 240.0;
const MOST: f64 = 560.0;
/// Height of a key plan, in points.
const KEY_PLAN: f64 = 270.0;
/// Ground of borders.
const GREY: &str = "#ccc";

/// What is drawn of a field, and where.
struct Frame<'a> {
    layout: &'a Layout,
    part: Part,
    across: Axis,
    along: Axis,
    top: f64,
    height: f64,
}

impl Frame<'_> {
    fn x(&self, at: f64) -> f64 {
        LEFT + self.across.share(at) * (WIDTH - RIGHT - LEFT)
    }

    fn y(&self, at: f64) -> f64 {
        self.top + (1.0 - self.along.share(at)) * self.height
    }

    fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// Whether a stretch lies within the part, both ways.
    fn holds(&self, (left, right): (f64, f64), (near, far): (f64, f64)) -> bool {
        let within = |axis: &Axis, from: f64, to: f64| {
            let room = (axis.to - axis.from) * 1e-9;
            from >= axis.from - room && to <= axis.to + room
        };
        within(&self.across, left, right) && within(&self.along, near, far)
    }

    fn strips(&self) -> impl Iterator<Item = Strip> + '_ {
        (self.part.strips.0..=self.part.strips.1).map(|place| self.layout.strip_from_left(place))
    }
}

/// The field, its far end on top: both ways to scale, though not to the same one.
pub(super) fn field(view: &View) -> Pen {
    let layout = &view.layout;
    let (length, width) = layout.size();
    let whole =
        Part { number: 0, strips: (1, layout.grid.strips()), tiers: (1, layout.grid.tiers()) };
    let (across, along) = match view.part {
        Some(part) => around(layout, part),
        None => (Axis { from: 0.0, to: width }, Axis { from: 0.0, to: length }),
    };
    let part = view.part.unwrap_or(whole);
    let tiers = f64::from(part.tiers.1 - part.tiers.0 + 1);
    let frame = Frame {
        layout,
        part,
        across,
        along,
        top: LINE + 2.0,
        // A key plan has no numbers to be read, and stands beside the measures of the field.
        height: match view.part.is_none() && view.is_split() {
            true => KEY_PLAN,
            false => (tiers * 26.0 + 60.0).max(room_for_numbers(layout, &along)).clamp(LEAST, MOST),
        },
    };
    let mut pen = Pen::default();
    pen.text((LEFT, TEXT), "start", &head(view));
    pen.boxed((LEFT, frame.top), (WIDTH - RIGHT, frame.bottom()), "white");
    if view.part.is_none() && view.is_split() {
        key_plan(&mut pen, &frame, &view.parts);
    } else {
        marks(&mut pen, &frame);
        ground(&mut pen, &frame);
        ranges(&mut pen, &frame);
    }
    passes(&mut pen, &frame);
    measures(&mut pen, &frame, view.part.is_none());
    north(&mut pen, layout);
    pen
}

/// The height in which the shortest plots with a number have room for it.
fn room_for_numbers(layout: &Layout, along: &Axis) -> f64 {
    let plots = layout.plots().filter(|plot| !plot.filler).map(|plot| (plot.near, plot.far));
    let inside = plots.filter(|(near, far)| *near >= along.from && *far <= along.to);
    let shortest = inside.map(|(near, far)| far - near).fold(f64::INFINITY, f64::min);
    if shortest.is_finite() && !layout.evenly_tripped() {
        (TEXT + 4.0) * (along.to - along.from) / shortest
    } else {
        0.0
    }
}

fn head(view: &View) -> String {
    match view.part {
        Some(part) => format!("sheet {} of {}, far edge on top", part.number, view.parts.len()),
        None if view.is_split() => "key plan: which sheet has which plots; far edge on top".into(),
        None => "far edge on top".into(),
    }
}

/// The axes of a part, with half an alley around it.
fn around(layout: &Layout, part: Part) -> (Axis, Axis) {
    let strip = |place| layout.strip_from_left(place);
    let (left, right) = (strip(part.strips.0).left, strip(part.strips.1).right);
    let (near, _) = layout.tier(part.tiers.0);
    let (_, far) = layout.tier(part.tiers.1);
    let alley = {
        let (first, second) = (layout.tier(1), layout.tier(2));
        second.0 - first.1
    };
    (Axis { from: left, to: right }, Axis { from: near - alley, to: far + alley })
}

/// Marks as dashed lines, with as many names as there is room for.
fn marks(pen: &mut Pen, frame: &Frame<'_>) {
    let mut free = f64::INFINITY;
    for mark in frame.layout.marks() {
        if !(frame.along.from..=frame.along.to).contains(&mark.at) {
            continue;
        }
        let y = frame.y(mark.at);
        pen.line((LEFT, y), (WIDTH - RIGHT + 4.0, y), Stroke::Dashed);
        if y + TEXT / 3.0 <= free {
            pen.text((WIDTH - RIGHT + 8.0, y + TEXT / 3.0), "start", &format!("m {}", mark.number));
            free = y + TEXT / 3.0 - LINE;
        }
    }
}

/// Plots with their numbers, and borders.
fn ground(pen: &mut Pen, frame: &Frame<'_>) {
    for border in frame.layout.borders() {
        if frame.holds((border.left, border.right), (border.near, border.far)) {
            let (from, to) = (frame.x(border.left), frame.x(border.right));
            pen.boxed((from, frame.y(border.far)), (to, frame.y(border.near)), GREY);
        }
    }
    for plot in frame.layout.plots() {
        if !frame.holds((plot.left, plot.right), (plot.near, plot.far)) {
            continue;
        }
        let (left, right) = (frame.x(plot.left), frame.x(plot.right));
        let (top, bottom) = (frame.y(plot.far), frame.y(plot.near));
        if plot.filler {
            pen.boxed((left, top), (right, bottom), GREY);
            continue;
        }
        pen.boxed((left, top), (right, bottom), "white");
        let middle = (f64::midpoint(left, right), f64::midpoint(top, bottom) + TEXT / 3.0);
        pen.text(middle, "middle", &plot.number.to_string());
    }
}

/// Names of ranges on the left, as many as there is room for.
fn ranges(pen: &mut Pen, frame: &Frame<'_>) {
    let mut free = f64::INFINITY;
    for (range, middle) in frame.layout.middles_of_ranges() {
        if !(frame.along.from..=frame.along.to).contains(&middle) {
            continue;
        }
        let at = frame.y(middle) + TEXT / 3.0;
        if at <= free {
            pen.text((LEFT - 6.0, at), "end", &format!("r {range}"));
            free = at - LINE;
        }
    }
}

/// What each sheet has.
fn key_plan(pen: &mut Pen, frame: &Frame<'_>, parts: &[Part]) {
    let layout = frame.layout;
    for border in layout.borders() {
        let (from, to) = (frame.x(border.left), frame.x(border.right));
        pen.boxed((from, frame.y(border.far)), (to, frame.y(border.near)), GREY);
    }
    for part in parts {
        let left = frame.x(layout.strip_from_left(part.strips.0).left);
        let right = frame.x(layout.strip_from_left(part.strips.1).right);
        let bottom = frame.y(layout.tier(part.tiers.0).0);
        let top = frame.y(layout.tier(part.tiers.1).1);
        for (from, to) in [
            ((left, top), (right, top)),
            ((left, bottom), (right, bottom)),
            ((left, top), (left, bottom)),
            ((right, top), (right, bottom)),
        ] {
            pen.line(from, to, Stroke::Plain);
        }
        let words = format!("sheet {}", part.number);
        let at = (f64::midpoint(left, right), f64::midpoint(top, bottom));
        let half = room(&words) / 2.0 + 3.0;
        pen.boxed((at.0 - half, at.1 - 10.0), (at.0 + half, at.1 + 8.0), "white");
        pen.text((at.0, at.1 + 4.0), "middle", &words);
    }
}

/// Under every pass an arrowhead, the way it goes, and its number where there is room for it.
fn passes(pen: &mut Pen, frame: &Frame<'_>) {
    const HALF: f64 = 4.0;
    let bottom = frame.bottom();
    let mut free = f64::NEG_INFINITY;
    for strip in frame.strips() {
        let (tip, base) = match strip.heading {
            Heading::Out => (bottom + 4.0, bottom + 14.0),
            Heading::Home => (bottom + 14.0, bottom + 4.0),
        };
        let at = f64::midpoint(frame.x(strip.left), frame.x(strip.right));
        pen.shape(&[(at, tip), (at - HALF, base), (at + HALF, base)], "black");
        let name = strip.pass.map_or_else(|| "b".to_owned(), |pass| pass.to_string());
        let half = room(&name) / 2.0;
        if at - half >= free {
            pen.text((at, bottom + 16.0 + TEXT), "middle", &name);
            free = at + half + 3.0;
        }
    }
    pen.y = bottom + 16.0 + LINE + 2.0;
    let borders = frame.layout.grid.border_passes > 0 || frame.layout.grid.border_ranges > 0;
    let fillers = frame.layout.plots().any(|plot| plot.filler);
    let border = match (borders, fillers) {
        (true, true) => "; b: border; grey: border or filler",
        (true, false) => "; grey, b: border",
        (false, true) => "; grey: filler",
        (false, false) => "",
    };
    let words = format!("start line; arrow and number of each pass; r: range; m: mark{border}");
    pen.text((WIDTH / 2.0, pen.y + TEXT), "middle", &words);
    pen.y += LINE + 2.0;
}

/// Length and width of the field, and that the drawing is not to scale.
fn measures(pen: &mut Pen, frame: &Frame<'_>, whole: bool) {
    if whole {
        let (length, width) = frame.layout.size();
        let (from, to) = (frame.y(length), frame.y(0.0));
        pen.line((6.0, from), (6.0, to), Stroke::Plain);
        for (tip, back) in [(from, 8.0), (to, -8.0)] {
            pen.line((2.0, tip), (10.0, tip), Stroke::Plain);
            pen.shape(&[(6.0, tip), (3.0, tip + back), (9.0, tip + back)], "black");
        }
        let middle = f64::midpoint(from, to);
        pen.text((12.0, middle), "start", &measure(frame.layout, length));
        pen.tape(frame.x(0.0), frame.x(width), pen.y + 8.0);
        pen.y += 18.0;
        let at = f64::midpoint(frame.x(0.0), frame.x(width));
        pen.text((at, pen.y + TEXT), "middle", &measure(frame.layout, width));
        pen.y += LINE;
    }
    pen.text(
        (WIDTH, pen.y + TEXT),
        "end",
        "not to scale: ways across and along are stretched apart",
    );
    pen.y += LINE + 2.0;
}

/// A field length as a tape has it, in the sheet's own unit.
fn measure(layout: &Layout, length: f64) -> String {
    const FOOT: f64 = 0.3048;
    let metres = layout.metres(length);
    if (layout.metres(1.0) - FOOT).abs() < 1e-9 {
        feet_and_inches(metres / FOOT * 12.0, 8)
    } else {
        format!("{} m", round_half_away(metres, 2))
    }
}

/// Where north is, where the sheet says how the field lies.
fn north(pen: &mut Pen, layout: &Layout) {
    let Some(frame) = layout.frame else { return };
    const LONG: f64 = 15.0;
    let (sin, cos) = (-frame.bearing).to_radians().sin_cos();
    // Up the page is the travel out: north lies as far round to the left as its bearing goes right.
    let centre = (52.0, 44.0);
    let at = |along: f64, aside: f64| {
        (centre.0 + along * sin + aside * cos, centre.1 - along * cos + aside * sin)
    };
    pen.line(at(-LONG, 0.0), at(LONG - 6.0, 0.0), Stroke::Plain);
    pen.shape(&[at(LONG, 0.0), at(LONG - 9.0, -4.0), at(LONG - 9.0, 4.0)], "black");
    let tip = at(LONG + 9.0, 0.0);
    pen.text((tip.0, tip.1 + 4.0), "middle", "N");
}
