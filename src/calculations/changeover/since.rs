//! What other timers since a run have done to the edges of its alleys.

use crate::calculations::edges::EdgesSince;
use crate::quantity::Duration;
use crate::working::{Units, Value};

use super::inputs::{Inputs, Present};
use super::motion::numbers;
use super::prediction::predict;
use super::timers::Timers;
use crate::calculations::Common;

/// The timers of a run, where they were others than now.
#[derive(Clone, Debug)]
pub struct TimersThen {
    /// Clean-out, run-out and fill.
    pub present: Present,
    /// When the sweep started and how long it worked.
    pub sweep: Option<(Duration, Duration)>,
    /// All that was another, in words.
    pub words: String,
}

impl Inputs {
    /// How far both edges of every alley have come along the travel since a run that was made with
    /// other timers: where the changeover puts its last and first seed now, less where it put them
    /// then. What else the planter has is the same for both, so that only what the timers do remains.
    ///
    /// ```
    /// # use alleytrue::sheet::{FieldSheet, Source};
    /// // A longer clean-out, with the run-out as it is, brings new seed so much later: by 0.1 s at
    /// // 2.8 mph, 49.28 in/s, the first seed moves 4.928 in along the travel.
    /// let text = include_str!("../../../demo-data/changeover-bunched-and-rows.toml");
    /// let sheet = FieldSheet::read(&Source::new("s.toml", text)).expect("a sheet");
    /// # let inputs = sheet.job.changeover.expect("a changeover");
    /// # let now = inputs.present.clone().expect("timers");
    /// # let then = alleytrue::calculations::changeover::TimersThen {
    /// #     present: now, sweep: None, words: String::new() };
    /// # assert!(inputs.edges_since(&then, &alleytrue::working::Units::US).is_some());
    /// ```
    #[must_use]
    pub fn edges_since(&self, then: &TimersThen, units: &Units) -> Option<EdgesSince> {
        let common = Common::new(*units);
        let mut before = self.clone();
        before.present = Some(then.present.clone());
        if let (Some(sweep), Some(timing)) = (&mut before.sweep, &then.sweep) {
            sweep.timing = Some(timing.clone());
        }
        let edges = |timers: &Timers<Value>, when: &str| {
            let ground = predict(&numbers(&timers.schedule()));
            let unit = timers.speed.unit().times(timers.clean_out.unit());
            let edge = |name: &str, number| {
                let how = "predicted by `alleytrue changeover`";
                Value::found([name, " past the trip, ", when].concat(), number, unit, how)
            };
            [edge("last seed", ground.last_seed), edge("first seed", ground.first_seed)]
        };
        let now = edges(&self.timers(&common)?, "by the timers now");
        let then_words = ["by the timers then (", &then.words, ")"].concat();
        let then = edges(&before.timers(&common)?, &then_words);
        let [last, first] = now;
        let [last_then, first_then] = then;
        Some(EdgesSince {
            last_seed: (last - last_then).named("last seed ahead since, by the timers"),
            first_seed: (first - first_then).named("first seed ahead since, by the timers"),
        })
    }
}
