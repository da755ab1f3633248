//! The layout of the field, and whether it fits together.

use crate::calculations::Common;
use std::ops::Range;

use crate::calculations::stakes::{
    Grid, Inputs, MOST_PLOTS, Numbering, Order, OtherPlots, Place, Run, Side,
};
use crate::forecast::rehearsal::Trips;
use crate::outcome::geodesy::FURTHEST;
use crate::quantity::{Decimal, Length};
use crate::sheet::layout::{Other, Table};
use crate::sheet::placed::Placed;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;

/// The number of the first plot where the sheet gives none.
const FIRST_PLOT: u32 = 101;

pub(super) fn stakes(tables: &Tables, common: &Common, reader: &mut Reader<'_>) -> Option<Inputs> {
    let layout = tables.layout.as_ref()?;
    let need = Need { run: "[layout]", span: &layout.span };
    let trial = &tables.trial;
    let plot = need.of_trial(reader, tables, trial.plot.as_ref(), "plot", "\"17 ft 6 in\"");
    let alley = need.of_trial(reader, tables, trial.alley.as_ref(), "alley", "\"30 in\"");
    let ranges = given(&need, reader, trial.ranges, "trial.ranges", "ranges = 16");
    let passes = given(&need, reader, trial.passes, "trial.passes", "passes = 10");
    let planter = &tables.planter;
    let rows =
        given(&need, reader, planter.rows.as_ref().map(|r| r.value), "planter.rows", "rows = 4");
    let example = "row-spacing = \"30 in\"";
    let spacing = planter.row_spacing.as_ref().map(|spacing| spacing.value.clone());
    let row_spacing = given(&need, reader, spacing, "planter.row-spacing", example);
    let place = place(layout, reader);
    let abreast = rows.and_then(|rows| abreast(tables, rows, reader));
    let (plot, alley, rows, headland) = (plot?, alley?, rows?, layout.headland.as_ref()?);
    let room = room_for_marks(headland, layout.end_headland.as_ref(), &alley, reader);
    let grid = Grid {
        ranges: ranges?.as_whole()?,
        passes: passes?.as_whole()?,
        abreast: abreast?,
        border_ranges: layout.border_ranges.unwrap_or(0),
        border_passes: layout.border_passes.unwrap_or(0),
        one_way: trial.one_way,
    };
    let numbering = Numbering {
        first: layout.first_plot.unwrap_or(FIRST_PLOT),
        step: layout.number_step.as_ref().map(|step| step.value),
        order: layout.numbering.unwrap_or(Order::Serpentine),
        run: layout.numbers_run.unwrap_or(Run::Across),
        first_pass: layout.first_pass.unwrap_or(Side::Left),
    };
    let fits =
        room & few_enough(&grid, layout, reader) & numbers_apart(&grid, numbering, layout, reader);
    let others = others(layout, &plot, &grid, reader);
    let entries_and_reps = trial.entries.as_ref().zip(trial.reps.as_ref());
    let inputs = Inputs {
        plot,
        others: others?,
        border_plot: layout.border_plot.as_ref().map(|length| length.value.clone()),
        alley,
        rows,
        rows_per_plot: trial.rows_per_plot.as_ref().map_or(rows, |rows| rows.value),
        row_spacing: row_spacing?,
        grid,
        headland: headland.value.clone(),
        end_headland: layout.end_headland.as_ref().map(|length| length.value.clone()),
        side_margin: layout.side_margin.clone(),
        pass_gap: layout.pass_gap.clone(),
        tape: layout.tape.clone(),
        wire_end: layout.wire_end.clone(),
        numbering,
        place,
        entries_and_reps: entries_and_reps.map(|(entries, reps)| (entries.value, reps.value)),
        trip_tolerance: trial.tolerance.trip.clone(),
        trips_at_marks: trial.trips == Some(Trips::AtMarks),
    };
    (fits && on_one_map(&inputs, common, layout, reader)).then_some(inputs)
}

/// A value of another table, or the message that it is missing.
fn given<T>(
    need: &Need<'_>,
    reader: &mut Reader<'_>,
    value: Option<T>,
    path: &str,
    example: &str,
) -> Option<T> {
    if value.is_none() {
        let (table, key) = path.split_once('.').unwrap_or(("", path));
        need.missing(reader, path, &format!("`{key}` in [{table}]"), example);
    }
    value
}

