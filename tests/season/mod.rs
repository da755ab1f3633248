//! Simulated seasons: a hidden planter, a sheet, and a technician who does what `Next:` says.

pub mod planter;
pub mod sheet;
pub mod technician;

use super::dice;
