//! `explain`: the reference, by topic and by code.

use std::borrow::Cow;
use std::io::{self, Write};

use anstyle::Style as Ink;
use clap::Args;

use crate::calculations::registry;
use crate::reference::{self, Topic};
use crate::render::markdown::screen;
use crate::render::reference as keys;
use crate::render::text::{in_colour, in_style};
use crate::render::{Style, WIDTH, harmless};
use crate::sheet::{CODES, Level};

use super::exit::Exit;
use super::output::complain;

const HEAD: Ink = Ink::new().bold();

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Topic, or code in square brackets behind a message; without one, all topics are listed.
    word: Option<String>,
}

/// One code, wherever it comes from.
struct Entry {
    code: &'static str,
    kind: &'static str,
    meaning: &'static str,
    example: &'static str,
}

fn entries() -> impl Iterator<Item = Entry> {
    let mistakes = CODES.iter().map(|code| Entry {
        code: code.name,
        kind: match code.level {
            Level::Error => "error",
            Level::Remark => "warning",
        },
        meaning: code.meaning,
        example: code.example,
    });
    let warnings = registry::warnings().map(|kind| Entry {
        code: kind.code,
        kind: "warning",
        meaning: kind.meaning,
        example: kind.example,
    });
    mistakes.chain(warnings)
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let Some(word) = &arguments.word else {
        list(style, out)?;
        return Ok(Exit::Done);
    };
    // As it stands behind a message, or with the word before it, in any case.
    let wanted = word.trim().trim_start_matches("error").trim_start_matches("warning");
    let wanted = &wanted.trim_matches(['[', ']']).to_lowercase();
    // A word may name more than one thing, such as a topic and a table: each has its say.
    let parts = [
        topic(wanted, style),
        keys::table(wanted)
            .or_else(|| keys::key(wanted))
            .map(|page| in_style(&page, style).into_owned()),
        code(wanted),
    ];
    let pages: Vec<String> = parts.into_iter().flatten().collect();
    if pages.is_empty() {
        let wanted = harmless(wanted);
        let help = help(&wanted);
        complain(&format!(
            "error: there is no topic, no table or key of the sheet and no code `{wanted}`\nhelp: {help}\n"
        ));
        return Ok(Exit::CouldNot);
    }
    out.write_all(pages.join("\n").as_bytes())?;
    Ok(Exit::Done)
}

/// All that can be asked for.
fn list(style: Style, out: &mut dyn Write) -> io::Result<()> {
    let head = in_colour(HEAD, style);
    writeln!(out, "{head}Topics: alleytrue explain TOPIC{head:#}")?;
    for topic in reference::ALL {
        writeln!(out, "  {:<12} {}", topic.name, topic.about)?;
    }
    writeln!(out, "\n{head}Tables of the sheet: alleytrue explain TABLE, or TABLE.KEY{head:#}")?;
    let tables = textwrap::fill(
        &keys::names().join(", "),
        textwrap::Options::new(WIDTH).initial_indent("  ").subsequent_indent("  "),
    );
    writeln!(out, "{tables}")?;
    writeln!(out, "\n{head}Codes in square brackets: alleytrue explain CODE{head:#}")?;
    writeln!(out, "  `alleytrue explain codes` lists them.")
}

fn topic(wanted: &str, style: Style) -> Option<String> {
    reference::topic(wanted).map(|topic| screen::text(&text(topic), style))
}

/// The text of a topic. The page on codes ends in all of them, drawn from where they are declared.
pub(super) fn text(topic: &Topic) -> Cow<'static, str> {
    if topic.name == reference::CODES.name {
        let lists = ["error", "warning"].map(listed);
        return format!("{}\n{}", topic.text, lists.join("\n")).into();
    }
    if topic.name == reference::KEYS.name {
        return [topic.text, &keys::all()].concat().into();
    }
    topic.text.into()
}

/// The codes of one kind as a table, each with the first sentence of what it means.
fn listed(kind: &str) -> String {
    let heading = match kind {
        "error" => "Mistakes",
        _ => "Warnings",
    };
    let mut table = format!("## {heading}\n\n| code | what it says |\n|---|---|\n");
    for entry in entries().filter(|entry| entry.kind == kind) {
        let first = entry.meaning.split_inclusive(". ").next().unwrap_or_default().trim_end();
        table += &format!("| `{}` | {first} |\n", entry.code);
    }
    table
}

fn code(wanted: &str) -> Option<String> {
    let entry = entries().find(|entry| entry.code == wanted)?;
    let meaning = textwrap::fill(entry.meaning, WIDTH);
    let example: String = entry.example.lines().map(|line| format!("  {line}\n")).collect();
    Some(format!("{} ({})\n\n{meaning}\n\nExample:\n{example}", entry.code, entry.kind))
}

/// What to type instead: a word that is spelt nearly alike, else the pages that use this one most.
fn help(wanted: &str) -> String {
    let words = reference::ALL.iter().map(|topic| topic.name.to_owned());
    let words = words.chain(entries().map(|entry| entry.code.to_owned())).chain(keys::paths());
    let near = words.map(|word| (strsim::damerau_levenshtein(wanted, &word), word)).min();
    let most = 3.min(wanted.chars().count() / 2);
    if let Some((_, word)) = near.filter(|(distance, _)| *distance <= most) {
        return format!("did you mean `{word}`?");
    }
    match using(wanted) {
        pages if pages.is_empty() => "`alleytrue explain` lists what there is".into(),
        pages => format!("the word is used in: {}", pages.join(", ")),
    }
}

/// Up to three topics whose pages use a word, those with a heading that has it first, then those
/// that use it most.
fn using(word: &str) -> Vec<String> {
    let mut uses: Vec<((usize, usize), &str)> = reference::ALL
        .iter()
        .map(|topic| (uses_of(word, &topic.text.to_lowercase()), topic.name))
        .filter(|((_, count), _)| *count > 0 && word.chars().count() > 2)
        .collect();
    uses.sort_by_key(|(uses, _)| std::cmp::Reverse(*uses));
    uses.iter().take(3).map(|(_, name)| format!("`{name}`")).collect()
}

/// How many headings of a page have a word, and how often it stands on the page.
fn uses_of(word: &str, page: &str) -> (usize, usize) {
    let headings = page.lines().filter(|line| line.starts_with('#') && line.contains(word));
    (headings.count(), page.matches(word).count())
}
