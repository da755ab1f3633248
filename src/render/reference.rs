//! The reference: what a table or a key of the field sheet means and takes, for `explain`.

use crate::sheet::{KeyEntry, TableEntry, tables};

use super::WIDTH;

/// The name that the top of the sheet goes by, where it is asked for by name.
const TOP: &str = "sheet";
/// How far the text under a key is indented.
const INDENT: &str = "    ";

/// The names that [`table`] knows, in the order of the sheet. What is the same in all runs is
/// named once, under the first of them.
#[must_use]
pub fn names() -> Vec<String> {
    let mut named: Vec<String> = vec![];
    let mut repeated: Vec<Vec<KeyEntry>> = vec![];
    for table in tables() {
        if table.path.ends_with(".at") {
            if repeated.contains(&table.keys) {
                continue;
            }
            repeated.push(table.keys.clone());
        }
        named.push(name(&table));
    }
    named
}

/// Every name and path that [`table`] and [`key`] know.
pub fn paths() -> impl Iterator<Item = String> {
    tables().into_iter().flat_map(|table| {
        let own = name(&table);
        let keys: Vec<String> = table
            .keys
            .iter()
            .map(|key| {
                if table.path.is_empty() { key.name.into() } else { format!("{own}.{}", key.name) }
            })
            .collect();
        keys.into_iter().chain([own])
    })
}

fn name(table: &TableEntry) -> String {
    if table.path.is_empty() { TOP.into() } else { table.path.clone() }
}

/// The page about a table by its name, such as `trial` or `planter.plate`, with or without its
/// brackets: what it is, how it may be written, and all its keys.
///
/// ```
/// let page = alleytrue::render::reference::table("planter.plate").expect("a table");
/// assert!(page.starts_with("[planter.plate]\n"));
/// assert!(page.contains("\n  cells"));
/// assert!(alleytrue::render::reference::table("planter.plates").is_none());
/// ```
#[must_use]
pub fn table(name_or_path: &str) -> Option<String> {
    let wanted = plain(name_or_path);
    let all = tables();
    let table = all.iter().find(|one| name(one) == wanted)?;
    let mut page = vec![heading(table), String::new(), filled(table.meaning, "")];
    if !table.notes.is_empty() {
        page.push(filled(table.notes, ""));
    }
    for key in &table.keys {
        page.extend([String::new(), short(key)]);
    }
    page.extend([String::new(), "Example:".into(), indented(&example(table))]);
    let inner: Vec<String> =
        table.keys.iter().filter_map(|key| inner(&all, table, key)).map(name).collect();
    if !inner.is_empty() {
        let see = format!("More under: {}.", inner.join(", "));
        page.extend([String::new(), filled(&see, "")]);
    }
    Some(page.join("\n") + "\n")
}

/// Every table with its keys, in Markdown, for the page that has all of them.
#[must_use]
pub fn all() -> String {
    let mut page = String::new();
    let mut repeated: Vec<Vec<KeyEntry>> = vec![];
    for table in tables() {
        if repeated.contains(&table.keys) {
            continue;
        }
        let name = if table.path.is_empty() { "Top of the sheet".into() } else { brackets(&table) };
        page += &format!("\n## {name}\n\n{}\n{}\n\n", table.meaning, table.notes);
        page += "| key | meaning | example | takes | needed |\n|---|---|---|---|---|\n";
        for key in &table.keys {
            let takes = key.limits.as_ref().unwrap_or(&key.takes);
            let example = if key.example.is_empty() { "-" } else { &format!("`{}`", key.example) };
            let KeyEntry { name, meaning, needed, .. } = key;
            page += &format!("| `{name}` | {meaning} | {example} | {takes} | {needed} |\n");
        }
        if table.path.ends_with(".at") {
            repeated.push(table.keys);
        }
    }
    page
}

fn brackets(table: &TableEntry) -> String {
    if table.many { format!("`[[{}]]`", table.path) } else { format!("`[{}]`", table.path) }
}

