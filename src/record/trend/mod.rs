//! Over the years: what sheets of one planter found out, one after the other.
//!
//! Trip scale, travel per turn, skid, misses row by row, and the setback at one speed, each as its sheet
//! has it, on the day of its last run. An individuals chart says which of them is beyond what is usual
//! from one sheet to the next, a weighted moving average finds a slow drift, and a straight line says
//! by how much it goes in a year and when it leaves its tolerance.

mod followed;
mod sheets;

use chrono::NaiveDate;

use crate::outcome::cautions::MANUAL_FIRST;
use crate::outcome::wording::{in_words, with_unit};
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, Table};
use crate::statistics::Confidence;
use crate::working::Value;

use followed::{Followed, differs, label};
use sheets::{Kind, Point, points};

pub use sheets::Sheet;

/// This look at sheets.
pub const CALCULATION: Calculation = Calculation { key: "trend", title: "Over the years" };

/// What is asked of the sheets.
pub struct Asked<'a> {
    /// The sheets.
    pub sheets: &'a [Sheet],
    /// Sheets that could not be used, with the reason.
    pub unusable: Vec<(String, String)>,
    /// The planter that is asked for; without it the one that most sheets have.
    pub planter: Option<&'a str>,
    /// How sure the slopes are to be.
    pub confidence: Confidence,
    /// The day that it is.
    pub today: &'a str,
}

/// A sheet, or something of it, that is not in the charts.
struct LeftOut {
    sheet: String,
    what: String,
    why: String,
}

/// Everything that two sheets or more of one planter have.
#[must_use]
pub fn trend(asked: &Asked<'_>) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![&MANUAL_FIRST];
    let unusable = asked.unusable.iter();
    let mut left_out: Vec<LeftOut> =
        unusable.map(|(sheet, why)| whole(sheet.clone(), why.clone())).collect();
    let (own, others) = of_one_planter(asked);
    left_out.extend(others);
    let mut all: Vec<Point> = vec![];
    for sheet in own {
        let (found, undated) = points(sheet);
        if found.is_empty() && undated.is_empty() {
            left_out.push(whole(sheet.name.clone(), "nothing of it was measured".into()));
        }
        let undated = undated.into_iter().map(|kind| LeftOut {
            sheet: sheet.name.clone(),
            what: kind.name(),
            why: "its runs have no date".into(),
        });
        left_out.extend(undated);
        all.extend(found);
    }
    let followed = follow(all, asked.confidence, &mut left_out);
    for one in &followed {
        show(one, &mut outcome);
    }
    outcome.tables.push(summary(&followed));
    outcome.tables.push(each(&followed));
    if !left_out.is_empty() {
        outcome.tables.push(not_in_it(&left_out));
    }
    outcome.next = match followed.is_empty() {
        true => {
            Some(Next::only(CALCULATION, "nothing was measured in two sheets of one planter yet"))
        }
        false => next(&followed, asked.today),
    };
    outcome
}

fn whole(sheet: String, why: String) -> LeftOut {
    LeftOut { sheet, what: "all of it".into(), why }
}

/// The sheets of the planter that is meant, and the others.
fn of_one_planter<'a>(asked: &Asked<'a>) -> (Vec<&'a Sheet>, Vec<LeftOut>) {
    let Some(meant) = meant(asked.sheets, asked.planter) else {
        return (asked.sheets.iter().collect(), vec![]);
    };
    let is_it = |sheet: &&Sheet| sheet.planter.as_deref() == Some(meant.as_str());
    let serial = asked.sheets.iter().filter(is_it).find_map(|sheet| sheet.serial.clone());
    let (mut own, mut others) = (vec![], vec![]);
    for sheet in asked.sheets {
        let why = match (&sheet.planter, &sheet.serial, &serial) {
            (None, _, _) => "it does not say its planter".to_owned(),
            (Some(planter), _, _) if *planter != meant => format!("its planter is {planter}"),
            (_, Some(one), Some(other)) if one != other => {
                format!("its planter has the serial {one}")
            }
            _ => {
                own.push(sheet);
                continue;
            }
        };
        others.push(whole(sheet.name.clone(), why));
    }
    (own, others)
}

/// The planter that is asked for, else that of most sheets; nothing where none says one.
#[must_use]
pub fn meant(sheets: &[Sheet], asked: Option<&str>) -> Option<String> {
    asked.map(str::to_owned).or_else(|| most(sheets))
}

