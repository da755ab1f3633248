//! The changeover's closed form against a planter stepped cell by cell through time, its laws,
//! and the starting values against the ground they make.
//!
//! `CASES=10000 cargo test --test changeover_simulation averages` steps through ten thousand
//! random changeovers; an everyday run through fewer.

#![allow(clippy::expect_used)]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]

mod simulated_planter;

use alleytrue::calculations::changeover::{
    CleanOuts, Phases, Prediction, Shape, Start, StartError, Sweep, Timers, Wish, least_alley,
    predict, starting_values, strip,
};
use alleytrue::outcome::Fate;
use alleytrue::quantity::LengthUnit;
use proptest::prelude::*;
use simulated_planter::held::{averages, held_against_the_bench};
use simulated_planter::{Grain, Lot, Planter, first_new, last_old, moments, phases};

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// As many cases as the one who runs the test wants.
fn asked_for(everyday: u32) -> u32 {
    std::env::var("CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(everyday)
}

/// The same planter on the bench.
fn bench(timers: &Timers<f64>) -> Planter {
    Planter {
        speed: timers.speed,
        spacing: timers.spacing,
        boost: timers.boost,
        carry: timers.carry,
        clean_out: timers.clean_out,
        run_out: timers.run_out,
        fill: timers.fill,
        old_seed_gone: timers.old_seed_gone,
        new_seed_at_pick_up: timers.new_seed_at_pick_up,
        sweep: timers.sweep.as_ref().map(|sweep| simulated_planter::Sweep {
            start: sweep.start,
            length: sweep.length,
            cells_before_release: sweep.cells_before_release,
        }),
        fall: timers.fall,
    }
}

/// Any planter without carry-over: run-outs too short and too long, fills too short and too
/// long, clean-outs far longer than old seed and carry take, boosts below ground rate, new seed
/// at pick-up before, during and after the boost, sweeps that miss, cover, or cover partly.
fn any_timers() -> impl Strategy<Value = Timers<f64>> {
    let rates = (10.0..150.0_f64, 2.0..40.0_f64, 0.3..5.0_f64, 0.0..30.0_f64);
    let timers = (0.2..3.0_f64, 0.0..1.5_f64, 0.0..1.5_f64);
    let machine = (0.0..1.0_f64, 0.0..0.8_f64, 0.0..0.5_f64);
    let sweep = prop::option::of((0.0..3.0_f64, 0.0..1.5_f64, 0.0..1.0_f64));
    (rates, timers, machine, sweep).prop_map(|(rates, timers, machine, sweep)| {
        let (speed, ground, faster, carry) = rates;
        let (clean_out, run_out, fill) = timers;
        let (gone, new_seed_at_pick_up, fall) = machine;
        Timers {
            speed,
            spacing: speed / ground,
            boost: ground * faster,
            carry,
            clean_out,
            run_out,
            fill,
            old_seed_gone: gone * (clean_out + new_seed_at_pick_up),
            new_seed_at_pick_up,
            sweep: sweep.map(|(start, length, share)| Sweep {
                start,
                length,
                cells_before_release: share * carry,
            }),
            fall,
        }
    })
}

fn fate(grain: &Grain) -> Fate {
    match (grain.swept, grain.lot) {
        (true, _) => Fate::Swept,
        (false, Lot::Old) => Fate::Old,
        (false, Lot::New) => Fate::New,
    }
}

/// Whether a moment is so close to another that rounding decides which comes first.
fn toss_up(planter: &Planter, grains: &[Grain]) -> bool {
    let on = planter.clean_out + planter.run_out;
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    grains.iter().any(|grain| {
        let at_pick_up = [planter.old_seed_gone, planter.new_seed_arrives()];
        let at_release = [on, on + planter.fill];
        let swept = planter.sweep.zip(grain.at_sweep).is_some_and(|(sweep, time)| {
            near(time, sweep.start) || near(time, sweep.start + sweep.length)
        });
        swept
            || at_pick_up.iter().any(|moment| near(grain.picked, *moment))
            || at_release.iter().any(|moment| near(grain.released, *moment))
    })
}

const SHOWN: u32 = 25;

proptest! {
    #![proptest_config(cases(1500))]

    #[test]
    fn strip_is_what_the_stepped_planter_plants(timers in any_timers(), phase in 0.0..1.0_f64) {
        let planter = bench(&timers);
        let grains = planter.plant(phase, planter.early() + SHOWN, SHOWN);
        prop_assume!(!toss_up(&planter, &grains));
        let old = grains.iter().filter(|grain| grain.lot == Lot::Old).count();
        let grains = &grains[old - SHOWN as usize..];
        let seeds = strip(&timers.schedule(), phase, SHOWN, SHOWN);
        // Beyond its last cell the strip may be a seed longer or shorter, by the phase alone.
        prop_assert!(seeds.len().abs_diff(grains.len()) <= 1, "{} {}", seeds.len(), grains.len());
        for (seed, grain) in seeds.iter().zip(grains) {
            prop_assert!((seed.at - grain.at).abs() < 1e-9 * timers.speed.max(1.0), "{seed:?} {grain:?}");
            prop_assert_eq!(seed.fate, fate(grain));
            prop_assert_eq!(seed.boosted, grain.rate > planter.ground_rate());
        }
    }
}

/// Timers whose boost starts or ends within a cell and a half of an edge, with a sweep of any length
/// or one shorter than a cell.
fn edges_near_a_change() -> impl Strategy<Value = Timers<f64>> {
    let near = (any::<bool>(), -1.5..1.5_f64, 0.0..3.0_f64, prop::option::of(0.05..1.2_f64));
    (any_timers(), near).prop_map(|(timers, (at_last, cells, boosted, swept))| {
        let mut timers = Timers { boost: timers.speed / timers.spacing * 2.5, ..timers };
        let ground = timers.speed / timers.spacing;
        if at_last {
            // The last old seed is released at t_e + k / r_g, and the boost starts about then.
            let released = timers.old_seed_gone + (timers.carry + cells) / ground;
            timers.run_out = (released - timers.clean_out).max(0.0);
            timers.fill = boosted / timers.boost;
        } else {
            // Without idle fill the first new seed is released k cells after it was picked up.
            timers.new_seed_at_pick_up = timers.new_seed_at_pick_up.min(timers.run_out);
            let arrives = timers.clean_out + timers.new_seed_at_pick_up;
            timers.old_seed_gone = timers.old_seed_gone.min(arrives);
            let waits = (timers.run_out - timers.new_seed_at_pick_up) * ground;
            timers.fill = ((timers.carry - waits + cells) / timers.boost).max(0.0);
        }
        if let (Some(cells), Some(sweep)) = (swept, &mut timers.sweep) {
            sweep.length = cells / ground;
            let passes = timers.carry - sweep.cells_before_release - 2.0 * cells;
            sweep.start = (timers.old_seed_gone + passes / ground).max(0.0);
        }
        timers
    })
}

fn any_edges() -> impl Strategy<Value = Timers<f64>> {
    prop_oneof![any_timers(), edges_near_a_change()]
}

proptest! {
    #![proptest_config(cases(asked_for(200)))]

    #[test]
    fn averages_over_the_phase_are_predicted(timers in any_edges()) {
        held_against_the_bench(&timers.schedule(), &bench(&timers).machine())?;
    }
}

fn plain() -> Timers<f64> {
    Timers {
        speed: 50.0,
        spacing: 2.0,
        boost: 60.0,
        carry: 15.0,
        clean_out: 1.6,
        run_out: 0.4,
        fill: 0.3,
        old_seed_gone: 1.0,
        new_seed_at_pick_up: 0.2,
        sweep: None,
        fall: 0.25,
    }
}

/// 100 cm/s, seeds 16 cm apart, 20 cells/s under boost. Old seed is gone at 0.4 s = cell 2.5 and
/// released until cell 16.5; the boost starts at 2.63 s = cell 16.4375, in the last 0.0625
/// of the cell before. On the bench the last seed lies 7.33 cm before the edge, with an SD of 4.58
/// cm, not half of 5 cm and 5 / sqrt(12).
#[test]
fn an_edge_across_the_boosts_start_has_both_spacings() {
    let timers = Timers {
        speed: 100.0,
        spacing: 16.0,
        boost: 20.0,
        carry: 14.0,
        clean_out: 1.5,
        run_out: 1.13,
        fill: 0.3,
        old_seed_gone: 0.4,
        new_seed_at_pick_up: 0.2,
        sweep: None,
        fall: 0.0,
    };
    let ground = predict(&timers.schedule());
    let (seen, phases) = (averages(&bench(&timers).machine()), Phases::of(&timers.schedule()));
    for (is, predicted, by_hand) in [
        (seen.width.0, ground.width, 80.0),
        (seen.last.1, phases.last.sd, 4.58),
        // 100 x (2.63 + 0.0625 / 20) s, less half of 16 - 11 x (1 - 0.9375^2) = 14.668 cm.
        (seen.last.0, ground.last_seed, 255.98),
    ] {
        assert!((predicted - by_hand).abs() < 0.05, "{predicted} {by_hand}");
        assert!((is - predicted).abs() < 0.05, "{is} {predicted}");
    }
}

/// An edge right where the boost starts or ends: the rate on the plot's side counts.
#[test]
fn an_edge_right_on_the_boosts_start_or_end_is_not_bunched() {
    for thirds in 1..40 {
        // Speeds that make rounding fall either way.
        let speed = 17.0 + f64::from(thirds) / 3.0;
        let machine = Timers { speed, ..plain() };
        let near = least_alley(&Timers { speed: speed * (1.0 + 1e-7), ..machine.clone() }, 1.5);
        let least = least_alley(&machine, 1.5);
        assert!((near - least).abs() < 1e-4, "{speed}: {least} jumps to {near}");
    }
}

fn dropped(grains: &[Grain], lot: Lot) -> usize {
    grains.iter().filter(|grain| grain.lot == lot && !grain.swept).count()
}

proptest! {
    #![proptest_config(cases(200))]

    #[test]
    fn seeds_are_conserved(timers in any_timers(), phase in 0.0..1.0_f64) {
        let planter = bench(&timers);
        let grains = planter.plant(phase, planter.early(), 60);
        // Each cell that passed pick-up while there was seed took one, and it fell or was swept.
        let old = (planter.old_seed_gone * planter.ground_rate()).max(0.0);
        for lot in [Lot::Old, Lot::New] {
            let picked = grains.iter().filter(|grain| grain.lot == lot).count();
            let swept = grains.iter().filter(|grain| grain.lot == lot && grain.swept).count();
            prop_assert_eq!(picked, dropped(&grains, lot) + swept);
        }
        if planter.old_seed_gone <= planter.clean_out + planter.run_out {
            let picked = grains.iter().filter(|grain| grain.lot == Lot::Old).count() as f64;
            prop_assert!((picked - old - f64::from(planter.early())).abs() < 1.0 + 1e-6);
        }
        let seeds = strip(&timers.schedule(), phase, SHOWN, SHOWN);
        let new = seeds.iter().filter(|seed| seed.fate == Fate::New).count();
        let swept = seeds.iter().filter(|seed| seed.fate == Fate::Swept).count();
        let old = seeds.iter().filter(|seed| seed.fate == Fate::Old).count();
        prop_assert_eq!(new + old + swept, seeds.len());
    }

    /// No run-out: what is between pick-up and release when clean-out ends is bunched.
    #[test]
    fn without_run_out_old_seeds_bunch_at_the_end(mut timers in any_timers()) {
        timers.sweep = None;
        timers.boost = timers.speed / timers.spacing * 2.5;
        timers.run_out = 0.0;
        timers.fill = 2.0;
        timers.carry += 8.0;
        timers.old_seed_gone = timers.clean_out * 0.9;
        let left = timers.carry - 0.1 * timers.clean_out * timers.speed / timers.spacing;
        prop_assume!(left > 1.0 && left < 2.0 * timers.boost);
        prop_assert!((predict(&timers.schedule()).bunched_at_end - left).abs() < 1e-9 * left.max(1.0));
        prop_assert!(averages(&bench(&timers).machine()).bunched_at_end > left - 0.1);
        timers.run_out = timers.carry * timers.spacing / timers.speed;
        prop_assert_eq!(predict(&timers.schedule()).bunched_at_end.max(0.0), 0.0);
    }

    /// Fill beyond the first release of new seed: that much longer at boost rate.
    #[test]
    fn excess_fill_bunches_new_seeds_at_the_start(timers in any_timers(), excess in 0.05..0.5_f64) {
        let mut timers = Timers { sweep: None, ..timers };
        timers.boost = timers.speed / timers.spacing * 2.0;
        timers.fill = 0.0;
        let planter = bench(&timers);
        // A fill that ends right with the first release, found on the bench by halving.
        let ends = |fill: f64| {
            let planter = Planter { fill, ..planter };
            let first = planter.after(planter.new_seed_arrives(), planter.carry);
            planter.clean_out + planter.run_out + fill - first
        };
        let (mut low, mut high) = (0.0, 10.0);
        prop_assume!(ends(low) < 0.0 && ends(high) > 0.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if ends(middle) < 0.0 { low = middle } else { high = middle }
        }
        timers.fill = low - 1e-6;
        prop_assert!(predict(&timers.schedule()).bunched_at_start == 0.0);
        timers.fill = low + excess;
        let bunched = predict(&timers.schedule()).bunched_at_start;
        prop_assert!((bunched - excess * timers.boost).abs() < 1e-6 * timers.boost);
        prop_assert!((averages(&bench(&timers).machine()).bunched_at_start - bunched).abs() < 0.02);
    }

    /// Longer clean-out with the boost left where it is: wider by at least nothing, and by
    /// v x dT where the edges lie under ground drive.
    #[test]
    fn more_clean_out_makes_a_wider_alley(timers in any_timers(), more in 0.01..0.5_f64) {
        let timers = Timers { sweep: None, ..timers };
        let longer = Timers { clean_out: timers.clean_out + more, ..timers.clone() };
        let (width, then) = (predict(&timers.schedule()), predict(&longer.schedule()));
        let half = timers.spacing; // an edge may pass from one local spacing to the other
        prop_assert!(then.width >= width.width - half);
        let quiet = |ground: &Prediction<f64>| {
            ground.bunched_at_end == 0.0 && ground.bunched_at_start == 0.0
                && ground.motion.changes.last().is_none_or(|last| ground.first_release > last.at)
        };
        if quiet(&width) && quiet(&then) && timers.new_seed_at_pick_up <= timers.run_out {
            prop_assert!((then.width - width.width - timers.speed * more).abs() < 1e-6);
        }
    }

    #[test]
    fn the_least_alley_grows_with_speed(timers in any_timers(), faster in 1.0..1.5_f64) {
        let machine = Timers { sweep: None, ..timers };
        let fast = Timers { speed: machine.speed * faster, ..machine.clone() };
        prop_assert!(least_alley(&fast, 1.5) >= least_alley(&machine, 1.5) - 1e-6);
    }

    /// While no seed of either lot is under way the boost turns empty cells.
    #[test]
    fn a_boost_that_ends_before_new_seed_is_at_pick_up_changes_nothing(
        timers in any_timers(),
        faster in 1.0..4.0_f64,
    ) {
        let mut timers = Timers { sweep: None, ..timers };
        let carry_time = timers.carry * timers.spacing / timers.speed;
        timers.old_seed_gone = (timers.clean_out + timers.run_out - carry_time).min(timers.clean_out);
        prop_assume!(timers.old_seed_gone >= 0.0);
        timers.new_seed_at_pick_up = timers.run_out + timers.fill + 0.01;
        let other = Timers { boost: timers.boost * faster, ..timers.clone() };
        prop_assert!((predict(&timers.schedule()).width - predict(&other.schedule()).width).abs() < 1e-6);
        let places = |timers: &Timers<f64>| {
            let row = bench(timers).plant(0.37, 10, 5);
            (last_old(&row).expect("old").at, first_new(&row).expect("new").released)
        };
        let jitter = timers.spacing;
        let (one, two) = (places(&timers), places(&other));
        prop_assert!((one.0 - two.0).abs() < 1e-6);
        prop_assert!((one.1 - two.1).abs() * timers.speed <= jitter + 1e-6);
    }
}

/// Carry-over: where old seed is still at pick-up when the new lot comes, no cell stays empty.
#[test]
fn carry_over_leaves_no_empty_cell() {
    let timers = Timers { old_seed_gone: 2.1, ..plain() };
    let seeds = strip(&timers.schedule(), 0.3, 10, 10);
    assert!(seeds.windows(2).all(|pair| pair[1].at - pair[0].at <= timers.spacing + 1e-9));
    let ground = predict(&timers.schedule());
    assert!(ground.first_cell < ground.last_cell);
}

/// A machine that starting values may be asked for, with the timers' step.
fn any_machine() -> impl Strategy<Value = (Timers<f64>, f64)> {
    let step = prop::sample::select(vec![0.01, 0.02, 0.05, 0.1, 0.25]);
    let rates = (15.0..100.0_f64, 5.0..60.0_f64, 0.5..8.0_f64, 4.0..30.0_f64);
    let times = (0.2..2.5_f64, 0.0..0.6_f64);
    (rates, times, step).prop_map(|((speed, ground, faster, carry), (gone, there), step)| {
        let machine = Timers {
            speed,
            spacing: speed / ground,
            boost: ground * faster,
            carry,
            clean_out: 0.0,
            run_out: 0.0,
            fill: 0.0,
            old_seed_gone: gone,
            new_seed_at_pick_up: there,
            sweep: None,
            fall: 0.2,
        };
        (machine, step)
    })
}

/// The clean-outs that the wishes here keep to, in seconds.
const LEAST: f64 = 1.0;
const USUAL: f64 = 1.5;

/// A wish in centimetres, without a sweep.
fn wish(machine: Timers<f64>, alley: f64, step: f64) -> Wish {
    Wish {
        machine,
        alley,
        tolerance: None,
        shape: Shape::plain(step),
        clean_outs: CleanOuts::seconds(LEAST, USUAL),
        sweep_cells: None,
        length: LengthUnit::Centimetre,
    }
}

fn on_step(time: f64, step: f64) -> bool {
    ((time / step).round() * step - time).abs() < 1e-9
}

/// What must hold of starting values, judged on the bench.
fn check(wish: &Wish, start: &Start) -> Result<(), TestCaseError> {
    let timers = &start.timers;
    let travel = wish.machine.speed * wish.step();
    prop_assert!(
        (start.alley - wish.alley).abs() <= travel + 1e-8 * wish.alley,
        "alley {} for {}, a step's travel {travel}",
        start.alley,
        wish.alley
    );
    prop_assert!(
        [timers.clean_out, timers.run_out, timers.fill].iter().all(|t| on_step(*t, wish.step()))
    );
    prop_assert!(timers.clean_out >= wish.machine.old_seed_gone);
    let shortest = if start.clean_out_cut { LEAST } else { USUAL };
    prop_assert!(timers.clean_out >= shortest);
    let planter = bench(timers);
    let rows: Vec<Vec<Grain>> =
        phases(50).map(|phase| planter.plant(phase, planter.early(), 60)).collect();
    let widths: Vec<f64> = rows
        .iter()
        .map(|row| first_new(row).expect("new").at - last_old(row).expect("old").at)
        .collect();
    // No edge lies within a cell of a change of rate, so the average is exact up to the grid.
    prop_assert!(
        (moments(&widths).0 - start.alley).abs() < timers.spacing / 10.0,
        "planted {} said {}",
        moments(&widths).0,
        start.alley
    );
    for row in &rows {
        let bunched = row.iter().filter(|grain| grain.rate > planter.ground_rate() * (1.0 + 1e-9));
        let inside = bunched.filter(|grain| {
            grain.released > planter.clean_out + planter.run_out + 1e-9
                && grain.released < planter.clean_out + planter.run_out + planter.fill - 1e-9
        });
        prop_assert_eq!(inside.count(), 0, "bunched seeds");
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(400))]

    #[test]
    fn starting_values_make_the_alley((machine, step) in any_machine(), share in 1.0..4.0_f64) {
        // An alley at least a step's travel above the least one can always be made.
        let alley = least_alley(&machine, USUAL.max(machine.old_seed_gone)) * share
            + machine.speed * step * (2.0 + machine.boost * machine.spacing / machine.speed);
        let wish = wish(machine, alley, step);
        let start = starting_values(&wish);
        prop_assert!(start.is_ok(), "{start:?}");
        check(&wish, &start.expect("checked"))?;
    }

    #[test]
    fn ways_out_of_an_infeasible_wish_work((machine, step) in any_machine(), share in 0.05..1.1_f64) {
        let alley = least_alley(&machine, USUAL.max(machine.old_seed_gone)) * share;
        let wish = wish(machine.clone(), alley, step);
        match starting_values(&wish) {
            Ok(start) => check(&wish, &start)?,
            Err(StartError { alleys, speeds, boosts, .. }) => {
                let least = alleys.expect("alleys").from;
                let wider = Wish { alley: least, ..wish.clone() };
                let start = starting_values(&wider);
                prop_assert!(start.is_ok(), "alley {least}: {start:?}");
                check(&wider, &start.expect("checked"))?;
                if let Some(speeds) = speeds {
                    let slower = wish.at_speed(speeds.to);
                    let start = starting_values(&slower);
                    prop_assert!(speeds.to < machine.speed && start.is_ok(), "{speeds:?} of {}: {start:?}", machine.speed);
                    check(&slower, &start.expect("checked"))?;
                }
                if let Some(boosts) = boosts {
                    let faster = wish.at_boost(boosts.from);
                    let start = starting_values(&faster);
                    prop_assert!(boosts.from > machine.boost && start.is_ok(), "{boosts:?} of {}: {start:?}", machine.boost);
                    check(&faster, &start.expect("checked"))?;
                }
            }
        }
    }
}
