//! A change: what is to be set, whether it was, and the sheet told of it by the way of `apply`.

use crate::outcome::setting::TRIP_SCALE;
use crate::outcome::warning::{
    CHANGE_OF_OTHER_SIZE, CHANGE_REVERSED, CHANGE_WITHOUT_EFFECT, WarningKind,
};
use crate::outcome::{Next, Outcome, Report, SettingResult, ToDo};
use crate::quantity::{Duration, Length, parse_number};
use crate::record::{Change, Subject};
use crate::render::harmless;
use crate::sheet::FieldSheet;
use crate::sheet::writing::Kind;

use super::super::apply::{Arguments, Asked, changed, doubt_of};
use super::desk::Desk;
use super::halt::{Going, Halt};
use super::kinds::named;
use super::lines::{Answer, Talk, is_no, is_yes};

/// Asks whether the next step was taken on the planter, and writes it; `n` ends the conversation.
/// Where something is to be measured instead, that is handed back.
pub(super) fn make(
    desk: &mut Desk,
    talk: &mut Talk<'_>,
    sheet: &FieldSheet,
    report: &Report,
) -> Going<Option<&'static Kind>> {
    let single = single(report);
    let (prompt, help) = match &single {
        Some(_) => (
            "is it set on the planter? (y, another value, n)",
            "y: the planter holds it now; another value: what was set instead; n: not yet, and \
             nothing is written; trip, alley and so on: that is measured instead",
        ),
        None => (
            "is it done on the planter? (y or n)",
            "y: it was done as said; n: not yet, and nothing is written; trip, alley and so on: that \
             is measured instead",
        ),
    };
    loop {
        let asked = match (talk.ask(prompt, help)?, &single) {
            (Answer::Text(text), _) if is_yes(&text) => Asked::Next,
            (Answer::Text(text), _) if is_no(&text) => {
                talk.say("  ", "then it waits: the next `guide` asks again")?;
                return Err(Halt::Stopped);
            }
            (Answer::Text(text), _) if named(&text).is_some() => return Ok(named(&text)),
            (Answer::Text(text), Some((_, now))) if is_same(&text, now) => {
                talk.say("  ", "that is what the sheet has now; n where it is not set yet")?;
                continue;
            }
            (Answer::Text(text), Some((subject, now))) if is_value(&text) => {
                Asked::Own(*subject, in_its_unit(&text, now))
            }
            _ => {
                talk.say("  ", help)?;
                continue;
            }
        };
        if write(desk, talk, &sheet.record.changes, asked)? {
            return Ok(None);
        }
    }
}

/// The one setting that the next step changes, and what it is now, where it is one.
fn single(report: &Report) -> Option<(Subject, String)> {
    let ToDo::Set(settings) = report.to_do() else { return None };
    let [one]: [&SettingResult; 1] = settings.try_into().ok()?;
    let now = one.now.as_ref().and_then(|now| now.typed_text().map(|text| text.into_owned()));
    Some((Subject::of_result(one)?, now.unwrap_or_default()))
}

/// Whether a text may be the value of a setting: a number, a length or a time.
fn is_value(text: &str) -> bool {
    let text = with_point(text);
    parse_number(&text).is_ok()
        || Length::parse(&text, None).is_ok()
        || Duration::parse(&text, None).is_ok()
}

/// A number with its decimal comma made a point; a comma before three digits may set thousands apart
/// and is left.
fn with_point(text: &str) -> String {
    match text.split_once(',') {
        Some((_, decimals)) if decimals.chars().take_while(char::is_ascii_digit).count() != 3 => {
            text.replacen(',', ".", 1)
        }
        _ => text.to_owned(),
    }
}

/// A value with the unit that the setting has in the sheet, where none was typed.
fn in_its_unit(text: &str, held: &str) -> String {
    let text = with_point(text);
    let unit = held.trim_start_matches(|c: char| !c.is_alphabetic());
    let one_unit = unit.chars().all(char::is_alphabetic);
    match parse_number(&text) {
        Ok(_) if one_unit && !unit.is_empty() => format!("{text} {unit}"),
        _ => text,
    }
}

/// Whether a value that was typed is the one that the sheet has, in its unit where none was typed.
fn is_same(typed: &str, held: &str) -> bool {
    let number = |text: &str| parse_number(text).ok().map(|number| number.value());
    let length = |text: &str| Length::parse(text, None).ok().map(|length| length.base());
    let time = |text: &str| Duration::parse(text, None).ok().map(|time| time.base());
    let typed = &in_its_unit(typed, held);
    let both = |of: &dyn Fn(&str) -> Option<f64>| of(typed).zip(of(held));
    let near = |(one, other): (f64, f64)| (one - other).abs() <= 1e-9 * other.abs();
    typed == held || both(&length).or(both(&time)).or(both(&number)).is_some_and(near)
}

