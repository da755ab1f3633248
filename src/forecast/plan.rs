//! A plan before anyone measures: how many readings a tolerance takes, and what tolerance ten
//! readings can support.

use crate::calculations::Common;
use crate::calculations::{alley, trip};
use crate::quantity::{Length, MeasureUnit, Unit, brief};
use crate::statistics::{Confidence, Summary, Taken, more_readings};
use crate::working::Value;

use crate::calculations::jitter::{self, Seeds};
use crate::calculations::registry::Job;
use crate::outcome::warning::{NO_SCATTER_KNOWN, ROWS_IN_PHASE};
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, Table};
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "plan", title: "Measurement plan" };

/// What the plan needs; all but the units may be unknown.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The seeds, for the scatter they bring by themselves.
    pub seeds: Option<Seeds>,
    /// Scatter of one reading by tape, ground and hand, besides the seeds'.
    pub scatter: Option<Length>,
    /// The error of one trip spacing that may stand.
    pub trip: Option<Length>,
    /// How far the middle of an alley may lie from its mark.
    pub centre: Option<Length>,
    /// How far alleys of neighbouring passes may lie from the line.
    pub passes: Option<Length>,
}

/// The column of the plan that says how many readings decide.
const TO_DECIDE: usize = 5;
/// Readings where nothing is known of their scatter. Common practice, no source.
const USUAL: &str = "10";

/// One line of the plan.
struct Quantity {
    what: &'static str,
    reading: &'static str,
    tolerance: Option<Value>,
    /// Scatter of one reading, where anything is known of it.
    sd: Option<Value>,
    /// Whether the error is half of a reading.
    halved: bool,
    /// Whether the readings are taken both ways, whose means are averaged.
    both_ways: bool,
}

impl Quantity {
    /// Scatter of the error by one reading.
    fn of_error(&self, sd: &Value) -> Value {
        let of_error = if self.halved { sd / Value::constant(2.0) } else { sd.clone() };
        of_error.named(format!("{}: scatter of the error", self.what))
    }

    /// How readings to come are judged.
    fn taken(&self) -> Taken {
        if self.both_ways { Taken::both_ways(0, 0) } else { Taken::one_kind(0) }
    }
}

/// The plan; readings of the sheet, where there are any, give their own scatter.
#[must_use]
pub fn plan(inputs: &Inputs, job: &Job) -> Outcome {
    let common = &job.common;
    let mut outcome = Outcome::new(CALCULATION);
    let mut quantities = quantities(inputs, common, job);
    // Passes that all go out have no neighbour to be lined up with.
    quantities.retain(|quantity| quantity.what != "passes" || !common.one_way);
    outcome.values.extend(quantities.iter().filter_map(|quantity| quantity.sd.clone()));
    for quantity in quantities.iter().filter(|quantity| quantity.sd.is_none()) {
        outcome.warnings.push(NO_SCATTER_KNOWN.with(format!(
            "{}: nothing is known of the scatter of a {}; common practice is ten; give it by \
             --scatter, or measure a first run",
            quantity.what, quantity.reading
        )));
    }
    let rows: Vec<Vec<Cell>> =
        quantities.iter().map(|quantity| row(quantity, common, &mut outcome)).collect();
    outcome.next = Some(in_short(&rows, common.one_way));
    if common.one_way {
        outcome.cautions = common.on_the_range();
    }
    outcome.tables.push(Table {
        key: "plan",
        title: format!("Readings to take ({} intervals)", common.confidence),
        columns: columns(&common.units),
        rows,
    });
    outcome.tables.push(where_to_take_them(common.one_way));
    let passes = if common.one_way { "two passes" } else { "two passes of each heading" };
    outcome.warnings.push(ROWS_IN_PHASE.with(format!(
        "take the alleys from at least {passes}; rows whose plates turn in phase stop and start \
         together, so several such rows of one alley are one reading",
    )));
    outcome
}

fn columns(units: &Units) -> Vec<Column> {
    let length = units.length.symbol();
    vec![
        Column::new("what", "what", ""),
        Column::new("reading", "one reading is", ""),
        Column::new(format!("tolerance_{length}"), "tolerance", length),
        Column::new(format!("sd_{length}"), "SD", length),
        Column::new("readings_within_tolerance", "within it", "readings"),
        Column::new("readings_to_decide", "to decide", "readings"),
        Column::new(format!("ten_support_{length}"), "ten support", length),
    ]
}

