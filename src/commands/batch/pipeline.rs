//! Many pieces of work on all cores, their results in order, a bounded number under way.

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, scope};
use std::time::Duration;
use std::{io, iter};

/// Pieces that one worker takes at once: handing over costs little against so many.
const TOGETHER: usize = 8;
/// Groups under way. Where one piece takes long, the others go on until this many wait for it.
const GROUPS: usize = 512;
/// Bytes of results that wait for an earlier one. Beyond it only that one is worked on.
const MOST_WAITING: usize = 32 * 1024 * 1024;

/// Pieces on their way to a worker with the place of the first one, and where their results go.
type Group<T, R> = (usize, Vec<T>, SyncSender<R>);

/// Works every item on `workers` threads and hands the results to `take` in the order of the
/// items; calls `idle` every so often while nothing is ready. Where the system gives no thread, all
/// is done on this one.
///
/// # Errors
///
/// What `take` says; the work stops then.
pub(super) fn in_order<T: Send, R: Send>(
    mut items: impl Iterator<Item = T> + Send,
    workers: usize,
    work: impl Fn(T) -> R + Sync,
    bytes: impl Fn(&R) -> usize + Sync,
    mut take: impl FnMut(R) -> io::Result<()>,
    mut idle: impl FnMut(),
) -> io::Result<()> {
    if workers == 1 {
        // Handing over to another thread would only cost.
        return items.try_for_each(|item| take(work(item)));
    }
    let (to_workers, groups) = sync_channel::<Group<T, R>>(GROUPS);
    let (to_writer, results) = sync_channel::<Receiver<R>>(GROUPS);
    let (items, groups, belt) = (Mutex::new(items), Mutex::new(groups), Belt::default());
    scope(|scope| {
        let one_worker = || {
            while let Some((first, group, back)) = next(&groups) {
                for (place, item) in (first..).zip(group) {
                    // What is still queued is taken out, so that the feeder sees the end.
                    if belt.may_start(place) {
                        let result = work(item);
                        belt.add(bytes(&result));
                        // Nobody waits for it where the writer has failed meanwhile.
                        let _ = back.send(result);
                    }
                }
            }
        };
        let start = |_: &usize| Builder::new().spawn_scoped(scope, one_worker).is_ok();
        let started = (0..workers).take_while(start).count();
        // The channels end with the feeder, also where it does not start.
        let all = &items;
        let feeder = move || feed(&mut *locked(all), to_workers, to_writer);
        if started == 0 || Builder::new().spawn_scoped(scope, feeder).is_err() {
            drop(results);
            return locked(&items).by_ref().map(&work).try_for_each(take);
        }
        let end = write(&results, &mut idle, |one| {
            let size = bytes(&one);
            let taken = take(one);
            belt.take_off(size);
            taken
        });
        if end.is_err() {
            belt.stop();
        }
        // The feeder stops at a channel that nobody reads.
        drop(results);
        end
    })
}

/// How far the results are taken, and how many bytes of them wait.
#[derive(Default)]
struct Belt {
    state: Mutex<State>,
    moved: Condvar,
}

#[derive(Default)]
struct State {
    taken: usize,
    waiting: usize,
    stopped: bool,
}

impl Belt {
    /// Waits while too much waits, but for the piece that all of it waits for; says `false` where
    /// nothing is wanted any more.
    fn may_start(&self, place: usize) -> bool {
        let full = |state: &mut State| {
            !state.stopped && state.waiting > MOST_WAITING && state.taken != place
        };
        let state = self.moved.wait_while(locked(&self.state), full);
        !state.unwrap_or_else(PoisonError::into_inner).stopped
    }

    fn add(&self, bytes: usize) {
        locked(&self.state).waiting += bytes;
    }

    fn take_off(&self, bytes: usize) {
        let mut state = locked(&self.state);
        state.waiting -= bytes;
        state.taken += 1;
        self.moved.notify_all();
    }

