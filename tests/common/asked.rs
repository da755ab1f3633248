//! What the reader of sheets says it takes, found out by giving it what it does not take.

#![allow(dead_code)] // each test file uses its own part of this

use std::collections::BTreeMap;

use alleytrue::sheet::{Diagnostic, FieldSheet, Source};

pub fn mistakes(text: &str) -> Vec<Diagnostic> {
    match FieldSheet::read(&Source::new("sheet.toml", text)) {
        Ok(sheet) => sheet.remarks,
        Err(mistakes) => mistakes,
    }
}

pub const NO_SUCH_KEY: &str = "no-such-key";

pub fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.into() } else { format!("{path}.{key}") }
}

/// The keys of a table of the sheet, by the message about one that is not among them; `None`
/// where no table stands.
pub fn keys(path: &str) -> Option<Vec<String>> {
    let text = format!("{} = 1", joined(path, NO_SUCH_KEY));
    let about = format!("has no key `{NO_SUCH_KEY}`");
    let found = mistakes(&text);
    let unknown = found.iter().find(|mistake| {
        mistake.code.name == "unknown-key"
            && mistake.message.ends_with(&about)
            && (path.is_empty() || in_brackets(path).iter().any(|t| mistake.message.starts_with(t)))
    })?;
    Some(unknown.allowed.as_deref().unwrap_or_default().split(", ").map(str::to_owned).collect())
}

/// A table's name as messages give it: one of its kind, or one of several.
pub fn in_brackets(path: &str) -> [String; 2] {
    [format!("[{path}]"), format!("[[{path}]]")]
}

/// Every table of the sheet, by its path, with its keys.
pub fn tables() -> BTreeMap<String, Vec<String>> {
    let mut tables = BTreeMap::new();
    let mut open = vec![String::new()];
    while let Some(path) = open.pop() {
        if let Some(keys) = keys(&path) {
            open.extend(keys.iter().map(|key| joined(&path, key)));
            tables.insert(path, keys);
        }
    }
    tables
}

/// What a key takes, as the program says when it gets something else: the limits of a number
/// or a measure, the words to choose from, else the kind of value.
pub fn takes(path: &str, key: &str) -> String {
    const FAR_OFF: [&str; 15] = [
        "99999999999",
        "\"9999999999 km\"",
        "\"9999999999 m/s\"",
        "\"9999999999 h\"",
        "\"9999999999 %\"",
        "\"9999999999 turns/s\"",
        "\"9999999999 cells/s\"",
        "\"9999999999 /ft2\"",
        "\"9999999999 seeds/ft\"",
        "\"9999999999 kg\"",
        "\"9999999999 /lb\"",
        "\"no such word\"",
        "{}",
        "true",
        "[]",
    ];
    let said = |value: &str| -> Vec<Diagnostic> {
        let found = mistakes(&format!("{} = {value}", joined(path, key)));
        let about = format!("`{key}`");
        found.into_iter().filter(|mistake| mistake.message.starts_with(&about)).collect()
    };
    let allowed = |code: &str, value: &str| {
        let found = said(value).into_iter().find(|mistake| mistake.code.name == code)?;
        found.allowed
    };
    let listed = said("[]").iter().any(|mistake| mistake.code.name == "empty-list");
    let mut limits: Vec<String> = Vec::new();
    for value in FAR_OFF {
        let value = if listed { format!("[{value}]") } else { value.to_owned() };
        let found = ["out-of-range", "unknown-word"].iter().find_map(|code| allowed(code, &value));
        limits.extend(found.filter(|found| !limits.contains(found)));
    }
    let each = if limits.is_empty() {
        let wrong = if listed { ["[true]", "[{}]"] } else { ["true", "{}"] };
        let found = wrong.iter().find_map(|value| allowed("wrong-type", value));
        found.unwrap_or_default()
    } else {
        limits.join(", or ")
    };
    if listed { format!("list, each {each}") } else { each }
}

/// Whether the reader asks for a key in a table that lacks it.
pub fn needed(path: &str, key: &str) -> bool {
    let text = format!("{} = 1", joined(path, NO_SUCH_KEY));
    let messages = in_brackets(path).map(|table| format!("{table} has no `{key}`"));
    mistakes(&text).iter().any(|mistake| messages.contains(&mistake.message))
}

/// Mistakes that only say what else a sheet must hold.
pub fn incomplete(mistake: &Diagnostic) -> bool {
    let lacks = ["missing-key", "missing-sign", "set-aside", "unused-key", "unused-data"];
    // What an action does, and what starts it, stands in keys beside the one that is looked at.
    let of_actions = ["actions-incomplete", "unknown-action", "not-of-this-action"];
    lacks.iter().chain(&of_actions).any(|code| *code == mistake.code.name)
}