fn row(quantity: &Quantity, common: &Common, outcome: &mut Outcome) -> Vec<Cell> {
    let number =
        |value: Option<&Value>| value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 2));
    let sd = quantity.sd.as_ref();
    let needed = |share: f64, outcome: &mut Outcome| -> Cell {
        let (Some(sd), Some(tolerance)) = (sd, &quantity.tolerance) else { return Cell::Empty };
        let wanted = tolerance * Value::constant(share);
        let of_error = quantity.of_error(sd);
        let subject = format!("{}, {} of the tolerance: readings", quantity.what, part(share));
        let need = more_readings(
            &subject,
            &quantity.taken(),
            Some(&of_error),
            None,
            &wanted,
            common.confidence,
        );
        let Some(need) = need else { return Cell::Empty };
        let text = if need.more_than {
            format!("over {}", brief(need.in_all.number()))
        } else {
            brief(need.in_all.number())
        };
        outcome.values.push(need.half_width);
        Cell::Text(text)
    };
    let within = needed(1.0, outcome);
    let decide = needed(0.5, outcome);
    let ten = sd.and_then(|sd| ten_support(quantity, sd, common.confidence));
    outcome.values.extend(ten.clone());
    vec![
        Cell::Text(quantity.what.into()),
        Cell::Text(quantity.reading.into()),
        number(quantity.tolerance.as_ref()),
        number(sd),
        within,
        decide,
        number(ten.as_ref()),
    ]
}

fn part(share: f64) -> &'static str {
    if share < 1.0 { "half" } else { "all" }
}

/// The half width that ten readings give, five each way where they are taken both ways.
fn ten_support(quantity: &Quantity, sd: &Value, confidence: Confidence) -> Option<Value> {
    let half = quantity.taken().half_width(&quantity.of_error(sd), 10, confidence)?;
    Some(half.named(format!("{}: tolerance that ten readings support", quantity.what)))
}

fn quantities(inputs: &Inputs, common: &Common, job: &Job) -> Vec<Quantity> {
    let units = &common.units;
    let tolerance = |name: &'static str, length: &Option<Length>| {
        length.as_ref().map(|length| units.length(name, length))
    };
    let spacing = inputs.seeds.as_ref().map(|seeds| seeds.spacing(units));
    let measured = Measured::of(job, common);
    vec![
        Quantity {
            what: "trip",
            reading: "plot",
            tolerance: tolerance("trip tolerance", &inputs.trip),
            sd: combined("trip", None, inputs, common, measured.trip),
            halved: false,
            both_ways: false,
        },
        Quantity {
            what: "centre",
            reading: "alley, both sides",
            tolerance: tolerance("centre tolerance", &inputs.centre),
            sd: combined(
                "centre",
                spacing.as_ref().map(jitter::of_centre),
                inputs,
                common,
                measured.alley,
            ),
            halved: false,
            both_ways: !common.one_way,
        },
        Quantity {
            what: "passes",
            reading: "lead",
            tolerance: tolerance("pass tolerance", &inputs.passes),
            sd: combined(
                "passes",
                spacing.as_ref().map(jitter::of_lead),
                inputs,
                common,
                measured.passes,
            ),
            halved: true,
            both_ways: false,
        },
    ]
}

/// Standard deviations seen in the sheet.
struct Measured {
    trip: Option<Value>,
    alley: Option<Value>,
    passes: Option<Value>,
}

impl Measured {
    fn of(job: &Job, common: &Common) -> Measured {
        let sd = |outcome: Option<Outcome>| outcome?.judgement?.sd;
        let leads = job.passes.as_ref().and_then(|passes| {
            let runs = passes.leads.iter();
            let leads: Vec<Value> = runs.flat_map(|run| run.at_present(&common.units)).collect();
            Summary::of("lead", &leads, common.confidence)?.spread.map(|spread| spread.sd)
        });
        // Marks may be further apart than trips, so the scatter counts as error per plot.
        let of_error = |outcome: Outcome| {
            let judgement = outcome.judgement?;
            let count = Value::found(
                "readings so far",
                f64::from(u32::try_from(judgement.count).ok()?),
                Unit::ONE,
                "counted",
            );
            Some(judgement.interval?.standard_error * count.root())
        };
        Measured {
            trip: job
                .trip
                .as_ref()
                .map(|inputs| trip::calibrate(inputs, common))
                .and_then(of_error),
            alley: sd(job.alley.as_ref().map(|inputs| alley::calibrate(inputs, common))),
            passes: leads,
        }
    }
}