/// The page about a key by its path, such as `trial.alley`.
///
/// ```
/// let page = alleytrue::render::reference::key("trial.alley").expect("a key");
/// assert!(page.contains("5 cm to 100 ft"));
/// assert!(alleytrue::render::reference::key("trial.aley").is_none());
/// ```
#[must_use]
pub fn key(path: &str) -> Option<String> {
    let path = plain(path);
    let (place, wanted) = path.rsplit_once('.').unwrap_or(("", &path));
    let place = if place == TOP { "" } else { place };
    let all = tables();
    let table = all.iter().find(|one| one.path == place)?;
    let key = table.keys.iter().find(|key| key.name == wanted)?;
    let whole = if place.is_empty() {
        "at the top of the sheet".into()
    } else {
        format!("in {}", heading(table))
    };
    let title = format!("{} {whole}", key.name);
    let mut page = vec![title, String::new(), filled(key.meaning, ""), String::new()];
    page.extend(facts(key).into_iter().map(|(what, words)| row(what, &words)));
    page.extend([String::new(), "Example:".into(), indented(&line(table, key))]);
    if let Some(inner) = inner(&all, table, key) {
        let see = format!(
            "Its own keys: {}.",
            inner.keys.iter().map(|key| key.name).collect::<Vec<_>>().join(", ")
        );
        page.extend([String::new(), filled(&see, "")]);
    }
    Some(page.join("\n") + "\n")
}

/// A name without brackets, blanks and capital letters.
fn plain(name: &str) -> String {
    name.trim().trim_matches(['[', ']']).trim().to_lowercase()
}

/// How a table stands in a sheet.
fn heading(table: &TableEntry) -> String {
    match (table.path.as_str(), table.many) {
        ("", _) => "The top of the sheet".into(),
        (path, false) => format!("[{path}]"),
        (path, true) => format!("[[{path}]]"),
    }
}

/// A key in the list of its table.
fn short(key: &KeyEntry) -> String {
    let takes = match &key.limits {
        Some(limits) => format!("{}: {limits}", key.takes),
        None => key.takes.clone(),
    };
    let needed = match key.needed {
        "no" => String::new(),
        "yes" => "needed".into(),
        when => when
            .strip_prefix("yes, ")
            .map_or_else(|| format!("needed: {when}"), |or_else| format!("needed, {or_else}")),
    };
    let facts = [takes, needed].into_iter().filter(|part| !part.is_empty());
    let facts = facts.collect::<Vec<_>>().join("; ");
    let mut text = format!("  {}\n{}", key.name, filled(key.meaning, INDENT));
    if !facts.is_empty() {
        text.push('\n');
        text.push_str(&filled(&format!("({facts})"), INDENT));
    }
    text
}

/// What is to be known of a key, each with its word.
fn facts(key: &KeyEntry) -> Vec<(&'static str, String)> {
    let mut facts = vec![("Takes", key.takes.clone())];
    facts.extend(key.limits.clone().map(|limits| ("Limits", limits)));
    facts.push(("Needed", key.needed.into()));
    facts
}

fn row(what: &str, words: &str) -> String {
    const COLUMN: usize = 8;
    let options = options("").subsequent_indent("        ");
    textwrap::fill(&format!("{what:<COLUMN$}{words}"), options)
}

/// A table as it may stand in a sheet, with a few of its keys.
fn example(table: &TableEntry) -> String {
    let keys = table.keys.iter().filter(|key| table.shown.contains(&key.name));
    let lines = keys.map(|key| format!("{} = {}", key.name, key.example));
    let heading = (!table.path.is_empty()).then(|| heading(table));
    heading.into_iter().chain(lines).collect::<Vec<_>>().join("\n")
}

fn path_of(table: &TableEntry, key: &KeyEntry) -> String {
    if table.path.is_empty() { key.name.into() } else { format!("{}.{}", table.path, key.name) }
}

