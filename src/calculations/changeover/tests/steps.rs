//! The closed form of what timers reach against trying every step, and what is named against
//! trying what lies inside it.

use proptest::prelude::*;

use crate::calculations::changeover::steps::{Plan, Stepped};
use crate::calculations::changeover::tests::*;
use crate::calculations::changeover::{CleanOuts, Wish, predict, starting_values};
use crate::quantity::LengthUnit;

/// Any machine in centimetres, from crawls to haste and from fine steps to steps far too coarse.
fn any_wish() -> impl Strategy<Value = Wish> {
    let step = prop::sample::select(vec![0.01, 0.02, 0.05, 0.1, 0.25, 1.0]);
    let rates = (5.0..300.0_f64, 1.0..60.0_f64, 0.5..12.0_f64, 0.0..30.0_f64);
    let times = (0.1..2.5_f64, 0.0..1.5_f64, 0.0..1.5_f64, 0.0..1.5_f64);
    let wished = (5.0..200.0_f64, prop::option::of(0.0..1.0_f64));
    (rates, times, step, wished).prop_map(|(rates, times, step, (alley, sweep))| {
        let (speed, ground, faster, carry) = rates;
        let (old_seed_gone, new_seed_at_pick_up, least, more) = times;
        let machine = Timers {
            speed,
            spacing: speed / ground,
            boost: ground * faster,
            carry,
            clean_out: 0.0,
            run_out: 0.0,
            fill: 0.0,
            old_seed_gone,
            new_seed_at_pick_up,
            sweep: None,
            fall: 0.2,
        };
        Wish {
            machine,
            alley,
            tolerance: None,
            shape: Shape::plain(step),
            clean_outs: CleanOuts::seconds(least, least + more),
            sweep_cells: sweep.map(|share| share * carry),
            length: LengthUnit::Centimetre,
        }
    })
}

/// The alley of a plan by the model of the ground.
fn predicted(wish: &Wish, plan: Plan) -> f64 {
    let time = |steps: i64| f64::from(i32::try_from(steps).expect("steps")) * wish.step();
    let timers = Timers {
        clean_out: time(plan.clean_out),
        run_out: time(plan.run_out),
        fill: time(plan.fill),
        ..wish.machine.clone()
    };
    predict(&timers.schedule()).width
}

/// Whether timers drop a seed under boost.
fn bunch(wish: &Wish, plan: Plan) -> bool {
    let time = |steps: i64| f64::from(i32::try_from(steps).expect("steps")) * wish.step();
    let timers = Timers {
        clean_out: time(plan.clean_out),
        run_out: time(plan.run_out),
        fill: time(plan.fill),
        ..wish.machine.clone()
    };
    let ground = predict(&timers.schedule());
    ground.bunched_at_end.max(ground.bunched_at_start) > 1e-6
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_alley_of_whole_steps_is_that_of_the_model(wish in any_wish(), extra in 0_i64..40) {
        let stepped = Stepped::of(&wish);
        for clean_out in [stepped.least, stepped.usual, stepped.least + extra] {
            for run_out in [stepped.run_out(clean_out), stepped.waiting_run_out(clean_out)] {
                let most = stepped.most_fill(clean_out, run_out);
                for fill in [0, most / 2, most] {
                    let plan = Plan { clean_out, run_out, fill };
                    let off = (stepped.width(plan) - predicted(&wish, plan)).abs();
                    prop_assert!(off < 1e-6 * (1.0 + wish.machine.speed), "{plan:?}: {off}");
                    prop_assert!(!bunch(&wish, plan), "{plan:?}");
                }
                let more = Plan { clean_out, run_out, fill: most + 1 };
                let idle = wish.machine.boost <= stepped.ground;
                prop_assert!(idle || bunch(&wish, more) || most == stepped.most, "{more:?}");
            }
        }
    }

    /// Every clean-out, every fill, and run-outs up to ten steps longer than needed.
    #[test]
    fn the_least_alley_and_the_longest_clean_out_are_those_of_trying_all(wish in any_wish()) {
        let stepped = Stepped::of(&wish);
        let Some((shortest, usual)) = stepped.clean_outs() else { return Ok(()) };
        let hair = 1e-9 * (1.0 + wish.machine.speed);
        let tried = |clean_out: i64| {
            let run_out = stepped.run_out(clean_out);
            let waiting = stepped.waiting_run_out(clean_out);
            (run_out..=run_out + 10)
                .chain(waiting..waiting + 3)
                .map(|run_out| Plan { clean_out, run_out, fill: stepped.most_fill(clean_out, run_out) })
                .map(|plan| stepped.width(plan))
                .fold(f64::INFINITY, f64::min)
        };
        for clean_out in shortest..=usual {
            let closed = stepped.width(stepped.tightest(clean_out));
            prop_assert!((closed - tried(clean_out)).abs() < hair, "{clean_out}");
        }
        let least = (shortest..=usual).map(tried).fold(f64::INFINITY, f64::min);
        let closed = stepped.width(stepped.least_plan(shortest, usual));
        prop_assert!((closed - least).abs() < hair, "{closed} {least}");
        let longest = (shortest..=usual).rev().find(|steps| tried(*steps) <= stepped.limit());
        prop_assert_eq!(stepped.longest_clean_out(), longest);
        prop_assert_eq!(longest.is_some(), least <= stepped.limit());
    }

    #[test]
    fn all_that_is_named_works_from_end_to_end(wish in any_wish(), shares in prop::collection::vec(0.0..1.0_f64, 12)) {
        let Err(error) = starting_values(&wish) else { return Ok(()) };
        let ends = [0.0, 1.0].into_iter().chain(shares);
        let made = |wish: &Wish| starting_values(wish).is_ok();
        for share in ends {
            // As often near the start of a span as far beyond it.
            let at = |span: Span| span.from * (span.to / span.from).powf(share);
            if let Some(alleys) = error.alleys {
                let alley = at(alleys);
                prop_assert!(made(&Wish { alley, ..wish.clone() }), "alley {alley} of {alleys:?}");
            }
            if let Some(speeds) = error.speeds {
                let speed = at(speeds);
                prop_assert!(made(&wish.at_speed(speed)), "speed {speed} of {speeds:?}");
            }
            if let Some(boosts) = error.boosts {
                let boost = at(boosts);
                prop_assert!(made(&wish.at_boost(boost)), "boost {boost} of {boosts:?}");
                prop_assert!(boost > wish.machine.boost);
            }
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Speeds and boosts are named where three in a row will do.
    #[test]
    fn what_would_do_is_named(wish in any_wish()) {
        let Err(error) = starting_values(&wish) else { return Ok(()) };
        let in_a_row = |made: Vec<bool>| made.windows(3).any(|three| three == [true; 3]);
        let made = |wish: &Wish| starting_values(wish).is_ok();
        let speed = wish.machine.speed;
        // 0.05 mph is 2.24 cm/s.
        let slower = (1..60).map(|sixtieth| speed * f64::from(sixtieth) / 60.0);
        let slower = slower.filter(|speed| *speed > 2.3);
        let works = in_a_row(slower.map(|speed| made(&wish.at_speed(speed))).collect());
        prop_assert!(!works || error.speeds.is_some());
        let boost = wish.machine.boost;
        let faster = (1..200).map(|step| boost * (1.0 + f64::from(step) / 50.0));
        let faster = faster.filter(|boost| *boost < 999.0);
        let works = in_a_row(faster.map(|boost| made(&wish.at_boost(boost))).collect());
        prop_assert!(!works || error.boosts.is_some());
    }
}
