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
        "meter",
        "run-up",
        "time",
        "harvest",
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
    assert_eq!(keys, ["date", "by", "speed", "marks", "slope", "note", "readout"]);
    let values = [
        "2027-04-18",
        "\"J. D.\"",
        "\"2.8 mph\"",
        "\"20 ft\"",
        "\"2 %\"",
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
    // One is for passes that go one way, and this trial's go both ways.
    let cautions = ITEMS.iter().filter(|item| item.is_caution()).count() - 1;
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

/// The trial's own speed is a row of the cab table, marked, with the number of the frame where it was
/// measured at that speed, and by the line where it was not.
#[test]
fn the_trials_speed_is_a_marked_row_of_the_speed_table() {
    let marked = |sheet: &str| -> Vec<String> {
        let page = text(&["cab-card", sheet, "--format", "html"]);
        let row = page.split_once("class=\"marked\"").map_or("", |(_, row)| row);
        let row = row.split_once("</tr>").map_or("", |(row, _)| row);
        let cells = row.split("dir=\"auto\">").skip(1);
        cells.filter_map(|cell| cell.split('<').next()).map(str::to_owned).collect()
    };
    let demo = "demo-data/soybean-three-speeds.toml";
    assert_eq!(marked(demo)[..2], ["2.80", "22"]);
    // Nobody drove 2.55 mph: by the truth in the sheet 15.9 in + 0.12 s x 44.88 in/s = 21.3 in, which
    // goes by steps of half an inch.
    let moved = std::fs::read_to_string(demo).expect("a demo sheet");
    let moved = moved.replacen("speed = \"2.8 mph\"", "speed = \"2.55 mph\"", 1);
    let (_folder, path) = sheet(&moved);
    let row = marked(&path);
    let setback: f64 = row[1].parse().expect("a number");
    assert!(row[0] == "2.55" && (21.0..=21.5).contains(&setback), "{row:?}");
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
            let label = one["called"].as_str();
            let (on_list, on_form) = match label {
                Some(label) => {
                    (format!(" (\u{201c}{label}\u{201d})"), format!(" \u{201c}{label}\u{201d}"))
                }
                None => (String::new(), String::new()),
            };
            let start = format!("{capital}{on_list} stands at ");
            let found = number_after(&list, &start);
            let same = |a: Option<f64>| {
                a.zip(wanted).is_some_and(|(a, b)| (a - b).abs() <= 1e-5 * b.abs())
            };
            // Feet and inches stand as they are typed: no single number to compare.
            let typed = list.split_once(&start).map_or("", |(_, after)| after);
            if typed.lines().next().is_some_and(|line| line.contains(['f', '\'', '\u{2032}'])) {
                continue;
            }
            assert!(same(found), "{sheet}: {name} {found:?} {wanted:?}");
            let on_form = number_after(&forms, &format!("in force: {name}{on_form} "));
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

/// What an audit asks of a report: who, when, what it was before, why, every reading, and which state
/// of the sheet it is. SHA-256 by `sha256sum` of GNU coreutils, apart from the program.
#[test]
fn a_report_needs_nothing_written_on_it_but_names() {
    let own = "title = \"T\"\n[study]\nnumber = \"27-014\"\nfield = \"north\"\ntapes = [\"steel no. 4\"]\n\
               [planter]\nname = \"four-row\"\nserial = \"0417\"\n";
    let (_folder, path) = sheet(own);
    let page = text(&["report", &path]);
    for wanted in ["27-014", "north", "steel no. 4", "four-row", "0417", "measured by"] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    let sum = "3ad02b2a122ac528c9ae7e8e290028b7474800cc4af442804534b863b813b0f3";
    assert!(page.contains(sum), "{page}");
    // A byte-order mark is part of the file.
    std::fs::write(&path, format!("\u{feff}{own}")).expect("a sheet");
    assert!(
        text(&["report", &path])
            .contains("9c79859bed2deee8e6db392797a595a0b2f9808f8a41f502d8ed2ce45d40ca44"),
        "{page}"
    );

    // What stands in its planter's file and its lists is of this state too; sums by the same tool.
    let beside = text(&["report", "demo-data/lots-in-a-list/trial.toml"]);
    let beside = beside.split_whitespace().collect::<Vec<_>>().join(" ");
    for file in [
        "652605cdd0358aa2576f993a893e452c05d827f703584d75bd40542bb926c026 of demo-data/lots-in-a-list/lots.csv",
        "5f0c48728842a6ff88966943b9f28a132687c6e644fea6df8e4d573d697b797f of demo-data/lots-in-a-list/plots.csv",
    ] {
        assert!(beside.contains(file), "{file}: {beside}");
    }

    let starter = alleytrue::sheet::starter::US;
    std::fs::write(&path, starter).expect("a sheet");
    let program = |arguments: &[&str]| {
        let output = common::program().args(arguments).output().expect("the program runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    };
    program(&[
        "apply",
        &path,
        "--date",
        "2027-05-02",
        "--by",
        "J. D.",
        "--reason",
        "plots too long",
    ]);
    let on_scale = ["trip", "--date", "2027-05-03", "--by", "K. L.", "--note", "calm, dry"];
    let readings = ["--marks", "20 ft", "240", "239.9", "240.2", "239.8", "240.1", "240.3"];
    program(&[&["record", &path], &on_scale[..], &readings].concat());
    let page = text(&["report", &path]);
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let sheet = std::fs::read_to_string(&path).expect("the sheet");
    let history = sheet.rsplit_once("[[history]]").map_or("", |(_, last)| last);
    assert!(history.contains("by = \"J. D.\""), "{history}");
    let of = |key: &str| {
        let line = history.lines().find(|line| line.starts_with(&format!("{key} = "))).expect(key);
        line.split_once(" = ").map_or("", |(_, value)| value.trim_matches('"')).to_owned()
    };
    for wanted in [of("from"), of("to"), "plots too long".into(), "J. D.".into(), "K. L.".into()] {
        assert!(flat.contains(&wanted), "{wanted}: {page}");
    }
    // The runs from before the change keep their readings on paper, and what they were made with.
    for run in ["trip-run 1:", "trip-run 2: 2027-05-03, by K. L.", "alley-run 1:", "pass-run 1:"] {
        assert!(flat.contains(run), "{run}: {page}");
    }
    for reading in ["240, 239.9, 240.2, 239.8, 240.1, 240.3", "calm, dry"] {
        assert!(flat.contains(reading), "{reading}: {page}");
    }
    assert!(flat.contains("left out") && flat.contains("40 CFR 160.130(e)"), "{page}");
}

/// Of three days both changes took: the readings after them lie where they should.
#[test]
fn a_report_says_of_each_change_whether_it_took() {
    let page = text(&["report", "demo-data/soybean-third-day.toml"]);
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(page.matches("it took:").count(), 2, "{page}");
    for wanted in ["27-014", "356.20", "14 in", "K. L.", "alley-run 4: 2027-04-21, by J. D."] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    // Measured last on the 21st of April and good for thirty days.
    assert!(page.contains("2027-05-21"), "{page}");
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

/// Every element is closed in its order, names stand once, blocks stand in no paragraph, tables have
/// heads with a scope, and pictures say their numbers: what a checker of HTML asks, and what a reader
/// for the blind needs.
#[test]
fn html_of_every_demo_sheet_is_well_formed() {
    const EMPTY: [&str; 7] = ["meta", "br", "line", "rect", "polygon", "circle", "path"];
    for sheet in demo_sheets() {
        for more in [&[][..], &["--half"]] {
            let page = text(&[&["all", &sheet, "--format", "html"], more].concat());
            let body = page.split_once("<body").map_or("", |(_, body)| body);
            let mut open: Vec<&str> = vec!["body"];
            let mut names: Vec<&str> = vec![];
            for tag in body.split('<').skip(1).map(|part| part.split('>').next().unwrap_or("")) {
                if let Some(name) = tag.strip_prefix('/') {
                    if name != "body" && name != "html" {
                        assert_eq!(open.pop(), Some(name), "{sheet}: {tag}");
                    }
                    continue;
                }
                let name = tag.split([' ', '/', '\n']).next().unwrap_or("");
                let block = ["div", "p", "table", "section", "h2", "figure", "dl"].contains(&name);
                assert!(!(block && open.contains(&"p")), "{sheet}: {name} in a paragraph");
                assert!(name != "th" || tag.contains(" scope="), "{sheet}: {tag}");
                assert!(name != "svg" || tag.contains(" aria-label="), "{sheet}: {tag}");
                if let Some((_, id)) = tag.split_once(" id=\"") {
                    names.push(id.split('"').next().unwrap_or(""));
                }
                if !EMPTY.contains(&name) {
                    open.push(name);
                }
            }
            assert_eq!(open, ["body"], "{sheet}");
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count, "{sheet}: {names:?}");
            assert!(page.contains("<main>") && page.contains("<nav aria-label=\"Contents\">"));
            // A link of the contents leads somewhere.
            for link in page.split("href=\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
                assert!(names.contains(&link), "{sheet}: {link}");
            }
        }
    }
}

/// Every plot of the list stands on the plan of a field that takes several sheets, once, and every
/// pass with its number.
#[test]
fn plans_of_large_fields_have_every_plot_of_the_list_once() {
    let own = "[planter]\nrows = 4\nrow-spacing = \"30 in\"\n[trial]\nplot = \"17 ft\"\nalley = \"3 ft\"\n\
               ranges = 48\npasses = 40\n[layout]\nheadland = \"40 ft\"\nfirst-plot = 1001\n\
               border-ranges = 1\nborder-passes = 1\n";
    let (_folder, path) = sheet(own);
    let page = text(&["stakes", &path, "--format", "html"]);
    let pictures: Vec<&str> = page.split("<svg").skip(1).collect();
    let key = pictures[0];
    let sheets = pictures.len() - 1;
    assert!(sheets > 1, "a key plan and sheets");
    for number in 1..=sheets {
        assert!(key.contains(&format!(">sheet {number}<")), "{number} on the key plan");
    }
    let words = |picture: &str| -> Vec<String> {
        let texts = picture.split("<text").skip(1);
        let text = texts.filter_map(|text| text.split_once('>')?.1.split('<').next());
        text.map(str::to_owned).collect()
    };
    let drawn: Vec<String> = pictures[1..].iter().flat_map(|picture| words(picture)).collect();
    // 48 x 40 plots, numbered on from 1001.
    for plot in 1001..1001 + 48 * 40 {
        let count = drawn.iter().filter(|text| **text == plot.to_string()).count();
        assert_eq!(count, 1, "plot {plot}");
    }
    // 50 tiers x 42 strips less the plots are pieces of border: each is drawn on one sheet.
    let grey = pictures[1..].iter().map(|picture| picture.matches("fill=\"#ccc\"").count());
    assert_eq!(grey.sum::<usize>(), 50 * 42 - 48 * 40);
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

/// The crew's own label stands beside our name wherever the name stands.
#[test]
fn labels_of_the_crew_stand_everywhere() {
    let starter = alleytrue::sheet::starter::US;
    let own = starter.replacen("step = 0.01", "step = 0.01, called = \"line 3\"", 1);
    assert_ne!(own, starter);
    let (_folder, path) = sheet(&own);
    let run = |arguments: &[&str]| {
        let output = common::program().args(arguments).output().expect("the program runs");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    for page in ["cab-card", "checklist", "run-form", "report"] {
        assert!(text(&[page, &path]).contains("line 3"), "{page}");
    }
    for command in ["calibrate", "check"] {
        assert!(run(&[command, &path]).contains("trip scale \"line 3\""), "{command}");
    }
    assert!(run(&["calibrate", &path]).contains("Next: set the trip scale (\"line 3\") to"));
    let called = settings(&json(&path)).iter().filter(|one| one["called"] == "line 3").count();
    assert_eq!(called, 1);
    run(&["apply", &path, "--date", "2027-05-02"]);
    assert!(run(&["history", &path]).contains("trip scale \"line 3\""));
    // A label that would break a page or a terminal does not.
    let long = starter.replacen(
        "step = 0.01",
        &format!("step = 0.01, called = \"\\u001b[2J{}\"", "x".repeat(300)),
        1,
    );
    let (_folder, path) = sheet(&long);
    for arguments in [&["calibrate", path.as_str()][..], &["check", path.as_str()]] {
        let page = run(arguments);
        assert!(!page.contains('\u{1b}'), "{page}");
        let settings = page.split("Next:").next().unwrap_or_default();
        assert!(settings.lines().all(|line| line.width() <= 80), "{page}");
    }
}