    fn stop(&self) {
        locked(&self.state).stopped = true;
        self.moved.notify_all();
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn write<R>(
    results: &Receiver<Receiver<R>>,
    idle: &mut impl FnMut(),
    mut take: impl FnMut(R) -> io::Result<()>,
) -> io::Result<()> {
    while let Some(group) = wait(results, idle) {
        iter::from_fn(|| wait(&group, idle)).try_for_each(&mut take)?;
    }
    Ok(())
}

fn feed<T, R>(
    items: &mut impl Iterator<Item = T>,
    to_workers: SyncSender<Group<T, R>>,
    to_writer: SyncSender<Receiver<R>>,
) {
    for first in (0..).step_by(TOGETHER) {
        let group: Vec<T> = items.by_ref().take(TOGETHER).collect();
        if group.is_empty() {
            return;
        }
        let (back, result) = sync_channel(TOGETHER);
        if to_writer.send(result).is_err() || to_workers.send((first, group, back)).is_err() {
            return;
        }
    }
}

fn next<T>(queue: &Mutex<Receiver<T>>) -> Option<T> {
    locked(queue).recv().ok()
}

/// The next of a channel; `None` at its end.
fn wait<T>(channel: &Receiver<T>, idle: &mut impl FnMut()) -> Option<T> {
    const EVERY: Duration = Duration::from_millis(200);
    loop {
        match channel.recv_timeout(EVERY) {
            Ok(one) => return Some(one),
            Err(RecvTimeoutError::Disconnected) => return None,
            Err(RecvTimeoutError::Timeout) => idle(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn results_come_in_order_and_few_are_under_way() {
        let (started, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let mut seen = vec![];
        let items = (0..5000_usize).inspect(|_| {
            started.fetch_add(1, Ordering::SeqCst);
        });
        let work = |item: usize| {
            if item.is_multiple_of(701) {
                std::thread::sleep(Duration::from_millis(5));
            }
            item * 2
        };
        let take = |result| {
            seen.push(result);
            let ahead = started.load(Ordering::SeqCst) - seen.len();
            most.fetch_max(ahead, Ordering::SeqCst);
            Ok(())
        };
        assert!(in_order(items, 4, work, |_| 0, take, || ()).is_ok());
        assert_eq!(seen, (0..5000).map(|item| item * 2).collect::<Vec<_>>());
        let bound = TOGETHER * (2 * GROUPS + 4 + 3);
        assert!(most.into_inner() <= bound, "no more than {bound} under way");
    }

    #[test]
    fn without_threads_all_is_done_on_this_one() {
        let mut seen = vec![];
        let take = |result| {
            seen.push(result);
            Ok(())
        };
        assert!(in_order(0..100, 0, |item| item + 1, |_| 0, take, || ()).is_ok());
        assert_eq!(seen, (1..=100).collect::<Vec<_>>());
    }

    #[test]
    fn one_slow_piece_holds_no_other_and_large_results_wait_for_room() {
        const LARGE: usize = MOST_WAITING / 4;
        let (done, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let held = Mutex::new(0_usize);
        let work = |item: usize| {
            if item == 0 {
                // The others go on as far as there is room for what they make.
                while done.load(Ordering::SeqCst) < 4 {
                    std::thread::sleep(Duration::from_millis(1));
                }
                std::thread::sleep(Duration::from_millis(50));
            }
            let mut held = locked(&held);
            *held += LARGE;
            most.fetch_max(*held, Ordering::SeqCst);
            done.fetch_add(1, Ordering::SeqCst);
            item
        };
        let mut seen = vec![];
        let take = |item| {
            *locked(&held) -= LARGE;
            seen.push(item);
            Ok(())
        };
        assert!(in_order(0..200, 3, work, |_| LARGE, take, || ()).is_ok());
        assert_eq!(seen, (0..200).collect::<Vec<_>>());
        // What waits, and one more for each worker.
        assert!(most.into_inner() <= MOST_WAITING + 4 * LARGE);
    }

    #[test]
    fn a_writer_that_fails_ends_the_work() {
        let done = AtomicUsize::new(0);
        let work = |_| done.fetch_add(1, Ordering::SeqCst);
        let take = |_| Err(io::ErrorKind::StorageFull.into());
        let endless = iter::repeat(());
        let end = in_order(endless, 2, work, |_| MOST_WAITING, take, || ());
        assert!(end.is_err_and(|error| error.kind() == io::ErrorKind::StorageFull));
    }
}
