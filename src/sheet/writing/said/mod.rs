//! What was said of a run, as a sheet is to have it: units that make sense of a key, readings
//! pasted as they come, marks that follow from the sheet, and what was understood in one line.

mod columns;
mod commas;
mod doubt;
mod echo;
mod fits;
mod fractions;
mod marks;
mod pairs;
mod token;
mod understood;
mod values;

pub use columns::{Columns, columns};
pub(in crate::sheet) use commas::parted_by_commas;
pub use fits::Suspicion;
pub use understood::{Bare, Said, Understood, understood};
