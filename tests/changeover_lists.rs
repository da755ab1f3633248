//! Changeovers of any list of actions against a planter stepped cell by cell through time: no motor on
//! the plate, or up to three windows of it that may lie over each other, up to three sweeps.
//!
//! `CASES=10000 cargo test --test changeover_lists` steps through ten thousand random ones.

mod simulated_planter;

use alleytrue::calculations::changeover::{Schedule, Sweep, Turning, strip};
use alleytrue::outcome::Fate;
use proptest::prelude::*;
use simulated_planter::held::held_against_the_bench;
use simulated_planter::{Grain, Lot, Machine, Motor};

fn asked_for(everyday: u32) -> ProptestConfig {
    let cases = std::env::var("CASES").ok().and_then(|text| text.parse().ok());
    let cases = cases.unwrap_or(everyday);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// The same changeover on the bench.
fn bench(schedule: &Schedule<f64>) -> Machine {
    let motor =
        |boost: &Turning<f64>| Motor { start: boost.start, length: boost.length, rate: boost.rate };
    let sweep = |sweep: &Sweep<f64>| simulated_planter::Sweep {
        start: sweep.start,
        length: sweep.length,
        cells_before_release: sweep.cells_before_release,
    };
    Machine {
        speed: schedule.speed,
        spacing: schedule.spacing,
        carry: schedule.carry,
        old_seed_gone: schedule.old_seed_gone,
        new_seed_there: schedule.new_seed_there,
        motors: schedule.boosts.iter().map(motor).collect(),
        sweeps: schedule.sweeps.iter().map(sweep).collect(),
        fall: schedule.fall,
    }
}

/// Any planter without carry-over, in any windows.
fn any_schedule() -> impl Strategy<Value = Schedule<f64>> {
    let rates = (10.0..150.0_f64, 2.0..40.0_f64, 0.0..30.0_f64, 0.0..0.5_f64);
    let seed = (0.0..1.0_f64, 0.2..3.0_f64);
    let boosts = prop::collection::vec((0.0..3.0_f64, 0.0..1.5_f64, 0.3..5.0_f64), 0..=3);
    let sweeps = prop::collection::vec((0.0..3.0_f64, 0.0..1.5_f64, 0.0..1.0_f64), 0..=3);
    (rates, seed, boosts, sweeps).prop_map(|(rates, (gone, there), boosts, sweeps)| {
        let (speed, ground, carry, fall) = rates;
        let turning = |(start, length, faster): (f64, f64, f64)| Turning {
            name: "boost".into(),
            start,
            length,
            rate: ground * faster,
        };
        let sweep = |(start, length, share): (f64, f64, f64)| Sweep {
            start,
            length,
            cells_before_release: share * carry,
        };
        Schedule {
            speed,
            spacing: speed / ground,
            carry,
            old_seed_gone: gone * there,
            new_seed_there: there,
            boosts: boosts.into_iter().map(turning).collect(),
            sweeps: sweeps.into_iter().map(sweep).collect(),
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
fn toss_up(machine: &Machine, grains: &[Grain]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let ends = |start: f64, length: f64| [start, start + length];
    grains.iter().any(|grain| {
        let swept = machine.sweeps.iter().any(|sweep| {
            let time = machine.after(grain.picked, machine.carry - sweep.cells_before_release);
            ends(sweep.start, sweep.length).iter().any(|moment| near(time, *moment))
        });
        let motors = machine.motors.iter().flat_map(|motor| ends(motor.start, motor.length));
        swept
            || near(grain.picked, machine.old_seed_gone)
            || near(grain.picked, machine.new_seed_there)
            || motors.into_iter().any(|moment| near(grain.released, moment))
    })
}

const SHOWN: u32 = 25;

proptest! {
    #![proptest_config(asked_for(600))]

    #[test]
    fn the_strip_is_what_the_stepped_planter_plants(
        schedule in any_schedule(),
        phase in 0.0..1.0_f64,
    ) {
        let machine = bench(&schedule);
        let grains = machine.plant(phase, machine.early() + SHOWN, SHOWN);
        prop_assume!(!toss_up(&machine, &grains));
        let old = grains.iter().filter(|grain| grain.lot == Lot::Old).count();
        let grains = &grains[old - SHOWN as usize..];
        let seeds = strip(&schedule, phase, SHOWN, SHOWN);
        prop_assert!(seeds.len().abs_diff(grains.len()) <= 1, "{} {}", seeds.len(), grains.len());
        for (seed, grain) in seeds.iter().zip(grains) {
            let hair = 1e-9 * schedule.speed.max(1.0);
            prop_assert!((seed.at - grain.at).abs() < hair, "{seed:?} {grain:?}");
            prop_assert_eq!(seed.fate, fate(grain));
            prop_assert_eq!(seed.boosted, grain.rate > machine.ground_rate());
        }
    }
}

proptest! {
    #![proptest_config(asked_for(150))]

    #[test]
    fn averages_over_the_phase_are_predicted(schedule in any_schedule()) {
        held_against_the_bench(&schedule, &bench(&schedule))?;
    }
}
