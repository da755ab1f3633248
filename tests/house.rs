//! The house stands: arrows between rooms go down only, no files import each other in a circle,
//! and the rooms below the sheet know no file, clock, terminal or TOML.
//!
//! What a file uses is read from its own text: `use` lines and paths in the code, without its
//! tests. A name that a module hands on (`pub use`) counts as a use of the file it comes from.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The rooms and what each may use besides itself; a room stands behind all that it uses.
const ROOMS: [(&str, &[&str]); 12] = [
    ("reference", &[]),
    ("quantity", &[]),
    ("working", &["quantity"]),
    ("statistics", &["quantity", "working"]),
    ("outcome", &["quantity", "working", "statistics"]),
    ("calculations", &["quantity", "working", "statistics", "outcome"]),
    ("record", &["quantity", "working", "statistics", "outcome", "calculations"]),
    ("forecast", &["quantity", "working", "statistics", "outcome", "calculations"]),
    ("paper", &["quantity", "working", "statistics", "outcome", "calculations"]),
    (
        "sheet",
        &[
            "quantity",
            "working",
            "statistics",
            "outcome",
            "calculations",
            "record",
            "forecast",
            "paper",
        ],
    ),
    (
        "render",
        &[
            "quantity",
            "working",
            "statistics",
            "outcome",
            "calculations",
            "record",
            "forecast",
            "paper",
            "sheet",
        ],
    ),
    (
        "commands",
        &[
            "quantity",
            "working",
            "statistics",
            "outcome",
            "calculations",
            "record",
            "forecast",
            "paper",
            "sheet",
            "render",
            "reference",
        ],
    ),
];

/// Rooms that know no file, clock, printing, command line or TOML.
const PURE: usize = 9;

/// A module path, from the top of the library: `["sheet", "run"]`.
type Module = Vec<String>;

/// One source file, without comments and tests.
struct File {
    name: String,
    code: String,
    module: Module,
    /// Modules declared in it that are files of their own.
    children: BTreeSet<String>,
    /// Names it hands on, with where each comes from.
    hands_on: BTreeMap<String, Module>,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

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

/// The code of a file up to its tests, without comments.
fn code_of(text: &str) -> String {
    let mut code = String::new();
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        if line == "#[cfg(test)]" && lines.peek().is_some_and(|next| next.ends_with('{')) {
            // An item of the tests: up to its closing brace at the edge.
            for inner in lines.by_ref() {
                if inner == "}" {
                    break;
                }
            }
        } else if !line.trim_start().starts_with("//") {
            code += &without_reach(line);
            code.push('\n');
        }
    }
    code
}

/// A line without the paths of `pub(in ...)`, which say who may use a thing and use nothing.
fn without_reach(line: &str) -> String {
    let mut parts = line.split("pub(in ");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |whole, part| {
        let end = part.find(')').map_or(part.len(), |at| at + 1);
        whole + "pub" + &part[end..]
    })
}

