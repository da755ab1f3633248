//! The operating point: the speed, seed spacing, alley and boost that a calibration holds for.

use crate::quantity::{Decimal, Length, Measure, MeasureUnit, Speed};

use crate::calculations::changeover::Boost;
use crate::calculations::spacing::{Target, target_spacing};
use crate::quantity::{SAME, same};
use crate::working::Units;

/// Two speeds count as one when they are within this share of each other. Common practice, no
/// source.
pub const SAME_SPEED: f64 = 0.05;
/// Two seed spacings count as one within this share: a population is the same as the spacing it
/// was worked out to on paper, to three digits.
const SAME_SPACING: f64 = 0.005;

/// What a calibration holds for; what is not known is not there.
#[derive(Clone, Debug, Default)]
pub struct OperatingPoint {
    /// Ground speed.
    pub speed: Option<Speed>,
    /// How far apart seeds stand.
    pub seeds: Option<Target>,
    /// The alley that is wanted.
    pub alley: Option<Length>,
    /// How fast each boost turns the plate, in the order of the actions; none where that is not known.
    pub boost: Vec<Boost>,
}

/// One of the four.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Ground speed.
    Speed,
    /// Seed spacing.
    Seeds,
    /// Alley.
    Alley,
    /// Boost.
    Boost,
}

/// Whether two speeds, in one unit, count as one.
#[must_use]
pub fn same_speed_as(one: f64, other: f64) -> bool {
    same(one, other, SAME_SPEED)
}

impl Part {
    /// All four.
    pub const ALL: &'static [Part] = &[Part::Speed, Part::Seeds, Part::Alley, Part::Boost];
}

/// What the planter has that it takes to compare two operating points.
#[derive(Clone, Debug, Default)]
pub struct Planter {
    /// Row spacing, to turn a population into a seed spacing.
    pub row_spacing: Option<Length>,
    /// Cells of the plate, to turn plate turns into cells.
    pub cells: Option<Decimal>,
}

impl OperatingPoint {
    /// The same, with what is not known taken from another.
    #[must_use]
    pub fn or(self, other: &OperatingPoint) -> OperatingPoint {
        OperatingPoint {
            speed: self.speed.or_else(|| other.speed.clone()),
            seeds: self.seeds.or_else(|| other.seeds.clone()),
            alley: self.alley.or_else(|| other.alley.clone()),
            boost: if self.boost.is_empty() { other.boost.clone() } else { self.boost },
        }
    }

    /// The word for one of its parts: what was typed was a population or a seed spacing.
    ///
    /// ```
    /// use alleytrue::record::operating_point::{OperatingPoint, Part};
    /// use alleytrue::calculations::spacing::Target;
    /// use alleytrue::quantity::SeedRate;
    /// let target = SeedRate::parse("139000 /ac").ok().map(Target::Population);
    /// let point = OperatingPoint { seeds: target, ..OperatingPoint::default() };
    /// assert_eq!(point.word(Part::Seeds), "population");
    /// ```
    #[must_use]
    pub fn word(&self, part: Part) -> &'static str {
        match (part, &self.seeds) {
            (Part::Speed, _) => "speed",
            (Part::Seeds, Some(Target::Population(_))) => "population",
            (Part::Seeds, _) => "seed spacing",
            (Part::Alley, _) => "alley",
            (Part::Boost, _) => "boost",
        }
    }

    /// The text of one of its parts, as typed.
    #[must_use]
    pub fn text(&self, part: Part) -> Option<String> {
        match part {
            Part::Speed => self.speed.as_ref().map(ToString::to_string),
            Part::Seeds => self.seeds.as_ref().map(|target| match target {
                Target::Population(rate) => rate.to_string(),
                Target::Spacing(length) => length.to_string(),
            }),
            Part::Alley => self.alley.as_ref().map(ToString::to_string),
            Part::Boost => {
                let all: Vec<String> = self.boost.iter().map(ToString::to_string).collect();
                (!all.is_empty()).then(|| all.join(", "))
            }
        }
    }

    /// Whether one of the parts is not the same in both; where either does not know it, nothing
    /// is said against it.
    ///
    /// ```
    /// use alleytrue::record::operating_point::{OperatingPoint, Part, Planter};
    /// use alleytrue::quantity::Speed;
    /// let at = |speed| OperatingPoint {
    ///     speed: Speed::parse(speed, None).ok(),
    ///     ..OperatingPoint::default()
    /// };
    /// // 3.0 / 2.8 = 1.071: more than a twentieth apart.
    /// assert!(at("2.8 mph").differs(&at("3 mph"), Part::Speed, &Planter::default()));
    /// // 2.9 / 2.8 = 1.036.
    /// assert!(!at("2.8 mph").differs(&at("2.9 mph"), Part::Speed, &Planter::default()));
    /// ```
    #[must_use]
    pub fn differs(&self, other: &OperatingPoint, part: Part, planter: &Planter) -> bool {
        match part {
            Part::Speed => apart(base(&self.speed), || base(&other.speed), SAME_SPEED),
            Part::Seeds => apart(self.spacing(planter), || other.spacing(planter), SAME_SPACING),
            Part::Alley => apart(base(&self.alley), || base(&other.alley), SAME),
            Part::Boost => {
                let (one, two) = (self.cells(planter), other.cells(planter));
                let known = !one.is_empty() && !two.is_empty();
                let mut pairs = one.iter().zip(&two);
                known
                    && (one.len() != two.len()
                        || pairs.any(|(one, two)| apart(*one, || *two, SAME)))
            }
        }
    }

    fn spacing(&self, planter: &Planter) -> Option<f64> {
        let units = Units::METRIC;
        let target = self.seeds.as_ref()?;
        if let Target::Spacing(length) = target {
            return Some(length.value_in(units.length));
        }
        let rows = units.length("row spacing", planter.row_spacing.as_ref()?);
        Some(target_spacing(target, &rows, &units).number())
    }

    fn cells(&self, planter: &Planter) -> Vec<Option<f64>> {
        let of = |boost: &Boost| match boost {
            Boost::Cells(rate) => Some(rate.base()),
            Boost::Turns(rate) => Some(rate.base() * planter.cells?.value()),
        };
        self.boost.iter().map(of).collect()
    }
}

