//! What hands have set, where it stands in a sheet and how a new value gets there.

use toml_edit::Value;

use crate::outcome::{ByHand, Condition};
use crate::quantity::{Length, LengthUnit};
use crate::record::Subject;
use crate::sheet::by_hand::{CHAINS, DEPTH, DEPTH_ALL, HITCH, KEYS, MARKS, STAKING, THROTTLE};
use crate::sheet::conditions;
use crate::sheet::top::BARE_LENGTH;
use crate::sheet::with;
use crate::sheet::{FieldSheet, history, planter, trial};

use super::WriteError;
use super::form::bare_unit;
use super::kinds::KINDS;
use super::place::{Edit, Places};

/// What stands for what had no words before it was changed.
const AT_FIRST: &str = "as at first";
const ELSEWHERE: &str = "write them in a table of their own, under a line with its name";

/// Where something stands in a sheet.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Spot {
    /// The table, as a path.
    table: &'static [&'static str],
    /// Its key there.
    key: &'static str,
    /// Its place in a list by row.
    place: Option<usize>,
}

const BY_HAND: &[&str] = &[KEYS.name];
const CONDITIONS: &[&str] = &[conditions::KEYS.name];
const PLANTER: &[&str] = &[planter::KEYS.name];
const PLATE: &[&str] = &[planter::KEYS.name, planter::PLATE.name];

/// Where what is adjusted stands.
fn spot(what: ByHand) -> Spot {
    let place = |row: u32| usize::try_from(row).ok().and_then(|row| row.checked_sub(1));
    let (table, key, place) = match what {
        ByHand::Throttle => (BY_HAND, THROTTLE.name, None),
        ByHand::Marks => (BY_HAND, MARKS.name, None),
        ByHand::Staking => (BY_HAND, STAKING.name, None),
        ByHand::Chain { row } => (BY_HAND, CHAINS.name, place(row)),
        ByHand::Depth { row: Some(row) } => (BY_HAND, DEPTH.name, place(row)),
        ByHand::Depth { row: None } => (BY_HAND, DEPTH_ALL.name, None),
        ByHand::Hitch => (BY_HAND, HITCH.name, None),
        ByHand::Condition(condition) => match condition {
            Condition::Planter => (PLANTER, planter::NAME.name, None),
            Condition::Cells => (PLATE, planter::CELLS.name, None),
            Condition::Carry => (PLATE, planter::CARRY.name, None),
            _ => (CONDITIONS, condition.key(), None),
        },
    };
    Spot { table, key, place }
}

impl Spot {
    /// As keys, without its place in a list.
    fn keys(&self) -> Vec<&'static str> {
        [self.table, &[self.key]].concat()
    }
}

/// Where it stands in the sheet, as keys and a number.
pub(super) fn path_of(what: ByHand) -> Vec<String> {
    let spot = spot(what);
    let place = spot.place.map(|place| place.to_string());
    spot.keys().into_iter().map(str::to_owned).chain(place).collect()
}

fn typed<'s>(places: &Places<'s>, what: ByHand) -> Option<&'s str> {
    let path = path_of(what);
    places.typed(&path.iter().map(String::as_str).collect::<Vec<_>>())
}

/// What it is now, as it is typed or would be.
pub(super) fn now(places: &Places<'_>, what: ByHand) -> String {
    let nought = || match what {
        ByHand::Marks => Value::from(format!("0 {}", marks_unit(places))).to_string(),
        _ if what.is_label() => Value::from(AT_FIRST).to_string(),
        _ => "0".into(),
    };
    typed(places, what).map_or_else(nought, str::to_owned)
}

/// The unit of marks that were never moved: that of the alley.
fn marks_unit(places: &Places<'_>) -> LengthUnit {
    let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
    let alley = places.typed(&[trial::KEYS.name, trial::ALLEY.name]);
    let alley = alley.and_then(|typed| Length::parse(typed.trim_matches(['"', '\'']), bare).ok());
    bare.or(alley.map(|alley| alley.unit())).unwrap_or(LengthUnit::Inch)
}

