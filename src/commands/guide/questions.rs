//! What a run is asked that nobody else knows, before its readings.

use crate::sheet::Source;
use crate::sheet::writing::{
    Bare, Columns, Given, Key, Kind, Need, Said, Takes, Understood, WriteError, add_run, last_said,
    understood,
};

use super::desk::Desk;
use super::halt::Going;
use super::kept::{Kept, Unrecorded};
use super::lines::{Answer, Talk, is_no, is_yes};

/// The key that every run of alleys is asked for: which way the pass went.
pub(super) const HEADING: &str = "heading";

impl Unrecorded {
    /// It as `record` is told of one, with these readings.
    pub(super) fn said(&self, values: Bare) -> Said {
        let mut keys = vec![("date", Given::Day(self.day.clone()))];
        keys.extend(self.by.clone().map(|by| ("by", Given::Text(by))));
        keys.extend(self.answers.iter().map(|(name, text)| (*name, self.given(name, text))));
        Said { kind: self.kind, keys, values }
    }

    fn given(&self, name: &str, text: &str) -> Given {
        let takes = self.kind.keys.iter().find(|key| key.name == name).map(|key| &key.takes);
        match takes {
            Some(Takes::Text | Takes::Word(_)) => Given::Text(text.to_owned()),
            Some(Takes::YesNo) => Given::YesNo(text == "true"),
            _ => Given::One(text.to_owned()),
        }
    }

    /// The readings as cells that were typed one by one.
    pub(super) fn values_of(&self, readings: &[Vec<String>]) -> Bare {
        if readings.is_empty() {
            return Bare::Words(vec![]);
        }
        let sides = super::kept::sides_of(self.kind);
        let column =
            |side: usize| readings.iter().filter_map(|both| both.get(side).cloned()).collect();
        Bare::Columns(Columns::of((0..sides).map(column).collect()))
    }
}

/// A run as it would stand in the sheet, and the text of the sheet then.
pub(super) fn on_trial(source: &Source, said: &Said) -> Result<(Understood, String), WriteError> {
    let understood = understood(source, said)?;
    let text = add_run(source, &understood.run)?;
    Ok((understood, text))
}

/// Why something can't stand in the sheet, in words.
pub(super) fn words(error: &WriteError) -> String {
    match error {
        WriteError::Refused(words, advice) => format!("{words}; {advice}"),
        WriteError::Doubtful { words, advice } => format!("{words}; {advice}"),
        WriteError::Mistakes { mistakes, .. } => mistakes.first().map_or_else(
            || error.to_string(),
            |first| {
                let allowed = first.allowed.as_ref().map(|words| format!("; allowed: {words}"));
                format!("{}{}; {}", first.message, allowed.unwrap_or_default(), first.advice)
            },
        ),
    }
}

/// Asks what the run is asked, until it all goes together.
pub(super) fn ask_all(desk: &mut Desk, talk: &mut Talk<'_>, run: &mut Unrecorded) -> Going<()> {
    let mut at = run.answers.len();
    loop {
        let source = desk.read(talk)?.source;
        let keys = wanted(run, &source);
        let Some(key) = keys.get(at).filter(|_| at < keys.len()) else {
            let Err(error) = on_trial(&source, &sample(run)) else { return Ok(()) };
            talk.say("  ", &words(&error))?;
            // Where nothing was asked, the readings may still say it.
            if at == 0 {
                return Ok(());
            }
            run.answers.clear();
            at = 0;
            continue;
        };
        let usual = last_said(source.text(), run.kind, key.name);
        match ask(talk, key, usual.as_deref())? {
            Asked::Answer(answer) => run.answers.push((key.name, answer)),
            Asked::Nothing => {}
            Asked::Back => {
                at = at.saturating_sub(1);
                let name = keys.get(at).map_or("", |key| key.name);
                run.answers.retain(|(own, _)| *own != name);
                continue;
            }
        }
        at += 1;
        desk.keep(&Kept::Run(run.clone()), talk)?;
    }
}

/// The keys that are asked for.
fn wanted(run: &Unrecorded, source: &Source) -> Vec<&'static Key> {
    let is_list = |key: &Key| key.takes == Takes::List;
    let kind = run.kind;
    // A run without readings is all questions.
    let all = !kind.keys.iter().any(|key| is_list(key) && key.needed != Need::No);
    // Of other runs than those of alleys the heading counts on slopes only.
    let heading = |key: &Key| key.name == HEADING && kind.pair.is_some();
    let asked = |key: &&Key| !is_list(key) && (all || key.needed == Need::Always || heading(key));
    let mut keys: Vec<&Key> = kind.keys.iter().filter(asked).collect();
    if lacks_one_of(run, source) {
        keys.extend(kind.keys.iter().filter(|key| !is_list(key) && key.needed == Need::OneOf));
    }
    keys
}

