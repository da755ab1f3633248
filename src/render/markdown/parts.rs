//! What a page is made of. The part of Markdown that pages are written in: headings, paragraphs,
//! lists of one level, tables, fenced blocks, `code`, **strong words** and links.

/// A part of a page, in its order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part<'a> {
    /// Level from one, and words.
    Heading(usize, &'a str),
    /// Words, in one line.
    Paragraph(String),
    /// What stands before it, a dash or a number, and its words in one line.
    Item(&'a str, String),
    /// Lines of cells; the first holds the heads.
    Table(Vec<Vec<&'a str>>),
    /// Lines to be kept as they are.
    Kept(Vec<&'a str>),
}

/// Words of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span<'a> {
    /// Words like all others.
    Plain(&'a str),
    /// Words that stand out.
    Strong(&'a str),
    /// What is typed or printed, without the marks around it.
    Code(&'a str),
    /// Words, and the address that they lead to.
    Link(&'a str, &'a str),
}

/// The parts of a page.
///
/// ```
/// use alleytrue::render::markdown::parts::{Part, parts};
/// let page = "# Signs\n\n- ahead is\n  further along\n";
/// assert_eq!(
///     parts(page),
///     [Part::Heading(1, "Signs"), Part::Item("-", "ahead is further along".into())]
/// );
/// ```
#[must_use]
pub fn parts(page: &str) -> Vec<Part<'_>> {
    let mut parts: Vec<Part<'_>> = Vec::new();
    let mut lines = page.lines();
    let mut goes_on = false;
    while let Some(line) = lines.next() {
        if line.trim().is_empty() {
            goes_on = false;
        } else if line.starts_with("```") {
            let kept = lines.by_ref().take_while(|line| !line.starts_with("```"));
            let mut kept: Vec<&str> = kept.collect();
            while kept.last().is_some_and(|line| line.is_empty()) {
                kept.pop();
            }
            parts.push(Part::Kept(kept));
            goes_on = false;
        } else if let Some(heading) = heading(line) {
            parts.push(heading);
            goes_on = false;
        } else if line.starts_with('|') {
            match parts.last_mut().filter(|_| goes_on) {
                Some(Part::Table(rows)) => rows.extend(cells(line)),
                _ => parts.push(Part::Table(cells(line).into_iter().collect())),
            }
            goes_on = true;
        } else if let Some((mark, words)) = item(line) {
            parts.push(Part::Item(mark, words.into()));
            goes_on = true;
        } else {
            match parts.last_mut().filter(|_| goes_on) {
                Some(Part::Paragraph(words) | Part::Item(_, words)) => {
                    words.push(' ');
                    words.push_str(line.trim());
                }
                _ => parts.push(Part::Paragraph(line.trim().into())),
            }
            goes_on = true;
        }
    }
    parts
}

fn heading(line: &str) -> Option<Part<'_>> {
    let words = line.trim_start_matches('#');
    let level = line.len() - words.len();
    (level > 0 && words.starts_with(' ')).then(|| Part::Heading(level, words.trim()))
}

/// A dash or a number with a point, and what follows it.
fn item(line: &str) -> Option<(&str, &str)> {
    let (mark, words) = line.split_once(' ')?;
    let number = mark.strip_suffix('.').filter(|number| !number.is_empty());
    let numbered = number.is_some_and(|number| number.bytes().all(|byte| byte.is_ascii_digit()));
    (mark == "-" || numbered).then(|| (mark, words.trim()))
}

/// The cells of a line of a table; `None` for the line that parts the heads from the rest.
fn cells(line: &str) -> Option<Vec<&str>> {
    let inner = line.trim().trim_start_matches('|').trim_end_matches('|');
    let rule = inner.bytes().all(|byte| b"-:| ".contains(&byte)) && inner.contains('-');
    (!rule).then(|| inner.split('|').map(str::trim).collect())
}

/// The kinds of words in a text.
///
/// ```
/// use alleytrue::render::markdown::parts::{Span, spans};
/// assert_eq!(
///     spans("**Type** `in`."),
///     [Span::Strong("Type"), Span::Plain(" "), Span::Code("in"), Span::Plain(".")]
/// );
/// ```
#[must_use]
pub fn spans(text: &str) -> Vec<Span<'_>> {
    let mut spans = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let found = rest.char_indices().find_map(|(at, _)| {
            let (span, after) = marked(&rest[at..])?;
            Some((at, span, after))
        });
        let Some((at, span, after)) = found else {
            spans.push(Span::Plain(rest));
            break;
        };
        if at > 0 {
            spans.push(Span::Plain(&rest[..at]));
        }
        spans.push(span);
        rest = after;
    }
    spans
}

/// Marked words at the start of a text, and what follows them.
fn marked(text: &str) -> Option<(Span<'_>, &str)> {
    if let Some(inner) = text.strip_prefix('`') {
        let (code, after) = inner.split_once('`')?;
        return Some((Span::Code(code), after));
    }
    if let Some(inner) = text.strip_prefix("**") {
        let (strong, after) = inner.split_once("**")?;
        return Some((Span::Strong(strong), after));
    }
    let (words, rest) = text.strip_prefix('[')?.split_once("](")?;
    let (address, after) = rest.split_once(')')?;
    (!words.contains(['[', ']'])).then_some((Span::Link(words, address), after))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_falls_into_its_parts() {
        let page = "# Title\n\nTwo lines\nof words.\n\n1. first\n   of all\n2. second\n\n\
                    | a | b |\n|---|--:|\n| `x` | y z |\n\n```console\n$ run\n\n  kept\n\n```\nafter\n";
        assert_eq!(
            parts(page),
            [
                Part::Heading(1, "Title"),
                Part::Paragraph("Two lines of words.".into()),
                Part::Item("1.", "first of all".into()),
                Part::Item("2.", "second".into()),
                Part::Table(vec![vec!["a", "b"], vec!["`x`", "y z"]]),
                Part::Kept(vec!["$ run", "", "  kept"]),
                Part::Paragraph("after".into()),
            ]
        );
    }

    #[test]
    fn marks_without_their_other_half_are_words() {
        assert_eq!(spans("2 ** 3"), [Span::Plain("2 ** 3")]);
        assert_eq!(spans("[trial] holds"), [Span::Plain("[trial] holds")]);
        assert_eq!(
            spans("in [TOML](https://toml.io)"),
            [Span::Plain("in "), Span::Link("TOML", "https://toml.io")]
        );
        assert_eq!(spans("`**kept**`"), [Span::Code("**kept**")]);
    }
}
