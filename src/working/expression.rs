//! How a number is worked out of others, and how far binary rounding may put it off.

use std::borrow::Cow;

use super::value::Value;
use crate::quantity::{Decimal, clean};

/// How a number is worked out of others: values, or plain figures on the way to one.
pub(super) enum Expression<P = Value> {
    Typed(Decimal),
    Constant,
    Found(&'static str),
    Same(P),
    Sum {
        terms: Box<[P]>,
        /// Boxed, since it would make every expression larger.
        of: Box<Cow<'static, str>>,
    },
    Add(P, P),
    Subtract(P, P),
    Multiply(P, P),
    Divide(P, P),
    Power(P, u8),
    Root(P),
    Magnitude(P),
    /// The nearest whole number.
    Nearest(P),
    /// The next whole number, where it is not one.
    Up(P),
}

impl<P> Expression<P> {
    /// The number of the expression, given the numbers of its parts. The one place where
    /// arithmetic is done, both for results and for what a pocket calculator would get.
    pub(super) fn evaluate(&self, number_of: &impl Fn(&P) -> f64) -> Option<f64> {
        Some(match self {
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => return None,
            Expression::Same(of) => number_of(of),
            Expression::Sum { terms, .. } => stable_sum(terms.iter().map(number_of)),
            Expression::Add(a, b) => difference(number_of(a), -number_of(b)),
            Expression::Subtract(a, b) => difference(number_of(a), number_of(b)),
            Expression::Multiply(a, b) => number_of(a) * number_of(b),
            Expression::Divide(a, b) => number_of(a) / number_of(b),
            Expression::Power(base, exponent) => number_of(base).powi(i32::from(*exponent)),
            Expression::Root(of) => number_of(of).sqrt(),
            Expression::Magnitude(of) => number_of(of).abs(),
            Expression::Nearest(of) => nearest(number_of(of)),
            Expression::Up(of) => clean(number_of(of)).ceil(),
        })
    }

    /// How far binary rounding may put [`evaluate`](Expression::evaluate) off, given its result,
    /// the numbers of its parts and how far those may be off. Numbers of one size taken from each
    /// other keep the noise of that size.
    pub(super) fn noise(
        &self,
        result: f64,
        number_of: &impl Fn(&P) -> f64,
        noise_of: &impl Fn(&P) -> f64,
    ) -> f64 {
        let size = |of: &P| number_of(of).abs();
        let carried = match self {
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => 0.0,
            Expression::Same(of)
            | Expression::Magnitude(of)
            | Expression::Nearest(of)
            | Expression::Up(of) => noise_of(of),
            Expression::Sum { terms, .. } => terms.iter().map(noise_of).sum(),
            Expression::Add(a, b) | Expression::Subtract(a, b) => noise_of(a) + noise_of(b),
            Expression::Multiply(a, b) => size(a) * noise_of(b) + size(b) * noise_of(a),
            Expression::Divide(a, b) => (noise_of(a) + size(a) / size(b) * noise_of(b)) / size(b),
            Expression::Power(base, exponent) => {
                f64::from(*exponent) * size(base).powi(i32::from(*exponent) - 1) * noise_of(base)
            }
            Expression::Root(of) => noise_of(of) / (2.0 * size(of).sqrt()),
        };
        carried + f64::EPSILON * result.abs()
    }

    fn adds(&self) -> bool {
        matches!(self, Expression::Sum { .. } | Expression::Add(..) | Expression::Subtract(..))
    }

    pub(super) fn parts(&self) -> Vec<&P> {
        match self {
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => vec![],
            Expression::Sum { terms, .. } => terms.iter().collect(),
            Expression::Same(of)
            | Expression::Power(of, _)
            | Expression::Root(of)
            | Expression::Magnitude(of)
            | Expression::Nearest(of)
            | Expression::Up(of) => vec![of],
            Expression::Add(a, b)
            | Expression::Subtract(a, b)
            | Expression::Multiply(a, b)
            | Expression::Divide(a, b) => vec![a, b],
        }
    }
}

/// The nearest whole number, halves away from zero. Binary noise is taken off first where it may
/// matter, which is close to a half.
fn nearest(number: f64) -> f64 {
    const CLOSE: f64 = 1e-9;
    let to_half = (number.abs().fract() - 0.5).abs();
    let is_close = to_half <= CLOSE * number.abs().max(1.0);
    if is_close || !number.is_finite() { clean(number).round() } else { number.round() }
}

/// A number, and what binary rounding may have added to it so far, from all it was worked out of.
#[derive(Clone, Copy)]
pub(super) struct Figure {
    pub(super) number: f64,
    noise: f64,
}

impl Figure {
    pub(super) fn of<P>(expression: &Expression<P>, figure_of: &impl Fn(&P) -> Figure) -> Figure {
        let number = expression.evaluate(&|part| figure_of(part).number).unwrap_or(f64::NAN);
        Figure::known(number, expression, figure_of)
    }

    pub(super) fn known<P>(
        number: f64,
        expression: &Expression<P>,
        figure_of: &impl Fn(&P) -> Figure,
    ) -> Figure {
        let number_of = |part: &P| figure_of(part).number;
        let noise = expression.noise(number, &number_of, &|part| figure_of(part).noise);
        // Where numbers cancel down to what rounding left, decimal arithmetic gives nothing.
        let number = if expression.adds() && number.abs() <= noise { 0.0 } else { number };
        Figure { number, noise: if noise.is_finite() { noise } else { 0.0 } }
    }
}

/// `a - b`, where what binary rounding leaves of equal decimal numbers counts as nothing.
fn difference(a: f64, b: f64) -> f64 {
    let result = a - b;
    if result.abs() <= 4.0 * f64::EPSILON * a.abs().max(b.abs()) { 0.0 } else { result }
}

/// Sum with the rounding error of each addition carried along (Neumaier 1974, Z. angew. Math.
/// Mech. 54:39-51), so that a long list loses no digits.
fn stable_sum(terms: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut lost, mut size) = (0.0_f64, 0.0_f64, 0.0_f64);
    for term in terms {
        let total = sum + term;
        lost += if sum.abs() >= term.abs() { (sum - total) + term } else { (term - total) + sum };
        sum = total;
        size += term.abs();
    }
    let result = sum + lost;
    if result.abs() <= f64::EPSILON * size { 0.0 } else { result }
}
