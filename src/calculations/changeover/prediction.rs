//! Where a changeover puts the seeds, on the average over the plate's phase. Closed form.
//!
//! The last old seed lies anywhere within one cell before the nominal edge, the first new one
//! within one cell behind it, each place as likely as any other. Where the plate's rate changes
//! within that cell, the edge is half of a spacing that is made of both.

use crate::working::Arithmetic;

use super::motion::{HAIR, Motion, Schedule, numbers, swept_cells};
use super::phase::Phases;

/// Where a changeover puts the seeds of one row, on the average over the plate's phase.
#[derive(Clone, Debug)]
pub struct Prediction<N> {
    /// The motion behind it.
    pub motion: Motion<N>,
    /// Cell past which no old seed reaches the ground as part of its plot.
    pub last_cell: N,
    /// Cell from which on new seed reaches the ground.
    pub first_cell: N,
    /// No old seed is released after this time.
    pub last_release: N,
    /// No new seed is released before this time.
    pub first_release: N,
    /// Local spacing where the old plot ends; where the plate's rate changes there, made of both.
    pub spacing_at_last: N,
    /// Local spacing where the new plot starts.
    pub spacing_at_first: N,
    /// Whether the plate turns at one rate over the whole cell in which the last seed may lie, and
    /// that cell is the same for all phases.
    pub last_even: bool,
    /// Likewise for the first seed.
    pub first_even: bool,
    /// Last seed of the old plot, along the travel from the trip.
    pub last_seed: N,
    /// First seed of the new plot, along the travel from the trip.
    pub first_seed: N,
    /// Alley width.
    pub width: N,
    /// Middle of the alley, along the travel from the trip.
    pub centre: N,
    /// Old seeds released under boost: bunched at the plot's end.
    pub bunched_at_end: N,
    /// New seeds released under boost: bunched at the plot's start.
    pub bunched_at_start: N,
    /// Old seeds taken off by the sweep.
    pub swept_old: N,
    /// New seeds taken off by the sweep.
    pub swept_new: N,
    /// Old seeds behind the sweep: strays in the alley.
    pub strays: N,
}

/// Works out where the seeds fall.
///
/// Nominal alley v (t_first - t_last), with t_last = q⁻¹(q(t_e) + k) and
/// t_first = q⁻¹(q(t_n) + k); on the average half a local spacing is added at each edge,
/// since the last cell that holds seed lies anywhere within one cell of the nominal edge. A
/// stretch of that cell that lies from x to y cells off the edge counts (1 - x)^2 - (1 - y)^2 of
/// the spacing, since fewer phases reach across what lies further off.
///
/// ```
/// use alleytrue::calculations::changeover::{Timers, predict};
/// let timers = Timers {
///     speed: 50.0, spacing: 2.0, boost: 50.0, carry: 15.0, clean_out: 1.5, run_out: 0.1,
///     fill: 0.4, old_seed_gone: 1.0, new_seed_at_pick_up: 0.3, sweep: None, fall: 0.0,
/// };
/// // Ground rate 25 cells/s: old seed gone at cell 25, released at cell 40 = 1.6 s, just when
/// // the boost starts. New seed at cell 45 (1.8 s is under boost: 40 + 50 x 0.2 = 50),
/// // released at cell 65, after the boost has ended at cell 60 = 2.0 s: 2.2 s.
/// let ground = predict(&timers.schedule());
/// assert!((ground.last_release - 1.6).abs() < 1e-12);
/// assert!((ground.first_release - 2.2).abs() < 1e-12);
/// assert!((ground.width - (50.0 * 0.6 + 2.0)).abs() < 1e-12);
/// ```
#[must_use]
pub fn predict<N: Arithmetic>(schedule: &Schedule<N>) -> Prediction<N> {
    let motion = Motion::of(schedule);
    let old_end = motion
        .cells_at(schedule.old_seed_gone.clone())
        .called("cells past pick-up when the old seed is gone");
    let new_start = motion
        .cells_at(schedule.new_seed_there.clone())
        .called("cells past pick-up when new seed reaches it");
    let swept = swept(schedule, &motion, &old_end, &new_start);

    let release = |cell: &N, name| (cell.clone() + schedule.carry.clone()).called(name);
    let last_at = release(&swept.last_cell, "cells past pick-up at the last release of old seed");
    let first_at =
        release(&swept.first_cell, "cells past pick-up at the first release of new seed");
    let last_release = motion.time_of(last_at.clone()).called("last release of old seed");
    let first_release = motion.time_of(first_at.clone()).called("first release of new seed");
    let spacing_at_last = spacing_before(schedule, &motion, &last_at);
    let spacing_at_first = spacing_after(schedule, &motion, &first_at);
    let half = || N::exactly(2.0);
    let lands = |time: &N| schedule.speed.clone() * (time.clone() + schedule.fall.clone());
    let mut last_seed = (lands(&last_release) - spacing_at_last.spacing.clone() / half())
        .called("last seed past the trip");
    let mut first_seed = (lands(&first_release) + spacing_at_first.spacing.clone() / half())
        .called("first seed past the trip");
    let mut bunched = [bunched_end(&motion, &last_at), bunched_start(&motion, &first_at)];
    let (mut last_even, mut first_even) = (spacing_at_last.even, spacing_at_first.even);
    let mut strays = swept.strays;
    if swept.by_chance {
        // Whether the sweep catches a cell hangs on the phase, so an edge is now here, now there.
        let phases = Phases::of(&numbers(schedule));
        let instead = |of: &N, number, name| of.instead(number, name, BY_PHASE);
        last_seed = instead(&last_seed, phases.last.mean, "last seed past the trip");
        first_seed = instead(&first_seed, phases.first.mean, "first seed past the trip");
        strays = instead(&strays, phases.strays, STRAYS);
        bunched = [
            instead(&bunched[0], phases.bunched_at_end, BUNCHED_AT_END),
            instead(&bunched[1], phases.bunched_at_start, BUNCHED_AT_START),
        ];
        (last_even, first_even) = (false, false);
    }
    let [bunched_at_end, bunched_at_start] = bunched;
    let width = (first_seed.clone() - last_seed.clone()).called("alley width");
    let centre = ((last_seed.clone() + first_seed.clone()) / half())
        .called("middle of the alley past the trip");
    Prediction {
        last_cell: swept.last_cell,
        first_cell: swept.first_cell,
        last_release,
        first_release,
        spacing_at_last: spacing_at_last.spacing,
        spacing_at_first: spacing_at_first.spacing,
        last_even,
        first_even,
        last_seed,
        first_seed,
        width,
        centre,
        bunched_at_end,
        bunched_at_start,
        swept_old: swept.old,
        swept_new: swept.new,
        strays,
        motion,
    }
}