/// The planter of most sheets, of several the first.
fn most(sheets: &[Sheet]) -> Option<String> {
    let mut counts: Vec<(&str, usize)> = vec![];
    for planter in sheets.iter().filter_map(|sheet| sheet.planter.as_deref()) {
        match counts.iter_mut().find(|(name, _)| *name == planter) {
            Some((_, count)) => *count += 1,
            None => counts.push((planter, 1)),
        }
    }
    let most = counts.iter().map(|(_, count)| *count).max()?;
    counts.into_iter().find(|(_, count)| *count == most).map(|(name, _)| name.to_owned())
}

/// The numbers kind by kind, in the order in which the newest sheet works.
fn follow(all: Vec<Point>, confidence: Confidence, left_out: &mut Vec<LeftOut>) -> Vec<Followed> {
    let mut kinds: Vec<Kind> = vec![];
    for point in &all {
        if !kinds.contains(&point.kind) {
            kinds.push(point.kind);
        }
    }
    kinds.sort_by_key(|kind| match kind {
        Kind::TripScale => (0, 0),
        Kind::Travel => (1, 0),
        Kind::Skid => (2, 0),
        Kind::Setback => (3, 0),
        Kind::Misses(row) => (4, row.unwrap_or(0)),
    });
    let mut by_kind: Vec<Vec<Point>> = kinds.iter().map(|_| vec![]).collect();
    for point in all {
        if let Some(place) = kinds.iter().position(|kind| *kind == point.kind) {
            by_kind[place].push(point);
        }
    }
    let mut followed = vec![];
    for (kind, mut points) in kinds.into_iter().zip(by_kind) {
        points.sort_by(|one, other| (one.day, &one.sheet).cmp(&(other.day, &other.sheet)));
        let Some(newest) = points.last().map(|point| point.same.clone()) else { continue };
        points.retain(|point| {
            let why = differs(&point.same, &newest);
            if let Some(why) = &why {
                let (sheet, what) = (point.sheet.clone(), kind.name());
                left_out.push(LeftOut { sheet, what, why: why.clone() });
            }
            why.is_none()
        });
        let lone = match points.as_slice() {
            [only] => Some(only.sheet.clone()),
            _ => None,
        };
        if let Some(sheet) = lone {
            let why = "no other sheet has it".into();
            left_out.push(LeftOut { sheet, what: kind.name(), why });
            continue;
        }
        followed.extend(Followed::of(kind, points, confidence));
    }
    followed
}

fn show(one: &Followed, outcome: &mut Outcome) {
    outcome.values.extend([one.chart.low.clone(), one.chart.high.clone()]);
    outcome.values.push(one.chart.high_range.clone());
    if let Some(last) = one.averages.last() {
        outcome.values.extend([last.average.clone(), last.low.clone(), last.high.clone()]);
    }
    if let (Some(line), Some(slope)) = (&one.line, &one.slope) {
        outcome.values.extend([line.slope.clone(), slope.low.clone(), slope.high.clone()]);
    }
    outcome.values.extend(one.leaves.iter().chain(&one.earliest).cloned());
    outcome.pictures.extend(one.picture());
}

fn summary(followed: &[Followed]) -> Table {
    let columns = [
        ("number", "number", ""),
        ("sheets", "sheets", ""),
        ("mean", "mean", ""),
        ("slope_a_year", "slope", "a year"),
        ("half_width", "+/-", ""),
        ("earliest", "again by", ""),
        ("leaves", "leaves", ""),
        ("outside", "out", ""),
        ("low_limit", "low", "limit"),
        ("high_limit", "high", "limit"),
        ("tolerance", "may be", ""),
        ("unit", "unit", ""),
    ];
    let number = |one: &Followed, value: Option<&Value>| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), one.places()))
    };
    let day = |day: Option<NaiveDate>| day.map_or(Cell::Empty, |day| Cell::Text(day.to_string()));
    let count = |count: usize| u32::try_from(count).map_or(Cell::Empty, Cell::Count);
    let row = |one: &Followed| {
        let outside = (0..one.values.len()).filter(|place| one.is_outside(*place)).count();
        let slope = one.slope.as_ref();
        vec![
            Cell::Text(one.kind.name()),
            count(one.values.len()),
            number(one, Some(&one.chart.centre)),
            number(one, one.line.as_ref().map(|line| &line.slope)),
            number(one, slope.map(|slope| &slope.half_width)),
            day(one.day_after(one.earliest.as_ref())),
            day(one.day_after(one.leaves.as_ref())),
            count(outside),
            one.low_limit().map_or(Cell::Empty, |low| Cell::Number(low, one.places())),
            number(one, Some(&one.chart.high)),
            number(one, one.tolerance.as_ref()),
            Cell::Text(one.chart.centre.unit_text().into_owned()),
        ]
    };
    Table {
        key: "trend",
        title: "Over the years: slopes, when to measure again, limits of single numbers".into(),
        columns: columns.map(|(key, head, unit)| Column::new(key, head, unit)).to_vec(),
        rows: followed.iter().map(row).collect(),
    }
}