/// Writes a change by the way of `apply`; whether it did.
fn write(desk: &mut Desk, talk: &mut Talk<'_>, before: &[Change], asked: Asked) -> Going<bool> {
    let read = desk.read(talk)?;
    if let Some(words) = doubt_of(&read.source, &read.sheet, &asked, &desk.day) {
        talk.say("  ", &harmless(&words))?;
        let help = "y: it is meant so; n: type it again, with its unit";
        if !talk.is_so("is it meant so? (y or n)", None, help)? {
            return Ok(false);
        }
    }
    let by = desk.by.clone();
    let arguments = Arguments::asked(&desk.path, &desk.readings, asked, &desk.day, by.as_deref());
    let style = talk.style;
    if !desk.write(talk, || changed(&arguments, style))? {
        return Ok(false);
    }
    desk.open.clear();
    desk.headings.clear();
    let read = desk.read(talk)?;
    for change in read.sheet.record.changes.iter().skip(before.len()) {
        let words = format!(
            "{}: {} (was {})",
            change.setting.name(),
            harmless(&change.to.text),
            harmless(&change.from.text)
        );
        talk.say(&format!("in {}: ", harmless(&desk.name())), &words)?;
    }
    Ok(true)
}

/// What the last change of a setting showed, for who has to put it into the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// It went the other way than the sheet says.
    Reversed,
    /// It did nothing, as one that was never keyed in.
    NotAsSet,
    /// It went further or less far than the sheet says.
    OfOtherSize,
    /// It was a trial, and told which way and how far the setting works.
    Learned,
}

/// What is to be put right before anything else is set, where a change showed it.
pub(super) fn fault(report: &Report) -> Option<(Subject, Fault)> {
    let next = report.next.as_ref()?;
    let outcome = report.outcomes.iter().find(|one| one.calculation == next.calculation)?;
    let last = outcome.seen.iter().rev().filter(|seen| seen.is_last);
    let mut all = last.filter_map(|seen| {
        Some((Subject::from(seen.what), asked_for(next, outcome, &seen.what.key())?))
    });
    all.next()
}

/// What a step asks about the last change of something, by its key.
fn asked_for(next: &Next, outcome: &Outcome, key: &str) -> Option<Fault> {
    let asks = |option: &str| next.instruction.contains(&format!("{option} {key}"));
    let warned = |kind: &WarningKind| outcome.warnings.iter().any(|one| one.kind == kind);
    if warned(&CHANGE_REVERSED) && asks("--turn") {
        Some(Fault::Reversed)
    } else if warned(&CHANGE_WITHOUT_EFFECT) && asks("--not-set") {
        Some(Fault::NotAsSet)
    } else if warned(&CHANGE_OF_OTHER_SIZE) && asks("--was") {
        Some(Fault::OfOtherSize)
    } else {
        asks("--learn").then_some(Fault::Learned)
    }
}

/// Asks what became of a change that did not do what it should, and puts that into the sheet;
/// whether anything was put right.
pub(super) fn put_right(
    desk: &mut Desk,
    talk: &mut Talk<'_>,
    sheet: &FieldSheet,
    subject: Subject,
    fault: Fault,
) -> Going<bool> {
    let changes = &sheet.record.changes;
    let Some(last) = changes.iter().rfind(|one| one.setting == subject) else { return Ok(false) };
    let (from, to) = (last.from.text.clone(), last.to.text.clone());
    if fault == Fault::Learned {
        let help = "y: the sheet is told; n: it stays as it is, and another run may tell";
        let meant = talk.is_so("put that into the sheet? (y or n)", None, help)?;
        return if meant { write(desk, talk, changes, Asked::Learn(subject)) } else { Ok(false) };
    }
    let name = subject.name();
    let prompt = format!("what is the {name} on the planter now?");
    let help = format!(
        "look at the planter first, and type what it has: {to} as in the sheet, {from} where it was \
         never set, or another value"
    );
    loop {
        match talk.ask(&prompt, &help)? {
            Answer::Text(text) if is_same(&text, &from) => {
                return write(desk, talk, changes, Asked::NotSet(subject));
            }
            Answer::Text(text) if is_same(&text, &to) || is_yes(&text) => {
                // What was set is what the sheet has, so it works otherwise than the sheet says; or
                // another run tells.
                let asked = match fault {
                    Fault::Reversed => Asked::Turn(subject),
                    Fault::OfOtherSize if subject != Subject::Held(&TRIP_SCALE) => {
                        Asked::Learn(subject)
                    }
                    _ => return Ok(false),
                };
                return write(desk, talk, changes, asked);
            }
            Answer::Text(text) => {
                let text = in_its_unit(&text, &to);
                if write(desk, talk, changes, Asked::Was(subject, text))? {
                    return Ok(true);
                }
            }
            _ => talk.say("  ", &help)?,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_value_takes_the_unit_of_the_sheet() {
        for (typed, held, value) in [
            ("14,5", "15 in", "14.5 in"),
            ("1.25", "0.05 s", "1.25 s"),
            ("61,4", "61.95", "61.4"),
            ("38 cm", "15 in", "38 cm"),
            ("14", "1 ft 3 in", "14"),
        ] {
            assert_eq!(in_its_unit(typed, held), value);
        }
        assert!(!is_value("1,234") && !is_value("alley") && is_value("61,4"));
    }

    #[test]
    fn a_value_is_the_same_however_it_is_typed() {
        for (typed, held) in [
            ("22", "22 in"),
            ("0,55", "0.55 s"),
            ("22.0", "22 in"),
            ("1 ft 10 in", "22 in"),
            ("402.5", "402.50"),
        ] {
            assert!(is_same(typed, held), "{typed} {held}");
        }
        for (typed, held) in
            [("23", "22 in"), ("22 cm", "22 in"), ("402.51", "402.50"), ("", "22 in")]
        {
            assert!(!is_same(typed, held), "{typed} {held}");
        }
    }
}
