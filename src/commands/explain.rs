//! `explain`: what an error or warning code means.

use std::io::{self, Write};

use clap::Args;

use crate::outcome::warning;
use crate::render::{WIDTH, harmless};
use crate::sheet::{CODES, Level};

use super::exit::Exit;
use super::mistakes::complain;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Code in square brackets behind a message; without one, all are listed.
    code: Option<String>,
}

/// One code, wherever it comes from.
struct Entry {
    code: &'static str,
    kind: &'static str,
    meaning: &'static str,
    example: &'static str,
}

fn entries() -> Vec<Entry> {
    let mistakes = CODES.iter().map(|code| Entry {
        code: code.name,
        kind: match code.level {
            Level::Error => "error",
            Level::Remark => "warning",
        },
        meaning: code.meaning,
        example: code.example,
    });
    let warnings = warning::ALL.iter().map(|kind| Entry {
        code: kind.code,
        kind: "warning",
        meaning: kind.meaning,
        example: kind.example,
    });
    mistakes.chain(warnings).collect()
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, out: &mut dyn Write) -> io::Result<Exit> {
    let entries = entries();
    let Some(code) = &arguments.code else {
        for entry in &entries {
            writeln!(out, "{:<22} {}", entry.code, entry.kind)?;
        }
        return Ok(Exit::Done);
    };
    // As it stands behind a message, or with the word before it, in any case.
    let wanted = code.trim().trim_start_matches("error").trim_start_matches("warning");
    let wanted = &wanted.trim_matches(['[', ']']).to_lowercase();
    if let Some(entry) = entries.iter().find(|entry| entry.code == wanted) {
        writeln!(out, "{} ({})\n", entry.code, entry.kind)?;
        writeln!(out, "{}\n\nExample:", textwrap::fill(entry.meaning, WIDTH))?;
        for line in entry.example.lines() {
            writeln!(out, "  {line}")?;
        }
        return Ok(Exit::Done);
    }
    let near = entries
        .iter()
        .map(|entry| (strsim::damerau_levenshtein(wanted, entry.code), entry.code))
        .min()
        .filter(|(distance, _)| *distance <= 3);
    let help = near.map_or_else(
        || "`alleytrue explain` lists every code".into(),
        |(_, code)| format!("did you mean `{code}`?"),
    );
    complain(&format!("error: there is no code `{}`\nhelp: {help}\n", harmless(wanted)))?;
    Ok(Exit::CouldNot)
}
