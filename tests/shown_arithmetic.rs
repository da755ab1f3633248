//! The printed arithmetic is right: every line of the working, its printed numbers fed to a second
//! calculator, gives its printed result to the last digit.

#![allow(clippy::expect_used, clippy::panic)]

mod common;
mod plain_changeover;

use plain_changeover::written_out;
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};

use common::calculator::{Calculator, rounded, with_room};
use common::cores::on_all_cores;
use common::page::{self, Line, Token};
use common::{Report, Written, cases, places};
use proptest::prelude::*;
use serde_json::Value as Json;

/// Sums of more terms than this are printed without their terms.
const MOST_TERMS: usize = 40;

type Check = Result<(), String>;

/// One line of the working as programs read it.
#[derive(Debug)]
struct Step {
    name: String,
    formula: String,
    numbers: String,
    value: f64,
    unit: String,
}

fn steps(result: &Json) -> Vec<Step> {
    let text = |step: &Json, key: &str| step[key].as_str().expect("text").to_owned();
    let lines = result["working"].as_array().expect("working").iter();
    lines
        .map(|step| Step {
            name: text(step, "name"),
            formula: text(step, "formula"),
            numbers: text(step, "numbers"),
            value: step["value"].as_f64().expect("a number"),
            unit: text(step, "unit"),
        })
        .collect()
}

/// Everything that can be checked about one sheet.
fn check(sheet: &Written, calculator: &mut Calculator) -> Check {
    check_command(sheet, &["calibrate"], calculator)
}

fn check_command(sheet: &Written, command: &[&str], calculator: &mut Calculator) -> Check {
    check_runs(|more: &[&str]| sheet.run(&[command, more].concat()), calculator)
}

/// What a command prints with some more arguments.
fn check_runs(
    with: impl Fn(&[&str]) -> std::process::Output,
    calculator: &mut Calculator,
) -> Check {
    let json = with(&["--format", "json"]);
    if json.status.code() != Some(0) {
        return Err(format!("refused: {}", String::from_utf8_lossy(&json.stderr)));
    }
    let report = Report::read(&json.stdout);
    let mut printed = Vec::new();
    let mut seen = HashSet::new();
    for result in report.results() {
        let steps = steps(result);
        check_names(&steps)?;
        for step in &steps {
            check_step(step, calculator)?;
        }
        let fresh = |step: &Step| seen.insert((step.name.clone(), step.value.to_bits()));
        printed.extend(steps.into_iter().filter(fresh));
    }
    check_page(&with(&[]).stdout, &printed, calculator)?;
    let ascii = with(&["--ascii"]).stdout;
    if !ascii.is_ascii() {
        return Err("--ascii printed something else".into());
    }
    check_page(&ascii, &printed, calculator)
}

fn check_names(steps: &[Step]) -> Check {
    let mut names = HashSet::new();
    match steps.iter().find(|step| !names.insert(&step.name)) {
        Some(twice) => Err(format!("two lines are called `{}`", twice.name)),
        None => Ok(()),
    }
}

/// A line for programs: plain arithmetic that gives the value.
fn check_step(step: &Step, calculator: &mut Calculator) -> Check {
    let left = step.numbers.replace("sqrt", "");
    if let Some(odd) = left.chars().find(|c| !c.is_ascii_digit() && !"+-*/^(). ".contains(*c)) {
        return Err(format!("`{odd}` in the numbers of {step:?}"));
    }
    let worked: f64 = calculator.digits(&step.numbers)?.parse().map_err(|_| format!("{step:?}"))?;
    // Where numbers of one size are taken from each other, binary noise of that size is left.
    let noise = if step.numbers.contains('-') { 1e-13 * largest(&step.numbers) } else { 0.0 };
    if (worked - step.value).abs() > 1e-9 * step.value.abs() + noise {
        return Err(format!("{worked} comes out of {step:?}"));
    }
    Ok(())
}

