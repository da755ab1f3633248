//! What the meter in the shop needs.

use crate::outcome::Calculation;
use crate::quantity::Decimal;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "meter", title: "Meter in the shop" };

/// A vacuum or pressure as the gauge shows it: a number in a unit that is only held against itself.
#[derive(Clone, Debug)]
pub struct Vacuum {
    /// The number.
    pub number: Decimal,
    /// Its unit, in the crew's words.
    pub unit: String,
}

/// What a meter was run with.
#[derive(Clone, Debug, Default)]
pub struct With {
    /// The plate, in the crew's words; empty where it was not said.
    pub plate: String,
    /// The lot, likewise.
    pub seed: String,
    /// The vacuum, where it was said.
    pub vacuum: Option<Vacuum>,
    /// The row whose meter it was, where that was said.
    pub row: Option<u32>,
}

/// Repeats of counting how many seeds stand at so many places of a plate.
#[derive(Clone, Debug)]
pub struct Counted {
    /// What the meter was run with.
    pub with: With,
    /// Places looked at in each repeat.
    pub positions: Decimal,
    /// Places with two seeds or more, and places with none, of each repeat.
    pub repeats: Vec<(Decimal, Decimal)>,
}

/// Repeats of catching the seeds of so many turns of the plate.
#[derive(Clone, Debug)]
pub struct Caught {
    /// What the meter was run with.
    pub with: With,
    /// Turns of each repeat.
    pub turns: Decimal,
    /// Cells of the plate.
    pub cells: Decimal,
    /// Seeds of each repeat.
    pub seeds: Vec<Decimal>,
}

/// What the meter in the shop needs; one of the two has a run.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Places looked at.
    pub counted: Vec<Counted>,
    /// Seeds caught.
    pub caught: Vec<Caught>,
    /// The vacuum that the planter has now, as the sheet says it.
    pub vacuum: Option<String>,
}
