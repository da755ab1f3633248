//! What was said of a run, as the sheet is to have it, with what it lacks.

use crate::quantity::{
    Duration, Length, LengthUnit, OfSystem, ParseError, System, TimeUnit, metric_examples, plain,
};
use crate::sheet::top::BARE_LENGTH;
use crate::sheet::{Source, trial};

use super::super::form::bare_unit;
use super::super::kinds::{self, Kind, Need, Of, Takes};
use super::super::place::Places;
use super::super::run::{Given, NewRun};
use super::super::{WriteError, printable};
use super::columns::{self, Columns};
use super::doubt::{Doubt, Sense};
use super::fits::Suspicion;
use super::marks::length;
use super::token::is_bare;
use super::{echo, fits, marks, pairs, values};

/// What was said of a run.
#[derive(Clone, Debug)]
pub struct Said {
    /// Which kind.
    pub kind: &'static Kind,
    /// What was given for keys by name.
    pub keys: Vec<(&'static str, Given)>,
    /// The readings that were given without a name.
    pub values: Bare,
}

/// Readings without a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bare {
    /// Words of a command line.
    Words(Vec<String>),
    /// A text that was pasted or read.
    Text(String),
    /// Columns of a spreadsheet's file, a reading in each cell.
    Columns(Columns),
}

/// What was understood.
#[derive(Clone, Debug)]
pub struct Understood {
    /// The run to be added.
    pub run: NewRun,
    /// It in one line.
    pub line: String,
    /// Why its readings seem to be in another unit than the one given, where they do.
    pub suspicion: Option<Suspicion>,
}

/// What was said of a run, as the sheet is to have it.
///
/// # Errors
///
/// A [`WriteError`] where something is missing, or may mean two things.
///
/// ```
/// use alleytrue::sheet::writing::{Bare, KINDS, Said, understood};
/// use alleytrue::sheet::{Source, starter};
/// let kind = KINDS.iter().find(|kind| kind.name == "trip").expect("trip runs");
/// let values = Bare::Text("237,4\r\n238,1\r\n238,8".into());
/// let said = Said { kind, keys: vec![], values };
/// let sheet = Source::new("sheet.toml", starter::US);
/// let understood = understood(&sheet, &said).expect("readings");
/// assert_eq!(
///     understood.line,
///     "3 readouts 237.4 to 238.8 in, marks 20 ft (plot + alley)"
/// );
/// ```
pub fn understood(source: &Source, said: &Said) -> Result<Understood, WriteError> {
    let places = Places::of_both(source)?;
    let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
    let mut keys = placed(said, bare)?;
    let of_sheet = marks::add(said.kind, &mut keys, &places, bare);
    missing(said.kind, &keys, &places, bare)?;
    for (name, given) in &mut keys {
        let Some(key) = said.kind.keys.iter().find(|key| key.name == *name) else { continue };
        match given {
            Given::One(text) => *text = in_unit(one(text)?, key.of),
            Given::List(texts) => {
                let text = |text: &String| in_unit(text.clone(), key.of);
                *texts = texts.iter().map(text).collect();
            }
            _ => {}
        }
    }
    let run = NewRun { kind: said.kind, keys };
    let line = echo::line(&run, bare, of_sheet);
    let suspicion = fits::suspicion(&run, &places, bare);
    Ok(Understood { run, line, suspicion })
}

/// The keys with what was given, the readings without a name in their lists.
fn placed(said: &Said, bare: Option<LengthUnit>) -> Result<Vec<(&'static str, Given)>, WriteError> {
    let mut keys = vec![];
    for (name, given) in &said.keys {
        let given = match given {
            Given::List(texts) => Given::List(list(said.kind, name, texts, bare)?),
            other => other.clone(),
        };
        keys.push((*name, given));
    }
    for (name, more) in bare_lists(said, bare)? {
        match keys.iter_mut().find(|(key, _)| *key == name) {
            Some((_, Given::List(texts))) => texts.extend(more),
            _ => keys.push((name, Given::List(more))),
        }
    }
    let place = |name: &str| said.kind.keys.iter().position(|key| key.name == name);
    keys.sort_by_key(|(name, _)| place(name).map_or(0, |at| at + 1));
    Ok(keys)
}

/// The lists that readings without a name go to.
fn bare_lists(
    said: &Said,
    bare: Option<LengthUnit>,
) -> Result<Vec<(&'static str, Vec<String>)>, WriteError> {
    let kind = said.kind;
    if said.values == Bare::Words(vec![]) {
        return Ok(vec![]);
    }
    if let Some(pair) = &kind.pair {
        let (before, behind) = match &said.values {
            Bare::Words(words) => pairs::in_words(words)?,
            Bare::Text(text) => pairs::in_lines(columns::without_heading(text))?,
            Bare::Columns(columns) => columns.pairs()?,
        };
        if before.is_empty() {
            return Err(nothing(pair.many).into());
        }
        return Ok(vec![(pair.before, before), (pair.behind, behind)]);
    }
    let is_given = |name: &str| said.keys.iter().any(|(key, _)| *key == name);
    let Some(to) = kind.values.iter().find(|to| to.with.is_none_or(is_given)) else {
        return Err(Doubt::new(
            format!("`record {}` takes no readings without a name", kind.name),
            "name the list they go to by its option".into(),
        )
        .into());
    };
    let texts = match &said.values {
        Bare::Words(words) => list(kind, to.key, words, bare)?,
        Bare::Text(text) => {
            let text = columns::without_heading(text).to_owned();
            columns::one_column(&text)?;
            list(kind, to.key, &[text], bare)?
        }
        Bare::Columns(columns) => columns.readings()?,
    };
    if texts.is_empty() {
        return Err(nothing(to.many).into());
    }
    Ok(vec![(to.key, texts)])
}

