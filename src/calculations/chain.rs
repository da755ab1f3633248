//! Roller chain drives between two sprockets.
//!
//! Lengths and centre distances are in chain pitches unless a name says otherwise:
//! multiply by the pitch to get millimetres or inches.
//!
//! Symbols: `L` chain length in pitches (links), `C` centre distance in pitches,
//! `N` teeth on the larger sprocket, `n` teeth on the smaller, `P` chain pitch.

use std::f64::consts::PI;

use crate::quantity::{Length, LengthUnit, Unit};
use crate::working::{Arithmetic, Value};

use crate::outcome::Outcome;
use crate::outcome::warning::CHAIN_DOES_NOT_FIT;
use crate::working::Units;

/// Slack allowed, in links, when a length is meant to be a whole number.
const LINK_NOISE: f64 = 1e-9;

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
pub fn length_in_pitches<N: Arithmetic>(centre: &N, larger: &N, smaller: &N) -> N {
    let two = || N::exactly(2.0);
    let pi = N::found("pi", PI, "the circle constant");
    let difference = (larger.clone() - smaller.clone()) / (two() * pi);
    let half_the_teeth = (larger.clone() + smaller.clone()) / two();
    two() * centre.clone() + half_the_teeth + difference.squared() / centre.clone()
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
    let pairs = ((pitches - LINK_NOISE) / 2.0).ceil();
    // The cast saturates and turns NaN into 0; clearing the last bit evens `u32::MAX`.
    (2.0 * pairs) as u32 & !1
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

impl ChainDrive {
    /// Whether the chain that is fitted goes round sprockets of so many teeth, where its links are
    /// known; one of unknown length may.
    ///
    /// ```
    /// use alleytrue::calculations::chain::ChainDrive;
    /// use alleytrue::quantity::Length;
    /// let chain = ChainDrive {
    ///     centre_distance: Length::parse("19 1/2 in", None)?,
    ///     pitch: Length::parse("1/2 in", None)?,
    ///     links: Some(100),
    ///     take_up: Some(2),
    /// };
    /// // 2 × 39 + 43 / 2 + (7 / (2 pi))² / 39 = 99.53 links; 97.53 with 16/23, 101.53 with 20/27.
    /// assert!(chain.goes_round(18, 25) && chain.goes_round(16, 23));
    /// assert!(!chain.goes_round(20, 27));
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn goes_round(&self, driving: u32, driven: u32) -> bool {
        let inch = |length: &Length| length.value_in(LengthUnit::Inch);
        let centre = inch(&self.centre_distance) / inch(&self.pitch);
        let length = length_in_pitches(&centre, &f64::from(driving), &f64::from(driven));
        self.takes_in(even_links_up(length))
    }

    /// How far apart the centres of two sprockets must be at the least, in chain pitches, for them
    /// not to touch: half the sum of their pitch diameters, 1 / sin(pi / teeth) each.
    ///
    /// Source: the pitch circle of a sprocket, as in Bhandari, *Design of Machine Elements*,
    /// chapter 14: D = p / sin(180 / z).
    ///
    /// ```
    /// use alleytrue::calculations::chain::ChainDrive;
    /// // 1 / sin(180 / 6) is 2: two of 6 teeth stand 2 pitches apart where they touch.
    /// assert!((ChainDrive::least_centre(6, 6) - 2.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn least_centre(driving: u32, driven: u32) -> f64 {
        let diameter = |teeth: u32| 1.0 / (PI / f64::from(teeth)).sin();
        f64::midpoint(diameter(driving), diameter(driven))
    }

    /// Whether two sprockets have room beside each other.
    #[must_use]
    pub fn has_room(&self, driving: u32, driven: u32) -> bool {
        let inch = |length: &Length| length.value_in(LengthUnit::Inch);
        inch(&self.centre_distance) > Self::least_centre(driving, driven) * inch(&self.pitch)
    }

    /// Whether the chain that is fitted does for so many links.
    fn takes_in(&self, needed: u32) -> bool {
        let most = needed.saturating_add(self.take_up.unwrap_or(0));
        self.links.is_none_or(|links| (needed..=most).contains(&links))
    }
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
    if !drive.takes_in(needed) {
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
    fn even_links_at_the_edges() {
        for nothing in [f64::NAN, f64::NEG_INFINITY, -3.0, 0.0, 1e-12] {
            assert_eq!(even_links_up(nothing), 0, "{nothing}");
        }
        for endless in [f64::INFINITY, 1e300, f64::from(u32::MAX)] {
            assert_eq!(even_links_up(endless), u32::MAX - 1, "{endless}");
        }
        assert_eq!(even_links_up(0.5), 2);
        assert_eq!(even_links_up(122.0), 122);
        assert_eq!(even_links_up(122.0 - 1e-12), 122);
        assert_eq!(even_links_up(122.0 + 1e-6), 124);
    }

    proptest! {
        #[test]
        fn even_links_bracket_the_length(pitches in 0.0_f64..1e6) {
            let up = even_links_up(pitches);
            prop_assert_eq!(up % 2, 0);
            prop_assert!(f64::from(up) >= pitches - 1e-8 && f64::from(up) < pitches + 2.0);
        }
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
            assert_eq!(drive.goes_round(20, 20), outcome.warnings.is_empty());
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
