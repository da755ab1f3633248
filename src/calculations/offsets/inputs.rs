//! What trip sources and row units need.

use crate::outcome::{Calculation, MovingSetting};
use crate::quantity::{Duration, Length, Speed};

/// This calculation.
pub const CALCULATION: Calculation =
    Calculation { key: "offsets", title: "Trip sources and row units" };

/// What makes the planter trip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A knot or stop on a wire across the field's length.
    Wire,
    /// Marks on the ground that are sensed.
    Marks,
    /// Counts of a wheel.
    Wheel,
    /// A place by satellites.
    Gps,
}

impl Kind {
    /// As it is written in the sheet.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Kind::Wire => "wire",
            Kind::Marks => "marks",
            Kind::Wheel => "wheel",
            Kind::Gps => "gps",
        }
    }
}

/// One way to trip.
#[derive(Clone, Debug)]
pub struct Source {
    /// What it is.
    pub kind: Kind,
    /// How far what senses the mark sits ahead of where seed falls.
    pub ahead: Length,
    /// From the mark being reached until the planter trips.
    pub latency: Duration,
    /// Whether it is the one that the settings are for.
    pub in_use: bool,
}

/// What trip sources and row units need; one of both at the least.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The sources, each of its own kind.
    pub sources: Vec<Source>,
    /// Ground speed of the trial; there where there are sources.
    pub speed: Option<Speed>,
    /// The setback, where the sheet says how it works.
    pub setback: Option<MovingSetting>,
    /// How far every row unit drops seed ahead of one line, from row 1.
    pub ranks: Vec<Length>,
    /// Length of a plot, where known.
    pub plot: Option<Length>,
    /// The alley wanted, where known.
    pub alley: Option<Length>,
    /// How far the middle of an alley may lie off.
    pub tolerance: Option<Length>,
}
