//! What pages say besides results: the sheet's own words, and the items of the checklist.

pub mod checklist;
mod facts;
mod part;

pub use facts::{Facts, Has, Holding, OwnChecklist, Study};
