//! The declared keys of the sheet against what the reader says of sheets: the same tables, the same
//! keys, the same limits and needs.

#![allow(clippy::expect_used)] // helpers of tests

use std::collections::{BTreeMap, BTreeSet};

use alleytrue::calculations::registry::ALL;
use alleytrue::sheet::{KeyEntry, TableEntry, tables};

#[path = "common/asked.rs"]
mod asked;
mod common;

/// What a key takes as the README has it: its limits or words, else the kind of value.
fn in_short(key: &KeyEntry) -> BTreeSet<String> {
    let listed = key.takes.starts_with("a list, each ");
    let words = key.limits.as_ref().unwrap_or(&key.takes);
    let words = words.trim_start_matches("a list, each ");
    split(&if listed { format!("list, each {words}") } else { words.to_owned() })
}

/// The ways that a text gives, in no order.
fn split(words: &str) -> BTreeSet<String> {
    words.split(", or ").map(str::to_owned).collect()
}

fn each(mut look: impl FnMut(&TableEntry, &KeyEntry)) {
    keys_of(&tables()).into_iter().for_each(|(table, key)| look(table, key));
}

/// Every key with its table.
fn keys_of(tables: &[TableEntry]) -> Vec<(&TableEntry, &KeyEntry)> {
    tables.iter().flat_map(|table| table.keys.iter().map(move |key| (table, key))).collect()
}

#[test]
fn the_reader_knows_the_declared_tables_and_keys_and_no_others() {
    let declared: BTreeMap<String, BTreeSet<String>> = tables()
        .into_iter()
        .map(|table| (table.path, table.keys.iter().map(|key| key.name.to_owned()).collect()))
        .collect();
    let known = asked::tables();
    let known = known.into_iter().map(|(path, keys)| (path, keys.into_iter().collect()));
    assert_eq!(known.collect::<BTreeMap<_, _>>(), declared);
}

#[test]
fn no_table_declares_a_key_twice_and_no_two_tables_have_one_name() {
    let mut paths = BTreeSet::new();
    for table in tables() {
        let names: BTreeSet<&str> = table.keys.iter().map(|key| key.name).collect();
        assert_eq!(names.len(), table.keys.len(), "{}", table.path);
        assert!(paths.insert(table.path.clone()), "{}", table.path);
    }
}

/// A tolerance that no calculation names would be read, and stand on no cab card.
#[test]
fn every_tolerance_is_one_that_a_calculation_holds_its_result_against() {
    let tables = tables();
    let table = tables.iter().find(|table| table.path == "trial.tolerance").expect("a table");
    let declared: BTreeSet<&str> = table.keys.iter().map(|key| key.name).collect();
    let held: BTreeSet<&str> =
        ALL.iter().flat_map(|entry| entry.tolerances).map(|(key, _)| *key).collect();
    assert_eq!(declared, held);
}

/// What the reader says of a key that hangs on another one is less than what is declared: what a
/// setting held is read by which setting it was. A name that is not known is told by itself.
#[test]
fn declared_limits_are_those_that_the_reader_gives() {
    let odd = ["history.from", "history.to", "checklist.leave-out"];
    // A boost, or a list of several of them.
    let boosts = |path: &str| path.ends_with(".at.boost") || path == "history.boost";
    let looked = |_: &mut (), (table, key): &(&TableEntry, &KeyEntry)| {
        let path = asked::joined(&table.path, key.name);
        if key.is_table || odd.contains(&path.as_str()) || boosts(&path) {
            return None;
        }
        let said = split(&asked::takes(&table.path, key.name).replace('`', ""));
        let declared = in_short(key);
        let wrong = format!("{path}: the reader: {said:?}; declared: {declared:?}");
        Some((said != declared).then_some(wrong))
    };
    let found = common::cores::on_all_cores(&keys_of(&tables()), || (), looked);
    let count = found.iter().flatten().count();
    let wrong: Vec<String> = found.into_iter().flatten().flatten().collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(count > 150, "{count}");
}

/// An empty table lacks what it can't do without. Those of a pair of which either will do are
/// asked for by the reader where neither stands there.
#[test]
fn declared_needs_are_those_that_the_reader_has() {
    each(|table, key| {
        let asked = asked::needed(&table.path, key.name);
        assert_eq!(asked, key.needed.starts_with("yes"), "{}.{}", table.path, key.name);
    });
}

#[test]
fn every_key_has_words_and_an_example_that_is_read() {
    each(|table, key| {
        let path = asked::joined(&table.path, key.name);
        assert!(key.meaning.ends_with('.') && key.meaning.len() > 3, "{path}: {}", key.meaning);
        assert!(!key.takes.is_empty() && !key.needed.is_empty(), "{path}");
        assert!(key.is_table || !key.example.is_empty(), "{path}");
        assert!(key.limits.as_ref().is_none_or(|limits| !limits.is_empty()), "{path}");
        if key.example.is_empty() {
            return;
        }
        // Without a unit for bare lengths: an example can be typed into any sheet.
        let text = format!("{path} = {}", key.example);
        let found = asked::mistakes(&text);
        // A file that an example names is not there.
        let wrong = found.iter().filter(|one| one.code.name != "list-file");
        let wrong: Vec<_> = wrong.filter(|one| !asked::incomplete(one)).collect();
        assert!(wrong.is_empty(), "{text}\n{wrong:#?}");
    });
}
