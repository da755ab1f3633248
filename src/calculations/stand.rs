//! Stand counts: plants on a length of row or in a plot, against what was wanted or planted.

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use std::borrow::Cow;

use crate::quantity::{
    AreaUnit, Decimal, Length, LengthUnit, MeasureUnit, SeedRate, Unit, feet_and_inches,
};
use crate::statistics::{CountInterval, Summary};
use crate::working::Value;

use super::by_row::{Numbers, by_row, of_row, row_cell, say_alike, say_outliers, say_rows_apart};
use super::spacing::{Target, area, population_at};
use crate::outcome::warning::{MORE_PLANTS_THAN_SEEDS, NO_PLANTS, ONE_READING, STAND_BELOW_WANTED};
use crate::outcome::wording::in_words;
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, Table};
use crate::quantity::{at_most, same_but_for_writing};
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "stand", title: "Stand counts" };

/// How many times more plants than seeds a single count may have by chance, where seeds fall in
/// twos. Common practice, no source.
const BY_CHANCE: f64 = 1.5;
/// Parts of an inch that a length to lay off on a tape is given in.
const PARTS_OF_AN_INCH: u32 = 4;

/// Counts over one length of row, or in plots of one length.
#[derive(Clone, Debug)]
pub struct StandCount {
    /// The row, where it was always the same one.
    pub row: Option<u32>,
    /// Length of row that one count goes over.
    pub length: Length,
    /// Rows that one count takes together.
    pub rows: Decimal,
    /// Plants at each place.
    pub plants: Vec<Decimal>,
    /// Lengths of the skips noted on the way.
    pub skips: Vec<Length>,
}

/// What the stand calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The counts; without any there are only the lengths of row to count over.
    pub counts: Vec<StandCount>,
    /// Distance between rows.
    pub row_spacing: Length,
    /// The stand wanted.
    pub wanted: Option<SeedRate>,
    /// The seeds planted.
    pub planted: Option<Target>,
}

impl Inputs {
    /// The units, with the ground area that the stand is wanted or planted for.
    fn units(&self, common: &Common) -> Units {
        let of = |rate: &SeedRate| match rate {
            SeedRate::Area(rate) => Some(rate.unit()),
            SeedRate::Row(_) => None,
        };
        let planted = match &self.planted {
            Some(Target::Population(rate)) => of(rate),
            _ => None,
        };
        let area = self.wanted.as_ref().and_then(of).or(planted);
        Units { area: area.unwrap_or(common.units.area), ..common.units }
    }

    /// Whether every count goes over as much row.
    fn alike(&self) -> bool {
        let Some(first) = self.counts.first() else { return true };
        let row = |one: &StandCount| one.length.base() * one.rows.value();
        self.counts.iter().all(|one| same_but_for_writing(row(one), row(first)))
    }
}

/// The population that one plant counted stands for: area / (row spacing × length × rows).
///
/// ```
/// use alleytrue::calculations::stand::population_of_one;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// use alleytrue::working::Value;
/// // Texas A&M AgriLife (Trostle): 110 plants on 2 rows of 25 ft, 30 in apart: 38,332 plants/ac.
/// let row = Units::US.length("row spacing", &Length::parse("30 in", None)?);
/// let length = Units::US.length("length", &Length::parse("25 ft", None)?);
/// let one = population_of_one(&row, &length, &Value::constant(2.0), &Units::US);
/// assert_eq!((110.0 * one.number()).floor(), 38_332.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn population_of_one(
    row_spacing: &Value,
    length: &Value,
    rows: &Value,
    units: &Units,
) -> Value {
    area(units) / (row_spacing * length * rows)
}

/// A piece of ground to count on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ground {
    /// 1/1000 acre.
    ThousandthAcre,
    /// 1/1000 hectare, 10 m².
    ThousandthHectare,
    /// 1 m².
    SquareMetre,
}

impl Ground {
    /// Every one that lengths are given for.
    pub const ALL: [Ground; 3] =
        [Ground::ThousandthAcre, Ground::ThousandthHectare, Ground::SquareMetre];

    /// How it is printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Ground::ThousandthAcre => "1/1000 ac",
            Ground::ThousandthHectare => "1/1000 ha (10 m2)",
            Ground::SquareMetre => "1 m2",
        }
    }

    /// In square working lengths.
    fn value(self, units: &Units) -> Value {
        let (unit, name, share) = match self {
            Ground::ThousandthAcre => (AreaUnit::Acre, "a thousandth of an acre", 0.001),
            Ground::ThousandthHectare => (AreaUnit::Hectare, "a thousandth of a hectare", 0.001),
            Ground::SquareMetre => (AreaUnit::SquareMetre, "one square metre", 1.0),
        };
        let units = Units { area: unit, ..*units };
        area(&units) * Value::exact(name, share, Unit::per_area(unit).to_the(-1))
    }
}

