//! Seasons of what hands adjust: a hidden planter, a sheet, and a technician who does what `Next:` says.

pub mod end;
pub mod planter;
pub mod technician;

use super::dice;
use super::sheet;
