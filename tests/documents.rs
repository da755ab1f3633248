//! README.md, the pages of the reference and DEVELOPERS.md say what the program does: every
//! command in them is run, every table of keys is held against the reader, every sum is worked
//! out again.
//!
//! `TRYCMD=overwrite cargo test --test documents` brings printed output up to date.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use alleytrue::outcome::cautions;
use alleytrue::reference;
use alleytrue::sheet::{CODES, FieldSheet, Source};

#[path = "common/asked.rs"]
mod asked;
use asked::{incomplete, joined, mistakes};

/// The program as built for this test.
const PROGRAM: &str = env!("CARGO_BIN_EXE_alleytrue");
/// What the output depends on besides the sheet: no colours, and a screen that takes Unicode.
const SURROUNDINGS: [(&str, &str); 3] =
    [("NO_COLOR", "1"), ("LC_ALL", "C.UTF-8"), ("SOURCE_DATE_EPOCH", common::TODAY_IN_SECONDS)];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: impl AsRef<Path>) -> String {
    let path = root().join(name);
    let text = std::fs::read_to_string(&path);
    text.unwrap_or_else(|error| panic!("{}: {error}", path.display())).replace("\r\n", "\n")
}

/// README.md and the pages of the reference, by their files.
fn documents() -> Vec<String> {
    let pages = reference::ALL.iter().map(|topic| page(topic.name));
    std::iter::once("README.md".to_owned()).chain(pages).collect()
}

/// The file of a page of the reference.
fn page(topic: &str) -> String {
    format!("src/reference/{topic}.md")
}

/// The fenced blocks of all documents.
fn all_blocks() -> Vec<Block> {
    documents().iter().flat_map(|document| blocks(&read(document))).collect()
}

/// A fenced block: what stands behind the fence, and what is between the fences.
struct Block {
    info: String,
    text: String,
}

