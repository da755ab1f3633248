//! `guide` as a crew uses it: conversations answered line by line, killed and taken up again, with
//! odd and wrong answers; and what it writes against `record` and `apply`.
//!
//! `KILLS=200` kills so many conversations.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use common::talk::{Talking, talk};
use common::{Written, cases, program};
use proptest::prelude::*;

/// A sheet with all that a first day needs, and nothing measured.
const SHEET: &str = r#"title = "North block"
bare-length = "in"

[planter]
row-spacing = "30 in"

[planter.controller]
trip-scale = { counts = "per length", step = 0.01 }
setback = { raising-moves-alley = "back", step = "0.5 in" }
pass-offset = { raising-moves-alley = "ahead", step = "0.5 in" }

[trial]
plot = "17 ft 6 in"
alley = "30 in"
seed-spacing = "1.5 in"

[trial.tolerance]
trip = "1 in"
centre = "1 in"
width = "2 in"
passes = "1 in"

[settings]
trip-scale = 402.50
setback = "15 in"
pass-offset = "6.5 in"
"#;

/// Readouts of a planter that believes 238.1 in of 240 in.
const READOUTS: [&str; 5] = ["238.1", "237.4", "238.8", "237.9", "238.3"];

fn beside(sheet: &Path) -> PathBuf {
    sheet.with_file_name("sheet.toml.guide")
}

fn run_on(sheet: &Path, arguments: &[&str]) -> Output {
    let mut program = program();
    let output = program.arg(arguments[0]).arg(sheet).args(&arguments[1..]).output();
    let output = output.expect("the program runs");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    output
}

/// What a new user types to begin a sheet: only what has no usual answer.
const BEGIN: [&str; 13] = ["", "", "", "17 ft 6 in", "30", "", "", "", "", "", "402.50 c", "", ""];

/// Keys pressed for these lines, Enter included.
fn keys(lines: &[&str]) -> usize {
    lines.iter().map(|line| line.chars().count() + 1).sum()
}

/// Nothing but keys: the sheet, the readings one by one, the first setting.
#[test]
fn a_new_user_gets_to_the_first_setting_in_few_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("north.toml");
    // Enter: planted. After the readings: Enter records, y: it is set.
    let before = [&BEGIN[..], &[""]].concat();
    let after = ["", "y"];
    let answers = [before.as_slice(), &READOUTS, &after].concat().join("\n") + "\n";
    let said = talk(&sheet, &answers, &[]);
    let typed = keys(&before) + keys(&after) + keys(&["alleytrue guide north.toml"]);
    // README.md says so.
    assert!(typed < 100, "{typed} keys");
    assert!(said.text.contains("set the trip scale to 399.31 (now 402.50)"), "{}", said.text);
    let text = fs::read_to_string(&sheet).expect("the sheet");
    // 402.50 × (238.1 + 237.4 + 238.8 + 237.9 + 238.3) / 5 / 240 = 402.50 × 238.1 / 240 = 399.3135
    assert!(text.contains("trip-scale = 399.31\n"), "{text}");
    assert!(text.contains("[[history]]") && text.contains("from = 402.50\nto = 399.31"), "{text}");
    println!("{typed} keys besides the readings");
}

/// A trip scale whose step nobody knows is set to all its digits: 402.50 × 238.1 / 240 = 399.3135.
#[test]
fn a_trip_scale_without_a_step_is_set_too() {
    let written = Written::new(&SHEET.replace(", step = 0.01", ""));
    let answers = [&[""][..], &READOUTS, &["", "y", "q"]].concat().join("\n") + "\n";
    let said = talk(&written.path(), &answers, &[]);
    assert!(written.text().contains("trip-scale = 399.314\n"), "{}{}", said.text, said.errors);
}

/// The same with a column of a spreadsheet pasted in one piece, which a terminal hands over as one
/// answer: here its cells are parted by tabs, since a line ends an answer of a pipe.
#[test]
fn the_same_with_a_column_pasted() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("north.toml");
    let column = READOUTS.join("\t");
    let answers = [&BEGIN[..], &["", &column, "", "y"]].concat().join("\n") + "\n";
    let said = talk(&sheet, &answers, &[]);
    assert!(said.text.contains("5 readouts, mean 238.1 in"), "{}", said.text);
    let text = fs::read_to_string(&sheet).expect("the sheet");
    assert!(text.contains("trip-scale = 399.31\n"), "{text}");
}

