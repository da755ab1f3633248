//! Roller chain drives between two sprockets.
//!
//! Lengths and centre distances are in chain pitches unless a name says otherwise:
//! multiply by the pitch to get millimetres or inches.
//!
//! Symbols: `L` chain length in pitches (links), `C` centre distance in pitches,
//! `N` teeth on the larger sprocket, `n` teeth on the smaller, `P` chain pitch.

use std::f64::consts::PI;

use crate::quantity::{Length, Unit};
use crate::working::Value;

use crate::outcome::Outcome;
use crate::outcome::warning::CHAIN_DOES_NOT_FIT;
use crate::working::Units;

/// Slack allowed, in links, when a length is meant to be a whole number.
const LINK_NOISE: f64 = 1e-9;

/// `((N - n) / (2 pi))^2`, in square pitches.
fn difference_term(larger: u32, smaller: u32) -> f64 {
    ((f64::from(larger) - f64::from(smaller)) / (2.0 * PI)).powi(2)
}

/// Length of a two-sprocket chain, in pitches:
/// `L = 2C + (N + n)/2 + ((N - n)/(2 pi))^2 / C`.
///
/// `centre` is `C` in pitches, above zero; `larger` and `smaller` are the teeth `N` and `n` (the
/// order does not matter). The result is seldom whole: see [`even_links_up`].
///
/// Source: the standard chain-length formula, as in Bhandari, *Design of Machine
/// Elements*, chapter 14.
///
/// ```
/// use alleytrue::calculations::chain::length_in_pitches;
/// use alleytrue::quantity::{Decimal, Unit};
/// use alleytrue::working::Value;
/// // Bhandari, Ex. 14.3: 12.7 mm chain, sprockets of 63 and 21 teeth 500 mm apart.
/// let centre = Value::constant(500.0) / Value::constant(12.7);
/// let length = length_in_pitches(&centre, &Value::constant(63.0), &Value::constant(21.0));
/// assert!((length.number() - 121.875).abs() < 5e-4);
/// ```
#[must_use]
pub fn length_in_pitches(centre: &Value, larger: &Value, smaller: &Value) -> Value {
    let two = || Value::constant(2.0);
    let pi = Value::found("pi", PI, Unit::ONE, "the circle constant");
    let difference = (larger - smaller) / (two() * pi);
    two() * centre + (larger + smaller) / two() + difference.to_the(2) / centre
}

/// The smallest even number of links not below `pitches`.
///
/// An even number needs no cranked (offset) link. A length up to 1e-9 links above an
/// even number counts as that number. NaN and lengths of zero or less give 0; lengths
/// past the range of `u32` give its largest even number.
///
/// ```
/// use alleytrue::calculations::chain::even_links_up;
/// assert_eq!(even_links_up(121.875), 122);
/// assert_eq!(even_links_up(122.1), 124);
/// assert_eq!(even_links_up(122.0 + 1e-12), 122);
/// ```
pub fn even_links_up(pitches: f64) -> u32 {
    even_links(((pitches - LINK_NOISE) / 2.0).ceil())
}

/// The even number of links nearest to `pitches`; an odd whole length goes up.
///
/// Lengths up to 1e-9 links below an odd whole number count as that number. NaN and
/// lengths of zero or less give 0; lengths past the range of `u32` give its largest
/// even number.
///
/// ```
/// use alleytrue::calculations::chain::even_links_nearest;
/// assert_eq!(even_links_nearest(120.9), 120);
/// assert_eq!(even_links_nearest(121.0), 122);
/// ```
pub fn even_links_nearest(pitches: f64) -> u32 {
    even_links(((pitches + LINK_NOISE) / 2.0).round())
}

/// Twice `pairs`, held within 0 and the largest even `u32`; NaN gives 0.
fn even_links(pairs: f64) -> u32 {
    // The cast saturates and turns NaN into 0; clearing the last bit evens `u32::MAX`.
    (2.0 * pairs) as u32 & !1
}

