//! Options that several commands share: the form of the results, which readings count, the day.

use std::collections::BTreeMap;

use clap::{Args, ValueEnum};

use crate::calculations::registry::{self, Job};
use crate::quantity::bounds::Bounds;
use crate::quantity::{Measure, MeasureUnit};
use crate::sheet::Diagnostic;
use crate::statistics::Confidence;

use super::dates::{day, today};
use super::mistakes::usage;

/// Form of the results.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text of at most 80 columns.
    #[default]
    Text,
    /// JSON for programs.
    Json,
    /// A table as CSV.
    Csv,
    /// A field on the map as GeoJSON (`stakes` only).
    Geojson,
}

/// The form of the results.
#[derive(Clone, Debug, Args)]
pub struct Output {
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    pub(super) format: Format,
    /// Settings, warnings and the next step only, without the arithmetic.
    #[arg(long)]
    pub(super) brief: bool,
    /// Which table to write as CSV, where there are several; `settings` is one.
    #[arg(long, value_name = "KEY")]
    pub(super) table: Option<String>,
}

impl Output {
    /// Whether the options go together.
    pub(crate) fn check(&self) -> Result<(), Diagnostic> {
        if self.table.is_some() && self.format != Format::Csv {
            let advice = "add `--format csv`, or leave `--table` out";
            return Err(usage("--table picks a table for CSV only".into(), advice));
        }
        Ok(())
    }
}

/// Which readings count, and how sure to be.
#[derive(Clone, Debug, Args)]
pub struct Readings {
    /// Confidence of the intervals, such as 90% or 99%.
    #[arg(long, value_name = "PERCENT", default_value = "95%", value_parser = confidence)]
    pub(super) confidence: Confidence,
    /// Readings to leave out by their number: `7,9`; in `calibrate`, `trip:7,alley:3`.
    #[arg(long, value_name = "N,...", value_delimiter = ',', value_parser = left_out)]
    pub(super) without: Vec<LeftOut>,
}

/// The day that results are for.
#[derive(Clone, Debug, Args)]
pub struct On {
    /// Day it is to hold on, such as 2027-05-01 [default: today].
    #[arg(long, value_name = "DAY", value_parser = day)]
    on: Option<String>,
}

impl On {
    /// The day.
    pub(super) fn day(&self) -> String {
        self.on.clone().unwrap_or_else(today)
    }
}

/// One reading to leave out.
#[derive(Clone, Debug)]
pub struct LeftOut {
    calculation: Option<String>,
    place: usize,
}

pub(super) fn left_out(text: &str) -> Result<LeftOut, String> {
    let (calculation, number) = match text.split_once(':') {
        Some((calculation, number)) => (Some(calculation.trim().to_owned()), number),
        None => (None, text),
    };
    let place = number.trim().parse().map_err(|_| {
        format!("`{text}` is no reading number; write `7`, or `trip:7` to say of which calculation")
    })?;
    Ok(LeftOut { calculation, place })
}

/// A measure on the command line, within its bounds.
pub(super) fn measure_option<U: MeasureUnit>(
    text: &str,
    bounds: &Bounds,
) -> Result<Measure<U>, String> {
    let measure = Measure::<U>::parse(text, None)
        .map_err(|error| format!("{error}; {}", error.advice(U::EXAMPLES)))?;
    if bounds.hold_measure(&measure) {
        Ok(measure)
    } else {
        Err(format!("`{text}` is not believable; allowed: {}", bounds.text()))
    }
}

/// The number of a percentage, with or without its sign.
pub(super) fn percentage(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim();
    number.parse().map_err(|_| format!("`{text}` is no percentage; write one such as 95%"))
}

pub(super) fn confidence(text: &str) -> Result<Confidence, String> {
    let number = percentage(text)?;
    (50.0..=99.99)
        .contains(&number)
        .then(|| Confidence::new(number / 100.0))
        .flatten()
        .ok_or_else(|| format!("`{text}` is out of range; allowed: 50% to 99.99%"))
}

impl Readings {
    /// The readings left out, in words; nothing where all count.
    pub(super) fn left_out_words(&self) -> Option<String> {
        let word = |one: &LeftOut| match &one.calculation {
            Some(calculation) => format!("{calculation}:{}", one.place),
            None => one.place.to_string(),
        };
        let words: Vec<String> = self.without.iter().map(word).collect();
        (!words.is_empty()).then(|| format!("without {}", words.join(", ")))
    }

    /// Applies the choices to the inputs of a sheet; `calculation` is the one meant where the
    /// command line does not say.
    pub(super) fn apply(&self, job: &mut Job, calculation: Option<&str>) -> Result<(), Diagnostic> {
        job.common.confidence = self.confidence;
        let mut places: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for one in &self.without {
            let Some(of) = one.calculation.as_deref().or(calculation) else {
                let advice = format!("say of which calculation: {}", each_with_readings(one.place));
                return Err(usage(format!("--without {} names no calculation", one.place), advice));
            };
            if calculation.is_some_and(|own| own != of) {
                let advice = "take it out, or use it with `calibrate`";
                return Err(usage(
                    format!("--without {of}:{} is of another calculation", one.place),
                    advice,
                ));
            }
            let places = places.entry(of).or_default();
            if !places.contains(&one.place) {
                places.push(one.place);
            }
        }
        for (of, places) in places {
            job.leave_out(of, &places).map_err(|error| {
                usage(format!("--without: {error}"), "look at the numbers in the result")
            })?;
        }
        Ok(())
    }
}

/// A reading of every calculation that has some: `trip:7, alley:7 or stand:7`.
fn each_with_readings(place: usize) -> String {
    let keys = registry::ALL.iter().filter(|entry| entry.has_readings);
    let mut all: Vec<String> =
        keys.map(|entry| format!("{}:{place}", entry.calculation.key)).collect();
    let last = all.pop().unwrap_or_default();
    format!("{} or {last}", all.join(", "))
}
