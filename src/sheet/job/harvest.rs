//! Harvest lengths: what they need of trial and planter, and whether plots can be as taped.

use crate::calculations::harvest::{Between, Inputs};
use crate::calculations::stakes;
use crate::quantity::{Length, LengthUnit, MeasureUnit, at_most, brief};
use crate::sheet::harvest_run::Table;
use crate::sheet::placed::Placed;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};
use crate::working::Units;

use super::need::Need;
use super::run::seeds;

/// Lengths as bounds have them.
const MILLIMETRES: Units = Units { length: LengthUnit::Millimetre, ..Units::METRIC };

pub(super) fn harvest(
    tables: &Tables,
    layout: Option<&stakes::Inputs>,
    reader: &mut Reader<'_>,
) -> Option<Inputs> {
    let runs = &tables.harvest_runs;
    let table = tables.harvest.as_ref();
    let need = match (runs.first(), table) {
        (Some(first), _) => Some(Need { run: "[[harvest-run]]", span: &first.run.span }),
        (None, Some(table)) => Some(Need { run: "[harvest]", span: &table.span }),
        (None, None) => None,
    };
    let trial = &tables.trial;
    let (plot, alley) = match &need {
        Some(need) => (
            need.of_trial(reader, tables, trial.plot.as_ref(), "plot", "\"17 ft 6 in\""),
            need.of_trial(reader, tables, trial.alley.as_ref(), "alley", "\"30 in\""),
        ),
        None => (
            trial.plot.as_ref().map(|plot| plot.value.clone()),
            trial.alley.as_ref().map(|alley| alley.value.clone()),
        ),
    };
    let seeds = seeds(tables);
    if let (Some(need), None) = (&need, &seeds) {
        need.seeds(reader);
    }
    let trim = table.and_then(|table| table.trim.as_ref());
    cuts_need_trim(runs, tables, reader);
    let (plot, alley, seeds) = (plot?, alley?, seeds?);
    let spacing = seeds.spacing(&MILLIMETRES).number();
    let mut fits = trim.is_none_or(|trim| leaves_a_plot(trim, &plot, spacing, reader));
    for run in runs {
        fits &= one_plot_each(run, &plot, &alley, spacing, reader);
    }
    let whole = table.is_none_or(|table| !table.unread);
    (fits && whole).then_some(())?;
    Some(Inputs {
        plot,
        others: layout.map(stakes::Inputs::other_plots).unwrap_or_default(),
        alley,
        seeds,
        rows_per_plot: trial
            .rows_per_plot
            .as_ref()
            .or(tables.planter.rows.as_ref())
            .map(|r| r.value),
        trim: trim.map(|trim| trim.value.clone()),
        entered: table.and_then(|table| table.entered.clone()),
        plants: taped(Between::Plants, runs)?,
        cuts: taped(Between::Cuts, runs)?,
        tolerance: trial.tolerance.trip.clone(),
        asked: need.is_some(),
    })
}

/// All plots taped one way; nothing where a run could not be read.
fn taped(between: Between, runs: &[Table]) -> Option<Vec<Length>> {
    let mut all = vec![];
    for run in runs {
        let own = run.lengths.as_ref()?;
        if run.between? == between {
            all.extend(own.value.iter().cloned());
        }
    }
    Some(all)
}

/// Plots taped from cut to cut are held against what the trim leaves.
fn cuts_need_trim(runs: &[Table], tables: &Tables, reader: &mut Reader<'_>) {
    let cut = runs.iter().find(|run| run.between == Some(Between::Cuts));
    let none = |trim: &Placed<Length>| trim.value.base() <= 0.0;
    let trim = tables.harvest.as_ref().and_then(|table| table.trim.as_ref());
    let Some(cut) = cut.filter(|_| trim.is_none_or(none)) else { return };
    if reader.must_say("harvest.trim") {
        let message = "plots taped from cut to cut need `trim` in [harvest]";
        let advice = "add a line [harvest], and below it `trim = \"18 in\"`, what is cut off at each \
                      end";
        reader.say(&codes::MISSING_KEY, cut.run.span.clone(), message, advice);
    }
}

/// Whether more than a plant is left of a plot that is trimmed at both ends.
fn leaves_a_plot(
    trim: &Placed<Length>,
    plot: &Length,
    spacing: f64,
    reader: &mut Reader<'_>,
) -> bool {
    let left = !at_most(plot.base(), 2.0 * trim.value.base() + spacing);
    if !left {
        let message = format!("a `trim` of {} at both ends leaves nothing of a plot", trim.value);
        let advice = "it is what is cut off at one end; check it, and `plot` in [trial]";
        reader.say(&codes::OUT_OF_RANGE, trim.span.clone(), message, advice).allowed =
            Some(format!("less than half of the plot ({plot}), so that two plants are left"));
    }
    left
}

/// Whether every length can be that of a single plot: it ends before the next one begins, and is
/// more than a seed spacing long.
fn one_plot_each(
    run: &Table,
    plot: &Length,
    alley: &Length,
    spacing: f64,
    reader: &mut Reader<'_>,
) -> bool {
    let Some(lengths) = &run.lengths else { return true };
    let most = plot.base() + alley.base();
    let is_odd =
        |length: &&Length| !at_most(length.base(), most) || at_most(length.base(), spacing);
    let Some(odd) = lengths.value.iter().find(is_odd) else { return true };
    let message = if at_most(odd.base(), spacing) {
        format!("a plot of {odd} is no longer than one seed spacing")
    } else {
        format!("a plot of {odd} would reach into the next one")
    };
    let advice = "check its unit, and whether an alley was passed";
    let most = format!("{} {}", brief(most / plot.unit().base()), plot.unit());
    reader.say(&codes::OUT_OF_RANGE, lengths.span.clone(), message, advice).allowed =
        Some(format!("up to {most}, plot and alley together"));
    false
}
