//! The sheet as a JSON Schema (draft 7), for editors: drawn from the declarations that reading
//! goes by, so that it can't say anything else than the program does.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};

use crate::quantity::AngleKind;
use crate::quantity::bounds::Bounds;

use super::TOP;
use super::reader::{Entry, Known, Needed, Shape, Written, any};

/// Name of the file that `new --schema` writes beside a sheet.
pub const FILE: &str = "field-sheet.schema.json";

/// The line that names the schema to an editor, first in a sheet.
pub const LINE: &str = "#:schema ./field-sheet.schema.json\n";

/// The schema as text, with its line end.
#[must_use]
pub fn text() -> String {
    let mut text = serde_json::to_string_pretty(&schema()).unwrap_or_default();
    text.push('\n');
    text
}

/// The schema.
///
/// What a key needs elsewhere in the sheet is not in it: `calibrate` says that.
///
/// ```
/// let schema = alleytrue::sheet::schema::schema();
/// let rows = &schema["definitions"]["planter"]["properties"]["rows"];
/// assert_eq!(rows["type"], "integer");
/// assert_eq!(rows["maximum"], 48);
/// ```
#[must_use]
pub fn schema() -> Json {
    let mut known = TOP.walk();
    known.sort_by(|a, b| a.path.cmp(&b.path));
    let mut schema = Map::new();
    schema.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
    schema.insert("title".into(), json!("Field sheet of alleytrue"));
    schema.insert(
        "description".into(),
        json!(format!("{} Everything is seen along the direction of travel.", TOP.meaning)),
    );
    let mut definitions = Map::new();
    for table in &known {
        let object = object(table);
        if table.path.is_empty() {
            schema.extend(object);
        } else {
            let mut described = Map::new();
            described.insert("description".into(), json!(words(table)));
            described.extend(object);
            definitions.insert(table.path.clone(), Json::Object(described));
        }
    }
    schema.insert("definitions".into(), Json::Object(definitions));
    Json::Object(schema)
}

