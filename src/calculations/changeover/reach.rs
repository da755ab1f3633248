//! Where a wanted alley can be made: the speeds from a crawl up to the highest, and the boosts.
//! What is named holds from end to end, and not at the ends alone.

use crate::quantity::MeasureUnit;
use crate::quantity::bounds::{BOOST_CELLS, SPEED, TIMER};

use super::steps::{Plan, Stepped, Wish, steps_up};

/// From one number to another, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The least.
    pub from: f64,
    /// The most.
    pub to: f64,
}

/// A hair above a number, past the noise of arithmetic.
const ABOVE: f64 = 1.0 + 1e-9;

/// Stretches of speed that are gone through at the most; what lies beyond is not named.
const MOST_STRETCHES: u32 = 400;

/// Speeds at which the alley can be made, from the slowest up to the first at which it can't;
/// `usual_only` with a clean-out no shorter than usual.
///
/// With timers left alone the alley grows evenly with the speed, and no new seed is bunched up to
/// a speed that is known; so from one speed on a whole stretch is good. At its end timers are
/// looked for anew.
pub(super) fn speeds(wish: &Wish, usual_only: bool) -> Option<Span> {
    let unit = wish.length.base();
    let fastest = SPEED.most / unit;
    let slowest = slowest(wish, usual_only)?.max(SPEED.least / unit);
    let from = ladder(slowest, fastest)
        .find(|speed| Stepped::of(&wish.at_speed(*speed)).makes(usual_only))?;
    let leapt = leap(&Stepped::of(&wish.at_speed(from)), usual_only).min(fastest);
    let leapt = if wish.goes_alike() { leapt } else { from };
    Some(Span { from, to: up_from(wish, from.max(leapt), usual_only) })
}

/// A speed up to which the alley can be made wherever the timers' steps happen to fall, zero where
/// there is none.
///
/// With D from when old seed is gone until new seed comes, a run-out is at most a step d too long
/// and a fill a step too short, so that a fill of E = v (D - d) / (s r_b) - d bunches nothing as
/// long as v D is no more than s k. Its alley v D + s - (s r_b - v) E is at most a step's travel
/// too wide where v^2 (D - d) / (s r_b) - v d + s + s r_b d is no more than the alley.
fn leap(slow: &Stepped, usual_only: bool) -> f64 {
    let Some((shortest, usual)) = slow.clean_outs() else { return 0.0 };
    let bare = slow.bare(if usual_only { usual } else { shortest });
    let (step, cells) = (slow.step, slow.carry());
    let fastest_plate = slow.spacing * slow.boost;
    let squared = (bare - step) / fastest_plate;
    let room = slow.alley - slow.spacing - fastest_plate * step;
    if squared <= 0.0 || room < 0.0 {
        return 0.0;
    }
    let root = (step + (step * step + 4.0 * squared * room).sqrt()) / (2.0 * squared);
    root.min(slow.spacing * cells / bare).min(fastest_plate) / ABOVE
}

/// The speed up to which the alley can be made, from one on at which it can.
pub(super) fn up_from(wish: &Wish, from: f64, usual_only: bool) -> f64 {
    let fastest = SPEED.most / wish.length.base();
    let mut to = from;
    if !Stepped::of(wish).by_time {
        // Ways take less time at a higher speed: speeds are tried one by one.
        let next = |to: f64| to * RUNG;
        while next(to) <= fastest && Stepped::of(&wish.at_speed(next(to))).makes(usual_only) {
            to = next(to);
        }
        return to;
    }
    for _ in 0..MOST_STRETCHES {
        let next = to * ABOVE;
        let there = Stepped::of(&wish.at_speed(next));
        if to >= fastest || !there.makes(usual_only) {
            break;
        }
        to = stretch(&there, usual_only).max(next).min(fastest);
    }
    to
}

/// From one speed to the next, where they are tried one by one.
const RUNG: f64 = 1.002;

