//! What goes to the shop and to the field on paper.
//!
//! Every page is first a small document of headings, tables, pictures, tick boxes and blanks
//! ([`Leaf`], [`Block`]); [`html`] and [`plain`] print the same document. No number is worked out
//! here: all come from results and from what the sheet says.

mod blocks;
mod cab_card;
mod checklist;
pub mod html;
mod in_force;
mod kind;
mod label_sheet;
mod labels;
mod material;
mod paper;
pub mod plain;
mod rehearsal;
mod report;
mod run_form;
mod spacing_chart;
mod speed_table;
mod stakes;
pub mod trend;

use super::harmless;

pub use blocks::{Block, DayItem, Document, Field, Form, Frame, Grid, Labels, Leaf, List, Set};
pub use kind::Kind;
pub use label_sheet::LabelSheet;
pub use material::Material;
pub use paper::Paper;

/// The pages of the kinds that are wanted.
#[must_use]
pub fn document(kinds: &[Kind], material: &Material<'_>, paper: Paper) -> Document {
    let leaf = |kind: &Kind| Leaf {
        kind: *kind,
        half: material.half && *kind == Kind::CabCard,
        blocks: match kind {
            Kind::CabCard if material.half => cab_card::half(material),
            Kind::CabCard => cab_card::blocks(material),
            Kind::Checklist => checklist::blocks(material),
            Kind::RunForm => run_form::blocks(material),
            Kind::SpacingChart => spacing_chart::blocks(material),
            Kind::Stakes => stakes::blocks(material),
            Kind::Rehearsal => rehearsal::blocks(material),
            Kind::Labels => labels::blocks(material, material.label_sheet(paper)),
            Kind::Report => report::blocks(material),
            // One sheet is no trend; `trend::document` has those of many.
            Kind::Trend => vec![],
        },
    };
    Document {
        title: harmless(material.sheet.title.as_deref().unwrap_or("Trial without a title")),
        file: harmless(material.file),
        date: harmless(material.date),
        point: harmless(&material.sheet.facts.operating_point()),
        paper,
        leaves: kinds.iter().map(leaf).collect(),
    }
}
