//! What the closed form says of a changeover against the stepped planter.

use alleytrue::calculations::changeover::{Phases, Schedule, predict};
use proptest::prelude::*;

use super::{Grain, Lot, Machine, first_new, last_old, moments, phases, strays};

/// What the stepped planter does on the average over the plate's phase.
pub struct Averages {
    pub last: (f64, f64),
    pub first: (f64, f64),
    pub width: (f64, f64),
    pub centre: (f64, f64),
    pub bunched_at_end: f64,
    pub bunched_at_start: f64,
    pub swept_old: f64,
    pub swept_new: f64,
    pub strays: f64,
}

const GRID: u32 = 250;

pub fn averages(planter: &Machine) -> Averages {
    let early = planter.early();
    let ground = planter.ground_rate();
    let late = planter.late();
    let rows: Vec<Vec<Grain>> =
        phases(GRID).map(|phase| planter.plant(phase, early, late)).collect();
    let edges: Vec<(f64, f64)> = rows
        .iter()
        .map(|row| (last_old(row).expect("old").at, first_new(row).expect("new").at))
        .collect();
    let of =
        |pick: &dyn Fn(&(f64, f64)) -> f64| moments(&edges.iter().map(pick).collect::<Vec<_>>());
    let count = |pick: &dyn Fn(f64, f64, &Grain) -> bool| {
        let seeds = rows.iter().map(|row| {
            let (last, first) = (last_old(row).expect("old"), first_new(row).expect("new"));
            row.iter().filter(|grain| pick(last.picked, first.picked, grain)).count()
        });
        seeds.sum::<usize>() as f64 / f64::from(GRID)
    };
    Averages {
        last: of(&|edge| edge.0),
        first: of(&|edge| edge.1),
        width: of(&|edge| edge.1 - edge.0),
        centre: of(&|edge| f64::midpoint(edge.0, edge.1)),
        bunched_at_end: count(&|last, _, grain| {
            grain.lot == Lot::Old && grain.picked <= last && grain.rate > ground
        }),
        bunched_at_start: count(&|_, first, grain| {
            grain.lot == Lot::New && grain.picked >= first && grain.rate > ground
        }),
        swept_old: count(&|_, _, grain| grain.lot == Lot::Old && grain.swept),
        swept_new: count(&|_, _, grain| grain.lot == Lot::New && grain.swept),
        strays: rows.iter().map(|row| strays(row) as f64).sum::<f64>() / f64::from(GRID),
    }
}

/// The prediction and the sums over the phases against the stepped planter: means and standard
/// deviations are exact, wherever the rate changes and whatever the sweep catches; the bench steps
/// through a grid of phases only. A place bends or jumps at six phases at the most, and the grid
/// is off by as much as it jumps there, a cell or the cells that a sweep takes, in one of its steps.
pub fn held_against_the_bench(
    schedule: &Schedule<f64>,
    planter: &Machine,
) -> Result<(), TestCaseError> {
    let ground = predict(schedule);
    let seen = averages(planter);
    let phases = Phases::of(schedule);
    let s = schedule.spacing;
    // A sweep that catches a cell or none moves an edge by all the cells behind it.
    let old_end = ground.motion.cells_at(schedule.old_seed_gone);
    let new_start = ground.motion.cells_at(schedule.new_seed_there);
    let behind = (old_end - ground.last_cell).abs().max((ground.first_cell - new_start).abs());
    let swept = behind.max(ground.swept_old).max(ground.swept_new) + 1.0;
    let jump = s * if schedule.sweeps.is_empty() { 1.0 } else { swept };
    let grid = 3.0 * jump / f64::from(GRID);
    for (what, is, mean, predicted) in [
        ("last", seen.last, phases.last, ground.last_seed),
        ("first", seen.first, phases.first, ground.first_seed),
        ("width", seen.width, phases.width, ground.width),
        ("centre", seen.centre, phases.centre, ground.centre),
    ] {
        prop_assert!((is.0 - predicted).abs() <= grid, "{what}: {} not {predicted}", is.0);
        prop_assert!((mean.mean - predicted).abs() <= 1e-6 * s, "{what}: {mean:?} {predicted}");
        let off = (is.1 * is.1 - mean.sd * mean.sd).abs();
        let bound = 2.0 * grid * (jump + s);
        prop_assert!(off <= bound, "SD of the {what}: {} not {}", is.1, mean.sd);
    }
    let cells = swept * 3.0 / f64::from(GRID);
    prop_assert!((seen.swept_new - ground.swept_new).abs() <= cells);
    prop_assert!((seen.strays - ground.strays).abs() <= cells, "{} {}", seen.strays, ground.strays);
    prop_assert!(
        (seen.bunched_at_end - ground.bunched_at_end.max(0.0)).abs() <= cells,
        "bunched at end {} {}",
        seen.bunched_at_end,
        ground.bunched_at_end
    );
    // The sweep may take seeds out of the middle of the bunch.
    let boost_ends = ground.motion.changes.last().map_or(0.0, |last| last.cells);
    if ground.swept_new == 0.0 || ground.first_cell > boost_ends {
        prop_assert!(
            (seen.bunched_at_start - ground.bunched_at_start).abs() <= cells,
            "bunched at start {} {}",
            seen.bunched_at_start,
            ground.bunched_at_start
        );
    }
    // Every cell that could be swept was stepped, so the count is complete.
    prop_assert!(
        (seen.swept_old - ground.swept_old).abs() <= cells,
        "swept {} {}",
        seen.swept_old,
        ground.swept_old
    );
    Ok(())
}