/// Speeds to start from: mostly the first will do. Where none does, a span of speeds narrower than a
/// hundredth may be missed.
fn ladder(slowest: f64, fastest: f64) -> impl Iterator<Item = f64> {
    std::iter::successors(Some(slowest), |speed| Some(speed * 1.01))
        .take_while(move |speed| *speed <= fastest)
}

/// The speed below which the plate would take longer to run out, or the planter to cross the
/// alley, than a timer lasts.
fn slowest(wish: &Wish, usual_only: bool) -> Option<f64> {
    let (machine, step) = (&wish.plain_machine(), wish.step());
    let [least, usual] = wish.clean_out_seconds();
    let shortest = if usual_only { usual } else { least };
    let clean_out = shortest.max(machine.old_seed_gone);
    let swept = wish.sweep_cells.is_some();
    let running = TIMER.most + if swept { 0.0 } else { clean_out } - machine.old_seed_gone - step;
    let crossing = TIMER.most + machine.new_seed_at_pick_up - machine.old_seed_gone - step;
    let cells = machine.carry * machine.spacing;
    let across = (wish.alley - machine.spacing).max(0.0);
    let enough = running > 0.0 && crossing > 0.0;
    enough.then(|| (cells / running).max(across / crossing) * ABOVE)
}

/// The highest speed up to which one set of timers makes the alley or a narrower one.
fn stretch(there: &Stepped, usual_only: bool) -> f64 {
    let Some((shortest, usual)) = there.clean_outs() else { return 0.0 };
    let from = if usual_only { usual } else { shortest };
    // Any of them leads on; of many, the ends are enough.
    let tried = if there.uniform { there.narrowest(from, usual) } else { vec![from] };
    let clean_outs = tried.into_iter().chain([usual]);
    let ends = clean_outs.flat_map(|clean_out| {
        [there.run_out(clean_out), there.waiting_run_out(clean_out)]
            .into_iter()
            .filter(|run_out| *run_out <= there.most_waiting)
            .map(move |run_out| best_fill(there, clean_out, run_out))
    });
    ends.fold(0.0, f64::max)
}

/// The highest speed that some fill is good up to: a longer one makes the alley narrow enough at
/// higher speeds, and bunches new seed at lower ones.
fn best_fill(there: &Stepped, clean_out: i64, run_out: i64) -> f64 {
    let plan = |fill| Plan { clean_out, run_out, fill };
    let (mut low, mut high) = (0, there.most_fill(clean_out, run_out));
    while low < high {
        let middle = low + (high - low) / 2;
        let longer = unbunched(there, plan(middle)) > narrow_enough(there, plan(middle));
        if longer { low = middle + 1 } else { high = middle }
    }
    let end = |fill| unbunched(there, plan(fill)).min(narrow_enough(there, plan(fill)));
    end(low).max(end((low - 1).max(0)))
}

/// The speed up to which a fill bunches no new seed: r_g max(0, r d - t_p) = k - r_b E.
fn unbunched(there: &Stepped, plan: Plan) -> f64 {
    let late = there.carry() - there.cells_to_go(plan.clean_out, plan.run_out);
    if late <= 0.0 {
        return f64::INFINITY;
    }
    let cells = there.carry() - there.boost * there.boosted(plan);
    there.speed * cells / late
}

/// The speed up to which timers make an alley that is narrow enough, by the travel in a step or by
/// the tolerance; zero where they don't at this one.
fn narrow_enough(there: &Stepped, plan: Plan) -> f64 {
    let by_travel = narrow_up_to(there, plan, there.step, there.alley);
    by_travel.max(narrow_up_to(there, plan, 0.0, there.alley + there.tolerance))
}

