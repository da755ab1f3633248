//! The sheets that are named on the command line: files, folders, lists; in path order, one at a
//! time.

use std::ffi::OsString;
use std::fs::DirEntry;
use std::io::{self, BufRead, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Names that wait to be looked at, in all folders on the way: a place that holds more is no
/// season of sheets.
const MOST_NAMES: usize = 500_000;
/// Bytes that a path of a list may have; no system takes more.
const MOST_OF_PATH: u64 = 1 << 16;

/// Something named on the command line, or found in a folder.
#[derive(Debug)]
pub(in crate::commands) enum Found {
    /// A file to be read as a sheet.
    Sheet(PathBuf),
    /// A folder or a list that can't be read.
    Trouble(PathBuf, io::Error),
}

/// The sheets, in order.
pub(in crate::commands) struct Sheets<'a> {
    named: std::slice::Iter<'a, PathBuf>,
    list: &'a mut (dyn BufRead + Send),
    listing: bool,
    /// What ends a path of the list.
    end: u8,
    /// What is still to come of the folders on the way, the next one last.
    inside: Vec<Inside>,
}

/// A folder or a sheet inside a folder.
struct Inside {
    within: Arc<Path>,
    name: OsString,
    folder: bool,
}

impl<'a> Sheets<'a> {
    /// The sheets of `named`; `-` among them stands for the paths of `list`, each ended by `end`.
    pub(in crate::commands) fn new(
        named: &'a [PathBuf],
        list: &'a mut (dyn BufRead + Send),
        end: u8,
    ) -> Self {
        Sheets { named: named.iter(), list, listing: false, end, inside: vec![] }
    }

    /// The next path that was named, on the command line or in the list.
    fn next_named(&mut self) -> Option<Result<PathBuf, Found>> {
        if self.listing {
            match next_of_list(self.list, self.end) {
                Ok(Some(path)) => return Some(Ok(path)),
                Ok(None) => self.listing = false,
                Err(error) => {
                    self.listing = false;
                    return Some(Err(Found::Trouble("-".into(), error)));
                }
            }
        }
        let path = self.named.next()?;
        if path.as_os_str() == "-" {
            self.listing = true;
            return self.next_named();
        }
        Some(Ok(path.clone()))
    }
}

impl Iterator for Sheets<'_> {
    type Item = Found;

    fn next(&mut self) -> Option<Found> {
        loop {
            let folder = match self.inside.pop() {
                Some(Inside { within, name, folder: true }) => within.join(name),
                Some(Inside { within, name, folder: false }) => {
                    return Some(Found::Sheet(within.join(name)));
                }
                None => match self.next_named()? {
                    Ok(path) if path.is_dir() => path,
                    Ok(path) => return Some(Found::Sheet(path)),
                    Err(trouble) => return Some(trouble),
                },
            };
            match inside(&folder, MOST_NAMES.saturating_sub(self.inside.len())) {
                Ok(mut found) => self.inside.append(&mut found),
                Err(error) => return Some(Found::Trouble(folder, error)),
            }
        }
    }
}

/// Folders and sheets of a folder by name, the first one last.
fn inside(folder: &Path, most: usize) -> io::Result<Vec<Inside>> {
    let within: Arc<Path> = folder.into();
    let mut found = vec![];
    for entry in std::fs::read_dir(folder)? {
        found.extend(kind(&within, &entry?));
        if found.len() > most {
            return Err(io::Error::other(format!("there are more than {MOST_NAMES} names in it")));
        }
    }
    found.sort_unstable_by(|one, other| other.name.cmp(&one.name));
    Ok(found)
}

/// The next path of a list; empty lines stand for nothing.
fn next_of_list(list: &mut dyn BufRead, end: u8) -> io::Result<Option<PathBuf>> {
    let mut line = Vec::new();
    loop {
        line.clear();
        if list.take(MOST_OF_PATH).read_until(end, &mut line)? == 0 {
            return Ok(None);
        }
        if line.len() as u64 == MOST_OF_PATH {
            return Err(io::Error::other("a line of the list is longer than any path"));
        }
        if line.last() == Some(&end) {
            line.pop();
        }
        if end == b'\n' && line.last() == Some(&b'\r') {
            line.pop();
        }
        // Some shells put a byte-order mark before what they pipe.
        let path = line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(&line);
        if !path.is_empty() {
            return Ok(Some(path_of(path)));
        }
    }
}

#[cfg(unix)]
fn path_of(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt;
    std::ffi::OsStr::from_bytes(bytes).into()
}

