//! Readings row by row, and rows held against one another.

use crate::quantity::brief;
use crate::statistics::{Apart, Confidence, Summary, means_apart, modified_z};
use crate::working::Value;

use crate::outcome::Outcome;
use crate::outcome::warning::{OUTLIER, ROW_APART, SCATTER_SMALL};
use crate::outcome::wording::in_words;

/// Lists of one row made into one, in the order of the rows; those without a row come last.
pub(super) fn by_row<T>(
    runs: impl IntoIterator<Item = (Option<u32>, Vec<T>)>,
) -> Vec<(Option<u32>, Vec<T>)> {
    let mut rows: Vec<(Option<u32>, Vec<T>)> = vec![];
    for (row, readings) in runs {
        match rows.iter_mut().find(|(known, _)| *known == row) {
            Some((_, known)) => known.extend(readings),
            None => rows.push((row, readings)),
        }
    }
    rows.sort_by_key(|(row, _)| row.unwrap_or(u32::MAX));
    rows
}

/// Readings with the numbers they have in the sheet, those left out being counted too.
pub(super) struct Numbers<'a> {
    last: usize,
    left_out: &'a [usize],
}

impl<'a> Numbers<'a> {
    pub(super) fn new(left_out: &'a [usize]) -> Self {
        Numbers { last: 0, left_out }
    }

    /// The number of the next reading.
    pub(super) fn next(&mut self) -> usize {
        self.last += 1;
        while self.left_out.contains(&self.last) {
            self.last += 1;
        }
        self.last
    }
}

/// What is put behind the name of a row's figures: nothing where the row is not known.
pub(super) fn of_row(row: Option<u32>) -> String {
    row.map_or(String::new(), |row| format!(" of row {row}"))
}

/// A row in a table.
pub(super) fn row_cell(row: Option<u32>) -> crate::outcome::Cell {
    row.map_or(crate::outcome::Cell::Empty, crate::outcome::Cell::Count)
}

/// A remark on every row whose mean stands apart from that of the others.
pub(super) fn say_rows_apart(
    outcome: &mut Outcome,
    subject: &str,
    rows: &[(Option<u32>, Summary)],
    confidence: Confidence,
) {
    let named: Vec<(String, Summary)> = rows
        .iter()
        .filter_map(|(row, summary)| Some((format!("row {}", (*row)?), summary.clone())))
        .collect();
    for apart in means_apart(subject, &named, confidence) {
        let name = &named[apart.place].0;
        say_apart(outcome, name, subject, &apart);
    }
}

/// The remark on one row that stands apart.
fn say_apart(outcome: &mut Outcome, name: &str, subject: &str, apart: &Apart) {
    let off = apart.difference.number();
    outcome.warnings.push(ROW_APART.with(format!(
        "{name}: {subject} {} {} the other rows; scatter alone stays within {}",
        in_words(&apart.difference.magnitude()),
        if off > 0.0 { "above" } else { "below" },
        in_words(&apart.half_width)
    )));
    outcome.values.extend([apart.difference.clone(), apart.half_width.clone()]);
}

/// Readings below which ones that are all alike decide nothing.
const ENOUGH_ALIKE: f64 = 5.0;

/// Whether readings are all alike, with a remark; they tell nothing of their scatter.
pub(super) fn say_alike(outcome: &mut Outcome, subject: &str, summary: &Summary) -> bool {
    let alike = summary.spread.as_ref().is_some_and(|spread| spread.sd.number() == 0.0);
    if alike {
        outcome.warnings.push(SCATTER_SMALL.with(format!(
            "{subject}: all {} readings are alike; they tell nothing of their scatter, which can't \
             be none",
            brief(summary.count.number())
        )));
    }
    alike
}

/// Whether readings that are all alike are too few to go by.
pub(super) fn too_few_alike(summary: &Summary) -> bool {
    summary.spread.as_ref().is_some_and(|spread| spread.sd.number() == 0.0)
        && summary.count.number() < ENOUGH_ALIKE
}

