//! A whole number with a fraction behind it, as words of their own: one reading or two.

use crate::quantity::{Length, LengthUnit};

use super::doubt::{Doubt, Sense};
use super::token::{Break, Token, is_bare};

/// How much further the fractions must lie from the whole numbers than the readings from one
/// another, for them to be no readings by themselves.
const APART: f64 = 2.0;

/// The readings, each fraction with its whole number where only that makes sense.
pub(super) fn joined(all: Vec<Token>, sense: &Sense) -> Result<Vec<String>, Doubt> {
    let follows = |at: usize| at > 0 && is_mixed(&all[at - 1], &all[at].text);
    let fractions: Vec<usize> = (0..all.len()).filter(|at| is_fraction(&all[*at].text)).collect();
    let mixed: Vec<usize> = fractions.iter().copied().filter(|at| follows(*at)).collect();
    let Some(first) = mixed.first().copied() else {
        return Ok(all.into_iter().map(|token| token.text).collect());
    };
    let one = |at: usize| format!("{} {}", all[at - 1].text, all[at].text);
    let never_alone = mixed.iter().all(|at| !sense.could_be(&all[*at].text));
    if !never_alone && (mixed.len() < fractions.len() || !apart(&all, &mixed)) {
        let (whole, part) = (&all[first - 1].text, &all[first].text);
        return Err(Doubt::new(
            format!(
                "`{whole} {part}` may be one reading, {whole}-{part}, or two, {whole} and {part}"
            ),
            format!("type `{whole}-{part}` where it is one, `{whole}, {part}` where they are two"),
        ));
    }
    let kept = |at: &usize| !mixed.contains(&(at + 1));
    let text = |at: usize| if mixed.contains(&at) { one(at) } else { all[at].text.clone() };
    Ok((0..all.len()).filter(kept).map(text).collect())
}

/// Whether the fractions are so far from all else that they are no readings by themselves, and the
/// readings that they make lie together.
fn apart(all: &[Token], mixed: &[usize]) -> bool {
    let number = |text: &str| {
        Length::parse(text, Some(LengthUnit::Inch)).ok().map(|one| one.value_in(LengthUnit::Inch))
    };
    let alone: Option<Vec<f64>> = mixed.iter().map(|at| number(&all[*at].text)).collect();
    let others = (0..all.len()).filter(|at| !mixed.contains(at));
    let others: Option<Vec<f64>> = others.map(|at| number(&all[at].text)).collect();
    let whole = (0..all.len()).filter(|at| !mixed.contains(&(at + 1)));
    let text = |at: usize| match mixed.contains(&at) {
        true => number(&format!("{} {}", all[at - 1].text, all[at].text)),
        false => number(&all[at].text),
    };
    let whole: Option<Vec<f64>> = whole.map(text).collect();
    let (Some(alone), Some(others), Some(whole)) = (alone, others, whole) else { return false };
    let most = |of: &[f64]| of.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = |of: &[f64]| of.iter().copied().fold(f64::INFINITY, f64::min);
    let spread = most(&whole) - least(&whole);
    // Above all of them, or with their signs turned below.
    let gap = (least(&others) - most(&alone)).max(least(&alone) - most(&others));
    whole.len() > 1 && gap > 0.0 && gap >= APART * spread
}

/// A fraction below one, with or without a unit.
fn is_fraction(text: &str) -> bool {
    let (number, _) = text.split_once(' ').unwrap_or((text, ""));
    number.split_once('/').is_some_and(|(top, bottom)| {
        let whole = |part: &str| part.parse::<u32>().ok();
        matches!((whole(top), whole(bottom)), (Some(top), Some(bottom)) if top < bottom)
    })
}

fn is_mixed(before: &Token, fraction: &str) -> bool {
    let digits = before.text.trim_start_matches(['-', '+', '\u{2212}']);
    before.after == Break::Blank
        && is_bare(&before.text)
        && !digits.is_empty()
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && is_fraction(fraction)
}