/// The sheet that a dozen answers make says all of it.
#[test]
fn a_sheet_is_begun_by_a_dozen_questions() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("süd 2.toml");
    let answers = "y\nmetric\nSüd \"2\"\n5.3 m\n75\n30\n\n34 /m2\n4,5 km/h\n4.5\n2.5\n\
                   96.2 l\n38 back\n16 cm ?\nq\n";
    let said = talk(&sheet, answers, &[]);
    assert_eq!(said.code, Some(0), "{}{}", said.text, said.errors);
    assert!(said.text.contains("4,5 km/h"), "the decimal comma was answered: {}", said.text);
    let text = fs::read_to_string(&sheet).expect("the sheet");
    for line in [
        "bare-length = \"cm\"",
        "plot = \"5.3 m\"",
        "alley = 75",
        "ranges = 30",
        "row-spacing = \"75 cm\"",
        "population = \"34 /m2\"",
        "speed = \"4.5 km/h\"",
        "width = 5\n",
        "trip-scale = { length = \"per count\", step = 0.1 }",
        "setback = { raising-moves-alley = \"back\" }",
        "pass-offset = { raising-moves-alley = \"not known\" }",
        "setback = 38",
        "pass-offset = \"16 cm\"",
    ] {
        assert!(text.contains(line), "{line} in {text}");
    }
    assert!(text.contains("title = ") && text.contains("Süd"), "{text}");
    run_on(&sheet, &["history"]);
}

/// What can't stand in a sheet is said at once and asked again, and back takes an answer back.
#[test]
fn wrong_answers_to_the_dozen_are_asked_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("north.toml");
    let answers = "\nfurlongs\nu\nTrial\n\n-3\nseventeen\n18 ft\nback\n17 ft 6 in\n30\n1.5\n30\n\n\n\n\n\
                   402.5 x\n402.5\n402.5 c\nleft\n15 b\n\nq\n";
    let said = talk(&sheet, answers, &[]);
    let text = fs::read_to_string(&sheet).unwrap_or_else(|_| panic!("{}", said.text));
    assert!(text.contains("plot = \"17 ft 6 in\""), "{text}");
    assert!(text.contains("trip-scale = 402.5\n") && text.contains("setback = 15\n"), "{text}");
    for words in ["`furlongs` is no answer", "`seventeen`", "`left` is no answer"] {
        assert!(said.text.contains(words), "{words} in {}", said.text);
    }
}

#[test]
fn every_prompt_says_what_can_be_answered() {
    let written = Written::new(SHEET);
    let mut talking = Talking::about(&written.path(), &[]);
    let mut said = talking.hear();
    for answer in ["", "238", "238.2", "237.8", "238.1", "238", "", "n"] {
        let help = talking.say("?");
        assert!(help.contains("q, Ctrl+C or the end of input stops"), "{help}");
        assert!(said.ends_with(help.lines().last().expect("a prompt")), "asked again: {help}");
        said = talking.say(answer);
    }
    assert_eq!(talking.end(), Some(0));
}

fn said_of(answers: &str) -> (Written, common::talk::Said) {
    let written = Written::new(SHEET);
    let said = talk(&written.path(), answers, &[]);
    (written, said)
}

/// A slip is said at once and asked again, and the readings before it stay.
#[test]
fn readings_are_forgiven_or_asked_again() {
    let (written, said) =
        said_of("\n604\nn\n238.1\nabc\n237,4 in\n\n238.8 in\n20 ft\nback\n-3\n19' 10\"\n238.2\n\n");
    // What has both kinds of quotes in it stands in three of them.
    let readouts = r#"[238.1, "237.4 in", "238.8 in", """19' 10"""", 238.2]"#;
    let text = written.text();
    assert!(text.contains(readouts), "{text}");
    assert!(said.text.contains("`abc`"), "{}", said.text);
    assert!(said.text.contains("20 ft is taken back"), "{}", said.text);
    assert!(said.text.contains("Enter once more ends the run here"), "{}", said.text);
    assert!(said.text.contains("is it right as typed?"), "{}", said.text);
}

