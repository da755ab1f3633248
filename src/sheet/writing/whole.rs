//! A file put in the place of another whole, or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;

use super::{attributes, beside};

/// What was being done to a file, and what the operating system said.
pub(super) type Failed = (&'static str, io::Error);

fn failed(doing: &'static str) -> impl Fn(io::Error) -> Failed {
    move |error| (doing, error)
}

/// A new file beside an old one, filled and brought to the disk, with the rights, the owner and
/// the attributes of the old one.
pub(super) fn new_for(old: &Path, bytes: &[u8]) -> Result<NamedTempFile, Failed> {
    let mut new = beside::file_in(folder_of(old), true)
        .map_err(failed("writing a new file beside the sheet"))?;
    new.write_all(bytes).map_err(failed("writing the new sheet"))?;
    let old = File::open(old).map_err(failed("looking at the sheet"))?;
    let about = old.metadata().map_err(failed("looking at the sheet"))?;
    keep_owner(new.as_file(), &about);
    new.as_file()
        .set_permissions(about.permissions())
        .map_err(failed("giving the new sheet the old one's rights"))?;
    attributes::carry_over(&old, new.as_file()).map_err(|(name, error)| {
        let error = io::Error::new(error.kind(), format!("{name}: {error}"));
        ("giving the new sheet the old one's extended attributes", error)
    })?;
    new.as_file().sync_all().map_err(failed("bringing the new sheet to the disk"))?;
    Ok(new)
}

/// Puts it in the place of the old one, in one step.
pub(super) fn settle(new: NamedTempFile, path: &Path) -> Result<(), Failed> {
    new.persist(path).map_err(|error| ("putting the new sheet in its place", error.error))?;
    sync_folder(folder_of(path));
    Ok(())
}

/// Writes a file that may be there or not: whole or not at all, links followed. What is no file
/// but takes text, such as a pipe or a terminal, is written to and stays what it is.
///
/// # Errors
///
/// What the operating system says; a file that was there then is as it was.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let old = match fs::metadata(path) {
        Ok(old) => old,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return write_new(path, bytes),
        Err(error) => return Err(error),
    };
    if !old.is_file() {
        return fs::OpenOptions::new().write(true).open(path)?.write_all(bytes);
    }
    if old.permissions().readonly() {
        return Err(io::Error::new(io::ErrorKind::PermissionDenied, "it is write-protected"));
    }
    if has_other_names(&old) {
        let words = "it has other names (hard links), which would keep the old text";
        return Err(io::Error::other(words));
    }
    // A link stays a link; what it points to is replaced.
    let real = fs::canonicalize(path)?;
    let new = new_for(&real, bytes).map_err(|(_, error)| error)?;
    settle(new, &real).map_err(|(_, error)| error)
}

/// Writes a file that must not be there yet: whole or not at all.
///
/// # Errors
///
/// [`io::ErrorKind::AlreadyExists`] where it is there; else what the operating system says.
pub fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // A link that leads nowhere is there too.
    if fs::symlink_metadata(path).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let mut new = beside::file_in(folder_of(path), false)?;
    new.write_all(bytes)?;
    new.as_file().sync_all()?;
    if let Err(error) = new.persist_noclobber(path) {
        if error.error.kind() == io::ErrorKind::AlreadyExists {
            return Err(error.error);
        }
        // A disk that can't look and rename in one step: an empty file holds the place.
        fs::OpenOptions::new().write(true).create_new(true).open(path)?;
        error.file.persist(path)?;
    }
    sync_folder(folder_of(path));
    Ok(())
}

/// Whether a file goes by other names too (hard links), which would part from it where another
/// file takes its place.
#[cfg(unix)]
pub(super) fn has_other_names(about: &fs::Metadata) -> bool {
    std::os::unix::fs::MetadataExt::nlink(about) > 1
}

#[cfg(not(unix))]
pub(super) fn has_other_names(_: &fs::Metadata) -> bool {
    false
}

/// The folder of a file; a bare name is in this one.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The owner and the group stay, where the system lets them.
#[cfg(unix)]
fn keep_owner(file: &File, about: &fs::Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let _ = fchown(file, None, Some(about.gid()));
    let _ = fchown(file, Some(about.uid()), None);
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &fs::Metadata) {}

/// Brings the folder's new entry to the disk. The file is in place by now; a disk that can't do
/// this has nothing better.
fn sync_folder(folder: &Path) {
    if cfg!(unix) {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};

    #[allow(clippy::expect_used)] // a helper of tests
    fn mode(path: &Path) -> u32 {
        fs::metadata(path).expect("it is there").permissions().mode() & 0o777
    }

    #[test]
    fn an_old_file_keeps_its_rights_and_a_link_stays_a_link() {
        let folder = tempfile::tempdir().expect("a folder");
        let (file, link) = (folder.path().join("page.html"), folder.path().join("link.html"));
        let plain = folder.path().join("plain");
        fs::write(&plain, "").expect("writes");
        write_whole(&file, b"one").expect("writes");
        assert_eq!(mode(&file), mode(&plain), "the rights of any new file");
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).expect("sets");
        symlink("page.html", &link).expect("links");
        write_whole(&link, b"two").expect("writes");
        assert!(fs::symlink_metadata(&link).expect("it is there").is_symlink());
        assert_eq!((fs::read(&file).expect("reads"), mode(&file)), (b"two".to_vec(), 0o640));
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 3, "nothing is left");
    }

    #[test]
    fn what_is_no_file_stays_what_it_is() {
        // A socket stands for pipes and devices: replacing one would take it from everybody.
        let folder = tempfile::tempdir().expect("a folder");
        let socket = folder.path().join("socket");
        let _held = std::os::unix::net::UnixListener::bind(&socket).expect("binds");
        assert!(write_whole(&socket, b"text").is_err());
        assert!(fs::metadata(&socket).expect("it is there").file_type().is_socket());
        assert!(write_whole(folder.path(), b"text").is_err());
    }

    #[test]
    fn a_protected_file_is_left_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("page.html");
        fs::write(&file, "old").expect("writes");
        fs::set_permissions(&file, fs::Permissions::from_mode(0o444)).expect("sets");
        assert!(write_whole(&file, b"new").is_err());
        assert_eq!(fs::read(&file).expect("reads"), b"old");
    }
}
