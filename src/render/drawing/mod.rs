//! Pictures of results. A picture becomes geometry once ([`Scene`]: places, labels, scales); two
//! small back ends draw that geometry, [`terminal`] in columns of text and [`svg`] on paper.

mod field;
mod field_plan;
mod histogram;
mod pen;
mod rehearsed;
mod scene;
mod view;
mod words;

pub mod svg;
pub mod terminal;

pub use scene::{Axis, BarChart, Graph, Kind, Row, Scene, Shape, Strips, Tick};
pub use view::{Part, View};
