//! Metric units and those of the United States: which unit of the one stands for which of the other.

use super::{AreaUnit, LengthUnit, MassUnit, MeasureUnit, PerMassUnit, RowUnit, SpeedUnit};

/// A system of units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    /// Metres, kilometres an hour, hectares, kilograms.
    Metric,
    /// Feet and inches, miles an hour, acres, pounds.
    Us,
}

/// Units of a dimension that both systems have. Balances show grams in either.
pub trait OfSystem: MeasureUnit {
    /// The unit that stands for this one in a system; itself where it belongs to that already.
    #[must_use]
    fn in_system(self, system: System) -> Self;
}

impl OfSystem for LengthUnit {
    fn in_system(self, system: System) -> LengthUnit {
        use LengthUnit as L;
        match (system, self) {
            (System::Metric, L::Inch) => L::Centimetre,
            (System::Metric, L::Foot | L::Yard) => L::Metre,
            (System::Metric, L::Mile) => L::Kilometre,
            (System::Us, L::Millimetre | L::Centimetre) => L::Inch,
            (System::Us, L::Metre) => L::Foot,
            (System::Us, L::Kilometre) => L::Mile,
            (_, same) => same,
        }
    }
}

impl OfSystem for SpeedUnit {
    fn in_system(self, system: System) -> SpeedUnit {
        use SpeedUnit as S;
        match (system, self) {
            (System::Metric, S::MilePerHour) => S::KilometrePerHour,
            (System::Metric, S::FootPerSecond | S::FootPerMinute) => S::MetrePerSecond,
            (System::Us, S::KilometrePerHour) => S::MilePerHour,
            (System::Us, S::MetrePerSecond) => S::FootPerSecond,
            (_, same) => same,
        }
    }
}

impl OfSystem for AreaUnit {
    fn in_system(self, system: System) -> AreaUnit {
        match (system, self) {
            (System::Metric, AreaUnit::Acre) => AreaUnit::Hectare,
            (System::Metric, AreaUnit::SquareFoot) => AreaUnit::SquareMetre,
            (System::Us, AreaUnit::Hectare) => AreaUnit::Acre,
            (System::Us, AreaUnit::SquareMetre) => AreaUnit::SquareFoot,
            (_, same) => same,
        }
    }
}

impl OfSystem for RowUnit {
    fn in_system(self, system: System) -> RowUnit {
        match system {
            System::Metric => RowUnit::PerMetre,
            System::Us => RowUnit::PerFoot,
        }
    }
}

impl OfSystem for MassUnit {
    fn in_system(self, system: System) -> MassUnit {
        match (system, self) {
            (System::Metric, MassUnit::Pound) => MassUnit::Kilogram,
            (System::Metric, MassUnit::Ounce) => MassUnit::Gram,
            (System::Us, MassUnit::Kilogram) => MassUnit::Pound,
            (_, same) => same,
        }
    }
}

impl OfSystem for PerMassUnit {
    fn in_system(self, system: System) -> PerMassUnit {
        match system {
            System::Metric => PerMassUnit::PerKilogram,
            System::Us => PerMassUnit::PerPound,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_a_system_stay_in_it() {
        fn stay<U: OfSystem>() {
            for unit in U::ALL {
                for system in [System::Metric, System::Us] {
                    let turned = unit.in_system(system);
                    assert_eq!(turned.in_system(system), turned);
                }
            }
        }
        stay::<LengthUnit>();
        stay::<SpeedUnit>();
        stay::<AreaUnit>();
        stay::<RowUnit>();
        stay::<MassUnit>();
        stay::<PerMassUnit>();
    }
}
