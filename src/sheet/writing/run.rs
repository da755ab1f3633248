//! A run of measurements added to a sheet.

use toml::Spanned;
use toml::de::DeValue;
use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use crate::outcome::DEPTH_TURNS;
use crate::outcome::setting::SETTINGS_OF_CONTROLLER;
use crate::outcome::{ActionName, Part, Timed};
use crate::record::Subject;
use crate::sheet::changeover::{self, ACTION, NAME, RATE};
use crate::sheet::operating_point::{ALLEY, AT, BOOST, POPULATION, SEED_SPACING};
use crate::sheet::run::SPEED;
use crate::sheet::with::{self, WITH};
use crate::sheet::{FieldSheet, NewText, Source, planter, settings, trial};

use super::by_hand;
use super::place::{Places, replaced};
use super::{Kind, WriteError, printable};

/// What was given for a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Given {
    /// One value as a person says it.
    One(String),
    /// Several readings.
    List(Vec<String>),
    /// A text that is never a number.
    Text(String),
    /// `true` or `false`.
    YesNo(bool),
    /// A day: year, month, day.
    Day(String),
}

/// A run to be added.
#[derive(Clone, Debug)]
pub struct NewRun {
    /// Which kind.
    pub kind: &'static Kind,
    /// Its keys with what was given, in the order in which they are written.
    pub keys: Vec<(&'static str, Given)>,
}

impl NewRun {
    /// The row that it is of, where it is one.
    fn row(&self) -> Option<u32> {
        self.keys.iter().find_map(|(key, given)| match given {
            Given::One(text) if *key == "row" => text.trim().parse().ok(),
            _ => None,
        })
    }
}

/// The text of the sheet with a run added.
///
/// # Errors
///
/// A [`WriteError`] where the run can't stand in the sheet.
///
/// ```
/// use alleytrue::sheet::writing::{Given, KINDS, NewRun, add_run};
/// use alleytrue::sheet::{Source, starter};
/// let source = Source::new("sheet.toml", starter::US);
/// let kind = KINDS.iter().find(|kind| kind.name == "pass").expect("pass runs");
/// let leads = ["4", "3 1/2 in", "-1"].map(String::from).to_vec();
/// let run = NewRun { kind, keys: vec![("lead", Given::List(leads))] };
/// let text = add_run(&source, &run).expect("a sheet");
/// assert!(text.starts_with(starter::US));
/// assert!(text.ends_with("lead = [4, \"3 1/2 in\", -1]\n"));
/// ```
pub fn add_run(source: &Source, run: &NewRun) -> Result<String, WriteError> {
    let places = Places::of_both(source)?;
    let place = places.after_last(run.kind.table)?;
    let mut table = Table::new();
    // What all runs have comes first.
    let own = |key: &str| run.kind.keys.iter().any(|one| one.name == key);
    let (own, shared): (Vec<_>, Vec<_>) = run.keys.iter().partition(|(key, _)| own(key));
    for (key, given) in shared {
        table.insert(key, Item::Value(value_of(key, given)?));
    }
    note_in_force(&places, run, &mut table);
    if run.kind.at_point {
        note_point(&places, &mut table);
    }
    for (key, given) in own {
        table.insert(key, Item::Value(value_of(key, given)?));
    }
    let text = places.set_apart(place, &as_text(run.kind.table, table));
    let text = replaced(source.text(), vec![(place..place, text)]);
    Ok(checked(source, text.into())?.0.sheet)
}

/// A new text with the sheet that it is, where it has no mistakes.
pub(super) fn checked(source: &Source, text: NewText) -> Result<(NewText, FieldSheet), WriteError> {
    match FieldSheet::read(&source.with_text(&text)) {
        Ok(sheet) => Ok((text, sheet)),
        Err(mistakes) => Err(WriteError::Mistakes { text, mistakes }),
    }
}

/// A table as it stands in a sheet, under its name in double brackets.
pub(super) fn as_text(name: &str, table: Table) -> String {
    let mut tables = ArrayOfTables::new();
    tables.push(table);
    let mut document = DocumentMut::new();
    document.insert(name, Item::ArrayOfTables(tables));
    document.to_string()
}

fn value_of(key: &str, given: &Given) -> Result<Value, WriteError> {
    let plain = |text: &str| printable(&format!("`{key}`"), text).map(|()| spoken(text));
    Ok(match given {
        Given::One(text) => plain(text)?,
        Given::List(texts) => {
            let values: Result<Vec<Value>, _> = texts.iter().map(|text| plain(text)).collect();
            Value::Array(values?.into_iter().collect())
        }
        Given::Text(text) => {
            printable(&format!("`{key}`"), text)?;
            Value::from(text.as_str())
        }
        Given::YesNo(yes) => Value::from(*yes),
        Given::Day(day) => day.parse().map_err(|_| {
            WriteError::Refused(format!("`{day}` is no date"), "write it as 2027-04-18")
        })?,
    })
}

/// What a person would say for a value that is a number or a text.
pub(super) fn spoken_text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string().trim().to_owned(), ToOwned::to_owned)
}

