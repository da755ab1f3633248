//! Time of a pass, field efficiency and work rate.

use crate::working::Value;

/// Time of a pass: planted length / speed + turn + plots × time to load one.
///
/// ```
/// use alleytrue::calculations::time::pass_time;
/// use alleytrue::working::Value;
/// // 100 m at 1 m/s, 40 s of turn, 10 plots of 6 s.
/// let [length, speed, turn, plots, load] = [100.0, 1.0, 40.0, 10.0, 6.0].map(Value::constant);
/// assert_eq!(pass_time(&length, &speed, &turn, Some((&plots, &load))).number(), 200.0);
/// ```
#[must_use]
pub fn pass_time(
    length: &Value,
    speed: &Value,
    turn: &Value,
    loading: Option<(&Value, &Value)>,
) -> Value {
    let moving = length / speed + turn;
    match loading {
        Some((plots, load)) => moving + plots * load,
        None => moving,
    }
}

/// Field efficiency: time that the planter drives in its rows / all the time it takes, as a share of
/// one.
///
/// ```
/// use alleytrue::calculations::time::field_efficiency;
/// use alleytrue::working::Value;
/// let [driving, all] = [100.0, 200.0].map(Value::constant);
/// assert_eq!(field_efficiency(&driving, &all).number(), 0.5);
/// ```
#[must_use]
pub fn field_efficiency(driving: &Value, all: &Value) -> Value {
    driving / all
}

/// Work rate: speed × width × field efficiency, as area in a time.
///
/// Source: Iowa State University Extension A3-24, table 1: 15 ft at 5 mph and 63 % are 5.7 acres an
/// hour, 30 ft at 6 mph and 60 % 13.1.
///
/// ```
/// use alleytrue::calculations::time::work_rate;
/// use alleytrue::working::Value;
/// for (mph, feet, efficiency, printed) in [(5.0, 15.0, 0.63, 5.7), (6.0, 30.0, 0.60, 13.1)] {
///     let [speed, width, efficiency] = [mph * 5280.0, feet, efficiency].map(Value::constant);
///     let acres = work_rate(&speed, &width, &efficiency).number() / 43560.0;
///     assert!((acres - printed).abs() < 0.05);
/// }
/// ```
#[must_use]
pub fn work_rate(speed: &Value, width: &Value, efficiency: &Value) -> Value {
    speed * width * efficiency
}