/// What a table is, and what there is to know of it.
fn words(table: &Known) -> String {
    let words = [table.keys.meaning, table.keys.notes];
    words.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A table with its keys.
fn object(table: &Known) -> Map<String, Json> {
    // Under one name there may be a bare value, or a table in its place.
    let mut entries: BTreeMap<&str, Vec<&'static dyn Entry>> = BTreeMap::new();
    for entry in table.keys.entries() {
        entries.entry(entry.name()).or_default().push(entry);
    }
    let properties: Map<String, Json> = entries
        .iter()
        .map(|(name, entries)| ((*name).to_owned(), property(&table.path, entries)))
        .collect();
    let always = table.keys.entries().filter(|entry| entry.needed() == Needed::Always);
    let needed: Vec<&str> = always.map(Entry::name).collect();
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("additionalProperties".into(), json!(false));
    if !needed.is_empty() {
        object.insert("required".into(), json!(needed));
    }
    object.insert("properties".into(), Json::Object(properties));
    let endings = table.keys.endings.iter().map(|entry| {
        let pattern = format!(".{}$", entry.name().replace('.', "\\."));
        (pattern, property(&table.path, &[*entry]))
    });
    let endings: Map<String, Json> = endings.collect();
    if !endings.is_empty() {
        object.insert("patternProperties".into(), Json::Object(endings));
    }
    object
}

/// A key with what it takes and what it means.
fn property(path: &str, entries: &[&'static dyn Entry]) -> Json {
    let shapes: Vec<Shape> = entries.iter().flat_map(|entry| entry.shapes()).collect();
    let mut choices: Vec<Json> = shapes.iter().flat_map(shape).collect();
    let files = entries.iter().filter_map(|entry| entry.keys()).map(|keys| keys.file);
    choices.extend(files.filter(|file| !file.is_empty()).map(file));
    for inner in entries.iter().filter_map(|entry| entry.keys()) {
        let path =
            if path.is_empty() { inner.name.into() } else { format!("{path}.{}", inner.name) };
        let one = json!({ "$ref": format!("#/definitions/{path}") });
        if inner.many {
            choices.push(json!({ "type": "array", "items": one }));
        }
        choices.push(one);
    }
    let mut property = any_of(choices);
    // Beside a reference nothing else counts; a table says itself what it is.
    if let (Some(object), Some(entry)) = (property.as_object_mut(), entries.first())
        && !object.contains_key("$ref")
    {
        object.shift_insert(0, "description".into(), json!(meaning(*entry, &shapes)));
    }
    property
}

/// What a key means and takes, for whoever rests the pointer on it.
fn meaning(entry: &dyn Entry, shapes: &[Shape]) -> String {
    // Words to choose from are listed by the editor.
    let told = |shape: &&Shape| !is_enumerated(shape);
    let mut takes = any(shapes.iter().filter(told).map(Shape::noun));
    let meaning = entry.meaning();
    if takes.is_empty() {
        return meaning.into();
    }
    takes[..1].make_ascii_uppercase();
    let limits = any(shapes.iter().filter_map(Shape::limits));
    let colon = if limits.is_empty() { "" } else { ": " };
    format!("{meaning} {takes}{colon}{limits}; such as {}.", entry.example())
}

fn is_enumerated(shape: &Shape) -> bool {
    match shape {
        Shape::Words(_) => true,
        Shape::Names(names) => !names.and_so_on,
        Shape::List(entries) => entries.iter().all(is_enumerated),
        _ => false,
    }
}

fn any_of(mut choices: Vec<Json>) -> Json {
    choices.dedup();
    match (choices.len(), choices.pop()) {
        (_, None) => json!({}),
        (1, Some(only)) => only,
        (_, Some(last)) => {
            choices.push(last);
            json!({ "anyOf": choices })
        }
    }
}

fn shape(shape: &Shape) -> Vec<Json> {
    match shape {
        Shape::Text => vec![json!({ "type": "string" })],
        // Editors hand dates over as text.
        Shape::Date => vec![json!({
            "type": "string",
            "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}",
            "description": "A date without quotes: 2027-04-18.",
        })],
        Shape::YesNo => vec![json!({ "type": "boolean" })],
        Shape::Words(words) => vec![json!({ "type": "string", "enum": words })],
        Shape::Number(bounds) => vec![number("number", "A number", bounds)],
        Shape::Whole(bounds) => vec![number("integer", "A whole number", bounds)],
        Shape::Names(names) if names.and_so_on => vec![json!({ "type": "string" })],
        Shape::Names(names) => vec![json!({ "type": "string", "enum": names.all })],
        Shape::Measure(written) => measure(written),
        Shape::Angle(kind, bounds) => angle(*kind, bounds),
        Shape::List(entries) => {
            let items = any_of(entries.iter().flat_map(self::shape).collect());
            vec![json!({ "type": "array", "minItems": 1, "items": items })]
        }
    }
}

/// The name of a file that stands in the place of a table.
fn file(example: &str) -> Json {
    json!({
        "type": "string",
        "description": format!("A file beside the sheet that has it, such as {example}."),
    })
}

fn number(kind: &str, words: &str, bounds: &Bounds) -> Json {
    json!({
        "type": kind,
        "minimum": limit(bounds.least),
        "maximum": limit(bounds.most),
        "description": format!("{} {words}, {}.", bounds.what, bounds.text()),
    })
}

fn angle(kind: AngleKind, bounds: &Bounds) -> Vec<Json> {
    let words = format!("Degrees, such as {}", kind.examples());
    let text = format!("{} {words}; {}.", bounds.what, bounds.text());
    vec![
        number("number", &words, bounds),
        json!({ "type": "string", "pattern": "[0-9]", "description": text }),
    ]
}

/// A whole limit without a point.
#[allow(clippy::cast_possible_truncation)] // only where it is whole, and below 2^53
fn limit(value: f64) -> Json {
    let whole = value.fract() == 0.0 && value.abs() < 9e15;
    if whole { json!(value as i64) } else { json!(value) }
}

fn measure(written: &Written) -> Vec<Json> {
    let Written { noun, examples, bounds, .. } = written;
    let mut words = noun.to_string();
    words[..1].make_ascii_uppercase();
    let examples = examples.replace('`', "\"");
    let text =
        format!("{} {words} with its unit, {}; such as {examples}.", bounds.what, bounds.text());
    let mut ways =
        vec![json!({ "type": "string", "pattern": pattern(written), "description": text })];
    if written.bare {
        let text = format!(
            "{} {words} without a unit: the sheet's `bare-length` gives it; {}.",
            bounds.what,
            bounds.text()
        );
        ways.push(json!({ "type": "number", "description": text }));
    }
    ways
}

/// Digits and a unit, in small or capital letters; the marks that stand for feet and inches in
/// every form that is read.
fn pattern(written: &Written) -> String {
    const DIGIT: &str = "[0-9\u{bd}\u{bc}\u{be}\u{2153}\u{2154}\u{215b}-\u{215e}]";
    const OTHER: &str = "[^A-Za-z]*";
    let mut spellings: Vec<String> = written.spellings.iter().map(|one| letters(one)).collect();
    // The longest first, so that `ft` is not taken for the whole of `ft/min`.
    spellings.sort_by_key(|one| std::cmp::Reverse(one.len()));
    let units = spellings.join("|");
    let unit = if written.bare { format!("(?:{units})?") } else { format!("(?:{units})") };
    let part = format!("{OTHER}{DIGIT}{OTHER}{unit}");
    let second = if written.two_parts { format!("(?:{part})?") } else { String::new() };
    format!("^{part}{second}\\s*$")
}

/// A spelling as a pattern, for letters of either size.
fn letters(spelling: &str) -> String {
    let mut pattern = String::new();
    for c in spelling.chars() {
        match c {
            c if c.is_ascii_alphabetic() => {
                pattern.extend(['[', c.to_ascii_lowercase(), c.to_ascii_uppercase(), ']']);
            }
            ' ' => pattern.push_str("\\s+"),
            '2' => pattern.push_str("[2\u{b2}]"),
            '"' => pattern.push_str("(?:[\"\u{201c}\u{201d}\u{201f}\u{2033}\u{2ba}]|''|\u{2032}\u{2032}|\u{2019}\u{2019})"),
            '\'' => pattern.push_str("['\u{2018}\u{2019}\u{201b}\u{2032}\u{b4}`\u{2b9}]"),
            '/' => pattern.push_str("[/\u{2044}\u{2215}]"),
            '.' => pattern.push_str("\\."),
            c => pattern.push(c),
        }
    }
    pattern
}
