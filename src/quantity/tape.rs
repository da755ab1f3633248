//! Lengths as a tape in feet and inches shows them.

use super::clean;

/// Inches as feet, inches and a fraction, to the nearest `parts` of an inch, halves away from
/// zero.
///
/// ```
/// use alleytrue::quantity::feet_and_inches;
/// assert_eq!(feet_and_inches(210.0, 8), "17 ft 6 in");
/// assert_eq!(feet_and_inches(237.52, 8), "19 ft 9 1/2 in");
/// assert_eq!(feet_and_inches(-0.26, 8), "-0 ft 0 1/4 in");
/// assert_eq!(feet_and_inches(11.99, 8), "1 ft 0 in");
/// ```
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // fields, not planets
pub fn feet_and_inches(inches: f64, parts: u32) -> String {
    const INCHES_PER_FOOT: u64 = 12;
    let total = clean(inches.abs() * f64::from(parts)).round() as u64;
    let sign = if inches < 0.0 && total > 0 { "-" } else { "" };
    let per_inch = u64::from(parts.max(1));
    let per_foot = per_inch * INCHES_PER_FOOT;
    let (feet, rest) = (total / per_foot, total % per_foot);
    let (whole, mut top, mut bottom) = (rest / per_inch, rest % per_inch, per_inch);
    while top > 0 && top % 2 == 0 && bottom % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    let fraction = if top > 0 { format!(" {top}/{bottom}") } else { String::new() };
    format!("{sign}{feet} ft {whole}{fraction} in")
}
