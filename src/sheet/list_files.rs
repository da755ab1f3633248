//! Lists that a spreadsheet keeps: the lots of a trial, and which entry stands on which plot.
//!
//! Their texts stand behind that of the sheet, so that a row that can't be used is shown with the
//! name of its file and its line. A row of lots becomes a [[lot]] and is read and checked as one.

use std::ops::Range;
use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use toml_edit::Value;

use super::file_beside::{self, FileBeside, NoFile, Role};
use super::reader::{Entry, Keys, Reader, Section, Shape, suggestion};
use super::{codes, lot, packets};

/// The keys of [packets] that name a list.
static LISTS: [(&str, Role); 2] = [
    (
        packets::LOTS.name,
        Role {
            name: "the file of the lots",
            example: "lots = \"lots.csv\"",
            else_: "write the lots into the sheet, a [[lot]] each",
        },
    ),
    (
        packets::PLOTS.name,
        Role {
            name: "the file of the plots",
            example: "plots = \"plots.csv\"",
            else_: "take the key out",
        },
    ),
];

/// The lists that a sheet names, each by its key.
pub(super) fn named_in(text: &str) -> Vec<(&'static str, String)> {
    // Most sheets have none, and are not parsed twice.
    if !LISTS.iter().any(|(key, _)| text.contains(key)) || !text.contains(packets::KEYS.name) {
        return vec![];
    }
    let (document, _) = DeTable::parse_recoverable(text);
    let table = document.get_ref().get(packets::KEYS.name);
    let Some(DeValue::Table(table)) = table.map(Spanned::get_ref) else { return vec![] };
    let named = |(key, _): &(&'static str, Role)| {
        Some((*key, table.get(*key)?.get_ref().as_str()?.to_owned()))
    };
    LISTS.iter().filter_map(named).collect()
}

/// The file of a list.
pub(super) fn read(sheet: &Path, key: &str, named: &str) -> Result<FileBeside, NoFile> {
    let role = LISTS.iter().find(|(own, _)| *own == key).map_or(LISTS[0].1, |(_, role)| *role);
    file_beside::read(sheet, named, role)
}

/// A row of a list: its cells, and the place of its line.
struct Row {
    cells: Vec<String>,
    span: Range<usize>,
}

/// A list with the names of its columns.
struct List {
    heads: Vec<Head>,
    head: Range<usize>,
    rows: Vec<Row>,
    /// Whether commas part its cells, so that none stands in a number.
    by_comma: bool,
}

/// The head of a column: its name, and the unit that it may give.
struct Head {
    name: String,
    unit: String,
}

impl Head {
    /// `Mass (g)`, `thousand seed weight, g`, `germination_%`: the name as a key, and the unit.
    fn of(cell: &str) -> Head {
        let cell = cell.trim();
        let (name, unit) = match cell.split_once(['(', '[', ',']) {
            Some((name, unit)) => (name, unit.trim_end_matches([')', ']'])),
            None => (cell, ""),
        };
        let name = name.trim().to_lowercase().replace([' ', '_'], "-");
        Head { name, unit: unit.trim().to_owned() }
    }
}

