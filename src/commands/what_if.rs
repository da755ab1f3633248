//! The results of several values of a key, side by side.

use std::io::{self, Write};

use crate::outcome::Report;
use crate::render::text::Heading;
use crate::render::what_if::{KEY, Variant, page, whole};
use crate::render::{Style, csv, json};

use super::exit::Exit;
use super::mistakes::{refuse, usage};
use super::opened::{Opened, print_json};
use super::options::{Format, Output};

/// Prints what came out of one sheet for every value.
pub(super) fn print(
    worked: &[(Opened, Report)],
    keys: &[&str],
    output: &Output,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let Some((Opened { source, sheet }, _)) = worked.first() else { return Ok(Exit::Done) };
    let variants: Vec<Variant<'_>> = worked.iter().map(|one| variant(one, keys)).collect();
    let refused = |message: &str, advice: &str| {
        refuse(source, &[usage(message.into(), advice)], style);
        Ok(Exit::CouldNot)
    };
    match output.format {
        Format::Text => {
            let heading = Heading { title: sheet.title.as_deref(), file: source.name() };
            out.write_all(page(heading, &variants, style).as_bytes())?;
        }
        Format::Json => {
            let document = |(opened, report): &(Opened, Report)| {
                json::document(&opened.source, &opened.sheet, report)
            };
            print_json(&worked.iter().map(document).collect::<Vec<_>>(), out)?;
        }
        Format::Csv if output.table.as_deref().is_some_and(|key| key != KEY) => {
            let message = "--table picks a table of one result, and --set gives several values";
            return refused(message, "leave `--table` out, or give one value");
        }
        Format::Csv => csv::table(&whole(&variants), out)?,
        Format::Geojson => {
            let message = "a map is of one field, and --set gives several values";
            return refused(message, "give one value, or take another `--format`");
        }
    }
    Ok(Exit::Done)
}

/// What was set where there are several values, and what came out.
fn variant<'a>((opened, report): &'a (Opened, Report), keys: &[&str]) -> Variant<'a> {
    let set = opened.source.overrides().filter(|one| keys.contains(&one.key()));
    Variant { set: set.map(|one| (one.key(), one.value())).collect(), report }
}