/// What hands have set of what moves the readings of a run of this kind and row, by the keys of
/// `with`.
pub(super) fn in_force(places: &Places<'_>, kind: &str, row: Option<u32>) -> Vec<(String, Value)> {
    let alike = [
        ByHand::Throttle,
        ByHand::Marks,
        ByHand::Staking,
        ByHand::Depth { row: None },
        ByHand::Hitch,
    ];
    let of_row = row.map(|row| [ByHand::Chain { row }, ByHand::Depth { row: Some(row) }]);
    let conditions = Condition::ALL.map(ByHand::Condition);
    let all = alike.into_iter().chain(of_row.into_iter().flatten()).chain(conditions);
    let stands = |what: &ByHand| {
        let moves = Subject::Hand(*what).effect().moves.contains(&kind);
        moves && places.value(&spot(*what).keys()).is_some()
    };
    all.filter(stands)
        .filter_map(|what| Some((with::key(Subject::Hand(what)), now(places, what).parse().ok()?)))
        .collect()
}

/// Whether a run is of a row, by its place in the sheet.
pub(super) fn is_of_row(places: &Places<'_>, table: &str, index: &str, row: Option<u32>) -> bool {
    row.is_none_or(|row| places.typed(&[table, index, "row"]) == Some(row.to_string().as_str()))
}

/// The places in which new values stand: in the table, in lists in it, or on lines and in tables
/// that are not there yet.
pub(super) fn edits(
    places: &Places<'_>,
    puts: &[(ByHand, Value)],
) -> Result<Vec<Edit>, WriteError> {
    let mut edits = vec![];
    let mut new_lines: Vec<(&[&str], Vec<String>)> = vec![];
    let mut add = |table: &'static [&'static str], line: String| match new_lines
        .iter_mut()
        .find(|(own, _)| *own == table)
    {
        Some((_, lines)) => lines.push(line),
        None => new_lines.push((table, vec![line])),
    };
    let mut done: Vec<Vec<&str>> = vec![];
    for (what, value) in puts {
        let Spot { table, key, place } = spot(*what);
        let keys = spot(*what).keys();
        if done.contains(&keys) {
            continue;
        }
        match (place, places.value(&keys)) {
            (None, Some(old)) => edits.push((old.span(), value.to_string())),
            (None, None) => add(table, format!("{key} = {value}")),
            (Some(_), stands) => {
                let of_list = puts.iter().filter(|(what, _)| spot(*what).keys() == keys);
                let rows: Vec<(usize, &Value)> =
                    of_list.filter_map(|(what, value)| Some((spot(*what).place?, value))).collect();
                match stands {
                    Some(_) => edits.extend(in_list(places, key, &rows)),
                    None => add(table, format!("{key} = {}", new_list(places, &rows))),
                }
            }
        }
        done.push(keys);
    }
    for (table, new) in new_lines {
        edits.push(lines(places, table, &new)?);
    }
    Ok(edits)
}

/// Words that look like a number are words all the same.
pub(super) fn as_label(what: ByHand, value: &Value) -> Value {
    match value {
        Value::Integer(_) | Value::Float(_) if what.is_label() => {
            Value::from(value.to_string().trim())
        }
        _ => value.clone(),
    }
}

/// New numbers in a list by row, and behind it where it does not reach so far.
fn in_list(places: &Places<'_>, key: &str, rows: &[(usize, &Value)]) -> Vec<Edit> {
    let place_of = |row: usize| places.value(&[KEYS.name, key, &row.to_string()]);
    let count = (0..).take_while(|row| place_of(*row).is_some()).count();
    let inside =
        rows.iter().filter_map(|(row, value)| Some((place_of(*row)?.span(), value.to_string())));
    let mut edits: Vec<Edit> = inside.collect();
    let beyond: Vec<(usize, &Value)> =
        rows.iter().filter(|(row, _)| *row >= count).copied().collect();
    let last = count.checked_sub(1).and_then(place_of);
    if let (Some(last), false) = (last, beyond.is_empty()) {
        let end = last.span().end;
        let more = filled(&beyond, count).iter().map(|value| format!(", {value}")).collect();
        edits.push((end..end, more));
    }
    edits
}

