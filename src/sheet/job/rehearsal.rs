//! What a rehearsal starts from: the trial as staked.

use crate::calculations::stakes;
use crate::forecast::rehearsal::Inputs;
use crate::outcome::layout::{Grid, Side};
use crate::sheet::Tables;

use super::run::seeds;

/// The trial as far as the sheet has it.
pub(in crate::sheet) fn as_staked(tables: &Tables, laid_out: Option<&stakes::Inputs>) -> Inputs {
    let (trial, planter, packets) = (&tables.trial, &tables.planter, tables.packets.as_ref());
    let layout = tables.layout.as_ref();
    let whole = |count: Option<crate::quantity::Decimal>| count?.as_whole();
    let rows = planter.rows.as_ref().map(|rows| rows.value);
    let rows_per_plot = trial.rows_per_plot.as_ref().map(|rows| rows.value).or(rows);
    let abreast = whole(rows).zip(whole(rows_per_plot)).map_or(1, |(rows, of_plot)| rows / of_plot);
    let grid = whole(trial.ranges).zip(whole(trial.passes)).map(|(ranges, passes)| Grid {
        ranges,
        passes,
        abreast: abreast.max(1),
        border_ranges: layout.and_then(|layout| layout.border_ranges).unwrap_or(0),
        border_passes: layout.and_then(|layout| layout.border_passes).unwrap_or(0),
        one_way: trial.one_way,
    });
    Inputs {
        grid,
        laid_out: layout.is_some(),
        first_pass: layout.and_then(|layout| layout.first_pass).unwrap_or(Side::Left),
        trips: trial.trips,
        plot: trial.plot.as_ref().map(|plot| plot.value.clone()),
        others: laid_out.map(|layout| layout.others.clone()).unwrap_or_default(),
        border_plot: laid_out.and_then(|layout| layout.border_plot.clone()),
        alley: trial.alley.as_ref().map(|alley| alley.value.clone()),
        rows: whole(rows_per_plot),
        row_spacing: planter.row_spacing.as_ref().map(|spacing| spacing.value.clone()),
        pass_gap: layout.and_then(|layout| layout.pass_gap.clone()),
        seeds: seeds(tables),
        stand_limit: trial.stand_limit(),
        stand: trial.stand.as_ref().map(|stand| stand.value.clone()),
        germination: packets
            .and_then(|packets| Some(packets.seed.germination.as_ref()?.value.clone())),
        emergence: packets.and_then(|packets| Some(packets.emergence.as_ref()?.value.clone())),
        depth: trial.depth.as_ref().map(|depth| depth.value.clone()),
    }
}
