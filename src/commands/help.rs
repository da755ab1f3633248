//! The list of commands in the help, in groups by what a technician is doing.

use clap::Command;
use textwrap::Options;

use crate::calculations::registry::ALL;
use crate::render::WIDTH;

/// What a technician is doing, and the commands for it; the daily ones come first.
const GROUPS: [(&str, &[&str]); 6] = [
    ("Every day", &["guide", "calibrate", "record", "apply", "check", "print", "explain"]),
    (CALCULATIONS, &[]),
    ("After planting", &["depth", "evenness", "stand"]),
    ("Before the season", &["new", "convert", "plan", "rehearse", "stakes", "packets"]),
    ("The whole season", &["history", "trend", "batch"]),
    ("For the computer", &["completions", "schema", "man"]),
];
/// The group of all calculations that no other group names, in working order.
const CALCULATIONS: &str = "One calculation by itself";

/// Room for the names.
const NAMES: usize = 11;

/// The same command line, its help with the commands in groups.
pub(super) fn grouped(command: Command) -> Command {
    let list = list(&command);
    command.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\n{list}Options:\n\
         {{options}}{{after-help}}"
    ))
}

fn list(command: &Command) -> String {
    let mut text = String::new();
    for (heading, names) in GROUPS {
        let names = if heading == CALCULATIONS { calculations() } else { names.to_vec() };
        text += &format!("{heading}:\n");
        for one in names.iter().filter_map(|name| command.find_subcommand(name)) {
            text += &line(one);
        }
        text.push('\n');
    }
    text
}

fn calculations() -> Vec<&'static str> {
    let elsewhere = |name: &&str| GROUPS.iter().any(|(_, names)| names.contains(name));
    let mut names: Vec<&str> = ALL.iter().map(|entry| entry.command).collect();
    names.retain(|name| !elsewhere(name));
    names.dedup();
    names
}

fn line(command: &Command) -> String {
    let about = command.get_about().map(ToString::to_string).unwrap_or_default();
    let first = format!("  {:<NAMES$}  ", command.get_name());
    let more = " ".repeat(first.len());
    let options = Options::new(WIDTH).initial_indent(&first).subsequent_indent(&more);
    textwrap::fill(&about, options) + "\n"
}
