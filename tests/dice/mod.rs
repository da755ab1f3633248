//! Seeded dice, so that a run of the tests is the same everywhere.

#![allow(dead_code, clippy::cast_precision_loss)] // each test program uses its own share

/// Splitmix64 (Steele, Lea and Flood 2014), with the two laws that readings follow.
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between 0 and 1.
    pub fn even(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// Evenly over one spacing around zero: an edge, by the phase of the plate.
    pub fn edge(&mut self, spacing: f64) -> f64 {
        spacing * (self.even() - 0.5)
    }

    /// Normal around zero (Box and Muller 1958).
    pub fn normal(&mut self, sd: f64) -> f64 {
        let (u, v) = (self.even(), self.even());
        sd * (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// As many seasons of a kind as the one who runs the test wants.
pub fn asked_for() -> u64 {
    std::env::var("SEASONS").ok().and_then(|text| text.parse().ok()).unwrap_or(4)
}

/// Between two numbers.
pub fn between(dice: &mut Dice, low: f64, high: f64) -> f64 {
    low + (high - low) * dice.even()
}

/// Between two numbers, on either side of zero.
pub fn off(dice: &mut Dice, least: f64, most: f64) -> f64 {
    between(dice, least, most) * if dice.even() < 0.5 { -1.0 } else { 1.0 }
}

/// To the nearest half.
pub fn half_inches(number: f64) -> f64 {
    (number * 2.0).round() / 2.0
}

/// A share of `part` in `whole` at the least, with four standard deviations of a binomial count for
/// the few of an everyday run.
#[track_caller]
pub fn at_least(kind: &str, what: &str, part: usize, whole: usize, share: f64) {
    let whole = whole as f64;
    let slack = 4.0 * (whole * share * (1.0 - share)).sqrt();
    assert!(part as f64 >= whole * share - slack, "{kind}: {what} {part} of {whole}");
}
