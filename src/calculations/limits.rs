//! How far off a single plot, alley, lead or depth may be, and how many of them must be inside.
//!
//! A tolerance is for the middle of many, a limit for each one. Where the sheet has no limit, the
//! tolerance of the same thing serves as one; that is settled here once, for whoever counts single
//! plots, before they are planted or after.

use crate::quantity::{Length, Share, Unit};
use crate::working::{Units, Value};

/// What a sheet asks of single plots.
#[derive(Clone, Debug)]
pub struct Limits {
    /// Length of a single plot: how far it may be off.
    pub plot: Option<Limit>,
    /// Middle of a single alley: how far it may lie from its mark.
    pub centre: Option<Limit>,
    /// Width of a single alley: how far it may be off.
    pub width: Option<Limit>,
    /// A single lead: how far an alley may lie ahead of its neighbour's, or behind.
    pub lead: Option<Limit>,
    /// Depth of a single seed: how far it may be off.
    pub depth: Option<Limit>,
    /// The share that must be inside its limit.
    pub accept: Accept,
}

/// How far off a single one may be.
#[derive(Clone, Debug)]
pub struct Limit {
    /// What is limited, in a name: "plot".
    pub what: &'static str,
    /// Where it comes from.
    pub from: Source,
}

/// Where a limit comes from.
#[derive(Clone, Debug)]
pub enum Source {
    /// `[trial.limit]` has it.
    Limit(Length),
    /// It has none, and the tolerance of the same thing serves.
    Tolerance {
        /// Its key in `[trial.tolerance]`.
        key: &'static str,
        /// The tolerance.
        length: Length,
        /// Tolerances that the limit is: two of a lead, which holds the shift of two passes.
        times: u8,
    },
}

impl Limit {
    /// The limit that the sheet has, else the tolerance that serves for it, if there is one.
    #[must_use]
    pub fn of(
        what: &'static str,
        limit: Option<&Length>,
        tolerance: Option<(&'static str, &Length)>,
        times: u8,
    ) -> Option<Limit> {
        let own = limit.cloned().map(Source::Limit);
        let serves =
            tolerance.map(|(key, length)| Source::Tolerance { key, length: length.clone(), times });
        Some(Limit { what, from: own.or(serves)? })
    }

    /// The limit for the working, under its name: the length typed, or the tolerance times what it is.
    ///
    /// ```
    /// use alleytrue::calculations::limits::Limit;
    /// use alleytrue::quantity::Length;
    /// use alleytrue::working::Units;
    /// let inch = Length::parse("1 in", None)?;
    /// let own = Limit::of("lead", Some(&inch), Some(("passes", &inch)), 2);
    /// assert_eq!(own.map(|limit| limit.value(&Units::US).number()), Some(1.0));
    /// // Both passes may be off by the tolerance, each its own way.
    /// let serves = Limit::of("lead", None, Some(("passes", &inch)), 2);
    /// assert_eq!(serves.map(|limit| limit.value(&Units::US).number()), Some(2.0));
    /// assert!(Limit::of("lead", None, None, 2).is_none());
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn value(&self, units: &Units) -> Value {
        let name = ["limit of one ", self.what].concat();
        match &self.from {
            Source::Limit(length) => units.length(name, length),
            Source::Tolerance { key, length, times } => {
                let tolerance = units.length(["tolerance `", key, "`"].concat(), length);
                match times {
                    1 => tolerance.named(name),
                    times => (Value::constant(f64::from(*times)) * tolerance).named(name),
                }
            }
        }
    }

    /// The limit as it was typed, in words, and where it is from.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.from {
            Source::Limit(length) => length.to_string(),
            Source::Tolerance { key, length, times: 1 } => {
                format!("{length} (the tolerance `{key}`: no limit is given)")
            }
            Source::Tolerance { key, length, times } => {
                format!("{times} x {length} ({times} x the tolerance `{key}`: no limit is given)")
            }
        }
    }
}

/// The share of single plots that must be inside their limit.
#[derive(Clone, Debug)]
pub struct Accept {
    typed: Option<Share>,
}

/// What must be inside where the sheet does not say. Common practice, no source.
const USUAL: u8 = 90;

impl Accept {
    /// What the sheet says, else 90 %.
    #[must_use]
    pub fn of(typed: Option<Share>) -> Accept {
        Accept { typed }
    }

    /// The share, in per cent, for the working.
    #[must_use]
    pub fn value(&self) -> Value {
        let name = "share that must be inside";
        match &self.typed {
            Some(share) => Value::measured(name, share, Unit::PERCENT),
            None => {
                Value::found(name, f64::from(USUAL), Unit::PERCENT, "common practice, no source")
            }
        }
    }

    /// The share, from 0 to 1.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.value().number() / 100.0
    }

    /// As it was typed, and where it is from.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.typed {
            Some(share) => share.to_string(),
            None => format!("{USUAL} % (no `accept` is given)"),
        }
    }
}

impl Limits {
    /// Whether the sheet has a limit of its own, for single ones, besides its tolerances.
    #[must_use]
    pub fn of_single_plots(&self) -> bool {
        let all = [&self.plot, &self.centre, &self.width, &self.lead, &self.depth];
        all.into_iter().flatten().any(|limit| matches!(limit.from, Source::Limit(_)))
    }

    /// Nothing limited.
    #[must_use]
    pub fn none() -> Limits {
        let accept = Accept::of(None);
        Limits { plot: None, centre: None, width: None, lead: None, depth: None, accept }
    }
}
