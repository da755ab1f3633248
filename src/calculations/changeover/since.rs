//! What other times since a run have done to the edges of its alleys.

use crate::calculations::Common;
use crate::calculations::edges::EdgesSince;
use crate::outcome::Timed;
use crate::working::{Units, Value};

use super::actions::Extent;
use super::inputs::Inputs;
use super::motion::{Schedule, numbers};
use super::prediction::predict;

/// What of the actions was another when a run was made.
#[derive(Clone, Debug)]
pub struct TimersThen {
    /// What it was.
    pub held: Vec<(Timed, Extent)>,
    /// The same in words.
    pub words: String,
}

impl Inputs {
    /// How far both edges of every alley have come along the travel since a run that was made with
    /// other times: where the changeover puts its last and first seed now, less where it put them
    /// then. What else the planter has is the same for both, so that only what the times do remains.
    ///
    /// ```
    /// # use alleytrue::sheet::{FieldSheet, Source};
    /// // A longer clean-out, with the wait of the boost as it is, brings new seed so much later: by 0.1 s
    /// // at 2.8 mph, 49.28 in/s, the first seed moves 4.928 in along the travel.
    /// let sheet = "demo-data/changeover-bunched-and-rows.toml";
    /// let text = std::fs::read_to_string(sheet).expect("a demo sheet");
    /// let sheet = FieldSheet::read(&Source::new("s.toml", &text)).expect("a sheet");
    /// # let inputs = sheet.job.changeover.expect("a changeover");
    /// # let then = alleytrue::calculations::changeover::TimersThen {
    /// #     held: vec![], words: String::new() };
    /// # assert!(inputs.edges_since(&then, &alleytrue::working::Units::US).is_some());
    /// ```
    #[must_use]
    pub fn edges_since(&self, then: &TimersThen, units: &Units) -> Option<EdgesSince> {
        let common = Common::new(*units);
        let before = self.with_held(&then.held);
        let edges = |schedule: &Schedule<Value>, when: &str| {
            let ground = predict(&numbers(schedule));
            let unit = schedule.speed.unit().times(schedule.fall.unit());
            let edge = |name: &str, number| {
                let how = "predicted by `alleytrue changeover`";
                Value::found([name, " past the trip, ", when].concat(), number, unit, how)
            };
            [edge("last seed", ground.last_seed), edge("first seed", ground.first_seed)]
        };
        let now = edges(&self.schedule(&common)?, "by the timers now");
        let then_words = ["by the timers then (", &then.words, ")"].concat();
        let then = edges(&before.schedule(&common)?, &then_words);
        let [last, first] = now;
        let [last_then, first_then] = then;
        Some(EdgesSince {
            last_seed: (last - last_then).named("last seed ahead since, by the timers"),
            first_seed: (first - first_then).named("first seed ahead since, by the timers"),
        })
    }
}