fn blocks(markdown: &str) -> Vec<Block> {
    let mut found = Vec::new();
    let mut open: Option<Block> = None;
    for line in markdown.lines() {
        match (line.strip_prefix("```"), open.take()) {
            (Some(_), Some(block)) => found.push(block),
            (Some(info), None) => open = Some(Block { info: info.into(), text: String::new() }),
            (None, Some(block)) => {
                open = Some(Block { text: format!("{}{line}\n", block.text), ..block });
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a block is not closed");
    found
}

fn run(arguments: &[String], folder: &Path) -> (String, i32) {
    let mut command = common::program();
    let output = command.args(arguments).current_dir(folder).envs(SURROUNDINGS).output();
    let output = output.expect("the program runs");
    let text = [output.stdout, output.stderr].concat();
    let text = String::from_utf8(text).expect("the program writes UTF-8").replace("\r\n", "\n");
    (text, output.status.code().expect("an exit status"))
}

/// The words of a command line; only double quotes are used in the documents.
fn words(line: &str) -> Vec<String> {
    let pieces = line.split('"').enumerate();
    pieces
        .flat_map(|(index, piece)| match index % 2 {
            1 => vec![piece.to_owned()],
            _ => piece.split_whitespace().map(str::to_owned).collect(),
        })
        .collect()
}

/// Blocks marked `console,ignore` write files, so those of one document are run one after another
/// in an empty folder; then those marked `console`, which read the repository, by trycmd.
#[test]
fn every_command_prints_what_the_documents_show() {
    let overwrite = std::env::var("TRYCMD").is_ok_and(|how| how == "overwrite");
    let count: usize = documents().iter().map(|name| writing_commands(name, overwrite)).sum();
    assert!(count > 10, "the documents show how to write a sheet: {count}");
    let cases = trycmd::TestCases::new();
    cases.register_bin("alleytrue", Path::new(PROGRAM));
    for (name, value) in SURROUNDINGS {
        cases.env(name, value);
    }
    cases.case("README.md").case("src/reference/*.md").run();
}

/// Runs the commands of a document that write files, and says how many there were.
fn writing_commands(name: &str, overwrite: bool) -> usize {
    let folder = tempfile::tempdir().expect("a folder");
    let mut document = read(name);
    let mut count = 0;
    for block in blocks(&document).iter().filter(|block| block.info == "console,ignore") {
        let mut now = String::new();
        for line in block.text.lines().filter_map(|line| line.strip_prefix("$ alleytrue ")) {
            let (output, status) = run(&words(line), folder.path());
            let status = if status == 0 { String::new() } else { format!("? {status}\n") };
            now += &format!("$ alleytrue {line}\n{status}{output}\n");
            count += 1;
        }
        let now = format!("{}\n", now.trim_end());
        if overwrite {
            document = document.replacen(&block.text, &now, 1);
        } else {
            assert_eq!(block.text, now, "TRYCMD=overwrite brings {name} up to date");
        }
    }
    if overwrite && count > 0 {
        std::fs::write(root().join(name), &document).expect("a document");
    }
    count
}

#[test]
fn the_set_up_commands_do_what_they_say() {
    let readme = read("README.md");
    let set_up: Vec<Block> =
        blocks(&readme).into_iter().filter(|block| block.info == "sh").collect();
    let [set_up] = set_up.as_slice() else { panic!("one block of set-up commands") };
    let [calibrate, test] = set_up.text.lines().collect::<Vec<_>>()[..] else {
        panic!("two set-up commands: {}", set_up.text)
    };
    let call = calibrate.strip_prefix("cargo run -- ").expect("a call of the program");
    let (output, status) = run(&words(call), root());
    assert_eq!(status, 0, "{output}");
    assert!(output.contains("SETTINGS") && output.contains("\nNext: "), "{output}");
    assert_eq!(test, "cargo test");
    assert!(read(".ci/run").lines().any(|line| line == test), "the CI runs the tests as we do");
}

#[test]
fn program_output_in_the_documents_fits_eighty_columns() {
    for block in all_blocks() {
        // Mistakes, JSON and CSV have lines as long as they are.
        if !block.text.contains("error[") && !block.text.contains("--format ") {
            // What is not program output stands in by two columns where `explain` prints it.
            let most = if ["text", "text sum"].contains(&&*block.info) { 78 } else { 80 };
            // What changes in a sheet stands behind a number and a sign, as long as it is.
            let writes =
                ["$ alleytrue record", "$ alleytrue apply"].iter().any(|w| block.text.contains(w));
            let of_sheet = |line: &str| {
                let (number, sign) = (line.get(..5), line.get(5..8));
                number.is_some_and(|n| n.trim().bytes().all(|b| b.is_ascii_digit()))
                    && sign.is_some_and(|sign| [" + ", " - ", "   "].contains(&sign))
            };
            let own = |line: &&str| !(line.starts_with("$ ") || writes && of_sheet(line));
            for line in block.text.lines().filter(own) {
                assert!(line.chars().count() <= most, "{line}");
            }
        }
    }
}

#[test]
fn output_quoted_in_the_documents_is_printed() {
    let call = words("calibrate demo-data/soybean-advanced-north.toml");
    let (output, _) = run(&call, root());
    let mut count = 0;
    for block in all_blocks().iter().filter(|block| block.info == "text output") {
        assert!(output.contains(&block.text), "not printed:\n{}", block.text);
        count += 1;
    }
    assert!(count > 2, "{count} quotations");
}

/// A starter sheet whose example runs are taken out, as the README says, plans and calibrates.
#[test]
fn a_starter_sheet_without_its_runs_still_plans() {
    let folder = tempfile::tempdir().expect("a folder");
    for units in ["us", "metric"] {
        let file = format!("{units}.toml");
        let (output, status) = run(&words(&format!("new {file} --units {units}")), folder.path());
        assert_eq!(status, 0, "{output}");
        let path = folder.path().join(&file);
        let sheet = std::fs::read_to_string(&path).expect("the sheet");
        let (kept, _) = sheet.split_once("[[speed-run]]").expect("runs at the end");
        std::fs::write(&path, kept).expect("the sheet");
        for command in ["plan", "calibrate"] {
            let (output, status) = run(&words(&format!("{command} {file}")), folder.path());
            assert_eq!(status, 0, "{output}");
        }
    }
}

// The sheet.

fn quoted(text: &str) -> Vec<String> {
    text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

#[test]
fn sheets_in_the_documents_calibrate_and_fragments_are_read() {
    let mut whole = 0;
    for block in all_blocks() {
        match block.info.as_str() {
            "toml" => {
                let sheet = FieldSheet::read(&Source::new("sheet.toml", &block.text));
                let sheet = sheet.unwrap_or_else(|wrong| panic!("{}\n{wrong:#?}", block.text));
                assert!(sheet.remarks.is_empty(), "{}\n{:#?}", block.text, sheet.remarks);
                let report = sheet.job.calibrate().expect("a drive to search");
                assert!(!report.outcomes.is_empty(), "{}", block.text);
                whole += 1;
            }
            "toml fragment" => {
                let found = mistakes(&format!("bare-length = \"in\"\n{}", block.text));
                let wrong: Vec<_> = found.iter().filter(|one| !incomplete(one)).collect();
                assert!(wrong.is_empty(), "{}\n{wrong:#?}", block.text);
            }
            info => assert!(!info.starts_with("toml"), "say `toml` or `toml fragment`: {info}"),
        }
    }
    assert!(whole > 0, "the reference shows a whole sheet");
}

// Sums, codes, JSON.

/// Lines of `text sum` blocks: a name, numbers, the result, as in `shift = 4 / 2 = 2 in`.
#[test]
fn sums_in_the_documents_come_out() {
    let mut count = 0;
    let blocks = all_blocks();
    for line in blocks.iter().filter(|b| b.info == "text sum").flat_map(|b| b.text.lines()) {
        let pieces: Vec<&str> = line.split(" = ").collect();
        let [.., numbers, result] = pieces.as_slice() else { panic!("no sum: {line}") };
        let result = result.split_whitespace().next().unwrap_or_default();
        let mut context = fend_core::Context::new();
        let worked = fend_core::evaluate(&format!("({numbers}) to 12 dp"), &mut context);
        let worked = worked.unwrap_or_else(|error| panic!("{line}: {error}"));
        let worked: f64 = worked
            .get_main_result()
            .trim_start_matches("approx. ")
            .parse()
            .unwrap_or_else(|_| panic!("{line}: {}", worked.get_main_result()));
        let places = result.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        assert_eq!(alleytrue::quantity::round_half_away(worked, places), result, "{line}");
        count += 1;
    }
    assert!(count > 10, "{count} sums");
}

/// Every code that `explain` knows, so that the lists below need no upkeep.
fn codes() -> BTreeSet<&'static str> {
    let warnings = alleytrue::calculations::registry::warnings().map(|kind| kind.code);
    CODES.iter().map(|code| code.name).chain(warnings).collect()
}

#[test]
fn every_code_is_listed_and_explained() {
    let (output, status) = run(&words("explain codes --ascii"), root());
    assert_eq!(status, 0, "{output}");
    let (_, lists) = output.split_once("\nMistakes\n").expect("a list of mistakes");
    let rows = lists.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let listed: Vec<&str> = rows.filter_map(|line| line.split_whitespace().next()).collect();
    let listed: BTreeSet<&str> = listed.into_iter().filter(|word| *word != "code").collect();
    assert_eq!(listed, codes());
    for code in ["missing-sign", "error[missing-sign]", "[drift]", "DRIFT"] {
        let (output, status) = run(&[String::from("explain"), code.into()], root());
        assert!(status == 0 && output.contains("\nExample:\n"), "{code}: {output}");
    }
}

/// Keys of a JSON document by their path, without the places in lists.
fn json_keys(value: &serde_json::Value, path: &str, found: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::Object(object) => {
            for (key, value) in object {
                let path = joined(path, &unit_free(key));
                json_keys(value, &path, found);
                found.insert(path);
            }
        }
        serde_json::Value::Array(list) => list.iter().for_each(|one| json_keys(one, path, found)),
        _ => {}
    }
}

/// The key of a column with the unit that stands in it replaced by its kind.
fn unit_free(key: &str) -> String {
    let units = ["_in", "_cm", "_mm", "_ft", "_m"].map(|unit| (unit, "LENGTH"));
    let speeds = ["_mph", "_km_per_h"].map(|unit| (unit, "SPEED"));
    for (unit, kind) in units.into_iter().chain(speeds) {
        if let Some(start) = key.strip_suffix(unit) {
            return format!("{start}_{kind}");
        }
    }
    match key {
        key if ["_per_ac", "_per_ha", "_per_m2", "_per_ft2"]
            .iter()
            .any(|end| key.ends_with(end)) =>
        {
            let start = key.rsplit_once('_').map_or(key, |(start, _)| start);
            format!("{start}_AREA")
        }
        key => key.into(),
    }
}

#[test]
fn the_reference_has_every_key_of_the_json_and_no_other() {
    let mut found = BTreeSet::new();
    let mut add = |arguments: &[&str]| {
        let mut arguments: Vec<String> = arguments.iter().map(|&one| one.into()).collect();
        arguments.extend(["--format".to_owned(), "json".to_owned()]);
        let mut command = common::program();
        let output = command.args(arguments).current_dir(root()).output().expect("it runs");
        let document = serde_json::from_slice(&output.stdout).expect("JSON");
        json_keys(&document, "", &mut found);
    };
    let mut sheets: Vec<PathBuf> = std::fs::read_dir(root().join("demo-data"))
        .expect("demo-data")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "toml"))
        .collect();
    sheets.sort();
    for sheet in sheets.iter().filter_map(|sheet| sheet.to_str()) {
        add(&["calibrate", sheet]);
        add(&["plan", sheet]);
    }
    add(&["check", "demo-data/one-planter/north.toml", "demo-data/one-planter/south.toml"]);
    add(&["calibrate", "tests/bad-sheets/planter-file-without-planter.toml"]);
    add(&["trip", "demo-data/soybean-advanced-north.toml", "--set", "trial.speed=3 mph"]);
    add(&["setback-at", "3 mph", "demo-data/soybean-three-speeds.toml"]);
    add(&["spacing", "--chart", "demo-data/soybean-advanced-north.toml"]);
    add(&["packets", "demo-data/soybean-forty-entries.toml"]);
    add(&["packets", "demo-data/lots-in-a-list/trial.toml"]);
    add(&["changeover", "demo-data/changeover-first-set-up.toml"]);
    add(&["changeover", "demo-data/changeover-bunched-and-rows.toml"]);
    add(&["rehearse", "demo-data/soybean-forty-rehearsed.toml", "--draws", "40"]);
    add(&["stakes", "demo-data/soybean-forty-entries.toml"]);
    add(&["stakes", "demo-data/wheat-borders-two-plots-abreast.toml"]);
    add(&["stand", "demo-data/maize-stand-one-thin-row.toml"]);
    add(&["stand", "demo-data/maize-seed-dug-up.toml"]);
    add(&["stakes", "demo-data/canola-short-headland.toml"]);
    let caught = folder_with_a_catch();
    add(&["meter", caught.path().join("sheet.toml").to_str().expect("a plain name")]);
    add(&["one-wheel", "demo-data/soybean-one-wheel-after-rain.toml"]);
    add(&["slope", "demo-data/barley-up-and-down-a-slope.toml"]);
    add(&["trend", "demo-data/one-planter-over-years"]);
    add(&["stakes", "demo-data/oat-two-ranks-and-a-wire.toml"]);
    add(&["harvest", "demo-data/soybean-advanced-north.toml"]);
    add(&["calibrate", "tests/cmd/misspelt.toml"]);
    let folder = tempfile::tempdir().expect("a folder");
    let remarked = folder.path().join("remarked.toml");
    let starter = alleytrue::sheet::starter::US.replacen("rows = 4", "skid = \"4 %\"", 1);
    // It has no `stand`, so that counts are held against the seeds planted.
    let starter =
        format!("{starter}\n[[stand-count]]\nrow = 1\nlength = \"17 ft\"\ncounts = [120]\n");
    std::fs::write(&remarked, starter).expect("a sheet with a remark");
    add(&["calibrate", remarked.to_str().expect("a plain name")]);
    add(&["check", remarked.to_str().expect("a plain name")]);
    // A day after the runs of the sheet.
    let mut apply = common::program();
    let changed = apply.arg("apply").arg(&remarked).args(["--date", "2027-05-02"]).output();
    assert!(changed.expect("it runs").status.success());
    add(&["history", remarked.to_str().expect("a plain name")]);
    let described = described_json();
    let missing: Vec<_> = found.difference(&described).collect();
    let unknown: Vec<_> = described.difference(&found).collect();
    assert!(missing.is_empty() && unknown.is_empty(), "missing {missing:?}, unknown {unknown:?}");
}

