//! The text of a sheet as it comes from disk: byte-order marks, encodings, size.

use std::io::Read;
use std::ops::Range;
use std::path::Path;

use sha2::{Digest, Sha256};
use thiserror::Error;
use toml::Spanned;
use toml::de::DeTable;

use super::codes::{self, Code};
use super::overrides::{self, Override};

/// Sheets beyond this are refused before they fill the memory.
pub const MOST_BYTES: u64 = 2 * 1024 * 1024;
/// Values and lines beyond which a sheet is refused, since those fill the memory: worked out, a
/// reading takes up to two thousand bytes. A hundred thousand alleys fit, both ends of each.
pub const MOST_PARTS: usize = 220_000;

/// A sheet's text and the name it goes by in messages.
#[derive(Clone, Debug)]
pub struct Source {
    name: String,
    /// The text of the sheet, and behind it the lines that are set over it.
    text: String,
    /// Byte-order marks that stood before it, in bytes.
    marks: usize,
    /// Where the text of the sheet itself ends.
    own: usize,
    over: Vec<Over>,
}

/// A value set over the sheet's.
#[derive(Clone, Debug)]
struct Over {
    set: Override,
    /// Place of its line in the text; empty where it takes a key out.
    line: Range<usize>,
    /// Its line alone, at the place where it stands in the text.
    alone: String,
}

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

impl Source {
    /// A sheet from text; a byte-order mark is taken off so that columns count from the text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: &str) -> Source {
        let whole = text.len();
        let text = text.trim_start_matches('\u{feff}');
        let marks = whole - text.len();
        Source { name: name.into(), text: text.into(), marks, own: text.len(), over: vec![] }
    }

    /// The same sheet with values set over its own; of two for one key the later holds.
    #[must_use]
    pub fn with(mut self, overrides: &[Override]) -> Source {
        for set in overrides {
            self.text.push('\n');
            let start = self.text.len();
            self.text.push_str(set.line().unwrap_or_default());
            let line = start..self.text.len();
            // Blanks before it give the parser the places that the reader counts in.
            let alone = set.line().map(|line| format!("{}{line}", " ".repeat(start)));
            self.over.push(Over { set: set.clone(), line, alone: alone.unwrap_or_default() });
        }
        self
    }

    /// A sheet from a file.
    ///
    /// # Errors
    ///
    /// [`SourceError`] where it can't be read as UTF-8 text.
    pub fn open(path: &Path) -> Result<Source, SourceError> {
        Source::of_file(path.display().to_string(), &mut std::fs::File::open(path)?)
    }

    /// A sheet from an open file, by the name that it goes by in messages.
    ///
    /// # Errors
    ///
    /// [`SourceError`] where it can't be read as UTF-8 text.
    pub fn of_file(name: String, file: &mut std::fs::File) -> Result<Source, SourceError> {
        Source::decode(name, bytes_of(file)?)
    }

    /// A sheet from the bytes of a file.
    pub(super) fn decode(name: String, bytes: Vec<u8>) -> Result<Source, SourceError> {
        within_limits(&bytes)?;
        if let Some(message) = other_file(&bytes) {
            return Err(SourceError::Encoding { message: message.into(), place: None });
        }
        match String::from_utf8(bytes) {
            Ok(text) if !text.starts_with('\u{feff}') => {
                Ok(Source { name, marks: 0, own: text.len(), text, over: vec![] })
            }
            Ok(text) => Ok(Source::new(name, &text)),
            Err(error) => Err(old_encoding(error.as_bytes(), error.utf8_error().valid_up_to())),
        }
    }

    /// The name in messages.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The name for who reads the results, with what is set over the sheet.
    ///
    /// ```
    /// use alleytrue::sheet::Source;
    /// let source = Source::new("sheet.toml", "").with(&["trial.speed=3 mph".parse()?]);
    /// assert_eq!(source.name_with_overrides(), "sheet.toml --set trial.speed=3 mph");
    /// # Ok::<(), String>(())
    /// ```
    #[must_use]
    pub fn name_with_overrides(&self) -> String {
        let set = self.over.iter().map(|over| format!(" --set {}", over.set.typed()));
        std::iter::once(self.name.clone()).chain(set).collect()
    }

    /// What is set over the sheet.
    pub fn overrides(&self) -> impl Iterator<Item = &Override> {
        self.over.iter().map(|over| &over.set)
    }

    /// The text of the sheet.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text[..self.own]
    }

    /// SHA-256 (FIPS 180-4) of the file, byte for byte, in hexadecimal: it tells one state of a sheet
    /// from any other.
    ///
    /// ```
    /// use alleytrue::sheet::Source;
    /// // The example of one block in NIST's test values for FIPS 180-4: "abc".
    /// let sum = Source::new("sheet.toml", "abc").sha256();
    /// assert_eq!(sum, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    /// ```
    #[must_use]
    pub fn sha256(&self) -> String {
        let mut hash = Sha256::new();
        hash.update("\u{feff}".repeat(self.marks / '\u{feff}'.len_utf8()));
        hash.update(self.text());
        hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// The text with the lines behind it that are set over it: what places count in.
    #[must_use]
    pub fn whole(&self) -> &str {
        &self.text
    }

    /// What was set over the sheet at a place, as it was typed; `None` where the place is in
    /// the sheet itself.
    #[must_use]
    pub fn override_at(&self, place: usize) -> Option<&str> {
        let here = |over: &&Over| over.line.start <= place && place <= over.line.end;
        self.over.iter().find(here).map(|over| over.set.typed())
    }

    /// The parsed sheet with what is set over it: what could be read, and what could not.
    pub(super) fn parse(&self) -> (Spanned<DeTable<'_>>, Vec<toml::de::Error>) {
        let (mut document, errors) = DeTable::parse_recoverable(self.text());
        for Over { set, alone, .. } in &self.over {
            match DeTable::parse(alone) {
                Ok(over) if set.line().is_some() => {
                    overrides::lay_over(document.get_mut(), over.get_ref());
                }
                _ => set.take_out(document.get_mut()),
            }
        }
        (document, errors)
    }
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
