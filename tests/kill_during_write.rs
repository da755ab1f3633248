//! Writing to a sheet while the program is killed, while others write, and where the disk or
//! the file won't have it: the sheet is the old one or the new one, byte for byte.
//!
//! `KILLS=1000 cargo test --test kill_during_write` kills a thousand times; an everyday run does
//! fewer.

// Helpers of tests may fail like tests.
#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use alleytrue::sheet::starter;
use alleytrue::sheet::writing::{Held, ReplaceError};

const PROGRAM: &str = env!("CARGO_BIN_EXE_alleytrue");

/// The words of a `record` that the starter sheet takes.
const RECORD: [&str; 8] = ["pass", "6", "5 1/2 in", "-1", "--date", "2027-04-19", "--note", "n"];

fn record(sheet: &Path) -> Command {
    let mut command = common::program();
    command.arg("record").arg(sheet).args(RECORD);
    command
}

fn apply(sheet: &Path) -> Command {
    let mut command = common::program();
    command.args(["apply", "--date", "2027-04-19"]).arg(sheet);
    command
}

fn run(mut command: Command) -> Output {
    command.output().expect("the program runs")
}

fn start(mut command: Command) -> Child {
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the program starts")
}

/// A sheet with everything an editor could spoil: a byte-order mark, line ends of Windows, notes,
/// odd blanks, no line end at the end.
fn sheet() -> Vec<u8> {
    let text = starter::US.replace("[trial] ", "[trial]\t\t ").replace('\n', "\r\n");
    format!("\u{feff}{text}\r\n# the last note,\u{a0}no line end").into_bytes()
}

/// Random numbers that need no package: a linear congruential generator (Knuth's MMIX).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit.max(1)
    }
}

fn kills() -> u32 {
    std::env::var("KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(30)
}

#[test]
fn a_killed_program_leaves_the_old_sheet_or_the_new_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    let mut dice = Dice(20_270_418);
    let (mut old, mut new, mut left_over) = (0, 0, 0);
    for make in [record, apply] {
        let before = sheet();
        std::fs::write(&path, &before).expect("the sheet");
        let start_of = Instant::now();
        let whole = run(make(&path));
        // A run takes so long; kills fall evenly over it and a little more.
        let span = u64::try_from(start_of.elapsed().as_micros()).expect("short") * 5 / 4;
        assert!(whole.status.success(), "{}", String::from_utf8_lossy(&whole.stderr));
        let after = std::fs::read(&path).expect("the sheet");
        assert_ne!(before, after);
        for _ in 0..kills().div_ceil(2) {
            std::fs::write(&path, &before).expect("the sheet");
            let mut child = start(make(&path));
            thread::sleep(Duration::from_micros(dice.below(span)));
            child.kill().expect("a kill");
            child.wait().expect("an end");
            let found = std::fs::read(&path).expect("the sheet is there");
            if found == before {
                old += 1;
            } else if found == after {
                new += 1;
            } else {
                panic!("neither old nor new:\n{}", String::from_utf8_lossy(&found));
            }
            left_over += names(folder.path()).len() - 1;
        }
        // What killed runs left behind is in nobody's way, and goes away.
        std::fs::write(&path, &before).expect("the sheet");
        assert!(run(make(&path)).status.success());
        assert_eq!(std::fs::read(&path).expect("the sheet"), after);
        assert_eq!(names(folder.path()), ["sheet.toml"]);
    }
    println!("{old} old, {new} new, {left_over} with a half-written file beside the sheet");
    assert!(old > 0, "no kill came in time");
}

