//! What the guess rows need.

use crate::quantity::{Decimal, Length};

/// Which way the planter turned from the pass before into this one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// To the left: each of the two passes has the other on its left.
    Left,
    /// To the right.
    Right,
}

/// What the tractor went by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Steering {
    /// Lines that lie a pitch apart whatever the planter did: guidance, stakes.
    Lines,
    /// What the planter left behind on the pass before: the line of a marker arm.
    MarkerArms,
}

/// What the guess rows need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Gaps after left turns.
    pub left: Vec<Length>,
    /// Gaps after right turns. At least one gap in the two lists.
    pub right: Vec<Length>,
    /// What the tractor went by.
    pub steering: Steering,
    /// Rows planted in one pass.
    pub rows: Decimal,
    /// Rows of one plot; they divide the rows of a pass.
    pub rows_per_plot: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// Bare ground between passes, besides the row spacing.
    pub pass_gap: Option<Length>,
    /// How far a gap may be off.
    pub tolerance: Option<Length>,
}
