//! Hours and seed to bring: what they need of trial, planter, layout and packets.

use crate::calculations::time::{Inputs, Planted};
use crate::calculations::{packets, stakes};
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;
use super::run::at_trial_speed;

pub(super) fn time(
    tables: &Tables,
    packets: Option<&packets::Inputs>,
    layout: Option<&stakes::Inputs>,
    reader: &mut Reader<'_>,
) -> Option<Inputs> {
    let (table, runs) = (tables.time.as_ref(), &tables.time_runs);
    let need = match (runs.first(), table) {
        (Some(first), _) => Need { run: "[[time-run]]", span: &first.run.span },
        (None, Some(table)) => Need { run: "[time]", span: &table.span },
        (None, None) => return None,
    };
    let (trial, planter) = (&tables.trial, &tables.planter);
    let plot = need.of_trial(reader, tables, trial.plot.as_ref(), "plot", "\"17 ft 6 in\"");
    let alley = need.of_trial(reader, tables, trial.alley.as_ref(), "alley", "\"30 in\"");
    for (missing, table, key, example) in [
        (trial.speed.is_none(), "trial", "speed", "speed = \"2.8 mph\""),
        (trial.ranges.is_none(), "trial", "ranges", "ranges = 16"),
        (trial.passes.is_none(), "trial", "passes", "passes = 10"),
        (planter.rows.is_none(), "planter", "rows", "rows = 4"),
        (planter.row_spacing.is_none(), "planter", "row-spacing", "row-spacing = \"30 in\""),
    ] {
        if missing {
            let what = format!("`{key}` in [{table}]");
            need.missing(reader, &format!("{table}.{key}"), &what, example);
        }
    }
    let here: Vec<_> =
        runs.iter().filter(|table| at_trial_speed(&table.run, tables, reader)).collect();
    let turn = table.and_then(|table| table.turn.clone());
    // A sheet that begins from another has none of its runs.
    if turn.is_none() && runs.is_empty() && reader.must_say("time.turn") {
        let message = "[time] does not say how long a turn takes, and is not used";
        let advice = "add `turn = \"40 s\"` under [time], or a [[time-run]] with passes timed";
        reader.say(&codes::UNUSED_DATA, need.span.clone(), message, advice);
    }
    let mut took = vec![];
    for run in here {
        took.extend(run.took.clone()?);
    }
    let planted = planted(tables, layout);
    (turn.is_some() || !took.is_empty()).then_some(())?;
    Some(Inputs {
        plot: plot?,
        alley: alley?,
        rows: planter.rows.as_ref()?.value,
        row_spacing: planter.row_spacing.as_ref()?.value.clone(),
        speed: trial.speed.as_ref()?.value.clone(),
        planted: planted?,
        turn,
        load: table.and_then(|table| table.load.clone()),
        lost: table.and_then(|table| table.lost.clone()),
        day: table.and_then(|table| table.day.clone()),
        crew: table.and_then(|table| table.crew),
        took,
        packets: packets.cloned().map(Box::new),
    })
}

/// How many of everything, where the rows of a pass can be shared out in plots; the layout says where
/// not.
fn planted(tables: &Tables, laid_out: Option<&stakes::Inputs>) -> Option<Planted> {
    let (trial, layout) = (&tables.trial, tables.layout.as_ref());
    let rows = tables.planter.rows.as_ref()?.value.as_whole()?;
    let per_plot = trial.rows_per_plot.as_ref().map_or(Some(rows), |r| r.value.as_whole())?;
    let abreast = (per_plot > 0 && rows % per_plot == 0).then(|| rows / per_plot)?;
    let (ranges, passes) = (trial.ranges?.as_whole()?, trial.passes?.as_whole()?);
    let both = |borders: Option<u32>| 2 * borders.unwrap_or(0);
    Some(Planted {
        ranges: ranges + both(layout.and_then(|layout| layout.border_ranges)),
        passes: passes + both(layout.and_then(|layout| layout.border_passes)),
        abreast,
        others: laid_out.map(stakes::Inputs::other_lengths).unwrap_or_default(),
    })
}
