//! What a key takes, as its own reader says when it is asked: the source of the schema.

use std::ops::Range;

use crate::quantity::bounds::{Bounds, PER_AREA, PER_ROW};
use crate::quantity::{AngleKind, AreaUnit, LengthUnit, MeasureUnit, RowUnit};

/// Texts that readers are asked with. One that takes measures of two kinds tells them apart by
/// the words of their units.
pub(super) const PROBES: &str = "cells turns";

/// Where the probes stand in [`PROBES`].
pub(super) fn probes() -> impl Iterator<Item = Range<usize>> {
    [0..5, 6..11].into_iter()
}

/// What a key takes.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::sheet) enum Shape {
    /// Any text.
    Text,
    /// A date.
    Date,
    /// True or false.
    YesNo,
    /// One of a few words.
    Words(Vec<&'static str>),
    /// A plain number.
    Number(&'static Bounds),
    /// A whole number.
    Whole(&'static Bounds),
    /// A measure; of several, any.
    Measures(Vec<Written>),
    /// Degrees, as a number or in text.
    Angle(AngleKind, &'static Bounds),
    /// A list; its entries take this.
    List(Vec<Shape>),
}

/// How a measure is written.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::sheet) struct Written {
    /// The dimension in plain words.
    pub(in crate::sheet) noun: &'static str,
    pub(in crate::sheet) examples: &'static str,
    /// Every spelling of every unit.
    pub(in crate::sheet) spellings: Vec<&'static str>,
    /// Whether it may be written in two parts, as feet and inches are.
    pub(in crate::sheet) two_parts: bool,
    /// Whether it may be a number without a unit, where the sheet gives one.
    pub(in crate::sheet) bare: bool,
    pub(in crate::sheet) bounds: &'static Bounds,
}

impl Written {
    fn of<U: MeasureUnit>(bounds: &'static Bounds) -> Written {
        Written {
            noun: U::DIMENSION,
            examples: U::EXAMPLES,
            spellings: U::ALL.iter().flat_map(|unit| unit.spellings()).copied().collect(),
            two_parts: U::TWO_PARTS,
            bare: false,
            bounds,
        }
    }
}

impl Shape {
    pub(in crate::sheet) fn measure<U: MeasureUnit>(bounds: &'static Bounds) -> Shape {
        Shape::Measures(vec![Written::of::<U>(bounds)])
    }

    pub(in crate::sheet) fn length(bounds: &'static Bounds) -> Shape {
        Shape::Measures(vec![Written { bare: true, ..Written::of::<LengthUnit>(bounds) }])
    }

    pub(super) fn seed_rate() -> Shape {
        Shape::Measures(vec![Written::of::<AreaUnit>(&PER_AREA), Written::of::<RowUnit>(&PER_ROW)])
    }
}
