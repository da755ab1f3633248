//! The kinds of picture a result can have. Geometry and numbers only; drawing is done elsewhere,
//! for the terminal and for paper from the same data.

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
}

impl Picture {
    /// Whether it shows the numbers of a table, and so belongs after it; other pictures stand
    /// before the arithmetic.
    #[must_use]
    pub fn is_of_a_table(&self) -> bool {
        match self {
            Picture::Ground(_) | Picture::Changeover(_) => false,
            Picture::Bars(_) => true,
        }
    }
}
