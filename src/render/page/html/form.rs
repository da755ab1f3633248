//! Blanks to fill in with a pencil.

use crate::render::markup::Markup;
use crate::render::page::blocks::{Field, Form};

pub(super) fn write_form<'a>(page: &'a mut Markup, form: &Form) -> &'a mut Markup {
    page.tags("<div class=\"form\">\n<div class=\"fields\">");
    for field in &form.fields {
        write_field(page, field);
    }
    page.tags("\n</div>");
    if !form.in_force.is_empty() {
        write_in_force(page, form);
    }
    if let Some(expected) = &form.expected {
        page.tags("\n<p class=\"named\"><b>Expected:</b> ").text(expected).tags("</p>");
    }
    // Over the readings, so that those may go on over the page.
    page.tags("\n<p class=\"typed\"><span class=\"key toml\">").text(form.table);
    page.tags("</span> ").text(&form.typed).tags("</p>");
    if !form.lists.is_empty() {
        write_blanks(page, form);
    }
    page.tags("\n</div>")
}

fn write_field(page: &mut Markup, field: &Field) {
    page.tags("\n<div class=\"field\"><span class=\"label\">").text(&field.label);
    if !field.key.is_empty() {
        page.tags(" <span class=\"key\">").text(field.key).tags("</span>");
    }
    page.tags("</span><span class=\"blank\">").text(&field.given);
    write_choices(page, &field.choices);
    page.tags("</span><span class=\"key hint\">").text(&field.hint).tags("</span></div>");
}

fn write_choices(page: &mut Markup, choices: &[&'static str]) {
    for choice in choices {
        page.tags("<span class=\"choice\"><span class=\"box\"></span>").text(*choice);
        page.tags("</span>");
    }
}

/// What is in force, with a box where it is as printed and a blank where it is another.
fn write_in_force(page: &mut Markup, form: &Form) {
    page.tags("\n<p class=\"named\"><b>In force when this was planted</b> ");
    page.tags("<span class=\"key\">with</span></p>\n<div class=\"fields\">");
    for (name, text) in &form.in_force {
        page.tags("\n<div class=\"field\"><span class=\"label\">").text(name);
        page.tags("</span><span class=\"blank\">").text(text).tags("</span><span class=\"pair\">");
        write_choices(page, &["as printed"]);
        page.tags("other _____</span></div>");
    }
    page.tags("\n</div>");
}

/// Room for the readings of a form, and for their mean.
fn write_blanks(page: &mut Markup, form: &Form) {
    let places = form.places();
    let halves = places.first().map_or(1, Vec::len);
    page.tags("\n<div class=\"scroll\"><table class=\"blanks\">\n<thead><tr>");
    // A single list stands in two halves side by side, each under a head of its own.
    for _ in 0..halves {
        page.tags("\n<th scope=\"col\" class=\"place\">no</th>");
        for list in &form.lists {
            page.tags("\n<th scope=\"col\">").text(&list.label);
            if !list.unit.is_empty() {
                page.tags(" (").text(&list.unit).tags(")");
            }
            page.tags(" <span class=\"key\">").text(list.key).tags("</span></th>");
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
    page.tags("\n<tr class=\"mean\"><td class=\"place\">mean</td>");
    for _ in &form.lists {
        page.tags("<td></td>");
    }
    page.tags("</tr>\n</tbody></table></div>");
}
