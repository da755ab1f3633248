//! Choosing sprockets for the drive from a ground wheel to a seed plate.
//!
//! The drive is one or more stages, each a driving and a driven sprocket. Plate turns
//! per wheel turn are `R = product(driving teeth / driven teeth)`, and seed spacing goes
//! as `1 / R`, so a drive of ratio `R` set for a target `T` spaces seed wrong by
//! `T / R - 1`.
//!
//! Every combination of the sprockets at hand is tried: a planter has thousands. They are ranked
//! as who has to swap them would, see [`Wanted`].

use std::cmp::Ordering;
use std::collections::HashMap;

use thiserror::Error;

use crate::quantity::at_most;

#[cfg(test)]
mod tests;

/// Most combinations that are tried: three chains with twelve sprockets to
/// each shaft, the fitted one counted.
pub const LIMIT: u128 = 3_000_000;

/// What the teeth of all driving sprockets, or of all driven ones, multiply to at most. Up to here
/// an `f64` holds every whole number.
const MOST_TEETH: u64 = 1 << 53;

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

    /// The most teeth possible here.
    fn most(&self) -> u32 {
        self.choices.iter().copied().fold(self.fitted, u32::max)
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

/// What is wanted of a drive, and so which of its combinations come first.
///
/// Of two combinations inside the tolerance the one with fewer chains to change comes first, then
/// the one with fewer sprockets to swap, then the nearer one. Outside the tolerance, and all of
/// them are inside it before any that is not, the nearer one comes first, then the one with fewer
/// chains to change, then with fewer swaps. Without a tolerance nobody can say what is near enough
/// to save work at the drive: the fewer chains to change come first, then the nearer one, then the
/// fewer swaps. What is still equal goes by the smaller list of teeth, stage by stage, driving
/// before driven.
pub struct Wanted<'a> {
    /// Plate turns per wheel turn, `T`. Beyond 1024, where no drive comes near, it counts as that.
    pub ratio: f64,
    /// The share by which the spacing may be off either way.
    pub tolerance: Option<f64>,
    /// Whether the chain of a stage, counted from 0, goes round a driving and a driven sprocket of
    /// so many teeth. A chain whose sprockets both stay is not asked about: it stays as it is.
    pub chain_fits: &'a dyn Fn(usize, u32, u32) -> bool,
    /// Whether sprockets of so many teeth have room beside each other on a stage; those that have
    /// none are no combination. Those that are fitted have.
    pub has_room: &'a dyn Fn(usize, u32, u32) -> bool,
    /// Whether chains that don't fit matter for the order.
    pub heed_chains: bool,
}

impl Wanted<'_> {
    /// The same ratio wanted by who looks at nothing but how near it comes, and of equally near
    /// ones at the fewest swaps.
    ///
    /// ```
    /// use alleytrue::calculations::sprockets::Wanted;
    /// let fits = |_: usize, _: u32, _: u32| true;
    /// let wanted =
    ///     Wanted { ratio: 0.5, tolerance: Some(0.01), chain_fits: &fits, has_room: &fits, heed_chains: true };
    /// let nearest = wanted.nearest();
    /// assert_eq!((nearest.tolerance, nearest.heed_chains), (None, false));
    /// ```
    #[must_use]
    pub fn nearest(&self) -> Self {
        Wanted { tolerance: None, heed_chains: false, ..*self }
    }
}

/// One sprocket for every position.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage, Wanted, best};
/// let stage = Stage {
///     driving: Position { fitted: 20, choices: vec![24] },
///     driven: Position { fitted: 30, choices: vec![] },
/// };
/// let fits = |_: usize, _: u32, _: u32| true;
/// let wanted = Wanted { ratio: 0.8, tolerance: None, chain_fits: &fits, has_room: &fits, heed_chains: true };
/// let found = best(&[stage], &wanted, 1)?;
/// assert_eq!(found[0].teeth, [(24, 30)]);
/// assert_eq!((found[0].swaps, found[0].chains_off), (1, 0));
/// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Combination {
    /// Teeth of the (driving, driven) sprockets, stage by stage.
    pub teeth: Vec<(u32, u32)>,
    /// How many sprockets differ from those fitted.
    pub swaps: u32,
    /// How many chains don't go round their sprockets.
    pub chains_off: u32,
}