fn base<U: MeasureUnit>(measure: &Option<Measure<U>>) -> Option<f64> {
    measure.as_ref().map(Measure::base)
}

/// Whether the two are further apart than a share; the other is asked only where the one is known.
fn apart(one: Option<f64>, other: impl FnOnce() -> Option<f64>, share: f64) -> bool {
    one.is_some_and(|one| other().is_some_and(|other| !same(one, other, share)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{CellRate, PerTime, SeedRate};

    fn planter() -> Planter {
        Planter { row_spacing: Length::parse("30 in", None).ok(), cells: Some(Decimal::whole(40)) }
    }

    fn seeds(target: Target) -> OperatingPoint {
        OperatingPoint { seeds: Some(target), ..OperatingPoint::default() }
    }

    #[test]
    fn a_population_is_the_spacing_it_gives() {
        // 6272640 sq in to the acre / 30 in / 139000 = 1.504 in.
        let rate = seeds(Target::Population(SeedRate::parse("139000 /ac").expect("a rate")));
        let spacing = |text| seeds(Target::Spacing(Length::parse(text, None).expect("a length")));
        assert!(!rate.differs(&spacing("1.504 in"), Part::Seeds, &planter()));
        assert!(rate.differs(&spacing("1.6 in"), Part::Seeds, &planter()));
        assert!(!rate.differs(&spacing("1.6 in"), Part::Seeds, &Planter::default()), "unknown");
    }

    #[test]
    fn plate_turns_are_cells() {
        let boost = |boost| OperatingPoint { boost: vec![boost], ..OperatingPoint::default() };
        let turns = boost(Boost::Turns(PerTime::parse("1 turns/s", None).expect("a rate")));
        let cells = |text| boost(Boost::Cells(CellRate::parse(text, None).expect("a rate")));
        assert!(!turns.differs(&cells("40 cells/s"), Part::Boost, &planter())); // 1 turn of 40
        assert!(turns.differs(&cells("38 cells/s"), Part::Boost, &planter()));
    }

    /// 2.1 / 2 - 1 is 0.05000000000000004 in binary.
    #[test]
    fn a_speed_just_a_twentieth_off_is_the_same_speed() {
        assert!(same_speed_as(2.1, 2.0) && same_speed_as(1.9, 2.0));
        assert!(!same_speed_as(2.11, 2.0) && !same_speed_as(1.89, 2.0));
    }

    #[test]
    fn writing_makes_no_difference_to_an_alley() {
        let alley = |text| OperatingPoint {
            alley: Length::parse(text, None).ok(),
            ..OperatingPoint::default()
        };
        assert!(!alley("2 ft 6 in").differs(&alley("30 in"), Part::Alley, &planter()));
        assert!(alley("30 in").differs(&alley("36 in"), Part::Alley, &planter()));
    }
}