/// A remark on every reading that lies far from the rest by more than `harmless`; `places` are
/// the numbers that `--without` takes.
pub(super) fn say_outliers(
    outcome: &mut Outcome,
    subject: &str,
    readings: &[(usize, Value)],
    harmless: f64,
) {
    const ENOUGH: usize = 5;
    if readings.len() < ENOUGH {
        return;
    }
    let values: Vec<Value> = readings.iter().map(|(_, value)| value.clone()).collect();
    let Some(found) = modified_z(subject, &values) else { return };
    for index in &found.flagged {
        let (place, value) = &readings[*index];
        if (value.number() - found.median.number()).abs() <= harmless {
            continue;
        }
        let score = &found.scores[*index];
        outcome.warnings.push(OUTLIER.with(format!(
            "{subject}: reading {place} ({}) lies far from the rest (score {}, limit {}); \
             look at it again; it counts until it is left out by --without \
             {}:{place}",
            in_words(value),
            brief(score.number()),
            brief(found.limit),
            outcome.calculation.key
        )));
        outcome.values.push(score.clone());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_of_one_row_are_one_list_and_those_without_come_last() {
        let runs = [(None, vec![9]), (Some(2), vec![1, 2]), (Some(1), vec![3]), (Some(2), vec![4])];
        let rows = by_row(runs);
        assert_eq!(rows, [(Some(1), vec![3]), (Some(2), vec![1, 2, 4]), (None, vec![9])]);
    }

    #[test]
    fn alike_readings_are_too_few_below_five() {
        let alike = |numbers: &[f64]| {
            let readings: Vec<Value> = numbers.iter().map(|one| Value::constant(*one)).collect();
            let summary = Summary::of("reading", &readings, Confidence::NINETY_FIVE);
            too_few_alike(&summary.expect("readings"))
        };
        assert!(alike(&[7.0; 4]));
        assert!(!alike(&[7.0; 5]));
        assert!(!alike(&[7.0, 7.0, 7.0, 8.0]));
    }

    #[test]
    fn readings_keep_the_numbers_of_the_sheet_whichever_are_left_out() {
        let all = |left_out: &[usize]| {
            let mut numbers = Numbers::new(left_out);
            [(); 3].map(|()| numbers.next())
        };
        assert_eq!(all(&[]), [1, 2, 3]);
        assert_eq!(all(&[2]), [1, 3, 4]);
        assert_eq!(all(&[1, 2, 4]), [3, 5, 6]);
    }

    /// What is said of readings far from the rest.
    fn far(numbers: &[f64], harmless: f64) -> Vec<String> {
        const DEPTH: crate::outcome::Calculation =
            crate::outcome::Calculation { key: "depth", title: "Depth" };
        let values = numbers.iter().map(|number| Value::constant(*number));
        let readings: Vec<(usize, Value)> = (1..).zip(values).collect();
        let mut outcome = Outcome::new(DEPTH);
        say_outliers(&mut outcome, "depth", &readings, harmless);
        outcome.warnings.into_iter().map(|warning| warning.message).collect()
    }

    #[test]
    fn five_readings_are_enough_for_one_to_lie_far_from_the_rest() {
        // Median 1.05, the middle deviation 0.05, the step 0.05. One of five lies below 0.025 and
        // three from there to 0.075: 0.025 + 0.05 x (2.5 - 1) / 3 = 0.05, and 2.4 scores
        // 0.6745 x 1.35 / 0.05 = 18.2.
        assert_eq!(
            far(&[1.0, 1.1, 1.0, 1.05, 2.4], 0.0),
            ["depth: reading 5 (2.4) lies far from the rest (score 18.2, limit 8.13); look at \
                 it again; it counts until it is left out by --without depth:5"]
        );
        // Of four, none can be told from the rest.
        assert!(far(&[1.0, 1.0, 1.1, 2.4], 0.0).is_empty());
    }

    #[test]
    fn a_reading_far_from_the_rest_does_no_harm_inside_the_tolerance() {
        // Median 1.5, the middle deviation 0.01, the step 0.02. Three of six lie from 0 to 0.02:
        // 0.02 x 3 / 3, and 1.7 scores 0.6745 x 0.2 / 0.02 = 6.7, beyond the 5.5 of six readings, and
        // lies 0.2 off.
        let readings = [1.5, 1.5, 1.52, 1.48, 1.5, 1.7];
        assert!(far(&readings, 0.25).is_empty());
        assert_eq!(far(&readings, 0.1).len(), 1);
    }
}