/// Why a search was not made.
///
/// ```
/// use alleytrue::calculations::sprockets::{SearchError, check};
/// assert_eq!(check(&[]), Err(SearchError::NoStages));
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
    /// Teeth multiply past 2^53.
    #[error("sprocket teeth are too many to multiply exactly")]
    TeethTooMany,
    /// The target ratio is not a finite number above zero.
    #[error("the target ratio must be a number above zero")]
    BadTarget,
    /// More combinations than [`LIMIT`].
    #[error("{combinations} sprocket combinations are too many to search (at most {LIMIT})")]
    TooManyCombinations {
        /// How many there are (`u128::MAX` when more than that).
        combinations: u128,
    },
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
#[must_use]
pub fn combinations(stages: &[Stage]) -> u128 {
    if stages.is_empty() {
        return 0;
    }
    let positions = stages.iter().flat_map(|stage| [&stage.driving, &stage.driven]);
    positions.fold(1, |ways, position| ways.saturating_mul(position.teeth().len() as u128))
}

/// Whether a drive can be searched.
///
/// # Errors
///
/// [`SearchError::NoStages`], [`SearchError::NoTeeth`], [`SearchError::TooManyCombinations`] past
/// [`LIMIT`], and [`SearchError::TeethTooMany`].
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, SearchError, Stage, check};
/// let any = || Position { fitted: 20, choices: (11..=55).collect() };
/// let two = || vec![Stage { driving: any(), driven: any() }; 2];
/// let combinations = 45_u128.pow(4);
/// assert_eq!(check(&two()), Err(SearchError::TooManyCombinations { combinations }));
/// assert_eq!(check(&two()[..1]), Ok(()));
/// ```
pub fn check(stages: &[Stage]) -> Result<(), SearchError> {
    if stages.is_empty() {
        return Err(SearchError::NoStages);
    }
    let toothless =
        |stage: &Stage| stage.driving.teeth().contains(&0) || stage.driven.teeth().contains(&0);
    if let Some(stage) = stages.iter().position(toothless) {
        return Err(SearchError::NoTeeth { stage });
    }
    let combinations = combinations(stages);
    if combinations > LIMIT {
        return Err(SearchError::TooManyCombinations { combinations });
    }
    let most = |position: fn(&Stage) -> &Position| {
        let most = stages.iter().map(|stage| u64::from(position(stage).most()));
        most.fold(1, u64::saturating_mul)
    };
    if most(|stage| &stage.driving).max(most(|stage| &stage.driven)) > MOST_TEETH {
        return Err(SearchError::TeethTooMany);
    }
    Ok(())
}

/// The first `count` combinations in the order of [`Wanted`], each ratio once, by the combination
/// that comes first of those that make it. Fewer come back where there are fewer ratios.
///
/// # Errors
///
/// What [`check`] says, and [`SearchError::BadTarget`].
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, Stage, Wanted, best};
/// let any = |fitted| Position { fitted, choices: (12..=40).collect() };
/// let drive = [
///     Stage { driving: any(20), driven: any(30) },
///     Stage { driving: any(16), driven: any(24) },
/// ];
/// let fits = |_: usize, _: u32, _: u32| true;
/// let wanted = Wanted { ratio: 0.5, tolerance: Some(0.02), chain_fits: &fits, has_room: &fits, heed_chains: true };
/// let found = best(&drive, &wanted, 2)?;
/// // 20/30 × 18/24 is 1/2; 20/27 × 16/24 is 40/81, the nearest other one with a single swap.
/// assert_eq!(found[0].teeth, [(20, 30), (18, 24)]);
/// assert_eq!(found[1].teeth, [(20, 27), (16, 24)]);
/// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
/// ```
pub fn best(
    stages: &[Stage],
    wanted: &Wanted<'_>,
    count: usize,
) -> Result<Vec<Combination>, SearchError> {
    let search = Search::new(stages, wanted)?;
    let mut found: Vec<Tried> = vec![];
    search.each(|tried| {
        let comes_after = |known: &Tried| search.order(known, &tried).is_lt();
        if found.len() == count && found.last().is_none_or(comes_after) {
            return;
        }
        if let Some(same) = found.iter().position(|known| known.ratio() == tried.ratio()) {
            if comes_after(&found[same]) {
                return;
            }
            found.remove(same);
        }
        found.insert(found.partition_point(comes_after), tried);
        found.truncate(count);
    });
    Ok(found.iter().map(|tried| search.combination(tried)).collect())
}

