//! Blanks to fill in with a pencil.

use crate::render::markup::Markup;
use crate::render::page::blocks::{Field, Form};

pub(super) fn write_form<'a>(page: &'a mut Markup, form: &Form) -> &'a mut Markup {
    page.tags("<div class=\"form\">\n<table class=\"fields\"><tbody>");
    for field in &form.fields {
        write_field(page, field);
    }
    page.tags("\n</tbody></table>");
    if !form.in_force.is_empty() {
        write_in_force(page, form);
    }
    if let Some(expected) = &form.expected {
        page.tags("\n<p class=\"named\"><b>Expected:</b> ").text(expected).tags("</p>");
    }
    if !form.lists.is_empty() {
        write_blanks(page, form);
    }
    page.tags("\n<p class=\"typed\"><span class=\"key toml\">").text(form.table);
    page.tags("</span> ").text(&form.typed).tags("</p>\n</div>")
}

fn write_field(page: &mut Markup, field: &Field) {
    page.tags("\n<tr><th scope=\"row\">").text(&field.label);
    if !field.key.is_empty() {
        page.tags(" <span class=\"key\">").text(field.key).tags("</span>");
    }
    page.tags("</th><td class=\"blank\">").text(&field.given);
    write_choices(page, &field.choices);
    page.tags("</td><td>").text(&field.hint).tags("</td></tr>");
}

fn write_choices(page: &mut Markup, choices: &[&'static str]) {
    for choice in choices {
        page.tags("<span class=\"choice\"><span class=\"box\"></span>").text(*choice);
        page.tags("</span>");
    }
}

/// What is in force, with a box where it is as printed and a blank where it is another.
fn write_in_force(page: &mut Markup, form: &Form) {
    page.tags("\n<table class=\"fields force\">\n<caption>In force when this was planted ");
    page.tags("<span class=\"key\">with</span></caption>\n<tbody>");
    for (name, text) in &form.in_force {
        page.tags("\n<tr><th scope=\"row\">")
            .text(name)
            .tags("</th><td class=\"blank\">")
            .text(text);
        page.tags("</td><td class=\"pair\">");
        write_choices(page, &["as printed"]);
        page.tags("other ______________</td></tr>");
    }
    page.tags("\n</tbody></table>");
}

/// Room for the readings of a form, and for their mean.
fn write_blanks(page: &mut Markup, form: &Form) {
    let places = form.places();
    let halves = places.first().map_or(1, Vec::len);
    page.tags("\n<table class=\"blanks\">\n<thead><tr>");
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
    page.tags("</tr>\n</tbody></table>");
}