/// The paths of a `use` tree, each whole.
fn expand(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some(open) = tree.find('{') else {
        return vec![tree.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let head = &tree[..open];
    let inner = tree[open + 1..].trim_end().strip_suffix('}').expect("a closed brace");
    let mut parts = vec![String::new()];
    let mut depth = 0;
    for c in inner.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if c == ',' && depth == 0 {
            parts.push(String::new());
        } else if let Some(part) = parts.last_mut() {
            part.push(c);
        }
    }
    let parts = parts.iter().map(|part| part.trim()).filter(|part| !part.is_empty());
    parts.flat_map(|part| expand(&format!("{head}{part}"))).collect()
}

/// Every `use` of a piece of code: whether it is handed on, and its path.
fn uses(code: &str) -> Vec<(bool, String)> {
    let mut found = vec![];
    for (at, _) in code.match_indices("use ") {
        let before = &code[..at];
        let line = before.rfind('\n').map_or(before, |start| &before[start + 1..]).trim();
        let is_use = line.is_empty() || line.starts_with("pub");
        let Some(end) = code[at..].find(';').filter(|_| is_use) else { continue };
        let paths = expand(&code[at + 4..at + end]);
        found.extend(paths.into_iter().map(|path| (line.starts_with("pub"), path)));
    }
    found
}

fn files() -> Vec<File> {
    let mut paths = vec![];
    sources(&root(), &mut paths);
    paths.sort();
    let mut files: Vec<File> = paths
        .iter()
        .map(|path| {
            let name = path.strip_prefix(root()).expect("a source").display().to_string();
            let name = name.replace('\\', "/");
            let text = std::fs::read_to_string(path).expect("a source").replace("\r\n", "\n");
            let mut module: Module =
                name.trim_end_matches(".rs").split('/').map(String::from).collect();
            if module.last().is_some_and(|last| last == "mod" || last == "lib" || last == "main") {
                module.pop();
            }
            let code = code_of(&text);
            let children = code
                .lines()
                .filter_map(|line| line.trim().strip_suffix(';')?.split("mod ").nth(1))
                .map(String::from)
                .collect();
            File { name, code, module, children, hands_on: BTreeMap::new() }
        })
        .filter(|file| !file.module.is_empty())
        .collect();
    for file in &mut files {
        for (is_handed_on, path) in uses(&file.code) {
            if let Some(whole) = absolute(file, &path).filter(|_| is_handed_on)
                && let Some(name) = whole.last().cloned()
            {
                file.hands_on.insert(name, whole);
            }
        }
    }
    files
}

/// A path of a file's code from the top of the library; `None` for other libraries.
fn absolute(file: &File, path: &str) -> Option<Module> {
    let mut segments: Vec<&str> = path.split("::").map(str::trim).collect();
    let mut base: Vec<&str> = file.module.iter().map(String::as_str).collect();
    match *segments.first()? {
        "crate" | "alleytrue" => {
            segments.remove(0);
            base.clear();
        }
        "super" => {
            while segments.first() == Some(&"super") {
                segments.remove(0);
                base.pop();
            }
        }
        "self" => {
            segments.remove(0);
        }
        first if file.children.contains(first) => {}
        _ => return None,
    }
    Some([base, segments].concat().into_iter().map(String::from).collect())
}

/// The file that a path leads to.
fn leads_to<'a>(files: &'a BTreeMap<Module, File>, path: &[String]) -> Option<&'a File> {
    let longest = (1..=path.len()).rev().find_map(|length| {
        let file = files.get(&path[..length])?;
        Some((length, file))
    });
    let (length, file) = longest?;
    match path.get(length).and_then(|name| file.hands_on.get(name)) {
        Some(whole) if whole.as_slice() != path => leads_to(files, whole),
        _ => Some(file),
    }
}

/// Paths in the code besides those of `use` lines: `super::count(3)`, `advice::say(...)`.
fn paths_in(file: &File) -> BTreeSet<String> {
    let code = without_uses(&file.code);
    let mut found = BTreeSet::new();
    let starts = ["crate", "super"].into_iter().chain(file.children.iter().map(String::as_str));
    for start in starts {
        for (at, _) in code.match_indices(&format!("{start}::")) {
            let before = code[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
                continue;
            }
            let path: String = code[at..]
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_' || *c == ':')
                .collect();
            found.insert(path.trim_end_matches(':').to_owned());
        }
    }
    found
}

/// Whether the code uses a thing by its bare name: not a module that it declares, a macro, a
/// field, part of a longer path, or something of its own that it calls so.
fn names(code: &str, name: &str) -> bool {
    let is_of_word = |c: char| c.is_alphanumeric() || c == '_';
    if ["let", "let mut"].iter().any(|bind| code.contains(&format!("{bind} {name} = "))) {
        return false;
    }
    code.match_indices(name).any(|(at, _)| {
        let (before, after) = (&code[..at], &code[at + name.len()..]);
        let is_field = after.starts_with(':') && !after.starts_with("::");
        let is_other = before.ends_with("mod ")
            || before.ends_with("macro_rules! ")
            || before.ends_with(|c| is_of_word(c) || ".:$".contains(c))
            || after.starts_with(|c| is_of_word(c) || c == '!');
        !is_field && !is_other
    })
}

