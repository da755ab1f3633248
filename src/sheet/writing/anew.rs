//! A new sheet begun from an old one: what is the machine's stays, what was measured goes, and what
//! has to be looked at again is listed.

use std::collections::BTreeSet;

use toml_edit::{DocumentMut, Item, TableLike, Value};

use crate::calculations::sprockets::SearchError;
use crate::record::{Record, Standing, Subject, runs_that_hold};
use crate::sheet::top::{BARE_LENGTH, TITLE};
use crate::sheet::{FieldSheet, Source, TOP, by_hand, conditions, settings, study};
use crate::sheet::{changeover, history, layout, lot, packets, planter, trial};

use super::run::checked;
use super::{WriteError, printable};

/// What a new sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    /// A season with the same machine: nothing that was measured stays.
    AnotherSeason,
    /// Another trial while calibrations hold: the runs of those stay.
    TheSameWeek,
}

/// A new sheet, and what is to be said of it.
#[derive(Clone, Debug)]
pub struct Begun {
    /// Its text.
    pub text: String,
    /// What it has of the old one, in words.
    pub kept: Vec<String>,
    /// What it has not.
    pub left_out: Vec<String>,
    /// What to look at again, and why.
    pub look_at: Vec<String>,
}

/// Tables of an old field, which another season has a new one for.
static OF_THE_FIELD: [&str; 2] = [layout::KEYS.name, lot::KEYS.name];
/// Keys of tables that stay, which belong to the old trial.
static OF_THE_TRIAL: [(&str, &str); 6] = [
    (packets::KEYS.name, packets::LOTS.name),
    (packets::KEYS.name, packets::PLOTS.name),
    (study::KEYS.name, "number"),
    (study::KEYS.name, "field"),
    (by_hand::KEYS.name, by_hand::MARKS.name),
    (by_hand::KEYS.name, by_hand::STAKING.name),
];

/// The text of a new sheet begun from an old one, on a day.
///
/// # Errors
///
/// A [`WriteError`] where the old sheet can't be read or is written in a way that can't be parted.
///
/// ```
/// use alleytrue::sheet::writing::{For, begin_from};
/// use alleytrue::sheet::{FieldSheet, Source, starter};
/// let source = Source::new("old.toml", starter::US);
/// let sheet = FieldSheet::read(&source).expect("a sheet");
/// let new = begin_from(&source, &sheet, For::AnotherSeason, "South block", "2028-04-02");
/// let text = new.expect("a sheet").text;
/// assert!(text.contains("title = \"South block\"") && text.contains("[planter.controller]"));
/// assert!(!text.contains("[[trip-run]]"));
/// ```
pub fn begin_from(
    source: &Source,
    old: &FieldSheet,
    what_for: For,
    title: &str,
    day: &str,
) -> Result<Begun, WriteError> {
    printable("the title", title)?;
    let mut document: DocumentMut = source.text().parse().map_err(|_| odd())?;
    let standing = old.calibrate(Some(day)).map_err(|error| too_many(&error))?;
    let stay: BTreeSet<(&str, usize)> = match what_for {
        For::AnotherSeason => BTreeSet::new(),
        For::TheSameWeek => runs_that_hold(&old.record, &standing.report, Some(day)),
    };
    let mut left_out = runs_left_out(&mut document, &stay);
    left_out.extend(take_out(&mut document, history::KEYS.name, "change"));
    if what_for == For::AnotherSeason {
        left_out
            .extend(OF_THE_FIELD.iter().filter_map(|table| take_out(&mut document, table, table)));
        let gone = OF_THE_TRIAL.iter().filter(|(table, key)| take_key(&mut document, table, key));
        left_out.extend(gone.map(|(table, key)| format!("{key} of [{table}]")));
    }
    entitle(&mut document, title);
    let text = with_line_ends(source.text(), &begun_line(source, day, &document.to_string()));
    let (text, new) = checked(source, text.into())?;
    let look_at = look_at(&document, old, &standing, what_for);
    Ok(Begun { text: text.sheet, kept: kept(&document, &new), left_out, look_at })
}

