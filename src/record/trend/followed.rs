//! One number over the years: its charts, its slope, and when it leaves its tolerance.

use chrono::{Days, NaiveDate};

use crate::calculations::trip::ScaleKind;
use crate::outcome::{Curve, CurvePoint, Picture};
use crate::quantity::Unit;
use crate::record::operating_point::same_speed_as;
use crate::statistics::{Confidence, Individuals, Interval, Line, Weighted, weighted_averages};
use crate::working::Value;

use super::sheets::{Kind, Point, Same};

/// Weight of the newest number in the moving average, within the usual 0.2 to 0.3 (NIST/SEMATECH
/// e-Handbook 6.3.2.4).
const WEIGHT: f64 = 0.3;
/// Days of a year in the mean (Julian year).
const YEAR: f64 = 365.25;
/// What lies further off than this many years is no forecast.
const MOST_YEARS: f64 = 50.0;

/// One number over the years.
pub(super) struct Followed {
    pub(super) kind: Kind,
    pub(super) points: Vec<Point>,
    pub(super) values: Vec<Value>,
    pub(super) chart: Individuals,
    pub(super) averages: Vec<Weighted>,
    /// A year, with its interval.
    pub(super) slope: Option<Interval>,
    pub(super) line: Option<Line>,
    pub(super) tolerance: Option<Value>,
    /// Years after the last one until it is out of tolerance by the slope, and by the steepest one that
    /// the interval allows.
    pub(super) leaves: Option<Value>,
    pub(super) earliest: Option<Value>,
}

/// Why a sheet's number is not held against the others.
pub(super) fn differs(one: &Same, newest: &Same) -> Option<String> {
    let round = |kind: &ScaleKind| match kind {
        ScaleKind::CountsPerLength => "counts per length",
        ScaleKind::LengthPerCount => "length per count",
    };
    match (one, newest) {
        (Same::Scale(one), Same::Scale(newest)) if one != newest => {
            Some(format!("{}, and the newest is {}", round(one), round(newest)))
        }
        (Same::Speed(_, way), Same::Speed(_, newest)) if way != newest => {
            Some("raising it moved alleys the other way".into())
        }
        (Same::Speed(Some(one), _), Same::Speed(Some(newest), _))
            if !same_speed_as(one.base(), newest.base()) =>
        {
            Some(format!("at {one}, and the newest is at {newest}"))
        }
        _ => None,
    }
}

impl Followed {
    /// Points of one kind in the order of their days; nothing for fewer than two.
    pub(super) fn of(kind: Kind, points: Vec<Point>, confidence: Confidence) -> Option<Followed> {
        let last = points.last()?;
        let unit = last.unit;
        let name = kind.name();
        let values: Vec<Value> = points
            .iter()
            .map(|point| {
                let of = format!("{name}, {}", label(point, &points));
                Value::found(of, in_unit(point, unit), unit, "the sheet's own result")
            })
            .collect();
        let chart = Individuals::of(&name, &values)?;
        let averages = weighted_averages(&name, &values, &chart.centre, &chart.sd, WEIGHT);
        let first = points.first()?.day;
        let years = |point: &Point| {
            let of = format!("years to {}, {name}", point.day);
            Value::found(of, years_between(first, point.day), Unit::ONE, "days / 365.25")
        };
        let pairs: Vec<(Value, Value)> =
            points.iter().map(years).zip(values.iter().cloned()).collect();
        let line = Line::fit(&format!("years of {name}"), &format!("{name} a year"), &pairs);
        let slope = line.as_ref().and_then(|line| slope_of(line, &name, confidence));
        let tolerance = last.tolerance.map(|number| {
            let of = format!("tolerance, {name}");
            Value::found(of, number, unit, "of the newest sheet")
        });
        let until = |slope: Value, tag: &str| {
            let tolerance = tolerance.as_ref()?;
            (slope.number() > 0.0).then(|| {
                (tolerance / slope).named(format!("years until out of tolerance{tag}, {name}"))
            })
        };
        let (mut leaves, mut earliest) = (None, None);
        if let (Some(found), Some(line)) = (&slope, &line) {
            if line.slope.number().abs() > found.half_width.number() {
                leaves = until(line.slope.magnitude(), "");
            }
            let steepest = (line.slope.magnitude() + &found.half_width)
                .named(format!("steepest slope a year, {name}"));
            earliest = until(steepest, ", at the earliest");
        }
        Some(Followed {
            kind,
            points,
            values,
            chart,
            averages,
            slope,
            line,
            tolerance,
            leaves,
            earliest,
        })
    }

