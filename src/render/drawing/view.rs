//! What of a field is drawn on one sheet, and into how many sheets a field falls whose numbers would
//! not fit on one.

use crate::calculations::stakes::Layout;

/// Columns of plots on one sheet, by the digits of the longest number: as many as there is room for
/// at figures of 12 points.
const COLUMNS: [u32; 6] = [24, 19, 16, 13, 11, 9];
/// Ranges on one sheet.
const TIERS: u32 = 30;

/// A field from above, whole or a part of it.
#[derive(Clone, Debug)]
pub struct View {
    /// The field.
    pub layout: Layout,
    /// The part that is drawn; the whole field where there is none.
    pub part: Option<Part>,
    /// The parts that the field falls into; one where its numbers fit on one sheet.
    pub parts: Vec<Part>,
}

/// A part of a field that fits on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which sheet.
    pub number: usize,
    /// First and last pass with borders, counted from the left.
    pub strips: (u32, u32),
    /// First and last range with borders, counted from the start line.
    pub tiers: (u32, u32),
}

impl View {
    /// The whole field.
    #[must_use]
    pub fn whole(layout: &Layout) -> View {
        View { layout: layout.clone(), part: None, parts: parts(layout) }
    }

    /// The sheets that it takes, one after the other; one that shows all where it fits.
    #[must_use]
    pub fn sheets(&self) -> Vec<View> {
        let sheet = |part: &Part| View { part: Some(*part), ..self.clone() };
        self.parts.iter().filter(|_| self.is_split()).map(sheet).collect()
    }

    /// Whether it takes more than one sheet.
    #[must_use]
    pub fn is_split(&self) -> bool {
        self.parts.len() > 1
    }
}

/// The parts of a field, range by range from the start line, each from the left; as even as can be.
fn parts(layout: &Layout) -> Vec<Part> {
    let grid = layout.grid;
    let longest = layout.plots().map(|plot| plot.number).max().unwrap_or(0).to_string().len();
    let columns = COLUMNS[longest.clamp(1, COLUMNS.len()) - 1];
    let across = cut(grid.strips(), (columns / grid.abreast).max(1));
    let along = cut(grid.tiers(), TIERS);
    let both = along.iter().flat_map(|tiers| across.iter().map(move |strips| (*strips, *tiers)));
    (1..).zip(both).map(|(number, (strips, tiers))| Part { number, strips, tiers }).collect()
}

/// So many things cut into runs of at most so many, as even as can be.
fn cut(count: u32, most: u32) -> Vec<(u32, u32)> {
    let runs = count.div_ceil(most).max(1);
    let end = |run: u32| run * count / runs;
    (1..=runs).map(|run| (end(run - 1) + 1, end(run))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_lost_where_a_field_is_cut_and_no_run_is_too_long() {
        for count in 1..=200 {
            for most in [1, 7, 13, 30] {
                let runs = cut(count, most);
                let all: Vec<u32> = runs.iter().flat_map(|(from, to)| *from..=*to).collect();
                assert_eq!(all, (1..=count).collect::<Vec<_>>());
                assert!(runs.iter().all(|(from, to)| (1..=most).contains(&(to - from + 1))));
                // No more than it takes.
                assert_eq!(runs.len(), count.div_ceil(most) as usize);
            }
        }
    }
}