const BY_PHASE: &str = "averaged over the plate's phase, since the sweep catches a cell by chance";
const BUNCHED_AT_END: &str = "old seeds bunched at the plot's end";
const BUNCHED_AT_START: &str = "new seeds bunched at the plot's start";
const STRAYS: &str = "stray seeds in the alley";

/// The spacing at an edge.
struct EdgeSpacing<N> {
    spacing: N,
    even: bool,
}

/// The cell before the last release: a boost may end or start in it.
fn spacing_before<N: Arithmetic>(
    schedule: &Schedule<N>,
    motion: &Motion<N>,
    at: &N,
) -> EdgeSpacing<N> {
    let stretches = motion.boosted().map(|one| Off {
        near: at.clone() - one.to,
        far: at.clone() - one.from,
        rate: one.rate,
        boost: one.boost,
    });
    mixed(schedule, motion, stretches, "last")
}

/// The cell behind the first release.
fn spacing_after<N: Arithmetic>(
    schedule: &Schedule<N>,
    motion: &Motion<N>,
    at: &N,
) -> EdgeSpacing<N> {
    let stretches = motion.boosted().map(|one| Off {
        near: one.from - at.clone(),
        far: one.to - at.clone(),
        rate: one.rate,
        boost: one.boost,
    });
    mixed(schedule, motion, stretches, "first")
}

/// A stretch under boost that lasts from `near` to `far` cells off an edge.
struct Off<N> {
    near: N,
    far: N,
    rate: N,
    boost: usize,
}

/// The spacing of the cell at an edge, in which stretches are under boost.
fn mixed<N: Arithmetic>(
    schedule: &Schedule<N>,
    motion: &Motion<N>,
    stretches: impl Iterator<Item = Off<N>>,
    edge: &'static str,
) -> EdgeSpacing<N> {
    let name: [&str; 3] = ["local spacing at the ", edge, " seed"];
    let at = |rate: &N| schedule.speed.clone() / rate.clone();
    let even = |rate: &N| EdgeSpacing { spacing: at(rate).called_of(&name), even: true };
    let one = || N::exactly(1.0);
    let ground = at(&motion.ground);
    let mut spacing: Option<N> = None;
    for stretch in stretches {
        let (from, to) = (stretch.near.number().max(0.0), stretch.far.number().min(1.0));
        if to - from < HAIR {
            continue;
        }
        if to - from > 1.0 - HAIR {
            return even(&stretch.rate);
        }
        let boost = schedule.boosts[stretch.boost].name.as_ref();
        let [near_end, far_end] =
            if edge == "last" { ["ends", "starts"] } else { ["starts", "ends"] };
        let way = if edge == "last" { " release back to where " } else { " release on to where " };
        let off = |end| ["cells from the ", edge, way, boost, " ", end];
        // What lies beyond the cell counts nothing.
        let within = if from > 0.0 {
            (one() - stretch.near.called_of(&off(near_end))).squared()
        } else {
            one()
        };
        let weight = if to < 1.0 {
            within - (one() - stretch.far.called_of(&off(far_end))).squared()
        } else {
            within
        };
        let weight = weight.called_of(&["share of ", boost, " at the ", edge, " seed"]);
        let so_far = spacing.unwrap_or_else(|| ground.clone());
        spacing = Some(so_far + (at(&stretch.rate) - ground.clone()) * weight);
    }
    match spacing {
        Some(spacing) => EdgeSpacing { spacing: spacing.called_of(&name), even: false },
        None => even(&motion.ground),
    }
}

