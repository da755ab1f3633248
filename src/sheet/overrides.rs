//! Values set over those of a sheet, for a what-if: `trial.speed=3 mph`.
//!
//! An override becomes a line of TOML behind the text of the sheet, so that it is read, checked
//! and complained of like any other value, with a place of its own.

use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::TOP;

/// A value to set over that of a sheet, or a key to take out.
///
/// ```
/// use alleytrue::sheet::{FieldSheet, Override, Source, starter};
/// let faster: Override = "trial.speed=3 mph".parse()?;
/// let source = Source::new("sheet.toml", starter::US).with(&[faster]);
/// let sheet = FieldSheet::read(&source).map_err(|wrong| wrong[0].message.clone())?;
/// let speed = sheet.job.speed.and_then(|speed| speed.target);
/// assert_eq!(speed.map(|speed| speed.to_string()).as_deref(), Some("3 mph"));
/// # Ok::<(), String>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Override {
    /// As it was typed.
    typed: String,
    /// The key, part by part.
    path: Vec<String>,
    /// The line that sets it; `None` where the key is to be taken out.
    line: Option<String>,
}

impl FromStr for Override {
    type Err = String;

    /// Reads `TABLE.KEY=VALUE`. The value is TOML, or text where it is not, so that it needs no
    /// quotes: shells eat them. Without a value the key is taken out.
    fn from_str(typed: &str) -> Result<Self, String> {
        let shape = "write TABLE.KEY=VALUE, such as trial.speed=\"3 mph\"";
        let (key, value) = typed
            .split_once('=')
            .ok_or_else(|| format!("`{typed}` has no equals sign; {shape}"))?;
        let (key, value) = (key.trim(), value.trim());
        let probe = format!("{key} = 1");
        let path = one_path(&probe).ok_or_else(|| format!("`{key}` is no key; {shape}"))?;
        let line = match value {
            "" if is_known(&path) => None,
            "" => {
                return Err(format!("a sheet has no key `{key}` that could be taken out; {shape}"));
            }
            value => Some(line(key, value)),
        };
        Ok(Override { typed: typed.into(), path, line })
    }
}

/// The line of TOML that sets a key: the value as it is where that is TOML, else as text.
fn line(key: &str, value: &str) -> String {
    let plain = format!("{key} = {value}");
    let is_toml = !value.contains(['\n', '\r', '#']) && one_path(&plain).is_some();
    if is_toml { plain } else { format!("{key} = {}", quoted(value)) }
}

fn quoted(value: &str) -> String {
    let mut quoted = String::with_capacity(value.len() + 2);
    quoted.push('"');
    for c in value.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if c.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// The path of the one key that a line sets; `None` where it is no such line.
fn one_path(line: &str) -> Option<Vec<String>> {
    let document = DeTable::parse(line).ok()?;
    let mut path = vec![];
    let mut table = document.get_ref();
    let dots = line.split_once('=').map_or("", |(key, _)| key);
    loop {
        let mut entries = table.iter();
        let (Some((key, value)), None) = (entries.next(), entries.next()) else { return None };
        path.push(key.get_ref().to_string());
        match value.get_ref() {
            // The tables of a dotted key; one in braces is the value.
            DeValue::Table(inner) if key.span().end < dots.trim_end().len() => table = inner,
            _ => return Some(path),
        }
    }
}

/// Whether a sheet may have the key.
fn is_known(path: &[String]) -> bool {
    let Some((key, table)) = path.split_last() else { return false };
    let table = table.join(".");
    TOP.walk().iter().any(|known| known.path == table && known.keys.has(key))
}

impl Override {
    /// As it was typed.
    #[must_use]
    pub fn typed(&self) -> &str {
        &self.typed
    }

    /// The key, as it was typed.
    #[must_use]
    pub fn key(&self) -> &str {
        self.typed.split_once('=').map_or("", |(key, _)| key.trim())
    }

    /// The value, as it was typed; empty where the key is taken out.
    #[must_use]
    pub fn value(&self) -> &str {
        self.typed.split_once('=').map_or("", |(_, value)| value.trim())
    }

    /// The line that sets it, if it does not take it out.
    pub(super) fn line(&self) -> Option<&str> {
        self.line.as_deref()
    }

    /// Takes the key out of a sheet.
    pub(super) fn take_out(&self, document: &mut DeTable<'_>) {
        take_out(document, &self.path);
    }
}

fn take_out(table: &mut DeTable<'_>, path: &[String]) {
    match path {
        [] => {}
        [key] => {
            table.remove(key.as_str());
        }
        [key, rest @ ..] => match table.get_mut(key.as_str()).map(Spanned::get_mut) {
            Some(DeValue::Table(inner)) => take_out(inner, rest),
            Some(DeValue::Array(entries)) => {
                for entry in entries.iter_mut() {
                    if let DeValue::Table(inner) = entry.get_mut() {
                        take_out(inner, rest);
                    }
                }
            }
            _ => {}
        },
    }
}

/// Lays the keys of an override over those of a sheet. Where a table may stand several times,
/// they are set in every one of them.
pub(super) fn lay_over<'s>(table: &mut DeTable<'s>, over: &DeTable<'s>) {
    for (key, value) in over.iter() {
        let own = table.get_mut(key.get_ref().as_ref()).map(Spanned::get_mut);
        match (own, value.get_ref()) {
            (Some(DeValue::Table(own)), DeValue::Table(over)) => lay_over(own, over),
            (Some(DeValue::Array(entries)), DeValue::Table(over)) if has_tables(entries) => {
                for entry in entries.iter_mut() {
                    if let DeValue::Table(own) = entry.get_mut() {
                        lay_over(own, over);
                    }
                }
            }
            _ => {
                let name: Spanned<DeString<'s>> = key.clone();
                table.insert(name, value.clone());
            }
        }
    }
}

