//! The setback by speed, for the cab: the trial's own speed is a row of it, marked, and says what
//! the card says.

use crate::calculations::alley;
use crate::outcome::setting::SETBACK;
use crate::outcome::{Cell, Outcome, SettingResult, Table, Verdict};
use crate::quantity::{same_but_for_writing, shown};

use super::blocks::{Block, Grid};
use super::material::Material;

/// The table, where the setback has one and does not wait for something else: what waits has no
/// number on the card.
pub(super) fn block(material: &Material<'_>) -> Option<Block> {
    let tables = material.report.outcomes.iter().flat_map(|outcome| &outcome.tables);
    let table = tables.into_iter().find(|table| table.key == "setback-by-speed")?;
    let setback = of_the_trial(material);
    if setback.is_some_and(|setback| matches!(setback.verdict, Verdict::Wait(_))) {
        return Some(Block::Named(
            "Setback by speed",
            "its table comes with the card on which the setback has its turn".into(),
        ));
    }
    let (table, marked) = with_trial(material, table, setback);
    let grid = Grid { strong: Some(1), marked, class: "small", ..Grid::from(&table) };
    Some(Block::Grid(grid))
}

/// The setback as the runs at the trial's own speed have it.
fn of_the_trial<'a>(material: &Material<'a>) -> Option<&'a SettingResult> {
    let own = |outcome: &&Outcome| outcome.calculation == alley::CALCULATION;
    let outcome = material.report.outcomes.iter().find(own)?;
    outcome.settings.iter().find(|setting| setting.key.as_deref() == Some(SETBACK.key))
}

/// The table with a row of the trial's own speed, and which one that is. Where it was measured at
/// that speed, the row has what the card has.
fn with_trial(
    material: &Material<'_>,
    table: &Table,
    setback: Option<&SettingResult>,
) -> (Table, Option<usize>) {
    let mut table = table.clone();
    let Some(speed) = &material.sheet.record.present.speed else { return (table, None) };
    let speed = speed.value_in(material.sheet.units.speed);
    let of = |row: &Vec<Cell>| match row.first() {
        Some(Cell::Number(speed, _)) => *speed,
        _ => f64::NAN,
    };
    let same = |row: &Vec<Cell>| same_but_for_writing(of(row), speed);
    let found = table.rows.iter().position(same);
    let Some(setback) = setback else { return (table, found) };
    let after = table.rows.iter().position(|row| of(row) > speed).unwrap_or(table.rows.len());
    let mut row = vec![Cell::Empty; table.columns.len()];
    row[0] = Cell::Number(speed, 2);
    row[1] = Cell::Text(shown(setback.set.number()));
    if let Some(last) = row.last_mut() {
        *last = Cell::Text("the trial's own, by its own runs".into());
    }
    let place = found.unwrap_or(after);
    match found {
        Some(place) => table.rows[place] = row,
        None => table.rows.insert(after, row),
    }
    table.title = format!("{}, by a line through all speeds", table.title);
    (table, Some(place))
}
