//! What hands adjust: throttle, marks, chains, depth and hitch, as adjustments like any other.
//! Expected numbers are sums that stand beside them.

// Helpers of tests may fail like tests.
#![allow(clippy::expect_used, clippy::panic)]

mod common;

use alleytrue::outcome::{By, ByHand, Report, Verdict};
use alleytrue::record::{Choice, NoChange, Subject, check, choose_by_hand, courses};
use alleytrue::sheet::writing::{
    Correction, Given, KINDS, NewRun, WriteError, add_run, apply_by_hand, correct,
};
use alleytrue::sheet::{FieldSheet, Source};

const DAY: &str = "2027-04-28";

fn source(text: &str) -> Source {
    Source::new("sheet.toml", text)
}

#[track_caller]
fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&source(text)).unwrap_or_else(|mistakes| panic!("{mistakes:#?}\n{text}"))
}

fn report(text: &str) -> Report {
    read(text).calibrate(None).expect("a drive to search").report
}

fn instruction(text: &str) -> String {
    report(text).next.map_or_else(String::new, |next| next.instruction)
}

/// The sheet with its next step by hand put into it.
#[track_caller]
fn applied(text: &str) -> String {
    let (sheet, report) = (read(text), report(text));
    let chosen = choose_by_hand(&report, &sheet.record, Choice::Next).expect("nothing against it");
    let (changes, _) = chosen.expect("a step of hands");
    apply_by_hand(&source(text), &sheet, &changes, DAY, None).expect("a new sheet").sheet
}

fn list(all: &[&str]) -> Given {
    Given::List(all.iter().map(ToString::to_string).collect())
}

