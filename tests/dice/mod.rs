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
