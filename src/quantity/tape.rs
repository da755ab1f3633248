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

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: 12 in make a foot, 8 eighths or 16 sixteenths an inch.
    #[test]
    fn a_tape_shows_feet_inches_and_the_fraction_in_lowest_terms() {
        for (inches, parts, shown) in [
            (0.0, 8, "0 ft 0 in"),
            (-0.01, 8, "0 ft 0 in"),
            (-0.26, 8, "-0 ft 0 1/4 in"),
            (5.0, 8, "0 ft 5 in"),
            (11.99, 8, "1 ft 0 in"),
            (12.0, 8, "1 ft 0 in"),
            (23.75, 8, "1 ft 11 3/4 in"),
            (-23.75, 8, "-1 ft 11 3/4 in"),
            (210.0, 8, "17 ft 6 in"),
            (237.5, 16, "19 ft 9 1/2 in"),
            (237.312_5, 16, "19 ft 9 5/16 in"),
            (237.312_5, 8, "19 ft 9 3/8 in"), // 237 5/16: a half of an eighth goes up
            (100.25, 3, "8 ft 4 1/3 in"),     // 300.75 thirds are 301
            (2.0 / 3.0, 6, "0 ft 0 2/3 in"),
            (9.6, 1, "0 ft 10 in"),
        ] {
            assert_eq!(feet_and_inches(inches, parts), shown, "{inches} in {parts} parts");
        }
    }
}