/// A sheet with seeds caught of a meter.
fn folder_with_a_catch() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let text = "[planter]\nplate = { cells = 40 }\n[[meter-run]]\nturns = 6\nseeds = [238, 241]\n";
    std::fs::write(folder.path().join("sheet.toml"), text).expect("a sheet");
    folder
}

/// Keys of the JSON by their path, as the page has them: a heading names the object that holds
/// those below it.
fn described_json() -> BTreeSet<String> {
    let mut described = BTreeSet::new();
    for section in reference::JSON.text.split("\n## ") {
        let heading = section.lines().next().unwrap_or_default();
        let object = heading.strip_prefix('`').and_then(|path| path.strip_suffix('`'));
        for line in section.lines().filter_map(|line| line.strip_prefix("| `")) {
            let key = line.split('`').next().unwrap_or_default();
            described.insert(joined(object.unwrap_or_default(), key));
        }
    }
    described
}

// The reference.

/// Commands on the page of commands, and cautions on that of cautions, in words that stand on
/// several lines or in a list.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_page_of_the_reference_is_declared_and_has_a_title() {
    let mut files: Vec<String> = std::fs::read_dir(root().join("src/reference"))
        .expect("a folder of pages")
        .filter_map(|entry| entry.expect("an entry").file_name().into_string().ok())
        .filter_map(|name| name.strip_suffix(".md").map(str::to_owned))
        .collect();
    files.sort();
    let mut declared: Vec<&str> = reference::ALL.iter().map(|topic| topic.name).collect();
    declared.sort_unstable();
    assert_eq!(files, declared);
    for topic in reference::ALL {
        let start = format!("# {}\n\n", topic.title());
        assert!(read(page(topic.name)).starts_with(&start), "{}: {start}", topic.name);
        assert!(topic.about.ends_with('.') && topic.about.len() <= 64, "{}", topic.about);
    }
}