/// What is wrong with a list, and what to do.
type Wrong = (Range<usize>, String, &'static str);

impl List {
    /// The list in a text that starts at a place; cells parted by what the first line has most of.
    fn of(text: &str, start: usize) -> Result<List, Wrong> {
        let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
        let count = |sign: char| first.matches(sign).count();
        let delimiter = [b'\t', b';', b',']
            .into_iter()
            .max_by_key(|sign| (count(char::from(*sign)), *sign == b'\t'))
            .unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut rows = vec![];
        for record in reader.records() {
            let record = record.map_err(|error| {
                let advice = "save it as CSV, in UTF-8";
                (start..start, format!("the list is no CSV: {error}"), advice)
            })?;
            let at = record.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(0));
            // The reader counts from the end of the line before.
            let skipped = text[at..].len() - text[at..].trim_start_matches(['\r', '\n']).len();
            let at = at + skipped;
            let end = text[at..].find(['\r', '\n']).map_or(text.len(), |end| at + end);
            let cells: Vec<String> = record.iter().map(ToOwned::to_owned).collect();
            if cells.iter().any(|cell| !cell.is_empty()) {
                rows.push(Row { cells, span: start + at..start + end });
            }
        }
        if rows.is_empty() {
            let advice = "its first line has the names of the columns";
            return Err((start..start, "the list is empty".into(), advice));
        }
        let head = rows.remove(0);
        let heads: Vec<Head> = head.cells.iter().map(|cell| Head::of(cell)).collect();
        if let Some(row) = rows.iter().find(|row| row.cells.len() > heads.len()) {
            let words = format!(
                "the row has {} cells, and the list has {} columns",
                row.cells.len(),
                heads.len()
            );
            let advice = "put cells with commas in quotes, or part cells by semicolons or tabs";
            return Err((row.span.clone(), words, advice));
        }
        Ok(List { heads, head: head.span, rows, by_comma: delimiter == b',' })
    }

    fn column(&self, name: &str) -> Option<usize> {
        self.heads.iter().position(|head| head.name == name)
    }
}

/// The lots of a list, each read as a [[lot]]; what is wrong is said of its row.
pub(super) fn lots(
    reader: &mut Reader<'_>,
    text: &str,
    start: usize,
    top: &'static Keys,
) -> Vec<lot::Table> {
    let list = match List::of(text, start) {
        Ok(list) => list,
        Err(wrong) => return refused(reader, wrong),
    };
    if list.column("name").is_none() && list.column("entry").is_none() {
        let advice = "its first line has the names of the columns: entry, name, mass and so on";
        let words = "the list of lots has neither a column `name` nor `entry`".to_owned();
        return refused(reader, (list.head.clone(), words, advice));
    }
    misspelt(reader, &list);
    let (toml, starts) = as_toml(&list);
    let (document, errors) = DeTable::parse_recoverable(&toml);
    debug_assert!(errors.is_empty(), "{errors:?}\n{toml}");
    let mut own = Reader::new(&toml);
    let mut section = Section::top(&document, top);
    let mut lots = section.tables(&mut own, &lot::KEYS, lot::read);
    let row_at = |place: usize| {
        let row = starts.iter().rposition(|start| *start <= place).unwrap_or(0);
        list.rows.get(row).map_or(list.head.clone(), |row| row.span.clone())
    };
    for one in own.into_diagnostics() {
        let said = reader.say(one.code, row_at(one.span.start), one.message, one.advice);
        said.allowed = one.allowed;
    }
    for lot in &mut lots {
        lot.move_to(&row_at(lot.span.start));
    }
    lots
}

fn refused<T>(reader: &mut Reader<'_>, (span, message, advice): Wrong) -> Vec<T> {
    reader.say(&codes::LIST_FILE, span, message, advice);
    vec![]
}

/// Columns that are nearly the name of a key; others are the crew's own and left alone.
fn misspelt(reader: &mut Reader<'_>, list: &List) {
    let known = || lot::KEYS.entries().map(Entry::name);
    for head in &list.heads {
        let is_known = known().any(|name| name == head.name);
        if let Some(near) = suggestion(&head.name, known()).filter(|_| !is_known) {
            let message = format!("the list of lots has a column `{}`", head.name);
            let advice = format!("did you mean `{near}`? A column of your own takes another name");
            reader.say(&codes::UNKNOWN_KEY, list.head.clone(), message, advice).allowed =
                Some(known().collect::<Vec<_>>().join(", "));
        }
    }
}

