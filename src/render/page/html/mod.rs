//! Pages as one self-contained HTML file: style and pictures inside, no script, nothing fetched.

mod form;
mod frame;
mod labels;
mod tables;

use unicode_width::UnicodeWidthStr;

use crate::outcome::Caution;
use crate::render::drawing::svg;
use crate::render::markup::Markup;

use super::blocks::{Block, DayItem, Document, Leaf};
use super::kind::Kind;

use form::write_form;
use frame::write_frame;
use labels::write_labels;
use tables::{write_facts, write_grid};

/// Columns of a running title; the whole title stands at the start of the pages.
const RUNNING: usize = 48;
/// Columns of a running foot, which may take two lines: a half said operating point misleads.
const FOOT: usize = 96;

/// Rules that every page has.
const STYLE: &str = include_str!("style.css");

/// The document as HTML.
#[must_use]
pub fn render(document: &Document) -> String {
    let mut page = Markup::default();
    head(&mut page, document);
    page.tags("<body class=\"").text(document.paper.option()).tags("\">");
    contents(&mut page, document);
    page.tags("\n<main>");
    for leaf in &document.leaves {
        section(&mut page, document, leaf);
    }
    page.tags("\n</main>\n</body>\n</html>\n");
    page.into_string()
}

fn head(page: &mut Markup, document: &Document) {
    page.tags("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.tags("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    page.text(&document.title).tags(" - ").text(&document.date).tags("</title>\n<style>\n");
    paper(page, document);
    for leaf in &document.leaves {
        let name = leaf.kind.name();
        if leaf.kind == Kind::Labels {
            // Nothing but labels stands on their sheets.
            page.tags(
                "@page labels { margin: 0; @top-left { content: none } @top-right { content: ",
            );
            page.tags("none } @bottom-left { content: none } @bottom-right { content: none } }\n");
            page.tags(".labels { page: labels; }\n");
            continue;
        }
        let title = format!("{}: {}", leaf.kind.title(), document.title);
        page.tags("@page ").text(name).tags(" { @top-left { content: \"");
        page.text(style_text(&shortened(&title, RUNNING)));
        page.tags("\"; font: bold 12pt sans-serif; width: 60%; text-align: left; } }\n.");
        page.text(name).tags(" { page: ").text(name).tags("; }\n");
    }
    page.tags(STYLE).tags("</style>\n</head>\n");
}

/// The paper, and what runs along its edges.
fn paper(page: &mut Markup, document: &Document) {
    let back = format!("from {}", shortened(&document.file, FOOT));
    page.tags("@page {\n  size: ").text(document.paper.name()).tags(" portrait;\n");
    page.tags("  margin: 20mm 15mm 20mm 15mm;\n  @top-right { content: \"");
    page.text(style_text(&document.date)).tags("\" \", page \" counter(page) \" of \" ");
    page.tags("counter(pages); font: 12pt sans-serif; white-space: nowrap; width: 40%; ");
    page.tags("text-align: right; }\n  @bottom-left { content: \"").text(style_text(&back));
    page.tags("\"; font: 12pt sans-serif; width: 42%; text-align: left; vertical-align: top; ");
    page.tags("padding-top: 4mm; }\n  @bottom-right { content: \"");
    page.text(style_text(&shortened(&document.point, FOOT)));
    page.tags("\"; font: 12pt sans-serif; width: 58%; text-align: right; vertical-align: top; ");
    page.tags("padding-top: 4mm; }\n}\n");
}

/// What there is, for who reads it on a screen.
fn contents(page: &mut Markup, document: &Document) {
    if document.leaves.len() < 2 {
        return;
    }
    page.tags("\n<nav aria-label=\"Contents\">\n<ul>");
    for leaf in &document.leaves {
        page.tags("<li><a href=\"#").text(leaf.kind.name()).tags("\">");
        page.text(leaf.kind.title()).tags("</a></li>");
    }
    page.tags("</ul>\n</nav>");
}

fn section(page: &mut Markup, document: &Document, leaf: &Leaf) {
    let name = leaf.kind.name();
    page.tags("\n<section id=\"").text(name).tags("\" class=\"leaf ").text(name);
    // Half a card ends where the page is folded.
    page.tags(if leaf.half {
        " half\">\n<div class=\"upper\">\n<header>\n<h1>"
    } else {
        "\">\n<header>\n<h1>"
    });
    page.text(leaf.kind.title()).tags("</h1>\n<p class=\"trial\" dir=\"auto\">");
    page.text(&document.title).tags("</p>\n<p>Operating point: <b><bdi>");
    page.text(&document.point).tags("</bdi></b></p>\n<p>From <bdi>").text(&document.file);
    page.tags("</bdi>, printed <span class=\"whole\">").text(&document.date);
    page.tags("</span></p>\n</header>");
    let mut columns = false;
    for block in &leaf.blocks {
        page.tags("\n");
        // Lines of arithmetic stand in columns, as many as follow on each other.
        let is_line = matches!(block, Block::Working(..));
        if is_line != columns {
            page.tags(if is_line { "<div class=\"columns\">\n" } else { "</div>\n" });
            columns = is_line;
        }
        write(page, block);
    }
    page.tags(if columns { "\n</div>" } else { "" }).tags("\n</section>");
}

fn write(page: &mut Markup, block: &Block) {
    match block {
        Block::Heading(text) => page.tags("<h2>").text(text).tags("</h2>"),
        Block::Words(text) => page.tags("<p dir=\"auto\">").text(text).tags("</p>"),
        Block::Named(name, text) => {
            page.tags("<p class=\"named\" dir=\"auto\"><b>").text(name).tags(":</b> ").text(text);
            page.tags("</p>")
        }
        Block::Facts(facts) => write_facts(page, facts),
        Block::Grid(grid) => write_grid(page, grid),
        Block::Picture(scene) => {
            page.tags("<figure>").append(&svg::scene(scene)).tags("\n</figure>")
        }
        Block::Tick(text, _) => write_tick(page, text),
        Block::Days(items) => write_days(page, items),
        Block::Form(form) => write_form(page, form),
        Block::Frame(frame) => write_frame(page, frame),
        Block::Caution(caution) => write_caution(page, caution),
        Block::Working(name, pieces) => write_working(page, name, pieces),
        Block::Next(text) => {
            page.tags("<p class=\"next\" dir=\"auto\">Next: ").text(text).tags("</p>")
        }
        Block::Room(name, lines) => {
            page.tags("<div class=\"room\">").text(name);
            (0..*lines).fold(page, |page, _| page.tags("<div></div>")).tags("</div>")
        }
        Block::Fold => page.tags("</div>\n<p class=\"fold\">fold or cut here</p>"),
        Block::Labels(labels) => write_labels(page, labels),
        Block::NewPage => page.tags("<div class=\"break\"></div>"),
    };
}

fn write_caution<'a>(page: &'a mut Markup, caution: &Caution) -> &'a mut Markup {
    page.tags("<div class=\"caution\"><b>CAUTION.</b> ").text(caution.text);
    page.tags(" <span class=\"source\">[").text(caution.source).tags("]</span></div>")
}

