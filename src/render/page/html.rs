//! Pages as one self-contained HTML file: style and pictures inside, no script, nothing fetched.

use unicode_width::UnicodeWidthStr;

use crate::render::drawing::svg;
use crate::render::markup::Markup;

use super::blocks::{Block, Document, Form, Grid, Leaf};

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
    page.tags("<body>");
    for leaf in &document.leaves {
        section(&mut page, document, leaf);
    }
    page.tags("\n</body>\n</html>\n");
    page.into_string()
}

fn head(page: &mut Markup, document: &Document) {
    page.tags("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.tags("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    page.text(&document.title).tags(" - ").text(&document.date).tags("</title>\n<style>\n");
    paper(page, document);
    for leaf in &document.leaves {
        let name = leaf.kind.name();
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

fn section(page: &mut Markup, document: &Document, leaf: &Leaf) {
    page.tags("\n<section class=\"leaf ").text(leaf.kind.name()).tags("\">\n<header>\n<h1>");
    page.text(leaf.kind.title()).tags("</h1>\n<p class=\"trial\" dir=\"auto\">");
    page.text(&document.title).tags("</p>\n<p>Operating point: <b><bdi>");
    page.text(&document.point).tags("</bdi></b></p>\n<p>From <bdi>").text(&document.file);
    page.tags("</bdi>, printed ").text(&document.date).tags("</p>\n</header>");
    for block in &leaf.blocks {
        page.tags("\n");
        write(page, block);
    }
    page.tags("\n</section>");
}

fn write(page: &mut Markup, block: &Block) {
    match block {
        Block::Heading(text) => page.tags("<h2>").text(text).tags("</h2>"),
        Block::Words(text) => page.tags("<p dir=\"auto\">").text(text).tags("</p>"),
        Block::Facts(facts) => write_facts(page, facts),
        Block::Grid(grid) => write_grid(page, grid),
        Block::Picture(scene) => page.append(&svg::scene(scene)),
        Block::Tick(text, name) => write_tick(page, text, *name),
        Block::Form(form) => write_form(page, form),
        Block::Caution(caution) => page
            .tags("<div class=\"caution\"><b>CAUTION.</b> ")
            .text(caution.text)
            .tags(" <span class=\"source\">[")
            .text(caution.source)
            .tags("]</span></div>"),
        Block::Working(name, pieces) => write_working(page, name, pieces),
        Block::Next(text) => {
            page.tags("<div class=\"next\" dir=\"auto\">Next: ").text(text).tags("</div>")
        }
        Block::Room(name, lines) => {
            page.tags("<div class=\"room\">").text(name);
            (0..*lines).fold(page, |page, _| page.tags("<div></div>")).tags("</div>")
        }
        Block::NewPage => page.tags("<div class=\"break\"></div>"),
    };
}

fn write_facts<'a>(page: &'a mut Markup, facts: &[(String, String)]) -> &'a mut Markup {
    page.tags("<div class=\"facts\">");
    for (name, text) in facts {
        page.tags("\n<div><span>").text(name).tags("</span> <b dir=\"auto\">").text(text);
        page.tags("</b></div>");
    }
    page.tags("\n</div>")
}

fn write_grid<'a>(page: &'a mut Markup, grid: &Grid) -> &'a mut Markup {
    if !grid.title.is_empty() {
        page.tags("<p class=\"grid-title\">").text(&grid.title).tags("</p>\n");
    }
    page.tags("<table class=\"").tags(if grid.ticks { "settings " } else { "" });
    page.tags(if grid.is_short() { "short" } else { "" }).tags("\">\n<thead><tr>");
    for (column, (head, unit)) in grid.heads.iter().enumerate() {
        let class = if grid.is_of_words(column) { " class=\"words\"" } else { "" };
        page.tags("\n<th").tags(class).tags(">").text(head);
        page.tags("<span class=\"unit\">").text(unit).tags("</span></th>");
    }
    page.tags(if grid.ticks { "<th class=\"tick\">done</th>" } else { "" });
    page.tags("</tr></thead>\n<tbody>");
    for (row, cells) in grid.rows.iter().enumerate() {
        let class = if grid.marked == Some(row) { " class=\"marked\"" } else { "" };
        page.tags("\n<tr").tags(class).tags(">");
        for (column, cell) in cells.iter().enumerate() {
            page.tags("<td class=\"").text(grid.class(column, cell)).tags("\" dir=\"auto\">");
            page.text(cell).tags("</td>");
        }
        let tick = "<td class=\"tick\"><span class=\"box\"></span></td>";
        page.tags(if grid.ticks { tick } else { "" }).tags("</tr>");
    }
    page.tags("\n</tbody>\n</table>")
}

fn write_tick<'a>(page: &'a mut Markup, text: &str, name: Option<&str>) -> &'a mut Markup {
    page.tags("<div class=\"do\"><span class=\"box\"></span>");
    page.tags("<span class=\"words\" dir=\"auto\">");
    if let Some(name) = name {
        page.tags("<code>").text(name).tags("</code>");
    }
    page.text(text).tags("</span></div>")
}

fn write_form<'a>(page: &'a mut Markup, form: &Form) -> &'a mut Markup {
    page.tags("<div class=\"form\">\n<p class=\"toml\">").text(form.table).tags("</p>\n");
    page.tags("<table class=\"fields\"><tbody>");
    for (key, given, hint) in &form.fields {
        page.tags("\n<tr><td class=\"key\">").text(key).tags(" =</td><td class=\"blank\">");
        page.text(given).tags("</td><td>").text(hint).tags("</td></tr>");
    }
    page.tags("\n</tbody></table>");
    if !form.lists.is_empty() {
        write_blanks(page, form);
    }
    page.tags("\n<p>").text(&form.typed).tags("</p>\n</div>")
}

/// Room for the readings of a form.
fn write_blanks(page: &mut Markup, form: &Form) {
    let places = form.places();
    page.tags("\n<table class=\"blanks\">\n<thead><tr>");
    // A single list stands in two halves side by side, each under a head of its own.
    for _ in 0..places.first().map_or(1, Vec::len) {
        page.tags("\n<th class=\"place\">no</th>");
        for (key, unit) in &form.lists {
            page.tags("\n<th><span class=\"key\">").text(key).tags("</span> ");
            if !unit.is_empty() {
                page.tags("(").text(unit).tags(")");
            }
            page.tags("</th>");
        }
    }
    page.tags("\n</tr></thead>\n<tbody>");
    for row in places {
        page.tags("\n<tr>");
        for place in row {
            page.tags("<td class=\"place\">").text(place).tags("</td>");
            for _ in &form.lists {
                page.tags("<td></td>");
            }
        }
        page.tags("</tr>");
    }
    page.tags("\n</tbody></table>");
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

/// Whether a line of arithmetic is short enough to stand in one line of the report.
fn fits_a_line(name: &str, pieces: &[String]) -> bool {
    const LINE: usize = 92;
    name.width() + pieces.iter().map(|piece| piece.width() + 3).sum::<usize>() <= LINE
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
