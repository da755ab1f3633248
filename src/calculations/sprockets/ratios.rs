//! The distinct ratios that sprocket positions can make, as exact reduced fractions.

use std::cmp::Ordering;

use super::{Combination, SearchError, Stage};

/// Products of teeth stay below this, so that sums of cross products fit a `u128`.
/// (Eight stages of 200 teeth make 2.56 x 10^18; this is 9.22 x 10^18.)
const PRODUCT_LIMIT: u64 = 1 << 63;

/// A position with its distinct teeth ascending, in the order driving, driven, driving...
#[derive(Debug)]
pub(super) struct Slot {
    pub(super) driving: bool,
    pub(super) fitted: u32,
    pub(super) teeth: Vec<u32>,
}

pub(super) fn slots(stages: &[Stage]) -> Vec<Slot> {
    stages
        .iter()
        .flat_map(|stage| [(true, &stage.driving), (false, &stage.driven)])
        .map(|(driving, position)| Slot {
            driving,
            fitted: position.fitted,
            teeth: position.teeth(),
        })
        .collect()
}

/// The slots, once sure that no product of their teeth is 0 or reaches the limit.
pub(super) fn checked_slots(stages: &[Stage]) -> Result<Vec<Slot>, SearchError> {
    if stages.is_empty() {
        return Err(SearchError::NoStages);
    }
    let slots = slots(stages);
    if let Some(at) = slots.iter().position(|slot| slot.teeth.first() == Some(&0)) {
        return Err(SearchError::NoTeeth { stage: at / 2 });
    }
    for side in [true, false] {
        slots
            .iter()
            .filter(|slot| slot.driving == side)
            .filter_map(|slot| slot.teeth.last())
            .try_fold(1_u64, |product, &most| product.checked_mul(u64::from(most)))
            .filter(|&product| product < PRODUCT_LIMIT)
            .ok_or(SearchError::TeethTooMany)?;
    }
    Ok(slots)
}

/// How many ways the slots can be filled, up to `u128::MAX`.
pub(super) fn size(slots: &[Slot]) -> u128 {
    slots.iter().fold(1, |product, slot| product.saturating_mul(slot.teeth.len() as u128))
}

/// Where to split the slots so that the larger half is smallest.
pub(super) fn balanced_split(slots: &[Slot]) -> usize {
    (0..=slots.len()).min_by_key(|&at| size(&slots[..at]).max(size(&slots[at..]))).unwrap_or(0)
}

/// A ratio with the best way to make it. `code` numbers the combinations of some slots
/// in the order of their lists of teeth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ratio {
    pub(super) numerator: u64,
    pub(super) denominator: u64,
    pub(super) swaps: u32,
    pub(super) code: u64,
}