/// Every distinct ratio the drive can make, in the order of [`Wanted`], each by the combination
/// that comes first of those that make it.
///
/// # Errors
///
/// [`SearchError::TooManyRatios`] when there are more than `most`, and what [`best`] says.
///
/// ```
/// use alleytrue::calculations::sprockets::{Position, SearchError, Stage, Wanted, chart};
/// let drive = [Stage {
///     driving: Position { fitted: 20, choices: vec![10, 30] },
///     driven: Position { fitted: 20, choices: vec![40] },
/// }];
/// let fits = |_: usize, _: u32, _: u32| true;
/// let wanted = Wanted { ratio: 0.7, tolerance: None, chain_fits: &fits, has_room: &fits, heed_chains: true };
/// let all = chart(&drive, &wanted, 100)?;
/// // 30/40 is 0.7 / 0.75 - 1, -7 % off; then come 1, 1/2, 3/2 and 1/4: -30, 40, -53 and 180 %.
/// // Of 10/20 and 20/40, a swap either, the smaller teeth stand for 1/2.
/// let teeth: Vec<(u32, u32)> = all.iter().map(|combination| combination.teeth[0]).collect();
/// assert_eq!(teeth, [(30, 40), (20, 20), (10, 20), (30, 20), (10, 40)]);
/// assert_eq!(chart(&drive, &wanted, 4), Err(SearchError::TooManyRatios { most: 4 }));
/// # Ok::<(), SearchError>(())
/// ```
pub fn chart(
    stages: &[Stage],
    wanted: &Wanted<'_>,
    most: usize,
) -> Result<Vec<Combination>, SearchError> {
    let search = Search::new(stages, wanted)?;
    let mut by_ratio: HashMap<u64, Tried> = HashMap::new();
    search.each(|tried| {
        if by_ratio.len() <= most {
            let known = by_ratio.entry(tried.ratio().to_bits()).or_insert(tried);
            if search.order(&tried, known).is_lt() {
                *known = tried;
            }
        }
    });
    if by_ratio.len() > most {
        return Err(SearchError::TooManyRatios { most });
    }
    let mut found: Vec<Tried> = by_ratio.into_values().collect();
    found.sort_unstable_by(|one, other| search.order(one, other));
    Ok(found.iter().map(|tried| search.combination(tried)).collect())
}

/// The ways to fill each stage of a drive, and what is wanted of it.
struct Search<'a> {
    ways: Vec<Vec<Way>>,
    wanted: &'a Wanted<'a>,
}

/// One way to fill one stage.
struct Way {
    driving: u32,
    driven: u32,
    swaps: u32,
    /// 1 where the chain does not go round, else 0.
    chains_off: u32,
}

/// Some stages filled, the first of the drive.
#[derive(Clone, Copy)]
struct Filled {
    /// Teeth of the driving sprockets multiplied: a whole number.
    driving: f64,
    /// Teeth of the driven sprockets multiplied: a whole number.
    driven: f64,
    swaps: u32,
    chains_off: u32,
    /// Which ways were taken, as a number that rises with the list of teeth.
    place: usize,
}

/// All stages filled.
#[derive(Clone, Copy)]
struct Tried {
    filled: Filled,
    /// The size of the spacing error, `|T / R - 1|`.
    off: f64,
}

impl Tried {
    /// Equal for equal ratios, since both whole numbers are exact and a division is rounded one
    /// way. Two that differ by less than the last digit of an `f64` are one to any crew.
    fn ratio(&self) -> f64 {
        self.filled.driving / self.filled.driven
    }

    /// The size of the spacing error in 2^-64ths: a whole number, so that what is as far off on
    /// either side is equal. A target above 1/4096 is a whole number of them too, below 2^75; the
    /// products are at most 2^53, so nothing goes past 2^128.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // whole, above zero
    fn exactly_off(&self, target: f64) -> u128 {
        let [driving, driven] =
            [self.filled.driving, self.filled.driven].map(|teeth| teeth as u128);
        let target = (target.min(1024.0) * 64.0_f64.exp2()) as u128;
        (target * driven).abs_diff(driving << 64) / driving
    }
}

