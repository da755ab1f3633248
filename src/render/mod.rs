//! Results on paper, on the screen and for programs. One result object feeds every format.

pub mod csv;
pub mod diagnostics;
pub mod difference;
pub mod drawing;
pub mod geojson;
pub mod json;
pub mod markdown;
mod markup;
pub mod page;
pub mod record;
pub mod reference;
pub mod season;
pub mod text;
mod wrap;

use unicode_width::UnicodeWidthStr;

/// How text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Plain ASCII only.
    pub ascii: bool,
    /// With the colours of a terminal.
    pub colour: bool,
}

/// Columns of a text page.
pub const WIDTH: usize = 80;

/// Text from a sheet made harmless for a terminal: control characters become visible.
///
/// ```
/// use alleytrue::render::harmless;
/// assert_eq!(harmless("north\u{1b}[2J block"), "north\\u{1b}[2J block");
/// ```
#[must_use]
pub fn harmless(text: &str) -> String {
    if is_plain(text) {
        return text.into();
    }
    text.chars()
        .map(|c| if is_harmful(c) { c.escape_unicode().to_string() } else { c.to_string() })
        .collect()
}

/// Columns that text takes on a terminal.
fn width_of(text: &str) -> usize {
    // Most text is plain, and looking up every character in a table is the dearer way.
    if is_plain(text) { text.len() } else { text.width() }
}

/// Whether every character is one of the printed ones of ASCII.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| (b' '..0x7f).contains(&byte))
}

/// Control characters, and the marks that reorder text unseen.
fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}')
}
