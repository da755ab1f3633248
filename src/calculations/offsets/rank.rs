//! Row units that sit ahead of or behind one another.

use crate::quantity::Length;
use crate::working::{Units, Value};

/// The row that was taped, among rows whose units don't sit in one line.
#[derive(Clone, Debug)]
pub struct Rank {
    /// The row.
    pub row: u32,
    /// How far its unit drops seed ahead of the line that all are measured from.
    pub own: Length,
    /// The same of the unit furthest behind.
    pub least: Length,
    /// The same of the unit furthest ahead.
    pub most: Length,
}

impl Rank {
    /// From this row to the middle of all: (least + most) / 2 - own.
    ///
    /// All rows start and stop at one instant, so what a row lies ahead by is what its alleys lie ahead by.
    /// Set for the middle, the rows furthest ahead and furthest behind are off by as much.
    ///
    /// ```
    /// use alleytrue::calculations::offsets::Rank;
    /// use alleytrue::quantity::Length;
    /// use alleytrue::working::Units;
    /// let inches = |text: &str| Length::parse(text, None);
    /// let rank = Rank { row: 1, own: inches("0 in")?, least: inches("0 in")?, most: inches("10 in")? };
    /// assert_eq!(rank.to_middle(&Units::US).number(), 5.0);
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn to_middle(&self, units: &Units) -> Value {
        let own = units.length(format!("row {} ahead by its unit", self.row), &self.own);
        (middle(&self.least, &self.most, units) - own)
            .named(format!("from row {} to the middle of all rows", self.row))
    }
}

/// Halfway between the unit furthest behind and the one furthest ahead.
pub(super) fn middle(least: &Length, most: &Length, units: &Units) -> Value {
    let least = units.length("unit furthest behind", least);
    let most = units.length("unit furthest ahead", most);
    ((least + most) / Value::constant(2.0)).named("middle of all rows")
}
