//! A sheet's text with its name, its planter's file and what is set over it.

use std::ops::Range;
use std::path::Path;

use sha2::{Digest, Sha256};
use toml::Spanned;
use toml::de::DeTable;

use super::diagnostic::Diagnostic;
use super::file_beside::{FileBeside, NoFile};
use super::file_text::{SourceError, bytes_of, text_with_marks};
use super::list_files;
use super::overrides::{self, Override};
use super::planter;
use super::shared_planter;
use crate::quantity::System;

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
    /// The planter's file, where the sheet names one; its text stands behind that of the sheet.
    planter: Option<Planter>,
    /// Lists that it names, whose texts stand behind those.
    lists: Vec<ListFile>,
    over: Vec<Over>,
    /// The units that its results are asked for in, where those are not its own.
    units: Option<System>,
}

/// A list in the text: a spreadsheet's file that a key of the sheet names.
#[derive(Clone, Debug)]
pub(super) struct ListFile {
    /// The key.
    pub(super) key: &'static str,
    /// The name that the sheet has for it.
    pub(super) named: String,
    pub(super) file: Result<FileBeside, NoFile>,
    /// Place of its text; empty where it can't be used.
    pub(super) place: Range<usize>,
}

/// The planter's file in the text.
#[derive(Clone, Debug)]
struct Planter {
    file: Result<FileBeside, NoFile>,
    /// Place of its text; empty where it can't be used.
    place: Range<usize>,
    /// Its text alone, at the place where it stands.
    alone: String,
}

/// A parsed sheet.
pub(super) struct Parsed<'s> {
    /// What could be read, with the planter's file in its place and what is set over it.
    pub(super) document: Spanned<DeTable<'s>>,
    /// What could not.
    pub(super) errors: Vec<toml::de::Error>,
    /// Where the sheet names a planter's file that can't be used, and why.
    pub(super) no_planter: Option<(Range<usize>, NoFile)>,
}

/// A file of which a text is a part.
#[derive(Clone, Copy, Debug)]
pub struct Part<'s> {
    /// Its name in messages.
    pub name: &'s str,
    /// Its text.
    pub text: &'s str,
    /// Where that starts in the whole.
    pub start: usize,
}

/// The text of a sheet that is to be written, and of its planter's file where that is to change too.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewText {
    /// The sheet.
    pub sheet: String,
    /// The planter's file, where it changes.
    pub planter: Option<String>,
}

impl From<String> for NewText {
    fn from(sheet: String) -> NewText {
        NewText { sheet, planter: None }
    }
}

/// Most ask of the sheet itself.
impl std::ops::Deref for NewText {
    type Target = str;

    fn deref(&self) -> &str {
        &self.sheet
    }
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

impl Source {
    /// A sheet from text; a byte-order mark is taken off so that columns count from the text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: &str) -> Source {
        let whole = text.len();
        let text = text.trim_start_matches('\u{feff}');
        let marks = whole - text.len();
        let own = text.len();
        Source {
            name: name.into(),
            text: text.into(),
            marks,
            own,
            planter: None,
            lists: vec![],
            over: vec![],
            units: None,
        }
    }

    /// The same sheet with the files that it names, of its planter and its lists; `path` is where the
    /// sheet is. They come before anything is set over it.
    #[must_use]
    pub fn with_files_beside(self, path: &Path) -> Source {
        let source = match shared_planter::named_in(self.text()) {
            Some(named) => self.with_planter(shared_planter::read(path, &named)),
            None => self,
        };
        let lists = list_files::named_in(source.text());
        source.with_lists(lists.into_iter().map(|(key, named)| {
            let file = list_files::read(path, key, &named);
            (key, named, file)
        }))
    }