fn write_tick<'a>(page: &'a mut Markup, text: &str) -> &'a mut Markup {
    page.tags("<div class=\"do\"><span class=\"box\"></span><span class=\"words\" dir=\"auto\">");
    page.text(text).tags("</span></div>")
}

/// Days of a daily list.
const DAYS: usize = 5;

/// A list with a box for each day, and a line for initials under each.
fn write_days<'a>(page: &'a mut Markup, items: &[DayItem]) -> &'a mut Markup {
    page.tags("<div class=\"scroll\"><table class=\"days\">\n<thead><tr><th scope=\"col\" class=\"words\">date</th>");
    (0..DAYS).fold(&mut *page, |page, _| {
        page.tags("<th scope=\"col\"><span class=\"write\"></span></th>")
    });
    page.tags("</tr></thead>\n<tbody>");
    for item in items {
        page.tags("\n<tr>");
        match item {
            DayItem::Heading(text) => {
                page.tags("<th scope=\"rowgroup\" colspan=\"6\" class=\"group\">").text(text);
                page.tags("</th>");
            }
            DayItem::Caution(caution) => {
                page.tags("<td colspan=\"6\" class=\"words\">");
                write_caution(page, caution).tags("</td>");
            }
            DayItem::Tick(text, _) => {
                page.tags("<th scope=\"row\" class=\"words\" dir=\"auto\">")
                    .text(text)
                    .tags("</th>");
                let tick = "<td class=\"tick\"><span class=\"box\"></span></td>";
                (0..DAYS).fold(&mut *page, |page, _| page.tags(tick));
            }
        }
        page.tags("</tr>");
    }
    page.tags("\n<tr class=\"initials\"><th scope=\"row\" class=\"words\">initials</th>");
    (0..DAYS).fold(&mut *page, |page, _| page.tags("<td><span class=\"write\"></span></td>"));
    page.tags("</tr>\n</tbody>\n</table></div>")
}

fn write_working<'a>(page: &'a mut Markup, name: &str, pieces: &[String]) -> &'a mut Markup {
    let (before, after) =
        if fits_a_line(name, pieces) { (" = ", "") } else { ("<span>= ", "</span>") };
    page.tags("<p class=\"work\">").text(name);
    for piece in pieces {
        page.tags(before).text(piece).tags(after);
    }
    page.tags("</p>")
}

/// Whether a line of arithmetic is short enough to stand in one line of a column.
fn fits_a_line(name: &str, pieces: &[String]) -> bool {
    const LINE: usize = 48;
    name.width() + pieces.iter().map(|piece| piece.width() + 3).sum::<usize>() <= LINE
}

fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.into();
    }
    let start: String = text.chars().take(most - 3).collect();
    format!("{start}...")
}

/// Text within the quotes of a style sheet: everything that could end them or the style element is
/// written as its number, so that nothing is left to escape.
fn style_text(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_alphanumeric()
                || matches!(c, ' ' | '.' | ',' | ':' | '-' | '_' | '/' | '(' | ')')
            {
                c.to_string()
            } else {
                format!("\\{:06x}", u32::from(c))
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_can_not_end_the_style_it_stands_in() {
        let text = style_text("a\"; } </style><script>\\");
        assert!(
            !text.contains('"')
                && !text.contains('<')
                && !text.contains('}')
                && !text.contains("\\\\"),
            "{text}"
        );
    }
}
