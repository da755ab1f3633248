//! A conversation with `guide`: whole ones, and ones that are answered prompt by prompt.

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use super::program;

/// What came of a whole conversation.
pub struct Said {
    pub code: Option<i32>,
    pub text: String,
    pub errors: String,
}

fn guide(sheet: &Path, more: &[&str]) -> Command {
    let mut command = program();
    command.arg("guide").arg(sheet).args(more).env("LC_ALL", "C.UTF-8");
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// Holds a conversation in which these lines are answered, whatever is asked.
pub fn talk(sheet: &Path, answers: &str, more: &[&str]) -> Said {
    let mut child = guide(sheet, more).spawn().expect("the program runs");
    let mut input = child.stdin.take().expect("its input");
    let answers = answers.to_owned();
    let writer = std::thread::spawn(move || {
        // It may have ended by itself before the last answer.
        let _ = input.write_all(answers.as_bytes());
    });
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("answered");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    for line in text.lines() {
        assert!(line.chars().count() <= 80 || line.contains("> "), "too wide: {line}");
    }
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    Said { code: output.status.code(), text, errors }
}

/// A conversation that goes on.
pub struct Talking {
    child: Child,
    input: Option<ChildStdin>,
    output: ChildStdout,
}

impl Talking {
    pub fn about(sheet: &Path, more: &[&str]) -> Talking {
        let mut child = guide(sheet, more).stderr(Stdio::null()).spawn().expect("the program runs");
        let (input, output) = (child.stdin.take(), child.stdout.take().expect("its output"));
        Talking { child, input, output }
    }

    /// All that is said up to the next prompt, which is its last line; or to the end.
    pub fn hear(&mut self) -> String {
        let (mut heard, mut piece) = (vec![], [0; 4096]);
        loop {
            let count = self.output.read(&mut piece).expect("it speaks");
            heard.extend_from_slice(&piece[..count]);
            if count == 0 || heard.ends_with(b"> ") {
                return String::from_utf8(heard).expect("UTF-8");
            }
        }
    }

    pub fn answer(&mut self, text: &str) {
        let input = self.input.as_mut().expect("it listens");
        input
            .write_all(format!("{text}\n").as_bytes())
            .and_then(|()| input.flush())
            .expect("heard");
    }

    /// Answers, and hears what is said then.
    pub fn say(&mut self, text: &str) -> String {
        self.answer(text);
        self.hear()
    }

    /// Ends it as an empty battery does.
    pub fn kill(mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
    }

    /// Ends the input; the status that it ends with.
    pub fn end(mut self) -> Option<i32> {
        drop(self.input.take());
        self.hear();
        self.child.wait().expect("it ends").code()
    }
}