/// Whether one of several keys is needed, and the sheet does not say it.
fn lacks_one_of(run: &Unrecorded, source: &Source) -> bool {
    let one_of = |key: &&Key| key.needed == Need::OneOf && key.takes != Takes::List;
    let mut any = run.kind.keys.iter().filter(one_of).peekable();
    if any.peek().is_none() {
        return false;
    }
    let without = Unrecorded {
        answers: run
            .answers
            .iter()
            .filter(|(name, _)| !is_one_of(run.kind, name))
            .cloned()
            .collect(),
        ..run.clone()
    };
    let needs = |error: WriteError| match error {
        WriteError::Doubtful { words, .. } => {
            any.any(|key| words.contains(&["--", key.name].concat()))
        }
        _ => false,
    };
    understood(source, &sample(&without)).err().is_some_and(needs)
}

fn is_one_of(kind: &Kind, name: &str) -> bool {
    kind.keys.iter().any(|key| key.name == name && key.needed == Need::OneOf)
}

/// The run with readings out of the examples of its keys, to see whether the answers go together.
fn sample(run: &Unrecorded) -> Said {
    let example = |name: &str| {
        let key = run.kind.keys.iter().find(|key| key.name == name)?;
        let value: toml_edit::Value = key.example.parse().ok()?;
        let first = value.as_array().and_then(|list| list.get(0).cloned()).unwrap_or(value);
        let text = first.as_str().map(str::to_owned);
        Some(text.unwrap_or_else(|| first.to_string().trim().to_owned()))
    };
    let given = |name: &str| run.answers.iter().any(|(key, _)| *key == name);
    let lists: Vec<&str> = match &run.kind.pair {
        Some(pair) => vec![pair.before, pair.behind],
        None => {
            let list = run.kind.values.iter().find(|to| to.with.is_none_or(given));
            list.map(|to| to.key).into_iter().collect()
        }
    };
    let reading: Option<Vec<String>> = lists.into_iter().map(example).collect();
    run.said(run.values_of(&reading.into_iter().collect::<Vec<_>>()))
}

/// What was answered to one question.
enum Asked {
    Answer(String),
    Nothing,
    Back,
}

/// Asks for one key; the last run's answer is the usual one.
fn ask(talk: &mut Talk<'_>, key: &Key, usual: Option<&str>) -> Going<Asked> {
    let may_be_left_out = key.needed != Need::Always && key.name != HEADING;
    let words = match &key.takes {
        Takes::Word(words) => format!(" ({})", words.join(" or ")),
        Takes::YesNo => " (y or n)".to_owned(),
        _ => String::new(),
    };
    let shown = match (usual, may_be_left_out) {
        (Some(usual), _) => format!(" [{usual}]"),
        (None, true) => " [none]".to_owned(),
        (None, false) => String::new(),
    };
    let prompt = format!("{}{words}{shown}", key.name.replace('-', " "));
    let usually = usual.map_or(String::new(), |usual| format!("; Enter: {usual}, as last time"));
    let help = format!("{}; such as {}{usually}", key.about, key.example);
    loop {
        match (talk.ask(&prompt, &help)?, usual) {
            (Answer::Back, _) => return Ok(Asked::Back),
            (Answer::Enter, Some(usual)) => return Ok(Asked::Answer(usual.to_owned())),
            (Answer::Enter, None) if may_be_left_out => return Ok(Asked::Nothing),
            (Answer::Enter, None) => talk.say("  ", &help)?,
            (Answer::Text(text), _) => match as_taken(key, &text) {
                Some(answer) => return Ok(Asked::Answer(answer)),
                None => talk.say("  ", &format!("`{text}` is none of these: {help}"))?,
            },
        }
    }
}

/// An answer as the key takes it: a word by its beginning, y for true.
fn as_taken(key: &Key, text: &str) -> Option<String> {
    match &key.takes {
        Takes::Word(words) => {
            let text = text.to_lowercase();
            let mut fits = words.iter().filter(|word| word.starts_with(&text));
            fits.next().filter(|_| fits.next().is_none()).map(|word| (*word).to_owned())
        }
        Takes::YesNo if is_yes(text) || text == "true" => Some("true".into()),
        Takes::YesNo if is_no(text) || text == "false" => Some("false".into()),
        Takes::YesNo => None,
        _ => Some(text.to_owned()),
    }
}
