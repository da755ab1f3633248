//! Trip runs over several lengths: compared as ratios, each length with its own scatter.
//!
//! An inch off over 100 ft is a fifth of an inch off over 20 ft. So the runs are put together by
//! the ratio of all that is true to all that was believed, in which every reading counts as much
//! as the ground it goes over, and each kind of reading over each length brings the scatter that
//! it has by itself. Whether they are one is asked of runs, of one length or several, in
//! `agreement.rs`.

use crate::outcome::wording::with_unit;
use crate::quantity::{Length, Unit, same_but_for_writing};
use crate::statistics::{Deviation, Moments};
use crate::working::Value;

use super::readings::count;

/// The side of the ratio of true to believed length that was read; the other is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Read {
    /// A tape read the true length.
    True,
    /// The controller read the believed one.
    Believed,
}

/// All readings of one kind over one length.
pub(super) struct OneLength {
    /// What was read.
    pub(super) read: Read,
    /// The length that is known.
    pub(super) known: Length,
    /// The same, as a value.
    pub(super) known_value: Value,
    /// The readings.
    pub(super) readings: Vec<Value>,
}

impl OneLength {
    /// Whether a run belongs here.
    pub(super) fn takes(&self, read: Read, known: &Length) -> bool {
        self.read == read && same_but_for_writing(self.known.base(), known.base())
    }

    fn name(&self) -> String {
        match self.read {
            Read::True => format!("taped length, {} commanded", with_unit(&self.known_value)),
            Read::Believed => format!("readout, marks {} apart", with_unit(&self.known_value)),
        }
    }
}

/// The ratio of true to believed length, over readings of several lengths.
pub(super) struct Ratio<'a> {
    /// Mean of what is true beside every reading.
    pub(super) truth: &'a Value,
    /// Mean of what was believed.
    pub(super) believed: &'a Value,
    /// Trip spacing, which makes an error of one plot of the ratio.
    pub(super) spacing: &'a Value,
    /// The error per plot.
    pub(super) error: &'a Value,
}

/// What one length adds to the square of the scatter of the sum of all true lengths less the
/// ratio times all believed ones.
struct Square {
    value: Value,
    degrees: Value,
}

impl Ratio<'_> {
    /// The scatter of the error per plot.
    ///
    /// With T the sum of what is true, B of what was believed, over all N readings: the error per
    /// plot is spacing × T / B - spacing. A tape reading moves it by spacing / B, a readout by
    /// spacing × T / B² (delta method), so with n readings of standard deviation s over a length
    ///
    /// v = n s² for a tape, n (s T / B)² for readouts
    ///
    /// standard error = spacing × sqrt(sum of v) / B, at (sum of v)² / sum of (v² / (n - 1))
    /// degrees of freedom (Welch 1938, Biometrika 29:350-362; Satterthwaite 1946, Biometrics
    /// Bulletin 2:110-114; NIST/SEMATECH e-Handbook 7.3.1). It is handed on as the standard
    /// deviation that one reading has of the error, which is that times sqrt(N). A length whose
    /// readings tell no scatter, one alone or all alike, is taken to scatter as the others do
    /// together.
    ///
    /// Where no length has any scatter, the lengths themselves are the readings: v = k / (k - 1) × sum of (sum of true lengths - T / B ×
    /// sum of believed ones)² over k lengths, at k - 1 degrees of freedom (Cochran 1977, Sampling
    /// Techniques, 3rd ed., 6.4: the variance of a ratio).
    pub(super) fn together(&self, lengths: &[OneLength]) -> Option<Moments> {
        let number: usize = lengths.iter().map(|one| one.readings.len()).sum();
        let all = Value::found("readings", count(number).number(), Unit::ONE, "counted");
        let (sum, degrees) = match self.squares(lengths) {
            Some(squares) => total(&squares)?,
            None => self.between(lengths)?,
        };
        let sd = ((sum / &all).root() * self.spacing / self.believed)
            .named("SD of the error per plot by one reading");
        let scatter = Some(Deviation::new(sd, degrees));
        Some(Moments { count: all, mean: self.error.clone(), scatter })
    }

    /// The squares of all lengths by their own scatter; `None` where none has any.
    fn squares(&self, lengths: &[OneLength]) -> Option<Vec<Square>> {
        let own: Vec<Option<Moments>> = lengths
            .iter()
            .map(|one| Moments::of(&one.name(), &one.readings).filter(tells_scatter))
            .collect();
        let told: Vec<&Deviation> =
            own.iter().flatten().filter_map(|moments| moments.scatter.as_ref()).collect();
        let common = common(&told)?;
        let square = |one: &OneLength, own: &Option<Moments>| {
            let scatter = own.as_ref().and_then(|moments| moments.scatter.as_ref());
            let (sd, degrees) = scatter
                .map_or(common.clone(), |own| (own.sd.clone(), own.degrees_of_freedom.clone()));
            let sd = match one.read {
                Read::True => sd,
                Read::Believed => sd * self.truth / self.believed,
            };
            let value = (count(one.readings.len()) * sd.to_the(2))
                .named(format!("square of {}", one.name()));
            Square { value, degrees }
        };
        Some(lengths.iter().zip(&own).map(|(one, own)| square(one, own)).collect())
    }

    /// The square of the scatter by how far the lengths lie from one another.
    fn between(&self, lengths: &[OneLength]) -> Option<(Value, Value)> {
        let ratio = (self.truth / self.believed).named("true over believed length");
        let off: Vec<Value> = lengths
            .iter()
            .map(|one| {
                let known = count(one.readings.len()) * &one.known_value;
                let read = Value::sum(one.name(), one.readings.clone());
                let off = match one.read {
                    Read::True => read - &ratio * known,
                    Read::Believed => known - &ratio * read,
                };
                off.named(format!("off the ratio, {}", one.name())).to_the(2)
            })
            .collect();
        let degrees = (count(lengths.len()) - Value::constant(1.0)).named("lengths less one");
        let sum = Value::sum("squares off the ratio", off);
        Some(((sum * count(lengths.len()) / &degrees).named("square of all lengths"), degrees))
    }
}

fn tells_scatter(moments: &Moments) -> bool {
    moments.scatter.as_ref().is_some_and(|scatter| scatter.sd.number() > 0.0)
}

/// The standard deviation and degrees of freedom that lengths have together.
fn common(told: &[&Deviation]) -> Option<(Value, Value)> {
    let sum = |values: Vec<Value>| values.into_iter().reduce(|sum, next| sum + next);
    let degrees = sum(told.iter().map(|one| one.degrees_of_freedom.clone()).collect())?
        .named("df of all lengths");
    let squares = told.iter().map(|one| &one.degrees_of_freedom * one.sd.to_the(2)).collect();
    let sd = (sum(squares)? / &degrees).root().named("SD of all lengths together");
    Some((sd, degrees))
}

/// The sum of the squares with its degrees of freedom.
fn total(squares: &[Square]) -> Option<(Value, Value)> {
    let sum = |values: Vec<Value>| values.into_iter().reduce(|sum, next| sum + next);
    let all =
        sum(squares.iter().map(|one| one.value.clone()).collect())?.named("square of all lengths");
    let parts = squares.iter().map(|one| one.value.to_the(2) / &one.degrees).collect();
    let degrees = (all.to_the(2) / sum(parts)?).named("df by the scatter of each length");
    Some((all, degrees))
}
