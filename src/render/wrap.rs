//! Text in lines of at most 80 columns.
//!
//! The package `textwrap` cuts lines just so, and in diagnostics it does; a page of results, where
//! a quarter of the lines have to be cut, takes 7 % more instructions by it.

use unicode_width::UnicodeWidthChar;

use super::{WIDTH, width_of};

/// Adds text in lines that end where words end, the first after `first`, the others after `rest`;
/// a word that is too long for any line is cut.
pub(super) fn write(out: &mut String, first: &str, rest: &str, text: &str) {
    let line = text.trim_end();
    if width_of(first) + width_of(line) <= WIDTH {
        // Nothing is left hanging behind a start without words.
        push_line(out, if line.is_empty() { first.trim_end() } else { first }, line);
        return;
    }
    let longest = WIDTH.saturating_sub(width_of(rest));
    let (mut line, mut width) = (first.to_owned(), width_of(first));
    // With nothing before it, the first word stands in the first line however long it is.
    let mut may_end = !first.is_empty();
    for word in words(text, longest) {
        if may_end && width + word.width > WIDTH {
            push_line(out, "", line.trim_end());
            line.clear();
            line.push_str(rest);
            width = width_of(rest);
        }
        line.push_str(word.text);
        line.push_str(word.spaces);
        width += word.width + word.spaces.len();
        may_end = true;
    }
    push_line(out, "", line.trim_end());
}

fn push_line(out: &mut String, start: &str, line: &str) {
    out.push_str(start);
    out.push_str(line);
    out.push('\n');
}

/// A word, or a piece of a long one, and the spaces after it.
struct Word<'a> {
    text: &'a str,
    spaces: &'a str,
    width: usize,
}

/// The words of a text, of at most so many columns each.
fn words(mut text: &str, longest: usize) -> impl Iterator<Item = Word<'_>> {
    std::iter::from_fn(move || {
        if text.is_empty() {
            return None;
        }
        let end = text.find(' ').unwrap_or(text.len());
        let (mut word, mut after) = text.split_at(end);
        let mut width = width_of(word);
        if width > longest {
            let end = end_within(word, longest);
            (word, after) = text.split_at(end);
            width = width_of(word);
        }
        text = after.trim_start_matches(' ');
        let spaces = &after[..after.len() - text.len()];
        Some(Word { text: word, spaces, width })
    })
}

/// Where a word has to be cut to take at most so many columns; never before its second letter.
fn end_within(word: &str, columns: usize) -> usize {
    let mut width = 0;
    let too_far = |(_, letter): &(usize, char)| {
        let before = width;
        width += letter.width().unwrap_or(0);
        before > 0 && width > columns
    };
    word.char_indices().find(too_far).map_or(word.len(), |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn written(first: &str, rest: &str, text: &str) -> String {
        let mut out = String::new();
        write(&mut out, first, rest, text);
        out
    }

    #[test]
    fn lines_end_where_words_end_and_long_words_are_cut() {
        let word = "x".repeat(60);
        let text = format!("{word} and  {word}{word}");
        // 80 columns less the four of `rest` leave 76 of the long word.
        let cut = format!("1. {word} and\n    {}\n    {}\n", "x".repeat(76), "x".repeat(44));
        assert_eq!(written("1. ", "    ", &text), cut);
        assert_eq!(written("  ", "  ", "short "), "  short\n");
        assert_eq!(written("heading = out  ", "  ", ""), "heading = out\n");
        assert_eq!(written(&"-".repeat(85), " ", "word"), format!("{}\n word\n", "-".repeat(85)));
    }

    #[test]
    fn letters_that_take_two_columns_count_twice() {
        let wide = "\u{7a2e}".repeat(50); // a character two columns wide
        assert_eq!(written("", "", &wide).lines().map(width_of).max(), Some(80));
    }

    proptest! {
        /// The package does the same.
        #[test]
        fn lines_are_those_of_textwrap(
            first in "[a-z ]{0,12}", rest in " {0,8}", text in "[a-z \u{bd}\u{7a2e}]{1,40}( |[a-z]{1,100}){0,30}",
        ) {
            let options = textwrap::Options::new(WIDTH)
                .initial_indent(&first)
                .subsequent_indent(&rest)
                .word_separator(textwrap::WordSeparator::AsciiSpace)
                .word_splitter(textwrap::WordSplitter::NoHyphenation);
            let lines = textwrap::wrap(&text, options);
            let same: String = lines.iter().map(|line| format!("{}\n", line.trim_end())).collect();
            if !text.trim_end().is_empty() {
                prop_assert_eq!(written(&first, &rest, &text), same);
            }
        }
    }
}