fn each(followed: &[Followed]) -> Table {
    let columns = [
        ("number", "number", ""),
        ("day", "day", ""),
        ("value", "value", ""),
        ("moving_range", "range", ""),
        ("weighted_average", "average", ""),
        ("average_low", "low", "limit"),
        ("average_high", "high", "limit"),
        ("outside", "outside", ""),
        ("sheet", "sheet", ""),
    ];
    let number = |one: &Followed, value: Option<&Value>| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), one.places()))
    };
    let mut rows = vec![];
    for one in followed {
        for (place, (point, value)) in one.points.iter().zip(&one.values).enumerate() {
            let range = place.checked_sub(1).and_then(|place| one.chart.ranges.get(place));
            let average = one.averages.get(place);
            let single = one.chart.is_outside(value);
            let word = match (single, one.is_outside(place)) {
                (true, _) => "single",
                (false, true) => "average",
                _ => "",
            };
            rows.push(vec![
                Cell::Text(one.kind.name()),
                Cell::Text(point.day.to_string()),
                number(one, Some(value)),
                number(one, range),
                number(one, average.map(|one| &one.average)),
                number(one, average.map(|one| &one.low)),
                number(one, average.map(|one| &one.high)),
                Cell::Text(word.into()),
                Cell::Text(point.sheet.clone()),
            ]);
        }
    }
    Table {
        key: "trend-points",
        title: "Sheet by sheet, with the weighted moving average".into(),
        columns: columns.map(|(key, head, unit)| Column::new(key, head, unit)).to_vec(),
        rows,
    }
}

fn not_in_it(left_out: &[LeftOut]) -> Table {
    let row = |one: &LeftOut| {
        [&one.sheet, &one.what, &one.why].map(|text| Cell::Text(text.clone())).to_vec()
    };
    Table {
        key: "trend-left-out",
        title: "Not in it".into(),
        columns: vec![
            Column::new("sheet", "sheet", ""),
            Column::new("what", "what", ""),
            Column::new("why", "why", ""),
        ],
        rows: left_out.iter().map(row).collect(),
    }
}

/// What stands outside its limits and does not drift first; else what leaves its tolerance first.
fn next(followed: &[Followed], today: &str) -> Option<Next> {
    let stands_out = |one: &&Followed| !one.drifts() && one.is_outside(one.values.len() - 1);
    if let Some(one) = followed.iter().find(stands_out) {
        let last = one.points.last()?;
        let value = one.values.last()?;
        let words = format!(
            "{} of {} ({}) lies outside what is usual from sheet to sheet: find out what was different \
             (tyres, sensor, soil, seed, a repair) before it is set, or measure it again",
            one.kind.name(),
            label(last, &one.points),
            with_unit(value)
        );
        return Some(Next::about(CALCULATION, value, words));
    }
    let first = followed
        .iter()
        .filter_map(|one| Some((one.day_after(one.earliest.as_ref())?, one)))
        .min_by_key(|(day, _)| *day);
    let (day, one) = first?;
    let name = one.kind.name();
    let told = match (one.drifts(), one.day_after(one.leaves.as_ref()), &one.line) {
        (true, Some(leaves), Some(line)) => format!(
            "it goes by {} a year and leaves its tolerance on {leaves}, at the earliest on {day}",
            in_words(&line.slope)
        ),
        _ => format!(
            "no slope is told apart, and by the steepest that may be it leaves its tolerance on {day}"
        ),
    };
    let words = match today.parse::<NaiveDate>() {
        Ok(today) if day <= today => format!("measure the {name} again now: {told}"),
        _ => format!("measure the {name} again before {day}: {told}"),
    };
    Some(Next::only(CALCULATION, words))
}
