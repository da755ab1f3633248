//! The whole output of the main job on demo sheets, held against snapshots. What the numbers
//! must be is derived in other tests; this one shows every change of wording, layout and JSON to
//! whoever reviews it. Refresh with `INSTA_UPDATE=always cargo test --test output_snapshots`.
#![allow(missing_docs, clippy::expect_used)]

mod common;

fn output(arguments: &[&str]) -> String {
    let output = common::program()
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("NO_COLOR", "1")
        .env("LC_ALL", "C.UTF-8")
        .output()
        .expect("the program runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[test]
fn a_us_sheet_with_everything_as_text() {
    let sheet = "demo-data/soybean-advanced-north.toml";
    insta::assert_snapshot!("us-text", output(&["calibrate", sheet]));
    insta::assert_snapshot!("us-ascii", output(&["calibrate", sheet, "--ascii"]));
}

#[test]
fn a_us_sheet_with_everything_as_json() {
    let sheet = "demo-data/soybean-advanced-north.toml";
    insta::assert_snapshot!("us-json", output(&["calibrate", sheet, "--format", "json"]));
}

#[test]
fn a_metric_sheet_with_tape_and_skid() {
    let sheet = "demo-data/maize-tape-and-skid-metric.toml";
    insta::assert_snapshot!("metric-text", output(&["calibrate", sheet]));
}

#[test]
fn several_chains_with_their_chart() {
    let sheet = "demo-data/maize-tape-and-skid-metric.toml";
    insta::assert_snapshot!("chart", output(&["spacing", sheet, "--chart"]));
    let chains = "demo-data/three-chains-many-sprockets.toml";
    insta::assert_snapshot!("chains", output(&["spacing", chains]));
}

#[test]
fn changeover_and_rows() {
    let first = "demo-data/changeover-first-set-up.toml";
    insta::assert_snapshot!("changeover-first", output(&["changeover", first]));
    let seen = "demo-data/changeover-bunched-and-rows.toml";
    insta::assert_snapshot!("changeover-seen", output(&["changeover", seen]));
    insta::assert_snapshot!("rows", output(&["rows", seen]));
}

#[test]
fn the_speed_law_and_a_plan() {
    let speeds = "demo-data/soybean-three-speeds.toml";
    insta::assert_snapshot!("setback-at", output(&["setback-at", "3 mph", speeds]));
    let plan = "demo-data/soybean-advanced-north.toml";
    insta::assert_snapshot!("plan", output(&["plan", plan, "--scatter", "0.5 in"]));
}

/// A printed page; the date is fixed, so that tomorrow's page is the same.
fn printed(page: &str, sheet: &str, more: &[&str]) -> String {
    let sheet = format!("demo-data/{sheet}.toml");
    output(&[&["print", page, sheet.as_str(), "--date", "2027-04-18"], more].concat())
}

#[test]
fn printed_pages_as_text() {
    for page in ["cab-card", "checklist", "run-form", "spacing-chart"] {
        let text = printed(page, "soybean-advanced-north", &[]);
        insta::assert_snapshot!(format!("print-{page}"), text);
    }
    insta::assert_snapshot!("print-stakes", printed("stakes", "soybean-forty-entries", &[]));
    let changeover = printed("all", "changeover-bunched-and-rows", &["--ascii"]);
    insta::assert_snapshot!("print-changeover-ascii", changeover);
}

#[test]
fn printed_pages_as_html() {
    let html = ["--format", "html"];
    insta::assert_snapshot!("print-html-cab", printed("cab-card", "soybean-three-speeds", &html));
    let all = printed("all", "changeover-bunched-and-rows", &html);
    insta::assert_snapshot!("print-html-changeover", all);
    insta::assert_snapshot!("print-html-report", printed("report", "soybean-all-right", &html));
}

/// Every demo sheet in short: settings, warnings and the last line.
#[test]
fn every_demo_sheet_in_short() {
    let mut sheets: Vec<String> = std::fs::read_dir("demo-data")
        .expect("the demo sheets")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".toml"))
        .map(|name| format!("demo-data/{name}"))
        .collect();
    sheets.sort();
    assert!(sheets.len() >= 12);
    for sheet in sheets {
        let name = sheet.trim_start_matches("demo-data/").trim_end_matches(".toml").to_owned();
        insta::assert_snapshot!(format!("brief-{name}"), output(&["calibrate", &sheet, "--brief"]));
    }
}

/// On a terminal the number to set and the next step are bold and nothing is in a colour, so that it
/// reads on light ground and on dark: colours of SGR are 30 to 49 and 90 to 107 (ECMA-48, 8.3.117).
#[test]
fn a_terminal_shows_what_is_next_in_bold_and_nothing_in_a_colour() {
    let run = |arguments: &[&str]| {
        let mut command = common::program();
        command.current_dir(env!("CARGO_MANIFEST_DIR")).env("CLICOLOR_FORCE", "1");
        let output = command.args(arguments).output().expect("the program runs");
        let both = [output.stdout, output.stderr].concat();
        String::from_utf8(both).expect("UTF-8")
    };
    let codes = |page: &str| -> Vec<String> {
        let starts = page.split("\u{1b}[").skip(1);
        starts.filter_map(|rest| rest.split_once('m')).map(|(code, _)| code.to_owned()).collect()
    };
    let page = run(&["calibrate", "demo-data/soybean-advanced-north.toml", "--brief"]);
    let bold = page.split("\u{1b}[1m").skip(1);
    let bold: Vec<&str> =
        bold.filter_map(|rest| rest.split('\u{1b}').next()).map(str::trim).collect();
    assert_eq!(bold, ["352.27", "Next:"]);
    let wrong = "tests/cmd/misspelt.toml";
    for arguments in [
        &["calibrate", "demo-data/soybean-advanced-north.toml"][..],
        &["calibrate", wrong],
        &["calibrate", "--help"],
        &["calibrate", "--no-such-option"],
        &["check", "demo-data/soybean-advanced-north.toml"],
        &["history", "demo-data/soybean-advanced-north.toml"],
        &["explain", "paper"],
    ] {
        for code in codes(&run(arguments)) {
            for part in code.split(';') {
                let number: u32 = if part.is_empty() { 0 } else { part.parse().expect("a number") };
                let colour = (30..=49).contains(&number) || (90..=107).contains(&number);
                assert!(!colour, "{arguments:?}: {code}");
            }
        }
    }
}