/// Centre distance, in pitches, that takes up a chain of `links` links:
/// with `A = L - (N + n)/2`,
/// `C = (A + sqrt(A^2 - 8 ((N - n)/(2 pi))^2)) / 4`.
///
/// The exact inverse of [`length_in_pitches`] (its larger root, the practical one).
/// `None` when the chain is too short to reach round both sprockets.
///
/// Source: Bhandari, *Design of Machine Elements*, chapter 14.
///
/// ```
/// use alleytrue::calculations::chain::centre_distance;
/// let centre = centre_distance(122, 63, 21).ok_or("chain too short")?;
/// assert!((centre * 12.7 - 500.805).abs() < 1e-3); // mm
/// assert_eq!(centre_distance(40, 63, 21), None);
/// # Ok::<(), &str>(())
/// ```
pub fn centre_distance(links: u32, larger: u32, smaller: u32) -> Option<f64> {
    let straight = f64::from(links) - (f64::from(larger) + f64::from(smaller)) / 2.0;
    let inside = straight.powi(2) - 8.0 * difference_term(larger, smaller);
    (straight > 0.0 && inside >= 0.0).then(|| (straight + inside.sqrt()) / 4.0)
}

/// Angle of chain wrap on the smaller sprocket, in degrees:
/// `180 - 2 asin((D - d) / (2C))`, with pitch diameters `D` and `d` in pitches.
///
/// `None` when either sprocket has fewer than 2 teeth, when `C` is not finite and
/// above zero, or when the smaller pitch circle would lie inside the larger.
///
/// Source: geometry of two circles and their outer tangents; pitch diameters from
/// [`pitch_diameter`].
///
/// ```
/// use alleytrue::calculations::chain::wrap_on_small_degrees;
/// assert_eq!(wrap_on_small_degrees(40.0, 20, 20), Some(180.0));
/// let wrap = wrap_on_small_degrees(20.0, 40, 15).ok_or("too close")?;
/// assert!((wrap - 157.0).abs() < 0.2);
/// # Ok::<(), &str>(())
/// ```
pub fn wrap_on_small_degrees(centre_in_pitches: f64, larger: u32, smaller: u32) -> Option<f64> {
    if !(centre_in_pitches.is_finite() && centre_in_pitches > 0.0) {
        return None;
    }
    let difference = (pitch_diameter(1.0, larger) - pitch_diameter(1.0, smaller)).abs();
    let sine = difference / (2.0 * centre_in_pitches);
    // A NaN sine (too few teeth) fails this too.
    (sine < 1.0).then(|| 180.0 - 2.0 * sine.asin().to_degrees())
}

/// Speed change of the chain as each tooth takes it up, `1 - cos(180 deg / N)`, as a
/// fraction of the highest chain speed.
///
/// NaN for fewer than 2 teeth.
///
/// Source: geometry of a chain on a polygon of `N` sides; the chordal (polygon) effect
/// of any chain-drive text.
///
/// ```
/// use alleytrue::calculations::chain::chordal_speed_change;
/// assert!((chordal_speed_change(17) - 0.017).abs() < 5e-4);
/// ```
pub fn chordal_speed_change(teeth: u32) -> f64 {
    if teeth < 2 {
        return f64::NAN;
    }
    1.0 - (PI / f64::from(teeth)).cos()
}

/// Pitch diameter of a sprocket, `P / sin(180 deg / N)`, in the unit of `pitch`.
///
/// NaN for fewer than 2 teeth.
///
/// Source: geometry of a polygon of `N` sides of length `P` in a circle.
///
/// ```
/// use alleytrue::calculations::chain::pitch_diameter;
/// // 17 teeth on half-inch chain.
/// assert!((pitch_diameter(0.5, 17) - 2.721).abs() < 5e-4); // in
/// ```
pub fn pitch_diameter(pitch: f64, teeth: u32) -> f64 {
    if teeth < 2 {
        return f64::NAN;
    }
    pitch / (PI / f64::from(teeth)).sin()
}

/// A chain on the planter.
#[derive(Clone, Debug)]
pub struct ChainDrive {
    /// Distance between the sprocket centres.
    pub centre_distance: Length,
    /// Pitch of the chain.
    pub pitch: Length,
    /// Links of the chain that is fitted, where known.
    pub links: Option<u32>,
    /// Links that the idler takes up, where known.
    pub take_up: Option<u32>,
}

