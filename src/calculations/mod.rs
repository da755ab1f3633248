//! The calculations: pure functions from what was measured to what to set.
//!
//! One file or folder per calculation. Each takes its own `Inputs`, does its arithmetic on
//! [`Value`](crate::working::Value)s so that every line can be printed, and returns an
//! [`Outcome`](crate::outcome::Outcome). Nothing here reads files, prints, or knows what time it
//! is.
//!
//! Directions: everything is seen along the direction of travel. "Ahead" is further along,
//! "back" the other way; a positive shift is ahead.

mod agreement;
pub mod alley;
mod by_row;
mod calculate;
pub mod chain;
mod change_by_hand;
mod change_check;
pub mod changeover;
mod common;
pub mod depth;
mod edges;
pub mod evenness;
pub mod guess_rows;
pub mod harvest;
pub mod jitter;
mod judgement;
mod leads;
mod lengths;
pub mod limits;
pub mod meter;
pub mod offsets;
pub mod one_wheel;
pub mod packets;
pub mod passes;
mod readings;
pub mod registry;
pub mod rows;
pub mod run_up;
mod single;
pub mod slope;
pub mod spacing;
pub mod speed;
pub mod speed_law;
pub mod sprockets;
pub mod stakes;
pub mod stand;
pub mod time;
pub mod trip;
pub mod wheel;

pub use calculate::{Calculate, Entry, SoFar};
pub use common::{ChangeMade, Common};
pub use edges::EdgesSince;
