//! A rehearsal: the whole trial drawn many times, from all that a sheet knows and all that it leaves
//! open, before a seed of it is planted.

mod dice;
mod drawing;
mod field;
mod known;
mod tally;
mod trial;
mod truth;

pub use drawing::{Draws, count_of, draw, field_of};
pub use field::Planted;
pub use known::{Known, Part, Scatter, Shared, Stand};
pub use tally::{Count, Spread, Tally};
pub use trial::{Kind, Limits, Trial, Trips};
