//! Whether sheets of one planter say the same of it, and which have its file.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::quantity::{Length, LengthUnit};

use super::source::Source;
use super::top::{BARE_LENGTH, UNITS};
use super::{changeover, planter, settings};

/// What two sheets or more of one planter say of it that is not the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disagreement {
    /// The planter, by its name or its file.
    pub planter: String,
    /// The key, such as `settings.setback`.
    pub key: String,
    /// The sheets, each with what it says as typed; `None` where it says nothing.
    pub values: Vec<(String, Option<String>)>,
}

/// The tables that say what the machine is and holds.
static OF_THE_MACHINE: [&str; 3] = [planter::KEYS.name, settings::KEYS.name, changeover::KEYS.name];

/// What one sheet says of its planter.
struct Said {
    sheet: String,
    /// The planter; nobody knows which where it has neither a name nor a file.
    planter: String,
    serial: Option<String>,
    /// The unit of its bare lengths, and of those of its planter.
    bare: [Option<LengthUnit>; 2],
    keys: BTreeMap<String, String>,
}

/// Where sheets of one planter disagree. Sheets are of one planter where their `name` is the same, or
/// the file that it stands in, and no other `serial` parts them.
///
/// ```
/// use alleytrue::sheet::{Source, disagreements};
/// let sheet = |name: &str, setback: &str| {
///     let text = format!("[planter]\nname = \"four-row\"\n[settings]\nsetback = \"{setback}\"\n");
///     Source::new(name, &text)
/// };
/// let (north, south) = (sheet("north.toml", "15 in"), sheet("south.toml", "17 in"));
/// let all = disagreements(&[&north, &south]);
/// assert_eq!((all.len(), all[0].key.as_str()), (1, "settings.setback"));
/// assert!(disagreements(&[&north, &sheet("east.toml", "1 ft 3 in")]).is_empty());
/// ```
#[must_use]
pub fn disagreements(sources: &[&Source]) -> Vec<Disagreement> {
    let said: Vec<Said> = sources.iter().filter_map(|source| said(source)).collect();
    let mut all = vec![];
    let mut done: Vec<usize> = vec![];
    for (place, first) in said.iter().enumerate() {
        if done.contains(&place) {
            continue;
        }
        let same = |other: &Said| {
            let serials = first.serial.as_ref().zip(other.serial.as_ref());
            other.planter == first.planter && serials.is_none_or(|(one, other)| one == other)
        };
        let group: Vec<usize> = (place..said.len()).filter(|other| same(&said[*other])).collect();
        done.extend(&group);
        let group: Vec<&Said> = group.into_iter().map(|place| &said[place]).collect();
        all.extend(within(&group));
    }
    all
}

/// What the sheets of one planter say differently.
fn within(group: &[&Said]) -> Vec<Disagreement> {
    let mut keys: Vec<&String> = group.iter().flat_map(|one| one.keys.keys()).collect();
    keys.sort();
    keys.dedup();
    let differs = |key: &&&String| {
        // A key that a sheet does without says nothing against the others.
        let mut says = group.iter().filter_map(|one| Some((one, one.keys.get(**key)?)));
        let first = says.next();
        first.is_some_and(|(one, first)| {
            let of = |said: &Said| said.bare[usize::from(key.starts_with(planter::KEYS.name))];
            says.any(|(other, value)| !means_the_same((first, of(one)), (value, of(other))))
        })
    };
    let told = |key: &String| Disagreement {
        planter: group.first().map_or_else(String::new, |one| one.planter.clone()),
        key: key.clone(),
        values: group.iter().map(|one| (one.sheet.clone(), one.keys.get(key).cloned())).collect(),
    };
    keys.iter().filter(differs).map(|key| told(key)).collect()
}

/// A value as typed, with the unit that it has where it is bare.
type Typed<'t> = (&'t str, Option<LengthUnit>);