    /// The day that lies so many years after the last one; nothing where that is no forecast.
    pub(super) fn day_after(&self, years: Option<&Value>) -> Option<NaiveDate> {
        let years = years?.number();
        if !(0.0..=MOST_YEARS).contains(&years) {
            return None;
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within fifty years
        let days = (years * YEAR).floor() as u64;
        self.points.last()?.day.checked_add_days(Days::new(days))
    }

    /// Whether it goes up or down by more than its scatter.
    pub(super) fn drifts(&self) -> bool {
        let (Some(slope), Some(line)) = (&self.slope, &self.line) else { return false };
        line.slope.number().abs() > slope.half_width.number()
    }

    /// Decimals that tell one number from the next; a trip scale may be small.
    pub(super) fn places(&self) -> usize {
        let small = self.kind == Kind::TripScale && self.chart.centre.number().abs() < 10.0;
        if small { 5 } else { 2 }
    }

    /// The lower limit of single numbers; a share has none below nothing.
    pub(super) fn low_limit(&self) -> Option<f64> {
        let low = self.chart.low.number();
        (!matches!(self.kind, Kind::Misses(_)) || low > 0.0).then_some(low)
    }

    /// Whether a number stands outside either chart.
    pub(super) fn is_outside(&self, place: usize) -> bool {
        let single = self.values.get(place).is_some_and(|value| self.chart.is_outside(value));
        single || self.averages.get(place).is_some_and(Weighted::is_outside)
    }

    /// The numbers over the years between the limits of single ones.
    pub(super) fn picture(&self) -> Option<Picture> {
        let (first, last) = (self.points.first()?.day, self.points.last()?.day);
        (last > first).then(|| {
            let point = |(point, value): (&Point, &Value)| CurvePoint {
                across: calendar(point.day),
                up: value.number(),
                band: Some((self.low_limit().unwrap_or(0.0), self.chart.high.number())),
            };
            let unit = match self.chart.centre.unit_text().as_ref() {
                "" => "as the controller shows it".to_owned(),
                unit => unit.to_owned(),
            };
            Picture::Curve(Curve {
                title: self.kind.name(),
                across: ("time", "year".into()),
                up: ("by its sheets", unit),
                points: self.points.iter().zip(&self.values).map(point).collect(),
                band_name: "limits of single numbers".into(),
            })
        })
    }
}

fn slope_of(line: &Line, name: &str, confidence: Confidence) -> Option<Interval> {
    let scatter = line.scatter.as_ref()?;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // as many as sheets
    let t = confidence.t(scatter.degrees_of_freedom.number() as u32)?;
    let name = format!("slope a year, {name}");
    Some(Interval::around(&name, &line.slope, scatter.slope_error.clone(), t))
}

/// The day; with the sheet, where several have it.
pub(super) fn label(point: &Point, all: &[Point]) -> String {
    let twice = all.iter().filter(|other| other.day == point.day).count() > 1;
    match twice {
        true => format!("{} {}", point.day, point.sheet),
        false => point.day.to_string(),
    }
}

fn in_unit(point: &Point, unit: Unit) -> f64 {
    let factor = point.unit.factor_to(unit).map_or(1.0, |factor| factor.value());
    point.number * factor
}

#[allow(clippy::cast_precision_loss)] // days of a life
fn years_between(from: NaiveDate, to: NaiveDate) -> f64 {
    (to - from).num_days() as f64 / YEAR
}

/// A day as a year with its fraction.
fn calendar(day: NaiveDate) -> f64 {
    use chrono::Datelike;
    f64::from(day.year()) + f64::from(day.ordinal0()) / YEAR
}