/// The page holds every line once, in order, and nothing is too wide.
fn check_page(page: &[u8], steps: &[Step], calculator: &mut Calculator) -> Check {
    let page = std::str::from_utf8(page).map_err(|error| error.to_string())?;
    if let [wide, ..] = page::too_wide(page)[..] {
        return Err(format!("wider than 80 columns: {wide}"));
    }
    let lines = page::lines(page)?;
    let names = |names: &mut dyn Iterator<Item = &str>| names.collect::<Vec<_>>().join("\n");
    let (shown, worked) = (
        names(&mut lines.iter().map(|line| line.name.as_str())),
        names(&mut steps.iter().map(|step| step.name.as_str())),
    );
    if shown != worked {
        return Err(format!("printed lines\n{shown}\n\nworking\n{worked}\n\n{page}"));
    }
    // The value that a name stands for: that of the last line of the name so far.
    let mut values = HashMap::new();
    for (line, step) in lines.iter().zip(steps) {
        check_line(line, step, &values, calculator)
            .map_err(|error| format!("{error}\n{line:?}\n{step:?}"))?;
        values.insert(step.name.as_str(), step.value);
    }
    Ok(())
}

fn check_line(
    line: &Line,
    step: &Step,
    values: &HashMap<&str, f64>,
    calculator: &mut Calculator,
) -> Check {
    match line.pieces.as_slice() {
        [told] => {
            let (number, why) = page::remark(told).ok_or("no remark behind a lone number")?;
            match step.formula.strip_prefix("given: ") {
                Some(typed) if why == "given" => {
                    check_typed(number, typed, step)?;
                    // As typed, so to every digit; the unit may follow without a space.
                    let end = number.find(|c: char| !(c.is_ascii_digit() || "-.".contains(c)));
                    let digits = end.map_or(number, |end| &number[..end]);
                    same(digits.parse().map_err(|_| "no number was typed")?, step.value)
                }
                None if why == step.formula => check_result(number, step),
                _ => Err("the page and the JSON disagree on where it comes from".into()),
            }
        }
        [formula, result] if result.ends_with(" readings, all in the sheet)") => {
            let (number, why) = page::remark(result).ok_or("no remark")?;
            let terms: usize = why.split(' ').next().unwrap_or_default().parse().unwrap_or(0);
            if terms <= MOST_TERMS {
                return Err(format!("{terms} terms could have been printed"));
            }
            check_formula(formula, step)?;
            check_result(number, step)
        }
        // One value under a second name: nothing to work out.
        [formula, result] if values.contains_key(formula.as_str()) => {
            check_formula(formula, step)?;
            check_result(result, step)?;
            same(values[formula.as_str()], step.value)
        }
        [formula, numbers, result] => {
            let number = check_result(result, step).map(|()| first_word(result))?;
            let ascii = numbers.replace('\u{d7}', "*");
            let worked = calculator.digits(&ascii)?;
            if rounded(&worked, places(number)) != number {
                return Err(format!("a calculator gets {worked}"));
            }
            if !cancelled(&ascii, &worked) {
                check_early_end(number, &worked)?;
            }
            check_formula(formula, step)?;
            check_operands(formula, numbers, values)
        }
        _ => Err("neither a told number nor formula, numbers and result".into()),
    }
}

fn first_word(text: &str) -> &str {
    text.split(' ').next().unwrap_or_default()
}

/// What stands first is the formula for programs, or what was typed.
fn check_formula(formula: &str, step: &Step) -> Check {
    match (page::remark(formula), step.formula.strip_prefix("given: ")) {
        (Some((typed, "given")), Some(text)) => check_typed(typed, text, step),
        _ if formula.replace('\u{d7}', "*") == step.formula => Ok(()),
        _ => Err(format!("another formula on the page: {formula}")),
    }
}

/// The page gives what was typed, with the unit behind a bare number; in plain ASCII where asked.
fn check_typed(shown: &str, typed: &str, step: &Step) -> Check {
    let known = shown == typed || shown == format!("{typed} {}", step.unit);
    if known || !typed.is_ascii() { Ok(()) } else { Err(format!("not as typed: {shown}")) }
}

/// The printed result is the value for programs, rounded, with its unit.
fn check_result(result: &str, step: &Step) -> Check {
    let (number, unit) = result.split_once(' ').unwrap_or((result, ""));
    if unit != step.unit {
        return Err(format!("the unit is `{unit}` on the page"));
    }
    near_digits(number, step.value)
}

