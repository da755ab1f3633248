//! When readings that come in one by one may be held against the tolerance, so that ending as soon
//! as they decide leaves the promise of 95 % whole.
//!
//! An interval of 95 % misses the truth five times in a hundred if the number of readings was fixed
//! before. Whoever looks after every reading and ends at the first interval that decides picks the
//! lucky moment, and misses two to four times as often. So there are three looks at a question at the
//! most, and each is held to its share of the five per cent, an interval of 98.4 %: intervals that
//! hold at all looks together hold at whichever one ends the run (repeated confidence intervals,
//! Jennison and Turnbull 1984, Controlled Clinical Trials 5, 33-45; the shares by Bonferroni,
//! NIST/SEMATECH e-Handbook 7.4.7.3). The first look is after five readings. Their scatter, and never
//! their mean, then says how many there have to be at the next one (Stein 1945, Annals of
//! Mathematical Statistics 16, 243-258, from memory). Since the number of readings hangs on their
//! scatter, the sum is no proof; `tests/looks.rs` shows by simulation that it holds.

use crate::statistics::Confidence;

/// Looks at one question at the most.
pub const MOST: usize = 3;
/// Readings at the first look. Common practice, no source.
pub const FIRST: usize = 5;

/// The confidence that each look is held to, rounded up to a tenth of a per cent so that it can be
/// typed.
///
/// ```
/// let each = alleytrue::forecast::looks::confidence();
/// assert_eq!(each.to_string(), "98.4 %"); // 100 - 5 / 3 = 98.33
/// ```
#[must_use]
pub fn confidence() -> Confidence {
    let usual = Confidence::NINETY_FIVE;
    let each = usual.for_each_of(MOST).unwrap_or(usual).fraction();
    Confidence::new((each * 1000.0).ceil() / 1000.0).unwrap_or(usual)
}

/// The looks at one question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Looks {
    /// How many there were.
    pub taken: usize,
    /// At how many readings the next one is.
    pub next_at: usize,
    /// Whether there is nothing more to look for: one has decided, or no more readings would.
    pub closed: bool,
}

impl Default for Looks {
    fn default() -> Looks {
        Looks { taken: 0, next_at: FIRST, closed: false }
    }
}

impl Looks {
    /// Whether so many readings are to be looked at.
    ///
    /// ```
    /// use alleytrue::forecast::looks::Looks;
    /// let mut looks = Looks::default();
    /// assert!(!looks.is_due(4) && looks.is_due(5) && looks.is_due(8));
    /// looks.look(5, false, Some(3)); // three more would decide
    /// assert!(!looks.is_due(7) && looks.is_due(8));
    /// looks.look(8, true, None);
    /// assert!(looks.closed && looks.are_over());
    /// ```
    #[must_use]
    pub fn is_due(&self, readings: usize) -> bool {
        !self.are_over() && readings >= self.next_at
    }

    /// Whether there is no further look.
    #[must_use]
    pub fn are_over(&self) -> bool {
        self.closed || self.taken >= MOST
    }

    /// Readings still to be taken before the next look.
    #[must_use]
    pub fn to_go(&self, readings: usize) -> usize {
        self.next_at.saturating_sub(readings)
    }

    /// Takes a look at so many readings, which decide or don't; then the next one is after `more`,
    /// where more of them would tell.
    pub fn look(&mut self, readings: usize, decided: bool, more: Option<usize>) {
        self.taken += 1;
        self.closed = decided || more.is_none();
        self.next_at = readings + more.unwrap_or_default().max(1);
    }
}
