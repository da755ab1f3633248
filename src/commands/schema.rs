//! `schema`: the field sheet as a JSON Schema, for editors.

use std::io::{self, Write};

use super::exit::Exit;
use crate::sheet::schema;

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(out: &mut dyn Write) -> io::Result<Exit> {
    out.write_all(schema::text().as_bytes())?;
    Ok(Exit::Done)
}