/// The same of files that are new, and of pages that replace others.
#[test]
fn a_killed_program_leaves_no_half_page_and_no_half_sheet() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = |name: &str| folder.path().join(name);
    std::fs::write(file("sheet.toml"), starter::US).expect("the sheet");
    let make_new = || {
        let mut command = common::program();
        command.arg("new").arg(file("fresh.toml"));
        command
    };
    let make_pages = |name: &str| {
        let mut command = common::program();
        command.args(["print", "all", "--date", "2027-04-19"]).arg(file("sheet.toml"));
        command.arg("-o").arg(file(name));
        command
    };
    let mut dice = Dice(20_270_419);
    let (mut done, mut left_over) = (0, 0);
    let yesterday = Some(&b"the pages of yesterday"[..]);
    for (name, before) in [("fresh.toml", None), ("fresh.html", None), ("page.html", yesterday)] {
        let make = |name: &str| match name.ends_with(".toml") {
            true => make_new(),
            false => make_pages(name),
        };
        let path = file(name);
        let begin = || match before {
            Some(before) => std::fs::write(&path, before).expect("a file"),
            None => drop(std::fs::remove_file(&path)),
        };
        begin();
        let start_of = Instant::now();
        assert!(run(make(name)).status.success(), "{name}");
        let span = u64::try_from(start_of.elapsed().as_micros()).expect("short") * 5 / 4;
        let after = std::fs::read(&path).expect("the file");
        for _ in 0..kills().div_ceil(3) {
            begin();
            let mut child = start(make(name));
            thread::sleep(Duration::from_micros(dice.below(span)));
            child.kill().expect("a kill");
            child.wait().expect("an end");
            match std::fs::read(&path) {
                Ok(found) if found == after => done += 1,
                Ok(found) => assert_eq!(Some(found.as_slice()), before, "{name}"),
                Err(_) => assert!(before.is_none(), "{name} is gone"),
            }
            left_over += names(folder.path()).iter().filter(|name| name.starts_with('.')).count();
        }
        begin();
        assert!(run(make(name)).status.success(), "{name}");
        assert!(names(folder.path()).iter().all(|name| !name.starts_with('.')), "{name}");
        std::fs::remove_file(&path).expect("the file");
    }
    println!("{done} whole, {left_over} with a half-written file beside");
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

#[test]
fn two_at_once_lose_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, starter::US).expect("the sheet");
    const WRITERS: usize = 12;
    let children: Vec<Child> = (0..WRITERS)
        .map(|writer| {
            let mut command = common::program();
            command.arg("record").arg(&path).args(["pass", "5", "--yes", "--note"]);
            start({
                command.arg(format!("writer {writer}"));
                command
            })
        })
        .collect();
    for mut child in children {
        assert!(child.wait().expect("an end").success());
    }
    let text = std::fs::read_to_string(&path).expect("the sheet");
    for writer in 0..WRITERS {
        let note = format!("note = \"writer {writer}\"");
        assert_eq!(text.matches(&note).count(), 1, "{note}");
    }
    // What stood there stands there still, in its order.
    let mut rest = text.lines();
    assert!(starter::US.lines().all(|line| rest.any(|other| other == line)));
    assert_eq!(names(folder.path()), ["sheet.toml"]);
}

/// An editor that saves while a run works on the sheet keeps its work.
#[test]
fn a_sheet_changed_meanwhile_is_left_as_the_editor_saved_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, starter::US).expect("the sheet");
    let held = Held::take(&path).expect("the sheet");
    let edited = starter::US.replace("rows = 4", "rows = 6");
    std::fs::write(&path, &edited).expect("the editor saves");
    assert!(matches!(
        held.replace(&"title = \"x\"\n".to_owned().into()),
        Err(ReplaceError::Changed)
    ));
    assert_eq!(std::fs::read_to_string(&path).expect("the sheet"), edited);
    // An editor that puts a new file in the place of the old one, as many do.
    let held = Held::take(&path).expect("the sheet");
    let other = folder.path().join("editor.tmp");
    std::fs::write(&other, starter::US).expect("the editor writes");
    std::fs::rename(&other, &path).expect("the editor saves");
    assert!(matches!(
        held.replace(&"title = \"x\"\n".to_owned().into()),
        Err(ReplaceError::Changed)
    ));
    assert_eq!(std::fs::read_to_string(&path).expect("the sheet"), starter::US);
    assert_eq!(names(folder.path()), ["sheet.toml"]);
}

/// Everything that a refused write must leave alone.
#[track_caller]
fn refused(command: Command, path: &Path, words: &str) {
    let before = std::fs::read(path).expect("the sheet");
    let output = run(command);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains(words), "{said}");
    assert!(output.stdout.is_empty());
    assert_eq!(std::fs::read(path).expect("the sheet"), before);
    let folder = path.parent().expect("a folder");
    assert!(names(folder).iter().all(|name| !name.starts_with('.')), "{:?}", names(folder));
}

#[test]
fn a_write_protected_sheet_is_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, starter::US).expect("the sheet");
    let mut rights = std::fs::metadata(&path).expect("the sheet").permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&path, rights.clone()).expect("rights");
    refused(record(&path), &path, "write-protected");
    refused(apply(&path), &path, "write-protected");
    #[allow(clippy::permissions_set_readonly_false)] // a file of this test's own
    rights.set_readonly(false);
    std::fs::set_permissions(&path, rights).expect("rights");
}

