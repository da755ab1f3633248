//! What `record` understands: units that make sense of a key, readings as they are pasted, what
//! leaves a doubt, and readings that seem to be in another unit. Expected numbers are those typed.

// Helpers of tests may fail like tests.
#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::io::Write;
use std::process::{Output, Stdio};

use alleytrue::sheet::writing::{
    Bare, Given, KINDS, Kind, Said, Understood, WriteError, add_run, understood,
};
use alleytrue::sheet::{FieldSheet, Source, starter};
use proptest::prelude::*;

fn source(text: &str) -> Source {
    Source::new("sheet.toml", text)
}

fn kind(name: &str) -> &'static Kind {
    KINDS.iter().find(|kind| kind.name == name).expect("a kind")
}

fn said(name: &str, keys: Vec<(&'static str, Given)>, words: &[&str]) -> Said {
    let values = Bare::Words(words.iter().map(ToString::to_string).collect());
    Said { kind: kind(name), keys, values }
}

fn pasted(name: &str, text: &str) -> Said {
    Said { kind: kind(name), keys: vec![], values: Bare::Text(text.into()) }
}

/// The readings of a list as they are written, once the sheet with them was read.
#[track_caller]
fn list(said: &Said, key: &str) -> Vec<String> {
    let Understood { run, .. } =
        understood(&source(starter::US), said).unwrap_or_else(|error| panic!("{error}"));
    let text = add_run(&source(starter::US), &run).unwrap_or_else(|error| panic!("{error}"));
    FieldSheet::read(&source(&text)).expect("a sheet");
    let texts = run.keys.iter().find_map(|(name, given)| match given {
        Given::List(texts) if *name == key => Some(texts.clone()),
        _ => None,
    });
    texts.unwrap_or_else(|| panic!("no {key}"))
}

#[track_caller]
fn doubt(said: &Said) -> (String, String) {
    match understood(&source(starter::US), said) {
        Err(WriteError::Doubtful { words, advice }) => (words, advice),
        other => panic!("{other:?}"),
    }
}

fn program(sheet: &str, words: &[&str], input: &str) -> (Output, bool) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, sheet).expect("a written sheet");
    let mut command = common::program();
    command.arg("record").arg(&path).args(words);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("it runs");
    // It may end without reading.
    let _ = child.stdin.take().expect("its input").write_all(input.as_bytes());
    let output = child.wait_with_output().expect("it ends");
    let changed = std::fs::read_to_string(&path).expect("the sheet") != sheet;
    (output, changed)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

// Which readings.

#[test]
fn a_whole_number_with_a_fraction_behind_it_is_one_reading_where_only_that_makes_sense() {
    let leads = |words: &[&str]| list(&said("pass", vec![], words), "lead");
    assert_eq!(leads(&["3", "1/2", "4", "3", "1/4"]), ["3 1/2", "4", "3 1/4"]);
    assert_eq!(leads(&["-3", "1/2", "-4", "-3", "1/4"]), ["-3 1/2", "-4", "-3 1/4"]);
    assert_eq!(leads(&["3 1/2", "4", "3-1/4"]), ["3 1/2", "4", "3-1/4"]);
    assert_eq!(leads(&["3,", "1/2"]), ["3", "1/2"]);
    assert_eq!(leads(&["3 1/2 4 3 1/4"]), ["3 1/2", "4", "3 1/4"]);
    // A readout of a quarter inch can't be, so a single one is no doubt.
    let readouts = list(&said("trip", vec![], &["237", "1/4"]), "readout");
    assert_eq!(readouts, ["237 1/4"]);
    // These may be either: halves of an inch are leads.
    for words in [&["3", "1/2"][..], &["1", "1/2", "1/4"], &["1/2", "1", "1/4", "0"]] {
        let (why, advice) = doubt(&said("pass", vec![], words));
        assert!(why.contains("may be one reading") && advice.contains(", 1/"), "{why} {advice}");
    }
    let turns = said("wheel", vec![("course", Given::One("200 ft".into()))], &["29 1/2", "29 1/4"]);
    assert_eq!(list(&turns, "turns"), ["29.5", "29.25"]);
}

#[test]
fn a_pasted_column_is_read_as_it_is() {
    let readouts = |text: &str| list(&pasted("trip", text), "readout");
    let wanted = ["237.4", "238.1", "238.8"];
    for column in [
        "237.4\n238.1\n238.8\n",
        "237.4\r\n238.1\r\n238.8\r\n",
        "\u{feff}237,4\r\n238,1\r\n238,8",
        "readout\n237.4\n238.1\n238.8\n",
        "237.4\t238.1\t238.8\n",
        "237,4;238,1;238,8",
        "237.4; 238.1; 238.8",
        "237.4, 238.1, 238.8",
        "237.4,238.1,238.8",
        "237.4 238.1 238.8",
    ] {
        assert_eq!(readouts(column), wanted, "{column:?}");
    }
    assert_eq!(readouts("19 ft 9 1/2 in\n20' 1\"\n"), ["19 ft 9 1/2 in", "20' 1\""]);
    assert_eq!(list(&said("trip", vec![], &["237,4", "238,1"]), "readout"), ["237.4", "238.1"]);
    let (why, _) = doubt(&pasted("trip", "1\t237.4\n2\t238.1\n"));
    assert!(why.contains("several columns"), "{why}");
    let (why, _) = doubt(&pasted("trip", " \n\n"));
    assert_eq!(why, "there are no readings");
}

