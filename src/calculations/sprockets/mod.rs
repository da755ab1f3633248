//! Choosing sprockets for the drive from a ground wheel to a seed plate.
//!
//! The drive is one or more stages, each a driving and a driven sprocket. Plate turns
//! per wheel turn are `R = product(driving teeth / driven teeth)`, and seed spacing goes
//! as `1 / R`, so a drive of ratio `R` set for a target `T` spaces seed wrong by
//! `T / R - 1`.
//!
//! Every ratio is held as an exact reduced fraction and every comparison is made in
//! whole numbers; the target counts as exactly the value its `f64` holds.
//!
//! Method: the sprocket positions are split in order into two halves of nearly equal
//! size, each half is reduced to its distinct ratios, and for each ratio of one half
//! the partners in the other are taken outward from the nearest (meeting in the middle).

use thiserror::Error;

mod nearness;
mod ratios;
mod shortlist;
#[cfg(test)]
mod tests;

use super::sprockets::ratios::{balanced_split, checked_slots, distinct_ratios, size, slots};
use super::sprockets::shortlist::{Half, nearest};

/// Most choices one half of the drive may multiply out to.
pub const HALF_LIMIT: u128 = 2_000_000;

/// No search goes past this many combinations, and none is refused for their number
/// below a `1/c` part of it, where `c` is the most choices at any one position: at
/// least 2 x 10^10 combinations when teeth run from 5 to 200.
pub const LIMIT: u128 = HALF_LIMIT * HALF_LIMIT;

/// Most combinations [`best`] will list.
pub const COUNT_LIMIT: usize = 100_000;

/// One sprocket position: the sprocket on it now and those that could go on it.
///
/// `fitted` and `choices` are teeth. The fitted sprocket is always possible, whether or
/// not `choices` names it; repeats count once.
///
/// ```
/// use alleytrue::calculations::sprockets::Position;
/// let position = Position { fitted: 20, choices: vec![18, 20, 22] };
/// assert_eq!(position.fitted, 20);
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Position {
    /// Teeth of the sprocket fitted now.
    pub fitted: u32,
    /// Teeth of the sprockets that could be fitted; empty when only `fitted` is at hand.
    pub choices: Vec<u32>,
}

impl Position {
    /// Distinct teeth possible here, ascending, the fitted sprocket included.
    fn teeth(&self) -> Vec<u32> {
        let mut teeth = self.choices.clone();
        teeth.push(self.fitted);
        teeth.sort_unstable();
        teeth.dedup();
        teeth
    }
}

/// One drive stage: the driving sprocket turns the driven one by chain.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage};
/// let stage = Stage {
///     driving: Position { fitted: 20, choices: vec![] },
///     driven: Position { fitted: 30, choices: vec![25, 35] },
/// };
/// assert_eq!(stage.driven.choices.len(), 2);
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Stage {
    /// Sprocket on the wheel side.
    pub driving: Position,
    /// Sprocket on the plate side.
    pub driven: Position,
}

/// One sprocket for every position, and the exact ratio they give.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage, best};
/// let stage = Stage {
///     driving: Position { fitted: 20, choices: vec![24] },
///     driven: Position { fitted: 30, choices: vec![] },
/// };
/// let found = best(&[stage], 0.8, 1)?;
/// assert_eq!(found[0].teeth, [(24, 30)]);
/// assert_eq!(found[0].swaps, 1);
/// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Combination {
    /// Teeth of the (driving, driven) sprockets, stage by stage.
    pub teeth: Vec<(u32, u32)>,
    /// How many sprockets differ from those fitted.
    pub swaps: u32,
    numerator: u64,
    denominator: u64,
}

impl Combination {
    /// Numerator of the reduced ratio `R`, plate turns per wheel turn.
    ///
    /// ```
    /// # use alleytrue::calculations::sprockets::{Position, Stage, best};
    /// # let at = |fitted| Position { fitted, choices: vec![] };
    /// let stage = Stage { driving: at(20), driven: at(30) };
    /// assert_eq!(best(&[stage], 1.0, 1)?[0].numerator(), 2);
    /// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
    /// ```
    pub fn numerator(&self) -> u64 {
        self.numerator
    }

