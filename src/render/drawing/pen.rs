//! The pen that pictures are drawn with: lines, boxes, signs and figures in black ink.

use std::fmt;

use unicode_width::UnicodeWidthStr;

use crate::outcome::Travel;
use crate::render::harmless;
use crate::render::markup::Markup;

use super::Kind;

/// Width of every picture, in points: it fits between the margins of Letter and A4.
pub(super) const WIDTH: f64 = 490.0;
/// Size of figures, in points.
pub(super) const TEXT: f64 = 12.0;
/// A line of figures, in points.
pub(super) const LINE: f64 = 16.0;
/// Height of a strip, in points.
pub(super) const STRIP: f64 = 20.0;
/// Room at both ends of a strip, for figures that stand at its very end.
pub(super) const MARGIN: f64 = 12.0;

/// A place in the picture, to a tenth of a point.
#[derive(Clone, Copy)]
pub(super) struct Number(pub(super) f64);

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = (self.0 * 10.0).round() / 10.0;
        write!(f, "{}", if tenths == 0.0 { 0.0 } else { tenths })
    }
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Stroke {
    Thin,
    Plain,
    Thick,
    Dashed,
}

impl Stroke {
    fn width(&self) -> &'static str {
        match self {
            Stroke::Thin => "0.7",
            Stroke::Plain | Stroke::Dashed => "1.3",
            Stroke::Thick => "3",
        }
    }
}

/// What is drawn so far, and how far down the picture that is.
#[derive(Default)]
pub(super) struct Pen {
    pub(super) drawn: Markup,
    pub(super) y: f64,
}

impl Pen {
    /// Numbers of an element, each under its name.
    fn numbers(&mut self, numbers: &[(&'static str, f64)]) -> &mut Markup {
        for (name, number) in numbers {
            self.drawn.tags(" ").tags(name).tags("=\"").text(Number(*number)).tags("\"");
        }
        &mut self.drawn
    }

    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        self.drawn.tags("\n<line");
        self.numbers(&[("x1", from.0), ("y1", from.1), ("x2", to.0), ("y2", to.1)])
            .tags(" stroke=\"black\" stroke-width=\"")
            .text(stroke.width())
            .tags(if stroke == Stroke::Dashed { "\" stroke-dasharray=\"5 3\"/>" } else { "\"/>" });
    }

    pub(super) fn boxed(&mut self, from: (f64, f64), to: (f64, f64), fill: &str) {
        let (wide, high) = (to.0 - from.0, to.1 - from.1);
        self.drawn.tags("\n<rect");
        self.numbers(&[("x", from.0), ("y", from.1), ("width", wide), ("height", high)]);
        self.filled(fill);
    }

    pub(super) fn shape(&mut self, points: &[(f64, f64)], fill: &str) {
        let points: Vec<String> =
            points.iter().map(|(x, y)| format!("{},{}", Number(*x), Number(*y))).collect();
        self.drawn.tags("\n<polygon points=\"").text(points.join(" ")).tags("\"");
        self.filled(fill);
    }

    pub(super) fn dot(&mut self, at: (f64, f64), radius: f64, fill: &str) {
        self.drawn.tags("\n<circle");
        self.numbers(&[("cx", at.0), ("cy", at.1), ("r", radius)]);
        self.filled(fill);
    }

    /// The end of an element that is filled.
    fn filled(&mut self, fill: &str) {
        self.drawn.tags(" fill=\"").text(fill).tags("\" stroke=\"black\" stroke-width=\"1\"/>");
    }

    pub(super) fn text(&mut self, at: (f64, f64), anchor: &str, text: &str) {
        self.drawn.tags("\n<text");
        self.numbers(&[("x", at.0), ("y", at.1)]).tags(" text-anchor=\"").text(anchor);
        self.drawn.tags("\">").text(harmless(text)).tags("</text>");
    }

    /// An arrow along the travel, in a box of its own.
    pub(super) fn arrow(&mut self, travel: Travel, from: f64, to: f64, y: f64) {
        let (tail, head, back) = match travel {
            Travel::Rightward => (from, to, -7.0),
            Travel::Leftward => (to, from, 7.0),
        };
        self.line((tail, y), (head + back / 2.0, y), Stroke::Plain);
        self.shape(&[(head, y), (head + back, y - 4.0), (head + back, y + 4.0)], "black");
    }

    /// Planted ground: rows of short strokes, as seed stands, within a frame.
    pub(super) fn planted(&mut self, from: f64, to: f64, top: f64, bottom: f64) {
        const APART: f64 = 4.0;
        self.boxed((from, top), (to, bottom), "white");
        let mut x = (from / APART).ceil() * APART;
        while x < to {
            self.line((x, top), (x, bottom), Stroke::Thin);
            x += APART;
        }
    }

    /// A sign at its place on a strip.
    pub(super) fn sign(&mut self, kind: Kind, x: f64, top: f64, bottom: f64) {
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
    pub(super) fn tape(&mut self, from: f64, to: f64, y: f64) {
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
    pub(super) fn figures(&mut self, figures: &[(f64, &str)], right: f64) {
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
    pub(super) fn key(&mut self, kinds: &[Kind]) {
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
pub(super) fn room(text: &str) -> f64 {
    text.width() as f64 * TEXT * 0.56
}
