//! Numbers that are one but for rounding and for how they were written.

/// Whether a size keeps to its limit: what lies right on it does, whatever rounding makes of it.
pub(crate) fn at_most(size: f64, limit: f64) -> bool {
    size <= limit * (1.0 + 1e-9)
}

/// Numbers are one when only their writing differs: 2.5 ft and 30 in.
pub(crate) const SAME: f64 = 1e-9;

/// Whether two numbers are within a share of each other.
pub(crate) fn same(one: f64, other: f64, share: f64) -> bool {
    at_most((one / other - 1.0).abs(), share)
}

/// Whether two numbers are one that was written in two ways, such as 5 mph and 2.2352 m/s.
pub(crate) fn same_but_for_writing(one: f64, other: f64) -> bool {
    same(one, other, SAME)
}
