//! Counts of one meter at one vacuum put together, and what they are called.

use crate::quantity::Unit;
use crate::statistics::{Confidence, Share};
use crate::working::Value;

use super::inputs::{Counted, Inputs, With};

/// All that was counted with one plate, lot, vacuum and row.
pub(super) struct Group<'a> {
    pub(super) with: &'a With,
    pub(super) positions: f64,
    pub(super) multiples: f64,
    pub(super) misses: f64,
}

impl With {
    /// Plate and lot in words.
    pub(super) fn of(&self) -> String {
        let known = [&self.plate, &self.seed].into_iter().filter(|words| !words.is_empty());
        known.map(String::as_str).collect::<Vec<_>>().join(", ")
    }

    /// The vacuum as the gauge shows it.
    pub(super) fn gauge(&self) -> String {
        self.vacuum.as_ref().map_or(String::new(), |own| format!("{} {}", own.number, own.unit))
    }

    fn is_as(&self, other: &With) -> bool {
        self.of() == other.of() && self.gauge() == other.gauge() && self.row == other.row
    }

    /// Everything in words, for the names of figures.
    pub(super) fn tag(&self, several: bool) -> String {
        let row = self.row.map_or(String::new(), |row| format!("row {row}"));
        let of = if several { self.of() } else { String::new() };
        let all = [row, self.gauge(), of];
        let known = all.iter().filter(|words| !words.is_empty()).map(|words| format!(", {words}"));
        known.collect()
    }
}

/// Groups in the order of plate and lot as they come, then vacuum, then row.
pub(super) fn groups(inputs: &Inputs) -> Vec<Group<'_>> {
    let mut all: Vec<Group<'_>> = vec![];
    for Counted { with, positions, repeats } in &inputs.counted {
        let number = |value: f64, of: fn(&(f64, f64)) -> f64| {
            value + repeats.iter().map(|(two, none)| of(&(two.value(), none.value()))).sum::<f64>()
        };
        let place = all.iter().position(|own| own.with.is_as(with)).unwrap_or_else(|| {
            all.push(Group { with, positions: 0.0, multiples: 0.0, misses: 0.0 });
            all.len() - 1
        });
        if let Some(own) = all.get_mut(place) {
            #[allow(clippy::cast_precision_loss)] // few repeats
            let count = repeats.len() as f64;
            own.positions += positions.value() * count;
            own.multiples = number(own.multiples, |(two, _)| *two);
            own.misses = number(own.misses, |(_, none)| *none);
        }
    }
    let first: Vec<String> = all.iter().map(|own| own.with.of()).collect();
    let at = |own: &Group<'_>| first.iter().position(|of| *of == own.with.of());
    let gauge = |own: &Group<'_>| own.with.vacuum.as_ref().map_or(0.0, |one| one.number.value());
    all.sort_by(|a, b| {
        let by_row = a.with.row.cmp(&b.with.row);
        at(a).cmp(&at(b)).then(gauge(a).total_cmp(&gauge(b))).then(by_row)
    });
    all
}

/// Whether there is more than one plate or lot.
pub(super) fn several(all: &[Group<'_>]) -> bool {
    all.iter().any(|one| one.with.of() != all[0].with.of())
}

/// The shares of one or of several groups together.
pub(super) struct Shares {
    pub(super) positions: Value,
    pub(super) multiples: Share,
    pub(super) misses: Share,
    pub(super) faults: Share,
    pub(super) misses_counted: Value,
    pub(super) multiples_counted: Value,
    pub(super) faults_counted: Value,
}

impl Shares {
    pub(super) fn of(groups: &[&Group<'_>], tag: &str, confidence: Confidence) -> Option<Shares> {
        let counted = |what: &str, of: fn(&Group<'_>) -> f64| {
            let sum = groups.iter().map(|one| of(one)).sum();
            Value::found([what, tag].concat(), sum, Unit::ONE, "counted")
        };
        let positions = counted("places", |one| one.positions);
        let multiples = counted("multiples counted", |one| one.multiples);
        let misses = counted("misses counted", |one| one.misses);
        let faults = (&multiples + &misses).named(["faults counted", tag].concat());
        let share =
            |what: &str, of: &Value| Share::of(&[what, tag].concat(), of, &positions, confidence);
        Some(Shares {
            multiples: share("multiples", &multiples)?,
            misses: share("misses", &misses)?,
            faults: share("multiples and misses", &faults)?,
            positions,
            misses_counted: misses,
            multiples_counted: multiples,
            faults_counted: faults,
        })
    }
}
