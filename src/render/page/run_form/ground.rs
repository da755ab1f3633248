//! What a blank form is made for: the sheet, the plan, and what is in force.

use std::borrow::Cow;

use crate::forecast::plan;
use crate::outcome::Outcome;
use crate::paper::{Facts, Holding};
use crate::record::{Run, Subject};
use crate::render::drawing::Scene;
use crate::render::harmless;
use crate::render::page::blocks::{Field, Form, List};
use crate::sheet::Hint;
use crate::sheet::writing::{BlankForm, Kind as RunKind, Listed, Takes};

/// Readings that are usual where no plan says more. Common practice, no source.
pub(super) const USUAL: usize = 10;
/// Blanks of a form at the most; where the plan asks for more, it takes more copies.
const MOST: usize = 60;
/// Blanks of a form of single places along a row, which fill a page.
pub(super) const ONE_PAGE: usize = 24;

/// A form with its heading, how to measure, and a picture.
pub(super) type Sheet = (Cow<'static, str>, String, Option<Scene>, Form);

/// What a form is made for.
pub(super) struct Ground<'a> {
    /// What the sheet says, as it is after the step on the cab card.
    pub(super) facts: &'a Facts,
    /// How many readings are planned.
    pub(super) planned: Option<&'a Outcome>,
}

impl Ground<'_> {
    /// How many readings a plan asks for, or as many as are usual.
    pub(super) fn readings(&self, what: &str) -> usize {
        let planned = self.planned.and_then(|outcome| plan::readings_to_decide(outcome, what));
        planned.unwrap_or(USUAL).max(USUAL)
    }

    /// The blanks of a run on one form, and what all forms have.
    pub(super) fn form(
        &self,
        kind: &'static RunKind,
        blank: &'static BlankForm,
        count: usize,
        example: &str,
    ) -> Form {
        self.form_of_at_most(MOST, kind, blank, count, example)
    }

    /// The same where a form has room for `most` readings.
    pub(super) fn form_of_at_most(
        &self,
        most: usize,
        kind: &'static RunKind,
        blank: &'static BlankForm,
        count: usize,
        example: &str,
    ) -> Form {
        let unit = |listed: Listed| match listed {
            Listed::Lengths => tape(self.facts).0,
            Listed::In(unit) => unit.into(),
            Listed::Plain => String::new(),
        };
        let list = |(key, listed): &(&'static str, Listed)| List {
            label: plain_words(key),
            key,
            unit: unit(*listed),
        };
        let more = if count > most {
            let copies = count.div_ceil(most);
            format!(" {count} readings are asked for: take {copies} copies of this form.")
        } else {
            String::new()
        };
        Form {
            table: &kind.written,
            fields: self.fields(kind, blank),
            in_force: self.in_force(kind, blank),
            expected: None,
            lists: blank.lists.iter().map(list).collect(),
            count: count.min(most),
            typed: format!("{}.{more}", self.typed(blank, example)),
        }
    }

    /// Blanks with one value, in the order in which they are typed.
    fn fields(&self, kind: &'static RunKind, blank: &'static BlankForm) -> Vec<Field> {
        let field = |key: &'static str, hint: &str| Field {
            label: plain_words(key),
            key,
            hint: hint.into(),
            ..Field::default()
        };
        let mut fields = vec![
            Field { label: "Measured on".into(), ..field("date", "day: 2027-04-18") },
            Field { label: "Measured by".into(), ..field("by", "name or initials, in ink") },
        ];
        let has = |name: &str| blank.fields.iter().any(|(key, _)| *key == name);
        for (key, hint) in &blank.fields {
            let (given, hint) = self.hint(*hint);
            let choices = choices(kind, key, &given);
            let hint = if choices.is_empty() { hint } else { String::new() };
            let given = given.trim_matches('"').to_owned();
            let given = match *key {
                "heading" => with_arrow(&given),
                _ => given,
            };
            fields.push(Field { label: plain_words(key), key, given, hint, choices });
        }
        let where_to = if has("row") { "Pass, range" } else { "Row, pass, range" };
        fields.push(Field {
            label: where_to.into(),
            hint: "into the note".into(),
            ..Field::default()
        });
        fields.push(field("note", "wind, soil, gear, what was odd"));
        fields
    }

    /// What is known already, and what stands behind a blank.
    fn hint(&self, hint: Hint) -> (String, String) {
        let words = match (hint, self.facts.bare, &self.facts.speed) {
            (Hint::Filled(known), _, _) => return (known.into(), String::new()),
            (Hint::Words(words), _, _) => words.into(),
            (Hint::Length(what), Some(unit), _) => format!("{what}, {unit}"),
            (Hint::Length(what), None, _) => format!("{what}, with its unit"),
            (Hint::Speed, _, Some(speed)) => format!("only where it was not {}", harmless(speed)),
            (Hint::Speed, _, None) => "with its unit".into(),
        };
        (String::new(), words)
    }

    /// The settings that move the readings of a kind of run, as they are in force.
    fn in_force(&self, kind: &'static RunKind, blank: &'static BlankForm) -> Vec<(String, String)> {
        let headed = blank.fields.iter().any(|(key, _)| *key == "heading");
        let run = Run { table: kind.table, headed, ..Run::default() };
        let moves = |holding: &&Holding| {
            Subject::of_key(&holding.key).is_some_and(|subject| subject.moves(&run))
        };
        let named = |holding: &Holding| {
            let called = self.facts.called(&holding.key);
            let called = called
                .map_or(String::new(), |label| format!(" \u{201c}{}\u{201d}", harmless(label)));
            (format!("{}{called}", holding.name), harmless(&holding.held))
        };
        let settings = self.facts.settings.iter().filter(moves);
        let mut all: Vec<(String, String)> = settings.map(named).collect();
        let sprocket = Subject::Sprocket { chain: 1, driving: true };
        if let Some(fitted) = self.facts.fitted().filter(|_| sprocket.moves(&run)) {
            all.push(("sprockets".into(), fitted));
        }
        all
    }

    fn typed(&self, blank: &'static BlankForm, example: &str) -> String {
        let Some((first, listed)) = blank.lists.first() else {
            return "typed from top to bottom; what was not seen is left out".into();
        };
        let how = match listed {
            Listed::In(_) => "each with its unit in quotes",
            Listed::Lengths if self.facts.bare.is_none() => {
                "commas between, each in quotes with its unit"
            }
            Listed::Lengths | Listed::Plain => "commas between",
        };
        format!("typed from top to bottom, {how}: {first} = {example}")
    }
}

