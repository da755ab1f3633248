//! The pen that pictures on paper are drawn with: lines, boxes, shapes and figures as SVG.

use std::fmt;

use crate::render::harmless;
use crate::render::markup::Markup;

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
    pub(super) fn width(&self) -> &'static str {
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
    pub(super) fn numbers(&mut self, numbers: &[(&'static str, f64)]) -> &mut Markup {
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
    pub(super) fn filled(&mut self, fill: &str) {
        self.drawn.tags(" fill=\"").text(fill).tags("\" stroke=\"black\" stroke-width=\"1\"/>");
    }

    pub(super) fn text(&mut self, at: (f64, f64), anchor: &str, text: &str) {
        self.drawn.tags("\n<text");
        self.numbers(&[("x", at.0), ("y", at.1)]).tags(" text-anchor=\"").text(anchor);
        self.drawn.tags("\">").text(harmless(text)).tags("</text>");
    }
}
