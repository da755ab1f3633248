//! Lengths as a tape in feet and inches shows them.

/// Inches as feet, inches and so many parts of an inch, rounded to the nearest part.
///
/// ```
/// use alleytrue::quantity::on_tape;
/// assert_eq!(on_tape(209.088, 4), "17 ft 5 in");
/// assert_eq!(on_tape(313.632, 4), "26 ft 1 3/4 in");
/// assert_eq!(on_tape(-11.99, 4), "-1 ft 0 in");
/// ```
#[must_use]
#[allow(clippy::cast_possible_truncation)] // lengths are bounded to a few miles
pub fn on_tape(inches: f64, parts: u32) -> String {
    let parts = i64::from(parts.max(1));
    #[allow(clippy::cast_precision_loss)] // few parts
    let all = (super::clean(inches.abs() * parts as f64)).round() as i64;
    let sign = if inches < 0.0 && all > 0 { "-" } else { "" };
    let (feet, rest) = (all / (12 * parts), all % (12 * parts));
    let (whole, mut top, mut bottom) = (rest / parts, rest % parts, parts);
    while top > 0 && top % 2 == 0 && bottom % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    let fraction = if top > 0 { format!(" {top}/{bottom}") } else { String::new() };
    format!("{sign}{feet} ft {whole}{fraction} in")
}
