//! Measures as people type them: a number, a unit, and the text they came from.
//!
//! This is the ground floor of the house: it knows nothing of field sheets, calculations or
//! printing. [`mod@unit`] is the one table of units with its authority, [`Measure`] a typed value,
//! [`parse`](Measure::parse) the reader, and [`bounds`] the one table of what is believable.

mod alike;
mod angle;
pub mod bounds;
mod decimal;
mod example;
mod measure;
mod parse;
mod system;
mod tape;
#[cfg(test)]
mod tests;
pub mod unit;

pub(crate) use alike::{SAME, at_most, same, same_but_for_writing};
pub use angle::{Angle, AngleKind};
pub use decimal::{as_shown_with, brief, clean, plain, round_half_away, shown, shown_with};
pub use example::metric_examples;
pub use measure::{
    CellRate, Decimal, Duration, Length, Mass, Measure, Part, PerArea, PerMass, PerRow, PerTime,
    SeedRate, Share, Speed,
};
pub(crate) use parse::{Commas, commas};
pub use parse::{ParseError, parse_number};
pub use system::{OfSystem, System};
pub use tape::feet_and_inches;
pub use unit::{
    AreaUnit, CellRateUnit, LengthUnit, MassUnit, MeasureUnit, PerMassUnit, PerTimeUnit, Ratio,
    RowUnit, ShareUnit, SpeedUnit, TimeUnit, Unit,
};
