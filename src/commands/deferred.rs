//! Arguments of a subcommand that are only built where that subcommand is asked for: with those of
//! all of them a page of one sheet takes 19 % more instructions, and `--brief` 43 %.

use std::cell::Cell;
use std::ops::Deref;

use clap::builder::Resettable;
use clap::{ArgMatches, Args, Command, CommandFactory, FromArgMatches};

thread_local! {
    /// Whether all arguments are built at once.
    static AT_ONCE: Cell<bool> = const { Cell::new(false) };
}

/// The command line with the arguments of every subcommand, for what lists all of them.
pub(super) fn whole<C: CommandFactory>() -> Command {
    AT_ONCE.set(true);
    let command = C::command();
    AT_ONCE.set(false);
    command
}

/// The arguments of one subcommand.
#[derive(Debug)]
pub(super) struct Deferred<A>(A);

impl<A> Deref for Deferred<A> {
    type Target = A;

    fn deref(&self) -> &A {
        &self.0
    }
}

impl<A: Args> Args for Deferred<A> {
    fn augment_args(command: Command) -> Command {
        if AT_ONCE.get() { A::augment_args(command) } else { command.defer(keeping_its_words::<A>) }
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

/// Adds the arguments. What the subcommand is for is said by then, and must not give way to what
/// is said of its arguments.
fn keeping_its_words<A: Args>(command: Command) -> Command {
    let (about, long) = (command.get_about().cloned(), command.get_long_about().cloned());
    let (about, long) = (Resettable::from(about), Resettable::from(long));
    A::augment_args(command).about(about).long_about(long)
}

impl<A: FromArgMatches> FromArgMatches for Deferred<A> {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        A::from_arg_matches(matches).map(Deferred)
    }

    fn from_arg_matches_mut(matches: &mut ArgMatches) -> Result<Self, clap::Error> {
        A::from_arg_matches_mut(matches).map(Deferred)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        self.0.update_from_arg_matches(matches)
    }
}
