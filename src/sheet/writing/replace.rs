//! A sheet replaced whole or not at all, by one at a time, and never over the work of another.
//!
//! A sheet is read and the new text is made without keeping anybody from it. The new text goes to
//! a new file in the same folder, is brought to the disk, and takes the place of the old one in
//! one step. Whoever looks finds the old sheet or the new one. A lock keeps other runs out for as
//! long as that takes; a look at the file right before the step keeps the work of whoever wrote to
//! it meanwhile, and the new text is then made anew from that.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use tempfile::NamedTempFile;
use thiserror::Error;

use crate::sheet::file_text::{bytes_of, within_limits};
use crate::sheet::{NewText, Source, SourceError};

use super::whole;

/// How long to wait for others that write to the sheet.
pub const PATIENCE: Duration = Duration::from_secs(10);
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
    /// It goes by more than one name.
    #[error("the file has other names (hard links), which would keep the old text")]
    OtherNames,
    /// The new text could not be read again.
    #[error("the sheet would be too large: {0}")]
    TooLarge(SourceError),
    /// Another run has it.
    #[error("another run of alleytrue is writing to it")]
    Busy,
    /// Somebody else has written to it since it was read.
    #[error("the file was changed by another program while this one worked on it")]
    Changed,
    /// It is the planter's file that can't be replaced, and so neither is.
    #[error("{name}: {error}")]
    Planter {
        /// Its name.
        name: String,
        /// Why.
        error: Box<ReplaceError>,
    },
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
            ReplaceError::OtherNames => "work on a copy, or take the other names away first",
            ReplaceError::TooLarge(_) => "begin a new sheet; the record stays in this one",
            ReplaceError::Busy => "wait until it is done, and try again",
            ReplaceError::Changed => {
                "save and close the sheet in the other program, and try again; its work is kept"
            }
            ReplaceError::Planter { error, .. } => error.advice(),
            ReplaceError::Io { .. } => "look at the rights of the folder and the room on the disk",
        }
    }
}

impl From<whole::Failed> for ReplaceError {
    fn from((doing, error): whole::Failed) -> ReplaceError {
        ReplaceError::Io { doing, error }
    }
}

fn doing(doing: &'static str) -> impl Fn(io::Error) -> ReplaceError {
    move |error| ReplaceError::Io { doing, error }
}

/// A sheet as it was read, held against the file when that is to be replaced.
#[derive(Debug)]
pub struct Held {
    /// The sheet itself.
    sheet: HeldFile,
    /// Its planter's file, where that stands by itself.
    planter: Option<(String, HeldFile)>,
    source: Source,
}

/// A file as it was read.
#[derive(Debug)]
struct HeldFile {
    /// The file itself, links followed.
    path: PathBuf,
    bytes: Vec<u8>,
    /// Byte-order marks before its text, in bytes.
    marks: usize,
}

impl Held {
    /// Reads a sheet, and looks whether it could be replaced. Nobody is kept from it.
    ///
    /// # Errors
    ///
    /// A [`ReplaceError`] where it could not be replaced later on.
    pub fn take(path: &Path) -> Result<Held, ReplaceError> {
        // A link stays a link; what it points to is replaced.
        let real = fs::canonicalize(path).map_err(SourceError::from)?;
        may_be_replaced(&real)?;
        let mut file = File::open(&real).map_err(SourceError::from)?;
        let bytes = bytes_of(&mut file)?;
        let source = Source::decode(path.display().to_string(), bytes.clone())?;
        let source = source.with_files_beside(path);
        let marks = bytes.len() - source.text().len();
        let sheet = HeldFile { path: real, bytes, marks };
        let planter = source.planter_file().map(|file| {
            let marks = file.bytes.len() - file.text.len();
            let held = HeldFile { path: file.path.clone(), bytes: file.bytes.clone(), marks };
            (file.name.clone(), held)
        });
        Ok(Held { sheet, planter, source })
    }

    /// The sheet as it was read.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// Puts a new text in the place of the old one; a byte-order mark stays. Waits a while for
    /// another run to be done with the sheet.
    ///
    /// # Errors
    ///
    /// A [`ReplaceError`]; the file then is as it was, or as another program has written it.
    ///
    /// Where the planter's file changes too, both new files are on the disk before either takes its
    /// place, and the sheet goes first: a run that is killed between the two steps leaves a history
    /// that says more than the planter's file, which every later run remarks on, and never a planter
    /// that was changed without a word. Where the second step fails, the sheet is put back.
    pub fn replace(self, text: &NewText) -> Result<(), ReplaceError> {
        let Held { sheet, planter, .. } = &self;
        let _lock = lock::Lock::wait_for(&sheet.path)?;
        let of_planter = |error: ReplaceError| match (planter, error) {
            // What another has written is no trouble of this file: all is made anew.
            (Some((name, _)), error) if !matches!(error, ReplaceError::Changed) => {
                ReplaceError::Planter { name: name.clone(), error: Box::new(error) }
            }
            (_, error) => error,
        };
        let changes = planter.as_ref().zip(text.planter.as_deref());
        let _of_planter = match changes {
            Some(((_, file), _)) => Some(lock::Lock::wait_for(&file.path).map_err(of_planter)?),
            None => None,
        };
        // The sheet was worked out from both.
        if let Some((_, file)) = planter {
            file.is_as_read()?;
        }
        sheet.is_as_read()?;
        let new_planter = match changes {
            Some(((_, file), new)) => Some((file, file.new_file(new).map_err(of_planter)?)),
            None => None,
        };
        let new = sheet.new_file(&text.sheet)?;
        // Bringing it to the disk took its time. Between this look and the step there is nothing.
        if let Some((file, _)) = &new_planter {
            may_be_replaced(&file.path).map_err(of_planter)?;
            file.is_as_read()?;
        }
        may_be_replaced(&sheet.path)?;
        sheet.is_as_read()?;
        whole::settle(new, &sheet.path)?;
        if let Some((file, new)) = new_planter
            && let Err(error) = whole::settle(new, &file.path)
        {
            // Neither is changed then, as far as the disk lets it.
            let old = whole::new_for(&sheet.path, &sheet.bytes)?;
            whole::settle(old, &sheet.path)?;
            return Err(of_planter(error.into()));
        }
        Ok(())
    }
}