#[track_caller]
fn recorded(text: &str, kind: &str, keys: Vec<(&'static str, Given)>) -> String {
    let kind = KINDS.iter().find(|one| one.name == kind).expect("a kind");
    add_run(&source(text), &NewRun { kind, keys }).expect("a sheet")
}

#[track_caller]
fn stale(text: &str, key: &str) -> String {
    let all = check(&read(text).record, &report(text), None);
    let one = all.iter().find(|one| one.calculation.key == key);
    one.unwrap_or_else(|| panic!("no {key}")).stale.join("; ")
}

fn value(text: &str, name: &str) -> f64 {
    let report = report(text);
    let mut all = report.outcomes.iter().flat_map(|outcome| &outcome.values);
    let found = all.find(|value| value.name() == Some(name));
    found.unwrap_or_else(|| panic!("no {name}")).number()
}

#[track_caller]
fn near(one: f64, other: f64) {
    assert!((one - other).abs() < 1e-9, "{one}, not {other}");
}

// Throttle.

const TIMED: &str = "[trial]\nspeed = \"2.6 mph\"\ntolerance = { speed = \"2 %\" }\n\n[[speed-run]]\n\
                     date = 2027-04-26\ncourse = \"200 ft\"\n\
                     times = [\"55.0 s\", \"54.9 s\", \"55.1 s\", \"55.0 s\", \"54.9 s\", \"55.1 s\"]\n";

fn timed_again(text: &str) -> String {
    let times = list(&["52.7 s", "52.6 s", "52.8 s"]);
    let course = Given::One("200 ft".into());
    recorded(text, "speed", vec![("course", course), ("times", times)])
}

/// 2.6 mph are 3.81333 ft/s. 200 ft in 55.0 s are 3.63636 ft/s, 4.64 % too slow; in 52.7 s they are
/// 3.79507, 0.479 % too slow. The two speeds lie 4.4 % apart, which alone would not part them: all
/// nine times together, (6 × 3.63637 + 3 × 3.79507) / 9 = 3.68927, are 3.25 % too slow.
#[test]
fn only_what_was_timed_at_the_present_throttle_counts() {
    let step = report(TIMED).next.expect("a step");
    assert!(matches!(step.by_hand[0].what, ByHand::Throttle));
    assert!(matches!(&step.by_hand[0].by, By::Words(words) if words == "faster"));
    let text = applied(TIMED);
    assert!(text.contains("[by-hand]\nthrottle = \"faster, 2027-04-28\"\n"), "{text}");
    assert!(text.contains("[[speed-run]]\nwith = { throttle = \"as at first\" }\n"), "{text}");
    assert!(stale(&text, "speed").contains("not measured since"), "{text}");
    let text = timed_again(&text);
    assert!(text.contains("with = { throttle = \"faster, 2027-04-28\" }\ncourse"), "{text}");
    let off = value(&text, "speed against target");
    assert!((off + 0.479).abs() < 0.001, "{off}");
    assert!(matches!(report(&text).outcomes[0].settings[0].verdict, Verdict::Keep(_)));
    assert_eq!(stale(&text, "speed"), "");
    let pooled = value(&timed_again(TIMED), "speed against target");
    assert!((pooled + 3.25).abs() < 0.01, "without words nobody can tell: {pooled}");
}

/// Two changes of one day have words of their own, and so has going back.
/// Alleys that were planted at the trial's speed under another throttle were planted at another speed
/// than anybody meant, and count no more; those for the speed law say at which one, and go on to count.
#[test]
fn alleys_of_another_throttle_count_at_a_speed_of_their_own_alone() {
    let run = |speed: &str, last: f64| {
        format!(
            "[[alley-run]]\n{speed}with = {{ throttle = \"low\" }}\n\
             last-seed-to-mark = [{last}, {last}.5, {last}.25]\nmark-to-first-seed = [15, 15.5, 15]\n"
        )
    };
    let sheet = |own: &str| {
        format!(
            "bare-length = \"in\"\n[planter.controller]\n\
             setback = {{ raising-moves-alley = \"back\" }}\n[settings]\nsetback = 15\n[by-hand]\n\
             throttle = \"high\"\n[trial]\nalley = 30\nspeed = \"2.8 mph\"\n{own}{}",
            run("speed = \"2.8 mph\"\n", 12.0).replace("with = { throttle = \"low\" }\n", "")
        )
    };
    let aside = |own: &str| {
        let runs = read(&sheet(own)).record.runs;
        runs.iter().filter(|run| run.aside.is_some()).count()
    };
    assert_eq!(aside(&run("", 12.0)), 1);
    assert_eq!(aside(&run("speed = \"2.8 mph\"\n", 12.0)), 1);
    assert_eq!(aside(&run("speed = \"3.5 mph\"\n", 12.0)), 0);
}

#[test]
fn no_words_stand_for_two_throttles() {
    let once = applied(TIMED);
    let slow = list(&["50 s", "50.1 s", "49.9 s", "50 s", "50.1 s", "49.9 s"]);
    let course = ("course", Given::One("200 ft".into()));
    let fast = recorded(&once, "speed", vec![course.clone(), ("times", slow)]);
    let twice = applied(&fast);
    assert!(twice.contains("throttle = \"slower, 2027-04-28\""), "{twice}");
    let slow = list(&["58 s", "58.1 s", "57.9 s", "58 s", "58.1 s", "57.9 s"]);
    let thrice = applied(&recorded(&twice, "speed", vec![course, ("times", slow)]));
    assert!(thrice.contains("\nthrottle = \"faster, 2027-04-28 (2)\""), "{thrice}");
    // Words are no numbers, and have no line to stand on.
    let sheet = read(&thrice);
    let courses = courses(&sheet.record, None);
    assert_eq!(courses.len(), 1);
    let held: Vec<&str> = courses[0].values.iter().map(|point| point.held.text.as_str()).collect();
    let last = "faster, 2027-04-28 (2)";
    assert_eq!(held, ["as at first", "faster, 2027-04-28", "slower, 2027-04-28", last]);
    assert!(courses[0].values.iter().all(|point| point.held.is_label()));
}

// Chains.

const ROWS: &str = "bare-length = \"in\"\n[planter]\nrows = 3\nrow-spacing = 30\n\
                    plate = { cells = 30, meter-teeth = 14 }\n[trial]\nseed-spacing = 6\n\n\
                    # the first look\n[[row-run]]\ndate = 2027-04-27\nrow = 2\n\
                    ahead = [1.75, 1.75, 1.75]\n\n[[row-run]]\ndate = 2027-04-27\nrow = 3\n\
                    ahead = [-0.86, -0.86, -0.86]\n";

/// 1.75 in of 6 are 0.291667 of a spacing. A tooth turns 30 / 14 cells, 2 1/7, so one leaves
/// 0.291667 - 1/7 = 0.149, and two leave 0.291667 - 2/7 = 0.00595, 0.0357 in.
#[test]
fn a_row_jumped_is_in_phase_with_its_old_and_its_new_edges() {
    let step = report(ROWS).next.expect("a step");
    assert_eq!(step.by_hand[0].what, ByHand::Chain { row: 2 });
    assert!(matches!(&step.by_hand[0].by, By::Number(teeth) if teeth.number() == 2.0));
    let text = applied(ROWS);
    assert!(text.contains("[by-hand]\nchains = [0, 2, 0]\n\n# the first look\n"), "{text}");
    assert_eq!(text.matches("with = { chain = 0 }").count(), 1, "row 3 was not touched: {text}");
    near(value(&text, "row 2 ahead, in spacings"), 1.75 / 6.0 - 2.0 / 7.0);
    // Rows don't move each other, so the next one may follow at once: -0.86 / 6 + 1/7 = -0.0005.
    let text = applied(&text);
    assert!(text.contains("chains = [0, 2, -1]"), "{text}");
    near(value(&text, "row 3 ahead, in spacings"), -0.86 / 6.0 + 1.0 / 7.0);
    let words = instruction(&text);
    assert!(
        words.starts_with("not measured since: chain of row 2, changed on 2027-04-28"),
        "{words}"
    );
    assert!(words.contains("chain of row 3") && words.ends_with("measure again"), "{words}");
    assert!(stale(&text, "rows").contains("not measured since the chain of row"), "{text}");
    let look = |row: &str| vec![("row", Given::One(row.into())), ("ahead", list(&["0", "0", "0"]))];
    let one = recorded(&text, "row", look("2"));
    assert!(one.contains("with = { chain = 2, plate-cells = 30 }"), "{one}");
    assert!(instruction(&one).contains("chain of row 3"), "row 2 does not speak for row 3");
    let text = recorded(&one, "row", look("3"));
    assert!(text.contains("with = { chain = -1, plate-cells = 30 }"), "{text}");
    assert_eq!(instruction(&text), "");
    assert_eq!(stale(&text, "rows"), "");
    // (3 × (1.75 - 12/7) + 3 × 0) / 6 = 0.0179 in, of 6 in.
    near(value(&text, "row 2 ahead, in spacings"), (1.75 - 12.0 / 7.0) / 2.0 / 6.0);
}

/// Jumped by two, in phase; by one more, 6/7 in behind; back by one, in phase again. All nine
/// readings say so: 1.75 - 12/7, 0, and -0.86 + 6/7.
#[test]
fn three_looks_at_one_row_speak_about_its_chain_as_it_is() {
    let head = ROWS.split_once("# the first").expect("two parts").0;
    let run = |chain: u32, ahead: f64| {
        format!("[[row-run]]\nwith = {{ chain = {chain} }}\nrow = 2\nahead = [{ahead}, {ahead}]\n")
    };
    let runs = [run(0, 1.75), run(2, 0.0), run(3, -0.86)].concat();
    let text = format!("{head}[by-hand]\nchains = [0, 2]\n{runs}");
    let mean = ((1.75 - 12.0 / 7.0) + 0.0 + (-0.86 + 6.0 / 7.0)) / 3.0;
    near(value(&text, "row 2 ahead, in spacings"), mean / 6.0);
    assert_eq!(instruction(&text), "");
    // Edges beyond half a spacing are no phase, whatever was jumped since.
    let far =
        text.replace("[1.75, 1.75]", "[4.5, 4.5]").replace("chains = [0, 2]", "chains = [0, 7]");
    let runs = far.split("[[row-run]]").take(2).collect::<Vec<_>>().join("[[row-run]]");
    assert!(instruction(&runs).contains("more than half a spacing"), "{}", instruction(&runs));
}

/// By whole cells the plate is as it was: 14 teeth of 14 are 30 cells.
#[test]
fn a_whole_turn_of_the_sprocket_moves_no_edge() {
    for (chain, now) in [(0, 14), (14, 0), (-7, 7), (3, 17)] {
        let with = format!("[[row-run]]\nwith = {{ chain = {chain} }}");
        let text = ROWS.replacen("[[row-run]]", &with, 1);
        let text = text.replace("[trial]", &format!("[by-hand]\nchains = [0, {now}]\n[trial]"));
        near(value(&text, "row 2 ahead, in spacings"), 1.75 / 6.0);
    }
}

#[test]
fn a_jump_of_unknown_effect_sets_the_row_aside_and_no_other() {
    let text = ROWS
        .replace(", meter-teeth = 14", "")
        .replace("[trial]", "[by-hand]\nchains = [0, 1]\n[trial]");
    let text = text.replacen("[[row-run]]", "[[row-run]]\nwith = { chain = 0 }", 1);
    let sheet = read(&text);
    let aside: Vec<Option<&str>> =
        sheet.record.runs.iter().map(|run| run.aside.as_deref()).collect();
    assert_eq!(aside, [Some("chain of row 2 at 0"), None]);
}

// Depth.

const DEPTH: &str = "bare-length = \"in\"\n[planter]\n\
                     depth-turns = { depth = \"1/4 in\", turns = 1, turning-in = \"deeper\" }\n[trial]\n\
                     depth = 2\ntolerance = { depth = \"1/4 in\" }\n\n[[depth-run]]\n\
                     date = 2027-04-27\nrow = 3\ndepth = [1.5, 1.5, 1.625, 1.5, 1.375]\n";

fn dug_up(text: &str) -> String {
    let depths = list(&["2", "2", "2 1/8", "1 7/8", "2"]);
    recorded(text, "depth", vec![("row", Given::One("3".into())), ("depth", depths)])
}

/// The mean is 7.5 / 5 = 1.5 in, 1/2 in short, two turns of 1/4 in. Brought to the present the old
/// depths are 2, 2, 2.125, 2, 1.875, and with the new ones the mean is 20 / 10 = 2.
#[test]
fn a_row_turned_is_kept_by_its_old_and_its_new_depths() {
    let text = applied(DEPTH);
    assert!(text.contains("[by-hand]\ndepth = [0, 0, 2]\n"), "{text}");
    assert!(text.contains("with = { depth = 0 }"), "{text}");
    near(value(&text, "mean depth of row 3"), 2.0);
    assert!(stale(&text, "depth").contains("not measured since the depth setting of row 3"));
    let text = dug_up(&text);
    assert!(text.contains("with = { depth = 2 }"), "{text}");
    near(value(&text, "mean depth of row 3"), 2.0);
    assert_eq!((instruction(&text).as_str(), stale(&text, "depth").as_str()), ("", ""));
}

/// Where turning in goes shallower, two turns out are -2, and bring 1/2 in all the same.
#[test]
fn the_way_of_a_turn_is_that_of_the_sheet() {
    let shallower = DEPTH.replace("\"deeper\"", "\"shallower\"");
    let text = applied(&shallower);
    assert!(text.contains("depth = [0, 0, -2]"), "{text}");
    near(value(&text, "mean depth of row 3"), 2.0);
}

/// Depths whose row was not noted are turned all alike; they do so again by the next change.
#[test]
fn rows_that_nobody_noted_are_turned_alike() {
    let text = applied(&DEPTH.replace("row = 3\n", ""));
    assert!(text.contains("[by-hand]\ndepth-all = 2\n"), "{text}");
    near(value(&text, "mean depth"), 2.0);
    let depths = list(&["1.25", "1.25", "1.25", "1.5", "1"]);
    let text = recorded(&text, "depth", vec![("depth", depths)]);
    // Five depths each, 2 in and 1.25 in: too far apart for one row on one day, and of one weight.
    near(value(&text, "mean depth, by its runs"), (2.0 + 1.25) / 2.0);
    assert!(instruction(&text).contains("disagree by more than their scatter"), "{text}");
}

/// Without `depth-turns` nobody knows how far to turn, so no number goes into the sheet.
#[test]
fn a_depth_without_turns_has_no_number_to_write() {
    let bare = DEPTH.split_once("[trial]").expect("two parts").1;
    let text = format!("bare-length = \"in\"\n[trial]{bare}");
    let sheet = read(&text);
    let chosen =
        choose_by_hand(&report(&text), &sheet.record, Choice::Next).map(|all| all.is_some());
    assert_eq!(chosen, Ok(false));
    let turned = text.replace("row = 3", "with = { depth = 0 }\nrow = 3");
    let turned = turned.replace("[trial]", "[by-hand]\ndepth = [0, 0, 2]\n[trial]");
    let aside = read(&turned).record.runs[0].aside.clone();
    assert_eq!(aside.as_deref(), Some("depth setting of row 3 at 0"));
}

// Marks.

fn alleys(heading: &str, last: f64, first: f64) -> String {
    let each = |middle: f64| {
        let all = [0.0, 0.25, -0.25, 0.0].map(|off| (middle + off).to_string());
        format!("[{}]", all.join(", "))
    };
    format!(
        "\n[[alley-run]]\ndate = 2027-04-01\nheading = \"{heading}\"\nlast-seed-to-mark = {}\n\
         mark-to-first-seed = {}\n",
        each(last),
        each(first)
    )
}

const MARKED: &str = "bare-length = \"in\"\n[planter.controller]\n\
                      setback = { raising-moves-alley = \"back\", step = 0.25 }\n[trial]\nalley = 36\n\
                      tolerance = { centre = 1 }\n[settings]\nsetback = 20\n";

/// Out 15 and 21 in, home 21 and 15: (21 - 15) / 2 = 3 in ahead going out and 3 in behind coming
/// home, so the marks belong 3 in further out. Moved there, both lie on their marks.
#[test]
fn marks_that_were_moved_are_right_by_the_old_alleys_and_the_new() {
    for (short, by) in [(3.0, "3 in"), (-3.0, "-3 in")] {
        let out = alleys("out", 18.0 - short, 18.0 + short);
        let home = alleys("home", 18.0 + short, 18.0 - short);
        let text = applied(&[MARKED, &out, &home].concat());
        assert!(text.contains(&format!("[by-hand]\nmarks = \"{by}\"\n")), "{text}");
        assert_eq!(text.matches("with = { marks = \"0 in\" }").count(), 2, "{text}");
        near(value(&text, "shift along the travel"), 0.0);
        near(value(&text, "error of the mark line, seen going out"), 0.0);
        assert!(instruction(&text).starts_with("not measured since: place of the marks"), "{text}");
        assert!(stale(&text, "alley").contains("place of the marks changed on"), "{text}");
        let seen = |heading: &str| {
            let sides = || list(&["18", "18.25", "17.75", "18"]);
            let keys = ["last-seed-to-mark", "mark-to-first-seed"].map(|key| (key, sides()));
            [vec![("heading", Given::One(heading.into()))], keys.to_vec()].concat()
        };
        let text = recorded(&recorded(&text, "alley", seen("out")), "alley", seen("home"));
        let with = format!("with = {{ setback = 20, marks = \"{by}\" }}");
        assert_eq!(text.matches(&with).count(), 2, "{text}");
        near(value(&text, "error of the mark line, seen going out"), 0.0);
        assert_eq!((instruction(&text).as_str(), stale(&text, "alley").as_str()), ("", ""));
    }
}

/// Marks moved twice, 3 in and then 1.5 in more; from 3 to 4.5.
#[test]
fn marks_are_moved_on_from_where_they_stand() {
    let held = MARKED.replace("[settings]", "[by-hand]\nmarks = \"3 in\" # by tape\n[settings]");
    let (out, home) = (alleys("out", 16.5, 19.5), alleys("home", 19.5, 16.5));
    let text = applied(&[held.as_str(), &out, &home].concat());
    assert!(text.contains("marks = \"4.5 in\" # by tape"), "{text}");
    assert!(text.contains("from = \"3 in\"\nto = \"4.5 in\""), "{text}");
    assert_eq!(text.matches("with = { marks = \"3 in\" }").count(), 2, "{text}");
}

#[test]
fn alleys_of_another_staking_are_set_aside() {
    let text = MARKED.replace("[settings]", "[by-hand]\nstaking = \"second\"\n[settings]");
    let (old, new) = (alleys("out", 15.0, 21.0), alleys("out", 18.0, 18.0));
    let old = old.replace("date", "with = { staking = \"first\" }\ndate");
    let sheet = read(&[text.as_str(), &old, &new].concat());
    let aside: Vec<Option<&str>> =
        sheet.record.runs.iter().map(|run| run.aside.as_deref()).collect();
    assert_eq!(aside, [Some("staking of the marks \"first\""), None]);
}

// Hitch.

/// Gaps of 33 in after left turns and 27 in after right ones, 30 in wanted: the side alone, 3 in of
/// every gap, twice as much as the planter runs to the right.
#[test]
fn gaps_of_another_hitch_do_not_count() {
    let gaps = |turn: &str, gaps: &str| {
        format!("\n[[guess-row-run]]\nturn = \"{turn}\"\nsteered-by = \"lines\"\ngap = [{gaps}]\n")
    };
    let head = "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = 30\n[trial]\n\
                tolerance = { guess-rows = 1 }\n";
    let left = gaps("left", "33, 33.25, 32.75, 33, 33.25, 32.75, 33, 33");
    let right = gaps("right", "27, 27.25, 26.75, 27, 27.25, 26.75, 27, 27");
    let text = [head, &left, &right].concat();
    assert!(instruction(&text).contains("put it into the sheet by `alleytrue apply`"));
    let text = applied(&text);
    let label = "planter 1.5 in to the left, 2027-04-28";
    assert!(text.contains(&format!("[by-hand]\nhitch = \"{label}\"\n")), "{text}");
    assert_eq!(text.matches("with = { hitch = \"as at first\" }").count(), 2, "{text}");
    assert!(read(&text).record.runs.iter().all(|run| run.aside.is_some()), "{text}");
    assert!(stale(&text, "guess-rows").contains("hitch \"as at first\""), "{text}");
    let new = |turn: &str| {
        let turn = ("turn", Given::One(turn.into()));
        let by = ("steered-by", Given::One("lines".into()));
        vec![turn, by, ("gap", list(&["30", "30.25", "29.75", "30", "30.25", "29.75"]))]
    };
    let text = recorded(&recorded(&text, "guess-row", new("left")), "guess-row", new("right"));
    assert_eq!((instruction(&text).as_str(), stale(&text, "guess-rows").as_str()), ("", ""));
}

// What is refused, and what stays as it is.

#[test]
fn one_thing_is_adjusted_at_a_time() {
    let text = applied(TIMED);
    let rows = ROWS.split_once("# the first look\n").expect("two parts");
    let head = rows.0.replace("[trial]\n", "").replace("seed-spacing = 6\n", "");
    let text = text.replace("[trial]\n", &format!("{head}[trial]\nseed-spacing = 6\n"));
    let text = format!("{text}\n{}", rows.1);
    let (sheet, report) = (read(&text), report(&text));
    let chosen = choose_by_hand(&report, &sheet.record, Choice::Next);
    assert!(matches!(chosen, Ok(None)), "the next step is to time it again");
    let chain = Subject::of_key("chain-row-2").expect("an adjustment");
    let refused = choose_by_hand(&report, &sheet.record, Choice::Named(chain));
    let refused = refused.expect_err("the throttle is open");
    assert!(
        matches!(refused, NoChange::Two(words) if words.starts_with("the throttle was changed"))
    );
}

#[test]
fn an_adjustment_that_is_named_is_made_where_it_is_asked_for() {
    let sheet = read(ROWS);
    let named = |key: &str| {
        let subject = Subject::of_key(key).expect("an adjustment");
        let report = report(ROWS);
        let chosen = choose_by_hand(&report, &sheet.record, Choice::Named(subject));
        chosen.map(|all| all.map(|(changes, _)| changes.len()))
    };
    assert_eq!(named("chain-row-2"), Ok(Some(1)));
    assert!(matches!(named("throttle"), Err(NoChange::NotNow(_))));
    assert_eq!(named("setback"), Ok(None), "that is for the settings");
}

/// Lists keep their notes and lines; a table in braces, and lines of Windows, stay what they are.
#[test]
fn everything_else_stays_byte_for_byte() {
    let rows = |table: &str| ROWS.replace("[trial]", &format!("{table}\n[trial]"));
    let noted = applied(&rows("[by-hand]\nchains = [ # by hand\n  1, # reference\n  3,\n]"));
    assert!(noted.contains("chains = [ # by hand\n  1, # reference\n  5,\n]"), "{noted}");
    let short = applied(&rows("[by-hand]\nhitch = \"x\"\nchains = [1]"));
    assert!(short.contains("hitch = \"x\"\nchains = [1, 2]\n"), "{short}");
    let none = applied(&rows("[by-hand] # as it is"));
    assert!(none.contains("[by-hand] # as it is\nchains = [0, 2, 0]\n"), "{none}");
    let braces = |table: &str| format!("{table}\n{ROWS}");
    let empty = applied(&braces("by-hand = {}"));
    assert!(empty.starts_with("by-hand = { chains = [0, 2, 0] }\n"), "{empty}");
    let held = applied(&braces("by-hand = { hitch = \"x\" }"));
    assert!(held.starts_with("by-hand = { chains = [0, 2, 0], hitch = \"x\" }\n"), "{held}");
    let windows = applied(&ROWS.replace('\n', "\r\n"));
    assert_eq!(windows.matches('\n').count(), windows.matches("\r\n").count());
    let changed = applied(ROWS);
    let mut lines = changed.lines();
    assert!(ROWS.lines().all(|line| lines.any(|own| own == line)), "{changed}");
}

#[test]
fn keys_that_stand_without_their_table_are_refused() {
    let text = format!("by-hand.hitch = \"x\"\n{ROWS}");
    let sheet = read(&text);
    let report = report(&text);
    let chosen = choose_by_hand(&report, &sheet.record, Choice::Next).expect("nothing against it");
    let (changes, _) = chosen.expect("a step of hands");
    let refused = apply_by_hand(&source(&text), &sheet, &changes, DAY, None).expect_err("no place");
    assert!(matches!(refused, WriteError::Refused(what, _) if what.contains("[by-hand]")));
}

// Put right.

#[track_caller]
fn corrected(text: &str, correction: &Correction) -> String {
    let (text, _) = correct(&source(text), &read(text), correction, DAY, None).expect("a sheet");
    text.sheet
}

/// Taken back, the old runs count again, and those of the throttle that was given up don't.
#[test]
fn an_adjustment_is_taken_back_and_what_was_measured_with_it_stays() {
    let changed = timed_again(&applied(TIMED));
    let back = corrected(&changed, &Correction::Undo);
    assert!(back.contains("[by-hand]\nthrottle = \"as at first\"\n"), "{back}");
    let aside = |text: &str| -> Vec<bool> {
        read(text).record.runs.iter().map(|run| run.aside.is_some()).collect()
    };
    assert_eq!((aside(&changed), aside(&back)), (vec![true, false], vec![false, true]));
    let off = value(&back, "speed against target");
    assert!((off + 4.64).abs() < 0.01, "{off}");
    let back = corrected(&applied(ROWS), &Correction::Undo);
    assert!(back.contains("chains = [0, 0, 0]"), "{back}");
    near(value(&back, "row 2 ahead, in spacings"), 1.75 / 6.0);
}

/// A jump that nobody made: the edges looked at since are those of the chain as it was.
#[test]
fn an_adjustment_that_was_never_made_is_said_to_be_none() {
    let text = applied(ROWS);
    let keys = vec![("row", Given::One("2".into())), ("ahead", list(&["1.75", "1.75", "1.75"]))];
    let text = recorded(&text, "row", keys);
    let chain = Subject::of_key("chain-row-2").expect("an adjustment");
    let text = corrected(&text, &Correction::NotSet(chain));
    assert!(text.contains("chains = [0, 0, 0]"), "{text}");
    assert_eq!(text.matches("with = { chain = 0").count(), 2, "{text}");
    near(value(&text, "row 2 ahead, in spacings"), 1.75 / 6.0);
}

/// What the crew says is written as it says it; words that look like a number are words.
#[test]
fn a_crew_says_what_it_has_set() {
    let own = |key: &str, said: &str| {
        let subject = Subject::of_key(key).expect("an adjustment");
        corrected(TIMED, &Correction::Own(subject, said.into()))
    };
    assert!(own("throttle", "1800").contains("throttle = \"1800\""), "{}", own("throttle", "1800"));
    assert!(own("marks", "2 ft").contains("[by-hand]\nmarks = \"2 ft\"\n"));
    assert!(own("chain-row-3", "-2").contains("chains = [0, 0, -2]\n"));
    assert!(own("depth-row-2", "1.5").contains("depth = [0, 1.5]\n"));
    assert!(own("staking", "second").contains("from = \"as at first\"\nto = \"second\""));
    let chain = Subject::of_key("chain-row-2").expect("an adjustment");
    let half = Correction::Own(chain, "half a tooth".into());
    let refused = correct(&source(TIMED), &read(TIMED), &half, DAY, None);
    assert!(matches!(refused, Err(WriteError::Mistakes { .. })));
}

// The program.

#[test]
fn the_program_applies_the_step_and_says_it_as_data() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("rows.toml");
    std::fs::write(&sheet, ROWS).expect("written");
    let run = |arguments: &[&str]| {
        let mut program = common::program();
        let output = program.arg(arguments[0]).arg(&sheet).args(&arguments[1..]).output();
        let output = output.expect("it runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("text")
    };
    let json: serde_json::Value =
        serde_json::from_str(&run(&["calibrate", "--format", "json"])).expect("JSON");
    let wanted = serde_json::json!([
        { "key": "chain-row-2", "by": 2.0, "unit": "", "words": null }
    ]);
    assert_eq!(json["next"]["by_hand"], wanted);
    let shown = run(&["apply", "--date", DAY, "--dry-run"]);
    assert!(shown.contains("chains = [0, 2, 0]") && shown.contains("nothing was written"));
    assert_eq!(std::fs::read_to_string(&sheet).expect("read"), ROWS);
    let written = run(&["apply", "--date", DAY]);
    assert!(written.contains("Next: with the engine off, jump the chain on the meter of row 2"));
    assert!(written.contains("engine off, key out"), "{written}");
    assert_eq!(std::fs::read_to_string(&sheet).expect("read"), applied(ROWS));
    let history = run(&["history"]);
    assert!(history.contains("CHAIN OF ROW 2"), "{history}");
}

// What comes first.

/// Speed, rows and alleys on one sheet: until the throttle is timed again nothing else is asked for,
/// since nothing else would be put into the sheet.
#[test]
fn what_was_adjusted_is_measured_before_anything_else_is_changed() {
    let (head, rows) = ROWS.split_once("# the first look\n").expect("two parts");
    let goal = "speed = \"2.6 mph\"\ntolerance = { speed = \"2 %\" }\nseed-spacing = 6\n";
    let (_, timed) = TIMED.split_once("\n\n").expect("two parts");
    let text = [head.replace("seed-spacing = 6\n", goal).as_str(), rows, "\n", timed].concat();
    assert!(instruction(&text).starts_with("drive faster"), "{}", instruction(&text));
    let text = applied(&text);
    assert!(
        instruction(&text).starts_with("not measured since: throttle"),
        "{}",
        instruction(&text)
    );
    let text = timed_again(&text);
    assert!(instruction(&text).contains("jump the chain on the meter of row 2"));
    let text = applied(&text);
    assert!(instruction(&text).contains("jump the chain on the meter of row 3"));
    let text = applied(&text);
    assert!(instruction(&text).starts_with("not measured since: chain of row 2"));
}

/// Runs of several days, each with other teeth and turns: every printed line has a name of its own.
/// Depths: 1.5 + 2 × 0.25, 1.25 + (2 + 1) × 0.25, 1.75 + 1 × 0.25 in are all 2 in.
#[test]
fn lines_of_several_days_have_names_of_their_own() {
    let runs = "[[depth-run]]\nwith = { depth = 0, depth-all = 1 }\nrow = 3\ndepth = [1.5, 1.5]\n\
                [[depth-run]]\nwith = { depth = 0, depth-all = 0 }\nrow = 3\ndepth = [1.25, 1.25]\n\
                [[depth-run]]\nwith = { depth = 1 }\nrow = 3\ndepth = [1.75, 1.75]\n\
                [[row-run]]\nwith = { chain = 0 }\nrow = 2\nahead = [1.75, 1.7]\n\
                [[row-run]]\nwith = { chain = 0 }\nrow = 2\nahead = [1.75, 1.8]\n\
                [[row-run]]\nwith = { chain = 1 }\nrow = 2\nahead = [0.85]\n";
    let head = ROWS.split_once("# the first").expect("two parts").0;
    let turns = "depth-turns = { depth = \"1/4 in\", turns = 1, turning-in = \"deeper\" }\n[trial]\ndepth = 2";
    let head = head.replace("[trial]", turns);
    let held = "[by-hand]\ndepth = [0, 0, 2]\ndepth-all = 1\nchains = [0, 2]\n";
    let text = [head.as_str(), held, runs].concat();
    near(value(&text, "mean depth of row 3"), 2.0);
    for outcome in report(&text).outcomes {
        let steps = outcome.working();
        let mut names: Vec<String> = steps
            .iter()
            .filter_map(|step| Some(step.to_string().split_once(" = ")?.0.to_owned()))
            .collect();
        let count = names.len();
        assert!(count > 5, "{names:?}");
        names.sort();
        names.dedup();
        assert_eq!(names.len(), count, "{steps:?}");
    }
}