/// The rows as [[lot]] tables, and where each starts.
fn as_toml(list: &List) -> (String, Vec<usize>) {
    let mut toml = String::new();
    let mut starts = vec![];
    for row in &list.rows {
        starts.push(toml.len());
        toml.push_str("[[lot]]\n");
        let mut named = false;
        for (head, cell) in list.heads.iter().zip(&row.cells) {
            let Some(key) = lot::KEYS.entries().find(|entry| entry.name() == head.name) else {
                continue;
            };
            if cell.is_empty() {
                continue;
            }
            named |= key.name() == "name";
            let value = value_of(key, head, &plain_number(cell, list.by_comma));
            toml.push_str(&format!("{} = {value}\n", key.name()));
        }
        // A lot that has a number only goes by that.
        let entry = list.column("entry").and_then(|column| row.cells.get(column));
        if let (false, Some(entry)) = (named, entry) {
            toml.push_str(&format!("name = {}\n", Value::from(format!("entry {entry}"))));
        }
    }
    (toml, starts)
}

/// A number with a decimal comma, as those have whose cells are parted by something else.
fn plain_number(cell: &str, by_comma: bool) -> String {
    let number = cell.split(' ').next().unwrap_or_default();
    let halves = number.split_once(',');
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    match halves {
        Some((before, after)) if !by_comma && digits(before) && digits(after) => {
            cell.replacen(',', ".", 1)
        }
        _ => cell.to_owned(),
    }
}

/// A cell as the value of a key: a number as one, with the unit of its column where it has none.
fn value_of(key: &dyn Entry, head: &Head, cell: &str) -> String {
    let shapes = key.shapes();
    let is_number = cell.parse::<f64>().is_ok_and(f64::is_finite);
    let whole = shapes.iter().any(|shape| matches!(shape, Shape::Whole(_) | Shape::Number(_)));
    let measure = shapes.iter().find_map(|shape| match shape {
        Shape::Measure(written) => Some(written),
        _ => None,
    });
    match measure {
        // A share has no other unit.
        Some(written) if is_number && written.noun == "a share" => {
            Value::from(format!("{cell} %")).to_string()
        }
        Some(_) if is_number && !head.unit.is_empty() => {
            Value::from(format!("{cell} {}", head.unit)).to_string()
        }
        None if is_number && whole => cell.trim_start_matches('+').to_owned(),
        _ => Value::from(cell).to_string(),
    }
}

/// Which entry stands on which plot: the number of the plot, that of the entry, the place of the row.
pub(super) fn plots(
    reader: &mut Reader<'_>,
    text: &str,
    start: usize,
) -> Vec<(u32, u32, Range<usize>)> {
    let list = match List::of(text, start) {
        Ok(list) => list,
        Err(wrong) => return refused(reader, wrong),
    };
    let columns = list.column("plot").zip(list.column("entry"));
    let Some((plot, entry)) = columns else {
        let words = "the list of plots needs a column `plot` and a column `entry`".to_owned();
        let advice = "its first line has the names of the columns";
        return refused(reader, (list.head.clone(), words, advice));
    };
    let mut all = vec![];
    for row in &list.rows {
        let number = |column: usize| {
            let cell = row.cells.get(column).map_or("", String::as_str);
            cell.parse::<u32>().map_err(|_| cell.to_owned())
        };
        match (number(plot), number(entry)) {
            (Ok(plot), Ok(entry)) => all.push((plot, entry, row.span.clone())),
            (Err(cell), _) | (_, Err(cell)) => {
                let message = format!("`{cell}` is no whole number");
                let advice = "write the number of the plot and that of its entry";
                reader.say(&codes::LIST_FILE, row.span.clone(), message, advice);
            }
        }
    }
    all
}

/// Says why a list can't be read, where the sheet names it.
pub(super) fn not_read(reader: &mut Reader<'_>, place: &Range<usize>, why: &NoFile) {
    reader.say(&codes::LIST_FILE, place.clone(), why.message.clone(), why.advice.clone());
}

/// A list that a text in no folder names.
pub(super) fn not_looked_up() -> NoFile {
    let message = "the list was not looked up".to_owned();
    NoFile { message, advice: "write its name into the sheet's own [packets]".into() }
}
