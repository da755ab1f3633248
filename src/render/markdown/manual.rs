//! A page as a page of the manual, section 7.

use clap_mangen::roff::{Inline, Roff, bold, roman};

use super::parts::{Part, Span, parts, spans};
use super::screen::table_lines;

/// Columns of text that a page of the manual has on a screen of 80.
const WIDTH: usize = 72;

/// The page for the manual; `about` is the line that it is found by.
///
/// ```
/// use alleytrue::render::markdown::manual;
/// let page = manual::page("alleytrue-signs", "which way is which", "# Signs\n\n## The lead\n");
/// assert!(page.contains(".TH alleytrue-signs 7") && page.contains(".SH \"The lead\""));
/// ```
#[must_use]
pub fn page(name: &str, about: &str, text: &str) -> String {
    let mut roff = Roff::new();
    let version = concat!("alleytrue ", env!("CARGO_PKG_VERSION"));
    roff.control("TH", [name, "7", "", version, ""]);
    // Lines end where words do, and no word is cut, so that what is typed can be copied.
    roff.control("ad", ["l"]);
    roff.control("nh", []);
    roff.control("SH", ["NAME"]);
    roff.text([roman(format!("{name} - {}", about.trim_end_matches('.')))]);
    roff.control("SH", ["DESCRIPTION"]);
    for part in parts(text) {
        match part {
            Part::Heading(1, _) => {}
            Part::Heading(2, words) => {
                roff.control("SH", [words.replace('`', "").as_str()]);
            }
            Part::Heading(_, words) => {
                roff.control("SS", [words.replace('`', "").as_str()]);
            }
            Part::Paragraph(words) => {
                roff.control("PP", []);
                roff.text(inlines(&words));
            }
            Part::Item(mark, words) => {
                roff.control("IP", [mark, "4"]);
                roff.text(inlines(&words));
            }
            Part::Table(rows) => kept(&mut roff, table_lines(&rows, WIDTH)),
            Part::Kept(lines) => kept(&mut roff, lines),
        }
    }
    roff.render()
}

fn kept(roff: &mut Roff, lines: impl IntoIterator<Item = impl Into<String>>) {
    roff.control("PP", []);
    roff.control("nf", []);
    for line in lines {
        roff.text([roman(line)]);
    }
    roff.control("fi", []);
}

fn inlines(words: &str) -> Vec<Inline> {
    let one = |span| match span {
        Span::Plain(words) => roman(words),
        Span::Strong(words) | Span::Code(words) => bold(words),
        Span::Link(words, address) => roman(format!("{words} ({address})")),
    };
    spans(words).into_iter().map(one).collect()
}
