//! How old a measurement is on a day, and until when it counts.

use chrono::{Days, NaiveDate};

/// How many days a calibration holds where the sheet does not say so. Common practice, no source:
/// tyres, soil and seed are others after a month.
pub const HOLDS_FOR: u32 = 30;

fn day(text: &str) -> Option<NaiveDate> {
    text.parse().ok()
}

/// Days from one day to another; nothing where either is no day.
pub(super) fn days_between(from: &str, to: &str) -> Option<i64> {
    Some((day(to)? - day(from)?).num_days())
}

/// The last day on which something that was measured on a day holds.
///
/// ```
/// use alleytrue::record::holds_until;
/// assert_eq!(holds_until("2027-04-18", 30).as_deref(), Some("2027-05-18"));
/// assert_eq!(holds_until("2028-02-20", 10).as_deref(), Some("2028-03-01"));
/// assert_eq!(holds_until("some day", 10), None);
/// ```
#[must_use]
pub fn holds_until(measured: &str, days: u32) -> Option<String> {
    let last = day(measured)?.checked_add_days(Days::new(days.into()))?;
    Some(last.to_string())
}