impl Ratio {
    pub(super) fn value(&self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// This ratio with one more sprocket, kept reduced if it was.
    pub(super) fn with_sprocket(self, slot: &Slot, choice: usize, teeth: u32) -> Self {
        let (along, across) = if slot.driving {
            (self.numerator, self.denominator)
        } else {
            (self.denominator, self.numerator)
        };
        let common = greatest_common_divisor(across, u64::from(teeth));
        let (along, across) = (along * (u64::from(teeth) / common), across / common);
        let (numerator, denominator) = if slot.driving { (along, across) } else { (across, along) };
        Self {
            numerator,
            denominator,
            swaps: self.swaps + u32::from(teeth != slot.fitted),
            code: self.code * slot.teeth.len() as u64 + choice as u64,
        }
    }

    /// The combination this ratio's code stands for among all of `slots`.
    pub(super) fn combination(&self, slots: &[Slot]) -> Combination {
        let mut code = self.code;
        let mut teeth = Vec::with_capacity(slots.len());
        for slot in slots.iter().rev() {
            let choices = slot.teeth.len() as u64;
            teeth.push(slot.teeth[(code % choices) as usize]);
            code /= choices;
        }
        teeth.reverse();
        let common = greatest_common_divisor(self.numerator, self.denominator);
        Combination {
            teeth: teeth.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect(),
            swaps: self.swaps,
            numerator: self.numerator / common,
            denominator: self.denominator / common,
        }
    }
}

pub(super) fn greatest_common_divisor(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Exact order of `a.0 / a.1` and `b.0 / b.1`.
pub(super) fn compare_fractions(a: (u64, u64), b: (u64, u64)) -> Ordering {
    (u128::from(a.0) * u128::from(b.1)).cmp(&(u128::from(b.0) * u128::from(a.1)))
}

/// Distinct ratios the slots can make, ascending, each made the best way; `None` when
/// there are more than `most`.
///
/// Another slot never lessens the number of distinct ratios, so it is known to be past
/// `most` as soon as any part of the work is.
pub(super) fn distinct_ratios(slots: &[Slot], most: usize) -> Option<Vec<Ratio>> {
    let mut ratios = vec![Ratio { numerator: 1, denominator: 1, swaps: 0, code: 0 }];
    for slot in slots {
        let mut next = Vec::new();
        let mut kept = 0;
        for (choice, &teeth) in slot.teeth.iter().enumerate() {
            next.extend(ratios.iter().map(|r| r.with_sprocket(slot, choice, teeth)));
            // Tidy up whenever the list has about trebled, to bound memory.
            if next.len() > 3 * kept + 100_000 {
                keep_best_of_each(&mut next);
                kept = next.len();
                if kept > most {
                    return None;
                }
            }
        }
        keep_best_of_each(&mut next);
        ratios = next;
        if ratios.len() > most {
            return None;
        }
    }
    Some(ratios)
}

/// Sorts ratios ascending and keeps the best way to make each.
pub(super) fn keep_best_of_each(ratios: &mut Vec<Ratio>) {
    // Stable on purpose: it merges the already ascending runs the caller appends.
    ratios.sort_by(|a, b| {
        compare_fractions((a.numerator, a.denominator), (b.numerator, b.denominator))
            .then((a.swaps, a.code).cmp(&(b.swaps, b.code)))
    });
    ratios.dedup_by(|b, a| (a.numerator, a.denominator) == (b.numerator, b.denominator));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(driving: bool, fitted: u32, teeth: &[u32]) -> Slot {
        Slot { driving, fitted, teeth: teeth.to_vec() }
    }

    /// Of 2, 3, 4 and 5 choices 2 x 3 and 4 x 5 are the split whose larger half, 20, is least:
    /// 2 and 60, 24 and 5 are the others.
    #[test]
    fn a_drive_is_split_where_its_larger_half_is_least() {
        let slots = |counts: &[u32]| -> Vec<Slot> {
            let teeth = |count: &u32| (1..=*count).collect::<Vec<_>>();
            counts.iter().map(|count| slot(true, 1, &teeth(count))).collect()
        };
        let split = |counts: &[u32]| balanced_split(&slots(counts));
        assert_eq!(split(&[2, 3, 4, 5]), 2);
        assert_eq!(split(&[5, 4, 3, 2]), 2); // 20 and 6
        assert_eq!(split(&[2, 2, 2, 9]), 3); // 8 and 9
        assert_eq!(split(&[9, 2]), 1);
        assert_eq!(size(&slots(&[2, 3, 4, 5])), 120);
    }

    #[test]
    fn a_sprocket_without_teeth_is_found_in_its_chain() {
        use crate::calculations::sprockets::Position;
        let at = |fitted| Position { fitted, choices: vec![] };
        let stage = |driving, driven| Stage { driving: at(driving), driven: at(driven) };
        for (stages, wanted) in [
            ([stage(0, 20), stage(20, 20)], 0),
            ([stage(20, 0), stage(20, 20)], 0),
            ([stage(20, 20), stage(0, 20)], 1),
            ([stage(20, 20), stage(20, 0)], 1),
        ] {
            let found = checked_slots(&stages).expect_err("no teeth");
            assert_eq!(found, SearchError::NoTeeth { stage: wanted });
        }
    }

    /// 24/36 x 20/15: 24 / 36 is 2/3, with 20 it is 40/3, with 15 below 8/9. Swapped are the 36 for
    /// a fitted 30 and the 15 for a fitted 12.
    #[test]
    fn a_ratio_stays_reduced_and_counts_its_swaps_sprocket_by_sprocket() {
        let slots = [
            slot(true, 24, &[24, 25]),
            slot(false, 30, &[30, 33, 36]),
            slot(true, 20, &[19, 20]),
            slot(false, 12, &[12, 15]),
        ];
        let none = Ratio { numerator: 1, denominator: 1, swaps: 0, code: 0 };
        let choices = [(0, 24), (2, 36), (1, 20), (1, 15)];
        let ratio = slots
            .iter()
            .zip(choices)
            .fold(none, |ratio, (slot, (choice, teeth))| ratio.with_sprocket(slot, choice, teeth));
        assert_eq!((ratio.numerator, ratio.denominator, ratio.swaps), (8, 9, 2));
        // Read as digits to the bases 2, 3, 2, 2: ((0 x 3 + 2) x 2 + 1) x 2 + 1 = 11.
        assert_eq!(ratio.code, 11);
        let found = ratio.combination(&slots);
        assert_eq!(found.teeth, [(24, 36), (20, 15)]);
        assert_eq!((found.numerator(), found.denominator(), found.swaps), (8, 9, 2));
        // A ratio that is not reduced is so in the end.
        let double = Ratio { numerator: 16, denominator: 18, ..ratio };
        assert_eq!(double.combination(&slots).denominator(), 9);
    }

    /// Choices of 1, 2, 3, 4 over 1, 2 make 1/2, 1, 3/2, 2, 3, 4: six ratios. Of the ways to
    /// make one the fewest swaps stay, then the smallest teeth.
    #[test]
    fn each_ratio_is_made_once_and_in_the_best_way() {
        let slots = [slot(true, 4, &[1, 2, 3, 4]), slot(false, 2, &[1, 2])];
        let all = distinct_ratios(&slots, 6).expect("few enough");
        let rows: Vec<(u64, u64, u32, u64)> =
            all.iter().map(|r| (r.numerator, r.denominator, r.swaps, r.code)).collect();
        // Codes: twice the place of the driving choice and the place of the driven one.
        let wanted = [
            (1, 2, 1, 1), // 1/2
            (1, 1, 1, 3), // 2/2 takes one swap, 1/1 two
            (3, 2, 1, 5), // 3/2
            (2, 1, 0, 7), // 4/2 as fitted
            (3, 1, 2, 4), // 3/1
            (4, 1, 1, 6), // 4/1
        ];
        assert_eq!(rows, wanted);
        assert!(distinct_ratios(&slots, 5).is_none());
    }
}
