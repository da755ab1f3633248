//! The columns of a spreadsheet's file, and of what is pasted out of one.

use super::super::WriteError;
use super::super::kinds::Kind;
use super::doubt::Doubt;
use super::token::is_one;
use super::values::cells;

/// Columns picked out of a file, the same number of cells in each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Columns {
    cells: Vec<Vec<String>>,
}

/// The columns of a file that hold the readings of a kind: those of these names or numbers, or
/// all where there are no more than wanted.
///
/// # Errors
///
/// A [`WriteError`] where they can't be told, or a cell is missing.
///
/// ```
/// use alleytrue::sheet::writing::{KINDS, columns};
/// let kind = KINDS.iter().find(|kind| kind.name == "trip").expect("trip runs");
/// let file = "range;readout\n1;237,4\n2;238,1\n";
/// assert!(columns(kind, file, &["Readout".into()]).is_ok());
/// assert!(columns(kind, file, &["2".into()]).is_ok());
/// assert!(columns(kind, "1;237,4\n2;238,1\n", &[]).is_err());
/// ```
pub fn columns(kind: &Kind, text: &str, wanted: &[String]) -> Result<Columns, WriteError> {
    let mut rows = rows(text)?;
    let Some(width) = rows.first().map(Vec::len) else {
        return Err(doubt("the file is empty", "give one with the readings in a column"));
    };
    if let Some((at, row)) = rows.iter().enumerate().find(|(_, row)| row.len() != width) {
        let words = format!("row {} is {} cells wide, row 1 is {width}", at + 1, row.len());
        return Err(doubt(words, "part cells by semicolons or tabs where numbers have commas"));
    }
    let is_head = |row: &[String]| !row.iter().any(|cell| is_number(cell));
    let heads = if is_head(&rows[0]) { Some(rows.remove(0)) } else { None };
    let picked = picked(kind, heads.as_deref(), width, wanted)?;
    let mut columns = vec![vec![]; picked.len()];
    for (at, row) in rows.iter().enumerate() {
        let own: Vec<&str> = picked.iter().map(|column| row[*column].trim()).collect();
        let empty = own.iter().filter(|cell| cell.is_empty()).count();
        if empty == own.len() {
            continue;
        }
        if empty > 0 {
            let words = format!("row {} has one side only", at + 1 + usize::from(heads.is_some()));
            return Err(doubt(
                words,
                "alleys of which one side was measured go into a run of their own",
            ));
        }
        for (column, cell) in columns.iter_mut().zip(own) {
            column.push(cell.to_owned());
        }
    }
    Ok(Columns { cells: columns })
}

impl Columns {
    /// Readings that were given one by one, those of each side in a column.
    #[must_use]
    pub fn of(cells: Vec<Vec<String>>) -> Columns {
        Columns { cells }
    }

    /// The readings of the only column.
    pub(super) fn readings(&self) -> Result<Vec<String>, Doubt> {
        cells(self.cells.first().map_or(&[], |column| column.as_slice()))
    }

    /// Both sides.
    pub(super) fn pairs(&self) -> Result<(Vec<String>, Vec<String>), Doubt> {
        let side = |at: usize| cells(self.cells.get(at).map_or(&[], |column| column.as_slice()));
        Ok((side(0)?, side(1)?))
    }
}

/// Refuses a pasted text that has several columns, of which one would have to be picked.
pub(super) fn one_column(text: &str) -> Result<(), Doubt> {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).collect();
    let several = |line: &&&str| {
        line.trim().split(['\t', ';']).filter(|cell| !cell.trim().is_empty()).count() > 1
    };
    match lines.iter().find(several) {
        Some(line) if lines.len() > 1 => Err(Doubt::new(
            format!("`{}` has several columns", line.trim().replace('\t', " | ")),
            "paste the column of the readings alone, or read a file by --from and --columns".into(),
        )),
        _ => Ok(()),
    }
}

/// A text without the heading above its readings: a first line that has no digit.
pub(super) fn without_heading(text: &str) -> &str {
    let text = text.trim_start_matches('\u{feff}').trim_start_matches(['\n', '\r']);
    match text.split_once('\n') {
        Some((head, rest)) if !head.chars().any(|c| c.is_numeric()) => rest,
        _ => text,
    }
}

