//! Tables, and names with what they are.

use unicode_width::UnicodeWidthStr;

use crate::render::markup::Markup;
use crate::render::page::blocks::Grid;

pub(super) fn write_facts<'a>(page: &'a mut Markup, facts: &[(String, String)]) -> &'a mut Markup {
    page.tags("<dl class=\"facts\">");
    for (name, text) in facts {
        page.tags("\n<div><dt>").text(name).tags("</dt> <dd dir=\"auto\">").text(text);
        page.tags("</dd></div>");
    }
    page.tags("\n</dl>")
}

pub(super) fn write_grid<'a>(page: &'a mut Markup, grid: &Grid) -> &'a mut Markup {
    page.tags("<div class=\"scroll\"><table class=\"").tags(grid.class).tags(" ");
    page.tags(if grid.is_short() { "short" } else { "" }).tags("\">");
    if !grid.title.is_empty() {
        page.tags("\n<caption>").text(&grid.title).tags("</caption>");
    }
    page.tags("\n<thead><tr>");
    for (column, (head, unit)) in grid.heads.iter().enumerate() {
        let class = if grid.is_of_words(column) { " class=\"words\"" } else { "" };
        page.tags("\n<th scope=\"col\"").tags(class).tags(">").text(head);
        page.tags("<span class=\"unit\">").text(unit).tags("</span></th>");
    }
    for head in &grid.ticks {
        page.tags("<th scope=\"col\" class=\"tick\">").text(head).tags("</th>");
    }
    page.tags("</tr></thead>\n<tbody>");
    for (row, cells) in grid.rows.iter().enumerate() {
        page.tags("\n<tr").tags(grid.row_class(row)).tags(">");
        for (column, cell) in cells.iter().enumerate() {
            let (open, close) = match column {
                0 => ("<th scope=\"row\" class=\"", "</th>"),
                _ => ("<td class=\"", "</td>"),
            };
            page.tags(open).text(grid.class(column, cell)).tags("\" dir=\"auto\">");
            page.text(cell).tags(close);
        }
        let tick = "<td class=\"tick\"><span class=\"box\"></span></td>";
        grid.ticks.iter().fold(&mut *page, |page, _| page.tags(tick)).tags("</tr>");
    }
    page.tags("\n</tbody>\n</table></div>")
}

impl Grid {
    fn row_class(&self, row: usize) -> &'static str {
        match (self.marked == Some(row), self.shaded.contains(&row)) {
            (true, true) => " class=\"marked shaded\"",
            (true, false) => " class=\"marked\"",
            (false, true) => " class=\"shaded\"",
            (false, false) => "",
        }
    }

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
