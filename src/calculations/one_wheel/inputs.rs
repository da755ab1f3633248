//! What the check of one wheel needs.

use crate::calculations::trip::{ScaleKind, TripRun};
use crate::calculations::wheel::WheelRun;
use crate::outcome::Calculation;
use crate::quantity::{Decimal, Length, Share};

/// This calculation.
pub const CALCULATION: Calculation =
    Calculation { key: "one-wheel", title: "One wheel, two numbers" };

/// What was measured on one day.
#[derive(Clone, Debug)]
pub struct Day {
    /// The day; none of runs that say none.
    pub date: Option<String>,
    /// Trip runs, with the scale they were made with where that was another than now.
    pub trips: Vec<TripRun>,
    /// Wheel runs.
    pub wheels: Vec<WheelRun>,
}

/// Trip scale and travel per turn that were right together once.
#[derive(Clone, Debug)]
pub struct Known {
    /// The trip scale that was right.
    pub scale: Decimal,
    /// Ground covered.
    pub distance: Length,
    /// In so many turns.
    pub turns: Decimal,
}

/// What the check of one wheel needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Days with readings, earliest first; runs without a date before all others.
    pub days: Vec<Day>,
    /// Both numbers as they were right once.
    pub known: Option<Known>,
    /// Which way round the scale is.
    pub kind: ScaleKind,
    /// The scale that the controller holds.
    pub now: Decimal,
    /// Plot length.
    pub plot: Length,
    /// Alley length.
    pub alley: Length,
    /// The error of one trip spacing that may stand.
    pub tolerance: Option<Length>,
    /// The share by which the seed spacing may be off.
    pub spacing_tolerance: Option<Share>,
}
