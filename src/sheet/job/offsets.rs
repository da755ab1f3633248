//! Trip sources and row units: one source of a kind, one of them in use, an offset for every row.

use crate::calculations::offsets::{Inputs, Source};
use crate::outcome::MovingSetting;
use crate::outcome::setting::SETBACK;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

use super::need::Need;

pub(super) fn offsets(tables: &Tables, reader: &mut Reader<'_>) -> Option<Inputs> {
    let units = tables.row_units.as_ref();
    let sources = sources(tables, reader);
    let ranks = units.and_then(|table| table.offsets.as_ref());
    if let (Some(offsets), Some(rows)) = (ranks, &tables.planter.rows) {
        let (said, planted) = (offsets.value.len(), rows.value);
        if planted.as_whole().and_then(|rows| usize::try_from(rows).ok()) != Some(said) {
            let message = format!("`rank-offset` has {said} rows, and the planter has {planted}");
            let advice =
                "list one offset for every row, from row 1; 0 where a unit sits on the line";
            reader.say(&codes::UNEVEN_LISTS, offsets.span.clone(), message, advice);
            return None;
        }
    }
    rows_taped(tables, reader)?;
    let trial = &tables.trial;
    if let (Some(first), None) = (tables.trip_sources.first(), &trial.speed) {
        let need = Need { run: "[[trip-source]]", span: &first.span };
        need.missing(reader, "trial.speed", "`speed` in [trial]", "speed = \"2.8 mph\"");
        return None;
    }
    if tables.trip_sources.is_empty() && ranks.is_none() {
        return None;
    }
    let controller = tables.planter.controller.setback.as_ref();
    let setback = controller.zip(tables.settings.setback.as_ref()).and_then(|(moving, now)| {
        Some(MovingSetting {
            setting: &SETBACK,
            now: now.clone(),
            raising_moves: moving.raising?,
            moves: moving.moves,
            acts_on: moving.acts_on,
            step: moving.step.clone(),
        })
    });
    Some(Inputs {
        sources: sources?,
        speed: trial.speed.as_ref().map(|speed| speed.value.clone()),
        setback,
        ranks: ranks.map(|offsets| offsets.value.clone()).unwrap_or_default(),
        plot: trial.plot.as_ref().map(|plot| plot.value.clone()),
        alley: trial.alley.as_ref().map(|alley| alley.value.clone()),
        tolerance: trial.tolerance.centre.clone(),
    })
}

/// Rows that were taped are rows of the planter; nothing where one can't be.
fn rows_taped(tables: &Tables, reader: &mut Reader<'_>) -> Option<()> {
    let alleys = tables.alley_runs.iter().map(|table| (&table.run.span, table.row_taped));
    let leads = tables.pass_runs.iter().map(|table| (&table.run.span, table.row_taped));
    let offsets = tables.row_units.as_ref().and_then(|table| table.offsets.as_ref());
    let mut all = Some(());
    for (span, row) in alleys.chain(leads) {
        let Some(row) = row else { continue };
        match offsets {
            None => {
                let message = "`row-taped` has no effect without [row-units]";
                let advice = "add [row-units] with `rank-offset`, or take it out";
                reader.say(&codes::UNUSED_KEY, span.clone(), message, advice);
            }
            Some(offsets) if row as usize > offsets.value.len() => {
                let message = format!("there is no row {row} in `rank-offset`");
                let advice = "name the row that was taped, counted from 1";
                reader.say(&codes::OUT_OF_RANGE, span.clone(), message, advice).allowed =
                    Some(format!("1 to {}", offsets.value.len()));
                all = None;
            }
            Some(_) => {}
        }
    }
    all
}

/// The sources; nothing where one could not be read, or nobody knows which is in use.
fn sources(tables: &Tables, reader: &mut Reader<'_>) -> Option<Vec<Source>> {
    let mut all: Vec<Source> = vec![];
    for table in &tables.trip_sources {
        let source = table.source.clone()?;
        if all.iter().any(|other| other.kind == source.kind) {
            let message = format!("there are two [[trip-source]] of the {}", source.kind.word());
            let advice = "keep one of each source, as it is on the planter now";
            reader.say(&codes::CONFLICT, table.span.clone(), message, advice);
            return None;
        }
        all.push(source);
    }
    if let [only] = all.as_mut_slice() {
        only.in_use = true;
    }
    let used = all.iter().filter(|source| source.in_use).count();
    let last = tables.trip_sources.last();
    if let (Some(table), false) = (last, used == 1 || all.is_empty()) {
        let message = match used {
            0 => "no [[trip-source]] is said to be in use".to_owned(),
            _ => "several [[trip-source]] are said to be in use".to_owned(),
        };
        let advice = "add `in-use = true` to the one that the settings of the sheet are for, and to no other";
        reader.say(&codes::CONFLICT, table.span.clone(), message, advice);
        return None;
    }
    Some(all)
}

/// A row that was taped, where row units don't sit in one line; row 1 where a run does not say it.
pub(super) fn rank(
    tables: &Tables,
    row: Option<u32>,
) -> Option<crate::calculations::offsets::Rank> {
    tables.row_units.as_ref()?.rank(row.unwrap_or(1))
}