/// What a file uses, each path whole: what it takes, what its code names by a path, and what it
/// hands on and uses itself. What is only handed on ties nothing.
fn used_by(file: &File) -> BTreeSet<Module> {
    let code = without_uses(&file.code);
    let taken = uses(&file.code).into_iter().filter(|(handed_on, path)| {
        !handed_on || names(&code, path.rsplit("::").next().unwrap_or_default())
    });
    let paths = taken.map(|(_, path)| path).chain(paths_in(file));
    paths.filter_map(|path| absolute(file, &path)).collect()
}

/// Which files each file uses, by name.
fn arrows() -> BTreeMap<String, BTreeSet<String>> {
    let files: BTreeMap<Module, File> =
        files().into_iter().map(|file| (file.module.clone(), file)).collect();
    let mut arrows = BTreeMap::new();
    for file in files.values() {
        let used = used_by(file);
        let to = used.iter().filter_map(|whole| leads_to(&files, whole));
        let to = to.filter(|other| other.name != file.name).map(|other| other.name.clone());
        arrows.insert(file.name.clone(), to.collect());
    }
    arrows
}

/// The code without its `use` lines.
fn without_uses(code: &str) -> String {
    let mut rest = String::new();
    let mut inside = false;
    for line in code.lines() {
        let text = line.trim_start();
        let starts = text.starts_with("use ")
            || (text.starts_with("pub") && text.contains(" use ") && !text.contains('('))
            || text.starts_with("pub(") && text.contains(") use ");
        inside |= starts;
        if !inside {
            rest += line;
            rest.push('\n');
        }
        inside &= !text.contains(';');
    }
    rest
}

/// The files that can be come back to along arrows, ring by ring.
fn circles(arrows: &BTreeMap<String, BTreeSet<String>>) -> Vec<Vec<String>> {
    let reach = |from: &str| {
        let mut seen = BTreeSet::new();
        let mut open: Vec<&str> = vec![from];
        while let Some(at) = open.pop() {
            for to in arrows.get(at).into_iter().flatten() {
                if seen.insert(to.as_str()) {
                    open.push(to);
                }
            }
        }
        seen
    };
    let reached: BTreeMap<&str, BTreeSet<&str>> =
        arrows.keys().map(|name| (name.as_str(), reach(name))).collect();
    let mut rings: BTreeSet<Vec<String>> = BTreeSet::new();
    for (name, to) in &reached {
        if to.contains(name) {
            let ring = to.iter().filter(|other| reached[*other].contains(name));
            rings.insert(ring.map(ToString::to_string).collect());
        }
    }
    rings.into_iter().collect()
}

fn room_of(file: &str) -> &str {
    file.split('/').next().unwrap_or_default()
}

/// What the rooms that `room` may use are, itself among them.
fn may_use(room: &str) -> Vec<&'static str> {
    let entry = ROOMS.iter().find(|(name, _)| *name == room);
    let (own, others) = entry.unwrap_or_else(|| panic!("the list of rooms does not have {room}"));
    std::iter::once(own).chain(*others).copied().collect()
}

#[test]
fn arrows_go_down_only() {
    for (file, to) in arrows() {
        let may_use = may_use(room_of(&file));
        for other in to {
            assert!(may_use.contains(&room_of(&other)), "{file} may not use {other}");
        }
    }
}

/// Nor does a room reach one that it may use through one that it may not.
#[test]
fn nothing_is_taken_through_a_room_above() {
    for file in files() {
        let may_use = may_use(room_of(&file.name));
        for path in used_by(&file) {
            let room = path.first().map_or("", String::as_str);
            let is_room = ROOMS.iter().any(|(name, _)| *name == room);
            let words = path.join("::");
            assert!(!is_room || may_use.contains(&room), "{} may not use {words}", file.name);
        }
    }
}

#[test]
fn every_room_is_on_the_list() {
    let entries = std::fs::read_dir(root()).expect("src").map(|entry| entry.expect("one").path());
    let rooms: BTreeSet<String> = entries
        .filter(|path| path.is_dir())
        .filter_map(|path| Some(path.file_name()?.to_str()?.to_owned()))
        .collect();
    assert_eq!(rooms, ROOMS.iter().map(|(room, _)| (*room).to_owned()).collect());
}