/// From five on, a reading that stands apart is asked about before it counts.
#[test]
fn a_reading_that_stands_apart_is_asked_about() {
    let apart = "238.1\n237.4\n238.8\n237.9\n238.3\n238.2\n263.8\n";
    let (written, said) = said_of(&format!("\n{apart}n\n238.4\n\n"));
    assert!(said.text.contains("readout 7 (263.8) stands apart"), "{}", said.text);
    assert!(
        written.text().contains("237.9, 238.3, 238.2, 238.4]"),
        "typed again: {}",
        written.text()
    );
    let (written, _) = said_of(&format!("\n{apart}n\n\n"));
    assert!(written.text().contains("237.9, 238.3, 238.2]"), "left out: {}", written.text());
    let (written, _) = said_of(&format!("\n{apart}y\n\n\n"));
    assert!(written.text().contains("238.3, 238.2, 263.8]"), "meant: {}", written.text());
    // The rest of a paste that comes line by line is no answer, and is not lost.
    let (written, said) = said_of(&format!("\n{apart}238.4\n238\ny\n\n"));
    let text = written.text();
    assert!(text.contains("238.2, 263.8, 238.4, 238]"), "{}{text}", said.text);
}

/// Turns of a wheel are no question of one interval: they are taken without looks.
#[test]
fn what_no_interval_decides_has_no_looks() {
    let (written, said) = said_of("wheel\n200 ft\n29,5\n29 3/4\n\nq\n");
    assert!(!said.text.contains("look 1"), "{}", said.text);
    assert!(written.text().contains("turns = [29.5, 29.75]"), "{}{}", said.text, written.text());
}

#[test]
fn a_run_without_readings_is_left_out() {
    let (written, said) = said_of("\n\n\nq\n");
    assert_eq!(written.text(), SHEET);
    assert!(said.text.contains("no readouts yet"), "{}", said.text);
    assert_eq!(said.code, Some(0));
    assert!(!beside(&written.path()).exists());
}

/// Where the input ends in the middle, what was typed stays beside the sheet, and the status says so.
#[test]
fn an_end_in_the_middle_keeps_what_was_typed() {
    let (written, said) = said_of("\n238.1\n237.4\n");
    assert_eq!((said.code, written.text().as_str()), (Some(1), SHEET), "{}", said.text);
    let kept = fs::read_to_string(beside(&written.path())).expect("kept");
    assert!(kept.contains("238.1") && kept.contains("237.4"), "{kept}");
    let said = talk(&written.path(), "238.8\n237.9\n238.3\n\n", &[]);
    assert!(said.text.contains("Kept from last time: 2 readouts"), "{}", said.text);
    assert!(written.text().contains("readout = [238.1, 237.4, 238.8, 237.9, 238.3]"));
    assert!(!beside(&written.path()).exists(), "gone when the sheet has it");
}

/// Other values than those advised, and not yet.
#[test]
fn what_was_set_is_what_the_sheet_says() {
    let measured = "\n238.1\n237.4\n238.8\n237.9\n238.3\n\n";
    let (written, said) = said_of(&format!("{measured}n\n"));
    assert!(!written.text().contains("[[history]]"), "{}", said.text);
    let (written, said) = said_of(&format!("{measured}402.50\nblue\n399.5\nq\n"));
    assert!(written.text().contains("to = 399.5"), "{}{}", said.text, written.text());
    assert!(said.text.contains("that is what the sheet has now"), "{}", said.text);
}

