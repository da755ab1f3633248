//! Chance that comes out alike whenever it is asked alike: a stream for every trial, so that a trial
//! is the same whichever core draws it and whatever was drawn before.
//!
//! `ChaCha` counts: what it gives at a place of a stream follows from seed, stream and place alone
//! (Bernstein 2008, `ChaCha`, a variant of Salsa20), and the package promises that this stays.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution, StandardNormal};

/// What chance is asked for. Each has a stream of its own, so that another number of draws for the one
/// leaves the others as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum For {
    /// The errors that all plots share.
    Truth = 0,
    /// Edges of plots.
    Edges = 1,
    /// Depths.
    Depths = 2,
    /// Seeds and plants.
    Stands = 3,
}

/// Streams of one trial.
const STREAMS: u64 = 4;
/// Words of a stream that each unknown of a trial has for itself.
const WORDS: u128 = 1 << 20;

/// Chance for one purpose in one trial.
pub(super) struct Dice(ChaCha8Rng);

impl Dice {
    pub(super) fn new(seed: u64, trial: u64, purpose: For) -> Dice {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(trial.wrapping_mul(STREAMS).wrapping_add(purpose as u64));
        Dice(generator)
    }

    /// The same for one of several unknowns, whatever the others take.
    pub(super) fn unknown(seed: u64, trial: u64, number: u32) -> Dice {
        let mut dice = Dice::new(seed, trial, For::Truth);
        dice.0.set_word_pos(u128::from(number) * WORDS);
        dice
    }

    /// Normal around 0 with a standard deviation of 1.
    pub(super) fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// Evenly from 0 up to 1.
    #[allow(clippy::cast_precision_loss)] // 53 bits
    pub(super) fn even(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    /// By a law of the library.
    pub(super) fn by<T>(&mut self, law: &impl Distribution<T>) -> T {
        law.sample(&mut self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The stream is promised to stay: these numbers are the first of `ChaCha8`'s key stream for a key of
    /// zeros (Strombergson 2013, draft-strombergson-chacha-test-vectors-01, TC1, 8 rounds, 256 bits:
    /// 3e 00 ef 2f 89 5f 40 d6 ...).
    #[test]
    fn the_generator_is_the_published_one() {
        let mut generator = ChaCha8Rng::from_seed([0; 32]);
        assert_eq!(
            generator.next_u64().to_le_bytes(),
            [0x3e, 0, 0xef, 0x2f, 0x89, 0x5f, 0x40, 0xd6]
        );
    }

    #[test]
    fn every_trial_and_purpose_has_chance_of_its_own() {
        let first = |trial, purpose| Dice::new(7, trial, purpose).even();
        assert_eq!(first(3, For::Edges), first(3, For::Edges));
        let all = [
            first(3, For::Edges),
            first(4, For::Edges),
            first(3, For::Depths),
            Dice::unknown(7, 3, 0).even(),
            Dice::unknown(7, 3, 1).even(),
            Dice::new(8, 3, For::Edges).even(),
        ];
        let mut sorted = all;
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|pair| pair[0] < pair[1]), "{all:?}");
    }
}