/// A number where a plain one was said, else a text.
pub(super) fn spoken(text: &str) -> Value {
    let text = text.trim();
    let (sign, digits) = match text.strip_prefix(['-', '+']) {
        Some(rest) => (&text[..1], rest),
        None => ("", text),
    };
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if digits.is_empty() || digits == "." || !all_digits(whole) || !all_digits(decimals) {
        return Value::from(text);
    }
    // TOML wants a digit on both sides of the point, and no nought in front of another digit.
    let whole = match whole.trim_start_matches('0') {
        "" => "0",
        rest => rest,
    };
    let point = if decimals.is_empty() { "" } else { "." };
    let number = format!("{sign}{whole}{point}{decimals}");
    number.parse().unwrap_or_else(|_| Value::from(text))
}

/// Writes down what the sheet is for now, as it stands there, so that the run can be told from
/// one for another operating point later.
fn note_point(places: &Places<'_>, table: &mut Table) {
    let as_typed = |path: &[&str]| places.typed(path)?.parse::<Value>().ok();
    if !table.contains_key(SPEED.name)
        && let Some(speed) = as_typed(&TRIAL_SPEED)
    {
        table.insert(SPEED.name, Item::Value(speed));
    }
    let mut point = InlineTable::new();
    for (key, path) in &POINT {
        if let Some(value) = as_typed(path) {
            point.insert(*key, value);
        }
    }
    if let Some(value) = boosts(places).and_then(|typed| typed.parse().ok()) {
        point.insert(BOOST.name, value);
    }
    if !point.is_empty() {
        table.insert(AT.name, Item::Value(Value::InlineTable(point)));
    }
}

/// Writes down what is in force now, as it stands in the sheet, of what moves the readings of this
/// kind of run.
fn note_in_force(places: &Places<'_>, run: &NewRun, table: &mut Table) {
    let kind = run.kind.table;
    let mut with = InlineTable::new();
    let held = SETTINGS_OF_CONTROLLER.iter().map(|setting| Subject::Held(setting));
    let timed = timed(places).into_iter().map(Subject::Timed);
    for subject in held.chain(timed).filter(|subject| subject.effect().moves.contains(&kind)) {
        let typed = typed_value(places, subject).map(|value| &places.text[value.span()]);
        if let Some(value) = typed.and_then(|typed| typed.parse::<Value>().ok()) {
            with.insert(with::key(subject), value);
        }
    }
    if FIRST_SPROCKET.effect().moves.contains(&kind)
        && let Some(value) = sprockets(places).and_then(|list| list.parse::<Value>().ok())
    {
        with.insert(with::key(FIRST_SPROCKET), value);
    }
    for (key, value) in by_hand::in_force(places, kind, run.row()) {
        with.insert(key, value);
    }
    if !with.is_empty() {
        table.insert(WITH.name, Item::Value(Value::InlineTable(with)));
    }
}

/// What one sprocket moves, all do.
const FIRST_SPROCKET: Subject = Subject::Sprocket { chain: 1, driving: true };

