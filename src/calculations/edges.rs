//! How far the edges of an alley have moved since a run, by timers that were others then.

use crate::working::Value;

/// How far both edges of every alley have come along the travel since.
#[derive(Clone, Debug)]
pub struct EdgesSince {
    /// The last seed of the old plot.
    pub last_seed: Value,
    /// The first seed of the new one.
    pub first_seed: Value,
}

impl EdgesSince {
    /// The sides of an alley as they would be now: a last seed that has come ahead lies so much
    /// nearer to the mark, a first seed so much further from it.
    ///
    /// a = a - (last seed since), b = b + (first seed since)
    pub(super) fn at_present(&self, sides: [Option<Value>; 2]) -> [Option<Value>; 2] {
        let [a, b] = sides;
        [a.map(|a| a - &self.last_seed), b.map(|b| b + &self.first_seed)]
    }

    /// How far the middle has come ahead: half of both together.
    pub(super) fn middle(&self) -> Value {
        ((&self.last_seed + &self.first_seed) / Value::constant(2.0))
            .named("middle of the alley since, by its edges")
    }
}