#[test]
fn the_readme_is_short_and_names_every_topic() {
    let readme = read("README.md");
    let lines = readme.lines().count();
    assert!(lines <= 600, "{lines} lines; the reference lives in the program");
    for topic in reference::ALL {
        let row = format!("| [`{}`]({}) | {} |", topic.name, page(topic.name), topic.about);
        assert!(readme.lines().any(|line| line == row), "README.md lacks the line\n{row}");
    }
    let (output, status) = run(&words("explain"), root());
    assert_eq!(status, 0);
    for topic in reference::ALL {
        let line = format!("  {:<12} {}", topic.name, topic.about);
        assert!(output.lines().any(|own| own == line), "{output}");
    }
}

/// The anchor that a heading of Markdown gets.
fn anchor(heading: &str) -> String {
    let kept = heading.to_lowercase();
    let kept = kept.chars().filter(|c| c.is_alphanumeric() || "- ".contains(*c));
    kept.map(|c| if c == ' ' { '-' } else { c }).collect()
}

/// Links lead to a heading of the same document, to a file or to the web; what `explain` is said
/// to know it knows.
#[test]
fn nothing_refers_to_what_is_gone() {
    for document in documents().into_iter().chain(["DEVELOPERS.md".to_owned()]) {
        let text = outside_blocks(&read(&document));
        let anchors: BTreeSet<String> = text
            .lines()
            .filter(|line| line.starts_with('#'))
            .map(|line| anchor(line.trim_start_matches('#').trim()))
            .collect();
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            match link.strip_prefix('#') {
                Some(own) => assert!(anchors.contains(own), "{document}: {link}"),
                None if link.starts_with("https://") => {}
                None => assert!(root().join(link).exists(), "{document}: {link}"),
            }
        }
        let asked = quoted(&in_one_line(&text));
        for word in asked.iter().filter_map(|code| code.split("explain ").nth(1)) {
            if !word.starts_with(|c: char| c.is_uppercase() || c == '[') {
                let (output, status) = run(&["explain".to_owned(), word.to_owned()], root());
                assert_eq!(status, 0, "{document}: explain {word}: {output}");
            }
        }
    }
}

