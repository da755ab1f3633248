//! Pictures of the ground for the terminal, drawn from the geometry of a result.

use std::fmt::Write as _;

use crate::calibration::{Ground, Lane, MarkKind, Travel};
use crate::quantity::round_half_away;

use super::Style;

/// Columns of the strip of ground.
const STRIP: usize = 60;

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
    /// Room for every place, with planted ground on both sides.
    fn around(ground: &Ground) -> Scale {
        let places = || ground.lanes.iter().flat_map(Lane::places);
        let (low, high) = (places().fold(0.0, f64::min), places().fold(0.0, f64::max));
        let margin = ((high - low) * 0.3).max(1e-6);
        Scale { from: low - margin, to: high + margin }
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    fn column(&self, at: f64) -> usize {
        let share = ((at - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        (share * (STRIP - 1) as f64).round() as usize
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
