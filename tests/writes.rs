//! What a write keeps and what it refuses: other names of a file, its attributes, files beside it,
//! what could not be read again, what an editor saved meanwhile, and a run that is there already.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use alleytrue::sheet::{MOST_BYTES, starter};

fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = common::program();
    command.current_dir(folder).args(arguments).env("LC_ALL", "C.UTF-8");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program(folder, arguments).output().expect("the program runs")
}

fn said(output: &Output) -> String {
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A folder with a sheet.
fn with_sheet(text: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, text).expect("the sheet");
    (folder, path)
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).expect("the file")
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder");
    let name = |entry: std::io::Result<std::fs::DirEntry>| {
        entry.expect("an entry").file_name().to_string_lossy().into_owned()
    };
    let mut all: Vec<String> = entries.map(name).collect();
    all.sort();
    all
}

const RECORD: [&str; 6] = ["record", "sheet.toml", "pass", "5", "--date", "2027-04-19"];
const APPLY: [&str; 4] = ["apply", "sheet.toml", "--date", "2027-04-19"];

#[cfg(unix)]
#[test]
fn a_file_with_another_name_is_refused_and_stays_whole() {
    let (folder, path) = with_sheet(starter::US);
    let other = folder.path().join("other.toml");
    std::fs::hard_link(&path, &other).expect("a link");
    for arguments in [&RECORD[..], &APPLY[..]] {
        let output = run(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(2));
        assert!(said(&output).contains("hard links"), "{}", said(&output));
        assert_eq!((read(&path), read(&other)), (starter::US.into(), starter::US.into()));
    }
    assert_eq!(names(folder.path()), ["other.toml", "sheet.toml"]);
    // Pages too.
    let (page, link) = (folder.path().join("page.html"), folder.path().join("link.html"));
    std::fs::write(&page, "old").expect("a page");
    std::fs::hard_link(&page, &link).expect("a link");
    let output = run(folder.path(), &["print", "cab-card", "sheet.toml", "-o", "page.html"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("hard links"), "{}", said(&output));
    assert_eq!(read(&page), "old");
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
#[test]
fn extended_attributes_stay() {
    use rustix::fs::{XattrFlags, getxattr, setxattr};
    let (folder, path) = with_sheet(starter::US);
    let long = vec![b'x'; 300];
    for (name, value) in [("user.crew", &b"north"[..]), ("user.long", &long), ("user.empty", b"")] {
        if let Err(error) = setxattr(&path, name, value, XattrFlags::empty()) {
            println!("skipped: this disk has no extended attributes: {error}");
            return;
        }
    }
    let value = |path: &Path, name: &str| {
        let mut buffer = [0; 1000];
        let size = getxattr(path, name, &mut buffer[..]).expect("the attribute");
        buffer[..size].to_vec()
    };
    for arguments in [&RECORD[..], &APPLY[..]] {
        let output = run(folder.path(), arguments);
        assert!(output.status.success(), "{}", said(&output));
        assert_eq!(value(&path, "user.crew"), b"north");
        assert_eq!(value(&path, "user.long"), long);
        assert_eq!(value(&path, "user.empty"), b"");
    }
    let page = folder.path().join("page.html");
    std::fs::write(&page, "old").expect("a page");
    setxattr(&page, "user.crew", b"north", XattrFlags::empty()).expect("an attribute");
    let output = run(folder.path(), &["print", "cab-card", "sheet.toml", "-o", "page.html"]);
    assert!(output.status.success(), "{}", said(&output));
    assert_ne!(read(&page), "old");
    assert_eq!(value(&page, "user.crew"), b"north");
}

#[test]
fn files_beside_the_sheet_that_are_not_ours_are_not_touched() {
    let (folder, path) = with_sheet(starter::US);
    let others = [
        ".sheet.toml.new",
        ".sheet.toml.lock",
        ".alleytrue-0123456789abcdef.new",
        ".alleytrue-notes.new",
        "sheet.toml~",
        "sheet.toml.tmp",
    ];
    for other in others {
        std::fs::write(folder.path().join(other), "the work of somebody").expect("a file");
    }
    for arguments in [
        &RECORD[..],
        &APPLY[..],
        &["new", "fresh.toml", "--schema"],
        &["print", "all", "sheet.toml", "-o", "all.html"],
        &["print", "all", "sheet.toml", "-o", "all.html"],
    ] {
        let output = run(folder.path(), arguments);
        assert!(output.status.success(), "{}", said(&output));
    }
    for other in others {
        assert_eq!(read(&folder.path().join(other)), "the work of somebody", "{other}");
    }
    assert!(read(&path).len() > starter::US.len());
    assert_eq!(names(folder.path()).len(), others.len() + 4, "{:?}", names(folder.path()));
}

/// 2 MiB and 220 000 values and lines are what the reader takes.
#[test]
fn what_could_not_be_read_again_is_not_written() {
    let most = usize::try_from(MOST_BYTES).expect("a size");
    let notes = |bytes: usize| format!("{}# {}", starter::US, "x".repeat(bytes - 2));
    let large = notes(most - starter::US.len() - 20);
    let parts = starter::US.matches([',', '=', '[', '{', '\n']).count();
    let many = format!("{}# {}\n", starter::US, ",".repeat(220_000 - parts - 20));
    for text in [large, many] {
        let (folder, path) = with_sheet(&text);
        assert!(run(folder.path(), &["calibrate", "sheet.toml"]).status.success());
        let mut more = vec!["record", "sheet.toml", "pass", "--date", "2027-04-19"];
        more.extend(std::iter::repeat_n("5", 300));
        let much = run(folder.path(), &more);
        assert_eq!(much.status.code(), Some(2));
        assert!(said(&much).contains("would be too large"), "{}", said(&much));
        assert_eq!(read(&path), text);
        assert_eq!(names(folder.path()), ["sheet.toml"]);
    }
    let (folder, _) = with_sheet(&notes(most - starter::US.len() + 1));
    let output = run(folder.path(), &["calibrate", "sheet.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("too-large"), "{}", said(&output));
}

#[test]
fn the_same_readings_of_the_same_day_are_asked_about() {
    let (folder, path) = with_sheet(starter::US);
    let record = |words: &[&str]| run(folder.path(), &[&["record", "sheet.toml"], words].concat());
    let day = ["--date", "2027-04-19"];
    let once = [&["pass", "5", "-1 in", "3 1/2 in"], &day[..]].concat();
    assert!(record(&once).status.success());
    let before = read(&path);
    // The same readings, also as another would type them.
    for again in [once.clone(), [&["pass", "5 in", "-1", "3.5"], &day[..]].concat()] {
        for dry in [vec![], vec!["--dry-run"]] {
            let output = record(&[again.clone(), dry].concat());
            assert_eq!(output.status.code(), Some(2), "{}", said(&output));
            let words = said(&output);
            // The starter has one pass run.
            assert!(words.contains("[[pass-run]] 2") && words.contains("--yes"), "{words}");
            assert!(output.stdout.is_empty());
            assert_eq!(read(&path), before);
        }
    }
    // Other readings, another day, another note, another kind are other runs.
    for other in [
        vec!["pass", "5", "-1", "3.6", "--date", "2027-04-19"],
        vec!["pass", "5", "-1", "--date", "2027-04-19"],
        vec!["pass", "5", "-1 in", "3 1/2 in", "--date", "2027-04-19", "--note", "east"],
        vec!["pass", "5", "-1 in", "3 1/2 in", "--date", "2027-04-19", "--speed", "3.4 mph"],
        vec!["pass", "5", "-1 in", "3 1/2 in", "--date", "2027-04-20"],
    ] {
        let output = record(&other);
        assert!(output.status.success(), "{other:?}: {}", said(&output));
    }
    // The last of these is of a later day, which is asked about too.
    let before = read(&path);
    assert!(record(&[once.clone(), vec!["--yes"]].concat()).status.success());
    assert_eq!(
        read(&path).matches("[[pass-run]]").count(),
        before.matches("[[pass-run]]").count() + 1
    );
    // The setting was changed since: the same readings are still the old ones.
    let (folder, path) = with_sheet(starter::US);
    let record = || run(folder.path(), &[&["record", "sheet.toml"], &once[..]].concat());
    assert!(record().status.success());
    let change = ["apply", "sheet.toml", "--setting", "setback", "--date", "2027-04-19"];
    assert!(run(folder.path(), &change).status.success());
    assert!(read(&path).contains("with = { setback"));
    assert_eq!(record().status.code(), Some(2));
}

#[test]
fn pages_are_not_written_over_a_sheet() {
    let (folder, path) = with_sheet(starter::US);
    let others = [
        ("other.toml", starter::METRIC),
        ("no-ending", starter::METRIC),
        ("with-mistakes.txt", "[trial]\naley = \"30 in\"\n"),
        ("half.toml", "[trial\n"),
    ];
    for (name, text) in others {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    for (name, text) in others.into_iter().chain([("sheet.toml", starter::US)]) {
        let output = run(folder.path(), &["print", "cab-card", "sheet.toml", "-o", name]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(said(&output).contains("write over a field sheet"), "{}", said(&output));
        assert_eq!(read(&folder.path().join(name)), text);
    }
    // Pages over pages, in either form, and over an empty file.
    std::fs::write(folder.path().join("empty.html"), "").expect("a file");
    for kind in ["all", "run-form", "report", "checklist"] {
        for name in ["empty.html", "page.html", "page.txt"] {
            for _ in 0..2 {
                let output = run(folder.path(), &["print", kind, "sheet.toml", "-o", name]);
                assert!(output.status.success(), "{kind} {name}: {}", said(&output));
            }
        }
    }
    assert_eq!(read(&path), starter::US);
}

/// Whoever has the sheet locked keeps nobody from working things out, only from writing.
#[cfg(unix)]
#[test]
fn a_lock_is_for_writing_only() {
    let (folder, path) = with_sheet(starter::US);
    let held = std::fs::File::open(&path).expect("the sheet");
    held.lock().expect("a lock");
    let start = Instant::now();
    for arguments in [
        vec!["record", "sheet.toml", "pass", "5", "--dry-run"],
        vec!["apply", "sheet.toml", "--dry-run"],
        vec!["calibrate", "sheet.toml"],
    ] {
        assert!(run(folder.path(), &arguments).status.success(), "{arguments:?}");
    }
    let wrong = run(folder.path(), &["record", "sheet.toml", "pass", "a bit"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(start.elapsed() < Duration::from_secs(9), "one of them waited");
    let child = program(folder.path(), &RECORD).stdout(Stdio::null()).spawn();
    let mut child = child.expect("the program starts");
    std::thread::sleep(Duration::from_millis(300));
    assert_eq!(read(&path), starter::US);
    held.unlock().expect("no lock");
    assert!(child.wait().expect("an end").success());
    assert!(read(&path).len() > starter::US.len());
}

/// An editor that saves while a run waits to write: its work is kept, and the run goes into that.
#[cfg(unix)]
#[test]
fn a_run_is_added_to_what_an_editor_saved_meanwhile() {
    let (folder, path) = with_sheet(starter::US);
    let held = std::fs::File::open(&path).expect("the sheet");
    held.lock().expect("a lock");
    let child = program(folder.path(), &RECORD).stdout(Stdio::null()).spawn();
    let mut child = child.expect("the program starts");
    std::thread::sleep(Duration::from_millis(300));
    // As many editors save: a new file in the place of the old one.
    let edited = format!("{}\n# rain at noon\n", starter::US);
    let other = folder.path().join("editor.tmp");
    std::fs::write(&other, &edited).expect("the editor writes");
    std::fs::rename(&other, &path).expect("the editor saves");
    held.unlock().expect("no lock");
    assert!(child.wait().expect("an end").success());
    let text = read(&path);
    assert!(text.contains("# rain at noon\n"), "{text}");
    assert_eq!(
        text.matches("[[pass-run]]").count(),
        starter::US.matches("[[pass-run]]").count() + 1
    );
    assert_eq!(names(folder.path()), ["sheet.toml"]);
}

#[test]
fn an_editor_that_saves_again_and_again_loses_nothing() {
    let (folder, path) = with_sheet(starter::US);
    for turn in 0..12 {
        let note = format!("# look {turn}\n");
        let reading = format!("{turn}");
        let arguments = ["record", "sheet.toml", "pass", &reading, "--date", "2027-04-19"];
        let child = program(folder.path(), &arguments).stdout(Stdio::null()).spawn();
        let mut child = child.expect("the program starts");
        std::thread::sleep(Duration::from_millis(turn % 6 * 4));
        let edited = read(&path) + &note;
        let other = folder.path().join("editor.tmp");
        std::fs::write(&other, &edited).expect("the editor writes");
        std::fs::rename(&other, &path).expect("the editor saves");
        assert!(child.wait().expect("an end").success());
        assert!(read(&path).contains(&note), "turn {turn}");
    }
}

#[cfg(unix)]
#[test]
fn new_writes_whole_or_not_at_all_and_over_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    std::os::unix::fs::symlink("nowhere.toml", folder.path().join("link.toml")).expect("a link");
    let output = run(folder.path(), &["new", "link.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("is there already"), "{}", said(&output));
    // A limit on the size of a file stands for a disk without room: 512 or 1024 bytes.
    let mut command = Command::new("sh");
    let line = "trap '' XFSZ; ulimit -f 1; exec \"$@\"";
    command.current_dir(folder.path()).args(["-c", line, "sh"]);
    let output = command.arg(env!("CARGO_BIN_EXE_alleytrue")).args(["new", "x.toml"]).output();
    let output = output.expect("the program runs");
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("can't be written"), "{}", said(&output));
    assert_eq!(names(folder.path()), ["link.toml"]);
    // The rights of any new file.
    use std::os::unix::fs::PermissionsExt;
    assert!(run(folder.path(), &["new", "x.toml"]).status.success());
    std::fs::write(folder.path().join("plain"), "").expect("a file");
    let mode = |name: &str| {
        let about = std::fs::metadata(folder.path().join(name)).expect("it is there");
        about.permissions().mode() & 0o777
    };
    assert_eq!(mode("x.toml"), mode("plain"));
}

#[cfg(unix)]
#[test]
fn the_next_command_can_be_typed_in_as_it_stands() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["my trial.toml", "it's $5 `a`.toml", "-x.toml", "a;b.toml"] {
        let output = run(folder.path(), &["new", "--", name]);
        assert!(output.status.success(), "{}", said(&output));
        let page = String::from_utf8(output.stdout).expect("UTF-8");
        let (_, words) = page.split_once("then run: alleytrue ").expect("a command");
        let typed = if name.starts_with('-') { format!("./{name}") } else { name.to_owned() };
        let output = run(folder.path(), &["record", &typed, "pass", "5", "--date", "2027-04-19"]);
        assert!(output.status.success(), "{}", said(&output));
        let page = String::from_utf8(output.stdout).expect("UTF-8");
        let (_, next) = page.split_once("Next: alleytrue ").expect("a command");
        assert_eq!(words, next);
        let line = format!("\"$0\" {}", next.trim_end());
        let mut shell = Command::new("sh");
        shell.current_dir(folder.path()).args(["-c", &line, env!("CARGO_BIN_EXE_alleytrue")]);
        let output = shell.output().expect("a shell");
        assert_eq!(output.status.code(), Some(0), "{line}: {}", said(&output));
    }
}
