//! A planter that stands in a file of its own, `planter = "four-row.toml"`, shared by sheets: where the
//! file is, what it may hold, and what is wrong with it.
//!
//! Its text stands behind that of the sheet, so that every place in it is told from those in the
//! sheet, and its [planter] is read, checked and complained of like one in the sheet.

use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::quantity::LengthUnit;

use super::codes;
use super::file_beside::{self, FileBeside, NoFile, Role};
use super::reader::{Item, Reader, suggestion};

use super::{planter, top};

/// What the file is to the sheet.
const ROLE: Role = Role {
    name: "the planter's file",
    example: "planter = \"four-row.toml\"",
    else_: "put a [planter] table into the sheet",
};

/// A text that is in no folder, or names the file in an odd way.
pub(super) fn not_looked_up() -> NoFile {
    let message = "the planter's file was not looked up".to_owned();
    let advice = "write it on a line of its own above the first table: planter = \"four-row.toml\"";
    NoFile { message, advice: advice.into() }
}

/// What a sheet says of its planter's file: the first line `planter = "..."` above the first table.
pub(super) fn named_in(text: &str) -> Option<String> {
    let above = text.lines().take_while(|line| !line.trim_start().starts_with('['));
    above.filter(|line| line.trim_start().starts_with(planter::KEYS.name)).find_map(|line| {
        let document = DeTable::parse(line).ok()?;
        let value = document.get_ref().get(planter::KEYS.name)?;
        value.get_ref().as_str().map(str::to_owned)
    })
}

/// The planter's file of a sheet.
pub(super) fn read(sheet: &Path, named: &str) -> Result<FileBeside, NoFile> {
    file_beside::read(sheet, named, ROLE)
}

/// The keys that a planter's file may have.
const KEYS: [&str; 2] = ["bare-length", "planter"];

/// Whether a file is one of a planter.
pub(super) fn is_one(table: &DeTable<'_>) -> bool {
    let planter = table.get(planter::KEYS.name).is_some_and(|value| value.get_ref().is_table());
    planter && table.keys().all(|key| KEYS.contains(&key.get_ref().as_ref()))
}

/// Says what is wrong with the file, besides what stands in its [planter]; hands back the unit of its
/// bare lengths.
pub(super) fn check(
    reader: &mut Reader<'_>,
    start: usize,
    document: &Spanned<DeTable<'_>>,
) -> Option<LengthUnit> {
    let table = document.get_ref();
    for (key, value) in table.iter().filter(|(key, _)| !KEYS.contains(&key.get_ref().as_ref())) {
        let name = key.get_ref().as_ref();
        let what = if value.get_ref().is_table() { "table" } else { "key" };
        let message = format!("the file of a planter has no {what} `{name}`");
        let near = suggestion(name, KEYS.into_iter());
        let advice = near.map_or_else(
            || "it belongs into the sheet; take it out here".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        reader.say(&codes::UNKNOWN_KEY, key.span(), message, advice).allowed =
            Some("bare-length, planter".into());
    }
    match table.get(planter::KEYS.name).map(|value| (value.span(), value.get_ref())) {
        Some((_, DeValue::Table(_))) => {}
        Some((span, DeValue::String(_))) => {
            let message = "the file of a planter names another one";
            let advice = "write the [planter] tables into it";
            reader.say(&codes::PLANTER_FILE, span, message, advice);
        }
        Some((span, _)) => {
            let advice = "write [planter] on a line of its own, and its keys in the lines below";
            reader.say(&codes::WRONG_TYPE, span, "`planter` is no table", advice);
        }
        None => {
            let message = "the file of the planter has no [planter]";
            let advice = "move the [planter] tables of a sheet into it, with their headers";
            reader.say(&codes::PLANTER_FILE, start..start, message, advice);
        }
    }
    let value = table.get(top::BARE_LENGTH.name)?;
    top::BARE_LENGTH.takes.read(reader, Item { key: top::BARE_LENGTH.name, value })
}