/// The words of a key: "last-seed-to-mark" is the last seed to mark.
pub(super) fn plain_words(key: &str) -> String {
    let words = key.replace('-', " ");
    let mut rest = words.chars();
    rest.next().map_or_else(String::new, |first| first.to_uppercase().chain(rest).collect())
}

/// What can be ticked on a blank: yes and no, or one of a few words.
fn choices(kind: &'static RunKind, key: &str, given: &str) -> Vec<&'static str> {
    let takes = kind.keys.iter().find(|one| one.name == key).map(|one| &one.takes);
    match takes {
        Some(Takes::YesNo) => vec!["yes", "no"],
        Some(Takes::Word(words)) if given.is_empty() => words.clone(),
        _ => vec![],
    }
}

/// A heading with its arrow: out goes to the right and home to the left, on every form.
pub(super) fn with_arrow(heading: &str) -> String {
    match heading {
        "out" => "out \u{2192}".into(),
        "home" => "\u{2190} home".into(),
        other => other.into(),
    }
}

/// Unit of a list of tape readings, and an example of the list.
pub(super) fn tape(facts: &Facts) -> (String, &'static str) {
    match facts.bare {
        Some(unit) => (unit.into(), "[11.5, 12, 12.25]"),
        None if facts.tape == "cm" => (facts.tape.into(), "[\"29 cm\", \"30.5 cm\"]"),
        None if facts.tape == "mm" => (facts.tape.into(), "[\"290 mm\", \"305 mm\"]"),
        None => (facts.tape.into(), "[\"11 1/2 in\", \"12 in\"]"),
    }
}

/// The key that is filled in on a blank already, and what stands there.
pub(super) fn filled_in(blank: &'static BlankForm) -> Option<(&'static str, &'static str)> {
    blank.fields.iter().find_map(|(key, hint)| match hint {
        Hint::Filled(known) => Some((*key, known.trim_matches('"'))),
        _ => None,
    })
}
