//! README.md and DEVELOPERS.md say what the program does: every command in them is run, every
//! table of keys is held against the reader, every sum is worked out again.
//!
//! `TRYCMD=overwrite cargo test --test documents` brings printed output up to date.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use alleytrue::calibration::sequence;
use alleytrue::sheet::{CODES, FieldSheet, Source};

#[path = "common/asked.rs"]
mod asked;
use asked::{incomplete, joined, mistakes, needed, tables, takes};

/// The program as built for this test.
const PROGRAM: &str = env!("CARGO_BIN_EXE_alleytrue");
/// What the output depends on besides the sheet: no colours, and a screen that takes Unicode.
const SURROUNDINGS: [(&str, &str); 2] = [("NO_COLOR", "1"), ("LC_ALL", "C.UTF-8")];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: impl AsRef<Path>) -> String {
    let path = root().join(name);
    let text = std::fs::read_to_string(&path);
    text.unwrap_or_else(|error| panic!("{}: {error}", path.display())).replace("\r\n", "\n")
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
    let mut command = Command::new(PROGRAM);
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

/// Blocks marked `console,ignore` write files, so they are run one after another in an empty
/// folder; then those marked `console`, which read the repository, by trycmd.
#[test]
fn every_command_prints_what_the_readme_shows() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut readme = read("README.md");
    let overwrite = std::env::var("TRYCMD").is_ok_and(|how| how == "overwrite");
    let mut count = 0;
    for block in blocks(&readme).iter().filter(|block| block.info == "console,ignore") {
        let mut now = String::new();
        for line in block.text.lines().filter_map(|line| line.strip_prefix("$ alleytrue ")) {
            let (output, status) = run(&words(line), folder.path());
            let status = if status == 0 { String::new() } else { format!("? {status}\n") };
            now += &format!("$ alleytrue {line}\n{status}{output}\n");
            count += 1;
        }
        let now = format!("{}\n", now.trim_end());
        if overwrite {
            readme = readme.replacen(&block.text, &now, 1);
        } else {
            assert_eq!(block.text, now, "TRYCMD=overwrite brings the README up to date");
        }
    }
    assert!(count > 0, "the README shows how to write a sheet");
    if overwrite {
        std::fs::write(root().join("README.md"), &readme).expect("README.md");
    }
    let cases = trycmd::TestCases::new();
    cases.register_bin("alleytrue", Path::new(PROGRAM));
    for (name, value) in SURROUNDINGS {
        cases.env(name, value);
    }
    cases.case("README.md").run();
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
    let call = calibrate.strip_prefix("cargo run --release -- ").expect("a call of the program");
    let (output, status) = run(&words(call), root());
    assert_eq!(status, 0, "{output}");
    assert!(output.contains("SETTINGS") && output.contains("\nNext: "), "{output}");
    assert_eq!(test, "cargo test");
    assert!(read(".ci/run").lines().any(|line| line == test), "the CI runs the tests as we do");
}