/// Whether so much of the numbers was taken from each other that fewer digits are sure.
fn cancelled(numbers: &str, worked: &str) -> bool {
    let worked: f64 = worked.parse().unwrap_or(f64::NAN);
    numbers.contains('-') && worked != 0.0 && worked.abs() < 1e-6 * largest(numbers)
}

/// The largest number of an expression.
fn largest(numbers: &str) -> f64 {
    let tokens = page::tokens(numbers, &[]).unwrap_or_default();
    let sizes = tokens.iter().filter_map(|token| match token {
        Token::Number(digits) => digits.parse::<f64>().ok(),
        _ => None,
    });
    sizes.fold(0.0, |most, number| most.max(number.abs()))
}

/// A number that ends within fewer digits than are kept reads as exact, so it has to be met to
/// eight digits: nobody takes 999.6 for 1000.
fn check_early_end(number: &str, worked: &str) -> Check {
    let digits = number.bytes().filter(u8::is_ascii_digit).skip_while(|digit| *digit == b'0');
    if digits.count() >= 6 {
        return Ok(());
    }
    let size: f64 = number.parse().map_err(|_| "no number")?;
    let worked: f64 = worked.parse().map_err(|_| "no number")?;
    let slack = if size == 0.0 { 1e-8 } else { 5e-8 * size.abs() };
    if (worked - size).abs() <= slack { Ok(()) } else { Err(format!("not exact: {worked}")) }
}

/// Every number of the middle piece is what its name in the formula stands for, and every
/// operator is that of the formula. Sums of readings and sizes are told in words and have no names,
/// and a typed measure or an exact number of many digits has none either.
fn check_operands(formula: &str, numbers: &str, values: &HashMap<&str, f64>) -> Check {
    let names: Vec<&str> = values.keys().copied().collect();
    let told = formula == "exact"
        || ["sum of ", "size of (", " (given)"].iter().any(|words| formula.contains(words));
    let formula = match page::tokens(formula, &names) {
        _ if told => return Ok(()),
        Some(tokens) => tokens,
        None => return Err("a name in the formula stands for nothing".into()),
    };
    let numbers = page::tokens(numbers, &[]).ok_or("the numbers are no arithmetic")?;
    let value = |name: &str| values.get(name).copied().unwrap_or(f64::NAN);
    let mut shown = numbers.into_iter().peekable();
    let mut asked = formula.into_iter().peekable();
    while let Some(token) = asked.next() {
        let wanted = match token {
            Token::Open("nearest whole(") => {
                let (Some(Token::Name(name)), Some(Token::Close)) = (asked.next(), asked.next())
                else {
                    return Err("nearest whole of no name".into());
                };
                // Halves that binary noise has pushed off count as halves.
                value(&name) + value(&name).signum() * 1e-9
            }
            Token::Open("round up(") => {
                let (Some(Token::Name(name)), Some(Token::Close)) = (asked.next(), asked.next())
                else {
                    return Err("round up of no name".into());
                };
                // Binary noise above a whole number is no reason for the next one.
                (value(&name) * (1.0 - 1e-12)).ceil()
            }
            Token::Name(name) => value(&name),
            other => {
                let found = shown.next();
                if found.as_ref() != Some(&other) {
                    return Err(format!("{found:?} stands for {other:?}"));
                }
                continue;
            }
        };
        let number = match shown.next() {
            Some(Token::Number(digits)) => digits,
            // A negative number inside an expression stands in brackets.
            Some(Token::Open("(")) => match (shown.next(), shown.next()) {
                (Some(Token::Number(digits)), Some(Token::Close)) => digits,
                other => return Err(format!("{other:?} in brackets")),
            },
            other => return Err(format!("{other:?} stands for {wanted}")),
        };
        near_digits(&number, wanted)?;
    }
    if shown.peek().is_some() { Err("more numbers than names".into()) } else { Ok(()) }
}

/// Digits are those of the value, rounded.
fn near_digits(digits: &str, value: f64) -> Check {
    let number: f64 = digits.parse().map_err(|_| format!("`{digits}` is no number"))?;
    let half = 0.5 * 10_f64.powi(-i32::try_from(places(digits)).unwrap_or(0));
    if (number - value).abs() <= half * (1.0 + 1e-6) + 1e-12 * value.abs() {
        Ok(())
    } else {
        Err(format!("{digits} is printed for {value}"))
    }
}

