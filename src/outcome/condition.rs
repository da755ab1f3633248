//! What a calibration holds for, besides speed, spacing, alley and boost: the machine and the seed.

/// Something that a run was made under, and that nobody corrects: where it is another, what was
/// measured tells nothing of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Which planter.
    Planter,
    /// Which seed plate.
    Plate,
    /// Cells of the seed plate.
    Cells,
    /// Cells from pick-up to release.
    Carry,
    /// Which seed: its lot and size.
    Seed,
    /// The vacuum or pressure at the meters.
    Vacuum,
    /// Tyres of the drive wheel and their pressure.
    Tyres,
    /// The soil as it was driven on.
    Soil,
}

impl Condition {
    /// All of them.
    pub const ALL: [Condition; 8] = [
        Condition::Planter,
        Condition::Plate,
        Condition::Cells,
        Condition::Carry,
        Condition::Seed,
        Condition::Vacuum,
        Condition::Tyres,
        Condition::Soil,
    ];

    /// Its key.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Condition::Planter => "planter",
            Condition::Plate => "plate",
            Condition::Cells => "plate-cells",
            Condition::Carry => "plate-carry",
            Condition::Seed => "seed",
            Condition::Vacuum => "vacuum",
            Condition::Tyres => "tyres",
            Condition::Soil => "soil",
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Condition::Plate => "seed plate",
            Condition::Cells => "cells of the plate",
            Condition::Carry => "carry of the plate",
            other => other.key(),
        }
    }

    /// Whether words of the sheet's own stand for it, and no number.
    #[must_use]
    pub fn is_label(self) -> bool {
        !matches!(self, Condition::Cells | Condition::Carry)
    }
}
