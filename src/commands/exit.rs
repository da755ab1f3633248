//! How a command ends.

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Done.
    Done,
    /// Done, and a check that was asked for did not hold.
    CheckFailed,
    /// Could not.
    CouldNot,
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        match exit {
            Exit::Done => 0.into(),
            Exit::CheckFailed => 1.into(),
            Exit::CouldNot => 2.into(),
        }
    }
}
