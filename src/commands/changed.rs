//! A sheet changed first, and what was changed printed then.

use std::io::{self, Write};
use std::path::Path;
use std::time::Instant;

use crate::render::Style;
use crate::sheet::writing::{PATIENCE, ReplaceError};

use super::exit::Exit;
use super::mistakes::refuse_file;
use super::output::say_done;

/// How a change ended.
pub(super) enum Ended {
    /// The sheet is changed.
    Written {
        /// What is printed of it.
        page: String,
        /// What was done, in words.
        done: String,
    },
    /// Nothing was to be written; this is printed.
    Shown(String),
    /// It was refused, and why is said by now.
    Refused(Exit),
}

/// Changes a sheet; where somebody else has written to it meanwhile, from what they wrote.
pub(super) fn change_sheet(
    sheet: &Path,
    style: Style,
    out: &mut dyn Write,
    change: impl Fn() -> Result<Ended, ReplaceError>,
) -> io::Result<Exit> {
    match until_nobody_else(change) {
        Ok(Ended::Written { page, done }) => Ok(say_done(out, &page, &done)),
        Ok(Ended::Shown(page)) => out.write_all(page.as_bytes()).map(|()| Exit::Done),
        Ok(Ended::Refused(exit)) => Ok(exit),
        Err(error) => Ok(refuse_file(sheet, &error, style)),
    }
}

/// Changes a sheet, again and again where somebody else writes to it at the same time.
pub(super) fn until_nobody_else(
    change: impl Fn() -> Result<Ended, ReplaceError>,
) -> Result<Ended, ReplaceError> {
    let start = Instant::now();
    loop {
        match change() {
            Err(ReplaceError::Changed) if start.elapsed() < PATIENCE => {}
            ended => return ended,
        }
    }
}