#[test]
fn program_output_in_the_readme_fits_eighty_columns() {
    for block in blocks(&read("README.md")) {
        // Mistakes, JSON and CSV have lines as long as they are.
        if !block.text.contains("error[") && !block.text.contains("--format ") {
            // The table of `plan` is known to be two columns too wide.
            let most = 80;
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
fn output_quoted_in_the_readme_is_printed() {
    let call = words("calibrate demo-data/soybean-advanced-north.toml");
    let (output, _) = run(&call, root());
    for block in blocks(&read("README.md")).iter().filter(|block| block.info == "text output") {
        assert!(output.contains(&block.text), "not printed:\n{}", block.text);
    }
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

/// A row of a table of keys in the README.
#[derive(Debug)]
struct Row {
    key: String,
    example: String,
    takes: String,
    needed: String,
}

/// The tables of keys in the README by path; a heading may name several tables alike.
fn described() -> BTreeMap<String, Vec<Row>> {
    let readme = read("README.md");
    let chapter = readme.split("\n## ").find(|chapter| chapter.starts_with("The sheet"));
    let chapter = chapter.expect("a chapter on the sheet");
    let mut all = BTreeMap::new();
    for section in chapter.split("\n### ").skip(1) {
        let heading = section.lines().next().unwrap_or_default();
        let mut paths: Vec<String> =
            quoted(heading).iter().map(|path| path.trim_matches(['[', ']']).to_owned()).collect();
        if heading.starts_with("Top of the sheet") {
            paths.push(String::new());
        }
        for path in paths {
            all.insert(path, section.lines().filter_map(row).collect());
        }
    }
    all
}

fn quoted(text: &str) -> Vec<String> {
    text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn row(line: &str) -> Option<Row> {
    let cells: Vec<&str> = line.strip_prefix("| `")?.trim_end_matches('|').split(" | ").collect();
    let [key, _, example, takes, needed] = cells.as_slice() else {
        panic!("five cells: {line}");
    };
    Some(Row {
        key: key.trim_end_matches('`').into(),
        example: example.trim_matches(['`', ' ']).into(),
        takes: takes.trim().replace('`', ""),
        needed: needed.trim().into(),
    })
}

#[test]
fn the_readme_has_every_key_of_the_sheet_and_no_other() {
    let described = described();
    let tables = tables();
    let paths = |all: Vec<&String>| all.into_iter().cloned().collect::<BTreeSet<String>>();
    assert_eq!(paths(tables.keys().collect()), paths(described.keys().collect()));
    for (path, keys) in tables {
        let rows = described[&path].iter().map(|row| row.key.clone());
        assert_eq!(
            keys.into_iter().collect::<BTreeSet<_>>(),
            rows.collect::<BTreeSet<_>>(),
            "keys of [{path}]"
        );
    }
}

#[test]
fn the_readme_gives_limits_and_needs_as_the_reader_has_them() {
    let mut wrong = Vec::new();
    for (path, rows) in described() {
        for row in rows {
            let own = takes(&path, &row.key).replace('`', "");
            if own != row.takes {
                wrong.push(format!("[{path}] {}: takes {own}; README: {}", row.key, row.takes));
            }
            if needed(&path, &row.key) != row.needed.starts_with("yes") {
                wrong.push(format!("[{path}] {}: README: needed: {}", row.key, row.needed));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_example_of_a_key_is_accepted() {
    for (path, rows) in described() {
        for row in rows.iter().filter(|row| row.example != "-") {
            let bare = if row.key == "bare-length" { "" } else { "bare-length = \"in\"\n" };
            let text = format!("{bare}{} = {}", joined(&path, &row.key), row.example);
            let found = mistakes(&text);
            let wrong: Vec<_> = found.iter().filter(|one| !incomplete(one)).collect();
            assert!(wrong.is_empty(), "{text}\n{wrong:#?}");
        }
    }
}

#[test]
fn sheets_in_the_readme_calibrate_and_fragments_are_read() {
    let mut whole = 0;
    for block in blocks(&read("README.md")) {
        match block.info.as_str() {
            "toml" => {
                let sheet = FieldSheet::read(&Source::new("README.md", &block.text));
                let sheet = sheet.unwrap_or_else(|wrong| panic!("{}\n{wrong:#?}", block.text));
                assert!(sheet.remarks.is_empty(), "{}\n{:#?}", block.text, sheet.remarks);
                let report = sequence::calibrate(&sheet.job).expect("a drive to search");
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
    assert!(whole > 0, "the README shows a whole sheet");
}

// Sums, codes, JSON.

/// Lines of `text sum` blocks: a name, numbers, the result, as in `shift = 4 / 2 = 2 in`.
#[test]
fn sums_in_the_readme_come_out() {
    let mut count = 0;
    let blocks = blocks(&read("README.md"));
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
    let warnings = alleytrue::calibration::warning::ALL.iter().map(|kind| kind.code);
    CODES.iter().map(|code| code.name).chain(warnings).collect()
}

#[test]
fn the_readme_lists_every_code() {
    let readme = read("README.md");
    let chapter = readme.split("\n## ").find(|chapter| chapter.starts_with("Error and warning"));
    let rows = chapter.expect("a chapter on codes").lines();
    let listed: BTreeSet<String> =
        rows.filter(|line| line.starts_with("- `")).flat_map(quoted).collect();
    let listed: BTreeSet<&str> = listed.iter().map(String::as_str).collect();
    assert_eq!(listed, codes());
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
fn the_readme_has_every_key_of_the_json_and_no_other() {
    let mut found = BTreeSet::new();
    let mut add = |arguments: &[&str]| {
        let mut arguments: Vec<String> = arguments.iter().map(|&one| one.into()).collect();
        arguments.extend(["--format".to_owned(), "json".to_owned()]);
        let mut command = Command::new(PROGRAM);
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
    add(&["setback-at", "3 mph", "demo-data/soybean-three-speeds.toml"]);
    add(&["spacing", "--chart", "demo-data/soybean-advanced-north.toml"]);
    add(&["packets", "demo-data/soybean-forty-entries.toml"]);
    add(&["changeover", "demo-data/changeover-first-set-up.toml"]);
    add(&["changeover", "demo-data/changeover-bunched-and-rows.toml"]);
    add(&["stakes", "demo-data/soybean-forty-entries.toml"]);
    add(&["stakes", "demo-data/wheat-borders-two-plots-abreast.toml"]);
    add(&["stand", "demo-data/maize-stand-one-thin-row.toml"]);
    add(&["stand", "demo-data/maize-seed-dug-up.toml"]);
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
    let changed = Command::new(PROGRAM).arg("apply").arg(&remarked).output().expect("it runs");
    assert!(changed.status.success());
    add(&["history", remarked.to_str().expect("a plain name")]);
    let readme = read("README.md");
    let chapter = readme.split("\n## ").find(|chapter| chapter.starts_with("JSON"));
    let lines = chapter.expect("a chapter on JSON").lines();
    let described: BTreeSet<String> = lines
        .filter_map(|line| line.strip_prefix("| `"))
        .filter_map(|line| line.split('`').next())
        .map(str::to_owned)
        .collect();
    let missing: Vec<_> = found.difference(&described).collect();
    let unknown: Vec<_> = described.difference(&found).collect();
    assert!(missing.is_empty() && unknown.is_empty(), "missing {missing:?}, unknown {unknown:?}");
}

// The house.

/// The floors, lowest first; a room may use those before it, and itself.
const FLOORS: [&str; 7] =
    ["quantity", "working", "statistics", "calibration", "sheet", "render", "commands"];
/// Rooms that know no file, clock, printing, command line or TOML.
const PURE: usize = 4;

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of sources") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            found.push(path);
        }
    }
}

/// The code of every file of a room, without comments.
fn code_of(room: &str) -> Vec<(PathBuf, String)> {
    let mut files = Vec::new();
    sources(&root().join("src").join(room), &mut files);
    assert!(!files.is_empty(), "src/{room}");
    files
        .into_iter()
        .map(|path| {
            let text = read(&path);
            let lines = text.lines().filter(|line| !line.trim_start().starts_with("//"));
            let code = lines.collect::<Vec<_>>().join("\n");
            (path, code)
        })
        .collect()
}

#[test]
fn arrows_go_down_only() {
    for (floor, room) in FLOORS.iter().enumerate() {
        for (path, code) in code_of(room) {
            for used in code.split("crate::").skip(1) {
                let used: String =
                    used.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let other = FLOORS.iter().position(|room| *room == used);
                let other = other.unwrap_or_else(|| panic!("{}: crate::{used}", path.display()));
                assert!(other <= floor, "{}: {room} uses crate::{used}", path.display());
            }
        }
    }
    let rooms: BTreeSet<String> = std::fs::read_dir(root().join("src"))
        .expect("src")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_dir())
        .filter_map(|path| Some(path.file_name()?.to_str()?.to_owned()))
        .collect();
    assert_eq!(rooms, FLOORS.iter().map(|&room| room.to_owned()).collect());
}

#[test]
fn lower_floors_know_no_files_clocks_or_terminals() {
    const OUTSIDE: [&str; 9] = [
        "std::fs",
        "std::io",
        "std::time",
        "std::env",
        "println!",
        "eprintln!",
        "clap::",
        "toml::",
        "serde",
    ];
    for room in &FLOORS[..PURE] {
        let files = code_of(room).into_iter();
        for (path, code) in files.filter(|(path, _)| !path.ends_with("tests.rs")) {
            for word in OUTSIDE {
                assert!(!code.contains(word), "{}: {word}", path.display());
            }
        }
    }
}

#[test]
fn files_named_in_the_documents_are_there() {
    for document in ["README.md", "DEVELOPERS.md"] {
        for name in quoted(&outside_blocks(&read(document))) {
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
    let used: BTreeSet<String> = ["dependencies", "dev-dependencies"]
        .iter()
        .filter_map(|kind| manifest[*kind].as_table())
        .flat_map(|packages| packages.keys().cloned())
        .collect();
    assert_eq!(listed, used);
}
