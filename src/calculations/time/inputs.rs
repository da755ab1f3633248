//! What hours and seed need.

use crate::calculations::packets;
use crate::outcome::Calculation;
use crate::quantity::{Decimal, Duration, Length, Share, Speed};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "time", title: "Hours and seed to bring" };

/// What is planted: how many of everything, borders counted in and by themselves.
#[derive(Clone, Debug)]
pub struct Planted {
    /// Ranges with their borders.
    pub ranges: u32,
    /// Passes with their borders.
    pub passes: u32,
    /// Plots side by side in a pass.
    pub abreast: u32,
    /// Ranges that have another length of plot, each with how many it is.
    pub others: Vec<(u32, Length)>,
}

/// What hours and seed need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot.
    pub plot: Length,
    /// Width of an alley.
    pub alley: Length,
    /// Rows planted in one pass.
    pub rows: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// Ground speed.
    pub speed: Speed,
    /// How many of everything.
    pub planted: Planted,
    /// Time of a turn from one pass into the next.
    pub turn: Option<Duration>,
    /// Time to load one plot, with the planter standing.
    pub load: Option<Duration>,
    /// Share of the day that goes into all else: repairs, talk, rest, moving.
    pub lost: Option<Share>,
    /// Hours that are worked in a day.
    pub day: Option<Duration>,
    /// People who are there.
    pub crew: Option<Decimal>,
    /// Passes that were timed, from the start of one to the start of the next.
    pub took: Vec<Duration>,
    /// The packets, where the sheet has them.
    pub packets: Option<Box<packets::Inputs>>,
}
