//! A file that a sheet names: beside it or in a folder below, never elsewhere.

use std::io::ErrorKind;
use std::path::{Component, Path, PathBuf};

use super::file_text::{SourceError, bytes_of, text_of};

/// A file as it was read.
#[derive(Clone, Debug)]
pub(super) struct FileBeside {
    /// The name in messages.
    pub(super) name: String,
    /// The file itself, links followed.
    pub(super) path: PathBuf,
    pub(super) text: String,
    /// Its bytes, for whoever replaces it.
    pub(super) bytes: Vec<u8>,
}

/// Why a file can't be used, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NoFile {
    pub(super) message: String,
    pub(super) advice: String,
}

/// What a file is to the sheet that names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Role {
    /// What it is called: "the planter's file".
    pub(super) name: &'static str,
    /// How it is named in the sheet.
    pub(super) example: &'static str,
    /// What to do where it is not there.
    pub(super) else_: &'static str,
}

/// A file by its name in a sheet.
pub(super) fn read(sheet: &Path, named: &str, role: Role) -> Result<FileBeside, NoFile> {
    let elsewhere = || {
        format!(
            "put the file beside the sheet or in a folder below, and write its name: {}",
            role.example
        )
    };
    let look = || format!("look at the name, or {}", role.else_);
    let wrong = |message: String, advice: String| NoFile { message, advice };
    let inside = |part: Component<'_>| matches!(part, Component::Normal(_) | Component::CurDir);
    if named.trim().is_empty() || !Path::new(named).components().all(inside) {
        let words = format!("`{named}` does not lie in the folder of the sheet");
        return Err(wrong(words, elsewhere()));
    }
    let folder = sheet.parent().filter(|folder| !folder.as_os_str().is_empty());
    let beside = folder.map_or_else(|| PathBuf::from(named), |folder| folder.join(named));
    let name = beside.display().to_string();
    let unreadable = |error: &dyn std::fmt::Display| {
        wrong(format!("{} {name} can't be read: {error}", role.name), look())
    };
    let path = std::fs::canonicalize(&beside).map_err(|error| match error.kind() {
        ErrorKind::NotFound => wrong(format!("{} {name} is not there", role.name), look()),
        _ => unreadable(&error),
    })?;
    let home = std::fs::canonicalize(folder.unwrap_or(Path::new(".")));
    if !home.is_ok_and(|home| path.starts_with(home)) {
        let words = format!("{name} is a link out of the folder of the sheet");
        return Err(wrong(words, elsewhere()));
    }
    if std::fs::canonicalize(sheet).is_ok_and(|sheet| sheet == path) {
        return Err(wrong(format!("the sheet names itself as {}", role.name), look()));
    }
    if !path.is_file() {
        return Err(wrong(format!("{name} is no file"), look()));
    }
    let read = || -> Result<(Vec<u8>, String), SourceError> {
        let bytes = bytes_of(&mut std::fs::File::open(&path)?)?;
        let text = text_of(bytes.clone())?;
        Ok((bytes, text))
    };
    let (bytes, text) = read().map_err(|error| unreadable(&error))?;
    Ok(FileBeside { name, path, text, bytes })
}