/// The ranges with other plots, in the order they lie; `None` where any was refused.
fn others(
    layout: &Table,
    plot: &Length,
    grid: &Grid,
    reader: &mut Reader<'_>,
) -> Option<Vec<OtherPlots>> {
    if let Some(border) = &layout.border_plot
        && grid.border_ranges == 0
    {
        let message = "`border-plot` has no effect without `border-ranges`";
        let advice = "add `border-ranges`, or take this one out";
        reader.say(&codes::UNUSED_KEY, border.span.clone(), message, advice);
    }
    let mut all: Option<Vec<OtherPlots>> = Some(vec![]);
    for other in &layout.other_plots {
        let read = self::other(other, plot, grid, reader);
        all = all.zip(read).map(|(mut all, read)| {
            if let Some(before) =
                all.iter().find(|one| one.first <= read.last && read.first <= one.last)
            {
                let message = format!("{} and {} overlap", before.name(), read.name());
                let advice = "let every range stand in one [[layout.other-plots]]";
                reader.say(&codes::CONFLICT, other.span.clone(), message, advice);
            }
            all.push(read);
            all
        });
    }
    let mut all = all?;
    all.sort_by_key(|one| one.first);
    let ranges: u32 = all.iter().map(OtherPlots::count).sum();
    if ranges >= grid.ranges
        && let Some(last) = layout.other_plots.last()
    {
        let message = "no range is left with plots of the length of `plot` in [trial]";
        let advice = "give the longest plot of the trial as `plot` in [trial]";
        reader.say(&codes::CONFLICT, last.span.clone(), message, advice);
    }
    Some(all)
}

/// One [[layout.other-plots]].
fn other(other: &Other, plot: &Length, grid: &Grid, reader: &mut Reader<'_>) -> Option<OtherPlots> {
    let from = other.from.as_ref()?;
    let to = other.to.as_ref().unwrap_or(from);
    let (place, allowed) = if from.value > grid.ranges {
        (from, format!("1 to {}, the `ranges` of [trial]", grid.ranges))
    } else if !(from.value..=grid.ranges).contains(&to.value) {
        (to, format!("{} to {}", from.value, grid.ranges))
    } else {
        let own = other.plot.as_ref()?;
        if own.value.base() > plot.base() * (1.0 + 1e-9) && !other.fillers {
            let message = "plots of other ranges can't be longer than `plot` in [trial]";
            let advice = "give the longest plot of the trial as `plot` in [trial], and the ranges with \
                          shorter ones here: tolerances are for the longest";
            reader.say(&codes::OUT_OF_RANGE, own.span.clone(), message, advice).allowed =
                Some(format!("up to {plot}"));
            return None;
        }
        let length = own.value.clone();
        let (first, last, fillers) = (from.value, to.value, other.fillers);
        return Some(OtherPlots { first, last, plot: length, fillers });
    };
    let message = format!("the trial has no such range {}", place.value);
    let advice = "check `ranges` in [trial]; ranges are counted from the start line";
    reader.say(&codes::OUT_OF_RANGE, place.span.clone(), message, advice).allowed = Some(allowed);
    None
}

/// Plots side by side in a pass: the rows of a pass shared out.
fn abreast(tables: &Tables, rows: Decimal, reader: &mut Reader<'_>) -> Option<u32> {
    let rows = rows.as_whole()?;
    let Some(placed) = &tables.trial.rows_per_plot else { return Some(1) };
    let per_plot = placed.value.as_whole()?;
    if per_plot > 0 && rows % per_plot == 0 {
        return Some(rows / per_plot);
    }
    let message = format!("{rows} rows of a pass can't be shared out in plots of {per_plot} rows");
    let allowed: Vec<String> =
        (1..=rows).filter(|one| rows % one == 0).map(|one| one.to_string()).collect();
    let advice = "check `rows` in [planter] and `rows-per-plot` in [trial]";
    reader.say(&codes::OUT_OF_RANGE, placed.span.clone(), message, advice).allowed =
        Some(allowed.join(", "));
    None
}

