//! Readings of a run: from the command line, standard input, or a spreadsheet's file.

use std::io::{IsTerminal, Read};
use std::path::PathBuf;

use crate::render::{Style, diagnostics};
use crate::sheet::writing::{Bare, Kind, WriteError, columns};
use crate::sheet::{MOST_BYTES, Source, SourceError};

use super::exit::Exit;
use super::mistakes::refuse_doubt;
use super::output::complain;

/// Where the readings of a run come from.
#[derive(Debug)]
pub(super) enum From {
    /// Words of the command line; a single `-` stands for standard input.
    Words(Vec<String>),
    /// A file with these columns.
    File {
        /// The file.
        file: PathBuf,
        /// Names or numbers of its columns.
        columns: Vec<String>,
    },
}

/// What a word has to be for standard input to be read.
const STANDARD_INPUT: &str = "-";

/// The readings; what stands in the way is said by then.
pub(super) fn read(from: &From, kind: &Kind, style: Style) -> Result<Bare, Exit> {
    match from {
        From::Words(words) if words.iter().any(|word| word == STANDARD_INPUT) => {
            if words.len() > 1 {
                let words = "`-` reads all readings from standard input, and others are given too";
                let advice = "give the readings either way".to_owned();
                let doubt = WriteError::Doubtful { words: words.into(), advice };
                return Err(refuse_doubt(&doubt, style));
            }
            pasted().map(Bare::Text).map_err(|error| unreadable("standard input", &error, style))
        }
        From::Words(words) => Ok(Bare::Words(words.clone())),
        From::File { file, columns: wanted } => {
            let name = file.display().to_string();
            let source = Source::open(file).map_err(|error| unreadable(&name, &error, style))?;
            let picked = columns(kind, source.text(), wanted);
            picked.map(Bare::Columns).map_err(|error| refuse_doubt(&error, style))
        }
    }
}

/// The text of standard input.
fn pasted() -> Result<String, SourceError> {
    let input = std::io::stdin();
    if input.is_terminal() {
        let end = if cfg!(windows) { "Ctrl+Z and Enter" } else { "Ctrl+D" };
        complain(&format!("paste or type the readings; {end} on a line of its own ends them\n"));
    }
    let mut bytes = vec![];
    input.lock().take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if length > MOST_BYTES {
        return Err(SourceError::TooLarge(length));
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn unreadable(name: &str, error: &SourceError, style: Style) -> Exit {
    complain(&diagnostics::unreadable(name, error, style));
    Exit::CouldNot
}