/// Words of a text without the marks of Markdown.
fn bare_words(text: &str) -> BTreeSet<String> {
    let marks = ['`', ',', '*', '|', '(', ')', '[', ']', '#', '-', ':', '\u{2500}'];
    let words = text.to_lowercase().replace("](", " ");
    let words = words.split_whitespace().map(|word| word.trim_matches(marks).to_owned());
    words.filter(|word| !word.is_empty()).collect()
}

#[test]
fn every_topic_is_printed_whole() {
    for topic in reference::ALL {
        let (output, status) = run(&["explain".to_owned(), topic.name.to_owned()], root());
        assert_eq!(status, 0, "{output}");
        let (own, printed) = (bare_words(&outside_blocks(topic.text)), bare_words(&output));
        let lost: Vec<&String> = own.difference(&printed).collect();
        assert!(lost.is_empty(), "{}: {lost:?}", topic.name);
        let text: String = blocks(topic.text).into_iter().map(|block| block.text).collect();
        let kept: BTreeSet<&str> = text.lines().map(str::trim).collect();
        let lines: BTreeSet<&str> = output.lines().map(str::trim).collect();
        let lost: Vec<&&str> = kept.difference(&lines).collect();
        assert!(lost.is_empty(), "{}: {lost:?}", topic.name);
        for line in output.lines().filter(|line| !kept.contains(line.trim())) {
            assert!(line.chars().count() <= 80, "{}: {line}", topic.name);
        }
        let plain = ["explain".to_owned(), topic.name.to_owned(), "--ascii".to_owned()];
        let (output, _) = run(&plain, root());
        assert!(output.is_ascii(), "{}", topic.name);
    }
}