/// Where what is in force stands in a sheet.
pub(super) fn typed_value<'p, 's>(
    places: &'p Places<'s>,
    subject: Subject,
) -> Option<&'p Spanned<DeValue<'s>>> {
    match subject {
        Subject::Held(held) => places.value(&[settings::KEYS.name, held.key]),
        Subject::Timed(timed) => {
            let place = action(places, timed.action)?.to_string();
            places.value(&[changeover::KEYS.name, ACTION.name, &place, timed.part.key()])
        }
        Subject::Hand(what) => {
            let path = by_hand::path_of(what);
            places.value(&path.iter().map(String::as_str).collect::<Vec<_>>())
        }
        Subject::Speed => places.value(&TRIAL_SPEED),
        Subject::Run { .. } => None,
        Subject::Direction(setting) if *setting == DEPTH_TURNS => {
            places.value(&[planter::KEYS.name, DEPTH_TURNS.key, planter::TURNING_IN.name])
        }
        Subject::Direction(setting) => ["raising-moves-alley", "counts", "length"]
            .iter()
            .find_map(|key| places.value(&["planter", "controller", setting.key, key])),
        Subject::Sprocket { chain, driving } => {
            let chain = (chain - 1).to_string();
            let side = if driving { "driving" } else { "driven" };
            let path = ["planter", "drive", &chain, side];
            let bare = places.value(&path);
            places.value(&[&path[..], &["fitted"]].concat()).or(bare)
        }
    }
}

/// The names of the actions of the changeover, in their order.
fn actions(places: &Places<'_>) -> Vec<ActionName> {
    let name = |place: usize| {
        let place = place.to_string();
        let name = places.value(&[changeover::KEYS.name, ACTION.name, &place, NAME.name])?;
        name.get_ref().as_str().and_then(ActionName::of)
    };
    (0..).map_while(name).collect()
}

/// Which of the actions has a name.
pub(super) fn action(places: &Places<'_>, name: ActionName) -> Option<usize> {
    actions(places).iter().position(|own| *own == name)
}

/// The waits and lengths that the sheet may hold.
fn timed(places: &Places<'_>) -> Vec<Timed> {
    let both = |action| Part::BOTH.map(|part| Timed { action, part });
    actions(places).into_iter().flat_map(both).collect()
}

/// How fast the boosts turn the plate, as typed; a list where there are several.
pub(super) fn boosts(places: &Places<'_>) -> Option<String> {
    let rate = |place: usize| {
        let place = place.to_string();
        places.typed(&[changeover::KEYS.name, ACTION.name, &place, RATE.name])
    };
    let all: Vec<&str> = (0..actions(places).len()).filter_map(rate).collect();
    match all.as_slice() {
        [] => None,
        [one] => Some((*one).to_owned()),
        several => Some(format!("[{}]", several.join(", "))),
    }
}

/// The sprockets that are fitted, as `with` has them; `None` where the sheet has none.
pub(super) fn sprockets(places: &Places<'_>) -> Option<String> {
    let sprocket = |place: usize| {
        let subject = Subject::Sprocket { chain: place / 2 + 1, driving: place.is_multiple_of(2) };
        Some(places.text[typed_value(places, subject)?.span()].to_owned())
    };
    let all: Vec<String> = (0..).map_while(sprocket).collect();
    (!all.is_empty()).then(|| format!("[{}]", all.join(", ")))
}

/// What of the operating point is written down, and where it stands in a sheet; the boosts besides.
pub(super) static POINT: [(&str, [&str; 2]); 3] = [
    (POPULATION.name, [trial::KEYS.name, trial::POPULATION.name]),
    (SEED_SPACING.name, [trial::KEYS.name, trial::SEED_SPACING.name]),
    (ALLEY.name, [trial::KEYS.name, trial::ALLEY.name]),
];
/// Where the speed stands.
pub(super) static TRIAL_SPEED: [&str; 2] = [trial::KEYS.name, trial::SPEED.name];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_toml_has_them() {
        let cases = [
            ("4", "4"),
            ("-1", "-1"),
            ("11.50", "11.50"),
            (".5", "0.5"),
            ("-.25", "-0.25"),
            ("5.", "5"),
            ("007", "7"),
            ("0", "0"),
            ("3 1/2 in", "\"3 1/2 in\""),
            ("3,5", "\"3,5\""),
            ("-", "\"-\""),
            ("", "\"\""),
            ("1e5", "\"1e5\""),
        ];
        for (said, written) in cases {
            assert_eq!(spoken(said).to_string(), written, "{said}");
        }
    }
}