/// Length of row that lies on a piece of ground: area / row spacing.
///
/// ```
/// use alleytrue::calculations::stand::{Ground, row_length};
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// // University of Tennessee Extension (2011): 17 ft 5 in for rows 30 in apart.
/// let row = Units::US.length("row spacing", &Length::parse("30 in", None)?);
/// let inches = row_length(Ground::ThousandthAcre, &row, &Units::US).number();
/// assert_eq!((inches / 12.0).floor(), 17.0);
/// assert_eq!((inches % 12.0).round(), 5.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn row_length(ground: Ground, row_spacing: &Value, units: &Units) -> Value {
    ground.value(units) / row_spacing
}

/// The stand with its interval, all counts together and row by row.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let page = Page::new(inputs, common);
    let mut outcome = Outcome::new(CALCULATION);
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "count"));
    let mut numbers = Numbers::new(common.left_out(CALCULATION));
    let readings: Vec<(usize, Value)> =
        page.readings().into_iter().map(|value| (numbers.next(), value)).collect();
    let all: Vec<Value> = readings.iter().map(|(_, value)| value.clone()).collect();
    let Some(stand) = page.stand(&all, "") else { return outcome };
    outcome.values.extend(stand.values());
    if stand.population.number() > 0.0 {
        say_alike(&mut outcome, page.subject(), &stand.summary);
    }
    page.against_targets(&stand, &mut outcome);
    page.what_can_not_be(&stand, &mut outcome);
    page.skips(&mut outcome);
    if stand.interval.is_none() {
        let words = "a single count says nothing of its scatter, so there is no interval; plants \
                     of a planter stand more evenly than chance, so none is guessed";
        outcome.warnings.push(ONE_READING.with(words));
    }
    let rows = page.rows();
    outcome.tables.push(page.table(&rows));
    let summaries: Vec<(Option<u32>, Summary)> =
        rows.iter().map(|row| (row.row, row.stand.summary.clone())).collect();
    say_rows_apart(&mut outcome, page.subject(), &summaries, common.confidence);
    // A count that is off by a plant is no odd one, however alike the others are.
    let harmless = page.one_more().map_or(0.0, |one| one.number());
    say_outliers(&mut outcome, page.subject(), &readings, harmless);
    outcome
}

/// The lengths of row to count over, for the sheet's rows and any others, as a page of their own
/// or added to that of the counts.
pub fn add_lengths(outcome: &mut Outcome, inputs: &Inputs, common: &Common, others: &[Length]) {
    let units = &common.units;
    let mut rows = Vec::new();
    for (index, width) in [&inputs.row_spacing].into_iter().chain(others).enumerate() {
        let (name, tag) = if index == 0 {
            ("row spacing".to_owned(), String::new())
        } else {
            (format!("rows {width} apart"), format!(", rows {width} apart"))
        };
        let spacing = units.length(name, width);
        for ground in Ground::ALL {
            let length = row_length(ground, &spacing, units)
                .named(format!("row length for {}{tag}", ground.name()));
            let inches = length.in_unit(LengthUnit::Inch.compound()).number();
            rows.push(vec![
                Cell::Text(width.to_string()),
                Cell::Text(ground.name().into()),
                Cell::Text(feet_and_inches(inches, PARTS_OF_AN_INCH)),
                Cell::Number(inches / 12.0, 2),
                Cell::Number(length.in_unit(LengthUnit::Metre.compound()).number(), 3),
            ]);
            outcome.values.push(length);
        }
    }
    outcome.tables.push(Table {
        key: "row-lengths",
        title: "Length of one row that makes up a piece of ground".into(),
        columns: vec![
            Column::new("row_spacing", "rows apart", ""),
            Column::new("ground", "for", ""),
            Column::new("tape", "on a tape", ""),
            Column::new("length_ft", "length", "ft"),
            Column::new("length_m", "length", "m"),
        ],
        rows,
    });
}

/// What is the same on the whole page.
struct Page<'a> {
    inputs: &'a Inputs,
    common: &'a Common,
    units: Units,
    row_spacing: Value,
    alike: bool,
}

