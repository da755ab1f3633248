//! Printed pages as a crew uses them: forms that can be typed back, a checklist that keeps its
//! cautions, files replaced whole, text that fits the page. `tests/printed_pages.rs` looks at the
//! pages in a browser.
#![allow(missing_docs, clippy::expect_used, clippy::panic)]

mod common;

use std::path::Path;
use std::process::Output;

use alleytrue::paper::checklist::ITEMS;
use alleytrue::sheet::{FieldSheet, Source};
use unicode_width::UnicodeWidthStr;

fn print(arguments: &[&str]) -> Output {
    let mut command = common::program();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("LC_ALL", "C.UTF-8").arg("print");
    command.args(arguments).args(["--date", "2027-04-18"]).output().expect("the program runs")
}

fn text(arguments: &[&str]) -> String {
    let output = print(arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn demo_sheets() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    std::fs::read_dir(folder)
        .expect("the demo sheets")
        .filter_map(|entry| entry.ok()?.path().to_str().map(str::to_owned))
        .filter(|path| path.ends_with(".toml"))
        .collect()
}

/// A sheet in a folder of its own.
fn sheet(text: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, text).expect("a sheet");
    let path = path.to_str().expect("a plain name").to_owned();
    (folder, path)
}

#[test]
fn text_pages_of_every_demo_sheet_fit_eighty_columns() {
    for sheet in demo_sheets() {
        for line in text(&["all", &sheet]).lines() {
            assert!(line.width() <= 80, "{sheet}: {line}");
        }
        assert!(text(&["all", &sheet, "--ascii"]).is_ascii(), "{sheet}");
    }
}

/// The forms of a page of text: the table of the sheet, and its keys from top to bottom.
fn forms(page: &str) -> Vec<(String, Vec<String>)> {
    let mut forms: Vec<(String, Vec<String>)> = vec![];
    for line in page.lines() {
        if line.starts_with("[[") {
            forms.push((line.to_owned(), vec![]));
        } else if let (Some((_, keys)), Some((key, _))) = (forms.last_mut(), line.split_once(" = "))
        {
            let key = key.trim();
            if !key.contains(' ') && !keys.iter().any(|known| known == key) {
                keys.push(key.to_owned());
            }
        } else if let (Some((_, keys)), Some(heads)) =
            (forms.last_mut(), line.trim_start().strip_prefix("no  "))
        {
            let heads = heads.split_whitespace().filter(|head| {
                *head != "no" && !head.starts_with('(') && !keys.iter().any(|key| key == head)
            });
            let mut new: Vec<String> = heads.map(str::to_owned).collect();
            new.dedup();
            keys.extend(new);
        }
    }
    forms
}

/// Every blank stands under a key that the sheet takes at that place: no form, typed back, can
/// meet "there is no such key".
#[test]
fn every_key_on_a_run_form_is_one_of_the_sheet() {
    let (_folder, empty) = sheet("");
    let all = forms(&text(&["run-form", &empty]));
    let tables: Vec<&str> = all.iter().map(|(table, _)| table.as_str()).collect();
    for run in [
        "speed",
        "wheel",
        "changeover",
        "row",
        "trip",
        "alley",
        "pass",
        "guess-row",
        "depth",
        "spacing",
    ] {
        assert!(tables.contains(&format!("[[{run}-run]]").as_str()), "{run}: {tables:?}");
    }
    assert!(tables.contains(&"[[stand-count]]"));
    for (table, keys) in all {
        assert!(keys.len() >= 3, "{table}: {keys:?}");
        let lines: Vec<String> = keys.iter().map(|key| format!("{key} = []")).collect();
        let typed = format!("{table}\n{}\n", lines.join("\n"));
        let wrong = FieldSheet::read(&Source::new("typed", &typed)).err().unwrap_or_default();
        let unknown: Vec<&str> = wrong
            .iter()
            .filter(|mistake| mistake.code.name == "unknown-key")
            .map(|mistake| mistake.message.as_str())
            .collect();
        assert!(unknown.is_empty(), "{table}: {unknown:?}");
    }
}