impl<'a> Search<'a> {
    fn new(stages: &[Stage], wanted: &'a Wanted<'a>) -> Result<Self, SearchError> {
        check(stages)?;
        if !(wanted.ratio.is_finite() && wanted.ratio > 0.0) {
            return Err(SearchError::BadTarget);
        }
        let ways = stages.iter().enumerate().map(|(index, stage)| ways(index, stage, wanted));
        Ok(Search { ways: ways.collect(), wanted })
    }

    /// Shows every combination to `visit`.
    fn each(&self, mut visit: impl FnMut(Tried)) {
        let none = Filled { driving: 1.0, driven: 1.0, swaps: 0, chains_off: 0, place: 0 };
        fill(&self.ways, &none, &mut |filled: Filled| {
            let off = (self.wanted.ratio * filled.driven / filled.driving - 1.0).abs();
            visit(Tried { filled, off });
        });
    }

    /// Which of two comes first, as [`Wanted`] says.
    fn order(&self, one: &Tried, other: &Tried) -> Ordering {
        let (these, those) = (&one.filled, &other.filled);
        let near = || self.nearer(one, other);
        let chains = || match self.wanted.heed_chains {
            true => these.chains_off.cmp(&those.chains_off),
            false => Ordering::Equal,
        };
        let swaps = || these.swaps.cmp(&those.swaps);
        let order = match self.wanted.tolerance {
            None => chains().then_with(near).then_with(swaps),
            Some(tolerance) => match (at_most(one.off, tolerance), at_most(other.off, tolerance)) {
                (true, true) => chains().then_with(swaps).then_with(near),
                (false, false) => near().then_with(chains).then_with(swaps),
                (inside, other_inside) => other_inside.cmp(&inside),
            },
        };
        order.then_with(|| these.place.cmp(&those.place))
    }

    /// Which of two is nearer: in plain numbers where these tell them apart for sure, which takes
    /// a tenth of the time, else exactly.
    fn nearer(&self, one: &Tried, other: &Tried) -> Ordering {
        if (one.off - other.off).abs() > 1e-12 * (1.0 + one.off) {
            return one.off.total_cmp(&other.off);
        }
        let exactly = |tried: &Tried| tried.exactly_off(self.wanted.ratio);
        exactly(one).cmp(&exactly(other))
    }

    fn combination(&self, tried: &Tried) -> Combination {
        let filled = &tried.filled;
        let mut place = filled.place;
        let mut teeth: Vec<(u32, u32)> = vec![];
        for ways in self.ways.iter().rev() {
            let way = &ways[place % ways.len()];
            teeth.push((way.driving, way.driven));
            place /= ways.len();
        }
        teeth.reverse();
        Combination { teeth, swaps: filled.swaps, chains_off: filled.chains_off }
    }
}

/// Every way to fill a stage, by teeth.
fn ways(index: usize, stage: &Stage, wanted: &Wanted<'_>) -> Vec<Way> {
    let mut ways = vec![];
    for driving in stage.driving.teeth() {
        for driven in stage.driven.teeth() {
            let swaps = u32::from(driving != stage.driving.fitted)
                + u32::from(driven != stage.driven.fitted);
            if swaps > 0 && !(wanted.has_room)(index, driving, driven) {
                continue;
            }
            let off = swaps > 0 && !(wanted.chain_fits)(index, driving, driven);
            ways.push(Way { driving, driven, swaps, chains_off: off.into() });
        }
    }
    ways
}

impl Filled {
    /// The same with one more stage filled, in one of its `ways`.
    fn and(&self, ways: &[Way], index: usize) -> Filled {
        let way = &ways[index];
        Filled {
            driving: self.driving * f64::from(way.driving),
            driven: self.driven * f64::from(way.driven),
            swaps: self.swaps + way.swaps,
            chains_off: self.chains_off + way.chains_off,
            place: self.place * ways.len() + index,
        }
    }
}

/// Fills the stages that are left in every way.
fn fill(left: &[Vec<Way>], so_far: &Filled, visit: &mut impl FnMut(Filled)) {
    match left {
        [] => {}
        [last] => (0..last.len()).for_each(|index| visit(so_far.and(last, index))),
        [next, left @ ..] => {
            (0..next.len()).for_each(|index| fill(left, &so_far.and(next, index), visit));
        }
    }
}