impl HeldFile {
    /// A new file beside it with a new text; a byte-order mark stays.
    fn new_file(&self, text: &str) -> Result<NamedTempFile, ReplaceError> {
        debug_assert!(self.marks.is_multiple_of(MARK.len()));
        let new = [&self.bytes[..self.marks], text.as_bytes()].concat();
        within_limits(&new).map_err(ReplaceError::TooLarge)?;
        Ok(whole::new_for(&self.path, &new)?)
    }

    /// Looks that the file is still what was read, also at the end of the look.
    fn is_as_read(&self) -> Result<(), ReplaceError> {
        let look = || {
            let mut file = File::open(&self.path)?;
            let before = file.metadata()?;
            let now = bytes_of(&mut file).map_err(io::Error::other)?;
            Ok(now == self.bytes && unchanged(&before, &fs::metadata(&self.path)?))
        };
        let same: io::Result<bool> = look();
        if same.is_ok_and(|same| same) { Ok(()) } else { Err(ReplaceError::Changed) }
    }
}

/// Whether another file can take the place of this one and nothing is lost.
fn may_be_replaced(path: &Path) -> Result<(), ReplaceError> {
    let about = fs::metadata(path).map_err(SourceError::from)?;
    if !about.is_file() {
        return Err(ReplaceError::NoFile);
    }
    if about.permissions().readonly() {
        return Err(ReplaceError::ReadOnly);
    }
    if whole::has_other_names(&about) {
        return Err(ReplaceError::OtherNames);
    }
    Ok(())
}

/// Whether a file is the same, and nobody has written to it, as far as the system tells.
#[cfg(unix)]
fn unchanged(before: &fs::Metadata, now: &fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    let marks = |about: &fs::Metadata| {
        (about.dev(), about.ino(), about.len(), about.mtime(), about.mtime_nsec())
    };
    marks(before) == marks(now)
}

#[cfg(not(unix))]
fn unchanged(before: &fs::Metadata, now: &fs::Metadata) -> bool {
    let marks = |about: &fs::Metadata| (about.len(), about.modified().ok());
    marks(before) == marks(now)
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

    use super::{ReplaceError, doing, patiently};
    use crate::sheet::writing::beside::same_file;

    /// The locked file.
    #[derive(Debug)]
    pub(super) struct Lock(#[allow(dead_code)] File); // held, not looked at

    impl Lock {
        pub(super) fn wait_for(sheet: &Path) -> Result<Lock, ReplaceError> {
            patiently(|| {
                let open = OpenOptions::new().read(true).write(true).open(sheet);
                let file = open.map_err(doing("opening the sheet for writing"))?;
                match file.try_lock() {
                    Ok(()) => {}
                    Err(TryLockError::WouldBlock) => return Ok(None),
                    // A disk without locks: the look at the file before the last step remains.
                    Err(TryLockError::Error(_)) => return Ok(Some(Lock(file))),
                }
                // The run before may have put another file in its place meanwhile.
                let same = same_file(&file, sheet).map_err(doing("looking at the sheet"))?;
                Ok(same.then_some(Lock(file)))
            })
        }
    }
}

/// A file beside the sheet that only one process at a time can open, and that goes away with the
/// process, however it ends. A lock on the sheet itself would keep editors from reading it.
#[cfg(windows)]
mod lock {
    use std::fs::{File, OpenOptions};
    use std::io::ErrorKind;
    use std::os::windows::fs::OpenOptionsExt;
    use std::path::Path;

    use super::{ReplaceError, doing, patiently};
    use crate::sheet::writing::beside::lock_name;

    /// `FILE_FLAG_DELETE_ON_CLOSE` of the Windows API.
    const DELETE_ON_CLOSE: u32 = 0x0400_0000;
    /// `ERROR_SHARING_VIOLATION` of the Windows API.
    const SHARING_VIOLATION: i32 = 32;

    /// The file that is there as long as the lock holds.
    #[derive(Debug)]
    pub(super) struct Lock(#[allow(dead_code)] File); // held, not looked at

    impl Lock {
        pub(super) fn wait_for(sheet: &Path) -> Result<Lock, ReplaceError> {
            let path = sheet.with_file_name(lock_name(sheet.file_name().unwrap_or_default()));
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
                            false => Err(doing("writing a file beside the sheet")(error)),
                        }
                    }
                    Err(error) => Err(doing("writing a file beside the sheet")(error)),
                }
            })
        }
    }
}
