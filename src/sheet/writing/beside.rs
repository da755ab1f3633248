//! New files beside those whose place they take, and what killed runs left of them.

use std::ffi::OsStr;
use std::fs;
#[cfg(not(windows))]
use std::fs::File;
use std::hash::{BuildHasher, RandomState};
use std::io;
use std::path::Path;

use tempfile::NamedTempFile;

/// What the name of a new file starts with.
const START: &str = ".alleytrue-";
/// What it ends with.
const END: &str = ".new";
/// How often to try another name.
const TRIES: usize = 100;

/// A new, empty file in a folder, under a name of its own; it goes away by itself where it does not
/// take another's place. Those that killed runs left in the folder go away first.
///
/// Without `private` it has the rights of any new file.
pub(super) fn file_in(folder: &Path, private: bool) -> io::Result<NamedTempFile> {
    sweep(folder);
    for _ in 0..TRIES {
        let name = name();
        let mut builder = tempfile::Builder::new();
        builder.prefix(&name).rand_bytes(0);
        // Elsewhere rights come from the folder.
        #[cfg(not(unix))]
        let _ = private;
        #[cfg(unix)]
        if !private {
            builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        }
        match builder.tempfile_in(folder) {
            Ok(file) if in_use::mark(&file) => return Ok(file),
            // Another run took it for a left-over right after it was made.
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::ErrorKind::AlreadyExists.into())
}

/// A name that nobody else has: half of it is drawn by chance, and the other half follows from
/// that, so that no other file is taken for one of these.
fn name() -> String {
    let drawn = RandomState::new().hash_one(std::process::id()) >> 32;
    format!("{START}{drawn:08x}{:08x}{END}", follows(drawn))
}

/// The second half of a name.
fn follows(drawn: u64) -> u64 {
    // Multiplied by the golden ratio as a share of 2^64, the upper half: Knuth's hash.
    drawn.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 32
}

fn is_ours(name: &OsStr) -> bool {
    let digits = name.to_str().and_then(|name| name.strip_prefix(START)?.strip_suffix(END));
    let halves = digits.filter(|digits| digits.len() == 16).and_then(|digits| {
        let (drawn, rest) = digits.split_at_checked(8)?;
        Some((u64::from_str_radix(drawn, 16).ok()?, u64::from_str_radix(rest, 16).ok()?))
    });
    halves.is_some_and(|(drawn, rest)| follows(drawn) == rest)
}

/// Takes away what killed runs left in a folder. What a run works on, and what is not ours, stays.
fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let is_file = || entry.file_type().is_ok_and(|kind| kind.is_file());
        if is_ours(&entry.file_name()) && is_file() {
            in_use::remove_left_over(&entry.path());
        }
    }
}

/// Whether an open file is the one that a path leads to.
#[cfg(unix)]
pub(super) fn same_file(file: &File, path: &Path) -> io::Result<bool> {
    use std::os::unix::fs::MetadataExt;
    let (one, other) = (file.metadata()?, fs::metadata(path)?);
    Ok((one.dev(), one.ino()) == (other.dev(), other.ino()))
}

#[cfg(not(any(unix, windows)))]
pub(super) fn same_file(_: &File, _: &Path) -> io::Result<bool> {
    Ok(true)
}

/// The name of the file that stands for the lock of another one where the system has no better: it
/// goes away with the run that made it.
#[cfg(windows)]
pub(super) fn lock_name(of: &OsStr) -> String {
    // FNV-1a over the bytes of the name.
    let hash = of.as_encoded_bytes().iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{START}{hash:016x}.lock")
}

/// A file that a run works on is locked by it; the system takes the lock off when the run ends,
/// however it ends. On a disk without locks left-overs stay.
#[cfg(not(windows))]
mod in_use {
    use std::fs::{self, File, TryLockError};
    use std::path::Path;

    use tempfile::NamedTempFile;

    use super::same_file;

    /// Marks a file as worked on; `false` where another run took it for a left-over.
    pub(super) fn mark(file: &NamedTempFile) -> bool {
        match file.as_file().try_lock() {
            Ok(()) => same_file(file.as_file(), file.path()).is_ok_and(|same| same),
            Err(TryLockError::WouldBlock) => false,
            Err(TryLockError::Error(_)) => true,
        }
    }

    pub(super) fn remove_left_over(path: &Path) {
        let Ok(file) = File::open(path) else { return };
        if file.try_lock().is_ok() && same_file(&file, path).is_ok_and(|same| same) {
            let _ = fs::remove_file(path);
        }
    }
}

/// A file that a run works on is open in it, and then can't be opened by one that shares it with
/// nobody.
#[cfg(windows)]
mod in_use {
    use std::fs::{self, OpenOptions};
    use std::os::windows::fs::OpenOptionsExt;
    use std::path::Path;

    use tempfile::NamedTempFile;

    pub(super) fn mark(_: &NamedTempFile) -> bool {
        true
    }

    pub(super) fn remove_left_over(path: &Path) {
        if OpenOptions::new().read(true).share_mode(0).open(path).is_ok() {
            let _ = fs::remove_file(path);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).expect("the folder").flatten();
        let mut names: Vec<_> =
            entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn only_what_a_killed_run_left_goes_away() {
        let folder = tempfile::tempdir().expect("a folder");
        let worked_on = file_in(folder.path(), true).expect("a file");
        let (_, left_over) = file_in(folder.path(), true).expect("a file").keep().expect("stays");
        assert!(left_over.exists());
        // Names that are much like ours, and a folder that has one of ours.
        let drawn = name();
        let others = [".sheet.toml.new", ".alleytrue-0123456789abcdef.new", ".alleytrue-.new"];
        for other in others {
            fs::write(folder.path().join(other), "the work of somebody").expect("writes");
        }
        fs::create_dir(folder.path().join(&drawn)).expect("a folder");
        let again = file_in(folder.path(), true).expect("a file");
        let own = [&worked_on, &again].map(|file| {
            let name = file.path().file_name().expect("a name");
            name.to_string_lossy().into_owned()
        });
        let mut wanted: Vec<String> = others.iter().map(ToString::to_string).collect();
        wanted.push(drawn);
        wanted.extend(own);
        wanted.sort();
        assert_eq!(names(folder.path()), wanted);
    }

    #[test]
    fn names_are_ours_by_both_halves() {
        let name = name();
        assert!(is_ours(OsStr::new(&name)), "{name}");
        let digit = if name.ends_with("0.new") { "1.new" } else { "0.new" };
        let other = format!("{}{digit}", &name[..name.len() - 5]);
        assert!(!is_ours(OsStr::new(&other)), "{other}");
    }
}
