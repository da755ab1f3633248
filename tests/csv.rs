//! CSV: one table of a result, the same cells as in the JSON, nothing where anything is wrong.
#![allow(missing_docs, clippy::expect_used, clippy::panic)]

mod common;

use std::process::Output;

const SHEET: &str = "demo-data/soybean-advanced-north.toml";

fn run(arguments: &[&str]) -> Output {
    common::program()
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs")
}

fn rows(arguments: &[&str]) -> (Vec<String>, Vec<Vec<String>>) {
    let output = run(arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    let heads = reader.headers().expect("heads").iter().map(str::to_owned).collect();
    let rows = reader.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect());
    (heads, rows.collect())
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = run(arguments);
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A cell of a CSV against the same of the JSON: numbers to twelve digits, words as they are.
fn assert_same(cell: &str, json: &serde_json::Value) {
    match json {
        serde_json::Value::Null => assert_eq!(cell, ""),
        serde_json::Value::String(text) => assert_eq!(cell.trim_start_matches('\''), text),
        serde_json::Value::Number(number) => {
            let number = number.as_f64().expect("a number");
            let cell: f64 = cell.parse().expect("a number");
            assert!((cell - number).abs() <= number.abs() * 1e-11, "{cell} and {number}");
        }
        other => panic!("{other}"),
    }
}

#[test]
fn a_table_has_the_cells_of_the_json() {
    let (heads, rows) = rows(&["spacing", SHEET, "--format", "csv", "--table", "sprockets"]);
    let document = json(&["spacing", SHEET, "--format", "json"]);
    let table = document["results"][0]["tables"]["sprockets"].as_array().expect("a table");
    assert_eq!(rows.len(), table.len());
    assert!(!rows.is_empty());
    for (row, object) in rows.iter().zip(table) {
        assert_eq!(row.len(), object.as_object().expect("an object").len());
        for (head, cell) in heads.iter().zip(row) {
            assert_same(cell, &object[head]);
        }
    }
}

#[test]
fn settings_have_the_cells_of_the_json() {
    let (heads, rows) = rows(&["calibrate", SHEET, "--format", "csv", "--table", "settings"]);
    let document = json(&["calibrate", SHEET, "--format", "json"]);
    let settings = document["results"].as_array().expect("results").iter();
    let settings = settings.flat_map(|result| result["settings"].as_array().expect("a list"));
    let settings: Vec<_> = settings.collect();
    assert_eq!(rows.len(), settings.len());
    assert_eq!(heads.join(","), "setting,key,now,set,exact,unit,verdict,reason");
    for (row, object) in rows.iter().zip(settings) {
        assert_same(&row[0], &object["name"]);
        for (head, cell) in heads.iter().zip(row).skip(1) {
            assert_same(cell, &object[head]);
        }
    }
}

/// Twelve digits are what results can be trusted to; beyond them is what binary arithmetic adds.
#[test]
fn numbers_have_no_binary_noise() {
    let (_, rows) = rows(&["calibrate", SHEET, "--format", "csv", "--table", "settings"]);
    for cell in rows.iter().flatten().filter(|cell| cell.parse::<f64>().is_ok()) {
        let digits = cell.trim_start_matches(['-', '0', '.']).bytes().filter(u8::is_ascii_digit);
        assert!(digits.count() <= 12, "{cell}");
    }
}

#[test]
fn several_sheets_share_the_settings() {
    let other = "demo-data/soybean-all-right.toml";
    let (heads, all) = rows(&["calibrate", SHEET, other, "--format", "csv"]);
    assert_eq!(heads[0], "sheet");
    for sheet in [SHEET, other] {
        let (_, own) = rows(&["calibrate", sheet, "--format", "csv", "--table", "settings"]);
        let shared = all.iter().filter(|row| row[0] == sheet).map(|row| row[1..].to_vec());
        assert_eq!(shared.collect::<Vec<_>>(), own);
    }
}

/// Nothing on standard output, exit 2, and a message with what to do.
#[test]
fn nothing_is_written_where_anything_is_wrong() {
    let bad = "tests/cmd/misspelt.toml";
    for (arguments, message) in [
        (vec!["calibrate", bad, "--format", "csv"], "unknown-key"),
        (vec!["calibrate", SHEET, bad, "--format", "csv"], "unknown-key"),
        (vec!["plan", SHEET, "--format", "csv"], "--table KEY`; there are: plan, where"),
        (vec!["plan", SHEET, "--format", "csv", "--table", "settings"], "no table `settings`"),
        (vec!["plan", SHEET, "--table", "plan"], "add `--format csv`"),
        (vec!["calibrate", SHEET, "--table", "settings", "--format", "json"], "--format csv"),
        (vec!["calibrate", SHEET, SHEET, "--format", "csv", "--table", "x"], "one sheet at a time"),
        (vec!["calibrate", "no-such-sheet.toml", "--format", "csv"], "not-readable"),
    ] {
        let output = run(&arguments);
        let said = String::from_utf8_lossy(&output.stderr);
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(message), "{arguments:?}: {said}");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let written = String::from_utf8_lossy(&output.stdout);
        assert!(written.is_empty() || arguments.contains(&"json"), "{arguments:?}: {written}");
    }
}

/// `--table` takes a key, so no result may have one twice.
#[test]
fn no_result_has_a_table_key_twice() {
    for entry in std::fs::read_dir("demo-data").expect("demo-data") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ext| ext == "toml") {
            let document = json(&["calibrate", path.to_str().expect("a name"), "--format", "json"]);
            let results = document["results"].as_array().expect("results").iter();
            let tables = results.filter_map(|result| result["tables"].as_object());
            let mut keys: Vec<_> = tables.flat_map(|tables| tables.keys()).collect();
            let all = keys.len();
            keys.sort();
            keys.dedup();
            assert_eq!(keys.len(), all, "{}", path.display());
        }
    }
}
