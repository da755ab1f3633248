//! What changes in a sheet: lines that go, lines that come, and a line of what stands around
//! them.

use std::fmt::Write as _;

use similar::{ChangeTag, TextDiff};

use super::harmless;

/// The lines that differ, each after `-` or `+`, with one line before and after.
///
/// ```
/// use alleytrue::render::difference::lines;
/// let shown = lines("a = 1\nb = 2\nc = 3\n", "a = 1\nb = 4\nc = 3\n");
/// assert_eq!(shown, "    1   a = 1\n      - b = 2\n    2 + b = 4\n    3   c = 3\n");
/// ```
#[must_use]
pub fn lines(old: &str, new: &str) -> String {
    let difference = TextDiff::from_lines(old, new);
    let mut out = String::new();
    for (index, group) in difference.grouped_ops(1).iter().enumerate() {
        if index > 0 {
            out.push_str("  ...\n");
        }
        for change in group.iter().flat_map(|one| difference.iter_changes(one)) {
            let sign = match change.tag() {
                ChangeTag::Delete => '-',
                ChangeTag::Insert => '+',
                ChangeTag::Equal => ' ',
            };
            let number = change.new_index().map_or(String::new(), |index| (index + 1).to_string());
            let line = harmless(change.value().trim_end_matches(['\r', '\n']));
            let text = format!("{number:>5} {sign} {line}");
            let _ = writeln!(out, "{}", text.trim_end());
        }
    }
    out
}
