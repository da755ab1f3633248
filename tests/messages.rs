//! Messages that trials found wrong, each by what a user types and what he is told.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::Written;

fn demo(name: &str) -> String {
    std::fs::read_to_string(format!("demo-data/{name}.toml")).expect("a demo sheet")
}

/// All that a command says, in one line.
fn said(sheet: &str, command: &[&str]) -> String {
    let written = Written::new(sheet);
    // `record` wants the sheet before the kind of run.
    let (first, rest) = command.split_first().expect("a command");
    let out = common::program()
        .current_dir(written.path().parent().expect("a folder"))
        .args([first, &"sheet.toml"])
        .args(rest)
        .output()
        .expect("the program runs");
    let text = String::from_utf8([out.stdout, out.stderr].concat()).expect("text");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const METRIC: &str = "maize-tape-and-skid-metric";
const US: &str = "soybean-advanced-north";

/// Several numbers with commas between them are no number, neither in a list nor on the command line.
#[test]
fn numbers_parted_by_commas_are_never_run_together() {
    for (several, each, joined) in
        [("1.5,2,3", "1.5, 2, 3", "1.523"), ("50,51,52", "50, 51, 52", "505152")]
    {
        let readout = "readout = [237, 237.6, 237.8, 237.3, 237, 237.4, 237.6, 237.8, 237, 237]";
        let sheet = demo(US);
        assert!(sheet.contains(readout));
        let as_text = said(&sheet.replace(readout, &format!("readout = \"{several}\"")), &["trip"]);
        assert!(as_text.contains(&format!("readout = [{each}]")), "{as_text}");
        let in_list =
            said(&sheet.replace(readout, &format!("readout = [\"{several}\"]")), &["trip"]);
        assert!(in_list.contains("write each by itself"), "{in_list}");
        let set = format!("trip-run.readout=[\"{several}\"]");
        let typed = said(&sheet, &["trip", "--set", &set]);
        for text in [&as_text, &in_list, &typed] {
            assert!(!text.contains(joined), "{text}");
        }
        // As times they are three.
        let times = said(&sheet, &["record", "speed", "--course", "100 ft", "--times", several]);
        assert!(!times.contains(joined), "{times}");
    }
}

/// An option that is not known is none of the sheet's, and the tip is one that can be typed.
#[test]
fn a_tip_is_one_that_can_be_typed() {
    for wrong in ["--sett", "--se", "--set-over"] {
        let words = said(&demo(US), &["calibrate", wrong, "trial.speed=3 mph"]);
        assert!(words.contains("unexpected argument"), "{words}");
        assert!(!words.contains("-- --"), "{words}");
    }
}

/// What `record` lacks is named as it is typed there, with an example in the units of the sheet.
#[test]
fn what_record_lacks_is_an_option_with_an_example_of_the_crews_units() {
    let us = said(&demo(US), &["record", "speed", "--times", "25"]);
    assert!(us.contains("`record speed` needs --course help: add --course \"200 ft\""), "{us}");
    let metric = said(&demo(METRIC), &["record", "speed", "--times", "25"]);
    assert!(metric.contains("needs --course help: add --course \"61 m\""), "{metric}");
    let alley = said(&demo(US), &["record", "alley", "11.5/17.5"]);
    assert!(alley.contains("needs --heading"), "{alley}");
}

/// What a metric sheet lacks is asked for in metric examples: 40 ft are 12.2 m, 30 in are 76 cm.
#[test]
fn a_metric_sheet_is_helped_with_metric_examples() {
    let lacks = said(&demo(METRIC), &["stakes"]);
    assert!(lacks.contains("headland = \"12 m\"") && !lacks.contains("40 ft"), "{lacks}");
    let bare = "bare-length = \"cm\"\n[trial]\nplot = \"6 m\"\n[[trip-run]]\nmarks = \"7 m\"\n\
                readout = [700, 701]\n[layout]\n";
    let words = said(bare, &["calibrate"]);
    for (example, of_feet) in [
        ("alley = \"76 cm\"", "30 in"),
        ("row-spacing = \"76 cm\"", "30 in"),
        ("headland = \"12 m\"", "40 ft"),
    ] {
        assert!(words.contains(example) && !words.contains(of_feet), "{example}: {words}");
    }
    let us = bare.replace("\"cm\"", "\"in\"").replace("6 m", "20 ft").replace("7 m", "23 ft");
    let us = said(&us.replace("[700, 701]", "[276, 277]"), &["calibrate"]);
    assert!(us.contains("alley = \"30 in\"") && us.contains("headland = \"40 ft\""), "{us}");
}

/// The first mark stands half an alley before the headland's end: 40 ft - 15 in, 12 m - 50 cm.
#[test]
fn the_first_mark_is_told_in_the_units_of_the_sheet() {
    let us = said(&demo("soybean-forty-entries"), &["stakes"]);
    assert!(us.contains("the first at 38 ft 9 in (11.81 m)"), "{us}");
    let metric =
        common::run(&["stakes"], std::path::Path::new("demo-data/lots-in-a-list/trial.toml"));
    let metric = String::from_utf8(metric.stdout).expect("text");
    let metric = metric.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(metric.contains("the first at 11.50 m (37 ft 8 3/4 in)"), "{metric}");
}

/// Of several rows that are out of phase the next is named by its number.
#[test]
fn the_next_row_is_named_by_its_number() {
    let sheet = "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = \"30 in\"\n\
                 plate = { cells = 40, carry = 16, meter-teeth = 20 }\n\
                 [trial]\nseed-spacing = \"2 in\"\n\
                 [[row-run]]\nrow = 2\nahead = [0, 0.1, 0, 0.1]\n\
                 [[row-run]]\nrow = 3\nahead = [0.9, 1, 1.1, 1]\n\
                 [[row-run]]\nrow = 4\nahead = [-0.8, -0.7, -0.8, -0.7]\n";
    let words = said(sheet, &["calibrate", "--brief"]);
    let next = words.split("Next: ").nth(1).expect("a step");
    assert!(next.contains("row 3"), "{next}");
}

/// File names with blanks are quoted in what is to be typed next.
#[test]
fn a_name_with_blanks_is_quoted_in_what_to_run() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("north field.toml");
    std::fs::write(&sheet, demo(US)).expect("a sheet");
    let out = common::run(&["apply"], &sheet);
    let words = String::from_utf8([out.stdout, out.stderr].concat()).expect("text");
    assert!(!words.contains("calibrate north field.toml"), "{words}");
    let out = common::program()
        .args(["apply", "--turn", "setback"])
        .arg(&sheet)
        .output()
        .expect("the program runs");
    let words = String::from_utf8([out.stdout, out.stderr].concat()).expect("text");
    let line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(line.contains("north field.toml\"") || line.contains("north field.toml'"), "{line}");
}

