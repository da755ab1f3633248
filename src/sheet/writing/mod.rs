//! Writing back: runs added, settings changed, everything else kept byte for byte.
//!
//! Nothing is parsed and printed anew. The place of a change is found in the text, and only
//! that place is replaced; new tables and values are written by `toml_edit`, which knows how
//! to quote.

mod adjust;
mod anew;
mod attributes;
mod beside;
mod by_hand;
mod change;
mod conversion;
mod correct;
mod drop;
mod first;
mod form;
mod guard;
mod kinds;
mod last;
mod place;
mod repeat;
mod replace;
mod run;
mod said;
mod signed;
mod speed;
mod speed_labels;
mod whole;

use thiserror::Error;

pub use adjust::apply_by_hand;
pub use anew::{Begun, For, begin_from, with_planter_inside};
pub use change::apply;
pub use conversion::{Converted, Turned, convert};
pub use correct::{Correction, correct};
pub use drop::drop_run;
pub use guard::is_sheet;
pub(crate) use kinds::{BlankForm, Listed};
pub use kinds::{KINDS, Key, Kind, Need, Of, Pair, Takes, Values};
pub use last::last_said;
pub use repeat::repeated;
pub use replace::{Held, PATIENCE, ReplaceError};
pub use run::{Given, NewRun, add_run};
pub(in crate::sheet) use said::parted_by_commas;
pub use said::{Bare, Columns, Said, Suspicion, Understood, columns, understood};
pub use signed::signed;
pub use speed::adopt_speed;
pub use whole::{write_new, write_whole};

use super::diagnostic::Diagnostic;
use super::source::NewText;

/// Why a sheet can't be written as wanted. Nothing is written.
#[derive(Debug, Error)]
pub enum WriteError {
    /// What was to be written is refused; what to do stands in the second text.
    #[error("{0}")]
    Refused(String, &'static str),
    /// What was said lacks something, or may mean two things.
    #[error("{words}")]
    Doubtful {
        /// What is in doubt.
        words: String,
        /// What to type.
        advice: String,
    },
    /// The new sheet would have mistakes.
    #[error("the sheet would have mistakes")]
    Mistakes {
        /// The new text, which the mistakes point into.
        text: NewText,
        /// The mistakes.
        mistakes: Vec<Diagnostic>,
    },
}

/// A text that can stand in a sheet and on a terminal.
pub(crate) fn printable(what: &str, text: &str) -> Result<(), WriteError> {
    let Some(c) = text.chars().find(|c| c.is_control()) else { return Ok(()) };
    Err(WriteError::Refused(
        format!("{what} holds a control character (U+{:04X})", u32::from(c)),
        "type it anew, on one line and without tabs",
    ))
}
