//! Why a conversation goes no further.

use std::io;

use super::super::exit::Exit;

/// Why it goes no further.
#[derive(Debug)]
pub(super) enum Halt {
    /// The user has stopped it, or the input ended.
    Stopped,
    /// It can't go on, and why is said by then.
    Failed(Exit),
    /// What is said can't be printed.
    Unprinted(io::Error),
}

/// How far a conversation got.
pub(super) type Going<T> = Result<T, Halt>;

impl From<io::Error> for Halt {
    fn from(error: io::Error) -> Halt {
        Halt::Unprinted(error)
    }
}