/// Alleys of one heading are followed by those of the other, unless the crew says no.
#[test]
fn alleys_of_both_headings_are_measured_before_anything_is_set() {
    let out = "\nalley\nout\n12/18\n12.5/17.5\n11/18\n12/18\n11.5/18.5\n\n";
    let (written, said) = said_of(&out[1..]);
    assert!(said.text.contains("alleys coming home too?"), "{}", said.text);
    assert!(!written.text().contains("heading = \"home\""));
    let home = "\n12/18\n12.5/17.5\n11/18\n12/18\n11.5/18\n\n";
    let (written, _) = said_of(&[&out[1..], home].concat());
    assert!(written.text().contains("heading = \"home\""), "{}", written.text());
    let (written, said) = said_of(&[&out[1..], "n\nq\n"].concat());
    assert_eq!(written.text().matches("[[alley-run]]").count(), 1, "{}", said.text);
    // Nobody plants home where all passes go one way.
    let one_way =
        SHEET.replace("alley = \"30 in\"\n", "alley = \"30 in\"\npasses-go = \"one-way\"\n");
    let written = Written::new(&one_way);
    let said = talk(&written.path(), &out[1..], &[]);
    assert!(!said.text.contains("coming home too?"), "{}", said.text);
    assert!(written.text().contains("heading = \"out\""), "{}{}", said.text, said.errors);
}

/// Another program writes to the sheet while the conversation is open: its work stays.
#[test]
fn a_sheet_changed_meanwhile_is_read_again() {
    let written = Written::new(SHEET);
    let mut talking = Talking::about(&written.path(), &[]);
    talking.hear();
    talking.say("");
    for readout in &READOUTS[..4] {
        talking.say(readout);
    }
    let edited = SHEET.replace("North block", "North block, edited");
    fs::write(written.path(), &edited).expect("an editor saves");
    let said = talking.say(READOUTS[4]);
    assert!(said.contains("was changed by another program"), "{said}");
    // Broken for a while.
    fs::write(written.path(), edited.replace("[trial]", "[trail")).expect("an editor saves");
    let said = talking.say("");
    assert!(said.ends_with("mend the sheet, then Enter> "), "{said}");
    fs::write(written.path(), &edited).expect("an editor saves");
    let said = talking.say("");
    assert!(said.contains("recorded in"), "{said}");
    assert!(written.text().starts_with(&edited), "{}", written.text());
    assert!(written.text().contains("readout = [238.1"), "{}", written.text());
    talking.end();
}

/// Two conversations about one sheet: the second takes up what the first has kept, and the first
/// then writes over nothing.
#[test]
fn two_at_once_write_over_nothing() {
    let written = Written::new(SHEET);
    let mut first = Talking::about(&written.path(), &[]);
    first.hear();
    first.say("");
    first.say("238.1");
    let mut second = Talking::about(&written.path(), &[]);
    assert!(second.hear().contains("Kept from last time: 1 readout"));
    second.say("237.4");
    first.say("238.8");
    assert_eq!(first.end(), Some(2));
    for answer in ["237.9", "238.3", "238.2", ""] {
        second.say(answer);
    }
    assert_eq!(second.end(), Some(0));
    let text = written.text();
    assert!(text.contains("readout = [238.1, 237.4, 237.9, 238.3, 238.2]"), "{text}");
}

#[test]
fn what_is_no_sheet_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let said = talk(folder.path(), "", &[]);
    assert_eq!(said.code, Some(2), "{}", said.errors);
    let said = talk(&folder.path().join("none/there.toml"), &("\n".repeat(4) + "18 ft\n"), &[]);
    assert_eq!(said.code, Some(2), "{}", said.errors);
    let written = Written::new("[trial]\nplot = \"18 furlongs\"\naley = 3\n");
    let said = talk(&written.path(), "", &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.errors.contains("error[unknown-key]"), "{}", said.errors);
    let written = Written::new("[trial\n");
    assert_eq!(talk(&written.path(), "", &[]).code, Some(2));
    let written = Written::new(SHEET);
    fs::write(beside(&written.path()), "kind = \"moon\"\n").expect("written");
    let said = talk(&written.path(), "", &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.errors.contains("can't be read"), "{}", said.errors);
}

/// Sheets that ask for nothing.
#[test]
fn a_sheet_without_open_work_ends_at_once() {
    let right = Path::new("demo-data/soybean-all-right.toml");
    let said = talk(right, "", &[]);
    assert!(said.text.contains("Nothing is left to change or to measure."), "{}", said.text);
    assert_eq!(said.code, Some(0));
    let layout = Written::new("[trial]\nplot = \"18 ft\"\nalley = \"30 in\"\n");
    let said = talk(&layout.path(), "", &[]);
    assert!(said.text.contains("nothing was measured yet"), "{}", said.text);
    assert_eq!(said.code, Some(0));
}

