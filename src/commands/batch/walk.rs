//! The sheets that are named on the command line: files, folders, lists; in path order, one at a
//! time, in memory that does not grow with their number.

use std::collections::BinaryHeap;
use std::ffi::{OsStr, OsString};
use std::fs::DirEntry;
use std::io::{self, BufRead};
use std::path::{Path, PathBuf};

/// Names of one folder that are held at once. A folder with more is read again from where they
/// end: reading names is cheap, and memory stays bounded.
const MOST_NAMES: usize = 32_768;

/// Something named on the command line, or found in a folder.
#[derive(Debug)]
pub(super) enum Found {
    /// A file to be read as a sheet.
    Sheet(PathBuf),
    /// A folder or a list that can't be read.
    Trouble(PathBuf, io::Error),
}

/// The sheets, in order.
pub(super) struct Sheets<'a> {
    named: std::slice::Iter<'a, PathBuf>,
    list: &'a mut (dyn BufRead + Send),
    listing: bool,
    /// What ends a path of the list.
    end: u8,
    folders: Vec<Folder>,
}

/// A folder on the way through it.
struct Folder {
    path: PathBuf,
    names: std::vec::IntoIter<Name>,
    /// Where its names go on, where not all of them are held.
    after: Option<OsString>,
}

#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Name {
    name: OsString,
    folder: bool,
}

impl<'a> Sheets<'a> {
    /// The sheets of `named`; `-` among them stands for the paths of `list`, each ended by `end`.
    pub(super) fn new(named: &'a [PathBuf], list: &'a mut (dyn BufRead + Send), end: u8) -> Self {
        Sheets { named: named.iter(), list, listing: false, end, folders: vec![] }
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

    fn enter(&mut self, path: PathBuf) -> Option<Found> {
        match names(&path, None, MOST_NAMES) {
            Ok((names, after)) => {
                self.folders.push(Folder { path, names: names.into_iter(), after });
                None
            }
            Err(error) => Some(Found::Trouble(path, error)),
        }
    }
}

impl Iterator for Sheets<'_> {
    type Item = Found;

    fn next(&mut self) -> Option<Found> {
        loop {
            let Some(folder) = self.folders.last_mut() else {
                let path = match self.next_named()? {
                    Ok(path) => path,
                    Err(trouble) => return Some(trouble),
                };
                if !path.is_dir() {
                    return Some(Found::Sheet(path));
                }
                match self.enter(path) {
                    Some(trouble) => return Some(trouble),
                    None => continue,
                }
            };
            if let Some(name) = folder.names.next() {
                let path = folder.path.join(&name.name);
                if !name.folder {
                    return Some(Found::Sheet(path));
                }
                if let Some(trouble) = self.enter(path) {
                    return Some(trouble);
                }
            } else if let Some(after) = folder.after.take() {
                match names(&folder.path, Some(&after), MOST_NAMES) {
                    Ok((names, after)) => {
                        folder.names = names.into_iter();
                        folder.after = after;
                    }
                    Err(error) => return Some(Found::Trouble(folder.path.clone(), error)),
                }
            } else {
                self.folders.pop();
            }
        }
    }
}

/// The next path of a list; empty lines stand for nothing.
fn next_of_list(list: &mut dyn BufRead, end: u8) -> io::Result<Option<PathBuf>> {
    let mut line = Vec::new();
    loop {
        line.clear();
        if list.read_until(end, &mut line)? == 0 {
            return Ok(None);
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
    OsStr::from_bytes(bytes).into()
}

#[cfg(not(unix))]
fn path_of(bytes: &[u8]) -> PathBuf {
    String::from_utf8_lossy(bytes).into_owned().into()
}

/// The first names of a folder in order, at most `most` of them, and where they end if there
/// are more.
fn names(
    folder: &Path,
    after: Option<&OsStr>,
    most: usize,
) -> io::Result<(Vec<Name>, Option<OsString>)> {
    let mut first: BinaryHeap<Name> = BinaryHeap::new();
    let mut more = false;
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        if after.is_some_and(|after| name.as_os_str() <= after) {
            continue;
        }
        let beyond = || first.len() == most && first.peek().is_some_and(|last| last.name < name);
        if beyond() {
            more = true;
            continue;
        }
        let Some(folder) = kind(&entry) else { continue };
        first.push(Name { name, folder });
        if first.len() > most {
            first.pop();
            more = true;
        }
    }
    let names = first.into_sorted_vec();
    let end = names.last().filter(|_| more).map(|last| last.name.clone());
    Ok((names, end))
}

/// Whether an entry is a folder (true) or a sheet (false); `None` for what is neither. A link
/// counts as the file it leads to; links to folders are not followed, since they may lead round
/// in a ring.
fn kind(entry: &DirEntry) -> Option<bool> {
    let own = entry.file_type().ok()?;
    if own.is_dir() {
        return Some(true);
    }
    let path = entry.path();
    let sheet = path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml"));
    let file = sheet && (!own.is_symlink() || !path.is_dir());
    file.then_some(false)
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
    fn a_folder_with_more_names_than_are_held_is_read_in_parts() {
        let folder = tempfile::tempdir().expect("a folder");
        for index in 0..25 {
            std::fs::write(folder.path().join(format!("{:02}.toml", 24 - index)), "")
                .expect("file");
        }
        let (mut all, mut after) = (vec![], None);
        for part in 0.. {
            let (names, end) = names(folder.path(), after.as_deref(), 10).expect("names");
            assert_eq!(names.len(), [10, 10, 5][part]);
            all.extend(names.into_iter().map(|name| name.name.into_string().expect("UTF-8")));
            if end.is_none() {
                break;
            }
            after = end;
        }
        let wanted: Vec<String> = (0..25).map(|index| format!("{index:02}.toml")).collect();
        assert_eq!(all, wanted);
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
