//! The kinds of picture a result can have. Geometry and numbers only; drawing is done elsewhere,
//! for the terminal and for paper from the same data.

use super::layout::Layout;
use super::{Bars, ChangeoverPicture, Ground};

/// A picture of a result.
#[derive(Clone, Debug)]
pub enum Picture {
    /// What lies where along the travel.
    Ground(Ground),
    /// The changeover as timeline and strip of seeds.
    Changeover(ChangeoverPicture),
    /// Numbers as bars.
    Bars(Bars),
    /// A curve with its band.
    Curve(Curve),
    /// A field from above: plots with their numbers, passes with their headings, marks.
    FieldPlan(Layout),
    /// How often numbers fall into classes.
    Histogram(Histogram),
    /// A field as one drawn trial has it.
    Rehearsed(Box<RehearsedField>),
}

/// A field from above as it came out, to scale; what lies off is drawn so many times larger than it is.
/// Lengths are in one unit; along the field from the near edge of the first mark, across from the left.
#[derive(Clone, Debug, PartialEq)]
pub struct RehearsedField {
    /// What is shown.
    pub title: String,
    /// Unit of the lengths.
    pub unit: &'static str,
    /// How many times larger than they are offsets are drawn.
    pub enlarged: f64,
    /// Length of a plot as wanted.
    pub plot: f64,
    /// Width of an alley as wanted.
    pub alley: f64,
    /// Width of a plot.
    pub plot_width: f64,
    /// Length and width of the planted field.
    pub size: (f64, f64),
    /// Marks along the field.
    pub marks: Vec<f64>,
    /// Passes from left to right: the middle of each, and whether it goes out.
    pub passes: Vec<(f64, bool)>,
    /// Ranges and columns of plots.
    pub grid: (u32, u32),
    /// Plots out of limit.
    pub out: u32,
    /// Every plot.
    pub plots: Vec<RehearsedPlot>,
}

/// A plot of such a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RehearsedPlot {
    /// Its range, the one next to the start line being 0.
    pub range: u32,
    /// Its column, from the left.
    pub column: u32,
    /// Its left edge.
    pub left: f64,
    /// Its near edge, its offset enlarged.
    pub near: f64,
    /// Its far edge, its offset enlarged.
    pub far: f64,
    /// Whether anything of it is out of limit.
    pub out: bool,
}

/// Counts in classes of one width, from the lowest that holds any to the highest, with the limits
/// between kinds.
#[derive(Clone, Debug, PartialEq)]
pub struct Histogram {
    /// What is counted in which classes.
    pub title: String,
    /// Unit of the classes and the limits.
    pub unit: String,
    /// The classes, lowest first, without holes.
    pub classes: Vec<Class>,
    /// The limits, lowest first; each lies between two classes or beyond them.
    pub limits: Vec<Limit>,
}

/// One class: above `from`, up to and including `to`.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// Lower end, left out.
    pub from: f64,
    /// Upper end, included.
    pub to: f64,
    /// How many fall into it.
    pub count: usize,
}

/// A limit between two kinds.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Where it lies.
    pub at: f64,
    /// What lies up to it, and what beyond.
    pub label: &'static str,
}

impl Picture {
    /// The key of the table that the picture says in full, so that a page that has the picture
    /// can do without the table.
    #[must_use]
    pub fn says(&self) -> Option<&'static str> {
        matches!(self, Picture::Histogram(_)).then_some("classes")
    }

    /// Whether it shows the numbers of a table, and so belongs after it; other pictures stand
    /// before the arithmetic.
    #[must_use]
    pub fn is_of_a_table(&self) -> bool {
        match self {
            Picture::Ground(_) | Picture::Changeover(_) | Picture::FieldPlan(_) => false,
            Picture::Rehearsed(_) => true,
            Picture::Bars(_) | Picture::Curve(_) | Picture::Histogram(_) => true,
        }
    }
}

/// A curve with its band: the rows of a table, seen at once.
#[derive(Clone, Debug)]
pub struct Curve {
    /// What the curve shows.
    pub title: String,
    /// What goes from left to right, and its unit.
    pub across: (&'static str, String),
    /// What goes from bottom to top, and its unit.
    pub up: (&'static str, String),
    /// Places on the curve, from left to right.
    pub points: Vec<CurvePoint>,
    /// What the band is.
    pub band_name: String,
}

/// A place on a curve.
#[derive(Clone, Copy, Debug)]
pub struct CurvePoint {
    /// From the left.
    pub across: f64,
    /// From the bottom.
    pub up: f64,
    /// Low and high end of the band.
    pub band: Option<(f64, f64)>,
}
