//! What was typed and is not in the sheet yet, in a file beside it: replaced whole each time, and
//! gone when the sheet has it.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

use crate::forecast::looks::Looks;
use crate::sheet::writing::{KINDS, Kind, write_whole};

/// What is kept.
#[derive(Clone, Debug)]
pub(super) enum Kept {
    /// Answers for a sheet that is not there yet, by the keys of their questions.
    Sheet(Vec<(String, String)>),
    /// A run that is being measured.
    Run(Unrecorded),
}

/// A run that is being measured.
#[derive(Clone, Debug)]
pub(super) struct Unrecorded {
    /// Which kind.
    pub(super) kind: &'static Kind,
    /// The day that it was begun.
    pub(super) day: String,
    /// Who measures.
    pub(super) by: Option<String>,
    /// What was answered for its keys.
    pub(super) answers: Vec<(&'static str, String)>,
    /// The readings; of a kind with two sides both of each.
    pub(super) readings: Vec<Vec<String>>,
    /// Readings that stand apart and are meant, by their place from nought.
    pub(super) sure: Vec<usize>,
    /// Whether their unit was asked about and is meant.
    pub(super) meant: bool,
    /// The looks that were taken at them.
    pub(super) looks: Looks,
    /// Whether it was ended, so that only the sheet may lack it.
    pub(super) ended: bool,
}

/// The file beside a sheet.
pub(super) fn path_of(sheet: &Path) -> PathBuf {
    let mut name: OsString = sheet.file_name().unwrap_or_default().to_owned();
    name.push(".guide");
    sheet.with_file_name(name)
}

const HEAD: &str = "# Typed in `alleytrue guide`, and not in the sheet yet. The next `guide` goes on\n\
                    # from here, and takes this file away when the sheet has it.\n";
const KEY: &str = "key";
const VALUE: &str = "value";
const ANSWERS: &str = "answer";
const KIND: &str = "kind";
const DAY: &str = "day";
const BY: &str = "by";
const READINGS: &str = "readings";
const SURE: &str = "sure";
const MEANT: &str = "unit-is-meant";
const LOOKS: &str = "looks";
const NEXT_LOOK: &str = "next-look-at";
const CLOSED: &str = "looks-closed";
const ENDED: &str = "ended";

/// The file beside a sheet, as it was read or written here last.
#[derive(Debug)]
pub(super) struct Beside {
    path: PathBuf,
    text: Option<String>,
}

/// Why something is not kept.
#[derive(Debug)]
pub(super) enum NotKept {
    /// Another conversation about the same sheet has written to the file.
    Another,
    /// The operating system said no.
    Io(io::Error),
}

impl Beside {
    /// The file of a sheet, and what is kept in it, if there is anything.
    ///
    /// # Errors
    ///
    /// Why it can't be read, in words.
    pub(super) fn of(sheet: &Path) -> Result<(Beside, Option<Kept>), String> {
        let path = path_of(sheet);
        let text = text_at(&path).map_err(|error| error.to_string())?;
        let kept = text.as_deref().map(Kept::read).transpose()?;
        Ok((Beside { path, text }, kept))
    }

    /// Keeps it: whole, and on the disk when this returns.
    pub(super) fn keep(&mut self, kept: &Kept) -> Result<(), NotKept> {
        if text_at(&self.path).map_err(NotKept::Io)? != self.text {
            return Err(NotKept::Another);
        }
        let text = HEAD.to_owned() + &kept.written();
        write_whole(&self.path, text.as_bytes()).map_err(NotKept::Io)?;
        self.text = Some(text);
        Ok(())
    }