#[test]
fn commas_that_may_mean_two_things_are_asked_about() {
    for (words, one, other) in [
        (&["50,51"][..], "50.51", "50 and 51"),
        (&["4,3", "3,5"], "4.3", "4 and 3"),
        (&["1,250", "1,300"], "1250", "1.250"),
        (&["11,5,12,0"], "11.5 and 12.0", "11, 5, 12, 0"),
        (&["1,250,300"], "1250300", "1, 250, 300"),
    ] {
        let (why, _) = doubt(&said("pass", vec![], words));
        assert!(why.contains(one) && why.contains(other), "{why}");
    }
    let leads = |words: &[&str]| list(&said("pass", vec![], words), "lead");
    assert_eq!(leads(&["1.5,2,3"]), ["1.5", "2", "3"]);
    assert_eq!(leads(&["5,6,7"]), ["5", "6", "7"]);
    assert_eq!(leads(&["5,6,7,8"]), ["5", "6", "7", "8"]);
}

#[test]
fn both_sides_of_an_alley_are_one_value() {
    let heading = || vec![("heading", Given::Text("out".into()))];
    let sides = |said: &Said| (list(said, "last-seed-to-mark"), list(said, "mark-to-first-seed"));
    let texts = |all: &[&str]| all.iter().map(ToString::to_string).collect::<Vec<_>>();
    let words = ["11.5/17.5", "12/18", "11 1/2/17 1/2", "-1/30"];
    assert_eq!(
        sides(&said("alley", heading(), &words)),
        (texts(&["11.5", "12", "11 1/2", "-1"]), texts(&["17.5", "18", "17 1/2", "30"]))
    );
    let decimal = said("alley", heading(), &["11,5/17,5 12/18"]);
    assert_eq!(sides(&decimal), (texts(&["11.5", "12"]), texts(&["17.5", "18"])));
    let columns = Said { keys: heading(), ..pasted("alley", "a\tb\r\n11,5\t17,5\r\n12\t18\r\n") };
    assert_eq!(sides(&columns), (texts(&["11.5", "12"]), texts(&["17.5", "18"])));
    let line = understood(&source(starter::US), &columns).expect("alleys").line;
    let wanted = "2 alleys, last seed to mark 11.5 to 12 in, mark to first seed 17.5 to 18 in, \
                  heading out";
    assert_eq!(line, wanted);
    let (why, _) = doubt(&said("alley", heading(), &["11.5", "17.5"]));
    assert!(why.contains("not both sides"), "{why}");
    let (why, _) = doubt(&Said { keys: heading(), ..pasted("alley", "11.5\t\n12\t18\n") });
    assert!(why.contains("not both sides"), "{why}");
}

#[test]
fn times_are_in_seconds_and_marks_where_the_sheet_has_them() {
    let course = || vec![("course", Given::One("200 ft".into()))];
    let times = |words: &[&str]| list(&said("speed", course(), words), "times");
    assert_eq!(times(&["48.9", "48.7 s", "0.8 min"]), ["48.9 s", "48.7 s", "0.8 min"]);
    assert_eq!(times(&["48.9", "s", "48.7", "s"]), ["48.9 s", "48.7 s"]);
    let marks = |sheet: &str| {
        let run = understood(&source(sheet), &said("trip", vec![], &["240"])).map(|one| one.run);
        run.map(|run| run.keys.iter().find(|(key, _)| *key == "marks").cloned())
    };
    // 17 ft 6 in and 30 in are 240 in; 5.3 m and 0.7 m are 6 m.
    let wanted = |text: &str| Some(("marks", Given::One(text.to_owned())));
    assert_eq!(marks(starter::US).expect("marks"), wanted("20 ft"));
    let bare = starter::US.replace("\"17 ft 6 in\"", "210");
    assert_eq!(marks(&bare).expect("marks"), wanted("240"));
    let (head, _) = starter::US.split_once("[trial]").expect("a trial");
    assert!(
        matches!(marks(head), Err(WriteError::Doubtful { words, .. }) if words.contains("--marks"))
    );
    let given = vec![("marks", Given::One("40 ft".into()))];
    let line =
        understood(&source(starter::US), &said("trip", given, &["480"])).expect("a run").line;
    assert_eq!(line, "1 readout 480 in, marks 40 ft");
}