const NONE_BUNCHED: &str = "none is released under boost";

/// Old seeds released while a boost is on that is faster than the ground drive.
fn bunched_end<N: Arithmetic>(motion: &Motion<N>, last_at: &N) -> N {
    let name = BUNCHED_AT_END;
    let of = |from: N, to: N| {
        let to = if to.below(last_at) { to } else { last_at.clone() };
        from.below(&to).then(|| to - from)
    };
    let all = motion.boosted().filter_map(|one| of(one.from, one.to));
    let sum = all.reduce(|sum, next| sum + next);
    sum.map_or_else(|| last_at.nothing(name, NONE_BUNCHED), |sum| sum.called(name))
}

/// New seeds released while a boost is on that is faster than the ground drive.
fn bunched_start<N: Arithmetic>(motion: &Motion<N>, first_at: &N) -> N {
    let name = BUNCHED_AT_START;
    let of = |from: N, to: N| {
        let from = if first_at.below(&from) { from } else { first_at.clone() };
        from.below(&to).then(|| to - from)
    };
    let all = motion.boosted().filter_map(|one| of(one.from, one.to));
    let sum = all.reduce(|sum, next| sum + next);
    sum.map_or_else(|| first_at.nothing(name, NONE_BUNCHED), |sum| sum.called(name))
}

struct Swept<N> {
    last_cell: N,
    first_cell: N,
    old: N,
    new: N,
    strays: N,
    /// Whether an edge is now here, now there, because the sweep catches a cell or none.
    by_chance: bool,
}

/// What sweeps take off. One works on the cells that pass it from T_s to T_s + T_w: those
/// that passed pick-up k - k_w cells earlier.
fn swept<N: Arithmetic>(
    schedule: &Schedule<N>,
    motion: &Motion<N>,
    old_end: &N,
    new_start: &N,
) -> Swept<N> {
    let names = ["old seeds swept off", "new seeds swept off", STRAYS];
    let none = |name| old_end.nothing(name, "no sweep reaches any");
    let swept = swept_cells(schedule, motion);
    let (mut old, mut new, mut strays) = (None, None, None);
    let (mut last_cell, mut first_cell) = (old_end.clone(), new_start.clone());
    let add = |sum: Option<N>, more: N| Some(sum.map_or(more.clone(), |sum| sum + more));
    // Where the last sweep ended that left old cells behind it.
    let mut passed: Option<N> = None;
    for (from, to) in &swept {
        if from.below(old_end) {
            match passed.take() {
                Some(ended) => strays = add(strays, from.clone() - ended),
                None => last_cell = from.clone(),
            }
            let until = if to.below(old_end) { to } else { old_end };
            old = add(old, until.clone() - from.clone());
            passed = Some(until.clone());
        }
        if new_start.below(to) {
            let begin = if from.below(new_start) { new_start } else { from };
            new = add(new, to.clone() - begin.clone());
            if !first_cell.below(from) {
                first_cell = to.clone();
            }
        }
    }
    if let Some(ended) = passed.filter(|ended| ended.below(old_end)) {
        strays = add(strays, old_end.clone() - ended);
    }
    let named = |sum: Option<N>, name| sum.map_or_else(|| none(name), |sum| sum.called(name));
    Swept {
        by_chance: by_chance(&swept, old_end, new_start),
        strays: named(strays, names[2]),
        old: named(old, names[0]),
        new: named(new, names[1]),
        last_cell,
        first_cell,
    }
}

/// Whether it hangs on the plate's phase how many cells a sweep moves an edge by: where it is less
/// than a cell long with old cells behind it, or starts less than a cell into new seed, or less than a
/// cell after another one that reaches new seed has ended.
fn by_chance<N: Arithmetic>(swept: &[(N, N)], old_end: &N, new_start: &N) -> bool {
    let short = |length: f64| length < 1.0 - HAIR;
    let mut seed_from = new_start.number();
    swept.iter().any(|(from, to)| {
        let (started, ended) = (from.number(), to.number());
        let of_old = ended < old_end.number() && short(ended - started);
        let of_new = started > seed_from && short(started - seed_from);
        if started <= seed_from && ended > seed_from {
            seed_from = ended;
        }
        of_old || of_new
    })
}
