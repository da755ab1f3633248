//! A histogram for the terminal: a line a class, with the limits between kinds.

use std::fmt::Write as _;

use crate::outcome::{Class, Histogram, Limit};
use crate::quantity::round_half_away;

use crate::render::Style;

/// Columns of the longest bar.
const LONGEST: usize = 44;

/// Counts as bars, a line a class; a limit has a line of its own, and empty classes that follow
/// one another share one.
#[must_use]
pub(super) fn histogram(picture: &Histogram, style: Style) -> String {
    let most = picture.classes.iter().map(|class| class.count).max().unwrap_or(0).max(1);
    let bar = if style.ascii { "=" } else { "\u{2550}" };
    let mut out = format!("  {}\n", picture.title);
    for class in &without_holes(picture) {
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

/// The classes with empty ones that follow one another made one, up to the next limit.
fn without_holes(picture: &Histogram) -> Vec<Class> {
    let mut lines: Vec<Class> = vec![];
    for class in &picture.classes {
        let limited = picture.limits.iter().any(|limit| stands_before(limit, class));
        match lines.last_mut() {
            Some(last) if last.count == 0 && class.count == 0 && !limited => last.to = class.to,
            _ => lines.push(class.clone()),
        }
    }
    lines
}

fn tenths(number: f64) -> String {
    round_half_away(number, 1)
}

/// Ends of classes are tenths, with some binary noise.
fn stands_before(limit: &Limit, class: &Class) -> bool {
    (class.from - limit.at).abs() < 0.01
}

fn line(limit: &Limit, style: Style) -> String {
    let dash = if style.ascii { "-" } else { "\u{2500}" };
    format!("{} {}: {}", dash.repeat(3), tenths(limit.at), limit.label)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn empty_classes_share_a_line_and_limits_have_their_own() {
        let class = |place: u32, count| {
            let from = f64::from(place) / 10.0;
            Class { from, to: from + 0.1, count }
        };
        let counts = [2, 0, 0, 0, 4];
        let picture = Histogram {
            title: "gaps".into(),
            unit: "Xref".into(),
            classes: (2..).zip(counts).map(|(place, count)| class(place, count)).collect(),
            limits: vec![Limit { at: 0.4, label: "limit" }],
        };
        let drawn = histogram(&picture, Style { ascii: true, colour: false });
        let half = "=".repeat(LONGEST / 2);
        let full = "=".repeat(LONGEST);
        let expected = format!(
            "  gaps\n    0.2 to 0.3     2  {half}\n    0.3 to 0.4     0\n  --- 0.4: limit\n    0.4 to \
             0.6     0\n    0.6 to 0.7     4  {full}\n"
        );
        assert_eq!(drawn, expected);
    }
}
