//! Where results and mistakes go, and what becomes of a run whose reader has left or whose disk is
//! full.

use std::io::{self, Write};

use super::exit::Exit;

/// Bytes that go out in one piece.
const PIECE: usize = 1 << 16;

/// Standard output. Where its reader has left, all further text is dropped without a word, so that
/// the end of a run is that of its work. Any other failure is said once.
pub(super) struct Output {
    to: Box<dyn Write>,
    waiting: Vec<u8>,
    ended: bool,
}

impl Output {
    /// For text with colours or without; old Windows consoles are told them in their own way.
    pub(super) fn standard(colour: bool) -> Output {
        if colour {
            Output::to(Box::new(anstream::AutoStream::auto(io::stdout()).lock()))
        } else {
            Output::plain()
        }
    }

    /// For data that never has colours.
    pub(super) fn plain() -> Output {
        Output::to(Box::new(io::stdout().lock()))
    }

    fn to(to: Box<dyn Write>) -> Output {
        Output { to, waiting: vec![], ended: false }
    }

    fn pass_on(&mut self, bytes: &[u8]) -> io::Result<()> {
        let waiting = std::mem::take(&mut self.waiting);
        if self.ended {
            return Ok(());
        }
        let written = [waiting.as_slice(), bytes].iter().try_for_each(|one| self.to.write_all(one));
        let written = written.and_then(|()| self.to.flush());
        self.ended = written.is_err();
        match written {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
            written => written,
        }
    }
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.waiting.len() + bytes.len() > PIECE {
            self.pass_on(bytes)?;
        } else {
            self.waiting.extend_from_slice(bytes);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.pass_on(&[])
    }
}

/// Prints a mistake on standard error. Where nobody can be told, the exit status says it.
pub(super) fn complain(text: &str) {
    let _ = anstream::AutoStream::auto(io::stderr()).lock().write_all(text.as_bytes());
}

/// Says what was done to a file. It is done by then: where only the saying fails, that is said on
/// standard error, and the run has not failed.
pub(super) fn say_done(out: &mut dyn Write, text: &str, done: &str) -> Exit {
    if let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        complain(&format!("note: {done}; only printing it failed: {error}\n"));
    }
    Exit::Done
}

/// The end of a run whose results were to be printed.
pub(super) fn end(ended: io::Result<Exit>) -> Exit {
    ended.unwrap_or_else(|error| {
        complain(&format!(
            "error: the results could not be printed: {error}\nhelp: look at the room on the disk\n"
        ));
        Exit::CouldNot
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)] // helpers of tests

    use super::*;
    use std::cell::Cell;
    use std::rc::Rc;

    /// Fails once it was given more than it takes, and counts how often it was tried after.
    struct Narrow {
        room: usize,
        kind: io::ErrorKind,
        tries: Rc<Cell<usize>>,
    }

    impl Write for Narrow {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.tries.set(self.tries.get() + 1);
            let taken = self.room.min(bytes.len());
            self.room -= taken;
            if taken == 0 { Err(self.kind.into()) } else { Ok(taken) }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    fn narrow(kind: io::ErrorKind) -> (Output, Rc<Cell<usize>>) {
        let tries = Rc::new(Cell::new(0));
        (Output::to(Box::new(Narrow { room: 10, kind, tries: Rc::clone(&tries) })), tries)
    }

    #[test]
    fn a_reader_who_left_is_no_failure_and_is_left_alone() {
        let (mut out, tries) = narrow(io::ErrorKind::BrokenPipe);
        out.write_all(&[b'x'; 20]).expect("it waits");
        out.flush().expect("nobody reads");
        let tried = tries.get();
        out.write_all(&vec![b'x'; 2 * PIECE]).expect("nobody reads");
        out.flush().expect("nobody reads");
        assert_eq!(tries.get(), tried);
    }

    #[test]
    fn a_full_disk_is_said_once() {
        let (mut out, _) = narrow(io::ErrorKind::StorageFull);
        out.write_all(&[b'x'; 20]).expect("it waits");
        assert_eq!(out.flush().expect_err("full").kind(), io::ErrorKind::StorageFull);
        out.flush().expect("it was said");
        let (mut out, _) = narrow(io::ErrorKind::StorageFull);
        assert!(out.write_all(&vec![b'x'; 2 * PIECE]).is_err());
        assert_eq!(say_done(&mut out, "done", "done"), Exit::Done);
    }
}