/// The same sheet with the planter in it, for a folder in which its file is not.
///
/// # Errors
///
/// A [`WriteError`] where the bare lengths of the two are in other units.
pub fn with_planter_inside(source: &Source) -> Result<String, WriteError> {
    let Some((name, text)) = source.shared_planter() else { return Ok(source.text().to_owned()) };
    let mut sheet: DocumentMut = source.text().parse().map_err(|_| odd())?;
    let mut file: DocumentMut = text.parse().map_err(|_| odd())?;
    let unit = |item: Option<&Item>| item.and_then(Item::as_str).map(str::to_owned);
    let own = unit(sheet.get(BARE_LENGTH.name));
    let of_file = unit(file.remove(BARE_LENGTH.name).as_ref());
    if of_file.is_some() && own.is_some() && own != of_file {
        let words = format!("bare lengths of {name} are in another unit than those of the sheet");
        return Err(WriteError::Refused(words, "begin the new sheet in the folder of the old one"));
    }
    sheet.remove(planter::KEYS.name);
    if let Some(unit) = of_file.filter(|_| own.is_none()) {
        sheet.insert(BARE_LENGTH.name, Item::Value(unit.into()));
    }
    let inside = format!("{}\n\n{}", sheet.to_string().trim_end(), file.to_string().trim_start());
    Ok(with_line_ends(source.text(), &inside))
}

fn odd() -> WriteError {
    let words = "the old sheet is written in a way that can't be taken apart".to_owned();
    WriteError::Refused(words, "copy the file, and take the runs out in an editor")
}

fn too_many(error: &SearchError) -> WriteError {
    WriteError::Refused(error.to_string(), "list fewer `choices`: only the sprockets at hand")
}

/// Takes runs out that don't stay; how many of each kind went.
fn runs_left_out(document: &mut DocumentMut, stay: &BTreeSet<(&str, usize)>) -> Vec<String> {
    let kinds = TOP.entries().filter_map(|entry| entry.keys()).filter(|keys| keys.run.is_some());
    let mut left_out = vec![];
    for table in kinds.map(|keys| keys.name) {
        let stays = |place: usize| stay.contains(&(table, place + 1));
        let (all, kept) = match document.get_mut(table) {
            Some(Item::ArrayOfTables(runs)) => {
                let all = runs.len();
                let mut place = 0..;
                runs.retain(|_| place.next().is_some_and(stays));
                (all, runs.len())
            }
            Some(Item::Value(Value::Array(runs))) => {
                let all = runs.len();
                let mut place = 0..;
                runs.retain(|_| place.next().is_some_and(stays));
                (all, runs.len())
            }
            Some(_) => (1, usize::from(stays(0))),
            None => continue,
        };
        if kept == 0 {
            document.remove(table);
        }
        if all > kept {
            left_out.push(several(all - kept, table));
        }
    }
    left_out
}

/// Takes a table out; how many there were.
fn take_out(document: &mut DocumentMut, table: &str, name: &str) -> Option<String> {
    match document.remove(table)? {
        Item::ArrayOfTables(all) => Some(several(all.len(), name)),
        Item::Value(Value::Array(all)) => Some(several(all.len(), name)),
        _ => Some(format!("[{table}]")),
    }
}

fn several(count: usize, name: &str) -> String {
    format!("{count} {name}{}", if count == 1 { "" } else { "s" })
}

fn take_key(document: &mut DocumentMut, table: &str, key: &str) -> bool {
    let table = document.get_mut(table).and_then(Item::as_table_like_mut);
    table.is_some_and(|table| table.remove(key).is_some())
}

/// Gives the sheet its title, where the old one stood.
fn entitle(document: &mut DocumentMut, title: &str) {
    let new = Value::from(title);
    match document.get_mut(TITLE.name).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = new;
            *old.decor_mut() = decor;
        }
        None => {
            document.insert(TITLE.name, Item::Value(new));
        }
    }
}

