//! Lines that are said and lines that are answered: at a terminal with an editor of lines, else one
//! after the other as they come.

use std::io::{self, BufRead, IsTerminal, Write};

use rustyline::history::MemHistory;
use rustyline::{Config, Editor};

use crate::render::{Style, harmless, text};
use crate::sheet::MOST_BYTES;

use super::halt::{Going, Halt};

/// What was answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// Enter alone.
    Enter,
    /// The answer before is to be taken back.
    Back,
    /// Anything else, without the blanks around it.
    Text(String),
}

/// The conversation.
pub(super) struct Talk<'a> {
    lines: Lines,
    out: &'a mut dyn Write,
    /// How text is drawn.
    pub(super) style: Style,
}

enum Lines {
    /// Lines can be edited, and a paste of several comes in one piece.
    Terminal(Box<Editor<(), MemHistory>>),
    /// Lines come as they are, and are shown, so that the whole reads as a conversation.
    Piped,
}

/// Words that take the answer before back.
const BACK: [&str; 2] = ["back", "undo"];
/// Words that end the conversation.
const QUIT: [&str; 3] = ["q", "quit", "stop"];
/// What can be answered anywhere.
const ANYWHERE: &str = "q, Ctrl+C or the end of input stops; what was typed is kept";

impl<'a> Talk<'a> {
    /// At the terminal where there is one on both sides.
    pub(super) fn new(out: &'a mut dyn Write, style: Style) -> Talk<'a> {
        let at_terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
        let editor = at_terminal.then(editor).flatten();
        let lines = editor.map_or(Lines::Piped, |editor| Lines::Terminal(Box::new(editor)));
        Talk { lines, out, style }
    }

    /// Says something, in lines of at most 80 columns, the first behind `first`.
    pub(super) fn say(&mut self, first: &str, words: &str) -> io::Result<()> {
        let lines = text::hanging(first, words, self.style);
        writeln!(self.out, "{lines}")
    }

    /// Prints what stands in lines already.
    pub(super) fn print(&mut self, page: &str) -> io::Result<()> {
        self.out.write_all(page.as_bytes())
    }

    /// Brings all that was said before the eyes, before something else speaks.
    pub(super) fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }

    /// Asks. `?` gets `help` and is asked again.
    pub(super) fn ask(&mut self, prompt: &str, help: &str) -> Going<Answer> {
        loop {
            let line = self.line(&format!("{}> ", harmless(prompt)))?;
            match line.trim() {
                "" => return Ok(Answer::Enter),
                "?" => {
                    self.say("  ", help)?;
                    self.say("  ", ANYWHERE)?;
                }
                text if QUIT.contains(&text.to_lowercase().as_str()) => return Err(Halt::Stopped),
                text if BACK.contains(&text.to_lowercase().as_str()) => return Ok(Answer::Back),
                text => return Ok(Answer::Text(text.to_owned())),
            }
        }
    }

    /// Asks until the answer is yes or no; Enter is `usual`, where there is one.
    pub(super) fn is_so(&mut self, prompt: &str, usual: Option<bool>, help: &str) -> Going<bool> {
        loop {
            match self.ask(prompt, help)? {
                Answer::Text(text) if is_yes(&text) => return Ok(true),
                Answer::Text(text) if is_no(&text) => return Ok(false),
                Answer::Enter if usual.is_some() => return Ok(usual == Some(true)),
                _ => self.say("  ", "y or n")?,
            }
        }
    }

    fn line(&mut self, prompt: &str) -> Going<String> {
        self.flush()?;
        match &mut self.lines {
            Lines::Terminal(editor) => editor.readline(prompt).map_err(|_| Halt::Stopped),
            Lines::Piped => {
                self.out.write_all(prompt.as_bytes())?;
                self.out.flush()?;
                let line = next_line(&mut io::stdin().lock())?;
                // A terminal shows what is typed by itself.
                if line.is_none() || !io::stdin().is_terminal() {
                    writeln!(self.out, "{}", harmless(line.as_deref().unwrap_or_default()))?;
                }
                line.ok_or(Halt::Stopped)
            }
        }
    }
}

/// Whether an answer is yes.
pub(super) fn is_yes(text: &str) -> bool {
    ["y", "yes"].contains(&text.to_lowercase().as_str())
}

/// Whether an answer is no.
pub(super) fn is_no(text: &str) -> bool {
    ["n", "no", "not yet"].contains(&text.to_lowercase().as_str())
}

fn editor() -> Option<Editor<(), MemHistory>> {
    let config = Config::builder().auto_add_history(true).bracketed_paste(true).build();
    Editor::with_history(config, MemHistory::new()).ok()
}

/// The next line; none where there is no further one.
fn next_line(input: &mut impl BufRead) -> io::Result<Option<String>> {
    let mut bytes = vec![];
    let read = io::Read::take(input, MOST_BYTES).read_until(b'\n', &mut bytes)?;
    let text = String::from_utf8_lossy(&bytes);
    let text = text.trim_start_matches('\u{feff}').trim_end_matches(['\n', '\r']);
    Ok((read > 0).then(|| text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_come_without_their_ends() {
        let mut input = io::Cursor::new(b"\xef\xbb\xbfone\r\n\ntwo\xff".to_vec());
        let mut next = || next_line(&mut input).expect("lines");
        assert_eq!(next().as_deref(), Some("one"));
        assert_eq!(next().as_deref(), Some(""));
        assert_eq!(next().as_deref(), Some("two\u{fffd}"));
        assert_eq!(next(), None);
    }
}
