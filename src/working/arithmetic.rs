//! Arithmetic that is done the same way on plain numbers and on values that show their working.
//!
//! A formula written once over [`Arithmetic`] serves a simulation of a million changeovers and
//! the printed page.

use std::ops::{Add, Div, Mul, Sub};

use super::Value;
use crate::quantity::Unit;

/// What a formula needs of its numbers.
pub trait Arithmetic:
    Clone + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// The number.
    fn number(&self) -> f64;
    /// Gives the number a name, where it shows its working.
    #[must_use]
    fn called(self, name: &'static str) -> Self;
    /// Gives it a name that is put together of parts, where it shows its working.
    #[must_use]
    fn called_of(self, parts: &[&str]) -> Self;
    /// An exact number of a formula.
    fn exactly(number: f64) -> Self;
    /// A number that was looked up; `how` says so in words.
    fn found(name: &'static str, number: f64, how: &'static str) -> Self;
    /// The number times itself.
    #[must_use]
    fn squared(&self) -> Self;
    /// Zero of the same unit.
    #[must_use]
    fn nothing(&self, name: &'static str, why: &'static str) -> Self;

    /// Another number of the same unit, which was worked out in a way that `how` says in words.
    #[must_use]
    fn instead(&self, number: f64, name: &'static str, how: &'static str) -> Self;

    /// Whether it is the smaller one.
    fn below(&self, other: &Self) -> bool {
        self.number() < other.number()
    }
}

impl Arithmetic for f64 {
    fn number(&self) -> f64 {
        *self
    }

    fn called(self, _name: &'static str) -> f64 {
        self
    }

    fn called_of(self, _parts: &[&str]) -> f64 {
        self
    }

    fn exactly(number: f64) -> f64 {
        number
    }

    fn found(_name: &'static str, number: f64, _how: &'static str) -> f64 {
        number
    }

    fn squared(&self) -> f64 {
        self * self
    }

    fn nothing(&self, _name: &'static str, _why: &'static str) -> f64 {
        0.0
    }

    fn instead(&self, number: f64, _name: &'static str, _how: &'static str) -> f64 {
        number
    }
}

impl Arithmetic for Value {
    fn number(&self) -> f64 {
        Value::number(self)
    }

    fn called(self, name: &'static str) -> Value {
        self.named(name)
    }

    fn called_of(self, parts: &[&str]) -> Value {
        self.named(parts.concat())
    }

    fn exactly(number: f64) -> Value {
        Value::constant(number)
    }

    fn found(name: &'static str, number: f64, how: &'static str) -> Value {
        Value::found(name, number, Unit::ONE, how)
    }

    fn squared(&self) -> Value {
        self.to_the(2)
    }

    fn nothing(&self, name: &'static str, why: &'static str) -> Value {
        Value::found(name, 0.0, self.unit(), why)
    }

    fn instead(&self, number: f64, name: &'static str, how: &'static str) -> Value {
        Value::found(name, number, self.unit(), how)
    }
}