    /// Takes away what is kept: the sheet has it.
    pub(super) fn done(&mut self) {
        if text_at(&self.path).is_ok_and(|text| text.is_some() && text == self.text) {
            // One that stays is seen to be in the sheet the next time.
            let _ = fs::remove_file(&self.path);
        }
        self.text = None;
    }
}

fn text_at(path: &Path) -> io::Result<Option<String>> {
    match fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

impl Kept {
    fn written(&self) -> String {
        let mut document = DocumentMut::new();
        match self {
            Kept::Sheet(answers) => {
                let answers = answers.iter().map(|(key, value)| (key.as_str(), value.as_str()));
                document.insert(ANSWERS, tables(answers));
            }
            Kept::Run(run) => run.written(&mut document),
        }
        document.to_string()
    }

    fn read(text: &str) -> Result<Kept, String> {
        let document: DocumentMut =
            text.parse().map_err(|error: toml_edit::TomlError| error.message().to_owned())?;
        let answers = answers(&document);
        if document.get(KIND).is_none() {
            return Ok(Kept::Sheet(answers));
        }
        let run = Unrecorded::read(&document, answers);
        run.map(Kept::Run).ok_or_else(|| "its keys are not those of a run".into())
    }
}

impl Unrecorded {
    fn written(&self, document: &mut DocumentMut) {
        let mut put = |key: &str, value: Value| {
            document.insert(key, Item::Value(value));
        };
        let number = |number: usize| Value::from(i64::try_from(number).unwrap_or(i64::MAX));
        put(KIND, self.kind.name.into());
        put(DAY, self.day.as_str().into());
        if let Some(by) = &self.by {
            put(BY, by.as_str().into());
        }
        let both = |sides: &Vec<String>| sides.iter().map(String::as_str).collect::<Array>();
        let readings: Array = self.readings.iter().map(both).map(Value::Array).collect();
        put(READINGS, Value::Array(readings));
        put(SURE, Value::Array(self.sure.iter().map(|place| number(*place)).collect()));
        put(MEANT, self.meant.into());
        put(LOOKS, number(self.looks.taken));
        put(NEXT_LOOK, number(self.looks.next_at));
        put(CLOSED, self.looks.closed.into());
        put(ENDED, self.ended.into());
        let answers = self.answers.iter().map(|(key, value)| (*key, value.as_str()));
        document.insert(ANSWERS, tables(answers));
    }

    fn read(document: &DocumentMut, answers: Vec<(String, String)>) -> Option<Unrecorded> {
        let text = |key: &str| document.get(key)?.as_str().map(str::to_owned);
        let number = |item: &Value| usize::try_from(item.as_integer()?).ok();
        let count = |key: &str| number(document.get(key)?.as_value()?);
        let list = |key: &str| document.get(key)?.as_array();
        let yes = |key: &str| document.get(key)?.as_bool();
        let name = text(KIND)?;
        let kind = KINDS.iter().find(|kind| kind.name == name)?;
        let key = |(name, value): (String, String)| {
            Some((kind.keys.iter().find(|key| key.name == name)?.name, value))
        };
        let sides = |value: &Value| {
            let texts = value.as_array()?.iter().map(|text| text.as_str().map(str::to_owned));
            texts.collect::<Option<Vec<String>>>().filter(|sides| sides.len() == sides_of(kind))
        };
        Some(Unrecorded {
            kind,
            day: text(DAY)?,
            by: text(BY),
            answers: answers.into_iter().map(key).collect::<Option<_>>()?,
            readings: list(READINGS)?.iter().map(sides).collect::<Option<_>>()?,
            sure: list(SURE)?.iter().map(number).collect::<Option<_>>()?,
            meant: yes(MEANT)?,
            looks: Looks { taken: count(LOOKS)?, next_at: count(NEXT_LOOK)?, closed: yes(CLOSED)? },
            ended: yes(ENDED)?,
        })
    }
}

/// How many sides a reading of a kind has.
pub(super) fn sides_of(kind: &Kind) -> usize {
    if kind.pair.is_some() { 2 } else { 1 }
}

fn tables<'a>(answers: impl Iterator<Item = (&'a str, &'a str)>) -> Item {
    let mut tables = ArrayOfTables::new();
    for (key, value) in answers {
        let mut table = Table::new();
        table.insert(KEY, Item::Value(key.into()));
        table.insert(VALUE, Item::Value(value.into()));
        tables.push(table);
    }
    Item::ArrayOfTables(tables)
}

fn answers(document: &DocumentMut) -> Vec<(String, String)> {
    let text = |table: &Table, key: &str| table.get(key)?.as_str().map(str::to_owned);
    let tables = document.get(ANSWERS).and_then(Item::as_array_of_tables).into_iter().flatten();
    tables.filter_map(|table| Some((text(table, KEY)?, text(table, VALUE)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_comes_back() {
        let folder = tempfile::tempdir().expect("a folder");
        let sheet = folder.path().join("north trial.toml");
        let (mut beside, nothing) = Beside::of(&sheet).expect("nothing");
        assert!(nothing.is_none());
        let kind = KINDS.iter().find(|kind| kind.name == "alley").expect("alleys");
        let run = Unrecorded {
            kind,
            day: "2027-05-01".into(),
            by: Some("A. \"B\"".into()),
            answers: vec![("heading", "home".into())],
            readings: vec![vec!["3 1/2 in".into(), "-4".into()]],
            sure: vec![0],
            meant: true,
            looks: Looks { taken: 1, next_at: 9, closed: true },
            ended: false,
        };
        let kept = Kept::Run(run);
        beside.keep(&kept).expect("kept");
        beside.keep(&kept).expect("kept in its place");
        let (mut other, back) = Beside::of(&sheet).expect("read");
        assert_eq!(format!("{:?}", back.expect("a run")), format!("{kept:?}"));
        // Another conversation about the same sheet goes on; this one writes over nothing.
        other.keep(&Kept::Sheet(vec![("plot".into(), "18 ft".into())])).expect("kept");
        assert!(matches!(beside.keep(&kept), Err(NotKept::Another)));
        beside.done();
        assert!(path_of(&sheet).exists());
        fs::write(path_of(&sheet), "kind = \"alley\"\n").expect("written");
        assert!(Beside::of(&sheet).is_err());
        fs::write(path_of(&sheet), HEAD).expect("written");
        let (mut other, _) = Beside::of(&sheet).expect("read");
        other.done();
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 0, "nothing is left");
    }
}
