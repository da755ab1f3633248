//! The kinds of picture a result can have. Geometry and numbers only; drawing is done elsewhere,
//! for the terminal and for paper from the same data.

use super::stakes::Layout;
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
}

impl Picture {
    /// Whether it shows the numbers of a table, and so belongs after it; other pictures stand
    /// before the arithmetic.
    #[must_use]
    pub fn is_of_a_table(&self) -> bool {
        match self {
            Picture::Ground(_) | Picture::Changeover(_) | Picture::FieldPlan(_) => false,
            Picture::Bars(_) | Picture::Curve(_) => true,
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
