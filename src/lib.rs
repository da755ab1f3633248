//! x
pub mod quantity;
pub mod working;