/// The cells of a file, row by row; rows without anything are left out.
fn rows(text: &str) -> Result<Vec<Vec<String>>, WriteError> {
    let text = text.trim_start_matches('\u{feff}');
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).collect();
    let all = |c: char| !lines.is_empty() && lines.iter().all(|line| line.contains(c));
    let head_is_one = lines.first().is_some_and(|head| !head.contains(',') && !is_number(head));
    let delimiter = match (all('\t'), all(';')) {
        (true, _) => b'\t',
        (false, true) => b';',
        // Under a heading of one cell there is one column, and its commas are decimal.
        (false, false) if head_is_one => b';',
        (false, false) => b',',
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = vec![];
    for record in reader.records() {
        let record = record.map_err(|error| {
            doubt(format!("the file is no CSV: {error}"), "save it as CSV, in UTF-8")
        })?;
        let row: Vec<String> = record.iter().map(ToOwned::to_owned).collect();
        if row.iter().any(|cell| !cell.is_empty()) {
            rows.push(row);
        }
    }
    Ok(rows)
}

/// Whether a cell holds a number or a measure.
fn is_number(cell: &str) -> bool {
    is_one(cell) || is_one(&cell.replacen(',', ".", 1))
}

/// The columns that hold the readings.
fn picked(
    kind: &Kind,
    heads: Option<&[String]>,
    width: usize,
    wanted: &[String],
) -> Result<Vec<usize>, WriteError> {
    let count = if kind.pair.is_some() { 2 } else { 1 };
    if wanted.is_empty() {
        return by_key(kind, heads)
            .or_else(|| (width == count).then(|| (0..width).collect()))
            .ok_or_else(|| {
                let words = format!("the file has {width} columns{}", names(heads));
                doubt(
                    words,
                    format!("say which hold the readings: --columns {}", example(count, heads)),
                )
            });
    }
    if wanted.len() != count {
        let words =
            format!("`record {}` takes {count} of the columns, not {}", kind.name, wanted.len());
        return Err(doubt(words, format!("name them: --columns {}", example(count, heads))));
    }
    wanted.iter().map(|name| column(name, heads, width)).collect()
}

/// The columns under headings that are the keys they go to.
fn by_key(kind: &Kind, heads: Option<&[String]>) -> Option<Vec<usize>> {
    let keys = match &kind.pair {
        Some(pair) => vec![pair.before, pair.behind],
        None => vec![kind.values.last()?.key],
    };
    let place = |key: &&str| {
        let same = |head: &String| head.to_lowercase().replace([' ', '_'], "-") == **key;
        let mut all = heads?.iter().enumerate().filter(|(_, head)| same(head));
        all.next().filter(|_| all.next().is_none()).map(|(at, _)| at)
    };
    keys.iter().map(place).collect()
}

/// The column of a name or a number, counted from 1.
fn column(name: &str, heads: Option<&[String]>, width: usize) -> Result<usize, WriteError> {
    let name = name.trim();
    let same = |head: &String| head.trim().to_lowercase() == name.to_lowercase();
    let named: Vec<usize> = heads
        .into_iter()
        .flat_map(|heads| heads.iter().enumerate().filter(|(_, head)| same(head)))
        .map(|(at, _)| at)
        .collect();
    match (&named[..], name.parse::<usize>()) {
        ([at], _) => Ok(*at),
        ([_, _, ..], _) => {
            Err(doubt(format!("several columns are called `{name}`"), "say which by its number"))
        }
        ([], Ok(number)) if (1..=width).contains(&number) => Ok(number - 1),
        _ => Err(doubt(
            format!("the file has no column `{name}`"),
            format!("it has {width} columns{}", names(heads)),
        )),
    }
}

fn names(heads: Option<&[String]>) -> String {
    heads.map_or(String::new(), |heads| format!(": {}", heads.join(", ")))
}

fn example(count: usize, heads: Option<&[String]>) -> String {
    match heads {
        Some(heads) if heads.len() >= count => heads[heads.len() - count..].join(","),
        _ => (1..=count).map(|at| at.to_string()).collect::<Vec<_>>().join(","),
    }
}

fn doubt(words: impl Into<String>, advice: impl Into<String>) -> WriteError {
    Doubt::new(words.into(), advice.into()).into()
}
