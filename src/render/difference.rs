//! What changes in a sheet: lines that go, lines that come, and a line of what stands around
//! them.

use std::fmt::Write as _;

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
    let old: Vec<&str> = old.split_inclusive('\n').collect();
    let new: Vec<&str> = new.split_inclusive('\n').collect();
    let lines = marked(&old, &new, &Changes::between(&old, &new));
    let changed = |place: usize| lines.get(place).is_some_and(|line| line.sign != ' ');
    let mut out = String::new();
    let mut before = None;
    for (place, line) in lines.iter().enumerate() {
        if !(place.saturating_sub(1)..=place + 1).any(changed) {
            continue;
        }
        if before.is_some_and(|before| before + 1 < place) {
            out.push_str("  ...\n");
        }
        before = Some(place);
        let number = line.number.map_or(String::new(), |number| number.to_string());
        let text = harmless(line.text.trim_end_matches(['\r', '\n']));
        let text = format!("{number:>5} {} {text}", line.sign);
        let _ = writeln!(out, "{}", text.trim_end());
    }
    out
}

/// A line of either text.
struct Line<'a> {
    sign: char,
    /// Its place in the new text, from one.
    number: Option<usize>,
    text: &'a str,
}

/// The lines of both texts in one list; where lines change, those that go stand first.
fn marked<'a>(old: &[&'a str], new: &[&'a str], changes: &Changes) -> Vec<Line<'a>> {
    let mut lines = vec![];
    let mut old = old.iter().zip(&changes.gone).peekable();
    let mut new = new.iter().zip(&changes.come).enumerate().peekable();
    loop {
        while let Some((text, _)) = old.next_if(|(_, gone)| **gone) {
            lines.push(Line { sign: '-', number: None, text });
        }
        while let Some((place, (text, _))) = new.next_if(|(_, (_, come))| **come) {
            lines.push(Line { sign: '+', number: Some(place + 1), text });
        }
        let (Some(_), Some((place, (text, _)))) = (old.next(), new.next()) else { return lines };
        lines.push(Line { sign: ' ', number: Some(place + 1), text });
    }
}

/// Which lines of the old text go, and which of the new one come. The others are the same in
/// both, one after another.
struct Changes {
    gone: Vec<bool>,
    come: Vec<bool>,
}

impl Changes {
    /// The fewest lines that make one text of the other.
    fn between(old: &[&str], new: &[&str]) -> Changes {
        let head = common(old.iter(), new.iter());
        let (old_rest, new_rest) = (&old[head..], &new[head..]);
        let tail = common(old_rest.iter().rev(), new_rest.iter().rev());
        let (old_end, new_end) = (old.len() - tail, new.len() - tail);
        let middle = Changes::fewest(&old[head..old_end], &new[head..new_end]);
        let framed = |middle: Vec<bool>| [vec![false; head], middle, vec![false; tail]].concat();
        let mut changes = Changes { gone: framed(middle.gone), come: framed(middle.come) };
        slide(old, &mut changes.gone);
        slide(new, &mut changes.come);
        changes
    }

    /// The greedy search of Myers (1986), An O(ND) difference algorithm and its variations,
    /// Algorithmica 1:251-266: with one change more each time, how far down both texts one gets.
    fn fewest(old: &[&str], new: &[&str]) -> Changes {
        /// Texts that differ in more lines are taken to have nothing in common.
        const MOST: usize = 1000;
        // For so many changes, of which so many are lines that go: how many lines of the old
        // text are behind. The lines of the new text that are behind follow from the three.
        let mut reach: Vec<Vec<usize>> = vec![];
        let behind_in_new = |at: usize, changes: usize, go: usize| (at - go) + (changes - go);
        for changes in 0..=MOST {
            let mut row = vec![];
            for go in 0..=changes {
                let mut at = match reach.last() {
                    None => 0,
                    Some(before) if goes_last(before, go) => before[go - 1] + 1,
                    Some(before) => before[go],
                };
                let in_new = behind_in_new(at, changes, go);
                if at <= old.len() && in_new <= new.len() {
                    at += common(old[at..].iter(), new[in_new..].iter());
                }
                row.push(at);
                if at == old.len() && behind_in_new(at, changes, go) == new.len() {
                    return Changes::read_back(&reach, (old.len(), new.len()), go);
                }
            }
            reach.push(row);
        }
        Changes { gone: vec![true; old.len()], come: vec![true; new.len()] }
    }

    /// The changes on the way to the end of both texts, the last one first.
    fn read_back(reach: &[Vec<usize>], (old, new): (usize, usize), mut go: usize) -> Changes {
        let mut changes = Changes { gone: vec![false; old], come: vec![false; new] };
        for (count, before) in reach.iter().enumerate().rev() {
            if goes_last(before, go) {
                go -= 1;
                changes.gone[before[go]] = true;
            } else {
                changes.come[before[go] - go + count - go] = true;
            }
        }
        changes
    }
}

/// Whether the last of the changes that get furthest is a line that goes, where so many go.
fn goes_last(before: &[usize], go: usize) -> bool {
    match (go.checked_sub(1).and_then(|go| before.get(go)), before.get(go)) {
        (Some(by_going), Some(by_coming)) => by_going + 1 > *by_coming,
        (by_going, _) => by_going.is_some(),
    }
}

/// How many lines at the start of both lists are the same.
fn common<'a>(
    old: impl Iterator<Item = &'a &'a str>,
    new: impl Iterator<Item = &'a &'a str>,
) -> usize {
    old.zip(new).take_while(|(old, new)| old == new).count()
}

