//! What the sheet says put right: a setting that was never keyed in, a direction typed wrong, a
//! change taken back, a value of the crew's own.

use toml_edit::Value;

use crate::outcome::setting::{SETBACK, Setting, TRIP_SCALE};
use crate::outcome::{ChangeSeen, Changed, DEPTH_TURNS, Report};
use crate::quantity::brief;
use crate::record::{Change, Run, Subject};
use crate::sheet::planter::{MOVES, RAISING};
use crate::sheet::with::{self, WITH};
use crate::sheet::{FieldSheet, NewText, Source, history};

use super::by_hand::as_label;
use super::change::{Label, Put, entry, history_at_the_end, proved, put_in, write_labels};
use super::drop::count_again;
use super::place::{Edit, Places, rewritten};
use super::run::{as_text, checked, spoken, typed_value};
use super::{WriteError, printable};

const LOOK: &str = "`alleytrue history` shows what was changed";

/// What is to be put right.
#[derive(Clone, Debug)]
pub enum Correction {
    /// A setting takes a value of the crew's own, as typed.
    Own(Subject, String),
    /// The last change is taken back, on the planter too.
    Undo,
    /// The last change of a setting was never made on the planter.
    NotSet(Subject),
    /// At the last change of a setting another number was keyed in than the sheet has, as typed.
    Was(Subject, String),
    /// The direction of a setting is the other way round.
    Turn(Subject),
    /// What a change of a setting was seen to do goes into the sheet.
    Learn(&'static Setting, ChangeSeen),
}

impl Correction {
    /// What the last change of a setting has shown of it, where that was measured.
    #[must_use]
    pub fn learned(report: &Report, subject: Subject) -> Option<Correction> {
        let mut all = report.outcomes.iter().flat_map(|outcome| &outcome.seen);
        all.find_map(|seen| match seen.what {
            Changed::Setting(setting) if seen.is_last && Subject::Held(setting) == subject => {
                Some(Correction::Learn(setting, *seen))
            }
            _ => None,
        })
    }
}

/// The text of a sheet with something put right, and what was changed by it.
///
/// # Errors
///
/// A [`WriteError`] where there is nothing of the kind in the sheet, or it can't be changed.
///
/// ```
/// use alleytrue::record::Subject;
/// use alleytrue::sheet::writing::{Correction, correct};
/// use alleytrue::sheet::{FieldSheet, Source, starter};
/// let source = Source::new("sheet.toml", starter::US);
/// let sheet = FieldSheet::read(&source).expect("a sheet");
/// let setback = Subject::of_key("setback").expect("a setting");
/// let turned = correct(&source, &sheet, &Correction::Turn(setback), "2027-05-01", None);
/// let (text, _) = turned.expect("a sheet");
/// assert!(text.contains("setback = { raising-moves-alley = \"ahead\""));
/// ```
pub fn correct(
    source: &Source,
    before: &FieldSheet,
    correction: &Correction,
    day: &str,
    reason: Option<&str>,
) -> Result<(NewText, Vec<Subject>), WriteError> {
    let why = |usual: &str| reason.unwrap_or(usual).to_owned();
    match correction {
        Correction::Own(subject, text) => {
            let name = subject.name();
            printable(&format!("the {name}"), text)?;
            let put = put(*subject, spoken(text), why("as the crew wants it"));
            Ok((put_in(source, before, &[put], day)?, vec![*subject]))
        }
        Correction::Undo => undo(source, before, day, &why("taken back")),
        Correction::NotSet(subject) => {
            let change = last_change(before, *subject)?;
            let from = spoken(&change.from.text);
            let reason = why("never set on the planter");
            let text = was(source, before, change, from, day, reason)?;
            Ok((text, vec![*subject]))
        }
        Correction::Was(subject, text) => {
            printable(&format!("the {}", subject.name()), text)?;
            let change = last_change(before, *subject)?;
            let reason = why("set to this on the planter");
            let text = was(source, before, change, spoken(text), day, reason)?;
            Ok((text, vec![*subject]))
        }
        Correction::Turn(subject) => {
            let text = turn(source, before, *subject, day, why("it works the other way round"))?;
            Ok((text, vec![*subject]))
        }
        Correction::Learn(setting, seen) => {
            let text = learn(source, before, (setting, *seen), day, why("seen by a change"))?;
            Ok((text, vec![Subject::Held(setting)]))
        }
    }
}

/// What is put behind a setting: words stay words, whatever they look like.
fn value_of(subject: Subject, said: Value) -> Value {
    match subject {
        Subject::Hand(what) => as_label(what, &said),
        _ => said,
    }
}

fn put(subject: Subject, to: Value, reason: String) -> Put {
    let to = value_of(subject, to);
    Put { subject, to, error: None, reason, runs: vec![] }
}

/// The last change with those that belong to it: the swaps of one combination.
fn undo(
    source: &Source,
    before: &FieldSheet,
    day: &str,
    reason: &str,
) -> Result<(NewText, Vec<Subject>), WriteError> {
    let changes = &before.record.changes;
    let nothing = || WriteError::Refused("the sheet has no [[history]]".into(), LOOK);
    let last = changes.last().ok_or_else(nothing)?;
    if let Subject::Run { table, number } = last.setting {
        let text = count_again(source, before, (table, number), reason, day)?;
        return Ok((text.into(), vec![last.setting]));
    }
    if let Subject::Direction(setting) = last.setting {
        let text = match [&TRIP_SCALE, &DEPTH_TURNS].contains(&setting) {
            true => turn(source, before, last.setting, day, reason.to_owned())?,
            false => {
                let (way, size) =
                    last.from.text.split_once(MOVING).unwrap_or((&last.from.text, "1"));
                works(source, before, setting, [way, size], day, reason.to_owned())?
            }
        };
        return Ok((text, vec![last.setting]));
    }
    let is_swap = |one: &Change| matches!(one.setting, Subject::Sprocket { .. });
    let together = |one: &&Change| is_swap(one) && one.date == last.date;
    let is_timer = |one: &Change| matches!(one.setting, Subject::Timed(_));
    // The setback that went with another speed.
    let with_it = |one: &&Change| {
        let own = one.setting == last.setting || one.setting == Subject::Held(&SETBACK);
        own && one.date == last.date && one.reason == last.reason
    };
    let taken: Vec<&Change> = match last.setting {
        _ if is_swap(last) => changes.iter().rev().take_while(together).collect(),
        Subject::Speed => changes.iter().rev().take_while(with_it).take(2).collect(),
        _ => vec![last],
    };
    let of_the_day = changes.iter().rev().take_while(|one| one.date == last.date && is_timer(one));
    if is_timer(last) && { of_the_day }.any(|one| one.from.text == history::NOT_SET) {
        let words = "timers that were set for the first time can't be taken back";
        return Err(WriteError::Refused(
            words.into(),
            "set others by --setting NAME.for=\"1.5 s\" and NAME.wait",
        ));
    }
    let back = |one: &&Change| put(one.setting, spoken(&one.from.text), reason.to_owned());
    let puts: Vec<Put> = taken.iter().map(back).collect();
    let subjects = taken.iter().map(|one| one.setting).collect();
    Ok((put_in(source, before, &puts, day)?, subjects))
}

/// The last change of a setting.
fn last_change(before: &FieldSheet, subject: Subject) -> Result<&Change, WriteError> {
    let name = subject.name();
    let never = || WriteError::Refused(format!("the {name} was never changed"), LOOK);
    before.record.changes.iter().rfind(|one| one.setting == subject).ok_or_else(never)
}

/// The runs since a change count as made with what was really set by it, and the sheet holds that.
fn was(
    source: &Source,
    before: &FieldSheet,
    change: &Change,
    held: Value,
    day: &str,
    reason: String,
) -> Result<NewText, WriteError> {
    printable("the reason", &reason)?;
    let places = Places::of_both(source)?;
    let subject = change.setting;
    let held = value_of(subject, held);
    let name = subject.name();
    let lost = || {
        let words = format!("the {name} is no longer what it was changed to");
        WriteError::Refused(words, LOOK)
    };
    let now = before.record.held(subject).filter(|now| now.is_same(&change.to));
    let place = typed_value(&places, subject).filter(|_| now.is_some()).ok_or_else(lost)?;
    let mut edits: Vec<Edit> = vec![(place.span(), held.to_string())];
    let runs = before.record.runs.iter();
    edits.extend(runs.filter_map(|run| {
        let value = said_since(&places, run, change)?;
        Some((value, held.to_string()))
    }));
    let label = Label {
        tables: subject.effect().moves,
        key: with::key(subject),
        value: held.to_string(),
        row: subject.row(),
    };
    edits.extend(write_labels(&places, &[label])?);
    let typed = &source.both()[place.span()];
    let line = entry(&places, &put(subject, held, reason), typed, day)?;
    edits.push(history_at_the_end(&places, &as_text(history::KEYS.name, line))?);
    let (text, after) = checked(source, rewritten(source, edits))?;
    proved(before, &after, &[subject])?;
    Ok(text)
}

/// Where a run of after a change says that it was made with the new value.
fn said_since(places: &Places<'_>, run: &Run, change: &Change) -> Option<std::ops::Range<usize>> {
    let earlier = run.date.as_ref().is_some_and(|date| *date < change.date);
    let held = run.had(change.setting)?;
    if earlier || !held.is_same(&change.to) {
        return None;
    }
    let index = (run.number - 1).to_string();
    let value = places.value(&[run.table, &index, WITH.name, &with::key(change.setting)])?;
    Some(value.span())
}

/// What a direction is turned to.
const TURNED: [(&str, &str, &str); 6] = [
    ("raising-moves-alley", "back", "ahead"),
    ("raising-moves-alley", "ahead", "back"),
    ("counts", "per length", "per count"),
    ("length", "per count", "per length"),
    ("turning-in", "deeper", "shallower"),
    ("turning-in", "shallower", "deeper"),
];

/// The direction of a setting turned round in the sheet.
fn turn(
    source: &Source,
    before: &FieldSheet,
    subject: Subject,
    day: &str,
    reason: String,
) -> Result<NewText, WriteError> {
    printable("the reason", &reason)?;
    let places = Places::of_both(source)?;
    let no_direction = || {
        let words = format!("the sheet has no direction of the {}", subject.name());
        WriteError::Refused(
            words,
            "it stands in [planter.controller], or in depth-turns of [planter]",
        )
    };
    let direction = Subject::direction_of(own_key(subject)).ok_or_else(no_direction)?;
    let place = typed_value(&places, direction).ok_or_else(no_direction)?.span();
    let typed = &source.both()[place.clone()];
    let word = typed.trim_matches(['"', '\'']);
    let key_at = |key: &str| source.both()[..place.start].rfind(key);
    let turned = TURNED.iter().find(|(key, old, _)| {
        // The key stands right before its value.
        let between = key_at(key).map(|at| source.both()[at + key.len()..place.start].trim());
        *old == word && between.is_some_and(|text| text.trim_matches(['"', '\'']).trim() == "=")
    });
    let (key, _, new) = turned.ok_or_else(no_direction)?;
    let (start, text) = match *key {
        // The two kinds of trip scale have a key of their own each.
        "counts" => (key_at(key), format!("length = \"{new}\"")),
        "length" => (key_at(key), format!("counts = \"{new}\"")),
        _ => (Some(place.start), format!("\"{new}\"")),
    };
    let edit = (start.unwrap_or(place.start)..place.end, text);
    let line = entry(&places, &put(direction, Value::from(*new), reason), typed, day)?;
    let line = history_at_the_end(&places, &as_text(history::KEYS.name, line))?;
    let (text, after) = checked(source, rewritten(source, vec![edit, line]))?;
    proved(before, &after, &[direction])?;
    Ok(text)
}

/// The key of the setting that a direction is of.
fn own_key(subject: Subject) -> &'static str {
    match subject {
        Subject::Held(setting) | Subject::Direction(setting) => setting.key,
        _ => "",
    }
}

