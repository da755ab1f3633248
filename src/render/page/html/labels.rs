//! Labels on their sheets: each at its place, in millimetres.

use crate::render::markup::Markup;
use crate::render::page::blocks::Labels;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// Height of a line, of the height of its letters.
const LINE: f64 = 1.2;
/// What of a label its text may take.
const ROOM: f64 = 0.84;
/// Letters below this nobody reads in a shop, and none need be larger than that.
const SIZES: (f64, f64) = (6.0, 12.0);

pub(super) fn write_labels<'a>(page: &'a mut Markup, labels: &Labels) -> &'a mut Markup {
    let sheet = &labels.sheet;
    // All alike, so that a box of packets reads as one.
    let sizes = labels.all.iter().map(|label| letters(label, sheet.width, sheet.height));
    let size = sizes.fold(SIZES.1, f64::min);
    let on_one = usize::try_from(sheet.across * sheet.down).unwrap_or(1).max(1);
    for sheet_of in labels.all.chunks(on_one) {
        page.tags("<div class=\"label-sheet\">");
        for (place, label) in sheet_of.iter().enumerate() {
            let place = u32::try_from(place).unwrap_or(0);
            let (row, column) = (place / sheet.across, place % sheet.across);
            let left = sheet.left + f64::from(column) * (sheet.width + sheet.gap);
            let top = sheet.top + f64::from(row) * (sheet.height + sheet.row_gap);
            let style = format!(
                "left:{left:.2}mm;top:{top:.2}mm;width:{:.2}mm;height:{:.2}mm;font-size:{size:.1}pt",
                sheet.width, sheet.height
            );
            page.tags("\n<div class=\"label\" style=\"").text(&style).tags("\">");
            for line in label {
                page.tags("<p dir=\"auto\">").text(line).tags("</p>");
            }
            page.tags("</div>");
        }
        page.tags("\n</div>\n");
    }
    page
}

/// The size of letters in which every line of a label fits it, as far as can be read.
fn letters(label: &[String], width: f64, height: f64) -> f64 {
    // The first line is larger by a fifth, and a letter is half as wide as it is high.
    let lines = f64::from(u32::try_from(label.len()).unwrap_or(1)) + 0.2;
    let by_height = height * ROOM * POINTS / (lines * LINE);
    let longest = label.iter().map(|line| line.chars().count()).max().unwrap_or(1).max(1);
    let longest = f64::from(u32::try_from(longest).unwrap_or(1));
    let by_width = width * ROOM * POINTS / (longest * 0.55);
    by_height.min(by_width).clamp(SIZES.0, SIZES.1)
}