    fn with_lists(
        mut self,
        files: impl Iterator<Item = (&'static str, String, Result<FileBeside, NoFile>)>,
    ) -> Source {
        for (key, named, file) in files {
            let mut place = self.text.len()..self.text.len();
            if let Ok(file) = &file {
                self.text.push('\n');
                place = self.text.len()..self.text.len() + file.text.len();
                self.text.push_str(&file.text);
            }
            self.lists.push(ListFile { key, named, file, place });
        }
        self
    }

    /// The lists that the sheet names.
    pub(super) fn lists(&self) -> &[ListFile] {
        &self.lists
    }

    fn with_planter(mut self, file: Result<FileBeside, NoFile>) -> Source {
        self.text.truncate(self.own);
        let mut place = self.own..self.own;
        let mut alone = String::new();
        if let Ok(file) = &file {
            self.text.push('\n');
            place = self.text.len()..self.text.len() + file.text.len();
            self.text.push_str(&file.text);
            // Blanks before it give the parser the places that the reader counts in.
            alone = format!("{}{}", " ".repeat(place.start), file.text);
        }
        self.planter = Some(Planter { file, place, alone });
        self.over.clear();
        self
    }

    /// The same sheet with its results in the units of a system.
    #[must_use]
    pub fn in_units(self, units: Option<System>) -> Source {
        Source { units, ..self }
    }

    /// The units that its results are asked for in, where those are not its own.
    pub(super) fn asked_units(&self) -> Option<System> {
        self.units
    }

    /// A new text of the same sheet, with the same planter's file.
    #[must_use]
    pub fn with_text(&self, new: &NewText) -> Source {
        let source = Source::new(self.name(), &new.sheet);
        let Some(planter) = &self.planter else { return source };
        let text = new.planter.clone();
        let file = planter.file.clone();
        source.with_planter(
            file.map(|file| FileBeside { text: text.unwrap_or_else(|| file.text.clone()), ..file }),
        )
    }

    /// The planter's file, where the sheet has one that can be used.
    pub(super) fn planter_file(&self) -> Option<&FileBeside> {
        self.planter.as_ref()?.file.as_ref().ok()
    }

    /// Whether the planter stands in the same file as that of another sheet.
    #[must_use]
    pub fn has_planter_of(&self, other: &Source) -> bool {
        let both = self.planter_file().zip(other.planter_file());
        both.is_some_and(|(own, theirs)| own.path == theirs.path)
    }

    /// The name and the text of the planter's file, where the sheet has one.
    #[must_use]
    pub fn shared_planter(&self) -> Option<(&str, &str)> {
        self.planter_file().map(|file| (file.name.as_str(), file.text.as_str()))
    }

    /// Where the text of the planter's file stands; nowhere where the sheet has none.
    pub(super) fn planter_place(&self) -> Option<Range<usize>> {
        self.planter_file()?;
        self.planter.as_ref().map(|planter| planter.place.clone())
    }

    /// The text of the planter's file alone, at its place.
    pub(super) fn planter_alone(&self) -> Option<&str> {
        self.planter_file()?;
        self.planter.as_ref().map(|planter| planter.alone.as_str())
    }

    /// The sheet with the planter's file behind it, without what is set over them.
    pub(super) fn both(&self) -> &str {
        let end = self.planter_place().map_or(self.own, |place| place.end);
        &self.text[..end]
    }

    /// Whether it is no sheet but a planter's file: it has a `[planter]`, and nothing else but the unit
    /// of its lengths.
    #[must_use]
    pub fn is_planter_file(&self) -> bool {
        let (document, _) = DeTable::parse_recoverable(self.text());
        shared_planter::is_one(document.get_ref())
    }

    /// The file that a place is in: that of the planter, or the sheet.
    #[must_use]
    pub fn part_at(&self, place: usize) -> Part<'_> {
        let here = |own: &Range<usize>| (own.start..=own.end).contains(&place);
        let list = self.lists.iter().find(|list| list.file.is_ok() && here(&list.place));
        if let Some(ListFile { file: Ok(file), place, .. }) = list {
            return Part { name: &file.name, text: &file.text, start: place.start };
        }
        let of_planter = self.planter_place().filter(here);
        match (of_planter, self.planter_file()) {
            (Some(own), Some(file)) => {
                Part { name: &file.name, text: &file.text, start: own.start }
            }
            _ => Part { name: &self.name, text: self.text(), start: 0 },
        }
    }

