//! How a number is worked out of others, and how far binary rounding may put it off.

use std::borrow::Cow;

use crate::quantity::{Decimal, clean};

/// How a number is worked out of others: values, or plain figures on the way to one.
pub(super) enum Expression<P> {
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
    /// The number of the expression, given those of its parts, and how far binary rounding may
    /// put it off; `None` where there is nothing to work out. The one place where arithmetic is
    /// done, both for results and for what a pocket calculator would get. Numbers of one size
    /// taken from each other keep the noise of that size.
    pub(super) fn figure(&self, figure_of: impl Fn(&P) -> Figure) -> Option<Figure> {
        let f = figure_of;
        let (number, noise) = match self {
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => return None,
            Expression::Same(of) => f(of).pair(),
            Expression::Sum { terms, .. } => stable_sum(terms.iter().map(f)),
            Expression::Add(a, b) => {
                let (a, b) = (f(a), f(b));
                (difference(a.number, -b.number), a.noise + b.noise)
            }
            Expression::Subtract(a, b) => {
                let (a, b) = (f(a), f(b));
                (difference(a.number, b.number), a.noise + b.noise)
            }
            Expression::Multiply(a, b) => {
                let (a, b) = (f(a), f(b));
                (a.number * b.number, a.size() * b.noise + b.size() * a.noise)
            }
            Expression::Divide(a, b) => {
                let (a, b) = (f(a), f(b));
                (a.number / b.number, (a.noise + a.size() / b.size() * b.noise) / b.size())
            }
            Expression::Power(base, exponent) => {
                let (base, power) = (f(base), i32::from(*exponent));
                let slope = f64::from(*exponent) * base.size().powi(power - 1);
                (base.number.powi(power), slope * base.noise)
            }
            Expression::Root(of) => {
                let of = f(of);
                (of.number.sqrt(), of.noise / (2.0 * of.size().sqrt()))
            }
            Expression::Magnitude(of) => {
                let of = f(of);
                (of.size(), of.noise)
            }
            Expression::Nearest(of) => {
                let of = f(of);
                (nearest(of.number), of.noise)
            }
            Expression::Up(of) => {
                let of = f(of);
                (clean(of.number).ceil(), of.noise)
            }
        };
        Some(Figure { number, noise: noise + f64::EPSILON * number.abs() })
    }

    fn adds(&self) -> bool {
        matches!(self, Expression::Sum { .. } | Expression::Add(..) | Expression::Subtract(..))
    }

    pub(super) fn for_each_part<'a>(&'a self, mut each: impl FnMut(&'a P)) {
        match self {
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => {}
            Expression::Sum { terms, .. } => terms.iter().for_each(each),
            Expression::Same(of)
            | Expression::Power(of, _)
            | Expression::Root(of)
            | Expression::Magnitude(of)
            | Expression::Nearest(of)
            | Expression::Up(of) => each(of),
            Expression::Add(a, b)
            | Expression::Subtract(a, b)
            | Expression::Multiply(a, b)
            | Expression::Divide(a, b) => {
                each(a);
                each(b);
            }
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
    pub(super) noise: f64,
}

impl Figure {
    /// A number that nothing was worked out for: it is as near as a double can be.
    pub(super) fn given(number: f64) -> Figure {
        let noise = f64::EPSILON * number.abs();
        Figure { number, noise: if noise.is_finite() { noise } else { 0.0 } }
    }

    /// The figure of an expression. Where numbers cancel down to what rounding left, decimal
    /// arithmetic gives nothing.
    pub(super) fn of<P>(expression: &Expression<P>, figure_of: impl Fn(&P) -> Figure) -> Figure {
        let Some(Figure { number, noise }) = expression.figure(figure_of) else {
            return Figure { number: f64::NAN, noise: 0.0 };
        };
        let number = if expression.adds() && number.abs() <= noise { 0.0 } else { number };
        Figure { number, noise: if noise.is_finite() { noise } else { 0.0 } }
    }

    fn size(self) -> f64 {
        self.number.abs()
    }

    fn pair(self) -> (f64, f64) {
        (self.number, self.noise)
    }
}

/// `a - b`, where what binary rounding leaves of equal decimal numbers counts as nothing.
fn difference(a: f64, b: f64) -> f64 {
    let result = a - b;
    if result.abs() <= 4.0 * f64::EPSILON * a.abs().max(b.abs()) { 0.0 } else { result }
}

/// Sum with the rounding error of each addition carried along (Neumaier 1974, Z. angew. Math.
/// Mech. 54:39-51), so that a long list loses no digits; and the noise of all terms.
fn stable_sum(terms: impl Iterator<Item = Figure>) -> (f64, f64) {
    let (mut sum, mut lost, mut size, mut noise) = (0.0_f64, 0.0_f64, 0.0_f64, -0.0_f64);
    for term in terms {
        let total = sum + term.number;
        let first_is_larger = sum.abs() >= term.size();
        lost +=
            if first_is_larger { (sum - total) + term.number } else { (term.number - total) + sum };
        sum = total;
        size += term.size();
        noise += term.noise;
    }
    let result = sum + lost;
    (if result.abs() <= f64::EPSILON * size { 0.0 } else { result }, noise)
}
