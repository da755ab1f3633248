//! `[[pass-run]]`: how far each alley leads its neighbour's.

use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{Reader, Section, length, list};
use super::run::{self, Run};

/// One run; the leads are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) leads: Option<Vec<Length>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let leads =
        table.required(reader, "lead", "[\"4 in\", \"3 1/2 in\"]", list(length(&bounds::LEAD)));
    Table { run, leads }
}
