//! A trial drawn many times, on as many cores as there are.

use std::num::NonZero;
use std::sync::atomic::{AtomicU64, Ordering};

use super::field::{Planted, Room, plant};
use super::known::Known;
use super::tally::{Count, Tally};
use super::trial::Trial;

/// Trials that a core takes at a time: enough that cores don't wait for one another.
const AT_A_TIME: u64 = 16;

/// How often a trial is drawn, and from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draws {
    /// Trials to draw.
    pub number: u64,
    /// The seed: the same one draws the same trials.
    pub seed: u64,
}

/// Draws the trial, and is told now and then how many trials are done.
///
/// Every trial has its own streams, and counts are added as whole numbers, so the answer is the same on
/// any number of cores.
pub fn draw(
    trial: &Trial,
    known: &Known,
    draws: Draws,
    cores: NonZero<usize>,
    done: &(dyn Fn(u64) + Sync),
) -> Tally {
    let next = AtomicU64::new(0);
    let work = || {
        let (mut tally, mut room) = (Tally::new(trial), Room::default());
        loop {
            let from = next.fetch_add(AT_A_TIME, Ordering::Relaxed);
            if from >= draws.number {
                return tally;
            }
            let to = draws.number.min(from + AT_A_TIME);
            for number in from..to {
                tally.add(&one(trial, known, draws.seed, number, &mut room));
            }
            done(to - from);
        }
    };
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..cores.get()).map(|_| scope.spawn(work)).collect();
        let mut tally = work();
        for other in others {
            match other.join() {
                Ok(theirs) => tally.merge(&theirs),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        tally
    })
}

fn one(trial: &Trial, known: &Known, seed: u64, number: u64, room: &mut Room) -> Count {
    let mut count = Count::default();
    plant(trial, known, seed, number, room, |planted| count.add(planted, trial));
    count
}

/// How many plots of one drawn trial are out.
#[must_use]
pub fn count_of(trial: &Trial, known: &Known, seed: u64, number: u64) -> Count {
    one(trial, known, seed, number, &mut Room::default())
}

/// Every plot of one drawn trial, in the order they are planted.
#[must_use]
pub fn field_of(trial: &Trial, known: &Known, seed: u64, number: u64) -> Vec<Planted> {
    let mut plots = vec![];
    plant(trial, known, seed, number, &mut Room::default(), |planted| plots.push(*planted));
    plots
}
