//! The units a sheet is worked in.

use crate::quantity::{
    AreaUnit, Length, LengthUnit, MeasureUnit, OfSystem, Speed, SpeedUnit, System, TimeUnit, Unit,
};
use crate::working::Value;

/// The units that results are worked and printed in: those the crew's tape and gauges show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Units {
    /// Unit of every length in a calculation.
    pub length: LengthUnit,
    /// Unit that speeds are printed in.
    pub speed: SpeedUnit,
    /// Ground area that a population is given for.
    pub area: AreaUnit,
}

impl Units {
    /// Inches, miles per hour, acres.
    pub const US: Units =
        Units { length: LengthUnit::Inch, speed: SpeedUnit::MilePerHour, area: AreaUnit::Acre };
    /// Centimetres, kilometres per hour, hectares.
    pub const METRIC: Units = Units {
        length: LengthUnit::Centimetre,
        speed: SpeedUnit::KilometrePerHour,
        area: AreaUnit::Hectare,
    };

    /// Whether lengths are metric.
    #[must_use]
    pub fn is_metric(&self) -> bool {
        self.length.in_system(System::Metric) == self.length
    }

    /// The units of a system.
    #[must_use]
    pub fn of(system: System) -> Units {
        match system {
            System::Metric => Units::METRIC,
            System::Us => Units::US,
        }
    }

    /// A length of the sheet in the working unit, under a name.
    #[must_use]
    pub fn length(
        &self,
        name: impl Into<std::borrow::Cow<'static, str>>,
        length: &Length,
    ) -> Value {
        Value::measured(name, length, self.length.compound())
    }

    /// Tape readings in the working unit.
    #[must_use]
    pub fn readings(&self, lengths: &[Length]) -> Vec<Value> {
        lengths.iter().map(|length| Value::reading(length, self.length.compound())).collect()
    }

    /// A speed of the sheet in working lengths per second, under a name.
    #[must_use]
    pub fn speed(&self, name: &'static str, speed: &Speed) -> Value {
        Value::measured(name, speed, self.length_per_second())
    }

    /// The unit of the speed gauge, for arithmetic.
    #[must_use]
    pub fn speed_unit(&self) -> Unit {
        self.speed.compound()
    }

    /// Working lengths per second.
    #[must_use]
    pub fn length_per_second(&self) -> Unit {
        Unit::speed(self.length, TimeUnit::Second)
    }

    /// A speed as the sheet's gauges show it.
    #[must_use]
    pub fn gauge(&self, speed: &Value) -> Value {
        speed.in_unit(self.speed.compound())
    }
}
