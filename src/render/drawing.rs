//! Pictures of the ground for the terminal, drawn from the geometry of a result.

use std::fmt::Write as _;

use crate::calibration::changeover::Fate;
use crate::calibration::{
    Bars, ChangeoverPicture, Ground, Judgement, Lane, MarkKind, Picture, Travel,
};
use crate::quantity::{brief, round_half_away};

use super::Style;

/// Columns of the strip of ground; odd, so that zero has a column of its own.
const STRIP: usize = 59;

/// Glyphs of a picture.
struct Glyphs {
    planted: char,
    bare: char,
    mark: char,
    centre: char,
    both: char,
    right: &'static str,
    left: &'static str,
}

const UNICODE: Glyphs = Glyphs {
    planted: '\u{2592}',
    bare: '\u{b7}',
    mark: '\u{2503}',
    centre: '\u{25c6}',
    both: '\u{25c8}',
    right: "\u{2500}\u{2500}>",
    left: "<\u{2500}\u{2500}",
};
const ASCII: Glyphs = Glyphs {
    planted: '#',
    bare: '.',
    mark: '|',
    centre: 'o',
    both: '@',
    right: "-->",
    left: "<--",
};

/// Where places on the ground fall in columns of text.
struct Scale {
    from: f64,
    to: f64,
}