/// The speed up to which an alley is no wider than so much and the travel in a time.
fn narrow_up_to(there: &Stepped, plan: Plan, time: f64, most: f64) -> f64 {
    let without = there.bare(plan.clean_out) - time;
    let over = |speed: f64| {
        let gain = (there.spacing * there.boost - speed).max(0.0);
        speed * without + there.spacing - gain * there.boosted(plan) - most
    };
    // Straight up to the speed at which the ground drive is as fast as the boost, and beyond it.
    let (now, bend) = (there.speed, there.spacing * there.boost);
    let crossed = |from: f64, slope: f64| {
        if slope > 0.0 { from - over(from) / slope } else { f64::INFINITY }
    };
    if over(now) > 0.0 {
        return 0.0;
    }
    let end = crossed(now, without + if now < bend { there.boosted(plan) } else { 0.0 });
    if now < bend && end > bend { crossed(bend, without) } else { end }
}

/// Clean-outs that are tried to find a boost.
const MOST_CLEAN_OUTS: i64 = 50;
/// A span of boosts so wide, as a ratio, is named though a wider one lies above it.
const ROOMY: f64 = 1.05;

/// Boosts above the machine's with which the alley can be made: the lowest span of them with room
/// to set the plate's drive, else the widest.
///
/// A fill of E moves new seed by (s r_b - v) E and turns r_b E cells, so it makes the alley from
/// one boost on and bunches seed from another on.
pub(super) fn boosts(wish: &Wish) -> Option<Span> {
    wish.shape.boost?;
    let machine = Stepped::of(wish);
    let (shortest, usual) = machine.clean_outs()?;
    let apart = ((usual - shortest) / MOST_CLEAN_OUTS).max(1);
    let tried = (shortest..usual).step_by(usize::try_from(apart).unwrap_or(1)).chain([usual]);
    let mut spans: Vec<Span> = tried
        .flat_map(|clean_out| {
            let run_outs = [machine.run_out(clean_out), machine.waiting_run_out(clean_out)];
            run_outs.into_iter().flat_map(move |run_out| with_fills(machine, clean_out, run_out))
        })
        .filter_map(|span| {
            let from = span.from.max(wish.machine.boost) * ABOVE;
            let to = span.to.min(BOOST_CELLS.most) / ABOVE;
            (from < to).then_some(Span { from, to })
        })
        .collect();
    spans.sort_by(|one, other| one.from.total_cmp(&other.from));
    let mut joined: Vec<Span> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.from <= last.to => last.to = last.to.max(span.to),
            _ => joined.push(span),
        }
    }
    let room = |span: &Span| span.to / span.from;
    let roomy = joined.iter().find(|span| room(span) >= ROOMY);
    roomy.or(joined.iter().max_by(|one, other| room(one).total_cmp(&room(other)))).copied()
}

/// Fills of one clean-out and run-out, the longest first, that are tried for a boost.
const MOST_FILLS: i64 = 1000;

/// The boosts that each fill makes the alley with.
fn with_fills(machine: Stepped, clean_out: i64, run_out: i64) -> impl Iterator<Item = Span> {
    let cells = machine.cells_to_go(clean_out, run_out);
    let bare = Plan { clean_out, run_out, fill: 0 };
    let over = machine.width(bare) - machine.limit();
    // s r_b E - v E = over at the least, r_b E = cells at the most.
    let longest = (machine.spacing * cells - over) / machine.speed;
    let idle = machine.idle(clean_out, run_out);
    let first = steps_up(idle, machine.turning).max(1);
    let last = steps_up(longest + idle, machine.turning).min(machine.most_turning);
    let possible = over > 0.0 && longest > 0.0 && run_out <= machine.most_waiting;
    let last = if possible { last } else { 0 };
    (first.max(last - MOST_FILLS)..=last).filter_map(move |fill| {
        let moved = machine.boosted(Plan { fill, ..bare });
        let from = (over / moved + machine.speed) / machine.spacing;
        let to = cells / moved;
        (moved > 0.0 && from < to).then_some(Span { from, to })
    })
}
