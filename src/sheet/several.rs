//! One value or several to set over that of a sheet: `trial.population=30000/ac,34000/ac`.

use std::str::FromStr;

use super::TOP;
use super::overrides::Override;
use super::reader::Shape;
use super::writing::parted_by_commas;

/// A key with what is to be set over it, one after another.
///
/// ```
/// use alleytrue::sheet::SetOver;
/// let two: SetOver = "trial.population=30000/ac, 34000/ac".parse()?;
/// let values: Vec<&str> = two.each().iter().map(|one| one.value()).collect();
/// assert_eq!(values, ["30000/ac", "34000/ac"]);
/// # Ok::<(), String>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetOver {
    each: Vec<Override>,
}

impl FromStr for SetOver {
    type Err = String;

    /// Reads `TABLE.KEY=VALUE` or `TABLE.KEY=VALUE,VALUE`. A comma in brackets, in quotes or in a
    /// text parts nothing; one between two digits is taken for one only where nothing else can be
    /// meant.
    fn from_str(typed: &str) -> Result<SetOver, String> {
        let Some((key, value)) = typed.split_once('=') else {
            return typed.parse().map(|one| SetOver { each: vec![one] });
        };
        let values = if holds_text(key.trim()) { vec![value.to_owned()] } else { parted(value)? };
        let each = values.iter().map(|value| match values.len() {
            1 => typed.parse(),
            _ => format!("{}={value}", key.trim()).parse(),
        });
        Ok(SetOver { each: each.collect::<Result<_, String>>()? })
    }
}

impl SetOver {
    /// What is set, once for every value.
    #[must_use]
    pub fn each(&self) -> &[Override] {
        &self.each
    }
}

/// Whether a key takes text, in which a comma is a comma.
fn holds_text(key: &str) -> bool {
    let (table, key) = key.rsplit_once('.').unwrap_or(("", key));
    let tables = TOP.walk();
    let mut entries =
        tables.iter().filter(|known| known.path == table).flat_map(|known| known.keys.list);
    entries.any(|entry| entry.name() == key && entry.shapes().contains(&Shape::Text))
}

/// The values of a list.
fn parted(value: &str) -> Result<Vec<String>, String> {
    let parts = between_commas(value);
    if parts.len() < 2 {
        return Ok(vec![value.to_owned()]);
    }
    if let Some(empty) = parts.iter().position(|part| part.trim().is_empty()) {
        return Err(format!(
            "value {} of `{value}` is empty; write a value between commas",
            empty + 1
        ));
    }
    let tight = parts.windows(2).any(|pair| match pair {
        [before, behind] => {
            before.ends_with(|c: char| c.is_ascii_digit())
                && behind.starts_with(|c: char| c.is_ascii_digit())
        }
        _ => false,
    });
    let bare = |part: &&str| part.trim().parse::<f64>().is_ok();
    if !tight {
        return Ok(parts.iter().map(|part| part.trim().to_owned()).collect());
    }
    if parts.iter().all(bare) {
        return parted_by_commas(value.trim());
    }
    Err(format!(
        "`{value}` may be several values, or have commas that are no separators; put a blank behind \
         every comma that parts two values, and a point before decimals"
    ))
}

/// What stands between the commas that are in no brackets and in no quotes.
fn between_commas(value: &str) -> Vec<&str> {
    let (mut parts, mut start, mut depth) = (vec![], 0, 0_usize);
    let mut quote = None;
    for (place, c) in value.char_indices() {
        match (quote, c) {
            (Some(open), c) if c == open => quote = None,
            (Some(_), _) => {}
            // An inch mark stands behind a number, and opens nothing.
            (None, '"' | '\'') if value[start..place].trim().is_empty() || depth > 0 => {
                quote = Some(c);
            }
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => depth = depth.saturating_sub(1),
            (None, ',') if depth == 0 => {
                parts.push(&value[start..place]);
                start = place + 1;
            }
            _ => {}
        }
    }
    parts.push(&value[start..]);
    parts
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;

    fn values(typed: &str) -> Vec<String> {
        let set: SetOver = typed.parse().expect("values");
        set.each().iter().map(|one| one.value().to_owned()).collect()
    }

    #[test]
    fn commas_part_values_where_they_can_mean_nothing_else() {
        assert_eq!(values("trial.population=30000/ac,34000/ac"), ["30000/ac", "34000/ac"]);
        assert_eq!(values("trial.speed=\"2 mph\", \"3 mph\""), ["\"2 mph\"", "\"3 mph\""]);
        assert_eq!(values("trial.plot=17' 6\",18'"), ["17' 6\"", "18'"]);
        assert_eq!(values("settings.setback=14,15,16"), ["14", "15", "16"]);
        assert_eq!(values("settings.setback=14.5,15"), ["14.5", "15"]);
        assert_eq!(values("settings.setback=14, 15"), ["14", "15"]);
        assert_eq!(values("pass-run.lead=[1, 2]"), ["[1, 2]"]);
        assert_eq!(values("pass-run.lead=[1, 2], [3]"), ["[1, 2]", "[3]"]);
        assert_eq!(values("trial.tolerance={ trip = \"1 in\", centre = \"1 in\" }").len(), 1);
        assert_eq!(values("title=north, south"), ["north, south"]);
        assert_eq!(values("trial.population="), [""]);
    }

    #[test]
    fn commas_that_may_mean_something_else_are_asked_about() {
        for doubtful in [
            "settings.setback=14,15",
            "trial.population=139,000/ac",
            "trial.speed=2,8 mph",
            "trial.speed=2,8 mph,3 mph",
            "trial.population=30000/ac,",
            "trial.population=30000/ac,,34000/ac",
        ] {
            assert!(doubtful.parse::<SetOver>().is_err(), "{doubtful}");
        }
    }
}