/// Whether two values are the same, be they written in other units.
fn means_the_same(one: Typed<'_>, other: Typed<'_>) -> bool {
    const SAME: f64 = 1e-9;
    let length = |(text, bare): Typed<'_>| {
        let plain = text.trim_matches(['"', '\'']);
        Length::parse(plain, bare).ok().map(|length| length.base())
    };
    let number = |(text, _): Typed<'_>| text.parse::<f64>().ok();
    let alike = |one: Option<f64>, other: Option<f64>| {
        one.zip(other).is_some_and(|(one, other)| (one - other).abs() <= SAME * one.abs().max(1.0))
    };
    one == other
        || alike(length(one), length(other))
        || one.1 == other.1 && alike(number(one), number(other))
}

fn said(source: &Source) -> Option<Said> {
    let document = source.parse().document;
    let table = document.get_ref();
    let text_of = |key: &str| {
        let planter = table.get(planter::KEYS.name)?.get_ref().as_table()?;
        Some(planter.get(key)?.get_ref().as_str()?.to_owned())
    };
    let file = source.planter_file().map(|file| file.path.display().to_string());
    let own = bare(table);
    let of_planter = match source.parse_planter() {
        Some((file, _)) => bare(file.get_ref()),
        None => own,
    };
    let mut keys = BTreeMap::new();
    for name in OF_THE_MACHINE {
        if let Some(value) = table.get(name) {
            flatten(name, value, source.whole(), &mut keys);
        }
    }
    Some(Said {
        sheet: source.name().to_owned(),
        planter: text_of(planter::NAME.name).or(file)?,
        serial: text_of("serial"),
        bare: [own, of_planter],
        keys,
    })
}

/// The unit of bare lengths.
fn bare(table: &DeTable<'_>) -> Option<LengthUnit> {
    let word = table.get(BARE_LENGTH.name)?.get_ref().as_str()?;
    UNITS.iter().find(|(name, _)| *name == word).map(|(_, unit)| *unit)
}

/// Every value in a table by its path, as typed.
fn flatten(
    path: &str,
    value: &Spanned<DeValue<'_>>,
    text: &str,
    keys: &mut BTreeMap<String, String>,
) {
    let mut inside = |table: &DeTable<'_>| {
        for (key, value) in table {
            flatten(&format!("{path}.{}", key.get_ref()), value, text, keys);
        }
    };
    match value.get_ref() {
        DeValue::Table(table) => inside(table),
        DeValue::Array(entries) if entries.iter().any(|one| one.get_ref().is_table()) => {
            for (number, entry) in (1..).zip(entries.iter()) {
                flatten(&format!("{path} {number}"), entry, text, keys);
            }
        }
        _ => {
            let typed = text.get(value.span()).unwrap_or_default();
            keys.insert(path.into(), typed.split_whitespace().collect::<Vec<_>>().join(" "));
        }
    }
}

/// The other sheets in the folder of a sheet that name the same file for their planter.
#[must_use]
pub fn sharing(source: &Source, sheet: &Path) -> Vec<PathBuf> {
    let Some(file) = source.planter_file() else { return vec![] };
    let folder = sheet.parent().filter(|folder| !folder.as_os_str().is_empty());
    let Ok(entries) = std::fs::read_dir(folder.unwrap_or(Path::new("."))) else { return vec![] };
    let own = std::fs::canonicalize(sheet).ok();
    let shares = |path: &PathBuf| {
        let is_toml = path.extension().is_some_and(|one| one.eq_ignore_ascii_case("toml"));
        let other = is_toml && std::fs::canonicalize(path).ok() != own;
        let opened = || Source::open(path).ok().filter(|_| path.is_file());
        other
            && opened().is_some_and(|one| {
                one.planter_file().is_some_and(|theirs| theirs.path == file.path)
            })
    };
    let paths = entries.flatten().map(|entry| match folder {
        Some(_) => entry.path(),
        None => PathBuf::from(entry.file_name()),
    });
    let mut all: Vec<PathBuf> = paths.filter(shares).collect();
    all.sort();
    all
}
