//! `[[stand-count]]`: plants counted on a length of row, or in whole plots.

use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::Placed;
use super::codes;
use super::reader::{Reader, Section, counted, length, list, whole, yes_or_no};
use super::run::{self, Run};

/// One run of counts.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) row: Option<Placed<u32>>,
    pub(super) over: Option<Over>,
    pub(super) rows: Option<Placed<Decimal>>,
    pub(super) plants: Option<Vec<Decimal>>,
    pub(super) skips: Option<Placed<Vec<Length>>>,
    /// Whether something of it could not be read.
    pub(super) unread: bool,
}

/// What one count goes over.
#[derive(Debug)]
pub(super) enum Over {
    /// A length of row.
    Row(Length),
    /// Whole plots.
    Plots,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let length = table.optional(reader, "length", length(&bounds::COUNTED_ROW));
    let plots = table.optional(reader, "plots", yes_or_no);
    let whole_plots = plots == Some(true);
    if whole_plots && table.has("length") {
        let message = "`length` and `plots` both say what one count goes over";
        reader.say(&codes::CONFLICT, table.place("plots"), message, "keep one of them");
    } else if !whole_plots && !table.has("length") && (plots.is_some() || !table.has("plots")) {
        let message = "this [[stand-count]] does not say what one count goes over";
        let advice = "add `length = \"17 ft 5 in\"`, the length of row, or `plots = true`; \
                      `alleytrue stand` says which length is 1/1000 acre";
        reader.say(&codes::MISSING_KEY, table.span(), message, advice);
    }
    let row = table.placed(reader, "row", whole(&bounds::ROWS));
    let rows = table.placed(reader, "rows", counted(&bounds::ROWS));
    if let (Some(_), Some(rows)) = (&row, &rows)
        && rows.value.as_whole() != Some(1)
    {
        let message = "a count of several `rows` together can't be of one `row`";
        let advice = "take out `row`, or count every row by itself";
        reader.say(&codes::CONFLICT, rows.span.clone(), message, advice);
    }
    let plants =
        table.required(reader, "counts", "[26, 24, 27, 25]", list(counted(&bounds::PLANTS)));
    let skips = table.placed(reader, "skips", list(super::reader::length(&bounds::SKIP)));
    let read = |key: &str, there: bool| !table.has(key) || there;
    let unread = !(read("length", length.is_some())
        && read("plots", plots.is_some())
        && read("row", row.is_some())
        && read("rows", rows.is_some())
        && read("skips", skips.is_some()));
    let over = if whole_plots { Some(Over::Plots) } else { length.map(Over::Row) };
    Table { run, row, over, rows, plants, skips, unread }
}
