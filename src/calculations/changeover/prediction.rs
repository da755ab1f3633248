//! Where a changeover puts the seeds, on the average over the plate's phase. Closed form.
//!
//! The last old seed lies anywhere within one cell before the nominal edge, the first new one
//! within one cell behind it, each place as likely as any other. Where the plate's rate changes
//! within that cell, the edge is half of a spacing that is made of both.

use crate::working::Arithmetic;

use super::motion::{HAIR, Motion, Timers, numbers};
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
/// t_first = q⁻¹(q(T_c + t_p) + k); on the average half a local spacing is added at each edge,
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
/// let ground = predict(&timers);
/// assert!((ground.last_release - 1.6).abs() < 1e-12);
/// assert!((ground.first_release - 2.2).abs() < 1e-12);
/// assert!((ground.width - (50.0 * 0.6 + 2.0)).abs() < 1e-12);
/// ```
#[must_use]
pub fn predict<N: Arithmetic>(timers: &Timers<N>) -> Prediction<N> {
    let motion = Motion::of(timers);
    let old_end = motion
        .cells_at(timers.old_seed_gone.clone())
        .called("cells past pick-up when the old seed is gone");
    let arrives = (timers.clean_out.clone() + timers.new_seed_at_pick_up.clone())
        .called("new seed reaches pick-up");
    let new_start = motion.cells_at(arrives).called("cells past pick-up when new seed reaches it");
    let swept = swept(timers, &motion, &old_end, &new_start);

    let release = |cell: &N, name| (cell.clone() + timers.carry.clone()).called(name);
    let last_at = release(&swept.last_cell, "cells past pick-up at the last release of old seed");
    let first_at =
        release(&swept.first_cell, "cells past pick-up at the first release of new seed");
    let last_release = motion.time_of(last_at.clone()).called("last release of old seed");
    let first_release = motion.time_of(first_at.clone()).called("first release of new seed");
    let spacing_at_last = spacing_before(timers, &motion, &last_at);
    let spacing_at_first = spacing_after(timers, &motion, &first_at);
    let half = || N::exactly(2.0);
    let lands = |time: &N| timers.speed.clone() * (time.clone() + timers.fall.clone());
    let mut last_seed = (lands(&last_release) - spacing_at_last.spacing.clone() / half())
        .called("last seed past the trip");
    let mut first_seed = (lands(&first_release) + spacing_at_first.spacing.clone() / half())
        .called("first seed past the trip");
    let mut bunched = [bunched_end(&motion, &last_at), bunched_start(&motion, &first_at)];
    let (mut last_even, mut first_even) = (spacing_at_last.even, spacing_at_first.even);
    let mut strays = swept.strays;
    if swept.by_chance {
        // Whether the sweep catches a cell hangs on the phase, so an edge is now here, now there.
        let phases = Phases::of(&numbers(timers));
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

/// The cell before the last release: the boost may end or start in it.
fn spacing_before<N: Arithmetic>(timers: &Timers<N>, motion: &Motion<N>, at: &N) -> EdgeSpacing<N> {
    let to = |cells: &N| at.clone() - cells.clone();
    let near = to(&motion.cells_at_end);
    let far = to(&motion.cells_at_start);
    mixed(timers, motion, near, far, "local spacing at the last seed", "last seed")
}

/// The cell behind the first release.
fn spacing_after<N: Arithmetic>(timers: &Timers<N>, motion: &Motion<N>, at: &N) -> EdgeSpacing<N> {
    let to = |cells: &N| cells.clone() - at.clone();
    let near = to(&motion.cells_at_start);
    let far = to(&motion.cells_at_end);
    mixed(timers, motion, near, far, "local spacing at the first seed", "first seed")
}

/// The spacing of a cell in which the boost lasts from `near` to `far` cells off the edge.
fn mixed<N: Arithmetic>(
    timers: &Timers<N>,
    motion: &Motion<N>,
    near: N,
    far: N,
    name: &'static str,
    edge: &'static str,
) -> EdgeSpacing<N> {
    let at = |rate: &N| timers.speed.clone() / rate.clone();
    let (from, to) = (near.number().max(0.0), far.number().min(1.0));
    let even = |rate: &N| EdgeSpacing { spacing: at(rate).called(name), even: true };
    if !motion.ground.below(&motion.boost) || to - from < HAIR {
        return even(&motion.ground);
    }
    if to - from > 1.0 - HAIR {
        return even(&motion.boost);
    }
    let [nearer, further, share] = match edge {
        "last seed" => LAST_CELL,
        _ => FIRST_CELL,
    };
    let one = || N::exactly(1.0);
    // What lies beyond the cell counts nothing.
    let within = if from > 0.0 { (one() - near.called(nearer)).squared() } else { one() };
    let weight = if to < 1.0 { within - (one() - far.called(further)).squared() } else { within }
        .called(share);
    let (ground, boost) = (at(&motion.ground), at(&motion.boost));
    let spacing = (ground.clone() + (boost - ground) * weight).called(name);
    EdgeSpacing { spacing, even: false }
}

const LAST_CELL: [&str; 3] = [
    "cells from the last release back to where the boost ends",
    "cells from the last release back to where the boost starts",
    "share of the boost at the last seed",
];
const FIRST_CELL: [&str; 3] = [
    "cells from the first release on to where the boost starts",
    "cells from the first release on to where the boost ends",
    "share of the boost at the first seed",
];

const NONE_BUNCHED: &str = "none is released under boost";

/// Old seeds released while the boost is on, where it is faster than the ground drive.
fn bunched_end<N: Arithmetic>(motion: &Motion<N>, last_at: &N) -> N {
    let name = BUNCHED_AT_END;
    let (start, end) = (&motion.cells_at_start, &motion.cells_at_end);
    let to = if end.below(last_at) { end } else { last_at };
    if motion.ground.below(&motion.boost) && start.below(to) {
        (to.clone() - start.clone()).called(name)
    } else {
        start.nothing(name, NONE_BUNCHED)
    }
}

/// New seeds released while the boost is on, where it is faster than the ground drive.
fn bunched_start<N: Arithmetic>(motion: &Motion<N>, first_at: &N) -> N {
    let name = BUNCHED_AT_START;
    let (start, end) = (&motion.cells_at_start, &motion.cells_at_end);
    let from = if first_at.below(start) { start } else { first_at };
    if motion.ground.below(&motion.boost) && from.below(end) {
        (end.clone() - from.clone()).called(name)
    } else {
        end.nothing(name, NONE_BUNCHED)
    }
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

/// What the sweep takes off. It works on the cells that pass it from T_s to T_s + T_w: those
/// that passed pick-up k - k_w cells earlier.
fn swept<N: Arithmetic>(
    timers: &Timers<N>,
    motion: &Motion<N>,
    old_end: &N,
    new_start: &N,
) -> Swept<N> {
    let names = ["old seeds swept off", "new seeds swept off", STRAYS];
    let none = |name| old_end.nothing(name, "the sweep does not reach any");
    let nothing = || Swept {
        last_cell: old_end.clone(),
        first_cell: new_start.clone(),
        old: none(names[0]),
        new: none(names[1]),
        strays: none(names[2]),
        by_chance: false,
    };
    let Some(sweep) = &timers.sweep else { return nothing() };
    let behind = (timers.carry.clone() - sweep.cells_before_release.clone())
        .called("cells from pick-up to the sweep");
    let ends = sweep.start.clone() + sweep.length.clone();
    let from = (motion.cells_at(sweep.start.clone()) - behind.clone()).called("first cell swept");
    let to = (motion.cells_at(ends) - behind).called("last cell swept");
    let mut swept = nothing();
    // Less than a cell long, with old cells behind it; or started less than a cell into new seed.
    let (started, ended) = (from.number(), to.number());
    swept.by_chance = started < ended
        && (ended < old_end.number() && ended - started < 1.0 - HAIR
            || started > new_start.number() && started - new_start.number() < 1.0 - HAIR);
    if from.below(old_end) && from.below(&to) {
        let until = if to.below(old_end) { &to } else { old_end };
        swept.old = (until.clone() - from.clone()).called(names[0]);
        if to.below(old_end) {
            swept.strays = (old_end.clone() - to.clone()).called(names[2]);
        }
        swept.last_cell = from.clone();
    }
    if new_start.below(&to) && from.below(&to) {
        let begin = if from.below(new_start) { new_start } else { &from };
        swept.new = (to.clone() - begin.clone()).called(names[1]);
        if !new_start.below(&from) {
            swept.first_cell = to;
        }
    }
    swept
}