#[test]
fn a_room_stands_behind_what_it_uses() {
    for (place, (room, may_use)) in ROOMS.iter().enumerate() {
        for used in *may_use {
            let at = ROOMS.iter().position(|(name, _)| name == used);
            assert!(at.is_some_and(|at| at < place), "{room} uses {used}");
        }
    }
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let arrows = arrows();
    assert!(arrows.len() > 100, "the sources were read");
    let rings = circles(&arrows);
    let words: Vec<String> = rings
        .iter()
        .map(|ring| {
            let ties = ring.iter().map(|file| {
                let within: Vec<&str> = arrows[file]
                    .iter()
                    .map(String::as_str)
                    .filter(|to| ring.iter().any(|one| one == to))
                    .collect();
                format!("  {file} uses {}", within.join(", "))
            });
            ties.collect::<Vec<_>>().join("\n")
        })
        .collect();
    assert!(rings.is_empty(), "circles of files:\n{}", words.join("\n\n"));
}

#[test]
fn a_circle_is_found_where_there_is_one() {
    let arrows = |pairs: &[(&str, &[&str])]| {
        let line = |(from, to): &(&str, &[&str])| {
            ((*from).to_owned(), to.iter().map(ToString::to_string).collect())
        };
        pairs.iter().map(line).collect::<BTreeMap<String, BTreeSet<String>>>()
    };
    let straight = arrows(&[("a", &["b", "c"]), ("b", &["c"]), ("c", &[])]);
    assert!(circles(&straight).is_empty());
    let round = arrows(&[("a", &["b"]), ("b", &["c"]), ("c", &["b"])]);
    assert_eq!(circles(&round), [["b", "c"]]);
}

#[test]
fn uses_are_read_as_they_are_written() {
    let code = "use super::{a, b::{c, d}};\npub use e::f;\nlet x = super::g::h(1);\n";
    let expected = [
        (false, "super::a".to_owned()),
        (false, "super::b::c".into()),
        (false, "super::b::d".into()),
        (true, "e::f".into()),
    ];
    assert_eq!(uses(code), expected);
    assert_eq!(without_uses(code).trim(), "let x = super::g::h(1);");
}

#[test]
fn who_may_use_a_thing_is_no_use_of_it() {
    let line = "    pub(in crate::sheet) fn a(b: &crate::sheet::C) {}";
    assert_eq!(without_reach(line), "    pub fn a(b: &crate::sheet::C) {}");
    assert_eq!(without_reach("pub(super) fn a()"), "pub(super) fn a()");
}

#[test]
fn a_name_is_told_from_what_only_sounds_like_it() {
    for used in ["check(run)", "let a = check;", "check::<A>(b)", "(check)"] {
        assert!(names(used, "check"), "{used}");
    }
    let others = [
        "mod check;",
        "a.check()",
        "run::check(a)",
        "check!(a)",
        "checked()",
        "A { check: 1 }",
        "let check = 1; check",
    ];
    for other in others {
        assert!(!names(other, "check"), "{other}");
    }
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
    let pure: Vec<&str> = ROOMS[..PURE].iter().map(|(name, _)| *name).collect();
    let files = files().into_iter().filter(|file| pure.contains(&room_of(&file.name)));
    for file in files.filter(|file| !file.name.ends_with("tests.rs")) {
        for word in OUTSIDE {
            assert!(!file.code.contains(word), "{}: {word}", file.name);
        }
    }
}

/// The examples of the documentation are built as one program, which stands elsewhere: one that names a
/// file by where it stands itself would keep all of them from that, and each would be built by itself.
#[test]
fn examples_read_files_when_they_run() {
    let mut found = Vec::new();
    sources(&root(), &mut found);
    for file in found {
        let text = std::fs::read_to_string(&file).expect("a source");
        let examples = text.lines().map(str::trim_start).filter(|line| line.starts_with("//"));
        for line in examples {
            assert!(!line.contains("include_str!(\"."), "{}: {line}", file.display());
        }
    }
}
