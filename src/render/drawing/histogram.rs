//! A histogram for the terminal: a line a class, with the limits between kinds.

use std::fmt::Write as _;

use crate::calibration::{Class, Histogram, Limit};
use crate::quantity::round_half_away;

use crate::render::Style;

/// Columns of the longest bar.
const LONGEST: usize = 44;

/// Counts as bars, a line a class; a limit has a line of its own.
#[must_use]
pub(super) fn histogram(picture: &Histogram, style: Style) -> String {
    let most = picture.classes.iter().map(|class| class.count).max().unwrap_or(0).max(1);
    let bar = if style.ascii { "=" } else { "\u{2550}" };
    let mut out = format!("  {}\n", picture.title);
    for class in &picture.classes {
        for limit in picture.limits.iter().filter(|limit| stands_before(limit, class)) {
            let _ = writeln!(out, "  {}", line(limit, style));
        }
        // A class that holds any has a bar, however short.
        let long = (class.count * LONGEST).div_ceil(most);
        let ends = format!("{} to {}", tenths(class.from), tenths(class.to));
        let _ = writeln!(out, "  {ends:>12} {:>5}  {}", class.count, bar.repeat(long));
    }
    out.lines().fold(String::new(), |text, line| text + line.trim_end() + "\n")
}

fn tenths(number: f64) -> String {
    round_half_away(number, 1)
}

/// Classes are a tenth wide, so a limit between two of them is nearer than half of that.
fn stands_before(limit: &Limit, class: &Class) -> bool {
    (class.from - limit.at).abs() < (class.to - class.from) / 2.0
}

fn line(limit: &Limit, style: Style) -> String {
    let dash = if style.ascii { "-" } else { "\u{2500}" };
    format!("{} {}: {}", dash.repeat(3), tenths(limit.at), limit.label)
}
