//! The text of a file: encodings, byte-order marks, size.

use std::io::Read;

use thiserror::Error;

use super::codes::{self, Code};

/// Sheets beyond this are refused before they fill the memory.
pub const MOST_BYTES: u64 = 2 * 1024 * 1024;
/// Values and lines beyond which a sheet is refused, since those fill the memory: worked out, a
/// reading takes up to two thousand bytes. A hundred thousand alleys fit, both ends of each.
pub const MOST_PARTS: usize = 220_000;

/// Why a file is not a readable text.
#[derive(Debug, Error)]
pub enum SourceError {
    /// The operating system said no.
    #[error("{0}")]
    Io(#[from] std::io::Error),
    /// It is saved in another encoding.
    #[error("the file is not UTF-8 text: {message}")]
    Encoding {
        /// What it seems to be instead, and what to do.
        message: String,
        /// The first place that can't be read, where the rest is readable text.
        place: Option<Box<Unreadable>>,
    },
    /// It is far too large for a sheet.
    #[error("the file holds {0} bytes; a sheet holds at most {MOST_BYTES}")]
    TooLarge(u64),
    /// It has far too much in it for a sheet.
    #[error("the file holds {0} values and lines; a sheet holds at most {MOST_PARTS}")]
    TooMany(usize),
}

/// A character of another encoding, in its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Line, counted from one.
    pub line: usize,
    /// The line, with a replacement character for every byte that can't be read.
    pub text: String,
    /// Place of the first such character in `text`, in bytes.
    pub at: usize,
}

impl SourceError {
    /// Stable code, for messages and programs.
    #[must_use]
    pub fn code(&self) -> &'static Code {
        match self {
            SourceError::Io(_) => &codes::NOT_READABLE,
            SourceError::Encoding { .. } => &codes::NOT_UTF8,
            SourceError::TooLarge(_) | SourceError::TooMany(_) => &codes::TOO_LARGE,
        }
    }
}

/// The text of a file's bytes, without byte-order marks.
pub(super) fn text_of(bytes: Vec<u8>) -> Result<String, SourceError> {
    let text = text_with_marks(bytes)?;
    Ok(text.trim_start_matches('\u{feff}').to_owned())
}

pub(super) fn text_with_marks(bytes: Vec<u8>) -> Result<String, SourceError> {
    within_limits(&bytes)?;
    if let Some(message) = other_file(&bytes) {
        return Err(SourceError::Encoding { message: message.into(), place: None });
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        old_encoding(error.as_bytes(), valid)
    })
}

/// Whether a file holds no more than a sheet may; what is written must keep to it too.
pub(super) fn within_limits(bytes: &[u8]) -> Result<(), SourceError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(SourceError::TooLarge(bytes.len() as u64));
    }
    // Signs that begin or part values, and line ends, `\r\n` as one.
    let parts = |byte: &&u8| matches!(byte, b',' | b'=' | b'[' | b'{' | b'\n' | b'\r');
    let both = bytes.windows(2).filter(|pair| *pair == b"\r\n").count();
    match bytes.iter().filter(parts).count() - both {
        count if count > MOST_PARTS => Err(SourceError::TooMany(count)),
        _ => Ok(()),
    }
}

/// All bytes of a file, as long as they are no more than a sheet may have.
pub(super) fn bytes_of(file: &mut std::fs::File) -> Result<Vec<u8>, SourceError> {
    let size = file.metadata()?.len();
    if size > MOST_BYTES {
        return Err(SourceError::TooLarge(size));
    }
    // A pipe or a device has no size of its own, and may never end.
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0) + 1);
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(SourceError::TooLarge(bytes.len() as u64));
    }
    Ok(bytes)
}

/// What a file is that is no text in an encoding of single bytes.
fn other_file(bytes: &[u8]) -> Option<&'static str> {
    const UTF16: &str = "it was saved as UTF-16 (\"Unicode\"); save it again as UTF-8";
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Some(UTF16);
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"%PDF") {
        return Some(
            "it is an archive, a spreadsheet or a document; save its contents as plain text",
        );
    }
    let head = &bytes[..bytes.len().min(1024)];
    if !head.contains(&0) {
        return None;
    }
    let zeros = head.iter().filter(|byte| **byte == 0).count();
    let (even, odd): (Vec<_>, Vec<_>) = head.chunks(2).map(|pair| (pair[0], pair.get(1))).unzip();
    let half = head.len() / 4;
    if zeros > half && (!even.contains(&0) || !odd.contains(&Some(&0))) {
        return Some(UTF16);
    }
    (zeros > half).then_some("it holds no text; check that the right file was named")
}

/// A character saved in an encoding older than UTF-8.
fn old_encoding(bytes: &[u8], valid: usize) -> SourceError {
    let start = bytes[..valid].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    let end = bytes[valid..].iter().position(|byte| *byte == b'\n');
    let end = end.map_or(bytes.len(), |at| valid + at);
    let line = bytes[..start].iter().filter(|byte| **byte == b'\n').count() + 1;
    let before = String::from_utf8_lossy(&bytes[start..valid]);
    let before = if start == 0 { before.trim_start_matches('\u{feff}') } else { &before };
    let text = format!("{before}{}", String::from_utf8_lossy(&bytes[valid..end]));
    let message = format!("line {line} holds a character saved in an old encoding");
    let place = Unreadable { line, at: before.len(), text: text.trim_end().into() };
    SourceError::Encoding { message, place: Some(Box::new(place)) }
}
