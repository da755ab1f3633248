//! The one thing to do, in its frame.

use crate::render::markup::Markup;
use crate::render::page::blocks::Frame;

pub(super) fn write_frame<'a>(page: &'a mut Markup, frame: &Frame) -> &'a mut Markup {
    let class = if frame.lines.len() > 1 { "frame several" } else { "frame" };
    page.tags("<div class=\"")
        .tags(class)
        .tags("\">\n<p class=\"lead\">")
        .text(frame.lead)
        .tags("</p>");
    page.tags("\n<div class=\"one\"><div class=\"lines\">");
    for line in &frame.lines {
        page.tags("\n<p class=\"line\"><span class=\"name\" dir=\"auto\">").text(&line.name);
        if let Some(called) = &line.called {
            page.tags(" <span class=\"called\">\u{201c}").text(called).tags("\u{201d}</span>");
        }
        page.tags("</span> <b class=\"new\" dir=\"auto\">").text(&line.new).tags("</b>");
        if let Some(was) = &line.was {
            page.tags(" <span class=\"was\">(was ").text(was).tags(")</span>");
        }
        page.tags("</p>");
    }
    let then = |page: &mut Markup| {
        page.tags("\n<p class=\"then\" dir=\"auto\">").text(&frame.then).tags("</p>");
    };
    // Where nothing is set, what is done stands beside the box.
    if frame.lines.is_empty() {
        then(page);
    }
    page.tags("</div>");
    page.tags(if frame.ticks { "<span class=\"box large\"></span>" } else { "" }).tags("</div>");
    if !frame.lines.is_empty() {
        then(page);
    }
    for caution in &frame.cautions {
        page.tags("\n<p class=\"first\"><b>CAUTION.</b> ").text(caution.text);
        page.tags(" <span class=\"source\">[").text(caution.source).tags("]</span></p>");
    }
    page.tags("\n</div>")
}