/// A form filled in and typed back below the sheet it was printed from is used. By hand: a
/// readout of 238 in between marks 20 ft apart, ten times, on a scale of 402.5 counts per length
/// gives 402.5 x 238 / 240 = 399.15 (rounded to the step of 0.01).
#[test]
fn a_filled_form_typed_back_is_calculated() {
    let starter = alleytrue::sheet::starter::US;
    let without: String =
        starter.split("[[").filter(|part| !part.contains("-run]]")).enumerate().fold(
            String::new(),
            |all, (index, part)| if index == 0 { part.into() } else { format!("{all}[[{part}") },
        );
    let (_folder, path) = sheet(&without);
    let page = text(&["run-form", &path]);
    let (table, keys) =
        forms(&page).into_iter().find(|(table, _)| table == "[[trip-run]]").expect("a trip form");
    assert_eq!(keys, ["date", "speed", "marks", "note", "readout"]);
    let values = [
        "2027-04-18",
        "\"2.8 mph\"",
        "\"20 ft\"",
        "\"calm\"",
        "[237, 239, 238, 237, 239, 238, 238, 238, 238, 238]",
    ];
    let lines: Vec<String> =
        keys.iter().zip(values).map(|(key, value)| format!("{key} = {value}")).collect();
    std::fs::write(&path, format!("{without}\n{table}\n{}\n", lines.join("\n"))).expect("a sheet");
    let card = text(&["cab-card", &path]);
    assert!(card.contains("trip scale") && card.contains("399.15"), "{card}");
}

#[test]
fn own_items_are_printed_and_cautions_stay() {
    let own = "[checklist]\nleave-out = [\"grease\"]\n\
               add = [{ part = \"end-of-day\", item = \"Gate \\u001b[2J locked\" }]\n";
    let (_folder, path) = sheet(own);
    let list = text(&["checklist", &path]);
    assert!(list.contains("Gate \\u{1b}[2J locked"), "control characters are shown: {list}");
    assert!(!list.contains("(grease)") && list.contains("(guards)"), "{list}");
    let cautions = ITEMS.iter().filter(|item| item.is_caution()).count();
    assert_eq!(list.lines().filter(|line| line.starts_with("  ! ")).count(), cautions);
    let (_folder, path) = sheet("[checklist]\nleave-out = [\"caution-wash\"]\n");
    assert_eq!(print(&["checklist", &path]).status.code(), Some(2));
}

#[test]
fn what_the_sheet_has_no_use_for_is_not_on_the_list() {
    let list = text(&["checklist", "demo-data/soybean-three-speeds.toml"]);
    for gone in ["(plates)", "(shop-changeover)", "(trip-scale)", "(test-trip)", "(after-speed)"] {
        assert!(!list.contains(gone), "{gone}");
    }
    for there in ["(setback)", "(test-alley)", "(after-speed-law)", "19 in"] {
        assert!(list.contains(there), "{there}");
    }
}

#[test]
fn a_file_is_replaced_whole_or_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("card.html");
    std::fs::write(&file, "old").expect("an old file");
    let name = file.to_str().expect("a plain name");
    // A bad sheet: nothing is written.
    let (_folder, bad) = sheet("tittle = 1\n");
    assert_eq!(print(&["cab-card", &bad, "-o", name]).status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&file).expect("the file"), "old");
    let good = "demo-data/soybean-all-right.toml";
    assert!(print(&["cab-card", good, "-o", name]).status.success());
    assert!(std::fs::read_to_string(&file).expect("the file").starts_with("<!DOCTYPE html>"));
    assert_eq!(std::fs::read_dir(folder.path()).expect("the folder").count(), 1, "nothing is left");
    // The sheet itself is never written over.
    let (_folder, own) = sheet("title = \"x\"\n");
    assert_eq!(print(&["cab-card", &own, "-o", &own]).status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&own).expect("the sheet"), "title = \"x\"\n");
    let nowhere = folder.path().join("none/card.html");
    let failed = print(&["cab-card", good, "-o", nowhere.to_str().expect("a plain name")]);
    assert_eq!(failed.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&failed.stderr).contains("check the folder"));
}

#[test]
fn what_is_missing_is_said() {
    let said = |arguments: &[&str]| {
        let output = print(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let three = "demo-data/soybean-three-speeds.toml";
    assert!(said(&["spacing-chart", three]).contains("travel-per-turn"));
    assert!(said(&["stakes", three]).contains("[layout]"));
    assert!(said(&["cab-card", "no-such-sheet.toml"]).contains("no-such-sheet.toml"));
    let (_folder, empty) = sheet("");
    assert!(text(&["cab-card", &empty]).contains("nothing was measured yet"));
    assert!(text(&["report", &empty]).contains("Nothing was measured yet"));
}

/// What a sheet says is text, never markup.
#[test]
fn html_pages_escape_what_the_sheet_says() {
    let title = "</style></svg><script>alert(1)</script>";
    let (_folder, path) = sheet(&format!(
        "title = '{title}'\n[checklist]\nadd = [{{ part = \"shop\", item = '{title}' }}]\n"
    ));
    let page = text(&["all", &path, "--format", "html"]);
    assert!(!page.contains("<script") && !page.contains("</svg><"), "{page}");
    assert_eq!(page.matches("</style>").count(), 1);
}