#[test]
fn a_day_before_the_last_one_is_asked_about() {
    let written = Written::new(SHEET);
    run_on(&written.path(), &["record", "pass", "--date", "2027-05-01", "4", "5", "3", "4"]);
    let said = talk(&written.path(), "n\n", &["--date", "2027-04-01"]);
    assert!(said.text.contains("lies before"), "{}", said.text);
    let said = talk(&written.path(), "y\ntrip\n238\n238.3\n\n\n", &["--date", "2027-04-01"]);
    assert!(written.text().contains("date = 2027-04-01"), "{}{}", said.text, said.errors);
}

/// Killed at every prompt of a day, one after the other, and taken up again each time: the sheet
/// ends as one that was never interrupted, and nothing lies beside it.
#[test]
fn killed_and_taken_up_again() {
    let answers: Vec<&str> =
        ["", "238.1", "237.4", "238.8", "237.9", "238.3", "", "y"].into_iter().collect();
    let whole = Written::new(SHEET);
    talk(&whole.path(), &(answers.join("\n") + "\n"), &[]);
    assert!(whole.text().contains("[[history]]"), "{}", whole.text());
    let kills = std::env::var("KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(8);
    for at in (0..kills).map(|kill: usize| kill % answers.len()) {
        let written = Written::new(SHEET);
        let mut talking = Talking::about(&written.path(), &[]);
        talking.hear();
        for answer in &answers[..at] {
            talking.say(answer);
        }
        talking.kill();
        let mut talking = Talking::about(&written.path(), &[]);
        let said = talking.hear();
        // A kind that was picked and had no reading yet is picked again.
        let again = if said.contains("readout 1") || at != 1 { at } else { 0 };
        for answer in &answers[again..] {
            talking.say(answer);
        }
        talking.end();
        assert_eq!(written.text(), whole.text(), "killed before answer {at}");
        assert!(!beside(&written.path()).exists());
    }
}

#[test]
fn a_new_sheet_is_taken_up_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("north.toml");
    let mut talking = Talking::about(&sheet, &[]);
    talking.hear();
    for answer in &BEGIN[..5] {
        talking.say(answer);
    }
    talking.kill();
    assert!(!sheet.exists());
    let said = talk(&sheet, &(BEGIN[5..].join("\n") + "\nq\n"), &[]);
    assert!(said.text.contains("plot 17 ft 6 in"), "{}", said.text);
    let text = fs::read_to_string(&sheet).expect("the sheet");
    assert!(text.contains("trip-scale = 402.50") && text.contains("alley = 30"), "{text}");
    assert!(!folder.path().join("north.toml.guide").exists());
}

/// A kind, what is answered before its readings, and the readings.
fn runs() -> impl Strategy<Value = (&'static str, Vec<(&'static str, String)>, Vec<String>)> {
    let tenths = |low: i32, high: i32| {
        (low..high).prop_map(|tenth| format!("{}.{}", tenth / 10, tenth % 10))
    };
    let readouts = prop::collection::vec(tenths(2300, 2500), 1..9);
    let leads =
        prop::collection::vec((-12..40_i32).prop_map(|quarter| f64::from(quarter) / 4.0), 1..9);
    let alley = (40..80_i32, 40..80_i32);
    let alleys = prop::collection::vec(alley, 1..9);
    let times = prop::collection::vec(tenths(450, 520), 1..6);
    prop_oneof![
        readouts.prop_map(|all| ("trip", vec![], all)),
        leads.prop_map(|all| ("pass", vec![], all.iter().map(|one| one.to_string()).collect())),
        (alleys, prop::bool::ANY).prop_map(|(all, out)| {
            let quarter = |one: i32| f64::from(one) / 4.0;
            let pair = |(a, b): &(i32, i32)| format!("{}/{}", quarter(*a), quarter(*b));
            let heading = if out { "out" } else { "home" };
            ("alley", vec![("heading", heading.to_owned())], all.iter().map(pair).collect())
        }),
        times.prop_map(|all| ("speed", vec![("course", "200 ft".to_owned())], all)),
    ]
}