impl Scale {
    /// Room for every place, with planted ground on both sides and zero in the middle.
    fn around(ground: &Ground) -> Scale {
        let places = ground.lanes.iter().flat_map(Lane::places);
        let reach = places.map(f64::abs).fold(1e-6, f64::max) * 1.5;
        Scale { from: -reach, to: reach }
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    fn column(&self, at: f64) -> usize {
        let share = ((at - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        (share * (STRIP - 1) as f64).round() as usize
    }
}

/// Any picture.
#[must_use]
pub fn picture(picture: &Picture, style: Style) -> String {
    match picture {
        Picture::Ground(picture) => ground(picture, style),
        Picture::Changeover(picture) => changeover(picture, style),
        Picture::Bars(picture) => bars(picture, style),
    }
}

/// A picture of the ground: one strip per lane, places in working lengths from the mark.
#[must_use]
pub fn ground(ground: &Ground, style: Style) -> String {
    let glyphs = if style.ascii { &ASCII } else { &UNICODE };
    let scale = Scale::around(ground);
    let mut out = String::new();
    for lane in &ground.lanes {
        let arrow = if lane.travel == Travel::Rightward { glyphs.right } else { glyphs.left };
        let _ = writeln!(out, "  {:<9} {arrow} {}", lane.label, strip(lane, &scale, glyphs));
        let _ = writeln!(out, "  {:13} {}", "", figures(lane, &scale, &ground.unit));
    }
    let _ = writeln!(
        out,
        "  {} planted  {} alley  {} mark  {} middle of the alley  {} both",
        glyphs.planted, glyphs.bare, glyphs.mark, glyphs.centre, glyphs.both
    );
    out
}

fn strip(lane: &Lane, scale: &Scale, glyphs: &Glyphs) -> String {
    let mut cells = vec![glyphs.bare; STRIP];
    for planted in &lane.planted {
        let from = planted.from.map_or(0, |at| scale.column(at));
        let to = planted.to.map_or(STRIP - 1, |at| scale.column(at));
        cells[from..=to].fill(glyphs.planted);
    }
    for kind in [MarkKind::Mark, MarkKind::Centre] {
        for mark in lane.marks.iter().filter(|mark| mark.kind == kind) {
            let cell = &mut cells[scale.column(mark.at)];
            *cell = match kind {
                MarkKind::Mark => glyphs.mark,
                MarkKind::Centre if *cell == glyphs.mark => glyphs.both,
                MarkKind::Centre => glyphs.centre,
            };
        }
    }
    cells.into_iter().collect()
}

/// Where the alley starts, where its middle is and where it ends, under the strip.
fn figures(lane: &Lane, scale: &Scale, unit: &str) -> String {
    let ends = lane.planted.iter().flat_map(|strip| [strip.to, strip.from]).flatten();
    let middle = lane.marks.iter().filter(|mark| mark.kind == MarkKind::Centre).map(|mark| mark.at);
    let mut places: Vec<f64> = ends.chain(middle).collect();
    places.sort_by(f64::total_cmp);
    let mut line = String::new();
    for (index, at) in places.iter().enumerate() {
        let number = round_half_away(*at, 1);
        let sign = if *at > 0.0 && number.parse() != Ok(0.0) { "+" } else { "" };
        let last = if index + 1 == places.len() { format!(" {unit}") } else { String::new() };
        let text = format!("{sign}{number}{last}");
        let wanted = scale.column(*at).saturating_sub(text.len() / 2);
        let gap = wanted.saturating_sub(line.len()).max(usize::from(index > 0));
        let _ = write!(line, "{}{text}", " ".repeat(gap));
    }
    line
}

/// The interval of an error against the tolerance, zero in the middle; empty where there is no
/// interval or no tolerance.
#[must_use]
pub fn interval_bar(judgement: &Judgement, style: Style) -> String {
    let (Some(interval), Some(tolerance)) = (&judgement.interval, &judgement.tolerance) else {
        return String::new();
    };
    let (low, high) = (interval.low.number(), interval.high.number());
    let limit = tolerance.number();
    let reach = low.abs().max(high.abs()).max(limit) * 1.15;
    let scale = Scale { from: -reach, to: reach };
    let (line, dot, zero) =
        if style.ascii { ('=', '.', '|') } else { ('\u{2550}', '\u{b7}', '\u{2502}') };
    let mut cells = vec![dot; STRIP];
    cells[scale.column(0.0)] = zero;
    cells[scale.column(low)..=scale.column(high)].fill(line);
    cells[scale.column(judgement.error.number())] = if style.ascii { 'o' } else { UNICODE.centre };
    cells[scale.column(-limit)] = '[';
    cells[scale.column(limit)] = ']';
    let bar: String = cells.into_iter().collect();
    let unit = judgement.error.unit_text();
    let left = format!("-{}", brief(reach));
    format!(
        "  {left:>8} {bar} +{} {unit}\n  {:>8} [ ] tolerance  {zero} zero  {line}{}{line} interval around \
         what was measured\n",
        brief(reach),
        "",
        if style.ascii { 'o' } else { UNICODE.centre },
    )
}

/// The changeover: a line for each phase, and under it the strip of seeds, on one axis.
#[must_use]
pub fn changeover(picture: &ChangeoverPicture, style: Style) -> String {
    let at = |time: f64| (time + picture.fall) * picture.speed;
    let seeds = || picture.seeds.iter().map(|seed| seed.at);
    let scale = Scale {
        from: seeds().fold(picture.centre, f64::min),
        to: seeds().fold(picture.centre, f64::max),
    };
    let line = if style.ascii { '=' } else { '\u{2550}' };
    let mut out = String::new();
    let mut label = |name: &str, cells: Vec<char>, note: String| {
        let strip: String = cells.into_iter().collect();
        let _ = writeln!(out, "  {:<9} {}{note}", name, strip.trim_end());
    };
    for phase in &picture.phases {
        let mut cells = vec![' '; STRIP];
        let (from, to) = (at(phase.from), at(phase.to));
        if to > from && to >= scale.from && from <= scale.to {
            cells[scale.column(from)..=scale.column(to)].fill(line);
        }
        if from < scale.from && to >= scale.from {
            cells[0] = '<';
        }
        let seconds = round_half_away(phase.to - phase.from, 2);
        let over = if to < scale.from {
            format!(", over {} {} before this strip", brief(scale.from - to), picture.unit)
        } else {
            String::new()
        };
        label(phase.name, cells, format!(" {seconds} s{over}"));
    }
    label("seeds", seed_cells(picture, &scale, style), String::new());
    let mut below = vec![' '; STRIP];
    below[scale.column(picture.centre)] = '^';
    label("", below, String::new());
    let _ = writeln!(
        out,
        "  ^ middle of the alley: the mark belongs there\n  o old lot  n new lot  x swept off  # \
         two or more seeds\n  travel to the right; left end {} {unit}, right end {} {unit} past the trip",
        round_half_away(scale.from, 1),
        round_half_away(scale.to, 1),
        unit = picture.unit
    );
    out
}

fn seed_cells(picture: &ChangeoverPicture, scale: &Scale, style: Style) -> Vec<char> {
    let bare = if style.ascii { '.' } else { UNICODE.bare };
    let mut cells = vec![bare; STRIP];
    for seed in &picture.seeds {
        let glyph = match seed.fate {
            Fate::Old => 'o',
            Fate::New => 'n',
            Fate::Swept => 'x',
        };
        let cell = &mut cells[scale.column(seed.at)];
        *cell = if *cell == bare { glyph } else { '#' };
    }
    cells
}

/// Numbers as bars with a line at the limit.
#[must_use]
pub fn bars(bars: &Bars, style: Style) -> String {
    const LONGEST: usize = 44;
    let most = bars.rows.iter().map(|(_, number)| *number).fold(bars.limit, f64::max).max(1e-9);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let column = |number: f64| ((number / most).clamp(0.0, 1.0) * (LONGEST - 1) as f64) as usize;
    let (full, limit) = if style.ascii { ('=', '|') } else { ('\u{2550}', '\u{2502}') };
    let mut out = format!("  {}\n", bars.title);
    for (label, number) in &bars.rows {
        let mut cells = vec![' '; LONGEST];
        cells[..=column(*number)].fill(full);
        cells[column(bars.limit)] = limit;
        let bar: String = cells.into_iter().collect();
        let _ = writeln!(out, "  {label:>12} {bar} {} {}", round_half_away(*number, 1), bars.unit);
    }
    out
}