/// The scatter of one reading: what was seen in the sheet, and never less than seeds and tape
/// make together, sqrt(jitter² + scatter²).
fn combined(
    what: &'static str,
    jitter: Option<Value>,
    inputs: &Inputs,
    common: &Common,
    seen: Option<Value>,
) -> Option<Value> {
    let scatter =
        inputs.scatter.as_ref().map(|scatter| common.units.length("scatter of the tape", scatter));
    let by_formula = match (jitter, scatter) {
        (Some(jitter), Some(scatter)) => Some((jitter.to_the(2) + scatter.to_the(2)).root()),
        (jitter, scatter) => jitter.or(scatter),
    };
    let larger = match (by_formula, seen) {
        (Some(formula), Some(seen)) if seen.number() > formula.number() => seen,
        (Some(formula), _) => formula,
        (None, seen) => seen?,
    };
    Some(larger.named(format!("{what}: SD of one reading")))
}

/// Rows and passes to spread the readings over. Common practice, no source.
fn where_to_take_them(one_way: bool) -> Table {
    let column =
        |key: &str, head: &str| Column { key: key.into(), head: head.into(), unit: String::new() };
    let both = if one_way { "two or more" } else { "two out, two home" };
    let mut rows = vec![
        ("trip", "any one", "one or more, whole length"),
        ("centre", "one (or more, out of phase)", both),
    ];
    if !one_way {
        rows.push(("passes", "the same one each time", "two out, two home, side by side"));
    }
    Table {
        key: "where",
        title: "Where to take them".into(),
        columns: vec![column("what", "what"), column("rows", "rows"), column("passes", "passes")],
        rows: rows
            .into_iter()
            .map(|(what, rows, passes)| [what, rows, passes].map(|t| Cell::Text(t.into())).into())
            .collect(),
    }
}

/// How many readings decide on one quantity of a plan: "trip", "centre" or "passes". `None` where
/// nothing is known of their scatter; no fewer than it says where it says "over" a number.
#[must_use]
pub fn readings_to_decide(outcome: &Outcome, what: &str) -> Option<usize> {
    let plan = outcome.tables.iter().find(|table| table.key == "plan")?;
    let is = |cell: &Cell| matches!(cell, Cell::Text(text) if text == what);
    match plan.rows.iter().find(|row| row.first().is_some_and(is))?.get(TO_DECIDE)? {
        Cell::Text(number) => number.trim_start_matches("over ").parse().ok(),
        _ => None,
    }
}

/// How many readings decide on one quantity of a plan, in words: ten where nothing is known of their
/// scatter, which is common practice, no source.
#[must_use]
pub fn readings_wanted(outcome: &Outcome, what: &str) -> String {
    let plan = outcome.tables.iter().find(|table| table.key == "plan");
    let is = |cell: &Cell| matches!(cell, Cell::Text(text) if text == what);
    let mut rows = plan.into_iter().flat_map(|plan| &plan.rows);
    let row = rows.find(|row| row.first().is_some_and(is));
    row.map_or_else(|| USUAL.to_owned(), |row| wanted(row))
}

/// What a row of the plan says decides.
fn wanted(row: &[Cell]) -> String {
    match row.get(TO_DECIDE) {
        Some(Cell::Text(number)) => number.clone(),
        _ => USUAL.to_owned(),
    }
}

/// The plan in one sentence: readings to decide, ten where nothing is known.
fn in_short(rows: &[Vec<Cell>], one_way: bool) -> Next {
    let wanted: Vec<String> = rows
        .iter()
        .filter_map(|row| match row.first()? {
            Cell::Text(what) => Some(format!("{what} {}", self::wanted(row))),
            _ => None,
        })
        .collect();
    Next::only(
        CALCULATION,
        format!(
            "plant test ranges and take readings, at the least: {}; spread them over {}",
            wanted.join(", "),
            if one_way { "two passes or more" } else { "passes of both headings" }
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::LengthUnit;
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    /// Seeds and a tape that scatter 3 in and 4 in make sqrt(9 + 16) = 5 in together.
    #[test]
    fn readings_scatter_as_much_as_was_seen_and_never_less_than_seeds_and_tape_make() {
        let inches =
            |name: &'static str, number: f64| Value::exact(name, number, LengthUnit::Inch.into());
        let inputs = Inputs {
            seeds: None,
            scatter: Some(Length::parse("4 in", None).expect("a length")),
            trip: None,
            centre: None,
            passes: None,
        };
        let found = |seen: f64| {
            let jitter = Some(inches("scatter of the seeds", 3.0));
            let sd =
                combined("centre", jitter, &inputs, &common(), Some(inches("scatter seen", seen)));
            let sd = sd.expect("a scatter");
            let lines = crate::working::steps(std::slice::from_ref(&sd));
            let seen = lines.iter().any(|line| line.to_string().contains("scatter seen"));
            (sd.number(), seen)
        };
        assert_eq!(found(6.0), (6.0, true));
        assert_eq!(found(4.0), (5.0, false));
        // As much as they make shows how they make it.
        assert_eq!(found(5.0), (5.0, false));
    }
}
