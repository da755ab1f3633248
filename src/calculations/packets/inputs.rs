//! What the packets need: plots, rates, reserve, lots.

use std::collections::BTreeMap;

use crate::calculations::Common;
use crate::calculations::changeover;
use crate::calculations::spacing::Target;
use crate::calculations::stakes;
use crate::outcome::Calculation;
use crate::outcome::layout::Layout;
use crate::quantity::{Decimal, Length, Mass, PerMass, SeedRate, Share};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "packets", title: "Seed packets" };

/// What one packet plants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// All rows of a plot.
    Plot,
    /// One row of a plot.
    Row,
}

/// How heavy seed is.
#[derive(Clone, Debug)]
pub enum SeedWeight {
    /// Mass of a thousand seeds.
    Thousand(Mass),
    /// Seeds in a mass.
    Count(PerMass),
}

/// What is packed beyond what is needed.
#[derive(Clone, Debug)]
pub enum Reserve {
    /// A share of every row's seeds.
    Share(Share),
    /// So many seeds in a packet.
    Seeds(Decimal),
}

/// How much there is of a lot.
#[derive(Clone, Debug)]
pub enum AtHand {
    /// Counted.
    Seeds(Decimal),
    /// Weighed.
    Mass(Mass),
}

/// The seed of one entry.
#[derive(Clone, Debug)]
pub struct Lot {
    /// What it is called.
    pub name: String,
    /// Number of the entry.
    pub entry: u32,
    /// What there is of it.
    pub at_hand: Option<AtHand>,
    /// Its own weight, which goes before that of the trial.
    pub weight: Option<SeedWeight>,
    /// Its own germination.
    pub germination: Option<Share>,
    /// What it is treated with.
    pub treatment: Option<String>,
}

/// What is planted besides the trial.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// The lot of borders, by its name.
    pub border_lot: Option<String>,
    /// The lot of plots without an entry.
    pub filler_lot: Option<String>,
    /// Plots on test ranges.
    pub test_plots: u32,
    /// Their lot.
    pub test_lot: Option<String>,
}

/// The field that the packets are driven over.
#[derive(Clone, Debug)]
pub struct Field {
    /// How it is laid out.
    pub layout: stakes::Inputs,
    /// The entry of each plot by their numbers, where they are listed.
    pub entries: Option<BTreeMap<u32, u32>>,
}

impl Inputs {
    /// The plots of the field, where it is laid out.
    pub(super) fn laid_out(&self, common: &Common) -> Option<(&Field, Layout)> {
        let field = self.plan.as_deref()?;
        Some((field, field.layout.layout(common)))
    }
}

/// Seeds wanted on the ground, or plants wanted with what makes seeds of them.
#[derive(Clone, Debug)]
pub enum Rate {
    /// Seeds.
    Seeds(Target),
    /// Plants: the stand over germination and emergence.
    Plants(Box<Plants>),
}

/// Plants wanted, and what makes seeds of them.
#[derive(Clone, Debug)]
pub struct Plants {
    /// Plants wanted.
    pub stand: SeedRate,
    /// Share of seeds that germinate.
    pub germination: Share,
    /// Share of those that come up.
    pub emergence: Share,
}

/// What the packets need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot, first seed to last.
    pub plot: Length,
    /// Distance between rows.
    pub row_spacing: Length,
    /// What is wanted on the ground.
    pub rate: Rate,
    /// Plants wanted, where seeds are given too.
    pub stand: Option<SeedRate>,
    /// How far seeds and plants may disagree.
    pub tolerance: Option<Share>,
    /// What one packet plants.
    pub per: Per,
    /// Rows of a plot.
    pub rows_per_plot: Decimal,
    /// Entries of the trial.
    pub entries: Decimal,
    /// Replications.
    pub reps: Decimal,
    /// Ranges, passes and rows of the planter, where all are known.
    pub field: Option<[Decimal; 3]>,
    /// How heavy the seed is.
    pub weight: Option<SeedWeight>,
    /// Share of seeds that germinate.
    pub germination: Option<Share>,
    /// Share of those that come up.
    pub emergence: Option<Share>,
    /// What is packed beyond the need.
    pub reserve: Option<Reserve>,
    /// The step of the balance.
    pub balance_step: Option<Mass>,
    /// Seeds of a row that the plate takes and that end beside the plot, as counted.
    pub fill_plate: Option<Decimal>,
    /// Seeds of a row that are cleaned out, as counted.
    pub cleaned_out: Option<Decimal>,
    /// The changeover, which says what the plate takes where that was not counted.
    pub changeover: Option<Box<changeover::Inputs>>,
    /// The lots, in the order of the sheet.
    pub lots: Vec<Lot>,
    /// What is planted besides the trial.
    pub beside: Beside,
    /// The field with its plots, where it is laid out.
    pub plan: Option<Box<Field>>,
}