#[test]
fn a_word_that_nothing_is_known_of_gets_a_suggestion() {
    for (word, suggestion) in [
        ("formulae", "did you mean `formulas`?"),
        ("missing-sing", "did you mean `missing-sign`?"),
        ("azimuth", "the word is used in: `stakes`\n"),
        ("germination", "the word is used in: `packets`"),
        ("zebra", "`alleytrue explain` lists what there is"),
    ] {
        let (output, status) = run(&["explain".to_owned(), word.to_owned()], root());
        assert_eq!(status, 2, "{output}");
        assert!(output.contains(suggestion), "{output}");
    }
}

#[test]
fn the_manual_has_a_page_for_each_command_and_topic() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("a plain name");
    let (output, status) = run(&["man".to_owned(), path.to_owned()], root());
    assert_eq!(status, 0, "{output}");
    let pages = std::fs::read_dir(folder.path()).expect("the pages").count();
    assert!(output.starts_with(&format!("wrote {pages} pages")), "{output}");
    assert!(folder.path().join("alleytrue-stakes.1").exists());
    for topic in reference::ALL {
        let page = folder.path().join(format!("alleytrue-{}.7", topic.name));
        let page = std::fs::read_to_string(page).expect("a page");
        assert!(page.contains(&format!(".TH alleytrue-{} 7", topic.name)), "{page}");
        // A line that starts with a point is a request; all others are words.
        let known = [".ie", ".el", ".TH", ".SH", ".SS", ".PP", ".IP", ".nf", ".fi", ".ad", ".nh"];
        for line in page.lines().filter(|line| line.starts_with('.')) {
            assert!(known.iter().any(|request| line.starts_with(request)), "{line}");
        }
        for block in blocks(topic.text) {
            let first = block.text.lines().find(|line| line.starts_with(char::is_alphabetic));
            let first = first.and_then(|line| line.split([' ', '-', '\'']).next());
            assert!(first.is_none_or(|word| page.contains(word)), "{}: {first:?}", topic.name);
        }
    }
}

#[test]
fn the_page_of_commands_has_every_command() {
    let program = <alleytrue::commands::Cli as clap::CommandFactory>::command();
    let commands: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
    assert!(commands.len() > 20, "{commands:?}");
    for command in commands {
        let start = format!("| `{command}");
        let found = reference::COMMANDS
            .text
            .lines()
            .any(|line| line.strip_prefix(&start).is_some_and(|rest| rest.starts_with([' ', '`'])));
        assert!(found, "{command}");
    }
}

