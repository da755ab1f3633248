//! Warnings that say the same, said once: of which calculations, in which lines, and how often.

use crate::outcome::Outcome;
use crate::sheet::{Diagnostic, Source};

/// One warning, with all that it is of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    code: &'static str,
    message: String,
    /// The calculations or the lines that it is of, each once.
    places: Vec<String>,
    times: usize,
}

impl Said {
    /// The warning in a line.
    pub(super) fn line(&self) -> String {
        let (before, times) = (listed(&self.places), self.often());
        format!("{before}: {}{times} [{}]", self.message, self.code)
    }

    /// How often, where its places don't say that.
    fn often(&self) -> String {
        match self.times {
            times if times == self.places.len() => String::new(),
            2 => " (twice)".into(),
            times => format!(" ({times} times)"),
        }
    }
}

/// Places in words: `line 3`, `lines 3 and 5`, `lots.csv lines 2, 3 and 4`, `alleys, trip scale`.
fn listed(places: &[String]) -> String {
    let mut files: Vec<(&str, Vec<&str>)> = vec![];
    for place in places {
        let (file, line) = match place.rsplit_once("line ") {
            Some((file, line)) => (file, line),
            None => (place.as_str(), ""),
        };
        match files.iter_mut().find(|(own, _)| *own == file) {
            Some((_, lines)) => lines.push(line),
            None => files.push((file, vec![line])),
        }
    }
    let words = |(file, lines): &(&str, Vec<&str>)| match lines.as_slice() {
        [""] => (*file).to_owned(),
        [line] => format!("{file}line {line}"),
        [first @ .., last] => format!("{file}lines {} and {last}", first.join(", ")),
        [] => String::new(),
    };
    files.iter().map(words).collect::<Vec<_>>().join(", ")
}

/// The warnings of results, and the remarks on their sheet.
pub(super) fn warnings<'a>(
    outcomes: impl Iterator<Item = &'a Outcome>,
    remarks: &[Diagnostic],
    source: &Source,
) -> Vec<Said> {
    let mut all: Vec<Said> = vec![];
    for outcome in outcomes {
        let place = outcome.calculation.title.to_lowercase();
        for one in &outcome.warnings {
            say(&mut all, one.kind.code, one.message.clone(), place.clone());
        }
    }
    for remark in remarks {
        let (line, _) = source.line_and_column(remark);
        let part = source.part_at(remark.span.start);
        let place = match source.override_at(remark.span.start) {
            Some(_) => "--set".into(),
            None if part.start > 0 => format!("{} line {line}", part.name),
            None => format!("line {line}"),
        };
        say(&mut all, remark.code.name, format!("{}; {}", remark.message, remark.advice), place);
    }
    all
}

fn say(all: &mut Vec<Said>, code: &'static str, message: String, place: String) {
    match all.iter_mut().find(|one| one.code == code && one.message == message) {
        Some(one) => {
            one.times += 1;
            if !one.places.contains(&place) {
                one.places.push(place);
            }
        }
        None => all.push(Said { code, message, places: vec![place], times: 1 }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_is_said_once_with_its_places() {
        let mut all = vec![];
        for place in ["line 3", "line 7", "line 9"] {
            say(&mut all, "older-run", "it is old".into(), place.into());
        }
        for _ in 0..3 {
            say(&mut all, "outlier", "one stands apart".into(), "alleys".into());
        }
        say(&mut all, "outlier", "another".into(), "alleys".into());
        let lines: Vec<String> = all.iter().map(Said::line).collect();
        assert_eq!(
            lines,
            [
                "lines 3, 7 and 9: it is old [older-run]",
                "alleys: one stands apart (3 times) [outlier]",
                "alleys: another [outlier]"
            ]
        );
    }
}