    /// Denominator of the reduced ratio `R`, plate turns per wheel turn.
    ///
    /// ```
    /// # use alleytrue::calculations::sprockets::{Position, Stage, best};
    /// # let at = |fitted| Position { fitted, choices: vec![] };
    /// let stage = Stage { driving: at(20), driven: at(30) };
    /// assert_eq!(best(&[stage], 1.0, 1)?[0].denominator(), 3);
    /// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
    /// ```
    pub fn denominator(&self) -> u64 {
        self.denominator
    }

    /// Plate turns per wheel turn, `R`.
    ///
    /// ```
    /// # use alleytrue::calculations::sprockets::{Position, Stage, best};
    /// # let at = |fitted| Position { fitted, choices: vec![] };
    /// let stage = Stage { driving: at(20), driven: at(32) };
    /// assert_eq!(best(&[stage], 1.0, 1)?[0].ratio(), 0.625);
    /// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
    /// ```
    pub fn ratio(&self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// Relative error of seed spacing, `T / R - 1`, when `target_ratio` `T` is wanted:
    /// above zero when seed falls too far apart.
    ///
    /// ```
    /// # use alleytrue::calculations::sprockets::{Position, Stage, best};
    /// # let at = |fitted| Position { fitted, choices: vec![] };
    /// let stage = Stage { driving: at(20), driven: at(40) };
    /// let found = best(&[stage], 0.51, 1)?;
    /// assert!((found[0].spacing_error(0.51) - 0.02).abs() < 1e-12);
    /// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
    /// ```
    pub fn spacing_error(&self, target_ratio: f64) -> f64 {
        target_ratio / self.ratio() - 1.0
    }
}

/// Why a search was not made.
///
/// ```
/// use alleytrue::calculations::sprockets::{SearchError, best};
/// assert_eq!(best(&[], 1.0, 5), Err(SearchError::NoStages));
/// assert_eq!(SearchError::NoStages.to_string(), "the drive has no stages");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SearchError {
    /// No drive stage was given.
    #[error("the drive has no stages")]
    NoStages,
    /// A sprocket of no teeth at this stage, counted from 0.
    #[error("stage {} has a sprocket of 0 teeth", stage + 1)]
    NoTeeth {
        /// The stage, counted from 0.
        stage: usize,
    },
    /// Teeth multiply past what exact arithmetic here can hold (2^63).
    #[error("sprocket teeth are too many to multiply exactly")]
    TeethTooMany,
    /// The target ratio is not a finite number above zero.
    #[error("the target ratio must be a number above zero")]
    BadTarget,
    /// Too many combinations to search: see [`LIMIT`].
    #[error("{combinations} sprocket combinations are too many to search")]
    TooManyCombinations {
        /// How many there are (`u128::MAX` when more than that).
        combinations: u128,
    },
    /// More than [`COUNT_LIMIT`] combinations were asked for.
    #[error("at most {COUNT_LIMIT} sprocket combinations can be listed")]
    TooManyWanted,
    /// There are more distinct ratios than the most allowed.
    #[error("there are more than {most} different ratios")]
    TooManyRatios {
        /// The most allowed.
        most: usize,
    },
}

/// How many ways the positions can be filled: distinct choices at each, the fitted
/// sprocket included, multiplied together. 0 for no stages; `u128::MAX` when more.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage, combinations};
/// let stage = Stage {
///     driving: Position { fitted: 20, choices: vec![18, 18, 22] },
///     driven: Position { fitted: 30, choices: vec![30, 35] },
/// };
/// assert_eq!(combinations(&[stage]), 6);
/// ```
pub fn combinations(stages: &[Stage]) -> u128 {
    if stages.is_empty() {
        return 0;
    }
    size(&slots(stages))
}