/// What is listed by hand: kinds of run and their tables, calculations with readings to leave out,
/// and results of the JSON.
#[test]
fn lists_on_the_pages_leave_no_calculation_and_no_run_out() {
    let row = |page: &'static str, start: &str| -> BTreeSet<String> {
        let found = page.lines().find(|line| line.starts_with(start));
        quoted(found.unwrap_or_else(|| panic!("no row {start}"))).into_iter().collect()
    };
    let kinds = row(reference::COMMANDS.text, "| `record SHEET KIND");
    let tables = row(reference::SHEET.text, "| `[[trip-run]]`");
    for kind in alleytrue::sheet::writing::KINDS.iter() {
        assert!(kinds.contains(kind.name), "{}", kind.name);
        assert!(tables.contains(&kind.written), "{}", kind.written);
    }
    let without = row(reference::COMMANDS.text, "| `--without 7,9`");
    let results = row(reference::JSON.text, "| `calculation` | `speed`");
    for entry in alleytrue::calculations::registry::ALL {
        let key = entry.calculation.key;
        assert!(!entry.has_readings || without.contains(key), "--without: {key}");
        // The speed law goes by the command that asks for it.
        assert!(results.contains(key) || results.contains(entry.command), "JSON: {key}");
    }
}

#[test]
fn the_page_of_cautions_has_every_caution_with_its_source() {
    let text = in_one_line(reference::CAUTIONS.text);
    for caution in [
        &cautions::MANUAL_FIRST,
        &cautions::STOP_FIRST,
        &cautions::BLOCK_FIRST,
        &cautions::POWER_SHAFT,
        &cautions::NO_RIDERS,
        &cautions::CLEAR_OF_METERS,
        &cautions::RUN_DOWN,
        &cautions::TURNING_WHEEL,
        &cautions::BLOCK_RAISED,
        &cautions::OVER_A_TRAY,
        &cautions::HYDRAULIC_LEAKS,
        &cautions::ROLL_BAR,
        &cautions::OVERHEAD_LINES,
        &cautions::HEARING,
        &cautions::EXHAUST_DUST,
        &cautions::NO_AIR,
        &cautions::SEED_TAG,
        &cautions::WASH,
        &cautions::LEFT_OVER,
        &cautions::PACKING,
    ] {
        let words = format!("- {} ({})", caution.text, caution.source);
        assert!(text.contains(&words), "{words}");
    }
}

// The house.

#[test]
fn files_named_in_the_documents_are_there() {
    for document in documents().into_iter().chain(["DEVELOPERS.md".to_owned()]) {
        for name in quoted(&outside_blocks(&read(&document))) {
            let looks_like_one = ["src/", "tests/", "examples/", "demo-data/", ".ci/"]
                .iter()
                .any(|folder| name.starts_with(folder));
            let made_up = name.contains(['<', '*', ' ']) || name.contains("heavy");
            if looks_like_one && !made_up {
                assert!(root().join(&name).exists(), "{document}: {name}");
            }
        }
    }
}

fn outside_blocks(markdown: &str) -> String {
    let mut inside = false;
    let lines = markdown.lines().filter(|line| {
        let fence = line.starts_with("```");
        inside ^= fence;
        !inside && !fence
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn the_developers_guide_says_why_each_package_is_in() {
    let manifest: toml::Table = read("Cargo.toml").parse().expect("Cargo.toml");
    let guide = read("DEVELOPERS.md");
    let chapter = guide.split("\n## ").find(|chapter| chapter.starts_with("Packages"));
    let listed: BTreeSet<String> = chapter
        .expect("a chapter on packages")
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split('`').next().map(str::to_owned))
        .collect();
    // Those of one system stand by themselves.
    let systems = manifest["target"].as_table().expect("a table").values();
    let own = systems.filter_map(|system| system["dependencies"].as_table());
    let used: BTreeSet<String> = ["dependencies", "dev-dependencies"]
        .iter()
        .filter_map(|kind| manifest[*kind].as_table())
        .chain(own)
        .flat_map(|packages| packages.keys().cloned())
        .collect();
    assert_eq!(listed, used);
}