/// Adds the chain a pair of sprockets needs to an outcome, and says whether the fitted one fits.
///
/// Planter chains run between fixed centres with an idler, so the length is rounded up to the
/// next even number of links, never down; textbooks whose centres can move round to the nearest.
pub(super) fn check(
    index: usize,
    drive: &ChainDrive,
    driving: &Value,
    driven: &Value,
    units: &Units,
    outcome: &mut Outcome,
) {
    let chain = index + 1;
    let centre = (units.length(format!("chain {chain} centre distance"), &drive.centre_distance)
        / units.length(format!("chain {chain} pitch"), &drive.pitch))
    .named(format!("chain {chain} centre distance in pitches"));
    let (larger, smaller) =
        if driving.number() >= driven.number() { (driving, driven) } else { (driven, driving) };
    let length = length_in_pitches(&centre, larger, smaller)
        .named_as(format!("chain {chain} length"), "links");
    let needed = even_links_up(length.number());
    let even = Value::found(
        format!("chain {chain} links needed"),
        f64::from(needed),
        Unit::ONE,
        "next even number of links",
    );
    outcome.values.extend([length, even]);
    let Some(links) = drive.links else { return };
    if links < needed || links - needed > drive.take_up.unwrap_or(0) {
        outcome.warnings.push(CHAIN_DOES_NOT_FIT.with(format!(
            "chain {chain} needs {needed} links with {}/{} teeth; {links} are fitted{}",
            driving.number(),
            driven.number(),
            drive.take_up.map_or(String::new(), |most| format!(" and the idler takes up {most}"))
        )));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn assert_close(got: f64, published: f64, half_last_digit: f64) {
        assert!((got - published).abs() <= half_last_digit, "got {got}, published {published}");
    }

    fn pitches(centre: f64, larger: u32, smaller: u32) -> f64 {
        let teeth = |number: u32| Value::constant(f64::from(number));
        length_in_pitches(&Value::constant(centre), &teeth(larger), &teeth(smaller)).number()
    }

    #[test]
    fn bhandari_example_14_3() {
        // Bhandari, Design of Machine Elements, Ex. 14.3: p 12.7 mm, a 500 mm, 21 and 63.
        let length = pitches(500.0 / 12.7, 63, 21);
        assert_close(length, 121.875, 5e-4);
        assert_eq!(even_links_up(length), 122);
        let centre = centre_distance(122, 63, 21).map(|c| c * 12.7);
        assert_close(centre.unwrap_or(f64::NAN), 500.805, 1e-3);
    }

    #[test]
    fn bhandari_example_14_4() {
        // Bhandari, Design of Machine Elements, Ex. 14.4: a 40 pitches, 17 and 34.
        let length = pitches(40.0, 34, 17);
        assert_close(length, 105.683, 5e-4);
        assert_eq!(even_links_up(length), 106);
    }

    #[test]
    fn jindal_example_30_3() {
        // Jindal, Machine Design, Ex. 30-3: 21 and 42, 50 pitches of 9.52 mm (the book
        // rounds the 9.525 mm pitch to 9.52); chain length 1254.01 mm, links not rounded.
        let length = pitches(50.0, 42, 21);
        assert_close(length * 9.52, 1254.01, 5e-3);
        assert_close(length * 9.525, 1254.665, 5e-3);
    }

    #[test]
    fn chordal_speed_changes() {
        // Chain-drive texts, per cent to one decimal.
        for (teeth, per_cent) in [(9, 6.0), (11, 4.1), (13, 2.9), (17, 1.7), (25, 0.8)] {
            assert_close(100.0 * chordal_speed_change(teeth), per_cent, 0.05);
        }
        // A chain on two teeth stands still for a moment: cos 90 deg is 0.
        assert_close(chordal_speed_change(2), 1.0, 1e-15);
        assert!(chordal_speed_change(1).is_nan());
    }

    #[test]
    fn pitch_diameters() {
        // tandwiel.info table, 1 in pitch, mm.
        for (teeth, mm) in [(9, 74.26), (17, 138.23), (25, 202.66), (40, 323.74), (60, 485.33)] {
            assert_close(pitch_diameter(25.4, teeth), mm, 0.0051);
        }
        // Half-inch chain, inches.
        assert_close(pitch_diameter(0.5, 17), 2.721, 5e-4);
        assert_close(pitch_diameter(0.5, 40), 6.373, 5e-4);
        assert!(pitch_diameter(25.4, 0).is_nan());
        assert!(pitch_diameter(25.4, 1).is_nan());
    }

    #[test]
    fn even_links_at_the_edges() {
        for nothing in [f64::NAN, f64::NEG_INFINITY, -3.0, 0.0, 1e-12] {
            assert_eq!(even_links_up(nothing), 0, "{nothing}");
            assert_eq!(even_links_nearest(nothing), 0, "{nothing}");
        }
        for endless in [f64::INFINITY, 1e300, f64::from(u32::MAX)] {
            assert_eq!(even_links_up(endless), u32::MAX - 1, "{endless}");
            assert_eq!(even_links_nearest(endless), u32::MAX - 1, "{endless}");
        }
        assert_eq!(even_links_up(0.5), 2);
        assert_eq!(even_links_up(122.0), 122);
        assert_eq!(even_links_up(122.0 - 1e-12), 122);
        assert_eq!(even_links_up(122.0 + 1e-6), 124);
        assert_eq!(even_links_nearest(121.0 - 1e-12), 122);
        assert_eq!(even_links_nearest(121.0 - 1e-6), 120);
    }

    #[test]
    fn no_answer_when_too_close() {
        assert_eq!(centre_distance(0, 40, 20), None);
        assert_eq!(centre_distance(30, 40, 20), None);
        for centre in [f64::NAN, f64::INFINITY, -5.0, 0.0, 1.0] {
            assert_eq!(wrap_on_small_degrees(centre, 60, 20), None);
        }
        assert_eq!(wrap_on_small_degrees(40.0, 60, 1), None);
    }

    proptest! {
        #[test]
        fn centre_undoes_length(links in 60_u32..600, a in 5_u32..=200, b in 5_u32..=200) {
            if let Some(centre) = centre_distance(links, a, b) {
                let back = pitches(centre, a, b);
                prop_assert!((back - f64::from(links)).abs() < 1e-8);
                prop_assert_eq!(centre_distance(links, b, a), Some(centre));
            }
        }

        #[test]
        fn even_links_bracket_the_length(pitches in 0.0_f64..1e6) {
            let up = even_links_up(pitches);
            prop_assert_eq!(up % 2, 0);
            prop_assert!(f64::from(up) >= pitches - 1e-8 && f64::from(up) < pitches + 2.0);
            let nearest = even_links_nearest(pitches);
            prop_assert_eq!(nearest % 2, 0);
            prop_assert!((f64::from(nearest) - pitches).abs() <= 1.0 + 1e-8);
        }
    }

    #[test]
    fn a_chain_that_just_goes_round_leaves_no_room_between_centres() {
        // Two sprockets of 20 and 20 links: half of each, 10 + 10 teeth, takes them all.
        assert_eq!(centre_distance(20, 20, 20), None);
        // Two links more are one pitch from centre to centre.
        assert_eq!(centre_distance(22, 20, 20), Some(1.0));
    }

    #[test]
    fn two_teeth_are_a_pitch_across() {
        // A "polygon" of two sides: P / sin(90 deg) = P.
        assert_eq!(pitch_diameter(1.0, 2), 1.0);
    }

    #[test]
    fn no_chain_wraps_a_sprocket_that_touches_the_other_from_inside() {
        let radii_apart = (pitch_diameter(1.0, 60) - pitch_diameter(1.0, 20)) / 2.0;
        assert_eq!(wrap_on_small_degrees(radii_apart, 60, 20), None);
        assert!(wrap_on_small_degrees(radii_apart * 1.001, 60, 20).is_some());
    }

    /// Two sprockets of 20 teeth 40 pitches apart need 2 x 40 + 20 = 100 links. One that is longer
    /// fits as far as the idler takes it up, one that is shorter never.
    #[test]
    fn a_chain_fits_from_the_links_needed_to_what_the_idler_takes_up() {
        let said = |links: u32, take_up: Option<u32>| {
            let length = |text| Length::parse(text, None).expect("a length");
            let drive = ChainDrive {
                centre_distance: length("20 in"),
                pitch: length("1/2 in"),
                links: Some(links),
                take_up,
            };
            let teeth = Value::constant(20.0);
            let mut outcome = Outcome::new(crate::calculations::spacing::CALCULATION);
            check(0, &drive, &teeth, &teeth, &Units::US, &mut outcome);
            outcome.warnings.pop().map(|warning| warning.message)
        };
        assert_eq!(said(100, None), None);
        assert_eq!(said(102, Some(2)), None);
        let short = "chain 1 needs 100 links with 20/20 teeth; 98 are fitted";
        assert_eq!(said(98, None).as_deref(), Some(short));
        let long = "chain 1 needs 100 links with 20/20 teeth; 102 are fitted";
        assert_eq!(said(102, None).as_deref(), Some(long));
        let longer = "chain 1 needs 100 links with 20/20 teeth; 104 are fitted and the idler takes \
                      up 2";
        assert_eq!(said(104, Some(2)).as_deref(), Some(longer));
    }
}
