//! Seeds of a row, seeds for plants, and the mass of seeds.

use crate::quantity::{MassUnit, Share, Unit};
use crate::working::Value;

use super::inputs::SeedWeight;

pub(super) fn gram() -> Unit {
    Unit::from(MassUnit::Gram)
}

fn thousand() -> Value {
    Value::constant(1000.0)
}

/// Seeds of a row from the first to the last: L / s + 1, since both ends hold one.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | L | plot, first seed to last | length |
/// | s | seed spacing | length |
///
/// Source: counting; five seeds have four spacings between them. The changeover's model gives
/// the same: a plot runs from the first to the last cell that holds its seed.
///
/// ```
/// use alleytrue::calculations::packets::seeds_in_row;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// let plot = Units::US.length("plot", &Length::parse("6 in", None)?);
/// let spacing = Units::US.length("seed spacing", &Length::parse("1.5 in", None)?);
/// assert_eq!(seeds_in_row(&plot, &spacing).number(), 5.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn seeds_in_row(plot: &Value, spacing: &Value) -> Value {
    plot / spacing + Value::constant(1.0)
}

/// Seeds to plant for plants wanted: stand / (germination x emergence).
///
/// ```
/// use alleytrue::calculations::packets::seeds_for_plants;
/// use alleytrue::working::Value;
/// // University of Nebraska CropWatch 2016: 100,000 / (0.95 x 0.85) = 123,839 seeds/ac.
/// let [stand, germination, emergence] = [100_000.0, 0.95, 0.85].map(Value::constant);
/// assert_eq!(seeds_for_plants(&stand, &germination, &emergence).number().round(), 123_839.0);
/// ```
#[must_use]
pub fn seeds_for_plants(stand: &Value, germination: &Value, emergence: &Value) -> Value {
    stand / (germination * emergence)
}

/// Mass of seeds: number x thousand-seed weight / 1000.
///
/// ```
/// use alleytrue::calculations::packets::mass_of;
/// use alleytrue::quantity::{MassUnit, Unit};
/// use alleytrue::working::Value;
/// // Teagasc, spring cereals: 280 plants/m2 of 50.9 g a thousand at 85 % take 168 kg/ha,
/// // which is 16.8 g/m2.
/// let seeds = Value::constant(280.0) / Value::constant(0.85);
/// let weight = Value::exact("thousand-seed weight", 50.9, Unit::from(MassUnit::Gram));
/// assert!((mass_of(&seeds, &weight).number() - 16.8).abs() < 0.05);
/// ```
#[must_use]
pub fn mass_of(seeds: &Value, thousand_seeds: &Value) -> Value {
    seeds * thousand_seeds / thousand()
}

/// Seeds in a mass: mass x 1000 / thousand-seed weight, the way back from [`mass_of`].
///
/// ```
/// use alleytrue::calculations::packets::{mass_of, seeds_in};
/// use alleytrue::quantity::{MassUnit, Unit};
/// use alleytrue::working::Value;
/// let weight = Value::exact("thousand-seed weight", 180.0, Unit::from(MassUnit::Gram));
/// let mass = mass_of(&Value::constant(700.0), &weight);
/// assert_eq!(mass.number(), 126.0);
/// assert_eq!(seeds_in(&mass, &weight).number(), 700.0);
/// ```
#[must_use]
pub fn seeds_in(mass: &Value, thousand_seeds: &Value) -> Value {
    mass * thousand() / thousand_seeds
}

/// Mass of a thousand seeds, as given or as 1000 / seeds in a gram.
pub(super) fn thousand_seeds(of: &str, weight: &SeedWeight) -> Value {
    let name = format!("{of}thousand-seed weight");
    match weight {
        SeedWeight::Thousand(mass) => Value::measured(name, mass, gram()),
        SeedWeight::Count(count) => {
            let seeds = Value::measured(format!("{of}seeds in a gram"), count, gram().to_the(-1));
            (thousand() / seeds.counting("seeds")).named(name)
        }
    }
}

pub(super) fn share(name: impl Into<std::borrow::Cow<'static, str>>, share: &Share) -> Value {
    Value::measured(name, share, Unit::ONE)
}
