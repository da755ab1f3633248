//! How far a number is unsure by the readings that it rests on.

use crate::calculations::readings::count;
use crate::statistics::Confidence;
use crate::working::Value;

use super::days::{Found, Scatter};

/// Readings that all are alike say how they scatter only where there are as many.
const ENOUGH_ALIKE: usize = 5;

/// One over the readings that one part of a number rests on, summed as its variance is.
pub(super) struct Part<'a> {
    pub(super) scatter: Option<&'a Scatter>,
    /// `None` where the part rests on nothing that scatters.
    pub(super) share: Option<Value>,
}

/// One over the readings of a day.
pub(super) fn of_one_day(readings: usize) -> Option<Value> {
    (readings > 0).then(|| Value::constant(1.0) / count(readings))
}

/// The same of the mean over days: the sum of one over the readings of each / days².
pub(super) fn of_mean(days: &[&Found], readings: impl Fn(&Found) -> usize) -> Option<Value> {
    let terms: Vec<Value> = days.iter().filter_map(|day| of_one_day(readings(day))).collect();
    let first = terms.first()?.clone();
    if days.len() == 1 {
        return Some(first);
    }
    Some(Value::sum("one over the readings of a day", terms) / count(days.len()).to_the(2))
}

/// Both together.
pub(super) fn and(one: Option<Value>, other: Option<Value>) -> Option<Value> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one + other),
        (one, other) => one.or(other),
    }
}

/// The half width of the interval of a share, in per cent: t × sqrt(s₁² k₁ + s₂² k₂), s being the
/// scatter of one reading of its own size and k one over the readings. t is taken at
///
/// ν = (s₁² k₁ + s₂² k₂)² / ((s₁² k₁)² / ν₁ + (s₂² k₂)² / ν₂)
///
/// degrees of freedom, the whole number below (Welch 1947; Satterthwaite 1946). By the rule that
/// shares of a product or a quotient add up in squares (GUM, JCGM 100:2008, 5.1.6). `None` where a part
/// has no scatter to go by.
pub(super) fn half_width(
    name: &str,
    parts: Vec<Part<'_>>,
    confidence: Confidence,
) -> Option<Value> {
    let mut squares: Vec<(Value, u32)> = vec![];
    for part in parts {
        let Some(share) = part.share else { continue };
        let scatter = part.scatter?;
        if scatter.sd.number() <= 0.0 && scatter.readings < ENOUGH_ALIKE {
            return None;
        }
        squares.push((scatter.sd.to_the(2) * share, scatter.degrees));
    }
    let sum: f64 = squares.iter().map(|(square, _)| square.number()).sum();
    let below: f64 =
        squares.iter().map(|(square, degrees)| square.number().powi(2) / f64::from(*degrees)).sum();
    let least = squares.iter().map(|(_, degrees)| *degrees).min()?;
    let degrees = if below > 0.0 { sum * sum / below } else { f64::from(least) };
    let t = if let [(_, only)] = squares.as_slice() {
        confidence.t(*only)?
    } else {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // no more than readings
        confidence.t((degrees * (1.0 + 1e-12)).max(1.0) as u32)?
    };
    let total = squares.into_iter().map(|(square, _)| square).reduce(|sum, next| sum + next)?;
    let error = total.root().in_percent().named(format!("standard error, {name}"));
    Some((t * error).named(format!("give or take, {name}")))
}
