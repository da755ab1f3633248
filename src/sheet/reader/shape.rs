//! What a key takes, as data: the source of the schema and of the words in the reference.

use crate::quantity::bounds::Bounds;
use crate::quantity::{AngleKind, MeasureUnit};

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
    /// One of many names that the program knows.
    Names(Names),
    /// A plain number.
    Number(&'static Bounds),
    /// A whole number.
    Whole(&'static Bounds),
    /// A measure.
    Measure(Written),
    /// Degrees, as a number or in text.
    Angle(AngleKind, &'static Bounds),
    /// A list; its entries take any of these.
    List(Vec<Shape>),
}

/// Names that the program knows.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::sheet) struct Names {
    /// What they are the names of.
    pub(in crate::sheet) noun: &'static str,
    pub(in crate::sheet) all: Vec<&'static str>,
    /// Whether there are more, made by rule.
    pub(in crate::sheet) and_so_on: bool,
}

/// How a measure is written.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::sheet) struct Written {
    /// The dimension in plain words.
    pub(in crate::sheet) noun: &'static str,
    pub(in crate::sheet) examples: &'static str,
    /// The unit that is usual.
    pub(in crate::sheet) unit: &'static str,
    /// Every spelling of every unit.
    pub(in crate::sheet) spellings: Vec<&'static str>,
    /// Whether it may be written in two parts, as feet and inches are.
    pub(in crate::sheet) two_parts: bool,
    /// Whether it may be a number without a unit, where the sheet gives one.
    pub(in crate::sheet) bare: bool,
    pub(in crate::sheet) bounds: &'static Bounds,
}

impl Shape {
    pub(super) fn measure<U: MeasureUnit>(bounds: &'static Bounds, bare: bool) -> Shape {
        Shape::Measure(Written {
            noun: U::DIMENSION,
            examples: U::EXAMPLES,
            unit: usual_unit::<U>(),
            spellings: U::ALL.iter().flat_map(|unit| unit.spellings()).copied().collect(),
            two_parts: U::TWO_PARTS,
            bare,
            bounds,
        })
    }

    /// What kind of value it is, in words.
    pub(in crate::sheet) fn noun(&self) -> String {
        match self {
            Shape::Text => "text".into(),
            Shape::Date => "a date".into(),
            Shape::YesNo => "true or false".into(),
            Shape::Words(_) => "a word".into(),
            Shape::Names(names) => names.noun.into(),
            Shape::Number(_) => "a number".into(),
            Shape::Whole(_) => "a whole number".into(),
            Shape::Measure(written) => written.noun.into(),
            Shape::Angle(..) => "an angle".into(),
            Shape::List(entries) => {
                format!("a list, each {}", any(entries.iter().map(Shape::noun)))
            }
        }
    }

    /// What it may be at least and at most, or which words, where there are limits.
    pub(in crate::sheet) fn limits(&self) -> Option<String> {
        match self {
            Shape::Text | Shape::Date | Shape::YesNo => None,
            Shape::Words(words) => {
                let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
                Some(quoted.join(" or "))
            }
            Shape::Names(Names { all, and_so_on, .. }) => {
                Some(format!("{}{}", all.join(", "), if *and_so_on { " and so on" } else { "" }))
            }
            Shape::Number(bounds)
            | Shape::Whole(bounds)
            | Shape::Measure(Written { bounds, .. })
            | Shape::Angle(_, bounds) => Some(bounds.text()),
            Shape::List(entries) => {
                let limits: Vec<String> = entries.iter().filter_map(Shape::limits).collect();
                (!limits.is_empty()).then(|| any(limits.into_iter()))
            }
        }
    }
}

/// The unit of the first example that has one only.
pub(super) fn usual_unit<U: MeasureUnit>() -> &'static str {
    let first = U::ALL.iter().filter_map(|unit| unit.spellings().first()).copied().next();
    U::EXAMPLES
        .split(", ")
        .filter_map(|example| example.trim_matches('`').split_once(' '))
        .map(|(_, unit)| unit)
        .find(|unit| U::ALL.iter().any(|one| one.spellings().contains(unit)))
        .or(first)
        .unwrap_or_default()
}

/// Several ways in one phrase.
pub(in crate::sheet) fn any(ways: impl Iterator<Item = String>) -> String {
    let mut all: Vec<String> = vec![];
    for way in ways {
        if !all.contains(&way) {
            all.push(way);
        }
    }
    all.join(", or ")
}