#[test]
fn what_is_missing_is_named_as_it_is_typed() {
    for (name, words, lacks) in [
        ("speed", &["48.9"][..], "--course"),
        ("guess-row", &["30"], "--turn, --steered-by"),
        ("row", &["3"], "--row"),
        ("stand", &["25"], "--length or --plots"),
        ("alley", &["12/18"], "--heading"),
        ("wheel", &[], "--course, the turns"),
        ("trip", &[], "the readouts"),
    ] {
        let (why, _) = doubt(&said(name, vec![], words));
        assert_eq!(why, format!("`record {name}` needs {lacks}"));
    }
}

// By the program.

#[test]
fn words_and_days_are_taken_as_people_write_them() {
    let words = ["alley", "--heading", "Out", "--date", "19 April 2027", "12/18", "12,5/17,5"];
    let (output, changed) = program(starter::US, &words, "");
    let page = text(&output.stdout);
    assert!(output.status.success() && changed, "{}", text(&output.stderr));
    assert!(page.contains("heading = \"out\"") && page.contains("date = 2027-04-19"), "{page}");
    assert!(page.contains("last-seed-to-mark = [12, 12.5]"), "{page}");
    let words = ["pass", "--date", "5/1/2027", "4"];
    let (output, changed) = program(starter::US, &words, "");
    let why = text(&output.stderr);
    assert!(output.status.code() == Some(2) && !changed, "{why}");
    assert!(why.contains("2027-01-05 or 2027-05-01"), "{why}");
    let (output, _) = program(starter::US, &["pass", "--setting", "x=1", "4"], "");
    let why = text(&output.stderr);
    assert!(why.contains("'--setting'") && !why.contains("-- --setting"), "{why}");
}

#[test]
fn standard_input_and_files_are_read() {
    let (output, changed) =
        program(starter::US, &["trip", "--date", "2027-04-19", "-"], "237,4\r\n238,1\r\n");
    let page = text(&output.stdout);
    assert!(output.status.success() && changed, "{}", text(&output.stderr));
    assert!(page.starts_with("understood: 2 readouts 237.4 to 238.1 in, marks 20 ft"), "{page}");
    let (output, changed) = program(starter::US, &["trip", "-", "238"], "237\n");
    assert!(output.status.code() == Some(2) && !changed);

    let (output, changed) = program(starter::US, &["trip", "--columns", "a", "238"], "");
    assert!(output.status.code() == Some(2) && !changed);

    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("readings.csv");
    let record = |contents: &str, more: &[&str]| {
        std::fs::write(&file, contents).expect("a written file");
        let name = file.to_str().expect("a name");
        let kind = if more.contains(&"--heading") { "alley" } else { "trip" };
        let words = [&[kind, "--date", "2027-04-19", "--from", name], more].concat();
        let (output, changed) = program(starter::US, &words, "");
        assert_eq!(output.status.success(), changed);
        (changed, text(&output.stdout) + &text(&output.stderr))
    };
    let both = "range;readout;other\r\n1;237,4;7\r\n2;;\r\n3;238,1;8\r\n";
    for columns in [&[][..], &["--columns", "Readout"], &["--columns", "2"]] {
        let (done, page) = record(both, columns);
        assert!(done && page.contains("readout = [237.4, 238.1]"), "{page}");
    }
    let (done, page) = record("a,b\n1,237.4\n2,238.1\n", &[]);
    assert!(!done && page.contains("2 columns: a, b") && page.contains("--columns b"), "{page}");
    let (done, page) = record("a,b\n1,237.4\n2,238.1\n", &["--columns", "c"]);
    assert!(!done && page.contains("no column `c`"), "{page}");
    let (done, page) = record("readout\n237,4\n238,1\n", &[]);
    assert!(done && page.contains("readout = [237.4, 238.1]"), "{page}");
    let (done, page) = record("a,b\n1,237.4\n2,\"238,1\",3\n", &[]);
    assert!(!done && page.contains("row 3 is 3 cells wide, row 1 is 2"), "{page}");
    let alleys = "last,first\n11.5,17.5\n12,18\n";
    let (done, page) = record(alleys, &["--heading", "out"]);
    assert!(done && page.contains("mark-to-first-seed = [17.5, 18]"), "{page}");
    let (done, page) = record(alleys, &["--heading", "out", "--columns", "first,last"]);
    assert!(done && page.contains("last-seed-to-mark = [17.5, 18]"), "{page}");
    let (done, page) = record("last,first\n11.5,\n", &["--heading", "out"]);
    assert!(!done && page.contains("one side only"), "{page}");
}

// Units.

