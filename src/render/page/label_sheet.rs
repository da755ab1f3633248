//! Sheets of labels by their dimensions.

use crate::quantity::{Length, LengthUnit};

use super::paper::Paper;

/// A sheet of labels: how many, how large, and where on the paper. Lengths are in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelSheet {
    /// Labels across the paper.
    pub across: u32,
    /// Labels down the paper.
    pub down: u32,
    /// Width of a label.
    pub width: f64,
    /// Height of a label.
    pub height: f64,
    /// From the left edge of the paper to the first label.
    pub left: f64,
    /// From the top edge of the paper to the first label.
    pub top: f64,
    /// Bare paper between labels side by side.
    pub gap: f64,
    /// Bare paper between a row of labels and the next.
    pub row_gap: f64,
}

const INCH: f64 = 25.4;

/// Thirty labels of 2 5/8 by 1 in on letter paper, three across. Common practice, no source: from
/// memory; a sheet in hand is measured and typed.
const LETTER: LabelSheet = LabelSheet {
    across: 3,
    down: 10,
    width: 2.625 * INCH,
    height: INCH,
    left: 0.1875 * INCH,
    top: 0.5 * INCH,
    gap: 0.125 * INCH,
    row_gap: 0.0,
};
/// Twenty-four labels of 70 by 37 mm on A4, three across, without a margin at the sides. Common
/// practice, no source: from memory.
const A4: LabelSheet = LabelSheet {
    across: 3,
    down: 8,
    width: 70.0,
    height: 37.0,
    left: 0.0,
    top: 0.5,
    gap: 0.0,
    row_gap: 0.0,
};

impl LabelSheet {
    /// The usual sheet for a paper.
    #[must_use]
    pub fn usual(paper: Paper) -> LabelSheet {
        match paper {
            Paper::Letter => LETTER,
            Paper::A4 => A4,
        }
    }

    /// A sheet by its dimensions: `3x10, 2 5/8 in x 1 in, left 3/16 in, top 1/2 in, gap 1/8 in`.
    /// Without `left` or `top` the labels lie in the middle of the paper.
    ///
    /// # Errors
    ///
    /// What is wrong, and how it is written.
    ///
    /// ```
    /// use alleytrue::render::page::{LabelSheet, Paper};
    /// let sheet = LabelSheet::parse("3x8, 70 mm x 37 mm", Paper::A4)?;
    /// // 210 = 3 x 70; 297 - 8 x 37 = 1, half of it on top.
    /// assert_eq!((sheet.left, sheet.top), (0.0, 0.5));
    /// assert!(LabelSheet::parse("4x8, 70 mm x 37 mm", Paper::A4).is_err());
    /// # Ok::<(), String>(())
    /// ```
    pub fn parse(typed: &str, paper: Paper) -> Result<LabelSheet, String> {
        const SHAPE: &str = "write labels across and down, width and height, and the margins: \
                             \"3x10, 2 5/8 in x 1 in, left 3/16 in, top 1/2 in, gap 1/8 in\"";
        let wrong = |what: &str| format!("{what}; {SHAPE}");
        let length = |text: &str| {
            let length = Length::parse(text.trim(), None);
            let length = length.map_err(|error| wrong(&error.to_string()))?;
            let size = length.value_in(LengthUnit::Millimetre);
            if size >= 0.0 { Ok(size) } else { Err(wrong(&format!("`{text}` is below nought"))) }
        };
        let mut parts = typed.split(',').map(str::trim);
        let pair = |part: Option<&str>| {
            let (first, second) = part?.split_once(['x', '\u{d7}'])?;
            Some((first.trim().to_owned(), second.trim().to_owned()))
        };
        let counts = pair(parts.next()).ok_or_else(|| wrong("the labels are not counted"))?;
        let size = pair(parts.next()).ok_or_else(|| wrong("the labels have no size"))?;
        let count = |text: &str| {
            let count = text.parse::<u32>().ok().filter(|count| (1..=100).contains(count));
            count.ok_or_else(|| wrong(&format!("`{text}` is no count of labels")))
        };
        let mut sheet = LabelSheet {
            across: count(&counts.0)?,
            down: count(&counts.1)?,
            width: length(&size.0)?,
            height: length(&size.1)?,
            left: f64::NAN,
            top: f64::NAN,
            gap: 0.0,
            row_gap: 0.0,
        };
        for part in parts {
            let (key, value) =
                part.split_once(' ').ok_or_else(|| wrong(&format!("`{part}` is no margin")))?;
            let place = match key {
                "left" => &mut sheet.left,
                "top" => &mut sheet.top,
                "gap" => &mut sheet.gap,
                "row-gap" => &mut sheet.row_gap,
                _ => return Err(wrong(&format!("`{key}` is no margin"))),
            };
            *place = length(value)?;
        }
        sheet.on(paper)
    }

    /// The same with its labels in the middle where no margin says otherwise, if they fit.
    fn on(self, paper: Paper) -> Result<LabelSheet, String> {
        let span = |count: u32, size: f64, gap: f64| {
            f64::from(count) * size + f64::from(count.saturating_sub(1)) * gap
        };
        let [wide, high] = paper.size();
        let (across, down) =
            (span(self.across, self.width, self.gap), span(self.down, self.height, self.row_gap));
        let margin = |own: f64, room: f64| if own.is_nan() { room / 2.0 } else { own };
        let sheet = LabelSheet {
            left: margin(self.left, (wide - across).max(0.0)),
            top: margin(self.top, (high - down).max(0.0)),
            ..self
        };
        let slack = 0.01;
        if self.width < 10.0 || self.height < 8.0 {
            return Err("a label of less than 10 by 8 mm holds no text".into());
        }
        if sheet.left + across > wide + slack || sheet.top + down > high + slack {
            return Err(format!(
                "{} by {} labels take {across:.1} by {down:.1} mm with their gaps, and do not fit \
                 {} ({wide:.1} by {high:.1} mm) behind the margins; take another --paper, or \
                 measure again",
                self.across,
                self.down,
                paper.name()
            ));
        }
        Ok(sheet)
    }
}
