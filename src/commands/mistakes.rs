//! What is wrong with a call or lacking in a sheet, and how it is said.

use std::path::Path;

use crate::render::{Style, diagnostics, harmless, json, text};
use crate::sheet::writing::{ReplaceError, WriteError};
use crate::sheet::{Diagnostic, FieldSheet, Source};

use super::exit::Exit;
use super::output::complain;

/// What was printed instead of a sheet's results, for programs.
pub(crate) type Failed = json::Failure;

/// A mistake on the command line that only shows once the sheet is read.
pub(super) fn usage(message: String, advice: impl Into<String>) -> Diagnostic {
    Diagnostic { code: &crate::sheet::USAGE, message, ..no_data("", advice) }
}

/// What a sheet lacks for a calculation that was asked for by name.
pub(crate) fn no_data(what: &str, advice: impl Into<String>) -> Diagnostic {
    Diagnostic {
        code: &crate::sheet::NO_DATA,
        span: 0..0,
        message: format!("the sheet has no {what}"),
        found: String::new(),
        allowed: None,
        advice: advice.into(),
    }
}

/// Prints mistakes on standard error.
pub(crate) fn refuse(source: &Source, mistakes: &[Diagnostic], style: Style) -> Failed {
    complain(&diagnostics::mistakes(source, mistakes, style));
    json::failure(source, mistakes)
}

/// Says why a file can't be replaced.
pub(super) fn refuse_file(sheet: &std::path::Path, error: &ReplaceError, style: Style) -> Exit {
    let name = sheet.display().to_string();
    match error {
        ReplaceError::Unreadable(error) => {
            complain(&diagnostics::unreadable(&name, error, style));
        }
        error => {
            let words = format!("{name}: {error}; it is as it was");
            let (first, help) = (text::hanging("error: ", &words, style), error.advice());
            complain(&format!("{first}\n{}\n", text::hanging("help: ", help, style)));
        }
    }
    Exit::CouldNot
}

/// Says why a text can't be written: its mistakes are drawn against the new text.
pub(super) fn refuse_text(source: &Source, error: &WriteError, style: Style) -> Exit {
    match error {
        WriteError::Mistakes { text, mistakes } => {
            let new = source.with_text(text);
            let page = diagnostics::mistakes_then(&new, mistakes, "nothing was written", style);
            complain(&page);
        }
        WriteError::Refused(message, advice) => refuse_words(source, message, advice, style),
        WriteError::Doubtful { words, advice } => refuse_words(source, words, advice, style),
    }
    Exit::CouldNot
}

/// Says what is refused and what to do.
fn refuse_words(source: &Source, message: &str, advice: &str, style: Style) {
    // Where the sheet itself has mistakes, they come first, each with its place.
    if let Err(mistakes) = FieldSheet::read(source) {
        let undone = "nothing was written";
        complain(&diagnostics::mistakes_then(source, &mistakes, undone, style));
        return;
    }
    say(message, advice, style);
}

/// Says why what was given can't be understood, whatever the sheet.
pub(super) fn refuse_doubt(error: &WriteError, style: Style) -> Exit {
    match error {
        WriteError::Doubtful { words, advice } => say(words, advice, style),
        other => say(&other.to_string(), "nothing was written", style),
    }
    Exit::CouldNot
}

fn say(message: &str, advice: &str, style: Style) {
    let first = text::hanging("error: ", &harmless(message), style);
    complain(&format!("{first}\n{}\n", text::hanging("help: ", &harmless(advice), style)));
}

/// Says why a new file can't be written.
pub(super) fn cannot_write(path: &Path, error: &std::io::Error) -> Exit {
    let name = harmless(&path.display().to_string());
    complain(&match error.kind() {
        std::io::ErrorKind::AlreadyExists => format!(
            "error: {name} is there already, and is left as it is\n\
             help: give another name, or move the old file away first\n"
        ),
        _ => format!(
            "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
        ),
    });
    Exit::CouldNot
}
