//! Means, spreads and intervals of readings, as values that carry their working.

pub mod student_t;
