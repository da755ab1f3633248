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
    assert_eq!(keys, ["date", "by", "speed", "marks", "note", "readout"]);
    let values = [
        "2027-04-18",
        "\"J. D.\"",
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

/// The texts of elements of a class, in order.
fn of_class<'a>(page: &'a str, class: &str) -> Vec<&'a str> {
    let start = format!("class=\"{class}\"");
    let after = page.split(&start).skip(1);
    let text = |rest: &'a str| rest.split_once('>').map_or("", |(_, text)| text);
    after.map(|rest| text(rest).split('<').next().unwrap_or_default().trim()).collect()
}

/// What `calibrate` says of a sheet.
fn json(sheet: &str) -> serde_json::Value {
    let mut command = common::program();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(["calibrate", sheet, "--format", "json"]);
    command.args(["--on", "2027-04-18"]);
    let output = command.output().expect("the program runs");
    serde_json::from_slice(&output.stdout).expect("a document")
}

/// Every setting of a document, with what `key` has of it.
fn settings(document: &serde_json::Value) -> Vec<serde_json::Value> {
    let results = document["results"].as_array().expect("results");
    let all = results.iter().flat_map(|one| one["settings"].as_array().expect("settings"));
    all.cloned().collect()
}

/// One frame, one box, and in it the very settings that the JSON changes, with their new values;
/// what waits has no number to be set anywhere.
#[test]
fn the_card_sets_what_the_json_changes_next_and_has_one_box() {
    let mut set = 0;
    for sheet in demo_sheets() {
        let document = json(&sheet);
        let page = text(&["cab-card", &sheet, "--format", "html"]);
        let next = &document["next"];
        let empty = document["results"].as_array().is_none_or(Vec::is_empty);
        let boxes = usize::from(!next.is_null() || empty);
        assert_eq!(page.matches("class=\"box").count(), boxes, "{sheet}");
        assert_eq!(page.matches("class=\"frame").count(), 1, "{sheet}");
        let names = of_class(&page, "name");
        let news = of_class(&page, "new");
        assert_eq!(names.len(), news.len(), "{sheet}");
        if let Some(by_hand) = next["by_hand"].as_array() {
            assert_eq!(names.len(), by_hand.len(), "{sheet}");
            continue;
        }
        let changing: Vec<_> =
            settings(&document).into_iter().filter(|one| one["verdict"] == "change").collect();
        let wanted: Vec<&str> = changing.iter().filter_map(|one| one["name"].as_str()).collect();
        assert_eq!(names, wanted, "{sheet}");
        for (new, one) in news.iter().zip(&changing) {
            let digits: String =
                new.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
            let number: f64 = digits.parse().expect("a number");
            let wanted = one["set"].as_f64().expect("a number");
            // Shown to six figures.
            assert!((number - wanted).abs() <= 1e-5 * wanted.abs(), "{sheet}: {new} {wanted}");
            set += 1;
        }
    }
    assert!(set >= 10, "{set} settings on all cards");
}

/// What is ticked in the controller is what stands there once the card's step is done.
#[test]
fn the_checklist_and_the_forms_have_settings_as_after_the_step_of_the_card() {
    let mut seen = 0;
    for sheet in demo_sheets() {
        let (list, forms) = (text(&["checklist", &sheet]), text(&["run-form", &sheet]));
        for one in settings(&json(&sheet)) {
            let (Some(key), Some(now)) = (one["key"].as_str(), one["now"].as_f64()) else {
                continue;
            };
            if !["trip-scale", "setback", "pass-offset"].contains(&key) {
                continue;
            }
            let name = one["name"].as_str().expect("a name");
            let wanted = if one["verdict"] == "change" { one["set"].as_f64() } else { Some(now) };
            let number_after = |text: &str, start: &str| -> Option<f64> {
                let (_, after) = text.split_once(start)?;
                let digits = after.trim_start();
                let end = digits.find(|c: char| !c.is_ascii_digit() && c != '.')?;
                digits[..end].trim_end_matches('.').parse().ok()
            };
            let mut capital = name.to_owned();
            capital[..1].make_ascii_uppercase();
            let found = number_after(&list, &format!("{capital} stands at "));
            let same = |a: Option<f64>| {
                a.zip(wanted).is_some_and(|(a, b)| (a - b).abs() <= 1e-5 * b.abs())
            };
            // Feet and inches stand as they are typed: no single number to compare.
            let start = format!("{capital} stands at ");
            let typed = list.split_once(&start).map_or("", |(_, after)| after);
            if typed.lines().next().is_some_and(|line| line.contains(['f', '\'', '\u{2032}'])) {
                continue;
            }
            assert!(same(found), "{sheet}: {name} {found:?} {wanted:?}");
            let on_form = number_after(&forms, &format!("in force: {name} "));
            assert!(on_form.is_none() || same(on_form), "{sheet}: {name} {on_form:?}");
            seen += 1;
        }
    }
    assert!(seen >= 12, "{seen} settings on all lists");
}

#[test]
fn what_the_sheet_has_no_use_for_is_not_on_the_list() {
    let list = text(&["checklist", "demo-data/soybean-three-speeds.toml"]);
    for gone in ["(plates)", "(shop-changeover)", "(trip-scale)", "(test-trip)", "(after-speed)"] {
        assert!(!list.contains(gone), "{gone}");
    }
    for there in ["(setback)", "(test-alley)", "(after-speed-law)", "22 in"] {
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
    assert!(text(&["cab-card", &empty]).contains("Nothing was measured yet"));
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
