//! The working lines of a printed page, read back as a person with a pencil would.

use unicode_width::UnicodeWidthStr;

/// A line of the working as printed: `name = piece = piece ...`.
#[derive(Debug)]
pub struct Line {
    pub name: String,
    pub pieces: Vec<String>,
}

/// Every working line of a page, in the order printed, its wrapped parts joined again.
///
/// A working line is indented by exactly two spaces; its pieces follow the name after ` = `, on
/// the same line, or each on lines of its own that are indented by four and start with `= `, and
/// go on indented by six.
pub fn lines(page: &str) -> Result<Vec<Line>, String> {
    let mut found: Vec<Line> = Vec::new();
    // Whether the line before belongs to a step whose pieces stand on lines of their own.
    let mut open = false;
    let all: Vec<&str> = page.lines().collect();
    for (index, text) in all.iter().enumerate() {
        if ["CAUTIONS", "WARNINGS"].iter().any(|head| text.starts_with(head)) {
            break;
        }
        if let Some(piece) = text.strip_prefix("    = ") {
            let step = found.last_mut().filter(|_| open);
            step.ok_or(format!("a piece without a name: {text}"))?.pieces.push(piece.into());
        } else if let (true, Some(rest)) = (open, text.strip_prefix("      ")) {
            let piece = found.last_mut().and_then(|step| step.pieces.last_mut());
            let piece = piece.ok_or(format!("more of nothing: {text}"))?;
            piece.push(' ');
            piece.push_str(rest);
        } else if let Some(rest) = text.strip_prefix("  ").filter(|rest| !rest.starts_with(' ')) {
            let mut pieces = rest.split(" = ").map(str::to_owned);
            let name = pieces.next().unwrap_or_default();
            let pieces: Vec<String> = pieces.collect();
            open = pieces.is_empty()
                && all.get(index + 1).is_some_and(|next| next.starts_with("    = "));
            if open || !pieces.is_empty() {
                found.push(Line { name, pieces });
            }
        } else {
            open = false;
            if text.trim_start().starts_with("= ") {
                return Err(format!("a piece that stands nowhere: {text}"));
            }
        }
    }
    Ok(found)
}

/// Lines too wide for a page of 80 columns.
pub fn too_wide(page: &str) -> Vec<&str> {
    page.lines().filter(|line| line.width() > 80).collect()
}

/// A piece that ends in a remark in brackets, taken apart: `24 teeth (sheet)`.
pub fn remark(piece: &str) -> Option<(&str, &str)> {
    piece.strip_suffix(')')?.split_once(" (")
}

/// A piece of a formula or of its numbers.
#[derive(Clone, Debug, PartialEq)]
pub enum Token {
    /// `+ - * / ^`
    Operator(char),
    /// `(` or a function with its `(`.
    Open(&'static str),
    /// `)`
    Close,
    /// A number as written.
    Number(String),
    /// A name that stands for a number.
    Name(String),
}

/// The tokens of a formula, given the names that may stand in it, or of its numbers; `None` where
/// it is told in words.
pub fn tokens(text: &str, names: &[&str]) -> Option<Vec<Token>> {
    let mut found = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        rest = rest.trim_start();
        let name = names
            .iter()
            .filter(|name| rest.strip_prefix(**name).is_some_and(ends))
            .max_by_key(|name| name.len());
        let number =
            rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).map_or(rest, |end| &rest[..end]);
        let negative = rest.strip_prefix('-').map(|after| {
            after.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(after.len())
        });
        if let Some(name) = name {
            found.push(Token::Name((*name).into()));
            rest = &rest[name.len()..];
        } else if !number.is_empty() {
            found.push(Token::Number(number.into()));
            rest = &rest[number.len()..];
        } else if let Some(digits) = negative.filter(|digits| *digits > 0) {
            found.push(Token::Number(rest[..=digits].into()));
            rest = &rest[digits + 1..];
        } else if let Some(open) = ["nearest whole(", "round up(", "sqrt(", "("]
            .iter()
            .find(|open| rest.starts_with(**open))
        {
            found.push(Token::Open(open));
            rest = &rest[open.len()..];
        } else {
            let next = rest.chars().next()?;
            found.push(match next {
                ')' => Token::Close,
                '\u{d7}' => Token::Operator('*'),
                '+' | '-' | '*' | '/' | '^' => Token::Operator(next),
                _ => return None,
            });
            rest = &rest[next.len_utf8()..];
        }
    }
    Some(found)
}

/// Whether a name may end here.
fn ends(rest: &str) -> bool {
    rest.is_empty() || rest.starts_with([' ', ')', '^'])
}