/// A stand: what was counted, and the population it stands for.
struct Stand {
    summary: Summary,
    population: Value,
    interval: Option<(Value, Value)>,
}

/// One row's stand.
struct Row {
    row: Option<u32>,
    stand: Stand,
}

impl Stand {
    fn values(&self) -> Vec<Value> {
        let ends = self.interval.iter().flat_map(|(low, high)| [low.clone(), high.clone()]);
        [self.population.clone()].into_iter().chain(ends).collect()
    }
}

impl<'a> Page<'a> {
    fn new(inputs: &'a Inputs, common: &'a Common) -> Self {
        let units = inputs.units(common);
        let row_spacing = units.length("row spacing", &inputs.row_spacing);
        Page { inputs, common, units, row_spacing, alike: inputs.alike() }
    }

    /// What one reading is: a plain count where all go over as much row, else a population.
    fn subject(&self) -> &'static str {
        if self.alike { "plants counted" } else { "stand counted" }
    }

    fn one(&self, count: &StandCount, tag: &str) -> Value {
        let length = self.units.length(format!("row counted{tag}"), &count.length);
        let rows = Value::typed(format!("rows counted together{tag}"), count.rows, Unit::ONE);
        population_of_one(&self.row_spacing, &length, &rows, &self.units)
            .named_as(format!("population of one plant counted{tag}"), "plants")
    }

    /// What one plant more adds to a reading, at the most.
    fn one_more(&self) -> Option<Value> {
        if self.alike {
            return Some(Value::constant(1.0));
        }
        let ones = (1..).zip(&self.inputs.counts);
        ones.map(|(number, count)| self.one(count, &format!(", run {number}")))
            .max_by(|a, b| a.number().total_cmp(&b.number()))
    }

    /// All readings, in the order of the sheet.
    fn readings(&self) -> Vec<Value> {
        self.by_run().into_iter().flat_map(|(_, readings)| readings).collect()
    }

    fn by_run(&self) -> Vec<(Option<u32>, Vec<Value>)> {
        let runs = (1..).zip(&self.inputs.counts);
        runs.map(|(number, count)| {
            let plants = count.plants.iter().map(|plants| Value::counted(*plants));
            let readings = if self.alike {
                plants.collect()
            } else {
                let one = self.one(count, &format!(", run {number}"));
                plants.map(|plants| plants * &one).collect()
            };
            (count.row, readings)
        })
        .collect()
    }

    fn stand(&self, readings: &[Value], tag: &str) -> Option<Stand> {
        let subject = format!("{}{tag}", self.subject());
        let summary = Summary::of(&subject, readings, self.common.confidence)?;
        let one = self.inputs.counts.first().map(|count| self.one(count, ""));
        let population = |value: &Value, name: String| match &one {
            Some(one) if self.alike => (value * one).named_as(name, "plants"),
            _ => value.clone().named_as(name, "plants"),
        };
        let confidence = self.common.confidence;
        let interval = self
            .one_more()
            .and_then(|one| CountInterval::of(&subject, &summary, &one, confidence))
            .map(|CountInterval { low, high }| {
                let low = population(&low, format!("stand{tag}, low"));
                (low, population(&high, format!("stand{tag}, high")))
            });
        let population = population(&summary.mean, format!("stand{tag}"));
        Some(Stand { summary, population, interval })
    }

    fn rows(&self) -> Vec<Row> {
        let of = |(row, readings): (Option<u32>, Vec<Value>)| {
            let stand = self.stand(&readings, &of_row(row))?;
            Some(Row { row, stand })
        };
        by_row(self.by_run()).into_iter().filter_map(of).collect()
    }

    /// A rate as plants or seeds per area of ground.
    fn rate(&self, rate: &SeedRate, name: &'static str, noun: &'static str) -> Value {
        match rate {
            SeedRate::Area(rate) => {
                Value::measured(name, rate, Unit::per_area(self.units.area)).counting(noun)
            }
            SeedRate::Row(rate) => {
                let per_length = Unit::from(self.units.length).to_the(-1);
                let along = Value::measured(format!("{name}, along the row"), rate, per_length)
                    .counting(noun);
                (area(&self.units) * along / &self.row_spacing).named_as(name, noun)
            }
        }
    }

    fn wanted(&self) -> Option<Value> {
        Some(self.rate(self.inputs.wanted.as_ref()?, "stand wanted", "plants"))
    }

    fn planted(&self) -> Option<Value> {
        Some(match self.inputs.planted.as_ref()? {
            Target::Population(rate) => self.rate(rate, "seeds planted", "seeds"),
            Target::Spacing(spacing) => {
                let spacing = self.units.length("seed spacing", spacing);
                population_at(&self.row_spacing, &spacing, &self.units)
                    .named_as("seeds planted", "seeds")
            }
        })
    }

    fn against_targets(&self, stand: &Stand, outcome: &mut Outcome) {
        let targets =
            [(self.wanted(), "stand against wanted"), (self.planted(), "plants per seed planted")];
        for (target, name) in targets {
            let Some(target) = target else { continue };
            let share = |value: &Value, end: &str| {
                (value / &target).in_percent().named(format!("{name}{end}"))
            };
            outcome.values.push(share(&stand.population, ""));
            if let Some((low, high)) = &stand.interval {
                outcome.values.extend([share(low, ", low"), share(high, ", high")]);
            }
        }
        if let (Some(wanted), Some((_, high))) = (self.wanted(), &stand.interval)
            && high.number() < wanted.number()
        {
            outcome.warnings.push(STAND_BELOW_WANTED.with(format!(
                "the stand is {}, at most {}; {} are wanted",
                in_words(&stand.population),
                in_words(high),
                wanted.typed_text().map_or_else(|| in_words(&wanted), Cow::into_owned)
            )));
        }
    }

    /// Says so where nothing stands at all, or more than was planted.
    fn what_can_not_be(&self, stand: &Stand, outcome: &mut Outcome) {
        let number = stand.population.number();
        if number == 0.0 {
            let words = "not one plant was counted anywhere";
            outcome.warnings.push(NO_PLANTS.with(words));
            let next = format!("{words}: look at the counts, and dig for seed");
            outcome.next = Some(Next::only(CALCULATION, next));
        }
        let Some(planted) = self.planted() else { return };
        // A single count has no interval; what lies far beyond is said all the same.
        let least = stand.interval.as_ref().map_or(number / BY_CHANCE, |(low, _)| low.number());
        if !at_most(least, planted.number()) {
            let share = (&stand.population / &planted).in_percent();
            let words = format!(
                "the stand is {}, {} of the {} planted",
                in_words(&stand.population),
                in_words(&share),
                in_words(&planted)
            );
            let next = format!(
                "{words}: look at the length and the rows counted, the row spacing and the \
                 population"
            );
            outcome.warnings.push(MORE_PLANTS_THAN_SEEDS.with(words));
            outcome.next = Some(Next::only(CALCULATION, next));
        }
    }

    /// Skips noted, against all the row that was counted.
    fn skips(&self, outcome: &mut Outcome) {
        let all: Vec<Length> =
            self.inputs.counts.iter().flat_map(|count| count.skips.clone()).collect();
        if all.is_empty() {
            return;
        }
        let skips = Value::sum("skips", self.units.readings(&all)).named("skips in all");
        let lengths = self.inputs.counts.iter().map(|count| {
            let length = Value::reading(&count.length, self.units.length.compound());
            readings::count(count.plants.len()) * Value::counted(count.rows) * length
        });
        let row =
            Value::sum("counts, rows and length", lengths.collect()).named("row counted in all");
        #[allow(clippy::cast_precision_loss)] // far fewer skips than 2^53
        let number = all.len() as f64;
        outcome.values.push(Value::found("skips noted", number, Unit::ONE, "counted"));
        outcome.values.push((skips / row).in_percent().named("skips, of the row counted"));
    }

    fn table(&self, rows: &[Row]) -> Table {
        let per = self.units.area.to_string();
        let key = |name: &str| format!("{name}_{}", per.replace('/', "per_"));
        let unit = format!("plants{per}");
        let share_of = match (self.wanted(), self.planted()) {
            (Some(wanted), _) => Some(("of wanted", wanted)),
            (None, Some(planted)) => Some(("of seeds", planted)),
            (None, None) => None,
        };
        let mut columns = vec![
            Column::new("row", "row", ""),
            Column::new("counts", "counts", ""),
            Column::new("plants_mean", "plants", "mean"),
            Column::new(key("population"), "stand", &unit),
            Column::new(key("low"), "low", &unit),
            Column::new(key("high"), "high", &unit),
        ];
        if let Some((head, _)) = &share_of {
            let key = if self.inputs.wanted.is_some() { "of_wanted" } else { "of_seeds" };
            columns.push(Column::new(format!("{key}_percent"), *head, "%"));
        }
        if !self.alike {
            columns.retain(|column| column.key != "plants_mean");
        }
        Table {
            key: "stand",
            title: "Stand, row by row".into(),
            columns,
            rows: rows.iter().map(|row| self.row_of(row, share_of.as_ref())).collect(),
        }
    }

    fn row_of(&self, row: &Row, share_of: Option<&(&str, Value)>) -> Vec<Cell> {
        let places = match self.units.area {
            AreaUnit::Acre | AreaUnit::Hectare => 0,
            AreaUnit::SquareMetre | AreaUnit::SquareFoot => 2,
        };
        let stand = &row.stand;
        let end =
            |end: Option<&Value>| end.map_or(Cell::Empty, |end| Cell::Number(end.number(), places));
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
        let count = Cell::Count(stand.summary.count.number() as u32);
        let mut cells = vec![row_cell(row.row), count];
        if self.alike {
            cells.push(Cell::Number(stand.summary.mean.number(), 1));
        }
        cells.push(Cell::Number(stand.population.number(), places));
        cells.push(end(stand.interval.as_ref().map(|(low, _)| low)));
        cells.push(end(stand.interval.as_ref().map(|(_, high)| high)));
        cells.extend(share_of.map(|(_, target)| {
            Cell::Number(100.0 * stand.population.number() / target.number(), 1)
        }));
        cells
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "stand",
    about: "Stand counts; lengths of row to count over",
    lacks: "rows to count plants on",
    advice: "add `row-spacing = \"30 in\"` under [planter], and a [[stand-count]] for each row with `length` and `counts = [...]`",
    has_readings: true,
    runs: &["stand-count"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        let count = readings::leave_out(self.counts.iter_mut().map(|one| &mut one.plants), places);
        self.counts.retain(|one| !one.plants.is_empty());
        count
    }

    /// Without counts there are only lengths of row, which whoever asks adds.
    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![if self.counts.is_empty() {
            Outcome::new(CALCULATION)
        } else {
            calibrate(self, common)
        }])
    }

    fn in_order(&self, common: &Common, so_far: &mut SoFar) -> Result<(), SearchError> {
        if !self.counts.is_empty() {
            so_far.outcomes.push(calibrate(self, common));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    fn inputs(counts: &[(&str, u32)]) -> Inputs {
        let count = |(length, rows): &(&str, u32)| StandCount {
            row: None,
            length: Length::parse(length, None).expect("a length"),
            rows: Decimal::whole(*rows),
            plants: vec![Decimal::whole(20)],
            skips: vec![],
        };
        Inputs {
            counts: counts.iter().map(count).collect(),
            row_spacing: Length::parse("30 in", None).expect("a length"),
            wanted: None,
            planted: None,
        }
    }

    #[test]
    fn lengths_for_other_row_spacings_say_which() {
        let mut outcome = Outcome::new(CALCULATION);
        let narrow = Length::parse("15 in", None).expect("a length");
        add_lengths(&mut outcome, &inputs(&[]), &common(), &[narrow]);
        let names: Vec<&str> = outcome.values.iter().filter_map(Value::name).collect();
        let (own, other) = names.split_at(names.len() / 2);
        assert!(own.iter().all(|name| !name.contains("rows 15 in apart")), "{own:?}");
        assert!(other.iter().all(|name| name.ends_with(", rows 15 in apart")), "{other:?}");
        let lines = crate::working::steps(&outcome.values[..1]);
        assert!(lines.iter().any(|line| line.to_string().contains("row spacing")), "{lines:?}");
    }

    /// Two counts over 10 ft of 4 rows are 2 x 4 x 120 = 960 in of row, and one over 10 ft of one
    /// row 120 more; skips of 30 and 24 in are 54 / 1080.
    #[test]
    fn skips_are_held_against_all_the_row_that_was_counted() {
        let length = |text| Length::parse(text, None).expect("a length");
        let mut inputs = inputs(&[("10 ft", 4), ("10 ft", 1)]);
        inputs.counts[0].plants = vec![Decimal::whole(60), Decimal::whole(62)];
        inputs.counts[0].skips = vec![length("30 in"), length("24 in")];
        let outcome = calibrate(&inputs, &common());
        let number = |name: &str| {
            let found = outcome.values.iter().find(|value| value.name() == Some(name));
            found.expect(name).number()
        };
        assert_eq!(number("skips noted"), 2.0);
        assert!((number("skips, of the row counted") - 5.0).abs() < 1e-9);
    }

    /// Row of 10 ft, 30 in apart: 6272640 / (30 x 120) = 1742.4 plants/ac for each plant counted.
    /// 20 plants stand for 34848, of 30000 seeds planted 116 %, and of 20000 174 %.
    #[test]
    fn no_plants_at_all_and_more_than_seeds_are_said() {
        let found = |plants: &[u32], planted: &str| {
            let mut inputs = inputs(&[("10 ft", 1)]);
            inputs.counts[0].plants = plants.iter().copied().map(Decimal::whole).collect();
            let rate = SeedRate::parse(planted).expect("a rate");
            inputs.planted = Some(Target::Population(rate));
            let outcome = calibrate(&inputs, &common());
            let is_one = |code: &str| ["no-plants", "more-plants-than-seeds"].contains(&code);
            let mut warnings = outcome.warnings.iter().filter(|one| is_one(one.kind.code));
            let code = warnings.next().map(|warning| warning.kind.code);
            assert_eq!(outcome.next.is_some(), code.is_some());
            code
        };
        assert_eq!(found(&[0, 0, 0, 0], "30000 /ac"), Some("no-plants"));
        assert_eq!(found(&[0, 0, 0, 1], "30000 /ac"), None);
        assert_eq!(found(&[20, 21, 19, 20], "30000 /ac"), Some("more-plants-than-seeds"));
        // From 10 to 30 plants the interval reaches below 30000 / 1742.4 = 17.2.
        assert_eq!(found(&[10, 30, 12, 28], "30000 /ac"), None);
        assert_eq!(found(&[20], "30000 /ac"), None);
        assert_eq!(found(&[20], "20000 /ac"), Some("more-plants-than-seeds"));
    }

    /// Counts are numbered through all runs; a run that loses all of its counts is gone.
    #[test]
    fn counts_left_out_are_numbered_through_all_runs() {
        let mut inputs = inputs(&[("10 ft", 1), ("10 ft", 1)]);
        inputs.counts[0].plants = [61, 62].map(Decimal::whole).to_vec();
        assert_eq!(inputs.leave_out(CALCULATION.key, &[2]), 3);
        assert_eq!(inputs.counts.len(), 2);
        assert_eq!(inputs.counts[0].plants, [Decimal::whole(61)]);
        assert_eq!((inputs.leave_out(CALCULATION.key, &[1]), inputs.counts.len()), (2, 1));
    }

    /// 10 ft of two rows are 20 ft of row, as 20 ft of one row are; 20 ft of two are twice that.
    #[test]
    fn counts_are_alike_where_as_much_row_was_counted() {
        for (counts, alike) in [
            (&[("10 ft", 2), ("20 ft", 1)][..], true),
            (&[("10 ft", 2), ("120 in", 2)], true),
            (&[("10 ft", 2), ("10 ft", 1)], false),
            (&[("10 ft", 2), ("20 ft", 2)], false),
            (&[("20 ft", 2), ("10 ft", 2)], false),
            (&[("10 ft", 2), ("10 ft", 2), ("10 ft", 3)], false),
            (&[("17 ft 5 in", 1)], true),
            (&[], true),
        ] {
            assert_eq!(inputs(counts).alike(), alike, "{counts:?}");
        }
    }

    /// 50 cm x 2 m is a square metre, so 8 plants are 8 x 10000 to the hectare. Five counts that
    /// are all alike are taken to scatter as by chance: 1.959964^2 / 5 = 0.768292, and
    /// 8.384146 + sqrt(0.768292 x 8 + 0.384146^2) = 10.892912 plants at the most.
    #[test]
    fn a_stand_that_is_what_is_wanted_is_not_below_it() {
        let said = |wanted: &str| {
            let mut inputs = inputs(&[("2 m", 1)]);
            inputs.counts[0].plants = [8; 5].map(Decimal::whole).to_vec();
            inputs.row_spacing = Length::parse("50 cm", None).expect("a length");
            inputs.wanted = Some(SeedRate::parse(wanted).expect("a rate"));
            let found = calibrate(&inputs, &Common::new(Units::METRIC)).warnings.into_iter();
            let mut found = found.filter(|warning| warning.kind == &STAND_BELOW_WANTED);
            found.next().map(|warning| warning.message)
        };
        assert_eq!(said("80000 /ha"), None);
        assert_eq!(said("108929 /ha"), None);
        let below = said("108930 /ha").expect("a warning");
        assert!(below.ends_with("108930 /ha are wanted"), "{below}");
    }
}