/// A key under the name of its table.
fn line(table: &TableEntry, key: &KeyEntry) -> String {
    let path = path_of(table, key);
    match (key.example, table.path.as_str()) {
        ("", _) => format!("[{path}]"),
        (example, "") => format!("{} = {example}", key.name),
        (example, _) => format!("{}\n{} = {example}", heading(table), key.name),
    }
}

/// The table that a key is, or that may stand in its place.
fn inner<'t>(all: &'t [TableEntry], table: &TableEntry, key: &KeyEntry) -> Option<&'t TableEntry> {
    let path = path_of(table, key);
    all.iter().find(|one| one.path == path)
}

fn filled(text: &str, indent: &str) -> String {
    textwrap::fill(text, options(indent))
}

/// Keys are never parted at their hyphens.
fn options(indent: &str) -> textwrap::Options<'_> {
    textwrap::Options::new(WIDTH)
        .initial_indent(indent)
        .subsequent_indent(indent)
        .break_words(false)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
}

fn indented(lines: &str) -> String {
    lines.lines().map(|line| format!("  {line}")).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;
    use crate::sheet::{FieldSheet, Source};

    /// What stands indented under "Example:" of a page.
    fn example_of(page: &str) -> String {
        let (_, rest) = page.split_once("\nExample:\n").expect("an example");
        let lines = rest.lines().take_while(|line| line.starts_with("  "));
        lines.map(|line| format!("{}\n", line.trim_start())).collect()
    }

    /// Whether an example is read without a mistake, but for what else a sheet must hold.
    fn is_read(example: &str) -> Result<(), String> {
        // No file lies beside a text that is in no folder.
        let incomplete = [
            "missing-key",
            "missing-sign",
            "list-file",
            "planter-file",
            "actions-incomplete",
            "unknown-action",
            "not-of-this-action",
        ];
        let sheet = Source::new("example", example);
        let mistakes = FieldSheet::read(&sheet).err().unwrap_or_default();
        match mistakes.iter().find(|one| !incomplete.contains(&one.code.name)) {
            Some(mistake) => Err(format!("{}\n{example}", mistake.message)),
            None => Ok(()),
        }
    }

    #[test]
    fn every_table_and_every_key_has_a_page_that_fits_and_an_example_that_is_read() {
        let mut pages = 0;
        for entry in tables() {
            let mut all = vec![table(&name(&entry)).expect("a page about the table")];
            for one in &entry.keys {
                let page = key(&path_of(&entry, one)).expect("a page about the key");
                assert!(page.contains(one.needed), "{page}");
                all.push(page);
            }
            for page in all {
                for line in page.lines() {
                    assert!(line.chars().count() <= WIDTH, "{line}");
                }
                assert_eq!(is_read(&example_of(&page)), Ok(()));
                pages += 1;
            }
        }
        assert!(pages > 200, "{pages}");
    }

    #[test]
    fn every_name_has_a_page_and_what_all_runs_share_is_named_once() {
        let names = names();
        assert!(names.iter().all(|name| table(name).is_some()), "{names:?}");
        assert_eq!(names.first().map(String::as_str), Some(TOP));
        assert_eq!(names.iter().filter(|name| name.ends_with(".at")).count(), 1);
        assert!(names.len() > 25, "{names:?}");
        assert!(table("[[ Trip-Run ]]").is_some());
    }

    /// Told by hand from the table of the sheet.
    #[test]
    fn a_key_tells_what_it_takes_its_limits_and_when_it_is_needed() {
        let page = key("trip-run.readout").expect("a page");
        let said = [
            "readout in [[trip-run]]",
            "Takes   a list, each a length",
            "Limits  30 cm to 1320 ft",
            "Needed  yes, or `taped`",
            "  readout = [\"238.1 in\", \"237.4 in\"]",
        ];
        for line in said {
            assert!(page.lines().any(|one| one == line), "{line}\n{page}");
        }
        assert!(key("sheet.title").is_some() && key("title").is_some());
        assert!(key("planter.drive.driving").expect("a page").contains("Its own keys: fitted"));
    }
}