proptest! {
    #![proptest_config(cases(12))]

    /// What `guide` writes is what `record` and `apply` write of the same readings.
    #[test]
    fn guide_writes_what_record_and_apply_write((kind, keys, readings) in runs()) {
        let guided = Written::new(SHEET);
        let mut talking = Talking::about(&guided.path(), &["--by", "AB"]);
        talking.hear();
        let mut said = talking.say(kind);
        for (_, answer) in &keys {
            said = talking.say(answer);
        }
        for reading in &readings {
            said = talking.say(reading);
            while said.contains("does it count?") || said.contains("is it right as typed?") {
                said = talking.say("y");
            }
        }
        for _ in 0..2 {
            if !said.contains("recorded in") {
                said += &talking.say("");
            }
        }
        prop_assert!(said.contains("recorded in"), "{}", said);
        if said.contains("too? (Enter: yes, n)") {
            said = talking.say("n");
        }
        let sets = said.contains("is it set on the planter?");
        if sets {
            talking.say("y");
        }
        talking.end();
        let typed = Written::new(SHEET);
        let mut words = vec!["record", kind, "--by", "AB", "--yes"];
        let options: Vec<String> = keys.iter().map(|(key, value)| format!("--{key}={value}")).collect();
        words.extend(options.iter().map(String::as_str));
        words.extend(readings.iter().map(String::as_str));
        run_on(&typed.path(), &words);
        if sets {
            run_on(&typed.path(), &["apply", "--confidence", "98.4%", "--by", "AB"]);
        }
        prop_assert_eq!(guided.text(), typed.text());
    }
}

/// The conversations of the documents: whether what is answered there leads to what is said there.
#[test]
fn the_documents_show_conversations_as_they_go() {
    let mut played = 0;
    for document in ["README.md", "src/reference/guide.md"] {
        let text = fs::read_to_string(document).expect("a document").replace("\r\n", "\n");
        for block in text.split("```text guide\n").skip(1) {
            let block = block.split("```").next().expect("a block");
            let mut lines = block.lines();
            let call = lines.next().and_then(|line| line.strip_prefix("$ alleytrue guide "));
            let folder = tempfile::tempdir().expect("a folder");
            let shown: Vec<&str> = lines.collect();
            let answer =
                |line: &&str| line.split_once('>').map(|(_, answer)| answer.trim().to_owned());
            let answers: Vec<String> = shown.iter().filter_map(answer).collect();
            let mut program = program();
            program.current_dir(folder.path()).env("LC_ALL", "C.UTF-8");
            program.arg("guide").arg(call.expect("a call"));
            let said = answered(program, &(answers.join("\n") + "\n"));
            follows(&said, &shown, document);
            played += 1;
        }
    }
    assert!(played > 0);
}

fn answered(mut program: std::process::Command, answers: &str) -> String {
    use std::io::Write;
    use std::process::Stdio;
    let program = program.stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = program.spawn().expect("the program runs");
    child.stdin.take().expect("its input").write_all(answers.as_bytes()).expect("answered");
    let output = child.wait_with_output().expect("it ends");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// What is shown stands in what is said, line after line; `...` stands for any number of lines.
fn follows(said: &str, shown: &[&str], document: &str) {
    let mut said = said.lines().map(str::trim_end);
    let mut any = false;
    for line in shown {
        match *line {
            "..." => any = true,
            line if any => {
                assert!(said.any(|own| own == line), "{document}: {line}");
                any = false;
            }
            line => assert_eq!(said.next(), Some(line), "{document}"),
        }
    }
    assert!(any || said.next().is_none(), "{document}: more is said in the end");
}

/// What would not be kept is refused before anything is asked.
#[test]
fn values_set_over_the_sheet_are_refused() {
    let written = Written::new(SHEET);
    let out = common::program()
        .args(["guide", "--set", "trial.speed=3 mph"])
        .arg(written.path())
        .output()
        .expect("the program runs");
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8(out.stderr).expect("text");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("--set asks what if, and would not be kept in the sheet"), "{said}");
    assert_eq!(written.text(), SHEET);
}
