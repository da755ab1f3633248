//! Pages as one self-contained HTML file: style and pictures inside, no script, nothing fetched.

use askama::Template;
use unicode_width::UnicodeWidthStr;

use crate::render::drawing::{Scene, svg};

use super::blocks::{Block, Document, Form, Grid, Leaf};

/// Columns of a running title; the whole title stands at the start of the pages.
const RUNNING: usize = 48;
/// Columns of a running foot, which may take two lines: a half said operating point misleads.
const FOOT: usize = 96;

#[derive(Template)]
#[template(path = "page/document.html", config = "src/render/askama.toml")]
struct Html<'a> {
    document: &'a Document,
}

/// The document as HTML.
///
/// # Errors
///
/// What the template engine says when it can't write.
pub fn render(document: &Document) -> Result<String, askama::Error> {
    let mut html = Html { document }.render()?;
    html.push('\n');
    Ok(html)
}

impl Html<'_> {
    /// Whether a line of arithmetic is short enough to stand in one line of the report.
    fn fits_a_line(name: &str, pieces: &[String]) -> bool {
        const LINE: usize = 92;
        name.width() + pieces.iter().map(|piece| piece.width() + 3).sum::<usize>() <= LINE
    }

    fn drawn(&self, scene: &Scene) -> Result<String, askama::Error> {
        svg::scene(scene)
    }

    /// What leads back to the sheet.
    fn back(&self) -> String {
        style_text(&format!("from {}", shortened(&self.document.file, FOOT)))
    }

    fn date(&self) -> String {
        style_text(&self.document.date)
    }

    fn point(&self) -> String {
        style_text(&shortened(&self.document.point, FOOT))
    }

    fn running(&self, leaf: &Leaf) -> String {
        style_text(&shortened(&format!("{}: {}", leaf.kind.title(), self.document.title), RUNNING))
    }
}

impl Form {
    /// How often the columns stand side by side.
    fn halves(&self) -> std::ops::Range<usize> {
        0..self.places().first().map_or(1, Vec::len)
    }
}

impl Grid {
    /// How a cell stands: words left, numbers right, short ones in one piece.
    fn class(&self, column: usize, cell: &str) -> String {
        /// A cell longer than this may be broken.
        const WHOLE: usize = 20;
        let classes = [
            (self.is_of_words(column), "words"),
            (cell.width() <= WHOLE, "whole"),
            (self.strong == Some(column), "strong"),
        ];
        let all = classes.into_iter().filter_map(|(has, class)| has.then_some(class));
        all.collect::<Vec<_>>().join(" ")
    }

    /// Whether it fits on one page, and so is not cut.
    fn is_short(&self) -> bool {
        const SHORT: usize = 24;
        self.rows.len() <= SHORT
    }

    fn is_marked(&self, row: usize) -> bool {
        self.marked == Some(row)
    }
}

fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.into();
    }
    let start: String = text.chars().take(most - 3).collect();
    format!("{start}...")
}

/// Text as a quoted string of a style sheet: everything that could end the string or the style
/// element is written as its number.
fn style_text(text: &str) -> String {
    let escaped: String = text
        .chars()
        .map(|c| {
            if c.is_alphanumeric()
                || matches!(c, ' ' | '.' | ',' | ':' | '-' | '_' | '/' | '(' | ')')
            {
                c.to_string()
            } else {
                format!("\\{:06x}", u32::from(c))
            }
        })
        .collect();
    format!("\"{escaped}\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_can_not_end_the_style_it_stands_in() {
        let text = style_text("a\"; } </style><script>\\");
        assert_eq!(text.matches('"').count(), 2);
        assert!(!text.contains('<') && !text.contains('}') && !text.contains("\\\\"), "{text}");
    }
}
