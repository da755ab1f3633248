//! A sheet replaced whole or not at all, and by one at a time.
//!
//! The new text goes to a new file in the same folder, is brought to the disk, and takes the
//! place of the old one in one step. Whoever looks finds the old sheet or the new one. A lock
//! keeps a second run out from reading to writing; a look at the file right before the step
//! keeps the work of an editor.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use thiserror::Error;

use crate::sheet::source::bytes_of;
use crate::sheet::{Source, SourceError};

use super::whole;

/// How long to wait for another run that has the sheet.
const PATIENCE: Duration = Duration::from_secs(10);
/// How often to look whether it is done.
const PAUSE: Duration = Duration::from_millis(20);
/// The byte-order mark.
const MARK: &[u8] = "\u{feff}".as_bytes();

/// Why a sheet can't be replaced. Its file is as it was.
#[derive(Debug, Error)]
pub enum ReplaceError {
    /// It can't be read as a sheet.
    #[error(transparent)]
    Unreadable(#[from] SourceError),
    /// It is a folder, a pipe or the like.
    #[error("it is no file that could be replaced")]
    NoFile,
    /// It is write-protected.
    #[error("the file is write-protected")]
    ReadOnly,
    /// Another run has it.
    #[error("another run of alleytrue is writing to it")]
    Busy,
    /// Somebody else has written to it since it was read.
    #[error("the file was changed by another program while this one worked on it")]
    Changed,
    /// The operating system said no.
    #[error("{doing} failed: {error}")]
    Io {
        /// What was being done.
        doing: &'static str,
        /// What the operating system said.
        error: io::Error,
    },
}

impl ReplaceError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            ReplaceError::Unreadable(error) => error.code().meaning,
            ReplaceError::NoFile => "name the sheet's own file",
            ReplaceError::ReadOnly => "take the write protection off, or work on a copy",
            ReplaceError::Busy => "wait until it is done, and try again",
            ReplaceError::Changed => {
                "save and close the sheet in the other program, and try again; its work is kept"
            }
            ReplaceError::Io { .. } => "look at the rights of the folder and the room on the disk",
        }
    }
}

impl From<whole::Failed> for ReplaceError {
    fn from((doing, error): whole::Failed) -> ReplaceError {
        ReplaceError::Io { doing, error }
    }
}

fn io(doing: &'static str) -> impl Fn(io::Error) -> ReplaceError {
    move |error| ReplaceError::Io { doing, error }
}

/// A sheet that is held: nobody else of ours writes to it until this is dropped.
#[derive(Debug)]
pub struct Held {
    /// The file itself, links followed.
    path: PathBuf,
    bytes: Vec<u8>,
    source: Source,
    _lock: lock::Lock,
}

impl Held {
    /// Takes hold of a sheet and reads it; waits a while for another run to be done with it.
    ///
    /// # Errors
    ///
    /// A [`ReplaceError`] where it could not be replaced later on.
    pub fn take(path: &Path) -> Result<Held, ReplaceError> {
        // A link stays a link; what it points to is replaced.
        let real = fs::canonicalize(path).map_err(SourceError::from)?;
        let about = fs::metadata(&real).map_err(SourceError::from)?;
        if !about.is_file() {
            return Err(ReplaceError::NoFile);
        }
        if about.permissions().readonly() {
            return Err(ReplaceError::ReadOnly);
        }
        let lock = lock::Lock::wait_for(&real)?;
        let mut file = File::open(&real).map_err(SourceError::from)?;
        let bytes = bytes_of(&mut file)?;
        let source = Source::decode(path.display().to_string(), bytes.clone())?;
        Ok(Held { path: real, bytes, source, _lock: lock })
    }

    /// The sheet as it was read.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// Puts a new text in the place of the old one; a byte-order mark stays.
    ///
    /// # Errors
    ///
    /// A [`ReplaceError`]; the file then is as it was.
    pub fn replace(self, text: &str) -> Result<(), ReplaceError> {
        let marks = self.bytes.len() - self.source.text().len();
        debug_assert!(marks.is_multiple_of(MARK.len()));
        let new = [&self.bytes[..marks], text.as_bytes()].concat();
        let folder = self.path.parent().unwrap_or(Path::new("."));
        let file = self.written(folder, &new)?;
        if !fs::read(&self.path).is_ok_and(|now| now == self.bytes) {
            return Err(ReplaceError::Changed);
        }
        whole::settle(file, &self.path)?;
        Ok(())
    }