fn same(a: f64, b: f64) -> Check {
    if a == b { Ok(()) } else { Err(format!("{a} where {b} is used")) }
}

/// The sheets that come with the program.
fn own_sheets() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let demo = std::fs::read_dir(root.join("demo-data")).into_iter().flatten().flatten();
    demo.map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect()
}

#[test]
fn the_sheets_that_come_with_the_program() {
    let mut texts = vec![
        ("US starter sheet".to_owned(), alleytrue::sheet::starter::US.to_owned()),
        ("metric starter sheet".to_owned(), alleytrue::sheet::starter::METRIC.to_owned()),
    ];
    texts.extend(own_sheets().into_iter().map(|path| {
        (path.display().to_string(), std::fs::read_to_string(&path).expect("a sheet"))
    }));
    on_all_cores(&texts, Calculator::default, |calculator, (name, text)| {
        check(&Written::new(text), calculator).unwrap_or_else(|error| panic!("{name}: {error}"));
    });
}

/// The commands that `calibrate` does not stand for, on every demo sheet that has their data.
#[test]
fn every_command_on_the_demo_sheets() {
    let commands: [&[&str]; 16] = [
        &["slope"],
        &["stakes"],
        &["one-wheel"],
        &["packets"],
        &["changeover"],
        &["rows"],
        &["plan", "--scatter", "1/2 in"],
        &["setback-at", "3 mph"],
        &["passes"],
        &["guess-rows"],
        &["harvest"],
        &["time"],
        &["meter"],
        &["depth"],
        &["evenness"],
        &["stand", "--row-spacing", "15 in,76 cm"],
    ];
    // All of a sheet on one core: its lines come again in one command after another.
    let checked = on_all_cores(&own_sheets(), Calculator::default, |calculator, path| {
        let sheet = Written::new(&std::fs::read_to_string(path).expect("a sheet"));
        let has_data = |command: &&&[&str]| {
            let output = sheet.run(command);
            !String::from_utf8_lossy(&output.stderr).contains("error[no-data]")
        };
        let of_sheet: Vec<&[&str]> = commands.iter().filter(has_data).copied().collect();
        for command in &of_sheet {
            check_command(&sheet, command, calculator)
                .unwrap_or_else(|error| panic!("{command:?} {}: {error}", path.display()));
        }
        of_sheet
    });
    for command in commands {
        assert!(checked.iter().flatten().any(|one| *one == command), "{command:?}");
    }
}

#[test]
fn random_sheets() {
    with_room(|| {
        let calculator = std::cell::RefCell::new(Calculator::default());
        proptest!(cases(64), |(sheet in common::sheets::sheets())| {
            let checked = check(&Written::new(&sheet), &mut calculator.borrow_mut());
            prop_assert!(checked.is_ok(), "{}\n\n{sheet}", checked.unwrap_err());
        });
    });
}

/// Sheets with packets, lots and, half of the time, a changeover whose timers say what is lost.
fn sheets_to_pack() -> impl Strategy<Value = String> {
    let shares = (60_u32..=100, 60_u32..=100, 0_u32..60, 1_u32..3000);
    let ground = (100_u32..3000, 80_u32..4000, 100_u32..900, 1_u32..9);
    let trial = (1_u32..60, 1_u32..8, 0_u32..4, any::<bool>());
    let timers = (100_u32..300, 0_u32..100, 0_u32..120, any::<bool>());
    (shares, ground, trial, timers).prop_map(|(shares, ground, trial, timers)| {
        let (germination, emergence, lost, weight) = shares;
        let (plot, population, thousand, rows) = ground;
        let (entries, reps, kind, by_row) = trial;
        let (clean_out, run_out, fill, timed) = timers;
        let changeover = written_out(&format!(
            "[changeover]\nboost = \"90 cells/s\"\nold-seed-gone = \"0.91 s\"\n\
             new-seed-at-pick-up = \"0.17 s\"\nclean-out = \"{}.{:02} s\"\n\
             run-out = \"0.{run_out:02} s\"\nfill = \"{}.{:02} s\"\n",
            clean_out / 100,
            clean_out % 100,
            fill / 100,
            fill % 100
        ));
        let reserve = ["", "reserve = \"3 %\"", "reserve = 7", "reserve = \"12.5 %\""];
        format!(
            "[planter]\nrows = {rows}\nrow-spacing = \"30 in\"\n\
             plate = {{ cells = 40, carry = 16 }}\n[trial]\nplot = \"{plot}.5 in\"\n\
             alley = \"31 in\"\nspeed = \"2.8 mph\"\npopulation = \"{population}00 /ac\"\n\
             stand = \"{}00 /ac\"\nentries = {entries}\nreps = {reps}\n[packets]\n\
             per = \"{}\"\ncleaned-out = {}.{}\n{}\nthousand-seed-weight = \"{}.{} g\"\n\
             germination = \"{germination} %\"\nemergence = \"{emergence} %\"\n\
             balance-step = \"0.{} g\"\n{}[[lot]]\nname = \"one\"\nmass = \"{weight}.7 g\"\n\
             seed-size = \"{}3 /lb\"\ngermination = \"61.5 %\"\n",
            population * 4 / 5,
            if by_row { "row" } else { "plot" },
            lost,
            lost % 10,
            reserve[kind as usize],
            thousand / 3,
            thousand % 10,
            1 + kind,
            if timed { changeover.as_str() } else { "" },
            100 + weight
        )
    })
}