/// Between the direction and the size of a setting in the history.
const MOVING: &str = ", moves ";

/// The direction and size of a setting as a change of it has shown them.
fn learn(
    source: &Source,
    before: &FieldSheet,
    (setting, seen): (&'static Setting, ChangeSeen),
    day: &str,
    reason: String,
) -> Result<NewText, WriteError> {
    let places = Places::of_both(source)?;
    let at = |key: &str| places.typed(&["planter", "controller", setting.key, key]);
    let is_ahead = at(RAISING.name).is_some_and(|typed| typed.contains("ahead"));
    let way = if (seen.ratio < 0.0) == is_ahead { "back" } else { "ahead" };
    let had = at(MOVES.name).and_then(|typed| typed.parse::<f64>().ok()).unwrap_or(1.0);
    let size = simplest(seen.interval.map(|end| (end * had).abs()), (seen.ratio * had).abs());
    works(source, before, setting, [way, &size], day, reason)
}

/// Which way a setting works, and what a unit of it moves, put into the sheet.
fn works(
    source: &Source,
    before: &FieldSheet,
    setting: &'static Setting,
    [way, size]: [&str; 2],
    day: &str,
    reason: String,
) -> Result<NewText, WriteError> {
    printable("the reason", &reason)?;
    let places = Places::of_both(source)?;
    let at = |key: &str| places.value(&["planter", "controller", setting.key, key]);
    let no_direction = || {
        let words = format!("the sheet has no direction of the {}", setting.name);
        WriteError::Refused(words, "it stands in [planter.controller]")
    };
    let place = at(RAISING.name).ok_or_else(no_direction)?.span();
    let old = source.both()[place.clone()].trim_matches(['"', '\'']).to_owned();
    let mut edits: Vec<Edit> = vec![(place.clone(), format!("\"{way}\""))];
    let old = match at(MOVES.name) {
        Some(moves) => {
            edits.push((moves.span(), size.to_owned()));
            [&old, MOVING, &source.both()[moves.span()]].concat()
        }
        None if size == "1" => old,
        // In braces, or a line of its own below the other.
        None => {
            let line = format!("{} = {size}", MOVES.name);
            let before = &source.both()[..place.start];
            let on_line = before.rfind('\n').map_or(before, |at| &before[at..]);
            let between = if on_line.contains('{') { ", " } else { places.line_end() };
            edits.push((place.end..place.end, format!("{between}{line}")));
            old
        }
    };
    let direction = Subject::Direction(setting);
    let to = if size == "1" { way.to_owned() } else { [way, MOVING, size].concat() };
    let old = Value::from(old).to_string();
    let line = entry(&places, &put(direction, Value::from(to), reason), &old, day)?;
    edits.push(history_at_the_end(&places, &as_text(history::KEYS.name, line))?);
    let (text, after) = checked(source, rewritten(source, edits))?;
    proved(before, &after, &[direction])?;
    Ok(text)
}

/// Sizes that settings have: the same, half or twice, and units taken for one another.
const SIZES: [(f64, &str); 11] = [
    (1.0, "1"),
    (2.0, "2"),
    (0.5, "0.5"),
    (10.0, "10"),
    (0.1, "0.1"),
    (2.54, "2.54"),
    (25.4, "25.4"),
    (12.0, "12"),
    (0.3937, "0.3937"),
    (0.03937, "0.03937"),
    (30.48, "30.48"),
];

/// The plainest size within an interval, else the middle to two figures.
fn simplest(ends: [f64; 2], middle: f64) -> String {
    let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    let plain = SIZES.iter().find(|(size, _)| (low..=high).contains(size));
    plain.map_or_else(|| brief(middle), |(_, text)| (*text).to_owned())
}