/// A planter with a clean-out, a hand-over, a boost and a sweep behind it, and what was seen of it.
fn planter(boost_for: &str, sweep_wait: &str, seen: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = 30\n\
         plate = {{ cells = 40, carry = 12 }}\n\
         [trial]\nplot = \"17 ft 6 in\"\nalley = 36\nspeed = \"2.5 mph\"\nseed-spacing = 2\n\
         tolerance = {{ width = 2, speed = \"3 %\" }}\n\
         [changeover]\nfall-time = \"0.25 s\"\n\
         [[changeover.action]]\nname = \"empty\"\ndoes = \"clean-out\"\nfor = \"1.3 s\"\n\
         old-seed-gone = \"0.8 s\"\nleast = \"0.9 s\"\nusual = \"1.0 s\"\n\
         [[changeover.action]]\nname = \"let in\"\ndoes = \"hand-over\"\nafter = \"empty\"\nfrom = \"end\"\n\
         new-seed-at-pick-up = \"0.2 s\"\n\
         [[changeover.action]]\nname = \"spin\"\ndoes = \"boost\"\nafter = \"let in\"\nfrom = \"start\"\n\
         wait = \"0.2 s\"\nfor = \"{boost_for}\"\nrate = \"60 cells/s\"\n\
         [[changeover.action]]\nname = \"brush\"\ndoes = \"sweep\"\nwait = \"{sweep_wait}\"\n\
         for = \"0.3 s\"\ncells-before-release = 3\n\
         [[changeover-run]]\ndate = 2027-04-11\n{seen}\n"
    )
}

/// 22 cells pass in a second; the last old seed passes the brush at 0.8 s + 9 / 22 = 1.21 s. Behind that no
/// length of it catches any, and a boost that is off bunches no seed.
#[test]
fn what_can_not_be_mended_by_a_length_is_not_asked_of_one() {
    let next = |sheet: &str| {
        let words = said(sheet, &["changeover", "--brief"]);
        words.split("Next: ").nth(1).unwrap_or_else(|| panic!("no step: {words}")).to_owned()
    };
    let off = next(&planter("0 s", "1.1 s", "bunched-at-end = 6"));
    assert!(off.contains("where there is no boost") && !off.contains("set the wait"), "{off}");
    let on = next(&planter("0.2 s", "1.1 s", "bunched-at-end = 6"));
    assert!(on.contains("wait of spin"), "{on}");
    let late = next(&planter("0.2 s", "1.4 s", "stray-seeds = 2"));
    assert!(late.contains("let it start sooner") && late.contains("1.4 s"), "{late}");
    let in_time = next(&planter("0.2 s", "1.1 s", "stray-seeds = 2"));
    assert!(in_time.contains("length of brush"), "{in_time}");
}