/// An inch tape on a sheet in centimetres: 94.5 in are 240 cm.
#[test]
fn readings_that_fit_another_unit_are_asked_about() {
    let sheet = starter::US.replace("bare-length = \"in\"", "bare-length = \"cm\"");
    let sheet = sheet.split("[[speed-run]]").next().expect("the head");
    let words = ["trip", "--marks", "240", "94.5", "94.2", "--date", "2027-04-19"];
    let (output, changed) = program(sheet, &words, "");
    let why = text(&output.stderr);
    assert!(output.status.code() == Some(2) && !changed, "{why}");
    assert!(
        why.contains("94.2 cm can't be right for 240 cm; 94.2 in can") && why.contains("--yes"),
        "{why}"
    );
    let (output, changed) = program(sheet, &[&words[..], &["--yes"]].concat(), "");
    assert!(output.status.success() && changed);
    // What the reader refuses anyway gets no --yes: a fifth of the marks is the least it takes.
    let (output, _) = program(sheet, &["trip", "--marks", "240", "2.4", "2.41"], "");
    let why = text(&output.stderr);
    assert!(why.contains("2.4 m can") && !why.contains("--yes"), "{why}");
}

/// Lengths of tapes in millimetres, by the inch of 25.4 mm.
const UNITS: [(&str, f64); 5] =
    [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("ft", 304.8)];

/// Whether readings of this many times what they should be, measured in one unit and recorded in
/// another, are suspected.
fn suspected(times: f64, spread: f64, right: usize, given: usize) -> Option<bool> {
    // A plot and an alley of 240 in.
    let number =
        |shift: f64| format!("{:.9} {}", 6096.0 * (times + shift) / UNITS[right].1, UNITS[given].0);
    let readings = [-spread, 0.0, spread].map(number).to_vec();
    let run = Said { values: Bare::Words(readings), ..said("trip", vec![], &[]) };
    understood(&source(starter::US), &run).ok().map(|one| one.suspicion.is_some())
}

proptest! {
    #![proptest_config(common::cases(96))]

    /// A controller that is up to four tenths off is never suspected in the right unit; one that is
    /// up to a fifth off always is in the wrong one.
    #[test]
    fn wrong_units_are_caught_and_right_ones_are_not(
        off in -0.4_f64..0.4,
        spread in 0.0_f64..0.05,
        right in 0_usize..5,
        given in 0_usize..5,
    ) {
        if right == given {
            prop_assert_eq!(suspected(1.0 + off, spread, right, given), Some(false));
        } else {
            prop_assert_eq!(suspected(1.0 + off / 2.0, spread, right, given), Some(true));
        }
    }

    /// Alleys half as wide or twice as wide as they should be are not suspected; those of a tape in
    /// another unit are, where they are up to a tenth off.
    #[test]
    fn alleys_in_wrong_units_are_caught(
        width in 0.5_f64..2.0,
        near in 0.88_f64..1.13,
        share in 0.2_f64..0.8,
        right in 0_usize..5,
        given in 0_usize..5,
    ) {
        // The alley of the starter sheet is 30 in.
        let times = if right == given { width } else { near };
        let side = |share: f64| {
            format!("{:.9} {}", 762.0 * times * share / UNITS[right].1, UNITS[given].0)
        };
        let pair = format!("{}/{}", side(share), side(1.0 - share));
        let keys = vec![("heading", Given::Text("out".into()))];
        let run = understood(&source(starter::US), &said("alley", keys, &[&pair])).expect("a run");
        prop_assert_eq!(run.suspicion.is_some(), right != given, "{}", pair);
    }

    /// Whatever is typed is understood, asked about or refused, and nothing panics.
    #[test]
    fn no_words_make_it_panic(text in "[-0-9 ./,;'\"ftinms\t\r\n½″+]{0,32}", kind in 0_usize..11) {
        let kind = &KINDS[kind];
        let words = vec![text.clone()];
        for values in [Bare::Words(words), Bare::Text(text)] {
            let _ = understood(&source(starter::US), &Said { kind, keys: vec![], values });
        }
    }

    /// Readings come back in their order and their number, however they are parted.
    #[test]
    fn readings_come_back_as_typed(
        numbers in prop::collection::vec(2000_u32..2800, 1..12),
        between in prop::sample::select(vec!["\n", "\r\n", "\t", ";", "; ", ", ", " "]),
        comma: bool,
    ) {
        let typed = |number: &u32, point: &str| format!("{}{point}{}", number / 10, number % 10);
        let own = if comma && !between.contains(',') && numbers.len() > 1 { "," } else { "." };
        let text: Vec<String> = numbers.iter().map(|number| typed(number, own)).collect();
        let wanted: Vec<String> = numbers.iter().map(|number| typed(number, ".")).collect();
        let all = list(&pasted("trip", &text.join(between)), "readout");
        prop_assert_eq!(all, wanted);
    }
}