#[test]
fn a_control_character_is_not_recorded() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, starter::US).expect("the sheet");
    for evil in ["a\u{1b}[2Jb", "one\ntwo", "tab\there", "\u{7f}"] {
        let mut plain = common::program();
        plain.arg("record").arg(&path).args(["pass", "5", "--note", evil]);
        refused(plain, &path, "control character");
        let mut plain = common::program();
        plain.arg("record").arg(&path).args(["pass", evil]);
        refused(plain, &path, "control character");
        let mut why = apply(&path);
        why.args(["--reason", evil]);
        refused(why, &path, "control character");
    }
}

#[test]
fn odd_names_are_written_to() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in
        ["a b;c & d.toml", "'quoted' \"twice\".toml", "gr\u{fc}n \u{2014} nord.toml", "-x.toml"]
    {
        if cfg!(windows) && name.contains('"') {
            continue;
        }
        let path = folder.path().join(name);
        std::fs::write(&path, starter::US).expect("the sheet");
        let output = run(record(&path));
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let text = std::fs::read_to_string(&path).expect("the sheet");
        assert!(text.len() > starter::US.len());
    }
}

#[cfg(unix)]
mod unix {
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{PermissionsExt, symlink};

    use super::*;

    #[test]
    fn a_link_stays_a_link() {
        let folder = tempfile::tempdir().expect("a folder");
        let other = tempfile::tempdir().expect("a folder");
        let path = other.path().join("real.toml");
        std::fs::write(&path, starter::US).expect("the sheet");
        let link = folder.path().join("sheet.toml");
        symlink(&path, &link).expect("a link");
        assert!(run(record(&link)).status.success());
        assert_eq!(std::fs::read_link(&link).expect("a link"), path);
        assert!(std::fs::read_to_string(&path).expect("the sheet").len() > starter::US.len());
        assert_eq!(names(other.path()), ["real.toml"]);
        symlink(folder.path().join("nowhere.toml"), folder.path().join("lost.toml"))
            .expect("a link");
        let output = run(record(&folder.path().join("lost.toml")));
        assert_eq!(output.status.code(), Some(2));
        assert_eq!(names(folder.path()), ["lost.toml", "sheet.toml"]);
    }

    #[test]
    fn rights_stay_as_they_are() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("sheet.toml");
        for mode in [0o600, 0o640, 0o664] {
            std::fs::write(&path, starter::US).expect("the sheet");
            std::fs::set_permissions(&path, PermissionsExt::from_mode(mode)).expect("rights");
            assert!(run(record(&path)).status.success());
            let now = std::fs::metadata(&path).expect("the sheet").permissions().mode();
            assert_eq!(now & 0o777, mode);
        }
    }

    /// A limit on the size of a file stands for a disk without room.
    #[test]
    fn a_full_disk_leaves_the_old_sheet() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("sheet.toml");
        // The old sheet is longer than the limit of 8 blocks of 512 bytes or of 1024.
        let long = format!("{}{}", starter::US, "# a note\n".repeat(2000));
        std::fs::write(&path, &long).expect("the sheet");
        let mut command = Command::new("sh");
        let line = "trap '' XFSZ; ulimit -f 8; exec \"$@\"";
        command.args(["-c", line, "sh", PROGRAM, "record"]).arg(&path).args(RECORD);
        refused(command, &path, "writing the new sheet failed");
    }

    #[test]
    fn what_is_no_file_is_refused() {
        let folder = tempfile::tempdir().expect("a folder");
        for odd in [folder.path(), Path::new("/dev/null"), Path::new("/dev/full")] {
            let output = run(record(odd));
            assert_eq!(output.status.code(), Some(2));
            assert!(String::from_utf8_lossy(&output.stderr).contains("no file"));
        }
    }

    #[test]
    fn a_name_that_is_no_text_is_written_to() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join(std::ffi::OsStr::from_bytes(b"n\xffrd\x1b[2J.toml"));
        if std::fs::write(&path, starter::US).is_err() {
            return; // a disk that takes text only
        }
        let output = run(record(&path));
        assert!(output.status.success());
        assert!(!output.stdout.contains(&0x1b), "a name must not steer the terminal");
    }
}
