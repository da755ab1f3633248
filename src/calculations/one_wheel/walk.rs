//! The days in their order, each held against those before it whose counts per turn are one with it.

use crate::calculations::common::Common;
use crate::calculations::judgement::{Stands, stands};
use crate::outcome::{Cell, Column, Table};
use crate::working::Value;

use super::days::{Found, Scatter};
use super::formulas::moved;
use super::unsure::{Part, and, half_width, of_mean, of_one_day};

/// What the readings of both kinds scatter by, and what may stand.
pub(super) struct Sure<'a> {
    pub(super) common: &'a Common,
    pub(super) trips: Option<Scatter>,
    pub(super) turns: Option<Scatter>,
    /// The share of a trip spacing that may stand, in per cent.
    pub(super) tolerance: Option<Value>,
}

/// How one day stands to those before.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    /// It has not both numbers.
    One,
    /// None before it has both.
    First,
    Stands,
    Moved,
    Open,
}

/// Counts per turn of a day against those before.
pub(super) struct Step {
    pub(super) how: How,
    pub(super) moved: Option<Value>,
    pub(super) half: Option<Value>,
}

/// The days with their steps, and those that the present counts per turn rest on.
pub(super) struct Walk<'a> {
    pub(super) days: &'a [Found],
    pub(super) steps: Vec<Step>,
    /// The days of one count that were there before the last day.
    pub(super) before: Vec<&'a Found>,
}

impl Sure<'_> {
    fn parts(&self, trips: Option<Value>, turns: Option<Value>) -> Vec<Part<'_>> {
        vec![
            Part { scatter: self.trips.as_ref(), share: trips },
            Part { scatter: self.turns.as_ref(), share: turns },
        ]
    }

    /// The half width of a share that rests on so many trip readings and counts of turns.
    pub(super) fn half(
        &self,
        name: &str,
        trips: Option<Value>,
        turns: Option<Value>,
    ) -> Option<Value> {
        let nothing = trips.is_none() && turns.is_none();
        let parts = self.parts(trips, turns);
        (!nothing).then(|| half_width(name, parts, self.common.confidence)).flatten()
    }

    /// Where a share stands; without a tolerance it is off where it is told apart from nothing.
    pub(super) fn stands(
        &self,
        share: &Value,
        half: Option<&Value>,
        limit: Option<&Value>,
    ) -> Stands {
        let Some(half) = half else { return Stands::Unsure };
        let (share, half) = (share.number().abs(), half.number());
        match limit {
            Some(limit) => stands(share, half, limit.number()),
            None if share > half => Stands::Off,
            None => Stands::Inside,
        }
    }
}

/// The mean of a number over days.
pub(super) fn mean_of(
    name: &str,
    days: &[&Found],
    number: impl Fn(&Found) -> Option<Value>,
) -> Option<Value> {
    let all: Vec<Value> = days.iter().filter_map(|day| number(day)).collect();
    match all.as_slice() {
        [] => None,
        [only] => Some(only.clone()),
        _ => {
            let count = crate::calculations::readings::count(all.len());
            Some((Value::sum(name.to_owned(), all) / count).named(format!("mean {name}")))
        }
    }
}

/// What the day's two kinds of readings and those of the days before add up to.
fn shares(day: &Found, before: &[&Found]) -> (Option<Value>, Option<Value>) {
    (
        and(of_one_day(day.trips), of_mean(before, |day| day.trips)),
        and(of_one_day(day.turns), of_mean(before, |day| day.turns)),
    )
}

impl<'a> Walk<'a> {
    /// A day whose counts per turn moved begins a new row of days: what it is held against later is
    /// what was there from it on.
    pub(super) fn of(days: &'a [Found], sure: &Sure<'_>) -> Walk<'a> {
        let mut steps = vec![];
        let mut one: Vec<&Found> = vec![];
        let mut before = vec![];
        for day in days {
            before.clone_from(&one);
            let Some(counts) = &day.counts else {
                steps.push(Step { how: How::One, moved: None, half: None });
                continue;
            };
            let earlier = mean_of(&format!("counts per turn before {}", day.name), &one, |day| {
                day.counts.clone()
            });
            let Some(earlier) = earlier else {
                steps.push(Step { how: How::First, moved: None, half: None });
                one.push(day);
                continue;
            };
            let name = format!("counts per turn moved, {}", day.name);
            let share = moved(counts, &earlier).named(name.clone());
            let (trips, turns) = shares(day, &one);
            let half = sure.half(&name, trips, turns);
            let how = match sure.stands(&share, half.as_ref(), sure.tolerance.as_ref()) {
                Stands::Inside => How::Stands,
                Stands::Off => How::Moved,
                Stands::Unsure => How::Open,
            };
            if how == How::Moved {
                one.clear();
            }
            one.push(day);
            steps.push(Step { how, moved: Some(share), half });
        }
        Walk { days, steps, before }
    }

    /// Both numbers day by day.
    pub(super) fn table(&self, unit: &str) -> Table {
        let columns = vec![
            Column::new("day", "day", ""),
            Column::new("trip_readings", "trips", ""),
            Column::new("trip_scale", "scale", ""),
            Column::new("turn_counts", "drives", ""),
            Column::new(format!("travel_{unit}"), "travel", unit),
            Column::new("counts_per_turn", "per turn", ""),
            Column::new("moved_percent", "moved", "%"),
            Column::new("half_width_percent", "+/-", "%"),
            Column::new("counts", "counts", ""),
        ];
        let number = |value: Option<&Value>, places| {
            value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
        };
        let count = |count: usize| match u32::try_from(count) {
            Ok(count) if count > 0 => Cell::Count(count),
            _ => Cell::Empty,
        };
        let row = |(day, step): (&Found, &Step)| {
            let word = match step.how {
                How::One => "one number",
                How::First => "first",
                How::Stands => "stand",
                How::Moved => "moved",
                How::Open => "open",
            };
            vec![
                Cell::Text(day.name.clone()),
                count(day.trips),
                number(day.scale.as_ref(), 3),
                count(day.turns),
                number(day.travel.as_ref(), 2),
                number(day.counts.as_ref(), 2),
                number(step.moved.as_ref(), 2),
                number(step.half.as_ref(), 2),
                Cell::Text(word.into()),
            ]
        };
        Table {
            key: "one-wheel",
            title: "Trip scale x travel per turn, day by day".into(),
            columns,
            rows: self.days.iter().zip(&self.steps).map(row).collect(),
        }
    }
}