/// The text with a line above it that says where it comes from.
fn begun_line(source: &Source, day: &str, text: &str) -> String {
    let name = source.name().rsplit(['/', '\\']).next().unwrap_or_default();
    let name: String = name.chars().filter(|c| !c.is_control()).collect();
    format!("# Begun from {name} on {day}.\n{}", text.trim_start_matches('\n'))
}

/// Lines end as those of the old sheet do.
fn with_line_ends(old: &str, text: &str) -> String {
    let plain = text.replace("\r\n", "\n");
    if old.contains("\r\n") { plain.replace('\n', "\r\n") } else { plain }
}

/// The tables that the new sheet has, and how many runs.
fn kept(document: &DocumentMut, new: &FieldSheet) -> Vec<String> {
    let runs = new.record.runs.len();
    let tables = TOP.entries().filter_map(|entry| entry.keys()).filter(|keys| keys.run.is_none());
    let stays = |name: &&str| document.contains_key(name);
    let tables = tables.map(|keys| keys.name).filter(stays).map(|name| format!("[{name}]"));
    tables.chain((runs > 0).then(|| several(runs, "run"))).collect()
}

/// What may be another now, with what it was.
fn look_at(
    document: &DocumentMut,
    old: &FieldSheet,
    standing: &Standing,
    what_for: For,
) -> Vec<String> {
    let mut all = vec![];
    let mut say = |table: &str, why: &str| {
        let values = values_of(document, table);
        if !values.is_empty() {
            all.push(format!("[{table}] {values}: {why}"));
        }
    };
    say(trial::KEYS.name, "is this trial laid out and planted so?");
    if what_for == For::TheSameWeek {
        say(study::KEYS.name, "the number and the field of this trial");
        say(layout::KEYS.name, "this field, its numbers and its headlands");
    }
    say(conditions::KEYS.name, "fitted, loaded and driven on so today?");
    say(by_hand::KEYS.name, "still set so by hand?");
    say(changeover::KEYS.name, "read waits and lengths off the machine");
    say(packets::KEYS.name, "this year's seed: weight and germination");
    if document.contains_key(lot::KEYS.name) {
        all.push("[[lot]]: the lots of this trial".into());
    }
    all.extend(held(document, &old.record));
    all.push("notes behind a #: they are those of the old sheet".into());
    if what_for == For::AnotherSeason {
        all.push(
            "[planter]: the sprockets that are fitted, and the travel per turn in this soil".into(),
        );
    } else {
        all.extend(standing.checked.iter().map(|one| {
            let holds =
                one.until.as_ref().map_or("holds".into(), |day| format!("holds until {day}"));
            let words = if one.stale.is_empty() { holds } else { one.stale.join("; ") };
            format!("the {}: {words}", one.name)
        }));
    }
    all
}

/// What each setting was, and since when, by the old sheet's history.
fn held(document: &DocumentMut, record: &Record) -> Vec<String> {
    let Some(table) = document.get(settings::KEYS.name).and_then(Item::as_table_like) else {
        return vec![];
    };
    let line = |(key, value): (&str, &Item)| {
        let subject = Subject::of_key(key);
        let changes = record.changes.iter().filter(|change| Some(change.setting) == subject);
        let since = match changes.map(|change| change.date.as_str()).max() {
            Some(day) => format!("held since {day}"),
            None => "held as long as the old sheet tells".into(),
        };
        let value = value.to_string();
        format!("[settings] {key} {}, {since}: read it off the controller", value.trim())
    };
    table.iter().map(line).collect()
}

/// What a table says by itself, without the tables in it.
fn values_of(document: &DocumentMut, table: &str) -> String {
    let Some(table) = document.get(table).and_then(Item::as_table_like) else {
        return String::new();
    };
    values(table).join(", ")
}

fn values(table: &dyn TableLike) -> Vec<String> {
    let plain = table.iter().filter_map(|(key, item)| match item.as_value()? {
        Value::InlineTable(_) => None,
        value => {
            let mut value = value.clone();
            value.decor_mut().clear();
            Some(format!("{key} {value}"))
        }
    });
    plain.collect()
}