/// Whether both outermost marks lie inside the field.
fn room_for_marks(
    headland: &Placed<Length>,
    end: Option<&Placed<Length>>,
    alley: &Length,
    reader: &mut Reader<'_>,
) -> bool {
    let mut room = true;
    let ends = [("headland", "first", Some(headland)), ("end-headland", "last", end)];
    for (key, which, placed) in ends {
        let short =
            |placed: &&Placed<Length>| 2.0 * placed.value.base() < alley.base() * (1.0 - 1e-9);
        if let Some(placed) = placed.filter(short) {
            let message = format!(
                "`{key}` leaves no room for the {which} mark, which stands half an alley from the \
                 plots"
            );
            let advice = "measure it from the edge of the field to the outermost planted ground";
            reader.say(&codes::OUT_OF_RANGE, placed.span.clone(), message, advice).allowed =
                Some(format!("half of the alley ({alley}) or more"));
            room = false;
        }
    }
    room
}

fn few_enough(grid: &Grid, layout: &Table, reader: &mut Reader<'_>) -> bool {
    let plots = grid.plots();
    if plots > MOST_PLOTS {
        let message = format!("a layout of {plots} plots is too large");
        let advice =
            "check `ranges` and `passes` in [trial], or split the field into several sheets";
        reader.say(&codes::OUT_OF_RANGE, layout.span.clone(), message, advice).allowed =
            Some(format!("up to {MOST_PLOTS} plots"));
    }
    plots <= MOST_PLOTS
}

/// Whether no number comes up twice.
fn numbers_apart(
    grid: &Grid,
    numbering: Numbering,
    layout: &Table,
    reader: &mut Reader<'_>,
) -> bool {
    let line = numbering.line(grid);
    let Some(step) = &layout.number_step else { return true };
    if u64::from(step.value) < line {
        let message = format!(
            "plot numbers would come up twice: a line of {line} plots and a step of {}",
            step.value
        );
        let advice = "raise it, or leave it out so that numbers follow on";
        reader.say(&codes::OUT_OF_RANGE, step.span.clone(), message, advice).allowed =
            Some(format!("{line} or more"));
        return false;
    }
    true
}

/// Where the field lies, if the sheet says both where and which way.
fn place(layout: &Table, reader: &mut Reader<'_>) -> Option<Place> {
    let one_alone = |span: &Range<usize>, lacks: &str, example: &str, reader: &mut Reader<'_>| {
        if reader.must_say(&format!("layout.{lacks}")) {
            let message = format!("[layout] needs `{lacks}` too, to place the field on the globe");
            let advice = format!("add `{example}` under [layout]");
            reader.say(&codes::MISSING_KEY, span.clone(), message, advice);
        }
    };
    match (&layout.corner, &layout.bearing) {
        (Some(corner), None) => {
            one_alone(&corner.span, "bearing", "bearing = \"12.5 deg\"", reader);
            None
        }
        (None, Some(bearing)) => {
            let example = "corner = { latitude = 42.0308, longitude = -93.6319, side = \"left\" }";
            one_alone(&bearing.span, "corner", example, reader);
            None
        }
        (Some(corner), Some(bearing)) => Some(Place {
            latitude: corner.latitude?.degrees(),
            longitude: corner.longitude?.degrees(),
            corner: corner.side?,
            bearing: bearing.value.degrees(),
        }),
        (None, None) => None,
    }
}

/// Whether the field can be drawn as one piece on a map: small enough, and on one side of the
/// 180th meridian.
fn on_one_map(inputs: &Inputs, common: &Common, layout: &Table, reader: &mut Reader<'_>) -> bool {
    let Some(corner) = &layout.corner else { return true };
    let field = inputs.layout(common);
    let (length, width) = field.size();
    let across = field.metres(length).hypot(field.metres(width));
    let (message, allowed) = if across > FURTHEST {
        let message =
            format!("a field of {across:.0} m from corner to corner is not placed on the globe");
        (message, format!("up to {FURTHEST:.0} m"))
    } else {
        let all: Vec<f64> = field
            .corners()
            .iter()
            .filter_map(|at| field.point(*at))
            .map(|point| point.longitude)
            .collect();
        let least = all.iter().copied().fold(f64::INFINITY, f64::min);
        let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if most - least <= 180.0 {
            return true;
        }
        let message = "the field lies across the 180th meridian, where maps are cut".to_owned();
        (message, "a field on one side of it".into())
    };
    let advice = "split the field into two sheets, or leave `corner` and `bearing` out";
    reader.say(&codes::OUT_OF_RANGE, corner.span.clone(), message, advice).allowed = Some(allowed);
    false
}