    /// The new sheet in a file beside the old one, on the disk, with the old one's rights. It
    /// goes away by itself where it does not take the old one's place.
    fn written(&self, folder: &Path, new: &[u8]) -> Result<tempfile::NamedTempFile, ReplaceError> {
        let mut name = OsString::from(".");
        name.push(self.path.file_name().unwrap_or_default());
        name.push(".new");
        // One that a killed run left behind: only the holder of the sheet writes this name.
        let _ = fs::remove_file(folder.join(&name));
        let mut file = tempfile::Builder::new()
            .prefix(&name)
            .rand_bytes(0)
            .tempfile_in(folder)
            .map_err(io("writing a new file beside the sheet"))?;
        let about = fs::metadata(&self.path).map_err(io("looking at the sheet"))?;
        whole::fill(&mut file, new, Some(&about))?;
        Ok(file)
    }
}

/// Looks again and again until `look` has an answer.
fn patiently<T>(
    mut look: impl FnMut() -> Result<Option<T>, ReplaceError>,
) -> Result<T, ReplaceError> {
    let start = Instant::now();
    loop {
        if let Some(found) = look()? {
            return Ok(found);
        }
        if start.elapsed() > PATIENCE {
            return Err(ReplaceError::Busy);
        }
        thread::sleep(PAUSE);
    }
}

/// The sheet itself is locked. The system takes the lock off a process that ends, however it
/// ends, and an editor is not hindered by it.
#[cfg(not(windows))]
mod lock {
    use std::fs::{File, OpenOptions, TryLockError};
    use std::path::Path;

    use super::{ReplaceError, io, patiently};

    /// The locked file.
    #[derive(Debug)]
    pub(super) struct Lock(#[allow(dead_code)] File); // held, not looked at

    impl Lock {
        pub(super) fn wait_for(sheet: &Path) -> Result<Lock, ReplaceError> {
            patiently(|| {
                let open = OpenOptions::new().read(true).write(true).open(sheet);
                let file = open.map_err(io("opening the sheet for writing"))?;
                match file.try_lock() {
                    Ok(()) => {}
                    Err(TryLockError::WouldBlock) => return Ok(None),
                    // A disk without locks: the look at the file before the last step remains.
                    Err(TryLockError::Error(_)) => return Ok(Some(Lock(file))),
                }
                // The run before may have put another file in its place meanwhile.
                let same = same_file(&file, sheet).map_err(io("looking at the sheet"))?;
                Ok(same.then_some(Lock(file)))
            })
        }
    }

    #[cfg(unix)]
    fn same_file(file: &File, path: &Path) -> std::io::Result<bool> {
        use std::os::unix::fs::MetadataExt;
        let (one, other) = (file.metadata()?, std::fs::metadata(path)?);
        Ok((one.dev(), one.ino()) == (other.dev(), other.ino()))
    }

    #[cfg(not(unix))]
    fn same_file(_: &File, _: &Path) -> std::io::Result<bool> {
        Ok(true)
    }
}

/// A file beside the sheet that only one process at a time can open, and that goes away with the
/// process, however it ends. A lock on the sheet itself would keep editors from reading it.
#[cfg(windows)]
mod lock {
    use std::ffi::OsString;
    use std::fs::{File, OpenOptions};
    use std::io::ErrorKind;
    use std::os::windows::fs::OpenOptionsExt;
    use std::path::Path;

    use super::{ReplaceError, io, patiently};

    /// `FILE_FLAG_DELETE_ON_CLOSE` of the Windows API.
    const DELETE_ON_CLOSE: u32 = 0x0400_0000;
    /// `ERROR_SHARING_VIOLATION` of the Windows API.
    const SHARING_VIOLATION: i32 = 32;

    /// The file that is there as long as the lock holds.
    #[derive(Debug)]
    pub(super) struct Lock(#[allow(dead_code)] File); // held, not looked at

    impl Lock {
        pub(super) fn wait_for(sheet: &Path) -> Result<Lock, ReplaceError> {
            let mut name = OsString::from(".");
            name.push(sheet.file_name().unwrap_or_default());
            name.push(".lock");
            let path = sheet.with_file_name(name);
            patiently(|| {
                let open = OpenOptions::new()
                    .write(true)
                    .create(true)
                    .share_mode(0)
                    .custom_flags(DELETE_ON_CLOSE)
                    .open(&path);
                match open {
                    Ok(file) => Ok(Some(Lock(file))),
                    Err(error) if error.raw_os_error() == Some(SHARING_VIOLATION) => Ok(None),
                    // A file that is just going away can't be opened either.
                    Err(error) if error.kind() == ErrorKind::PermissionDenied => {
                        match path.exists() {
                            true => Ok(None),
                            false => Err(io("writing a file beside the sheet")(error)),
                        }
                    }
                    Err(error) => Err(io("writing a file beside the sheet")(error)),
                }
            })
        }
    }
}
