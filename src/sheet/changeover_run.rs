//! `[[changeover-run]]`: what the crew saw after one test range.

use crate::calculations::changeover::Observed;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::reader::{Reader, Section, length, list, whole, yes_or_no};
use super::run::{self, Run};

/// One run.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) seen: Observed,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let finished = table.optional(reader, "hand-over-finished", yes_or_no);
    let mut stretch =
        |key| -> Option<Length> { table.optional(reader, key, length(&bounds::SEEN_LENGTH)) };
    let old_seed_in_new_plot = stretch("old-seed-in-new-plot");
    let bunched_at_end = stretch("bunched-at-end");
    let bunched_at_start = stretch("bunched-at-start");
    let stray_seeds = table.optional(reader, "stray-seeds", whole(&bounds::STRAY_SEEDS));
    let widths = table.optional(reader, "alley-width", list(length(&bounds::SEEN_LENGTH)));
    Table {
        run,
        seen: Observed {
            hand_over_unfinished: finished == Some(false),
            old_seed_in_new_plot,
            bunched_at_end,
            bunched_at_start,
            stray_seeds,
            alley_width: widths.unwrap_or_default(),
        },
    }
}