    /// Line and column of a place in its file, counted from one.
    #[must_use]
    pub fn line_and_column(&self, diagnostic: &Diagnostic) -> (usize, usize) {
        let part = self.part_at(diagnostic.span.start);
        let start = diagnostic.span.start.saturating_sub(part.start);
        let own = Diagnostic { span: start..start, ..diagnostic.clone() };
        own.line_and_column(part.text)
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
        let source = Source::of_file(path.display().to_string(), &mut std::fs::File::open(path)?)?;
        Ok(source.with_files_beside(path))
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
        let text = text_with_marks(bytes)?;
        if text.starts_with('\u{feff}') {
            return Ok(Source::new(name, &text));
        }
        Ok(Source {
            name,
            marks: 0,
            own: text.len(),
            text,
            planter: None,
            lists: vec![],
            over: vec![],
            units: None,
        })
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

    /// The sum of every file that the sheet's numbers come from: the sheet's own without a name, then
    /// its planter's and its lists', each by its name.
    #[must_use]
    pub fn sums(&self) -> Vec<(Option<&str>, String)> {
        let planter = self.planter.as_ref().and_then(|planter| planter.file.as_ref().ok());
        let lists = self.lists.iter().filter_map(|list| list.file.as_ref().ok());
        let others: Vec<&FileBeside> = planter.into_iter().chain(lists).collect();
        std::iter::once((None, self.sha256()))
            .chain(others.iter().map(|file| (Some(file.name.as_str()), sum_of([&file.bytes]))))
            .collect()
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
        let marks = "\u{feff}".repeat(self.marks / '\u{feff}'.len_utf8());
        sum_of([marks.as_bytes(), self.text().as_bytes()])
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

    /// The parsed sheet with its planter's file and what is set over it.
    pub(super) fn parse(&self) -> Parsed<'_> {
        let (mut document, errors) = DeTable::parse_recoverable(self.text());
        let no_planter = self.put_planter_in(document.get_mut());
        for Over { set, alone, .. } in &self.over {
            match DeTable::parse(alone) {
                Ok(over) if set.line().is_some() => {
                    overrides::lay_over(document.get_mut(), over.get_ref());
                }
                _ => set.take_out(document.get_mut()),
            }
        }
        Parsed { document, errors, no_planter }
    }

    /// The parsed sheet with its planter's file, without what is set over them.
    pub(super) fn parse_own(&self) -> Parsed<'_> {
        let (mut document, mut errors) = DeTable::parse_recoverable(self.text());
        let no_planter = self.put_planter_in(document.get_mut());
        errors.extend(self.parse_planter().into_iter().flat_map(|(_, errors)| errors));
        Parsed { document, errors, no_planter }
    }

    /// The parsed file of the planter.
    pub(super) fn parse_planter(&self) -> Option<(Spanned<DeTable<'_>>, Vec<toml::de::Error>)> {
        self.planter_alone().map(DeTable::parse_recoverable)
    }

    /// Puts the planter's tables where the sheet names their file; where that can't be, takes the
    /// name out, with its place and the reason.
    fn put_planter_in<'s>(&'s self, document: &mut DeTable<'s>) -> Option<(Range<usize>, NoFile)> {
        let named = document.get(planter::KEYS.name)?;
        named.get_ref().as_str()?;
        let place = named.span();
        let file = self.parse_planter().map(|(file, _)| file.into_inner());
        let table = file.and_then(|mut file| file.remove(planter::KEYS.name));
        match (table.filter(|table| table.get_ref().is_table()), &self.planter) {
            (Some(table), _) => {
                *document.get_mut(planter::KEYS.name)? = table;
                None
            }
            (None, Some(Planter { file: Ok(_), .. })) => {
                // What is wrong is said of the file.
                document.remove(planter::KEYS.name);
                None
            }
            (None, found) => {
                document.remove(planter::KEYS.name);
                let why = found.as_ref().and_then(|found| found.file.as_ref().err().cloned());
                Some((place, why.unwrap_or_else(shared_planter::not_looked_up)))
            }
        }
    }
}

/// SHA-256 of bytes in several pieces.
fn sum_of<const N: usize>(pieces: [&[u8]; N]) -> String {
    let mut hash = Sha256::new();
    pieces.iter().for_each(|piece| hash.update(piece));
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}
