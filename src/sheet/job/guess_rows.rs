//! Guess rows: gaps of both turns, and what they need of planter and trial.

use crate::calculations::guess_rows::{Inputs, Steering, Turn};
use crate::quantity::{Decimal, Length, MeasureUnit, at_most, brief};
use crate::sheet::guess_row_run::Table;
use crate::sheet::placed::Placed;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;

pub(super) fn guess_rows(tables: &Tables, reader: &mut Reader<'_>) -> Option<Inputs> {
    let runs = &tables.guess_row_runs;
    let first = runs.first()?;
    let need = Need { run: "[[guess-row-run]]", span: &first.run.span };
    let planter = &tables.planter;
    if planter.rows.is_none() {
        need.missing(reader, "planter.rows", "`rows` in [planter]", "rows = 4");
    }
    if planter.row_spacing.is_none() {
        let what = "`row-spacing` in [planter]";
        need.missing(reader, "planter.row-spacing", what, "row-spacing = \"30 in\"");
    }
    let steering = steering(runs, reader);
    let rows = planter.rows.as_ref().map(|rows| rows.value);
    let row_spacing = planter.row_spacing.as_ref().map(|spacing| spacing.value.clone());
    let pass_gap = tables.layout.as_ref().and_then(|layout| layout.pass_gap.clone());
    let most = rows.zip(row_spacing.as_ref());
    let most = most.map(|(rows, spacing)| Most::of(rows, spacing, pass_gap.as_ref()));
    let lists = runs.iter().filter_map(|table| table.gaps.as_ref());
    // Every list is looked at, whatever was found in the one before.
    let fit = lists.filter(|gaps| !believable(gaps, most.as_ref(), reader)).count() == 0;
    let rows = rows?;
    fit.then_some(Inputs {
        left: gaps_after(Turn::Left, runs)?,
        right: gaps_after(Turn::Right, runs)?,
        steering: steering?,
        rows,
        rows_per_plot: rows_per_plot(tables, rows),
        row_spacing: row_spacing?,
        pass_gap,
        tolerance: tables.trial.tolerance.guess_rows.clone(),
    })
}

/// The gaps after turns of one way; nothing where a run could not be read.
fn gaps_after(turn: Turn, runs: &[Table]) -> Option<Vec<Length>> {
    let mut gaps = vec![];
    for table in runs {
        let own = table.gaps.as_ref()?;
        if table.turn? == turn {
            gaps.extend(own.value.iter().cloned());
        }
    }
    Some(gaps)
}

/// What the tractor went by; one for all runs, since the two ways say other things.
fn steering(runs: &[Table], reader: &mut Reader<'_>) -> Option<Steering> {
    let first = runs.iter().find_map(|table| table.steering)?;
    let other = runs.iter().find(|table| table.steering.is_some_and(|own| own != first));
    if let Some(other) = other {
        let message = "the guess-row runs were steered in two ways";
        let advice = "keep the runs of one way, and take the others out";
        reader.say(&codes::CONFLICT, other.run.span.clone(), message, advice);
        return None;
    }
    runs.iter().all(|table| table.steering.is_some()).then_some(first)
}

/// Rows of a plot, where the rows of a pass can be shared out so; the layout says where not.
fn rows_per_plot(tables: &Tables, rows: Decimal) -> Decimal {
    let per_plot = tables.trial.rows_per_plot.as_ref().map(|placed| placed.value);
    let divides = |per_plot: &Decimal| match (rows.as_whole(), per_plot.as_whole()) {
        (Some(rows), Some(per_plot)) => per_plot > 0 && rows % per_plot == 0,
        _ => false,
    };
    per_plot.filter(divides).unwrap_or(rows)
}

/// The widest gap that is taken for one between neighbouring passes.
struct Most {
    millimetres: f64,
    text: String,
}

impl Most {
    /// Half a pass beyond the gap wanted, where another pass would lie nearer.
    fn of(rows: Decimal, row_spacing: &Length, pass_gap: Option<&Length>) -> Most {
        let wanted = row_spacing.base() + pass_gap.map_or(0.0, Length::base);
        let pitch = (rows.value() - 1.0) * row_spacing.base() + wanted;
        let millimetres = wanted + pitch / 2.0;
        let unit = row_spacing.unit();
        Most { millimetres, text: format!("{} {unit}", brief(millimetres / unit.base())) }
    }
}

/// Whether the gaps can be gaps between neighbouring passes.
fn believable(gaps: &Placed<Vec<Length>>, most: Option<&Most>, reader: &mut Reader<'_>) -> bool {
    let too_wide = |gap: &Length| most.is_some_and(|most| !at_most(gap.base(), most.millimetres));
    let odd = gaps.value.iter().find(|gap| gap.base() <= 0.0 || too_wide(gap));
    let Some(odd) = odd else { return true };
    let message = format!("a `gap` of {odd} can't lie between neighbouring passes");
    let advice = if odd.base() > 0.0 {
        "check its unit, and whether a pass lies between the two rows"
    } else {
        "leave out what could not be taped; rows that lie on each other leave no gap"
    };
    let up_to = most.map_or(String::new(), |most| format!(", up to {}", most.text));
    reader.say(&codes::OUT_OF_RANGE, gaps.span.clone(), message, advice).allowed =
        Some(format!("more than 0{up_to}"));
    false
}
