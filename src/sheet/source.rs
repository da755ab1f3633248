//! The text of a sheet as it comes from disk: byte-order marks, encodings, size.

use std::path::Path;

use thiserror::Error;

/// Sheets beyond this are refused before they fill the memory.
pub const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// A sheet's text and the name it goes by in messages.
#[derive(Clone, Debug)]
pub struct Source {
    name: String,
    text: String,
}

/// Why a file is not a readable text.
#[derive(Debug, Error)]
pub enum SourceError {
    /// The operating system said no.
    #[error("{0}")]
    Io(#[from] std::io::Error),
    /// It is saved in another encoding.
    #[error("the file is not UTF-8 text: {0}")]
    Encoding(String),
    /// It is far too large for a sheet.
    #[error("the file holds {0} bytes; a sheet holds at most {MOST_BYTES}")]
    TooLarge(u64),
}

impl SourceError {
    /// Stable code, for messages and programs.
    #[must_use]
    pub fn code(&self) -> &'static super::Code {
        match self {
            SourceError::Io(_) => &super::codes::NOT_READABLE,
            SourceError::Encoding(_) => &super::codes::NOT_UTF8,
            SourceError::TooLarge(_) => &super::codes::TOO_LARGE,
        }
    }
}

impl Source {
    /// A sheet from text; a byte-order mark is taken off so that columns count from the text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: &str) -> Source {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        Source { name: name.into(), text: text.into() }
    }

    /// A sheet from a file.
    ///
    /// # Errors
    ///
    /// [`SourceError`] where it can't be read as UTF-8 text.
    pub fn open(path: &Path) -> Result<Source, SourceError> {
        let size = std::fs::metadata(path)?.len();
        if size > MOST_BYTES {
            return Err(SourceError::TooLarge(size));
        }
        let bytes = std::fs::read(path)?;
        let name = path.display().to_string();
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Source::new(name, &text)),
            Err(error) => Err(SourceError::Encoding(encoding_advice(error.as_bytes()))),
        }
    }

    /// The name in messages.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// What to do about bytes that are not UTF-8.
fn encoding_advice(bytes: &[u8]) -> String {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return "it was saved as UTF-16 (\"Unicode\"); save it again as UTF-8".into();
    }
    let valid = std::str::from_utf8(bytes).map_or_else(|error| error.valid_up_to(), str::len);
    let line = bytes[..valid].iter().filter(|byte| **byte == b'\n').count() + 1;
    format!(
        "line {line} holds a character saved in an old encoding; save the file as UTF-8, or type \
         plain letters and fractions such as 1/2"
    )
}