fn has_tables(entries: &[Spanned<DeValue<'_>>]) -> bool {
    entries.iter().any(|entry| matches!(entry.get_ref(), DeValue::Table(_)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;
    use crate::sheet::{FieldSheet, Source, starter};

    fn set(typed: &str) -> Override {
        typed.parse().expect("an override")
    }

    #[test]
    fn values_are_toml_or_else_text() {
        let line = |typed: &str| set(typed).line.expect("a line");
        assert_eq!(line("trial.speed=3 mph"), "trial.speed = \"3 mph\"");
        assert_eq!(line("trial.speed = \"3 mph\""), "trial.speed = \"3 mph\"");
        assert_eq!(line("settings.trip-scale=402.5"), "settings.trip-scale = 402.5");
        assert_eq!(line("trial.plot=19' 9 1/2\""), "trial.plot = \"19' 9 1/2\\\"\"");
        assert_eq!(line("pass-run.lead=[1, 2]"), "pass-run.lead = [1, 2]");
        assert_eq!(line("planter.plate={ cells = 30 }"), "planter.plate = { cells = 30 }");
        assert_eq!(line("title=a # b"), "title = \"a # b\"");
        // A second line can't slip in.
        assert_eq!(line("trial.speed=3\nx = 1"), "trial.speed = \"3\\u000Ax = 1\"");
        assert_eq!(set("trial.population=").line, None);
        assert_eq!(set("planter.plate={ cells = 30 }").path, ["planter", "plate"]);
        for wrong in ["trial.speed", "=3", "a b=3", "trial.=3", "trial.sped=", "[trial]=3"] {
            assert!(wrong.parse::<Override>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_override_replaces_adds_and_takes_out() {
        let read = |overrides: &[&str]| {
            let overrides: Vec<Override> = overrides.iter().map(|one| set(one)).collect();
            let source = Source::new("sheet.toml", starter::US).with(&overrides);
            FieldSheet::read(&source).map_err(|wrong| {
                let places = wrong.iter().map(|one| source.override_at(one.span.start));
                let places: Vec<_> = places.map(|place| place.map(str::to_owned)).collect();
                (wrong.iter().map(|one| one.message.clone()).collect::<Vec<_>>(), places)
            })
        };
        let sheet = read(&["planter.drive.driving=20", "title=What if", "trial.alley=36"]);
        let sheet = sheet.expect("a good sheet");
        assert_eq!(sheet.title.as_deref(), Some("What if"));
        let alley = sheet.job.alley.expect("alleys").alley;
        assert_eq!(alley.value_in(crate::quantity::LengthUnit::Inch), 36.0);
        let (messages, places) = read(&["trial.speed=3 ft"]).expect_err("a wrong unit");
        assert_eq!(messages.len(), 1, "{messages:?}");
        assert_eq!(places, [Some("trial.speed=3 ft".to_owned())]);
        let (messages, _) = read(&["trial.sped=3 mph"]).expect_err("a wrong key");
        assert_eq!(messages, ["[trial] has no key `sped`"]);
        let both = ["trial.population=", "trial.seed-spacing=1.6 in"];
        assert!(read(&both).is_ok());
        assert!(read(&both[1..]).is_err(), "population and seed spacing");
        let late = read(&["trial.speed=2 ft", "trial.speed=3 mph"]).expect("the later holds");
        assert_eq!(late.job.speed.and_then(|s| s.target).expect("speed").to_string(), "3 mph");
    }
}
