//! `[row-units]`: row units that sit ahead of or behind one another.

use crate::calculations::offsets::Rank;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::placed::Placed;
use super::reader::{Key, Keys, Needed, Reader, Section, length, list};

pub(super) static KEYS: Keys = Keys {
    name: "row-units",
    meaning: "Row units that don't sit in one line across the planter.",
    needed: Needed::Where("where they sit in two ranks"),
    notes: "Rows, alleys and leads are then read as those of the row that was taped (`row`, `row-taped`), \
            and brought to the middle of all rows.",
    list: &[&RANK_OFFSET],
    ..Keys::ONCE
};

static RANK_OFFSET: Key<Vec<Length>> = Key {
    name: "rank-offset",
    takes: &list(length(&bounds::ROW_EDGE)),
    needed: Needed::Always,
    example: "[\"0 in\", \"10 in\", \"0 in\", \"10 in\"]",
    meaning: "How far each row unit drops its seed ahead of one line across the planter, along the \
              travel, from row 1 (behind: negative).",
};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) offsets: Option<Placed<Vec<Length>>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table { offsets: table.placed(reader, &RANK_OFFSET) }
}

impl Table {
    /// How far a row's unit drops seed ahead.
    pub(super) fn of_row(&self, row: u32) -> Option<&Length> {
        self.offsets.as_ref()?.value.get(usize::try_from(row).ok()?.checked_sub(1)?)
    }

    /// A row among all of them.
    pub(super) fn rank(&self, row: u32) -> Option<Rank> {
        let all = &self.offsets.as_ref()?.value;
        let own = self.of_row(row)?.clone();
        let by_base = |one: &&Length, other: &&Length| one.base().total_cmp(&other.base());
        let (least, most) =
            (all.iter().min_by(by_base)?.clone(), all.iter().max_by(by_base)?.clone());
        Some(Rank { row, own, least, most })
    }
}