#[test]
fn random_packets() {
    with_room(|| {
        let calculator = std::cell::RefCell::new(Calculator::default());
        proptest!(cases(48), |(sheet in sheets_to_pack())| {
            let written = Written::new(&sheet);
            let checked = check_command(&written, &["packets"], &mut calculator.borrow_mut());
            prop_assert!(checked.is_ok(), "{}\n\n{sheet}", checked.unwrap_err());
        });
    });
}

#[test]
fn random_sheets_of_what_was_planted() {
    with_room(|| {
        let calculator = std::cell::RefCell::new(Calculator::default());
        proptest!(cases(32), |(sheet in common::sheets::planted_sheets())| {
            let checked = check(&Written::new(&sheet), &mut calculator.borrow_mut());
            prop_assert!(checked.is_ok(), "{}\n\n{sheet}", checked.unwrap_err());
        });
    });
}

#[test]
fn a_page_with_one_wrong_digit_or_a_line_missing_is_caught() {
    let sheet = Written::new(alleytrue::sheet::starter::US);
    let report = Report::read(&sheet.run(&["calibrate", "--format", "json"]).stdout);
    let mut seen = HashSet::new();
    let worked: Vec<Step> = report
        .results()
        .iter()
        .flat_map(steps)
        .filter(|step| seen.insert((step.name.clone(), step.value.to_bits())))
        .collect();
    let page = String::from_utf8(sheet.run(&["calibrate"]).stdout).expect("text");
    let lines: Vec<&str> = page.lines().collect();
    with_room(|| {
        let mut calculator = Calculator::default();
        let mut passes = |lines: &[&str]| {
            check_page(lines.join("\n").as_bytes(), &worked, &mut calculator).is_ok()
        };
        assert!(passes(&lines));
        let mut tried = 0;
        for at in 0..lines.len() {
            if !lines[at].starts_with("  ") || !lines[at].contains("= ") {
                continue;
            }
            let mut missing = lines.clone();
            missing.remove(at);
            assert!(!passes(&missing), "not missed: {}", lines[at]);
            let Some(last) = lines[at].rfind(|c: char| c.is_ascii_digit()) else { continue };
            let digit = lines[at].as_bytes()[last] - b'0';
            let wrong =
                format!("{}{}{}", &lines[at][..last], (digit + 1) % 10, &lines[at][last + 1..]);
            let mut altered = lines.clone();
            altered[at] = &wrong;
            assert!(!passes(&altered), "not noticed: {wrong} for {}", lines[at]);
            tried += 1;
        }
        assert!(tried > 100, "{tried}");
    });
}

/// Several sheets of one planter, which one command reads together.
#[test]
fn sheets_over_the_years() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/one-planter-over-years");
    with_room(|| {
        let run = |more: &[&str]| common::run(&[&["trend"], more].concat(), &folder);
        check_runs(run, &mut Calculator::default()).unwrap_or_else(|error| panic!("{error}"));
    });
}
