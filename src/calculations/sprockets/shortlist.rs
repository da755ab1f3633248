//! Meeting in the middle: the nearest products of one ratio from each half of the drive.

use std::collections::BTreeMap;

use super::nearness::Near;
use super::ratios::Ratio;

/// Room, relative, given to floating-point figures used only to stop a search early.
const FLOAT_SLACK: f64 = 1e-13;

/// One half of the drive: its distinct ratios ascending, and what a step of its code is
/// worth in the code of the whole drive.
pub(super) struct Half {
    pub(super) ratios: Vec<Ratio>,
    pub(super) weight: u64,
}

/// A ratio on the shortlist with the best way yet found to make it.
pub(super) struct Found {
    pub(super) near: Near,
    pub(super) swaps: u32,
    pub(super) code: u64,
}

impl Found {
    pub(super) fn ratio(&self) -> Ratio {
        Ratio {
            numerator: self.near.numerator,
            denominator: self.near.denominator,
            swaps: self.swaps,
            code: self.code,
        }
    }
}

/// The nearest ratios met so far.
///
/// It keeps one more than is wanted: only two ratios, one either side of the target, can
/// be equally near, so the last wanted and its equal are both here to be ranked by swaps.
/// A ratio that belongs here at the end is never turned away, so every way of making it
/// is seen.
pub(super) struct Shortlist {
    pub(super) target: f64,
    pub(super) keep: usize,
    pub(super) ways: BTreeMap<Near, (u32, u64)>,
    /// Ratios under `lowest` or over `highest` have no place; both err on the wide side.
    pub(super) lowest: f64,
    pub(super) highest: f64,
}

impl Shortlist {
    pub(super) fn new(target: f64, count: usize) -> Self {
        let keep = count.saturating_add(1);
        Self { target, keep, ways: BTreeMap::new(), lowest: 0.0, highest: f64::INFINITY }
    }

    pub(super) fn offer(&mut self, numerator: u64, denominator: u64, way: (u32, u64)) {
        let near = Near::new(numerator, denominator, self.target);
        if let Some(known) = self.ways.get_mut(&near) {
            *known = way.min(*known);
            return;
        }
        self.ways.insert(near, way);
        if self.ways.len() > self.keep {
            self.ways.pop_last();
        }
        if self.ways.len() == self.keep {
            self.narrow();
        }
    }

    /// Draws the bounds in to the last ratio kept and its equal across the target, at
    /// `1 / (2/T - 1/R)`.
    pub(super) fn narrow(&mut self) {
        let Some((last, _)) = self.ways.last_key_value() else {
            return;
        };
        let ratio = last.numerator as f64 / last.denominator as f64;
        let twice = 2.0 / self.target;
        let (lowest, highest) = if last.above {
            ((twice - 1.0 / ratio).recip(), ratio)
        } else {
            let across = twice * (1.0 - FLOAT_SLACK) - 1.0 / ratio;
            (ratio, if across > 0.0 { across.recip() } else { f64::INFINITY })
        };
        self.lowest = lowest * (1.0 - FLOAT_SLACK);
        self.highest = highest * (1.0 + FLOAT_SLACK);
    }
}

/// The `count` nearest ratios to the target and perhaps one more, each made the best way.
pub(super) fn nearest(first: &Half, second: &Half, target: f64, count: usize) -> Vec<Found> {
    let (outer, inner) =
        if first.ratios.len() <= second.ratios.len() { (first, second) } else { (second, first) };
    let values: Vec<f64> = inner.ratios.iter().map(Ratio::value).collect();
    let mut shortlist = Shortlist::new(target, count);
    // A sample from the top first, so that the bounds are close before the full pass;
    // meeting a pair twice does no harm.
    let stride = outer.ratios.len() / 256 + 1;
    for one in outer.ratios.iter().rev().step_by(stride).chain(&outer.ratios) {
        let value = one.value();
        let start = values.partition_point(|v| v * value < target);
        let way = |other: &Ratio| {
            let code = one.code * outer.weight + other.code * inner.weight;
            (one.swaps + other.swaps, code)
        };
        for (other, v) in inner.ratios[start..].iter().zip(&values[start..]) {
            if v * value > shortlist.highest {
                break;
            }
            let (n, d) = (one.numerator * other.numerator, one.denominator * other.denominator);
            shortlist.offer(n, d, way(other));
        }
        for (other, v) in inner.ratios[..start].iter().zip(&values[..start]).rev() {
            if v * value < shortlist.lowest {
                break;
            }
            let (n, d) = (one.numerator * other.numerator, one.denominator * other.denominator);
            shortlist.offer(n, d, way(other));
        }
    }
    shortlist.ways.into_iter().map(|(near, (swaps, code))| Found { near, swaps, code }).collect()
}