/// The `count` distinct ratios nearest to `target_ratio`, best first.
///
/// Ranked by size of spacing error `|T / R - 1|`, then by fewest swaps from what is
/// fitted, then by the smallest list of teeth read stage by stage, driving before
/// driven. Each ratio is given by the combination that makes it with fewest swaps, then
/// the smallest list of teeth. Fewer come back when there are fewer distinct ratios.
/// The ranking is exact: it is the one that trying every combination would give.
///
/// # Errors
///
/// [`SearchError::NoStages`], [`SearchError::NoTeeth`], [`SearchError::TeethTooMany`],
/// [`SearchError::BadTarget`], [`SearchError::TooManyCombinations`] past [`LIMIT`], and
/// [`SearchError::TooManyWanted`] past [`COUNT_LIMIT`].
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage, best};
/// let any = |fitted| Position { fitted, choices: (12..=40).collect() };
/// let drive = [
///     Stage { driving: any(20), driven: any(30) },
///     Stage { driving: any(16), driven: any(24) },
/// ];
/// let found = best(&drive, 0.5, 3)?;
/// assert_eq!(found.len(), 3);
/// assert_eq!(found[0].ratio(), 0.5);
/// assert_eq!(found[0].swaps, 1);
/// assert_eq!(found[0].teeth, [(20, 30), (18, 24)]);
/// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
/// ```
pub fn best(
    stages: &[Stage],
    target_ratio: f64,
    count: usize,
) -> Result<Vec<Combination>, SearchError> {
    let slots = checked_slots(stages)?;
    if !(target_ratio.is_finite() && target_ratio > 0.0) {
        return Err(SearchError::BadTarget);
    }
    let combinations = size(&slots);
    let too_many = SearchError::TooManyCombinations { combinations };
    let (first, second) = slots.split_at(balanced_split(&slots));
    if size(first).max(size(second)) > HALF_LIMIT {
        return Err(too_many);
    }
    let count = usize::try_from(combinations).map_or(count, |all| count.min(all));
    if count > COUNT_LIMIT {
        return Err(SearchError::TooManyWanted);
    }
    if count == 0 {
        return Ok(Vec::new());
    }
    let most = usize::try_from(HALF_LIMIT).unwrap_or(usize::MAX);
    let (Some(first_half), Some(second_half)) =
        (distinct_ratios(first, most), distinct_ratios(second, most))
    else {
        return Err(too_many);
    };
    let carry = u64::try_from(size(second)).map_err(|_| too_many)?;
    let first_half = Half { ratios: first_half, weight: carry };
    let second_half = Half { ratios: second_half, weight: 1 };
    let mut found = nearest(&first_half, &second_half, target_ratio, count);
    found.sort_by(|a, b| {
        (a.near.compare_error(&b.near)).then((a.swaps, a.code).cmp(&(b.swaps, b.code)))
    });
    found.truncate(count);
    Ok(found.iter().map(|f| f.ratio().combination(&slots)).collect())
}

/// Every distinct ratio the drive can make, ascending, each by the combination with
/// fewest swaps, then the smallest list of teeth.
///
/// # Errors
///
/// [`SearchError::TooManyRatios`] when there would be more than `most` (or than
/// [`HALF_LIMIT`]), found without making them all; [`SearchError::NoStages`],
/// [`SearchError::NoTeeth`], [`SearchError::TeethTooMany`]; and
/// [`SearchError::TooManyCombinations`] past the range of `u64`.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, SearchError, Stage, chart};
/// let drive = [Stage {
///     driving: Position { fitted: 20, choices: vec![10, 30] },
///     driven: Position { fitted: 20, choices: vec![40] },
/// }];
/// let ratios: Vec<f64> = chart(&drive, 100)?.iter().map(|c| c.ratio()).collect();
/// assert_eq!(ratios, [0.25, 0.5, 0.75, 1.0, 1.5]);
/// assert_eq!(chart(&drive, 4), Err(SearchError::TooManyRatios { most: 4 }));
/// # Ok::<(), SearchError>(())
/// ```
pub fn chart(stages: &[Stage], most: usize) -> Result<Vec<Combination>, SearchError> {
    let slots = checked_slots(stages)?;
    let combinations = size(&slots);
    if combinations > u128::from(u64::MAX) {
        return Err(SearchError::TooManyCombinations { combinations });
    }
    let most = usize::try_from(HALF_LIMIT).map_or(most, |limit| most.min(limit));
    let ratios = distinct_ratios(&slots, most).ok_or(SearchError::TooManyRatios { most })?;
    Ok(ratios.iter().map(|r| r.combination(&slots)).collect())
}
