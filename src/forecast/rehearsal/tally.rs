//! Plots out of limit, counted over many trials: whole numbers only, so that trials may be added in any
//! order.

use super::field::Planted;
use super::trial::{Kind, Trial};

/// Kinds, and plots out by any of them.
const ANY: usize = Kind::ALL.len();
/// Limits that something is accepted by.
const LIMITS: usize = 6;

/// How many plots of one trial are out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// By each of [`Kind::ALL`].
    of_kind: [u32; ANY],
    any: u32,
}

impl Count {
    pub(super) fn add(&mut self, planted: &Planted, trial: &Trial) {
        let mut any = false;
        for (count, kind) in self.of_kind.iter_mut().zip(Kind::ALL) {
            let out = planted.is_out(kind, &trial.limits);
            *count += u32::from(out);
            any |= out;
        }
        self.any += u32::from(any);
    }

    /// Plots out by a kind.
    #[must_use]
    pub fn of(&self, kind: Kind) -> u32 {
        self.of_kind[kind as usize]
    }

    /// Plots out by anything.
    #[must_use]
    pub fn any(&self) -> u32 {
        self.any
    }

    /// Whether of everything that is limited the share asked for is inside.
    fn passes(&self, most: &[u64; LIMITS]) -> bool {
        let mut out = [0; LIMITS];
        for (count, kind) in self.of_kind.iter().zip(Kind::ALL) {
            out[kind.limited_with()] += u64::from(*count);
        }
        out.iter().zip(most).all(|(out, most)| out <= most)
    }
}

/// The most plots that may be out by each limit.
fn most_out(trial: &Trial) -> [u64; LIMITS] {
    let mut most = [0; LIMITS];
    for kind in Kind::ALL {
        most[kind.limited_with()] = trial.most_out(kind);
    }
    most
}

/// How many trials came out with how many plots out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// Trials by their number of plots out, for every kind and for any.
    trials: [Vec<u32>; ANY + 1],
    most: [u64; LIMITS],
    passed: u64,
    drawn: u64,
}

impl Tally {
    pub(super) fn new(trial: &Trial) -> Tally {
        Tally { trials: Default::default(), most: most_out(trial), passed: 0, drawn: 0 }
    }

    pub(super) fn add(&mut self, count: &Count) {
        let all = count.of_kind.iter().chain([&count.any]);
        for (trials, out) in self.trials.iter_mut().zip(all) {
            let out = *out as usize;
            if trials.len() <= out {
                trials.resize(out + 1, 0);
            }
            trials[out] += 1;
        }
        self.passed += u64::from(count.passes(&self.most));
        self.drawn += 1;
    }

    pub(super) fn merge(&mut self, other: &Tally) {
        for (own, others) in self.trials.iter_mut().zip(&other.trials) {
            if own.len() < others.len() {
                own.resize(others.len(), 0);
            }
            for (own, other) in own.iter_mut().zip(others) {
                *own += other;
            }
        }
        self.passed += other.passed;
        self.drawn += other.drawn;
    }

    /// Trials drawn.
    #[must_use]
    pub fn drawn(&self) -> u64 {
        self.drawn
    }

    /// Trials of which everything that is limited has the share inside that is asked for.
    #[must_use]
    pub fn passed(&self) -> u64 {
        self.passed
    }

    /// Plots out by a kind.
    #[must_use]
    pub fn of(&self, kind: Kind) -> Spread<'_> {
        Spread { trials: &self.trials[kind as usize], drawn: self.drawn }
    }

    /// Plots out by anything.
    #[must_use]
    pub fn any(&self) -> Spread<'_> {
        Spread { trials: &self.trials[ANY], drawn: self.drawn }
    }
}

/// The plots out of many trials.
#[derive(Clone, Copy, Debug)]
pub struct Spread<'a> {
    trials: &'a [u32],
    drawn: u64,
}

#[allow(clippy::cast_precision_loss)] // far fewer trials and plots than 2^53
impl Spread<'_> {
    /// Plots to expect.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.moment(|out| out)
    }

    fn moment(&self, of: impl Fn(f64) -> f64) -> f64 {
        let sum =
            (0..).zip(self.trials).map(|(out, trials)| f64::from(*trials) * of(f64::from(out)));
        sum.sum::<f64>() / (self.drawn as f64).max(1.0)
    }

    /// Standard deviation from trial to trial (n - 1).
    #[must_use]
    pub fn sd(&self) -> f64 {
        let mean = self.mean();
        let square = self.moment(|out| (out - mean).powi(2));
        let drawn = self.drawn as f64;
        if drawn > 1.0 { (square * drawn / (drawn - 1.0)).sqrt() } else { 0.0 }
    }

    /// The number of plots that so large a share of the trials do not exceed.
    #[must_use]
    pub fn quantile(&self, share: f64) -> u32 {
        let wanted = share * self.drawn as f64;
        let mut so_far = 0.0;
        for (out, trials) in (0..).zip(self.trials) {
            so_far += f64::from(*trials);
            if so_far >= wanted {
                return out;
            }
        }
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trials with 0, 1, 1 and 4 plots out: mean 6/4, squares off it 2.25 + .25 + .25 + 6.25 = 9, over 3.
    #[test]
    fn mean_spread_and_quantiles_are_those_of_the_trials() {
        let trials = [1, 2, 0, 0, 1];
        let spread = Spread { trials: &trials, drawn: 4 };
        assert_eq!(spread.mean(), 1.5);
        assert!((spread.sd() - 3.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(
            [0.05, 0.25, 0.5, 0.75, 0.95].map(|share| spread.quantile(share)),
            [0, 0, 1, 1, 4]
        );
    }
}