#[cfg(not(unix))]
fn path_of(bytes: &[u8]) -> PathBuf {
    String::from_utf8_lossy(bytes).into_owned().into()
}

/// What an entry is; `None` for what is no sheet. A link counts as the file it leads to; links to
/// folders are not followed, since they may lead round in a ring.
fn kind(within: &Arc<Path>, entry: &DirEntry) -> Option<Inside> {
    let own = entry.file_type().ok()?;
    let path = entry.path();
    let folder = own.is_dir();
    let named = path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml"));
    let sheet = named && !(own.is_symlink() && path.is_dir());
    let name = || entry.file_name();
    (folder || sheet).then(|| Inside { within: Arc::clone(within), name: name(), folder })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;

    fn found(paths: &[PathBuf], list: &str, end: u8) -> Vec<String> {
        let mut list = list.as_bytes();
        Sheets::new(paths, &mut list, end)
            .map(|found| match found {
                Found::Sheet(path) => path.display().to_string().replace('\\', "/"),
                Found::Trouble(path, _) => format!("? {}", path.display()),
            })
            .collect()
    }

    #[test]
    fn a_folder_gives_its_sheets_by_path_and_leaves_the_rest() {
        let folder = tempfile::tempdir().expect("a folder");
        for inner in ["b", "b/c"] {
            std::fs::create_dir(folder.path().join(inner)).expect("a folder");
        }
        for file in ["b.toml", "b/2.toml", "b/c/1.TOML", "b/10.toml", "a.toml", "notes.txt"] {
            std::fs::write(folder.path().join(file), "").expect("a file");
        }
        let root = folder.path().display().to_string().replace('\\', "/");
        let names: Vec<String> = found(&[folder.path().into()], "", b'\n')
            .iter()
            .map(|path| path.replacen(&format!("{root}/"), "", 1))
            .collect();
        // By the parts of the path: all of folder `b` before `b.toml`.
        assert_eq!(names, ["a.toml", "b/10.toml", "b/2.toml", "b/c/1.TOML", "b.toml"]);
    }

    #[test]
    fn hidden_sheets_are_sheets_and_empty_folders_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::create_dir(folder.path().join("empty")).expect("a folder");
        for file in [".hidden.toml", "toml", ".toml", "z.toml"] {
            std::fs::write(folder.path().join(file), "").expect("a file");
        }
        let names: Vec<String> = found(&[folder.path().into()], "", b'\n')
            .iter()
            .map(|path| path.rsplit('/').next().expect("a name").to_owned())
            .collect();
        // A name that is all extension has none.
        assert_eq!(names, [".hidden.toml", "z.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_cannot_be_read_is_said_and_the_others_go_on() {
        let folder = tempfile::tempdir().expect("a folder");
        let named: Vec<PathBuf> = ["gone", "here.toml"].map(|name| folder.path().join(name)).into();
        let mut nothing: &[u8] = b"";
        let mut sheets = Sheets::new(&named, &mut nothing, b'\n');
        let name = "gone".into();
        sheets.inside.push(Inside { within: folder.path().into(), name, folder: true });
        assert!(matches!(sheets.next(), Some(Found::Trouble(path, _)) if path == named[0]));
        // What is named and is no folder is tried as a sheet, which says what is wrong with it.
        assert_eq!(
            sheets.map(|found| matches!(found, Found::Sheet(_))).collect::<Vec<_>>(),
            [true; 2]
        );
    }

    #[test]
    fn a_list_has_a_path_a_line_or_ends_each_with_a_zero() {
        let paths = ["x.toml".into(), "-".into(), "y.toml".into()];
        let lines = found(&paths, "\u{feff}a b.toml\r\n\nc.toml", b'\n');
        assert_eq!(lines, ["x.toml", "a b.toml", "c.toml", "y.toml"]);
        let zeros = found(&paths, "a\nb.toml\0c.toml\0", 0);
        assert_eq!(zeros, ["x.toml", "a\nb.toml", "c.toml", "y.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn links_that_lead_round_in_a_ring_end() {
        let folder = tempfile::tempdir().expect("a folder");
        let link = |to: &Path, name: &str| {
            std::os::unix::fs::symlink(to, folder.path().join(name)).expect("a link");
        };
        std::fs::write(folder.path().join("a.toml"), "").expect("a file");
        link(folder.path(), "ring");
        link(folder.path(), "ring.toml");
        link(&folder.path().join("a.toml"), "b.toml");
        link(&folder.path().join("nowhere"), "c.toml");
        assert_eq!(found(&[folder.path().into()], "", b'\n').len(), 3, "a, b, and c that is lost");
    }
}
