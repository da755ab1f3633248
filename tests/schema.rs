//! The schema of the sheet: what is committed is what the declared keys make, good sheets pass and
//! wrong ones don't.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::{Path, PathBuf};

use alleytrue::sheet::{schema, starter};
use serde_json::Value as Json;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data")
}

/// A sheet as an editor hands it to the schema: dates as text.
fn json(toml: toml::Value) -> Json {
    match toml {
        toml::Value::String(text) => Json::String(text),
        toml::Value::Integer(number) => number.into(),
        toml::Value::Float(number) => number.into(),
        toml::Value::Boolean(value) => value.into(),
        toml::Value::Datetime(date) => Json::String(date.to_string()),
        toml::Value::Array(entries) => entries.into_iter().map(json).collect(),
        toml::Value::Table(table) => table.into_iter().map(|(key, one)| (key, json(one))).collect(),
    }
}

/// What the schema has against a sheet.
fn mistakes(text: &str) -> Vec<String> {
    let table: toml::Table = text.trim_start_matches('\u{feff}').parse().expect("TOML");
    let validator = jsonschema::draft7::new(&schema::schema()).expect("a schema of draft 7");
    let sheet = json(toml::Value::Table(table));
    validator.iter_errors(&sheet).map(|error| error.to_string()).collect()
}

#[test]
fn the_committed_schema_is_the_one_that_is_written() {
    let path = folder().join(schema::FILE);
    if std::env::var("TRYCMD").is_ok_and(|how| how == "overwrite") {
        std::fs::write(&path, schema::text()).expect("the schema");
    }
    let committed = std::fs::read_to_string(&path).expect("the schema").replace("\r\n", "\n");
    assert_eq!(committed, schema::text(), "TRYCMD=overwrite cargo test --test schema mends it");
}

#[test]
fn it_is_a_schema_of_draft_7() {
    assert!(jsonschema::draft7::meta::is_valid(&schema::schema()));
}

/// A key that does not say what it takes would be allowed to hold anything; one that does not say
/// what it means would leave the editor dumb.
#[test]
fn every_key_says_what_it_takes_and_means() {
    fn look(value: &Json, path: &str) {
        let Some(properties) = value["properties"].as_object() else { return };
        for (key, takes) in properties {
            assert!(takes.as_object().is_some_and(|takes| !takes.is_empty()), "{path}.{key}");
            assert!(takes["items"] != serde_json::json!({}), "entries of {path}.{key}");
            let described = takes["description"].is_string() || takes["$ref"].is_string();
            assert!(described, "{path}.{key} has no words");
        }
    }
    let schema = schema::schema();
    look(&schema, "top");
    let definitions = schema["definitions"].as_object().expect("definitions");
    assert!(definitions.len() > 10, "{}", definitions.len());
    for (path, table) in definitions {
        assert!(table["description"].is_string(), "{path} has no words");
        look(table, path);
    }
}

#[test]
fn good_sheets_pass() {
    let mut sheets = vec![starter::US.to_owned(), starter::METRIC.to_owned()];
    for entry in std::fs::read_dir(folder()).expect("demo-data") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|extension| extension == "toml") {
            sheets.push(std::fs::read_to_string(path).expect("a sheet"));
        }
    }
    assert!(sheets.len() > 10);
    let passes = |_: &mut (), sheet: &String| assert_eq!(mistakes(sheet), [""; 0], "{sheet}");
    common::cores::on_all_cores(&sheets, || (), passes);
}

/// Every way that the README says a value may be written.
#[test]
fn measures_pass_as_they_may_be_written() {
    let lengths = [
        "17 ft 6 in",
        "19 ft 9 1/2 in",
        "237 1/2 in",
        "6.03 m",
        "19' 9-1/2\"",
        "19\u{2019} 9\u{bd}\u{201d}",
        "19\u{2032} 9 1/2\u{2033}",
        "5 ft, 3 in",
        "17 FT 6 IN",
        "6,0 in.",
        "30",
        "30in",
        "  30 in ",
    ];
    for length in lengths {
        let text = Json::String(length.into());
        assert_eq!(mistakes(&format!("trial.plot = {text}")), [""; 0], "{length}");
    }
    for speed in ["2.8 mph", "4.5 km/h", "4.5 KPH", "246 ft/min"] {
        assert_eq!(mistakes(&format!("trial.speed = \"{speed}\"")), [""; 0], "{speed}");
    }
    for rate in ["139000 /ac", "139000 seeds per acre", "7.5 /m\u{b2}", "9 seeds/ft"] {
        assert_eq!(mistakes(&format!("trial.population = \"{rate}\"")), [""; 0], "{rate}");
    }
}

/// Keys that take values of two kinds, told apart by what is there.
#[test]
fn either_kind_of_a_value_passes() {
    for text in [
        "[packets]\nreserve = 20",
        "[packets]\nreserve = \"5 %\"",
        "[planter]\ndrive = [{ driving = 24, driven = { fitted = 18, choices = [16] } }]",
        "[layout]\nheadland = \"60 ft\"\nbearing = 12.5",
        "[layout]\nheadland = \"60 ft\"\nbearing = \"12 deg 30'\"",
    ] {
        assert_eq!(mistakes(text), [""; 0], "{text}");
    }
}

#[test]
fn wrong_sheets_do_not_pass() {
    let wrong = [
        "[trial]\naley = \"30 in\"",
        "[trial]\nplot = \"17 s\"",
        "[trial]\nplot = \"about that\"",
        "[trial]\nspeed = \"2.8 ft\"",
        "[trial]\nspeed = 2.8",
        "[planter]\nrows = 400",
        "[planter]\nrows = 4.5",
        "[[pass-run]]\nlead = \"4 in\"",
        "[[pass-run]]\nlead = []",
        "[[pass-run]]",
        "[[alley-run]]\nheading = \"north\"",
        "[planter.controller]\nsetback = \"15 in\"",
        "[settings]\ntrip-scale = \"402.5\"",
        "title = 3",
    ];
    for sheet in wrong {
        assert!(!mistakes(sheet).is_empty(), "{sheet}");
    }
}
