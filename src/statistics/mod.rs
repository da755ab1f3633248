//! Means, spreads and intervals of readings, as values that carry their working.
//!
//! Every function takes the word for what was read (the subject, such as `readout`), which
//! becomes part of the names of its lines: `mean readout`, `SD readout`. Results are
//! [`Value`](crate::working::Value)s, so the lines printed for them are the arithmetic done.
//!
//! Readings are decimal numbers off a tape or a display, and binary arithmetic leaves noise in
//! the last digits of what is computed from them. A spread, a slope or a residual that is no
//! more than such noise counts as none, and no result is ever NaN: what can't be computed (a
//! spread of one reading, a t without scatter) is `None`.

mod apart;
mod between_runs;
mod confidence;
mod control_chart;
mod counts;
mod drift;
pub mod fisher_f;
mod inside;
mod integral;
mod interval;
mod line;
mod noise;
mod outliers;
mod sample_size;
mod share;
pub mod student_t;
mod summary;
mod t_test;

pub use apart::{Apart, Counted, means_apart, shares_apart};
pub use between_runs::{Agreement, RunMean, Spread as SpreadBetweenRuns, means_of_one};
pub use confidence::Confidence;
pub use control_chart::{Individuals, Weighted, weighted_averages};
pub use counts::CountInterval;
pub use drift::{may_drift, slope};
pub use inside::{NextOne, ShareInside, share_inside};
pub use interval::Interval;
pub use line::{Line, Prediction, Ranges, Scatter};
pub(crate) use outliers::median;
pub use outliers::{LEAST_OUTLIER_LIMIT, Outliers, may_stand_apart, modified_z, outlier_limit};
pub use sample_size::{MOST_READINGS, MoreReadings, Taken, more_readings};
pub use share::Share;
pub use summary::{Deviation, Moments, Spread, Summary, mean};
pub use t_test::{TTest, paired_difference, two_means};
