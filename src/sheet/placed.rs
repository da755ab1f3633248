//! A value with its place.

use std::ops::Range;

/// A value with its place in the sheet.
#[derive(Clone, Debug)]
pub(super) struct Placed<T> {
    pub(super) value: T,
    pub(super) span: Range<usize>,
}
