//! `[[stand-count]]`: plants counted on a length of row, or in whole plots.

use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::codes;
use super::placed::Placed;
use super::reader::{
    Blank, Entry, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, YesNo, counted,
    length, list, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "stand-count",
    meaning: "Plants counted.",
    needed: Needed::Where("for the stand"),
    list: &[&LENGTH, &PLOTS, &ROW, &ROWS, &COUNTS, &SKIPS],
    shown: &[&LENGTH, &COUNTS],
    run: Some(Recording {
        name: "stand",
        about: "Plants counted on a length of row or in whole plots; values are the counts",
        values: &[Values { list: &COUNTS, with: None, many: "counts" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[Blank {
            fields: &[
                (&ROW, Hint::Words("the row, where it was always the same")),
                (&ROWS, Hint::Words("rows counted together; 1 without it")),
                (&LENGTH, Hint::Words("of row, with its unit: \"17 ft 5 in\"")),
            ],
            lists: &[&COUNTS],
        }],
    }),
    ..Keys::MANY
};

static LENGTH: Key<Length> = Key {
    name: "length",
    takes: &length(&bounds::COUNTED_ROW),
    needed: Needed::Where("or `plots`"),
    example: "\"17 ft 5 in\"",
    meaning: "Length of row that one count goes over.",
};
static PLOTS: Key<bool> = Key {
    name: "plots",
    takes: &YesNo,
    needed: Needed::Where("or `length`"),
    example: "true",
    meaning: "One count goes over a whole plot: `plot` of the trial long, `rows-per-plot` wide.",
};
static ROW: Key<u32> = Key {
    name: "row",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "The row, where it was always the same one.",
};
static ROWS: Key<Decimal> = Key {
    name: "rows",
    takes: &counted(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "Rows counted together: 1 without it, all of the plot with `plots`.",
};
static COUNTS: Key<Vec<Decimal>> = Key {
    name: "counts",
    takes: &list(counted(&bounds::PLANTS)),
    needed: Needed::Always,
    example: "[26, 24, 27, 25]",
    meaning: "Plants at each place.",
};
static SKIPS: Key<Vec<Length>> = Key {
    name: "skips",
    takes: &list(length(&bounds::SKIP)),
    needed: Needed::No,
    example: "[\"22 in\", \"31 in\"]",
    meaning: "Lengths of bare stretches noted on the way.",
};

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

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let length = table.read(reader, &LENGTH);
    let plots = table.read(reader, &PLOTS);
    let whole_plots = plots == Some(true);
    if whole_plots && table.has(&LENGTH) {
        let message = "`length` and `plots` both say what one count goes over";
        reader.say(&codes::CONFLICT, table.place(&PLOTS), message, "keep one of them");
    } else if !whole_plots && !table.has(&LENGTH) && (plots.is_some() || !table.has(&PLOTS)) {
        let message = "this [[stand-count]] does not say what one count goes over";
        let advice = "add `length = \"17 ft 5 in\"`, the length of row, or `plots = true`; \
                      `alleytrue stand` says which length is 1/1000 acre";
        reader.say(&codes::MISSING_KEY, table.span(), message, advice);
    }
    let row = table.placed(reader, &ROW);
    let rows = table.placed(reader, &ROWS);
    if let (Some(_), Some(rows)) = (&row, &rows)
        && rows.value.as_whole() != Some(1)
    {
        let message = "a count of several `rows` together can't be of one `row`";
        let advice = "take out `row`, or count every row by itself";
        reader.say(&codes::CONFLICT, rows.span.clone(), message, advice);
    }
    let plants = table.read(reader, &COUNTS);
    let skips = table.placed(reader, &SKIPS);
    let read = |key: &dyn Entry, there: bool| !table.has(key) || there;
    let unread = !(read(&LENGTH, length.is_some())
        && read(&PLOTS, plots.is_some())
        && read(&ROW, row.is_some())
        && read(&ROWS, rows.is_some())
        && read(&SKIPS, skips.is_some()));
    let over = if whole_plots { Some(Over::Plots) } else { length.map(Over::Row) };
    Table { run, row, over, rows, plants, skips, unread }
}