/// Moves each group of changed lines as far down as it goes: the line left behind must be the same
/// as the one taken in. So a run that is added shows its own heading and the blank line after it.
fn slide(lines: &[&str], changed: &mut [bool]) {
    let mut start = 0;
    while let Some(first) = (start..lines.len()).find(|place| changed[*place]) {
        let count = changed[first..].iter().take_while(|changed| **changed).count();
        let (mut first, mut end) = (first, first + count);
        while end < lines.len() && lines[first] == lines[end] {
            changed[first] = false;
            changed[end] = true;
            first += 1;
            end += changed[end..].iter().take_while(|changed| **changed).count();
        }
        start = end;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// `sign text` of every line of either text.
    fn signed(old: &str, new: &str) -> Vec<String> {
        let old: Vec<&str> = old.split_inclusive(' ').collect();
        let new: Vec<&str> = new.split_inclusive(' ').collect();
        let lines = marked(&old, &new, &Changes::between(&old, &new));
        lines.iter().map(|line| format!("{}{}", line.sign, line.text.trim())).collect()
    }

    #[test]
    fn a_run_that_is_added_is_shown_with_its_heading_and_the_blank_line_after_it() {
        // `h` and `i` are headings, `.` is a blank line: `. h 2` could have come as well.
        let found = signed("h 1 . i 3 ", "h 1 . h 2 . i 3 ");
        assert_eq!(found, [" h", " 1", " .", "+h", "+2", "+.", " i", " 3"]);
    }

    #[test]
    fn lines_that_go_stand_before_those_that_come() {
        assert_eq!(signed("a b c d ", "a x y d "), [" a", "-b", "-c", "+x", "+y", " d"]);
        assert_eq!(signed("", "a "), ["+a"]);
        assert_eq!(signed("a b ", ""), ["-a", "-b"]);
    }

    #[test]
    fn far_apart_changes_have_dots_between_them() {
        let old: String = (1..=9).map(|line| format!("{line}\n")).collect();
        let new = old.replace('2', "two").replace('8', "eight");
        let shown = "    1   1\n      - 2\n    2 + two\n    3   3\n  ...\n\
                     \x20   7   7\n      - 8\n    8 + eight\n    9   9\n";
        assert_eq!(lines(&old, &new), shown);
        assert_eq!(lines(&old, &old), "");
    }

    /// Length of the longest list that both hold in order, by the table of the textbooks.
    fn longest_common(old: &[&str], new: &[&str]) -> usize {
        let mut table = vec![vec![0; new.len() + 1]; old.len() + 1];
        for (i, a) in old.iter().enumerate() {
            for (j, b) in new.iter().enumerate() {
                table[i + 1][j + 1] =
                    if a == b { table[i][j] + 1 } else { table[i][j + 1].max(table[i + 1][j]) };
            }
        }
        table[old.len()][new.len()]
    }

    proptest! {
        #[test]
        fn both_texts_can_be_read_from_the_lines_and_no_line_changes_in_vain(
            old in "([abc] ){0,12}", new in "([abc] ){0,12}",
        ) {
            let found = signed(&old, &new);
            let without = |sign: char| -> String {
                found.iter().filter(|line| !line.starts_with(sign)).map(|line| format!("{} ", &line[1..])).collect()
            };
            prop_assert_eq!(without('+'), old.as_str());
            prop_assert_eq!(without('-'), new.as_str());
            let split = |text| -> Vec<&str> { str::split_inclusive(text, ' ').collect() };
            let same = found.iter().filter(|line| line.starts_with(' ')).count();
            prop_assert_eq!(same, longest_common(&split(&old), &split(&new)));
        }
    }
}