/// A list with a number for every row of the planter.
fn new_list(places: &Places<'_>, rows: &[(usize, &Value)]) -> String {
    let mut all = filled(rows, 0);
    let planted = places.typed(&[planter::KEYS.name, "rows"]).and_then(|rows| rows.parse().ok());
    while all.len() < planted.unwrap_or(0) {
        all.push("0".into());
    }
    format!("[{}]", all.join(", "))
}

/// The numbers of rows from one on, nought where there is none.
fn filled(rows: &[(usize, &Value)], from: usize) -> Vec<String> {
    let most = rows.iter().map(|(row, _)| row + 1).max().unwrap_or(from);
    let of = |row: usize| rows.iter().find(|(own, _)| *own == row);
    (from..most).map(|row| of(row).map_or("0".into(), |(_, value)| value.to_string())).collect()
}

/// New lines in the table, or a new table.
pub(super) fn lines(
    places: &Places<'_>,
    path: &[&str],
    new: &[String],
) -> Result<Edit, WriteError> {
    let end = places.line_end();
    let name = path.join(".");
    let Some(table) = places.value(path) else {
        let place = before_the_runs(places);
        let text = format!("[{name}]\n{}\n", new.join("\n"));
        return Ok((place..place, places.set_apart(place, &text)));
    };
    let start = table.span().start;
    let rest = &places.text[start..];
    if let Some(inside) = rest.strip_prefix('{') {
        let empty = inside.trim_start().starts_with('}');
        let pairs = format!(" {}{}", new.join(", "), if empty { " " } else { "," });
        return Ok((start + 1..start + 1, pairs));
    }
    if !rest.starts_with('[') {
        let what = format!("the keys of [{name}] do not stand under its own line");
        return Err(WriteError::Refused(what, ELSEWHERE));
    }
    let place = places.line_after(start);
    let mut text: String = new.iter().map(|line| format!("{line}{end}")).collect();
    if !places.text[..place].ends_with('\n') {
        text.insert_str(0, end);
    }
    Ok((place..place, text))
}

/// Where a new table goes: before the runs and the history, and the notes right above them.
fn before_the_runs(places: &Places<'_>) -> usize {
    let tables = KINDS.iter().map(|kind| kind.table).chain([history::KEYS.name]);
    let starts = tables.filter_map(|table| {
        let entries = places.entries(table).ok()?;
        let first = entries.first()?;
        places.text[first.start..].starts_with("[[").then_some(first.start)
    });
    let Some(first) = starts.min() else { return places.end };
    let mut start = places.text[..first].rfind('\n').map_or(0, |at| at + 1);
    while let Some(line) = places.text[..start].lines().next_back() {
        if !line.trim_start().starts_with('#') {
            break;
        }
        start = places.text[..start - 1].rfind('\n').map_or(0, |at| at + 1);
    }
    start
}

/// Looks that the new sheet holds what was to be put there.
pub(super) fn proved(after: &FieldSheet, puts: &[(ByHand, Value)]) -> Result<(), WriteError> {
    let is_put = puts.iter().all(|(what, _)| {
        let subject = Subject::Hand(*what);
        let told = after.record.changes.iter().rfind(|change| change.setting == subject);
        let held = after.record.held(subject);
        told.zip(held).is_some_and(|(told, held)| told.to.is_same(held))
    });
    if is_put {
        return Ok(());
    }
    let what = "what hands have set is written in a way that can't be changed".to_owned();
    Err(WriteError::Refused(what, ELSEWHERE))
}