fn nothing(many: &str) -> Doubt {
    Doubt::new("there are no readings".into(), format!("give the {many}"))
}

/// The readings of a list.
fn list(
    kind: &Kind,
    name: &str,
    texts: &[String],
    bare: Option<LengthUnit>,
) -> Result<Vec<String>, WriteError> {
    // What parts readings may be a control character; nothing else may.
    for text in texts {
        let parted = text.trim().is_empty() || text.chars().any(char::is_numeric);
        let kept = |c: char| c.is_control() && !(parted && "\n\r\t".contains(c));
        let text: String = text.chars().filter(|c| !c.is_control() || kept(*c)).collect();
        printable(&format!("`{name}`"), &text)?;
    }
    let of = kind.keys.iter().find(|key| key.name == name).map_or(Of::Else, |key| key.of);
    Ok(values::readings(texts, &Sense { of, bare })?)
}

/// The text of a single value.
fn one(text: &str) -> Result<String, Doubt> {
    let texts = values::cells(std::slice::from_ref(&text.to_owned()))?;
    Ok(texts.into_iter().next().unwrap_or_default())
}

/// A bare number with the unit that makes sense of its key; a bare length takes that of the sheet.
fn in_unit(text: String, of: Of) -> String {
    let lacks = |text: &str| matches!(Duration::parse(text, None), Err(ParseError::NoUnit { .. }));
    if of == Of::Time
        && lacks(&text)
        && let Ok(time) = Duration::parse(&text, Some(TimeUnit::Second))
    {
        return time.to_string();
    }
    match (of, without_fraction(&text)) {
        (Of::Else, Some(number)) => number,
        _ => text,
    }
}

/// A bare number with a fraction, in digits: `29 1/2` turns are 29.5. Only lengths are written
/// with fractions.
fn without_fraction(text: &str) -> Option<String> {
    if !text.contains('/') || !is_bare(text) {
        return None;
    }
    let number = Length::parse(text, Some(LengthUnit::Millimetre)).ok()?.base();
    let digits = plain(number);
    // Thirds have no end.
    (digits.len() <= 10).then_some(digits)
}

/// Refuses a run that lacks what it can't do without, by the names of the command line.
fn missing(
    kind: &Kind,
    keys: &[(&'static str, Given)],
    places: &Places<'_>,
    bare: Option<LengthUnit>,
) -> Result<(), WriteError> {
    let given = |name: &str| keys.iter().any(|(key, _)| *key == name);
    let is_list = |name: &str| {
        kind.keys.iter().any(|key| key.name == name && matches!(key.takes, Takes::List))
    };
    let option = |key: &kinds::Key| match key.takes {
        Takes::List => None,
        _ => Some((format!("--{}", key.name), format!("--{} {}", key.name, key.example))),
    };
    let wanted = kind.keys.iter().filter(|key| !given(key.name));
    let in_every_run = |key: &kinds::Key| key.name == HEADING && kind.pair.is_some();
    let needed = |key: &&kinds::Key| {
        key.needed == Need::Always || (in_every_run(key) && others_have(kind, key.name, places))
    };
    let always: Vec<_> = wanted.clone().filter(needed).filter_map(option).collect();
    let any = kind.keys.iter().filter(|key| key.needed == Need::OneOf);
    let any: Vec<_> = any.filter(|key| !is_list(key.name)).collect();
    let any_missing = !any.is_empty() && !any.iter().any(|key| given(key.name));
    let lists = kind.keys.iter().filter(|key| is_list(key.name) && key.needed != Need::No);
    let no_readings = lists.clone().next().is_some() && !lists.clone().any(|key| given(key.name));
    let (mut lacks, mut types): (Vec<String>, Vec<String>) = always.into_iter().unzip();
    if any_missing {
        let names: Vec<String> = any.iter().map(|key| format!("--{}", key.name)).collect();
        lacks.push(names.join(" or "));
        types.extend(any.first().map(|key| format!("--{} {}", key.name, key.example)));
    }
    if no_readings {
        let pair = kind.pair.as_ref().map(|pair| pair.many);
        let many = pair.or(kind.values.last().map(|to| to.many)).unwrap_or("readings");
        lacks.push(format!("the {many}"));
        types.push(example(kind));
    }
    if lacks.is_empty() {
        return Ok(());
    }
    let words = format!("`record {}` needs {}", kind.name, lacks.join(", "));
    let alley = || length(places, &[trial::KEYS.name, trial::ALLEY.name], bare);
    let unit = bare.or_else(|| alley().map(|alley| alley.unit()));
    let types = types.join(" ");
    let types = match unit {
        Some(unit) if unit.in_system(System::Metric) == unit => metric_examples(&types),
        _ => types,
    };
    Err(Doubt::new(words, format!("add {types}")).into())
}

/// The key that stands in every run of alleys or in none.
const HEADING: &str = "heading";

/// Whether a run of this kind that the sheet has already has the key.
fn others_have(kind: &Kind, key: &str, places: &Places<'_>) -> bool {
    (0..)
        .map(|at: usize| at.to_string())
        .take_while(|at| places.value(&[kind.table, at]).is_some())
        .any(|at| places.value(&[kind.table, &at, key]).is_some())
}

/// Readings as they may be typed for a kind.
fn example(kind: &Kind) -> String {
    if kind.pair.is_some() {
        return "11.5/17.5 12/18.5".into();
    }
    let list = kind.values.last().map(|to| to.key);
    let example = kind.keys.iter().find(|key| Some(key.name) == list).map_or("", |key| key.example);
    example.trim_matches(['[', ']']).replace(',', "")
}
